//! Pictures beside notes: made anew, free of what a camera writes into them, never too large, and seen by whoever sees the batch.

use std::io::Cursor;
use std::time::Duration;

use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageDecoder, ImageEncoder, ImageFormat, ImageReader, RgbImage};

use mustwright::batches::log::pictures::MOST_OF_ONE;
use tokio::io::AsyncWriteExt;
use tokio::net::TcpStream;

use super::{a_maker, started};
use crate::support::{Browser, Club, Page, a_member};

/// A camera's own words: turned by a quarter, and a place on earth (Exif 2.3, orientation 6, a GPS block).
fn exif() -> Vec<u8> {
    let mut tiff = b"II*\0\x08\0\0\0".to_vec();
    let entry = |tag: u16, kind: u16, count: u32, value: [u8; 4]| {
        let mut bytes = Vec::new();
        bytes.extend(tag.to_le_bytes());
        bytes.extend(kind.to_le_bytes());
        bytes.extend(count.to_le_bytes());
        bytes.extend(value);
        bytes
    };
    tiff.extend(2u16.to_le_bytes());
    tiff.extend(entry(0x0112, 3, 1, [6, 0, 0, 0]));
    tiff.extend(entry(0x8825, 4, 1, 38u32.to_le_bytes()));
    tiff.extend([0; 4]);
    assert_eq!(tiff.len(), 38);
    tiff.extend(1u16.to_le_bytes());
    tiff.extend(entry(0x001d, 2, 4, *b"GPS\0"));
    tiff.extend([0; 4]);
    tiff
}

/// A picture twice as wide as high, as a camera writes it.
fn photograph(width: u32, height: u32) -> Vec<u8> {
    let pixels = RgbImage::from_fn(width, height, |x, y| {
        image::Rgb([(x % 256) as u8, (y % 256) as u8, ((x * y) % 251) as u8])
    });
    let mut bytes = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut bytes, 90);
    encoder.set_exif_metadata(exif()).expect("metadata");
    encoder.encode_image(&pixels).expect("a picture");
    bytes
}

async fn sent(club: &Club, browser: &Browser, batch: &str, note: &str, bytes: &[u8]) -> Page {
    let form = browser.get(&format!("{batch}/log/note")).await;
    let once = form.hidden("once").expect("a key");
    again(club, browser, batch, (note, &once), bytes).await
}

async fn again(
    club: &Club,
    browser: &Browser,
    batch: &str,
    (note, once): (&str, &str),
    bytes: &[u8],
) -> Page {
    let mut body = Vec::new();
    for (name, text) in [("once", once), ("note", note), ("day", ""), ("time", "")] {
        body.extend(
            format!("--edge\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{text}\r\n")
                .into_bytes(),
        );
    }
    body.extend(
        b"--edge\r\nContent-Disposition: form-data; name=\"picture\"; filename=\"x.jpg\"\r\n\
          Content-Type: image/jpeg\r\n\r\n",
    );
    body.extend_from_slice(bytes);
    body.extend(b"\r\n--edge--\r\n");
    let request = browser
        .request(reqwest::Method::POST, &format!("{batch}/log/note"))
        .header("origin", club.app.site.origin())
        .header("content-type", "multipart/form-data; boundary=edge")
        .body(body);
    browser.send(request).await
}

/// The address of the first picture of a sheet.
fn picture_of(sheet: &Page) -> String {
    let at = sheet.text.find("<img src=\"").expect("a picture") + 10;
    let rest = &sheet.text[at..];
    rest[..rest.find('"').unwrap()].to_owned()
}

async fn kept(club: &Club) -> Vec<u8> {
    sqlx::query_scalar("select image from batch_pictures")
        .fetch_one(club.pool())
        .await
        .expect("a picture")
}

#[tokio::test]
async fn a_photograph_is_kept_upright_small_and_without_its_place() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let bytes = photograph(2400, 1200);
    assert!(bytes.windows(4).any(|part| part == b"Exif"), "a camera's");
    let done = sent(&club, &ada, &batch, "The krausen <today>", &bytes).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let sheet = ada.follow(done).await;
    assert!(
        sheet.text.contains("alt=\"The krausen &#60;today&#62;\""),
        "{}",
        sheet.text
    );
    let answer = ada.get(&picture_of(&sheet)).await;
    assert_eq!(answer.status, 200);
    assert_eq!(answer.header("content-type"), "image/jpeg");
    assert_eq!(answer.header("x-content-type-options"), "nosniff");
    assert!(answer.header("cache-control").starts_with("private"));
    let kept = kept(&club).await;
    assert!(kept.len() <= 400_000, "{}", kept.len());
    for mark in [&b"Exif"[..], b"GPS"] {
        assert!(!kept.windows(mark.len()).any(|part| part == mark));
    }
    let reader = ImageReader::with_format(Cursor::new(&kept), ImageFormat::Jpeg);
    let size = reader.into_decoder().unwrap().dimensions();
    assert_eq!(size, (800, 1600), "turned by a quarter, and made smaller");
}

#[tokio::test]
async fn a_note_without_a_picture_comes_back_after_the_session_ended() {
    let club = Club::open().await;
    let (person, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let form = ada.get(&format!("{batch}/log/note")).await;
    let once = form.hidden("once").expect("a key");
    ada.take_cookies("");
    let asked = again(&club, &ada, &batch, ("It smells of pears.", &once), b"").await;
    assert!(asked.has_button("Sign in"), "{}", asked.text);
    let labelled = [
        ("Name", person.name.as_str()),
        ("Password", person.password.as_str()),
    ];
    let back = ada.submit(&asked, "Sign in", &labelled).await;
    assert!(back.text.contains("It smells of pears."), "{}", back.text);
    let done = ada.submit(&back, "Send again", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let sheet = ada.get(&batch).await;
    assert_eq!(sheet.text.matches("It smells of pears.").count(), 1);
}

#[tokio::test]
async fn of_a_note_with_a_picture_the_text_comes_back() {
    let club = Club::open().await;
    let (person, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    // Small enough to be read before anything is known, and as a telephone makes it.
    for (note, bytes) in [
        ("It smells of pears.", photograph(30, 20)),
        ("It smells of figs.", vec![0xff; 6 * 1024 * 1024]),
    ] {
        let form = ada.get(&format!("{batch}/log/note")).await;
        let once = form.hidden("once").expect("a key");
        ada.take_cookies("");
        let asked = again(&club, &ada, &batch, (note, &once), &bytes).await;
        assert!(asked.has_button("Sign in"), "{}", asked.text);
        let labelled = [
            ("Name", person.name.as_str()),
            ("Password", person.password.as_str()),
        ];
        let back = ada.submit(&asked, "Sign in", &labelled).await;
        assert!(back.text.contains(note), "{}", back.text);
        assert!(
            back.text.contains("not kept, choose it again"),
            "{}",
            back.text
        );
        let done = ada.submit(&back, "Send again", &[]).await;
        assert_eq!(done.status, 303, "{}", done.text);
        let sheet = ada.get(&batch).await;
        assert_eq!(sheet.text.matches(note).count(), 1);
    }
    // With the database away, too.
    let form = ada.get(&format!("{batch}/log/note")).await;
    let once = form.hidden("once").expect("a key");
    club.pool().close().await;
    let note = "It smells of smoke.";
    let page = again(&club, &ada, &batch, (note, &once), &vec![0xff; 1024 * 1024]).await;
    assert_eq!(page.status, 503);
    assert!(page.text.contains(note), "{}", page.text);
}

#[tokio::test]
async fn what_is_no_picture_is_told_beside_the_field_and_the_note_stays() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let mut cut = Vec::new();
    DynamicImage::ImageRgb8(RgbImage::new(300, 200))
        .write_to(&mut Cursor::new(&mut cut), ImageFormat::Png)
        .expect("a picture");
    cut.truncate(cut.len() / 2);
    let head = photograph(300, 200)[..100].to_vec();
    let drawing = b"<svg onload=alert(1)>".to_vec();
    for bytes in [drawing, b"GIF89a".to_vec(), cut, head] {
        let page = sent(&club, &ada, &batch, "A note to keep", &bytes).await;
        assert_eq!(page.status, 422, "{}", page.text);
        assert!(page.fault("A picture of it").contains("no picture"));
        assert_eq!(page.value("Note").trim(), "A note to keep");
    }
    let large = vec![0xff; 8 * 1024 * 1024 + 1];
    let page = sent(&club, &ada, &batch, "A note to keep", &large).await;
    assert_eq!(page.status, 422);
    assert!(page.fault("A picture of it").contains("8 MB"));
    assert_eq!(page.value("Note").trim(), "A note to keep");
    // Larger than is ever received: what was typed is kept all the same, however long it is.
    let larger = vec![0xff; 17 * 1024 * 1024];
    let long = "honey ".repeat(60_000);
    for note in ["A note to keep", long.trim()] {
        let page = sent(&club, &ada, &batch, note, &larger).await;
        assert_eq!(page.status, 422);
        assert!(page.fault("A picture of it").contains("8 MB"));
        assert_eq!(page.value("Note").trim(), note);
    }
    // A long text beside a small picture.
    let page = sent(&club, &ada, &batch, long.trim(), &photograph(30, 20)).await;
    assert_eq!(page.status, 422, "{}", page.text.len());
    assert!(!page.fault("Note").is_empty());
    assert_eq!(page.value("Note").trim(), long.trim());
}

/// A small PNG that says of itself to be enormous, as the smallest bombs do.
fn bomb() -> Vec<u8> {
    let mut bytes = Vec::new();
    let one = DynamicImage::ImageRgb8(RgbImage::new(1, 1));
    one.write_to(&mut Cursor::new(&mut bytes), ImageFormat::Png)
        .expect("a picture");
    bytes[16..20].copy_from_slice(&50_000u32.to_be_bytes());
    bytes[20..24].copy_from_slice(&50_000u32.to_be_bytes());
    let sum = crc32(&bytes[12..29]);
    bytes[29..33].copy_from_slice(&sum.to_be_bytes());
    bytes
}

/// The checksum of a PNG's blocks (PNG specification, annex D).
fn crc32(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = if crc & 1 == 1 {
                0xedb8_8320 ^ (crc >> 1)
            } else {
                crc >> 1
            };
        }
    }
    !crc
}

#[tokio::test]
async fn a_picture_that_would_fill_the_memory_is_refused_before_it_is_unpacked() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let page = sent(&club, &ada, &batch, "Look", &bomb()).await;
    assert_eq!(page.status, 422, "{}", page.text);
    assert!(
        page.fault("A picture of it").contains("40 million"),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn a_transparent_picture_stands_on_white() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let mut bytes = Vec::new();
    image::codecs::png::PngEncoder::new(&mut bytes)
        .write_image(&[0; 4 * 64], 8, 8, image::ExtendedColorType::Rgba8)
        .unwrap();
    let done = sent(&club, &ada, &batch, "Nothing", &bytes).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let image = image::load_from_memory(&kept(&club).await)
        .unwrap()
        .to_rgb8();
    assert!(
        image
            .pixels()
            .all(|pixel| pixel.0.iter().all(|part| *part > 250))
    );
}

#[tokio::test]
async fn a_picture_is_seen_by_whoever_sees_the_batch_and_removed_by_its_maker() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let done = sent(&club, &ada, &batch, "Clear", &photograph(60, 30)).await;
    let sheet = ada.follow(done).await;
    let picture = picture_of(&sheet);
    let wren = a_member().named("Wren").of(&club).await;
    let wren = club.browser_of(&wren).await;
    assert_eq!(wren.get(&picture).await.status, 200);
    assert!(!wren.get(&batch).await.text.contains("Remove the picture"));
    assert_eq!(
        wren.post(&format!("{picture}/remove"), &[]).await.status,
        404
    );
    assert_ne!(club.browser().get(&picture).await.status, 200, "a stranger");
    let about = ada.get(&format!("{batch}/about")).await;
    ada.submit(&about, "Save", &[("only me", "private")]).await;
    assert_eq!(wren.get(&picture).await.status, 404, "it is private now");
    let gone = ada.post(&format!("{picture}/remove"), &[]).await;
    assert_eq!(gone.status, 303);
    assert_eq!(ada.get(&picture).await.status, 404);
}

#[tokio::test]
async fn the_same_note_with_its_picture_sent_twice_is_one() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let form = ada.get(&format!("{batch}/log/note")).await;
    let once = form.hidden("once").unwrap();
    let bytes = photograph(60, 30);
    let first = again(&club, &ada, &batch, ("Twice", &once), &bytes).await;
    let second = again(&club, &ada, &batch, ("Twice", &once), &bytes).await;
    assert_eq!(first.location(), second.location());
    kept(&club).await;
    let count: i64 = sqlx::query_scalar("select count(*) from batch_pictures")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(count, 1);
    let other = again(&club, &ada, &batch, ("Twice", &once), &photograph(40, 30)).await;
    assert_eq!(other.status, 409, "another picture is another form");
}

/// A note whose picture never arrives whole.
async fn stalled(club: &Club, browser: &Browser, batch: &str) -> TcpStream {
    let mut stream = TcpStream::connect(club.address)
        .await
        .expect("a connection");
    let head = format!(
        "POST {batch}/log/note HTTP/1.1\r\nHost: x\r\nOrigin: {}\r\nCookie: {}\r\nContent-Length: 5000000\r\n\
         Content-Type: multipart/form-data; boundary=edge\r\n\r\n\
         --edge\r\nContent-Disposition: form-data; name=\"picture\"; filename=\"x.jpg\"\r\n\r\n",
        club.app.site.origin(),
        browser.cookie_line()
    );
    let begun = [head.as_bytes(), &vec![b'x'; 400_000]].concat();
    stream.write_all(&begun).await.expect("taken in");
    stream
}

/// Sends a large file that is no picture until it is answered so.
async fn until(club: &Club, browser: &Browser, batch: &str, status: u16) -> Page {
    let mut tries = 0;
    loop {
        let page = sent(club, browser, batch, "pears", &[b'x'; 400_000]).await;
        tries += 1;
        if page.status == status || tries == 100 {
            assert_eq!(page.status, status, "{}", page.text);
            return page;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}

#[tokio::test]
async fn a_member_sends_two_large_files_at_a_time_and_keeps_nobody_from_sending() {
    let club = Club::open().await;
    let (_, browser, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&browser, &recipe, &[]).await;
    let bert = club
        .browser_of(&a_member().named("Bert").of(&club).await)
        .await;
    let berts = started(&bert, &recipe, &[]).await;
    let held = [
        stalled(&club, &browser, &batch).await,
        stalled(&club, &browser, &batch).await,
    ];
    let busy = until(&club, &browser, &batch, 503).await;
    assert!(busy.text.contains("pears"), "what was typed is kept");
    until(&club, &bert, &berts, 422).await;
    drop(held);
    until(&club, &browser, &batch, 422).await;
}

#[tokio::test]
async fn a_member_keeps_so_many_pictures_and_is_told() {
    let club = Club::open().await;
    let (_, browser, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&browser, &recipe, &[]).await;
    let kept = sent(&club, &browser, &batch, "pears", &photograph(40, 20)).await;
    assert_eq!(kept.status, 303, "{}", kept.text);
    sqlx::query(
        "insert into batch_pictures (public_id, batch_id, entry, by_id, image, width, height, says, at)
         select translate(lpad(n::text, 20, 'a'), '0189', 'bcde'), batch_id, entry, by_id, 'x', 1, 1, '', at
         from batch_pictures, generate_series(2, $1) n",
    )
    .bind(i32::try_from(MOST_OF_ONE).expect("a number"))
    .execute(&mut club.database.owner().await)
    .await
    .expect("many pictures");
    let full = sent(&club, &browser, &batch, "quinces", &photograph(40, 20)).await;
    assert_eq!(full.status, 422);
    assert!(full.text.contains("2,000 pictures"), "{}", full.text);
    assert!(full.text.contains("quinces"), "what was typed is kept");
    sqlx::query("delete from batch_pictures where image = 'x' and public_id like '%2'")
        .execute(&mut club.database.owner().await)
        .await
        .expect("some fewer");
    let room = sent(&club, &browser, &batch, "quinces", &photograph(40, 20)).await;
    assert_eq!(room.status, 303, "{}", room.text);
}

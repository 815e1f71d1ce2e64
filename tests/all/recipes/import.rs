//! Documents brought in: one opens in the workbench, several become drafts, and a fault anywhere takes nothing over.

use reqwest::Method;
use serde_json::{Value, json};

use super::{a_club, all_words, another, count, saved, sheet_of};
use crate::support::{Browser, Club, Page};
use mustwright::web::units::Units;

const IMPORT: &str = "/recipes/import";
const PASTE: &str = "The document";
const BRING: &str = "Bring it in";

fn document(title: &str) -> Value {
    json!({
        "version": 1, "title": title, "notes": "two lines\nof notes", "volume_l": 19,
        "aim": {"abv_percent": 12}, "finish": {"dry": true},
        "ingredients": [
            {"name": "heather honey", "kind": "honey", "amount": {"share": 1}, "when": "must",
             "composition": {"water": 0.18, "fermentable": 0.73, "unfermentable": 0.09, "insoluble": 0}}
        ],
        "yeasts": [{"name": "a sturdy yeast", "tolerance_abv_percent": 14, "nitrogen_need": "medium", "when": "pitch"}],
        "nutrients": [], "feeding": "usual", "process": []
    })
}

async fn pasted(browser: &Browser, text: &str) -> Page {
    let page = browser.get(IMPORT).await;
    browser.submit(&page, BRING, &[(PASTE, text)]).await
}

/// A file sent as a browser sends it.
async fn uploaded(club: &Club, browser: &Browser, bytes: &[u8]) -> Page {
    let page = browser.get(IMPORT).await;
    let once = page.hidden("once").expect("a once key");
    let mut body = format!(
        "--edge\r\nContent-Disposition: form-data; name=\"once\"\r\n\r\n{once}\r\n--edge\r\n\
         Content-Disposition: form-data; name=\"file\"; filename=\"../../a\\\"b.json\"\r\nContent-Type: application/json\r\n\r\n"
    )
    .into_bytes();
    body.extend_from_slice(bytes);
    body.extend_from_slice(b"\r\n--edge--\r\n");
    let request = browser
        .request(Method::POST, &format!("{IMPORT}/file"))
        .header("origin", club.app.site.origin())
        .header("content-type", "multipart/form-data; boundary=edge")
        .body(body);
    browser.send(request).await
}

async fn stored(club: &Club) -> Value {
    sqlx::query_scalar("select document from revisions order by id desc limit 1")
        .fetch_one(club.pool())
        .await
        .expect("a revision")
}

#[tokio::test]
async fn one_recipe_opens_in_the_workbench_and_is_saved_by_its_member() {
    let (club, _, browser) = a_club().await;
    let page = pasted(&browser, &document("Heather").to_string()).await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert!(page.text.contains("Nothing is saved until you save it."));
    assert!(!page.text.contains("no field for"), "{}", page.text);
    assert_eq!(page.value("Name"), "Heather");
    assert!(page.text.contains("12 %"));
    assert_eq!(count(&club, "select count(*) from recipes").await, 0);
    assert_eq!(count(&club, "select count(*) from recipe_drafts").await, 0);
    let done = browser.submit(&page, "Save as revision 1", &[]).await;
    let sheet = sheet_of(&done);
    assert_eq!(browser.get(&sheet).await.heading(), "Heather");
    let visibility: String = sqlx::query_scalar("select visibility from recipes")
        .fetch_one(club.pool())
        .await
        .expect("a recipe");
    assert_eq!(visibility, "private");
}

#[tokio::test]
async fn what_a_sheet_writes_comes_in_again_as_the_same() {
    let (club, _, browser) = a_club().await;
    let sheet = saved(&browser, &[("Name", "Whitsun")]).await;
    let before = stored(&club).await;
    let written = browser.get(&format!("{sheet}/document.json")).await;
    assert_eq!(written.status, 200);
    assert_eq!(
        written.header("content-type"),
        "application/json; charset=utf-8"
    );
    // Pasted, and as a file with a byte order mark; read by a member of other units too.
    let us = another(&club, "Bert", Units::Us).await;
    let marked = [b"\xef\xbb\xbf", written.text.as_bytes()].concat();
    for page in [
        pasted(&browser, &written.text).await,
        uploaded(&club, &browser, &marked).await,
        pasted(&us, &written.text).await,
    ] {
        assert_eq!(page.status, 200, "{}", page.text);
        let who = match page.text.contains("Bert") {
            true => &us,
            false => &browser,
        };
        let done = who.submit(&page, "Save as revision 1", &[]).await;
        let again = who.get(&format!("{}/document.json", sheet_of(&done))).await;
        let mut told = Vec::new();
        let (one, other) = (stored(&club).await, before.clone());
        super::round_trip::differences(&other, &one, "", &mut told);
        assert_eq!(told, [] as [String; 0]);
        if who.cookie_line() == browser.cookie_line() {
            assert_eq!(again.text, written.text, "to the byte");
        }
    }
    // Another's, and an old revision.
    assert_eq!(us.get(&format!("{sheet}/document.json")).await.status, 404);
    let old = browser
        .get(&format!("{sheet}/document.json?revision=1"))
        .await;
    assert_eq!(old.text, written.text);
    let none = browser
        .get(&format!("{sheet}/document.json?revision=2"))
        .await;
    assert_eq!(none.status, 404);
}

#[tokio::test]
async fn each_fault_is_told_with_its_place_and_the_text_is_kept() {
    let (club, _, browser) = a_club().await;
    let mut faulty = document("Heather");
    faulty["ingredients"][0]["amount"] = json!({"kg": "two"});
    faulty["ingredients"][0]["colour"] = json!("amber");
    faulty["yeasts"][0]["tolerance_abv_percent"] = json!(400);
    let text = faulty.to_string();
    for page in [
        pasted(&browser, &text).await,
        uploaded(&club, &browser, text.as_bytes()).await,
    ] {
        assert_eq!(page.status, 422);
        let lines = all_words(&page, "section li");
        assert!(
            lines.contains(
                &"Ingredient 1, amount, kilograms: Here a number is expected.".to_owned()
            ),
            "{lines:?}"
        );
        assert!(
            lines
                .iter()
                .any(|line| line.starts_with("Ingredient 1, colour: “colour” is no part"))
        );
        assert_eq!(page.value(PASTE).trim(), text);
    }
    let mut long = document(&"t".repeat(121));
    long["process"] = json!(vec![json!({"when": "", "text": "stir"}); 31]);
    let page = pasted(&browser, &long.to_string()).await;
    let lines = all_words(&page, "section li");
    assert_eq!(
        lines,
        [
            "Name: 121 characters are too many. Write at most 120.",
            "Process: 31 of a kind are too many. The form holds at most 30."
        ]
    );
    assert_eq!(count(&club, "select count(*) from recipe_drafts").await, 0);
}

#[tokio::test]
async fn what_is_no_document_is_told_so_and_kept() {
    let (club, _, browser) = a_club().await;
    for (text, told) in [
        ("", "Paste a recipe document here"),
        ("   \n", "Paste a recipe document here"),
        (
            "{\"version\": 1,\n \"title\": }",
            "cannot be read in line 2, at character 11",
        ),
        ("<html>", "cannot be read in line 1, at character 1"),
        ("[]", "The list is empty"),
        (
            "{\"title\": \"a\\u0000b\"}",
            "At “name” stands a zero character",
        ),
        (&"[".repeat(5000), "cannot be read"),
        ("name,amount\r\nhoney,\"3", "cannot be read"),
    ] {
        let page = pasted(&browser, text).await;
        assert_eq!(page.status, 422, "{text}");
        assert!(
            page.fault(PASTE).contains(told),
            "{text}: {}",
            page.fault(PASTE)
        );
        let shown = page.value(PASTE);
        assert_eq!(shown.trim(), text.replace("\r\n", "\n").trim());
    }
    let many = Value::from(vec![document("x"); 21]).to_string();
    let page = pasted(&browser, &many).await;
    assert!(page.fault(PASTE).contains("These are 21 recipes."));

    for (bytes, told) in [
        (&b""[..], "Choose a file that holds"),
        (b"\xff\xfe{\0}\0", "no text in UTF-8"),
        (b"PK\x03\x04", "cannot be read"),
    ] {
        let page = uploaded(&club, &browser, bytes).await;
        assert_eq!(page.status, 422, "{bytes:?}");
        let fault = page.words_of("#file-fault").unwrap_or_default();
        assert!(fault.contains(told), "{bytes:?}: {fault}");
    }
    let page = uploaded(&club, &browser, &vec![b' '; 1_200_000]).await;
    assert_eq!(page.status, 413);
    let request = browser
        .request(Method::POST, &format!("{IMPORT}/file"))
        .header("origin", club.app.site.origin())
        .header("content-type", "multipart/form-data; boundary=edge");
    let page = browser.send(request.body("--edge\r\nno head")).await;
    assert_eq!(page.status, 400);
}

#[tokio::test]
async fn several_become_a_draft_each_or_none() {
    let (club, _, browser) = a_club().await;
    let mut faulty = document("Lammas");
    faulty["aim"] = json!({"strength": 12});
    let list = json!([document("Heather"), faulty, document("Yule")]).to_string();
    let page = pasted(&browser, &list).await;
    assert_eq!(page.status, 422);
    assert_eq!(
        all_words(&page, "section h2"),
        [
            "Recipe 1, “Heather”",
            "Recipe 2, “Lammas”",
            "Recipe 3, “Yule”"
        ]
    );
    let lines = all_words(&page, "section li");
    assert_eq!(
        lines.first().map(String::as_str),
        Some("Nothing is wrong with it.")
    );
    assert!(lines[1].starts_with("What it aims for"), "{lines:?}");
    assert_eq!(count(&club, "select count(*) from recipe_drafts").await, 0);

    let list = json!([document("Heather"), document("Yule")]).to_string();
    let page = browser.get(IMPORT).await;
    let first = browser.submit(&page, BRING, &[(PASTE, &list)]).await;
    let again = browser.submit(&page, BRING, &[(PASTE, &list)]).await;
    assert_eq!(first.heading(), "Brought in as drafts", "{}", first.text);
    assert_eq!(again.location(), Some("/recipes"));
    assert_eq!(count(&club, "select count(*) from recipe_drafts").await, 2);
    assert_eq!(count(&club, "select count(*) from recipes").await, 0);
    let draft = browser.get(&first.link("Yule").expect("a link")).await;
    assert_eq!(draft.value("Name"), "Yule");
    let done = browser.submit(&draft, "Save as revision 1", &[]).await;
    assert_eq!(browser.get(&sheet_of(&done)).await.heading(), "Yule");
    assert_eq!(
        count(
            &club,
            "select count(*) from recipe_drafts where closed_at is null"
        )
        .await,
        1
    );
}

#[tokio::test]
async fn markup_in_a_document_stays_text() {
    let (_club, _, browser) = a_club().await;
    let nasty = "<script>alert(1)</script>\"'&";
    let mut of = document(nasty);
    of["ingredients"][0]["name"] = json!(nasty);
    let opened = pasted(&browser, &of.to_string()).await;
    assert_eq!(opened.value("Name"), nasty);
    let mut faulty = document(nasty);
    faulty[nasty] = json!(1);
    let refused = pasted(&browser, &faulty.to_string()).await;
    assert_eq!(refused.status, 422);
    for page in [opened, refused] {
        assert!(!page.text.contains("<script>alert"), "{}", page.text);
    }
}

//! Readings out of a table: shown first, written once, each fault beside its row.

use super::{a_maker, started};
use crate::support::Club;

const TABLE: &str = "Date,Time,SG,Temp,pH,Notes\n2026-11-02,18:00,1.088,20,3.8,\n2026-11-04,18:00,1.070,21,,fizzes\nsoon,,1.06,,,\n";

async fn entries(club: &Club) -> i64 {
    sqlx::query_scalar("select count(*) from batch_entries where came_from = 'file'")
        .fetch_one(club.pool())
        .await
        .unwrap()
}

#[tokio::test]
async fn a_table_is_shown_row_by_row_and_then_written_once() {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("Mixing day", "2026-11-01")]).await;
    let form = ada.get(&format!("{batch}/import")).await;
    let shown = ada
        .submit(&form, "Show what would be read", &[("The table", TABLE)])
        .await;
    assert_eq!(shown.status, 200, "{}", shown.text);
    let rows = shown.words_of("table").unwrap();
    assert!(
        rows.contains("1.088") && rows.contains("“fizzes”"),
        "{rows}"
    );
    assert!(rows.contains("The day cannot be read."), "{rows}");
    assert_eq!(entries(&club).await, 0, "looking writes nothing");
    let done = ada.submit(&shown, "Take 2 rows in", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(entries(&club).await, 3, "two readings and a note");
    // Another form with the same rows and one more adds that one.
    let more = format!("{TABLE}2026-11-06,18:00,1.050,21,,\n");
    let shown = ada
        .submit(&form, "Show what would be read", &[("The table", &more)])
        .await;
    let fresh = ada
        .get(&format!("{batch}/import"))
        .await
        .hidden("once")
        .unwrap();
    let told = shown.words_of("main").unwrap();
    assert!(told.contains("2 rows say what is there already"), "{told}");
    let (path, mut fields) = shown.filled("Take 1 row in", &[]);
    for (name, value) in &mut fields {
        if name == "once" {
            value.clone_from(&fresh);
        }
    }
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    assert_eq!(ada.post(&path, &fields).await.status, 303);
    assert_eq!(entries(&club).await, 4);
    let page = ada.get(&batch).await;
    assert!(page.words_of(".log").unwrap().contains("1.050"));
}

#[tokio::test]
async fn two_equal_rows_are_told_and_counted_as_the_one_that_is_written() {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("Mixing day", "2026-11-01")]).await;
    let form = ada.get(&format!("{batch}/import")).await;
    let row = "2026-11-02,18:00,1.088\n";
    let twice = format!("Date,Time,SG\n{row}{row}");
    let shown = ada
        .submit(&form, "Show what would be read", &[("The table", &twice)])
        .await;
    let rows = shown.words_of("table").unwrap();
    assert!(rows.contains("The same as row 1."), "{rows}");
    let done = ada.submit(&shown, "Take 1 row in", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(entries(&club).await, 1);
}

#[tokio::test]
async fn columns_can_be_changed_and_what_is_no_table_is_told_beside_the_field() {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("Mixing day", "2026-11-01")]).await;
    let form = ada.get(&format!("{batch}/import")).await;
    let none = ada
        .submit(&form, "Show what would be read", &[("The table", "")])
        .await;
    assert_eq!(none.status, 422);
    assert!(!none.fault("The table").is_empty());
    let bare = "2026-11-02;10\n2026-11-04;8\n";
    let shown = ada
        .submit(&form, "Show what would be read", &[("The table", bare)])
        .await;
    assert_eq!(shown.status, 422, "nothing says which column is what");
    assert!(!shown.fault("Day").is_empty());
    let chosen = [
        ("Day", "0"),
        ("Gravity", "1"),
        ("Gravities are told as", "percent"),
    ];
    let shown = ada.submit(&shown, "Show what would be read", &chosen).await;
    assert_eq!(shown.status, 200, "{}", shown.text);
    assert!(shown.words_of("table").unwrap().contains("1.040"));
    assert_eq!(ada.submit(&shown, "Take 2 rows in", &[]).await.status, 303);
    assert_eq!(entries(&club).await, 2);
}

#[tokio::test]
async fn a_file_is_shown_as_what_was_pasted_is() {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("Mixing day", "2026-11-01")]).await;
    let much = vec![b'1'; 200_000];
    for (bytes, status) in [
        (TABLE.as_bytes(), 200),
        (&b"\xff\xfe"[..], 422),
        (much.as_slice(), 422),
    ] {
        let mut body =
            b"--edge\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a.csv\"\r\n\r\n"
                .to_vec();
        body.extend_from_slice(bytes);
        body.extend_from_slice(b"\r\n--edge--\r\n");
        let request = ada
            .request(reqwest::Method::POST, &format!("{batch}/import/file"))
            .header("origin", club.app.site.origin())
            .header("content-type", "multipart/form-data; boundary=edge")
            .body(body);
        let shown = ada.send(request).await;
        assert_eq!(shown.status, status, "{}", shown.text);
        match status {
            200 => assert!(shown.has_button("Take 2 rows in")),
            _ => assert!(!shown.fault("Or a file").is_empty()),
        }
    }
}

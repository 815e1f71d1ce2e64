//! Where no mail server is set, nothing of mail is to be seen.

use mustwright::jobs::listed;
use mustwright::mail::asking::Notice;
use mustwright::mail::paths::ROUTES;
use mustwright::web::paths::Method;

use super::has_address;
use crate::support::{Club, a_keeper};

#[tokio::test]
async fn without_a_mail_server_no_page_shows_a_trace() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    has_address(&club, &wren, "wren@mead.example").await;
    let browser = club.browser_of(&wren).await;
    for path in ["/settings", "/keeper/health", "/keeper/invites"] {
        let page = browser.get(path).await;
        let words = page.text.replace("no mail is needed", "").to_lowercase();
        assert!(
            page.status == 200 && !words.contains("mail"),
            "{path}: {words}"
        );
    }
    let sign_in = club.browser().get("/sign-in").await;
    assert!(sign_in.link("Forgotten your password?").is_none());
    for route in ROUTES {
        let path = route.with(&["aaaaaaaaaaaaaaaaaaaa"]);
        let page = match route.method {
            Method::Get => browser.get(&path).await,
            _ => {
                browser
                    .post(&path, &[("name", "Wren"), ("address", "a@mead.example")])
                    .await
            }
        };
        assert_eq!(page.status, 404, "{path}");
    }
    let kinds: Vec<&str> = listed::all(&club.app).iter().map(|job| job.kind).collect();
    assert!(kinds.iter().all(|kind| !kind.contains("mail")), "{kinds:?}");
    let mut conn = club.pool().acquire().await.unwrap();
    club.app
        .mail
        .notice(&mut conn, wren.id, Notice::Password)
        .await
        .unwrap();
    let asked: i64 = sqlx::query_scalar("select count(*) from jobs")
        .fetch_one(&mut *conn)
        .await
        .unwrap();
    assert_eq!(asked, 0);
}

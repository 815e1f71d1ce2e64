//! An address is given by its member, confirmed by a button, seen by nobody else, and goes with the member.

use mustwright::portability::leaving::daily::tidy;

use super::{FROM, Post, has_address, tables_with};
use crate::support::{a_keeper, a_member, count_jobs};

const ADA: &str = "ada@mead.example";

#[tokio::test]
async fn an_address_is_confirmed_by_the_button_behind_its_link_and_by_nothing_else() {
    let post = Post::open(&[]).await;
    let ada = post.club.browser_of(&a_member().of(&post.club).await).await;
    let settings = ada.get("/settings").await;
    let way = settings
        .link("Mail: an address for a lost password, and reminders")
        .expect("a way");
    let page = ada.get(&way).await;
    for wrong in ["ada", "ada@mead.example, bea@mead.example"] {
        let refused = ada
            .submit(&page, "Send the letter", &[("Your address", wrong)])
            .await;
        assert_eq!(refused.status, 422);
        assert!(refused.fault("Your address").contains("Enter one address"));
        assert_eq!(refused.value("Your address"), wrong);
    }
    let given = ada
        .submit(&page, "Send the letter", &[("Your address", ADA)])
        .await;
    assert_eq!(given.status, 303, "{}", given.text);

    let letter = post.server.nth(1).await;
    assert_eq!(
        (letter.from.as_str(), &letter.to[..]),
        (FROM, &[ADA.to_owned()][..])
    );
    assert_eq!(letter.header("To"), ADA);
    assert_eq!(
        letter.header("From").replace('"', ""),
        "Tarn Valley Mead Circle <club@mead.example>"
    );
    assert_eq!(
        letter.header("Subject"),
        "Tarn Valley Mead Circle: is this your address?"
    );
    assert_eq!(letter.header("Auto-Submitted"), "auto-generated");
    assert!(letter.header("Content-Type").starts_with("text/plain"));
    assert!(
        letter.header("Message-ID").ends_with("@127.0.0.1>"),
        "{letter:#?}"
    );
    assert!(!letter.header("Date").is_empty());

    // Looking uses nothing up: programs that look at letters look too.
    let link = letter.path(post.origin(), "/mail/confirm/");
    let stranger = post.club.browser();
    let asks = stranger.get(&link).await;
    assert_eq!(stranger.get(&link).await.status, 200);
    assert!(asks.words_of(".lead").expect("a lead").contains(ADA));
    let page = ada.get("/settings/mail").await;
    assert!(page.text.contains("not confirmed yet"), "{}", page.text);
    assert!(!page.has_button("Send me reminders"));
    let done = stranger.submit(&asks, "Yes, it is mine", &[]).await;
    assert_eq!(done.heading(), "Your address is confirmed");
    assert_eq!(stranger.get(&link).await.status, 403, "it is used up");
    let page = ada.get("/settings/mail").await;
    assert!(page.text.contains(": confirmed."), "{}", page.text);
    assert!(page.has_button("Send me reminders"));

    // Once more it needs no letter.
    let again = ada
        .submit(&page, "Send the letter", &[("Your address", ADA)])
        .await;
    assert_eq!(again.status, 422);
    assert!(again.fault("Your address").contains("confirmed already"));
    let asked = count_jobs(post.club.pool(), "kind = 'mail_confirm'").await;
    assert_eq!(asked, 1);

    // Another one is told to the old address, and is not confirmed by that.
    let other = ada
        .submit(
            &page,
            "Send the letter",
            &[("Your address", "ada@other.example")],
        )
        .await;
    assert_eq!(other.status, 303);
    post.server.nth(3).await;
    let mut told: Vec<(String, String)> = post.server.letters()[1..]
        .iter()
        .map(|letter| (letter.to[0].clone(), letter.header("Subject").to_owned()))
        .collect();
    told.sort();
    assert_eq!(told[0].0, ADA);
    assert!(told[0].1.ends_with("your address was changed"));
    assert_eq!(told[1].0, "ada@other.example");
    assert!(
        ada.get("/settings/mail")
            .await
            .text
            .contains("not confirmed yet")
    );
}

#[tokio::test]
async fn nobody_else_reads_it_and_it_goes_with_its_member() {
    let post = Post::open(&[]).await;
    let ada = a_member().of(&post.club).await;
    has_address(&post.club, &ada, ADA).await;
    let wren = a_keeper().of(&post.club).await;
    let wren = post.club.browser_of(&wren).await;
    for path in [
        "/keeper/members",
        "/keeper/health",
        "/club",
        "/settings/mail",
    ] {
        let page = wren.get(path).await;
        assert!(page.status == 200 && !page.text.contains(ADA), "{path}");
    }
    let browser = post.club.browser_of(&ada).await;
    let page = browser.get("/settings/mail").await;
    let gone = browser.submit(&page, "Forget my address", &[]).await;
    assert_eq!(gone.status, 303);
    post.server.nth(1).await;
    super::until(&post.club, "kind = 'mail_notice' and ended_at is not null").await;
    assert_eq!(tables_with(&post.club, ADA).await, [""; 0]);

    has_address(&post.club, &ada, ADA).await;
    let mut owner = post.club.database.owner().await;
    sqlx::query("update members set left_at = now() - interval '31 days', disabled_at = now() where id = $1")
        .bind(ada.id.0)
        .execute(&mut owner)
        .await
        .unwrap();
    tidy(post.club.pool(), chrono::Utc::now()).await.unwrap();
    assert_eq!(tables_with(&post.club, ADA).await, [""; 0]);
}

#[tokio::test]
async fn nobody_is_flooded_by_what_somebody_types_as_their_address() {
    let post = Post::open(&[]).await;
    let ada = post.club.browser_of(&a_member().of(&post.club).await).await;
    for nth in 0..5 {
        let page = ada.get("/settings/mail").await;
        let address = format!("victim{nth}@other.example");
        let given = ada
            .submit(&page, "Send the letter", &[("Your address", &address)])
            .await;
        assert_eq!(given.status, 303);
    }
    let page = ada.get("/settings/mail").await;
    let refused = ada
        .submit(
            &page,
            "Send the letter",
            &[("Your address", "one.more@other.example")],
        )
        .await;
    assert_eq!(refused.status, 422);
    assert!(refused.fault("Your address").contains("tomorrow"));
}

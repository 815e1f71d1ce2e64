//! After the release anybody opens the seals of what has a prize, and reckons them as the page tells it.

use mustwright::competitions::entering::sealed::{seal_all, shown, whole};
use sha2::{Digest, Sha256};

use super::results::judged;
use crate::support::Club;

#[tokio::test]
async fn whoever_reads_the_results_opens_the_seals_of_prizes_and_no_others() {
    let club = Club::open().await;
    let all = judged(&club, |_| {}).await;
    let mut tx = club.pool().begin().await.expect("a transaction");
    let sealed = seal_all(&mut tx, all.held.id, club.app.clock.now()).await;
    assert!(sealed.is_ok());
    tx.commit().await.expect("a commit");
    let orla = club.browser_of(&all.orla).await;
    all.reckoned(&orla).await;
    let june = club.browser_of(&all.june).await;
    assert_eq!(june.get(&all.at("sealed")).await.status, 404);
    assert_eq!(all.released(&orla).await.status, 303);
    // June made nothing: she opens what has a prize, and nothing else.
    let page = june.get(&all.at("sealed")).await;
    for (code, prized) in [
        ("HJ456", true),
        ("AC234", true),
        ("MN678", true),
        ("EF345", false),
        ("KL567", false),
    ] {
        let heading = format!("With a prize: {code}");
        assert_eq!(
            page.text.contains(&heading),
            prized,
            "{code}: {}",
            page.text
        );
        assert!(page.text.contains(code), "every seal stands there");
    }
    assert_eq!(page.text.matches("Its seal holds").count(), 3);
    // Reckoned by hand, as the page tells it.
    let part = page
        .text
        .split("With a prize: HJ456")
        .nth(1)
        .expect("its part");
    let value = |label: &str| {
        let behind = part.split(&format!("<dt>{label}</dt><dd>")).nth(1);
        let text = behind.and_then(|text| text.split("</dd>").next());
        let text = text.expect(label).replace("<code>", "");
        text.replace("</code>", "").replace('\u{a0}', " ")
    };
    let hex = value("Its salt").replace(' ', "");
    let salt: Vec<u8> = (0..32)
        .map(|at| u8::from_str_radix(&hex[2 * at..2 * at + 2], 16).expect("hexadecimal"))
        .collect();
    let id = value("Entered by the id");
    let mut hash = Sha256::new();
    for part in [salt.as_slice(), b"HJ456", id.as_bytes()] {
        hash.update((part.len() as u64).to_le_bytes());
        hash.update(part);
    }
    let own: [u8; 32] = hash.finalize().into();
    assert!(
        page.text.contains(&shown(&own)),
        "its seal stands in the list"
    );
    assert!(value("Made by").contains("Ada"));
    // All of them, over their codes in order.
    let seals: Vec<(String, Vec<u8>)> = sqlx::query_as(
        "select e.code, s.seal from competition_seals s join competition_entries e on e.id = s.entry_id",
    )
    .fetch_all(club.pool())
    .await
    .expect("seals");
    let seals: Vec<(String, [u8; 32])> = seals
        .into_iter()
        .map(|(code, seal)| (code, seal.try_into().expect("a hash")))
        .collect();
    assert!(page.text.contains(&shown(&whole(&seals))));
}

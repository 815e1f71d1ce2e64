//! Who may see a tasting: the store and the policy say the same, and what is not for somebody looks like what is not there.

use mustwright::tastings::store;
use mustwright::web::policy::{Action, Facts, Visibility, may};
use mustwright::web::viewer::{Member, Role, Settings, Viewer};

use super::{hosted, member, says, seated};
use crate::support::{Club, Person, a_keeper, a_member};

fn viewer(person: &Person, role: Role) -> Viewer {
    Viewer::known(Member {
        id: person.id,
        public_id: "a".repeat(20),
        name: person.name.clone(),
        role,
        settings: Settings::default(),
        session: 1,
        book_closed: false,
        catalogue: None,
    })
}

#[tokio::test]
async fn the_store_shows_what_the_policy_allows() {
    let club = Club::open().await;
    let ada = hosted(&club, 1).await;
    let bo = a_member().named("Bo").of(&club).await;
    let cy = a_member().named("Cy").of(&club).await;
    let wren = a_keeper().of(&club).await;
    let at_the_table = club.browser_of(&bo).await;
    for (words, visibility) in [
        ("every member of the club", Visibility::Club),
        ("only me", Visibility::Private),
    ] {
        let tasting = ada
            .opens("shared", &[("every member of the club", "")])
            .await;
        seated(&at_the_table, &tasting).await;
        let id = tasting.rsplit('/').next().unwrap();
        let mut conn = club.pool().acquire().await.unwrap();
        sqlx::query("update tastings set visibility = $2 where public_id = $1")
            .bind(id)
            .bind(visibility.as_str())
            .execute(&mut *conn)
            .await
            .unwrap();
        for (person, role, holds_link) in [
            (&ada.host, Role::Member, false),
            (&bo, Role::Member, true),
            (&cy, Role::Member, false),
            (&wren, Role::Keeper, false),
        ] {
            let told = format!("{} of {words}", person.name);
            let found = store::find(&mut conn, person.id, id).await.unwrap();
            let facts = Facts {
                holds_link,
                ..Facts::of(ada.host.id, visibility)
            };
            let who = viewer(person, role);
            assert_eq!(found.is_some(), may(&who, Action::See, &facts), "{told}");
            if let Some(found) = found {
                assert_eq!(found.facts(), facts, "{told}");
                assert!(!found.readable, "{told}: before the end");
            }
            let listed = store::list(&mut conn, person.id).await.unwrap();
            let listed = listed.iter().any(|one| one.public_id.as_str() == id);
            assert_eq!(
                listed,
                may(&who, Action::See, &facts),
                "{told}, in the list"
            );
        }
    }
}

#[tokio::test]
async fn what_is_private_looks_like_what_is_not_there() {
    let club = Club::open().await;
    let ada = hosted(&club, 1).await;
    let tasting = ada.opens("shared", &[("only me", "")]).await;
    let bo = member(&club, "Bo").await;
    for end in [
        "", "/seat", "/seat/1", "/guests", "/key", "/sheets", "/found",
    ] {
        let there = bo.get(&format!("{tasting}{end}")).await;
        let nowhere = bo
            .get(&format!("/tastings/aaaaaaaaaaaaaaaaaaaa{end}"))
            .await;
        assert_eq!((there.status, nowhere.status), (404, 404), "{end}");
        assert_eq!(there.heading(), nowhere.heading(), "{end}");
    }
    for end in ["/seat", "/seat/pick", "/seat/1", "/close", "/off"] {
        let there = bo.post(&format!("{tasting}{end}"), &[]).await;
        let nowhere = bo
            .post(&format!("/tastings/aaaaaaaaaaaaaaaaaaaa{end}"), &[])
            .await;
        assert_eq!((there.status, nowhere.status), (404, 404), "{end}");
    }
    assert!(!bo.get("/tastings").await.text.contains("First look"));
    assert!(
        ada.browser
            .get(&tasting)
            .await
            .has_button("Close the tasting")
    );
}

/// The rows themselves say nothing before the end, whoever asks.
#[tokio::test]
async fn the_store_holds_answers_back() {
    use mustwright::tastings::seats::store::answers;
    let club = Club::open().await;
    let ada = hosted(&club, 1).await;
    let tasting = ada.opens("shared", &[]).await;
    let bo = member(&club, "Bo").await;
    seated(&bo, &tasting).await;
    let seat = format!("{tasting}/seat");
    says(&bo, &seat, 1, &[("How much do you like it?", "9")]).await;
    let id = tasting.rsplit('/').next().unwrap().to_owned();
    let mut conn = club.pool().acquire().await.unwrap();
    let found = store::find(&mut conn, ada.host.id, &id)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(answers(&mut conn, found.id).await.unwrap(), []);
    ada.closes(&tasting).await;
    let told = answers(&mut conn, found.id).await.unwrap();
    assert_eq!(told.len(), 1);
    assert_eq!(told[0].by, "Bo");
    assert_eq!(told[0].said[0].1.liking, Some(9));
}

//! The keeper's page of members: roles, links for a new password, who is shut out.

use mustwright::members::roll::{Changed, store};
use mustwright::web::viewer::Role;

use super::count;
use crate::support::{Browser, Club, PASSWORD, Page, a_keeper, a_member};

const PAGE: &str = "/keeper/members";

/// Presses a member's button on the page of members.
async fn press(keeper: &Browser, button: &str, labelled: &[(&str, &str)]) -> Page {
    let page = keeper.get(PAGE).await;
    assert_eq!(page.status, 200, "{}", page.text);
    let done = keeper.submit(&page, button, labelled).await;
    match done.status {
        303 => keeper.follow(done).await,
        _ => done,
    }
}

async fn role_of(club: &Club, name: &str) -> String {
    sqlx::query_scalar("select role from members where name = $1")
        .bind(name)
        .fetch_one(club.pool())
        .await
        .expect("a member")
}

async fn id_of(club: &Club, name: &str) -> String {
    sqlx::query_scalar("select public_id from members where name = $1")
        .bind(name)
        .fetch_one(club.pool())
        .await
        .expect("a member")
}

#[tokio::test]
async fn a_keeper_gives_roles_and_they_count_at_once() {
    let club = Club::open().await;
    let wren = a_keeper().named("Wren").of(&club).await;
    let bert = a_member().named("Bert").of(&club).await;
    let (keeper, other) = (club.browser_of(&wren).await, club.browser_of(&bert).await);
    assert_eq!(other.get(PAGE).await.status, 404);
    let page = keeper.get(PAGE).await;
    assert!(page.text.contains("Only one keeper."), "{}", page.text);
    assert!(page.text.contains("Wren (you)"));

    let page = press(&keeper, "Give this role: Bert", &[("Role, Bert", "keeper")]).await;
    assert!(page.text.contains("The role is changed."), "{}", page.text);
    assert!(!page.text.contains("Only one keeper."));
    assert_eq!(other.get(PAGE).await.status, 200);
    press(&keeper, "Give this role: Wren", &[("Role, Wren", "member")]).await;
    assert_eq!(keeper.get(PAGE).await.status, 404);
    assert_eq!(role_of(&club, "Wren").await, "member");
}

#[tokio::test]
async fn the_last_keeper_stays_one_and_stays_in() {
    let club = Club::open().await;
    let wren = a_keeper().named("Wren").of(&club).await;
    a_keeper().named("Gone").of(&club).await;
    let keeper = club.browser_of(&wren).await;
    press(&keeper, "Shut out: Gone", &[]).await;
    for (button, fields) in [
        ("Give this role: Wren", &[("Role, Wren", "organiser")][..]),
        ("Shut out: Wren", &[]),
    ] {
        let page = press(&keeper, button, fields).await;
        assert!(
            page.text.contains("the club needs a keeper"),
            "{button}: {}",
            page.text
        );
    }
    assert_eq!(role_of(&club, "Wren").await, "keeper");
    // One who was shut out keeps nothing, and may lose the role.
    let mut conn = club.pool().acquire().await.unwrap();
    let changed = store::set_role(&mut conn, &id_of(&club, "Gone").await, Role::Member).await;
    assert_eq!(changed.unwrap(), Changed::Done);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn two_keepers_who_step_down_at_once_leave_one() {
    let club = Club::open().await;
    for _ in 0..10 {
        sqlx::query("update members set role = 'member'")
            .execute(club.pool())
            .await
            .unwrap();
        let names = ["One", "Two"].map(str::to_owned);
        let mut keepers = Vec::new();
        for name in &names {
            let round = count(&club, "select count(*) from members").await;
            let name = format!("{name} {round}");
            a_keeper().named(&name).of(&club).await;
            keepers.push(id_of(&club, &name).await);
        }
        let mut steps = tokio::task::JoinSet::new();
        for (place, person) in keepers.into_iter().enumerate() {
            let pool = club.pool().clone();
            steps.spawn(async move {
                let mut tx = pool.begin().await.unwrap();
                let changed = match place {
                    0 => store::set_role(&mut tx, &person, Role::Member).await,
                    _ => store::shut_out(&mut tx, &person).await,
                };
                tx.commit().await.unwrap();
                changed.unwrap()
            });
        }
        let outcomes = steps.join_all().await;
        let refused = outcomes
            .iter()
            .filter(|changed| **changed == Changed::LastKeeper);
        assert_eq!(refused.count(), 1, "{outcomes:?}");
        let left = "select count(*) from members where role = 'keeper' and disabled_at is null";
        assert_eq!(count(&club, left).await, 1);
    }
}

#[tokio::test]
async fn who_is_shut_out_is_out_at_once_and_comes_back_with_everything() {
    let club = Club::open().await;
    let wren = a_keeper().named("Wren").of(&club).await;
    let bert = a_member().named("Bert").of(&club).await;
    let (keeper, other) = (club.browser_of(&wren).await, club.browser_of(&bert).await);
    let page = press(&keeper, "Shut out: Bert", &[]).await;
    assert!(page.text.contains("shut out since"), "{}", page.text);
    assert!(!page.has_button("Link for a new password: Bert"));
    let asked = other.get("/settings").await;
    let to = asked.location().unwrap_or_default();
    assert!(to.contains("/sign-in"), "{} {to}", asked.status);
    let refused = club.browser().sign_in("Bert", PASSWORD).await;
    let unknown = club.browser().sign_in("Nobody", PASSWORD).await;
    assert_eq!(
        refused.status, unknown.status,
        "like a name that is not there"
    );
    press(&keeper, "Let in again: Bert", &[]).await;
    let back = club.browser();
    assert_eq!(back.sign_in("Bert", PASSWORD).await.status, 303);
    assert_eq!(back.get("/settings").await.status, 200);
}

#[tokio::test]
async fn a_link_for_a_new_password_is_shown_once_and_used_once() {
    let club = Club::open().await;
    let wren = a_keeper().named("Wren").of(&club).await;
    a_member().named("Bert").of(&club).await;
    let keeper = club.browser_of(&wren).await;
    let page = press(&keeper, "Link for a new password: Bert", &[]).await;
    assert_eq!(page.heading(), "A new password for Bert");
    assert_eq!(page.header("cache-control"), "no-store");
    let link = page.words_of(".narrow .code").expect("a link");
    let path = &link[link.find("/new-password/").expect("a path")..];
    let new = "four plain words beside the old oak";
    let fields = [("new_password", new), ("new_password_again", new)];
    let bert = club.browser();
    assert_eq!(bert.post(path, &fields).await.status, 303);
    assert_eq!(club.browser().post(path, &fields).await.status, 403);
    assert_eq!(club.browser().sign_in("Bert", new).await.status, 303);
    assert_ne!(club.browser().sign_in("Bert", PASSWORD).await.status, 303);
}

#[tokio::test]
async fn what_is_not_there_is_not_found() {
    let club = Club::open().await;
    let wren = a_keeper().named("Wren").of(&club).await;
    let keeper = club.browser_of(&wren).await;
    let nobody = "a".repeat(20);
    for (end, fields) in [
        ("role", &[("role", "member")][..]),
        ("shut-out", &[]),
        ("let-in", &[]),
        ("new-password", &[]),
    ] {
        let path = format!("{PAGE}/{nobody}/{end}");
        assert_eq!(keeper.post(&path, fields).await.status, 404, "{end}");
    }
    let path = format!("{PAGE}/{}/role", id_of(&club, "Wren").await);
    assert_eq!(keeper.post(&path, &[("role", "emperor")]).await.status, 400);
}

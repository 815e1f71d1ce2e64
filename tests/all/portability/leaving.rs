//! Leaving: shut at once, let in again with everything, forgotten after thirty days.

use chrono::{TimeDelta, Utc};
use mustwright::portability::leaving::daily::{Gone, tidy};
use sqlx::Row;

use super::{a_person, a_recipe};
use crate::support::{Browser, Club, PASSWORD, Page, a_keeper};

const LEAVE: &str = "/settings/leave";

async fn leave(browser: &Browser, name: &str, password: &str) -> Page {
    let page = browser.get(LEAVE).await;
    let typed = [("Your name", name), ("Your password", password)];
    browser.submit(&page, "Leave the club", &typed).await
}

async fn count(club: &Club, sql: &'static str) -> i64 {
    sqlx::query(sql)
        .fetch_one(club.pool())
        .await
        .unwrap()
        .get(0)
}

/// What is due so many days from now.
async fn after(club: &Club, days: i64) -> Gone {
    let now = Utc::now() + TimeDelta::days(days);
    tidy(club.pool(), now).await.expect("tidied")
}

#[tokio::test]
async fn who_leaves_is_out_at_once_and_everywhere() {
    let club = Club::open().await;
    a_keeper().of(&club).await;
    let (ada, browser) = a_person(&club, "Ada").await;
    let other = club.browser_of(&ada).await;
    let page = browser.get(LEAVE).await;
    assert!(page.link("Export everything").is_some());
    for (name, password, label) in [
        ("Bert", PASSWORD, "Your name"),
        ("", PASSWORD, "Your name"),
        ("Ada", "", "Your password"),
        ("Ada", "another password entirely", "Your password"),
    ] {
        let refused = leave(&browser, name, password).await;
        assert_eq!(refused.status, 422);
        assert_ne!(refused.fault(label), "", "{name} {password}");
    }
    let left = leave(&browser, "ada", PASSWORD).await;
    assert_eq!(
        (left.status, left.heading()),
        (200, "You have left".to_owned())
    );
    for browser in [&browser, &other] {
        assert_ne!(browser.get("/settings").await.status, 200);
    }
    assert_ne!(club.browser().sign_in("Ada", PASSWORD).await.status, 303);
}

#[tokio::test]
async fn let_in_within_thirty_days_one_finds_everything_as_it_was() {
    let club = Club::open().await;
    let keeper = club.browser_of(&a_keeper().of(&club).await).await;
    let (_, ada) = a_person(&club, "Ada").await;
    let (_, bert) = a_person(&club, "Bert").await;
    let private = a_recipe(&ada, "Private", "private").await;
    let shared = a_recipe(&ada, "Shared", "club").await;
    let thrown = a_recipe(&ada, "Thrown away before", "private").await;
    let page = ada.get(&thrown).await;
    ada.submit(&page, "Put it in the bin", &[]).await;
    leave(&ada, "Ada", PASSWORD).await;
    assert_eq!(bert.get(&shared).await.status, 200, "what was shared stays");
    let gone = after(&club, 29).await;
    assert_eq!((gone.members, gone.recipes), (0, 0));
    let roll = keeper.get("/keeper/members").await;
    assert!(
        roll.text.contains("can be let in again until"),
        "{}",
        roll.text
    );
    let back = keeper.submit(&roll, "Let in again: Ada", &[]).await;
    assert_eq!(back.status, 303);
    let ada = club.browser();
    assert_eq!(ada.sign_in("Ada", PASSWORD).await.status, 303);
    for path in [&private, &shared] {
        let page = ada.get(path).await;
        assert_eq!(page.status, 200);
        assert!(page.has_button("Put it in the bin"), "it is in no bin");
    }
    assert!(!ada.get(&thrown).await.has_button("Put it in the bin"));
    let gone = after(&club, 31).await;
    assert_eq!(
        (gone.members, gone.recipes),
        (0, 1),
        "the bin of who is here"
    );
}

#[tokio::test]
async fn after_thirty_days_what_was_private_is_gone_and_what_others_built_on_is_nameless() {
    let club = Club::open().await;
    let keeper = club.browser_of(&a_keeper().of(&club).await).await;
    let (ada_person, ada) = a_person(&club, "Ada").await;
    let (_, bert) = a_person(&club, "Bert").await;
    a_recipe(&ada, "Private", "private").await;
    let shared = a_recipe(&ada, "Shared", "club").await;
    let cloned = a_recipe(&ada, "Cloned", "club").await;
    let id = cloned.rsplit('/').next().unwrap();
    let form = bert.get(&format!("/recipes/new?from={id}")).await;
    let copy = bert.submit(&form, "Save as revision 1", &[]).await;
    assert_eq!(copy.status, 303, "{}", copy.text);
    // Then it was made private again: Bert's own was started from it all the same.
    sqlx::query("update recipes set visibility = 'private' where public_id = $1")
        .bind(id)
        .execute(club.pool())
        .await
        .unwrap();
    let draft = ada.get("/recipes/new").await;
    let (_, fields) = draft.filled("Recalculate", &[]);
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    ada.post("/recipes/workbench", &fields).await;
    leave(&ada, "Ada", PASSWORD).await;
    let gone = after(&club, 31).await;
    assert_eq!(gone.members, 1);
    assert_eq!(after(&club, 31).await, Gone::default(), "once is enough");

    let left = "select count(*) from recipes where owner_id = (select id from members where name = 'former member')";
    assert_eq!(
        count(&club, left).await,
        2,
        "the shared one and the cloned one"
    );
    assert_eq!(
        count(
            &club,
            "select count(*) from recipes where title = 'Private'"
        )
        .await,
        0
    );
    for (what, sql) in [
        (
            "drafts",
            "select count(*) from recipe_drafts d join members m on m.id = d.member_id where m.gone_at is not null",
        ),
        (
            "sessions",
            "select count(*) from sessions s join members m on m.id = s.member_id where m.gone_at is not null",
        ),
        (
            "passwords",
            "select count(*) from members where gone_at is not null and password_hash is not null",
        ),
        (
            "names",
            "select count(*) from members where name = 'Ada' or name_key = 'ada'",
        ),
        (
            "words of search",
            "select count(*) from recipe_facets where words @@ '''d=ada'''::tsquery",
        ),
    ] {
        assert_eq!(count(&club, sql).await, 0, "{what}");
    }
    let page = bert.get(&shared).await;
    assert!(page.text.contains("former member"), "{}", page.text);
    assert!(!page.text.contains("by Ada"));
    let copy = bert.get(copy.location().unwrap()).await;
    assert!(
        copy.text.contains("former member"),
        "where it was started from is told"
    );
    assert_eq!(bert.get(&cloned).await.status, 404, "private stays private");

    // Nobody is let in any more, and the name is free.
    let roll = keeper.get("/keeper/members").await;
    assert!(!roll.text.contains("former member"));
    let public_id: String = sqlx::query_scalar("select public_id from members where id = $1")
        .bind(ada_person.id.0)
        .fetch_one(club.pool())
        .await
        .unwrap();
    let path = format!("/keeper/members/{public_id}/let-in");
    assert_eq!(keeper.post(&path, &[]).await.status, 404);
    a_person(&club, "Ada").await;
}

#[tokio::test]
async fn the_last_keeper_stays() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let keeper = club.browser_of(&wren).await;
    let refused = leave(&keeper, "Wren", PASSWORD).await;
    assert_eq!(refused.status, 422);
    assert!(refused.text.contains("the only keeper"), "{}", refused.text);
    assert_eq!(keeper.get("/keeper").await.status, 200);
    a_keeper().named("Odo").of(&club).await;
    assert_eq!(
        leave(&keeper, "Wren", PASSWORD).await.heading(),
        "You have left"
    );
}

#[tokio::test]
async fn the_bin_keeps_for_thirty_days_what_nobody_built_on_and_the_rest_for_ever() {
    let club = Club::open().await;
    let (_, ada) = a_person(&club, "Ada").await;
    let (_, bert) = a_person(&club, "Bert").await;
    let mut paths = Vec::new();
    for title in ["Plain", "Source", "Rated", "Root"] {
        paths.push(a_recipe(&ada, title, "club").await);
    }
    let id = |at: usize| paths[at].rsplit('/').next().unwrap().to_owned();
    let form = bert.get(&format!("/recipes/new?from={}", id(1))).await;
    bert.submit(&form, "Save as revision 1", &[]).await;
    sqlx::query(
        "insert into recipe_ratings (recipe_id, member_id, revision_number, stars, basis, rated_at)
         select r.id, m.id, 1, 5, 'tasted', now() from recipes r, members m
         where r.public_id = $1 and m.name = 'Bert'",
    )
    .bind(id(2))
    .execute(club.pool())
    .await
    .unwrap();
    // One's own that stays was started from this one, so that it stays as well.
    let form = ada.get(&format!("/recipes/new?from={}", id(3))).await;
    ada.submit(&form, "Save as revision 1", &[]).await;
    for path in &paths {
        let page = ada.get(path).await;
        let done = ada.submit(&page, "Put it in the bin", &[]).await;
        assert_eq!(done.status, 303);
    }
    assert_eq!(after(&club, 29).await.recipes, 0);
    assert_eq!(after(&club, 31).await.recipes, 1);
    assert_eq!(ada.get(&paths[0]).await.status, 404);
    for path in &paths[1..] {
        assert_eq!(ada.get(path).await.status, 200, "{path}");
    }
}

#[tokio::test]
async fn the_past_is_removed_by_that_way_alone() {
    let club = Club::open().await;
    let (_, ada) = a_person(&club, "Ada").await;
    a_recipe(&ada, "Heather", "private").await;
    let mut owner = club.database.owner().await;
    for sql in [
        "delete from revisions",
        "update revisions set title = 'x'",
        "truncate revisions cascade",
    ] {
        let told = sqlx::query(sqlx::AssertSqlSafe(sql))
            .execute(&mut owner)
            .await;
        assert!(told.is_err(), "{sql}");
    }
    for sql in [
        "select set_config('mustwright.removing', 'for good', false)",
        "delete from revisions",
    ] {
        let told = sqlx::query(sqlx::AssertSqlSafe(sql))
            .execute(club.pool())
            .await;
        assert_eq!(
            told.is_err(),
            sql.starts_with("delete"),
            "the serving role may not: {sql}"
        );
    }
    let direct = sqlx::query("select remove_recipes(array(select id from recipes))")
        .execute(club.pool())
        .await;
    assert!(direct.is_err(), "nor call what does the work");
    assert_eq!(count(&club, "select count(*) from recipes").await, 1);
    let early = sqlx::query_scalar::<_, bool>(
        "select forget_member(id, now(), now()) from members where name = 'Ada'",
    )
    .fetch_one(club.pool())
    .await;
    assert!(!early.unwrap(), "who has not left is not forgotten");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn of_several_servers_one_does_it_and_none_stumbles() {
    let club = Club::open().await;
    a_keeper().of(&club).await;
    for name in ["Ada", "Bert", "Cora"] {
        let (_, browser) = a_person(&club, name).await;
        a_recipe(&browser, name, "private").await;
        leave(&browser, name, PASSWORD).await;
    }
    let now = Utc::now() + TimeDelta::days(31);
    let mut servers = tokio::task::JoinSet::new();
    for _ in 0..4 {
        let pool = club.database.pool(2);
        servers.spawn(async move { tidy(&pool, now).await.expect("tidied") });
    }
    let gone: Vec<Gone> = servers.join_all().await;
    let members: u64 = gone.iter().map(|gone| gone.members).sum();
    let rest = tidy(club.pool(), now).await.unwrap().members;
    assert_eq!(members + rest, 3, "{gone:?}");
}

#[tokio::test]
async fn batches_go_as_recipes_do_and_what_the_club_saw_stays_nameless() {
    let club = Club::open().await;
    a_keeper().of(&club).await;
    let (_, ada) = a_person(&club, "Ada").await;
    let (_, bert) = a_person(&club, "Bert").await;
    let recipe = a_recipe(&ada, "Heather", "club").await;
    let mut kept = Vec::new();
    let (me, all) = ("only me", "every member of the club");
    for (name, readers) in [("Mine", me), ("Ours", all), ("Binned", all)] {
        let typed = [("What it is called", name), (readers, "")];
        kept.push(crate::batches::started(&ada, &recipe, &typed).await);
    }
    let page = ada.get(&kept[2]).await;
    ada.submit(&page, "Put it in the bin", &[]).await;
    assert_eq!(after(&club, 29).await.batches, 0);
    let gone = after(&club, 31).await;
    assert_eq!(gone.batches, 1, "what lay in the bin");
    assert_eq!(ada.get(&kept[0]).await.status, 200);
    leave(&ada, "Ada", PASSWORD).await;
    assert_eq!(after(&club, 29).await.batches, 0);
    let gone = after(&club, 31).await;
    assert_eq!((gone.members, gone.batches), (1, 1), "what was private");
    let left = "select count(*) from batches";
    assert_eq!(count(&club, left).await, 1);
    let page = bert.get(&kept[1]).await;
    assert_eq!(page.status, 200);
    assert!(page.text.contains("former member"), "{}", page.text);
}

//! Each id of one member's things, used by others, in every way that there is (B01, B02, B06, B07).

use mustwright::members::roll;
use mustwright::web::grant::Grant;
use sqlx::AssertSqlSafe;

use super::{Visitor, method_of, with_values};
use crate::routes::fingerprint;
use crate::support::{Club, Person, a_member};

const CANARY: &str = "Quince canary";
/// What somebody's coming and going may change.
const OF_COMING: [&str; 4] = [
    "sessions ",
    "sign_in_tries ",
    "member_tokens ",
    "once_keys ",
];

/// Every public id that the database holds, but those of members: they stand on pages for all.
async fn ids(club: &Club) -> Vec<String> {
    let mut owner = club.database.owner().await;
    let tables: Vec<String> = sqlx::query_scalar(
        "select table_name::text from information_schema.columns
         where table_schema = 'public' and column_name = 'public_id' and table_name <> 'members'",
    )
    .fetch_all(&mut owner)
    .await
    .expect("tables");
    let mut all = Vec::new();
    for table in tables {
        let sql = AssertSqlSafe(format!("select public_id::text from {table}"));
        let found: Vec<String> = sqlx::query_scalar(sql)
            .fetch_all(&mut owner)
            .await
            .expect("ids");
        all.extend(found);
    }
    all
}

/// A club in which Ada has a recipe of two revisions, a draft, a token and a session.
async fn adas() -> (Club, Person, Vec<String>, String) {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let form = browser.get("/recipes/new").await;
    let done = browser
        .submit(&form, "Save as revision 1", &[("Name", CANARY)])
        .await;
    let sheet = done
        .location()
        .expect("a sheet")
        .split('?')
        .next()
        .expect("a path")
        .to_owned();
    let edit = browser.get(&format!("{sheet}/edit")).await;
    browser.submit(&edit, "Save as revision 2", &[]).await;
    let form = browser.get("/recipes/new").await;
    browser
        .submit(
            &form,
            "Recalculate",
            &[("Name", &format!("{CANARY} draft"))],
        )
        .await;
    club.token_of(&ada, Grant::Write).await;
    let ids = ids(&club).await;
    assert!(ids.len() >= 4, "recipe, draft, token and session: {ids:?}");
    (club, ada, ids, sheet)
}

/// Bert with cookies and a token, somebody shut out with what they had, and a stranger.
async fn others(club: &Club) -> Vec<Visitor<'_>> {
    let mut visitors = vec![Visitor::stranger(club)];
    for name in ["Bert", "Cara"] {
        let person = a_member().named(name).of(club).await;
        visitors.push(Visitor::of(club, &person).await);
    }
    let cara: String = sqlx::query_scalar("select public_id from members where name = 'Cara'")
        .fetch_one(club.pool())
        .await
        .expect("Cara");
    let mut tx = club.pool().begin().await.expect("a transaction");
    let out = roll::store::shut_out(&mut tx, &cara).await;
    assert!(matches!(out, Ok(roll::Changed::Done)));
    tx.commit().await.expect("a commit");
    visitors
}

async fn kept(club: &Club) -> Vec<String> {
    let prints = fingerprint(club).await.into_iter();
    prints
        .filter(|print| !OF_COMING.iter().any(|table| print.starts_with(table)))
        .collect()
}

/// Uses each id on each route: it must look exactly as an id that belongs to nothing.
async fn look_the_same(visitor: &Visitor<'_>, ids: &[String], only_reading: bool) {
    let form = b"visibility=club&base_version=1&title=x&stars=1&comment=x&note=x&name=x".to_vec();
    let document = b"{\"visibility\": \"club\"}".to_vec();
    for route in with_values() {
        if only_reading && method_of(route) != "GET" {
            continue;
        }
        let (kind, body) = match route.path.starts_with("/api/") {
            true => ("application/json", &document),
            false => ("application/x-www-form-urlencoded", &form),
        };
        for id in ids {
            // Of the same shape, so that whatever tells shapes apart is not what is seen.
            let other: String = id.chars().rev().collect();
            let nothing = route.with(&[&other, "1", "1"]);
            let wanted = visitor.send(route, &nothing, kind, body.clone()).await;
            let path = route.with(&[id, "1", "1"]);
            let page = visitor.send(route, &path, kind, body.clone()).await;
            let told = format!("{route:?} {path}: {} {}", page.status, page.text);
            assert!(!page.text.contains(CANARY), "{told}");
            assert_eq!(page.status, wanted.status, "{told}");
            let to = page.location().map(|to| to.replace(id.as_str(), &other));
            assert_eq!(to.as_deref(), wanted.location(), "{told}");
        }
    }
}

#[tokio::test]
async fn anothers_ids_look_as_if_there_were_nothing() {
    let (club, _, ids, _) = adas().await;
    let visitors = others(&club).await;
    let before = kept(&club).await;
    for visitor in &visitors {
        look_the_same(visitor, &ids, false).await;
    }
    assert_eq!(kept(&club).await, before);
}

#[tokio::test]
async fn what_was_shared_and_is_no_more_is_gone_everywhere() {
    let (club, ada, _, sheet) = adas().await;
    let own = club.browser_of(&ada).await;
    own.post(&format!("{sheet}/share"), &[("visibility", "club")])
        .await;
    let visitors = others(&club).await;
    let bert = &visitors[1];
    let id = sheet.rsplit('/').next().expect("an id").to_owned();
    let mut seen = 0;
    let lists = [
        "/recipes",
        "/recipes?q=quince",
        "/",
        "/api/v1/recipes",
        "/api/v1/recipes?q=quince",
    ];
    let get = |path: &str| mustwright::web::paths::Route {
        method: mustwright::web::paths::Method::Get,
        path: match path.starts_with("/api/") {
            true => "/api/",
            false => "/",
        },
        action: mustwright::web::policy::Action::Visit,
    };
    for route in with_values()
        .into_iter()
        .filter(|route| method_of(*route) == "GET")
    {
        let path = route.with(&[&id, "1", "1"]);
        let page = bert.send(route, &path, "", Vec::new()).await;
        seen += i32::from(page.status == 200);
    }
    assert!(seen >= 6, "sheet, revisions, document and API: {seen}");
    for path in ["/recipes?q=quince", "/api/v1/recipes"] {
        assert!(
            bert.send(get(path), path, "", Vec::new())
                .await
                .text
                .contains(CANARY),
            "{path}"
        );
    }
    own.post(&format!("{sheet}/share"), &[("visibility", "private")])
        .await;
    look_the_same(bert, &[id], true).await;
    for path in lists {
        let page = bert.send(get(path), path, "", Vec::new()).await;
        assert!(!page.text.contains(CANARY), "{path}");
    }
}

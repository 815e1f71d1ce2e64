//! The closed book: from the close of a competition to its release, whoever judges or pours there finds nothing of others
//! in the whole club.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use mustwright::app;
use mustwright::competitions::model::{Duty, Phase};
use mustwright::demo;
use mustwright::engine::contest::rules::Rules;
use mustwright::web::grant::Grant;
use mustwright::web::paths::{Method, Route};
use mustwright::web::viewer::MemberId;
use serde_json::json;
use sqlx::{AssertSqlSafe, Connection, PgConnection};

use crate::support::{Browser, Club, Page, Person};

/// A word that stands in everything of others, and in nothing else.
const CANARY: &str = "zqxw";
const JUDGE: &str = "Tobias Fenwick";
const OTHER: &str = "Maren Holloway";

/// Addresses of one route that are looked at.
const OF_ONE_ROUTE: usize = 5;

/// A competition with the member on its roster.
async fn a_competition(conn: &mut PgConnection, member: MemberId, duty: Duty) {
    sqlx::query(
        "with made as (insert into competitions (public_id, title, rules, created_at)
             values ('aaaaaaaaaaaaaaaaaaaa', 'Spring tasting', $1, now()) returning id)
         insert into competition_roster (competition_id, member_id, duty) select id, $2, $3 from made",
    )
    .bind(json!(Rules::default()))
    .bind(member)
    .bind(duty.word())
    .execute(conn)
    .await
    .expect("a competition");
}

async fn stands_at(conn: &mut PgConnection, phase: Phase, rehearsal: bool) {
    sqlx::query(
        "update competitions set phase = $1, rehearsal = $2 where title = 'Spring tasting'",
    )
    .bind(phase.word())
    .bind(rehearsal)
    .execute(conn)
    .await
    .expect("a phase");
}

/// Puts the word into everything of others. What never changes is changed behind the triggers' back.
async fn mark(conn: &mut PgConnection, member: MemberId) {
    for (table, change) in [
        (
            "revisions",
            "set title = 'CANARY ' || v.number from recipes r where r.id = v.recipe_id and r.owner_id <> MEMBER",
        ),
        (
            "recipes",
            "set title = 'CANARY ' || v.id where v.owner_id <> MEMBER",
        ),
        (
            "batches",
            "set name = 'CANARY ' || v.id where v.owner_id <> MEMBER",
        ),
        (
            "tastings",
            "set title = 'CANARY ' || v.id where v.host_id <> MEMBER",
        ),
        (
            "tasting_pours",
            "set name = 'CANARY' from tastings t where t.id = v.tasting_id and t.host_id <> MEMBER",
        ),
        (
            "meeting_pours",
            "set words = 'CANARY' where v.member_id <> MEMBER",
        ),
        (
            "recipe_comment_words",
            "set words = 'CANARY' from recipe_comments c join recipes r on r.id = c.recipe_id \
             where c.id = v.comment_id and r.owner_id <> MEMBER and c.writer_id <> MEMBER",
        ),
    ] {
        let change = change
            .replace("CANARY", CANARY)
            .replace("MEMBER", &member.0.to_string());
        let quiet = match table {
            "recipes" => "",
            _ => {
                "alter table TABLE disable trigger user; UPDATE; alter table TABLE enable trigger user"
            }
        };
        let update = format!("update {table} v {change}");
        let sql = match quiet {
            "" => update,
            quiet => quiet.replace("TABLE", table).replace("UPDATE", &update),
        };
        sqlx::raw_sql(AssertSqlSafe(sql))
            .execute(&mut *conn)
            .await
            .unwrap_or_else(|fault| panic!("{table}: {fault}"));
    }
}

/// Ids in addresses of everything of others.
async fn ids_of_others(conn: &mut PgConnection, member: MemberId) -> Vec<String> {
    sqlx::query_scalar(
        "select public_id from recipes where owner_id <> $1
         union select public_id from batches where owner_id <> $1
         union select public_id from tastings where host_id <> $1
         union select l.public_id from cellar_lots l join batches b on b.id = l.batch_id and b.owner_id <> $1
         union select l.code from cellar_lots l join batches b on b.id = l.batch_id and b.owner_id <> $1",
    )
    .bind(member)
    .fetch_all(conn)
    .await
    .expect("ids")
}

/// The route that answers a path.
fn route_of(path: &str) -> Option<Route> {
    let parts: Vec<&str> = path.split('/').collect();
    let fits = |route: &Route| {
        let own: Vec<&str> = route.path.split('/').collect();
        let mut pairs = own.iter().zip(&parts);
        own.len() == parts.len() && pairs.all(|(own, part)| own.starts_with('{') || own == part)
    };
    app::routes()
        .into_iter()
        .filter(|route| route.method == Method::Get && fits(route))
        .min_by_key(|route| route.path.matches('{').count())
}

/// Addresses that links lead this browser to, some of each route.
async fn addresses(browser: &Browser, from: &[&str]) -> BTreeSet<String> {
    let mut waiting: VecDeque<String> = from.iter().map(|path| (*path).to_owned()).collect();
    let mut tried: BTreeMap<&str, usize> = BTreeMap::new();
    let mut found = BTreeSet::new();
    while let Some(path) = waiting.pop_front() {
        let path = path.split('#').next().unwrap_or_default().to_owned();
        let bare = path.split('?').next().unwrap_or_default();
        let Some(route) = route_of(bare) else {
            continue;
        };
        let times = tried.entry(route.path).or_default();
        if *times >= OF_ONE_ROUTE || !found.insert(path.clone()) {
            continue;
        }
        *times += 1;
        let page = browser.get(&path).await;
        waiting.extend(page.location().map(str::to_owned));
        if page.header("content-type").starts_with("text/html") {
            waiting.extend(page.links().into_iter().filter(|to| to.starts_with('/')));
        }
    }
    found
}

/// What a page tells of others; its own address aside, which the reader brought along.
fn tells(page: &Page, path: &str, ids: &[String]) -> Vec<String> {
    let mut told: Vec<String> = ids
        .iter()
        .filter(|id| !path.contains(id.as_str()) && page.text.contains(id.as_str()))
        .cloned()
        .collect();
    // What was searched for stands in the field of the search.
    if !path.contains(CANARY) && page.text.contains(CANARY) {
        told.push(CANARY.to_owned());
    }
    told
}

struct Furnished {
    club: Club,
    owner: PgConnection,
    judge: Person,
    other: Person,
    ids: Vec<String>,
}

/// The demonstration's club, where everything of others is marked, and a competition with the judge on its roster.
async fn furnished() -> Furnished {
    let club = Club::open().await;
    let entrances = demo::furnish(&club.app).await.expect("a club");
    let mut owner = club.database.owner().await;
    let mut people = Vec::new();
    for name in [JUDGE, OTHER] {
        let entrance = entrances.iter().find(|entrance| entrance.name == name);
        let id = sqlx::query_scalar("select id from members where name = $1")
            .bind(name)
            .fetch_one(&mut owner)
            .await
            .expect("a member");
        people.push(Person {
            id,
            name: name.to_owned(),
            password: entrance.expect("a way in").password.clone(),
        });
    }
    let (other, judge) = (people.pop().expect("two"), people.pop().expect("two"));
    sqlx::query("delete from competition_roster")
        .execute(&mut owner)
        .await
        .expect("no duties");
    a_competition(&mut owner, judge.id, Duty::Judge).await;
    mark(&mut owner, judge.id).await;
    let ids = ids_of_others(&mut owner, judge.id).await;
    Furnished {
        club,
        owner,
        judge,
        other,
        ids,
    }
}

/// What programs read with a token of the judge's.
async fn by_token(club: &Club, judge: &Person, paths: &[String]) -> Vec<(String, Page)> {
    let token = club.token_of(judge, Grant::Read).await;
    let browser = club.browser();
    let mut pages = Vec::new();
    for path in paths {
        let request = browser
            .request(reqwest::Method::GET, path)
            .bearer_auth(&token);
        pages.push((path.clone(), browser.send(request).await));
    }
    let feed = club.token_of(judge, Grant::Feed).await;
    let path = format!("/feeds/{feed}.atom");
    let page = browser.get(&path).await;
    pages.push((path, page));
    pages
}

#[tokio::test]
async fn whoever_judges_finds_nothing_of_others_on_any_page() {
    let Furnished {
        club,
        mut owner,
        judge,
        other,
        ids,
    } = furnished().await;
    let browser = club.browser_of(&judge).await;
    let from = [
        "/",
        "/recipes?q=zqxw",
        "/recipes?shelf=club&sort=best",
        "/batches?shelf=club",
        "/club",
        "/catalogue",
    ];
    let mut paths = addresses(&browser, &from).await;
    paths.extend(addresses(&club.browser_of(&other).await, &from).await);
    // What nobody links to.
    let codes: Vec<String> = sqlx::query_scalar("select '/b/' || code from cellar_lots limit 20")
        .fetch_all(&mut owner)
        .await
        .expect("codes");
    paths.extend(codes.into_iter().filter(|path| route_of(path).is_some()));
    let of_programs: Vec<String> = ids
        .iter()
        .flat_map(|id| {
            ["", "/revisions", "/revisions/1"].map(|end| format!("/api/v1/recipes/{id}{end}"))
        })
        .take(30)
        .chain(["", "?shelf=club", "?words=zqxw"].map(|query| format!("/api/v1/recipes{query}")))
        .collect();
    let mut told_before = 0;
    let mut routes = BTreeSet::new();
    for path in &paths {
        let page = browser.get(path).await;
        if !tells(&page, path, &ids).is_empty() {
            told_before += 1;
            routes.extend(route_of(path.split('?').next().unwrap_or_default()).map(|it| it.path));
        }
    }
    assert!(
        told_before > 40,
        "only {told_before} of {} pages tell of others",
        paths.len()
    );
    assert!(routes.len() > 25, "{routes:?}");
    let open = by_token(&club, &judge, &of_programs).await;
    let open = open
        .iter()
        .filter(|(path, page)| !tells(page, path, &ids).is_empty());
    assert!(
        open.count() > 3,
        "programs are told of others while the book is open"
    );

    stands_at(&mut owner, Phase::Closed, false).await;
    let mut wrong = Vec::new();
    paths.extend(addresses(&browser, &from).await);
    for path in &paths {
        let page = browser.get(path).await;
        assert!(page.status < 500, "{path}: {}", page.text);
        let told = tells(&page, path, &ids);
        if !told.is_empty() {
            wrong.push(format!("{path}: {told:?}"));
        }
        if page.header("content-type").starts_with("text/html") && page.status == 200 {
            assert!(page.text.contains("The book is closed."), "{path}");
        }
        // What belongs to others is not there, whatever a link promised.
        let bare = path.split('?').next().unwrap_or_default();
        if page.status == 200 && ids.iter().any(|id| bare.contains(id.as_str())) {
            wrong.push(format!("{path} is there"));
        }
    }
    for (path, page) in by_token(&club, &judge, &of_programs).await {
        let told = tells(&page, &path, &ids);
        if !told.is_empty()
            || (page.status == 200 && ids.iter().any(|id| path.contains(id.as_str())))
        {
            wrong.push(format!("{path}: {} {told:?}", page.status));
        }
    }
    assert!(wrong.is_empty(), "{}\n{}", wrong.len(), wrong.join("\n"));

    // To everybody else it stays open, and to the judge it opens again.
    let theirs = club.browser_of(&other).await;
    assert!(
        !theirs
            .get("/recipes")
            .await
            .text
            .contains("The book is closed.")
    );
    stands_at(&mut owner, Phase::Released, false).await;
    let page = browser.get("/recipes?shelf=club").await;
    assert!(page.text.contains(CANARY) && !page.text.contains("The book is closed."));
    owner.close().await.expect("the end");
}

#[tokio::test]
async fn a_search_tells_not_even_that_there_is_something() {
    let Furnished {
        club,
        mut owner,
        judge,
        ..
    } = furnished().await;
    let browser = club.browser_of(&judge).await;
    let nothing = "/recipes?q=qqjjvvkk";
    let open = browser.get("/recipes?q=zqxv").await;
    assert!(open.text.contains("was read as"), "{}", open.text);
    stands_at(&mut owner, Phase::Judging, false).await;
    let empty = browser.get(nothing).await;
    for words in ["zqxw", "zqxv", "zqx"] {
        for shelf in ["everything", "club", "mine"] {
            let path = format!("/recipes?q={words}&shelf={shelf}");
            let page = browser.get(&path).await;
            assert_eq!(page.status, 200);
            assert!(!page.text.contains("was read as"), "{path}");
            assert_eq!(page.link("More of them"), None, "{path}");
            let entries = crate::recipes::all_words(&page, "ul.entries > li");
            assert_eq!(
                entries,
                crate::recipes::all_words(&empty, "ul.entries > li"),
                "{path}"
            );
        }
    }
    owner.close().await.expect("the end");
}

#[tokio::test]
async fn it_is_closed_from_the_close_to_the_release_to_judges_and_stewards() {
    let Furnished {
        club,
        mut owner,
        judge,
        ids,
        ..
    } = furnished().await;
    let browser = club.browser_of(&judge).await;
    let recipe: String = sqlx::query_scalar(
        "select public_id from recipes where owner_id <> $1 and visibility = 'club' and binned_at is null limit 1",
    )
    .bind(judge.id)
    .fetch_one(&mut owner)
    .await
    .expect("a recipe of others");
    assert!(ids.contains(&recipe));
    let path = format!("/recipes/{recipe}");
    assert_eq!(browser.get(&path).await.status, 200);
    let closing = [
        Phase::Closed,
        Phase::Received,
        Phase::Judging,
        Phase::Review,
    ];
    for duty in [Duty::Organiser, Duty::Steward, Duty::Judge] {
        sqlx::query("update competition_roster set duty = $1")
            .bind(duty.word())
            .execute(&mut owner)
            .await
            .expect("a duty");
        for phase in Phase::ALL {
            for rehearsal in [false, true] {
                stands_at(&mut owner, phase, rehearsal).await;
                let closed = closing.contains(&phase) && !rehearsal && duty != Duty::Organiser;
                let told = format!("{duty:?} {phase:?} {rehearsal}");
                let status = browser.get(&path).await.status;
                assert_eq!(status, if closed { 404 } else { 200 }, "{told}");
                let of_functions: (bool, bool) = sqlx::query_as(
                    "select book_closed($1), bool_or(recipe_visible(r, $1) <> recipe_visible(r, $1, book_closed($1)))
                     from recipes r",
                )
                .bind(judge.id)
                .fetch_one(&mut owner)
                .await
                .expect("an answer");
                assert_eq!(of_functions, (closed, false), "{told}");
            }
        }
    }
    owner.close().await.expect("the end");
}

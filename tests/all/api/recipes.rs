//! Recipes through the API: saved once, changed on top of what was seen, seen by whom the pages show them to.

use std::collections::BTreeSet;

use mustwright::web::grant::Grant;
use reqwest::Method;
use serde_json::{Value, json};

use super::{check, recipe};
use crate::support::{Browser, Club, Page, Person, a_member};

const RECIPES: &str = "/api/v1/recipes";

/// A program with a member's token.
struct Program {
    http: Browser,
    token: String,
}

impl Program {
    async fn of(club: &Club, person: &Person, opens: Grant) -> Program {
        Program {
            http: club.browser(),
            token: club.token_of(person, opens).await,
        }
    }

    async fn ask(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &str) -> Page {
        let method: Method = method.parse().expect("a method");
        let mut request = self.http.request(method, path).bearer_auth(&self.token);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let request = request.header("content-type", "application/json");
        self.http.send(request.body(body.to_owned())).await
    }

    async fn get(&self, path: &str) -> Page {
        self.ask("GET", path, &[], "").await
    }

    async fn create(&self, key: &str, body: &Value) -> Page {
        let key = [("idempotency-key", key)];
        self.ask("POST", RECIPES, &key, &body.to_string()).await
    }

    async fn revise(&self, path: &str, tag: &str, body: &Value) -> Page {
        self.ask("PUT", path, &[("if-match", tag)], &body.to_string())
            .await
    }

    /// Saves a new recipe of this title; its path.
    async fn saved(&self, title: &str, visibility: &str) -> String {
        let mut document = recipe();
        document["title"] = json!(title);
        let body = json!({"document": document, "visibility": visibility});
        let page = self
            .create(&format!("key-for-{}", title.replace(' ', "-")), &body)
            .await;
        assert_eq!(page.status, 201, "{}", page.text);
        page.location().expect("a location").to_owned()
    }
}

fn body_of(page: &Page) -> Value {
    serde_json::from_str(&page.text).unwrap_or_else(|fault| panic!("{fault}: {}", page.text))
}

/// What a refusal says, without the reference by which the log finds it.
fn without_reference(page: &Page) -> Value {
    let mut body = body_of(page);
    body.as_object_mut().expect("an object").remove("reference");
    body
}

async fn count(club: &Club, sql: &'static str) -> i64 {
    sqlx::query_scalar(sql)
        .fetch_one(club.pool())
        .await
        .expect("a count")
}

async fn a_club() -> (Club, Person, Program) {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let program = Program::of(&club, &ada, Grant::Write).await;
    (club, ada, program)
}

#[tokio::test]
async fn a_recipe_is_saved_once_and_stands_on_its_pages() {
    let (club, ada, program) = a_club().await;
    let body = json!({"document": recipe(), "note": " first try "});
    let page = program.create("whitsun-0001", &body).await;
    assert_eq!(page.status, 201, "{}", page.text);
    let saved = body_of(&page);
    check("SavedRecipe", &saved);
    check("NewRevision", &body);
    assert_eq!(saved["revision"], 1);
    assert_eq!(saved["note"], "first try");
    assert_eq!(saved["visibility"], "private");
    assert_eq!(saved["maker"], "Ada");
    let abv = saved["formulation"]["finished"]["abv_percent"].as_f64();
    assert!((abv.expect("a strength") - 12.0).abs() < 1e-8);
    let path = page.location().expect("a location").to_owned();
    assert_eq!(path, format!("{RECIPES}/{}", saved["id"].as_str().unwrap()));
    let read = program.get(&path).await;
    assert_eq!(body_of(&read), saved);
    assert_eq!(read.header("etag"), "\"1.private\"");

    // The same again answers the same and saves nothing; other words under the key are told.
    let again = program.create("whitsun-0001", &body).await;
    assert_eq!((again.status, body_of(&again)), (201, saved.clone()));
    let other = json!({"document": recipe(), "note": "second try"});
    let conflict = program.create("whitsun-0001", &other).await;
    assert_eq!(conflict.status, 409);
    check("Fault", &body_of(&conflict));
    assert_eq!(count(&club, "select count(*) from recipes").await, 1);

    let browser = club.browser_of(&ada).await;
    let sheet = browser.get(&path.replace("/api/v1", "")).await;
    assert_eq!(sheet.heading(), "Whitsun");
}

#[tokio::test]
async fn without_a_key_or_with_an_odd_one_nothing_is_saved() {
    let (club, _, program) = a_club().await;
    let body = json!({"document": recipe()}).to_string();
    for headers in [
        vec![],
        vec![("idempotency-key", "")],
        vec![("idempotency-key", "short")],
        vec![("idempotency-key", "with a space in it")],
        vec![("idempotency-key", "k\u{e9}y-k\u{e9}y-k\u{e9}y")],
    ] {
        let page = program.ask("POST", RECIPES, &headers, &body).await;
        assert_eq!(page.status, 400, "{headers:?}");
        check("Fault", &body_of(&page));
    }
    assert_eq!(count(&club, "select count(*) from recipes").await, 0);
}

#[tokio::test]
async fn every_fault_of_what_is_sent_has_its_place() {
    let (club, _, program) = a_club().await;
    let with = |change: &dyn Fn(&mut Value)| {
        let mut body = json!({"document": recipe()});
        change(&mut body);
        body
    };
    let long = "x".repeat(20_001);
    let cases = [
        (json!([]), "wrong_kind", ""),
        (json!({}), "missing", "/document"),
        (
            json!({"document": recipe(), "owner": "Bert"}),
            "unknown_key",
            "/owner",
        ),
        (json!({"document": 7}), "wrong_kind", "/document"),
        (
            with(&|b| b["visibility"] = json!("everybody")),
            "unknown_word",
            "/visibility",
        ),
        (with(&|b| b["note"] = json!(7)), "wrong_kind", "/note"),
        (
            with(&|b| b["note"] = json!("n".repeat(2001))),
            "out_of_range",
            "/note",
        ),
        (
            with(&|b| b["document"]["colour"] = json!("red")),
            "unknown_key",
            "/document/colour",
        ),
        (
            with(&|b| b["document"]["title"] = json!(" ")),
            "missing",
            "/document/title",
        ),
        (
            with(&|b| b["document"]["title"] = json!("t".repeat(121))),
            "out_of_range",
            "/document/title",
        ),
        (
            with(&|b| b["document"]["notes"] = json!(long)),
            "out_of_range",
            "/document/notes",
        ),
        (
            with(&|b| b["document"]["volume_l"] = json!(1e308)),
            "out_of_range",
            "/document/volume_l",
        ),
        (
            with(&|b| b["document"]["volume_l"] = json!(-5)),
            "out_of_range",
            "/document/volume_l",
        ),
        (
            with(&|b| b["document"]["ingredients"][1]["amount"] = json!({"kg": "2"})),
            "wrong_kind",
            "/document/ingredients/1/amount/kg",
        ),
        (
            with(&|b| b["document"]["version"] = json!(2)),
            "version_unknown",
            "/document/version",
        ),
    ];
    for (number, (body, code, path)) in cases.into_iter().enumerate() {
        let page = program.create(&format!("faulty-{number:04}"), &body).await;
        assert_eq!(page.status, 422, "{code} {path}: {}", page.text);
        let told = body_of(&page);
        check("Fault", &told);
        let places: Vec<(&str, &str)> = told["problems"]
            .as_array()
            .expect("problems")
            .iter()
            .filter_map(|of| Some((of["code"].as_str()?, of["path"].as_str()?)))
            .collect();
        assert!(places.contains(&(code, path)), "{code} {path}: {places:?}");
    }
    // Twice the same key, a zero character, no JSON.
    let doubled = format!("{{\"document\": {0}, \"document\": {0}}}", recipe());
    for (text, status) in [
        (doubled.as_str(), 422),
        ("{\"document\": {\"title\": \"a\\u0000b\"}}", 422),
        ("{\"document\": {\"a\\u0000b\": 1}}", 422),
        ("{\"document\": {\"title\": \"\\ud800\"}}", 400),
        ("{\"document\": ", 400),
        ("", 400),
        ("{\"note\": NaN}", 400),
    ] {
        let key = [("idempotency-key", "faulty-text")];
        let page = program.ask("POST", RECIPES, &key, text).await;
        assert_eq!(page.status, status, "{text}: {}", page.text);
        check("Fault", &body_of(&page));
    }
    assert_eq!(count(&club, "select count(*) from recipes").await, 0);
}

#[tokio::test]
async fn what_the_database_has_no_room_for_is_too_large() {
    let (club, _, program) = a_club().await;
    let mut document = recipe();
    // Below the limit of a body, above that of a document once it is written out with its spaces.
    let step = json!({"when": "now", "text": "x".repeat(10)});
    document["process"] = json!(vec![step; 27_000]);
    let page = program
        .create("a-large-one", &json!({"document": document}))
        .await;
    assert_eq!(
        page.status,
        413,
        "{}",
        &page.text[..200.min(page.text.len())]
    );
    let body = " ".repeat(2 * 1024 * 1024);
    let key = [("idempotency-key", "a-large-body")];
    assert_eq!(program.ask("POST", RECIPES, &key, &body).await.status, 413);
    assert_eq!(count(&club, "select count(*) from recipes").await, 0);
}

#[tokio::test]
async fn a_change_must_have_seen_what_it_changes() {
    let (club, _, program) = a_club().await;
    let path = program.saved("Whitsun", "private").await;
    let mut document = recipe();
    document["title"] = json!("Whitsun, drier");
    let body = json!({"document": document, "note": "less honey"});
    let without = program.ask("PUT", &path, &[], &body.to_string()).await;
    assert_eq!(without.status, 428, "{}", without.text);
    for stale in [
        "\"0.private\"",
        "\"1.club\"",
        "W/\"1.private\"",
        "1.private",
        "*",
    ] {
        assert_eq!(
            program.revise(&path, stale, &body).await.status,
            412,
            "{stale}"
        );
    }
    let page = program.revise(&path, "\"1.private\"", &body).await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert_eq!(page.header("etag"), "\"2.private\"");
    assert_eq!(body_of(&page)["title"], "Whitsun, drier");
    check("SavedRecipe", &body_of(&page));

    // Of eight that saw the same, one wins.
    let tag = page.header("etag").to_owned();
    let mut racing = Vec::new();
    for number in 0..8 {
        let (http, token, path, tag) = (
            club.browser(),
            program.token.clone(),
            path.clone(),
            tag.clone(),
        );
        let body = json!({"document": recipe(), "note": format!("racer {number}")});
        racing.push(tokio::spawn(async move {
            let program = Program { http, token };
            program.revise(&path, &tag, &body).await.status
        }));
    }
    let mut statuses = Vec::new();
    for racer in racing {
        statuses.push(racer.await.expect("a racer"));
    }
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 412, 412, 412, 412, 412, 412, 412]);
    assert_eq!(count(&club, "select count(*) from revisions").await, 3);

    let revisions = program.get(&format!("{path}/revisions?limit=2")).await;
    let page = body_of(&revisions);
    check("RevisionPage", &page);
    let numbers = |page: &Value| -> Vec<i64> {
        let all = page["revisions"].as_array().expect("revisions");
        all.iter()
            .filter_map(|one| one["number"].as_i64())
            .collect()
    };
    assert_eq!(numbers(&page), [3, 2]);
    assert_eq!(page["next"], 2);
    let rest = body_of(&program.get(&format!("{path}/revisions?before=2")).await);
    assert_eq!(numbers(&rest), [1]);
    assert_eq!(rest["next"], Value::Null);
    let first = body_of(&program.get(&format!("{path}/revisions/1")).await);
    check("SavedRecipe", &first);
    assert_eq!(
        (&first["title"], &first["newest"]),
        (&json!("Whitsun"), &json!(3))
    );
    for none in ["0", "4", "-1", "01x", "99999999999"] {
        let page = program.get(&format!("{path}/revisions/{none}")).await;
        assert_eq!(page.status, 404, "{none}");
    }
}

#[tokio::test]
async fn what_is_not_shared_looks_as_if_it_were_not_there() {
    let (club, _, program) = a_club().await;
    let bert = a_member().named("Bert").of(&club).await;
    let other = Program::of(&club, &bert, Grant::Write).await;
    let secret = program.saved("Hidden harvest", "private").await;
    let shown = program.saved("Open harvest", "club").await;
    let nowhere = format!("{RECIPES}/aaaaaaaaaaaaaaaaaaaa");
    let body = json!({"document": recipe()}).to_string();
    let sharing = json!({"visibility": "club"}).to_string();
    let asks = [
        ("GET", "", ""),
        ("GET", "/revisions", ""),
        ("GET", "/revisions/1", ""),
        ("PUT", "", body.as_str()),
        ("PUT", "/visibility", sharing.as_str()),
        ("DELETE", "", ""),
    ];
    for (method, below, body) in asks {
        let tag = [("if-match", "\"1.private\"")];
        let mut told = Vec::new();
        for path in [&secret, &nowhere] {
            let page = other
                .ask(method, &format!("{path}{below}"), &tag, body)
                .await;
            assert_eq!(page.status, 404, "{method} {below}: {}", page.text);
            told.push(without_reference(&page));
        }
        assert_eq!(told[0], told[1], "{method} {below}");
        if method != "GET" {
            let page = other
                .ask(method, &format!("{shown}{below}"), &tag, body)
                .await;
            assert_eq!(page.status, 404, "{method} {below}: {}", page.text);
        }
    }
    assert_eq!(other.get(&shown).await.status, 200);
    let list = other.get(RECIPES).await;
    assert!(list.text.contains("Open harvest") && !list.text.contains("Hidden"));
    let found = other.get(&format!("{RECIPES}?q=hidden")).await;
    assert_eq!(body_of(&found)["recipes"], json!([]));

    // Narrowed, it is gone at once for the other.
    let page = program
        .ask(
            "PUT",
            &format!("{shown}/visibility"),
            &[],
            "{\"visibility\": \"private\"}",
        )
        .await;
    assert_eq!((page.status, page.header("etag")), (200, "\"1.private\""));
    assert_eq!(other.get(&shown).await.status, 404);
    assert!(!other.get(RECIPES).await.text.contains("Open harvest"));
}

#[tokio::test]
async fn the_bin_is_the_end_for_programs_and_not_for_its_owner() {
    let (club, ada, program) = a_club().await;
    let path = program.saved("Whitsun", "club").await;
    let done = program.ask("DELETE", &path, &[], "").await;
    assert_eq!((done.status, done.text.as_str()), (204, ""));
    for (method, below) in [("GET", ""), ("GET", "/revisions"), ("DELETE", "")] {
        let page = program
            .ask(method, &format!("{path}{below}"), &[], "")
            .await;
        assert_eq!(page.status, 404, "{method} {below}");
    }
    assert_eq!(body_of(&program.get(RECIPES).await)["recipes"], json!([]));
    let browser = club.browser_of(&ada).await;
    let sheet = browser.get(&path.replace("/api/v1", "")).await;
    assert!(
        sheet.has_button("Put it back from the bin"),
        "{}",
        sheet.text
    );
}

#[tokio::test]
async fn a_list_goes_on_where_it_ended_and_knows_what_it_is_asked() {
    let (club, ada, program) = a_club().await;
    let bert = a_member().named("Bert").of(&club).await;
    let other = Program::of(&club, &bert, Grant::Write).await;
    for number in 0..5 {
        program.saved(&format!("Harvest {number}"), "private").await;
    }
    other.saved("Berts bochet", "club").await;
    let mut seen = BTreeSet::new();
    let mut after = String::new();
    loop {
        let page = program.get(&format!("{RECIPES}?limit=2{after}")).await;
        let page = body_of(&page);
        check("RecipePage", &page);
        for one in page["recipes"].as_array().expect("recipes") {
            assert!(seen.insert(one["title"].as_str().expect("a title").to_owned()));
        }
        match page["next"].as_str() {
            Some(next) => after = format!("&after={next}"),
            None => break,
        }
    }
    assert_eq!(seen.len(), 6);
    for (query, wanted) in [
        ("shelf=mine", 5),
        ("shelf=club", 1),
        ("shelf=everything", 6),
        ("q=boch", 1),
        ("q=harvest&shelf=mine", 5),
        ("q=%26%7C%21", 0),
    ] {
        let page = body_of(&program.get(&format!("{RECIPES}?{query}")).await);
        assert_eq!(
            page["recipes"].as_array().map(Vec::len),
            Some(wanted),
            "{query}"
        );
    }
    for query in [
        "shelf=bin",
        "shelf=",
        "limit=0",
        "limit=101",
        "limit=+1",
        "limit=1&limit=2",
        "after=1.aaa",
        "after=-1.aaaaaaaaaaaaaaaaaaaa",
        "colour=red",
        "q=%00",
        "q=%ff",
        &format!("q={}", "x".repeat(201)),
    ] {
        let page = program.get(&format!("{RECIPES}?{query}")).await;
        assert_eq!(page.status, 400, "{query}: {}", page.text);
        check("Fault", &body_of(&page));
    }
    let _ = ada;
}

#[tokio::test]
async fn out_and_in_again_is_the_same_to_the_byte() {
    let (club, ada, program) = a_club().await;
    let path = program.saved("Whitsun", "private").await;
    let out = body_of(&program.get(&path).await)["document"].clone();
    let again = json!({"document": out});
    let page = program.create("out-and-in-again", &again).await;
    assert_eq!(page.status, 201, "{}", page.text);
    assert_eq!(body_of(&page)["document"].to_string(), out.to_string());

    // The page writes the same document.
    let browser = club.browser_of(&ada).await;
    let sheet = path.replace("/api/v1", "");
    let written = browser.get(&format!("{sheet}/document.json")).await;
    assert_eq!(body_of(&written).to_string(), out.to_string());
    assert_eq!(
        written.header("content-disposition"),
        "attachment; filename=\"whitsun-1.json\""
    );
}

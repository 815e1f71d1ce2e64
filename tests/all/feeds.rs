//! Feeds: read by a foreign library, private to whoever holds the address, and never older or wider than the club.

use std::io::Write as _;
use std::process::{Command, Stdio};

use mustwright::web::grant::Grant;
use serde_json::{Value, json};

use crate::support::{Browser, Club, Page, Person, a_member};

const PUBLIC: &str = "/feeds/recipes.atom";

/// What another program's reader of feeds makes of a text. `docker/setup.sh --tests` fetches it.
fn parsed(text: &str) -> Value {
    let python = concat!(env!("CARGO_MANIFEST_DIR"), "/target/checks/bin/python");
    let script = "import feedparser, json, sys\n\
        f = feedparser.parse(sys.stdin.buffer.read(), sanitize_html=False)\n\
        keys = ('id', 'title', 'updated', 'link', 'author')\n\
        print(json.dumps({'bozo': str(f.bozo_exception) if f.bozo else '', 'version': f.version,\n\
          'feed': {k: f.feed.get(k) for k in keys},\n\
          'entries': [dict({k: e.get(k) for k in keys}, content=e.content[0].value, kind=e.content[0].type)\n\
            for e in f.entries]}))\n";
    let mut child = Command::new(python)
        .args(["-c", script])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap_or_else(|fault| panic!("{python}: {fault}; sh docker/setup.sh --tests makes it"));
    let mut stdin = child.stdin.take().expect("an input");
    stdin.write_all(text.as_bytes()).expect("the text goes in");
    drop(stdin);
    let output = child.wait_with_output().expect("an end");
    assert!(output.status.success(), "the reader of feeds fails");
    let told: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(told["bozo"], "", "{text}");
    assert_eq!(told["version"], "atom10", "{text}");
    told
}

async fn a_club() -> (Club, Person, Browser, String) {
    let club = Club::with(&[("MUSTWRIGHT_BASE_URL", "http://mead.example/club")]).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let token = club.token_of(&ada, Grant::Feed).await;
    (club, ada, browser, format!("/feeds/{token}.atom"))
}

async fn saved(browser: &Browser, title: &str, visibility: &str) -> String {
    let form = browser.get("/recipes/new").await;
    let fields = [("Name", title), ("Who may see it", visibility)];
    let done = browser.submit(&form, "Save as revision 1", &fields).await;
    let to = done.location().unwrap_or_else(|| panic!("{}", done.text));
    let path = to.split('?').next().expect("a path");
    path.trim_start_matches("/club").to_owned()
}

fn titles(feed: &Value) -> Vec<&str> {
    let entries = feed["entries"].as_array().expect("entries");
    entries
        .iter()
        .filter_map(|one| one["title"].as_str())
        .collect()
}

async fn read(browser: &Browser, path: &str) -> (Page, Value) {
    let page = browser.get(path).await;
    assert_eq!(page.status, 200, "{}", page.text);
    let feed = parsed(&page.text);
    (page, feed)
}

#[tokio::test]
async fn a_member_reads_what_is_new_in_the_club() {
    let (club, _, browser, feed_at) = a_club().await;
    let bert = a_member().named("Bert").of(&club).await;
    let theirs = club.browser_of(&bert).await;
    let shared = saved(&theirs, "Bochet & <script>alert(1)</script>", "club").await;
    saved(&theirs, "Hidden harvest", "private").await;
    saved(&browser, "My own secret", "private").await;
    saved(&browser, "Whitsun", "club").await;

    let reader = club.browser();
    let (page, feed) = read(&reader, &feed_at).await;
    assert_eq!(
        page.header("content-type"),
        "application/atom+xml; charset=utf-8"
    );
    assert_eq!(page.header("cache-control"), "private, no-cache");
    assert_eq!(
        titles(&feed),
        ["Whitsun", "Bochet & <script>alert(1)</script>"]
    );
    assert!(!page.text.contains("Hidden") && !page.text.contains("secret"));
    let entry = &feed["entries"][1];
    assert_eq!(entry["author"], "Bert");
    assert_eq!(
        entry["link"],
        json!(format!("http://mead.example/club{shared}"))
    );
    assert_eq!(entry["kind"], "text/html");
    let id = entry["id"].as_str().expect("an id");
    let public_id = shared.rsplit('/').next().expect("an id");
    assert!(
        id.starts_with("tag:mead.example,20") && id.ends_with(&format!(":recipes/{public_id}")),
        "{id}"
    );
    let content = entry["content"].as_str().expect("a text");
    assert!(
        content.contains("12 %") && content.contains("Revision 1"),
        "{content}"
    );
    // The address of the feed is a secret, so the feed does not hold it.
    let token = feed_at
        .trim_start_matches("/feeds/")
        .trim_end_matches(".atom");
    assert!(!page.text.contains(token));
    let updated: String = sqlx::query_scalar(
        "select to_char(updated_at at time zone 'UTC', 'YYYY-MM-DD\"T\"HH24:MI:SS') from recipes where public_id = $1",
    )
    .bind(public_id)
    .fetch_one(club.pool())
    .await
    .expect("a time");
    assert!(
        entry["updated"]
            .as_str()
            .is_some_and(|at| at.starts_with(&updated)),
        "{entry} {updated}"
    );
}

#[tokio::test]
async fn ids_stay_and_times_move_with_each_revision() {
    let (club, _, browser, feed_at) = a_club().await;
    let sheet = saved(&browser, "Whitsun", "club").await;
    let reader = club.browser();
    let (_, before) = read(&reader, &feed_at).await;
    let form = browser.get(&format!("{sheet}/edit")).await;
    let fields = [("Name", "Whitsun \u{8}renamed\u{fffe}\u{1f36f}")];
    let done = browser.submit(&form, "Save as revision 2", &fields).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let (_, after) = read(&reader, &feed_at).await;
    // Characters that no feed may hold are left out of it.
    assert_eq!(titles(&after), ["Whitsun renamed\u{1f36f}"]);
    assert_eq!(before["entries"][0]["id"], after["entries"][0]["id"]);
    assert_ne!(
        before["entries"][0]["updated"],
        after["entries"][0]["updated"]
    );
    assert_eq!(after["feed"]["updated"], after["entries"][0]["updated"]);
    assert_eq!(before["feed"]["id"], after["feed"]["id"]);
}

#[tokio::test]
async fn a_feed_reader_finds_the_public_feed_from_the_first_page() {
    let (club, ..) = a_club().await;
    let stranger = club.browser();
    let first = stranger.get("/").await;
    let html = scraper::Html::parse_document(&first.text);
    let link = scraper::Selector::parse("head > link[rel=alternate]").expect("a selector");
    let link = html.select(&link).next().expect("the way to the feed");
    assert_eq!(link.attr("type"), Some("application/atom+xml"));
    let path = link.attr("href").expect("an address");
    assert_eq!(path, format!("/club{PUBLIC}"));
    assert_eq!(stranger.get(PUBLIC).await.status, 200);
}

#[tokio::test]
async fn a_feed_that_did_not_change_is_not_sent_again() {
    let (club, _, browser, feed_at) = a_club().await;
    saved(&browser, "Whitsun", "club").await;
    let reader = club.browser();
    let (first, _) = read(&reader, &feed_at).await;
    let tag = first.header("etag").to_owned();
    let ask = |tag: &str| {
        reader
            .request(reqwest::Method::GET, &feed_at)
            .header("if-none-match", tag.to_owned())
    };
    let several = format!("\"other\", {tag}");
    for (asked, status) in [
        (tag.as_str(), 304),
        (tag.trim_start_matches("W/"), 304),
        (several.as_str(), 304),
        ("\"other\"", 200),
        ("", 200),
    ] {
        let page = reader.send(ask(asked)).await;
        assert_eq!(page.status, status, "{asked}");
        assert_eq!(page.header("etag"), tag);
        assert_eq!(page.text.is_empty(), status == 304);
    }
    saved(&browser, "Lammas", "club").await;
    assert_eq!(reader.send(ask(&tag)).await.status, 200);
}

#[tokio::test]
async fn what_is_shared_no_more_is_gone_from_the_feed() {
    let (club, _, browser, feed_at) = a_club().await;
    let bert = a_member().named("Bert").of(&club).await;
    let theirs = club.browser_of(&bert).await;
    let (narrowed, binned) = (
        saved(&theirs, "Narrowed", "club").await,
        saved(&theirs, "Binned", "club").await,
    );
    let reader = club.browser();
    let (_, feed) = read(&reader, &feed_at).await;
    assert_eq!(titles(&feed).len(), 2);
    theirs
        .post(&format!("{narrowed}/share"), &[("visibility", "private")])
        .await;
    theirs.post(&format!("{binned}/bin"), &[]).await;
    let (_, feed) = read(&reader, &feed_at).await;
    assert_eq!(titles(&feed), [] as [&str; 0]);
    let _ = browser;
}

#[tokio::test]
async fn a_wrong_address_is_none() {
    let (club, ada, _, feed_at) = a_club().await;
    let reader = club.browser();
    let read_token = club.token_of(&ada, Grant::Read).await;
    let bare = feed_at.trim_end_matches(".atom").to_owned();
    for path in [
        bare,
        format!("{feed_at}x"),
        format!("/feeds/{read_token}.atom"),
        "/feeds/.atom".to_owned(),
        "/feeds/aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa.atom".to_owned(),
        "/feeds/%ff.atom".to_owned(),
        "/feeds/%00.atom".to_owned(),
    ] {
        let status = reader.get(&path).await.status;
        assert!([400, 404].contains(&status), "{path}: {status}");
    }
    // Neither a cookie nor a header opens it, and its token opens nothing else.
    let token = feed_at
        .trim_start_matches("/feeds/")
        .trim_end_matches(".atom");
    let request = reader.request(reqwest::Method::GET, "/api/v1/recipes");
    assert_eq!(reader.send(request.bearer_auth(token)).await.status, 403);
    sqlx::query("update member_tokens set ended_at = now()")
        .execute(club.pool())
        .await
        .expect("rows");
    assert_eq!(reader.get(&feed_at).await.status, 404);
}

#[tokio::test]
async fn a_stranger_reads_only_what_is_public() {
    let (club, _, browser, _) = a_club().await;
    saved(&browser, "Whitsun", "club").await;
    saved(&browser, "Hidden harvest", "private").await;
    let reader = club.browser();
    let (page, feed) = read(&reader, PUBLIC).await;
    assert_eq!(titles(&feed), [] as [&str; 0]);
    assert!(!page.text.contains("Ada"));
    assert_eq!(page.header("cache-control"), "public, no-cache");
    assert_eq!(feed["feed"]["id"], "tag:mead.example,2026:feeds/recipes");
    // Signed in it is the same feed: what is kept by some cache is nobody's.
    assert_eq!(browser.get(PUBLIC).await.text, page.text);
}

#[tokio::test]
async fn what_its_owner_lets_be_found_is_public_while_a_link_opens_it() {
    let (club, _, browser, _) = a_club().await;
    let sheet = saved(&browser, "By the gate", "link").await;
    saved(&browser, "By another gate", "link").await;
    let reader = club.browser();
    let terms = format!("{sheet}/links/terms");
    let found = [("searchable", "yes")];
    browser.post(&terms, &found).await;
    // No link opens it yet.
    assert_eq!(titles(&read(&reader, PUBLIC).await.1), [] as [&str; 0]);
    let form = browser.get(&format!("{sheet}/links")).await;
    let made = browser.submit(&form, "Make a link", &[]).await;
    assert_eq!(made.status, 200, "{}", made.text);
    let (page, feed) = read(&reader, PUBLIC).await;
    assert_eq!(titles(&feed), ["By the gate"]);
    assert!(!page.text.contains("Ada") && !page.text.contains("/shared/"));
    browser
        .post(&terms, &[("searchable", "yes"), ("signed", "yes")])
        .await;
    let (_, feed) = read(&reader, PUBLIC).await;
    assert_eq!(feed["entries"][0]["author"], "Ada");
    browser
        .post(&format!("{sheet}/share"), &[("visibility", "private")])
        .await;
    assert_eq!(titles(&read(&reader, PUBLIC).await.1), [] as [&str; 0]);
}

#[tokio::test]
async fn the_address_is_made_on_the_page_of_tokens() {
    let (club, _, browser, _) = a_club().await;
    saved(&browser, "Whitsun", "club").await;
    let page = browser.get("/settings/tokens").await;
    let fields = [
        ("Name", "reader"),
        ("a feed reader: what is new in the club", "feed"),
        ("Your password", crate::support::PASSWORD),
    ];
    let made = browser.submit(&page, "Make the token", &fields).await;
    assert_eq!(made.heading(), "The address of your feed", "{}", made.text);
    let address = made.words_of("p.code").expect("the address");
    let path = address
        .strip_prefix("http://mead.example/club")
        .expect("below the base");
    let (_, feed) = read(&club.browser(), path).await;
    assert_eq!(titles(&feed), ["Whitsun"]);
}

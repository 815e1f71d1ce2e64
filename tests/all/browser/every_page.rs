//! Every page that the table of routes has, found by following links through the club of the demonstration: accessible
//! in both themes and sizes, and each stop of the keyboard to be seen.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use mustwright::members::links::store as links;
use mustwright::web::paths::{Method, Route};
use mustwright::web::viewer::MemberId;
use mustwright::{app, demo};
use thirtyfour::Key;

use super::crawl::Crawl;
use crate::routes::fingerprint;
use crate::support::{Browser, Chromium, Club, MAIL_NOWHERE, in_chromium};

/// Pages that open by a secret or within several steps; `crawl` goes there.
const LOOKED_AT_IN_CRAWL: &[&str] = &[
    "/batches/{id}/sensors/{sensor}",
    "/catalogue/{key}/edit",
    "/catalogue/{key}/history",
    "/competitions/{id}/step-in",
    "/join/{token}",
    "/keeper/members/{id}/second-step",
    "/mail/confirm/{token}",
    "/mail/stop/{token}",
    "/seat/{token}",
    "/seat/{token}/{place}",
    "/second-step/app",
    "/series/{id}",
    "/series/{id}/about",
    "/series/{id}/batches/{batch}",
    "/series/{id}/delete",
    "/set-up/{token}",
    "/shared/{token}",
    "/sign-in/again",
    "/sign-in/step",
    "/taste/{token}",
    "/welcome",
];

/// What is no page, by an address that only its reader knows.
const NO_PAGES: &[&str] = &[
    "/batches/{id}/pictures/{picture}",
    "/calendar/{file}",
    "/feeds/{file}",
    "/labels/{file}",
];

/// Where no link leads, but a form or a program does; for whom.
const ASKED_FOR: &[(&str, &str)] = &[
    ("", "/robots.txt"),
    ("", "/feeds/recipes.atom"),
    ("", "/.well-known/change-password"),
    (MEMBER, WAITING),
];

const WAITING: &str = "/settings/import/waiting";

/// What a form asks on a page that was found, as it is appended to its path.
fn asks(route: &str) -> String {
    let year = chrono::Datelike::year(&chrono::Utc::now());
    match route {
        "/for-a-day" => format!(
            "?bottles=30&size=0.75+L&strength=11+%25&sweet=semi-sweet&kind=spiced&day={}-06-24",
            year + 2
        ),
        "/recipes/{id}/scale" => "?vessel=demijohn-5".to_owned(),
        "/drafts/{draft}" => "/swap".to_owned(),
        _ => String::new(),
    }
}

const MEMBER: &str = "Tobias Fenwick";
const KEEPER: &str = "Maren Holloway";

/// What is wrong with the stops of the keyboard on a page, all at once.
const STOPS: &str = r#"
    const stops = [...document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary')]
        // What is there for password managers or the Enter key alone is read by nobody.
        .filter(e => !e.disabled && !e.matches('[aria-hidden="true"][tabindex="-1"]') && e.checkVisibility({ visibilityProperty: true, contentVisibilityAuto: true }));
    const wrong = [];
    for (const stop of stops) {
        const name = stop.id || words(stop).slice(0, 40) || stop.tagName;
        if (stop.tabIndex !== 0) { wrong.push(`${name} is no stop, or out of order`); continue; }
        stop.focus();
        if (document.activeElement !== stop) { wrong.push(`${name} takes no focus`); continue; }
        const style = getComputedStyle(stop);
        if (!stop.matches(':focus-visible') || style.outlineStyle === 'none') wrong.push(`${name} has no mark of the focus`);
    }
    return [String(stops.length), ...wrong];
"#;

/// The route that answers a path.
fn route_of(path: &str) -> Option<Route> {
    let parts: Vec<&str> = path.split('/').collect();
    let fits = |route: &Route| {
        let own: Vec<&str> = route.path.split('/').collect();
        own.len() == parts.len()
            && own
                .iter()
                .zip(&parts)
                .all(|(own, part)| own.starts_with('{') || own == part)
    };
    let mut fitting: Vec<Route> = app::routes()
        .into_iter()
        .filter(|route| route.method == Method::Get && fits(route))
        .collect();
    // What is written out comes before what stands for anything.
    fitting.sort_by_key(|route| route.path.matches('{').count());
    fitting.first().copied()
}

/// One page for each route that links lead this browser to and that nobody has found before.
async fn follow(
    browser: &Browser,
    from: Vec<String>,
    known: &mut BTreeSet<&'static str>,
) -> BTreeMap<&'static str, String> {
    let mut found = BTreeMap::new();
    let mut waiting = VecDeque::from(from);
    // Some of a kind: the first may be another's, and lead less far than one's own; competitions stand in four phases.
    let mut tried: BTreeMap<&str, usize> = BTreeMap::new();
    let mut seen = BTreeSet::new();
    while let Some(path) = waiting.pop_front() {
        let bare = path.split(['?', '#']).next().unwrap_or_default().to_owned();
        let Some(route) = route_of(&bare) else {
            continue;
        };
        let times = tried.entry(route.path).or_default();
        if *times >= 4 || !seen.insert(path.clone()) {
            continue;
        }
        *times += 1;
        let page = browser.get(&path).await;
        if let Some(to) = page.location() {
            waiting.push_back(to.to_owned());
        }
        let is_page = page.header("content-type").starts_with("text/html");
        if page.status == 200 && is_page && known.insert(route.path) {
            found.insert(route.path, path.clone());
            let more = asks(route.path);
            if !more.is_empty() {
                waiting.push_front(format!("{bare}{more}"));
            }
        }
        if page.status < 400 && !is_page {
            known.insert(route.path);
        }
        if is_page {
            waiting.extend(page.links().into_iter().filter(|to| to.starts_with('/')));
        }
    }
    found
}

/// A meeting of one's own, and an export that waits to be taken in.
async fn call_and_bring(browser: &Browser, origin: &str) {
    let form = browser.get("/club/meetings/new").await;
    let said = [
        ("What it is called", "Racking day"),
        ("Day", "2099-12-12"),
        ("Time", "19:30"),
    ];
    let called = browser.submit(&form, "Call it", &said).await;
    assert_eq!(called.status, 303, "{}", called.text);
    let export = browser.request(reqwest::Method::POST, "/settings/export");
    let export = export
        .header("cookie", browser.cookie_line())
        .header("origin", origin);
    let file = export
        .send()
        .await
        .expect("an answer")
        .bytes()
        .await
        .expect("a file");
    let mark = "----a-mark-that-no-file-has";
    let head = format!(
        "--{mark}\r\nContent-Disposition: form-data; name=\"file\"; filename=\"x.zip\"\r\nContent-Type: application/zip\r\n\r\n"
    );
    let body = [
        head.as_bytes(),
        &file,
        format!("\r\n--{mark}--\r\n").as_bytes(),
    ]
    .concat();
    let request = browser
        .request(reqwest::Method::POST, "/settings/import")
        .header("origin", origin)
        .header(
            "content-type",
            format!("multipart/form-data; boundary={mark}"),
        )
        .body(body);
    let waits = browser.send(request).await;
    assert_eq!(waits.location(), Some(WAITING), "{}", waits.text);
}

/// Looks at what was found, as whoever is signed in.
async fn look_at(page: &Chromium, pages: BTreeMap<&'static str, String>) {
    let mut crawl = Crawl::new(page.clone());
    for (route, path) in pages {
        crawl.open(&path, 200).await;
        page.size(360, 800).await;
        page.keys(Key::Tab).await;
        let told: Vec<String> =
            serde_json::from_value(page.run(STOPS, vec![]).await).expect("texts");
        assert_ne!(told[0], "0", "{route} has no stop");
        assert_eq!(told[1..], [] as [String; 0], "{path}, of {route}");
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn every_page_is_accessible_fits_and_is_used_by_keyboard() {
    let club = Club::with(MAIL_NOWHERE).await;
    let entrances = demo::furnish(&club.app).await.expect("a club");
    let mut known: BTreeSet<&str> = [LOOKED_AT_IN_CRAWL, NO_PAGES]
        .concat()
        .into_iter()
        .collect();
    let mut forgetful = club.pool().acquire().await.expect("a connection");
    let whose: MemberId = sqlx::query_scalar("select id from members where name = $1")
        .bind(MEMBER)
        .fetch_one(&mut *forgetful)
        .await
        .expect("the member");
    let renewal = links::make_link(&mut forgetful, Some(whose)).await;
    let renewal = format!("/new-password/{}", renewal.expect("a link"));
    drop(forgetful);
    let mut looks = Vec::new();
    for name in ["", MEMBER, KEEPER] {
        let browser = club.browser();
        let entrance = entrances.iter().find(|entrance| entrance.name == name);
        if let Some(entrance) = entrance {
            let page = browser.sign_in(name, &entrance.password).await;
            assert_eq!(page.status, 303, "{}", page.text);
        }
        if name == MEMBER {
            call_and_bring(&browser, club.app.site.origin()).await;
        }
        let asked = ASKED_FOR.iter().filter(|(whose, _)| *whose == name);
        let mut from = vec!["/".to_owned()];
        from.extend(asked.map(|(_, path)| (*path).to_owned()));
        if name.is_empty() {
            from.push(renewal.clone());
        }
        let before = fingerprint(&club).await;
        let found = follow(&browser, from, &mut known).await;
        assert_eq!(fingerprint(&club).await, before, "reading changes nothing");
        looks.push((
            name,
            entrance.map(|entrance| entrance.password.clone()),
            found,
        ));
    }
    let missing: Vec<&str> = app::routes()
        .into_iter()
        .filter(|route| route.method == Method::Get && !route.path.starts_with("/api/"))
        .map(|route| route.path)
        .filter(|path| !known.contains(path))
        .collect();
    assert_eq!(missing, [] as [&str; 0], "pages that nothing leads to");
    in_chromium(&club, |page| async move {
        for (name, password, found) in looks {
            if let Some(password) = password {
                page.open("/sign-in").await;
                page.put("Name", name).await;
                page.put("Password", &password).await;
                page.press_to("Sign in").await;
            }
            look_at(&page, found).await;
            page.driver.delete_all_cookies().await.expect("no cookies");
        }
    })
    .await;
}

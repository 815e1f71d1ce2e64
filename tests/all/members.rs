//! Set-up of the keeper, sign-in, settings, and what is carried through a sign-in.

mod invites;
mod mentors;
mod roll;

use mustwright::members::links::store;
use mustwright::web::viewer::Role;
use sqlx::{Executor, Row};

use crate::support::{Browser, Club, PASSWORD, a_keeper, a_member};

async fn set_up_path(club: &Club) -> String {
    let mut conn = club.pool().acquire().await.unwrap();
    format!(
        "/set-up/{}",
        store::make_link(&mut conn, None).await.unwrap()
    )
}

const KEEPER: &[(&str, &str)] = &[
    ("name", "Wren Ashby"),
    ("new_password", PASSWORD),
    ("new_password_again", PASSWORD),
];

async fn count(club: &Club, sql: &'static str) -> i64 {
    sqlx::query(sql)
        .fetch_one(club.pool())
        .await
        .unwrap()
        .get(0)
}

#[tokio::test]
async fn the_link_sets_up_the_keeper_once() {
    let club = Club::open().await;
    let browser = club.browser();
    let path = set_up_path(&club).await;
    for _ in 0..2 {
        assert_eq!(
            browser.get(&path).await.status,
            200,
            "looking uses nothing up"
        );
    }
    let page = browser.get(&path).await;
    let labelled = [
        ("Your name", "Wren Ashby"),
        ("Password", PASSWORD),
        ("The same password again", PASSWORD),
    ];
    let done = browser.submit(&page, "Set up", &labelled).await;
    assert_eq!(
        (done.status, done.location()),
        (303, Some("/")),
        "{}",
        done.text
    );
    let home = browser.follow(done).await;
    assert_eq!(home.heading(), "Welcome, Wren Ashby");
    assert!(
        home.text.contains("Served over plain http"),
        "the keeper is warned"
    );

    let again = club.browser();
    assert_eq!(again.get(&path).await.status, 403);
    let second = again
        .post(&path, &[("name", "Mallory"), KEEPER[1], KEEPER[2]])
        .await;
    assert_eq!(second.status, 403);
    assert!(
        second.text.contains("keeper-link"),
        "the page tells the way on"
    );
    assert_eq!(count(&club, "select count(*) from members").await, 1);
    assert_eq!(again.sign_in("wren ashby", PASSWORD).await.status, 303);
}

#[tokio::test]
async fn nobody_sets_up_without_the_link() {
    let club = Club::open().await;
    let stranger = club.browser();
    for token in ["x", &"a".repeat(52)] {
        let path = format!("/set-up/{token}");
        assert_eq!(stranger.get(&path).await.status, 403);
        assert_eq!(stranger.post(&path, KEEPER).await.status, 403);
    }
    let expired = set_up_path(&club).await;
    club.database
        .owner()
        .await
        .execute("update one_time_links set expires_at = now() - interval '1 second'")
        .await
        .unwrap();
    assert_eq!(stranger.post(&expired, KEEPER).await.status, 403);
    assert_eq!(count(&club, "select count(*) from members").await, 0);
}

#[tokio::test]
async fn twenty_at_once_make_one_keeper() {
    let club = Club::open().await;
    let one = set_up_path(&club).await;
    let other = set_up_path(&club).await;
    let tries = (0..20).map(|number| {
        let (browser, path) = (
            club.browser(),
            if number % 2 == 0 {
                one.clone()
            } else {
                other.clone()
            },
        );
        async move {
            let name = format!("Keeper {number}");
            browser
                .post(&path, &[("name", &name), KEEPER[1], KEEPER[2]])
                .await
                .status
        }
    });
    let statuses = at_once(tries).await;
    assert_eq!(
        statuses.iter().filter(|status| **status == 303).count(),
        1,
        "{statuses:?}"
    );
    assert_eq!(
        count(&club, "select count(*) from members where role = 'keeper'").await,
        1
    );
    assert_eq!(count(&club, "select count(*) from members").await, 1);
}

async fn at_once<T>(tasks: impl Iterator<Item = impl Future<Output = T> + Send + 'static>) -> Vec<T>
where
    T: Send + 'static,
{
    let tasks: Vec<_> = tasks.map(tokio::spawn).collect();
    let mut answers = Vec::new();
    for task in tasks {
        answers.push(task.await.unwrap());
    }
    answers
}

#[tokio::test]
async fn a_refused_set_up_keeps_the_link_and_the_name() {
    let club = Club::open().await;
    let browser = club.browser();
    let path = set_up_path(&club).await;
    let page = browser.get(&path).await;
    let short = [
        ("Your name", "Wren Ashby"),
        ("Password", "short"),
        ("The same password again", "short"),
    ];
    let again = browser.submit(&page, "Set up", &short).await;
    assert_eq!(again.status, 422);
    assert!(
        again.fault("Password").contains("at least 15"),
        "{}",
        again.text
    );
    assert_eq!(again.value("Your name"), "Wren Ashby");
    assert_eq!(again.value("Password"), "", "a password never comes back");
    assert!(!again.text.contains("short"), "nor anywhere else");
    let unlike = [
        ("Password", PASSWORD),
        ("The same password again", "another harbour quilt"),
    ];
    let again = browser.submit(&again, "Set up", &unlike).await;
    assert!(
        again
            .fault("The same password again")
            .contains("same password")
    );
    let done = browser
        .submit(
            &again,
            "Set up",
            &[
                ("Password", PASSWORD),
                ("The same password again", PASSWORD),
            ],
        )
        .await;
    assert_eq!(done.status, 303);
}

#[tokio::test]
async fn sign_in_finds_the_name_however_written_and_leads_on() {
    let club = Club::open().await;
    let ada = a_member().named("Ada Lovewell").of(&club).await;
    let browser = club.browser();
    let asked = browser.get("/settings?x=1").await;
    assert_eq!(asked.location(), Some("/sign-in?next=/settings%3Fx%3D1"));
    let page = browser.follow(asked).await;
    let done = browser
        .submit(
            &page,
            "Sign in",
            &[("Name", " ADA  lovewell"), ("Password", PASSWORD)],
        )
        .await;
    assert_eq!(
        (done.status, done.location()),
        (303, Some("/settings?x=1")),
        "{}",
        done.text
    );
    assert_eq!(browser.follow(done).await.heading(), "Your settings");
    assert_eq!(
        browser.get("/sign-in?next=//evil.example").await.location(),
        Some("/")
    );
    let elsewhere = [
        ("name", ada.name.as_str()),
        ("password", PASSWORD),
        ("next", "https://evil.example/"),
    ];
    assert_eq!(
        club.browser().post("/sign-in", &elsewhere).await.location(),
        Some("/")
    );
}

#[tokio::test]
async fn an_unknown_name_looks_like_a_wrong_password_and_costs_the_same() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let shut_out = a_member().named("Bert").of(&club).await;
    club.database
        .owner()
        .await
        .execute("update members set disabled_at = now() where name = 'Bert'")
        .await
        .unwrap();
    let mut texts = Vec::new();
    for (name, password) in [
        (&*ada.name, "wrong"),
        ("Zed", "wrong"),
        (&*shut_out.name, PASSWORD),
        (&*ada.name, &"w".repeat(1025)),
    ] {
        let before = club.app.hasher.done();
        let page = club.browser().sign_in(name, password).await;
        assert_eq!(club.app.hasher.done() - before, 1, "one hash for {name}");
        assert_eq!(page.status, 422);
        texts.push(page.text.replace(name, "NAME"));
    }
    assert!(texts[0].contains("do not belong together"));
    assert!(
        texts.windows(2).all(|pair| pair[0] == pair[1]),
        "{texts:#?}"
    );
    let asked = std::env::var("MUSTWRIGHT_TIMED").ok();
    if let Some(pairs) = asked.and_then(|pairs| pairs.parse().ok()) {
        takes_the_same_time(pairs, &ada.name, &shut_out.name).await;
    }
}

/// Measures so many pairs of each: on a machine that does nothing else the medians lie within 5 ms.
async fn takes_the_same_time(pairs: u8, known: &str, shut_out: &str) {
    let club = Club::with(&[("MUSTWRIGHT_TRUSTED_PROXIES", "127.0.0.1")]).await;
    a_member().named(known).of(&club).await;
    a_member().named(shut_out).of(&club).await;
    let mut owner = club.database.owner().await;
    let shut = format!("update members set disabled_at = now() where name = '{shut_out}'");
    owner.execute(sqlx::AssertSqlSafe(shut)).await.unwrap();
    let browser = club.browser();
    let cases = [(known, "wrong"), ("Zed", "wrong"), (shut_out, PASSWORD)];
    let mut took = vec![Vec::new(); cases.len()];
    for pair in 0..pairs {
        for ((name, password), took) in cases.iter().zip(&mut took) {
            // From another network each time, and a count that is set back: nobody waits.
            owner.execute("delete from sign_in_tries").await.unwrap();
            let request = browser.request(reqwest::Method::POST, "/sign-in");
            let request = request
                .header("origin", club.app.site.origin())
                .header("x-forwarded-for", format!("203.0.113.{pair}"))
                .form(&[("name", *name), ("password", *password)]);
            let began = std::time::Instant::now();
            assert_eq!(browser.send(request).await.status, 422);
            took.push(began.elapsed().as_secs_f64() * 1000.0);
        }
    }
    let medians: Vec<f64> = took
        .iter_mut()
        .map(|times| {
            times.sort_by(f64::total_cmp);
            times[times.len() / 2]
        })
        .collect();
    println!("medians in ms of wrong, unknown and shut out: {medians:.2?}");
    for median in &medians {
        assert!((median - medians[0]).abs() < 5.0, "{medians:?}");
    }
}

#[tokio::test]
async fn settings_are_saved_and_faults_stand_beside_their_fields() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let page = browser.get("/settings").await;
    assert_eq!(page.value("Time zone"), "UTC");
    let fields = [
        ("units", "us"),
        ("theme", "dark"),
        ("zone", "Mars/Olympus"),
        ("sachet", "1e9"),
        ("powder_step", "0"),
        ("honey_step", "5 oz"),
    ];
    let again = browser.post("/settings", &fields).await;
    assert_eq!(again.status, 422);
    assert!(again.fault("Time zone").contains("list"), "{}", again.text);
    assert_eq!(
        again.value("Time zone"),
        "Mars/Olympus",
        "the text as typed comes back"
    );
    assert!(
        again
            .fault("One sachet of your yeast weighs, in grams")
            .contains("0.5 to 500")
    );
    for label in [
        "Your scale for powders shows steps of, in grams",
        "Your scale for honey shows steps of, in grams",
    ] {
        assert!(again.fault(label).contains("from 0.01"), "{label}");
    }
    let done = browser
        .post(
            "/settings",
            &[
                ("units", "us"),
                ("theme", "dark"),
                ("zone", "Europe/London"),
                ("sachet", "11,5"),
                ("powder_step", "0,1 g"),
                ("honey_step", "2"),
            ],
        )
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = browser.follow(done).await;
    assert!(page.text.contains("Your settings are saved."));
    assert!(page.text.contains("data-theme=\"dark\""));
    assert_eq!(page.value("Time zone"), "Europe/London");
    assert_eq!(
        page.value("One sachet of your yeast weighs, in grams"),
        "11.5 g"
    );
    for (label, kept) in [
        ("Your scale for powders shows steps of, in grams", "0.1 g"),
        ("Your scale for honey shows steps of, in grams", "2 g"),
    ] {
        assert_eq!(page.value(label), kept);
    }
}

#[tokio::test]
async fn extra_fields_change_nothing() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let fields = [
        ("units", "us"),
        ("theme", "light"),
        ("zone", "UTC"),
        ("sachet", "5"),
        ("powder_step", "1"),
        ("honey_step", "5"),
        ("role", "keeper"),
        ("id", "1"),
    ];
    assert_eq!(browser.post("/settings", &fields).await.status, 303);
    let role: Role = sqlx::query_scalar("select role from members where name = 'Ada'")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(role, Role::Member);
    let twice = [
        ("units", "us"),
        ("units", "metric"),
        ("theme", "light"),
        ("zone", "UTC"),
        ("sachet", "5"),
        ("powder_step", "1"),
        ("honey_step", "5"),
    ];
    assert_eq!(browser.post("/settings", &twice).await.status, 400);
}

const TYPED: &[(&str, &str)] = &[
    ("units", "us"),
    ("theme", "dark"),
    ("zone", "Europe/London"),
    ("sachet", "11,5 g <b>\"typed\"</b>"),
    ("powder_step", "1"),
    ("honey_step", "5"),
];

async fn typed_into_an_ended_session(club: &Club) -> (Browser, crate::support::Page) {
    let ada = a_member().of(club).await;
    let browser = club.browser_of(&ada).await;
    club.database
        .owner()
        .await
        .execute("update sessions set ended_at = now()")
        .await
        .unwrap();
    let page = browser.post("/settings", TYPED).await;
    assert_eq!(page.status, 401);
    assert_eq!(page.heading(), "Sign in");
    (browser, page)
}

#[tokio::test]
async fn what_was_typed_is_carried_through_the_sign_in_and_shown() {
    let club = Club::open().await;
    let (browser, page) = typed_into_an_ended_session(&club).await;
    let wrong = browser
        .submit(&page, "Sign in", &[("Name", "Ada"), ("Password", "wrong")])
        .await;
    assert_eq!(wrong.status, 422);
    let shown = browser
        .submit(
            &wrong,
            "Sign in",
            &[("Name", "Ada"), ("Password", PASSWORD)],
        )
        .await;
    assert_eq!(
        (shown.status, shown.heading().as_str()),
        (200, "You are signed in"),
        "{}",
        shown.text
    );
    assert!(
        shown
            .words_of("dl")
            .unwrap()
            .contains("11,5 g <b>\"typed\"</b>")
    );
    let unchanged: String = sqlx::query_scalar("select zone from members")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(unchanged, "UTC", "nothing was sent by itself");
    let sent = browser.submit(&shown, "Send again", &[]).await;
    assert_eq!(sent.status, 422, "it arrives as it was typed");
    assert_eq!(
        sent.value("One sachet of your yeast weighs, in grams"),
        TYPED[3].1
    );
}

#[tokio::test]
async fn what_one_member_typed_is_not_shown_to_another() {
    let club = Club::open().await;
    let (browser, page) = typed_into_an_ended_session(&club).await;
    a_member().named("Bert").of(&club).await;
    let other = browser
        .submit(
            &page,
            "Sign in",
            &[("Name", "Bert"), ("Password", PASSWORD)],
        )
        .await;
    assert_eq!(other.status, 200);
    assert!(!other.text.contains("typed&"), "{}", other.text);
    assert!(other.text.contains("that text is theirs"));
    assert!(!other.has_button("Send again"));
}

#[tokio::test]
async fn the_first_page_is_for_everybody() {
    let club = Club::with(&[("MUSTWRIGHT_BASE_URL", "https://mead.example/club")]).await;
    let keeper = a_keeper().of(&club).await;
    let page = club.browser().get("/").await;
    assert_eq!(
        (page.status, page.heading().as_str()),
        (200, "Tarn Valley Mead Circle")
    );
    assert_eq!(page.link("Sign in").as_deref(), Some("/club/sign-in"));
    let browser = club.browser();
    let signed_in = browser.sign_in(&keeper.name, PASSWORD).await;
    let cookie = signed_in.header("set-cookie").to_owned();
    assert!(
        cookie.starts_with("__Secure-mustwright=")
            && cookie.contains("Path=/club;")
            && cookie.contains("; Secure"),
        "{cookie}"
    );
    assert!(
        cookie.contains("HttpOnly") && cookie.contains("SameSite=Lax"),
        "{cookie}"
    );
    let home = browser.follow(signed_in).await;
    assert_eq!(home.heading(), "Welcome, Wren");
    assert!(!home.text.contains("Served over plain http"));
    assert_eq!(
        home.header("strict-transport-security"),
        "max-age=31536000; includeSubDomains"
    );
}

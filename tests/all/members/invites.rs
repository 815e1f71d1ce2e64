//! Invites: made by a keeper, opened by whoever has the link, used up by joining.

use std::sync::Arc;

use mustwright::members::invites::{Joined, NewInvite, store};
use mustwright::members::model::NewMember;
use mustwright::members::names::Name;
use mustwright::web::viewer::{Role, Settings};
use sqlx::Executor;

use super::{at_once, count};
use crate::support::{Browser, Club, PASSWORD, Page, Person, a_keeper, a_member};

/// Makes an invite by the form.
async fn invite(keeper: &Browser, role: &str, people: &str) -> Page {
    let page = keeper.get("/keeper/invites").await;
    let fields = [
        ("It makes", role),
        ("For how many people", people),
        ("For whom", "the Tuesday tasting"),
    ];
    keeper.submit(&page, "Make the invite", &fields).await
}

/// The path of the link that a page shows.
fn path_in(page: &Page) -> String {
    let link = page.words_of(".narrow .code").expect("a link");
    let at = link
        .find("/join/")
        .unwrap_or_else(|| panic!("{}", page.text));
    link[at..].to_owned()
}

async fn an_invite(club: &Club, wren: &Person, uses: i32, role: Role) -> String {
    let mut conn = club.pool().acquire().await.unwrap();
    let new = NewInvite {
        role,
        note: String::new(),
        uses,
        days: 7,
    };
    let id = store::make_invite(&mut conn, wren.id, &new).await.unwrap();
    let token = store::make_invite_link(&mut conn, &id).await.unwrap();
    format!("/join/{}", token.expect("a good invite"))
}

async fn join(browser: &Browser, path: &str, name: &str) -> Page {
    let fields = [
        ("name", name),
        ("new_password", PASSWORD),
        ("new_password_again", PASSWORD),
        ("units", "imperial"),
    ];
    browser.post(path, &fields).await
}

#[tokio::test]
async fn an_invite_leads_from_the_keeper_into_the_club() {
    let club = Club::open().await;
    let zone = Settings {
        zone: chrono_tz::Europe::Lisbon,
        ..Settings::default()
    };
    let wren = a_keeper().with(zone).of(&club).await;
    let keeper = club.browser_of(&wren).await;
    let shown = invite(&keeper, "member", "2").await;
    assert_eq!(
        (shown.status, shown.heading().as_str()),
        (200, "The invite’s link"),
        "{}",
        shown.text
    );
    assert_eq!(shown.header("cache-control"), "no-store");
    let path = path_in(&shown);
    let link = format!("http://{}{path}", club.address);
    assert!(
        shown
            .value("To paste into a chat or a letter")
            .contains(&link)
    );

    let stranger = club.browser();
    for _ in 0..3 {
        assert_eq!(
            stranger.get(&path).await.status,
            200,
            "looking uses nothing up"
        );
    }
    let page = stranger.get(&path).await;
    assert_eq!(page.heading(), "Join Tarn Valley Mead Circle");
    assert!(page.text.contains("Wren invites you"));
    let address = format!("http://{}/", club.address);
    assert!(
        page.words_of("dl").unwrap().contains(&address),
        "what to note down"
    );
    let fields = [
        ("Your name", "Ada Lovewell"),
        ("Password", PASSWORD),
        ("The same password again", PASSWORD),
        ("US: pounds, US gallons of 3.8 L, °F", ""),
    ];
    let done = stranger.submit(&page, "Join", &fields).await;
    assert_eq!(
        (done.status, done.location()),
        (303, Some("/welcome")),
        "{}",
        done.text
    );
    let welcome = stranger.follow(done).await;
    assert_eq!(welcome.heading(), "You are in, Ada Lovewell");
    assert!(welcome.words_of("dl").unwrap().contains(&address));
    let settings = stranger.get("/settings").await;
    assert!(
        settings.text.contains("value=\"us\" checked"),
        "{}",
        settings.text
    );
    assert_eq!(
        settings.value("Time zone"),
        "Europe/Lisbon",
        "where the keeper lives"
    );
    assert_eq!(
        club.browser()
            .sign_in("ada lovewell", PASSWORD)
            .await
            .status,
        303
    );

    assert_eq!(
        join(&club.browser(), &path, "Bert").await.location(),
        Some("/welcome")
    );
    let late = join(&club.browser(), &path, "Cora").await;
    assert_eq!(late.status, 403);
    assert!(
        late.text.contains("Ask whoever sent it"),
        "the page tells the way on"
    );
    assert_eq!(club.browser().get(&path).await.status, 403);
    let list = keeper.get("/keeper/invites").await;
    let row = list.words_of(".entries").unwrap();
    assert!(
        row.contains("used up") && row.contains("came in: Ada Lovewell, Bert"),
        "{row}"
    );
    assert!(row.contains("the Tuesday tasting: 2 members"), "{row}");
    assert!(!list.has_button("Take back: the Tuesday tasting: 2 members"));
}

#[tokio::test]
async fn of_fifty_at_once_exactly_the_limit_come_in() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let hash = club.app.hasher.hash(PASSWORD).await.unwrap();
    for limit in [1, 5] {
        let path = an_invite(&club, &wren, limit, Role::Member).await;
        let token: Arc<str> = path.trim_start_matches("/join/").into();
        let before = count(&club, "select count(*) from members").await;
        let tries = (0..50).map(|number| {
            let (pool, token, hash) = (club.pool().clone(), Arc::clone(&token), hash.clone());
            async move {
                let new = NewMember {
                    name: Name::read(&format!("Comer {limit} {number}")).unwrap(),
                    password_hash: Some(hash),
                    role: Role::Keeper,
                    settings: Settings::default(),
                };
                // A busy pool refuses after some seconds; whoever is refused presses again.
                let mut tx = loop {
                    if let Ok(tx) = pool.begin().await {
                        break tx;
                    }
                };
                let joined = store::join(&mut tx, &token, new).await.unwrap();
                if matches!(joined, Joined::In(_)) {
                    tx.commit().await.unwrap();
                }
                joined
            }
        });
        let outcomes = at_once(tries).await;
        let came = outcomes
            .iter()
            .filter(|joined| matches!(joined, Joined::In(_)));
        assert_eq!(came.count(), limit as usize, "{outcomes:?}");
        assert!(!outcomes.contains(&Joined::NameTaken));
        let after = count(&club, "select count(*) from members").await;
        assert_eq!(after - before, i64::from(limit));
    }
    assert_eq!(
        count(&club, "select count(*) from members where role = 'keeper'").await,
        1,
        "the invite decides what they become"
    );
}

#[tokio::test]
async fn of_fifty_forms_at_once_exactly_the_limit_come_in() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let path = an_invite(&club, &wren, 3, Role::Member).await;
    let tries = (0..50).map(|number| {
        let (browser, path) = (club.browser(), path.clone());
        async move {
            loop {
                let page = join(&browser, &path, &format!("Comer {number}")).await;
                // The queue for passwords is short; whoever is refused presses again.
                if page.status != 503 {
                    return page.status;
                }
            }
        }
    });
    let statuses = at_once(tries).await;
    let came = statuses.iter().filter(|status| **status == 303).count();
    let refused = statuses.iter().filter(|status| **status == 403).count();
    assert_eq!((came, refused), (3, 47), "{statuses:?}");
    assert_eq!(count(&club, "select count(*) from members").await, 4);
}

#[tokio::test]
async fn a_name_that_looks_like_anothers_is_taken() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let path = an_invite(&club, &wren, 1, Role::Member).await;
    let browser = club.browser();
    for name in [
        "WREN",
        " wren. ",
        "Wr\u{435}n",
        "\u{ff37}ren",
        "W\u{200b}ren",
        "Wren\u{200d}",
        "\u{202e}nerW",
        "Wre\u{578}",
        "Wre\u{207f}",
        "W\u{ab71}en",
        "Wren\u{0}",
    ] {
        let page = join(&browser, &path, name).await;
        assert!(
            [400, 422].contains(&page.status),
            "{name:?}: {}",
            page.status
        );
    }
    assert_eq!(count(&club, "select count(*) from members").await, 1);
    assert_eq!(join(&browser, &path, "Ren").await.status, 303);
}

#[tokio::test]
async fn a_refused_form_uses_nothing_up_and_keeps_what_was_typed() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let path = an_invite(&club, &wren, 1, Role::Member).await;
    let browser = club.browser();
    let taken = join(&browser, &path, "WREN").await;
    assert_eq!(taken.status, 422);
    assert!(
        taken.fault("Your name").contains("Somebody here"),
        "{}",
        taken.text
    );
    assert_eq!(taken.value("Your name"), "WREN");
    assert!(taken.text.contains("value=\"imperial\" checked"));
    assert!(!taken.text.contains(PASSWORD));
    let weak = browser
        .submit(
            &taken,
            "Join",
            &[
                ("Your name", "Ada"),
                ("Password", "short"),
                ("The same password again", "short"),
            ],
        )
        .await;
    assert!(weak.fault("Password").contains("at least 15"));
    let none = browser.post(&path, &[("units", "cubits")]).await;
    assert_eq!(none.status, 422);
    assert!(none.fault("Your name").contains("Enter your name"));
    assert!(none.text.contains("Choose one of the units offered."));
    assert_eq!(join(&browser, &path, "Ada").await.status, 303);
}

#[tokio::test]
async fn a_double_click_leads_in_once() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let path = an_invite(&club, &wren, 1, Role::Member).await;
    let browser = club.browser();
    assert_eq!(join(&browser, &path, "Ada").await.status, 303);
    let again = club.browser();
    assert_eq!(join(&again, &path, "ada").await.status, 303);
    assert_eq!(again.get("/settings").await.status, 200);
    let guess = [
        ("name", "Ada"),
        ("new_password", "four geese tumble past the weir"),
        ("new_password_again", "four geese tumble past the weir"),
        ("units", "us"),
    ];
    assert_eq!(
        club.browser().post(&path, &guess).await.status,
        403,
        "another password leads nowhere"
    );
    club.database
        .owner()
        .await
        .execute("update members set created_at = now() - interval '11 minutes'")
        .await
        .unwrap();
    assert_eq!(
        join(&club.browser(), &path, "Ada").await.status,
        403,
        "later the door is the sign-in"
    );
    assert_eq!(count(&club, "select count(*) from members").await, 2);
}

#[tokio::test]
async fn whatever_is_wrong_with_a_link_looks_the_same() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let bert = a_keeper().named("Bert").of(&club).await;
    let cora = a_keeper().named("Cora").of(&club).await;
    let dora = a_keeper().named("Dora").of(&club).await;
    let mut paths = vec![format!("/join/{}", "a".repeat(52)), "/join/x".to_owned()];
    for maker in [&wren, &bert, &cora, &dora] {
        paths.push(an_invite(&club, maker, 1, Role::Keeper).await);
    }
    let mut owner = club.database.owner().await;
    for sql in [
        "update invites set expires_at = now() - interval '1 second' where id = 1",
        "update invites set revoked_at = now() where id = 2",
        "update members set role = 'organiser' where name = 'Cora'",
        "update members set disabled_at = now() where name = 'Dora'",
    ] {
        owner.execute(sql).await.unwrap();
    }
    let stranger = club.browser();
    let mut texts = Vec::new();
    for path in &paths {
        assert_eq!(stranger.get(path).await.status, 403, "{path}");
        let page = join(&stranger, path, "Mallory").await;
        assert_eq!(page.status, 403, "{path}");
        texts.push(page.words_of("main .lead").unwrap());
    }
    assert!(
        texts.windows(2).all(|pair| pair[0] == pair[1]),
        "{texts:#?}"
    );
    assert_eq!(count(&club, "select count(*) from members").await, 4);
    let keeper = club.browser_of(&wren).await;
    let list = keeper
        .get("/keeper/invites")
        .await
        .words_of(".entries")
        .unwrap();
    for state in [
        "ran out on",
        "taken back",
        "whoever made it is no keeper now",
    ] {
        assert!(list.contains(state), "{state}: {list}");
    }
}

#[tokio::test]
async fn an_invite_is_taken_back_with_all_its_links() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let keeper = club.browser_of(&wren).await;
    let first = path_in(&invite(&keeper, "member", "5").await);
    let list = keeper.get("/keeper/invites").await;
    let second = keeper
        .submit(&list, "Show a link: the Tuesday tasting: 5 members", &[])
        .await;
    let second = path_in(&second);
    assert_ne!(first, second);
    assert_eq!(join(&club.browser(), &first, "Ada").await.status, 303);
    assert_eq!(join(&club.browser(), &second, "Bert").await.status, 303);
    let done = keeper
        .submit(&list, "Take back: the Tuesday tasting: 5 members", &[])
        .await;
    let list = keeper.follow(done).await;
    assert!(list.text.contains("taken back"), "{}", list.text);
    for path in [&first, &second] {
        assert_eq!(join(&club.browser(), path, "Cora").await.status, 403);
    }
    for action in ["link", "take-back"] {
        let path = format!("/keeper/invites/{}/{action}", "a".repeat(20));
        assert_eq!(keeper.post(&path, &[]).await.status, 404);
    }
}

#[tokio::test]
async fn what_gives_more_than_membership_is_for_one_person() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let keeper = club.browser_of(&wren).await;
    let refused = invite(&keeper, "organiser", "2").await;
    assert_eq!(refused.status, 422);
    assert!(
        refused.fault("For how many people").contains("one person"),
        "{}",
        refused.text
    );
    assert_eq!(refused.value("For whom"), "the Tuesday tasting");
    let shown = keeper
        .submit(&refused, "Make the invite", &[("For how many people", "1")])
        .await;
    let path = path_in(&shown);
    let page = club.browser().get(&path).await;
    assert!(
        page.text.contains("you become an organiser"),
        "{}",
        page.text
    );
    assert_eq!(join(&club.browser(), &path, "Ada").await.status, 303);
    let roles: Vec<Role> = sqlx::query_scalar("select role from members where name = 'Ada'")
        .fetch_all(club.pool())
        .await
        .unwrap();
    assert_eq!(roles, [Role::Organiser]);
    for (field, text) in [
        ("role", "owner"),
        ("uses", "0"),
        ("uses", "101"),
        ("uses", "1.5"),
        ("uses", "many"),
        ("days", "30"),
        ("days", ""),
        ("note", &*"x".repeat(81)),
        ("note", "two\nlines"),
    ] {
        let page = keeper.get("/keeper/invites").await;
        let (path, mut fields) = page.filled("Make the invite", &[]);
        fields
            .iter_mut()
            .filter(|(name, _)| name == field)
            .for_each(|(_, value)| *value = text.to_owned());
        let pairs: Vec<_> = fields
            .iter()
            .map(|(n, v)| (n.as_str(), v.as_str()))
            .collect();
        let page = keeper.post(&path, &pairs).await;
        assert_eq!(page.status, 422, "{field} {text}");
    }
    assert_eq!(count(&club, "select count(*) from invites").await, 1);
}

#[tokio::test]
async fn a_double_click_makes_one_invite() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let keeper = club.browser_of(&wren).await;
    let page = keeper.get("/keeper/invites").await;
    let first = path_in(&keeper.submit(&page, "Make the invite", &[]).await);
    let second = path_in(&keeper.submit(&page, "Make the invite", &[]).await);
    assert_eq!(count(&club, "select count(*) from invites").await, 1);
    assert_eq!(join(&club.browser(), &second, "Ada").await.status, 303);
    assert_eq!(join(&club.browser(), &first, "Bert").await.status, 403);
}

#[tokio::test]
async fn only_keepers_invite() {
    let club = Club::open().await;
    let (wren, ada) = (a_keeper().of(&club).await, a_member().of(&club).await);
    let keeper = club.browser_of(&wren).await;
    let shown = invite(&keeper, "member", "3").await;
    assert_eq!(shown.status, 200);
    let page = keeper.get("/keeper/invites").await;
    let (action, _) = page.filled("Take back: the Tuesday tasting: 3 members", &[]);
    let member = club.browser_of(&ada).await;
    assert!(member.get("/").await.link("Keeper").is_none());
    assert_eq!(
        keeper.get("/").await.link("Keeper").as_deref(),
        Some("/keeper")
    );
    for path in [
        "/keeper/invites",
        &*action,
        &*action.replace("take-back", "link"),
    ] {
        assert_eq!(member.post(path, &[]).await.status, 404, "{path}");
        assert_eq!(club.browser().post(path, &[]).await.status, 401, "{path}");
    }
    assert_eq!(
        join(&club.browser(), &path_in(&shown), "Bert").await.status,
        303
    );
}

#[tokio::test]
async fn a_signed_in_member_is_told_so() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let path = an_invite(&club, &wren, 1, Role::Member).await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let page = ada.get(&path).await;
    assert!(
        page.text.contains("You are a member already."),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn the_database_holds_only_hashes_of_links() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let path = an_invite(&club, &wren, 1, Role::Member).await;
    let token = path.trim_start_matches("/join/");
    for table in ["invites", "invite_links"] {
        let sql = sqlx::AssertSqlSafe(format!("select t::text from {table} t"));
        let rows: Vec<String> = sqlx::query_scalar(sql)
            .fetch_all(club.pool())
            .await
            .unwrap();
        assert_eq!(rows.len(), 1);
        assert!(!rows[0].contains(token));
    }
}

#[tokio::test]
async fn old_invites_are_forgotten_and_members_stay() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let used = an_invite(&club, &wren, 1, Role::Member).await;
    assert_eq!(join(&club.browser(), &used, "Ada").await.status, 303);
    an_invite(&club, &wren, 1, Role::Member).await;
    let mut conn = club.pool().acquire().await.unwrap();
    mustwright::members::store::forget_old(&mut conn)
        .await
        .unwrap();
    assert_eq!(count(&club, "select count(*) from invites").await, 2);
    club.database
        .owner()
        .await
        .execute("update invites set expires_at = now() - interval '31 days'")
        .await
        .unwrap();
    mustwright::members::store::forget_old(&mut conn)
        .await
        .unwrap();
    assert_eq!(count(&club, "select count(*) from invites").await, 1);
    assert_eq!(count(&club, "select count(*) from invite_links").await, 0);
    assert_eq!(
        count(
            &club,
            "select count(*) from members where invite_id is not null"
        )
        .await,
        1
    );
}

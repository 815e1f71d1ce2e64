//! Changing and renewing passwords, and how wrong ones slow down.

use std::net::IpAddr;

use mustwright::members::invites::{NewInvite, store as invites};
use mustwright::members::links::store;
use mustwright::members::names::key_of;
use mustwright::members::passwords::{Checked, Hasher};
use mustwright::members::strength::refusal;
use mustwright::members::throttle::Try;
use mustwright::web::viewer::Role;
use sqlx::Executor;

use crate::support::{Browser, Club, PASSWORD, Person, a_keeper, a_member};

const NEW: &str = "four geese tumble past the weir";

async fn change(browser: &Browser, old: &str, new: &str, again: &str) -> crate::support::Page {
    let page = browser.get("/settings/password").await;
    let labelled = [
        ("Password that you have now", old),
        ("New password", new),
        ("The same new password again", again),
    ];
    browser
        .submit(&page, "Change the password", &labelled)
        .await
}

#[tokio::test]
async fn a_change_wants_the_old_one_and_ends_all_other_sessions() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let (here, there, elsewhere) = (
        club.browser_of(&ada).await,
        club.browser_of(&ada).await,
        club.browser_of(&ada).await,
    );
    let before = here.cookie_line();
    let wrong = change(&here, "not the old one", NEW, NEW).await;
    assert_eq!(wrong.status, 422);
    assert!(
        wrong
            .fault("Password that you have now")
            .contains("not the password"),
        "{}",
        wrong.text
    );
    assert_eq!(change(&here, "", NEW, NEW).await.status, 422);
    let same = change(&here, PASSWORD, PASSWORD, PASSWORD).await;
    assert!(
        same.fault("New password").contains("another password"),
        "{}",
        same.text
    );
    let done = change(&here, PASSWORD, NEW, NEW).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_ne!(here.cookie_line(), before, "a new token");
    assert_eq!(here.get("/settings").await.status, 200);
    for other in [&there, &elsewhere] {
        assert_eq!(other.get("/settings").await.status, 303);
    }
    let old = club.browser();
    old.take_cookies(&before);
    assert_eq!(
        old.get("/settings").await.status,
        303,
        "the token before the change is dead too"
    );
    assert_eq!(
        club.browser().sign_in(&ada.name, PASSWORD).await.status,
        422
    );
    assert_eq!(club.browser().sign_in(&ada.name, NEW).await.status, 303);
}

#[tokio::test]
async fn weak_new_passwords_are_refused_at_every_door() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let mut conn = club.pool().acquire().await.unwrap();
    let set_up = format!(
        "/set-up/{}",
        store::make_link(&mut conn, None).await.unwrap()
    );
    let renew = format!(
        "/new-password/{}",
        store::make_link(&mut conn, Some(ada.id)).await.unwrap()
    );
    drop(conn);
    let too_long = "velvet orchard 7 tumbling geese ".repeat(33);
    let weak = [
        "vivid cloud fo",
        "Tarn Valley Mead Circle",
        "passwordpassword1",
        "abcabcabcabcabcabc",
        "manchester united",
        "Manch3ster Un1ted",
        &too_long[..1025],
    ];
    for path in ["/settings/password", &set_up, &renew] {
        refuses(&club, &browser, path, &weak).await;
    }
    // Whoever invites is a keeper, and once there is one nobody is set up.
    let wren = a_keeper().of(&club).await;
    let new = NewInvite {
        role: Role::Member,
        note: String::new(),
        uses: 1,
        days: 7,
    };
    let mut conn = club.pool().acquire().await.unwrap();
    let invite = invites::make_invite(&mut conn, wren.id, &new)
        .await
        .unwrap();
    let token = invites::make_invite_link(&mut conn, &invite).await.unwrap();
    drop(conn);
    let join = format!("/join/{}", token.unwrap());
    refuses(&club, &club.browser(), &join, &weak).await;
}

/// A door where each of these is refused beside its field, before anything is hashed.
async fn refuses(club: &Club, browser: &Browser, path: &str, weak: &[&str]) {
    for &weak in weak {
        let before = club.app.hasher.done();
        let fields = [
            ("name", "Lin"),
            ("units", "metric"),
            ("password", PASSWORD),
            ("new_password", weak),
            ("new_password_again", weak),
        ];
        let page = browser.post(path, &fields).await;
        assert_eq!(page.status, 422, "{path} {weak}");
        assert!(page.text.contains("new_password-fault"), "{path} {weak}");
        assert_eq!(club.app.hasher.done(), before, "nothing is hashed");
    }
}

#[test]
fn what_is_guessed_early_is_refused_with_why_and_what_helps() {
    let context = ["Tarn Valley Mead Circle", "Ada Lovewell"];
    for (password, why) in [
        ("manchester united", "words, names"),
        ("Manch3ster Un1ted", "words, names"),
        ("chelsea arsenal", "words, names"),
        ("starwars startrek", "words, names"),
        ("jennifer jessica", "words, names"),
        ("lovewell tarnvalley", "names of the club or of you"),
        ("x7x7x7x7x7x7x7x7", "neither repeats nor counts"),
    ] {
        let told = refusal(password, &context).unwrap_or_default();
        assert!(told.contains(why), "{password}: {told}");
    }
    let told = refusal("manchester united", &context).unwrap_or_default();
    assert!(told.contains("Add two words"), "{told}");
    for password in [
        "nettle quilt harbour seven",
        "vivid cloud fog",
        "quillfeather yarrowby",
        "Kx9#vTq2!mZr7&Lp",
        "ходила баба по лесу",
        "ä🐝ö🍯ü🫙ß🌼é🌸ñ🐻ø🪵å",
    ] {
        assert_eq!(refusal(password, &context), None, "{password}");
    }
    // Whose small letters are more than they were, marks without a letter, halves of pictures: no text is too odd.
    for odd in [
        "İ",
        "ẞ",
        "\u{301}",
        "\u{fe0f}",
        "ﷺ",
        "\u{10ffff}",
        "1/1/1",
        "\u{1d7d8}",
    ] {
        for times in [1, 2, 3] {
            let odd = odd.repeat(times);
            let told = refusal(&format!("q{odd}uartz {odd}fjord{odd} vexing"), &context);
            assert_eq!(told, None, "{odd}");
        }
    }
}

#[tokio::test]
async fn long_and_strange_passwords_work_to_the_last_byte() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    // Sixty-four, and no part of them again and again.
    let bees = ["🐝", "🍯", "🌼", "🐻", "🪵", "🫙", "🌸", "🍒"];
    let emoji: String = (0..64).map(|at| bees[(at * at + at / 8) % 8]).collect();
    let long = format!("{} end", "velvet orchard 7 tumbling geese; ".repeat(20));
    let (mut old, mut person) = (PASSWORD.to_owned(), ada.clone());
    for new in [emoji, long] {
        assert_eq!(
            change(&browser, &old, &new, &new).await.status,
            303,
            "{new}"
        );
        person.password = new.clone();
        assert_eq!(
            club.browser()
                .sign_in(&person.name, &format!("{new} "))
                .await
                .status,
            422
        );
        club.browser_of(&person).await;
        old = new;
    }
}

#[tokio::test]
async fn a_link_renews_the_password_once() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let browser = club.browser_of(&wren).await;
    let mut conn = club.pool().acquire().await.unwrap();
    let path = format!(
        "/new-password/{}",
        store::make_link(&mut conn, Some(wren.id)).await.unwrap()
    );
    let expired = format!(
        "/new-password/{}",
        store::make_link(&mut conn, Some(wren.id)).await.unwrap()
    );
    drop(conn);
    let mut owner = club.database.owner().await;
    owner
        .execute("update one_time_links set expires_at = now() where id = (select max(id) from one_time_links)")
        .await
        .unwrap();
    assert_eq!(club.browser().get(&expired).await.status, 403);
    let other = club.browser();
    let page = other.get(&path).await;
    assert_eq!(page.heading(), "A new password for Wren");
    let done = other
        .submit(
            &page,
            "Set the new password",
            &[("New password", NEW), ("The same password again", NEW)],
        )
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(other.get("/settings").await.status, 200);
    assert_eq!(
        browser.get("/settings").await.status,
        303,
        "older sessions are ended"
    );
    let fields = [("new_password", PASSWORD), ("new_password_again", PASSWORD)];
    assert_eq!(club.browser().post(&path, &fields).await.status, 403);
    assert_eq!(club.browser().sign_in(&wren.name, NEW).await.status, 303);
}

#[tokio::test]
async fn a_weak_hash_is_renewed_at_sign_in() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let weak = Hasher::with(64, 1).unwrap().hash(PASSWORD).await.unwrap();
    sqlx::query("update members set password_hash = $1")
        .bind(weak)
        .execute(club.pool())
        .await
        .unwrap();
    assert_eq!(club.browser().sign_in(&ada.name, "wrong").await.status, 422);
    club.browser_of(&ada).await;
    let hash: String = sqlx::query_scalar("select password_hash from members")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert!(
        hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"),
        "{hash}"
    );
    club.browser_of(&ada).await;
}

#[tokio::test]
async fn wrong_passwords_slow_down_and_survive_a_restart() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser();
    let mut statuses = Vec::new();
    for number in 0..30 {
        statuses.push(
            browser
                .sign_in(&ada.name, &format!("wrong {number}"))
                .await
                .status,
        );
    }
    assert_eq!(statuses[..5], [422; 5], "{statuses:?}");
    assert!(
        statuses[5..]
            .iter()
            .filter(|status| **status == 429)
            .count()
            > 20,
        "{statuses:?}"
    );
    let refused = browser.sign_in(&ada.name, PASSWORD).await;
    assert_eq!(refused.status, 429, "the right one too, from here");
    let seconds: u32 = refused.header("retry-after").parse().unwrap();
    assert!((1..=900).contains(&seconds), "{seconds}");
    assert!(refused.text.contains("too many tries"));

    let restarted = mustwright::serve::app(
        &mustwright::config::Config::from_values(Default::default()).unwrap(),
        club.database.pool(2),
        "http://127.0.0.1",
        Default::default(),
    )
    .unwrap();
    let here = Try::of(&key_of(&ada.name), IpAddr::from([127, 0, 0, 1]));
    let there = Try::of(&key_of(&ada.name), IpAddr::from([203, 0, 113, 9]));
    let mut conn = restarted.pool.acquire().await.unwrap();
    assert!(
        here.count(&mut conn).await.is_err(),
        "the count lies in the database"
    );
    assert!(
        there.count(&mut conn).await.is_ok(),
        "from elsewhere the member comes in"
    );
}

#[tokio::test]
async fn tries_at_once_are_all_counted() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let tries: Vec<_> = (0..40)
        .map(|_| {
            let (browser, name) = (club.browser(), ada.name.clone());
            tokio::spawn(async move { browser.sign_in(&name, "wrong").await.status })
        })
        .collect();
    let mut looked_at = 0;
    for task in tries {
        looked_at += u32::from(task.await.unwrap() == 422);
    }
    assert!(looked_at <= 5, "{looked_at} passwords were looked at");
}

#[tokio::test]
async fn more_at_once_than_there_is_room_for_come_again_later() {
    let hasher = Hasher::start().unwrap();
    let stored = hasher.hash(PASSWORD).await.unwrap();
    let checks: Vec<_> = (0..60)
        .map(|_| {
            let (hasher, stored) = (hasher.clone(), stored.clone());
            tokio::spawn(async move { hasher.check(PASSWORD, Some(&stored)).await })
        })
        .collect();
    let (mut right, mut later) = (0, 0);
    for check in checks {
        match check.await.unwrap() {
            Ok(checked) => {
                assert_eq!(checked, Checked::Right);
                right += 1;
            }
            Err(error) => {
                assert!(error.retry_after().is_some());
                later += 1;
            }
        }
    }
    assert!(right >= 16, "{right}: a queue is served");
    assert!(later >= 20, "{later}: and it is short");
}

#[tokio::test]
async fn a_name_tried_from_everywhere_lets_its_owner_in_from_where_they_were_before() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    club.browser_of(&ada).await;
    let mut conn = club.pool().acquire().await.unwrap();
    let key = key_of(&ada.name);
    let mut refused = 0;
    for number in 0..80u8 {
        let from = Try::of(&key, IpAddr::from([198, 51, 100, number]));
        refused += u32::from(from.count(&mut conn).await.is_err());
    }
    assert!(
        refused >= 20,
        "a name has 50 free tries over all addresses: {refused}"
    );
    let fresh = Try::of(&key, IpAddr::from([203, 0, 113, 9]))
        .count(&mut conn)
        .await;
    assert!(
        fresh.unwrap_err().retry_after().unwrap() <= 10,
        "a moment for others"
    );
    drop(conn);
    club.browser_of(&ada).await;
}

#[tokio::test]
async fn forwarded_addresses_count_only_from_trusted_proxies() {
    for (trusted, wanted) in [("", 429), ("127.0.0.1", 422)] {
        let club = Club::with(&[("MUSTWRIGHT_TRUSTED_PROXIES", trusted)]).await;
        let ada: Person = a_member().of(&club).await;
        let browser = club.browser();
        let mut last = 0;
        for number in 0..8 {
            let request = browser.request(reqwest::Method::POST, "/sign-in");
            let request = request
                .header("origin", club.app.site.origin())
                .header("x-forwarded-for", format!("203.0.113.{number}"));
            last = browser
                .send(request.form(&[("name", ada.name.as_str()), ("password", "wrong")]))
                .await
                .status;
        }
        assert_eq!(last, wanted, "trusted: {trusted:?}");
    }
}

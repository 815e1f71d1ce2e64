//! What happens by itself: a backup a night, a trial a month, old files gone, and what the keeper's page tells of it.

use std::fs;

use chrono::{DateTime, TimeDelta, Utc};
use mustwright::admin::store::{Outcome, last_trial};
use mustwright::backup::{BackupError, Nightly};

use super::{a_folder, header_of, source, text};
use crate::support::{Browser, Club, Command, a_keeper};

#[tokio::test]
async fn a_night_makes_a_backup_tries_it_and_lets_old_ones_go() {
    let club = Club::open().await;
    let keeper = a_keeper().of(&club).await;
    let folder = a_folder();
    let nightly = Nightly {
        source: source(&club.database),
        dir: folder.path().join("made when needed"),
    };
    let now: DateTime<Utc> = Utc::now();
    nightly.night(now).await.unwrap();
    let (made_at, file) = mustwright::backup::nightly::newest(&nightly.dir).unwrap();
    assert_eq!(made_at.timestamp(), now.timestamp());
    assert_eq!(header_of(&file).await.rows("members"), Some(1));
    let mut conn = club.database.owner().await;
    let tried = last_trial(&mut conn).await.unwrap().unwrap();
    assert_eq!(tried.trial.outcome, Outcome::Whole, "{}", tried.trial.said);
    assert!(
        tried.trial.said.contains("1 members"),
        "{}",
        tried.trial.said
    );

    // Old ones go, files that are not ours stay; no second trial within the month.
    let (gone, kept) = (
        "mustwright-20250110-030000.backup",
        "mustwright-20250110-040000.backup",
    );
    let killed = "mustwright-20250111-030000.backup.unfinished";
    for other in [gone, kept, killed, "mine.backup"] {
        fs::write(nightly.dir.join(other), b"old").unwrap();
    }
    let next = now + TimeDelta::days(1);
    nightly.night(next).await.unwrap();
    let mut left: Vec<String> = fs::read_dir(&nightly.dir)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    left.sort();
    let is_left = |name: &str| left.iter().any(|other| other == name);
    let stand = [gone, kept, killed, "mine.backup"].map(is_left);
    assert_eq!(stand, [false, true, false, true], "{left:?}");
    assert_eq!(last_trial(&mut conn).await.unwrap().unwrap(), tried);

    // The keeper reads where they lie, how old the last one is and whether it comes back.
    let (owner, app) = club.database.urls();
    let mut server = Command::start(
        &[],
        &[
            ("MIGRATE_DATABASE_URL", owner.as_str()),
            ("DATABASE_URL", app.as_str()),
            ("MUSTWRIGHT_LISTEN", "127.0.0.1:0"),
            ("MUSTWRIGHT_SECOND_FACTOR", "nobody"),
            ("MUSTWRIGHT_BACKUP_DIR", text(&nightly.dir)),
        ],
    );
    let line = server.says("Mustwright serves").await.expect("it serves");
    let origin = line.rsplit(' ').next().unwrap().trim_end_matches('/');
    let address = origin.trim_start_matches("http://").parse().unwrap();
    let browser = Browser::new(address, origin, "");
    assert_eq!(
        browser.sign_in(&keeper.name, &keeper.password).await.status,
        303
    );
    let page = browser.get("/keeper/health").await;
    for words in [
        "less than a day old",
        "One is made by itself every night",
        text(&nightly.dir),
        "everything came back",
        "A backup of everything every night",
    ] {
        assert!(page.text.contains(words), "{words}: {}", page.text);
    }

    // A backup that does not come back is told loudly, by hand and on both pages.
    let (_, newest) = mustwright::backup::nightly::newest(&nightly.dir).unwrap();
    let mut bytes = fs::read(&newest).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    fs::write(&newest, bytes).unwrap();
    let refused = nightly.try_now(next).await.unwrap_err();
    assert!(matches!(refused, BackupError::Tried(_)), "{refused}");
    let page = browser.get("/keeper/health").await;
    assert!(
        page.text.contains("it did not come back whole"),
        "{}",
        page.text
    );
    let page = browser.get("/keeper").await;
    assert!(
        page.text.contains("The last trial of a backup."),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn of_two_servers_at_once_one_makes_it() {
    let club = Club::open().await;
    let folder = a_folder();
    let nightly = Nightly {
        source: source(&club.database),
        dir: folder.path().to_owned(),
    };
    let now = Utc::now();
    let made = tokio::join!(
        mustwright::backup::nightly::make(&nightly.source, &nightly.dir, now),
        mustwright::backup::nightly::make(
            &nightly.source,
            &nightly.dir,
            now + TimeDelta::seconds(1)
        ),
    );
    let (one, other) = (made.0.is_ok(), made.1.is_ok());
    assert!(one || other, "{:?} {:?}", made.0.err(), made.1.err());
    let files = fs::read_dir(folder.path()).unwrap().count();
    assert_eq!(files, usize::from(one) + usize::from(other));
    for refused in [made.0.err(), made.1.err()].into_iter().flatten() {
        assert!(matches!(refused, BackupError::UnderWay), "{refused}");
    }
}

#[tokio::test]
async fn where_nothing_is_made_by_itself_the_page_says_so() {
    let club = Club::open().await;
    let keeper = club.browser_of(&a_keeper().of(&club).await).await;
    let page = keeper.get("/keeper/health").await;
    assert!(
        page.text.contains("None is made by itself."),
        "{}",
        page.text
    );
    assert!(!page.text.contains("Can it be brought back?"));
}

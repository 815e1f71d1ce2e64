//! The chain of what was done: whoever changes a row in the database, past all triggers, is found out.

use mustwright::competitions::deeds::{self, Deed, broken, store};
use mustwright::competitions::model::{Duty, Phase};
use serde_json::json;
use sqlx::{AssertSqlSafe, Executor};

use super::building::{Held, a_competition};
use super::organise::organiser;
use crate::support::{Club, a_member};

/// Writes deeds whose values the database keeps in a way of its own.
async fn with_deeds(club: &Club) -> Held {
    let person = a_member().named("Ada").of(club).await;
    let held = a_competition().of(club, &person).await;
    let mut conn = club.pool().acquire().await.expect("a connection");
    for about in [
        json!({ "zz": 1, "a": { "y": 2.0, "longer": [3, "x"] } }),
        json!({ "small": 1e-7, "large": 1e18, "none": null, "minus": -0.0, "words": "“é” \n\u{1f36f}" }),
        json!({}),
    ] {
        let deed = Deed {
            deed: "tried",
            about,
            reason: "to see",
        };
        let done = deeds::write(
            &mut conn,
            held.id,
            Some(person.id),
            &deed,
            chrono::Utc::now(),
        );
        done.await.expect("a row");
    }
    held
}

async fn first_broken(club: &Club, held: &Held) -> Option<i32> {
    let mut conn = club.pool().acquire().await.expect("a connection");
    let links = store::all(&mut conn, held.id).await.expect("the chain");
    broken(&links)
}

#[tokio::test]
async fn what_was_written_fits_as_the_database_gives_it_back() {
    let club = Club::open().await;
    let held = with_deeds(&club).await;
    assert_eq!(first_broken(&club, &held).await, None);
}

#[tokio::test]
async fn every_way_to_change_a_row_breaks_the_chain_there() {
    for (change, row) in [
        (
            "update competition_deeds set reason = 'not to see' where number = 3",
            3,
        ),
        (
            "update competition_deeds set about = jsonb_set(about, '{zz}', '2') where number = 2",
            2,
        ),
        (
            "update competition_deeds set about = about || '{\"more\": 1}' where number = 4",
            4,
        ),
        (
            "update competition_deeds set at = at + interval '1 microsecond' where number = 3",
            3,
        ),
        (
            "update competition_deeds set by_id = null where number = 3",
            3,
        ),
        (
            "update competition_deeds set deed = 'trieD' where number = 2",
            2,
        ),
        (
            "update competition_deeds set hash = decode(repeat('00', 32), 'hex') where number = 3",
            3,
        ),
        ("delete from competition_deeds where number = 2", 2),
        (
            "delete from competition_deeds where number = 3;
             update competition_deeds set number = 3 where number = 4",
            3,
        ),
    ] {
        let club = Club::open().await;
        let held = with_deeds(&club).await;
        let mut owner = club.database.owner().await;
        // The serving role cannot, nor the owner by a plain statement.
        assert!(
            club.pool().execute(AssertSqlSafe(change)).await.is_err(),
            "{change}"
        );
        assert!(
            owner.execute(AssertSqlSafe(change)).await.is_err(),
            "{change}"
        );
        assert_eq!(first_broken(&club, &held).await, None);
        for past in ["alter table competition_deeds disable trigger user", change] {
            owner.execute(AssertSqlSafe(past)).await.expect("a change");
        }
        assert_eq!(first_broken(&club, &held).await, Some(row), "{change}");
    }
}

#[tokio::test]
async fn the_page_says_which_row_does_not_fit_and_hides_who_entered() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    let cy = a_member().named("Cy").of(&club).await;
    let held = a_competition()
        .with(&cy, Duty::Judge)
        .of(&club, &person)
        .await;
    let mut conn = club.pool().acquire().await.expect("a connection");
    let deed = Deed {
        deed: "entered",
        about: json!({ "code": "AX234" }),
        reason: "",
    };
    let now = chrono::Utc::now();
    deeds::write(&mut conn, held.id, Some(bo.id), &deed, now)
        .await
        .expect("a row");
    let apart = Deed {
        deed: "kept_apart",
        about: json!({ "judge": cy.id.0, "seats": "flight 4711" }),
        reason: "",
    };
    deeds::write(&mut conn, held.id, Some(person.id), &apart, now)
        .await
        .expect("a row");
    let (bo, cy) = (club.browser_of(&bo).await, club.browser_of(&cy).await);
    let path = format!("{}/deeds", held.path);
    for phase in Phase::ALL {
        held.stands_in(&club, phase).await;
        let page = orla.get(&path).await;
        // A code beside the time of an entering would tell whose it is to whoever knows when somebody entered.
        assert_eq!(page.text.contains("AX234"), !phase.is_blind(), "{phase:?}");
        let told = page.text.contains("Bo: ");
        assert_eq!(told, !phase.is_blind(), "{phase:?}");
        for other in [&bo, &cy] {
            let status = other.get(&path).await.status;
            assert_eq!(
                status,
                if phase.is_blind() { 404 } else { 200 },
                "{phase:?}"
            );
        }
    }
    let page = orla.get(&path).await;
    assert!(page.words_of("#sound").is_some());
    // Numbers of rows tell nobody anything.
    assert!(page.text.contains("flight 4711"), "{}", page.text);
    assert!(!page.text.contains("judge: "), "{}", page.text);
    let mut owner = club.database.owner().await;
    for past in [
        "alter table competition_deeds disable trigger user",
        "update competition_deeds set about = '{\"code\": \"EX345\"}' where number = 2",
    ] {
        owner.execute(past).await.expect("a change");
    }
    let page = orla.get(&path).await;
    let told = page.words_of("#broken").expect("a warning");
    assert!(told.starts_with("Row 2 does not fit."), "{told}");
}

#[tokio::test]
async fn whoever_judges_or_pours_reads_no_code_beside_a_time() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let held = a_competition()
        .in_phase(Phase::Closed)
        .of(&club, &person)
        .await;
    let mut conn = club.pool().acquire().await.expect("a connection");
    for (word, code) in [
        ("changed", "AC234"),
        ("withdrawn", "AC235"),
        ("left", "AC236"),
        ("received", "HJ234"),
        ("fee", "HJ235"),
    ] {
        let deed = Deed {
            deed: word,
            about: json!({ "code": code }),
            reason: "",
        };
        deeds::write(&mut conn, held.id, None, &deed, chrono::Utc::now())
            .await
            .expect("a row");
    }
    let path = format!("{}/deeds", held.path);
    let told = async |prefix: &str| orla.get(&path).await.text.matches(prefix).count();
    assert_eq!((told("AC23").await, told("HJ23").await), (0, 2));
    for duty in [Duty::Judge, Duty::Steward] {
        sqlx::query(
            "insert into competition_roster (competition_id, member_id, duty) values ($1, $2, $3)",
        )
        .bind(held.id.0)
        .bind(person.id.0)
        .bind(duty.word())
        .execute(&mut *conn)
        .await
        .expect("a duty");
        assert_eq!((told("AC23").await, told("HJ23").await), (0, 0), "{duty:?}");
        sqlx::query("delete from competition_roster where duty = $1")
            .bind(duty.word())
            .execute(&mut *conn)
            .await
            .expect("the roster");
    }
    held.stands_in(&club, Phase::Released).await;
    assert_eq!((told("AC23").await, told("HJ23").await), (3, 2));
}

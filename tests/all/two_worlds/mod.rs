//! Two worlds: the same club twice, but for who entered what among entrants without duties or conflicts. Whatever judges
//! and stewards ask before the release, both answer with the same bytes and ask the database the same.

mod asking;
mod chance;
mod watching;
mod ways;
mod world;

use mustwright::competitions::model::Phase;

use self::asking::{Asker, Pool};
use self::chance::Chance;
use self::watching::{Watched, watch};
use self::world::{Actor, Worlds};

/// How many sequences are made up: in the checks, or as MUSTWRIGHT_WORLDS says.
fn sequences() -> u64 {
    let asked = std::env::var("MUSTWRIGHT_WORLDS").ok();
    asked.and_then(|text| text.parse().ok()).unwrap_or(300)
}

/// Where the competition stands while so much of all sequences is done.
fn phase_at(done: u64, all: u64) -> Phase {
    match 10 * done / all.max(1) {
        0 => Phase::Closed,
        1 => Phase::Received,
        2..=7 => Phase::Judging,
        _ => Phase::Review,
    }
}

/// The sequences of one half: two halves run side by side.
async fn half(of: u64) {
    let worlds = Worlds::make().await;
    let pool = Pool::of(&worlds).await;
    let all = sequences().div_ceil(2);
    let mut told = Told::default();
    for number in 0..all {
        let seed = 2 * number + of;
        worlds.stand_in(phase_at(number, all)).await;
        let mut chance = Chance::of(seed);
        let actor = chance.one(&worlds.actors).clone();
        sequence(&worlds, &pool, (&actor, seed), &mut chance, &mut told).await;
    }
    // The walk met what there is to meet, or it shows nothing.
    assert!(told.found > all, "{told:?}");
    assert!(told.posted > all / 10, "{told:?}");
    assert!(told.statements > 5 * all, "{told:?}");
    println!("{told:?} in {all} sequences");
}

/// What was met on the way.
#[derive(Debug, Default)]
struct Told {
    asked: u64,
    found: u64,
    posted: u64,
    statements: u64,
}

async fn sequence(
    worlds: &Worlds,
    pool: &Pool,
    (actor, seed): (&Actor, u64),
    chance: &mut Chance,
    told: &mut Told,
) {
    let mut asker = Asker::of(worlds, pool, actor);
    let mut path = Vec::new();
    for _ in 0..chance.between(5, 30) {
        let (asked, [one, other]) = asker.ask(chance).await;
        path.push(asked);
        if let Some(difference) = Watched::difference(&one, &other) {
            panic!(
                "sequence {seed} as {}: the worlds differ after\n{}\n{difference}",
                actor.name,
                path.join("\n")
            );
        }
        told.asked += 1;
        told.found += u64::from(one.status == 200);
        told.posted += u64::from(one.status == 303);
        told.statements += one.statements.len() as u64;
    }
}

#[tokio::test]
async fn whoever_made_what_judges_and_stewards_read_the_same_in_both_worlds() {
    half(0).await;
}

#[tokio::test]
async fn nor_does_another_half_of_the_sequences_tell_one_world_from_the_other() {
    half(1).await;
}

/// The comparison sees a difference where there is one: before the close a judge reads the club's recipes, with names.
#[tokio::test]
async fn while_the_book_is_open_the_worlds_differ() {
    let worlds = Worlds::make().await;
    worlds.stand_in(Phase::Open).await;
    let judge = &worlds.actors[0];
    let path = format!("/recipes/{}", worlds.a_recipe_that_changed_hands().await);
    let mut pair = Vec::new();
    for browser in &judge.browsers {
        pair.push(watch(&worlds, async || browser.get(&path).await).await);
    }
    assert_eq!(pair[0].status, 200);
    assert!(Watched::difference(&pair[0], &pair[1]).is_some());
    // Nothing but hands was changed.
    worlds.stand_in(Phase::Closed).await;
    for browser in &judge.browsers {
        assert_eq!(browser.get(&path).await.status, 404);
    }
}

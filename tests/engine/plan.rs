//! The dated plan of a batch: the right steps for the right recipes, in the order of doing.

mod dating;
mod doses;
mod feeds;
mod hostile;
mod hours;

use mustwright::engine::density::WATER_20;
use mustwright::engine::feeding::sugar_of_gravity;
use mustwright::engine::plan::{
    Amount as Planned, At, Beware, Facts, Missed, State, Step, StepKind, Why, plan,
};
use mustwright::engine::problem::CautionCode;
use mustwright::engine::recipe::{
    self, Aim, Amount, Declared, Finish, Form, Ingredient, Kind, Recipe, Target, Vessel, When,
    Yeast, YeastWhen,
};

use crate::documents::*;
use crate::support::close;

/// The traditional with feeds.
pub fn fed() -> Recipe {
    Recipe {
        nutrients: vec![mixed(), dap(), organic()],
        ..traditional()
    }
}

/// 20 L of raspberries in the first fermentation, sweetened.
pub fn melomel() -> Recipe {
    let mut berries = fruit(Amount::Kg(3.0));
    berries.form = Some(Form::Frozen);
    let mut recipe = fed();
    recipe.ingredients.push(berries);
    recipe.finish = Finish::SweetenTo(1.012);
    recipe
}

/// 6 %, all fed at the pitch.
pub fn hydromel() -> Recipe {
    Recipe {
        aim: Aim::Target(Target::Abv(6.0)),
        ..fed()
    }
}

pub fn bochet() -> Recipe {
    let mut recipe = fed();
    recipe.ingredients[0].name = "caramelised honey".to_owned();
    recipe
}

pub fn sparkling() -> Recipe {
    let mut recipe = hydromel();
    recipe.declared = Some(Declared {
        carbonation: Some("sparkling".to_owned()),
        ..Declared::default()
    });
    recipe
}

/// A mead begun at 1.110 and fed with the rest of its honey in steps.
pub fn in_steps() -> Recipe {
    let mut recipe = fed();
    recipe.aim = Aim::Target(Target::Abv(17.0));
    recipe.yeasts = vec![yeast(18.5)];
    recipe.process = vec![recipe::Step {
        when: "later".to_owned(),
        text: "Feed the honey in steps.".to_owned(),
    }];
    recipe
}

/// Pitched at once, seen by nobody since.
pub fn pitched() -> Facts {
    Facts {
        mixed_h: Some(0.0),
        pitch_h: Some(0.0),
        ..Facts::default()
    }
}

pub fn steps_of(recipe: &Recipe, facts: &Facts) -> Vec<Step> {
    plan(recipe, &sound(recipe), facts)
}

pub fn keys(steps: &[Step]) -> Vec<&str> {
    steps.iter().map(|step| step.key.as_str()).collect()
}

#[track_caller]
pub fn at<'a>(steps: &'a [Step], key: &str) -> &'a Step {
    let found = steps.iter().find(|step| step.key == key);
    found.unwrap_or_else(|| panic!("no {key} in {:?}", keys(steps)))
}

/// Days from the beginning at which a step is due, to the nearest.
#[track_caller]
pub fn day(steps: &[Step], key: &str) -> i64 {
    let due = at(steps, key).due.at.expect("a time");
    (due.about_hours() / 24.0).round() as i64
}

#[track_caller]
pub fn hour(steps: &[Step], key: &str) -> f64 {
    at(steps, key).due.at.expect("a time").about_hours()
}

/// Without what recurs.
fn main_keys(steps: &[Step]) -> Vec<&str> {
    let recurs = ["look", "so2", "taste"];
    let once = steps.iter().filter(|step| {
        !recurs
            .iter()
            .any(|name| step.key.starts_with(&format!("{name}-")))
    });
    once.map(|step| step.key.as_str()).collect()
}

fn codes(step: &Step) -> Vec<CautionCode> {
    step.cautions.iter().map(|caution| caution.code).collect()
}

#[test]
fn a_dry_traditional() {
    let steps = steps_of(&fed(), &Facts::default());
    assert_eq!(
        main_keys(&steps),
        [
            "prepare",
            "sanitise",
            "mix",
            "aerate",
            "rehydrate",
            "pitch",
            "degas-1",
            "feed-1",
            "degas-2",
            "feed-2",
            "degas-3",
            "feed-3",
            "break",
            "ph-1",
            "degas-4",
            "feed-4",
            "end-1",
            "rack-1",
            "end-2",
            "rack-2",
            "package",
        ]
    );
    // The book of the sheet: two to four weeks, racked after three to six, equal readings after five at the soonest.
    assert_eq!(day(&steps, "prepare"), -1);
    assert_eq!(day(&steps, "end-1"), 21);
    assert!(matches!(
        at(&steps, "rack-1").due.at,
        Some(At::Day {
            days: 28,
            from_days: 21,
            to_days: 42,
            ..
        })
    ));
    assert_eq!(day(&steps, "end-2"), 35);
    // Good after six months, rested for two weeks in the bottle; no sooner than the equal readings.
    assert_eq!(day(&steps, "package"), 183 - 14);
    let Some(At::Day { from_days, .. }) = at(&steps, "package").due.at else {
        panic!("bottles have a day")
    };
    assert_eq!(from_days, 35);
    assert!(
        at(&steps, "package")
            .beware
            .contains(&Beware::ReadingsFirst)
    );
    // Every month until then, and no sulfite to measure.
    let looks = steps.iter().filter(|step| step.kind == StepKind::Look);
    assert_eq!(looks.count(), 5);
    assert!(steps.iter().all(|step| step.kind != StepKind::FreeSo2));
    // Half-way, good, between, better.
    let tasted = ["taste-1", "taste-2", "taste-3", "taste-4"].map(|key| day(&steps, key));
    assert_eq!(tasted, [91, 183, 274, 365]);
}

#[test]
fn what_the_mixing_takes() {
    let recipe = fed();
    let numbers = sound(&recipe);
    let steps = steps_of(&recipe, &Facts::default());
    let must = numbers.must.as_ref().expect("a must");
    let amounts = &at(&steps, "mix").amounts;
    assert!(amounts.contains(&Planned::Water {
        litres: must.water_l
    }));
    assert!(amounts.contains(&Planned::Mark {
        litres: must.volume_l
    }));
    assert!(amounts.contains(&Planned::Reads { sg: must.og }));
    let honey = amounts.iter().any(|amount| {
        matches!(amount, Planned::Ingredient { name, kg: Some(kg), .. }
            if name == "honey" && *kg == mass_of(&numbers, "honey", When::Must))
    });
    assert!(honey, "{amounts:?}");
    // Ten times its mass of water at 35 to 40 °C for 15 to 20 minutes.
    let pitching = numbers.pitching.as_ref().expect("a pitch");
    let woken = &at(&steps, "rehydrate").amounts;
    assert!(woken.contains(&Planned::WakingWater {
        grams: 10.0 * pitching.yeast_g,
        low_c: 35.0,
        high_c: 40.0,
        minutes: [15, 20]
    }));
}

#[test]
fn a_sweetened_melomel() {
    let steps = steps_of(&melomel(), &Facts::default());
    let found = main_keys(&steps);
    let wanted = [
        "mix",
        "fruit-in",
        "aerate",
        "pitch",
        "cap",
        "fruit-out",
        "end-1",
        "rack-1",
        "end-2",
        "ph-2",
        "stabilise",
        "sweeten",
        "end-3",
        "package",
    ];
    let mut rest = found.iter();
    for key in wanted {
        assert!(rest.any(|found| *found == key), "{key} in {found:?}");
    }
    // Fruit for ten days when nobody says, wetted twice a day until then.
    assert_eq!(day(&steps, "fruit-out"), 10);
    let cap = at(&steps, "cap");
    assert_eq!(cap.every_h, Some(12.0));
    assert!(codes(cap).contains(&CautionCode::FruitCap));
    assert!(matches!(
        cap.due.at,
        Some(At::Day {
            from_days: 1,
            to_days: 10,
            ..
        })
    ));
    // Equal readings, two days, two more, then 14 under the airlock.
    assert_eq!(day(&steps, "stabilise"), 37);
    assert_eq!(day(&steps, "sweeten"), 39);
    assert_eq!(day(&steps, "end-3"), 53);
    let stabilise = at(&steps, "stabilise");
    assert!(codes(stabilise).contains(&CautionCode::SulfiteFumes));
    assert!(codes(stabilise).contains(&CautionCode::SorbateNeedsSulfite));
    assert!(stabilise.beware.contains(&Beware::LocalLimits));
    // Sulfited: measured every three months until it is filled after four, less two weeks.
    assert_eq!(day(&steps, "package"), 122 - 14);
    assert_eq!(at(&steps, "end-3").after.as_deref(), Some("sweeten"));
    assert!(!keys(&steps).contains(&"so2-1"), "91 days on it is filled");
    let mut strong = melomel();
    strong.aim = Aim::Target(Target::Abv(14.5));
    strong.yeasts = vec![yeast(18.0)];
    let steps = steps_of(&strong, &Facts::default());
    let checks: Vec<_> = keys(&steps)
        .into_iter()
        .filter(|key| key.starts_with("so2"))
        .collect();
    assert_eq!(
        checks,
        ["so2-rack-2", "so2-1", "so2-2", "so2-3"],
        "a sack ages for a year"
    );
}

#[test]
fn dry_meads_are_neither_stabilised_nor_sweetened() {
    for recipe in [fed(), hydromel(), bochet(), sparkling()] {
        let steps = steps_of(&recipe, &Facts::default());
        for absent in [
            "stabilise",
            "sweeten",
            "ph-2",
            "fruit-in",
            "fruit-out",
            "cap",
            "fine",
        ] {
            assert!(!keys(&steps).contains(&absent), "{absent}");
        }
    }
}

#[test]
fn only_browned_honey_is_cooked() {
    let steps = steps_of(&bochet(), &Facts::default());
    let cook = at(&steps, "cook");
    assert_eq!(codes(cook), [CautionCode::HotHoney]);
    assert_eq!(at(&steps, "mix").after.as_deref(), Some("cook"));
    assert!(!keys(&steps_of(&fed(), &Facts::default())).contains(&"cook"));
}

#[test]
fn a_hydromel_is_fed_at_the_pitch_and_strewn_dry() {
    let steps = steps_of(&hydromel(), &Facts::default());
    assert!(!keys(&steps).contains(&"rehydrate"));
    let feed = at(&steps, "feed-1");
    assert_eq!(feed.why, Why::FedAtOnce);
    assert_eq!(feed.missed, Some(Missed::WithinADay));
    assert_eq!(hour(&steps, "feed-1"), 0.0);
    assert!(!keys(&steps).contains(&"feed-2"));
    assert_eq!(hour(&steps, "degas-1"), 24.0);
    // Light, and soon good: two days of rest before one month.
    assert_eq!(day(&steps, "package"), 28);
}

#[test]
fn gas_in_bottles_and_in_kegs() {
    let steps = steps_of(&sparkling(), &Facts::default());
    let prime = at(&steps, "prime");
    assert!(codes(prime).contains(&CautionCode::BottlesForPressure));
    assert_eq!(at(&steps, "package").after.as_deref(), Some("prime"));
    assert_eq!(at(&steps, "package").kind, StepKind::Package);
    let stabilised = Facts {
        never_primed: true,
        ..Facts::default()
    };
    let steps = steps_of(&sparkling(), &stabilised);
    assert!(
        !keys(&steps).contains(&"prime"),
        "the log has it stabilised"
    );
    assert!(!keys(&steps_of(&hydromel(), &Facts::default())).contains(&"prime"));

    let mut keg = sparkling();
    keg.vessel = Some(Vessel {
        kind: Some("keg".to_owned()),
        brim_l: 30.0,
        ..Vessel::default()
    });
    let steps = steps_of(&keg, &Facts::default());
    assert!(!keys(&steps).contains(&"prime"));
    let fill = at(&steps, "package");
    assert_eq!(fill.kind, StepKind::Keg);
    assert!(fill.beware.contains(&Beware::KegPressure));

    // What is stabilised makes no gas.
    let mut sweet = sparkling();
    sweet.finish = Finish::SweetenTo(1.012);
    let steps = steps_of(&sweet, &Facts::default());
    assert!(!keys(&steps).contains(&"prime"));
    assert!(codes(at(&steps, "package")).contains(&CautionCode::SparklingWithSugar));

    // A fresh yeast for the bottles: 0.1 to 0.2 g/L.
    let mut with_yeast = sparkling();
    with_yeast.yeasts.push(Yeast {
        when: YeastWhen::Bottle,
        ..yeast(18.0)
    });
    let numbers = sound(&with_yeast);
    let litres = numbers.package.as_ref().expect("bottles").litres;
    let steps = steps_of(&with_yeast, &Facts::default());
    let fresh = at(&steps, "prime")
        .amounts
        .iter()
        .find_map(|amount| match amount {
            Planned::BottleYeast { low_g, high_g, .. } => Some([*low_g, *high_g]),
            _ => None,
        });
    let [low, high] = fresh.expect("yeast");
    close(low, 0.1 * litres, 1e-9, "least");
    close(high, 0.2 * litres, 1e-9, "most");
}

#[test]
fn later_fruit_and_wood_have_their_days() {
    let mut recipe = fed();
    let mut cherries = fruit(Amount::Kg(3.0));
    cherries.when = When::Secondary;
    cherries.days = Some(8.0);
    let mut cubes = pinch("oak cubes", Kind::Wood, 3.0);
    cubes.when = When::Ageing;
    cubes.days = Some(40.0);
    let mut clove = pinch("clove", Kind::Spice, 0.1);
    clove.when = When::Ageing;
    clove.days = Some(5.0);
    let mut peel = pinch("lemon peel", Kind::Spice, 1.0);
    peel.when = When::Ageing;
    peel.days = Some(5.0);
    recipe.ingredients.extend([cherries, cubes, clove, peel]);
    let steps = steps_of(&recipe, &Facts::default());
    assert_eq!(day(&steps, "secondary"), 28);
    assert_eq!(day(&steps, "out-1"), 36, "eight days on the fruit");
    assert_eq!(at(&steps, "out-1").after.as_deref(), Some("secondary"));
    // Its sugar ferments: it must stand still again, and then twice the same.
    assert_eq!(at(&steps, "end-2").why, Why::StandsStillAgain);
    assert_eq!(day(&steps, "end-2"), 50);
    assert_eq!(day(&steps, "end-3"), 64);
    assert_eq!(at(&steps, "ageing").amounts.len(), 3);
    assert_eq!(day(&steps, "out-2"), 28 + 40);
    assert_eq!(day(&steps, "out-3"), 28 + 5);
    assert_eq!(
        at(&steps, "out-3").amounts.len(),
        2,
        "the same days, one step"
    );
    assert!(!keys(&steps).contains(&"out-4"));
}

#[test]
fn what_joins_a_sweetened_mead_waits_until_it_is_stabilised() {
    let mut recipe = melomel();
    let mut vanilla = pinch("vanilla bean", Kind::Spice, 0.2);
    vanilla.when = When::Secondary;
    vanilla.days = Some(6.0);
    recipe.ingredients.push(vanilla);
    let steps = steps_of(&recipe, &Facts::default());
    assert_eq!(at(&steps, "secondary").after.as_deref(), Some("stabilise"));
    assert_eq!(day(&steps, "secondary"), 37);
    assert_eq!(day(&steps, "out-1"), 43);
    assert_eq!(day(&steps, "sweeten"), 45, "sweetened when the taste is in");
}

#[test]
fn it_does_not_end_with_fruit_in_it() {
    let mut recipe = melomel();
    recipe.ingredients[1].days = Some(30.0);
    let steps = steps_of(&recipe, &Facts::default());
    assert_eq!(day(&steps, "fruit-out"), 30);
    assert_eq!(day(&steps, "end-1"), 30);
    assert_eq!(day(&steps, "rack-1"), 37);
}

#[test]
fn stopped_by_hand_it_is_looked_at_daily_and_stabilised_at_once() {
    let mut recipe = fed();
    recipe.finish = Finish::ArrestTo(1.020);
    let steps = steps_of(&recipe, &Facts::default());
    let stop = at(&steps, "stop");
    assert_eq!(stop.due.or_at_sg, Some(1.020));
    assert_eq!(stop.every_h, Some(24.0));
    assert!(codes(stop).contains(&CautionCode::MustBeStoppedByHand));
    assert_eq!(day(&steps, "stabilise"), day(&steps, "stop"));
    assert_eq!(at(&steps, "end-1").why, Why::StaysSweet);
    assert!(!keys(&steps).contains(&"sweeten"));
}

#[test]
fn what_waits_for_enzyme_or_sulfite() {
    let wait = |name: &str, kind: Kind| {
        let mut recipe = fed();
        recipe.ingredients.push(pinch(name, kind, 0.05));
        hour(&steps_of(&recipe, &Facts::default()), "pitch")
    };
    assert_eq!(wait("pectinase", Kind::Enzyme), 12.0);
    assert_eq!(wait("potassium metabisulfite", Kind::Other), 24.0);
    assert_eq!(hour(&steps_of(&fed(), &Facts::default()), "pitch"), 0.0);
}

#[test]
fn other_yeasts_finings_and_sulfite_for_keeping() {
    let mut recipe = fed();
    recipe.yeasts.push(Yeast {
        when: YeastWhen::Later,
        ..yeast(16.0)
    });
    let later = |mut item: Ingredient| {
        item.when = When::Ageing;
        item
    };
    recipe
        .ingredients
        .push(later(pinch("bentonite", Kind::Fining, 1.0)));
    recipe
        .ingredients
        .push(later(pinch("potassium metabisulfite", Kind::Other, 0.05)));
    let steps = steps_of(&recipe, &Facts::default());
    assert_eq!(day(&steps, "later-yeast-1"), 22, "the day after the end");
    let stabilise = at(&steps, "stabilise");
    assert_eq!(stabilise.why, Why::KeepsAirAway);
    let sorbate = |amount: &Planned| matches!(amount, Planned::Sorbate { .. });
    assert!(!stabilise.amounts.iter().any(sorbate), "dry: no sorbate");
    assert_eq!(at(&steps, "fine").after.as_deref(), Some("stabilise"));
    assert!(at(&steps, "fine").beware.contains(&Beware::FiningAllergens));
    assert!(!keys(&steps).contains(&"ageing"), "neither is for taste");
    assert!(keys(&steps).contains(&"so2-1"));
}

#[test]
fn honey_in_steps_only_where_the_recipe_says_so() {
    let recipe = in_steps();
    let numbers = sound(&recipe);
    let steps = steps_of(&recipe, &Facts::default());
    let mix = at(&steps, "mix");
    assert_eq!(mix.why, Why::HoldsHoneyBack);
    let honey = |key: &str| {
        let amounts = at(&steps, key).amounts.iter();
        let mut kg = amounts.filter_map(|amount| match amount {
            Planned::Honey { kg } | Planned::HeldBack { kg } => Some(*kg),
            _ => None,
        });
        kg.next().expect("honey")
    };
    let fed: f64 = steps
        .iter()
        .filter(|step| step.kind == StepKind::HoneyFeed)
        .map(|step| honey(&step.key))
        .sum();
    assert!(fed > 0.5, "{fed}");
    // What waits is what is fed, and all of it is in the recipe.
    close(honey("mix"), fed, 1e-6, "kg that wait");
    assert!(fed < mass_of(&numbers, "honey", When::Must));
    let reads = mix.amounts.iter().find_map(|amount| match amount {
        Planned::Reads { sg } => Some(*sg),
        _ => None,
    });
    close(reads.expect("a gravity"), 1.110, 1e-9, "first must");
    let fed_at = at(&steps, "honey-1").due.or_at_sg.expect("a gravity");
    close(fed_at, 1.015, 1e-9, "fed at");
    assert!(at(&steps, "feed-1").due.or_at_sg.expect("a break") < 1.08);
    // No word of it, or nothing too strong: all at once.
    let mut silent = recipe.clone();
    silent.process.clear();
    assert!(!keys(&steps_of(&silent, &Facts::default())).contains(&"honey-1"));
    let mut weak = recipe;
    weak.aim = Aim::Target(Target::Abv(12.0));
    assert!(!keys(&steps_of(&weak, &Facts::default())).contains(&"honey-1"));
}

/// A second yeast that cannot live in what the first has made is told of where it goes in.
#[test]
fn a_later_yeast_brings_its_caution_along() {
    let of = |tolerance: f64| {
        let mut recipe = fed();
        recipe.yeasts.push(Yeast {
            name: "finisher".to_owned(),
            when: YeastWhen::Later,
            ..yeast(tolerance)
        });
        codes(at(&steps_of(&recipe, &Facts::default()), "later-yeast-1"))
    };
    assert_eq!(of(8.0), [CautionCode::LaterYeastTooWeak]);
    assert_eq!(of(17.0), []);
}

/// What part of the sugar comes later wants less nitrogen: half of that sugar counts, and there is less to feed.
#[test]
fn less_is_fed_while_honey_waits() {
    let mut recipe = in_steps();
    recipe.yeasts[0].nitrogen_need = recipe::NitrogenNeed::Low;
    if let Some(honey) = &mut recipe.ingredients[0].composition {
        honey.yan_mg_per_kg = Some(60.0);
    }
    let numbers = sound(&recipe);
    let feeding = numbers.feeding.as_ref().expect("feeds");
    let whole = numbers.whole.as_ref().expect("a must");
    let steps = steps_of(&recipe, &Facts::default());
    let amounts = || steps.iter().flat_map(|step| &step.amounts);
    let held = amounts().find_map(|amount| match amount {
        Planned::HeldBack { kg } => Some(*kg),
        _ => None,
    });
    let held = held.expect("honey that waits");
    let fed: f64 = amounts()
        .filter_map(|amount| match amount {
            Planned::Feed { grams, .. } => Some(*grams),
            _ => None,
        })
        .sum();
    let all: f64 = feeding.additions.iter().map(|one| one.grams).sum();
    // By hand: litres of the first must by its gravity, 0.82 kg of solids in a kilogram of honey.
    let litres = (whole.mass_kg - held) / (1.110 * WATER_20 / 1000.0);
    let sugar = sugar_of_gravity(1.110) + 0.5 * 1000.0 * 0.82 * held / litres;
    let wanted = 0.8 * feeding.demand.class * sugar / feeding.sugar_g_per_l;
    assert!(wanted < 240.0, "below the most that is given: {wanted}");
    let part =
        (wanted - feeding.must_mg_per_l) * litres / (feeding.deficit_mg_per_l * whole.volume_l);
    close(fed / all, part, 0.002, "part of the feeds");
    assert!(part < 0.95, "{part}");
}

#[test]
fn without_amounts_there_is_no_plan() {
    let mut recipe = fed();
    recipe.aim = Aim::Target(Target::Abv(25.0));
    assert!(plan(&recipe, &numbers(&recipe), &Facts::default()).is_empty());
}

#[test]
fn every_step_is_once_there_and_comes_after_the_one_before() {
    for recipe in [
        fed(),
        melomel(),
        hydromel(),
        bochet(),
        sparkling(),
        in_steps(),
    ] {
        let steps = steps_of(&recipe, &Facts::default());
        let found = keys(&steps);
        for (place, step) in steps.iter().enumerate() {
            assert_eq!(
                found.iter().filter(|key| **key == step.key).count(),
                1,
                "{}",
                step.key
            );
            if let Some(after) = &step.after {
                let before = found.iter().position(|key| key == after);
                assert!(before.is_some_and(|before| before < place), "{}", step.key);
            }
            assert_eq!(step.state, State::Open, "{}", step.key);
            let has_advice = step.missed.is_some();
            assert_eq!(has_advice, step.kind == StepKind::Feed, "{}", step.key);
        }
    }
}

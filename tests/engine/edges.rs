//! Corners of the contract: limits met exactly, nothing at all, the filler, everything at several stages.

use mustwright::engine::density::{WATER_20, honey_density, sucrose_density_20};
use mustwright::engine::formulation::{Formulation, StoppedBy};
use mustwright::engine::problem::CautionCode;
use mustwright::engine::recipe::*;

use crate::documents::*;
use crate::support::close;

fn fg(numbers: &Formulation) -> f64 {
    numbers.finished.as_ref().expect("a mead").fg
}

fn abv(numbers: &Formulation) -> f64 {
    numbers.finished.as_ref().expect("a mead").abv_percent
}

#[test]
fn a_wish_for_just_the_yeasts_limit_takes_the_least_honey() {
    let mut recipe = traditional();
    recipe.aim = Aim::Target(Target::Abv(14.0));
    let numbers = sound(&recipe);
    close(abv(&numbers), 14.0, 1e-7, "strength");
    let limits = numbers.limits.as_ref().expect("limits");
    assert_eq!(limits.stopped_by, StoppedBy::Sugar);
    close(limits.headroom_abv_percent, 0.0, 1e-7, "headroom");
    assert_eq!(
        numbers.ladder.as_ref().expect("a ladder").tolerance_sg,
        None
    );
    assert!(caution_codes(&numbers).contains(&CautionCode::LittleHeadroom));
    let end = numbers.finished.as_ref().expect("a mead");
    close(end.residual_sugar_g_per_l, 0.0, 1e-4, "sugar left");

    // Sweetened, the same strength asks for the yeast to stop by itself just where it is sweet enough.
    recipe.finish = Finish::SweetenTo(1.012);
    let numbers = sound(&recipe);
    close(abv(&numbers), 14.0, 1e-5, "strength");
    close(fg(&numbers), 1.012, 1e-7, "gravity");
    let limits = numbers.limits.as_ref().expect("limits");
    assert_eq!(limits.stopped_by, StoppedBy::Tolerance);
}

#[test]
fn between_dry_and_limit_the_yeast_leaves_sugar_before_sweetening() {
    let mut recipe = traditional();
    recipe.finish = Finish::SweetenTo(1.030);
    recipe.yeasts = vec![yeast(12.0)];
    recipe.aim = Aim::Target(Target::Abv(11.8));
    let numbers = sound(&recipe);
    let end = numbers.finished.as_ref().expect("a mead");
    close(end.abv_percent, 11.8, 1e-6, "after sweetening");
    close(end.abv_before_sweetening_percent, 12.0, 1e-6, "before");
    close(end.fg, 1.030, 1e-9, "gravity");
    assert!(end.natural_fg > 1.010 && end.natural_fg < 1.030);
}

#[test]
fn sweetening_to_what_it_is_anyway_adds_nothing() {
    let recipe = amounts(20.0, vec![honey(Amount::Kg(5.5))]);
    let dry = sound(&recipe);
    let mut sweet = recipe.clone();
    sweet.finish = Finish::SweetenTo(fg(&dry));
    let mut own = honey(Amount::Share(2.0));
    own.when = When::Sweeten;
    own.name = "heather honey".to_owned();
    sweet.ingredients.push(own);
    let numbers = sound(&sweet);
    assert_eq!(mass_of(&numbers, "heather honey", When::Sweeten), 0.0);
    assert_eq!(fg(&numbers), fg(&dry));
    sweet.finish = Finish::SweetenTo(fg(&dry) - 1e-6);
    assert_eq!(problem_codes(&crate::documents::numbers(&sweet)).len(), 1);
}

#[test]
fn an_arrest_may_be_weak_and_sweet() {
    // 4 % stopped at 1.040 starts near 1.070, not at the 1.030 that would make 4 % dry.
    let mut recipe = traditional();
    recipe.aim = Aim::Target(Target::Abv(4.0));
    recipe.finish = Finish::ArrestTo(1.040);
    let numbers = sound(&recipe);
    close(abv(&numbers), 4.0, 1e-6, "strength");
    close(fg(&numbers), 1.040, 1e-9, "gravity");
    let og = numbers.whole.as_ref().expect("a must").og;
    assert!((1.068..1.073).contains(&og), "{og}");
    assert!(caution_codes(&numbers).contains(&CautionCode::MustBeStoppedByHand));
    // Half a percent under the limit, the yeast may be trusted to stop.
    recipe.aim = Aim::Target(Target::Abv(13.6));
    let codes = caution_codes(&sound(&recipe));
    assert!(!codes.contains(&CautionCode::MustBeStoppedByHand));
}

#[test]
fn a_juice_fills_up_in_place_of_water() {
    for aim in [
        Aim::Target(Target::Abv(12.0)),
        Aim::Target(Target::Gravity(1.100)),
        Aim::UseHoney {
            kg: 3.0,
            target: Target::Abv(12.0),
        },
        Aim::UseHoney {
            kg: 3.0,
            target: Target::Gravity(1.100),
        },
        Aim::Amounts,
    ] {
        let mut recipe = traditional();
        recipe.aim = aim;
        recipe.filler = Some("apple juice".to_owned());
        let mut juice = juice(Amount::Kg(0.0));
        juice.amount = None;
        recipe.ingredients.push(juice);
        if aim == Aim::Amounts {
            recipe.ingredients[0].amount = Some(Amount::Kg(3.0));
        }
        let numbers = sound(&recipe);
        let whole = numbers.whole.as_ref().expect("a must");
        assert_eq!(whole.water_l, 0.0);
        let juice_kg = mass_of(&numbers, "apple juice", When::Must);
        let honey_kg = mass_of(&numbers, "honey", When::Must);
        close(
            whole.mass_kg,
            juice_kg + honey_kg,
            1e-9 * whole.mass_kg,
            "mass",
        );
        match aim {
            Aim::Target(Target::Abv(wanted))
            | Aim::UseHoney {
                target: Target::Abv(wanted),
                ..
            } => {
                close(abv(&numbers), wanted, 1e-6, "strength");
            }
            Aim::Target(Target::Gravity(wanted))
            | Aim::UseHoney {
                target: Target::Gravity(wanted),
                ..
            } => {
                close(whole.og, wanted, 1e-9, "gravity");
            }
            Aim::Amounts => {}
        }
        match aim {
            Aim::UseHoney { kg, .. } => close(honey_kg, kg, 1e-9, "honey"),
            _ => close(whole.volume_l, 20.0, 1e-9, "volume"),
        }
        let style = numbers.style.as_ref().expect("a style");
        assert_eq!(style.family.value.as_deref(), Some("cyser"));
        // An amount of its own is not used, and that is said.
        recipe.ingredients[1].amount = Some(Amount::Kg(4.0));
        let codes = caution_codes(&sound(&recipe));
        assert!(codes.contains(&CautionCode::FillerAmountUnused));
    }
}

/// So much honey, a juice that fills up, and sugar by the litre: the volume follows, and what is in it makes the gravity.
#[test]
fn what_is_dosed_by_the_litre_counts_where_a_juice_fills_up() {
    for grams in [5.0, 50.0, 120.0] {
        let mut recipe = traditional();
        recipe.volume_l = None;
        recipe.aim = Aim::UseHoney {
            kg: 3.0,
            target: Target::Gravity(1.130),
        };
        recipe.filler = Some("apple juice".to_owned());
        let mut filler = juice(Amount::Kg(0.0));
        filler.amount = None;
        let dosed = item(
            "sugar",
            Kind::Sugar,
            Amount::GramsPerLitre(grams),
            parts(0.0, 1.0, 0.0, 0.0),
        );
        recipe.ingredients.extend([filler, dosed]);
        recipe.yeasts = vec![yeast(18.0)];
        let found = numbers(&recipe);
        let whole = found.whole.as_ref().expect("a must");
        close(whole.og, 1.130, 1e-9, "gravity");
        let mass = |name| mass_of(&found, name, When::Must);
        close(
            mass("sugar"),
            whole.volume_l * grams / 1000.0,
            1e-9,
            "sugar",
        );
        let sum = mass("honey") + mass("apple juice") + mass("sugar");
        close(whole.mass_kg, sum, 1e-9 * sum, "mass");
        let density = 1.130 * WATER_20 / 1000.0;
        close(sum / whole.volume_l, density, 1e-9, "density");
    }
}

#[test]
fn shares_are_divided_by_their_sum_at_each_stage_apart() {
    let mut recipe = traditional();
    recipe.finish = Finish::SweetenTo(1.015);
    let named = |name: &str, share: f64, when: When| {
        let mut honey = honey(Amount::Share(share));
        honey.name = name.to_owned();
        honey.when = when;
        honey
    };
    recipe.ingredients = vec![
        named("a", 3.0, When::Must),
        named("b", 1.0, When::Primary),
        named("c", 0.2, When::Sweeten),
        named("d", 0.6, When::Sweeten),
        named("e", 0.0, When::Sweeten),
    ];
    let numbers = sound(&recipe);
    let mass = |name, when| mass_of(&numbers, name, when);
    close(
        mass("a", When::Must),
        3.0 * mass("b", When::Primary),
        1e-9,
        "must",
    );
    close(
        3.0 * mass("c", When::Sweeten),
        mass("d", When::Sweeten),
        1e-9,
        "sweeten",
    );
    assert!(mass("c", When::Sweeten) > 0.01);
    assert_eq!(mass("e", When::Sweeten), 0.0);
    // The same honey as one share of each stage makes the same mead.
    recipe.ingredients = vec![named("a", 1.0, When::Must), named("c", 7.0, When::Sweeten)];
    let one = sound(&recipe);
    close(fg(&one), fg(&numbers), 1e-12, "gravity");
    close(
        mass_of(&one, "a", When::Must),
        mass("a", When::Must) + mass("b", When::Primary),
        1e-8,
        "honey",
    );
}

#[test]
fn what_sweetens_where_nothing_is_named() {
    let sweet_lines = |ingredients: Vec<Ingredient>, aim: Aim| {
        let numbers = sound(&Recipe {
            aim,
            finish: Finish::SweetenTo(1.010),
            ..amounts(20.0, ingredients)
        });
        let lines = numbers.ingredients.iter();
        let names: Vec<(String, f64)> = lines
            .filter(|line| line.when == When::Sweeten)
            .map(|line| (line.name.clone(), line.kg.expect("a mass")))
            .collect();
        names
    };
    let named = |name: &str, amount: Amount| {
        let mut honey = honey(amount);
        honey.name = name.to_owned();
        honey
    };
    // The balance honeys by share, not the fixed one.
    let lines = sweet_lines(
        vec![
            named("balance", Amount::Share(1.0)),
            named("more", Amount::Share(3.0)),
            named("fixed", Amount::Kg(1.0)),
        ],
        Aim::Target(Target::Abv(11.0)),
    );
    let [(first, a), (second, b)] = lines.as_slice() else {
        panic!("{lines:?}");
    };
    assert_eq!((first.as_str(), second.as_str()), ("balance", "more"));
    close(3.0 * a, *b, 1e-9, "by share");
    // All honeys by mass.
    let lines = sweet_lines(
        vec![
            named("two", Amount::Kg(2.0)),
            named("one", Amount::GramsPerLitre(50.0)),
            juice(Amount::Kg(3.0)),
        ],
        Aim::Amounts,
    );
    let [(_, a), (_, b)] = lines.as_slice() else {
        panic!("{lines:?}");
    };
    close(*a, 2.0 * b, 1e-9, "by mass");
}

#[test]
fn fixed_sweetening_goes_in_first() {
    let mut recipe = amounts(20.0, vec![honey(Amount::Kg(5.5))]);
    recipe.finish = Finish::SweetenTo(1.010);
    let alone = mass_of(&sound(&recipe), "honey", When::Sweeten);
    let mut fixed = honey(Amount::Kg(0.4));
    fixed.name = "acacia".to_owned();
    fixed.when = When::Sweeten;
    recipe.ingredients.push(fixed);
    let numbers = sound(&recipe);
    // With no share to sweeten, all honeys do by mass, this one too.
    let acacia = mass_of(&numbers, "acacia", When::Sweeten);
    let honey = mass_of(&numbers, "honey", When::Sweeten);
    close(acacia + honey, alone, 1e-8, "no more than without it");
    close((acacia - 0.4) * 5.5, honey * 0.4, 1e-9, "by mass");
    close(fg(&numbers), 1.010, 1e-9, "gravity");
    // More than enough of it is sweeter already.
    recipe.ingredients[1].amount = Some(Amount::Kg(3.0));
    let problems = problem_codes(&crate::documents::numbers(&recipe));
    assert_eq!(
        problems,
        [mustwright::engine::problem::ProblemCode::AlreadySweeter]
    );
}

#[test]
fn what_joins_later_ferments_on_only_where_left_to_it() {
    let mut recipe = amounts(20.0, vec![honey(Amount::Kg(5.0))]);
    let plain = sound(&recipe);
    let mut late = fruit(Amount::Kg(3.0));
    late.when = When::Secondary;
    recipe.ingredients.push(late);
    let dry = sound(&recipe);
    let (before, after) = (plain.finished.as_ref(), dry.finished.as_ref());
    let (before, after) = (before.expect("a mead"), after.expect("a mead"));
    // Not in the must, not in the first fermentation, but in the bottle.
    assert_eq!(dry.whole, plain.whole);
    assert_eq!(after.natural_fg, before.natural_fg);
    assert_eq!(dry.feeding, plain.feeding);
    assert_eq!(dry.limits, plain.limits);
    close(after.residual_sugar_g_per_l, 0.0, 1e-9, "all fermented");
    assert!(after.volume_l > before.volume_l + 2.5);
    assert!(after.co2_kg > before.co2_kg + 0.08);
    assert!(caution_codes(&dry).contains(&CautionCode::SecondaryCanFerment));
    // The limit holds for both together.
    recipe.yeasts = vec![yeast(9.5)];
    let numbers = sound(&recipe);
    close(abv(&numbers), 9.5, 1e-9, "the limit");
    // Stabilised first, its sugar stays: 3 kg × 0.07.
    recipe.yeasts = vec![yeast(14.0)];
    recipe.finish = Finish::SweetenTo(1.012);
    let numbers = sound(&recipe);
    let end = numbers.finished.as_ref().expect("a mead");
    let sweet = mass_of(&numbers, "honey", When::Sweeten) * 0.73 + 3.0 * 0.07;
    close(
        end.residual_sugar_g_per_l,
        sweet * 1000.0 / end.volume_l,
        1e-6,
        "sugar",
    );
    close(end.co2_kg, before.co2_kg, 1e-9, "gas");
    recipe.finish = Finish::ArrestTo(1.012);
    let numbers = sound(&recipe);
    let end = numbers.finished.as_ref().expect("a mead");
    assert!(
        end.abv_percent < end.abv_before_sweetening_percent,
        "thinned by the fruit"
    );
}

#[test]
fn doses_are_per_litre_of_the_whole_must_at_every_stage() {
    for when in [
        When::Must,
        When::Primary,
        When::Secondary,
        When::Sweeten,
        When::Ageing,
    ] {
        let mut recipe = traditional();
        let mut dose = pinch("cinnamon", Kind::Spice, 1.5);
        dose.when = when;
        recipe.ingredients.push(dose);
        let mut sugar = item(
            "sugar",
            Kind::Sugar,
            Amount::GramsPerLitre(10.0),
            parts(0.0, 1.0, 0.0, 0.0),
        );
        sugar.when = when;
        recipe.ingredients.push(sugar);
        let numbers = sound(&recipe);
        close(mass_of(&numbers, "cinnamon", when), 0.03, 1e-12, "spice");
        close(mass_of(&numbers, "sugar", when), 0.2, 1e-12, "sugar");
        recipe.aim = Aim::UseHoney {
            kg: 6.0,
            target: Target::Abv(12.0),
        };
        recipe.volume_l = None;
        let numbers = sound(&recipe);
        let volume = numbers.whole.as_ref().expect("a must").volume_l;
        close(
            mass_of(&numbers, "sugar", when),
            volume * 0.01,
            1e-9,
            "sugar",
        );
    }
}

#[test]
fn litres_are_weighed_by_their_density() {
    let mut own = fruit(Amount::Litres(2.0));
    own.composition.as_mut().expect("parts").density_kg_per_l = Some(0.65);
    let recipe = amounts(
        20.0,
        vec![honey(Amount::Litres(3.0)), juice(Amount::Litres(4.0)), own],
    );
    let numbers = sound(&recipe);
    let of_honey = honey_density(0.82) / 1000.0;
    close(
        mass_of(&numbers, "honey", When::Must),
        3.0 * of_honey,
        1e-9,
        "honey",
    );
    let of_juice = sucrose_density_20(0.128) / 1000.0;
    close(
        mass_of(&numbers, "apple juice", When::Must),
        4.0 * of_juice,
        1e-9,
        "juice",
    );
    close(
        mass_of(&numbers, "raspberry", When::Primary),
        1.3,
        1e-12,
        "fruit",
    );
}

#[test]
fn nothing_but_water_is_a_must_too() {
    let numbers = sound(&amounts(5.0, vec![]));
    let whole = numbers.whole.as_ref().expect("a must");
    assert_eq!((whole.og, whole.brix, whole.sugar_g_per_l), (1.0, 0.0, 0.0));
    close(whole.water_l, 5.0, 1e-9, "water");
    let end = numbers.finished.as_ref().expect("water");
    assert_eq!(
        (end.fg, end.abv_percent, end.attenuation_percent),
        (1.0, 0.0, 0.0)
    );
    assert_eq!(
        numbers.feeding.as_ref().map(|plan| plan.why),
        Some("nothing_needed")
    );
    // Zero amounts are no faults.
    let numbers = sound(&amounts(
        5.0,
        vec![honey(Amount::Kg(0.0)), fruit(Amount::GramsPerLitre(0.0))],
    ));
    assert_eq!(numbers.ingredients.len(), 2);
    assert_eq!(numbers.whole.as_ref().map(|whole| whole.og), Some(1.0));
}

#[test]
fn a_must_of_nothing_is_null_and_no_nan() {
    // All the liquid comes with the fruit.
    let fruit_only = fruit(Amount::Kg(20.0));
    let liquid_l = 20.0 * 0.96 / sucrose_density_20(0.11 / 0.96) * 1000.0;
    let numbers = sound(&amounts(liquid_l, vec![fruit_only]));
    assert_eq!(numbers.must, None);
    assert_eq!(
        numbers
            .vessel
            .as_ref()
            .map(|vessel| vessel.fill_l.is_finite()),
        Some(true)
    );
    close(
        numbers.whole.expect("a must").volume_l,
        liquid_l,
        1e-9,
        "volume",
    );
}

#[test]
fn size_does_not_matter_from_a_cup_to_a_tanker() {
    let usual = sound(&traditional());
    for volume_l in [0.05, 1.0, 1e5] {
        let mut recipe = traditional();
        recipe.volume_l = Some(volume_l);
        let numbers = sound(&recipe);
        let k = volume_l / 20.0;
        let (a, b) = (
            mass_of(&usual, "honey", When::Must),
            mass_of(&numbers, "honey", When::Must),
        );
        close(b, a * k, 1e-9 * a * k, "honey");
        close(fg(&numbers), fg(&usual), 1e-10, "gravity");
        let water_l = numbers.whole.expect("a must").water_l;
        assert!(water_l * WATER_20 > 0.0);
    }
    // Losses are never more than there is.
    let mut recipe = traditional();
    recipe.volume_l = Some(0.05);
    assert_eq!(
        sound(&recipe).package.map(|package| package.litres),
        Some(0.0)
    );
}

#[test]
fn acid_is_counted_where_it_is_known() {
    let mut recipe = amounts(10.0, vec![honey(Amount::Kg(2.5))]);
    assert_eq!(sound(&recipe).finished.and_then(|end| end.ta_g_per_l), None);
    let mut acid = item(
        "tartaric acid",
        Kind::Acid,
        Amount::GramsPerLitre(2.0),
        parts(0.0, 0.0, 1.0, 0.0),
    );
    acid.when = When::Ageing;
    acid.composition.as_mut().expect("parts").ta_g_per_kg = Some(1000.0);
    recipe.ingredients.push(acid);
    let numbers = sound(&recipe);
    let whole = numbers.whole.as_ref().expect("a must");
    assert_eq!(whole.ta_g_per_l, None);
    let end = numbers.finished.as_ref().expect("a mead");
    close(
        end.ta_g_per_l.expect("acid"),
        20.0 / end.volume_l,
        1e-9,
        "acid",
    );
    // An amount of nothing carries nothing.
    recipe.ingredients[1].amount = Some(Amount::Kg(0.0));
    assert_eq!(sound(&recipe).finished.and_then(|end| end.ta_g_per_l), None);
}

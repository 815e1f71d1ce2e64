//! The same recipe for another volume, and amounts a kitchen scale can weigh.

use mustwright::engine::recipe::*;
use mustwright::engine::scaling::{Scale, round, round_by, scale, with_amounts};
use mustwright::engine::{Settings, formulate};

use crate::documents::*;
use crate::support::close;

/// The steps of the contract: under 10 g 0.1 g, 100 g 1 g, 1 kg 5 g, 10 kg 10 g, else 50 g.
#[test]
fn steps_of_a_kitchen_scale() {
    for (grams, shown) in [
        (0.04, 0.0),
        (3.132, 3.1),
        (9.96, 10.0),
        (47.6, 48.0),
        (123.0, 125.0),
        (997.0, 995.0),
        (998.0, 1000.0),
        (5126.0, 5130.0),
        (12_340.0, 12_350.0),
        (250_012.0, 250_000.0),
    ] {
        close(
            Scale::Kitchen.round(grams / 1000.0) * 1000.0,
            shown,
            1e-9,
            "kitchen",
        );
    }
    close(Scale::Step(2.0).round(0.4567), 0.456, 1e-12, "own scale");
    for step in [f64::NAN, 0.0, -5.0, f64::INFINITY] {
        assert!(Scale::Step(step).round(0.4567).is_finite());
    }
    close(
        Scale::Step(0.0).round(0.45678),
        0.45678,
        1e-9,
        "no step at all",
    );
}

#[test]
fn scaling_multiplies_amounts_and_keeps_doses_and_shares() {
    let mut recipe = traditional();
    recipe.ingredients.push(juice(Amount::Kg(2.0)));
    recipe.ingredients.push(juice(Amount::Litres(3.0)));
    recipe.ingredients.push(pinch("oak", Kind::Wood, 2.0));
    recipe.water_report = Some(WaterReport {
        ions: [("Ca".to_owned(), 40.0)].into(),
        salts: [("CaCl2".to_owned(), 4.0)].into(),
    });
    recipe.typed = [
        "/volume_l",
        "/ingredients/1/amount/kg",
        "/ingredients/2/amount/l",
        "/ingredients/3/amount/g_per_l",
        "/title",
    ]
    .map(|path| (path.to_owned(), "as typed".to_owned()))
    .into();
    let twice = scale(&recipe, 2.0);
    assert_eq!(twice.volume_l, Some(40.0));
    let amounts: Vec<Option<Amount>> = twice.ingredients.iter().map(|item| item.amount).collect();
    assert_eq!(
        amounts,
        [
            Amount::Share(1.0),
            Amount::Kg(4.0),
            Amount::Litres(6.0),
            Amount::GramsPerLitre(2.0)
        ]
        .map(Some)
    );
    let report = twice.water_report.as_ref().expect("a report");
    assert_eq!((report.ions["Ca"], report.salts["CaCl2"]), (40.0, 8.0));
    // What was typed for a number that changed says nothing any more.
    let typed: Vec<&str> = twice.typed.keys().map(String::as_str).collect();
    assert_eq!(typed, ["/ingredients/3/amount/g_per_l", "/title"]);
    recipe.aim = Aim::UseHoney {
        kg: 3.0,
        target: Target::Abv(12.0),
    };
    assert_eq!(
        scale(&recipe, 0.5).aim,
        Aim::UseHoney {
            kg: 1.5,
            target: Target::Abv(12.0)
        }
    );
    for k in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(scale(&recipe, k), recipe);
    }
}

#[test]
fn rounded_amounts_fill_the_volume_and_show_what_they_change() {
    let mut recipe = traditional();
    recipe.volume_l = Some(4.5);
    recipe.finish = Finish::SweetenTo(1.012);
    recipe.ingredients.push(fruit(Amount::GramsPerLitre(101.3)));
    let rounded = round(&recipe, &Settings::default(), Scale::Step(100.0));
    for line in &rounded.weighed.ingredients {
        let hundreds = line.kg.expect("a mass") * 10.0;
        close(hundreds, hundreds.round(), 1e-9, &line.name);
    }
    let (exact, weighed) = (&rounded.exact, &rounded.weighed);
    let volume = |numbers: &mustwright::engine::Formulation| {
        numbers.whole.as_ref().expect("a must").volume_l
    };
    close(volume(weighed), volume(exact), 1e-9, "filled up");
    let abv = |numbers: &mustwright::engine::Formulation| {
        numbers.finished.as_ref().expect("a mead").abv_percent
    };
    close(abv(exact), 12.0, 1e-8, "as solved");
    let change = (abv(weighed) - 12.0).abs();
    assert!(change > 0.01 && change < 1.0, "{change}");
    // On a kitchen scale it hardly shows.
    let kitchen = round(&recipe, &Settings::default(), Scale::Kitchen);
    assert!((abv(&kitchen.weighed) - 12.0).abs() < 0.05);
    // With a filler the filler is what fills up.
    recipe.ingredients.push(juice(Amount::Kg(0.0)));
    recipe.filler = Some("apple juice".to_owned());
    let rounded = round(&recipe, &Settings::default(), Scale::Step(100.0));
    close(volume(&rounded.weighed), 4.5, 1e-8, "filled up with juice");
    assert_eq!(
        rounded.weighed.whole.as_ref().map(|whole| whole.water_l),
        Some(0.0)
    );
}

/// Each ingredient as its own scale has it, told by its place and its time; what comes back that is no mass is left alone.
#[test]
fn each_ingredient_is_rounded_in_its_own_way() {
    let mut recipe = traditional();
    recipe.finish = Finish::SweetenTo(1.012);
    recipe.ingredients.push(pinch("oak", Kind::Wood, 2.13));
    let seen = std::cell::RefCell::new(Vec::new());
    let rounded = round_by(&recipe, &Settings::default(), &|index, when, kg| {
        seen.borrow_mut().push((index, when));
        match (index, when) {
            (0, When::Sweeten) => f64::NAN,
            (0, _) => Scale::Step(500.0).round(kg),
            _ => -1.0,
        }
    });
    let kg = |numbers: &mustwright::engine::Formulation, at: usize| {
        numbers.ingredients[at].kg.expect("a mass")
    };
    let (exact, weighed) = (&rounded.exact, &rounded.weighed);
    let halves = kg(weighed, 0) * 2.0;
    close(halves, halves.round(), 1e-9, "half kilograms");
    for at in 1..exact.ingredients.len() {
        close(kg(weighed, at), kg(exact, at), 1e-12, "as it was");
    }
    assert!(seen.borrow().contains(&(0, When::Sweeten)));
    close(
        weighed.whole.as_ref().unwrap().volume_l,
        exact.whole.as_ref().unwrap().volume_l,
        1e-9,
        "filled up",
    );
}

/// With what was solved given as amounts the engine makes the same mead of it, and solves nothing but what sweetens.
#[test]
fn given_amounts_make_the_same_mead() {
    let mut recipe = traditional();
    recipe.finish = Finish::SweetenTo(1.012);
    recipe.ingredients.push(pinch("oak", Kind::Wood, 2.13));
    recipe.ingredients.push(juice(Amount::Litres(1.5)));
    recipe.typed = [
        ("/ingredients/0/amount/share", "the rest"),
        ("/title", "kept"),
    ]
    .map(|(path, text)| (path.to_owned(), text.to_owned()))
    .into();
    let settings = Settings::default();
    let solved = formulate(&recipe, &settings);
    let given = with_amounts(&recipe, &solved);
    assert_eq!(given.aim, Aim::Amounts);
    assert!(matches!(given.ingredients[0].amount, Some(Amount::Kg(kg)) if kg > 1.0));
    assert_eq!(given.ingredients[2].amount, Some(Amount::Litres(1.5)));
    let typed: Vec<&str> = given.typed.keys().map(String::as_str).collect();
    assert_eq!(typed, ["/title"]);
    let again = formulate(&given, &settings);
    assert_eq!(again.problems, []);
    let (one, other) = (solved.finished.unwrap(), again.finished.unwrap());
    close(other.abv_percent, one.abv_percent, 1e-6, "% ABV");
    close(other.fg, one.fg, 1e-9, "SG");
    close(other.volume_l, one.volume_l, 1e-6, "litres");
    // Nothing to give where nothing was solved.
    let impossible = Recipe {
        aim: Aim::Target(Target::Abv(20.0)),
        ..recipe
    };
    let numbers = formulate(&impossible, &settings);
    assert_eq!(with_amounts(&impossible, &numbers), impossible);
}

/// Half a step is the most that a mass is wrong by; steps of a hundredth of a gram change nothing that anybody sees.
#[test]
fn rounding_is_within_half_a_step() {
    let recipe = traditional();
    for step in [0.01, 0.1, 1.0, 5.0, 50.0] {
        let rounded = round(&recipe, &Settings::default(), Scale::Step(step));
        let lines = rounded.weighed.ingredients.iter();
        for (line, exact) in lines.zip(&rounded.exact.ingredients) {
            let wrong_g = (line.kg.unwrap() - exact.kg.unwrap()).abs() * 1000.0;
            assert!(wrong_g <= step / 2.0 + 1e-9, "{step}: {wrong_g}");
        }
        let og = |numbers: &mustwright::engine::Formulation| numbers.whole.clone().unwrap().og;
        let moved = (og(&rounded.weighed) - og(&rounded.exact)).abs();
        assert!(step > 0.01 || moved < 1e-6, "{moved}");
    }
}

#[test]
fn what_cannot_be_solved_is_not_rounded() {
    let mut recipe = traditional();
    recipe.aim = Aim::Target(Target::Abv(20.0));
    let rounded = round(&recipe, &Settings::default(), Scale::Kitchen);
    assert_eq!(rounded.exact, rounded.weighed);
    assert_eq!(rounded.exact.problems.len(), 1);
}

//! That whatever is picked from the catalogue is taken by the engine as it is.

use mustwright::catalogue::{Entry, Form, Kind, NitrogenNeed, Stage, catalogue};
use mustwright::engine::recipe::{self, Aim, Amount, Finish, Recipe, Target, When};
use mustwright::engine::{Settings, formulate};
use mustwright::web::units::Bare;

/// Twenty litres at 12 % of the everyday honey and a wine yeast, with one entry more.
fn recipe_with(entry: &Entry) -> Recipe {
    let mut honey = catalogue().honeys()[0].ingredient();
    honey.name = "Base honey".to_owned();
    let mut other = entry.ingredient();
    if other.amount.is_none() {
        other.amount = Some(Amount::Kg(0.3));
    }
    Recipe {
        volume_l: Some(20.0),
        aim: Aim::Target(Target::Abv(12.0)),
        finish: Finish::Dry,
        ingredients: vec![honey, other],
        yeasts: vec![catalogue().yeasts()[0].for_recipe()],
        nutrients: catalogue()
            .feeds()
            .iter()
            .map(|feed| feed.for_recipe())
            .collect(),
        vessel: Some(catalogue().find_vessel("bucket-30").unwrap().for_recipe()),
        ..Recipe::default()
    }
}

fn entries() -> impl Iterator<Item = &'static Entry> {
    catalogue().honeys().iter().chain(catalogue().others())
}

#[test]
fn every_ingredient_formulates_as_picked() {
    for entry in entries() {
        let answer = formulate(&recipe_with(entry), &Settings::default());
        assert_eq!(answer.problems, [], "{}", entry.key);
        let abv = answer
            .finished
            .unwrap_or_else(|| panic!("{} leaves nothing", entry.key))
            .abv_percent;
        assert!((abv - 12.0).abs() < 1e-6, "{}: {abv}", entry.key);
        let counted = answer
            .cautions
            .iter()
            .all(|caution| caution.code.as_str() != "acid_not_counted");
        assert!(counted, "{} has an acid without strength", entry.key);
    }
}

#[test]
fn every_yeast_feed_and_vessel_formulates_as_picked() {
    let plain = catalogue().find("honey-wildflower").unwrap();
    for yeast in catalogue().yeasts() {
        let mut recipe = recipe_with(plain);
        recipe.aim = Aim::Target(Target::Gravity(1.050));
        recipe.yeasts = vec![yeast.for_recipe()];
        assert_eq!(
            formulate(&recipe, &Settings::default()).problems,
            [],
            "{}",
            yeast.key
        );
    }
    for vessel in catalogue().vessels() {
        let mut recipe = recipe_with(plain);
        recipe.vessel = Some(vessel.for_recipe());
        recipe.volume_l = Some(vessel.brim_l * 0.8);
        let answer = formulate(&recipe, &Settings::default());
        assert_eq!(answer.problems, [], "{}", vessel.key);
        assert_eq!(
            answer.vessel.and_then(|fit| fit.fits),
            Some(true),
            "{}",
            vessel.key
        );
    }
}

#[test]
fn litres_may_be_typed_wherever_a_bare_number_means_litres() {
    let wet: Vec<&Entry> = entries()
        .filter(|entry| entry.kind.bare() == Bare::Volume)
        .collect();
    assert!(wet.len() > 10);
    for entry in wet {
        let mut recipe = recipe_with(entry);
        recipe.ingredients[1].amount = Some(Amount::Litres(2.0));
        assert_eq!(
            formulate(&recipe, &Settings::default()).problems,
            [],
            "{}",
            entry.key
        );
    }
}

#[test]
fn the_words_of_the_catalogue_are_those_of_the_recipe_document() {
    let known = |words: &[&str]| {
        words
            .iter()
            .copied()
            .map(str::to_owned)
            .collect::<std::collections::BTreeSet<_>>()
    };
    assert_eq!(
        known(&Kind::ALL.map(Kind::word)),
        recipe::Kind::ALL
            .iter()
            .map(|kind| kind.as_str().to_owned())
            .collect()
    );
    for form in [
        Form::Whole,
        Form::Crushed,
        Form::Frozen,
        Form::Puree,
        Form::Juice,
        Form::Dried,
        Form::Tincture,
    ] {
        assert!(
            recipe::Form::from_word(form.word()).is_some(),
            "{}",
            form.word()
        );
    }
    for stage in [
        Stage::Must,
        Stage::Primary,
        Stage::Secondary,
        Stage::Sweeten,
        Stage::Ageing,
    ] {
        assert!(When::from_word(stage.word()).is_some(), "{}", stage.word());
    }
    for need in [NitrogenNeed::Low, NitrogenNeed::Medium, NitrogenNeed::High] {
        assert!(
            recipe::NitrogenNeed::from_word(need.word()).is_some(),
            "{}",
            need.word()
        );
    }
}

/// The catalogue offers nothing that the engine refuses, and proposes no dose above the usual.
#[test]
fn nothing_that_is_refused_is_offered() {
    for entry in entries() {
        let cautions = formulate(&recipe_with(entry), &Settings::default()).cautions;
        for caution in cautions {
            let told = caution.code.as_str();
            assert!(
                !["refused_plant", "dose_above_usual", "contact_too_long"].contains(&told),
                "{}: {caution:?}",
                entry.key
            );
        }
    }
}

//! Recipes for the tests: small builders over the document, and its JSON text.

use mustwright::engine::formulation::Formulation;
use mustwright::engine::problem::{CautionCode, ProblemCode};
use mustwright::engine::recipe::*;
use mustwright::engine::{Settings, formulate};

use crate::support::Row;

/// Mass fractions: water, fermentable, unfermentable, insoluble.
pub fn parts(water: f64, fermentable: f64, unfermentable: f64, insoluble: f64) -> Composition {
    Composition {
        water,
        fermentable,
        unfermentable,
        insoluble,
        ..Composition::default()
    }
}

/// The composition in the columns of a check table.
pub fn parts_of(row: &Row, prefix: &str) -> Composition {
    let part = |name: &str| row.number(&format!("{prefix}_{name}_frac"));
    parts(
        part("water"),
        part("sugar"),
        part("extract"),
        part("insoluble"),
    )
}

/// An ingredient in the must.
pub fn item(name: &str, kind: Kind, amount: Amount, composition: Composition) -> Ingredient {
    Ingredient {
        key: None,
        name: name.to_owned(),
        kind,
        form: None,
        days: None,
        when: When::Must,
        amount: Some(amount),
        composition: Some(composition),
        price_per_kg: None,
        note: None,
    }
}

/// A usual honey: 18 % water, 0.89 of the solids ferment (common practice, no published source).
pub fn honey(amount: Amount) -> Ingredient {
    item("honey", Kind::Honey, amount, parts(0.18, 0.73, 0.09, 0.0))
}

/// A juice of 11 % sugar.
pub fn juice(amount: Amount) -> Ingredient {
    item(
        "apple juice",
        Kind::Juice,
        amount,
        parts(0.872, 0.11, 0.018, 0.0),
    )
}

/// A soft fruit.
pub fn fruit(amount: Amount) -> Ingredient {
    let mut fruit = item(
        "raspberry",
        Kind::Fruit,
        amount,
        parts(0.85, 0.07, 0.04, 0.04),
    );
    fruit.when = When::Primary;
    fruit
}

/// Something without a composition.
pub fn pinch(name: &str, kind: Kind, grams_per_l: f64) -> Ingredient {
    let mut pinch = item(
        name,
        kind,
        Amount::GramsPerLitre(grams_per_l),
        Composition::default(),
    );
    pinch.composition = None;
    pinch
}

/// A yeast of medium need, pitched at the start.
pub fn yeast(tolerance_abv_percent: f64) -> Yeast {
    Yeast {
        key: None,
        name: "white wine yeast".to_owned(),
        tolerance_abv_percent,
        nitrogen_need: NitrogenNeed::Medium,
        temperature_c: None,
        when: YeastWhen::Pitch,
        attenuation_percent: None,
    }
}

/// A feed of so much ammonium and organic nitrogen, mg/g.
pub fn feed(name: &str, ammonium: f64, organic: f64) -> Nutrient {
    Nutrient {
        key: None,
        name: name.to_owned(),
        ammonium_yan_mg_per_g: ammonium,
        organic_yan_mg_per_g: organic,
        max_g_per_l: None,
        price_per_kg: None,
        share: None,
    }
}

/// Diammonium phosphate: 212.13 mg/g by its formula.
pub fn dap() -> Nutrient {
    feed("DAP", 212.13, 0.0)
}

/// Inactivated yeast: 40 mg/g (common practice, no published source).
pub fn organic() -> Nutrient {
    feed("organic", 0.0, 40.0)
}

/// Mixed nutrient, 100 mg/g, of which DAP is 0.35 by mass (common practice, no published source).
pub fn mixed() -> Nutrient {
    feed("mixed", 0.35 * 212.13, 100.0 - 0.35 * 212.13)
}

/// 20 L of one honey at 12 %, dry, with a yeast that reaches 14 %.
pub fn traditional() -> Recipe {
    Recipe {
        title: "Traditional".to_owned(),
        volume_l: Some(20.0),
        aim: Aim::Target(Target::Abv(12.0)),
        ingredients: vec![honey(Amount::Share(1.0))],
        yeasts: vec![yeast(14.0)],
        ..Recipe::default()
    }
}

/// Fixed amounts in so many litres.
pub fn amounts(volume_l: f64, ingredients: Vec<Ingredient>) -> Recipe {
    Recipe {
        volume_l: Some(volume_l),
        aim: Aim::Amounts,
        ingredients,
        ..traditional()
    }
}

/// Formulates with the usual settings.
pub fn numbers(recipe: &Recipe) -> Formulation {
    formulate(recipe, &Settings::default())
}

/// Formulates and fails the test when there is a problem.
#[track_caller]
pub fn sound(recipe: &Recipe) -> Formulation {
    let numbers = numbers(recipe);
    assert!(numbers.problems.is_empty(), "{:?}", numbers.problems);
    numbers
}

/// The codes of all problems.
pub fn problem_codes(numbers: &Formulation) -> Vec<ProblemCode> {
    numbers
        .problems
        .iter()
        .map(|problem| problem.code)
        .collect()
}

/// The codes of all cautions.
pub fn caution_codes(numbers: &Formulation) -> Vec<CautionCode> {
    numbers
        .cautions
        .iter()
        .map(|caution| caution.code)
        .collect()
}

/// Mass of the lines of that name and time, kg.
#[track_caller]
pub fn mass_of(numbers: &Formulation, name: &str, when: When) -> f64 {
    let lines = numbers.ingredients.iter();
    let masses: Vec<f64> = lines
        .filter(|line| line.name == name && line.when == when)
        .map(|line| line.kg.expect("a mass"))
        .collect();
    assert!(!masses.is_empty(), "no {name} for {when:?}");
    masses.iter().sum()
}

/// The document as JSON.
pub fn text(recipe: &Recipe) -> String {
    serde_json::to_string(recipe).expect("a document")
}

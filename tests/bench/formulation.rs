//! How long one formulation takes with everything on: the solver, a sweetened finish, fruit in primary, three feeds, spread of each
//! ingredient with a composition, prices, a water report with salts, and all cautions.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use mustwright::engine::reading::read;
use mustwright::engine::{Recipe, Settings, formulate, formulate_text};

/// Twelve ingredients, solved for 12.5 % after sweetening.
const RECIPE: &str = r#"{
  "version": 1, "title": "Twelve", "volume_l": 20, "aim": {"abv_percent": 12.5}, "finish": {"sweeten_to_sg": 1.012},
  "ingredients": [
    {"name": "clover honey", "kind": "honey", "amount": {"share": 3}, "price_per_kg": 9,
     "composition": {"water": 0.18, "fermentable": 0.73, "unfermentable": 0.09, "insoluble": 0, "ta_g_per_kg": 1.2,
      "spread": {"water": 0.0146, "fermentable": 0.0123}}},
    {"name": "heather honey", "kind": "honey", "amount": {"share": 1}, "price_per_kg": 16,
     "composition": {"water": 0.2, "fermentable": 0.7, "unfermentable": 0.1, "insoluble": 0, "ta_g_per_kg": 2,
      "spread": {"water": 0.02, "fermentable": 0.015}}},
    {"name": "sour cherry", "kind": "fruit", "when": "primary", "amount": {"kg": 4}, "form": "frozen",
     "composition": {"water": 0.84, "fermentable": 0.08, "unfermentable": 0.05, "insoluble": 0.03, "ta_g_per_kg": 18, "yan_mg_per_kg": 90,
      "spread": {"water": 0.015, "fermentable": 0.012}}, "price_per_kg": 7},
    {"name": "raspberry", "kind": "fruit", "when": "primary", "amount": {"g_per_l": 60},
     "composition": {"water": 0.86, "fermentable": 0.05, "unfermentable": 0.04, "insoluble": 0.05, "ta_g_per_kg": 16,
      "spread": {"water": 0.015, "fermentable": 0.01}}, "price_per_kg": 11},
    {"name": "apple juice", "kind": "juice", "amount": {"l": 2},
     "composition": {"water": 0.88, "fermentable": 0.1, "unfermentable": 0.02, "insoluble": 0, "yan_mg_per_kg": 59, "ta_g_per_kg": 5,
      "spread": {"water": 0.01, "fermentable": 0.006}}, "price_per_kg": 2},
    {"name": "acacia honey", "kind": "honey", "when": "sweeten", "amount": {"share": 1},
     "composition": {"water": 0.17, "fermentable": 0.75, "unfermentable": 0.08, "insoluble": 0,
      "spread": {"water": 0.0146, "fermentable": 0.0123}}, "price_per_kg": 14},
    {"name": "cinnamon", "kind": "spice", "when": "secondary", "amount": {"g_per_l": 0.5}, "price_per_kg": 40},
    {"name": "vanilla", "kind": "spice", "when": "ageing", "amount": {"g_per_l": 0.2}, "price_per_kg": 40},
    {"name": "oak", "kind": "wood", "when": "ageing", "amount": {"g_per_l": 2}, "price_per_kg": 40},
    {"name": "tannin", "kind": "tannin", "amount": {"g_per_l": 0.1}, "price_per_kg": 40},
    {"name": "pectinase", "kind": "enzyme", "amount": {"g_per_l": 0.05}, "price_per_kg": 40},
    {"name": "tartaric acid", "kind": "acid", "when": "ageing", "amount": {"g_per_l": 1},
     "composition": {"water": 0, "fermentable": 0, "unfermentable": 1, "insoluble": 0, "ta_g_per_kg": 1000}, "price_per_kg": 12}
  ],
  "yeasts": [{"name": "red wine yeast", "tolerance_abv_percent": 15, "nitrogen_need": "medium", "temperature_c": [15, 28]}],
  "nutrients": [
    {"name": "mixed", "ammonium_yan_mg_per_g": 74.2, "organic_yan_mg_per_g": 25.8, "price_per_kg": 30},
    {"name": "DAP", "ammonium_yan_mg_per_g": 212.13, "price_per_kg": 10},
    {"name": "organic", "organic_yan_mg_per_g": 40, "price_per_kg": 45}
  ],
  "feeding": "full", "temperature_c": 19, "vessel": {"brim_l": 30},
  "water_report": {"ions": {"Ca": 60, "Mg": 12, "Na": 20, "K": 2, "HCO3": 200, "SO4": 40, "Cl": 28},
    "salts": {"CaCl2.2H2O": 2, "KHCO3": 5}}
}"#;

fn sound() -> Recipe {
    let recipe = match read(RECIPE) {
        Ok(recipe) => recipe,
        Err(fault) => panic!("{fault:?}"),
    };
    let numbers = formulate(&recipe, &Settings::default());
    assert!(numbers.problems.is_empty(), "{:?}", numbers.problems);
    assert_eq!(numbers.ingredients.len(), 12);
    assert!(numbers.spread.is_some() && numbers.water.is_some() && numbers.balance.is_some());
    let package = numbers.package.as_ref();
    assert!(
        package.is_some_and(|package| package.cost.is_some() && package.unpriced.is_empty()),
        "{package:?}"
    );
    assert!(numbers.cautions.len() > 5, "{:?}", numbers.cautions);
    assert_eq!(
        numbers.feeding.map(|plan| plan.why),
        Some("four_parts"),
        "the feeding plan is part of what is timed"
    );
    recipe
}

fn formulation(criterion: &mut Criterion) {
    let recipe = sound();
    let settings = Settings::default();
    criterion.bench_function("formulate twelve ingredients", |bench| {
        bench.iter(|| formulate(black_box(&recipe), &settings));
    });
    criterion.bench_function("read and formulate twelve ingredients", |bench| {
        bench.iter(|| formulate_text(black_box(RECIPE), &settings));
    });
    criterion.bench_function("formulate twelve ingredients, dry, no feeds", |bench| {
        let mut plain = recipe.clone();
        plain.finish = mustwright::engine::recipe::Finish::Dry;
        plain.nutrients.clear();
        bench.iter(|| formulate(black_box(&plain), &settings));
    });
}

criterion_group!(benches, formulation);
criterion_main!(benches);

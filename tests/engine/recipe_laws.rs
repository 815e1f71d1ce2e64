//! Laws of whole recipes: mass, monotony, size, solving and evaluating, order; and two facts of the trade.

use mustwright::engine::density::WATER_20;
use mustwright::engine::formulation::Formulation;
use mustwright::engine::recipe::*;
use mustwright::engine::scaling::scale;
use mustwright::engine::units::{POUND_KG, US_GALLON_L};
use proptest::prelude::*;

use crate::documents::*;

fn relative(a: f64, b: f64) -> f64 {
    (a - b).abs() / b.abs().max(1e-9)
}

fn any_parts(sugar: std::ops::Range<f64>) -> impl Strategy<Value = Composition> {
    (sugar, 0.0..0.08, 0.0..0.05).prop_map(|(fermentable, unfermentable, insoluble)| {
        let water = 1.0 - fermentable - unfermentable - insoluble;
        Composition {
            yan_mg_per_kg: Some(50.0 * insoluble),
            ta_g_per_kg: Some(10.0 * unfermentable),
            spread: (unfermentable > 0.03).then_some(CompositionSpread {
                water: Some(0.3 * unfermentable),
                fermentable: Some(0.5 * unfermentable),
            }),
            ..parts(water, fermentable, unfermentable, insoluble)
        }
    })
}

fn any_honeys() -> impl Strategy<Value = Vec<Ingredient>> {
    prop::collection::vec((any_parts(0.65..0.80), 0.1..5.0), 1..4).prop_map(|honeys| {
        let number = |(index, (composition, share)): (usize, (Composition, f64))| Ingredient {
            name: format!("honey {index}"),
            composition: Some(composition),
            when: if index == 1 {
                When::Primary
            } else {
                When::Must
            },
            ..honey(Amount::Share(share))
        };
        honeys.into_iter().enumerate().map(number).collect()
    })
}

/// Up to three others, of any stage but sweetening, weak enough to leave room for honey.
fn any_others() -> impl Strategy<Value = Vec<Ingredient>> {
    let stage = prop::sample::select(vec![
        When::Must,
        When::Primary,
        When::Secondary,
        When::Ageing,
    ]);
    prop::collection::vec((any_parts(0.02..0.12), 0.01..0.08, stage), 0..4).prop_map(|others| {
        let number = |(index, (composition, kg_per_l, when)): (usize, (Composition, f64, When))| {
            Ingredient {
                name: format!("other {index}"),
                composition: Some(composition),
                when,
                ..fruit(Amount::GramsPerLitre(1000.0 * kg_per_l))
            }
        };
        others.into_iter().enumerate().map(number).collect()
    })
}

fn any_finish() -> impl Strategy<Value = Finish> {
    prop_oneof![
        Just(Finish::Dry),
        (1.015..1.040).prop_map(Finish::SweetenTo),
        (1.012..1.030).prop_map(Finish::ArrestTo),
    ]
}

/// A recipe that can be made: 8 to 12 % with a yeast that reaches 15 to 18 %.
fn any_recipe() -> impl Strategy<Value = Recipe> {
    (
        any_honeys(),
        any_others(),
        any_finish(),
        8.0..12.0,
        15.0..18.0,
        1.0..500.0,
    )
        .prop_map(
            |(mut ingredients, others, finish, abv, tolerance, volume_l)| {
                ingredients.extend(others);
                Recipe {
                    volume_l: Some(volume_l),
                    aim: Aim::Target(Target::Abv(abv)),
                    finish,
                    ingredients,
                    yeasts: vec![yeast(tolerance)],
                    nutrients: vec![mixed(), dap(), organic()],
                    temperature_c: Some(18.0),
                    ..Recipe::default()
                }
            },
        )
}

/// The same recipe with every amount as it was solved.
fn as_solved(recipe: &Recipe, numbers: &Formulation) -> Recipe {
    let mut fixed = recipe.clone();
    fixed.aim = Aim::Amounts;
    for item in &mut fixed.ingredients {
        item.amount = Some(Amount::Kg(mass_of(numbers, &item.name, item.when)));
    }
    fixed
}

/// Dissolved mass of the lines of some stages, kg.
fn dissolved(recipe: &Recipe, numbers: &Formulation, stages: &[When]) -> f64 {
    let lines = numbers
        .ingredients
        .iter()
        .filter(|line| stages.contains(&line.when));
    lines
        .map(|line| {
            let parts = recipe.ingredients[line.index]
                .composition
                .as_ref()
                .expect("parts");
            line.kg.expect("a mass") * (parts.water + parts.fermentable + parts.unfermentable)
        })
        .sum()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn mass_is_conserved(recipe in any_recipe()) {
        let numbers = sound(&recipe);
        let (whole, end) = (numbers.whole.as_ref().expect("a must"), numbers.finished.as_ref().expect("a mead"));
        let water = whole.water_l * WATER_20 / 1000.0;
        let stages = dissolved(&recipe, &numbers, &[When::Must, When::Primary]);
        prop_assert!(relative(whole.mass_kg, water + stages) < 1e-9);
        let later = dissolved(&recipe, &numbers, &[When::Secondary, When::Ageing, When::Sweeten]);
        let mead = end.volume_l * end.fg * WATER_20 / 1000.0;
        prop_assert!(relative(mead + end.co2_kg + end.lees_kg, whole.mass_kg + later) < 1e-9);
        // Sugar: what came in is in the bottle, or has become 0.469 of ethanol.
        let sugar: f64 = numbers.ingredients.iter().filter_map(|line| line.sugar_kg).sum();
        let ethanol = end.abw_percent / 100.0 * mead;
        let left = end.residual_sugar_g_per_l * end.volume_l / 1000.0;
        prop_assert!(relative(left + ethanol / 0.46895, sugar) < 1e-9);
        // Points add up to the gravity.
        let points: f64 = numbers.ingredients.iter().filter_map(|line| line.gravity_points).sum();
        prop_assert!(relative(points, 1000.0 * (whole.og - 1.0)) < 1e-9);
    }

    #[test]
    fn solved_then_evaluated_is_the_aim(recipe in any_recipe(), sg in 1.085..1.120) {
        let Aim::Target(Target::Abv(abv)) = recipe.aim else { unreachable!() };
        let numbers = sound(&recipe);
        let whole = numbers.whole.as_ref().expect("a must");
        let end = numbers.finished.as_ref().expect("a mead");
        prop_assert!((end.abv_percent - abv).abs() < 1e-8, "{}", end.abv_percent);
        prop_assert!(relative(whole.volume_l, recipe.volume_l.expect("litres")) < 1e-10);
        if let Finish::SweetenTo(fg) | Finish::ArrestTo(fg) = recipe.finish {
            // What joins an arrested mead later changes it once more.
            let later = recipe.ingredients.iter().any(|item| matches!(item.when, When::Secondary | When::Ageing));
            if !matches!(recipe.finish, Finish::ArrestTo(_)) || !later {
                prop_assert!((end.fg - fg).abs() < 1e-9, "{}", end.fg);
            }
        }
        // The same amounts, typed as they are, make the same mead.
        let fixed = as_solved(&recipe, &numbers);
        let again = sound(&fixed);
        let same = again.finished.as_ref().expect("a mead");
        prop_assert!((same.abv_percent - abv).abs() < 1e-7, "{}", same.abv_percent);
        prop_assert!((same.fg - end.fg).abs() < 1e-9);
        prop_assert!((again.whole.as_ref().expect("a must").og - whole.og).abs() < 1e-10);
        // And the volume solved from just that honey is the volume.
        let honey: f64 = numbers.ingredients.iter().zip(0..).filter(|(line, _)| line.solved)
            .map(|(line, _)| line.kg.expect("a mass")).sum();
        let mut from_honey = recipe.clone();
        from_honey.aim = Aim::UseHoney { kg: honey, target: Target::Abv(abv) };
        from_honey.volume_l = None;
        let volume = sound(&from_honey).whole.expect("a must").volume_l;
        prop_assert!(relative(volume, whole.volume_l) < 1e-8, "{volume} {}", whole.volume_l);
        // A gravity is met too.
        let mut to_gravity = recipe.clone();
        to_gravity.aim = Aim::Target(Target::Gravity(sg));
        to_gravity.finish = Finish::Dry;
        prop_assert!((sound(&to_gravity).whole.expect("a must").og - sg).abs() < 1e-10);
    }

    #[test]
    fn size_changes_masses_only(recipe in any_recipe(), k in 0.01..100.0) {
        let numbers = sound(&recipe);
        for recipe in [recipe.clone(), as_solved(&recipe, &numbers)] {
            let (one, many) = (sound(&recipe), sound(&scale(&recipe, k)));
            for (a, b) in one.ingredients.iter().zip(&many.ingredients) {
                prop_assert!(relative(b.kg.expect("a mass"), k * a.kg.expect("a mass")) < 1e-8);
            }
            let (a, b) = (one.whole.expect("a must"), many.whole.expect("a must"));
            prop_assert!(relative(b.volume_l, k * a.volume_l) < 1e-9);
            prop_assert!((b.water_l - k * a.water_l).abs() < 1e-8 * b.volume_l);
            prop_assert!((b.og - a.og).abs() < 1e-10);
            let (a, b) = (one.finished.expect("a mead"), many.finished.expect("a mead"));
            prop_assert!((b.fg - a.fg).abs() < 1e-9 && (b.abv_percent - a.abv_percent).abs() < 1e-7);
            prop_assert!(relative(b.co2_kg, k * a.co2_kg) < 1e-8);
            let (a, b) = (one.feeding.expect("a plan"), many.feeding.expect("a plan"));
            prop_assert_eq!(a.additions.len(), b.additions.len());
            prop_assert!((a.deficit_mg_per_l - b.deficit_mg_per_l).abs() < 1e-6);
        }
    }

    #[test]
    fn more_honey_is_never_less_alcohol(recipe in any_recipe(), more in 1.001..1.4, tolerance in 6.0..18.0) {
        let mut recipe = as_solved(&recipe, &sound(&recipe));
        recipe.finish = Finish::Dry;
        recipe.yeasts = vec![yeast(tolerance)];
        recipe.ingredients.retain(|item| matches!(item.when, When::Must | When::Primary));
        let before = sound(&recipe);
        for item in recipe.ingredients.iter_mut().filter(|item| item.kind == Kind::Honey) {
            if let Some(Amount::Kg(kg)) = &mut item.amount {
                *kg *= more;
            }
        }
        let after = numbers(&recipe);
        prop_assume!(after.problems.is_empty());
        let abv = |numbers: &Formulation| numbers.finished.as_ref().expect("a mead").abv_percent;
        prop_assert!(abv(&after) >= abv(&before) - 1e-9, "{} {}", abv(&after), abv(&before));
        if serde_json::to_value(&after.limits).expect("JSON")["stopped_by"] == "sugar" {
            prop_assert!(abv(&after) > abv(&before), "rises while sugar is the limit");
        } else {
            prop_assert!((abv(&after) - tolerance).abs() < 1e-9, "ends at the limit");
        }
    }

    #[test]
    fn order_does_not_matter(recipe in any_recipe(), seed in any::<u64>()) {
        let mut other = recipe.clone();
        // A shuffle of the test's own: the engine must not care.
        let mut state = seed | 1;
        for i in (1..other.ingredients.len()).rev() {
            state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            other.ingredients.swap(i, (state >> 33) as usize % (i + 1));
        }
        let (one, two) = (sound(&recipe), sound(&other));
        for item in &recipe.ingredients {
            let (a, b) = (mass_of(&one, &item.name, item.when), mass_of(&two, &item.name, item.when));
            prop_assert!(relative(a, b) < 1e-9, "{}: {a} {b}", item.name);
        }
        let mut numbers = [Vec::new(), Vec::new()];
        for (list, answer) in numbers.iter_mut().zip([&one, &two]) {
            let mut answer = serde_json::to_value(answer).expect("JSON");
            answer["ingredients"].take();
            flatten(&answer, list);
        }
        let [a, b] = numbers;
        prop_assert_eq!(a.len(), b.len());
        for ((place, a), (_, b)) in a.iter().zip(&b) {
            prop_assert!((a - b).abs() <= 1e-9 * a.abs().max(1e-3), "{place}: {a} {b}");
        }
    }

    #[test]
    fn the_same_document_gives_the_same_bits(recipe in any_recipe()) {
        prop_assert_eq!(text_of(&sound(&recipe)), text_of(&sound(&recipe)));
        let again = mustwright::engine::reading::read(&text(&recipe)).expect("what was written");
        prop_assert_eq!(&again, &recipe);
        prop_assert_eq!(text_of(&sound(&recipe)), text_of(&sound(&again)));
    }
}

fn text_of(numbers: &Formulation) -> String {
    serde_json::to_string(numbers).expect("JSON")
}

/// Every number of a JSON value with its place.
fn flatten(value: &serde_json::Value, into: &mut Vec<(String, f64)>) {
    fn go(value: &serde_json::Value, path: &str, into: &mut Vec<(String, f64)>) {
        match value {
            serde_json::Value::Number(number) => {
                into.push((path.to_owned(), number.as_f64().expect("a number")));
            }
            serde_json::Value::Array(items) => {
                for (i, item) in items.iter().enumerate() {
                    go(item, &format!("{path}/{i}"), into);
                }
            }
            serde_json::Value::Object(members) => {
                for (key, item) in members {
                    go(item, &format!("{path}/{key}"), into);
                }
            }
            _ => {}
        }
    }
    go(value, "", into);
}

/// Common practice, no published source: 1 lb of honey per US gallon of must gives less than 7.5 % dry, 2.5 to 3 lb more than 12 %.
#[test]
fn pounds_of_honey_per_gallon() {
    let dry = |pounds: f64| {
        let mut recipe = amounts(US_GALLON_L, vec![honey(Amount::Kg(pounds * POUND_KG))]);
        recipe.yeasts = vec![yeast(18.0)];
        sound(&recipe).finished.expect("a mead").abv_percent
    };
    assert!(dry(1.0) < 7.5, "{}", dry(1.0));
    assert!(dry(2.5) > 12.0, "{}", dry(2.5));
    assert!(dry(3.0) > 12.0, "{}", dry(3.0));
}

/// Common practice, no published source: a 12 % dry traditional goes from about 1.086 to about 0.996, as cellar books show.
#[test]
fn a_dry_traditional_as_in_the_cellar_book() {
    let numbers = sound(&traditional());
    let og = numbers.whole.expect("a must").og;
    let fg = numbers.finished.expect("a mead").fg;
    assert!(
        (og - 1.086).abs() < 0.002 && (fg - 0.996).abs() < 0.002,
        "{og} {fg}"
    );
}

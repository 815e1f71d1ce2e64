//! Every number a form can carry, and every text: the engine answers with problems, never with a crash, a NaN or an infinity.

use mustwright::engine::formulation::Formulation;
use mustwright::engine::recipe::*;
use mustwright::engine::scaling::{Scale, round, scale};
use mustwright::engine::{Settings, formulate, formulate_text};
use proptest::prelude::*;

use crate::documents::*;
use crate::support::any_number;

/// Numbers that are mostly sound, so that faults meet sound neighbours, and else anything at all.
/// Boxed, for whole recipes of unboxed strategies are too much for the stack of a test.
fn mostly(sound: impl Strategy<Value = f64> + 'static) -> BoxedStrategy<f64> {
    prop_oneof![40 => sound, 1 => any_number()].boxed()
}

fn any_amount() -> BoxedStrategy<Amount> {
    prop_oneof![
        mostly(0.0..5.0).prop_map(Amount::Share),
        mostly(0.0..10.0).prop_map(Amount::Kg),
        mostly(0.0..10.0).prop_map(Amount::Litres),
        mostly(0.0..100.0).prop_map(Amount::GramsPerLitre),
    ]
    .boxed()
}

fn any_composition() -> BoxedStrategy<Option<Composition>> {
    let sound =
        (0.0..1.0, 0.0..1.0, 0.0..1.0, 0.0..1.0).prop_map(|(a, b, c, d): (f64, f64, f64, f64)| {
            let sum = a + b + c + d;
            parts(a / sum, b / sum, c / sum, d / sum)
        });
    let extreme = prop::sample::select(vec![
        parts(1.0, 0.0, 0.0, 0.0),
        parts(0.0, 1.0, 0.0, 0.0),
        parts(0.0, 0.0, 1.0, 0.0),
        parts(0.0, 0.0, 0.0, 1.0),
        parts(0.18, 0.73, 0.09, 0.0),
    ]);
    let wild = (any_number(), any_number(), any_number(), any_number())
        .prop_map(|(a, b, c, d)| parts(a, b, c, d));
    let fractions = prop_oneof![30 => sound, 20 => extreme, 1 => wild];
    let optional = || prop::option::of(mostly(0.3..3.0));
    prop::option::weighted(
        0.95,
        (fractions, optional(), optional(), optional(), any_spread()).prop_map(
            |(composition, yan_mg_per_kg, ta_g_per_kg, density_kg_per_l, spread)| Composition {
                yan_mg_per_kg,
                ta_g_per_kg,
                density_kg_per_l,
                spread,
                ..composition
            },
        ),
    )
    .boxed()
}

fn any_spread() -> BoxedStrategy<Option<CompositionSpread>> {
    let sd = || prop::option::of(mostly(0.0..0.5));
    let spread =
        (sd(), sd()).prop_map(|(water, fermentable)| CompositionSpread { water, fermentable });
    prop::option::of(spread).boxed()
}

fn any_water() -> BoxedStrategy<WaterReport> {
    let named = |names: &'static [&'static str]| {
        let name = prop::sample::select(names).prop_map(str::to_owned);
        prop::collection::btree_map(name, mostly(0.0..500.0), 0..4)
    };
    (
        named(&[
            "Ca",
            "calcium",
            "HCO3",
            "alkalinity_caco3",
            "Cl",
            "Na",
            "gold",
        ]),
        named(&["gypsum", "CaCO3", "KHCO3", "sand"]),
    )
        .prop_map(|(ions, salts)| WaterReport { ions, salts })
        .boxed()
}

fn any_ingredient() -> BoxedStrategy<Ingredient> {
    let name = prop::sample::select(vec![
        "honey",
        "maple",
        "cherry",
        "habanero",
        "filler",
        "",
        "apple/~\u{0}",
    ]);
    (
        name,
        prop::sample::select(Kind::ALL),
        prop::option::of(prop::sample::select(Form::ALL)),
        prop::sample::select(When::ALL),
        prop::option::weighted(0.9, any_amount()),
        any_composition(),
        prop::option::of(mostly(0.0..20.0)),
    )
        .prop_map(
            |(name, kind, form, when, amount, composition, number)| Ingredient {
                form,
                when,
                amount,
                composition,
                days: number,
                price_per_kg: number,
                ..pinch(name, kind, 0.0)
            },
        )
        .boxed()
}

fn any_yeast() -> BoxedStrategy<Yeast> {
    (
        mostly(1.0..25.0),
        prop::sample::select(NitrogenNeed::ALL),
        prop::sample::select(YeastWhen::ALL),
        prop::option::of((mostly(5.0..20.0), mostly(15.0..35.0))),
    )
        .prop_map(|(tolerance, nitrogen_need, when, temperature)| Yeast {
            nitrogen_need,
            when,
            temperature_c: temperature.map(|(low, high)| [low, high]),
            ..yeast(tolerance)
        })
        .boxed()
}

fn any_nutrient() -> BoxedStrategy<Nutrient> {
    let part = || mostly(prop_oneof![Just(0.0), 0.0..220.0]);
    let optional = || prop::option::of(mostly(0.0..1.0));
    (part(), part(), optional(), optional(), optional())
        .prop_map(|(ammonium, organic, most, price, share)| Nutrient {
            max_g_per_l: most,
            price_per_kg: price,
            share,
            ..feed("feed", ammonium, organic)
        })
        .boxed()
}

fn any_aim() -> BoxedStrategy<Aim> {
    let target = || {
        prop_oneof![
            mostly(0.5..20.0).prop_map(Target::Abv),
            mostly(1.0..1.5).prop_map(Target::Gravity),
        ]
    };
    prop_oneof![
        Just(Aim::Amounts),
        target().prop_map(Aim::Target),
        (mostly(0.0..50.0), target()).prop_map(|(kg, target)| Aim::UseHoney { kg, target }),
    ]
    .boxed()
}

fn any_finish() -> BoxedStrategy<Finish> {
    prop_oneof![
        Just(Finish::Dry),
        mostly(0.975..1.2).prop_map(Finish::SweetenTo),
        mostly(0.975..1.2).prop_map(Finish::ArrestTo),
    ]
    .boxed()
}

fn any_recipe() -> BoxedStrategy<Recipe> {
    let vessel = (
        mostly(0.1..50.0),
        prop::option::of(mostly(0.0..0.9)),
        prop::option::of(mostly(0.0..5.0)),
    );
    let vessel = vessel.prop_map(|(brim_l, headspace_fraction, loss_l)| Vessel {
        brim_l,
        headspace_fraction,
        loss_l,
        ..Vessel::default()
    });
    (
        (
            prop::option::of(mostly(0.05..100.0)),
            any_aim(),
            any_finish(),
        ),
        prop::collection::vec(any_ingredient(), 0..8),
        prop::collection::vec(any_yeast(), 0..3),
        prop::collection::vec(any_nutrient(), 0..4),
        (
            prop::option::of(mostly(0.0..40.0)),
            prop::option::of(vessel),
            prop::option::of(any_water()),
            prop::bool::weighted(0.2),
            prop::bool::weighted(0.8),
        ),
    )
        .prop_map(
            |(
                (volume_l, aim, finish),
                ingredients,
                yeasts,
                nutrients,
                (temperature_c, vessel, water_report, filled, mended),
            )| {
                let recipe = Recipe {
                    volume_l,
                    aim,
                    finish,
                    filler: filled.then(|| "filler".to_owned()),
                    ingredients,
                    yeasts,
                    nutrients,
                    temperature_c,
                    vessel,
                    water_report,
                    ..Recipe::default()
                };
                if mended { mend(recipe) } else { recipe }
            },
        )
        .boxed()
}

/// The same recipe without the faults of form, so that its numbers reach the solver: wild ones too.
fn mend(mut recipe: Recipe) -> Recipe {
    recipe.volume_l = recipe.volume_l.or(Some(20.0));
    recipe.yeasts.push(yeast(14.0));
    for yeast in &mut recipe.yeasts {
        if let Some([low, high]) = &mut yeast.temperature_c {
            (*low, *high) = (low.min(*high), low.max(*high));
        }
    }
    if let (Finish::ArrestTo(_), Aim::Target(Target::Gravity(_)) | Aim::UseHoney { .. }) =
        (recipe.finish, recipe.aim)
    {
        recipe.finish = Finish::SweetenTo(1.01);
    }
    for item in &mut recipe.ingredients {
        let composition = item
            .composition
            .get_or_insert_with(|| parts(0.18, 0.73, 0.09, 0.0));
        let solved = match item.when {
            When::Must | When::Primary => recipe.aim != Aim::Amounts,
            When::Sweeten => true,
            When::Secondary | When::Ageing => false,
        };
        item.amount = Some(match item.amount {
            Some(Amount::Share(share))
                if solved && composition.fermentable > 0.0 && item.kind != Kind::Sweetener =>
            {
                Amount::Share(share)
            }
            Some(Amount::GramsPerLitre(dose)) => Amount::GramsPerLitre(dose),
            Some(Amount::Kg(x) | Amount::Litres(x) | Amount::Share(x)) => Amount::Kg(0.05 * x),
            None => Amount::Kg(0.1),
        });
    }
    if recipe.aim != Aim::Amounts {
        recipe.ingredients.push(honey(Amount::Share(1.0)));
    }
    let fills = |item: &Ingredient| item.name == "filler" && item.when == When::Must;
    recipe.filler = recipe
        .filler
        .filter(|_| recipe.ingredients.iter().any(fills));
    recipe
}

/// Where a Rust value holds a NaN or an infinity, its debug text says so; JSON would hide them as null.
#[track_caller]
fn assert_finite(numbers: &Formulation) {
    let shown = format!("{numbers:?}");
    let words = shown.split(|c: char| !c.is_alphanumeric());
    for word in words {
        assert!(word != "NaN" && word != "inf", "{shown}");
    }
}

/// What must hold of every answer.
#[track_caller]
fn assert_honest(recipe: &Recipe, numbers: &Formulation) {
    assert_finite(numbers);
    assert!(
        numbers.finished.is_some() || !numbers.problems.is_empty(),
        "neither numbers nor a problem"
    );
    for line in &numbers.ingredients {
        assert!(
            line.kg.is_none_or(|kg| kg >= 0.0),
            "a negative amount: {line:?}"
        );
        assert!(line.index < recipe.ingredients.len());
    }
    if let Some(package) = &numbers.package {
        assert!(package.litres >= 0.0);
    }
    if let Some(whole) = &numbers.whole {
        assert!(whole.water_l >= 0.0 && whole.volume_l > 0.0);
    }
    if let (Some(spread), Some(whole), Some(end)) =
        (&numbers.spread, &numbers.whole, &numbers.finished)
    {
        for (range, value) in [
            (spread.og, whole.og),
            (spread.fg, end.fg),
            (spread.abv_percent, end.abv_percent),
        ] {
            assert!(range[0] <= value && value <= range[1], "{value}: {range:?}");
        }
    }
    if let Some(water) = &numbers.water {
        assert!(water.ions.iter().all(|(_, mg)| mg >= 0.0));
    }
    if let Some(plan) = &numbers.feeding {
        assert!(plan.beyond_mg_per_l >= 0.0 && plan.deficit_mg_per_l >= 0.0);
        let ammonium: f64 = plan
            .additions
            .iter()
            .map(|addition| addition.ammonium_mg_per_l)
            .sum();
        assert!(ammonium <= 203.6 + 1e-6, "{ammonium}");
        assert!(plan.additions.iter().all(|addition| addition.grams > 0.0));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1024))]

    #[test]
    fn any_recipe_gets_an_honest_answer(recipe in any_recipe(), sachet_g in mostly(1.0..12.0)) {
        let numbers = formulate(&recipe, &Settings { sachet_g });
        assert_honest(&recipe, &numbers);
    }

    #[test]
    fn any_recipe_can_be_scaled_and_rounded(recipe in any_recipe(), k in mostly(0.01..100.0), step in mostly(0.1..100.0)) {
        let settings = Settings::default();
        let scaled = scale(&recipe, k);
        for scale in [Scale::Kitchen, Scale::Step(step)] {
            let rounded = round(&scaled, &settings, scale);
            assert_honest(&scaled, &rounded.exact);
            assert_honest(&scaled, &rounded.weighed);
        }
    }

    #[test]
    fn any_document_is_read_or_refused(text in ".{0,200}") {
        let _ = formulate_text(&text, &Settings::default());
    }

    /// A sound document with one value replaced by anything that JSON can hold.
    #[test]
    fn any_value_in_any_place(recipe in any_recipe(), place in any::<prop::sample::Index>(), value in any_json()) {
        let mut document = serde_json::to_value(&recipe).expect("JSON");
        let mut places = Vec::new();
        walk(&document, String::new(), &mut places);
        let place = place.get(&places);
        if let Some(at) = document.pointer_mut(place) {
            *at = value;
        }
        let numbers = formulate_text(&document.to_string(), &Settings::default()).expect("JSON");
        assert_finite(&numbers);
    }
}

fn any_json() -> impl Strategy<Value = serde_json::Value> {
    use serde_json::{Value, json};
    prop_oneof![
        Just(Value::Null),
        Just(json!(true)),
        Just(json!({})),
        Just(json!([])),
        Just(json!({"kg": 1, "l": 1})),
        Just(json!([1e308, -1e308])),
        any_number().prop_map(|number| json!(number)),
        ".{0,8}".prop_map(|text| json!(text)),
    ]
}

fn walk(value: &serde_json::Value, path: String, places: &mut Vec<String>) {
    match value {
        serde_json::Value::Array(items) => {
            for (i, item) in items.iter().enumerate() {
                walk(item, format!("{path}/{i}"), places);
            }
        }
        serde_json::Value::Object(members) => {
            for (key, item) in members {
                walk(
                    item,
                    format!("{path}/{}", key.replace('~', "~0").replace('/', "~1")),
                    places,
                );
            }
        }
        _ => {}
    }
    places.push(path);
}

#[test]
fn a_thousand_ingredients() {
    let mut recipe = traditional();
    recipe.ingredients = (0..1000)
        .map(|i| match i % 4 {
            0 => Ingredient {
                name: format!("honey {i}"),
                ..honey(Amount::Share(1.0 + f64::from(i)))
            },
            1 => Ingredient {
                name: format!("juice {i}"),
                ..juice(Amount::GramsPerLitre(0.5))
            },
            2 => Ingredient {
                name: format!("fruit {i}"),
                ..fruit(Amount::Kg(0.01))
            },
            _ => Ingredient {
                name: format!("spice {i}"),
                when: When::Ageing,
                ..pinch("", Kind::Spice, 0.01)
            },
        })
        .collect();
    recipe.finish = Finish::SweetenTo(1.010);
    let numbers = sound(&recipe);
    assert_honest(&recipe, &numbers);
    // Every ingredient, and each balance honey once more for sweetening.
    assert_eq!(numbers.ingredients.len(), 1250);
    let end = numbers.finished.expect("a mead");
    assert!((end.abv_percent - 12.0).abs() < 1e-8 && (end.fg - 1.010).abs() < 1e-9);
    // A thousand faults are a thousand problems.
    for item in &mut recipe.ingredients {
        item.amount = Some(Amount::Kg(f64::NAN));
    }
    assert_eq!(
        formulate(&recipe, &Settings::default()).problems.len(),
        1000
    );
}

#[test]
fn nothing_at_all() {
    let numbers = formulate(&Recipe::default(), &Settings::default());
    let codes: Vec<&str> = numbers
        .problems
        .iter()
        .map(|problem| problem.code.as_str())
        .collect();
    assert_eq!(codes, ["missing", "yeast_missing"]);
    assert_finite(&numbers);
}

//! Recipe documents of every shape that a form can hold, drawn at random.

use mustwright::catalogue::catalogue;
use mustwright::engine::recipe::{
    Aim, Amount, Composition, CompositionSpread, Declared, FeedingLevel, Finish, Form, Ingredient,
    Kind, NitrogenNeed, Nutrient, Recipe, Step, Target, Vessel, WaterReport, When, Yeast,
    YeastWhen,
};
use proptest::collection::{btree_map, vec};
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;

/// A number as people write them, or one with all its bits.
fn number(low: f64, high: f64) -> BoxedStrategy<f64> {
    let step = (high - low) / 4000.0;
    prop_oneof![
        3 => (0..=4000u32).prop_map(move |n| ((low + f64::from(n) * step) * 1000.0).round() / 1000.0)
            .prop_filter("within", move |x| (low..=high).contains(x)),
        1 => low..=high,
    ]
    .boxed()
}

/// A number as somebody with other units wrote it: so many of a unit of this size.
fn measured(low: f64, high: f64, sizes: &'static [f64]) -> BoxedStrategy<f64> {
    let own = (select(sizes), 1..=400u32)
        .prop_map(|(size, n)| f64::from(n) / 4.0 * size)
        .prop_filter("within", move |x| (low..=high).contains(x));
    prop_oneof![own, number(low, high)].boxed()
}

fn litres() -> BoxedStrategy<f64> {
    measured(0.05, 100_000.0, &[1.0, 3.785_411_784, 4.546_09, 0.001])
}

fn kilograms() -> BoxedStrategy<f64> {
    measured(
        0.001,
        200_000.0,
        &[1.0, 0.453_592_37, 0.028_349_523_125, 0.001],
    )
}

fn celsius() -> BoxedStrategy<f64> {
    prop_oneof![
        (32..=110u32).prop_map(|f| (f64::from(f) - 32.0) / 1.8),
        number(-5.0, 60.0)
    ]
    .boxed()
}

fn price() -> BoxedStrategy<f64> {
    measured(0.0, 1_000_000.0, &[1.0, 1.0 / 0.453_592_37])
}

fn text() -> impl Strategy<Value = String> {
    "[A-Za-zäéł(“&<][a-zé,.%;/ ]{0,14}[a-z)>”]"
}

fn amount() -> impl Strategy<Value = Amount> {
    prop_oneof![
        number(0.0, 1_000_000.0).prop_map(Amount::Share),
        Just(Amount::Share(1.0)),
        kilograms().prop_map(Amount::Kg),
        litres().prop_map(Amount::Litres),
        number(0.0, 1_500.0).prop_map(Amount::GramsPerLitre),
    ]
}

fn own_parts() -> impl Strategy<Value = Composition> {
    let spread = (option::of(number(0.0, 0.5)), option::of(number(0.0, 0.5)))
        .prop_map(|(water, fermentable)| CompositionSpread { water, fermentable });
    (
        [
            number(0.0, 1.0),
            number(0.0, 1.0),
            number(0.0, 1.0),
            number(0.0, 1.0),
        ],
        option::of(number(0.0, 220_000.0)),
        option::of(number(-3_000.0, 3_000.0)),
        option::of(number(0.3, 3.0)),
        option::of(spread),
    )
        .prop_map(
            |([water, fermentable, unfermentable, insoluble], yan, acid, density, spread)| {
                Composition {
                    water,
                    fermentable,
                    unfermentable,
                    insoluble,
                    yan_mg_per_kg: yan,
                    ta_g_per_kg: acid,
                    density_kg_per_l: density,
                    spread,
                }
            },
        )
}

/// The catalogue's own, perhaps with one thing left out or changed.
fn known_parts(key: &str) -> Option<Composition> {
    let entry = catalogue().find(key)?;
    let parts = entry.composition?;
    Some(Composition {
        water: parts.water,
        fermentable: parts.fermentable,
        unfermentable: parts.unfermentable,
        insoluble: parts.insoluble,
        yan_mg_per_kg: entry.yan_mg_per_kg,
        ta_g_per_kg: entry.ta_g_per_kg,
        density_kg_per_l: entry.density_kg_per_l,
        spread: entry.spread.map(|spread| CompositionSpread {
            water: Some(spread.water),
            fermentable: Some(spread.fermentable),
        }),
    })
}

fn picked(honey: bool) -> BoxedStrategy<Ingredient> {
    let entries = if honey {
        catalogue().honeys()
    } else {
        catalogue().others()
    };
    let keys: Vec<String> = entries.iter().map(|entry| entry.key.clone()).collect();
    (select(keys), own_parts(), 0..8u8, details())
        .prop_map(|(key, other, change, details)| {
            let entry = catalogue().find(&key).expect("an entry");
            let mut parts = known_parts(&key);
            if let Some(parts) = &mut parts {
                match change {
                    0 => parts.yan_mg_per_kg = other.yan_mg_per_kg,
                    1 => parts.ta_g_per_kg = other.ta_g_per_kg,
                    2 => parts.density_kg_per_l = other.density_kg_per_l,
                    3 => parts.spread = other.spread,
                    4 => *parts = other,
                    _ => {}
                }
            }
            if change == 5 {
                parts = None;
            }
            details.of(
                Some(entry.key.clone()),
                entry.name.clone(),
                Kind::from_word(entry.kind.word()).expect("a kind"),
                parts,
            )
        })
        .boxed()
}

fn own(honey: bool) -> BoxedStrategy<Ingredient> {
    let kind =
        select(Kind::ALL).prop_filter("not honey", move |kind| honey || *kind != Kind::Honey);
    // A key that the catalogue never had, or has for another kind of thing.
    let key = option::of(select(vec![
        "of-last-year".to_owned(),
        "honey-heather".to_owned(),
        "apple".to_owned(),
    ]));
    (
        kind,
        option::weighted(0.8, own_parts()),
        details(),
        text(),
        key,
    )
        .prop_map(move |(kind, parts, details, name, key)| {
            let kind = if honey { Kind::Honey } else { kind };
            details.of(key, name, kind, parts)
        })
        .boxed()
}

#[derive(Clone, Debug)]
struct Details {
    renamed: Option<String>,
    form: Option<Form>,
    days: Option<f64>,
    when: When,
    amount: Amount,
    price: Option<f64>,
    note: Option<String>,
}

impl Details {
    fn of(
        self,
        key: Option<String>,
        name: String,
        kind: Kind,
        composition: Option<Composition>,
    ) -> Ingredient {
        Ingredient {
            key,
            name: self.renamed.unwrap_or(name),
            kind,
            form: self.form,
            days: self.days,
            when: self.when,
            amount: Some(self.amount),
            composition,
            price_per_kg: self.price,
            note: self.note,
        }
    }
}

fn details() -> impl Strategy<Value = Details> {
    (
        option::weighted(0.2, text()),
        option::of(select(Form::ALL)),
        option::of(number(0.0, 3650.0)),
        select(When::ALL),
        amount(),
        option::of(price()),
        option::of(text()),
    )
        .prop_map(|(renamed, form, days, when, amount, price, note)| Details {
            renamed,
            form,
            days,
            when,
            amount,
            price,
            note,
        })
}

fn yeast() -> impl Strategy<Value = Yeast> {
    let keys: Vec<Option<String>> = catalogue()
        .yeasts()
        .iter()
        .map(|yeast| Some(yeast.key.clone()))
        .chain([None, Some("yeast-of-the-orchard".to_owned())])
        .collect();
    (
        select(keys),
        text(),
        any::<bool>(),
        number(1.0, 25.0),
        select(NitrogenNeed::ALL),
        option::of([celsius(), celsius()]),
        select(YeastWhen::ALL),
        option::of(number(0.0, 110.0)),
    )
        .prop_map(
            |(key, name, usual, tolerance, need, range, when, attenuation)| {
                let entry = key.as_deref().and_then(|key| catalogue().find_yeast(key));
                Yeast {
                    name: entry
                        .filter(|_| usual)
                        .map_or(name, |entry| entry.name.clone()),
                    tolerance_abv_percent: entry
                        .filter(|_| usual)
                        .map_or(tolerance, |entry| entry.tolerance_abv_percent()),
                    nitrogen_need: need,
                    temperature_c: range,
                    when,
                    attenuation_percent: attenuation,
                    key,
                }
            },
        )
}

fn feed() -> impl Strategy<Value = Nutrient> {
    let keys: Vec<Option<String>> = catalogue()
        .feeds()
        .iter()
        .map(|feed| Some(feed.key.clone()))
        .chain([None, Some("feed-of-last-year".to_owned())])
        .collect();
    (
        select(keys),
        text(),
        number(0.0, 1000.0),
        number(0.0, 1000.0),
        option::of(number(0.0, 1_500.0)),
        option::of(price()),
        option::of(number(0.0, 1.0)),
    )
        .prop_map(
            |(key, name, ammonium, organic, most, price, share)| Nutrient {
                key,
                name,
                ammonium_yan_mg_per_g: ammonium,
                organic_yan_mg_per_g: organic,
                max_g_per_l: most,
                price_per_kg: price,
                share,
            },
        )
}

fn aim() -> impl Strategy<Value = Aim> {
    let target = || {
        prop_oneof![
            number(0.5, 25.0).prop_map(Target::Abv),
            number(1.001, 1.5).prop_map(Target::Gravity)
        ]
    };
    prop_oneof![
        Just(Aim::Amounts),
        target().prop_map(Aim::Target),
        (kilograms(), target()).prop_map(|(kg, target)| Aim::UseHoney { kg, target }),
    ]
}

fn finish() -> impl Strategy<Value = Finish> {
    prop_oneof![
        Just(Finish::Dry),
        number(0.975, 1.2).prop_map(Finish::SweetenTo),
        number(0.975, 1.2).prop_map(Finish::ArrestTo),
    ]
}

fn vessel() -> impl Strategy<Value = Vessel> {
    (
        option::of(text()),
        option::of(select(vec!["bucket", "demijohn", "keg", "crock"])),
        litres(),
        option::of(any::<bool>()),
        option::of(number(0.0, 0.9)),
        option::of(litres()),
    )
        .prop_map(
            |(name, kind, brim_l, wide_mouth, headspace_fraction, loss_l)| Vessel {
                name,
                kind: kind.map(str::to_owned),
                brim_l,
                wide_mouth,
                headspace_fraction,
                loss_l,
            },
        )
}

fn report() -> impl Strategy<Value = WaterReport> {
    let group = |known: &'static [&'static str]| {
        let name = prop_oneof![
            3 => select(known).prop_map(str::to_owned),
            1 => "[a-z]{2,8}",
        ];
        btree_map(name, number(0.0, 9_000.0), 0..6)
    };
    // Two spellings of one are among them, and what nobody knows.
    let ions = &[
        "calcium",
        "Ca",
        "HCO3",
        "alkalinity_caco3",
        "chloride",
        "cl",
        "so4",
        "K",
        "hydroxide",
    ];
    let salts = &[
        "gypsum",
        "CaSO4.2H2O",
        "NaCl",
        "potassium_bicarbonate",
        "Ca(OH)2",
    ];
    (group(ions), group(salts)).prop_map(|(ions, salts)| WaterReport { ions, salts })
}

fn words() -> impl Strategy<Value = Declared> {
    (option::of(text()), option::of(text()), option::of(text())).prop_map(
        |(sweetness, strength, carbonation)| Declared {
            sweetness,
            strength,
            carbonation,
        },
    )
}

prop_compose! {
    /// Any document.
    pub fn recipe()(
        head in (text(), "([a-z]{1,9}\n?){0,4}[a-z]", option::of(text()), option::of(words())),
        what in (litres(), aim(), finish(), option::of(celsius()), option::of(vessel())),
        items in vec(prop_oneof![picked(true), own(true), picked(false), own(false)], 0..7),
        yeasts in vec(yeast(), 0..3),
        nutrients in vec(feed(), 0..3),
        feeding in select(FeedingLevel::ALL),
        rest in (
            option::of(report()),
            vec((text(), text()).prop_map(|(when, text)| Step { when, text }), 0..3),
            any::<(bool, bool)>(),
        ),
    ) -> Recipe {
        let (title, notes, style, declared) = head;
        let (volume, aim, finish, temperature_c, vessel) = what;
        let (water_report, process, (fills, without_amount)) = rest;
        let mut ingredients: Vec<Ingredient> = items;
        let filler = ingredients
            .iter()
            .position(|item| item.when == When::Must && item.kind != Kind::Honey)
            .filter(|at| fills && !ingredients[..*at].iter().any(|item| item.name == ingredients[*at].name));
        if let Some(at) = filler.filter(|_| without_amount) {
            ingredients[at].amount = None;
        }
        Recipe {
            title,
            notes,
            style,
            declared: declared.filter(|words| *words != Declared::default()),
            volume_l: Some(volume),
            aim,
            finish,
            filler: filler.map(|at| ingredients[at].name.clone()),
            ingredients,
            yeasts,
            nutrients,
            feeding,
            temperature_c,
            vessel,
            water_report,
            process,
            ..Recipe::default()
        }
    }
}

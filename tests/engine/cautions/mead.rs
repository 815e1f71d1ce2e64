//! What may spoil a batch or burst a bottle: stabilising, gas, yeasts, fruit, doses, acid, water.

use mustwright::engine::problem::{CautionCode, Severity};
use mustwright::engine::recipe::*;

use super::{Case, ingredient, named, with};
use crate::documents::*;
use crate::support::{close, table};

fn additive(name: &str, kind: Kind, when: When, grams_per_l: f64) -> Ingredient {
    Ingredient {
        when,
        ..pinch(name, kind, grams_per_l)
    }
}

fn sulfite(grams_per_l: f64) -> Ingredient {
    additive(
        "Potassium metabisulfite",
        Kind::Salt,
        When::Ageing,
        grams_per_l,
    )
}

fn sorbate(grams_per_l: f64) -> Ingredient {
    additive("Potassium sorbate", Kind::Salt, When::Ageing, grams_per_l)
}

/// A sweetened traditional with these additions.
fn sweet(additions: Vec<Ingredient>) -> Recipe {
    with(|r| {
        r.finish = Finish::SweetenTo(1.012);
        r.ingredients.extend(additions.clone());
    })
}

fn sparkling(change: impl Fn(&mut Recipe)) -> Recipe {
    with(|r| {
        r.declared = Some(Declared {
            carbonation: Some("Pétillant".to_owned()),
            ..Declared::default()
        });
        change(r);
    })
}

fn yeasts(list: &[(&str, f64, YeastWhen)]) -> Recipe {
    with(|r| {
        r.yeasts = list
            .iter()
            .map(|(name, tolerance, when)| Yeast {
                name: (*name).to_owned(),
                when: *when,
                ..yeast(*tolerance)
            })
            .collect();
    })
}

fn water(ions: &[(&str, f64)], salts: &[(&str, f64)]) -> Recipe {
    let map = |pairs: &[(&str, f64)]| {
        pairs
            .iter()
            .map(|(name, value)| ((*name).to_owned(), *value))
            .collect()
    };
    with(|r| {
        r.water_report = Some(WaterReport {
            ions: map(ions),
            salts: map(salts),
        });
    })
}

fn sour(grams_per_l: f64) -> Recipe {
    let mut acid = additive("Tartaric acid", Kind::Acid, When::Ageing, grams_per_l);
    acid.composition = Some(Composition {
        ta_g_per_kg: Some(1000.0),
        ..parts(0.0, 0.0, 1.0, 0.0)
    });
    with(|r| {
        r.ingredients[0].composition = Some(Composition {
            ta_g_per_kg: Some(1.0),
            ..parts(0.18, 0.73, 0.09, 0.0)
        });
        r.ingredients.push(acid.clone());
    })
}

pub fn cases() -> Vec<Case> {
    [stabilising(), gas_and_yeasts(), additions(), must()].concat()
}

fn stabilising() -> Vec<Case> {
    use Severity::{Note, Watch};
    let bacteria = additive("Malolactic bacteria", Kind::Other, When::Secondary, 0.01);
    let early = |item: Ingredient| Ingredient {
        when: When::Must,
        ..item
    };
    vec![
        (
            CautionCode::SulfiteAsthma,
            Watch,
            ingredient(sulfite(0.1)),
            ingredient(sorbate(0.1)),
        ),
        (
            CautionCode::SulfiteBeforeYeast,
            Note,
            ingredient(early(sulfite(0.1))),
            ingredient(sulfite(0.1)),
        ),
        (
            CautionCode::MuchSulfite,
            Watch,
            ingredient(sulfite(0.4)),
            ingredient(sulfite(0.3)),
        ),
        (
            CautionCode::StabilisersMissing,
            Watch,
            sweet(vec![]),
            sweet(vec![sulfite(0.1), sorbate(0.2)]),
        ),
        (
            CautionCode::SorbateWithoutSulfite,
            Watch,
            sweet(vec![sorbate(0.2)]),
            sweet(vec![sulfite(0.1), sorbate(0.2)]),
        ),
        (
            CautionCode::SorbateBeforeFermenting,
            Watch,
            ingredient(early(sorbate(0.2))),
            ingredient(sorbate(0.2)),
        ),
        (
            CautionCode::SorbateWithMalolactic,
            Watch,
            sweet(vec![sulfite(0.1), sorbate(0.2), bacteria.clone()]),
            sweet(vec![sulfite(0.1), bacteria]),
        ),
        (
            CautionCode::MuchSorbate,
            Watch,
            sweet(vec![sulfite(0.1), sorbate(0.3)]),
            sweet(vec![sulfite(0.1), sorbate(0.26)]),
        ),
    ]
}

fn gas_and_yeasts() -> Vec<Case> {
    use Severity::{Danger, Note, Watch};
    use YeastWhen::{Bottle, Later, Pitch};
    let braggot = |name: &str| {
        let mut recipe = yeasts(&[(name, 14.0, Pitch)]);
        recipe
            .ingredients
            .push(named("Pale malt extract", Kind::Malt, When::Must));
        recipe
    };
    vec![
        (
            CautionCode::BottlesForPressure,
            Danger,
            sparkling(|_| {}),
            with(|r| {
                r.declared = Some(Declared {
                    carbonation: Some("not sparkling".to_owned()),
                    ..Declared::default()
                });
            }),
        ),
        (
            CautionCode::SparklingWithSugar,
            Danger,
            sparkling(|r| r.finish = Finish::SweetenTo(1.010)),
            sparkling(|_| {}),
        ),
        (
            CautionCode::MayStayFlat,
            Note,
            sparkling(|r| r.aim = Aim::Target(Target::Abv(13.5))),
            sparkling(|r| {
                r.aim = Aim::Target(Target::Abv(13.5));
                r.yeasts.push(Yeast {
                    when: Bottle,
                    ..yeast(17.0)
                });
            }),
        ),
        (
            CautionCode::BottleYeastTooWeak,
            Watch,
            yeasts(&[("wine yeast", 15.0, Pitch), ("ale yeast", 10.0, Bottle)]),
            yeasts(&[
                ("wine yeast", 15.0, Pitch),
                ("champagne yeast", 17.0, Bottle),
            ]),
        ),
        (
            CautionCode::LaterYeastTooWeak,
            Watch,
            yeasts(&[("wine yeast", 15.0, Pitch), ("ale yeast", 10.0, Later)]),
            yeasts(&[("ale yeast", 10.0, Pitch), ("wine yeast", 15.0, Later)]),
        ),
        (
            CautionCode::MixedYeasts,
            Note,
            yeasts(&[("wine yeast", 15.0, Pitch), ("ale yeast", 10.0, Pitch)]),
            yeasts(&[("ale yeast", 10.0, Pitch), ("wine yeast", 15.0, Later)]),
        ),
        (
            CautionCode::YeastStartsAgain,
            Danger,
            braggot("Saison yeast"),
            braggot("Ale yeast"),
        ),
        (
            CautionCode::StopsHalfWay,
            Watch,
            yeasts(&[("Torulaspora culture", 14.0, Pitch)]),
            yeasts(&[
                ("Torulaspora culture", 9.0, Pitch),
                ("wine yeast", 15.0, Later),
            ]),
        ),
    ]
}

fn additions() -> Vec<Case> {
    use Severity::{Note, Watch};
    let berries = |form: Option<Form>, wide_mouth: bool| {
        with(|r| {
            let mut item = fruit(Amount::Kg(2.0));
            item.form = form;
            r.ingredients.push(item);
            r.vessel = Some(Vessel {
                brim_l: 40.0,
                wide_mouth: Some(wide_mouth),
                ..Vessel::default()
            });
        })
    };
    let for_days = |name: &str, kind: Kind, days: f64| {
        ingredient(Ingredient {
            days: Some(days),
            when: When::Ageing,
            ..pinch(name, kind, 0.1)
        })
    };
    let in_vessel = |kind: &str| {
        let mut recipe = for_days("Oak cubes", Kind::Wood, 60.0);
        recipe.vessel = Some(Vessel {
            kind: Some(kind.to_owned()),
            brim_l: 30.0,
            ..Vessel::default()
        });
        recipe
    };
    let enzyme = |when: When| {
        ingredient(Ingredient {
            when,
            ..pinch("Pectinase", Kind::Enzyme, 0.05)
        })
    };
    vec![
        (
            CautionCode::FruitCap,
            Watch,
            berries(None, true),
            berries(Some(Form::Puree), true),
        ),
        (
            CautionCode::NarrowMouth,
            Watch,
            berries(None, false),
            berries(None, true),
        ),
        (
            CautionCode::FreshFruit,
            Note,
            berries(Some(Form::Crushed), true),
            berries(Some(Form::Frozen), true),
        ),
        (
            CautionCode::WholeFruitKeepsSugar,
            Note,
            berries(Some(Form::Whole), true),
            berries(Some(Form::Crushed), true),
        ),
        (
            CautionCode::EnzymeBeforeYeast,
            Note,
            enzyme(When::Must),
            enzyme(When::Secondary),
        ),
        (
            CautionCode::DoseAboveUsual,
            Watch,
            ingredient(pinch("Cloves", Kind::Spice, 0.5)),
            ingredient(pinch("Cloves", Kind::Spice, 0.4)),
        ),
        (
            CautionCode::ContactTooLong,
            Watch,
            for_days("Oak chips", Kind::Wood, 22.0),
            for_days("Oak chips", Kind::Wood, 21.0),
        ),
        (
            CautionCode::LongInBucket,
            Watch,
            in_vessel("bucket"),
            in_vessel("carboy"),
        ),
    ]
}

fn must() -> Vec<Case> {
    use Severity::{Note, Watch};
    let salt = |name: &str| ingredient(pinch(name, Kind::Salt, 0.3));
    let honey_named = |name: &str| with(|r| r.ingredients[0].name = name.to_owned());
    let fair = &[("Ca", 60.0), ("HCO3", 120.0), ("Cl", 36.7)][..];
    vec![
        (
            CautionCode::HoneyHoldsPhPoorly,
            Note,
            salt("Sea salt"),
            salt("Potassium bicarbonate"),
        ),
        (
            CautionCode::HighFructoseHoney,
            Note,
            honey_named("Acacia honey"),
            honey_named("Clover honey"),
        ),
        (
            CautionCode::HighDemand,
            Note,
            with(|r| {
                r.yeasts = vec![Yeast {
                    nitrogen_need: NitrogenNeed::High,
                    ..yeast(18.0)
                }];
                r.aim = Aim::Target(Target::Abv(16.0));
            }),
            with(|r| r.aim = Aim::Target(Target::Abv(13.0))),
        ),
        (
            CautionCode::GravityOutsideStrength,
            Note,
            with(|r| r.aim = Aim::Target(Target::Abv(8.0))),
            with(|r| r.aim = Aim::Target(Target::Abv(12.0))),
        ),
        (CautionCode::MuchAcid, Watch, sour(9.5), sour(6.0)),
        (CautionCode::LittleAcid, Note, sour(1.0), sour(6.0)),
        (
            CautionCode::WaterReportUneven,
            Note,
            water(&[("Ca", 60.0), ("HCO3", 120.0)], &[]),
            water(fair, &[]),
        ),
        (
            CautionCode::WaterWithoutMinerals,
            Watch,
            water(&[("Ca", 1.0)], &[]),
            water(fair, &[]),
        ),
        (
            CautionCode::SaltDoesNotDissolve,
            Note,
            water(fair, &[("chalk", 5.0)]),
            water(fair, &[("KHCO3", 5.0)]),
        ),
        (
            CautionCode::WaterReportUnused,
            Note,
            {
                let mut recipe = water(fair, &[]);
                recipe.ingredients.push(juice(Amount::Litres(0.0)));
                recipe.filler = Some("apple juice".to_owned());
                recipe
            },
            water(fair, &[]),
        ),
    ]
}

fn argument(recipe: &Recipe, code: CautionCode, name: &str) -> f64 {
    let numbers = sound(recipe);
    let caution = numbers.cautions.iter().find(|caution| caution.code == code);
    let caution = caution.unwrap_or_else(|| panic!("{code:?}"));
    caution.arguments.number(name).expect(name)
}

/// 20 L: 50 to 75 mg/L of SO2 at 0.5763 are 1.7 to 2.6 g; 200 mg/L of sorbic acid at 0.7464 are 5.4 g (reference on physical
/// chemistry, section 8).
#[test]
fn what_a_sweet_mead_wants_is_said_in_grams() {
    let recipe = sweet(vec![]);
    let litres = sound(&recipe).finished.expect("a mead").volume_l;
    let code = CautionCode::StabilisersMissing;
    close(
        argument(&recipe, code, "metabisulfite_low_g"),
        0.05 / 0.5763 * litres,
        1e-3 * litres,
        "low",
    );
    close(
        argument(&recipe, code, "metabisulfite_high_g"),
        0.075 / 0.5763 * litres,
        1e-3 * litres,
        "high",
    );
    close(
        argument(&recipe, code, "sorbate_g"),
        0.2 / 0.7464 * litres,
        1e-3 * litres,
        "sorbate",
    );
    // Alcohol helps: the stronger the less.
    let mut strong = sweet(vec![]);
    strong.aim = Aim::Target(Target::Abv(15.0));
    strong.yeasts = vec![yeast(18.0)];
    close(
        argument(&strong, code, "sorbate_g") / sound(&strong).finished.expect("a mead").volume_l,
        0.134,
        1e-3,
        "100 mg/L",
    );
}

/// 50 mg of sulfur dioxide for each litre, of which potassium metabisulfite gives 2 × 64.066 of 222.32 g (its formula).
#[test]
fn fresh_fruit_wants_its_sulfite_in_grams() {
    let recipe = with(|r| {
        let mut berries = fruit(Amount::Kg(4.0));
        berries.form = Some(Form::Crushed);
        r.ingredients.push(berries);
    });
    let litres = sound(&recipe).whole.expect("a must").volume_l;
    let wanted = 0.050 * litres * 222.32 / (2.0 * 64.066);
    let found = argument(&recipe, CautionCode::FreshFruit, "metabisulfite_g");
    close(found, wanted, 0.001 * wanted, "grams");
}

#[test]
fn sulfite_of_sodium_is_stronger() {
    let so2 = |name: &str| {
        let recipe = ingredient(Ingredient {
            name: name.to_owned(),
            ..sulfite(0.6)
        });
        argument(&recipe, CautionCode::MuchSulfite, "so2_mg_per_l")
    };
    let ratio = so2("Sodium metabisulfite") / so2("Potassium metabisulfite");
    close(ratio, 0.6739 / 0.5763, 1e-9, "by their masses");
}

/// 3 g/L of sugar are no harm by themselves; 10 g/L are 2.5 volumes of gas.
#[test]
fn gas_of_what_is_left_is_told_in_volumes() {
    let recipe = sparkling(|r| r.finish = Finish::SweetenTo(1.010));
    let sugar = sound(&recipe)
        .finished
        .expect("a mead")
        .residual_sugar_g_per_l;
    let volumes = argument(&recipe, CautionCode::SparklingWithSugar, "volumes_co2");
    close(volumes, sugar / 4.05, 1e-9, "volumes");
    assert!(volumes > 5.0, "{volumes}");
}

/// Sugar that nobody could measure sets nothing off again; together with more of it it does.
#[test]
fn only_sugar_that_matters_can_start_again() {
    let pepper = |grams_per_l: f64| {
        let mut pepper = additive("Chili", Kind::Fruit, When::Secondary, grams_per_l);
        pepper.composition = Some(parts(0.88, 0.053, 0.04, 0.027));
        pepper
    };
    let told = |items: Vec<Ingredient>| {
        let recipe = with(|r| r.ingredients.extend(items.clone()));
        let numbers = sound(&recipe);
        let cautions = numbers.cautions.iter();
        let named = cautions.filter(|caution| caution.code == CautionCode::SecondaryCanFerment);
        named
            .map(|caution| caution.arguments.text("name").expect("a name").to_owned())
            .collect::<Vec<_>>()
    };
    assert_eq!(told(vec![pepper(0.3)]), Vec::<String>::new());
    assert_eq!(told(vec![pepper(30.0)]), ["Chili"]);
    let cherry = named("cherry", Kind::Fruit, When::Secondary);
    assert_eq!(told(vec![pepper(0.3), cherry]), ["cherry"]);
    // Eight pinches that together are more than one of them.
    let mut pinches = vec![pepper(2.0); 8];
    for (number, item) in pinches.iter_mut().enumerate() {
        item.name = format!("Chili {number}");
    }
    assert_eq!(told(pinches).len(), 8);
}

/// Doses against the rows of the table they come from.
#[test]
fn usual_doses_are_those_of_the_table() {
    let rows = table("composition");
    for (name, most) in mustwright::engine::doses::SPICES {
        let row = rows.iter().find(|row| row.text("name") == *name);
        let row = row.unwrap_or_else(|| panic!("no row {name}"));
        row.expect("dose_high_g_per_l", *most, 1e-12);
    }
    let dosed = rows
        .iter()
        .filter(|row| row.optional("dose_high_g_per_l").is_some());
    assert_eq!(dosed.count(), mustwright::engine::doses::SPICES.len());
    // And each row's own name is known by its rule.
    for (name, most) in mustwright::engine::doses::SPICES {
        let over = |dose: f64| {
            let codes = caution_codes(&sound(&ingredient(pinch(name, Kind::Spice, dose))));
            codes.contains(&CautionCode::DoseAboveUsual)
        };
        assert!(over(1.01 * most) && !over(0.99 * most), "{name}");
    }
}

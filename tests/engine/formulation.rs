//! Whole documents against worked numbers: every aim with every finish, and the tables of the balance.

use mustwright::engine::balance::Liquid;
use mustwright::engine::density::WATER_20;
use mustwright::engine::formulation::StoppedBy;
use mustwright::engine::recipe::*;

use crate::documents::*;
use crate::support::{Row, close, table};

fn percent(row: &Row, column: &str, percent: f64) -> f64 {
    row.number(column).abs() * percent / 100.0
}

fn aim_of(row: &Row) -> Aim {
    let target = match row.text("aim") {
        "amounts" => return Aim::Amounts,
        "abv_percent" => Target::Abv(row.number("target")),
        "gravity_sg" => Target::Gravity(row.number("target")),
        other => panic!("unknown aim {other}"),
    };
    match row.optional("use_honey_kg") {
        Some(kg) => Aim::UseHoney { kg, target },
        None => Aim::Target(target),
    }
}

fn finish_of(row: &Row) -> Finish {
    match row.text("finish") {
        "dry" => Finish::Dry,
        "sweeten" => Finish::SweetenTo(row.number("finish_sg")),
        "arrest" => Finish::ArrestTo(row.number("finish_sg")),
        other => panic!("unknown finish {other}"),
    }
}

/// The whole table, worked by an independent implementation; tolerances of its header.
#[test]
fn every_aim_with_every_finish() {
    for row in table("formulation") {
        let aim = aim_of(&row);
        let recipe = Recipe {
            volume_l: (!matches!(aim, Aim::UseHoney { .. })).then(|| row.number("volume_l")),
            aim,
            finish: finish_of(&row),
            ingredients: vec![
                honey(match aim {
                    Aim::Amounts => Amount::Kg(5.5),
                    _ => Amount::Share(1.0),
                }),
                fruit(Amount::Kg(3.0)),
            ],
            ..traditional()
        };
        let numbers = sound(&recipe);
        let whole = numbers.whole.as_ref().expect("a must");
        let end = numbers.finished.as_ref().expect("a mead");
        let hair = |column: &str| percent(&row, column, 0.02);
        row.expect("volume_l", whole.volume_l, hair("volume_l"));
        let in_must = mass_of(&numbers, "honey", When::Must);
        row.expect("honey_kg", in_must, hair("honey_kg"));
        let water_kg = whole.water_l * WATER_20 / 1000.0;
        row.expect("water_kg", water_kg, hair("water_kg"));
        row.expect("og", whole.og, 0.00002);
        if row.optional("natural_fg").is_some() {
            row.expect("natural_fg", end.natural_fg, 0.00002);
        }
        row.expect("abv_before", end.abv_before_sweetening_percent, 0.005);
        let sweetening = match recipe.finish {
            Finish::SweetenTo(_) => mass_of(&numbers, "honey", When::Sweeten),
            _ => 0.0,
        };
        row.expect("sweet_kg", sweetening, hair("sweet_kg"));
        row.expect("fg", end.fg, 0.00002);
        row.expect("abv", end.abv_percent, 0.005);
        row.expect("finished_l", end.volume_l, hair("finished_l"));
        row.expect("residual_sugar_g_l", end.residual_sugar_g_per_l, 0.1);
        if let Aim::UseHoney { kg, .. } = aim {
            close(in_must + sweetening, kg, 1e-9, "the honey one has");
        }
    }
}

/// The whole table of solved recipes through documents; tolerances of its header.
#[test]
fn honey_and_water_for_an_aim() {
    for row in table("must_solver") {
        let (aim, finish) = match row.text("mode") {
            "og" => (Target::Gravity(row.number("target_og")), Finish::Dry),
            "dry" => (Target::Abv(row.number("target_abv_pct")), Finish::Dry),
            "abv_fg" => (
                Target::Abv(row.number("target_abv_pct")),
                Finish::ArrestTo(row.number("target_fg")),
            ),
            other => panic!("unknown mode {other}"),
        };
        // Stopped by hand, and stopped by a yeast whose limit is just the aim: the same mead.
        let limits = match (aim, finish) {
            (Target::Abv(abv), Finish::ArrestTo(_)) => vec![25.0, abv],
            _ => vec![25.0],
        };
        for limit in limits {
            let numbers = sound(&Recipe {
                volume_l: Some(row.number("volume_l")),
                aim: Aim::Target(aim),
                finish,
                ingredients: vec![
                    item(
                        "honey",
                        Kind::Honey,
                        Amount::Share(3.0),
                        parts_of(&row, "honey"),
                    ),
                    item(
                        "other",
                        Kind::Fruit,
                        Amount::Kg(row.number("other_kg")),
                        parts_of(&row, "other"),
                    ),
                ],
                yeasts: vec![yeast(limit)],
                ..traditional()
            });
            let whole = numbers.whole.as_ref().expect("a must");
            let honey_kg = mass_of(&numbers, "honey", When::Must);
            row.expect("honey_kg", honey_kg, percent(&row, "honey_kg", 0.1));
            let water_kg = whole.water_l * WATER_20 / 1000.0;
            row.expect("water_kg", water_kg, percent(&row, "water_kg", 0.1));
            row.expect("og_20_20", whole.og, 0.0002);
            row.expect("must_mass_pct", whole.brix, 0.01);
        }
    }
}

/// The whole table of musts through documents; tolerances of its header.
#[test]
fn musts_and_what_becomes_of_them() {
    for row in table("must_balance") {
        let tolerance = row.optional("tolerance_abv_pct");
        let mut recipe = amounts(
            row.number("must_volume_l"),
            vec![
                item(
                    "honey",
                    Kind::Honey,
                    Amount::Kg(row.number("honey_kg")),
                    parts_of(&row, "honey"),
                ),
                item(
                    "other",
                    Kind::Fruit,
                    Amount::Kg(row.number("other_kg")),
                    parts_of(&row, "other"),
                ),
            ],
        );
        recipe.yeasts = vec![yeast(tolerance.unwrap_or(25.0))];
        let numbers = sound(&recipe);
        let whole = numbers.whole.as_ref().expect("a must");
        let end = numbers.finished.as_ref().expect("a mead");
        let share = |column: &str| percent(&row, column, 0.1);
        row.expect("must_mass_kg", whole.mass_kg, share("must_mass_kg"));
        row.expect("must_mass_pct", whole.brix, 0.01);
        row.expect("og_20_20", whole.og, 0.0002);
        let water_kg = whole.water_l * WATER_20 / 1000.0;
        row.expect("water_kg", water_kg, share("water_kg"));
        let stopped_by = numbers.limits.as_ref().expect("limits").stopped_by;
        assert_eq!(stopped_by == StoppedBy::Tolerance, tolerance.is_some());
        row.expect("abv_pct", end.abv_percent, 0.02);
        row.expect("fg_20_20", end.fg, 0.0002);
        row.expect("residual_sugar_g_l", end.residual_sugar_g_per_l, 0.5);
        row.expect("total_extract_g_l", end.extract_g_per_l, 0.5);
        row.expect("final_volume_l", end.volume_l, share("final_volume_l"));
        row.expect("co2_kg", end.co2_kg, share("co2_kg"));
        row.expect("biomass_kg", end.lees_kg, share("biomass_kg"));
        let ethanol_kg = end.abw_percent / 100.0 * end.volume_l * end.fg * WATER_20 / 1000.0;
        row.expect("ethanol_kg", ethanol_kg, share("ethanol_kg"));
    }
}

/// The whole table of sweetened meads through documents; tolerances of its header.
#[test]
fn sweetening() {
    for row in table("backsweeten") {
        let kg = row.number("honey_kg");
        let honey = parts_of(&row, "honey");
        let must = Liquid {
            water_kg: honey.water * kg + row.number("water_kg"),
            sugar_kg: honey.fermentable * kg,
            extract_kg: honey.unfermentable * kg,
            ethanol_kg: 0.0,
        };
        let mut sweet = item(
            "sweet honey",
            Kind::Honey,
            Amount::Share(1.0),
            parts_of(&row, "sweet"),
        );
        sweet.when = When::Sweeten;
        let mut recipe = amounts(
            must.state().volume_l,
            vec![item("honey", Kind::Honey, Amount::Kg(kg), honey), sweet],
        );
        recipe.finish = Finish::SweetenTo(row.number("target_fg"));
        recipe.yeasts = vec![yeast(row.optional("tolerance_abv_pct").unwrap_or(25.0))];
        let numbers = sound(&recipe);
        let end = numbers.finished.as_ref().expect("a mead");
        row.expect("fg_before", end.natural_fg, 0.0002);
        row.expect("abv_before_pct", end.abv_before_sweetening_percent, 0.02);
        let sweet_kg = mass_of(&numbers, "sweet honey", When::Sweeten);
        let share = percent(&row, "sweet_honey_kg", 0.5);
        row.expect("sweet_honey_kg", sweet_kg, share);
        close(end.fg, row.number("target_fg"), 1e-9, "the wanted gravity");
        row.expect("abv_after_pct", end.abv_percent, 0.02);
        let share = percent(&row, "volume_after_l", 0.1);
        row.expect("volume_after_l", end.volume_l, share);
        row.expect("sugar_after_g_l", end.residual_sugar_g_per_l, 0.5);
    }
}

/// Every key of the answer is there, and what comes later is null.
#[test]
fn the_answer_has_every_key() {
    let mut recipe = traditional();
    recipe.nutrients = vec![mixed(), dap(), organic()];
    // An empty sum is −0 in Rust; nobody wants to read that.
    let shown = serde_json::to_string(&sound(&recipe)).expect("JSON");
    assert!(
        !shown.contains("-0.0,") && !shown.contains("-0.0}"),
        "{shown}"
    );
    let answer = serde_json::to_value(sound(&recipe)).expect("JSON");
    let keys = |value: &serde_json::Value| {
        let mut keys: Vec<String> = value
            .as_object()
            .expect("an object")
            .keys()
            .cloned()
            .collect();
        keys.sort();
        keys.join(" ")
    };
    assert_eq!(
        keys(&answer),
        "balance cautions feeding finished ingredients ladder limits must package pitching problems spread style vessel \
         water whole"
    );
    let musts =
        "brix extract_g_per_l mass_kg og sugar_g_per_l ta_g_per_l volume_l water_l yan_mg_per_l";
    assert_eq!(keys(&answer["must"]), musts);
    assert_eq!(keys(&answer["whole"]), musts);
    assert_eq!(
        keys(&answer["finished"]),
        "abv_before_sweetening_percent abv_percent abw_percent attenuation_percent co2_kg energy_kj_per_100ml \
         extract_g_per_l fg lees_kg natural_fg residual_sugar_g_per_l ta_g_per_l volume_l"
    );
    assert_eq!(keys(&answer["limits"]), "headroom_abv_percent stopped_by");
    assert_eq!(answer["limits"]["stopped_by"], "sugar");
    assert_eq!(
        keys(&answer["ingredients"][0]),
        "cost gravity_points kg litres name sugar_kg when"
    );
    assert_eq!(
        keys(&answer["ladder"]),
        "ammonium_limit_sg one_third_break_sg tolerance_sg"
    );
    for word in ["family", "strength", "sweetness"] {
        assert_eq!(keys(&answer["style"][word]), "rule value");
    }
    assert_eq!(
        keys(&answer["feeding"]),
        "additions beyond_mg_per_l deficit_mg_per_l demand must_mg_per_l sugar_g_per_l target_mg_per_l why"
    );
    assert_eq!(keys(&answer["feeding"]["demand"]), "class strength_line");
    let addition = &answer["feeding"]["additions"][0];
    assert_eq!(
        keys(addition),
        "ammonium_mg_per_l at cost grams nutrient organic_mg_per_l"
    );
    assert_eq!(keys(&addition["at"]), "hours");
    assert_eq!(keys(&answer["pitching"]), "rehydration sachets yeast_g");
    assert_eq!(
        keys(&answer["vessel"]),
        "advice brim_wanted_l fill_l fits fruit_displacement_l headspace_l"
    );
    assert_eq!(
        keys(&answer["package"]),
        "bottles cost cost_per_bottle litres losses_l unpriced"
    );
    for unknown in ["balance", "water", "spread"] {
        assert!(answer[unknown].is_null(), "{unknown}");
    }
    recipe.ingredients[0].composition = Some(Composition {
        ta_g_per_kg: Some(3.0),
        spread: Some(CompositionSpread {
            water: Some(0.015),
            fermentable: None,
        }),
        ..parts(0.18, 0.73, 0.09, 0.0)
    });
    recipe.water_report = Some(WaterReport {
        ions: [("Ca".to_owned(), 40.0)].into(),
        ..WaterReport::default()
    });
    let answer = serde_json::to_value(sound(&recipe)).expect("JSON");
    assert_eq!(keys(&answer["balance"]), "band sugar_to_acid");
    assert_eq!(keys(&answer["spread"]), "abv_percent fg og");
    assert_eq!(
        keys(&answer["water"]),
        "alkalinity_mg_per_l_caco3 charge_imbalance_percent ions"
    );
    assert_eq!(
        keys(&answer["water"]["ions"]),
        "bicarbonate calcium carbonate chloride hydroxide magnesium nitrate potassium sodium sulfate"
    );
    assert_eq!(keys(&answer["cautions"][0]), "arguments code severity");
}

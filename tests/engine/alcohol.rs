//! Alcohol from two gravities: the balance, Balling's rule and the duty table against their tables.

use mustwright::engine::alcohol::*;
use proptest::prelude::*;

use crate::support::{close, sg, table};
use mustwright::engine::units::Abv;

/// The balance by an independent implementation, Balling's rule, and HM Revenue & Customs Notice 226 (factors from memory).
#[test]
fn alcohol_from_two_gravities() {
    for row in table("abv_from_gravities") {
        let (og, fg) = (row.number("og"), row.number("fg"));
        let found = abv_from_gravities(sg(og), sg(fg)).expect("a possible pair");
        row.expect(
            "model_abv_pct",
            found.abv_percent,
            row.number("tolerance_abv_pct"),
        );
        // Half a unit of the printed third decimal.
        let balling = balling_abv(sg(og), sg(fg)).expect("a possible pair").get();
        row.expect("balling_abv_pct", balling, 0.0006);
        match row.optional("hmrc_abv_pct") {
            Some(_) => row.expect(
                "hmrc_abv_pct",
                duty_table_abv(sg(og), sg(fg)).expect("in the table").get(),
                0.0006,
            ),
            None => assert_eq!(
                duty_table_abv(sg(og), sg(fg)),
                None,
                "no factor above a drop of 100.7"
            ),
        }
    }
}

/// The table printed with the recommended model: OG, FG, model, HMRC factors, Balling (two decimals).
#[test]
fn alcohol_as_printed_with_the_model() {
    for (og, fg, model, duty, balling) in [
        (1.040, 1.010, 3.90, Some(3.87), 3.94),
        (1.060, 1.010, 6.56, Some(6.55), 6.60),
        (1.080, 1.000, 10.63, Some(10.72), 10.61),
        (1.100, 1.000, 13.42, Some(13.50), 13.34),
        (1.110, 0.998, 15.12, None, 14.99),
        (1.120, 1.020, 13.51, Some(13.50), 13.46),
        (1.140, 1.040, 13.60, Some(13.50), 13.58),
        (1.160, 1.060, 13.70, Some(13.50), 13.71),
    ] {
        let found = abv_from_gravities(sg(og), sg(fg)).expect("a possible pair");
        close(found.abv_percent, model, 0.0051, "model");
        close(
            balling_abv(sg(og), sg(fg)).expect("in range").get(),
            balling,
            0.0051,
            "Balling",
        );
        match (duty_table_abv(sg(og), sg(fg)).map(Abv::get), duty) {
            (Some(found), Some(printed)) => close(found, printed, 0.0051, "duty table"),
            (found, printed) => assert_eq!(found, printed),
        }
    }
}

/// Attenuation by its definition: what the gravity fell by, of what it could fall by to that of water.
#[test]
fn attenuation_is_the_part_of_the_gravity_that_went() {
    for (og, fg, percent) in [
        (1.100, 1.025, 75.0),
        (1.080, 1.000, 100.0),
        (1.100, 0.990, 110.0),
        (1.050, 1.050, 0.0),
        (1.000, 1.000, 0.0),
    ] {
        let found = abv_from_gravities(sg(og), sg(fg)).expect("a possible pair");
        close(found.attenuation_percent, percent, 1e-9, "attenuation");
    }
}

/// The lowest final gravities printed with the model.
#[test]
fn no_final_gravity_below_the_floor() {
    for (og, floor) in [
        (1.050, 0.9908),
        (1.080, 0.9860),
        (1.100, 0.9831),
        (1.120, 0.9802),
    ] {
        let lowest = lowest_final_gravity(sg(og)).expect("in range").get();
        close(lowest, floor, 0.00006, "floor");
        assert!(abv_from_gravities(sg(og), sg(lowest)).is_ok());
        assert_eq!(
            abv_from_gravities(sg(og), sg(lowest - 1e-6)),
            Err(Impossible::BelowFloor { floor_sg: lowest })
        );
    }
    assert_eq!(
        abv_from_gravities(sg(1.05), sg(1.06)),
        Err(Impossible::FinalAboveOriginal)
    );
    assert_eq!(
        abv_from_gravities(sg(0.99), sg(0.98)),
        Err(Impossible::OriginalOutOfRange)
    );
    assert_eq!(
        abv_from_gravities(sg(1.6), sg(1.0)),
        Err(Impossible::OriginalOutOfRange)
    );
}

/// Stated agreement of the three rules, OG 1.030 to 1.160, FG 0.990 to 1.060.
#[test]
fn three_rules_for_alcohol_stay_close() {
    let mut pairs = 0;
    for og in (1030..=1160).step_by(5).map(|sg| f64::from(sg) / 1000.0) {
        for fg in (990..=1060).step_by(5).map(|sg| f64::from(sg) / 1000.0) {
            let Ok(model) = abv_from_gravities(sg(og), sg(fg)) else {
                assert!(fg > og || fg < lowest_final_gravity(sg(og)).expect("in range").get());
                continue;
            };
            pairs += 1;
            if let Some(duty) = duty_table_abv(sg(og), sg(fg)).map(Abv::get) {
                let limit = if og <= 1.1201 { 0.175 } else { 0.205 };
                close(model.abv_percent, duty, limit, "model and duty table");
            }
            let limit = match og {
                og if og < 1.0801 => 0.075,
                og if og < 1.1001 => 0.145,
                og if og < 1.1201 => 0.225,
                _ => 0.375,
            };
            let balling = balling_abv(sg(og), sg(fg)).expect("in range").get();
            close(
                model.abv_percent,
                balling,
                limit,
                &format!("model and Balling {og} {fg}"),
            );
        }
    }
    assert!(pairs > 200, "{pairs}");
}

/// HM Revenue & Customs Notice 226, factor table, from memory: each band from its first to its last drop.
#[test]
fn duty_factors() {
    for row in table("hmrc_abv_factor") {
        let factor = row.number("factor");
        for column in ["drop_min_degrees", "drop_max_degrees"] {
            let drop = row.number(column);
            let found = duty_table_abv(sg(1.0 + drop / 1000.0), sg(1.0))
                .expect("in the table")
                .get();
            close(found, drop * factor, 1e-9, column);
        }
    }
    assert_eq!(duty_table_abv(sg(1.1008), sg(1.0)), None);
    assert_eq!(duty_table_abv(sg(1.0), sg(1.01)), None);
}

/// Worked from the same table.
#[test]
fn duty_examples() {
    for row in table("hmrc_abv_examples") {
        let found = duty_table_abv(sg(row.number("og")), sg(row.number("fg")))
            .expect("in the table")
            .get();
        let drop = row.number("drop_degrees");
        close(found / row.number("factor"), drop, 1e-9, "drop");
        row.expect("abv_pct", found, 1e-9);
        row.expect("abv_pct_cut", cut_to_one_decimal(found), 0.0);
    }
    // Every drop of the table whose product is a whole tenth stays that tenth in binary too.
    for tenths in 0..=1007_u32 {
        let drop = f64::from(tenths) / 10.0;
        let found = duty_table_abv(sg(1.0 + drop / 1000.0), sg(1.0))
            .expect("in the table")
            .get();
        let thousandths = (found * 10_000.0).round();
        close(
            cut_to_one_decimal(found),
            (thousandths / 1000.0).floor() / 10.0,
            0.0,
            "cut",
        );
    }
    assert_eq!(cut_to_one_decimal(6.2999), 6.2);
}

proptest! {
    #[test]
    fn alcohol_rises_as_gravity_falls(og in 1.01..1.2, share in 0.0..1.0, step in 1e-6..1e-3) {
        let low = lowest_final_gravity(sg(og)).expect("in range").get();
        let fg = low + share * (og - low);
        let weaker = abv_from_gravities(sg(og), sg(fg)).expect("possible");
        if fg - step >= low {
            let stronger = abv_from_gravities(sg(og), sg(fg - step)).expect("possible");
            prop_assert!(stronger.abv_percent > weaker.abv_percent);
            prop_assert!(stronger.residual_extract_g_per_l < weaker.residual_extract_g_per_l);
        }
        prop_assert!(weaker.abv_percent <= potential_abv(sg(og)).expect("in range").get() + 1e-9);
        prop_assert!((0.0..=100.0).contains(&weaker.used_percent));
    }
}

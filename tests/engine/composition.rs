//! The table of compositions: it closes, the engine takes every row, and honey makes the gravities it says.

use mustwright::engine::density::{honey_density, plato_asbc};
use mustwright::engine::recipe::*;

use crate::documents::*;
use crate::support::{Row, close, table};

/// A row's mass fractions: fermentable = sugars × share, the rest of the sugar with what does not ferment.
fn composition(row: &Row) -> Option<Composition> {
    let water = row.optional("water_pct")?;
    let sugars = row.number("total_sugars_pct");
    let fermentable = sugars * row.number("fermentable_share");
    let unfermentable = row.number("unfermentable_soluble_pct");
    let part = |percent: f64| percent / 100.0;
    Some(parts(
        part(water),
        part(fermentable),
        part(unfermentable),
        part(row.number("insoluble_pct")),
    ))
}

/// Every row with water adds up to 100 within 0.1 (reference on composition, section 1), so to 1 within 0.002.
#[test]
fn every_row_closes_and_is_taken() {
    let mut closed = 0;
    for row in table("composition") {
        let Some(parts) = composition(&row) else {
            continue;
        };
        let sum = parts.water + parts.fermentable + parts.unfermentable + parts.insoluble;
        close(sum, 1.0, 0.002, row.text("name"));
        let mut item = item(row.text("name"), Kind::Other, Amount::Kg(0.5), parts);
        item.when = When::Primary;
        let mut recipe = traditional();
        recipe.ingredients.push(item);
        let line = &sound(&recipe).ingredients[1];
        assert_eq!(line.kg, Some(0.5), "{}", row.text("name"));
        closed += 1;
    }
    assert!(closed >= 65, "{closed}");
}

/// Honey of 17.2 % moisture, made up to a litre at 20 °C: extract, Plato and SG of the table in the reference on composition,
/// section 3. Its Plato formula is simpler than ours: within 0.0003 SG to 300 g/L, 0.0005 at 400.
#[test]
fn so_many_grams_of_honey_in_a_litre() {
    for (grams, extract, plato, sg, tolerance) in [
        (100.0, 82.8, 8.04, 1.0320, 0.0003),
        (200.0, 165.6, 15.60, 1.0637, 0.0003),
        (300.0, 248.4, 22.72, 1.0952, 0.0003),
        (400.0, 331.2, 29.45, 1.1266, 0.0005),
    ] {
        let honey = item(
            "honey",
            Kind::Honey,
            Amount::Kg(grams / 1000.0),
            parts(0.172, 0.78, 0.048, 0.0),
        );
        let whole = sound(&amounts(1.0, vec![honey])).whole.expect("a must");
        close(whole.extract_g_per_l, extract, 1e-6, "extract");
        close(whole.og, sg, tolerance, "gravity");
        close(whole.brix, plato, 0.12, "brix");
    }
    close(plato_asbc(1.04), 10.0, 0.02, "the polynomial");
}

/// Litres of honey become kilograms by the fit of the reference on physical chemistry, section 3: the whole table through a recipe.
#[test]
fn litres_of_honey_weigh_as_the_table_says() {
    for row in table("honey_density") {
        let water = row.number("moisture_pct") / 100.0;
        let honey = item(
            "honey",
            Kind::Honey,
            Amount::Litres(2.0),
            parts(water, 0.95 * (1.0 - water), 0.05 * (1.0 - water), 0.0),
        );
        let line = &sound(&amounts(20.0, vec![honey])).ingredients[0];
        let density = line.kg.expect("a mass") / 2.0 * 1000.0;
        row.expect("fit_density_kg_m3", density, 0.1);
        let sg = density / mustwright::engine::density::WATER_20;
        row.expect("sg_20_20", sg, row.number("tolerance_sg"));
        close(honey_density(1.0 - water), density, 1e-9, "the same fit");
    }
}

//! What to know of the water: chlorine, chloramine, minerals, acid; with the doses for as much as this must takes.
//!
//! Doses against chlorine are reckoned (the engine's `sulfite`). What drives it off, how long it takes, and that yeast wants
//! minerals is common practice, no published source; how much of the salts is our judgement.

use super::Case;
use crate::engine::sulfite::{MOST_CHLORINE_MG_PER_L, Salt as Sulfite, against_chlorine_g};
use crate::engine::water::Salt;
use crate::web::units;

/// Grams of gypsum and of Epsom salt for a litre of water without minerals (our judgement, no published source).
const GYPSUM_G_PER_L: f64 = 0.1;
const EPSOM_G_PER_L: f64 = 0.05;
/// The solution from which less than a scale shows is measured: a gram in so many millilitres.
const STOCK_ML: f64 = 100.0;

/// What depends on how much water there is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WaterAdvice {
    /// What to do about chloramine, and about chlorine in a hurry.
    pub sulfite: String,
    /// What to do about water without minerals.
    pub minerals: String,
    /// What water, report and salts come to, if anything is said of them.
    pub together: String,
}

pub(super) fn advice(case: &Case<'_>) -> WaterAdvice {
    let litres = case.numbers.must.as_ref().map_or(0.0, |must| must.water_l);
    match litres > 0.0 {
        true => WaterAdvice {
            sulfite: against_chlorine(case, litres),
            minerals: minerals(case, litres),
            together: together(case),
        },
        false => WaterAdvice::default(),
    }
}

fn against_chlorine(case: &Case<'_>, litres: f64) -> String {
    let most = MOST_CHLORINE_MG_PER_L;
    let grams = against_chlorine_g(Sulfite::PotassiumMetabisulfite, most, litres);
    let stock = format!("{} ml", units::plain((grams * STOCK_ML).ceil(), 0));
    format!(
        "For the {} of water here {} g of potassium metabisulfite is enough. A kitchen scale does not show that: dissolve 1 g in 100 ml of water, and stir in {stock} of it.",
        units::volume(litres, case.reader.units),
        units::plain(grams, 2),
    )
}

fn minerals(case: &Case<'_>, litres: f64) -> String {
    let given = |name: &str, per_litre: f64| {
        let grams = per_litre * litres;
        let ions = Salt::named(name)
            .map(|salt| salt.ions_mg_per_g())
            .unwrap_or_default();
        (units::plain(grams, 1), ions, per_litre)
    };
    let (gypsum, of_gypsum, gypsum_dose) = given("gypsum", GYPSUM_G_PER_L);
    let (epsom, of_epsom, epsom_dose) = given("epsom_salt", EPSOM_G_PER_L);
    let mg = |ions: crate::engine::water::Ions, ion: &str, dose: f64| {
        units::plain(ions.of(ion).unwrap_or_default() * dose, 0)
    };
    format!(
        "In the {} of water here {gypsum} g of gypsum and {epsom} g of Epsom salt make {} mg/L of calcium and {} mg/L of magnesium.",
        units::volume(litres, case.reader.units),
        mg(of_gypsum, "calcium", gypsum_dose),
        mg(of_epsom, "magnesium", epsom_dose),
    )
}

/// "Together: 145 mg/L of ions; alkalinity 98 mg/L as CaCO3. Calcium 40 mg/L, …"
fn together(case: &Case<'_>) -> String {
    let Some(water) = &case.numbers.water else {
        return String::new();
    };
    let mg = |value: f64| units::plain(value, 0);
    let ions: Vec<String> = water
        .ions
        .iter()
        .filter(|(_, value)| *value > 0.0)
        .map(|(ion, value)| format!("{ion} {}", mg(value)))
        .collect();
    format!(
        "In a litre of this water, salts included: {} mg of ions, alkalinity {} mg as CaCO3 ({}).",
        mg(water.ions.sum()),
        mg(water.alkalinity_mg_per_l_caco3),
        ions.join(", "),
    )
}

//! Water: what a report says of its ions, and what salts make of it.

use super::{Calculation, Input, Key, Output};
use crate::engine::check::VOLUME_L;
use crate::engine::json::Json;
use crate::engine::problem::{Arguments, CautionCode, Severity};
use crate::engine::water::{mix, read_ions, read_salts};

/// `litres` of a water whose `report` gives ions in mg/L, with `salts` in g: the ions afterwards, the alkalinity, and by how
/// much the charges in the report miss each other (null without one). Ions and salts by name or formula; what a report does
/// not name counts as 0. All salts count as dissolved; more than 5 % of imbalance is a caution (common practice).
pub(super) const CALCULATION: Calculation = Calculation {
    name: "water",
    inputs: &[
        Key::required("litres"),
        Key::optional("report"),
        Key::optional("salts"),
    ],
    outputs: &[
        "ions",
        "alkalinity_mg_per_l_caco3",
        "charge_imbalance_percent",
        "cautions",
    ],
    make,
};

/// Imbalance of a report that shows a slip in it, %.
const MUCH_IMBALANCE: f64 = 5.0;

fn make(input: &mut Input<'_>) -> Option<Output> {
    let litres = input.number("litres", VOLUME_L);
    let report = input.numbers("report");
    let salts = input.numbers("salts");
    let ions = report.map(|report| read_ions(&report, "/report"));
    let salts = salts.map(|salts| read_salts(&salts, "/salts"));
    let (ions, salts) = (
        ions.and_then(|found| input.accept(found)),
        salts.and_then(|found| input.accept(found)),
    );
    let (litres, ions, salts) = (litres?, ions?, salts?);
    let water = mix(litres, &ions, &salts)?;
    for (salt, grams) in &salts {
        let g_per_l = grams / litres;
        let named = Arguments::none().with("name", salt.name());
        if let Some(most) = salt.dissolves_g_per_l()
            && g_per_l > most
        {
            let arguments = named
                .clone()
                .with("grams_per_l", g_per_l)
                .with("most_g_per_l", most);
            input.caution(CautionCode::SaltDoesNotDissolve, Severity::Note, arguments);
        }
        if *grams > 0.0 && ["Ca(OH)2", "K2CO3"].contains(&salt.formula()) {
            input.caution(CautionCode::Caustic, Severity::Danger, named);
        }
    }
    if let Some(imbalance) = water.charge_imbalance_percent
        && imbalance.abs() > MUCH_IMBALANCE
    {
        let arguments = Arguments::none().with("imbalance_percent", imbalance.abs());
        input.caution(CautionCode::WaterReportUneven, Severity::Note, arguments);
    }
    let ions = water.ions.iter();
    let ions = ions
        .map(|(name, mg)| (name.to_owned(), mg.into()))
        .collect();
    Some(vec![
        Json::Object(ions),
        water.alkalinity_mg_per_l_caco3.into(),
        water.charge_imbalance_percent.into(),
    ])
}

//! The data files of honeys and other ingredients.

use super::made_of::{Acidity, FERMENTABLE_OF_HONEY_SOLIDS, HONEY_TA_G_PER_KG, Percent};
use super::{Composition, Entry, Form, HoneyTraits, Kind, Spread, Stage};
use crate::catalogue::{Certainty, read};
use crate::web::units::TypedAmount;
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HoneyRow {
    key: String,
    name: String,
    words: String,
    /// The name in the reference table that it comes from.
    #[serde(rename = "row")]
    _row: String,
    moisture_percent: f64,
    fructose_percent: Option<f64>,
    glucose_percent: Option<f64>,
    sucrose_percent: Option<f64>,
    fermentable_share: Option<f64>,
    ph: Option<f64>,
    pfund_mm: [f64; 2],
    hue: Option<String>,
    intensity: u8,
    pairing: String,
    note: Option<String>,
    source: String,
    source_colour: String,
    certainty: Certainty,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OtherRow {
    key: String,
    name: String,
    words: String,
    kind: Kind,
    form: Option<Form>,
    when: Stage,
    /// No longer offered; the key stays good.
    #[serde(default)]
    retired: bool,
    #[serde(rename = "row")]
    _row: Option<String>,
    percent: Option<Percent>,
    ta: Option<Acidity>,
    yan_mg_per_kg: Option<f64>,
    ph: Option<f64>,
    density_kg_per_l: Option<f64>,
    usual_g_per_l: Option<[f64; 2]>,
    days: Option<[f64; 2]>,
    caution: Option<String>,
    note: Option<String>,
    source: String,
    certainty: Certainty,
}

pub(in crate::catalogue) fn honeys() -> Vec<Entry> {
    read::<HoneyRow>("honeys", include_str!("../data/honeys.json"))
        .into_iter()
        .map(honey)
        .collect()
}

fn honey(row: HoneyRow) -> Entry {
    let water = row.moisture_percent / 100.0;
    let share = row.fermentable_share.unwrap_or(FERMENTABLE_OF_HONEY_SOLIDS);
    let ph = match row.ph {
        Some(_) => format!("; pH: {}", row.source),
        None => String::new(),
    };
    Entry {
        key: row.key,
        name: row.name,
        words: row.words,
        kind: Kind::Honey,
        form: None,
        when: Stage::Must,
        composition: Some(Composition::of_honey(water, share)),
        yan_mg_per_kg: None,
        ta_g_per_kg: Some(HONEY_TA_G_PER_KG),
        ph: row.ph,
        density_kg_per_l: None,
        spread: Some(Spread::of_honey(water)),
        usual_g_per_l: None,
        days: None,
        default_amount: Some(TypedAmount::Share(1.0)),
        honey: Some(HoneyTraits {
            pfund_mm: Some(row.pfund_mm),
            hue: row.hue,
            intensity: Some(row.intensity),
            pairing: row.pairing,
            source_colour: row.source_colour,
            fructose_percent: row.fructose_percent,
            glucose_percent: row.glucose_percent,
            sucrose_percent: row.sucrose_percent,
        }),
        caution: None,
        note: row.note,
        source: format!(
            "water: {}; fermentable share {share} of the solids: common practice, no published source; acid 29.12 meq/kg and water ± 1.46 points: White et al. 1962{ph}",
            row.source
        ),
        certainty: row.certainty,
    }
}

/// Ingredients that are offered, and those that only old recipes hold.
pub(in crate::catalogue) fn others() -> (Vec<Entry>, Vec<Entry>) {
    let rows = read::<OtherRow>("other ingredients", include_str!("../data/others.json"));
    let (retired, offered): (Vec<_>, Vec<_>) = rows.into_iter().partition(|row| row.retired);
    let entries = |rows: Vec<OtherRow>| rows.into_iter().map(other).collect();
    (entries(offered), entries(retired))
}

fn other(row: OtherRow) -> Entry {
    Entry {
        key: row.key,
        name: row.name,
        words: row.words,
        kind: row.kind,
        form: row.form,
        when: row.when,
        composition: row.percent.as_ref().map(Composition::of),
        yan_mg_per_kg: row.yan_mg_per_kg,
        ta_g_per_kg: row.ta.as_ref().map(Acidity::as_tartaric),
        ph: row.ph,
        density_kg_per_l: row.density_kg_per_l,
        spread: None,
        // The low end: one can add, and tasting decides.
        default_amount: row
            .usual_g_per_l
            .map(|[low, _]| TypedAmount::GramsPerLitre(low)),
        usual_g_per_l: row.usual_g_per_l,
        days: row.days,
        honey: None,
        caution: row.caution,
        note: row.note,
        source: row.source,
        certainty: row.certainty,
    }
}

//! Batches side by side in one table.

use std::collections::BTreeSet;

use super::tastings;
use crate::batches::opened::Opened;
use crate::batches::outlook::known::measured_temperatures;
use crate::web::units::{self, Units};

/// One line of the table: what it is, and a cell for each batch.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    pub name: String,
    pub cells: Vec<String>,
}

impl Row {
    fn of(name: &str, batches: &[Opened], cell: impl Fn(&Opened) -> String) -> Row {
        Row {
            name: name.to_owned(),
            cells: batches.iter().map(cell).collect(),
        }
    }

    fn differs(&self) -> bool {
        self.cells.windows(2).any(|pair| pair[0] != pair[1])
    }
}

/// All that is told of them.
#[derive(Debug, PartialEq)]
pub struct Table {
    pub differed: Vec<Row>,
    /// What was the same in all, by name.
    pub same: Vec<Row>,
    pub came_out: Vec<Row>,
    /// For each batch its tastings, in order of time.
    pub tasted: Vec<Vec<String>>,
}

const NONE: &str = "–";

/// The table of some batches.
pub fn table(batches: &[Opened], reads: Units) -> Table {
    let (differed, same) = went_in(batches, reads).into_iter().partition(Row::differs);
    Table {
        differed,
        same,
        came_out: came_out(batches, reads),
        tasted: batches.iter().map(tasted).collect(),
    }
}

fn went_in(batches: &[Opened], reads: Units) -> Vec<Row> {
    let names: BTreeSet<String> = batches
        .iter()
        .flat_map(|batch| &batch.planned.ingredients)
        .map(|line| line.name.clone())
        .collect();
    let amounts = names
        .iter()
        .map(|name| Row::of(name, batches, |batch| amount(batch, name, reads)));
    let others = [
        Row::of("Must", batches, |batch| {
            let whole = batch.planned.whole.as_ref();
            whole.map_or(NONE.to_owned(), |whole| {
                units::volume(whole.volume_l, reads)
            })
        }),
        Row::of("Yeast", batches, |batch| {
            let names: Vec<&str> = batch
                .recipe
                .yeasts
                .iter()
                .map(|it| it.name.as_str())
                .collect();
            names.join(", ")
        }),
        Row::of("Temperature of the must", batches, |batch| {
            warmth(batch, reads)
        }),
        Row::of("Nitrogen fed", batches, fed),
        Row::of("Vessel", batches, |batch| {
            match batch.batch.vessel_name.as_str() {
                "" => NONE.to_owned(),
                name => name.to_owned(),
            }
        }),
    ];
    amounts.chain(others).collect()
}

/// "3.2 kg (320 g/L)": mass, and what that is in a litre of what ferments.
fn amount(batch: &Opened, name: &str, reads: Units) -> String {
    let lines = batch
        .planned
        .ingredients
        .iter()
        .filter(|line| line.name == name);
    let kg: f64 = lines.filter_map(|line| line.kg).sum();
    if kg <= 0.0 {
        return NONE.to_owned();
    }
    let mass = units::mass(kg, reads);
    match batch
        .planned
        .whole
        .as_ref()
        .filter(|whole| whole.volume_l > 0.0)
    {
        Some(whole) => format!(
            "{mass} ({})",
            units::grams_per_litre(1000.0 * kg / whole.volume_l)
        ),
        None => mass,
    }
}

/// As it was measured, else as it was planned.
fn warmth(batch: &Opened, reads: Units) -> String {
    let measured: Vec<f64> = measured_temperatures(batch)
        .map(|(_, celsius)| celsius)
        .collect();
    let low = measured.iter().copied().reduce(f64::min);
    let high = measured.iter().copied().reduce(f64::max);
    let shown = |celsius| units::temperature(celsius, reads);
    match (low.zip(high), batch.recipe.temperature_c) {
        (Some((low, high)), _) if shown(low) == shown(high) => shown(low),
        (Some((low, high)), _) => format!("{} to {}", shown(low), shown(high)),
        (None, Some(planned)) => format!("{} planned", shown(planned)),
        (None, None) => NONE.to_owned(),
    }
}

fn fed(batch: &Opened) -> String {
    let nitrogen = &batch.state.nitrogen;
    match nitrogen.feeds.len() {
        0 => "none logged".to_owned(),
        feeds => format!(
            "{} mg/L in {feeds} {}",
            units::plain(nitrogen.ammonium_mg_per_l + nitrogen.organic_mg_per_l, 0),
            if feeds == 1 { "feed" } else { "feeds" }
        ),
    }
}

fn came_out(batches: &[Opened], reads: Units) -> Vec<Row> {
    let known = |value: Option<String>| value.unwrap_or_else(|| NONE.to_owned());
    let days = |days: Option<f64>| known(days.map(|days| units::plain(days, 0)));
    vec![
        Row::of("OG", batches, |batch| units::gravity(batch.state.og)),
        Row::of("Gravity, last read", batches, |batch| {
            known(batch.last_gravity().map(|(sg, _)| units::gravity(sg)))
        }),
        Row::of("Alcohol", batches, |batch| {
            known(
                batch
                    .last_gravity()
                    .map(|_| units::abv(batch.state.abv_percent)),
            )
        }),
        Row::of("Days to a third of the fall", batches, |batch| {
            days(batch.state.marks.days_to(batch.state.marks.one_third))
        }),
        Row::of("Days to its end", batches, |batch| {
            days(batch.state.marks.days_to(batch.state.marks.end))
        }),
        Row::of("pH, last measured", batches, |batch| {
            known(batch.state.ph.map(|ph| units::plain(ph.value, 2)))
        }),
        Row::of("Filled", batches, |batch| {
            let filled = batch.state.packaged_l;
            known((filled > 0.0).then(|| units::volume(filled, reads)))
        }),
        Row::of("Stayed behind", batches, |batch| {
            let lost = batch.state.losses.total_l();
            known((lost > 0.0).then(|| units::volume(lost, reads)))
        }),
    ]
}

/// "at 62 days: 4 of 5".
fn tasted(batch: &Opened) -> Vec<String> {
    let ages = tastings::by_age(&tastings::of(batch));
    ages.iter().map(tastings::AtAge::words).collect()
}

//! What each number of an entry may be: one table for reading, for replay and for the hints of forms.

use super::entry::{Addition, Deed, Entry, Sense};
use crate::engine::check::{Range, composition_problems};
use crate::engine::json::pointer;
use crate::engine::problem::Problem;

const fn of(low: f64, high: f64) -> Range {
    Range { low, high }
}

/// Key of an entry or its data → lowest and highest value; the unit stands in the key. Wide enough for a club's largest vessel
/// and for what a careless hand may read; our judgement, no published source.
pub const RANGES: &[(&str, Range)] = &[
    ("hours", of(-87_600.0, 876_000.0)),
    ("to_hours", of(-87_600.0, 876_000.0)),
    ("volume_l", of(0.0, 100_000.0)),
    ("litres", of(0.0, 200_000.0)),
    ("loss_l", of(0.0, 100_000.0)),
    ("brim_l", of(0.05, 100_000.0)),
    ("size_l", of(0.01, 1_000.0)),
    ("count", of(0.0, 1_000_000.0)),
    ("kg", of(0.0, 200_000.0)),
    ("grams", of(0.0, 10_000_000.0)),
    ("sg", of(0.9, 1.3)),
    ("read_sg", of(0.9, 1.3)),
    ("brix", of(0.0, 80.0)),
    ("temperature_c", of(-5.0, 110.0)),
    ("must_temperature_c", of(-5.0, 110.0)),
    ("ph", of(2.0, 8.0)),
    ("ta_g_per_l", of(0.0, 50.0)),
    ("free_so2_mg_per_l", of(0.0, 1_000.0)),
    ("yeast_g", of(0.0, 100_000.0)),
    ("tolerance_abv_percent", of(1.0, 25.0)),
    ("ammonium_yan_mg_per_g", of(0.0, 1_000.0)),
    ("organic_yan_mg_per_g", of(0.0, 1_000.0)),
    ("abv_percent", of(0.0, 100.0)),
    ("sugar_g_per_l", of(0.0, 1_300.0)),
    ("ta_change_g_per_l", of(-50.0, 50.0)),
    ("so2_mg_per_l", of(0.0, 2_000.0)),
    ("sorbic_mg_per_l", of(0.0, 2_000.0)),
    ("volumes_co2", of(0.0, 10.0)),
    ("share", of(0.0, 1.0)),
    ("sample_ml", of(1.0, 1_000.0)),
    ("stock_ml", of(0.0, 1_000.0)),
    ("cost", of(0.0, 10_000_000.0)),
    ("liking", of(1.0, 9.0)),
    ("score", of(1.0, 5.0)),
    ("sweetness", of(-2.0, 2.0)),
    ("acidity", of(-2.0, 2.0)),
    ("tannin", of(-2.0, 2.0)),
    ("warmth", of(-2.0, 2.0)),
    ("body", of(-2.0, 2.0)),
    ("honey", of(-2.0, 2.0)),
    ("fruit", of(-2.0, 2.0)),
    ("spice", of(-2.0, 2.0)),
    ("sparkle", of(-2.0, 2.0)),
    ("character", of(-2.0, 2.0)),
];

/// What the number of that key may be; `None` for a key that holds no number.
pub fn range_of(key: &str) -> Option<Range> {
    let found = RANGES.iter().find(|(name, _)| *name == key);
    found.map(|(_, range)| *range)
}

/// Every number of an entry outside its range, and a composition that does not add up; pointers begin at the entry.
pub fn faults(entry: &Entry) -> Vec<Problem> {
    let mut faults = Vec::new();
    number(&mut faults, "/hours", "hours", entry.hours);
    faults.extend(deed_faults(&entry.deed, "/data"));
    faults
}

/// Every number of a deed outside its range; `place` is the JSON Pointer of its data.
pub fn deed_faults(deed: &Deed, place: &str) -> Vec<Problem> {
    let mut faults = Vec::new();
    for (key, value) in numbers(deed) {
        if let Some(value) = value {
            number(&mut faults, &pointer(place, key), key, value);
        }
    }
    match deed {
        Deed::Package(package) => {
            for (index, bottles) in package.bottles.iter().enumerate() {
                let path = |key: &str| format!("{place}/bottles/{index}/{key}");
                number(&mut faults, &path("size_l"), "size_l", bottles.size_l);
                number(&mut faults, &path("count"), "count", bottles.count.into());
            }
        }
        Deed::Trial(trial) => {
            for (index, glass) in trial.glasses.iter().enumerate() {
                let path = format!("{place}/glasses/{index}/stock_ml");
                number(&mut faults, &path, "stock_ml", glass.stock_ml);
            }
            let honey = trial.composition.as_ref();
            faults.extend(honey.into_iter().flat_map(|composition| {
                composition_problems(composition, &pointer(place, "composition"))
            }));
        }
        Deed::Addition(Addition {
            composition: Some(composition),
            ..
        }) => faults.extend(composition_problems(
            composition,
            &pointer(place, "composition"),
        )),
        _ => {}
    }
    faults
}

fn number(faults: &mut Vec<Problem>, path: &str, key: &str, value: f64) {
    if let Some(range) = range_of(key)
        && !range.holds(value)
    {
        faults.push(range.problem(value, path));
    }
}

/// The numbers of a deed by their keys; lists are apart.
fn numbers(deed: &Deed) -> Vec<(&'static str, Option<f64>)> {
    match deed {
        Deed::Mixed(data) => vec![
            ("volume_l", data.volume_l),
            ("sg", data.sg),
            ("temperature_c", data.temperature_c),
        ],
        Deed::Pitch(data) => vec![
            ("yeast_g", data.yeast_g),
            ("tolerance_abv_percent", data.tolerance_abv_percent),
        ],
        Deed::Reading(data) => vec![
            ("sg", data.sg),
            ("read_sg", data.read_sg),
            ("temperature_c", data.temperature_c),
            ("must_temperature_c", data.must_temperature_c),
            ("brix", data.brix),
            ("ph", data.ph),
            ("ta_g_per_l", data.ta_g_per_l),
            ("volume_l", data.volume_l),
            ("free_so2_mg_per_l", data.free_so2_mg_per_l),
        ],
        Deed::Feed(data) => vec![
            ("grams", Some(data.grams)),
            ("ammonium_yan_mg_per_g", data.ammonium_yan_mg_per_g),
            ("organic_yan_mg_per_g", data.organic_yan_mg_per_g),
            ("cost", data.cost),
        ],
        Deed::Addition(data) => vec![
            ("kg", data.kg),
            ("litres", data.litres),
            ("grams", data.grams),
            ("sg", data.sg),
            ("abv_percent", data.abv_percent),
            ("sugar_g_per_l", data.sugar_g_per_l),
            ("ta_change_g_per_l", data.ta_change_g_per_l),
            ("so2_mg_per_l", data.so2_mg_per_l),
            ("sorbic_mg_per_l", data.sorbic_mg_per_l),
            ("cost", data.cost),
        ],
        Deed::Rack(data) => vec![("volume_l", data.volume_l), ("loss_l", data.loss_l)],
        Deed::Sample(data) => vec![("litres", Some(data.litres))],
        Deed::Package(data) => vec![("litres", data.litres), ("volumes_co2", data.volumes_co2)],
        Deed::Part(data) => vec![("share", Some(data.share))],
        Deed::Tasting(data) => {
            let senses = Sense::ALL
                .iter()
                .map(|sense| (sense.as_str(), data.of(*sense)));
            let others = [
                ("liking", data.liking),
                ("score", data.score),
                ("character", data.character),
            ];
            let all = others.into_iter().chain(senses);
            all.map(|(key, value)| (key, value.map(f64::from)))
                .collect()
        }
        Deed::Step(data) => vec![("to_hours", data.to_hours)],
        Deed::Move(data) => vec![("brim_l", data.brim_l)],
        Deed::Trial(data) => vec![("sample_ml", Some(data.sample_ml))],
        Deed::Degas | Deed::Aerate | Deed::Note(_) => Vec::new(),
    }
}

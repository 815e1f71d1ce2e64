//! Entries of a log as they read.

use chrono_tz::Tz;

use super::grouped::{Shown, between, device, grouped, readings};
use crate::batches::model::Logged;
use crate::batches::opened::Opened;
use crate::batches::plan;
use crate::engine::log::Deed;
use crate::engine::log::entry::{Became, How, Reading, Trial, What, Why};
use crate::web::dates::{day, moment};
use crate::web::units::{self, Units};
use crate::web::words;

/// An entry in words.
pub struct Line {
    pub entry: i32,
    pub lead: String,
    pub when: String,
    /// By whom, where that is not the maker.
    pub by: String,
    pub words: Vec<String>,
    pub struck: bool,
    /// Whether it has versions to be read.
    pub is_corrected: bool,
}

/// All entries, the newest first.
pub fn lines(opened: &Opened, zone: Tz, reads: Units) -> Vec<Line> {
    let shown = grouped(opened.log.iter().rev(), zone);
    let names = plan::names(opened, zone);
    shown
        .into_iter()
        .map(|shown| {
            let logged = match shown {
                Shown::One(logged) => logged,
                Shown::Day(hours) => return day_of_sensor(&hours, zone, reads),
            };
            let (mut lead, mut words) = told(&logged.deed, reads);
            if let Deed::Step(step) = &logged.deed
                && let Some(name) = names.get(&step.step)
            {
                lead = lead.replace(&step.step, name);
            }
            words.extend(corrections(logged));
            Line {
                entry: logged.entry,
                lead,
                when: moment(logged.at, zone),
                by: match logged.by_name == opened.batch.owner_name {
                    true => String::new(),
                    false => logged.by_name.clone(),
                },
                words,
                struck: logged.struck,
                is_corrected: logged.version > 1,
            }
        })
        .collect()
}

/// A day of a sensor's readings.
fn day_of_sensor(hours: &[&Logged], zone: Tz, reads: Units) -> Line {
    let newest = hours[0];
    let range = |low: String, high: String| match low == high {
        true => low,
        false => format!("{high} to {low}"),
    };
    let sg = between(hours, |heard| heard.sg);
    let sg = sg.map(|(low, high)| range(units::gravity(low), units::gravity(high)));
    let heat = between(hours, |heard| heard.must_temperature_c);
    let heat = heat.map(|(low, high)| {
        let words = range(
            units::temperature(high, reads),
            units::temperature(low, reads),
        );
        format!("must at {words}")
    });
    let told = format!("{} readings by {}", readings(hours), device(hours));
    Line {
        entry: newest.entry,
        lead: sg.unwrap_or_else(|| "Measured".to_owned()),
        when: day(newest.at, zone),
        by: String::new(),
        words: heat.into_iter().chain([told]).collect(),
        struck: false,
        is_corrected: false,
    }
}

fn corrections(logged: &Logged) -> Option<String> {
    match (logged.struck, logged.version) {
        (true, _) => Some("Taken out: it counts no more.".to_owned()),
        (false, 1) => None,
        (false, version) => Some(format!("Corrected, for the {} time.", nth(version - 1))),
    }
}

fn nth(number: i32) -> String {
    let ending = match (number % 10, number % 100) {
        (1, tens) if tens != 11 => "st",
        (2, tens) if tens != 12 => "nd",
        (3, tens) if tens != 13 => "rd",
        _ => "th",
    };
    match number {
        1 => "first".to_owned(),
        2 => "second".to_owned(),
        3 => "third".to_owned(),
        _ => format!("{number}{ending}"),
    }
}

/// What leads, and what else is said.
pub(super) fn told(deed: &Deed, reads: Units) -> (String, Vec<String>) {
    let plain = |lead: &str| (lead.to_owned(), Vec::new());
    match deed {
        Deed::Mixed(mixed) => {
            let sg = mixed.sg.map(|sg| format!("gravity {}", units::gravity(sg)));
            let volume = mixed.volume_l.map(|litres| units::volume(litres, reads));
            let heat = mixed.temperature_c.map(|c| units::temperature(c, reads));
            ("Mixed".to_owned(), joined([volume, sg, heat]))
        }
        Deed::Pitch(pitch) => {
            let grams = pitch.yeast_g.map(grams);
            let woken = pitch.rehydrated.filter(|woken| *woken);
            let woken = woken.map(|_| "woken in water".to_owned());
            (
                "Yeast pitched".to_owned(),
                joined([
                    pitch.name.clone().filter(|name| !name.is_empty()),
                    grams,
                    woken,
                ]),
            )
        }
        Deed::Reading(reading) => read(reading, reads),
        Deed::Feed(feed) => (
            "Fed".to_owned(),
            vec![format!("{} of {}", grams(feed.grams), feed.name)],
        ),
        Deed::Addition(addition) => {
            let kg = addition.kg.map(|kg| units::mass(kg, reads));
            let litres = addition.litres.map(|litres| units::volume(litres, reads));
            let much = kg.or(litres).or(addition.grams.map(grams));
            let thing = match much {
                Some(much) => format!("{much} of {}", addition.name),
                None => addition.name.clone(),
            };
            let why = addition.why.filter(|why| *why != Why::Other);
            let words = match why {
                Some(why) => format!("{thing}, {}", why_words(why)),
                None => thing,
            };
            let lead = match addition.what {
                What::Sulfite | What::Sorbate => "Stabilised with",
                What::Fining => "Fined with",
                _ => "Added",
            };
            (lead.to_owned(), vec![words])
        }
        Deed::Degas => plain("Gas stirred out"),
        Deed::Aerate => plain("Air stirred in"),
        Deed::Rack(rack) => {
            let into = rack.into.as_ref().map(|into| format!("into {into}"));
            let left = rack
                .volume_l
                .map(|litres| format!("{} afterwards", units::volume(litres, reads)));
            let lost = rack
                .loss_l
                .map(|litres| format!("{} stayed behind", units::volume(litres, reads)));
            ("Racked".to_owned(), joined([into, left, lost]))
        }
        Deed::Sample(sample) => {
            let back = sample.returned.then(|| "poured back".to_owned());
            (
                "Sample taken".to_owned(),
                joined([Some(units::volume(sample.litres, reads)), back, None]),
            )
        }
        Deed::Package(package) => {
            let litres = package.litres.map(|litres| units::volume(litres, reads));
            let bottles = package
                .bottles
                .iter()
                .map(|of| format!("{} of {}", of.count, units::volume(of.size_l, reads)));
            let gas = package
                .volumes_co2
                .map(|volumes| format!("{} volumes of CO2", units::plain(volumes, 1)));
            let how = package.how.map(|how| match how {
                How::Still => "still".to_owned(),
                How::Gas => "with gas".to_owned(),
            });
            let told = litres.into_iter().chain(bottles).chain(how).chain(gas);
            (
                "Filled into bottles".to_owned(),
                vec![told.collect::<Vec<String>>().join(", ")],
            )
        }
        Deed::Part(part) => (
            "Parted".to_owned(),
            vec![format!(
                "{} of it left",
                units::percent(part.share * 100.0, 0)
            )],
        ),
        Deed::Note(note) => {
            let text = note.text.as_deref().unwrap_or_default();
            ("Note".to_owned(), text.lines().map(str::to_owned).collect())
        }
        Deed::Tasting(tasting) => ("Tasted".to_owned(), words::tasting::lines(tasting)),
        Deed::Step(step) => {
            let lead = match step.is {
                Became::Done => "Done",
                Became::Skipped => "Left out",
                Became::Moved => "Moved",
            };
            let why = step.reason.clone();
            (format!("{lead}: {}", step.step), why.into_iter().collect())
        }
        Deed::Trial(trial) => tried(trial),
        Deed::Move(to) => {
            let into = to.vessel.as_ref().map(|vessel| format!("into {vessel}"));
            ("Moved".to_owned(), joined([into, None, None]))
        }
    }
}

fn tried(trial: &Trial) -> (String, Vec<String>) {
    let ml = |ml: f64| units::plain(ml, 2);
    let glasses = format!(
        "{} glasses of {} ml with {}",
        trial.glasses.len(),
        ml(trial.sample_ml),
        trial.name
    );
    let best = trial.best().map(|glass| {
        let much = ml(glass.stock_ml);
        format!("glass {} with {much} ml in it was liked best", glass.code)
    });
    (
        "Tried in glasses".to_owned(),
        std::iter::once(glasses).chain(best).collect(),
    )
}

/// Why something goes in, in words.
pub(super) fn why_words(why: Why) -> &'static str {
    match why {
        Why::Must => "it belongs to the must",
        Why::StepFeed => "honey fed in steps",
        Why::Secondary => "after the first fermentation",
        Why::Sweeten => "to sweeten it",
        Why::TopUp => "to fill the vessel",
        Why::Adjust => "to put right acidity, strength or taste",
        Why::Stabilise => "so that nothing ferments any more",
        Why::Prime => "so that it makes gas in the bottle",
        Why::Other => "something else",
    }
}

fn read(reading: &Reading, reads: Units) -> (String, Vec<String>) {
    let lead = match reading.sg {
        Some(sg) => units::gravity(sg),
        None => "Measured".to_owned(),
    };
    let shown = reading
        .read_sg
        .zip(reading.sg)
        .filter(|(shown, sg)| units::gravity(*shown) != units::gravity(*sg))
        .map(|(shown, _)| format!("the hydrometer showed {}", units::gravity(shown)));
    let sample = reading
        .temperature_c
        .map(|c| format!("sample at {}", units::temperature(c, reads)));
    let must = reading
        .must_temperature_c
        .map(|c| format!("must at {}", units::temperature(c, reads)));
    let ph = reading.ph.map(|ph| format!("pH {}", units::plain(ph, 2)));
    let brix = reading
        .brix
        .map(|brix| format!("{} °Bx by refractometer", units::plain(brix, 1)));
    let acid = reading
        .ta_g_per_l
        .map(|acid| format!("acidity {}", units::grams_per_litre(acid)));
    let free = reading
        .free_so2_mg_per_l
        .map(|free| format!("free SO2 {} mg/L", units::plain(free, 0)));
    let volume = reading.volume_l.map(|litres| units::volume(litres, reads));
    let instrument = reading.instrument.as_ref();
    let instrument = instrument.map(|name| format!("hydrometer: {name}"));
    let still = reading.degassed.filter(|is| *is);
    let still = still.map(|_| "gas stirred out".to_owned());
    let words = [
        shown, sample, instrument, still, must, ph, brix, acid, free, volume,
    ];
    (lead, joined(words))
}

/// What there is of it in one line.
fn joined<const N: usize>(words: [Option<String>; N]) -> Vec<String> {
    let words: Vec<String> = words.into_iter().flatten().collect();
    match words.is_empty() {
        true => Vec::new(),
        false => vec![words.join(", ")],
    }
}

fn grams(grams: f64) -> String {
    units::grams(grams, 1)
}

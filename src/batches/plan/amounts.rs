//! How much of what a step takes, and what it should show, in words.

use crate::engine::plan::{Amount, Needs};
use crate::web::units::{self, Units};

/// Where a single calculation is; those pages stand further down the arrows.
const CALCULATIONS: &str = "/calculations/";

/// An amount as it reads, with the calculation that reckons it where it needs a measurement first.
pub struct AmountLine {
    pub words: String,
    /// Below the base; empty where there is none.
    pub reckon: String,
}

fn grams(grams: f64) -> String {
    units::grams(grams, if grams < 10.0 { 1 } else { 0 })
}

/// All of them.
pub fn lines(amounts: &[Amount], reads: Units) -> Vec<AmountLine> {
    amounts
        .iter()
        .map(|amount| AmountLine {
            words: words(amount, reads),
            reckon: match amount {
                Amount::Reckon { calculation, .. } => format!("{CALCULATIONS}{calculation}"),
                _ => String::new(),
            },
        })
        .collect()
}

fn listed(names: &[String]) -> String {
    match names {
        [] => "yeast".to_owned(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// An amount in words.
pub fn words(amount: &Amount, reads: Units) -> String {
    match amount {
        Amount::Ingredient {
            name, kg, litres, ..
        } => {
            let much = kg.map(|kg| units::mass(kg, reads));
            match much.or(litres.map(|litres| units::volume(litres, reads))) {
                Some(much) => format!("{much} of {name}"),
                None => name.clone(),
            }
        }
        Amount::Steeps { name } => name.clone(),
        Amount::Water { litres } => format!("{} of water", units::volume(*litres, reads)),
        Amount::Mark { litres } => {
            format!("fill up to the mark of {}", units::volume(*litres, reads))
        }
        Amount::Reads { sg } => format!("it should read {}", units::gravity(*sg)),
        Amount::Feed {
            nutrient,
            grams: all,
            from_missed_g,
            ..
        } => match *from_missed_g > 0.0 {
            true => format!(
                "{} of {nutrient}, {} of it from a feed that was left out",
                grams(*all),
                grams(*from_missed_g)
            ),
            false => format!("{} of {nutrient}", grams(*all)),
        },
        Amount::Yeast {
            names,
            grams: all,
            sachets,
        } => match sachets {
            0 => format!("{} of {}", grams(*all), listed(names)),
            1 => format!("{} of {}: one sachet", grams(*all), listed(names)),
            _ => format!("{} of {}: {sachets} sachets", grams(*all), listed(names)),
        },
        Amount::YeastByPacket { name } => format!("{name}, as much as its packet says"),
        Amount::BottleYeast {
            name,
            low_g,
            high_g,
        } => {
            let name = match name.as_str() {
                "" => "fresh dry yeast",
                name => name,
            };
            format!(
                "{} to {} of {name}",
                units::plain(*low_g, 1),
                grams(*high_g)
            )
        }
        Amount::WakingWater {
            grams: all,
            low_c,
            high_c,
            minutes: [least, most],
        } => format!(
            "{} of water at {} to {}, for {least} to {most} minutes",
            grams(*all),
            units::temperature(*low_c, reads),
            units::temperature(*high_c, reads)
        ),
        Amount::HeldBack { kg } => format!(
            "{} of the honey waits and does not go in yet",
            units::mass(*kg, reads)
        ),
        Amount::Honey { kg } => format!("{} of the honey that waits", units::mass(*kg, reads)),
        Amount::Bicarbonate {
            grams: all,
            below_ph,
        } => format!(
            "{} of potassium bicarbonate, only below pH {}",
            grams(*all),
            units::plain(*below_ph, 1)
        ),
        Amount::Metabisulfite {
            grams: all,
            free_mg_per_l,
            ph,
        } => format!(
            "{} of potassium metabisulfite: {} mg/L of free sulfite at pH {}",
            grams(*all),
            units::plain(*free_mg_per_l, 0),
            units::plain(*ph, 2)
        ),
        Amount::Sorbate { grams: all } => format!("{} of potassium sorbate", grams(*all)),
        Amount::Reckon {
            needs, without_g, ..
        } => reckon(*needs, *without_g),
        Amount::ToFill { litres } => format!("{} to fill", units::volume(*litres, reads)),
        Amount::Bottles { size_l, count } => {
            format!("{count} bottles of {}", units::volume(*size_l, reads))
        }
        Amount::Headspace { fraction } => format!(
            "at most {} of the vessel empty",
            units::percent(fraction * 100.0, 0)
        ),
    }
}

fn reckon(needs: Needs, without_g: Option<[f64; 2]>) -> String {
    let wants = match needs {
        Needs::Ph => "sulfite, as much as the pH asks for: measure it, then work out how much",
        Needs::PhAndFreeSo2 => {
            "sulfite, as much as is lacking: measure the pH and the free sulfite, then work out how much"
        }
        Needs::Strength => "sorbate, as much as the strength asks for: work out how much",
        Needs::Gas => "sugar for the gas that you want, by the warmest day: work out how much",
        Needs::Taste => "how sweet, you decide by tasting: work out what the next part does",
    };
    match without_g {
        Some([low, high]) => format!(
            "{wants}; if you cannot measure, {} to {} of potassium metabisulfite",
            units::plain(low, 1),
            grams(high)
        ),
        None => wants.to_owned(),
    }
}

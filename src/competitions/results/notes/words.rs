//! Likely causes and habits in words.

use crate::engine::contest::causes::{Cause, Habit};
use crate::web::units::{self, Units, fixed};

/// What the log says: "27 °C on day 2, warm for a clean ferment".
pub fn cause(cause: Cause, units: Units) -> String {
    let acid = |ta: Option<f64>, ph: Option<f64>| match (ta, ph) {
        (Some(ta), _) => format!("{} g/L of acid as tartaric", fixed(ta, 1)),
        (None, Some(ph)) => format!("pH {}", fixed(ph, 1)),
        (None, None) => "its acid".to_owned(),
    };
    match cause {
        Cause::Warm { celsius, day } => format!(
            "{} on day {day}, warm for a clean ferment",
            units::temperature(celsius, units)
        ),
        Cause::Strong { abv_percent } => {
            format!(
                "{}: so strong a mead warms of itself",
                units::abv(abv_percent)
            )
        }
        Cause::Young { days } => format!(
            "{} days old when the results came: that often goes by itself",
            fixed(days, 0)
        ),
        Cause::Unfed => "no nutrient stands in its log".to_owned(),
        Cause::OnLees { days, still: false } => {
            format!("{} days on its first lees", fixed(days, 0))
        }
        Cause::OnLees { days, still: true } => {
            format!(
                "{} days on its lees, and no racking in its log",
                fixed(days, 0)
            )
        }
        Cause::LateAir { day } => {
            format!("air stirred in on day {day}, when no yeast wanted it any more")
        }
        Cause::NoSulfite => {
            "no sulfite stands in its log: nothing kept air and bacteria off".to_owned()
        }
        Cause::SorbateAlone => {
            "sorbate without sulfite: bacteria that eat sorbate leave that smell".to_owned()
        }
        Cause::Wood => "wood or tannin went in".to_owned(),
        Cause::Spice => "spice went in".to_owned(),
        Cause::EndedSweet { sg } => format!("it stands at {}", units::gravity(sg)),
        Cause::EndedDry { sg } => format!("it went down to {}", units::gravity(sg)),
        Cause::LittleAcid { ta_g_per_l, ph } => {
            format!("{}: little", acid(ta_g_per_l, ph))
        }
        Cause::MuchAcid { ta_g_per_l, ph } => format!("{}: much", acid(ta_g_per_l, ph)),
        Cause::FruitUncleared => "fruit, and no enzyme for its pectin".to_owned(),
        Cause::Fruit => "fruit went in, which may stand before the honey".to_owned(),
        Cause::NeverCleared => "no racking and no fining stand in its log".to_owned(),
        Cause::OtherStrength { declared, reckoned } => format!(
            "declared with {}, and its log makes {}",
            units::abv(declared),
            units::abv(reckoned)
        ),
    }
}

/// What to do otherwise at the vessel.
pub fn habit(habit: Habit) -> &'static str {
    match habit {
        Habit::FermentCooler => {
            "Keep it cooler in the first two weeks: a room of a few degrees less, or a wet towel around the vessel."
        }
        Habit::FeedInSteps => "Feed it in steps, by the plan, until a third of the sugar is gone.",
        Habit::LetItAge => "Enter it later: give it some months more, and taste it every month.",
        Habit::RackSooner => "Rack it off its first lees within three months.",
        Habit::KeepAirOut => {
            "Stir no air in after the first days, rack without splashing, and keep the vessel full."
        }
        Habit::SulfiteAtRacking => {
            "Protect it with sulfite when it is racked, by its pH: the page of the batch reckons the dose."
        }
        Habit::SulfiteWithSorbate => "Never use sorbate without sulfite.",
        Habit::LessOnWood => "Take the wood out sooner: taste it every few days.",
        Habit::LessSpice => "Take the spice out sooner: taste it every few days.",
        Habit::EnzymeForFruit => "Give the fruit an enzyme for its pectin before it ferments.",
        Habit::FineIt => "Let it fall clear, or fine it, before it is bottled.",
        Habit::MeasureBeforeDeclaring => {
            "Measure it before you enter it, and declare what was measured."
        }
        Habit::TasteWithSomebody => {
            "Its log explains nothing of this. Taste a bottle with somebody who knows that fault, before anything is changed for it."
        }
    }
}

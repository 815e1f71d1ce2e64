//! Deciding in words: senses, what can be mended, and what to do otherwise next time.

use crate::engine::decide::mend::Mend;
use crate::engine::decide::{Again, ChangeCode, Complaint, Gas, Heard, Penalty, Way, WhyNot};
use crate::engine::log::entry::Sense;
use crate::web::units::{self, Units, fixed};
use crate::web::words::Words;

/// What a sense is called.
pub fn sense(sense: Sense) -> &'static str {
    match sense {
        Sense::Sweetness => "sweetness",
        Sense::Acidity => "acidity",
        Sense::Tannin => "tannin",
        Sense::Warmth => "warmth",
        Sense::Body => "body",
        Sense::Honey => "honey",
        Sense::Fruit => "fruit",
        Sense::Spice => "spice",
        Sense::Sparkle => "sparkle",
    }
}

/// "too sweet", "too little fruit".
pub fn complaint(of: Sense, way: Way) -> &'static str {
    match (of, way) {
        (Sense::Sweetness, Way::More) => "not sweet enough",
        (Sense::Sweetness, Way::Less) => "too sweet",
        (Sense::Acidity, Way::More) => "flat: not enough acidity",
        (Sense::Acidity, Way::Less) => "too sour",
        (Sense::Tannin, Way::More) => "too little grip",
        (Sense::Tannin, Way::Less) => "too rough",
        (Sense::Warmth, Way::More) => "not warming enough",
        (Sense::Warmth, Way::Less) => "too hot",
        (Sense::Body, Way::More) => "thin",
        (Sense::Body, Way::Less) => "heavy",
        (Sense::Honey, Way::More) => "too little honey",
        (Sense::Honey, Way::Less) => "too much honey",
        (Sense::Fruit, Way::More) => "too little fruit",
        (Sense::Fruit, Way::Less) => "too much fruit",
        (Sense::Spice, Way::More) => "too little spice",
        (Sense::Spice, Way::Less) => "too much spice",
        (Sense::Sparkle, Way::More) => "too little sparkle",
        (Sense::Sparkle, Way::Less) => "too much sparkle",
    }
}

/// What is to be tasted again; the day is known where the batch is.
pub fn again(again: &Again, day: &str) -> Words {
    let (lead, what) = match again.complaint {
        Complaint::Heat => ("Hot", "Heat of the alcohol"),
        Complaint::Acid => ("Sour", "Sharp acid"),
        Complaint::Sulfur => ("Sulfur", "A smell of matches or eggs"),
    };
    Words {
        lead: format!("{lead}: taste again on {day}"),
        sentence: format!(
            "{what} often goes by itself in the first four months. Change no recipe for it before then."
        ),
    }
}

/// What is done about the batch as it is.
pub fn mend(mend: Mend) -> Words {
    let (lead, sentence) = match mend {
        Mend::Filled => (
            "It is filled",
            "What is in bottles or kegs stays as it is. What was learnt goes into the next one.",
        ),
        Mend::KegPressure => (
            "Set the keg to another pressure",
            "In a keg gas is no question of the recipe: set the cylinder anew, wait about a week, and taste again.",
        ),
        Mend::LetItFinish => (
            "Let it finish first",
            "It still has sugar to ferment. Taste it again when it stands still: it will be drier then.",
        ),
        Mend::StabiliseFirst => (
            "Stabilise it first",
            "It is not stabilised. What sweetens it would ferment, in a closed bottle dangerously.",
        ),
        Mend::Sweeten => (
            "Sweeten it",
            "A little honey gives sweetness, body and smell at once. Try it in glasses first, and stop a little short.",
        ),
        Mend::BlendDrier => (
            "Blend it with a drier one of yours",
            "You have a drier mead going. A glass of each, mixed, tells more than any reckoning.",
        ),
        Mend::BlendSweeter => (
            "Blend it with a sweeter one of yours",
            "You have a sweeter mead going. A glass of each, mixed, tells more than any reckoning.",
        ),
        Mend::AcidTrial => (
            "Try acid in glasses",
            "A flat or cloying mead often wants acid. Try steps of 0.5 g/L in glasses, then dose the batch.",
        ),
        Mend::LessAcidTrial => (
            "Try less acid in glasses",
            "A neutraliser, in small steps, in a glass first; or a little sweetness against it.",
        ),
        Mend::TanninTrial => (
            "Try tannin in glasses",
            "0.05 to 0.2 g/L of tannin, or some wood, gives it something to hold on to. Try it in glasses first.",
        ),
        Mend::Wait => (
            "Give it time",
            "Heat and roughness grow milder with age. Taste it every month.",
        ),
        Mend::MoreOfIt => (
            "More of it while it ages",
            "Fruit, spice or wood can still go in, a little at a time, tasted every few days. Fruit brings sugar: it may ferment again.",
        ),
        Mend::GasAtBottling => (
            "Give it gas at bottling",
            "That is decided when it is filled, and by the strength of the bottle; what was stabilised gets it in a keg.",
        ),
        Mend::StirGasOut => (
            "Stir the gas out",
            "What prickles before it is filled has gas of its fermentation in it, or still ferments. Stir it out, read the gravity twice, and taste again.",
        ),
    };
    Words {
        lead: lead.to_owned(),
        sentence: sentence.to_owned(),
    }
}

/// What is done otherwise, as an order.
pub fn change(code: ChangeCode, units: Units) -> String {
    let by = |factor: f64| match factor > 1.0 {
        true => format!("{} % more", fixed((factor - 1.0) * 100.0, 0)),
        false => format!("{} % less", fixed((1.0 - factor) * 100.0, 0)),
    };
    match code {
        ChangeCode::EndAt { from, to } if to < from => format!(
            "End it drier: at {} in place of {}",
            units::gravity(to),
            units::gravity(from)
        ),
        ChangeCode::EndAt { from, to } => format!(
            "End it sweeter: at {} in place of {}",
            units::gravity(to),
            units::gravity(from)
        ),
        ChangeCode::EndDry { from } => {
            format!("Leave it dry, not sweetened to {}", units::gravity(from))
        }
        ChangeCode::SweetenTo { to, .. } => format!(
            "Keep some honey back: stabilise it, then sweeten it to {}",
            units::gravity(to)
        ),
        ChangeCode::Strength { from, to } if to < from => format!(
            "Make it weaker: {} in place of {}",
            units::abv(to),
            units::abv(from)
        ),
        ChangeCode::Strength { from, to } => format!(
            "Make it stronger: {} in place of {}",
            units::abv(to),
            units::abv(from)
        ),
        ChangeCode::Cooler { from, to } => format!(
            "Ferment it cooler: at {} in place of {}",
            units::temperature(to, units),
            units::temperature(from, units)
        ),
        ChangeCode::MoreAcid(dose) => format!(
            "Add {} more acid once it has fermented",
            units::dose(dose, units)
        ),
        ChangeCode::LessAcid(factor) => format!("Use {} of the acid", by(factor)),
        ChangeCode::MoreTannin(dose) => format!(
            "Add {} more tannin once it has fermented",
            units::dose(dose, units)
        ),
        ChangeCode::LessTannin(factor) => format!("Use {} tannin and wood", by(factor)),
        ChangeCode::Fruit(factor) => format!("Use {} fruit", by(factor)),
        ChangeCode::Spice(factor) => format!("Use {} spice and wood", by(factor)),
        ChangeCode::Gas { from, to, in_keg } => {
            let more = match to > from {
                true => "more",
                false => "less",
            };
            let keg = match in_keg {
                true => ", in a keg, as it keeps its sugar",
                false => "",
            };
            format!(
                "Give it {more} gas: {} in place of {}{keg}",
                gas(to),
                gas(from)
            )
        }
    }
}

/// How much gas, in plain words.
fn gas(gas: Gas) -> &'static str {
    match gas {
        Gas::Still => "none",
        Gas::Petillant => "a light prickle (petillant)",
        Gas::Sparkling => "a lively sparkle (sparkling)",
    }
}

/// What one side costs in liking, or why that is not told.
pub fn penalty(penalty: Penalty) -> String {
    match penalty {
        Ok(drop) if drop > 0.0 => format!("liked {} less", fixed(drop, 1)),
        Ok(_) => "liked no less".to_owned(),
        Err(WhyNot::FewAnswers) => "fewer than ten answers".to_owned(),
        Err(WhyNot::SmallSide) => "less than a fifth".to_owned(),
        Err(WhyNot::NobodyRight) => "next to nobody finds it right".to_owned(),
    }
}

/// "too sweet, say 6 of 12 (liked 1.8 less)".
pub fn reason(heard: &Heard, way: Way) -> String {
    let side = usize::from(way == Way::Less);
    let count = heard.counts[side * 2];
    let costs = match heard.penalties[side] {
        Ok(drop) if drop > 0.0 => format!(", and like it {} points less", fixed(drop, 1)),
        _ => String::new(),
    };
    let says = if heard.answers() == 1 { "says" } else { "say" };
    format!(
        "{}, {says} {count} of {}{costs}",
        complaint(heard.sense, way),
        heard.answers()
    )
}

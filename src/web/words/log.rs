//! What a log leaves in doubt, and why a must is not as planned, in plain English. Nothing of it refuses anything: it asks.
//!
//! Every code has its words by a `match`: without them it does not compile.

use serde_json::json;

use super::{Words, set_in};
use crate::engine::log::{Question, QuestionCode, Reason, ReasonCode};
use crate::web::units::Units;

/// What is asked about an entry.
pub fn question(asked: &Question, units: Units) -> Words {
    let (lead, sentence) = doubt(asked.code);
    Words {
        lead: lead.to_owned(),
        sentence: set_in(sentence, "", &json!(asked.arguments), units),
    }
}

/// Why a must is most likely not as planned.
pub fn likely(reason: &Reason, units: Units) -> String {
    set_in(why(reason.code), "", &json!(reason.arguments), units)
}

fn doubt(code: QuestionCode) -> (&'static str, &'static str) {
    match code {
        QuestionCode::NotSensible => (
            "A number slipped",
            "One of its numbers is none that a mead can have, so the entry does not count. Look at it again.",
        ),
        QuestionCode::BeforeTheMixing => (
            "Before the mixing?",
            "It lies before the day on which the batch was mixed. Is the day right?",
        ),
        QuestionCode::LayeredMust => (
            "Honey at the bottom?",
            "{sg:gravity} is lower than it should be, {expected_sg:gravity}: while honey lies at the bottom the top reads too low. Stir well and read again.",
        ),
        QuestionCode::FarAboveThePlan => (
            "More than went in?",
            "{sg:gravity} is far above what these amounts can make, {expected_sg:gravity}. Read again, from a stirred and cool sample; or did more honey go in?",
        ),
        QuestionCode::LowerThanLater => (
            "One of the two is mistaken",
            "{sg:gravity} is lower than what was read afterwards, {expected_sg:gravity}, and nothing was added between. Look at both.",
        ),
        QuestionCode::GravityRose => (
            "It rose?",
            "{sg:gravity} is higher than before, {expected_sg:gravity}, and sugar does not come back. Was the sample warm or full of gas, was something added, or is it a slip?",
        ),
        QuestionCode::FellTooFast => (
            "So fast?",
            "From {expected_sg:gravity} down to {sg:gravity} within {hours:whole} hours is faster than yeast works. Read again, with the gas stirred out; or is the day not right?",
        ),
        QuestionCode::FellBeforeThePitch => (
            "Is the yeast in?",
            "It fell to {sg:gravity} from {expected_sg:gravity}, though no yeast is written down yet. Write down when it was pitched.",
        ),
        QuestionCode::FellAfterStabilising => (
            "Is it fermenting?",
            "It fell to {sg:gravity} from {expected_sg:gravity} though it was stabilised. Keep it under the airlock, close no bottle, and read again in a week.",
        ),
        QuestionCode::BelowAnyMead => (
            "Too low for any mead",
            "{sg:gravity} is lower than this must can end, about {expected_sg:gravity}. Read again at the temperature the hydrometer is marked for.",
        ),
        QuestionCode::ImpossibleVolume => (
            "Is the volume right?",
            "{litres:volume} does not fit what the log leaves, {expected_l:volume}. Is the unit right, or was something added or taken that is not written down?",
        ),
        QuestionCode::BrixAfterFermentationBegan => (
            "A refractometer among alcohol",
            "{brix:points} °Bx is kept and shown but does not count: alcohol misleads a refractometer. Read with a hydrometer.",
        ),
        QuestionCode::CompositionUnknown => (
            "What is in it?",
            "Nothing is known of what {name} is made of, so it does not count in gravity and strength. Choose it from the list, or for mead write its gravity and strength.",
        ),
        QuestionCode::NothingToSweetenWith => (
            "Nothing sweet in it",
            "{name} was meant to sweeten, but nothing in it does, as far as is known.",
        ),
        QuestionCode::SweetenedBeforeStabilising => (
            "It may ferment on",
            "{name} brought {sugar_g_per_l:g_per_l} of sugar before it was stabilised, so the yeast can go on. Close no bottle before it has stood still for 14 days.",
        ),
        QuestionCode::PrimedThoughStabilised => (
            "No sugar for gas after stabilising",
            "{name} went in to make gas, though it was stabilised: it stays flat and sweet, or it wakes after months and bursts bottles. Leave it under the airlock, or put it into a keg.",
        ),
        QuestionCode::NoGasOfItsOwn => (
            "Where is the gas to come from?",
            "It was stabilised, so that {count:whole} bottles make no gas of their own, and if they do, nobody knows how much. Keep them in a closed box in the cool, or open them and put it into a keg.",
        ),
    }
}

fn why(code: ReasonCode) -> &'static str {
    match code {
        ReasonCode::Layered => {
            "most likely honey lay at the bottom when it was first read; stirred, it makes {later_sg:gravity}"
        }
        ReasonCode::WarmSample => {
            "most likely it was read at {temperature_c:temperature} and not corrected; corrected it is {corrected_sg:gravity}"
        }
        ReasonCode::FruitNotOutYet => {
            "as planned; with the sugar that is still in the fruit it makes {whole_sg:gravity}"
        }
        ReasonCode::MoreWater => "most likely {litres:volume} more water went in than planned",
        ReasonCode::LessWater => "most likely {litres:volume} less water went in than planned",
        ReasonCode::MoreHoney => {
            "most likely {kg:mass} more honey went in than planned, or the honey is richer"
        }
        ReasonCode::LessHoney => "most likely {kg:mass} less honey went in than planned",
        ReasonCode::HoneyWetterThanThought => {
            "most likely the honey holds more water than it was taken for, about {water_percent:percent}"
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::words::WAYS;

    /// The names and ways of a sentence's slots.
    fn slots(sentence: &'static str) -> Vec<(&'static str, &'static str)> {
        let after = sentence.split('{').skip(1);
        after
            .map(|slot| slot.split_once('}').expect("a closed slot").0)
            .map(|slot| slot.split_once(':').unwrap_or((slot, "")))
            .collect()
    }

    /// The arguments that the engine names in the comment of a code.
    fn given(source: &'static str, code: &str) -> String {
        let mark = format!("= \"{code}\"");
        let before = source.split(&mark).next().expect("the code");
        before.rsplit("///").next().expect("its comment").to_owned()
    }

    #[test]
    fn every_question_and_reason_says_what_the_engine_gives() {
        let questions = include_str!("../../engine/log/question.rs");
        let reasons = include_str!("../../engine/log/compare.rs");
        let of_questions = QuestionCode::ALL
            .iter()
            .map(|code| (questions, code.as_str(), doubt(*code).1));
        let of_reasons = ReasonCode::ALL
            .iter()
            .map(|code| (reasons, code.as_str(), why(*code)));
        for (source, code, sentence) in of_questions.chain(of_reasons) {
            let comment = given(source, code);
            for (name, way) in slots(sentence) {
                let named = format!("`{name}`");
                assert!(comment.contains(&named), "{code}: {name}: {comment}");
                assert!(WAYS.contains(&way), "{code}: {way}");
            }
        }
    }
}

//! The trouble guide in words: symptoms, what to look at and what the log says, what to do, when to pour it away.

use serde_json::Value;

use super::{Saying, Words, say, set_in};
use crate::engine::problem::Arguments;
use crate::engine::trouble::{Answer, Finding, PourAway, Remedy, Symptom};
use crate::web::units::Units;

mod checks;
mod remedies;
mod symptoms;

pub use checks::Question;

/// Beside all of it.
pub const MARK: &str = "Common practice, no published source. Where you are not sure, ask somebody in the club who has seen it before; what your country allows to be added is for its rules to say.";

/// Every symptom's words.
pub fn symptom_sayings() -> &'static [Saying] {
    symptoms::SYMPTOMS
}

/// Every reason to pour away, in words.
pub fn pour_away_sayings() -> &'static [Saying] {
    symptoms::POUR_AWAY
}

/// Every check's words.
pub fn questions() -> &'static [Question] {
    checks::QUESTIONS
}

/// Every remedy's words.
pub fn remedy_sayings() -> &'static [Saying] {
    remedies::SAYINGS
}

/// A symptom: its name, and what to know of it first.
pub fn symptom(symptom: Symptom) -> Words {
    say(
        symptoms::SYMPTOMS,
        symptom.as_str(),
        "",
        &Value::Null,
        Units::Metric,
    )
}

/// When to pour it away.
pub fn pour_away(reason: PourAway) -> Words {
    say(
        symptoms::POUR_AWAY,
        reason.as_str(),
        "",
        &Value::Null,
        Units::Metric,
    )
}

/// A check as a question, and what the log says of it.
pub fn finding(finding: &Finding, units: Units) -> Words {
    let code = finding.check.as_str();
    let known = checks::QUESTIONS
        .iter()
        .find(|question| question.code == code);
    let Some(question) = known else {
        return say(&[], code, "", &Value::Null, units);
    };
    let sentence = match finding.answer {
        Answer::Yes => question.yes,
        Answer::No => question.no,
        Answer::NotKnown => question.not_known,
    };
    Words {
        lead: question.asks.to_owned(),
        sentence: set_in(sentence, "", &value_of(&finding.arguments), units),
    }
}

/// What to do; without its amounts where they are not known.
pub fn remedy(remedy: &Remedy, units: Units) -> Words {
    let code = remedy.code.as_str();
    let arguments = value_of(&remedy.arguments);
    let bare = remedies::WITHOUT_AMOUNTS
        .iter()
        .find(|saying| saying.code == code);
    match bare {
        Some(bare) if !has_all(remedies::SAYINGS, code, &arguments) => {
            say(std::slice::from_ref(bare), code, "", &arguments, units)
        }
        _ => say(remedies::SAYINGS, code, "", &arguments, units),
    }
}

/// Every remedy that has words without its amounts.
pub fn bare_sayings() -> &'static [Saying] {
    remedies::WITHOUT_AMOUNTS
}

fn value_of(arguments: &Arguments) -> Value {
    serde_json::to_value(arguments).unwrap_or(Value::Null)
}

/// Whether every argument that the sentence names is there.
fn has_all(table: &[Saying], code: &str, arguments: &Value) -> bool {
    let saying = table.iter().find(|saying| saying.code == code);
    saying.is_some_and(|saying| {
        saying.sentence.split('{').skip(1).all(|slot| {
            let name = slot.split([':', '}']).next().unwrap_or_default();
            arguments.get(name).is_some()
        })
    })
}

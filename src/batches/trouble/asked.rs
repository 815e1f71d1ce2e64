//! What is asked where something seems wrong: the fields of each symptom, read into what is known.

use crate::engine::alcohol::abv_from_gravities;
use crate::engine::density::sg_of_fraction;
use crate::engine::trouble::{Check, Facts, Symptom};
use crate::engine::units::SpecificGravity;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::typed::Typed;
use crate::web::units::{
    Units, parse_gravity, parse_number_within, parse_temperature, parse_volume,
};

/// How an answer is typed.
#[derive(Clone, Copy)]
enum Way {
    YesNo(fn(&mut Told) -> &mut Option<bool>),
    Volume(fn(&mut Told) -> &mut Option<f64>),
    Gravity(fn(&mut Told) -> &mut Option<f64>),
    Temperature(fn(&mut Told) -> &mut Option<f64>),
    /// A number from 0 to this, kept as so many times itself.
    Number(f64, f64, fn(&mut Told) -> &mut Option<f64>),
}

/// What is known, with what only together says something.
#[derive(Clone, Copy, Default)]
struct Told {
    facts: Facts,
    yeast_g: Option<f64>,
    likes_low_c: Option<f64>,
    likes_high_c: Option<f64>,
}

/// A question.
struct Question {
    name: &'static str,
    label: &'static str,
    hint: &'static str,
    way: Way,
}

const fn ask(name: &'static str, label: &'static str, hint: &'static str, way: Way) -> Question {
    Question {
        name,
        label,
        hint,
        way,
    }
}

#[rustfmt::skip]
const QUESTIONS: &[Question] = &[
    ask("lid", "Are the lid and all seals tight?", "Press on the lid: the water in the airlock moves where they are.", Way::YesNo(|told| &mut told.facts.lid_is_tight)),
    ask("fur", "Is there fur, or a spot in a colour?", "", Way::YesNo(|told| &mut told.facts.fur_is_seen)),
    ask("rot", "Does it smell of rot, not of eggs alone?", "", Way::YesNo(|told| &mut told.facts.smells_rotten)),
    ask("varnish", "Does it smell strongly of nail varnish or vinegar?", "", Way::YesNo(|told| &mut told.facts.smells_of_nail_varnish)),
    ask("since", "Hours since the yeast went in", "", Way::Number(1e6, 1.0, |told| &mut told.facts.hours_since_pitch)),
    ask("og", "Gravity when it began", "Such as 1090.", Way::Gravity(|told| &mut told.facts.og)),
    ask("sg", "Gravity now", "Such as 1058.", Way::Gravity(|told| &mut told.facts.sg)),
    ask("fell", "How far it fell in the last three days", "In points: from 1.062 to 1.058 is 4.", Way::Number(100.0, 1.0 / 3_000.0, |told| &mut told.facts.fall_sg_per_day)),
    ask("ph", "pH", "", Way::Number(10.0, 1.0, |told| &mut told.facts.ph)),
    ask("acid", "Acidity, in g/L as tartaric", "", Way::Number(50.0, 1.0, |told| &mut told.facts.ta_g_per_l)),
    ask("temperature", "Temperature of the must", "", Way::Temperature(|told| &mut told.facts.temperature_c)),
    ask("warmest", "The warmest it was while it worked", "", Way::Temperature(|told| &mut told.facts.warmest_c)),
    ask("likes_low", "The yeast likes at least", "A temperature; it stands on its packet.", Way::Temperature(|told| &mut told.likes_low_c)),
    ask("likes_high", "The yeast likes at most", "", Way::Temperature(|told| &mut told.likes_high_c)),
    ask("tolerance", "Alcohol that the yeast bears, in %", "It stands on its packet.", Way::Number(30.0, 1.0, |told| &mut told.facts.tolerance_abv_percent)),
    ask("yeast", "Yeast that went in, in grams", "", Way::Number(1e5, 1.0, |told| &mut told.yeast_g)),
    ask("given", "Nitrogen that it had, in mg/L", "", Way::Number(2_000.0, 1.0, |told| &mut told.facts.nitrogen_given_mg_per_l)),
    ask("target", "Nitrogen that it wants, in mg/L", "", Way::Number(2_000.0, 1.0, |told| &mut told.facts.nitrogen_target_mg_per_l)),
    ask("sulfited", "Hours since sulfite went in", "", Way::Number(1e6, 1.0, |told| &mut told.facts.hours_since_sulfite)),
    ask("free", "Free sulfite, in mg/L", "", Way::Number(500.0, 1.0, |told| &mut told.facts.free_so2_mg_per_l)),
    ask("stabilised", "Was it stabilised with sulfite and sorbate?", "", Way::YesNo(|told| &mut told.facts.is_stabilised)),
    ask("left", "Sugar that is left, in g/L", "", Way::Number(500.0, 1.0, |told| &mut told.facts.sugar_left_g_per_l)),
    ask("empty", "How much of the vessel is empty, in %", "", Way::Number(99.0, 0.01, |told| &mut told.facts.headspace_fraction)),
    ask("stirred", "Hours since the gas was stirred out", "", Way::Number(1e6, 1.0, |told| &mut told.facts.hours_since_degassed)),
    ask("lees", "Days on its sediment", "", Way::Number(1e5, 1.0, |told| &mut told.facts.days_on_lees)),
    ask("aired", "Was air stirred in after a third of the fall?", "", Way::YesNo(|told| &mut told.facts.aired_after_break)),
    ask("age", "Its age in days", "", Way::Number(1e5, 1.0, |told| &mut told.facts.age_days)),
    ask("fruit", "Is there fruit in it?", "", Way::YesNo(|told| &mut told.facts.has_fruit)),
    ask("pectinase", "Did pectinase go in?", "An enzyme that clears fruit.", Way::YesNo(|told| &mut told.facts.has_pectinase)),
    ask("sparkle", "Was it meant to sparkle?", "", Way::YesNo(|told| &mut told.facts.meant_to_sparkle)),
    ask("primed", "Did sugar or gas go in for bubbles?", "", Way::YesNo(|told| &mut told.facts.is_primed)),
    ask("bottled", "Days in the bottle", "", Way::Number(1e5, 1.0, |told| &mut told.facts.days_in_bottle)),
    ask("cellar", "Temperature where the bottles stand", "", Way::Temperature(|told| &mut told.facts.bottle_temperature_c)),
    ask("strength", "Its strength, in %", "", Way::Number(30.0, 1.0, |told| &mut told.facts.abv_percent)),
    ask("litres", "How much there is", "Amounts below are for that.", Way::Volume(|told| &mut told.facts.litres)),
];

/// The questions that a check needs answered.
fn names(check: Check) -> &'static [&'static str] {
    match check {
        Check::LidLeaks => &["lid"],
        Check::WorkingAfterAll => &["og", "sg"],
        Check::FirstDays => &["since"],
        Check::TooCold => &["temperature", "likes_low"],
        Check::TooWarm => &["temperature", "likes_high"],
        Check::LowPh => &["ph"],
        Check::SulfitedLately => &["sulfited"],
        Check::VeryStrong => &["og"],
        Check::LittleYeast => &["yeast", "og"],
        Check::Hungry => &["given", "target"],
        Check::FeedTooLate => &["strength"],
        Check::OnLees => &["lees"],
        Check::AirAbove | Check::TooFull => &["empty"],
        Check::AiredLate => &["aired"],
        Check::FurSeen => &["fur"],
        Check::NailVarnish => &["varnish"],
        Check::RottenSmell => &["rot"],
        Check::GasNotStirredOut => &["stirred"],
        Check::LittleFreeSulfite => &["free", "ph"],
        Check::StillFalling => &["fell"],
        Check::JustMade | Check::Young => &["age"],
        Check::Pectin => &["fruit", "pectinase"],
        Check::AtLimit => &["strength", "tolerance"],
        Check::NearDry => &["left"],
        Check::IsStabilised => &["stabilised"],
        Check::HotFerment => &["warmest", "likes_high"],
        Check::Sour | Check::LittleAcid => &["ph", "acid"],
        Check::MeantToSparkle => &["sparkle"],
        Check::NotPrimed => &["primed"],
        Check::ShortInBottle => &["bottled"],
        Check::ColdBottles => &["cellar"],
        Check::TooStrongForBottles => &["strength"],
    }
}

/// A question as it is drawn.
pub struct Field {
    pub name: &'static str,
    pub label: &'static str,
    pub hint: &'static str,
    /// Answered by yes or no.
    pub is_choice: bool,
}

/// What was typed, and what is known with it.
pub struct Answered {
    pub fields: Vec<Field>,
    pub form: FormState,
    pub facts: Facts,
}

/// Reads what was answered of what the log does not say.
///
/// # Errors
/// When a field came twice.
pub fn read(
    symptom: Symptom,
    logged: Facts,
    posted: &Posted,
    units: Units,
) -> Result<Answered, Error> {
    let wanted: Vec<&str> = symptom
        .checks()
        .iter()
        .flat_map(|check| names(*check))
        .copied()
        .collect();
    let mut told = Told {
        facts: logged,
        likes_low_c: logged.yeast_temperature_c.map(|range| range[0]),
        likes_high_c: logged.yeast_temperature_c.map(|range| range[1]),
        // What went in stands in the log as a dose.
        yeast_g: logged.pitch_g_per_l,
    };
    let mut typed = Typed::of(posted);
    let mut fields = Vec::new();
    for question in QUESTIONS {
        let is_wanted = wanted.contains(&question.name) || question.name == "litres";
        if !is_wanted || question.way.is_known(&mut told) {
            continue;
        }
        question
            .way
            .take(&mut typed, question.name, units, &mut told)?;
        fields.push(Field {
            name: question.name,
            label: question.label,
            hint: question.hint,
            is_choice: matches!(question.way, Way::YesNo(_)),
        });
    }
    Ok(Answered {
        fields,
        facts: together(told, &logged),
        form: typed.form,
    })
}

/// What follows from several answers at once.
fn together(told: Told, logged: &Facts) -> Facts {
    let mut facts = told.facts;
    facts.yeast_temperature_c = told
        .likes_low_c
        .zip(told.likes_high_c)
        .map(|(low, high)| [low, high]);
    if let (None, Some(grams), Some(litres)) = (logged.pitch_g_per_l, told.yeast_g, facts.litres) {
        facts.pitch_g_per_l = Some(grams / litres);
    }
    let gravities = facts
        .og
        .and_then(SpecificGravity::new)
        .zip(facts.sg.and_then(SpecificGravity::new));
    if let (None, Some((og, sg))) = (facts.abv_percent, gravities) {
        facts.abv_percent = abv_from_gravities(og, sg)
            .ok()
            .map(|found| found.abv_percent);
    }
    facts
}

impl Way {
    fn is_known(self, told: &mut Told) -> bool {
        match self {
            Way::YesNo(slot) => slot(told).is_some(),
            Way::Volume(slot)
            | Way::Gravity(slot)
            | Way::Temperature(slot)
            | Way::Number(_, _, slot) => slot(told).is_some(),
        }
    }

    fn take(
        self,
        typed: &mut Typed<'_>,
        name: &str,
        units: Units,
        told: &mut Told,
    ) -> Result<(), Error> {
        match self {
            Way::YesNo(slot) => {
                *slot(told) = typed.read(name, |text| match text {
                    "yes" => Ok(true),
                    "no" => Ok(false),
                    _ => Err("Choose yes or no, or leave it."),
                })?;
            }
            Way::Volume(slot) => {
                *slot(told) = typed.read(name, |text| parse_volume(text, units))?
            }
            Way::Gravity(slot) => {
                *slot(told) = typed.read(name, |text| parse_gravity(text, sg_of_fraction))?;
            }
            Way::Temperature(slot) => {
                *slot(told) = typed.read(name, |text| parse_temperature(text, units))?;
            }
            Way::Number(most, times, slot) => {
                let value = typed.read(name, |text| parse_number_within(text, 0.0, most))?;
                *slot(told) = value.map(|value| value * times);
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_check_has_its_questions_and_every_question_a_check() {
        let mut asked: Vec<&str> = vec!["litres"];
        for symptom in Symptom::ALL {
            for check in symptom.checks() {
                assert!(!names(*check).is_empty(), "{check:?}");
                asked.extend(names(*check));
            }
        }
        for question in QUESTIONS {
            assert!(asked.contains(&question.name), "{}", question.name);
        }
        for name in asked {
            let found = QUESTIONS.iter().filter(|question| question.name == name);
            assert_eq!(found.count(), 1, "{name}");
        }
    }

    #[test]
    fn what_is_answered_answers_its_check() {
        let pairs = [
            ("og", "1090"),
            ("sg", "1.030"),
            ("lid", "no"),
            ("litres", "5 L"),
            ("yeast", "2"),
        ];
        let posted =
            Posted::from_pairs(pairs.map(|(name, text)| (name.to_owned(), text.to_owned())));
        let read = read(Symptom::NoStart, Facts::default(), &posted, Units::Metric).unwrap();
        assert!(read.form.is_sound());
        assert_eq!(read.facts.lid_is_tight, Some(false));
        assert_eq!(read.facts.pitch_g_per_l, Some(0.4));
        let abv = read.facts.abv_percent.unwrap();
        assert!((7.5..8.5).contains(&abv), "{abv}");
    }

    #[test]
    fn what_the_log_says_is_not_asked() {
        let logged = Facts {
            ph: Some(3.4),
            ..Facts::default()
        };
        let posted = Posted::from_pairs([("ph".to_owned(), "2.0".to_owned())]);
        let read = read(Symptom::NoStart, logged, &posted, Units::Metric).unwrap();
        assert!(read.fields.iter().all(|field| field.name != "ph"));
        assert_eq!(read.facts.ph, Some(3.4));
    }
}

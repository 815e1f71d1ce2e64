//! What to do, from the numbers: from the day before to the first glass, each with its time and how long it takes. Common
//! practice, no published source; how long a step takes is our judgement.

use chrono::{Days, NaiveDate};

use super::method::Number;
use super::{Piece, lead, listed};
use crate::engine::formulation::Formulation;
use crate::engine::problem::CautionCode;
use crate::engine::recipe::{Finish, Form, Kind, Recipe, When};
use crate::web::units::{self, Units};

/// One step: the words that lead, when it is, how long it takes, and what to do.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StepLine {
    pub lead: String,
    /// "three to six weeks on"; empty where that goes without saying.
    pub when: &'static str,
    /// The same as dates: "Saturday 28 November", where the mixing day is known.
    pub date: String,
    /// "half an hour"; empty for what takes no time of its own.
    pub takes: &'static str,
    /// Whether it fills an evening.
    pub long: bool,
    pub text: Vec<Piece>,
}

fn step(lead: &str, text: impl IntoIterator<Item = Piece>) -> StepLine {
    StepLine {
        lead: lead.to_owned(),
        text: text.into_iter().collect(),
        ..StepLine::default()
    }
}

impl StepLine {
    /// Whether paper has it elsewhere: before and after the work itself, with the shopping list.
    pub fn around(&self) -> bool {
        matches!(self.lead.as_str(), "Get ready." | "Drink.")
    }

    /// Its name in a list: "Mixing day".
    pub fn name(&self) -> &str {
        self.lead.trim_end_matches('.')
    }

    fn at(self, when: &'static str, date: String, takes: &'static str) -> StepLine {
        StepLine {
            when,
            date,
            takes,
            ..self
        }
    }

    fn long(self) -> StepLine {
        StepLine { long: true, ..self }
    }
}

/// Days that count from the mixing day, if that is known.
struct Calendar(Option<NaiveDate>);

impl Calendar {
    fn after(&self, days: u64) -> Option<NaiveDate> {
        self.0?.checked_add_days(Days::new(days))
    }

    /// "Saturday 28 November 2026".
    fn on(&self, days: u64) -> String {
        let day = self.after(days);
        day.map_or(String::new(), |day| day.format("%A %-d %B %Y").to_string())
    }

    fn before(&self) -> String {
        let day = self.0.and_then(|day| day.pred_opt());
        day.map_or(String::new(), |day| day.format("%A %-d %B %Y").to_string())
    }

    /// "19 December to 9 January 2027".
    fn between(&self, from: u64, to: u64) -> String {
        let both = self.after(from).zip(self.after(to));
        both.map_or(String::new(), |(from, to)| {
            format!("{} to {}", from.format("%-d %B"), to.format("%-d %B %Y"))
        })
    }

    /// "not before 23 January 2027".
    fn not_before(&self, days: u64) -> String {
        let day = self.after(days);
        day.map_or(String::new(), |day| {
            format!("not before {}", day.format("%-d %B %Y"))
        })
    }
}

/// First and last day of the first racking, and the first on which a bottle is safe at the soonest: the sugar gone in about
/// three weeks, two readings 14 days apart, and after stabilising and sweetening two days and 14 more (common practice).
const RACK_DAYS: [u64; 2] = [21, 42];
const BOTTLE_DRY_DAYS: u64 = 35;
const BOTTLE_SWEET_DAYS: u64 = 56;
/// How long fruit stays in when nobody says: its sugar is out in 7 to 10 days (common practice).
const FRUIT_DAYS: f64 = 10.0;

/// The most hours that the mixing day takes; browning the honey takes two more: our judgement.
pub fn mixing_hours(numbers: &Formulation) -> u32 {
    let mut cautions = numbers.cautions.iter();
    match cautions.any(|caution| caution.code == CautionCode::HotHoney) {
        true => 5,
        false => 3,
    }
}

/// The steps that follow from the numbers. The maker's own steps stand beside them, never inside.
pub fn steps(recipe: &Recipe, numbers: &Formulation, units: Units) -> Vec<StepLine> {
    dated_steps(recipe, numbers, units, None)
}

/// The same, dated where the mixing day is known.
pub fn dated_steps(
    recipe: &Recipe,
    numbers: &Formulation,
    units: Units,
    mixing_day: Option<NaiveDate>,
) -> Vec<StepLine> {
    let calendar = Calendar(mixing_day);
    let (Some(must), Some(whole), Some(finished), Some(pitching)) = (
        &numbers.must,
        &numbers.whole,
        &numbers.finished,
        &numbers.pitching,
    ) else {
        return Vec::new();
    };
    let said = |text: &str| Piece::said(text);
    let figure = |number: Number, text: String| Piece::figure(number, text);
    let mut steps = vec![prepare(recipe, &calendar)];
    let mut mixing = vec![said(
        "Clean first, then sanitise all that touches the must. Warm the honey jar in water, stir the honey into ",
    )];
    match &recipe.filler {
        Some(name) => mixing.push(said(name)),
        None => mixing.extend([
            figure(Number::Water, units::volume(must.water_l, units)),
            said(" of water"),
        ]),
    }
    let reads = match (must.og - whole.og).abs() > super::fall::SAME {
        true => Number::Read,
        false => Number::Start,
    };
    mixing.extend([
        said(" and fill up to the "),
        figure(Number::Mark, units::volume(must.volume_l, units)),
        said(" mark. It reads "),
        figure(reads, units::gravity(must.og)),
        said(" at 20 °C."),
    ]);
    let takes = match mixing_hours(numbers) > 3 {
        true => "a long day: cooking the honey takes two hours more",
        false => "a long evening, two to three hours",
    };
    steps.push(
        step("Mixing day.", mixing)
            .at("the first evening", calendar.on(0), takes)
            .long(),
    );
    let bagged: Vec<_> = recipe
        .ingredients
        .iter()
        .filter(|item| {
            item.when == When::Primary && item.kind == Kind::Fruit && item.form != Some(Form::Juice)
        })
        .collect();
    let names: Vec<&str> = bagged.iter().map(|item| item.name.as_str()).collect();
    if !names.is_empty() {
        let text = format!(
            "Now, in a bag: {}. Wet the cap twice a day.",
            listed(&names)
        );
        let takes = "a quarter of an hour, then two minutes twice a day";
        steps.push(step("In a bag.", [said(&text)]).at("the same evening", String::new(), takes));
    }
    let [low, high] = pitching.rehydration.temperature_c;
    let yeast = figure(Number::Yeast, units::mass(pitching.yeast_g / 1000.0, units));
    let pitch = match pitching.rehydration.wanted {
        true => vec![
            said("Wake "),
            yeast,
            said(" of dry yeast in "),
            figure(
                Number::Waking,
                units::volume(pitching.rehydration.water_g / 1000.0, units),
            ),
            said(&format!(
                " of water at {} to {} for 15 to 20 minutes, bring it within 10 °C of the must in small steps, pitch and stir air in.",
                units::temperature(low, units),
                units::temperature(high, units)
            )),
        ],
        false => vec![
            said("Strew "),
            yeast,
            said(" of dry yeast on the must and stir air in."),
        ],
    };
    let takes = match pitching.rehydration.wanted {
        true => "half an hour",
        false => "five minutes",
    };
    steps.push(step("Pitch.", pitch).at("the same evening", String::new(), takes));
    let plan = numbers.feeding.as_ref();
    if let Some(plan) = plan.filter(|plan| !plan.additions.is_empty()) {
        let how = match plan.why {
            "all_at_pitch" => "All at the pitch, as the table says.",
            _ => {
                "Five minutes of stirring before each dose of the table: powder into a gassy must foams over."
            }
        };
        let (when, date) = match plan.why {
            "all_at_pitch" => ("the same evening", String::new()),
            _ => ("in the first week", calendar.between(1, 7)),
        };
        steps.push(step("Feed.", [said(how)]).at(when, date, "five minutes each"));
    }
    let air = match &numbers.ladder {
        Some(ladder) => figure(Number::Break, units::gravity(ladder.one_third_break_sg)),
        None => said("one third less"),
    };
    steps.push(step(
        "Let it work.",
        [
            said(
                "Airlock on, away from light, in a room that is aired. Stir air in until the gravity reads ",
            ),
            air,
            said(", never after."),
        ],
    ).at("two to four weeks", String::new(), "a minute a day"));
    if !names.is_empty() {
        let days = bagged
            .iter()
            .map(|item| item.days.unwrap_or(FRUIT_DAYS))
            .fold(0.0, f64::max);
        let out = step(
            "The fruit comes out.",
            [said(
                "Lift the bag, let it drip, and read the gravity: only now is all its sugar in.",
            )],
        );
        steps.push(out.at(
            "on its day",
            calendar.on(days.clamp(0.0, 3650.0).round() as u64),
            "half an hour",
        ));
    }
    let still = match recipe.finish {
        Finish::Dry => step(
            "When it stands still.",
            [
                said("About "),
                figure(Number::End, units::gravity(finished.fg)),
                said(
                    ". Rack off the lees into a full vessel; wait for two readings 14 days apart that are equal to 0.001.",
                ),
            ],
        ),
        Finish::SweetenTo(sg) => step(
            "When it stands still.",
            [
                said("About "),
                figure(Number::NaturalEnd, units::gravity(finished.natural_fg)),
                said(
                    ". Clear and rack, then stabilise: sulfite, then sorbate within a day. After a day or two sweeten to ",
                ),
                figure(Number::End, units::gravity(sg)),
                said(", and leave it two weeks under an airlock before any bottle."),
            ],
        ),
        Finish::ArrestTo(sg) => step(
            "Stop it.",
            [
                said("At "),
                figure(Number::End, units::gravity(sg)),
                said(
                    " cold, racking and stabilising together may stop it: a gamble. Dry first and sweetened afterwards is surer. Then two weeks under an airlock.",
                ),
            ],
        ),
    };
    let takes = match recipe.finish {
        Finish::Dry => "an hour",
        Finish::SweetenTo(_) => "an hour, then ten minutes on two more evenings",
        Finish::ArrestTo(_) => "an hour",
    };
    steps.push(match recipe.finish {
        Finish::ArrestTo(_) => still.at("when it reads that: look every day", String::new(), takes),
        _ => still.at(
            "three to six weeks on",
            calendar.between(RACK_DAYS[0], RACK_DAYS[1]),
            takes,
        ),
    });
    if recipe.finish != Finish::Dry {
        steps.push(step(
            "Sulfite with care.",
            [said("Do not breathe the powder, never bring it together with acid or bleach in a closed place, and tell whoever drinks: some people with asthma react to it. Keep to the label, and to the limits and labelling rules where you live.")],
        ));
    }
    let secondary: Vec<&str> = recipe
        .ingredients
        .iter()
        .filter(|item| matches!(item.when, When::Secondary | When::Ageing))
        .map(|item| item.name.as_str())
        .collect();
    if !secondary.is_empty() {
        steps.push(
            step(
                "Later.",
                [said(&format!(
                    "{} after the first racking; taste every few days.",
                    listed(&secondary)
                ))],
            )
            .at("after racking", String::new(), "ten minutes, then a taste"),
        );
    }
    let mut bottle = vec![said(
        "Only when two readings 14 days apart agree and the bottle is made for what is in it.",
    )];
    if let Some(package) = &numbers.package {
        bottle.extend([
            said(&format!(
                " From {} there are ",
                units::volume(whole.volume_l, units)
            )),
            figure(Number::Bottles, units::volume(package.litres, units)),
            said(" to fill."),
        ]);
    }
    let (when, earliest) = match recipe.finish {
        Finish::Dry => ("five weeks on at the soonest", BOTTLE_DRY_DAYS),
        _ => ("eight weeks on at the soonest", BOTTLE_SWEET_DAYS),
    };
    let takes = "a long evening, two to three hours";
    steps.push(
        step("Bottle.", bottle)
            .at(when, calendar.not_before(earliest), takes)
            .long(),
    );
    let from = mixing_day.map(|day| {
        let [good, better] = lead::ready(numbers, day);
        format!("from {good}, better by {better}")
    });
    steps.push(
        step(
            "Drink.",
            [said("From the month in the first line on. Lay it dark, cool and full, open one bottle now and then, and write down what you find. What tastes hot or sharp while young mostly needs time.")],
        )
        .at("", from.unwrap_or_default(), ""),
    );
    steps
}

/// What is done the day before.
fn prepare(recipe: &Recipe, calendar: &Calendar) -> StepLine {
    let mut text = "Have all of the shopping list in the house, and read these steps once. Stand the honey somewhere warm.".to_owned();
    if recipe.filler.is_none() {
        text.push_str(" Let tap water that smells of chlorine stand open overnight.");
    }
    if recipe
        .ingredients
        .iter()
        .any(|item| item.form == Some(Form::Frozen))
    {
        text.push_str(" Thaw the frozen fruit in its bag.");
    }
    step("Get ready.", [Piece::said(text)]).at("the day before", calendar.before(), "half an hour")
}

/// Which evenings are long, and what takes minutes: "Long evenings: mixing day and bottling."
pub fn long_and_short(steps: &[StepLine]) -> String {
    let called = |step: &StepLine| match step.lead.as_str() {
        "Mixing day." => "mixing day",
        _ => "bottling",
    };
    let long: Vec<&str> = steps.iter().filter(|step| step.long).map(called).collect();
    let feeds = steps.iter().any(|step| step.lead == "Feed.");
    match (long.is_empty(), feeds) {
        (true, _) => String::new(),
        (false, true) => format!(
            "Long evenings: {}. A feed and a daily look take five minutes; the rest an hour or less.",
            listed(&long)
        ),
        (false, false) => format!(
            "Long evenings: {}. A daily look takes a minute; the rest an hour or less.",
            listed(&long)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_count_from_the_mixing_day() {
        let calendar = Calendar(NaiveDate::from_ymd_opt(2026, 11, 28));
        assert_eq!(calendar.before(), "Friday 27 November 2026");
        assert_eq!(calendar.on(0), "Saturday 28 November 2026");
        assert_eq!(calendar.between(21, 42), "19 December to 9 January 2027");
        assert_eq!(calendar.not_before(35), "not before 2 January 2027");
        let unknown = Calendar(None);
        assert_eq!(
            unknown.on(0) + &unknown.before() + &unknown.not_before(1),
            ""
        );
        assert_eq!(Calendar(Some(NaiveDate::MAX)).on(1), "");
    }

    #[test]
    fn long_evenings_are_named() {
        let plain = |lead: &str| step(lead, []);
        assert_eq!(long_and_short(&[plain("Feed.")]), "");
        let steps = [
            plain("Mixing day.").long(),
            plain("Feed."),
            plain("Bottle.").long(),
        ];
        assert!(
            long_and_short(&steps).starts_with("Long evenings: mixing day and bottling. A feed")
        );
        let unfed = [plain("Mixing day.").long()];
        assert!(!long_and_short(&unfed).contains("feed"));
    }
}

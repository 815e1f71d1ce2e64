//! What to do, by symptom and by what was found, with amounts for the litres that there are.

mod later;
mod working;

use super::Symptom;
use super::checks::{Answer, Check, Finding};
use super::facts::Facts;
use crate::engine::problem::{Arguments, Severity, codes};

codes! {
    /// Something to do, or to leave. Arguments are there where they are known.
    RemedyCode {
        /// Pour it away and clean everything.
        PourItAway = "pour_it_away",
        /// Look closely and smell before anything else.
        LookClosely = "look_closely",
        /// Take a reading: only the gravity tells.
        ReadGravity = "read_gravity",
        /// Nothing is wrong: it works.
        LeaveIt = "leave_it",
        /// Wait until 72 hours have passed (`hours`).
        WaitForTheStart = "wait_for_the_start",
        /// Warm it to the yeast's range (`low_c`, `high_c`).
        WarmIt = "warm_it",
        /// Cool it to the yeast's range (`low_c`, `high_c`).
        CoolIt = "cool_it",
        /// Measure the pH before doing anything about it.
        MeasurePh = "measure_ph",
        /// Potassium bicarbonate in one step (`grams`, `ph`, `least_ph`).
        RaisePh = "raise_ph",
        /// Stir air in until the sulfite has gone.
        AirOutSulfite = "air_out_sulfite",
        /// Pitch once more (`yeast_g`, `water_g`).
        PitchAgain = "pitch_again",
        /// Bring the sediment up and let the gas out.
        StirUp = "stir_up",
        /// Feed now, one powder or the other (`mg_per_l`, `dap_g`, `organic_g`).
        FeedNow = "feed_now",
        /// Organic feed alone, and little of it (`organic_g`).
        FeedOrganicOnly = "feed_organic_only",
        /// It is too late to feed.
        NoMoreFeed = "no_more_feed",
        /// Off the sediment.
        RackOff = "rack_off",
        /// No copper.
        NoCopper = "no_copper",
        /// Air the room: its gas and its smell.
        AirTheRoom = "air_the_room",
        /// Rack from under the film, without stirring it in.
        RackFromUnder = "rack_from_under",
        /// Fill up to the neck (`litres`).
        TopUp = "top_up",
        /// Sulfite (`grams`, `free_mg_per_l`).
        AddSulfite = "add_sulfite",
        /// Measure before sulfite is given: pH, and free sulfite.
        MeasureForSulfite = "measure_for_sulfite",
        /// Clear the airlock; pressure can build up.
        ClearTheAirlock = "clear_the_airlock",
        /// A wide hose in place of the airlock.
        WideHose = "wide_hose",
        /// Take some out (`litres`).
        TakeSomeOut = "take_some_out",
        /// Stir before every powder.
        StirBeforePowder = "stir_before_powder",
        /// Wait for it to clear (`days`).
        WaitToClear = "wait_to_clear",
        /// Pectinase.
        AddPectinase = "add_pectinase",
        /// A fining, then rack.
        FineIt = "fine_it",
        /// A haze hurts nobody.
        HazeIsHarmless = "haze_is_harmless",
        /// Not into bottles.
        DoNotBottle = "do_not_bottle",
        /// It has ended: two readings, then on.
        ItHasEnded = "it_has_ended",
        /// Two readings say so already: go on to finishing it.
        ItStandsStill = "it_stands_still",
        /// Keep it as it is and stabilise it (`sorbate_g`).
        KeepItSweet = "keep_it_sweet",
        /// A stabilised mead does not ferment on.
        NoRestart = "no_restart",
        /// Fresh yeast that is used to the mead step by step (`yeast_g`, `water_g`, `first_l`, `times`, `starter_l`).
        Restart = "restart",
        /// Wait and taste again (`days`).
        WaitToMellow = "wait_to_mellow",
        /// Potassium bicarbonate against sourness (`grams`).
        SoftenAcid = "soften_acid",
        /// Sweeten or blend a glass first.
        TryInAGlass = "try_in_a_glass",
        /// Keep the air away from now on.
        KeepAirOut = "keep_air_out",
        /// No sugar into bottles on a guess.
        NoSugarOnAGuess = "no_sugar_on_a_guess",
        /// The bottles into the warm (`days`, `warm_c`).
        WarmTheBottles = "warm_the_bottles",
        /// Gas from a cylinder, in a keg.
        UseAKeg = "use_a_keg",
        /// Fresh yeast for the bottles (`yeast_g`).
        BottleYeast = "bottle_yeast",
        /// A little acid (`grams`).
        AddAcid = "add_acid",
    }
}

/// Something to do.
#[derive(Clone, Debug, PartialEq)]
pub struct Remedy {
    /// What.
    pub code: RemedyCode,
    /// What is at stake if it is done wrongly or left: danger where it can hurt somebody.
    pub severity: Severity,
    /// What the sentence about it needs, as far as it is known.
    pub arguments: Arguments,
}

/// Remedies as they are put together, with what they follow from.
struct Case<'a> {
    findings: &'a [Finding],
    facts: &'a Facts,
    remedies: Vec<Remedy>,
}

impl Case<'_> {
    fn answer(&self, check: Check) -> Answer {
        let found = self.findings.iter().find(|finding| finding.check == check);
        found.map_or_else(|| check.of(self.facts).answer, |finding| finding.answer)
    }

    fn is(&self, check: Check) -> bool {
        self.answer(check) == Answer::Yes
    }

    fn is_not(&self, check: Check) -> bool {
        self.answer(check) == Answer::No
    }

    fn unknown(&self, check: Check) -> bool {
        self.answer(check) == Answer::NotKnown
    }

    fn add(
        &mut self,
        code: RemedyCode,
        severity: Severity,
        arguments: &[(&'static str, Option<f64>)],
    ) {
        let mut told = Arguments::none();
        for (name, value) in arguments {
            if let Some(value) = value.filter(|value| value.is_finite()) {
                told = told.with(name, value);
            }
        }
        self.remedies.push(Remedy {
            code,
            severity,
            arguments: told,
        });
    }

    fn note(&mut self, code: RemedyCode) {
        self.add(code, Severity::Note, &[]);
    }

    fn watch(&mut self, code: RemedyCode) {
        self.add(code, Severity::Watch, &[]);
    }

    fn danger(&mut self, code: RemedyCode) {
        self.add(code, Severity::Danger, &[]);
    }

    /// An amount for the litres that there are; `None` where they are not known.
    fn for_litres(&self, dose: impl Fn(f64) -> f64) -> Option<f64> {
        self.facts.litres.map(dose)
    }
}

pub(super) fn of(symptom: Symptom, findings: &[Finding], facts: &Facts) -> Vec<Remedy> {
    let mut case = Case {
        findings,
        facts,
        remedies: Vec::new(),
    };
    match symptom {
        Symptom::NoStart => working::no_start(&mut case),
        Symptom::RottenEgg => working::rotten_egg(&mut case),
        Symptom::FoamOver => working::foam_over(&mut case),
        Symptom::Stuck => working::stuck(&mut case),
        Symptom::Film => later::film(&mut case),
        Symptom::Haze => later::haze(&mut case),
        Symptom::Harsh => later::harsh(&mut case),
        Symptom::Flat => later::flat(&mut case),
    }
    case.remedies
}

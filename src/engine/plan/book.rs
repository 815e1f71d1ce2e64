//! The book in which a plan is written: what the log says of each step, what follows from it, and the order of doing.

use std::collections::HashMap;

use super::codes::{StepKind, Why};
use super::facts::{Facts, Said};
use super::step::{Amount, At, Due, State, Step};
use crate::engine::formulation::{Formulation, Line};
use crate::engine::problem::{Caution, CautionCode, Severity};
use crate::engine::recipe::{Ingredient, Recipe, When};

/// A step without anything but its name and reason.
pub(super) fn step(key: impl Into<String>, kind: StepKind, why: Why) -> Step {
    Step {
        key: key.into(),
        kind,
        number: None,
        amounts: Vec::new(),
        due: Due::default(),
        every_h: None,
        after: None,
        why,
        cautions: Vec::new(),
        beware: Vec::new(),
        missed: None,
        state: State::Open,
    }
}

/// One of several steps of its kind.
pub(super) fn numbered(name: &str, number: u32, kind: StepKind, why: Why) -> Step {
    Step {
        number: Some(number),
        ..step(format!("{name}-{number}"), kind, why)
    }
}

/// A step for what follows it: its key, and the time from which that counts.
#[derive(Clone, Debug)]
pub(super) struct Stand {
    pub key: String,
    pub at: Option<At>,
    pub state: State,
}

impl Stand {
    pub fn plus(&self, [days, from, to]: [i32; 3]) -> Option<At> {
        self.at.map(|at| at.plus_days(days, from, to))
    }

    /// The same without its window.
    pub fn without_window(&self) -> Stand {
        Stand {
            at: self.at.map(At::without_window),
            ..self.clone()
        }
    }

    pub fn hours(&self) -> Option<f64> {
        self.at.map(|at| at.about_hours())
    }

    /// The later one of both.
    pub fn or_later(self, other: &Stand) -> Stand {
        match (self.hours(), other.hours()) {
            (Some(one), Some(two)) if two > one => other.clone(),
            _ => self,
        }
    }
}

/// A plan in the making.
pub(super) struct Book<'a> {
    pub recipe: &'a Recipe,
    pub numbers: &'a Formulation,
    /// Sound ones.
    pub facts: &'a Facts,
    steps: Vec<Step>,
}

/// Cautions of an ingredient that are worth a word where it goes in, though they weigh little.
const WORTH_A_WORD: [CautionCode; 4] = [
    CautionCode::EnzymeBeforeYeast,
    CautionCode::SulfiteBeforeYeast,
    CautionCode::WholeFruitKeepsSugar,
    CautionCode::KeepFromDogs,
];

impl<'a> Book<'a> {
    pub fn new(recipe: &'a Recipe, numbers: &'a Formulation, facts: &'a Facts) -> Self {
        Book {
            recipe,
            numbers,
            facts,
            steps: Vec::new(),
        }
    }

    /// Writes a step down. `happened` is when the log shows that it was done, whether it was marked or not.
    pub fn add(&mut self, mut step: Step, happened: Option<f64>, after: Option<&Stand>) -> Stand {
        step.after = after.map(|stand| stand.key.clone());
        step.amounts.retain(is_something);
        let said = self.facts.mark(&step.key).map(|mark| (mark.is, mark.hours));
        step.state = match (said, happened, step.state) {
            (Some((Said::Done, hours)), _, _) | (_, Some(hours), _) => State::Done { hours },
            (Some((Said::Skipped, hours)), _, _) => State::Skipped { hours },
            (Some((Said::Moved { to_hours }, _)), _, State::Open) => State::Moved { to_hours },
            (_, _, by_itself) => by_itself,
        };
        if let State::Moved { to_hours } = step.state {
            step.due.at = Some(At::moved_to(step.due.at, to_hours));
        }
        let at = match step.state {
            State::Done { hours } => Some(At::exactly(hours)),
            State::Skipped { hours } => step.due.at.or(Some(At::exactly(hours))),
            State::Open | State::Moved { .. } => {
                step.due.at.map(|at| at.not_before(self.facts.now_h))
            }
            State::Past => step.due.at,
        };
        let stand = Stand {
            key: step.key.clone(),
            at,
            state: step.state,
        };
        self.steps.push(step);
        stand
    }

    /// Cautions of the recipe with these codes.
    pub fn coded(&self, codes: &[CautionCode]) -> Vec<Caution> {
        let cautions = self.numbers.cautions.iter();
        cautions
            .filter(|caution| codes.contains(&caution.code))
            .cloned()
            .collect()
    }

    pub fn has(&self, code: CautionCode) -> bool {
        let mut cautions = self.numbers.cautions.iter();
        cautions.any(|caution| caution.code == code)
    }

    /// Cautions of the recipe about what these amounts name.
    pub fn about(&self, amounts: &[Amount]) -> Vec<Caution> {
        let is_named = |name: &str| {
            amounts.iter().any(|amount| match amount {
                Amount::Ingredient { name: given, .. } => given == name,
                Amount::Feed { nutrient, .. } => nutrient == name,
                Amount::Yeast { names, .. } => names.iter().any(|given| given == name),
                Amount::YeastByPacket { name: given } => given == name,
                _ => false,
            })
        };
        let cautions = self.numbers.cautions.iter();
        cautions
            .filter(|caution| caution.arguments.text("name").is_some_and(is_named))
            .filter(|caution| {
                caution.severity > Severity::Note || WORTH_A_WORD.contains(&caution.code)
            })
            .cloned()
            .collect()
    }

    /// The lines of the recipe at a stage that fit, with their ingredients.
    pub fn lines(
        &self,
        when: When,
        fits: impl Fn(&Ingredient) -> bool,
    ) -> Vec<(&'a Line, &'a Ingredient)> {
        let (recipe, numbers) = (self.recipe, self.numbers);
        let lines = numbers.ingredients.iter();
        lines
            .filter(|line| line.when == when && line.kg.is_none_or(|kg| kg > 0.0))
            .filter_map(|line| Some((line, recipe.ingredients.get(line.index)?)))
            .filter(|(_, item)| fits(item))
            .collect()
    }

    /// The steps in the order of doing.
    pub fn finish(mut self) -> Vec<Step> {
        super::settle::settle(&mut self.steps);
        let mut places: HashMap<String, f64> = HashMap::new();
        let mut last = 0.0;
        let mut ordered: Vec<(f64, Step)> = Vec::with_capacity(self.steps.len());
        for step in self.steps {
            let own = match step.state {
                State::Done { hours } => Some(hours),
                _ => step.due.at.map(|at| at.about_hours()),
            };
            let before = step.after.as_ref().and_then(|key| places.get(key)).copied();
            let place = match (own, before) {
                (Some(own), Some(before)) => own.max(before),
                (own, before) => own.or(before).unwrap_or(last),
            };
            // Adding 0 makes one zero of both.
            let place = place + 0.0;
            last = place;
            places.insert(step.key.clone(), place);
            ordered.push((place, step));
        }
        ordered.sort_by(|(one, _), (other, _)| one.total_cmp(other));
        ordered.into_iter().map(|(_, step)| step).collect()
    }
}

/// An ingredient's line as an amount.
pub(super) fn amount_of(line: &Line) -> Amount {
    Amount::Ingredient {
        index: line.index,
        name: line.name.clone(),
        kg: line.kg.filter(|kg| kg.is_finite()),
        litres: line.litres.filter(|litres| litres.is_finite()),
    }
}

/// Whether an amount says anything: no NaN, nothing of which there is nothing.
fn is_something(amount: &Amount) -> bool {
    let some = |value: f64| value.is_finite() && value > 0.0;
    match amount {
        Amount::Water { litres } | Amount::Mark { litres } | Amount::ToFill { litres } => {
            some(*litres)
        }
        Amount::Reads { sg } => some(*sg),
        Amount::Feed { grams, .. }
        | Amount::Yeast { grams, .. }
        | Amount::WakingWater { grams, .. }
        | Amount::Bicarbonate { grams, .. }
        | Amount::Metabisulfite { grams, .. }
        | Amount::Sorbate { grams } => some(*grams),
        Amount::HeldBack { kg } | Amount::Honey { kg } => some(*kg),
        Amount::BottleYeast { low_g, high_g, .. } => some(*low_g) && some(*high_g),
        Amount::Bottles { size_l, count } => some(*size_l) && *count > 0,
        Amount::Reckon {
            without_g: Some([low, high]),
            ..
        } => some(*low) && some(*high),
        Amount::Headspace { fraction } => fraction.is_finite(),
        Amount::Ingredient { .. }
        | Amount::Steeps { .. }
        | Amount::YeastByPacket { .. }
        | Amount::Reckon { .. } => true,
    }
}

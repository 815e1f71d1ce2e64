//! Yeasts ranked for a must: strength to spare, the must's temperature, the food it wants, what it tastes of.
//!
//! How much each counts is our judgement; the facts are the catalogue's.

use super::Case;
use crate::catalogue::{NitrogenNeed, Yeast};
use crate::engine::recipe::{self, FeedingLevel, Kind, Recipe, YeastWhen};
use crate::engine::{self, formulate};
use crate::recipes::numbers::strength;
use crate::web::units::{self, Units};

/// Strength to spare that makes it sure to finish dry, % ABV (common practice: 1.5 to 2).
const SPARE_PERCENT: f64 = 1.5;
/// A must weaker than this does well with a beer yeast, % ABV.
const LIGHT_PERCENT: f64 = 8.5;
/// A tolerance that no must of ours exceeds, % ABV.
const TIRELESS_PERCENT: f64 = 25.0;

/// One yeast of the catalogue, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranked {
    pub key: String,
    pub name: String,
    /// In two or three words.
    pub verdict: String,
    /// Why, in a line.
    pub reasons: String,
    /// Whether nothing speaks against it.
    pub suits: bool,
    /// Whether the recipe has it.
    pub chosen: bool,
    score: f64,
}

/// The strength at which the must would stand with all its sugar gone, % ABV.
pub fn wanted_abv(recipe: &Recipe, settings: &engine::Settings) -> Option<f64> {
    let mut tireless = recipe.clone();
    tireless.yeasts = vec![recipe::Yeast {
        key: None,
        name: "any".to_owned(),
        tolerance_abv_percent: TIRELESS_PERCENT,
        nitrogen_need: recipe::NitrogenNeed::Medium,
        temperature_c: None,
        when: YeastWhen::Pitch,
        attenuation_percent: None,
    }];
    let finished = formulate(&tireless, settings).finished?;
    Some(finished.abv_before_sweetening_percent)
}

/// All yeasts that the club has, the fittest first. Of a must that has no numbers yet only the rest is judged.
pub(super) fn rank(case: &Case<'_>) -> Vec<Ranked> {
    let wanted = wanted_abv(case.recipe, case.settings);
    let catalogue = &case.reader.catalogue;
    let mut ranked: Vec<Ranked> = catalogue
        .yeasts()
        .map(|yeast| judge(yeast, case.recipe, wanted, case.reader.units))
        .collect();
    ranked.sort_by(|one, other| one.score.total_cmp(&other.score));
    ranked
}

/// What speaks for or against a yeast.
struct Judgement {
    score: f64,
    reasons: Vec<String>,
    /// The words of what weighs most against it.
    against: Option<(f64, &'static str)>,
}

impl Judgement {
    fn counts(&mut self, weight: f64, words: &'static str) {
        self.score += weight;
        if self.against.is_none_or(|(most, _)| weight > most) {
            self.against = Some((weight, words));
        }
    }
}

fn judge(yeast: &Yeast, recipe: &Recipe, wanted: Option<f64>, units: Units) -> Ranked {
    let mut judgement = Judgement {
        score: 0.0,
        reasons: Vec::new(),
        against: None,
    };
    let spare = wanted.map(|wanted| headroom(yeast, wanted, &mut judgement));
    temperature(yeast, recipe, units, &mut judgement);
    food(yeast, recipe, &mut judgement);
    if yeast.attenuation.starts_with("partial") {
        judgement.counts(12.0, "cannot finish alone");
        judgement
            .reasons
            .push("wants another yeast after it".to_owned());
    } else if yeast.group == "other" {
        judgement.counts(3.0, "rough");
    }
    let goes_with = character(yeast, recipe, wanted);
    if goes_with {
        judgement.score -= 1.5;
    }
    judgement.reasons.push(match goes_with {
        true => format!("{}: goes with what is in it", yeast.character),
        false => yeast.character.clone(),
    });
    let verdict = match (judgement.against, spare) {
        (Some((weight, words)), _) if weight >= 1.0 => words.to_owned(),
        (_, Some(spare)) if goes_with => format!("goes with it, {} to spare", strength(spare)),
        (_, Some(spare)) => format!("{} to spare", strength(spare)),
        (_, None) => "will do".to_owned(),
    };
    Ranked {
        key: yeast.key.clone(),
        name: yeast.name.clone(),
        verdict,
        reasons: judgement.reasons.join("; "),
        suits: judgement.against.is_none_or(|(weight, _)| weight < 1.0),
        chosen: recipe
            .yeasts
            .iter()
            .any(|of| of.key.as_deref() == Some(yeast.key.as_str())),
        score: judgement.score,
    }
}

/// Tolerance less what is wanted.
fn headroom(yeast: &Yeast, wanted: f64, judgement: &mut Judgement) -> f64 {
    let stops = yeast.tolerance_abv_percent();
    let spare = stops - wanted;
    if spare < -0.25 {
        judgement.counts(10.0 - 3.0 * spare, "stops too early");
        judgement.reasons.push(format!(
            "stops near {}, and this would come to {}: it stays sweeter than planned",
            strength(stops),
            strength(wanted)
        ));
    } else if spare < SPARE_PERCENT {
        judgement.counts(2.0 * (SPARE_PERCENT + 0.5 - spare), "may stop early");
        judgement.reasons.push(format!(
            "stops near {}, give or take 1.5 %: it may stop a little sweet",
            strength(stops)
        ));
    } else {
        if wanted < LIGHT_PERCENT && yeast.group == "wine" {
            judgement.score += 1.0;
        }
        judgement.reasons.push(format!(
            "stops near {}: {} to spare",
            strength(stops),
            strength(spare)
        ));
    }
    spare
}

fn temperature(yeast: &Yeast, recipe: &Recipe, units: Units, judgement: &mut Judgement) {
    let Some(planned) = recipe.temperature_c else {
        return;
    };
    let [low, high] = yeast.temperature_c;
    let shown = |celsius| units::temperature(celsius, units);
    let outside = (low - planned).max(planned - high);
    if outside > 0.0 {
        let words = if planned < low {
            "too cold for it"
        } else {
            "too warm for it"
        };
        judgement.counts(3.0 + outside, words);
        judgement.reasons.push(format!(
            "likes {} to {}, not {}",
            shown(low),
            shown(high),
            shown(planned)
        ));
    } else {
        judgement
            .reasons
            .push(format!("at home at {}", shown(planned)));
    }
}

fn food(yeast: &Yeast, recipe: &Recipe, judgement: &mut Judgement) {
    let feeds = recipe
        .nutrients
        .iter()
        .any(|feed| feed.ammonium_yan_mg_per_g + feed.organic_yan_mg_per_g > 0.0);
    match (yeast.nitrogen_need, feeds) {
        (NitrogenNeed::High, false) => judgement.counts(5.0, "starves without feed"),
        (NitrogenNeed::Medium, false) => judgement.counts(2.0, "hungry without feed"),
        (NitrogenNeed::High, true) if recipe.feeding == FeedingLevel::Lean => {
            judgement.counts(2.0, "wants more feed");
        }
        (NitrogenNeed::High, true) => judgement.score += 0.5,
        _ => {}
    }
    judgement.reasons.push(
        match yeast.nitrogen_need {
            NitrogenNeed::Low => "wants little feed",
            NitrogenNeed::Medium => "wants its feed",
            NitrogenNeed::High => "wants much feed",
        }
        .to_owned(),
    );
}

/// Whether what the yeast tastes of goes with what is in the must.
fn character(yeast: &Yeast, recipe: &Recipe, wanted: Option<f64>) -> bool {
    const BERRIES: &[&str] = &["berry", "currant", "cherry", "grape", "plum", "pomegranate"];
    const ORCHARD: &[&str] = &["apple", "pear"];
    const SOUTH: &[&str] = &[
        "orange", "lemon", "lime", "mango", "passion", "guava", "papaya", "peach", "apricot",
    ];
    let says = |word: &str| yeast.character.contains(word);
    let has = |words: &[&str]| {
        recipe.ingredients.iter().any(|item| {
            let name = item.name.to_lowercase();
            // A pineapple is no apple.
            matches!(item.kind, Kind::Fruit | Kind::Juice | Kind::Syrup)
                && words
                    .iter()
                    .any(|word| name.replace("pineapple", "").contains(word))
        })
    };
    let malt = recipe
        .ingredients
        .iter()
        .any(|item| item.kind == Kind::Malt);
    let fruit = recipe
        .ingredients
        .iter()
        .any(|item| matches!(item.kind, Kind::Fruit | Kind::Juice));
    let light = wanted.is_some_and(|wanted| wanted < LIGHT_PERCENT);
    (has(BERRIES) && says("berry"))
        || (has(ORCHARD) && says("fresh apple"))
        || (has(SOUTH) && (says("citrus") || says("tropical")) && yeast.group == "wine")
        || ((malt || (light && !fruit)) && yeast.group == "ale" && says("clean"))
        || (!fruit && !malt && !light && (says("floral") || says("neutral, clean")))
}

//! Margin notes: one number each, a few words, and how it is reckoned.

use super::method::{self, Method};
use super::strength;
use crate::engine::formulation::{Formulation, StoppedBy};
use crate::engine::recipe::{Finish, Recipe, Target};
use crate::web::units::{self, Units};
use crate::web::words::reason;

/// A number in the margin.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    pub label: &'static str,
    pub strong: String,
    pub words: String,
    pub method: Method,
}

/// All notes, in the order in which a maker asks.
pub fn all(recipe: &Recipe, numbers: &Formulation, units: Units) -> Vec<Note> {
    let (Some(must), Some(whole), Some(finished), Some(limits)) = (
        &numbers.must,
        &numbers.whole,
        &numbers.finished,
        &numbers.limits,
    ) else {
        return Vec::new();
    };
    let gravity = units::gravity;
    let tolerance = finished.abv_before_sweetening_percent + limits.headroom_abv_percent;
    let mut notes = vec![Note {
        label: "strength",
        strong: strength(finished.abv_percent),
        words: {
            let sweetened = finished.abv_before_sweetening_percent - finished.abv_percent > 0.05;
            let after = if sweetened { "after sweetening; " } else { "" };
            match limits.stopped_by {
                StoppedBy::Tolerance => format!("{after}the yeast stops there, give or take 1.5 %"),
                StoppedBy::Sugar => format!("{after}the yeast could reach {}", strength(tolerance)),
            }
        },
        method: method::strength(vec![
            (
                "sugar that ferments",
                units::grams_per_litre(whole.sugar_g_per_l),
            ),
            ("start", format!("{:.4}", whole.og)),
            ("volume at the end", units::volume(finished.volume_l, units)),
            (
                "strength before sweetening",
                format!("{:.2} %", finished.abv_before_sweetening_percent),
            ),
            ("gas given off", format!("{:.2} kg", finished.co2_kg)),
        ]),
    }];
    let read_differs = (must.og - whole.og).abs() > 0.0005;
    notes.push(Note {
        label: "start",
        strong: gravity(whole.og),
        words: match read_differs {
            true => format!(
                "once the fruit has given its sugar; the hydrometer reads {} before it",
                gravity(must.og)
            ),
            false => format!(
                "{:.1} °Bx in {} of must",
                whole.brix,
                units::volume(whole.volume_l, units)
            ),
        },
        method: method::balance(vec![
            ("aim", aim_words(recipe)),
            (
                "volume of the must",
                units::volume_both(whole.volume_l, units),
            ),
            ("share of solids", format!("{:.2} %", whole.brix)),
            ("mass of the must", units::mass(whole.mass_kg, units)),
            ("water", units::volume(must.water_l, units)),
        ]),
    });
    notes.push(Note {
        label: "end",
        strong: gravity(finished.fg),
        words: match recipe.finish {
            Finish::Dry if finished.residual_sugar_g_per_l < 0.5 => {
                "all the sugar is gone".to_owned()
            }
            _ => format!(
                "{} of sugar left",
                units::grams_per_litre(finished.residual_sugar_g_per_l)
            ),
        },
        method: method::sweetness(vec![
            ("ends by itself at", format!("{:.4}", finished.natural_fg)),
            (
                "sugar left",
                units::grams_per_litre(finished.residual_sugar_g_per_l),
            ),
            (
                "everything dissolved",
                units::grams_per_litre(finished.extract_g_per_l),
            ),
            ("volume", units::volume(finished.volume_l, units)),
        ]),
    });
    if let Some(plan) = &numbers.feeding {
        let fed = (plan.deficit_mg_per_l - plan.beyond_mg_per_l).max(0.0);
        notes.push(Note {
            label: "feeding",
            strong: format!("{} mg/L", units::plain(fed, 0)),
            words: format!(
                "of nitrogen, of {} aimed at",
                units::plain(plan.target_mg_per_l, 0)
            ),
            method: method::feeding(vec![
                (
                    "sugar by gravity",
                    units::grams_per_litre(plan.sugar_g_per_l),
                ),
                (
                    "what the yeast would take",
                    format!("{:.0} mg/L", plan.demand.class),
                ),
                ("gentleness", recipe.feeding.as_str().to_owned()),
                ("aimed at", format!("{:.0} mg/L", plan.target_mg_per_l)),
                ("the must's own", format!("{:.0} mg/L", plan.must_mg_per_l)),
                (
                    "more than helps",
                    format!("{:.0} mg/L", plan.beyond_mg_per_l),
                ),
            ]),
        });
    }
    if let Some(pitching) = &numbers.pitching {
        let sachets = match pitching.sachets {
            1 => "one sachet".to_owned(),
            many => format!("{many} sachets"),
        };
        notes.push(Note {
            label: "yeast",
            strong: units::mass(pitching.yeast_g / 1000.0, units),
            words: format!("dry, {sachets}"),
            method: method::pitch(vec![
                ("start", gravity(whole.og)),
                ("volume", units::volume(whole.volume_l, units)),
                (
                    "must temperature",
                    recipe
                        .temperature_c
                        .map_or("not planned".to_owned(), |t| units::temperature(t, units)),
                ),
            ]),
        });
    }
    if let Some(package) = &numbers.package {
        notes.push(Note {
            label: "to bottle",
            strong: units::volume(package.litres, units),
            words: match &numbers.vessel {
                Some(fit) => format!(
                    "after lees and losses, {} bottles of 0.75 L; the vessel wants {} to the brim",
                    package.bottles.first().map_or(0, |bottles| bottles.count),
                    units::volume(fit.brim_wanted_l, units)
                ),
                None => String::new(),
            },
            method: method::bottles(vec![
                ("finished", units::volume(finished.volume_l, units)),
                ("kept back", units::volume(package.losses_l, units)),
            ]),
        });
    }
    if let Some(style) = &numbers.style {
        let why = [&style.family, &style.strength, &style.sweetness];
        let why: Vec<&str> = why.iter().filter_map(|word| reason(word.rule)).collect();
        notes.push(Note {
            label: "style",
            strong: super::family_words(numbers),
            words: why.join("; "),
            method: method::style(vec![
                ("strength", strength(finished.abv_percent)),
                ("end", gravity(finished.fg)),
            ]),
        });
    }
    let costs: Option<f64> = numbers.ingredients.iter().map(|line| line.cost).sum();
    if let Some(cost) = costs.filter(|cost| *cost > 0.0) {
        let each = numbers
            .package
            .as_ref()
            .and_then(|package| package.cost_per_bottle);
        notes.push(Note {
            label: "cost",
            strong: units::fixed(cost, 2),
            words: each.map_or(String::new(), |each| {
                format!("in all, {} a bottle of 0.75 L", units::fixed(each, 2))
            }),
            method: method::cost(vec![("ingredients", numbers.ingredients.len().to_string())]),
        });
    }
    notes
}

fn aim_words(recipe: &Recipe) -> String {
    use crate::engine::recipe::Aim;
    let target = |target: Target| match target {
        Target::Abv(abv) => strength(abv),
        Target::Gravity(sg) => units::gravity(sg),
    };
    match recipe.aim {
        Aim::Target(aim) => target(aim),
        Aim::Amounts => "the amounts given".to_owned(),
        Aim::UseHoney { target: aim, .. } => format!("{} from the honey one has", target(aim)),
    }
}

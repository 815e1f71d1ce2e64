//! Ranges of a recipe document: what a number may be, wherever the document came from.

use super::problem::{Arguments, Problem, ProblemCode};
use super::recipe::{
    Aim, Amount, Composition, Finish, Ingredient, Kind, Recipe, Target, When, YeastWhen,
};

/// Lowest and highest value of a quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Lowest.
    pub low: f64,
    /// Highest.
    pub high: f64,
}

/// Volume of a must or vessel, litres.
pub const VOLUME_L: Range = Range {
    low: 0.05,
    high: 100_000.0,
};
/// Aimed strength, % ABV.
pub const ABV_PERCENT: Range = Range {
    low: 0.5,
    high: 25.0,
};
/// Aimed starting gravity, SG. What is above the strongest sugar solution is for the solver to name.
pub const GRAVITY_SG: Range = Range {
    low: 1.001,
    high: 1.5,
};
/// Aimed final gravity, SG.
pub const FINAL_SG: Range = Range {
    low: 0.975,
    high: 1.2,
};
/// Mass of an ingredient, kg.
pub const MASS_KG: Range = Range {
    low: 0.0,
    high: 200_000.0,
};
/// Mass of the honey that a volume is solved from, kg.
pub const HONEY_KG: Range = Range {
    low: 0.001,
    high: 200_000.0,
};
/// Volume of an ingredient, litres.
pub const INGREDIENT_L: Range = Range {
    low: 0.0,
    high: 200_000.0,
};
/// Dose, g/L.
pub const DOSE_G_PER_L: Range = Range {
    low: 0.0,
    high: 1_500.0,
};
/// Parts by mass.
pub const SHARE: Range = Range {
    low: 0.0,
    high: 1_000_000.0,
};
/// Mass fraction.
pub const FRACTION: Range = Range {
    low: 0.0,
    high: 1.0,
};
/// Density of an ingredient, kg/L.
pub const DENSITY: Range = Range {
    low: 0.3,
    high: 3.0,
};
/// Nitrogen of an ingredient, mg/kg.
pub const YAN_MG_PER_KG: Range = Range {
    low: 0.0,
    high: 220_000.0,
};
/// Acidity of an ingredient as tartaric, g/kg; negative neutralises.
pub const TA_G_PER_KG: Range = Range {
    low: -3_000.0,
    high: 3_000.0,
};
/// Standard deviation of a mass fraction.
pub const SPREAD: Range = Range {
    low: 0.0,
    high: 0.5,
};
/// Price of a kilogram.
pub const PRICE: Range = Range {
    low: 0.0,
    high: 1_000_000.0,
};
/// Tolerance of a yeast, % ABV.
pub const TOLERANCE: Range = Range {
    low: 1.0,
    high: 25.0,
};
/// Temperature, °C.
pub const TEMPERATURE_C: Range = Range {
    low: -5.0,
    high: 60.0,
};
/// Days of contact.
pub const DAYS: Range = Range {
    low: 0.0,
    high: 3_650.0,
};
/// Nitrogen of a feed, mg per g.
pub const FEED_MG_PER_G: Range = Range {
    low: 0.0,
    high: 1_000.0,
};
/// Headspace as part of the brim volume.
pub const HEADSPACE: Range = Range {
    low: 0.0,
    high: 0.9,
};
/// Ion, mg/L, or salt, g.
pub const WATER: Range = Range {
    low: 0.0,
    high: 100_000.0,
};
/// How far the mass fractions of a composition may miss 1.
pub const COMPOSITION_TOLERANCE: f64 = 0.002;

impl Range {
    /// Whether a value is finite and within.
    pub fn holds(self, value: f64) -> bool {
        value.is_finite() && value >= self.low && value <= self.high
    }

    /// The problem of a value outside.
    pub fn problem(self, value: f64, path: impl Into<String>) -> Problem {
        let arguments = Arguments::none()
            .with("given", value)
            .with("low", self.low)
            .with("high", self.high);
        Problem::new(ProblemCode::OutOfRange, path, arguments)
    }
}

struct Checker {
    problems: Vec<Problem>,
}

impl Checker {
    fn number(&mut self, value: f64, range: Range, path: impl FnOnce() -> String) {
        if !range.holds(value) {
            self.problems.push(range.problem(value, path()));
        }
    }

    fn optional(&mut self, value: Option<f64>, range: Range, path: impl FnOnce() -> String) {
        if let Some(value) = value {
            self.number(value, range, path);
        }
    }

    fn push(&mut self, code: ProblemCode, path: impl Into<String>, arguments: Arguments) {
        self.problems.push(Problem::new(code, path, arguments));
    }
}

/// Every number of the document against its range, every composition against its sum.
/// An empty answer means that the document can be formulated.
pub fn check(recipe: &Recipe) -> Vec<Problem> {
    let mut checker = Checker {
        problems: Vec::new(),
    };
    aim_and_finish(&mut checker, recipe);
    let filler = filler_index(recipe);
    if let (Some(name), None) = (&recipe.filler, filler) {
        checker.push(
            ProblemCode::FillerUnknown,
            "/filler",
            Arguments::none().with("name", name.as_str()),
        );
    }
    for (index, item) in recipe.ingredients.iter().enumerate() {
        ingredient(&mut checker, item, index, filler == Some(index));
    }
    yeasts(&mut checker, recipe);
    for (index, feed) in recipe.nutrients.iter().enumerate() {
        let path = |key: &str| format!("/nutrients/{index}/{key}");
        checker.number(feed.ammonium_yan_mg_per_g, FEED_MG_PER_G, || {
            path("ammonium_yan_mg_per_g")
        });
        checker.number(feed.organic_yan_mg_per_g, FEED_MG_PER_G, || {
            path("organic_yan_mg_per_g")
        });
        checker.optional(feed.max_g_per_l, DOSE_G_PER_L, || path("max_g_per_l"));
        checker.optional(feed.price_per_kg, PRICE, || path("price_per_kg"));
        checker.optional(feed.share, FRACTION, || path("share"));
    }
    checker.optional(recipe.temperature_c, TEMPERATURE_C, || {
        "/temperature_c".to_owned()
    });
    if let Some(vessel) = &recipe.vessel {
        checker.number(vessel.brim_l, VOLUME_L, || "/vessel/brim_l".to_owned());
        checker.optional(vessel.headspace_fraction, HEADSPACE, || {
            "/vessel/headspace_fraction".to_owned()
        });
        checker.optional(vessel.loss_l, INGREDIENT_L, || "/vessel/loss_l".to_owned());
    }
    if let Some(report) = &recipe.water_report {
        for (group, values) in [("ions", &report.ions), ("salts", &report.salts)] {
            for (name, value) in values {
                checker.number(*value, WATER, || {
                    super::json::pointer(&format!("/water_report/{group}"), name)
                });
            }
        }
    }
    checker.problems
}

/// The ingredient that fills up in place of water: the first of that name in the must.
pub fn filler_index(recipe: &Recipe) -> Option<usize> {
    let name = recipe.filler.as_deref()?;
    recipe
        .ingredients
        .iter()
        .position(|item| item.name == name && item.when == When::Must)
}

fn aim_and_finish(checker: &mut Checker, recipe: &Recipe) {
    let target = match recipe.aim {
        Aim::Target(target) => Some(target),
        Aim::Amounts => None,
        Aim::UseHoney { kg, target } => {
            checker.number(kg, HONEY_KG, || "/aim/use_honey_kg".to_owned());
            Some(target)
        }
    };
    match target {
        Some(Target::Abv(abv)) => {
            checker.number(abv, ABV_PERCENT, || "/aim/abv_percent".to_owned())
        }
        Some(Target::Gravity(sg)) => {
            checker.number(sg, GRAVITY_SG, || "/aim/gravity_sg".to_owned())
        }
        None => {}
    }
    match recipe.finish {
        Finish::Dry => {}
        Finish::SweetenTo(sg) => {
            checker.number(sg, FINAL_SG, || "/finish/sweeten_to_sg".to_owned())
        }
        Finish::ArrestTo(sg) => {
            checker.number(sg, FINAL_SG, || "/finish/arrest_to_sg".to_owned());
            if matches!(target, Some(Target::Gravity(_))) {
                checker.push(
                    ProblemCode::FinishOverdetermined,
                    "/finish/arrest_to_sg",
                    Arguments::none(),
                );
            }
        }
    }
    match (recipe.volume_l, recipe.aim) {
        (_, Aim::UseHoney { .. }) => {}
        (Some(volume), _) => checker.number(volume, VOLUME_L, || "/volume_l".to_owned()),
        (None, _) => {
            checker.push(
                ProblemCode::Missing,
                "/volume_l",
                Arguments::none().with("key", "volume_l"),
            );
        }
    }
}

fn ingredient(checker: &mut Checker, item: &Ingredient, index: usize, fills: bool) {
    let path = |key: &str| format!("/ingredients/{index}/{key}");
    match item.amount {
        Some(Amount::Share(share)) => checker.number(share, SHARE, || path("amount/share")),
        Some(Amount::Kg(kg)) => checker.number(kg, MASS_KG, || path("amount/kg")),
        Some(Amount::Litres(litres)) => checker.number(litres, INGREDIENT_L, || path("amount/l")),
        Some(Amount::GramsPerLitre(dose)) => {
            checker.number(dose, DOSE_G_PER_L, || path("amount/g_per_l"))
        }
        None if fills => {}
        None => checker.push(
            ProblemCode::Missing,
            path("amount"),
            Arguments::none().with("key", "amount"),
        ),
    }
    checker.optional(item.days, DAYS, || path("days"));
    checker.optional(item.price_per_kg, PRICE, || path("price_per_kg"));
    match &item.composition {
        Some(parts) => composition(checker, parts, &path("composition")),
        None if fills || needs_composition(item.kind) => {
            let arguments = Arguments::none().with("name", item.name.as_str());
            checker.push(
                ProblemCode::CompositionNeeded,
                path("composition"),
                arguments,
            );
        }
        None => {}
    }
}

/// Whether an ingredient of this kind makes no sense without a composition.
fn needs_composition(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Honey
            | Kind::Fruit
            | Kind::Juice
            | Kind::Syrup
            | Kind::Sugar
            | Kind::Malt
            | Kind::Sweetener
    )
}

/// The problems of a composition that stands at `place`.
pub(super) fn composition_problems(parts: &Composition, place: &str) -> Vec<Problem> {
    let mut checker = Checker {
        problems: Vec::new(),
    };
    composition(&mut checker, parts, place);
    checker.problems
}

fn composition(checker: &mut Checker, parts: &Composition, place: &str) {
    let path = |key: &str| format!("{place}/{key}");
    let before = checker.problems.len();
    checker.number(parts.water, FRACTION, || path("water"));
    checker.number(parts.fermentable, FRACTION, || path("fermentable"));
    checker.number(parts.unfermentable, FRACTION, || path("unfermentable"));
    checker.number(parts.insoluble, FRACTION, || path("insoluble"));
    let sum = parts.water + parts.fermentable + parts.unfermentable + parts.insoluble;
    // The slack keeps a sum of exactly 0.998 or 1.002 within, whatever the decimal fractions cost.
    if checker.problems.len() == before && (sum - 1.0).abs() > COMPOSITION_TOLERANCE + 1e-9 {
        let arguments = Arguments::none().with("sum", sum);
        checker.push(ProblemCode::CompositionSum, place, arguments);
    }
    checker.optional(parts.yan_mg_per_kg, YAN_MG_PER_KG, || path("yan_mg_per_kg"));
    checker.optional(parts.ta_g_per_kg, TA_G_PER_KG, || path("ta_g_per_kg"));
    checker.optional(parts.density_kg_per_l, DENSITY, || path("density_kg_per_l"));
    if let Some(spread) = &parts.spread {
        checker.optional(spread.water, SPREAD, || path("spread/water"));
        checker.optional(spread.fermentable, SPREAD, || path("spread/fermentable"));
    }
}

fn yeasts(checker: &mut Checker, recipe: &Recipe) {
    if !recipe
        .yeasts
        .iter()
        .any(|yeast| yeast.when == YeastWhen::Pitch)
    {
        checker.push(ProblemCode::YeastMissing, "/yeasts", Arguments::none());
    }
    for (index, yeast) in recipe.yeasts.iter().enumerate() {
        let path = |key: &str| format!("/yeasts/{index}/{key}");
        checker.number(yeast.tolerance_abv_percent, TOLERANCE, || {
            path("tolerance_abv_percent")
        });
        checker.optional(
            yeast.attenuation_percent,
            Range {
                low: 0.0,
                high: 110.0,
            },
            || path("attenuation_percent"),
        );
        if let Some([low, high]) = yeast.temperature_c {
            checker.number(low, TEMPERATURE_C, || path("temperature_c/0"));
            checker.number(high, TEMPERATURE_C, || path("temperature_c/1"));
            if low > high {
                let arguments = Arguments::none().with("low", low).with("high", high);
                checker.push(ProblemCode::RangeReversed, path("temperature_c"), arguments);
            }
        }
    }
}

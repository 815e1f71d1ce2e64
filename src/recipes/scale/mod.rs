//! A recipe made to fit: as much as a vessel takes, as fills the next one, or as leaves the bottles wanted; weighed out for each.

mod amounts;
pub mod asked;
pub mod batch;
mod choice;
pub mod fit;
pub mod pages;
pub mod weigh;
mod words;

use crate::engine::chain::{Batch, Chain};
use crate::engine::check::VOLUME_L;
use crate::engine::log::house::Figure;
use crate::engine::problem::Problem;
use crate::engine::recipe::{Aim, Amount, Recipe, When};
use crate::engine::scaling::{Rounded, scale, with_amounts};
use crate::engine::vessel::unpressed_fruit_kg;
use crate::engine::{Formulation, Settings, formulate, recipe};
use crate::recipes::for_a_day::making::rounded_up;
use crate::recipes::numbers::shopping::jar_kg;
use crate::web::units::{self, IMPERIAL_GALLON_L, US_GALLON_L, Units};

pub use choice::{Choice, ClubLoss, choices};
use weigh::{Weighing, honey_kg, weigh};

/// So many of one vessel.
pub type Several = (u32, Choice);

/// What decides how much is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Goal {
    /// As much as the first vessels take.
    FillFirst,
    /// As fills the later ones to the neck.
    FillLater,
    /// So many bottles of so many litres.
    Bottles(i32, f64),
    /// So much must, litres.
    Must(f64),
}

/// How the honey is measured out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HoneyBy {
    /// On the scale.
    Weight,
    /// Whole jars of so many kilograms, or as shops sell it; the volume stays, and the strength follows.
    Jars(Option<f64>),
    /// Whole jars; the strength stays, and the volume follows.
    JarsAtStrength(Option<f64>),
}

/// What is wished.
#[derive(Clone, Debug, PartialEq)]
pub struct Wish {
    pub first: Vec<Several>,
    pub later: Option<Several>,
    pub goal: Goal,
    pub honey: HoneyBy,
    /// What stays behind by the club's own batches, where that was taken in place of the book's.
    pub club_loss: Option<Figure>,
}

/// The part of a batch that goes into one vessel.
#[derive(Clone, Debug)]
pub struct Portion {
    /// In how many such vessels, and in which; nothing where none was chosen.
    pub vessel: Option<Several>,
    /// Must in one of them, litres.
    pub volume_l: f64,
    pub document: Recipe,
    pub rounded: Rounded,
}

impl Portion {
    /// How many there are of it.
    pub fn count(&self) -> u32 {
        self.vessel.as_ref().map_or(1, |(count, _)| *count)
    }
}

/// A recipe made to fit.
#[derive(Clone, Debug)]
pub struct Made {
    pub wish: Wish,
    /// Must in all, litres.
    pub volume_l: f64,
    /// Litres of this must that the first vessels take, where any were chosen.
    pub takes_l: Option<f64>,
    /// What this must wants to the brim in one vessel with the usual headspace, litres.
    pub brim_wanted_l: f64,
    pub chain: Chain,
    /// The recipe at that volume, its aim as it was.
    pub document: Recipe,
    pub portions: Vec<Portion>,
    /// The recipe with what is weighed out in all, and what the engine makes of it.
    pub given: Recipe,
    pub numbers: Formulation,
    /// How many jars of honey of how many kilograms, where it is measured in them.
    pub jars: Option<(f64, f64)>,
}

/// Why it cannot be made so.
#[derive(Clone, Debug, PartialEq)]
pub enum Cannot {
    /// The recipe does not come out.
    Problems(Vec<Problem>),
    /// The fruit keeps all of it back.
    FruitKeepsAll,
    /// More or less than any recipe can be, litres.
    OutOfRange(f64),
    /// Whole jars at the same strength, and more than one honey in it.
    SeveralHoneys,
}

/// What the recipe says of itself at its own volume.
struct Home {
    numbers: Formulation,
    volume_l: f64,
    /// Litres of finished mead for each litre of must.
    grows: f64,
    fruit_kg_per_l: f64,
}

fn at_home(own: &Recipe, settings: &Settings) -> Result<Home, Cannot> {
    let bare = Recipe {
        vessel: None,
        ..own.clone()
    };
    let numbers = formulate(&bare, settings);
    match (&numbers.whole, &numbers.finished) {
        (Some(whole), Some(finished)) if numbers.problems.is_empty() => Ok(Home {
            volume_l: whole.volume_l,
            grows: finished.volume_l / whole.volume_l,
            fruit_kg_per_l: unpressed_fruit_kg(own, &numbers) / finished.volume_l,
            numbers,
        }),
        _ => Err(Cannot::Problems(numbers.problems)),
    }
}

/// Litres of this must that such a vessel takes with room for its foam: everything in it grows with its volume.
pub fn takes_l(own: &Recipe, vessel: &Choice, settings: &Settings) -> Option<f64> {
    let numbers = formulate(
        &Recipe {
            vessel: Some(vessel.for_recipe()),
            ..own.clone()
        },
        settings,
    );
    let (whole, fit) = (numbers.whole?, numbers.vessel?);
    let takes = whole.volume_l * vessel.brim_l / fit.brim_wanted_l;
    (takes.is_finite() && takes > 0.0).then_some(takes)
}

/// Down to what one would measure out, and no binary fraction of it.
fn rounded_down(litres: f64, units: Units) -> f64 {
    let (step, unit_l) = match units {
        Units::Metric => (0.1, 1.0),
        Units::Us => (0.05, US_GALLON_L),
        Units::Imperial => (0.05, IMPERIAL_GALLON_L),
    };
    let steps = (litres / unit_l / step + 1e-9).floor();
    let text = units::plain(steps * step, 2);
    match text.parse::<f64>() {
        Ok(typed) if typed > 0.0 => typed * unit_l,
        _ => litres,
    }
}

/// What stays behind when vessels are racked, where it was measured of each of them, litres in all.
fn measured(all: &[Several]) -> Option<f64> {
    let each = all
        .iter()
        .map(|(count, of)| of.loss_l.map(|loss| loss * f64::from(*count)));
    each.sum::<Option<f64>>().filter(|_| !all.is_empty())
}

fn batch_of(wish: &Wish, fruit_kg_per_l: f64) -> Batch {
    let count = |all: &[Several]| all.iter().map(|(count, _)| *count).sum::<u32>().max(1);
    let later: Vec<Several> = wish.later.iter().cloned().collect();
    Batch {
        fruit_kg_per_l,
        vessels: [count(&wish.first), count(&later)],
        racking_l: [measured(&wish.first), measured(&later)],
        loss_part: wish.club_loss.map(|loss| loss.median),
    }
}

/// Makes a recipe fit.
///
/// # Errors
/// Why it cannot be.
pub fn make(
    own: &Recipe,
    wish: &Wish,
    weighing: &Weighing,
    settings: &Settings,
    units: Units,
) -> Result<Made, Cannot> {
    let home = at_home(own, settings)?;
    let takes: Vec<f64> = wish
        .first
        .iter()
        .map(|(_, vessel)| takes_l(own, vessel, settings).unwrap_or(0.0))
        .collect();
    let counts = wish.first.iter().map(|(count, _)| f64::from(*count));
    let takes_in_all = counts.zip(&takes).map(|(count, takes)| count * takes).sum();
    let batch = batch_of(wish, home.fruit_kg_per_l);
    let of_chain = |chain: Option<Chain>| {
        let chain = chain.ok_or(Cannot::FruitKeepsAll)?;
        Ok(rounded_up(chain.finished_l / home.grows, units).0)
    };
    let mut volume_l = match wish.goal {
        Goal::FillFirst => rounded_down(takes_in_all, units),
        Goal::FillLater => {
            let later = wish.later.iter();
            let full = later.map(|(count, of)| f64::from(*count) * of.full_l());
            of_chain(batch.for_secondary(full.sum()))?
        }
        Goal::Bottles(count, size_l) => of_chain(batch.for_packaged(f64::from(count) * size_l))?,
        Goal::Must(litres) => litres,
    };
    let jars = whole_jars(own, &home, wish, &mut volume_l, units)?;
    if !VOLUME_L.holds(volume_l) {
        return Err(Cannot::OutOfRange(volume_l));
    }
    let mut document = scale(own, volume_l / home.volume_l);
    // As it is typed, without what dividing and multiplying leaves.
    document.volume_l = match own.aim {
        Aim::UseHoney { .. } => document.volume_l,
        Aim::Target(_) | Aim::Amounts => Some(volume_l),
    };
    document.vessel = match wish.first.as_slice() {
        [(1, one)] => Some(one.for_recipe()),
        _ => None,
    };
    document
        .typed
        .retain(|path, _| !path.starts_with("/vessel/"));
    let chain = batch.follow(volume_l * home.grows);
    if let Some(vessel) = &mut document.vessel
        && (batch.racking_l.iter().any(Option::is_some) || batch.loss_part.is_some())
    {
        vessel.loss_l = Some(chain.losses.total_l());
    }
    let portions = portions(&document, wish, &takes, weighing, settings, jars);
    let given = given(&document, &portions);
    let brim_wanted_l = home
        .numbers
        .vessel
        .as_ref()
        .map_or(volume_l, |fit| fit.brim_wanted_l / home.volume_l * volume_l);
    let mut numbers = formulate(&given, settings);
    if let Some(package) = &mut numbers.package {
        // Each vessel has losses of its own; a document knows one vessel.
        package.litres = chain.packaged_l;
        package.losses_l = chain.losses.total_l();
        for bottles in &mut package.bottles {
            let count = (chain.packaged_l / bottles.size_l + 1e-9).floor();
            bottles.count = count.clamp(0.0, 1e9) as u32;
        }
    }
    Ok(Made {
        wish: wish.clone(),
        volume_l,
        takes_l: (!wish.first.is_empty()).then_some(takes_in_all),
        brim_wanted_l,
        chain,
        numbers,
        given,
        document,
        portions,
        jars: jars.map(|jars| (jars.count, jars.kg)),
    })
}

/// Whole jars of honey.
#[derive(Clone, Copy)]
struct Jars {
    count: f64,
    /// In one of them.
    kg: f64,
    /// So many times what was solved.
    factor: f64,
}

/// How many whole jars it is; with the strength kept the volume moves.
fn whole_jars(
    own: &Recipe,
    home: &Home,
    wish: &Wish,
    volume_l: &mut f64,
    units: Units,
) -> Result<Option<Jars>, Cannot> {
    let honey = honey_kg(own, &home.numbers) / home.volume_l * *volume_l;
    let honeys = weigh::honeys_of_the_must(own).count();
    let (told, at_strength) = match wish.honey {
        HoneyBy::Weight => return Ok(None),
        HoneyBy::Jars(jar) => (jar, false),
        HoneyBy::JarsAtStrength(jar) => (jar, true),
    };
    let kg = told.unwrap_or_else(|| jar_kg(honey, units));
    match at_strength {
        _ if honeys == 0 || honey <= 0.0 => Ok(None),
        false => {
            let count = (honey / kg).round().max(1.0);
            let factor = count * kg / honey;
            Ok(Some(Jars { count, kg, factor }))
        }
        true if honeys > 1 => Err(Cannot::SeveralHoneys),
        true => {
            // What must fit is rounded down, what must be enough is rounded up.
            let count = match wish.goal {
                Goal::FillFirst => (honey / kg + 1e-9).floor(),
                Goal::Must(_) => (honey / kg).round(),
                Goal::FillLater | Goal::Bottles(..) => (honey / kg - 1e-9).ceil(),
            };
            let count = count.max(1.0);
            *volume_l *= count * kg / honey;
            let factor = 1.0;
            Ok(Some(Jars { count, kg, factor }))
        }
    }
}

/// The batch as it is shared out among the first vessels, in proportion to what each takes.
fn portions(
    document: &Recipe,
    wish: &Wish,
    takes: &[f64],
    weighing: &Weighing,
    settings: &Settings,
    jars: Option<Jars>,
) -> Vec<Portion> {
    let volume_l = formulate(document, settings)
        .whole
        .map_or(0.0, |whole| whole.volume_l);
    let portion = |vessel: Option<Several>, part: f64| {
        let mut own = scale(document, part);
        own.vessel = vessel.as_ref().map(|(_, of)| recipe::Vessel {
            loss_l: (of.loss_l.or(wish.club_loss.map(|loss| loss.median)))
                .and(document.vessel.as_ref())
                .and_then(|it| it.loss_l),
            ..of.for_recipe()
        });
        Portion {
            volume_l: volume_l * part,
            rounded: weigh(&own, settings, weighing, jars.map(|jars| jars.factor)),
            document: own,
            vessel,
        }
    };
    let counts = wish.first.iter().map(|(count, _)| f64::from(*count));
    let in_all: f64 = counts.zip(takes).map(|(count, takes)| count * takes).sum();
    match in_all > 0.0 {
        true => (wish.first.iter().zip(takes))
            .map(|(several, takes)| portion(Some(several.clone()), takes / in_all))
            .collect(),
        false => vec![portion(None, 1.0)],
    }
}

/// The recipe with what is weighed out for all portions together.
fn given(document: &Recipe, portions: &[Portion]) -> Recipe {
    let Some(first) = portions.first() else {
        return document.clone();
    };
    let mut sum = first.rounded.weighed.clone();
    for (at, line) in sum.ingredients.iter_mut().enumerate() {
        let of_portion =
            |portion: &Portion, what: &dyn Fn(&crate::engine::formulation::Line) -> Option<f64>| {
                let line = portion.rounded.weighed.ingredients.get(at)?;
                Some(what(line)? * f64::from(portion.count()))
            };
        let all = |what: &dyn Fn(&crate::engine::formulation::Line) -> Option<f64>| {
            let each = portions.iter().map(|portion| of_portion(portion, what));
            each.sum::<Option<f64>>()
        };
        (line.kg, line.litres) = (all(&|line| line.kg), all(&|line| line.litres));
    }
    if let Some(whole) = &mut sum.whole {
        let each = portions.iter().filter_map(|portion| {
            let whole = portion.rounded.weighed.whole.as_ref()?;
            Some(whole.volume_l * f64::from(portion.count()))
        });
        whole.volume_l = each.sum();
    }
    let mut given = with_amounts(document, &sum);
    if !matches!(document.aim, Aim::UseHoney { .. }) {
        given.volume_l = document.volume_l;
    }
    for item in &mut given.ingredients {
        if let Some(Amount::Kg(amount) | Amount::Litres(amount)) = &mut item.amount {
            *amount = tidy(*amount);
        }
    }
    given
}

/// Without what adding and dividing leaves: to a tenth of a milligram.
fn tidy(amount: f64) -> f64 {
    let tidied = (amount * 1e7).round() / 1e7;
    if tidied > 0.0 { tidied } else { amount }
}

/// What goes in while the must is mixed or ferments, and not later.
fn goes_in_at_first(when: When) -> bool {
    matches!(when, When::Must | When::Primary)
}

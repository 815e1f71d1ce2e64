//! How each number is reckoned: formula, this recipe's inputs, source, range, and what it leaves out.

mod added;
mod amounts;
mod doubt;
mod end;
mod fed;
mod kept;
mod start;
mod taste;
mod water;

use super::Reader;
use crate::engine::formulation::{Formulation, Line};
use crate::engine::recipe::{Amount, Recipe, When};
use crate::web::units::{self, Units};

/// What can be said of a way of reckoning without a recipe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MethodText {
    /// Its word in addresses.
    pub slug: &'static str,
    /// What the number is called.
    pub title: &'static str,
    /// What it says in a sentence or two.
    pub sentence: &'static str,
    /// The formula in plain signs, line by line.
    pub formula: &'static [&'static str],
    /// Where the relation and its figures come from.
    pub source: &'static str,
    /// Where it holds.
    pub range: &'static str,
    /// What it does not count: the hidden sources of error.
    pub leaves_out: &'static str,
}

/// What went in: names and values, in the member's units.
pub type Inputs = Vec<(String, String)>;

/// A number as a recipe has it: what is shown, and what went in.
pub(super) struct Shown {
    value: String,
    inputs: Inputs,
}

/// One way of reckoning, with this recipe's numbers in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Method {
    /// Its word in addresses and ids: the number's, or that of a line of what goes in.
    pub key: String,
    /// What the number is called here.
    pub title: String,
    pub text: &'static MethodText,
    /// The number as it is shown.
    pub value: String,
    pub inputs: Inputs,
}

/// What the inputs are read from.
#[derive(Clone, Copy)]
pub struct Material<'a> {
    pub recipe: &'a Recipe,
    /// As shown: with amounts that a scale can weigh, where they are.
    pub numbers: &'a Formulation,
    /// As solved.
    pub exact: &'a Formulation,
    pub reader: &'a Reader,
}

impl Material<'_> {
    fn units(&self) -> Units {
        self.reader.units
    }
}

macro_rules! numbers {
    ($($(#[$note:meta])* $name:ident = $text:expr, $shown:expr;)*) => {
        /// Every number that pages show.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Number { $($(#[$note])* $name,)* }

        impl Number {
            /// All of them.
            pub const ALL: &'static [Number] = &[$(Number::$name,)*];

            /// How it is reckoned, whatever the recipe.
            pub fn text(self) -> &'static MethodText {
                match self { $(Number::$name => &$text,)* }
            }

            /// The number as a recipe has it; `None` where it has none.
            fn shown(self, material: &Material<'_>) -> Option<Shown> {
                match self { $(Number::$name => $shown(material),)* }
            }
        }
    };
}

impl Number {
    /// Where a page that shows it tells how it is reckoned.
    pub fn href(self) -> String {
        format!("#method-{}", self.text().slug)
    }
}

/// A number that stands once for each line of what goes in has no value of its own.
fn line_by_line(_: &Material<'_>) -> Option<Shown> {
    None
}

numbers! {
    /// An amount that the aim decides.
    Solved = amounts::SOLVED, line_by_line;
    /// What fills up in place of water.
    Filler = amounts::FILLER, line_by_line;
    /// An amount as its maker wrote it.
    Weighed = added::WEIGHED, line_by_line;
    /// Litres as a weight.
    Litres = added::LITRES, line_by_line;
    /// So much for each litre.
    Dose = added::DOSE, line_by_line;
    /// What brings the mead to the gravity at the end.
    Sweetening = amounts::SWEETENING, line_by_line;
    /// Water to pour.
    Water = water::WATER, water::water;
    /// Where the must stands in its vessel.
    Mark = water::MARK, water::mark;
    /// What weighing to a kitchen scale does.
    Rounding = water::ROUNDING, water::rounding;
    /// Gravity with all sugar counted.
    Start = start::START, start::start;
    /// Gravity that a hydrometer shows before fruit has given its sugar.
    Read = start::READ, start::read;
    /// Where a third of the sugar is gone.
    Break = start::BREAK, start::one_third;
    /// Where ammonium is of no use any more.
    AmmoniumEnds = start::AMMONIUM_ENDS, start::ammonium_ends;
    /// Where the yeast's limit ends fermentation.
    YeastLimit = start::YEAST_LIMIT, start::yeast_limit;
    /// Gas given off.
    Gas = start::GAS, start::gas;
    /// Alcohol of the finished mead.
    Strength = end::STRENGTH, end::strength;
    /// Gravity of the finished mead.
    End = end::END, end::end;
    /// Gravity at which the first fermentation ends by itself.
    NaturalEnd = end::NATURAL_END, end::natural_end;
    /// Sugar left.
    Sweetness = end::SWEETNESS, end::sweetness;
    /// How far the numbers may lie from these.
    Spread = doubt::SPREAD, doubt::spread;
    /// Acidity, and sugar against it.
    Acidity = taste::ACIDITY, taste::acidity;
    /// What the water brings.
    Minerals = taste::MINERALS, taste::minerals;
    /// Nitrogen to feed.
    Feeding = fed::FEEDING, fed::feeding;
    /// Which feed, how much, when.
    Doses = fed::DOSES, fed::doses;
    /// Yeast to pitch.
    Yeast = fed::YEAST, fed::yeast;
    /// Water to wake it in.
    Waking = fed::WAKING, fed::waking;
    /// Room in the vessel.
    Vessel = kept::VESSEL, kept::vessel;
    /// Litres and bottles.
    Bottles = kept::BOTTLES, kept::bottles;
    /// What it costs.
    Cost = kept::COST, kept::cost;
    /// When it is good to drink.
    Ready = kept::READY, kept::ready;
    /// Words for its style.
    Style = kept::STYLE, kept::style;
}

/// All numbers in the order in which a maker meets them.
pub const GROUPS: &[(&str, &[Number])] = &[
    (
        "What goes in",
        &[
            Number::Solved,
            Number::Filler,
            Number::Weighed,
            Number::Litres,
            Number::Dose,
            Number::Sweetening,
            Number::Water,
            Number::Minerals,
            Number::Mark,
            Number::Rounding,
        ],
    ),
    (
        "Gravities on the way",
        &[
            Number::Start,
            Number::Read,
            Number::Break,
            Number::AmmoniumEnds,
            Number::YeastLimit,
            Number::NaturalEnd,
            Number::Gas,
        ],
    ),
    (
        "The finished mead",
        &[
            Number::Strength,
            Number::End,
            Number::Sweetness,
            Number::Acidity,
            Number::Spread,
            Number::Style,
        ],
    ),
    (
        "Yeast and feeding",
        &[
            Number::Yeast,
            Number::Waking,
            Number::Feeding,
            Number::Doses,
        ],
    ),
    (
        "Vessel, bottles, cost",
        &[Number::Vessel, Number::Bottles, Number::Ready, Number::Cost],
    ),
];

/// How a number of this recipe is reckoned; `None` where the recipe has no such number.
pub fn method(number: Number, material: &Material<'_>) -> Option<Method> {
    let text = number.text();
    let shown = number.shown(material)?;
    Some(Method {
        key: text.slug.to_owned(),
        title: text.title.to_owned(),
        text,
        value: shown.value,
        inputs: shown.inputs,
    })
}

/// Which way an amount is reckoned.
fn number_of_line(recipe: &Recipe, line: &Line) -> Number {
    let item = recipe.ingredients.get(line.index);
    match item.and_then(|item| item.amount) {
        _ if line.solved && line.when == When::Sweeten => Number::Sweetening,
        _ if line.solved && item.is_some_and(|item| Some(&item.name) == recipe.filler.as_ref()) => {
            Number::Filler
        }
        Some(Amount::Share(_)) => Number::Solved,
        Some(Amount::Kg(_)) => Number::Weighed,
        Some(Amount::Litres(_)) => Number::Litres,
        Some(Amount::GramsPerLitre(_)) => Number::Dose,
        None => Number::Filler,
    }
}

/// How the amount of a line is reckoned, by its place among what goes in; `None` where nothing is known of it.
pub fn of_line(at: usize, material: &Material<'_>) -> Option<Method> {
    let line = material.numbers.ingredients.get(at)?;
    let exact = material.exact.ingredients.get(at)?;
    exact.kg?;
    let number = number_of_line(material.recipe, line);
    let of = added::OfLine { line, exact };
    let shown = match number {
        Number::Filler => amounts::filler(material, &of),
        Number::Weighed => added::weighed(material, &of),
        Number::Litres => added::litres(material, &of),
        Number::Dose => added::dose(material, &of),
        Number::Sweetening => amounts::sweetening(material, &of),
        _ => amounts::solved(material, &of),
    };
    Some(Method {
        key: format!("amount-{}", at + 1),
        title: match number {
            Number::Sweetening => format!("{}, to sweeten", line.name),
            _ => line.name.clone(),
        },
        text: number.text(),
        value: shown.value,
        inputs: shown.inputs,
    })
}

/// Every number of this recipe: what goes in line by line, then the others in the order of [`GROUPS`].
pub fn all(material: &Material<'_>) -> Vec<Method> {
    let lines = (0..material.numbers.ingredients.len()).filter_map(|at| of_line(at, material));
    let others = GROUPS
        .iter()
        .flat_map(|(_, numbers)| numbers.iter())
        .filter_map(|number| method(*number, material));
    lines.chain(others).collect()
}

/// The method of a key.
pub fn by_key(key: &str, material: &Material<'_>) -> Option<Method> {
    match key.strip_prefix("amount-") {
        Some(place) => of_line(place.parse::<usize>().ok()?.checked_sub(1)?, material),
        None => {
            let number = Number::ALL
                .iter()
                .find(|number| number.text().slug == key)?;
            method(*number, material)
        }
    }
}

/// A list of inputs from pairs.
fn inputs<const N: usize>(pairs: [(&str, String); N]) -> Inputs {
    pairs
        .into_iter()
        .map(|(name, value)| (name.to_owned(), value))
        .collect()
}

/// A mass that can be reckoned with: "5.1172 kg", "81.25 g"; "11.2815 lb (5.1172 kg)".
fn mass(kg: f64, units: Units) -> String {
    let metric = match kg.abs() {
        size if size < 1.0 => format!("{} g", units::plain(kg * 1000.0, 2)),
        _ => format!("{} kg", units::plain(kg, 4)),
    };
    match units {
        Units::Metric => metric,
        Units::Us | Units::Imperial => format!("{} ({metric})", units::mass(kg, units)),
    }
}

/// A volume that can be reckoned with: "13.184 L"; "3.48 gal (13.184 L)".
fn volume(litres: f64, units: Units) -> String {
    let metric = match litres.abs() {
        size if size < 1.0 => format!("{} ml", units::plain(litres * 1000.0, 1)),
        _ => format!("{} L", units::plain(litres, 3)),
    };
    match units {
        Units::Metric => metric,
        Units::Us | Units::Imperial => format!("{} ({metric})", units::volume(litres, units)),
    }
}

/// A gravity that can be reckoned with.
fn gravity(sg: f64) -> String {
    units::fixed(sg, 5)
}

/// A strength that can be reckoned with.
fn strength(abv: f64) -> String {
    format!("{} %", units::fixed(abv, 2))
}

/// Density of a liquid of that gravity, kg/L.
fn density(sg: f64) -> String {
    format!("{} kg/L", units::fixed(sg * WATER_KG_PER_L, 5))
}

/// Density of water at 20 °C, the denominator of every gravity.
const WATER_KG_PER_L: f64 = crate::engine::density::WATER_20 / 1000.0;

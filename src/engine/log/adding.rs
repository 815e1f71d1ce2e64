//! What goes into the vessel: honey and its like, water, mead, acid, sulfite, sorbate.

use super::entry::{Addition, Entry, What, Why};
use super::question::QuestionCode;
use super::replay::Walk;
use super::start::{FERMENTABLE_PART, liquid_of_reading};
use crate::engine::balance::Liquid;
use crate::engine::density::{WATER_20, honey_density, sucrose_density_20};
use crate::engine::numeric::between;
use crate::engine::prepare::dissolved;
use crate::engine::problem::Arguments;
use crate::engine::recipe::{Composition, Kind};
use crate::engine::stoichiometry::{SO2_PER_POTASSIUM_METABISULFITE, SORBIC_ACID_PER_SORBATE};

impl Walk<'_> {
    /// Something goes in.
    pub(super) fn add(&mut self, entry: &Entry, addition: &Addition) {
        let named = || Arguments::none().with("name", addition.name.as_str());
        if addition.why == Some(Why::Stabilise) || addition.what == What::Sorbate {
            if !self.stabilised {
                self.before_stabilising = Some(self.vat.clone());
            }
            self.stabilised = true;
            self.marks.stabilised = self.marks.stabilised.or(Some(entry.hours));
        }
        let liquid = liquid_of(addition);
        let known = liquid.is_some();
        let liquid = liquid.unwrap_or_default();
        if !known && brings_liquid(addition.what) {
            self.ask(entry, QuestionCode::CompositionUnknown, named());
        }
        if addition.what == What::Fruit {
            self.vat.steep(liquid, entry.hours);
            self.vat.fruit_kg += mass_kg(addition).unwrap_or(0.0);
        } else {
            self.vat.pour(liquid);
        }
        self.flows.added = self.flows.added + liquid;
        if addition.why == Some(Why::Prime) && self.was_stabilised() {
            self.ask(entry, QuestionCode::PrimedThoughStabilised, named());
        }
        self.dissolve(addition);
        if addition.why == Some(Why::Sweeten) {
            if liquid.solids_kg() <= 0.0 {
                if known || !brings_liquid(addition.what) {
                    self.ask(entry, QuestionCode::NothingToSweetenWith, named());
                }
            } else if self.fermenting && !self.stabilised && liquid.sugar_kg > 0.0 {
                let volume_l = (self.vat.liquid + self.vat.in_fruit()).state().volume_l;
                let arguments = named().with("sugar_g_per_l", 1000.0 * liquid.sugar_kg / volume_l);
                self.ask(entry, QuestionCode::SweetenedBeforeStabilising, arguments);
            }
        }
    }

    /// Whether it was stabilised at any time: yeast that is pitched afterwards takes no sorbate out.
    pub(super) fn was_stabilised(&self) -> bool {
        self.start.stabilised || self.marks.stabilised.is_some() || self.vat.sorbic_mg > 0.0
    }

    /// Acid, sulfur dioxide and sorbic acid that it brings.
    fn dissolve(&mut self, addition: &Addition) {
        let volume_l = self.vat.volume_l();
        let acid_g = match (addition.ta_change_g_per_l, &addition.composition) {
            (Some(change), _) => change * self.vat.with_fruit_l(),
            (None, Some(composition)) => {
                composition.ta_g_per_kg.unwrap_or(0.0) * mass_kg(addition).unwrap_or(0.0)
            }
            (None, None) => 0.0,
        };
        self.vat.acid_g = self.vat.acid_g.map(|grams| (grams + acid_g).max(0.0));
        let salt_g = mass_kg(addition).unwrap_or(0.0) * 1000.0;
        self.vat.so2_mg += match (addition.so2_mg_per_l, addition.what) {
            (Some(mg_per_l), _) => mg_per_l * volume_l,
            (None, What::Sulfite) => 1000.0 * salt_g * SO2_PER_POTASSIUM_METABISULFITE,
            _ => 0.0,
        };
        self.vat.sorbic_mg += match (addition.sorbic_mg_per_l, addition.what) {
            (Some(mg_per_l), _) => mg_per_l * volume_l,
            (None, What::Sorbate) => 1000.0 * salt_g * SORBIC_ACID_PER_SORBATE,
            _ => 0.0,
        };
    }
}

/// Whether an addition of this kind is nothing without its amount and composition.
fn brings_liquid(what: What) -> bool {
    matches!(
        what,
        What::Honey | What::Sugar | What::Fruit | What::Juice | What::Water | What::Mead
    )
}

/// Its dissolved parts, kg; `None` where amount or composition are not known.
fn liquid_of(addition: &Addition) -> Option<Liquid> {
    match addition.what {
        What::Water => Some(Liquid::water(mass_kg(addition)?)),
        What::Mead => {
            let (sg, abv_percent) = (addition.sg?, addition.abv_percent?);
            let litres = addition
                .litres
                .or_else(|| Some(mass_kg(addition)? / (sg * WATER_20 / 1000.0)))?;
            let liquid = liquid_of_reading(litres, sg, abv_percent, 1.0 - FERMENTABLE_PART)?;
            Some(match addition.sugar_g_per_l {
                Some(sugar) => with_sugar(liquid, sugar * litres / 1000.0),
                None => liquid,
            })
        }
        _ => {
            let composition = addition.composition.as_ref()?;
            Some(dissolved(Kind::Other, composition) * mass_kg(addition)?)
        }
    }
}

/// The same liquid with so much of its solids sugar that yeast can use, kg.
fn with_sugar(liquid: Liquid, sugar_kg: f64) -> Liquid {
    let solids = liquid.solids_kg();
    let sugar_kg = between(sugar_kg, 0.0, solids.max(0.0));
    Liquid {
        sugar_kg,
        extract_kg: solids - sugar_kg,
        ..liquid
    }
}

/// How much of it, kg; of litres by the density of its composition, else of water.
fn mass_kg(addition: &Addition) -> Option<f64> {
    let by_volume = |litres: f64| {
        let density = match &addition.composition {
            Some(composition) => density(addition.what, composition),
            None => WATER_20 / 1000.0,
        };
        litres * density
    };
    addition
        .kg
        .or_else(|| addition.grams.map(|grams| grams / 1000.0))
        .or_else(|| addition.litres.map(by_volume))
}

/// kg/L at 20 °C.
fn density(what: What, composition: &Composition) -> f64 {
    composition.density_kg_per_l.unwrap_or_else(|| {
        let solids = composition.fermentable + composition.unfermentable;
        let all = composition.water + solids;
        let fraction = if all > 0.0 { solids / all } else { 0.0 };
        let density = match what {
            What::Honey => honey_density(fraction),
            _ => sucrose_density_20(fraction),
        };
        density / 1000.0
    })
}

//! What is in the vessel: its liquid, the sugar that became alcohol, fruit that still holds sugar, and what was dissolved in it.

use super::start::Start;
use crate::engine::balance::{
    BY_PRODUCTS_PER_SUGAR, ETHANOL_PER_SUGAR, Liquid, ferment, ferment_to_gravity,
};

/// Hours in which fruit gives its sugar, evenly: 7 to 10 days (common practice, no published source).
pub const FRUIT_OUT_H: f64 = 192.0;

/// Less than this is nothing, L.
const NOTHING_L: f64 = 1e-9;

/// Fruit, or whatever joins over days.
#[derive(Clone, Copy, Debug)]
struct Fruit {
    /// What it still holds, kg.
    held: Liquid,
    /// The part it still holds, 1 to 0.
    part: f64,
    since_hours: f64,
}

/// What is in the vessel.
#[derive(Clone, Debug, Default)]
pub(super) struct Vat {
    pub liquid: Liquid,
    /// Sugar of this liquid that has fermented, kg.
    pub consumed_kg: f64,
    fruit: Vec<Fruit>,
    /// Solid fruit, kg: keeps some back at the next racking.
    pub fruit_kg: f64,
    /// Acid as tartaric, g.
    pub acid_g: Option<f64>,
    pub so2_mg: f64,
    pub sorbic_mg: f64,
    /// What was there before the last was taken.
    emptied: Option<Box<Vat>>,
}

/// Why a gravity cannot be this liquid's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Unreachable {
    /// Even unfermented it is lighter: its gravity then.
    Above(f64),
    /// Even with all its solids fermented it is heavier: its gravity then.
    Below(f64),
}

impl Vat {
    pub fn new(start: &Start) -> Self {
        let mut vat = Vat {
            fruit_kg: start.fruit_kg,
            ..Vat::default()
        };
        vat.pour(start.must);
        vat.steep(start.later, 0.0);
        vat.acid_g = start.ta_g_per_l.map(|ta| ta * vat.with_fruit_l());
        vat.so2_mg = start.total_so2_mg_per_l * vat.volume_l();
        vat.sorbic_mg = start.sorbic_mg_per_l * vat.volume_l();
        vat
    }

    /// Litres with what fruit still holds: acid is counted in all of it.
    pub fn with_fruit_l(&self) -> f64 {
        (self.liquid + self.in_fruit()).state().volume_l
    }

    /// Titratable acidity as tartaric, g/L.
    pub fn ta_g_per_l(&self) -> Option<f64> {
        let litres = self.with_fruit_l();
        self.acid_g
            .filter(|_| litres > 0.0)
            .map(|grams| grams / litres)
    }

    pub fn volume_l(&self) -> f64 {
        self.liquid.state().volume_l
    }

    /// Nothing is left, and something was.
    pub fn before_it_was_empty(&self) -> &Vat {
        match &self.emptied {
            Some(before) if self.volume_l() <= NOTHING_L => before,
            _ => self,
        }
    }

    /// A liquid joins. Alcohol that it brings counts as fermented of its own sugar.
    pub fn pour(&mut self, liquid: Liquid) {
        self.liquid = self.liquid + liquid;
        let by_products = liquid.extract_kg / BY_PRODUCTS_PER_SUGAR;
        // Spirits bring alcohol without what its sugar leaves: it cannot be taken back.
        self.consumed_kg += (liquid.ethanol_kg / ETHANOL_PER_SUGAR).min(by_products);
    }

    /// What gives its liquid over days.
    pub fn steep(&mut self, held: Liquid, since_hours: f64) {
        if held.mass_kg() > 0.0 {
            self.fruit.push(Fruit {
                held,
                part: 1.0,
                since_hours,
            });
        }
    }

    /// Fruit gives what has come out by then.
    pub fn release(&mut self, hours: f64) {
        let mut out = Liquid::default();
        for fruit in &mut self.fruit {
            let part = (1.0 - (hours - fruit.since_hours) / FRUIT_OUT_H).clamp(0.0, 1.0);
            if part < fruit.part {
                let stays = fruit.held * (part / fruit.part);
                out = out + (fruit.held + stays * -1.0);
                fruit.held = stays;
                fruit.part = part;
            }
        }
        self.fruit.retain(|fruit| fruit.part > 0.0);
        self.liquid = self.liquid + out;
    }

    /// What fruit still holds.
    pub fn in_fruit(&self) -> Liquid {
        self.fruit.iter().map(|fruit| fruit.held).sum()
    }

    /// Fruit gives all it holds.
    pub fn release_all(&mut self) {
        self.release(f64::INFINITY);
    }

    /// Fruit is taken out with what it holds.
    pub fn take_out_fruit(&mut self) -> Liquid {
        let held = self.in_fruit();
        self.fruit.clear();
        self.fruit_kg = 0.0;
        held
    }

    /// A share of the liquid leaves, 0 to 1; fruit stays.
    pub fn take(&mut self, share: f64) -> Liquid {
        let share = share.clamp(0.0, 1.0);
        let taken = self.liquid * share;
        if share >= 1.0 && self.volume_l() > NOTHING_L {
            let mut before = self.clone();
            before.emptied = None;
            self.emptied = Some(Box::new(before));
        }
        self.scale(1.0 - share);
        taken
    }

    /// A share of liquid and fruit leaves, 0 to 1; all of that liquid, with what its fruit holds.
    pub fn part(&mut self, share: f64) -> Liquid {
        let share = share.clamp(0.0, 1.0);
        let in_fruit = self.in_fruit() * share;
        let taken = self.take(share);
        for fruit in &mut self.fruit {
            fruit.held = fruit.held * (1.0 - share);
        }
        self.fruit_kg *= 1.0 - share;
        taken + in_fruit
    }

    /// The same liquid, more or less of it.
    pub fn scale(&mut self, factor: f64) {
        self.liquid = self.liquid * factor;
        self.consumed_kg *= factor;
        self.acid_g = self.acid_g.map(|grams| grams * factor);
        self.so2_mg *= factor;
        self.sorbic_mg *= factor;
    }

    /// The liquid as if nothing had fermented.
    pub fn unfermented(&self) -> Liquid {
        let used = self.consumed_kg;
        Liquid {
            water_kg: self.liquid.water_kg,
            sugar_kg: self.liquid.sugar_kg + used,
            extract_kg: (self.liquid.extract_kg - used * BY_PRODUCTS_PER_SUGAR).max(0.0),
            ethanol_kg: (self.liquid.ethanol_kg - used * ETHANOL_PER_SUGAR).max(0.0),
        }
    }

    /// So much of its sugar has fermented, kg, from the beginning; where that is more than all of it, some of what was held
    /// for unfermentable was not.
    fn ferment_in_all(&mut self, from: &Liquid, consumed_kg: f64) {
        let more = (consumed_kg - from.sugar_kg).max(0.0);
        let richer = Liquid {
            sugar_kg: from.sugar_kg + more,
            extract_kg: (from.extract_kg - more).max(0.0),
            ..*from
        };
        self.liquid = ferment(&richer, consumed_kg);
        self.consumed_kg = consumed_kg;
    }

    /// Ferments it, or takes fermentation back, until it has this gravity.
    ///
    /// # Errors
    /// Where it cannot have it; nothing has changed then.
    pub fn ferment_to(&mut self, sg: f64) -> Result<(), Unreachable> {
        let from = self.unfermented();
        let all = Liquid {
            sugar_kg: from.solids_kg(),
            extract_kg: 0.0,
            ..from
        };
        match ferment_to_gravity(&all, sg) {
            Some(fermented) => {
                self.ferment_in_all(&from, fermented.consumed_kg);
                Ok(())
            }
            None => {
                let begin = all.state().sg;
                Err(if sg > begin {
                    Unreachable::Above(begin)
                } else {
                    Unreachable::Below(ferment(&all, all.sugar_kg).state().sg)
                })
            }
        }
    }

    /// Nothing has fermented yet.
    pub fn take_all_back(&mut self) {
        self.liquid = self.unfermented();
        self.consumed_kg = 0.0;
    }
}

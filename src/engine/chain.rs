//! From the bottles back to the must: how much must stand in each vessel, so that so much is left to fill.

use super::numeric::find_root;
use super::vessel::{Losses, losses};

/// The finest that a volume is solved to, litres.
const TOLERANCE_L: f64 = 1e-9;
/// The most that can be asked for, litres.
const MOST_L: f64 = 1e6;

/// A mead on its way through the vessels; litres at 20 °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chain {
    /// Finished mead before anything stays behind.
    pub finished_l: f64,
    /// What stands after the first racking, out of the fruit.
    pub secondary_l: f64,
    /// What is left to fill into bottles.
    pub packaged_l: f64,
    /// What stays behind on the way.
    pub losses: Losses,
}

/// The batch whose volumes are wanted.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Batch {
    /// Fruit that is not pressed, kg in a litre of finished mead.
    pub fruit_kg_per_l: f64,
    /// In how many vessels it ferments, and in how many it stands afterwards.
    pub vessels: [u32; 2],
    /// What stays behind when it is racked out of the first vessels and out of the later ones, litres in all of them, where
    /// somebody has measured it; else the usual.
    pub racking_l: [Option<f64>; 2],
    /// What stays behind in all, as a part of the finished mead (0 to 0.9), where a house has a figure of its own: shared out as
    /// the usual is.
    pub loss_part: Option<f64>,
}

impl Batch {
    /// What becomes of so many litres of finished mead, litres; what cannot be is 0, never less.
    pub fn follow(&self, finished_l: f64) -> Chain {
        let mut losses = losses(finished_l, self.fruit_kg_per_l * finished_l, self.vessels);
        let [first, later] = self.racking_l;
        losses.first_racking_l = first.unwrap_or(losses.first_racking_l);
        losses.later_racking_l = later.unwrap_or(losses.later_racking_l);
        if let Some(part) = self.loss_part.filter(|part| (0.0..=0.9).contains(part)) {
            losses = losses.shared_out(part * finished_l.max(0.0));
        }
        let secondary_l = finished_l - losses.first_racking_l - losses.fruit_l;
        Chain {
            finished_l,
            secondary_l: secondary_l.max(0.0),
            packaged_l: (finished_l - losses.total_l()).max(0.0),
            losses,
        }
    }

    /// The least that leaves so many litres to fill, 0 to 1000000; `None` where the fruit keeps all of it.
    pub fn for_packaged(&self, litres: f64) -> Option<Chain> {
        self.least(litres, |finished_l| {
            finished_l - self.follow(finished_l).losses.total_l()
        })
    }

    /// The least of which so many litres stand after the first racking, 0 to 1000000; `None` where the fruit keeps all of it.
    pub fn for_secondary(&self, litres: f64) -> Option<Chain> {
        self.least(litres, |finished_l| {
            let losses = self.follow(finished_l).losses;
            finished_l - losses.first_racking_l - losses.fruit_l
        })
    }

    /// All losses grow no faster than the volume, so that what is left grows with it.
    fn least(&self, litres: f64, left: impl Fn(f64) -> f64) -> Option<Chain> {
        if !(0.0..=MOST_L).contains(&litres) {
            return None;
        }
        let miss = |finished_l: f64| left(finished_l) - litres;
        let finished_l = find_root(miss, 0.0, 1e3 * MOST_L, TOLERANCE_L)?;
        // The root lies within the tolerance of the least; a hair more leaves no less than was asked for.
        Some(self.follow(finished_l + 2.0 * TOLERANCE_L))
    }
}

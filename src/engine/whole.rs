//! The whole must as a straight line in its unknowns, so that a strength and a volume give the amounts directly.

use super::balance::Liquid;
use super::density::sucrose_density_20;
use super::numeric::find_root;
use super::prepare::{Item, Quantity, solved_by_aim};

/// The whole must as a function of the volume, the honey and the filler: `fixed + per_litre V + blend h + filler f`.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Whole {
    pub fixed: Liquid,
    pub per_litre: Liquid,
    /// One kilogram of all shares together.
    blend: Liquid,
    /// One kilogram of what fills up.
    pub filler: Liquid,
    pub filled_by_water: bool,
}

/// A must at one strength.
#[derive(Clone, Copy, Debug)]
pub(super) struct Mix {
    pub volume_l: f64,
    pub share_kg: f64,
    pub filler_kg: f64,
}

const WATER: Liquid = Liquid {
    water_kg: 1.0,
    sugar_kg: 0.0,
    extract_kg: 0.0,
    ethanol_kg: 0.0,
};

/// Strongest must that is searched, mass fraction of solids.
pub(super) const STRONGEST: f64 = 0.80;
/// Weakest must that is searched.
pub(super) const WEAKEST: f64 = 1e-4;
/// Largest volume that is searched, litres.
const LARGEST_L: f64 = 1e6;

impl Whole {
    pub fn new(items: &[Item]) -> Self {
        let mut whole = Whole {
            filler: WATER,
            filled_by_water: true,
            ..Whole::default()
        };
        let mut shares = 0.0;
        for item in items.iter().filter(|item| solved_by_aim(item.when)) {
            match item.quantity {
                Quantity::Fixed(kg) => whole.fixed = whole.fixed + item.parts * kg,
                Quantity::PerLitre(kg) => whole.per_litre = whole.per_litre + item.parts * kg,
                Quantity::Share(share) => {
                    whole.blend = whole.blend + item.parts * share;
                    shares += share;
                }
                Quantity::Filler => {
                    whole.filler = item.parts;
                    whole.filled_by_water = false;
                }
            }
        }
        if shares > 0.0 {
            whole.blend = whole.blend * (1.0 / shares);
        }
        whole
    }

    pub fn liquid(&self, mix: &Mix) -> Liquid {
        self.fixed
            + self.per_litre * mix.volume_l
            + self.blend * mix.share_kg
            + self.filler * mix.filler_kg
    }

    /// Honey and filler that bring `volume_l` to the mass fraction `w`: two linear equations, solids and mass.
    pub fn at_volume(&self, w: f64, volume_l: f64) -> Option<Mix> {
        let base = self.fixed + self.per_litre * volume_l;
        let mass = sucrose_density_20(w) / 1000.0 * volume_l;
        let (rest, solids) = (mass - base.mass_kg(), w * mass - base.solids_kg());
        let (b, f) = (&self.blend, &self.filler);
        let determinant = b.mass_kg() * f.solids_kg() - b.solids_kg() * f.mass_kg();
        if determinant.abs() < 1e-9 {
            return None;
        }
        let share_kg = (rest * f.solids_kg() - solids * f.mass_kg()) / determinant;
        let filler_kg = (b.mass_kg() * solids - b.solids_kg() * rest) / determinant;
        Some(Mix {
            volume_l,
            share_kg,
            filler_kg,
        })
    }

    /// By how much the solids of one litre of must at `w` exceed what fills it up and is dosed per litre.
    fn room_per_litre(&self, w: f64) -> f64 {
        let density = sucrose_density_20(w) / 1000.0;
        let dosed = &self.per_litre;
        w * density - dosed.solids_kg() - self.filler_ratio() * (density - dosed.mass_kg())
    }

    fn filler_ratio(&self) -> f64 {
        self.filler.solids_kg() / self.filler.mass_kg()
    }

    /// By how much the solids of the honey and all that is fixed exceed those of as much filler.
    fn excess(&self, share_kg: f64) -> f64 {
        let base = self.fixed + self.blend * share_kg;
        base.solids_kg() - self.filler_ratio() * base.mass_kg()
    }

    /// Weakest and strongest must that so much honey can make, in volumes up to the largest.
    pub fn strengths_of_honey(&self, share_kg: f64) -> Option<(f64, f64)> {
        let excess = self.excess(share_kg);
        let least = excess / (0.999 * LARGEST_L);
        let miss = |w: f64| self.room_per_litre(w) - least;
        let edge = || find_root(miss, WEAKEST, STRONGEST, 1e-12);
        match (excess > 0.0, excess < 0.0) {
            (true, _) if miss(WEAKEST) > 0.0 => Some((WEAKEST, STRONGEST)),
            (true, _) => Some((edge()?, STRONGEST)),
            (_, true) if miss(STRONGEST) < 0.0 => Some((WEAKEST, STRONGEST)),
            (_, true) => Some((WEAKEST, edge()?)),
            _ => None,
        }
    }

    /// Volume and filler that bring `share_kg` of honey to the mass fraction `w`.
    pub fn at_honey(&self, w: f64, share_kg: f64) -> Option<Mix> {
        let base = self.fixed + self.blend * share_kg;
        let volume_l = self.excess(share_kg) / self.room_per_litre(w);
        if !(volume_l > 0.0 && volume_l < LARGEST_L) {
            return None;
        }
        let mass = sucrose_density_20(w) / 1000.0 * volume_l;
        let rest = mass - base.mass_kg() - self.per_litre.mass_kg() * volume_l;
        Some(Mix {
            volume_l,
            share_kg,
            filler_kg: rest / self.filler.mass_kg(),
        })
    }
}

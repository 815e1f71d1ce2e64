//! What a mead is sweetened with: shares of its own, else the balance honeys, else all honeys.

use super::balance::Liquid;
use super::prepare::{Item, Quantity};
use super::recipe::{Kind, When};

/// Which ingredients sweeten, and in what proportion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum SweetenBy {
    /// Shares with `when: sweeten`.
    Shares,
    /// The balance honeys, by share.
    BalanceHoney,
    /// All honeys, by mass.
    HoneyByMass,
}

impl SweetenBy {
    /// The first way that has anything to offer.
    pub fn choose(items: &[Item], volume_l: f64) -> Option<Self> {
        [
            SweetenBy::Shares,
            SweetenBy::BalanceHoney,
            SweetenBy::HoneyByMass,
        ]
        .into_iter()
        .find(|by| by.total(items, volume_l) > 0.0)
    }

    /// An item's weight in the sweetener.
    fn weight(self, item: &Item, volume_l: f64) -> f64 {
        match (self, item.quantity, item.when) {
            (SweetenBy::Shares, Quantity::Share(share), When::Sweeten) => share,
            (SweetenBy::BalanceHoney, Quantity::Share(share), When::Must | When::Primary)
                if item.kind == Kind::Honey =>
            {
                share
            }
            (SweetenBy::HoneyByMass, Quantity::Fixed(kg), _) if item.kind == Kind::Honey => kg,
            (SweetenBy::HoneyByMass, Quantity::PerLitre(kg), _) if item.kind == Kind::Honey => {
                kg * volume_l
            }
            _ => 0.0,
        }
    }

    fn total(self, items: &[Item], volume_l: f64) -> f64 {
        items.iter().map(|item| self.weight(item, volume_l)).sum()
    }

    /// Dissolved parts of one kilogram of the sweetener.
    pub fn one_kilogram(self, items: &[Item], volume_l: f64) -> Liquid {
        let sum = items.iter().fold(Liquid::default(), |sum, item| {
            sum + item.parts * self.weight(item, volume_l)
        });
        sum * (1.0 / self.total(items, volume_l))
    }

    /// Each item's part of one kilogram of the sweetener.
    pub fn parts(self, items: &[Item], volume_l: f64) -> Vec<(usize, f64)> {
        let total = self.total(items, volume_l);
        let weights = items.iter().map(|item| self.weight(item, volume_l) / total);
        weights
            .enumerate()
            .filter(|(_, part)| *part > 0.0)
            .collect()
    }
}

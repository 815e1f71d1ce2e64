//! Whether this batch can still be mended, before any recipe is changed.

use super::{Heard, Way};
use crate::engine::log::entry::Sense;

/// What is known of the batch.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Batch {
    /// Whether all of it is in bottles or kegs, or gone.
    pub is_over: bool,
    /// Whether what was filled is in a keg.
    pub in_keg: bool,
    /// Whether it still ferments, or would: sugar that yeast can use, and yeast that goes on.
    pub still_ferments: bool,
    /// Whether it was stabilised.
    pub stabilised: bool,
    /// A drier mead of the maker's own is there to blend with.
    pub has_drier: bool,
    /// A sweeter one is.
    pub has_sweeter: bool,
}

/// What to do about a batch as it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mend {
    /// Nothing: it is filled.
    Filled,
    /// Too little or too much gas in a keg: another pressure.
    KegPressure,
    /// Nothing yet: it still ferments.
    LetItFinish,
    /// Too dry or too thin: sweeten it.
    Sweeten,
    /// Stabilise it before it is sweetened.
    StabiliseFirst,
    /// Too sweet: blend it with a drier one of one's own.
    BlendDrier,
    /// Too dry or thin: blend it with a sweeter one of one's own.
    BlendSweeter,
    /// Flat: try acid in glasses.
    AcidTrial,
    /// Too sour: try a neutraliser in glasses.
    LessAcidTrial,
    /// Too little grip: try tannin in glasses.
    TanninTrial,
    /// Too rough or too hot: give it time.
    Wait,
    /// Too little fruit or spice: more of it while it ages.
    MoreOfIt,
    /// Too little gas: at bottling.
    GasAtBottling,
    /// Too much gas before it is filled: stir it out.
    StirGasOut,
}

/// What can be done for what was heard, in the order of what matters most; nothing twice.
pub fn mends(heard: &[Heard], batch: &Batch) -> Vec<Mend> {
    if heard.iter().all(|one| one.asks.is_none()) {
        return Vec::new();
    }
    if batch.is_over {
        let asks = |sense_is: fn(Sense) -> bool| {
            let mut asked = heard.iter().filter(|one| one.asks.is_some());
            asked.any(|one| sense_is(one.sense))
        };
        let gas = batch.in_keg && asks(|sense| sense == Sense::Sparkle);
        let other = !batch.in_keg || asks(|sense| sense != Sense::Sparkle);
        let gas = gas.then_some(Mend::KegPressure);
        return gas
            .into_iter()
            .chain(other.then_some(Mend::Filled))
            .collect();
    }
    let mut found: Vec<Mend> = Vec::new();
    if batch.still_ferments {
        found.push(Mend::LetItFinish);
    }
    for one in heard {
        let Some(way) = one.asks else {
            continue;
        };
        for mend in of_sense(one.sense, way, batch) {
            if !found.contains(&mend) {
                found.push(mend);
            }
        }
    }
    found
}

fn of_sense(sense: Sense, way: Way, batch: &Batch) -> Vec<Mend> {
    let sweeter = || {
        let stabilise = (!batch.stabilised).then_some(Mend::StabiliseFirst);
        let blend = batch.has_sweeter.then_some(Mend::BlendSweeter);
        [stabilise, Some(Mend::Sweeten), blend]
            .into_iter()
            .flatten()
            .collect()
    };
    let drier = || {
        batch
            .has_drier
            .then_some(Mend::BlendDrier)
            .into_iter()
            .collect()
    };
    match (sense, way) {
        (Sense::Sweetness | Sense::Body | Sense::Honey, Way::More) => sweeter(),
        (Sense::Sweetness, Way::Less) => {
            let mut found: Vec<Mend> = drier();
            found.push(Mend::AcidTrial);
            found
        }
        (Sense::Body | Sense::Honey, Way::Less) => drier(),
        (Sense::Acidity, Way::More) => vec![Mend::AcidTrial],
        (Sense::Acidity, Way::Less) => vec![Mend::LessAcidTrial],
        (Sense::Tannin, Way::More) => vec![Mend::TanninTrial],
        (Sense::Tannin | Sense::Warmth, Way::Less) => vec![Mend::Wait],
        (Sense::Fruit | Sense::Spice, Way::More) => vec![Mend::MoreOfIt],
        (Sense::Sparkle, Way::More) => vec![Mend::GasAtBottling],
        (Sense::Sparkle, Way::Less) => vec![Mend::StirGasOut],
        (Sense::Warmth, Way::More) | (Sense::Fruit | Sense::Spice, Way::Less) => Vec::new(),
    }
}

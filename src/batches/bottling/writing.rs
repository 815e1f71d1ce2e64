//! A filling as the log keeps it: why it was done in spite of a danger, the sugar, the bottles.

use crate::batches::model::NewEntry;
use crate::engine::bottle::PrimingSugar;
use crate::engine::bottling::{Bottled, Danger, Way};
use crate::engine::log::Deed;
use crate::engine::log::entry::{Addition, How, Note, Package, What, Why};
use crate::engine::recipe::Composition;
use crate::engine::stoichiometry::HEXOSE_PER_MONOHYDRATE;
use crate::web::viewer::MemberId;

use super::asked::Filling;
use super::words;

/// The entries of a filling; the last is the filling itself.
pub fn entries(filling: &Filling, is: &Bottled, by: MemberId) -> Vec<NewEntry> {
    let mut deeds = Vec::new();
    if !is.dangers.is_empty() {
        let text = Some(reason(&is.dangers, &filling.reason));
        deeds.push(Deed::Note(Note { text }));
    }
    if let Some(grams) = is.sugar_g.filter(|grams| *grams > 0.0) {
        deeds.push(Deed::Addition(Addition {
            why: Some(Why::Prime),
            grams: Some(grams),
            composition: Some(made_of(filling.asked.sugar)),
            ..Addition::of(words::sugar(filling.asked.sugar), What::Sugar)
        }));
    }
    let kegged = filling.asked.way == Way::Kegged;
    deeds.push(Deed::Package(Package {
        litres: kegged.then_some(filling.asked.litres),
        bottles: filling.bottles.clone(),
        how: Some(match filling.asked.way {
            Way::Still => How::Still,
            Way::Primed | Way::Kegged => How::Gas,
        }),
        volumes_co2: filling.asked.volumes,
    }));
    let entries = deeds.into_iter();
    entries
        .map(|deed| NewEntry::of(deed, filling.at, by))
        .collect()
}

/// What a sugar is made of, mass fractions; what of honey is neither water nor sugar that ferments is three parts in a hundred
/// (our judgement, no published source).
fn made_of(sugar: PrimingSugar) -> Composition {
    let [water, fermentable, unfermentable] = match sugar {
        PrimingSugar::GlucoseMonohydrate => {
            [1.0 - HEXOSE_PER_MONOHYDRATE, HEXOSE_PER_MONOHYDRATE, 0.0]
        }
        PrimingSugar::Honey80 => [0.17, 0.80, 0.03],
        PrimingSugar::Honey77 => [0.20, 0.77, 0.03],
        PrimingSugar::GlucoseAnhydrous | PrimingSugar::Fructose | PrimingSugar::Sucrose => {
            [0.0, 1.0, 0.0]
        }
    };
    Composition {
        water,
        fermentable,
        unfermentable,
        ..Composition::default()
    }
}

/// What the log keeps of a danger that was passed.
fn reason(dangers: &[Danger], why: &str) -> String {
    let leads: Vec<&str> = dangers.iter().map(|one| words::danger(*one).0).collect();
    format!("Filled all the same ({}): {why}", leads.join("; "))
}

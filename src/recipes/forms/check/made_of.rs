//! What an ingredient is made of: typed percentages, else the catalogue's; one that is missing is the rest.

use super::{Checker, Said};
use crate::catalogue::{self, Entry};
use crate::engine::recipe::{Composition, CompositionSpread, Kind};
use crate::recipes::forms::{Group, NONE, Row, cell_id};

/// The four parts, by their columns and their keys in the document.
pub const PARTS: [&str; 4] = ["water", "fermentable", "unfermentable", "insoluble"];

/// Figures beside the parts: column and key in the document.
pub const FIGURES: [(&str, &str); 3] = [
    ("yan", "yan_mg_per_kg"),
    ("acid", "ta_g_per_kg"),
    ("density", "density_kg_per_l"),
];

/// The parts that were typed, as fractions.
pub type Typed = [Option<f64>; 4];

/// The four parts from those that were typed; `Err` names the part that is still wanted.
///
/// # Errors
/// The column of a part without which the make-up cannot be known.
pub fn make_up(
    typed: Typed,
    kind: Kind,
    entry: Option<&Entry>,
) -> Result<Option<catalogue::Composition>, &'static str> {
    let known = typed.iter().flatten().count();
    match (known, typed) {
        (0, _) => Ok(entry.and_then(|entry| entry.composition)),
        (1, [Some(water), ..]) if kind == Kind::Honey => Ok(Some(
            catalogue::Composition::of_honey(water, share_that_ferments(entry)),
        )),
        (3 | 4, _) => Ok(Some(rest_filled(typed))),
        _ => {
            let mut missing = PARTS.iter().zip(typed).filter(|(_, part)| part.is_none());
            Err(missing.next().map_or("water", |(part, _)| part))
        }
    }
}

/// The spread that stands where none was typed: the catalogue's, with the catalogue's make-up.
pub fn usual_spread(entry: Option<&Entry>, parts_typed: bool) -> Option<CompositionSpread> {
    let spread = entry.filter(|_| !parts_typed)?.spread?;
    Some(CompositionSpread {
        water: Some(spread.water),
        fermentable: Some(spread.fermentable),
    })
}

/// The density that stands where none was typed.
pub fn usual_density(entry: Option<&Entry>, parts_typed: bool) -> Option<f64> {
    entry.filter(|_| !parts_typed)?.density_kg_per_l
}

impl Checker<'_> {
    pub(super) fn composition(
        &mut self,
        group: Group,
        row: &Row,
        kind: Kind,
        entry: Option<&Entry>,
        at: &str,
    ) -> Option<Composition> {
        let id = |column: &str| cell_id(group, &row.key, column);
        let at = format!("{at}/composition");
        self.place(at.clone(), id("water"));
        if row.cell("water").trim() == NONE {
            self.made_of_nothing(row, &at);
            return None;
        }
        let mut typed = [None; 4];
        for (part, value) in PARTS.into_iter().zip(&mut typed) {
            *value = self.optional(&id(part), row.cell(part), &format!("{at}/{part}"));
        }
        let [yan, acid, density] = FIGURES
            .map(|(column, key)| self.said(&id(column), row.cell(column), &format!("{at}/{key}")));
        // A part that was typed and could not be read has its fault; the others are not blamed for it.
        let unread = PARTS
            .iter()
            .zip(typed)
            .any(|(part, value)| value.is_none() && !row.is_blank(&[*part]));
        let parts = match make_up(typed, kind, entry) {
            _ if unread => None,
            Ok(Some(parts)) => Some(parts),
            Ok(None) => {
                let told = [yan, acid, density]
                    .iter()
                    .any(|said| matches!(said, Said::Value(_)));
                if told {
                    self.refuse(
                        id("water"),
                        "Write what it is made of too: at least three of the four parts.",
                    );
                }
                None
            }
            Err(missing) => {
                self.refuse(
                    id(missing),
                    "Write at least three of the four parts; the missing one is the rest.",
                );
                None
            }
        }?;
        let parts_typed = typed.iter().any(Option::is_some);
        Some(Composition {
            water: parts.water,
            fermentable: parts.fermentable,
            unfermentable: parts.unfermentable,
            insoluble: parts.insoluble,
            yan_mg_per_kg: yan.or(entry.and_then(|entry| entry.yan_mg_per_kg)),
            ta_g_per_kg: acid.or(entry.and_then(|entry| entry.ta_g_per_kg)),
            density_kg_per_l: density.or(usual_density(entry, parts_typed)),
            spread: match row.cell("spread") {
                "" => usual_spread(entry, parts_typed),
                text => spread_of(text),
            },
        })
    }
}

impl Checker<'_> {
    /// "None" for the water is none of anything; what stands in the other fields stays beside the document.
    fn made_of_nothing(&mut self, row: &Row, at: &str) {
        for (column, key) in PARTS.map(|part| (part, part)).into_iter().chain(FIGURES) {
            let text = row.cell(column);
            if !text.trim().is_empty() {
                self.keep(&format!("{at}/{key}"), text);
            }
        }
    }
}

/// Part of the solids that ferments, by the catalogue's own reckoning of a honey.
fn share_that_ferments(entry: Option<&Entry>) -> f64 {
    let of = |parts: catalogue::Composition| parts.fermentable / (1.0 - parts.water);
    entry
        .and_then(|entry| entry.composition)
        .map(of)
        .filter(|share| share.is_finite())
        .unwrap_or(0.89)
}

/// Three or four parts; a missing one is the rest.
fn rest_filled(typed: Typed) -> catalogue::Composition {
    let rest = (1.0 - typed.iter().flatten().sum::<f64>()).max(0.0);
    let [water, fermentable, unfermentable, insoluble] = typed.map(|value| value.unwrap_or(rest));
    catalogue::Composition {
        water,
        fermentable,
        unfermentable,
        insoluble,
    }
}

/// A spread as text, carried through the form.
pub fn spread_text(spread: Option<CompositionSpread>) -> String {
    let text = |value: Option<f64>| value.map(|value| value.to_string()).unwrap_or_default();
    spread.map_or_else(
        || NONE.to_owned(),
        |spread| format!("{};{}", text(spread.water), text(spread.fermentable)),
    )
}

/// A number as it was carried, unseen, through the form.
pub(super) fn carried_number(text: &str) -> Option<f64> {
    text.parse().ok().filter(|number: &f64| number.is_finite())
}

/// A spread as it was carried.
fn spread_of(text: &str) -> Option<CompositionSpread> {
    let (water, fermentable) = text.split_once(';')?;
    Some(CompositionSpread {
        water: carried_number(water),
        fermentable: carried_number(fermentable),
    })
}

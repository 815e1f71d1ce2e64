//! What some people react badly to in a batch: by its recipe and by all that its log says went in.

use super::opened::Opened;
use crate::engine::allergens;
use crate::engine::log::Deed;
use crate::engine::problem::CautionCode;

/// The engine's codes, each once, in the order in which they are met; as far as names give them away. What a mead brought
/// that was poured in is written in its entry.
pub fn of(opened: &Opened) -> Vec<String> {
    let planned = opened.planned.cautions.iter();
    let planned = planned
        .filter(|caution| caution.code == CautionCode::Allergen)
        .filter_map(|caution| caution.arguments.text("allergen"));
    let mut codes: Vec<String> = Vec::new();
    let mut add = |code: &str| {
        if !codes.iter().any(|known| known == code) {
            codes.push(code.to_owned());
        }
    };
    planned.for_each(&mut add);
    for entry in &opened.entries {
        let (name, brought) = match &entry.deed {
            Deed::Addition(addition) => (&addition.name, addition.allergens.as_slice()),
            Deed::Feed(feed) => (&feed.name, [].as_slice()),
            _ => continue,
        };
        allergens::of_words(name).into_iter().for_each(&mut add);
        brought.iter().for_each(|code| add(code));
    }
    codes
}

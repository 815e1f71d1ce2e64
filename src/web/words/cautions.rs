//! What the engine's cautions say: what to beware of, in a sentence that says what to do.

use super::Saying;

const fn saying(code: &'static str, lead: &'static str, sentence: &'static str) -> Saying {
    Saying {
        code,
        lead,
        sentence,
    }
}

pub(super) const SAYINGS: &[Saying] = &[
    saying(
        "must_be_stopped_by_hand",
        "It will not stop by itself",
        "This yeast would go on past the gravity at which you want to stop. Stopping it by hand is a gamble: cold, racking and stabilising together, and watch it. Letting it go dry and sweetening afterwards is surer.",
    ),
    saying(
        "acid_not_counted",
        "Acid not counted",
        "{name} has no acidity of its own in the recipe, so the acid shown leaves it out.",
    ),
];

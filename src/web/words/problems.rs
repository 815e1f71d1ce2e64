//! What the engine's problems say: what makes an answer wrong or impossible, and what to do about it.

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
        "density_needed",
        "Litres of what?",
        "To turn litres of {name} into a weight its density is needed. Write the amount as a weight, or add its kilograms per litre.",
    ),
    saying(
        "yeast_cannot_reach",
        "Too strong for this yeast",
        "{wanted:abv} is wanted, but this yeast gets no further than about {reachable:abv} here. Aim lower, or choose a yeast with a higher limit.",
    ),
    saying(
        "already_sweeter",
        "Already sweeter than that",
        "The mead ends by itself at {natural_fg:gravity}, above the {wanted:gravity} that it should be sweetened to. Choose a higher gravity, a stronger yeast or less honey.",
    ),
    saying(
        "nothing_to_sweeten_with",
        "Nothing to sweeten with",
        "There is no honey or other sugar in the recipe to sweeten with. Add one that goes in when sweetening.",
    ),
    saying(
        "finish_overdetermined",
        "One wish too many",
        "A must of a fixed gravity that is stopped at a fixed gravity leaves nothing to solve. Aim for a strength, or give the amounts.",
    ),
];

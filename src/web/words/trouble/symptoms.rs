//! What one sees, smells or tastes, and when it is for the drain.

use super::Saying;

const fn saying(code: &'static str, lead: &'static str, sentence: &'static str) -> Saying {
    Saying {
        code,
        lead,
        sentence,
    }
}

pub(super) const SYMPTOMS: &[Saying] = &[
    saying(
        "no_start",
        "Nothing happens",
        "A yeast may take three days before one sees anything, and a lid that leaks hides all of it. Only the gravity tells.",
    ),
    saying(
        "rotten_egg",
        "It smells of eggs",
        "A yeast that lacks food or is too warm makes it. Caught early it goes; left on the sediment it stays.",
    ),
    saying(
        "film",
        "Something grows on it",
        "A thin white skin without fur lives on air and is ugly, not poisonous. Fur, in any colour, is mould.",
    ),
    saying(
        "foam_over",
        "It foams over",
        "The gas was in the must and something set it free. First see to it that it can get out.",
    ),
    saying(
        "haze",
        "It does not clear",
        "Time clears most meads. A haze is for the eye alone, unless it comes with bubbles.",
    ),
    saying(
        "stuck",
        "It has stopped too early",
        "First make sure that it has: many only work slowly, and some have ended. What stopped with sugar left can start again, in the bottle too.",
    ),
    saying(
        "harsh",
        "It burns or bites",
        "Nearly every young mead does. Time mends more than any powder.",
    ),
    saying(
        "flat",
        "No bubbles, or no life",
        "Bubbles need yeast, sugar, warmth and weeks. A still mead that tastes dull mostly lacks acid.",
    ),
];

pub(super) const POUR_AWAY: &[Saying] = &[
    saying(
        "fur_across",
        "Fur across it",
        "Fur or coloured spots across the surface: pour all of it away, also what looks clean below. Some moulds make poisons that nobody sees or tastes.",
    ),
    saying(
        "rotten_smell",
        "A smell of rot",
        "Rotten meat, sewage, sickness: pour it away and do not taste it. Eggs alone are no reason.",
    ),
    saying(
        "nail_varnish",
        "Nail varnish or vinegar",
        "Strong, and as strong after a day of standing open in a glass: nothing takes it out again. A trace of it in a young mead may go.",
    ),
    saying(
        "stood_too_long",
        "It stood too long",
        "A must that stood a week without working and smells or looks odd: pour it away rather than pitch once more.",
    ),
    saying(
        "no_reason",
        "No reason to pour it away",
        "This alone spoils nothing. Do not taste what smells of rot or has fur on it.",
    ),
];

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
        "unknown_key",
        "Unknown entry",
        "“{key}” is no part of a recipe document. Leave it out, or look how it is spelt.",
    ),
    saying(
        "duplicate_key",
        "Written twice",
        "“{key}” stands there twice. Keep one of them.",
    ),
    saying(
        "missing",
        "Something is missing",
        "{key:field} is needed here.",
    ),
    saying(
        "wrong_kind",
        "Another kind of value",
        "Here {expected} is expected.",
    ),
    saying(
        "unknown_word",
        "Unknown word",
        "“{given}” is not known here. Known are: {known}.",
    ),
    saying(
        "version_unknown",
        "Another version",
        "This document is of version {given}; version {known} and older can be read.",
    ),
    saying(
        "out_of_range",
        "Out of range",
        "{given:here} is outside what can be reckoned with. Write a value from {low:here} to {high:here}.",
    ),
    saying(
        "one_of",
        "One of several",
        "Give exactly one of these: {keys}.",
    ),
    saying(
        "composition_sum",
        "Parts that do not add up",
        "Water, what ferments, what does not and what stays solid must add up to 100 %; here they make {sum:fraction}.",
    ),
    saying(
        "composition_needed",
        "Made of what?",
        "Nothing says what {name} is made of. Pick it from the list, or write its parts.",
    ),
    saying(
        "density_needed",
        "Litres of what?",
        "To turn litres of {name} into a weight its density is needed. Write the amount as a weight, or add its kilograms per litre.",
    ),
    saying(
        "yeast_missing",
        "No yeast yet",
        "Choose the yeast that is pitched first.",
    ),
    saying(
        "range_reversed",
        "The wrong way round",
        "The lowest, {low:here}, lies above the highest, {high:here}. Swap them.",
    ),
    saying(
        "shares_all_zero",
        "Parts of nothing",
        "All parts are zero, so nothing says how to divide what is needed. Give at least one ingredient 1 part.",
    ),
    saying(
        "share_without_sugar",
        "It brings no sugar",
        "{name} brings no sugar that ferments, so it cannot make up the rest. Write a weight, a volume or an amount per litre.",
    ),
    saying(
        "share_with_fixed_amounts",
        "How much is a part?",
        "The amounts are fixed, so nothing says how much a part of {name} is. Write its amount, or aim for a strength or a gravity.",
    ),
    saying(
        "nothing_to_solve",
        "Nothing may give way",
        "To meet the aim one ingredient must give way. Let one honey be “the rest”.",
    ),
    saying(
        "filler_unknown",
        "Filled up with what?",
        "{name} is to fill up in place of water, but the must has no such ingredient. Add it, or fill up with water.",
    ),
    saying(
        "filler_too_strong",
        "Too strong to fill up with",
        "{name} is as strong as the honey itself, so no mixture of the two meets the aim. Fill up with water or something thinner.",
    ),
    saying(
        "honey_negative",
        "Already stronger than the aim",
        "What is fixed in the recipe already makes more than the aim, without any of the honey that should give way. Take less of it, or aim higher.",
    ),
    saying(
        "no_room_for_water",
        "No room for water",
        "The ingredients need more room than {volume_l:volume}: to meet the aim make at least {at_least_l:volume}, or aim lower.",
    ),
    saying(
        "gravity_out_of_reach",
        "No must is that strong",
        "No mixture of these ingredients comes to {wanted_sg:gravity}. Aim lower, or leave out what thins it.",
    ),
    saying(
        "volume_out_of_reach",
        "No volume fits",
        "No volume makes this aim from {honey_kg:mass} of honey and what else is fixed. Change the aim or the fixed amounts.",
    ),
    saying(
        "yeast_cannot_reach",
        "Too strong for this yeast",
        "{wanted:abv} is wanted, but this yeast gets no further than about {reachable:abv} here. Aim lower, or choose a yeast with a higher limit.",
    ),
    saying(
        "already_sweeter",
        "Already sweeter than that",
        "The mead ends by itself at {natural_fg:gravity}, above the {wanted_sg:gravity} that it should be sweetened to. Choose a higher gravity, a stronger yeast or less honey.",
    ),
    saying(
        "nothing_to_sweeten_with",
        "Nothing to sweeten with",
        "There is no honey or other sugar in the recipe to sweeten with. Add one that goes in when sweetening.",
    ),
    saying(
        "sweetener_too_weak",
        "Too thin to sweeten with",
        "However much of it goes in, the mead does not come to {wanted_sg:gravity}. Choose something thicker, or a lower gravity.",
    ),
    saying(
        "impossible_gravities",
        "Not one fermentation",
        "From {og:gravity} no yeast gets to {fg:gravity}: with all its sugar gone it would read {lowest_fg:gravity}. Read both again, at the temperature the hydrometer is made for.",
    ),
    saying(
        "finish_overdetermined",
        "One wish too many",
        "A must of a fixed gravity that is stopped at a fixed gravity leaves nothing to solve. Aim for a strength, or give the amounts.",
    ),
    saying(
        "arrest_out_of_reach",
        "It never stands there",
        "Fermentation runs from {og:gravity} to {natural_fg:gravity}, so it cannot be stopped at {wanted_sg:gravity}. Choose a gravity between the two.",
    ),
    saying(
        "outside_the_model",
        "Beyond the tables",
        "These amounts make a liquid that the density tables do not describe. Look at the amounts: one of them may be in another unit than you meant.",
    ),
    saying(
        "above_every_limit",
        "More than any rule allows",
        "It would take {given_mg_per_l:mg_per_l}; no rule for drinks that we know allows more than {limit_mg_per_l:mg_per_l}. Lower the pH first, or ask for less.",
    ),
    saying(
        "wrong_direction",
        "The other way round",
        "With {name:word} the acidity does not change in that direction. To raise it choose an acid, to lower it one of the carbonates.",
    ),
    saying(
        "already_fizzier",
        "It has more gas already",
        "{volumes:points} volumes are in it or will come by themselves, more than the {wanted_volumes:points} that you want. Add no sugar. Stir gas out if it is there already; if sugar is left, let it ferment first.",
    ),
    saying(
        "no_bottle_holds",
        "No bottle holds that",
        "{wanted_volumes:points} volumes are more than any bottle may hold ({most_volumes:points}). Ask for less, or use a keg.",
    ),
];

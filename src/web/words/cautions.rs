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
        "little_headroom",
        "Close to the yeast’s limit",
        "Only {headroom_abv_percent:points} % lie between this strength and the most that the yeast bears; to end dry, allow {wanted_abv_percent:points} %. Feed it well and keep it at its temperature, or choose a stronger yeast.",
    ),
    saying(
        "must_be_stopped_by_hand",
        "It will not stop by itself",
        "To end at {gravity_sg:gravity} it must be stopped while the yeast could make {headroom_abv_percent:points} % more. That is a gamble: chill, rack and stabilise, and watch it for weeks. Letting it end dry and sweetening afterwards is surer.",
    ),
    saying(
        "ends_at_yeast_limit",
        "The yeast decides the end",
        "Sugar is left when this yeast reaches its limit, about {tolerance_abv_percent:abv}. The limit is known to about 1.5 % only, so the final gravity may lie 0.01 to either side: stabilise before bottling.",
    ),
    saying(
        "secondary_can_ferment",
        "It can start again",
        "{name} brings sugar after the first fermentation and can set it off again. Leave room for foam, keep the airlock on, and wait for two equal readings before bottling.",
    ),
    saying(
        "acid_not_counted",
        "Acid not counted",
        "{name} has no strength written down, so the acidity shown leaves it out.",
    ),
    saying(
        "acid_before_fermenting",
        "Acid too early",
        "{name} goes in before fermenting. A honey must holds its pH poorly and a low pH stalls the yeast: add acid at the end, by taste.",
    ),
    saying(
        "much_organic_feed",
        "Much organic feed",
        "{grams_per_l:dose} of organic feed is more than the usual 1 g/L. It costs more than it helps, and it can be tasted.",
    ),
    saying(
        "ammonium_ceiling",
        "Ammonium at its ceiling",
        "The plan stops at {ammonium_mg_per_l:mg_per_l} of ammonium nitrogen, where the rules for wine in the United States draw it; look up your own. What is left has to come from an organic feed, or need not come at all.",
    ),
    saying(
        "feed_beyond",
        "More than helps",
        "{beyond_mg_per_l:mg_per_l} of the nitrogen that could be given is more than helps. That is no shortfall: leave it out.",
    ),
    saying(
        "no_feed",
        "No food for the yeast",
        "The must lacks {deficit_mg_per_l:mg_per_l} of nitrogen and no feed is in the recipe. Honey brings next to none: without feed expect it to be slow, to stick, or to smell of eggs.",
    ),
    saying(
        "stir_before_feeding",
        "It foams over",
        "Stir the gas out before any powder goes in, then add it a little at a time.",
    ),
    saying(
        "very_strong_must",
        "A very strong must",
        "{og:gravity} is hard on any yeast. Begin lower and feed the rest of the honey in steps as it ferments.",
    ),
    saying(
        "outside_yeast_temperature",
        "Wrong temperature for this yeast",
        "{temperature_c:temperature} is planned; this yeast works well from {low_c:temperature} to {high_c:temperature}.",
    ),
    saying(
        "vessel_too_small",
        "It does not fit",
        "{fill_l:volume} do not go into a vessel of {brim_l:volume}. Take one of {wanted_brim_l:volume} to the brim, or make less.",
    ),
    saying(
        "foam_may_overflow",
        "Little room for foam",
        "{fill_l:volume} in a vessel of {brim_l:volume} may foam over. {wanted_brim_l:volume} to the brim would be right.",
    ),
    saying(
        "stabilise_before_bottling",
        "Bottles can burst",
        "About {residual_sugar_g_per_l:g_per_l} of sugar stay. In a closed bottle it can ferment on and burst the glass: stabilise first, and bottle only after two equal readings 14 days apart.",
    ),
    saying(
        "sweetening_unused",
        "Sweetening not used",
        "{name} is there to sweeten with, but this mead is not sweetened.",
    ),
    saying(
        "filler_amount_unused",
        "Amount not used",
        "{name} fills up to the volume, so the amount written beside it is not used.",
    ),
    saying(
        "hot_pepper",
        "Hot pepper",
        "Wear gloves with {name}, keep your hands off your face, and open a window when you heat it. Begin with little: it keeps drawing.",
    ),
    saying(
        "fruit_stones",
        "Stones",
        "Take the stones out of {name}, or keep them whole and few. Crushed, they set cyanide free.",
    ),
    saying(
        "raw_elderberry",
        "Raw elderberries make ill",
        "Use ripe berries of {name} only, without stems and leaves, and heat them first.",
    ),
    saying(
        "hot_honey",
        "Hot honey burns",
        "Cooking {name} climbs and spits: a kettle four times as large as the honey, gloves and long sleeves, no children near. Off the heat, add hot water a little at a time, at arm’s length.",
    ),
    saying(
        "carbon_dioxide",
        "Gas that takes the air away",
        "Fermenting gives off about {gas_l:volume} of carbon dioxide. Air the room, a cellar or a cupboard above all, and never put your head into the vessel.",
    ),
];

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
        "Take the stones out of {name}, or keep them whole, few and not for long. Crushed, they set cyanide free.",
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
    saying(
        "refused_plant",
        "Leave this out",
        "{name}: {why:reason}. It does not go into a drink, in no dose, and may be forbidden where you live. When in doubt ask a poison information centre.",
    ),
    saying(
        "plant_with_care",
        "With care only",
        "{name}: {why:reason}. Look up your local rules, and ask a doctor or pharmacist if it concerns you.",
    ),
    saying(
        "allergen",
        "Tell your guests",
        "{name} brings {allergen:reason}. Some people react to it badly: say so on the label and at the table. Where a drink is sold it must be named; look up your local rules.",
    ),
    saying(
        "keep_from_dogs",
        "Not for dogs",
        "{name} is poisonous to dogs: keep what is left of it away from them.",
    ),
    saying(
        "urea_as_feed",
        "No urea",
        "{name}: with alcohol urea becomes a substance that causes cancer. Take another feed.",
    ),
    saying(
        "vessel_material",
        "The wrong vessel",
        "{name} may give lead, zinc or copper to a sour must. Take a vessel sold for food: glass, stainless steel, or plastic that is meant for it.",
    ),
    saying(
        "honey_and_infants",
        "Not for infants",
        "With so little alcohol the honey matters: none for children under twelve months, for spores in honey can make them gravely ill.",
    ),
    saying(
        "sulfite_asthma",
        "Sulfite",
        "{name} can set off asthma in people who are sensitive to it: tell your guests. Do not breathe in the powder, and never bring it together with bleach, nor dry with acid.",
    ),
    saying(
        "sulfite_before_yeast",
        "Sulfite before the yeast",
        "With {name} in the must wait 24 hours before the yeast goes in, and stir well.",
    ),
    saying(
        "much_sulfite",
        "Much sulfite",
        "{so2_mg_per_l:mg_per_l} of sulfur dioxide is more than the {most_mg_per_l:mg_per_l} that wine of this kind may hold. Look up your local rules, and take less.",
    ),
    saying(
        "stabilisers_missing",
        "Nothing keeps it sweet",
        "Sugar stays, and neither sulfite nor sorbate keeps yeast from it. For this batch that is {metabisulfite_low_g:grams} to {metabisulfite_high_g:grams} of potassium metabisulfite, and {sorbate_g:grams} of potassium sorbate the same or the next day. Look up your local rules.",
    ),
    saying(
        "sorbate_without_sulfite",
        "Sorbate needs sulfite",
        "Without sulfite bacteria turn {name} into a smell of geranium that nothing cures. Add sulfite first.",
    ),
    saying(
        "sorbate_before_fermenting",
        "Sorbate too early",
        "{name} keeps yeast from multiplying, so it has no place before the fermentation is over. Add it when stabilising.",
    ),
    saying(
        "sorbate_with_malolactic",
        "Sorbate and bacteria",
        "{name} and sorbate together end in a smell of geranium that nothing cures. Leave one of them out.",
    ),
    saying(
        "much_sorbate",
        "Much sorbate",
        "{sorbic_acid_mg_per_l:mg_per_l} of sorbic acid is more than the {most_mg_per_l:mg_per_l} that wine may hold in many places, and it can be tasted. Take less.",
    ),
    saying(
        "bottles_for_pressure",
        "Bottles that bear pressure",
        "Gas in a bottle can burst it: take only bottles made for pressure, a closed box around them, eye protection, and never shake them. Add no more sugar than for the gas wanted.",
    ),
    saying(
        "sparkling_with_sugar",
        "Bottles can burst",
        "{residual_sugar_g_per_l:g_per_l} of sugar stay, enough for {volumes_co2:points} volumes of gas. Stabilised it stays flat, not stabilised it can burst any bottle: keep it dry, or sweeten with what does not ferment, or put it into a keg.",
    ),
    saying(
        "may_stay_flat",
        "It may stay flat",
        "At {abv_percent:abv} the yeast that is left may make no gas in the bottle. Add a fresh yeast that bears it, and be patient.",
    ),
    saying(
        "bottle_yeast_too_weak",
        "Yeast too weak for the bottle",
        "{name} bears about {tolerance_abv_percent:abv} and meets {abv_percent:abv}: it will make no gas. Choose a stronger one.",
    ),
    saying(
        "later_yeast_too_weak",
        "Later yeast too weak",
        "{name} bears about {tolerance_abv_percent:abv} and meets {abv_percent:abv}: it will do nothing. Choose a stronger one, or pitch it first.",
    ),
    saying(
        "mixed_yeasts",
        "Several yeasts at once",
        "The numbers take the strongest of them, up to {tolerance_abv_percent:abv}, and the neediest for the feeding. One may drive out the others.",
    ),
    saying(
        "yeast_starts_again",
        "It may start again later",
        "{name} can eat what other yeasts leave, months later. Wait for equal readings for weeks, or put it into a keg; in bottles it can burst the glass.",
    ),
    saying(
        "stops_half_way",
        "It stops half-way",
        "{name} seldom ends a fermentation. Follow it with a wine yeast after two or three days.",
    ),
    saying(
        "fruit_cap",
        "Fruit floats",
        "{kg:mass} of fruit float up: wet the cap twice a day, better still bag the fruit, skim mould early, and take it out in time. A mould all over it, or a rotten smell, means throw it away.",
    ),
    saying(
        "narrow_mouth",
        "A narrow mouth",
        "{kg:mass} of fruit go badly in and out through a narrow mouth, and can block it. Take a bucket or another wide vessel.",
    ),
    saying(
        "fresh_fruit",
        "Fresh fruit",
        "It brings yeasts of its own. Freeze and thaw it, or give {metabisulfite_g:grams} of potassium metabisulfite and wait 24 hours before the yeast.",
    ),
    saying(
        "whole_fruit_keeps_sugar",
        "Whole fruit keeps its sugar",
        "{name}, whole, gives only about half of its sugar in the first ten days, so the hydrometer reads low at first. Crush it, or freeze and thaw it.",
    ),
    saying(
        "enzyme_before_yeast",
        "Time for the enzyme",
        "{name} goes in twelve hours before the yeast, and never into a hot must.",
    ),
    saying(
        "dose_above_usual",
        "More than usual",
        "{grams_per_l:dose} of {name} is much: up to {usual_g_per_l:dose} is usual. Begin low and taste; more can be added, none taken out.",
    ),
    saying(
        "contact_too_long",
        "Longer than usual",
        "{days:points} days with {name} is long: up to {most_days:points} is usual. Taste every few days and take it out in time.",
    ),
    saying(
        "long_in_bucket",
        "Too long in a bucket",
        "{days:points} days is long for a bucket, which lets air in: past {most_days:points} days take glass or steel, filled to the neck.",
    ),
    saying(
        "honey_holds_ph_poorly",
        "The pH may fall far",
        "A plain honey must holds its pH poorly, and below 3.1 yeast can stall. Have {low_g:grams} to {high_g:grams} of potassium bicarbonate ready, measure at the one-third break, and stir the gas out before any goes in.",
    ),
    saying(
        "high_fructose_honey",
        "Slow to the end",
        "{name} holds much fruit sugar, which a tired yeast leaves. Feed well, or expect it a little sweeter.",
    ),
    saying(
        "high_demand",
        "A great hunger",
        "This yeast could take {demand_mg_per_l:mg_per_l} of nitrogen in so strong a must. All of it would be too much: what is planned is enough, if it goes in early.",
    ),
    saying(
        "gravity_outside_strength",
        "Strength and gravity differ",
        "{og:gravity} is outside {low_sg:gravity} to {high_sg:gravity}, where meads of this strength usually begin. The strength counts.",
    ),
    saying(
        "much_acid",
        "Sharp",
        "{ta_g_per_l:g_per_l} of acid is sharp for most: sweeten it, blend it, or take less of what is sour.",
    ),
    saying(
        "little_acid",
        "Flat",
        "{ta_g_per_l:g_per_l} of acid tastes flat to most. Add some at the end, by taste.",
    ),
    saying(
        "water_report_uneven",
        "The report does not add up",
        "The charges in the water report miss each other by {imbalance_percent:points} %: a figure may be missing or mistyped. Look at it once more.",
    ),
    saying(
        "water_without_minerals",
        "Water without minerals",
        "{ions_mg_per_l:mg_per_l} in all is as good as distilled water. Honey brings few minerals, and yeast wants them: use tap water in part, or give mineral salts and a full feed.",
    ),
    saying(
        "salt_does_not_dissolve",
        "It does not dissolve",
        "{grams_per_l:dose} of {name} is more than plain water takes up ({most_g_per_l:dose}). Add it to the sour must, or take a salt that dissolves.",
    ),
    saying(
        "water_report_unused",
        "Water report not used",
        "No water goes into this must, so its report says nothing here.",
    ),
    saying(
        "lower_ph_first",
        "Lower the pH first",
        "{free_mg_per_l:mg_per_l} free is a great deal, and what binds comes on top. At a pH this high sulfite protects little: lower the pH, or be content with 0.5 mg/L molecular.",
    ),
    saying(
        "sulfite_fumes",
        "Do not breathe it",
        "Sulfite powder and its solution give off a gas that harms the lungs, worst of all with acid: weigh it by an open window, never mix it with acid, bleach or peroxide. It can bring on an attack in some people with asthma: tell everybody you pour for.",
    ),
    saying(
        "sorbate_needs_sulfite",
        "Never sorbate alone",
        "Sorbate stops no yeast at work: rack the clear mead first. Give it together with sulfite, and never where lactic bacteria have been: they turn it into a smell of geraniums that nothing takes out.",
    ),
    saying(
        "acid_handling",
        "Acid hurts the eyes",
        "Wear goggles and gloves with {name:word} acid, stir the acid into the liquid and not the other way round, and never let it meet bleach or sulfite in a closed room.",
    ),
    saying(
        "caustic",
        "A caustic powder",
        "Goggles and gloves: {name:word} burns eyes and skin. Add the powder to the liquid a little at a time.",
    ),
    saying(
        "neutraliser_foams",
        "It foams",
        "Stir {name:word} in a little at a time and leave room above: it sets gas free. Give half, wait a day, measure and taste, then decide.",
    ),
    saying(
        "gas_in_bottles",
        "Bottles can burst",
        "{volumes:points} volumes press with {pressure_bar:pressure} at {temperature_c:temperature}. Use only bottles made for that (at least {most_volumes:points} volumes), all of one kind, in a closed box, and eye protection when you handle them. Never fill a mead that may still ferment.",
    ),
    saying(
        "bottle_too_weak",
        "This bottle may burst",
        "{volumes:points} volumes press with {pressure_bar:pressure} at {temperature_c:temperature}; such a bottle may hold {most_volumes:points}. Take a stronger bottle or less gas, and chill and vent what is filled already, with eye protection and gloves.",
    ),
    saying(
        "gas_under_pressure",
        "A vessel under pressure",
        "{pressure_bar:pressure} stand on the keg: only in a keg made for it with a working relief valve, never in glass. Chain the cylinder, use a regulator, and air the room: the gas takes the air away.",
    ),
    saying(
        "counts_on_sugar",
        "It counts on what is left",
        "{fermentable_g_per_l:g_per_l} of sugar are reckoned to turn into gas. If more is left, more gas comes: bottle only after two equal readings 14 days apart.",
    ),
    saying(
        "never_read_at_once",
        "No hydrometer reads it",
        "All that goes in would make {og:gravity} together. You never see it: write down each gravity before and after feeding, and reckon the strength from the honey.",
    ),
];

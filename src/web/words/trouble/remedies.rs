//! What to do, in the reader's units, and the same where an amount is not known.

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
        "pour_it_away",
        "Pour it away",
        "Do not taste it and do not breathe over it. Pour all of it away, clean everything, then sanitise.",
    ),
    saying(
        "look_closely",
        "Look and smell first",
        "Fur or a coloured spot, or a strong smell of nail varnish or vinegar, decides everything else. Do not taste before you know.",
    ),
    saying(
        "read_gravity",
        "Take a reading",
        "Stir the gas out, read the gravity, write it into the log, and look here again.",
    ),
    saying(
        "leave_it",
        "Leave it alone",
        "It works. Keep it at its temperature and under its airlock.",
    ),
    saying(
        "wait_for_the_start",
        "Wait",
        "Give it {hours:whole} hours more, warm and closed. Then take a reading.",
    ),
    saying(
        "warm_it",
        "Warm it",
        "Bring the must to between {low_c:temperature} and {high_c:temperature}, slowly, over a day: a warmer room, a blanket. Never heat a closed vessel.",
    ),
    saying(
        "cool_it",
        "Cool it",
        "Bring the must to between {low_c:temperature} and {high_c:temperature}: a cellar, wet towels, a tub of water.",
    ),
    saying(
        "measure_ph",
        "Measure the pH",
        "Add nothing on a guess. Under 3.1 it is helped by potassium bicarbonate.",
    ),
    saying(
        "raise_ph",
        "Raise the pH a little",
        "At {ph:hundredths}, stir the gas out first, then stir in {grams:grams} of potassium bicarbonate in pinches: it foams. Measure again after an hour; once more as much if it is still under {least_ph:hundredths}.",
    ),
    saying(
        "air_out_sulfite",
        "Air the sulfite out",
        "Stir hard in an airy room, several times within a day, then pitch. What comes off bites: keep your face away, and leave it to somebody without asthma.",
    ),
    saying(
        "pitch_again",
        "Pitch once more",
        "Wake {yeast_g:grams} of fresh yeast in {water_g:grams} of warm water, at the temperature that its packet names. Bring it to within 10 °C of the must with a little must every five minutes, then pour it in.",
    ),
    saying(
        "stir_up",
        "Stir it up",
        "Bring the sediment up with a long spoon, slowly, twice a day, without splashing. Gas comes out: begin gently, or it foams over.",
    ),
    saying(
        "feed_now",
        "Feed it now",
        "It can take {mg_per_l:mg_per_l} of nitrogen today: {dap_g:grams} of diammonium phosphate, or {organic_g:grams} of organic feed, not both. Stir the gas out first, then add the powder a little at a time.",
    ),
    saying(
        "feed_organic_only",
        "Organic feed only",
        "It no longer takes up ammonium. {organic_g:grams} of organic feed or yeast hulls may still help. Stir the gas out first.",
    ),
    saying(
        "no_more_feed",
        "No more feed",
        "It can no longer use any; what it leaves can be tasted, and spoilers live on it.",
    ),
    saying(
        "rack_off",
        "Rack it off the sediment",
        "Into a clean vessel, filled to the neck. Once it is quiet, splash as little as you can.",
    ),
    saying(
        "no_copper",
        "No copper",
        "Copper wire or coins take the smell away and leave copper behind, which is poisonous in small amounts. Leave it to those who can measure it, as the rules of your country say.",
    ),
    saying(
        "air_the_room",
        "Air the room",
        "What smells of eggs is poisonous in a closed room, and so is the gas that comes with it. Open a window while you stir, and keep your head out of the vessel.",
    ),
    saying(
        "rack_from_under",
        "Rack from under it",
        "Draw the mead out from below the film, leave the last finger’s breadth behind, and clean the vessel well. Do not stir the film in.",
    ),
    saying(
        "top_up",
        "Fill it up",
        "{litres:volume} of a sound mead like it bring it to the neck; or take a smaller vessel.",
    ),
    saying(
        "add_sulfite",
        "Sulfite",
        "{grams:grams} of potassium metabisulfite bring it to {free_mg_per_l:mg_per_l} free. Dissolve it in cold water at an open window, and do not breathe the powder. Some people with asthma cannot bear sulfite: write it on the bottles, and say so before you pour.",
    ),
    saying(
        "measure_for_sulfite",
        "Measure before sulfite",
        "Without pH and free sulfite there is no exact dose. Measure both, and do not guess: some people with asthma cannot bear sulfite.",
    ),
    saying(
        "clear_the_airlock",
        "Let the pressure out",
        "A stopped airlock builds up pressure, and the vessel or its lid can burst. Do not lean over it. Put a cloth over the lid, lift the airlock from the side, rinse it, and put it back.",
    ),
    saying(
        "wide_hose",
        "A wide hose",
        "For the first days lead the gas through a wide hose into a jar of water in place of the airlock.",
    ),
    saying(
        "take_some_out",
        "Take some out",
        "Draw off about {litres:volume} into a second clean vessel under its own airlock, and put it back once the foam is down.",
    ),
    saying(
        "stir_before_powder",
        "Stir before powder",
        "Before any powder, fruit or honey goes in, stir the gas out slowly until it stays calm; then add a little at a time.",
    ),
    saying(
        "wait_to_clear",
        "Wait",
        "Give it {days:whole} days more in a cool, quiet place.",
    ),
    saying(
        "add_pectinase",
        "Pectinase",
        "As much as its packet says, at room temperature. It is slow once there is alcohol: allow two weeks.",
    ),
    saying(
        "fine_it",
        "Fine it",
        "A fining, as much as its packet says, then two weeks in the cool, then rack. Some finings come from fish, milk, egg or shellfish: write that on the bottles.",
    ),
    saying(
        "haze_is_harmless",
        "A haze hurts nobody",
        "It may be drunk as it is, if it smells and tastes right and has no bubbles that it should not have.",
    ),
    saying(
        "do_not_bottle",
        "Do not bottle it",
        "What works, or stopped with sugar left, can start again in the bottle and burst the glass. Bottle only after two equal readings 14 days apart at room temperature, with no sugar left, or stabilised.",
    ),
    saying(
        "it_has_ended",
        "It has ended",
        "Take a second reading 14 days after the last, with the gas stirred out. If they are equal, go on; leave it under its airlock until then.",
    ),
    saying(
        "it_stands_still",
        "It is finished",
        "Two equal readings, two weeks apart, say so. Nothing is wrong: go on to clearing it, and to the bottle.",
    ),
    saying(
        "keep_it_sweet",
        "Keep it as it is",
        "The yeast has done what it can. Let it clear, rack it, then sulfite by its pH and {sorbate_g:grams} of potassium sorbate on the same or the next day, and two weeks under the airlock. Without both it can start again in the bottle and burst the glass.",
    ),
    saying(
        "no_restart",
        "It stays as it is",
        "A stabilised mead does not ferment on, and fresh yeast dies in it. Blend it with a dry one, or drink it sweet.",
    ),
    saying(
        "restart",
        "Start it again",
        "Only when all else is put right. Wake {yeast_g:grams} of a strong yeast in {water_g:grams} of warm water, with what protects it. Once it foams, add {first_l:volume} of the mead; each time it works again, as much mead as the starter is, {times:whole} times in all. The {starter_l:volume} then go into the rest, at the same temperature. No ammonium.",
    ),
    saying(
        "wait_to_mellow",
        "Taste again later",
        "Give it {days:whole} days more, full to the neck and cool, before you change anything.",
    ),
    saying(
        "soften_acid",
        "Soften the acid",
        "Try it in a glass first. {grams:grams} of potassium bicarbonate take half a gram of acid out of each litre; stir the gas out first, for it foams. Taste after a day.",
    ),
    saying(
        "try_in_a_glass",
        "Try it in a glass",
        "A little honey, a drop of acid, some of another mead, each in its own glass, before anything goes into the vessel. Honey goes into it only once it is stabilised.",
    ),
    saying(
        "keep_air_out",
        "Keep the air out",
        "From now on full to the neck, racked without splashing, and as seldom as may be. What air has done stays; drink it young, or blend it.",
    ),
    saying(
        "no_sugar_on_a_guess",
        "No sugar on a guess",
        "Never open the bottles to add more sugar: if the first dose begins to work after all, they burst. Keep them in a closed box, and wear goggles when you open one.",
    ),
    saying(
        "warm_the_bottles",
        "Warm the bottles",
        "At {warm_c:temperature} or a little more for {days:whole} days, in a closed box, away from people. Then open one, cold, in a cloth, with goggles on.",
    ),
    saying(
        "use_a_keg",
        "Gas from a cylinder",
        "In a keg it sparkles whatever its yeast does. Only in a keg with a working relief valve, the cylinder chained; no glass under gas that was not made for it.",
    ),
    saying(
        "bottle_yeast",
        "Yeast for the bottles",
        "{yeast_g:grams} of fresh, strong yeast, shared out evenly, may do it; at such a strength it may stay without bubbles. Only if the sugar in the bottles is known and the bottles are made for pressure: else they burst.",
    ),
    saying(
        "add_acid",
        "A little acid",
        "Try it in a glass first. {grams:grams} of tartaric acid add half a gram to each litre. Only once it has ended: before that, acid stalls the yeast.",
    ),
];

/// The same where an amount is not known.
pub(super) const WITHOUT_AMOUNTS: &[Saying] = &[
    saying(
        "wait_for_the_start",
        "Wait",
        "Give it three days from the pitch, warm and closed. Then take a reading.",
    ),
    saying(
        "raise_ph",
        "Raise the pH a little",
        "Stir the gas out first, then stir in 0.25 g of potassium bicarbonate for each litre, in pinches: it foams. Measure again after an hour.",
    ),
    saying(
        "pitch_again",
        "Pitch once more",
        "As much fresh yeast as for a new must, woken in ten times its weight of warm water, brought to the temperature of the must step by step.",
    ),
    saying(
        "feed_now",
        "Feed it now",
        "A quarter of the plan’s nitrogen. Stir the gas out first, then add the powder a little at a time.",
    ),
    saying(
        "feed_organic_only",
        "Organic feed only",
        "It no longer takes up ammonium. At most 0.4 g of organic feed for each litre may still help. Stir the gas out first.",
    ),
    saying(
        "top_up",
        "Fill it up",
        "A sound mead like it, to the neck; or take a smaller vessel.",
    ),
    saying(
        "take_some_out",
        "Take some out",
        "Draw some off into a second clean vessel under its own airlock, and put it back once the foam is down.",
    ),
    saying(
        "wait_to_clear",
        "Wait",
        "Give it two months from the mixing day in a cool, quiet place.",
    ),
    saying(
        "keep_it_sweet",
        "Keep it as it is",
        "The yeast has done what it can. Let it clear, rack it, then sulfite and sorbate on the same or the next day, and two weeks under the airlock. Without both it can start again in the bottle and burst the glass.",
    ),
    saying(
        "restart",
        "Start it again",
        "Only when all else is put right. Wake 0.5 g of a strong yeast for each litre in ten times its weight of warm water; once it foams, double it with the mead each time it works again, until it is a tenth of the batch. No ammonium.",
    ),
    saying(
        "wait_to_mellow",
        "Taste again later",
        "Give it four months from the mixing day before you change anything.",
    ),
    saying(
        "soften_acid",
        "Soften the acid",
        "Try it in a glass first, with a little potassium bicarbonate; it foams. Taste after a day.",
    ),
    saying(
        "bottle_yeast",
        "Yeast for the bottles",
        "0.1 to 0.2 g of fresh, strong yeast for each litre may do it. Only if the sugar in the bottles is known and the bottles are made for pressure: else they burst.",
    ),
    saying(
        "add_acid",
        "A little acid",
        "Try it in a glass first: half a gram of tartaric acid for each litre. Only once it has ended: before that, acid stalls the yeast.",
    ),
];

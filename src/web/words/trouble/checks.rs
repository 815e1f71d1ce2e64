//! What to look at, as questions, and what each answer means.

/// A check in words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Question {
    pub code: &'static str,
    /// What is asked.
    pub asks: &'static str,
    /// What it means when it is so, when it is not, and how to find out.
    pub yes: &'static str,
    pub no: &'static str,
    pub not_known: &'static str,
}

const fn question(
    code: &'static str,
    asks: &'static str,
    yes: &'static str,
    no: &'static str,
    not_known: &'static str,
) -> Question {
    Question {
        code,
        asks,
        yes,
        no,
        not_known,
    }
}

#[rustfmt::skip]
pub(super) const QUESTIONS: &[Question] = &[
    question(
        "lid_leaks", "Does the lid leak?",
        "The gas goes out beside the airlock, so a silent airlock says nothing. That does no harm while it works.",
        "The lid is tight, so the airlock can be believed.",
        "Press on the lid: if the water in the airlock does not move, it leaks. Bucket lids often do.",
    ),
    question(
        "working_after_all", "Has the gravity fallen?",
        "It fell from {og:gravity} to {sg:gravity}: it works, whatever the airlock does.",
        "It stands at {sg:gravity}, where it began.",
        "Take a reading. Nothing else tells for sure.",
    ),
    question(
        "first_days", "Is it still in its first three days?",
        "It was pitched {hours:whole} hours ago. It may take 72 until one sees anything, and foams most readily now.",
        "Three days have passed since the pitch: by now it should be seen.",
        "When was it pitched? Until 72 hours have passed there is no need to worry.",
    ),
    question(
        "too_cold", "Is it too cold?",
        "It is at {temperature_c:temperature}; this yeast likes {low_c:temperature} or more.",
        "It is warm enough, at {temperature_c:temperature}.",
        "Measure the must, not the room, and look up what the yeast likes.",
    ),
    question(
        "too_warm", "Is it too warm?",
        "It is at {temperature_c:temperature}; this yeast likes {high_c:temperature} or less. What works is warmer than its room.",
        "It is not too warm, at {temperature_c:temperature}.",
        "Measure the must, not the room, and look up what the yeast likes.",
    ),
    question(
        "low_ph", "Is its pH too low?",
        "It is at {ph:hundredths}. Under {least_ph:hundredths} yeast begins to suffer, and honey holds its pH poorly.",
        "It is at {ph:hundredths}, which yeast bears.",
        "Measure the pH if you can. A honey must often falls under 3.1 in its first days.",
    ),
    question(
        "sulfited_lately", "Did sulfite go in less than a day ago?",
        "{hours:whole} hours ago: that holds the yeast down until it has gone off.",
        "The last sulfite is {hours:whole} hours old and has gone off.",
        "Was the fruit or the must sulfited? Wait a day between sulfite and yeast.",
    ),
    question(
        "very_strong", "Is the must very strong?",
        "{og:gravity} is a hard start for any yeast. It takes its time.",
        "{og:gravity} is nothing unusual.",
        "What was its gravity at the pitch?",
    ),
    question(
        "little_yeast", "Was it little yeast?",
        "{given_g_per_l:dose} went in; {usual_g_per_l:dose} are usual for such a must.",
        "{given_g_per_l:dose} is enough for such a must.",
        "How much yeast went in, and was it within its date?",
    ),
    question(
        "hungry", "Is it hungry?",
        "It has had {given_mg_per_l:mg_per_l} of nitrogen of the {target_mg_per_l:mg_per_l} that the plan wants in all.",
        "It has had {given_mg_per_l:mg_per_l} of nitrogen, which is what it needs.",
        "Which feeds went in? Honey alone brings next to none.",
    ),
    question(
        "feed_too_late", "Is it too late to feed?",
        "Past a third of the fall, or past 9 % of alcohol, yeast no longer takes up what powders with ammonium bring. What is left of them can be tasted, and feeds others.",
        "A third of its fall is not done, and it is under 9 %: it still takes up all feeds.",
        "Take a reading: until a third of the fall is done, and under 9 %, it takes up all feeds.",
    ),
    question(
        "on_lees", "Does it stand on its sediment?",
        "For {days:whole} days. Dead yeast gives off smells.",
        "{days:whole} days are nothing to worry about.",
        "Was it racked since it went quiet?",
    ),
    question(
        "air_above", "Is there much air above it?",
        "{headspace_percent:whole} % of the vessel are empty. What lives on air grows there.",
        "The vessel is full enough, or its own gas keeps the air away.",
        "How much of the vessel is empty? Once it is quiet, it should be full to the neck.",
    ),
    question(
        "aired_late", "Was air stirred in late?",
        "After the first third of the fall, air makes it taste of sherry, or of wet paper.",
        "No air was stirred in after the first third of the fall.",
        "Was it stirred with air, or splashed, after the first days?",
    ),
    question(
        "fur_seen", "Is there fur, or a spot in colour?",
        "Fur is mould, in any colour.",
        "A skin without fur is mostly yeast that lives on air.",
        "Look from the side with a lamp: fur stands up, a skin lies flat.",
    ),
    question(
        "nail_varnish", "Does it smell strongly of nail varnish or vinegar?",
        "That is a solvent, or vinegar, and neither goes away.",
        "It does not.",
        "Leave a glass standing open for a day and smell again. Do not taste it if it has fur on it.",
    ),
    question(
        "rotten_smell", "Does it smell of rot, not of eggs alone?",
        "Rotten meat or sewage is something else than eggs.",
        "It is the smell of eggs, matches or rubber that yeast makes.",
        "Wave a little towards your nose. Eggs are yeast; rotten meat or sewage is something else.",
    ),
    question(
        "too_full", "Is the vessel too full?",
        "{headspace_percent:whole} % of it are empty; 15 % should be while it works, and more with fruit or malt.",
        "{headspace_percent:whole} % of it are empty, which is enough for a plain mead.",
        "How much of it is empty? 15 % should be while it works.",
    ),
    question(
        "gas_not_stirred_out", "Was the gas left in?",
        "It was last stirred out {hours:whole} hours ago. A powder frees at once what has gathered since.",
        "It was stirred out {hours:whole} hours ago.",
        "Was the gas stirred out before the powder went in?",
    ),
    question(
        "little_free_sulfite", "Is there little free sulfite?",
        "{free_mg_per_l:mg_per_l} are free; at its pH {wanted_mg_per_l:mg_per_l} protect.",
        "{free_mg_per_l:mg_per_l} are free, which protects at its pH.",
        "Measure pH and free sulfite.",
    ),
    question(
        "still_falling", "Does the gravity still fall?",
        "By {points_a_day:points} points a day: it works on.",
        "It stands still.",
        "Take two readings three days apart, with the gas stirred out.",
    ),
    question(
        "just_made", "Is it younger than two months?",
        "It is {days:whole} days old. Most clear by themselves in that time.",
        "It is {days:whole} days old and has had its time to clear.",
        "When was it mixed?",
    ),
    question(
        "young", "Is it younger than four months?",
        "It is {days:whole} days old. Heat, acid and sulfur mostly go in that time.",
        "It is {days:whole} days old: what bites now may stay.",
        "When was it mixed? Before four months have passed, taste again rather than mend.",
    ),
    question(
        "pectin", "Is it fruit without pectinase?",
        "Pectin from the fruit holds a haze that time does not clear.",
        "It is not that.",
        "Is fruit in it, and did pectinase go in?",
    ),
    question(
        "at_limit", "Is the yeast at its limit?",
        "It has made {abv_percent:abv}, and is said to bear {tolerance_abv_percent:abv}, give or take 1.5 %. It has done its work.",
        "It has made {abv_percent:abv} and is said to bear {tolerance_abv_percent:abv}.",
        "How strong is it by its readings, and what does the yeast bear?",
    ),
    question(
        "near_dry", "Is its sugar gone?",
        "About {sugar_g_per_l:g_per_l} are left. It has ended, even if the gravity is not what was expected.",
        "About {sugar_g_per_l:g_per_l} of sugar are left that yeast could use.",
        "Take a reading with the gas stirred out.",
    ),
    question(
        "is_stabilised", "Was it stabilised?",
        "Sulfite and sorbate keep its yeast from working, now and in the bottle.",
        "It was not stabilised: its yeast could work.",
        "Did sulfite and sorbate go in?",
    ),
    question(
        "hot_ferment", "Was it too warm while it worked?",
        "It reached {warmest_c:temperature}; this yeast likes {high_c:temperature} or less. Warm yeast makes what burns.",
        "It never got warmer than {warmest_c:temperature}.",
        "How warm was the must at its warmest?",
    ),
    question(
        "sour", "Is it very sour?",
        "It is sourer than most people like.",
        "Its acid is nothing unusual.",
        "Measure pH or acidity.",
    ),
    question(
        "little_acid", "Does it lack acid?",
        "It has less acid than gives a mead life.",
        "It has acid enough.",
        "Measure pH or acidity, or try a drop of lemon in a glass.",
    ),
    question(
        "meant_to_sparkle", "Was it meant to sparkle?",
        "It should have bubbles.",
        "It is a still mead, so it is the taste that lacks something.",
        "Was it primed, or put under gas?",
    ),
    question(
        "not_primed", "Was the priming left out?",
        "Nothing went in that could make gas.",
        "It was primed.",
        "Did sugar go into the bottles, or gas into the keg?",
    ),
    question(
        "short_in_bottle", "Is it short in the bottle?",
        "{days:whole} days are short: three weeks are usual, and strong meads take longer.",
        "{days:whole} days are long enough.",
        "When was it bottled?",
    ),
    question(
        "cold_bottles", "Do the bottles stand too cold?",
        "At {temperature_c:temperature} yeast makes hardly any gas.",
        "{temperature_c:temperature} is warm enough.",
        "How warm is it where they stand?",
    ),
    question(
        "too_strong_for_bottles", "Is it too strong?",
        "At {abv_percent:abv} many yeasts no longer make gas.",
        "{abv_percent:abv} is no hindrance.",
        "How strong is it?",
    ),
];

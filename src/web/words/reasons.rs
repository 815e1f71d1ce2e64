//! Why the engine decided as it did: style rules, feeding plan, vessel, what ends fermentation, as half sentences.

const REASONS: &[(&str, &str)] = &[
    ("makers_word", "the maker’s own word"),
    (
        "malt_over_60_percent_of_sugar",
        "malt brings more than 60 % of the sugar",
    ),
    (
        "malt_10_to_60_percent_of_sugar",
        "malt brings 10 to 60 % of the sugar",
    ),
    (
        "maple_over_15_percent_of_sugar",
        "maple brings more than 15 % of the sugar",
    ),
    (
        "browned_honey_over_half_of_honey",
        "more than half of the honey is browned",
    ),
    ("fruit_and_spice", "it has both fruit and spice"),
    (
        "apple_over_half_of_fruit",
        "more than half of the fruit is apple",
    ),
    (
        "grape_over_half_of_fruit",
        "more than half of the fruit is grape",
    ),
    (
        "berries_over_half_of_fruit",
        "more than half of the fruit is berries",
    ),
    (
        "stone_fruit_over_half_of_fruit",
        "more than half of the fruit has stones",
    ),
    (
        "other_or_mixed_fruit",
        "it has fruit of other or mixed kinds",
    ),
    ("hot_pepper", "it has hot pepper"),
    ("rose", "it has rose"),
    ("spice", "it has spice or herb"),
    ("nothing_but_honey", "nothing but honey gives it its taste"),
    ("amounts_not_solved", "the amounts are not known yet"),
    ("below_3_5_percent", "under 3.5 %, below the weakest word"),
    ("3_5_to_7_5_percent", "from 3.5 to under 7.5 %"),
    ("7_5_to_14_percent", "from 7.5 to under 14 %"),
    ("14_to_18_percent", "from 14 to 18 %"),
    ("above_18_percent", "over 18 %, above the strongest word"),
    ("below_0_990", "ends under 0.990"),
    ("0_990_to_1_010", "ends from 0.990 to under 1.010"),
    ("1_010_to_1_025", "ends from 1.010 to under 1.025"),
    ("1_025_to_1_050", "ends from 1.025 to 1.050"),
    ("above_1_050", "ends over 1.050"),
    (
        "all_at_pitch",
        "a must under 1.060 is fed all at once, with the yeast",
    ),
    (
        "four_parts",
        "a strong must is fed in four parts, at 24, 48 and 72 hours and at the one-third break",
    ),
    ("nothing_needed", "the must brings what the yeast needs"),
    ("no_feed", "no feed is in the recipe"),
    ("fits", "it fits, with room for foam"),
    (
        "foam_may_overflow",
        "it goes in, but leaves little room for foam",
    ),
    ("too_small", "it does not go in"),
    ("choose_a_vessel", "no vessel is chosen yet"),
    ("sugar", "the sugar runs out first"),
    ("tolerance", "the yeast reaches its limit first"),
    (
        "acid_leads",
        "the acid leads: it tastes dry and lively, whatever sugar is left",
    ),
    (
        "acid_a_little_ahead",
        "acid and sugar hold each other, the acid a little ahead",
    ),
    (
        "sugar_a_little_ahead",
        "acid and sugar hold each other, the sugar a little ahead",
    ),
    ("sugar_leads", "the sugar leads: it tastes sweet"),
    (
        "carcinogen",
        "it holds a substance that causes cancer and is banned from food in the United States",
    ),
    (
        "coumarin_forbidden",
        "it holds much coumarin, which harms the liver, and is banned from food in the United States",
    ),
    ("harms_liver_or_womb", "it poisons the liver or the womb"),
    ("pyrrolizidine", "it holds alkaloids that destroy the liver"),
    ("deadly", "it is deadly, even in small amounts"),
    (
        "poisonous_berry",
        "it is poisonous, and is taken for elderberry or grape",
    ),
    (
        "convulsant",
        "it causes convulsions, and is taken for the star anise of the kitchen",
    ),
    (
        "grayanotoxin",
        "it poisons heart and nerves, also through honey of its flowers",
    ),
    ("oxalate", "the leaves are poisonous: take the stalks only"),
    (
        "raw_elder",
        "leaves, stems and bark of elder make ill: take ripe, stripped berries, heated",
    ),
    ("cyanide", "it sets cyanide free, and a few can be too many"),
    ("poisonous_mushroom", "one mistaken mushroom can kill"),
    ("medicine", "drugs and medicines have no place in a drink"),
    (
        "not_food_grade",
        "it is not made for food, and may carry poison against pests",
    ),
    (
        "kidney_disease",
        "it is dangerous for people with kidney disease",
    ),
    ("cyanogenic", "raw or badly prepared it sets cyanide free"),
    (
        "botulism_in_oil",
        "kept in oil or with little acid it can grow the germs of botulism, so never store it in oil",
    ),
    (
        "coumarin",
        "it holds much coumarin, which harms the liver; the Ceylon kind holds next to none",
    ),
    (
        "coumarin_wilting",
        "it holds coumarin, the more the longer it wilts: a few grams at most, and briefly",
    ),
    (
        "thujone",
        "it holds thujone, which the law limits in drinks",
    ),
    (
        "nutmeg",
        "from about 5 g at once it is poisonous, so a little is all",
    ),
    ("drug_interactions", "it changes how many medicines work"),
    ("blood_pressure", "much of it raises the blood pressure"),
    (
        "buy_tested",
        "a poisonous kind looks the same, so buy tested food grade only",
    ),
    (
        "concentrated",
        "it is so strong that drops can be too much: food grade only",
    ),
    ("gluten", "gluten"),
    ("nuts", "nuts"),
    ("peanut", "peanut"),
    ("milk", "milk"),
    ("egg", "egg"),
    ("fish", "fish"),
    ("crustaceans", "something from crabs and shrimps"),
    ("soy", "soy"),
    ("mustard", "mustard"),
    ("celery", "celery"),
    ("sesame", "sesame"),
];

/// The half sentence of a rule, a reason or an advice; `None` for a code that has none.
pub fn reason(code: &str) -> Option<&'static str> {
    REASONS
        .iter()
        .find(|(known, _)| *known == code)
        .map(|(_, words)| *words)
}

//! What is entered at the competitions of the scenario, and what judges said of it.

use crate::demo::people::{DESMOND, INES, MAREN, OSKAR, PIA, TOBIAS};
use crate::engine::contest::declared::{Character, Sparkle, Sweetness};

/// A competition.
pub struct Told {
    pub title: &'static str,
    pub terms: &'static str,
    pub prizes: &'static str,
    pub days_ago: i64,
    pub categories: &'static [(&'static str, &'static str)],
    /// Judges, the first of them experienced, and stewards.
    pub judges: &'static [&'static str],
    pub stewards: &'static [&'static str],
    pub meads: &'static [Mead],
}

/// A mead that is entered.
pub struct Mead {
    pub by: &'static str,
    pub name: &'static str,
    /// Counted from 0.
    pub category: usize,
    pub abv_percent: f64,
    pub sweetness: Sweetness,
    pub sparkle: Sparkle,
    pub character: Character,
    pub special: &'static str,
    /// What its table agreed on.
    pub points: u32,
    /// What a judge wrote of its taste, and the fault that all of them ticked.
    pub said: &'static str,
    pub fault: &'static str,
    pub advice: &'static str,
}

/// A mead of which nothing is told.
pub const NOTHING: Mead = Mead {
    by: MAREN,
    name: "",
    category: 0,
    abv_percent: 11.5,
    sweetness: Sweetness::SemiSweet,
    sparkle: Sparkle::Still,
    character: Character::Plain,
    special: "",
    points: 30,
    said: "Sound, and the honey is there.",
    fault: "",
    advice: "Nothing that could not wait.",
};

/// The waters of the rehearsal have no meads behind them.
pub const SHOWN: &[Mead] = &[];

/// Over since a while: everybody reads its results.
pub const AUTUMN: Told = Told {
    title: "Autumn meads at the boat house",
    terms: "Three bottles of each mead, one of them kept back.\n\nWhoever drives spits: there are buckets at every table.",
    prizes: "A jar of heather honey for the best of the show, a glass for every first place.",
    days_ago: 40,
    categories: &[
        (
            "Plain honey",
            "Honey, water and yeast, whatever the strength.",
        ),
        ("With fruit", "Fruit or its juice, and no spice."),
        (
            "With spice",
            "Spice, herbs or flowers, with fruit besides or without.",
        ),
    ],
    judges: &[OSKAR, PIA],
    stewards: &[DESMOND],
    meads: &[
        Mead {
            name: "Plain and patient, last winter",
            abv_percent: 12.6,
            points: 43,
            said: "Long, clean, and the acid holds the sweetness.",
            advice: "Leave a bottle for another two years.",
            ..NOTHING
        },
        Mead {
            by: TOBIAS,
            name: "My first carboy",
            abv_percent: 11.9,
            sweetness: Sweetness::Dry,
            points: 27,
            said: "Honey behind it, but it burns on the way down.",
            fault: "hot",
            advice: "Keep it cooler in the first week.",
            ..NOTHING
        },
        Mead {
            by: INES,
            name: "Thyme slope",
            abv_percent: 13.2,
            sweetness: Sweetness::Sweet,
            points: 36,
            said: "Sweet, and something in it that stands up to that.",
            ..NOTHING
        },
        Mead {
            by: DESMOND,
            name: "Prairie, straight",
            abv_percent: 10.1,
            points: 33,
            ..NOTHING
        },
        Mead {
            by: INES,
            name: "Hedge, the wet year",
            category: 1,
            abv_percent: 12.4,
            character: Character::Fruit,
            special: "blackberries, 300 g/L",
            points: 41,
            said: "The berry leads and the honey follows; neither shouts.",
            ..NOTHING
        },
        Mead {
            by: INES,
            name: "Hedge, from the freezer",
            category: 1,
            abv_percent: 11.8,
            character: Character::Fruit,
            special: "blackberries, frozen",
            points: 38,
            said: "Softer than the other hedges, and quieter at the end.",
            ..NOTHING
        },
        Mead {
            by: MAREN,
            name: "Lower orchard",
            category: 1,
            abv_percent: 8.4,
            sparkle: Sparkle::Sparkling,
            sweetness: Sweetness::Dry,
            character: Character::Fruit,
            special: "apple juice",
            points: 34,
            said: "Bright, and gone quickly.",
            advice: "A little tannin would keep it longer in the mouth.",
            ..NOTHING
        },
        Mead {
            by: TOBIAS,
            name: "Cherries from next door",
            category: 1,
            abv_percent: 12.0,
            sweetness: Sweetness::Sweet,
            character: Character::Fruit,
            special: "sour cherries",
            points: 31,
            said: "Cherry first, cherry last.",
            fault: "cloying",
            advice: "Less sugar left, or more acid against it.",
            ..NOTHING
        },
        Mead {
            by: DESMOND,
            name: "Half and half",
            category: 2,
            abv_percent: 9.5,
            character: Character::Spice,
            special: "ginger",
            points: 37,
            said: "Ginger that warms and does not scratch.",
            ..NOTHING
        },
        Mead {
            by: MAREN,
            name: "Boat house winter",
            category: 2,
            abv_percent: 14.2,
            sweetness: Sweetness::Sweet,
            character: Character::Spice,
            special: "orange peel, clove",
            points: 35,
            said: "Clove at the edge of too much.",
            ..NOTHING
        },
        Mead {
            by: INES,
            name: "Rosemary and patience",
            category: 2,
            abv_percent: 12.9,
            character: Character::Spice,
            special: "rosemary",
            points: 40,
            said: "Resin and honey, in that order, for a long time.",
            ..NOTHING
        },
    ],
};

/// Judged, and its organiser looks through it.
pub const TASTED: Told = Told {
    title: "Small meads of the summer",
    terms: "Below 8 % alcohol. Two bottles are enough.",
    prizes: "",
    days_ago: 20,
    categories: &[("Small meads", "Everything below 8 %.")],
    judges: &[OSKAR, PIA],
    stewards: &[DESMOND],
    meads: &[
        Mead {
            by: TOBIAS,
            name: "Bucket and lemon",
            abv_percent: 5.5,
            sparkle: Sparkle::Sparkling,
            points: 32,
            ..NOTHING
        },
        Mead {
            by: INES,
            name: "Noon",
            abv_percent: 6.1,
            sweetness: Sweetness::Dry,
            points: 37,
            said: "Thirst is a judge too.",
            ..NOTHING
        },
        Mead {
            by: DESMOND,
            name: "Porch",
            abv_percent: 7.2,
            character: Character::Fruit,
            special: "peach",
            points: 29,
            fault: "thin",
            ..NOTHING
        },
        Mead {
            by: MAREN,
            name: "Thursday's glass",
            abv_percent: 6.8,
            points: 34,
            ..NOTHING
        },
    ],
};

/// Open: whoever looks around may enter.
pub const SPRING: Told = Told {
    title: "Spring meads",
    terms: "Everything that was begun since last spring.",
    prizes: "The first honey of the year.",
    days_ago: 5,
    categories: &[
        (
            "Plain honey",
            "Honey, water and yeast, whatever the strength.",
        ),
        ("With fruit or spice", "Everything else."),
    ],
    judges: &[OSKAR, PIA],
    stewards: &[DESMOND],
    meads: &[
        Mead {
            by: TOBIAS,
            name: "The second carboy",
            abv_percent: 11.0,
            ..NOTHING
        },
        Mead {
            by: INES,
            name: "Orange blossom, late",
            abv_percent: 12.5,
            sweetness: Sweetness::Sweet,
            ..NOTHING
        },
    ],
};

//! What the invented members have going, and what came of what they made before.

use super::people::{DESMOND, INES, MAREN, PIA, TOBIAS};
use crate::web::policy::Visibility;

/// One batch: whose, of which recipe, how long ago, and how it goes.
pub struct Told {
    pub by: &'static str,
    pub name: &'static str,
    pub recipe: &'static str,
    pub days_ago: i64,
    pub visibility: Visibility,
    pub must_c: f64,
    /// Days after the mixing → the part of its fall from OG to the natural FG that was gone.
    pub fall: &'static [(f64, f64)],
    /// How many feeds of the plan were given.
    pub feeds: usize,
    pub ph: Option<(f64, f64)>,
    pub notes: &'static [(f64, &'static str)],
    /// Days of rackings, then of the bottling.
    pub racked: &'static [f64],
    pub bottled: Option<f64>,
    /// Bottles that the plan had and that stayed empty.
    pub fewer_bottles: u32,
    /// The day of a trial in glasses.
    pub tried: Option<f64>,
    /// Days, how much it was liked of nine, and what was said.
    pub tasted: &'static [(f64, i32, &'static str)],
    /// The day on which it was poured for guests.
    pub poured: Option<f64>,
}

const NOTHING: Told = Told {
    by: MAREN,
    name: "",
    recipe: "",
    days_ago: 0,
    visibility: Visibility::Club,
    must_c: 19.0,
    fall: &[],
    feeds: 0,
    ph: None,
    notes: &[],
    racked: &[],
    bottled: None,
    tried: None,
    fewer_bottles: 0,
    tasted: &[],
    poured: None,
};

/// All of them.
pub const BATCHES: &[Told] = &[
    Told {
        name: "Plain and patient, this autumn",
        recipe: "Plain and patient",
        days_ago: 9,
        fall: &[
            (0.1, 0.0),
            (1.9, 0.09),
            (3.8, 0.27),
            (5.9, 0.47),
            (8.2, 0.66),
        ],
        feeds: 4,
        ph: Some((3.8, 3.4)),
        notes: &[(
            2.0,
            "Foamed up to the airlock when stirred; it smells of pears.",
        )],
        ..NOTHING
    },
    Told {
        name: "Lower orchard, in glass",
        recipe: "Lower orchard",
        days_ago: 130,
        must_c: 19.0,
        fall: &[
            (0.1, 0.0),
            (2.0, 0.15),
            (5.0, 0.5),
            (9.0, 0.86),
            (16.0, 0.99),
            (30.0, 1.0),
            (46.0, 1.0),
        ],
        feeds: 4,
        racked: &[32.0],
        ..NOTHING
    },
    Told {
        name: "Plain and patient, last winter",
        recipe: "Plain and patient",
        days_ago: 330,
        must_c: 18.0,
        fall: &[
            (0.1, 0.0),
            (3.0, 0.18),
            (6.0, 0.45),
            (10.0, 0.74),
            (16.0, 0.93),
            (24.0, 0.995),
            (38.0, 1.0),
        ],
        feeds: 4,
        racked: &[40.0, 110.0],
        tried: Some(130.0),
        bottled: Some(160.0),
        tasted: &[
            (112.0, 5, "Clear and a little sharp. The honey hides."),
            (190.0, 7, "The honey is back. Dry, long, worth the wait."),
            (300.0, 9, "The one for guests."),
        ],
        poured: Some(310.0),
        ..NOTHING
    },
    Told {
        by: TOBIAS,
        name: "My first carboy",
        recipe: "My first carboy",
        days_ago: 110,
        must_c: 21.0,
        fall: &[
            (0.2, 0.0),
            (2.0, 0.14),
            (5.0, 0.52),
            (9.0, 0.86),
            (15.0, 0.99),
            (30.0, 1.0),
        ],
        feeds: 3,
        racked: &[32.0],
        tried: Some(60.0),
        bottled: Some(88.0),
        tasted: &[(100.0, 5, "It is mead! Hot, though. Maren says: wait.")],
        ..NOTHING
    },
    Told {
        by: TOBIAS,
        name: "Barley in the cold room",
        recipe: "Mostly barley",
        days_ago: 6,
        visibility: Visibility::Private,
        must_c: 13.0,
        fall: &[(0.1, 0.0), (3.0, 0.02), (5.2, 0.035)],
        notes: &[(5.2, "Nothing much to hear. Is it asleep?")],
        ..NOTHING
    },
    Told {
        by: PIA,
        name: "For the Thursday after",
        recipe: "Thursday's small mead",
        days_ago: 1,
        fall: &[(0.1, 0.0)],
        feeds: 1,
        ..NOTHING
    },
    Told {
        by: INES,
        name: "Hedge, the wet year",
        recipe: "Hedge in August",
        days_ago: 75,
        must_c: 20.0,
        fall: &[
            (0.1, 0.0),
            (2.0, 0.2),
            (4.0, 0.5),
            (8.0, 0.9),
            (14.0, 0.99),
            (29.0, 1.0),
        ],
        feeds: 4,
        racked: &[30.0],
        tasted: &[(60.0, 7, "Blackberry first, honey after.")],
        ..NOTHING
    },
    Told {
        by: DESMOND,
        name: "Half and half in the steel",
        recipe: "Half and half",
        days_ago: 20,
        must_c: 22.0,
        fall: &[
            (0.1, 0.0),
            (1.0, 0.1),
            (3.0, 0.45),
            (6.0, 0.83),
            (12.0, 0.97),
            (18.0, 0.99),
        ],
        feeds: 2,
        ..NOTHING
    },
    // What was made a year ago: of these the club has figures of its own.
    Told {
        name: "Plain and patient, the first carboy",
        recipe: "Plain and patient",
        days_ago: 334,
        must_c: 17.5,
        fall: &[
            (0.1, 0.0),
            (3.0, 0.17),
            (7.0, 0.5),
            (12.0, 0.8),
            (19.0, 0.97),
            (28.0, 1.02),
            (44.0, 1.02),
        ],
        feeds: 4,
        racked: &[45.0, 120.0],
        bottled: Some(170.0),
        fewer_bottles: 1,
        tasted: &[
            (114.0, 3, "Sour and thin; the honey is far away."),
            (300.0, 7, "Wait longer, and less acid next time."),
        ],
        ..NOTHING
    },
    Told {
        name: "Plain and patient, the second carboy",
        recipe: "Plain and patient",
        days_ago: 332,
        must_c: 18.5,
        fall: &[
            (0.1, 0.0),
            (3.0, 0.2),
            (6.0, 0.48),
            (11.0, 0.8),
            (17.0, 0.96),
            (23.0, 1.01),
            (39.0, 1.01),
        ],
        feeds: 4,
        racked: &[41.0, 100.0],
        bottled: Some(150.0),
        fewer_bottles: 1,
        tasted: &[(110.0, 5, "Clean. A little hot, a little short.")],
        ..NOTHING
    },
    Told {
        by: INES,
        name: "Hedge, from the freezer",
        recipe: "Hedge in August",
        days_ago: 300,
        must_c: 22.0,
        fall: &[
            (0.1, 0.0),
            (2.0, 0.26),
            (4.0, 0.58),
            (7.0, 0.9),
            (12.0, 1.01),
            (27.0, 1.01),
        ],
        feeds: 4,
        racked: &[28.0],
        bottled: Some(120.0),
        fewer_bottles: 1,
        tasted: &[(150.0, 7, "Dark fruit, and dry to the end.")],
        ..NOTHING
    },
    Told {
        by: INES,
        name: "Hedge, the first bucket",
        recipe: "Hedge in August",
        days_ago: 305,
        must_c: 19.0,
        fall: &[
            (0.1, 0.0),
            (3.0, 0.28),
            (6.0, 0.66),
            (10.0, 0.9),
            (17.0, 0.97),
            (33.0, 0.97),
        ],
        feeds: 3,
        racked: &[34.0],
        bottled: Some(130.0),
        fewer_bottles: 1,
        tasted: &[(160.0, 5, "Good, with seeds at the bottom.")],
        ..NOTHING
    },
];

/// A refining series: batches by name, each with its question, its one change, what was expected, and the decision.
pub struct Refining {
    pub name: &'static str,
    pub aim: &'static str,
    pub days_ago: i64,
    pub steps: &'static [(&'static str, [&'static str; 4])],
}

/// Maren's.
pub const SERIES: Refining = Refining {
    name: "Plain and patient, less sharp",
    aim: "The honey should be there at a hundred days, not after a year.",
    days_ago: 330,
    steps: &[
        (
            "Plain and patient, the first carboy",
            [
                "How does it taste when nothing but the recipe is done?",
                "",
                "Honey first, acid after.",
                "Too sharp for too long. Without acid from now on, until it has aged.",
            ],
        ),
        (
            "Plain and patient, last winter",
            [
                "Is it rounder without acid?",
                "No acid before the second racking; all else as in the first carboy",
                "Rounder at a hundred days",
                "Rounder, yes. It stays so.",
            ],
        ),
        (
            "Plain and patient, this autumn",
            [
                "Does it keep more of the honey when it is fed later?",
                "The last feed a day later",
                "More smell of the honey",
                "",
            ],
        ),
    ],
};

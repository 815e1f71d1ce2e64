//! What an organiser fixes before a competition opens, and nobody changes afterwards.

use serde::{Deserialize, Serialize};

/// A section of the scoresheet with the most points that it gives.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Section {
    /// Stable within a sheet: `look`, `smell`, `taste`, `body`, `whole`, or one of the organiser's own.
    pub key: String,
    pub name: String,
    /// What to think of, in the club's words.
    pub prompt: String,
    /// Points, 1 to 100.
    pub most: u32,
}

/// From how many points on a mead is called what.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Band {
    /// Points.
    pub from: u32,
    pub words: String,
}

/// What decides between entries that share a place, in the order in which they are asked. What is left after the last one
/// shares the place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Tie {
    /// Those who share it are poured again, and the table puts them in order.
    TastedAgain,
    /// Who was put first by more judges.
    MoreFirsts,
    /// The points of one section, agreed at one table.
    Taste,
    /// Drawn from a public number that was announced beforehand.
    Drawn,
}

/// Numbers and texts of a competition. Days are local dates, `YYYY-MM-DD`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Rules {
    /// The last day on which one may enter, and on which bottles are taken in; where.
    pub closes_on: Option<String>,
    pub drop_off_until: Option<String>,
    pub drop_off_at: String,
    pub judged_on: Option<String>,
    /// Price of an entry in the club's currency; none is free.
    pub fee: Option<f64>,
    /// Entries: of one member, and in all.
    pub most_per_member: Option<u32>,
    pub most_in_all: Option<u32>,
    /// Until when an entry may be withdrawn by its maker: `closed` or `received`.
    pub withdraw_until: String,
    /// Bottles of an entry, of which one is held back for a final; their size, mL.
    pub bottles: u32,
    pub held_back: u32,
    pub bottle_ml: u32,
    pub sections: Vec<Section>,
    /// From where the sections' weights come, if not from the club.
    pub sections_source: String,
    pub bands: Vec<Band>,
    pub ties: Vec<Tie>,
    /// The public number of the draw: which, and when it becomes known. What came out is `drawn_number` of the results' inputs.
    pub draw_from: String,
    /// A category of fewer entries goes into its neighbour; one of more is split.
    pub merge_below: u32,
    pub split_above: u32,
    /// Glasses in a flight: at least, at most, and of strong ones at most.
    pub flight_least: u32,
    pub flight_most: u32,
    pub flight_strong: u32,
    /// Glasses that a judge tastes in a day at most; minutes of rest between two flights.
    pub glasses_a_day: u32,
    pub rest_minutes: u32,
    /// How far apart the points of one table may lie before it tastes again.
    pub spread_most: u32,
    /// How many of each flight go on to the final of its category.
    pub go_on: u32,
}

/// What a club starts from: sections and their points are our own, sizes of flights and the ceiling common practice, no
/// published source.
impl Default for Rules {
    fn default() -> Rules {
        let section = |key: &str, name: &str, prompt: &str, most| Section {
            key: key.to_owned(),
            name: name.to_owned(),
            prompt: prompt.to_owned(),
            most,
        };
        Rules {
            closes_on: None,
            drop_off_until: None,
            drop_off_at: String::new(),
            judged_on: None,
            fee: None,
            most_per_member: None,
            most_in_all: None,
            withdraw_until: "closed".to_owned(),
            bottles: 3,
            held_back: 1,
            bottle_ml: 330,
            sections: vec![
                section(
                    "look",
                    "Look",
                    "Clear or hazy, colour, bubbles: as declared?",
                    5,
                ),
                section(
                    "smell",
                    "Smell",
                    "The honey, what was added, the ferment; anything that should not be there?",
                    12,
                ),
                section(
                    "taste",
                    "Taste",
                    "Sweet, sour, bitter, warm: do they hold each other?",
                    20,
                ),
                section(
                    "body",
                    "Body and finish",
                    "Thin or full, how long it stays, and how it leaves.",
                    8,
                ),
                section(
                    "whole",
                    "As a whole",
                    "Would you pour a second glass? What would make it better?",
                    5,
                ),
            ],
            sections_source: String::new(),
            bands: [
                (0, "not yet: something went wrong, and it can be named"),
                (15, "drinkable, with a fault that covers the honey"),
                (25, "sound"),
                (33, "good: small things to mend"),
                (40, "very good"),
                (46, "one to remember"),
            ]
            .map(|(from, words)| Band {
                from,
                words: words.to_owned(),
            })
            .to_vec(),
            ties: vec![Tie::TastedAgain, Tie::MoreFirsts, Tie::Drawn],
            draw_from: String::new(),
            merge_below: 4,
            split_above: 16,
            flight_least: 6,
            flight_most: 8,
            flight_strong: 6,
            glasses_a_day: 24,
            rest_minutes: 20,
            spread_most: 7,
            go_on: 2,
        }
    }
}

impl Rules {
    /// The most points of the whole sheet.
    pub fn most(&self) -> u32 {
        self.sections.iter().map(|section| section.most).sum()
    }

    /// What a mead of so many points is called.
    pub fn band(&self, points: u32) -> Option<&Band> {
        let mut reached: Vec<&Band> = self
            .bands
            .iter()
            .filter(|band| band.from <= points)
            .collect();
        reached.sort_by_key(|band| band.from);
        reached.pop()
    }
}

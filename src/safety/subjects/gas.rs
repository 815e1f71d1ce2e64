//! Carbon dioxide in closed rooms.

use crate::safety::model::{Beside, Group, PRACTICE, Section, Subject, published, recalled};

pub const SUBJECT: Subject = Subject {
    key: "gas",
    name: "Carbon dioxide in closed rooms",
    group: Group::Tonight,
    line: "What ferments gives off a gas that has no smell, lies on the floor and takes the air away.",
    wall: "Air the room while it ferments. Never put your head into a vessel, a pit or a chest freezer. Somebody lies there: do not go in, call for help.",
    sections: &[
        Section {
            anchor: "closed-rooms",
            heading: "A room without air",
            happens: "Nearly half of the sugar that ferments leaves as carbon dioxide. It is heavier than air and fills cellars, cupboards, pits and chest freezers from below. Too much of it makes people faint, and then they lie where there is most of it.",
            tell: "Headache, quick breath, a pounding heart, drowsiness. Nothing can be smelt, and a flame that burns on proves nothing. In a cellar that is used every day, a gas alarm made for carbon dioxide tells it in time.",
            steps: &[
                "Open a window or a door before you go to work beside what ferments, and leave it open.",
                "Let the airlocks of a large batch lead out of doors through a hose, or keep the batch upstairs.",
                "Stay out of a pit, a tank or a chest freezer in which something ferments, until it was aired; never put your head in to smell or to look.",
                "Put a small batch into a room that people walk through, not into a wardrobe beside a bed.",
            ],
            ask: "Somebody is confused or has fainted: call the emergency number and air the room from outside. Do not go in after them; those who do lie beside them. Air for a room where people work every day is the trade of a licensed engineer.",
            sources: &[
                published(
                    "NIOSH, Immediately dangerous to life or health concentrations: carbon dioxide, 40,000 ppm, that is 4 % of the air",
                ),
                recalled(
                    "OSHA, 29 CFR 1910.1000, table Z-1: 5,000 ppm over eight hours; NIOSH and ACGIH: 30,000 ppm over fifteen minutes",
                ),
                PRACTICE,
            ],
            beside: Some(Beside::GasOfBatches),
        },
        Section {
            anchor: "cylinders",
            heading: "Cylinders, kegs and dry ice",
            happens: "A cylinder holds as much gas as a large batch gives off, and lets it go in minutes when a hose slips. A cylinder that falls and loses its valve flies. Dry ice turns to the same gas, and burns the skin by cold.",
            tell: "A hiss, frost at a joint, a cylinder that is empty too soon. Soapy water on a joint bubbles.",
            steps: &[
                "Chain the cylinder upright; close its valve when nobody is drawing.",
                "Use a regulator made for the gas, and a keg whose relief valve you have seen work.",
                "Carry a cylinder in a car upright, with a window open, and take it out as soon as you arrive.",
                "Never close dry ice into anything that has a lid.",
            ],
            ask: "A cylinder that is rusty, dented or past its test date goes back to whoever fills it. Fixed gas lines are for a licensed fitter.",
            sources: &[PRACTICE],
            beside: None,
        },
    ],
};

//! Hot peppers.

use crate::safety::model::{Group, PRACTICE, Section, Subject};

pub const SUBJECT: Subject = Subject {
    key: "pepper",
    name: "Hot peppers",
    group: Group::Tonight,
    line: "What burns on the tongue burns worse in the eyes and the lungs.",
    wall: "Gloves for hot peppers, hands off the face, window open when they are heated.",
    sections: &[Section {
        anchor: "hands-and-eyes",
        heading: "Hands, eyes and breath",
        happens: "The sharpness of peppers stays on fingers for hours and goes wherever they go. Heated, it comes up with the steam and closes the throat. It stays in hoses, and the next mead has it too.",
        tell: "Burning skin, tears, a cough.",
        steps: &[
            "Gloves; a board, a knife and a hose of its own.",
            "Window open when it is heated; nobody with asthma in the room.",
            "Hands off face and eyes; wash with soap or oil first, then with water. Water alone spreads it.",
            "Begin at the low end of the dose and taste after a day: it keeps drawing. Write on the label that it is hot.",
        ],
        ask: "In the eye: rinse for a quarter of an hour; still blind or in pain, to a doctor. Breath that whistles: the emergency number.",
        sources: &[PRACTICE],
        beside: None,
    }],
};

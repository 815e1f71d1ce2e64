//! Vessels and tools that touch what is drunk.

use crate::safety::model::{Group, PRACTICE, Section, Subject, recalled};

pub const SUBJECT: Subject = Subject {
    key: "vessels",
    name: "What may touch the mead",
    group: Group::Later,
    line: "Sour must with alcohol draws lead, zinc and solvents out of what was not made for it.",
    wall: "Only vessels sold for food. No leaded crystal, no craft glaze, no zinc, no brass, no garden hose.",
    sections: &[
        Section {
            anchor: "metals",
            heading: "Lead, zinc, copper",
            happens: "Leaded crystal, old or craft glazes, painted pottery, brass taps and solder give off lead; galvanised pails zinc; bare copper copper. Lead gathers in the body and hurts children most.",
            tell: "It cannot be tasted. Zinc and copper make sick within hours; lead tells nothing for years.",
            steps: &[
                "Glass, stainless steel 304 or 316, and plastics sold for food.",
                "No crock whose glaze you do not know, no decanter of crystal for keeping.",
            ],
            ask: "An old crock can be tested by a laboratory. Whoever has used one for years asks a doctor for a blood test.",
            sources: &[PRACTICE],
            beside: None,
        },
        Section {
            anchor: "plastics-and-wood",
            heading: "Plastics, hoses, wood",
            happens: "Not every bucket for food is made for weeks of 12 to 18 % alcohol. Drums that held something else, garden hoses and treated wood give it back.",
            tell: "A smell of plastic, a mark for food that is missing.",
            steps: &[
                "Polyethylene, PET, polypropylene or silicone with the sign for food, and the seller’s word that it bears alcohol.",
                "No ageing in a bucket past four to six weeks.",
                "Oak made for drink: untreated, unpainted, not from a pallet.",
            ],
            ask: "Ask the seller for the declaration that comes with it.",
            sources: &[
                recalled(
                    "Regulation (EU) 10/2011 tests plastics with 20 % ethanol for drinks up to 20 %; 21 CFR 177",
                ),
                PRACTICE,
            ],
            beside: None,
        },
    ],
};

//! Hot honey, boiling must, steam.

use crate::safety::model::{Group, PRACTICE, Section, Subject, recalled};

pub const SUBJECT: Subject = Subject {
    key: "heat",
    name: "Hot honey and boiling must",
    group: Group::Tonight,
    line: "Hot honey sticks to the skin and goes on burning; a kettle boils over in a moment.",
    wall: "Kettle half full or less. Gloves and long sleeves. Water into hot honey only off the heat, a little at a time, at arm’s length. No hot must into glass.",
    sections: &[
        Section {
            anchor: "boiling-over",
            heading: "Boiling over",
            happens: "Honey in water foams. It stands still for a quarter of an hour and then runs over the edge within seconds, over the flame and over the hands.",
            tell: "A skin on the surface, foam that climbs, a hiss at the rim.",
            steps: &[
                "A kettle that is half full or less, and somebody who does not leave it.",
                "Gloves, long sleeves, closed shoes; no children and no animals in the kitchen.",
                "Turn the heat off first; then stir.",
                "Plain mead needs no boiling. What honey brings does not grow in must, and heat drives off its smell.",
            ],
            ask: "A burn: cool running water for twenty minutes, no ice, no fat. One that is larger than a hand, on the face, or blistered: the emergency number or a doctor. A kettle that burns: lid on, gas off, no water.",
            sources: &[PRACTICE],
            beside: None,
        },
        Section {
            anchor: "browned-honey",
            heading: "Browning honey",
            happens: "Honey that is cooked brown for a bochet is {110:temperature} to {180:temperature} hot, far hotter than boiling water, and sticks. It climbs to several times its volume. Water that falls into it turns to steam at once and throws it about.",
            tell: "It rises when it begins to boil, again when it darkens, and once more with the first water.",
            steps: &[
                "A kettle at least four times as large as the honey, on a heat that can be turned off.",
                "Long sleeves, long gloves, goggles; a lid within reach.",
                "Off the heat before any water; hot water, a ladle at a time, poured at the edge with the arm stretched out.",
                "Stop at the colour wanted: smoke means that it burns, and it will taste of it.",
            ],
            ask: "Hot honey on the skin: under cold running water at once, for twenty minutes; do not pull off what sticks. Then a doctor.",
            sources: &[PRACTICE, recalled("temperatures of browning honey")],
            beside: None,
        },
        Section {
            anchor: "hot-glass",
            heading: "Hot must and glass, closed vessels",
            happens: "Hot must cracks a glass carboy and falls on the feet with its splinters. A closed vessel that is heated bursts.",
            tell: "A vessel that is too hot to hold is too hot for glass.",
            steps: &[
                "Cool the must below {30:temperature} in the kettle first, or fill it into steel.",
                "Never heat anything that has a lid screwed on.",
                "No glass on the stove, none on a cold stone floor.",
            ],
            ask: "A deep cut, or glass in a wound: press beside it, leave it in, call the emergency number.",
            sources: &[PRACTICE],
            beside: None,
        },
    ],
};

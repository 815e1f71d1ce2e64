//! Mould, rot, methanol.

use crate::safety::model::{Group, PRACTICE, Section, Subject};

pub const SUBJECT: Subject = Subject {
    key: "spoilage",
    name: "Mould, rot and methanol",
    group: Group::Later,
    line: "Most that spoils a mead only tastes bad; mould and rot are for the drain.",
    wall: "Mould all over the surface, or a smell of rot: pour it away.",
    sections: &[
        Section {
            anchor: "mould",
            heading: "Mould and rot",
            happens: "Fruit that floats dry grows mould, and some moulds make poisons that nobody sees or tastes.",
            tell: "Fur, in any colour, on the cap. A thin white skin without fur is yeast: ugly, not poisonous.",
            steps: &[
                "Wet the cap twice a day, or keep the fruit down in a bag.",
                "A first speck on one fruit: take it out with what is around it.",
                "Fur across the surface, or a rotten smell: pour all of it away and clean everything.",
            ],
            ask: "In doubt, out with it. Do not let others taste what you would not drink.",
            sources: &[PRACTICE],
            beside: None,
        },
        Section {
            anchor: "methanol",
            heading: "Methanol",
            happens: "Fruit gives off traces of methanol, far too little to hurt in a drink that was not distilled. Distilling or freezing gathers what is in it. This site has no page for either.",
            tell: "It cannot be tasted. Blurred sight hours after drinking is its sign.",
            steps: &[
                "Ferment, and leave it at that: distilling at home is against the law nearly everywhere, and freezing out the water is counted as distilling in some places.",
                "Drink nothing distilled that comes without a label.",
            ],
            ask: "Blurred sight, sickness, a deep headache after somebody’s spirits: the emergency number, with the word methanol.",
            sources: &[PRACTICE],
            beside: None,
        },
    ],
};

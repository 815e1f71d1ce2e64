//! Allergens and diets.

use crate::safety::model::{Group, PRACTICE, Section, Subject, recalled};

pub const SUBJECT: Subject = Subject {
    key: "allergies",
    name: "Allergies and diets",
    group: Group::Later,
    line: "What is in the bottle must be on the bottle: a guest may die of a fining.",
    wall: "Write on the label what is in it: sulfite, malt, nuts, milk, egg, fish.",
    sections: &[
        Section {
            anchor: "allergens",
            heading: "What must be named",
            happens: "Barley and wheat in anything with malt; nuts, peanut, milk sugar, egg white, lysozyme, fish bladder, soy, mustard, celery, sesame, and sulfite from 10 mg in a litre. Some of them went in as a fining or a feed and nobody thinks of them any more. Honey and pollen themselves seldom, but badly.",
            tell: "Itching mouth, hives, swelling, wheezing, within minutes to two hours.",
            steps: &[
                "Keep the packets of feeds and finings and read what they are made of; some hold milk or soy.",
                "Write it all on the label, and on the card beside the bottle at a tasting.",
                "Ask guests before you pour.",
            ],
            ask: "Swelling of face or tongue, trouble breathing, faintness: their own injector, and the emergency number. Once anything is sold or served to the public, the law on labels holds.",
            sources: &[
                recalled(
                    "Regulation (EU) 1169/2011, annex II; in the United States FALCPA and the law on sesame",
                ),
                PRACTICE,
            ],
            beside: None,
        },
        Section {
            anchor: "sugar",
            heading: "Sugar, and those who count it",
            happens: "Sweet mead holds much sugar: at 12 % and 1.010 about 67 g dissolved in a litre, at 1.025 about 106 g, at 1.050 about 172 g, nearly all of it sugar. Alcohol itself moves the blood sugar too.",
            tell: "The final gravity on the label says it.",
            steps: &[
                "Write strength and final gravity on the label; the sheet of each recipe here has the grams.",
            ],
            ask: "What somebody with diabetes may drink is for their doctor to say.",
            sources: &[recalled(
                "derived with the relation of Tabarié between gravity, extract and alcohol",
            )],
            beside: None,
        },
        Section {
            anchor: "diets",
            heading: "Diets",
            happens: "Honey is not vegan, and finings may come from fish, egg, milk or animal skin. A mead with malt is not free of gluten.",
            tell: "The list of what went in.",
            steps: &["Say what it is made of and leave the judgement to whoever drinks it."],
            ask: "“Free of gluten” is a word of the law: use it for nothing that was not tested.",
            sources: &[PRACTICE],
            beside: None,
        },
    ],
};

//! Age, local law, licensed practice.

use crate::safety::model::{Group, PRACTICE, Section, Subject, published, recalled};

pub const SUBJECT: Subject = Subject {
    key: "law",
    name: "Age, local law and licensed practice",
    group: Group::Law,
    line: "The law where you live comes before anything said here, and so does whoever holds a licence.",
    wall: "Nobody under age. Nothing is sold. Nothing is distilled.",
    sections: &[
        Section {
            anchor: "age",
            heading: "Age",
            happens: "The age at which people may drink lies between 16 and 21, is another for making and for serving in some places, and some countries allow no alcohol at all.",
            tell: "Ask for a document; a face tells nothing.",
            steps: &[
                "Look up the age where you are, and where you carry it to.",
                "Check it at every tasting, also among friends of friends.",
                "Keep bottles and airlocks out of the reach of children.",
            ],
            ask: "Your town or the police tell you which age holds.",
            sources: &[
                recalled("21 in the United States, 16 to 20 elsewhere"),
                PRACTICE,
            ],
            beside: None,
        },
        Section {
            anchor: "making",
            heading: "Making, giving away, selling",
            happens: "Making mead at home is allowed in some countries, often up to an amount, and hardly anywhere for sale. In the United States, federal law lets a household make 100 gallons of wine a year, or 200 where two or more adults live; the states add their own rules. A club evening, a raffle or a tasting for guests may already need a permit, and sending bottles by post is forbidden in many places.",
            tell: "Money changes hands, strangers are served, a border is crossed, a parcel is sent.",
            steps: &[
                "Look up your own law before the first batch, and again before the first event.",
                "Keep a log: it shows how much was made.",
                "No sale without a licence.",
            ],
            ask: "The office for alcohol or customs where you live, or a lawyer. This page is no legal advice.",
            sources: &[published("27 CFR 24.75, wine for personal or family use")],
            beside: None,
        },
        Section {
            anchor: "distilling",
            heading: "Distilling and freezing",
            happens: "Distilling at home is against the law in most countries, and dangerous: fire, fumes that explode, and what it gathers. Freezing mead and taking out the ice counts as distilling in some places.",
            tell: "Anything that makes mead stronger than its yeast could.",
            steps: &["Neither is on offer here: no page, no calculation, no recipe."],
            ask: "A licensed distiller.",
            sources: &[PRACTICE],
            beside: None,
        },
        Section {
            anchor: "licensed-practice",
            heading: "What is for licensed people",
            happens: "Pages like these hold general knowledge. They do not see your wiring, your cylinder, your cellar or your heart.",
            tell: "It concerns current, gas under pressure, air in a workroom, illness, medicine or money.",
            steps: &[
                "Electrician, gas fitter, engineer, doctor, pharmacist, vet, lawyer: what they say comes first.",
                "What stands on the label of an agent comes before what stands here.",
            ],
            ask: "Whenever you would rather have asked: ask.",
            sources: &[PRACTICE],
            beside: None,
        },
    ],
};

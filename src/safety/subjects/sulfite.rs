//! Sulfite, sorbate and other additions.

use crate::safety::model::{Group, PRACTICE, Section, Subject, recalled};

pub const SUBJECT: Subject = Subject {
    key: "sulfite",
    name: "Sulfite, sorbate and other additions",
    group: Group::Tonight,
    line: "The powder hurts who breathes it, the mead hurts who cannot bear it, and both must be weighed.",
    wall: "Do not breathe sulfite powder. Weigh it on a scale that shows 0.1 g. Say on the label that it is in.",
    sections: &[
        Section {
            anchor: "powder",
            heading: "The powder in your hands",
            happens: "Sulfite powder, and sulfite in anything sour, gives off sulfur dioxide, which closes the airways. With strong acid in a closed room it can kill.",
            tell: "A smell of struck matches, a cough, tight breath.",
            steps: &[
                "Window open; dissolve it in cold water, at arm’s length; no face above the jug.",
                "Never with strong acid, bleach or peroxide.",
                "Weigh it: {0.0005:mass} in {4.5:volume} is a dose, a teaspoon is several.",
                "Keep it dry and closed; old powder is weaker, so test rather than guess.",
            ],
            ask: "Whoever has asthma leaves this to somebody else. Breath that whistles: into the air, their own medicine, the emergency number.",
            sources: &[PRACTICE],
            beside: None,
        },
        Section {
            anchor: "sensitive-people",
            heading: "Those who cannot bear it",
            happens: "Sulfite can set off asthma in 3 to 10 of a hundred people who have it, with very little of it. Where drink is sold, 10 mg in a litre must stand on the label.",
            tell: "Wheezing, hives or a flush within minutes of the first sip.",
            steps: &[
                "Write “contains sulfites” on every bottle that has had any, and say so before you pour.",
                "No more than the calculation asks for.",
            ],
            ask: "Somebody wheezes or swells up: the emergency number. What a person may drink is for their doctor to say.",
            sources: &[
                recalled("Vally, Misso and Madan 2009, Clin. Exp. Allergy 39:1643"),
                recalled("27 CFR 4.32(e); Regulation (EU) 1169/2011, annex II"),
            ],
            beside: None,
        },
        Section {
            anchor: "sorbate",
            heading: "What sorbate does and does not",
            happens: "Potassium sorbate keeps yeast from multiplying; it kills nothing, and it does not hold bacteria. Lactic bacteria turn it into a smell of geraniums that nothing takes out again. Alone, it does not make a sweet mead safe to bottle.",
            tell: "A mead that works on after sorbate; crushed geranium leaves in the nose.",
            steps: &[
                "Clear, rack, sulfite, then sorbate on the same or the next day; dissolve it in water, never in acid.",
                "Never where lactic bacteria have worked, or are to work.",
                "Keep to the legal limit, which differs: 200 mg in a litre for wine in the European Union, 300 in the United States.",
            ],
            ask: "Your own country’s rules hold, also as to which additions are allowed at all.",
            sources: &[
                recalled("Crowell and Guymon 1975, Am. J. Enol. Vitic. 26:97"),
                recalled("27 CFR 24.246: 300 mg/L; European Union wine: 200 mg/L"),
            ],
            beside: None,
        },
        Section {
            anchor: "urea",
            heading: "No urea",
            happens: "Urea was once sold as food for yeast. Part of it becomes ethyl carbamate, which is held to cause cancer.",
            tell: "Its name on the packet of a feed.",
            steps: &["Feed ammonium phosphate or a feed made of yeast instead."],
            ask: "A feed without a list of what is in it is not for drink.",
            sources: &[PRACTICE],
            beside: None,
        },
    ],
};

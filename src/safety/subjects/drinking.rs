//! Alcohol: how much a glass holds, driving, pregnancy, medicines.

use crate::safety::model::{Beside, Group, PRACTICE, Section, Subject, recalled};

pub const SUBJECT: Subject = Subject {
    key: "drinking",
    name: "How much a glass holds; driving, pregnancy, medicines",
    group: Group::Later,
    line: "Mead is as strong as wine or stronger, and sweet mead hides it.",
    wall: "Whoever drives or works with machines drinks nothing. None in pregnancy. Water, food and a way home at every tasting.",
    sections: &[
        Section {
            anchor: "amount",
            heading: "How much is in a glass",
            happens: "No amount is free of risk to health. Sweetness, spice and bubbles make a strong mead taste like a weak one.",
            tell: "The strength on the label; the measured one is surer than the planned one.",
            steps: &[
                "Write the strength on the bottle.",
                "At a tasting: small pours, a bucket to spit into, water and food on the table.",
                "Nobody is urged.",
            ],
            ask: "Somebody cannot be woken, breathes slowly or vomits asleep: on their side, stay with them, the emergency number. Whoever wants to drink less and cannot: a doctor, or a helpline.",
            sources: &[
                recalled("World Health Organization 2023: no level of drinking is free of risk"),
                recalled(
                    "a standard drink is 14 g in the United States, a unit 8 g in the United Kingdom",
                ),
                PRACTICE,
            ],
            beside: Some(Beside::Alcohol),
        },
        Section {
            anchor: "driving",
            heading: "Driving and machines",
            happens: "Legal limits lie between nothing and 0.8 g in a litre of blood, by country, and people drive badly below them. Nobody can reckon it from glasses, and this site does not try.",
            tell: "Feeling fit tells nothing; the morning after counts too.",
            steps: &[
                "Settle the way home before the first glass.",
                "Whoever drives, cycles, climbs or runs a saw drinks nothing.",
            ],
            ask: "The law of the place holds, and the host may answer for it.",
            sources: &[PRACTICE],
            beside: None,
        },
        Section {
            anchor: "pregnancy-and-medicines",
            heading: "Pregnancy, nursing, medicines, illness",
            happens: "Alcohol reaches the unborn child. It makes many medicines stronger, weaker or dangerous, and some herbs in mead do so too.",
            tell: "Ask, in private, before you pour; do not guess.",
            steps: &[
                "Nothing in pregnancy: no amount is known to be safe.",
                "With medicines, with a sick liver or stomach: not before the doctor or pharmacist has said yes.",
                "Have something good without alcohol on the table.",
            ],
            ask: "Doctor or pharmacist. No page and no friend can answer this.",
            sources: &[recalled("advice of public health services")],
            beside: None,
        },
    ],
};

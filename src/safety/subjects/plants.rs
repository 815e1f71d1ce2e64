//! Plants that are left out, plants that want care, and those taken for others.

use crate::safety::model::{Beside, Group, PRACTICE, Section, Subject, published, recalled};

pub const SUBJECT: Subject = Subject {
    key: "plants",
    name: "Plants to leave out, plants to be careful with",
    group: Group::Tonight,
    line: "Old recipes name plants that hurt the liver, the heart or the unborn; and the hedge holds some that kill.",
    wall: "Only plants sold as food, or known beyond doubt. Not sure: not in.",
    sections: &[
        Section {
            anchor: "left-out",
            heading: "Left out, at any dose",
            happens: "Foxglove, oleander, lily of the valley, yew, monkshood, water hemlock, thorn apple and nightshade kill. Pennyroyal, tansy and rue hurt the liver or the womb; comfrey, coltsfoot and the leaves of borage the liver, over time. Calamus, sassafras and tonka are forbidden as food in the United States and elsewhere. No dose is given here for any of them, nor for wild mushrooms, medicines or whatever is sold to get high on.",
            tell: "The name in the recipe, in any language: look up the botanical one.",
            steps: &[
                "Leave it out, or choose another plant that is sold as food.",
                "Do not take over an old recipe because it is old.",
            ],
            ask: "Somebody has drunk of it: the poison centre at once, with the name of the plant, before anything hurts.",
            sources: &[
                published(
                    "21 CFR 189.110 (calamus), 189.130 (coumarin, tonka), 189.180 (safrole, sassafras)",
                ),
                recalled("the other plants"),
            ],
            beside: Some(Beside::PlantsLeftOut),
        },
        Section {
            anchor: "little-of-it",
            heading: "Little of it, and not for everybody",
            happens: "Nutmeg and mace make ill from about {0.005:mass}. Cassia, the common cinnamon, and woodruff hold coumarin, which hurts the liver. Wormwood holds thujone, and the law limits it. Liquorice raises the blood pressure. Grapefruit changes what many medicines do; star fruit is poison to sick kidneys. Rhubarb leaves hold oxalate; only the stalks are food.",
            tell: "Somebody takes medicine every day, is pregnant, or has bad kidneys: ask before you pour.",
            steps: &[
                "The low end of the dose, and taste.",
                "Ceylon cinnamon rather than cassia; woodruff by the gram, fresh, never by the handful.",
                "Write on the label what is in it.",
            ],
            ask: "What goes together with a medicine is for a doctor or a pharmacist to say.",
            sources: &[
                recalled("EFSA: 0.1 mg of coumarin per kilogram of body weight a day"),
                recalled("thujone: Regulation (EC) 1334/2008 and 21 CFR 172.510"),
                recalled("reports of poison centres on nutmeg"),
            ],
            beside: Some(Beside::PlantsWithCare),
        },
        Section {
            anchor: "taken-for-others",
            heading: "Taken for something else",
            happens: "Foxglove leaves are taken for comfrey or borage, hemlock for wild carrot, pokeberry for elderberry or grape. Japanese star anise, which causes fits, was found among star anise.",
            tell: "Nobody can tell dried leaves from dried leaves.",
            steps: &[
                "Buy what is sold as food, from somebody who tests it.",
                "Gather only what you know in leaf, flower and fruit, and have shown to somebody who knows better.",
                "No plants from roadsides and railway banks, no cut flowers from a shop: they are sprayed.",
                "No essential oils: a drop is a handful.",
            ],
            ask: "Fits, a slow or stumbling heart, a mouth that burns: the emergency number. Keep what is left of the plant and show it.",
            sources: &[PRACTICE],
            beside: None,
        },
        Section {
            anchor: "mad-honey",
            heading: "Honey from rhododendrons",
            happens: "Rhododendron, azalea and mountain laurel put a poison into their nectar. Honey from where they cover the hills slows the heart and makes people faint; fermenting does not take it out.",
            tell: "A burning throat, dizziness, a slow pulse, within hours.",
            steps: &[
                "Ask where honey from a mountain comes from; buy blended honey, or honey that was tested.",
                "None of these flowers in mead, either.",
            ],
            ask: "A slow pulse or fainting after honey: the emergency number, with the word honey.",
            sources: &[recalled("grayanotoxin in honey")],
            beside: None,
        },
    ],
};

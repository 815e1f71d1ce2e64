//! Honey and infants, botulism.

use crate::safety::model::{Group, Section, Subject, published, recalled};

pub const SUBJECT: Subject = Subject {
    key: "honey",
    name: "Honey and small children",
    group: Group::Later,
    line: "No honey for a child under twelve months, cooked or raw.",
    wall: "No honey, no must for children under twelve months.",
    sections: &[
        Section {
            anchor: "infants",
            heading: "Under twelve months",
            happens: "Honey can hold spores of Clostridium botulinum. They do nothing to grown people; in the gut of a baby they can wake and make their poison. Heat in a kitchen does not kill them.",
            tell: "A baby that is constipated, then weak, with a thin cry and drooping eyes.",
            steps: &[
                "No honey, no must, no honey drink without alcohol for a child under twelve months; no spoon that was in it.",
                "Mead is for nobody under age in any case.",
            ],
            ask: "A baby that had honey and grows weak: a doctor at once, with the word honey.",
            sources: &[
                published(
                    "Institut national de santé publique du Québec, Honey: never for babies under age 1",
                ),
                recalled("CDC and the American Academy of Pediatrics"),
            ],
            beside: None,
        },
        Section {
            anchor: "botulism",
            heading: "Low acid, no air",
            happens: "Must and mead below pH 4.6, with alcohol, do not let these spores grow. Garlic, vegetables, nut butter or herbs kept in oil do, and smell of nothing.",
            tell: "Nothing tells. A lid that bulges is late.",
            steps: &[
                "Do not keep such additions in oil or in unsoured water at room temperature; fresh ones go in directly.",
                "Keep a honey drink without alcohol in the refrigerator, and for days only.",
            ],
            ask: "Double sight, slurred speech, trouble swallowing: the emergency number at once.",
            sources: &[published("general rule of food safety: pH 4.6")],
            beside: None,
        },
    ],
};

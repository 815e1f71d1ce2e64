//! Fruit stones, bitter almonds, elderberries.

use crate::safety::model::{Group, PRACTICE, Section, Subject, published, recalled};

pub const SUBJECT: Subject = Subject {
    key: "stones",
    name: "Fruit stones and elderberries",
    group: Group::Tonight,
    line: "Crushed kernels set cyanide free; raw elderberries and their stems make ill.",
    wall: "Take the stones out, or leave them whole and few; never crush them. Elderberries ripe, stripped of every stem, and heated.",
    sections: &[
        Section {
            anchor: "stones",
            heading: "Stones and bitter kernels",
            happens: "The kernels of apricots, peaches, plums, cherries, apples and bitter almonds hold a substance that frees cyanide when they are crushed or chewed. Three small apricot kernels, {0.00037:mass} in all, bring a grown person to the limit for one day; half a kernel, {0.00006:mass}, a small child. Long steeping also makes ethyl carbamate, which nobody wants.",
            tell: "A smell of marzipan. Headache, dizziness, sickness soon after drinking: that is late.",
            steps: &[
                "Stone the fruit. Or leave the stones whole, few, and in for a short time.",
                "No mill, no blender, no press that cracks stones.",
                "No bitter almonds, no apricot kernels, however the recipe of somebody’s grandmother has it.",
                "Flax seed, bamboo and cassava can do the same: leave them out.",
            ],
            ask: "Somebody feels ill after it: the emergency number and the poison centre, at once, with the word cyanide.",
            sources: &[
                published(
                    "EFSA Journal 2016;14(4):4424, on raw apricot kernels: 20 µg of cyanide per kilogram of body weight",
                ),
                PRACTICE,
            ],
            beside: None,
        },
        Section {
            anchor: "elderberries",
            heading: "Elderberries",
            happens: "Raw or unripe elderberries, and above all their stems and leaves, make people vomit. Juice from bunches crushed with leaves and branches once sent eight people of one party to hospital.",
            tell: "Sickness, cramps, dizziness a quarter of an hour after drinking.",
            steps: &[
                "Ripe black berries only, stripped from every stem.",
                "Heat them through before they go in, and let them cool.",
                "Know the bush: pokeberry and dwarf elder are taken for it, and are poisonous.",
            ],
            ask: "Vomiting that does not stop, or anything else than that: the poison centre. A bush that you are not sure of: ask somebody who teaches botany, not a picture.",
            sources: &[
                published("CDC, Poisoning from elderberry juice, MMWR 1984;33:173"),
                recalled("heating the berries"),
            ],
            beside: None,
        },
    ],
};

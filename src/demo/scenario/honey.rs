//! Meads of honey and little else: traditional, bochet, acerglyn.

use crate::demo::people::{DESMOND, INES, MAREN, OSKAR, PIA, TOBIAS};
use crate::demo::recipes::Change::{Cell, Honey, Other, Set, Step, Yeast};
use crate::demo::recipes::Made;
use crate::recipes::forms::Group;

pub fn all() -> Vec<Made> {
    vec![
        Made::by(MAREN, "Plain and patient")
            .then(
                410,
                "The first that I would give to a guest.",
                vec![
                    Honey("honey-wildflower", "the rest"),
                    Set("strength", "12 %"),
                    Set("temperature", "18 °C"),
                    Set("vessel_kind", "carboy"),
                    Set("vessel_brim", "23 L"),
                    Set("vessel_mouth", "narrow"),
                    Step("Day 1 to 4", "Stir the gas out morning and evening."),
                    Set(
                        "notes",
                        "Smelled of struck matches on day 5 and of nothing but honey by day 12. I had fed it a day late.",
                    ),
                ],
            )
            .then(
                300,
                "Two thirds acacia: the first was hollow in the middle.",
                vec![
                    Cell(Group::Honey, 0, "amount", "1 part"),
                    Honey("honey-acacia", "2 parts"),
                ],
            )
            .then(
                160,
                "Sweetened a touch. Bone dry it was too stern for the long table.",
                vec![Set("finish", "sweeten"), Set("final_gravity", "1.006")],
            )
            .then(
                24,
                "Down to 11.5 %: nobody noticed, and it was ready a month sooner.",
                vec![Set("strength", "11.5 %")],
            ),
        Made::by(TOBIAS, "For next door").by_link().then(
            30,
            "They asked how, so here it is.",
            vec![
                Honey("honey-clover", "the rest"),
                Set("strength", "10 %"),
                Set("volume", "4.2 L"),
                Set("finish", "sweeten"),
                Set("final_gravity", "1.010"),
                Set("vessel_kind", "demijohn"),
                Set("vessel_brim", "5 L"),
                Set("vessel_mouth", "narrow"),
                Step("Day 1 to 4", "Swirl it gently, morning and evening."),
            ],
        ),
        Made::by(TOBIAS, "My first carboy")
            .from("Plain and patient", 2)
            .then(
                80,
                "Maren's second, at the size of my only demijohn.",
                vec![
                    Set("volume", "4.2 L"),
                    Set("vessel_kind", "demijohn"),
                    Set("vessel_brim", "5 L"),
                    Set("visibility", "club"),
                ],
            )
            .then(
                35,
                "With clover instead of acacia, which the shop did not have.",
                vec![
                    Cell(Group::Honey, 1, "pick", "honey-clover"),
                    Cell(Group::Honey, 1, "remark", "set hard in the jar; warmed it to 40 °C"),
                ],
            ),
        Made::by(PIA, "Thursday's small mead").then(
            75,
            "For the Thursday after: ready in five weeks.",
            vec![
                Honey("honey-orange-blossom", "the rest"),
                Set("volume", "2 gal"),
                Set("strength", "5.5 %"),
                Yeast("yeast-ale-neutral"),
                Set("carbonation_word", "sparkling"),
                Set(
                    "notes",
                    "Into bottles made for pressure only, and only when two readings two weeks apart agree.",
                ),
            ],
        ),
        Made::by(OSKAR, "Long winter").private().then(
            210,
            "Not for showing yet. It needs another winter.",
            vec![
                Honey("honey-forest", "1 part"),
                Honey("honey-wildflower", "3 parts"),
                Set("volume", "10 L"),
                Set("strength", "14.5 %"),
                Set("finish", "sweeten"),
                Set("final_gravity", "1.022"),
                Yeast("yeast-fructose-loving"),
                Set("feeding", "full"),
                Set("temperature", "17 °C"),
            ],
        ),
        Made::by(DESMOND, "Burnt afternoon")
            .then(
                190,
                "Cooked to the colour of a chestnut, outdoors, with long sleeves.",
                vec![
                    Honey("honey-wildflower", "the rest"),
                    Cell(Group::Honey, 0, "name", "Wildflower honey, caramelised"),
                    Set("volume", "3 gal"),
                    Set("strength", "11 %"),
                    Set("finish", "sweeten"),
                    Set("final_gravity", "1.014"),
                    Set("vessel_kind", "bucket"),
                    Set("vessel_brim", "6.5 gal"),
                    Set("vessel_mouth", "wide"),
                    Step(
                        "The day before",
                        "Cook the honey slowly in a pot four times its size, lid and gloves to hand, no children and no dogs about.",
                    ),
                ],
            )
            .then(
                60,
                "Half as long on the fire. The first tasted of ash for six months.",
                vec![Set("strength", "12 %"), Set("final_gravity", "1.016")],
            ),
        Made::by(INES, "Sugar moon").then(
            98,
            "Maple from my cousin, the dark end of the season.",
            vec![
                Honey("honey-clover", "the rest"),
                Other("maple-syrup", "1.6 kg"),
                Other("oak-cubes", "2 g/L"),
                Set("volume", "12 L"),
                Set("strength", "12 %"),
                Set("finish", "sweeten"),
                Set("final_gravity", "1.010"),
            ],
        ),
        Made::by(TOBIAS, "Do not ask").binned().then(
            66,
            "Bread yeast. I said do not ask.",
            vec![
                Honey("honey-wildflower", "the rest"),
                Set("volume", "4 L"),
                Set("strength", "7 %"),
                Set("visibility", "private"),
                Yeast("own"),
                Cell(Group::Yeast, 0, "name", "Bread yeast from the cupboard"),
                Cell(Group::Yeast, 0, "tolerance", "9"),
            ],
        ),
    ]
}

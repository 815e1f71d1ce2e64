//! Meads with fruit and juice: cyser, pyment, berries, stone fruit, mixed fruit, and fruit with spice.

use crate::demo::people::{DESMOND, INES, MAREN, OSKAR, PIA, TOBIAS};
use crate::demo::recipes::Change::{Cell, Honey, Other, Out, Set, Step, Yeast};
use crate::demo::recipes::Made;
use crate::recipes::forms::Group;

pub fn all() -> Vec<Made> {
    vec![
        Made::by(MAREN, "Lower orchard")
            .then(
                350,
                "Juice in place of all the water.",
                vec![
                    Honey("honey-clover", "the rest"),
                    Other("apple-juice", ""),
                    Set("filler", "other-1"),
                    Set("strength", "11 %"),
                    Set("volume", "20 L"),
                    Set("temperature", "15 °C"),
                    Yeast("yeast-apple-wine"),
                    Set("vessel_kind", "bucket"),
                    Set("vessel_brim", "30 L"),
                    Set("vessel_mouth", "wide"),
                    Set(
                        "notes",
                        "Pressed at the co-operative; sharp apples and sweet ones, half and half.",
                    ),
                ],
            )
            .then(
                40,
                "Cleared by itself once I put enzyme into the juice.",
                vec![Other("pectinase", "0.1 g/L")],
            ),
        Made::by(INES, "Two harvests").then(
            280,
            "Grapes of the neighbour, honey of the hill.",
            vec![
                Honey("honey-heather", "1 part"),
                Honey("honey-wildflower", "1 part"),
                Other("grape-juice-red", "7 L"),
                Set("strength", "13 %"),
                Set("volume", "18 L"),
                Yeast("yeast-red-structured"),
                Set("temperature", "22 °C"),
                Set("feeding", "full"),
            ],
        ),
        Made::by(INES, "Hedge in August")
            .then(
                330,
                "Blackberries from the lane, frozen and thawed.",
                vec![
                    Honey("honey-raspberry-blossom", "the rest"),
                    Other("blackberry", "4.2 kg"),
                    Cell(Group::Other, 0, "form", "frozen"),
                    Cell(Group::Other, 0, "days", "7"),
                    Set("volume", "18 L"),
                    Set("strength", "12 %"),
                    Set("finish", "sweeten"),
                    Set("final_gravity", "1.012"),
                    Yeast("yeast-red-fruity"),
                    Set("vessel_kind", "bucket"),
                    Set("vessel_brim", "30 L"),
                    Set("vessel_mouth", "wide"),
                    Step("Day 7", "Lift the bag, let it drip, do not squeeze."),
                ],
            )
            .then(
                200,
                "Six days are enough. At seven the pips began to show.",
                vec![Cell(Group::Other, 0, "days", "6")],
            )
            .then(
                20,
                "A kilogram less fruit and nobody missed it; drier too.",
                vec![
                    Cell(Group::Other, 0, "amount", "3.2 kg"),
                    Set("final_gravity", "1.008"),
                ],
            ),
        Made::by(DESMOND, "Hedge with a fireside")
            .from("Hedge in August", 2)
            .then(
                55,
                "Ines' second, and the spice jar. She has forgiven me.",
                vec![
                    Other("cinnamon", "0.6 g/L"),
                    Other("clove", "0.08 g/L"),
                    Set("volume", "5 gal"),
                    Set("visibility", "club"),
                ],
            ),
        Made::by(PIA, "Sour cherry Sunday")
            .then(
                150,
                "Stoned by hand, all of them, with help.",
                vec![
                    Honey("honey-linden", "the rest"),
                    Other("sour-cherry", "8 lb"),
                    Cell(Group::Other, 0, "days", "8"),
                    Set("volume", "3 gal"),
                    Set("strength", "11.5 %"),
                    Set("finish", "sweeten"),
                    Set("final_gravity", "1.010"),
                    Yeast("yeast-red-fruity"),
                ],
            )
            .then(
                45,
                "Four pounds were plenty for three gallons. Less help this year.",
                vec![Cell(Group::Other, 0, "amount", "4 lb 8 oz")],
            ),
        Made::by(OSKAR, "Warm latitudes").then(
            88,
            "To spite the weather.",
            vec![
                Honey("honey-orange-blossom", "the rest"),
                Other("pineapple-juice", "4 L"),
                Other("passion-fruit-pulp", "1.2 kg"),
                Cell(Group::Other, 1, "days", "5"),
                Set("volume", "15 L"),
                Set("strength", "10 %"),
                Yeast("yeast-white-aromatic"),
                Set("temperature", "17 °C"),
                Set("feeding", "full"),
            ],
        ),
        Made::by(MAREN, "Spiced for the long table")
            .from("Two harvests", 1)
            .then(
                130,
                "From Ines' grapes, as an old book would have it: pepper, cinnamon, ginger.",
                vec![
                    Other("black-pepper", "0.3 g/L"),
                    Other("cinnamon", "0.5 g/L"),
                    Other("ginger", "3 g/L"),
                    Set("style", "hippocras"),
                    Set("visibility", "club"),
                ],
            )
            .then(
                12,
                "Ginger out: it shouted. A little weaker, and round at the end.",
                vec![
                    Out(Group::Other, 3),
                    Set("strength", "12 %"),
                    Set("finish", "sweeten"),
                    Set("final_gravity", "1.012"),
                ],
            ),
        Made::by(TOBIAS, "Pear in hiding").private().then(
            9,
            "Half an idea. The sorbitol should leave it a little sweet.",
            vec![
                Honey("honey-acacia", "the rest"),
                Other("pear-juice", "2 L"),
                Set("volume", "4.2 L"),
                Set("strength", "9 %"),
                Yeast("yeast-apple-wine"),
                Set("temperature", "16 °C"),
            ],
        ),
    ]
}

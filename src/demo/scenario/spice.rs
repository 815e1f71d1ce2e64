//! Meads with spice, flowers, peppers and leaves.

use crate::demo::people::{DESMOND, INES, OSKAR, PIA};
use crate::demo::recipes::Change::{Cell, Honey, Other, Set, Step, Yeast};
use crate::demo::recipes::Made;
use crate::recipes::forms::Group;

pub fn all() -> Vec<Made> {
    vec![
        Made::by(OSKAR, "Ginger by the window")
            .then(
                240,
                "Ginger, vanilla and a stick of cinnamon.",
                vec![
                    Honey("honey-wildflower", "the rest"),
                    Other("ginger", "8 g/L"),
                    Other("vanilla", "0.4 g/L"),
                    Other("cinnamon", "0.5 g/L"),
                    Set("volume", "10 L"),
                    Set("strength", "11 %"),
                    Set("finish", "sweeten"),
                    Set("final_gravity", "1.012"),
                    Yeast("yeast-white-floral"),
                    Set("temperature", "18 °C"),
                ],
            )
            .then(
                70,
                "More ginger, no cinnamon: it took the whole room.",
                vec![
                    Cell(Group::Other, 0, "amount", "12 g/L"),
                    Cell(Group::Other, 2, "pick", "coriander-seed"),
                    Cell(Group::Other, 2, "amount", "0.8 g/L"),
                ],
            ),
        Made::by(DESMOND, "Slow burn")
            .then(
                140,
                "Two peppers a gallon, seeds out, gloves on.",
                vec![
                    Honey("honey-mesquite", "the rest"),
                    Other("jalapeno", "6 g/L"),
                    Set("volume", "3 gal"),
                    Set("strength", "12 %"),
                    Set("finish", "sweeten"),
                    Set("final_gravity", "1.018"),
                    Step(
                        "Every second day",
                        "Taste. When it is right, it is one day too late: take them out before.",
                    ),
                ],
            )
            .then(
                30,
                "Half. I had stopped tasting by day four.",
                vec![Cell(Group::Other, 0, "amount", "3 g/L")],
            ),
        Made::by(INES, "Roses on the sill").then(
            105,
            "Petals of a garden that is never sprayed.",
            vec![
                Honey("honey-acacia", "the rest"),
                Other("rose-petal", "1.5 g/L"),
                Set("volume", "5 L"),
                Set("strength", "10 %"),
                Set("finish", "sweeten"),
                Set("final_gravity", "1.010"),
                Yeast("yeast-white-floral"),
                Set("temperature", "17 °C"),
            ],
        ),
        Made::by(PIA, "Bitter leaf").then(
            50,
            "After a glass that a friend poured me: honey wine with gesho.",
            vec![
                Honey("honey-forest", "the rest"),
                Other("own", "5 g/L"),
                Cell(Group::Other, 0, "name", "Gesho sticks"),
                Cell(Group::Other, 0, "kind", "spice"),
                Cell(Group::Other, 0, "form", "dried"),
                Cell(Group::Other, 0, "when", "primary"),
                Cell(Group::Other, 0, "days", "10"),
                Set("volume", "1 gal"),
                Set("strength", "9 %"),
                Set("style", "tej"),
                Yeast("yeast-abbey-type"),
            ],
        ),
        Made::by(OSKAR, "Five o'clock").then(
            27,
            "Black tea in place of the tannin powder.",
            vec![
                Honey("honey-linden", "the rest"),
                Other("black-tea", "2 g/L"),
                Set("volume", "10 L"),
                Set("strength", "10 %"),
                Yeast("yeast-white-floral"),
                Set("temperature", "18 °C"),
            ],
        ),
    ]
}

//! Meads with malt: half way to beer, and further.

use crate::demo::people::{DESMOND, TOBIAS};
use crate::demo::recipes::Change::{Cell, Honey, Other, Set, Yeast};
use crate::demo::recipes::Made;
use crate::recipes::forms::Group;

pub fn all() -> Vec<Made> {
    vec![
        Made::by(DESMOND, "Half and half")
            .then(
                175,
                "Malt for the body, honey for the rest.",
                vec![
                    Honey("honey-buckwheat", "1 part"),
                    Honey("honey-wildflower", "2 parts"),
                    Other("malt-extract-dry", "3 lb"),
                    Other("hops", "0.8 g/L"),
                    Set("volume", "5 gal"),
                    Set("strength", "8 %"),
                    Yeast("yeast-ale-neutral"),
                    Set("vessel_kind", "bucket"),
                    Set("vessel_brim", "7.9 gal"),
                    Set("vessel_mouth", "wide"),
                    Set("carbonation_word", "petillant"),
                ],
            )
            .then(
                80,
                "Finer bitterness with a little less hops.",
                vec![Cell(Group::Other, 1, "amount", "0.6 g/L")],
            ),
        Made::by(TOBIAS, "Mostly barley").then(
            18,
            "Is it still mead? The club could not agree, so it drank it.",
            vec![
                Honey("honey-heather", "the rest"),
                Other("malt-extract-dry", "1.6 kg"),
                Other("hops", "1 g/L"),
                Set("volume", "10 L"),
                Set("strength", "7 %"),
                Yeast("yeast-abbey-type"),
                Set("visibility", "club"),
            ],
        ),
    ]
}

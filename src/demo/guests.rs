//! What the guests of the long table said of one mead: enough of them to decide the next one by.

use crate::engine::log::entry::{Sense, Tasting};

/// Liking of nine, then sweetness, body, honey and warmth: too little, right, too much.
const SAID: [(i32, [i32; 4]); 12] = [
    (8, [0, 0, 0, 0]),
    (6, [0, -1, -1, 0]),
    (8, [0, 0, 0, 0]),
    (5, [-1, -1, 0, 0]),
    (7, [0, 0, -1, 0]),
    (6, [0, -1, 0, 1]),
    (8, [0, 0, 0, 0]),
    (5, [0, -2, -1, 0]),
    (9, [0, 0, 0, 0]),
    (6, [0, -1, 0, 0]),
    (7, [1, 0, 0, 0]),
    (5, [0, -1, -1, 0]),
];

const SENSES: [Sense; 4] = [Sense::Sweetness, Sense::Body, Sense::Honey, Sense::Warmth];

/// One answer for each guest.
pub fn said() -> Vec<Tasting> {
    let each = SAID.iter().zip(1..);
    each.map(|((liking, senses), number)| {
        let mut tasting = Tasting {
            text: Some(format!("The long table, guest {number}.")),
            liking: Some(*liking),
            ..Tasting::default()
        };
        for (sense, value) in SENSES.iter().zip(senses) {
            tasting.put(*sense, Some(*value));
        }
        tasting
    })
    .collect()
}

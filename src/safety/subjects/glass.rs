//! Heavy vessels, broken glass, electricity on wet floors.

use crate::safety::model::{Group, PRACTICE, Section, Subject};

pub const SUBJECT: Subject = Subject {
    key: "glass",
    name: "Glass, weights and wet floors",
    group: Group::Tonight,
    line: "A full carboy is heavy, slippery and sharp as soon as it breaks.",
    wall: "Carry a full carboy in a crate, never by its neck, and with two. Dry hands and floor before anything electric.",
    sections: &[
        Section {
            anchor: "carrying",
            heading: "Carrying glass",
            happens: "{20:volume} of must weigh {20:mass} to {23:mass}, and wet glass slips. A carboy that breaks in the arms cuts tendons.",
            tell: "A neck used as a handle, a wet floor, stairs.",
            steps: &[
                "A crate or a carrying harness under the vessel; dry hands; two people for a full one.",
                "Put the vessel where it will stand before it is filled.",
                "A scratched or chipped carboy is for nothing any more.",
                "Broken glass: shoes on, people out, sweep; never reach into the puddle.",
            ],
            ask: "A cut that gapes, or a finger that cannot be bent: press, hold up, to the hospital at once. A tendon is mended within hours or not at all.",
            sources: &[PRACTICE],
            beside: None,
        },
        Section {
            anchor: "corking",
            heading: "Bottles and corks",
            happens: "A bottle breaks in the hand while it is corked, and the neck goes through the palm.",
            tell: "A cork that is dry or too wide, a bottle with a star or a chip, a tool that is hit instead of pressed.",
            steps: &[
                "Stand the bottle on a board, cloth around it, and press; do not hammer.",
                "Gloves and goggles. Look at each rim first.",
            ],
            ask: "As with any deep cut: press, hold up, to the hospital.",
            sources: &[PRACTICE],
            beside: None,
        },
        Section {
            anchor: "electricity",
            heading: "Electricity and water",
            happens: "Pumps, heaters and heating belts stand where the floor is wet.",
            tell: "A tingle, a switch that trips, a cable in a puddle.",
            steps: &[
                "A socket with residual-current protection, high up; plugs out of the wet.",
                "Pull the plug before you reach into a vessel with a heater in it.",
            ],
            ask: "A tingle is a fault: switch off at the fuse and call a licensed electrician. Somebody hangs on a cable: cut the current before you touch them.",
            sources: &[PRACTICE],
            beside: None,
        },
    ],
};

//! Bottles that burst, fermentation that starts again, foam.

use crate::safety::model::{Beside, Group, PRACTICE, Section, Subject, recalled};

pub const SUBJECT: Subject = Subject {
    key: "bottles",
    name: "Bottles that burst",
    group: Group::Tonight,
    line: "Sugar in a closed bottle ferments on. The glass gives way at some hour of some night.",
    wall: "Bottle only after two equal readings 14 days apart. Sparkling mead only into bottles made for pressure. Never stop a vessel that still works with a tight lid.",
    sections: &[
        Section {
            anchor: "sugar-left",
            heading: "Sugar in a closed bottle",
            happens: "One point of gravity (0.001) is about 2 g of sugar in a litre, and half a volume of gas. Ten points that ferment in the bottle press {7:pressure} to {8:pressure} on its walls at {20:temperature}: more than an ordinary bottle bears. A warm room adds to it.",
            tell: "Corks that creep, lids that bulge, a fine thread of bubbles, a bottle that hisses when it is opened. By then the next one may burst.",
            steps: &[
                "Know that it is finished, or stabilise it, before a bottle is closed.",
                "Put a doubtful lot into a cold place, in a closed box, and keep people away from it.",
                "Open such bottles one at a time, cold, in a thick cloth, with goggles and gloves, out of doors; or leave the box to somebody who has done it before.",
                "Fill one bottle of each lot as a plastic one: while it can be squeezed, the glass ones are sound.",
            ],
            ask: "A deep cut: press on it, hold it up, call the emergency number. A lot that bursts by itself is for nobody to carry.",
            sources: &[
                PRACTICE,
                recalled(
                    "2.1 g/L of sugar to a point, and 0.489 g of gas to a gram of sugar: derived from the balance",
                ),
            ],
            beside: Some(Beside::Bottles),
        },
        Section {
            anchor: "finished",
            heading: "Is it finished?",
            happens: "A mead that stands still may only rest: cold, short of food, or at the limit of a yeast whose limit nobody knows to the point.",
            tell: "Two readings of mead with the gas stirred out, 14 days apart, at {18:temperature} or warmer, are equal to a point.",
            steps: &[
                "Take the two readings and write them down.",
                "Bring it to room temperature for those two weeks; cold hides a sleeping yeast.",
                "Where the yeast stopped at its limit with sugar left, stabilise, and wait two weeks more under the airlock.",
            ],
            ask: "The readings differ, or there was only one: do not bottle. Ask somebody in the club who has bottled sweet mead before.",
            sources: &[PRACTICE],
            beside: None,
        },
        Section {
            anchor: "starts-again",
            heading: "It can start again",
            happens: "Cold does not stop yeast for good. Fruit, juice or honey that goes in later, malt, wild yeast, or a yeast that takes what others leave, can set a quiet mead off again, months later.",
            tell: "The gravity falls, the airlock moves, the mead is cloudy again.",
            steps: &[
                "Back under the airlock after every addition that has sugar in it.",
                "Clear and rack before you stabilise: sulfite and sorbate hold few cells down, not many.",
                "Wait two weeks after sweetening before you bottle.",
            ],
            ask: "A mead that was bottled and works again: treat every bottle of the lot as one that can burst.",
            sources: &[PRACTICE],
            beside: None,
        },
        Section {
            anchor: "under-pressure",
            heading: "Sparkling mead",
            happens: "Every bottle has its limit, and one with a scratch has none. Glass does not warn. Gas from a cylinder can break a bottle in a second.",
            tell: "The kind of bottle is known, it was made for pressure, its rim and walls are whole.",
            steps: &[
                "Weigh the priming sugar, dissolve it, and stir it in evenly.",
                "No gas from a cylinder into glass that was not made for it.",
                "Goggles while you fill and cork; never shake; keep the bottles in a closed box.",
                "A keg: look at its relief valve before it is filled.",
            ],
            ask: "A sparkling plan in bottles for still wine is not a plan. Ask whoever sells the bottle what it bears, in bar, and get it in writing.",
            sources: &[PRACTICE],
            beside: None,
        },
        Section {
            anchor: "foam",
            heading: "It foams over",
            happens: "Must is full of gas. Powder, fruit or a spoon sets it free at once: it climbs out of the vessel, wets the floor, and can lift a stopper or stop an airlock up. A vessel that is stopped up bursts like a bottle.",
            tell: "A vessel filled to the shoulder, a young yeast, the first two feeds.",
            steps: &[
                "Stir the gas out slowly before any powder goes in, then add it a little at a time.",
                "Leave room for foam; on the first nights lead the gas through a wide hose into a jar of water.",
                "An airlock that is full of foam: take it off, rinse it, put it back. Keep your face away.",
            ],
            ask: "A lid that bulges: do not lean over it. Let the pressure out from the side, with a cloth over it.",
            sources: &[PRACTICE],
            beside: None,
        },
    ],
};

//! Cleaning and sanitizing agents, acids and lye.

use crate::safety::model::{Group, PRACTICE, Section, Subject, recalled};

pub const SUBJECT: Subject = Subject {
    key: "cleaning",
    name: "Cleaning, sanitizing, acids and lye",
    group: Group::Tonight,
    line: "Each agent is safe enough alone and by its label; two together can make a gas that burns the lungs.",
    wall: "One agent at a time, rinse between. Never mix bleach with acid, ammonia, peroxide or alcohol. Goggles and gloves for lye and strong acid.",
    sections: &[
        Section {
            anchor: "never-mix",
            heading: "What must never meet",
            happens: "Chlorine bleach and any acid, be it vinegar, citric acid or an acid sanitizer, give off chlorine. Bleach and ammonia give off chloramines; bleach and peroxide or alcohol make other things that hurt. Peroxide and vinegar make peracetic acid, which bites the eyes and the lungs. Sulfite and acid give off sulfur dioxide.",
            tell: "A sharp smell, stinging eyes, a cough. It can come from a drain or a bucket that held the other agent before.",
            steps: &[
                "One agent at a time, and rinse with plenty of water before the next.",
                "Keep each in the bottle that it came in, with its label; never in a drinking bottle.",
                "Keep them locked away from children, and away from each other.",
                "It smells sharp: leave, leave the door open, and stay out until the air is clear.",
            ],
            ask: "Coughing that does not stop, tight breath, burning eyes: out into the air, and the poison centre or the emergency number at once. Say which agents they were.",
            sources: &[
                recalled("CDC and EPA, advice on household bleach"),
                PRACTICE,
            ],
            beside: None,
        },
        Section {
            anchor: "lye-and-acid",
            heading: "Lye, strong acid, peracids",
            happens: "Caustic soda, percarbonate, peracetic acid and undiluted acids burn skin and can blind. Lye grows hot as it dissolves and can boil over.",
            tell: "Lye on the skin feels soapy before it hurts. In the eye every second counts.",
            steps: &[
                "Goggles, gloves, long sleeves; water running before you begin.",
                "The agent into the water, a little at a time; never water onto the agent.",
                "Cold water for lye; no aluminium, no closed bottle.",
                "Skin: rinse for a quarter of an hour. Eye: rinse with the lid held open, and go on rinsing on the way to the doctor.",
            ],
            ask: "Anything of this in an eye, swallowed, or a burn larger than a coin: the emergency number, and the poison centre. Do not make anybody vomit.",
            sources: &[PRACTICE],
            beside: None,
        },
        Section {
            anchor: "clean-then-sanitize",
            heading: "Clean first, then sanitize",
            happens: "Dirt eats up the sanitizer, so what was not cleaned is not sanitized either. Too strong a solution stays behind and is drunk; traces of bleach leave a taste of medicine. Bleach eats pits into stainless steel.",
            tell: "A film that the finger feels, a smell of chlorine, foam that is not the kind that its label allows to stay.",
            steps: &[
                "Scrub and rinse; then the sanitizer, as strong and for as long as its label says.",
                "Rinse if the label says so. A sanitizer that needs no rinse is so at its own strength only.",
                "No bleach on steel, none near fruit or must.",
            ],
            ask: "The label, or the safety sheet that the seller must give, says what to do; where it is lost, do not use the agent.",
            sources: &[PRACTICE],
            beside: None,
        },
        Section {
            anchor: "burning-sulfur",
            heading: "Burning sulfur in a barrel",
            happens: "Burning sulfur gives off sulfur dioxide, which closes the airways; alcohol that is left in the barrel can take fire.",
            tell: "A choking smell of struck matches.",
            steps: &[
                "Out of doors only, upwind, in a barrel that was rinsed and drained.",
                "Nobody with asthma nearby.",
            ],
            ask: "Somebody wheezes: into the air, their own medicine, the emergency number.",
            sources: &[PRACTICE],
            beside: None,
        },
    ],
};

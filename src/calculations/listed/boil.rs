//! A must that is boiled down.

use crate::calculations::case::Case;
use crate::calculations::model::{Kind, Method, Moment, Page, Said, field, group};
use crate::calculations::words::{fine_gravity, large};
use crate::charts::graph::{Axis, Graph, Mark};
use crate::engine::problem::{Arguments, CautionCode, Severity};
use crate::web::units::{fixed, gravity, mass, volume};

pub const PAGE: Page = Page {
    name: "boil",
    title: "What does boiling down do?",
    moment: Moment::BeforePitching,
    line: "A must that loses water in the kettle: what is left, and how strong it is.",
    groups: &[group(
        "In the kettle",
        &[
            field("brix", "Gravity before", Kind::Brix)
                .hint("SG or °Bx, of a cooled sample")
                .start("1.080"),
            field("kg", "Must before", Kind::Must)
                .hint("litres at 20 °C, or weighed")
                .starts("10 L", "2.5 gal", "2 gal"),
            field("water_lost_kg", "Water that boils away", Kind::Water)
                .hint("a litre of water weighs a kilogram; weigh the kettle before and after")
                .starts("2 L", "2 qt US", "3 pt"),
        ],
    )],
    answer,
    beside: &[],
    method: Method {
        formula: &[
            "sugar stays; mass left = mass before − water lost",
            "°Bx after = °Bx before × mass before ÷ mass left",
            "gravity and litres follow from the density at 20 °C",
        ],
        source: "conservation of mass; density of sugar solutions ICUMSA SPS-4",
        range: "to 85 % of sugar by mass; of plain water a hundredth stays",
        leaves_out: "Litres measured hot: a boiling must takes up about 4 % more room. Steam is counted as pure water; foam that is skimmed off and must that clings to the kettle are not counted. Browned honey loses some of what ferments: 5 to 20 % of it, the darker the more (our judgement, no published source).",
    },
};

fn answer(case: &Case) -> Said {
    let units = case.units;
    let (sg, litres) = (case.out("sg"), case.out("litres"));
    let sentence = format!("{} are left, at {}.", volume(litres, units), gravity(sg),);
    let lost = case.had("water_lost_kg");
    let line = case.line((0.0, case.had("kg") * 0.5, 40), |case, kg| {
        let there = case.with(&[("water_lost_kg", kg)])?;
        Some((large(kg / 0.9982, units), there.number("sg")?))
    });
    let name = Arguments::none().with("name", "a honey must");
    Said::new(sentence)
        .figure("sg", "gravity", fine_gravity(sg))
        .words(format!("{} °Bx", fixed(case.out("brix"), 1)))
        .figure("litres", "volume, cooled", volume(litres, units))
        .figure("kg", "weight", mass(case.out("kg"), units))
        .beware(CautionCode::HotHoney, Severity::Danger, name)
        .drawn(Graph {
            prefix: "boil".to_owned(),
            title: "Gravity as water boils away".to_owned(),
            description: "The gravity of what is left, by the water that is lost: slow at first, then ever steeper.".to_owned(),
            x: Axis::new(format!("water lost, {}", units.volume_words()), 2),
            y: Axis::new("gravity", 3),
            points: line,
            marks: vec![Mark { x: large(lost / 0.9982, units), y: sg, words: gravity(sg) }],
        })
}

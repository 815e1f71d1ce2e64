//! What a gravity says of a must: sugar, density, and the strength that it could become.

use crate::calculations::case::Case;
use crate::calculations::model::{Kind, Method, Moment, Page, Said, field, group};
use crate::calculations::words::fine_gravity;
use crate::charts::graph::{Axis, Graph, Mark};
use crate::web::units::{abv, fixed, grams_per_litre, gravity};

pub const PAGE: Page = Page {
    name: "gravity",
    title: "How much sugar is in it?",
    moment: Moment::BeforePitching,
    line: "A gravity, a mass percentage or a density of a must: each of them from any other, and the strength that it could become.",
    groups: &[group(
        "The must",
        &[field("sg", "Gravity", Kind::AnyGravity)
            .hint("1.090, 90 points, 21.6 °Bx or 1088 kg/m³")
            .start("1.090")],
    )],
    answer,
    beside: &[],
    method: Method {
        formula: &[
            "density = density of water + terms in the mass fraction of sugar, at 20 °C",
            "gravity = density ÷ 998.203 kg/m³; sugar in g/L = mass fraction × density",
            "strength if all of it fermented: 0.46895 g of alcohol to a gram of sugar, in the volume that is left",
        ],
        source: "ICUMSA SPS-4 (1994/1998) for the density of sugar solutions; strength by the balance of the recipes, whose yield stands for 16.83 g/L of sugar to 1 % by volume (EU must tables, from memory: verify)",
        range: "0 to 85 % of sugar by mass, gravity 1.000 to 1.449, at 20 °C",
        leaves_out: "It counts everything dissolved as cane sugar. Honey solutions are a little lighter: a must of 25 % reads about 0.0004 low. Some of honey's sugars do not ferment, so the true strength is about a tenth lower (common practice). A refractometer reads the same sugar differently, and after fermentation has begun it cannot be used here. Bubbles lift a hydrometer by several points.",
    },
};

fn answer(case: &Case) -> Said {
    let sg = case.out("sg");
    let potential = case.number("potential_abv_percent");
    let strength = potential.map_or("–".to_owned(), abv);
    let sentence = format!(
        "A must of {} holds {} of dissolved sugar; if all of it fermented, it would become {strength} by volume.",
        gravity(sg),
        grams_per_litre(case.out("extract_g_per_l")),
    );
    let said = Said::new(sentence)
        .figure("sg", "gravity", fine_gravity(sg))
        .figure(
            "brix",
            "mass of sugar",
            format!("{} %", fixed(case.out("brix"), 2)),
        )
        .words("the same as °Bx and, near enough, °P")
        .figure(
            "density_kg_per_m3",
            "density",
            format!("{} kg/m³", fixed(case.out("density_kg_per_m3"), 1)),
        )
        .words("at 20 °C")
        .figure(
            "extract_g_per_l",
            "sugar",
            grams_per_litre(case.out("extract_g_per_l")),
        )
        .figure("potential_abv_percent", "strength at most", strength)
        .words("with honey about a tenth less: not all of it ferments");
    let at = |case: &Case, sg: f64| {
        let there = case.alone(&[("sg", sg)])?;
        Some((sg, there.number("potential_abv_percent")?))
    };
    let high = if sg > 1.16 { 1.449 } else { 1.16 };
    let marks = potential.map(|y| Mark {
        x: sg,
        y,
        words: gravity(sg),
    });
    said.drawn(Graph {
        prefix: "gravity".to_owned(),
        title: "Strength at most, by gravity".to_owned(),
        description: format!(
            "The strength that all the sugar of a must would make, from a gravity of 1.000 to {}.",
            gravity(high)
        ),
        x: Axis::new("gravity", 3),
        y: Axis::new("strength at most, %", 1),
        points: case.line((1.0, high, 40), at),
        marks: marks.into_iter().collect(),
    })
}

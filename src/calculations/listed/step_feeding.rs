//! Honey in steps, for a mead too strong to begin with all of it.

use crate::calculations::case::Case;
use crate::calculations::model::{Kind, Method, Moment, Page, Said, field, fold, group};
use crate::calculations::words::{milligrams, table};
use crate::charts::graph::{Axis, Graph, Mark};
use crate::engine::problem::CautionCode;
use crate::engine::recipe::FeedingLevel;
use crate::web::units::{abv, gravity, mass, volume};

fn levels() -> Vec<(&'static str, String)> {
    let words = |level: FeedingLevel| match level.as_str() {
        "lean" => "gently, 0.6 of what the yeast could take".to_owned(),
        "usual" => "as usual, 0.8 of it".to_owned(),
        "full" => "fully, all of it".to_owned(),
        other => other.to_owned(),
    };
    let all = FeedingLevel::ALL.iter();
    all.map(|level| (level.as_str(), words(*level))).collect()
}

pub const PAGE: Page = Page {
    name: "step_feeding",
    title: "How to feed a strong one with honey",
    moment: Moment::Working,
    line: "A mead too strong to begin with all its honey: how much at which gravity, and the room that it needs at the end.",
    groups: &[
        group(
            "The first must, and the aim",
            &[
                field("litres", "First must", Kind::Volume).starts("10 L", "2.5 gal", "2 gal"),
                field("start_sg", "Its gravity", Kind::Gravity)
                    .hint("1.110 at most: common practice")
                    .start("1.080"),
                field("abv_percent", "Strength wanted", Kind::Percent)
                    .hint("at least 1 % below the yeast's limit")
                    .start("15.5 %"),
                field("composition", "Honey", Kind::Honey).start("honey-wildflower"),
            ],
        ),
        group(
            "The yeast",
            &[
                field("nitrogen_need", "Yeast", Kind::Yeast)
                    .hint("with the strength that it bears, from the catalogue")
                    .start("yeast-champagne-type"),
                field(
                    "tolerance_abv_percent",
                    "Its limit, if you know it better",
                    Kind::Percent,
                )
                .hint("empty: the middle of what is known of this yeast"),
                field("feeding", "How well it is fed", Kind::Choice(levels)).start("usual"),
                field(
                    "must_yan_mg_per_l",
                    "Nitrogen that is there",
                    Kind::Milligrams,
                )
                .start("0 mg/L"),
            ],
        ),
        fold(
            "When to feed, and by how much",
            &[
                field("feed_at_sg", "Feed when it stands at", Kind::Gravity)
                    .hint("1.015 or lower: common practice")
                    .start("1.015"),
                field("step_sg", "Raise it by", Kind::Points)
                    .hint("15 to 20 points: common practice")
                    .start("15 points"),
            ],
        ),
    ],
    answer,
    beside: &[
        (CautionCode::NeverReadAtOnce, "whole_sg"),
        (CautionCode::StirBeforeFeeding, "fed_honey_kg"),
    ],
    method: Method {
        formula: &[
            "ferment to the feeding gravity; add honey until the gravity is higher by the step; again, until all of it fermented makes the strength wanted",
            "nitrogen = part of the class demand × (sugar of the first must + half of the sugar fed), at most 250 mg/L, all of it before the first break",
            "room = largest volume ÷ 0.8",
        ],
        source: "the balance of the recipes; rules of step feeding, 20 % of headspace and 250 mg/L: common practice, no published source",
        range: "first must 1.030 to 1.110, feeding at 0.990 to 1.015, steps of 5 to 20 points; the first must is of the same honey",
        leaves_out: "Whether the yeast follows. Its limit is known to about 1.5 %. Stop feeding when it falls by less than 0.002 a day, or what is left stays sweet. Each reading is of a mead full of gas: stir first. Honey fed late brings wild yeasts and air along.",
    },
};

fn answer(case: &Case) -> Said {
    let units = case.units;
    let times = case.count("feedings");
    let (first, fed) = (case.out("first_honey_kg"), case.out("fed_honey_kg"));
    let feed = |place: usize, key: &str| case.out(&format!("feedings/{place}/{key}"));
    let times_words = if times == 1 {
        "once".to_owned()
    } else {
        format!("in {times} steps")
    };
    let sentence = format!(
        "{} of honey to begin with, then {} more {times_words}: {} of dry mead at {}.",
        mass(first, units),
        mass(fed, units),
        volume(case.out("litres"), units),
        abv(case.out("abv_percent")),
    );
    let rows = (0..times).map(|place| {
        [
            format!("{}.", place + 1),
            gravity(feed(place, "at_sg")),
            abv(feed(place, "abv_percent")),
            mass(feed(place, "honey_kg"), units),
            gravity(feed(place, "to_sg")),
            volume(feed(place, "litres"), units),
        ]
    });
    let heads = [
        "feeding",
        "when it stands at",
        "strength by then",
        "honey",
        "brings it to",
        "volume then",
    ];
    let mut points = vec![(0.0, case.had("start_sg"))];
    for place in 0..times {
        let strength = feed(place, "abv_percent");
        points.push((strength, feed(place, "at_sg")));
        points.push((strength, feed(place, "to_sg")));
    }
    let end = (case.out("abv_percent"), case.out("fg"));
    points.push(end);
    let (target, lacks) = (
        case.out("nitrogen_target_mg_per_l"),
        case.out("nitrogen_deficit_mg_per_l"),
    );
    Said::new(sentence)
        .figure("first_honey_kg", "honey at first", mass(first, units))
        .figure("fed_honey_kg", "honey fed", mass(fed, units))
        .words("see the table below")
        .figure("nitrogen_deficit_mg_per_l", "nitrogen to give", milligrams(lacks))
        .words(format!("of {} wanted, all before it stands at {}", milligrams(target), gravity(case.out("one_third_break_sg"))))
        .figure("fg", "gravity at the end", gravity(end.1))
        .figure("vessel_l", "vessel", format!("{} or more", volume(case.out("vessel_l"), units)))
        .words("a fifth of it stays empty after the last feeding")
        .figure("whole_sg", "everything at once", gravity(case.out("whole_sg")))
        .tabled(table("The feedings, one by one", heads, rows))
        .drawn(Graph {
            prefix: "step-feeding".to_owned(),
            title: "Gravity against strength".to_owned(),
            description: format!("The gravity falls as the mead grows stronger; it is raised {times_words}, and ends at {}.", gravity(end.1)),
            x: Axis::new("strength, % by volume", 0),
            y: Axis::new("gravity", 3),
            points,
            marks: vec![Mark { x: end.0, y: end.1, words: format!("the end, {}", abv(end.0)) }],
        })
}

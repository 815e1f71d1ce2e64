//! Ordinary batches, read as people read: nothing is asked of them, and the state says what a cellar book would.

use mustwright::engine::log::Start;
use mustwright::engine::recipe::{Aim, Amount, Recipe, Target};

use super::*;
use crate::documents::{fruit, honey};
use crate::support::close;

const DAY: f64 = 24.0;

fn feed(grams: f64) -> Deed {
    Deed::Feed(Feed {
        name: "mixed".to_owned(),
        grams,
        ammonium_yan_mg_per_g: Some(70.0),
        organic_yan_mg_per_g: Some(30.0),
        cost: None,
    })
}

/// A traditional over a year: a mark up or down at every reading, a racking that nobody measured, sweetened, bottled.
#[test]
fn a_traditional_asks_nothing() {
    let entries = vec![
        at(0.0, mixed(20.2, 1.0845)),
        at(0.5, Deed::Aerate),
        at(1.0, pitch()),
        at(3.0, reads(1.0855)),
        at(DAY, Deed::Degas),
        at(DAY, feed(4.0)),
        at(1.5 * DAY, reads(1.082)),
        at(2.0 * DAY, feed(4.0)),
        at(3.0 * DAY, reads(1.069)),
        at(5.0 * DAY, reads(1.051)),
        at(6.0 * DAY, reads(1.042)),
        at(6.1 * DAY, reads(1.043)),
        at(9.0 * DAY, reads(1.022)),
        at(14.0 * DAY, reads(1.005)),
        at(14.0 * DAY, sample(0.15)),
        at(24.0 * DAY, at_rest(0.998)),
        at(38.0 * DAY, at_rest(0.997)),
        at(45.0 * DAY, Deed::Rack(Rack::default())),
        at(52.0 * DAY, reads(0.9975)),
        at(90.0 * DAY, stabilise()),
        at(92.0 * DAY, honey_of(0.6, Why::Sweeten)),
        at(110.0 * DAY, reads(1.006)),
        at(200.0 * DAY, package(Some(19.2))),
        at(300.0 * DAY, Deed::Tasting(Tasting::default())),
    ];
    let state = after(&start(), entries);
    assert_eq!(state.questions, []);
    assert!(state.points.iter().all(|point| point.used));
    close(state.og, 1.0845, 1e-3, "OG");
    assert!(state.abv_percent > 10.9 && state.abv_percent < 11.6);
    assert!(state.sg > 1.004 && state.sg < 1.008, "{}", state.sg);
    assert_eq!(state.marks.end, Some(24.0 * DAY));
    assert_eq!(state.volume_l, 0.0);
    close(
        state.packaged_l + state.losses.total_l(),
        20.2 + 0.4,
        0.35,
        "litres: what was mixed, less what fermenting shrinks, more by the honey",
    );
}

/// Fruit from the start: its juice first thins or thickens the must, then ferments with it.
#[test]
fn a_melomel_asks_nothing() {
    let recipe = Recipe {
        aim: Aim::Target(Target::Gravity(1.095)),
        ingredients: vec![honey(Amount::Share(1.0)), fruit(Amount::Kg(6.0))],
        ..traditional()
    };
    let start = Start::of_recipe(&recipe).expect("a start");
    let plan = plan(&start);
    let entries = vec![
        at(0.0, mixed(plan.must_volume_l + 0.2, plan.must_sg - 0.001)),
        at(1.0, pitch()),
        at(2.0 * DAY, reads(plan.must_sg - 0.009)),
        at(4.0 * DAY, reads(1.075)),
        at(7.0 * DAY, reads(1.045)),
        at(10.0 * DAY, Deed::Rack(Rack::default())),
        at(20.0 * DAY, reads(1.004)),
        at(40.0 * DAY, reads(plan.natural_fg + 0.001)),
    ];
    let state = after(&start, entries);
    assert_eq!(state.questions, []);
    close(state.og, plan.whole_sg, 2e-3, "OG of all");
    // 6 kg of fruit keeps 2.4 L, the lees 4 %.
    close(state.losses.racking_l, 2.4 + 0.8, 0.1, "racking");
}

/// Sweet fruit raises the gravity before the yeast has begun: that is no riddle.
#[test]
fn dried_fruit_may_raise_the_gravity() {
    let mut raisins = fruit(Amount::Kg(1.5));
    raisins.composition = Some(parts(0.16, 0.68, 0.08, 0.08));
    let recipe = crate::documents::amounts(20.0, vec![honey(Amount::Kg(4.0)), raisins]);
    let start = Start::of_recipe(&recipe).expect("a start");
    let must = plan(&start).must_sg;
    let state = after(
        &start,
        vec![
            at(0.0, reads(must)),
            at(1.0, pitch()),
            at(1.5 * DAY, reads(must + 0.004)),
            at(5.0 * DAY, reads(must - 0.010)),
        ],
    );
    assert_eq!(state.questions, []);
    assert!(state.points.iter().all(|point| point.used));
}

/// Found in the vessel, with honey fed and topped up with another mead.
#[test]
fn a_batch_without_a_recipe_asks_nothing() {
    let start = Start::of_reading(4.6, 1.090, 0.0, 0.11).expect("a start");
    let mead = Deed::Addition(Addition {
        why: Some(Why::TopUp),
        litres: Some(0.4),
        sg: Some(1.002),
        abv_percent: Some(11.5),
        ..Addition::of("last year's", What::Mead)
    });
    let entries = vec![
        at(5.0 * DAY, reads(1.060)),
        at(9.0 * DAY, reads(1.035)),
        at(20.0 * DAY, reads(1.008)),
        at(30.0 * DAY, rack_loss(0.3)),
        at(30.0 * DAY, mead),
        at(60.0 * DAY, reads(1.001)),
    ];
    let state = after(&start, entries);
    assert_eq!(state.questions, []);
    close(state.volume_l, 4.6 - 0.3 + 0.4, 0.15, "litres");
    assert!(
        state.abv_percent > 11.3 && state.abv_percent < 12.3,
        "{}",
        state.abv_percent
    );
}

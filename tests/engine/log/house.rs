//! A house's own figures: only from three batches on, and only of what belongs together.

use mustwright::engine::log::house::*;
use proptest::prelude::*;

use crate::support::any_number;

fn batch(yeast: &str, fg_off: f64, season: &str) -> Finished {
    Finished {
        yeast: Some(yeast.to_owned()),
        fg_off: Some(fg_off),
        vessel: Some("glass".to_owned()),
        loss_part: Some(0.1 + fg_off),
        days_to_end: Some(20.0 + 1000.0 * fg_off),
        season: Some(season.to_owned()),
    }
}

#[test]
fn two_batches_tell_nothing_three_do() {
    let mut batches = vec![
        batch("wine", 0.002, "summer"),
        batch("ale", 0.010, "summer"),
        batch("wine", 0.004, "winter"),
    ];
    assert_eq!(fg_off(&batches, "wine"), None);
    batches.push(batch("wine", -0.001, "summer"));
    let figure = fg_off(&batches, "wine").expect("a figure");
    assert_eq!(
        (figure.count, figure.median, figure.low, figure.high),
        (3, 0.002, -0.001, 0.004)
    );
    assert_eq!(days_to_end(&batches, "wine", Some("summer")), None);
    assert_eq!(
        days_to_end(&batches, "wine", None).map(|figure| figure.median),
        Some(22.0)
    );
    // Of an even number: the middle of the two in the middle.
    let loss = loss_part(&batches, "glass").expect("a figure");
    assert_eq!(loss.count, 4);
    assert!((loss.median - 0.103).abs() < 1e-12);
    assert_eq!(loss_part(&batches, "barrel"), None);
}

proptest! {
    #[test]
    fn figures_are_finite_and_in_order(values in prop::collection::vec(any_number(), 0..9)) {
        if let Some(figure) = figure(values) {
            prop_assert!(figure.median.is_finite());
            prop_assert!(figure.low <= figure.median && figure.median <= figure.high);
        }
    }
}

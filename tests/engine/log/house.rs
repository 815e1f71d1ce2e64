//! A house's own figures: only from three batches on, the middle between the lowest and the highest.

use mustwright::engine::log::house::*;
use proptest::prelude::*;

use crate::support::any_number;

#[test]
fn two_batches_tell_nothing_three_do() {
    assert_eq!(figure([0.002, 0.004]), None);
    assert_eq!(figure([0.002, f64::NAN, 0.004]), None, "only numbers count");
    let three = figure([0.002, 0.004, -0.001]).expect("a figure");
    assert_eq!(
        (three.count, three.median, three.low, three.high),
        (3, 0.002, -0.001, 0.004)
    );
    // Of an even number: the middle of the two in the middle.
    let four = figure([0.102, 0.110, 0.104, 0.099]).expect("a figure");
    assert_eq!(four.count, 4);
    assert!((four.median - 0.103).abs() < 1e-12);
    // The smallest numbers have a middle too.
    let least = figure([5e-324; 4]).expect("a figure");
    assert!(least.low <= least.median);
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

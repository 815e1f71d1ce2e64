//! From the bottles back to the must, and how long a mead ages: worked by hand, and there and back again.

use mustwright::engine::ageing::{days_of, months};
use mustwright::engine::chain::Batch;
use mustwright::engine::vessel::losses;
use proptest::prelude::*;

use crate::support::close;

const PLAIN: Batch = Batch {
    fruit_kg_per_l: 0.0,
    vessels: [1, 1],
    racking_l: [None, None],
    loss_part: None,
};

/// 30 bottles of 0.75 L are 22.5 L. Of x L of finished mead 0.04 x and 0.02 x stay on the lees and 0.15 L in the hose:
/// 0.94 x = 22.65, x = 24.0957; after the first racking 0.96 x = 23.1319.
#[test]
fn thirty_bottles_by_hand() {
    let chain = PLAIN.for_packaged(22.5).expect("a chain");
    close(chain.finished_l, 24.095_745, 1e-5, "litres");
    close(chain.secondary_l, 23.131_915, 1e-5, "litres");
    close(chain.packaged_l, 22.5, 1e-6, "litres");
}

/// A demijohn of 25 L, full to 97 %, holds 24.25 L: x = 24.25 / 0.96 = 25.2604, and 0.94 x − 0.15 = 23.5948 are to fill.
#[test]
fn a_full_demijohn_by_hand() {
    let chain = PLAIN.for_secondary(24.25).expect("a chain");
    close(chain.finished_l, 25.260_417, 1e-5, "litres");
    close(chain.packaged_l, 23.594_792, 1e-5, "litres");
}

/// 3.75 L are too little for the percentages: 0.25 + 0.15 + 0.15 = 0.55 L stay behind, x = 4.30, and 4.05 age.
#[test]
fn five_bottles_lose_the_least_losses() {
    let chain = PLAIN.for_packaged(3.75).expect("a chain");
    close(chain.finished_l, 4.30, 1e-6, "litres");
    close(chain.secondary_l, 4.05, 1e-6, "litres");
}

/// 150 g of fruit in each litre keep 0.4 × 0.15 = 0.06 L of it: 0.88 x = 10.15, x = 11.5341; 0.90 x = 10.3807 age.
#[test]
fn fruit_keeps_its_part() {
    let batch = Batch {
        fruit_kg_per_l: 0.15,
        ..PLAIN
    };
    let chain = batch.for_packaged(10.0).expect("a chain");
    close(chain.finished_l, 11.534_091, 1e-5, "litres");
    close(chain.secondary_l, 10.380_682, 1e-5, "litres");
    close(chain.losses.fruit_l, 0.692_045, 1e-5, "litres");
}

/// A house that leaves a tenth of every mead behind: 9 L are left of 10, and what stays is shared out as the usual is.
#[test]
fn a_houses_own_part_stands_in_place_of_the_usual() {
    let batch = Batch {
        loss_part: Some(0.1),
        ..PLAIN
    };
    let chain = batch.for_packaged(9.0).expect("a chain");
    close(chain.finished_l, 10.0, 1e-6, "litres");
    close(chain.losses.total_l(), 1.0, 1e-6, "litres");
    let usual = PLAIN.follow(10.0).losses;
    let share = usual.first_racking_l / usual.total_l();
    close(chain.losses.first_racking_l, share, 1e-6, "litres");
    for cannot in [-0.1, 0.95, f64::NAN, f64::INFINITY] {
        let other = Batch {
            loss_part: Some(cannot),
            ..PLAIN
        };
        assert_eq!(other.follow(10.0), PLAIN.follow(10.0), "{cannot}");
    }
}

/// Two vessels lose twice the least: 0.5 + 0.3 + 0.3 L of 8 L of finished mead.
#[test]
fn each_vessel_has_its_least_losses() {
    close(losses(8.0, 0.0, [2, 2]).total_l(), 1.1, 1e-12, "litres");
    close(
        losses(8.0, 0.0, [1, 1]).total_l(),
        0.32 + 0.16 + 0.15,
        1e-12,
        "litres",
    );
}

/// A tap that leaves 1.2 L in the first vessel and a carboy that leaves 0.1 L: 20 L become 18.8, then 18.7 less 0.15 in the
/// hose; and back from 18.55.
#[test]
fn what_somebody_measured_stays_behind() {
    let measured = Batch {
        racking_l: [Some(1.2), Some(0.1)],
        ..PLAIN
    };
    let chain = measured.follow(20.0);
    close(chain.secondary_l, 18.8, 1e-12, "litres");
    close(chain.packaged_l, 18.55, 1e-12, "litres");
    let back = measured.for_packaged(18.55).expect("a chain");
    close(back.finished_l, 20.0, 1e-6, "litres");
    close(
        PLAIN.follow(20.0).losses.first_racking_l,
        0.8,
        1e-12,
        "the usual, where nobody has",
    );
}

#[test]
fn what_cannot_be_is_none() {
    for litres in [-1.0, f64::NAN, f64::INFINITY, 1e7] {
        assert_eq!(PLAIN.for_packaged(litres), None, "{litres}");
        assert_eq!(PLAIN.for_secondary(litres), None, "{litres}");
    }
    let all_fruit = Batch {
        fruit_kg_per_l: 2.5,
        ..PLAIN
    };
    assert_eq!(all_fruit.for_packaged(10.0), None, "the fruit keeps it all");
}

#[test]
fn the_table_of_ageing() {
    for (family, strength, wanted) in [
        ("traditional", "hydromel", [1, 2]),
        ("braggot", "standard", [2, 4]),
        ("berry_mead", "standard", [4, 9]),
        ("metheglin", "standard", [4, 9]),
        ("traditional", "standard", [6, 12]),
        ("bochet", "standard", [9, 18]),
        ("bochet", "hydromel", [9, 18]),
        ("traditional", "sack", [12, 36]),
    ] {
        assert_eq!(months(family, strength), wanted, "{family} {strength}");
    }
    let days = [1, 2, 4, 6, 9, 12].map(days_of);
    assert_eq!(days, [30, 61, 122, 183, 274, 365]);
}

proptest! {
    /// There and back: the least that leaves so much leaves so much, and a hundredth less leaves less.
    #[test]
    fn there_and_back(
        litres in 0.5f64..200.0,
        fruit in 0.0f64..0.5,
        first in 1u32..8,
        later in 1u32..12,
    ) {
        let batch = Batch { fruit_kg_per_l: fruit, vessels: [first, later], ..PLAIN };
        let packaged = batch.for_packaged(litres).expect("a chain");
        prop_assert!(packaged.packaged_l >= litres);
        prop_assert!(packaged.packaged_l <= litres + 1e-6);
        prop_assert!(batch.follow(packaged.finished_l * 0.99).packaged_l < litres);
        let aged = batch.for_secondary(litres).expect("a chain");
        prop_assert!((aged.secondary_l - litres).abs() <= 1e-6);
        let losses = packaged.losses;
        close(packaged.finished_l - packaged.packaged_l, losses.total_l(), 1e-9, "what stays behind");
    }
}

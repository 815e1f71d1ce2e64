//! Spread of totals and agreement of judges, against values reckoned by hand and against Friedman's statistic.

use mustwright::engine::contest::frozen::{Flight, Kind, Mark};
use mustwright::engine::contest::statistics::{agreement, leanings, spread};
use mustwright::engine::senses::ranking::weigh;
use proptest::prelude::*;

use crate::support::close;

/// A table: of each judge the totals of entries in their order; none was not tasted.
fn table(judges: &[Vec<Option<u32>>]) -> Flight {
    let mut marks = Vec::new();
    for (judge, totals) in (1..).zip(judges) {
        for (entry, total) in totals.iter().enumerate() {
            let code = format!("AB{}", 200 + entry);
            marks.extend(total.map(|total| Mark {
                judge,
                code,
                total,
                section: 0,
            }));
        }
    }
    Flight {
        number: 7,
        kind: Kind::First,
        category: Some(1),
        codes: Vec::new(),
        agreed: Vec::new(),
        orders: Vec::new(),
        marks,
    }
}

fn all(totals: &[u32]) -> Vec<Option<u32>> {
    totals.iter().copied().map(Some).collect()
}

#[test]
fn totals_are_spread_over_ten_steps_of_the_sheet() {
    let found = spread(&[50, 10, 30, 25, 20, 45], 50).expect("totals");
    assert_eq!((found.count, found.least, found.most), (6, 10, 50));
    // 10 20 25 30 45 50: positions 1.25, 2.5 and 3.75.
    assert_eq!(found.quartiles, [21.25, 27.5, 41.25]);
    close(found.mean, 30.0, 1e-12, "mean");
    let counts: Vec<usize> = found.columns.iter().map(|(.., count)| *count).collect();
    // The most of the sheet stands in the last step.
    assert_eq!(counts, [0, 0, 1, 0, 1, 1, 1, 0, 0, 2]);
    assert_eq!(spread(&[], 50), None);
    assert_eq!(spread(&[0], 0), None);
}

#[test]
fn agreement_by_hand() {
    // Three judges, four entries, one of them level for two entries. Ranks 1 2 3 4; 1 2 4 3; 1.5 1.5 3 4:
    // sums 3.5 5.5 10 11, S = 38.5, W = 12·38.5 / (9·60 − 3·6) = 462/522.
    let found = agreement(&table(&[
        all(&[10, 20, 30, 40]),
        all(&[12, 22, 42, 32]),
        all(&[15, 15, 35, 45]),
    ]))
    .expect("a table");
    assert_eq!((found.flight, found.judges, found.entries), (7, 3, 4));
    close(
        found.concordance.expect("told apart"),
        462.0 / 522.0,
        1e-12,
        "concordance",
    );
    // Differences: 2 5 3, 2 5 7, 12 5 7, 8 5 13.
    close(found.apart, 74.0 / 12.0, 1e-12, "apart");
    assert_eq!(found.widest, 13);
}

#[test]
fn what_a_judge_did_not_taste_is_left_out_and_too_little_says_nothing() {
    let one = all(&[10, 20, 30]);
    let found = agreement(&table(&[one.clone(), vec![Some(11), None, Some(31)]]));
    assert_eq!(found.map(|found| found.entries), Some(2));
    assert_eq!(agreement(&table(std::slice::from_ref(&one))), None);
    let level = agreement(&table(&[all(&[9, 9]), all(&[9, 9])])).expect("a table");
    assert_eq!(level.concordance, None);
}

#[test]
fn a_generous_judge_stands_above_the_others() {
    let tables = [table(&[all(&[30, 20]), all(&[27, 17]), all(&[27, 17])])];
    let found = leanings(&tables);
    let above: Vec<(u32, usize, f64)> = found
        .iter()
        .map(|one| (one.judge, one.sheets, one.above))
        .collect();
    assert_eq!(above, [(1, 2, 3.0), (2, 2, -1.5), (3, 2, -1.5)]);
    assert!(leanings(&[table(&[all(&[30, 20])])]).is_empty());
}

proptest! {
    // Friedman's exact chance, which is reckoned along with it, takes its time.
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// W is Friedman's statistic divided by m (n − 1).
    #[test]
    fn concordance_is_friedmans_statistic(
        totals in (2usize..7, 3usize..=6).prop_flat_map(|(judges, entries)| {
            prop::collection::vec(prop::collection::vec(0u32..8, entries), judges)
        })
    ) {
        let judges: Vec<Vec<Option<u32>>> = totals.iter().map(|one| all(one)).collect();
        let found = agreement(&table(&judges)).expect("a table");
        let friedman = weigh(&totals).expect("sound");
        let (m, n) = (totals.len() as f64, totals[0].len() as f64);
        let wanted = friedman.statistic / (m * (n - 1.0));
        prop_assert!((found.concordance.unwrap_or(0.0) - wanted).abs() < 1e-9);
    }
}

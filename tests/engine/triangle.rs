//! The triangle test against tables computed twice (a statistics library and exact fractions), and by counting.

use mustwright::engine::problem::ProblemCode;
use mustwright::engine::triangle::{LARGEST_PANEL, critical_number, p_value, part_who_can_tell};
use proptest::prelude::*;

use crate::calculations::{faults, numbers};
use crate::support::{any_number, close, table};

fn after<'a>(text: &'a str, mark: &str) -> &'a str {
    let (_, rest) = text
        .split_once(mark)
        .unwrap_or_else(|| panic!("{text}: {mark}"));
    rest.split(',').next().unwrap_or(rest)
}

#[test]
fn the_whole_table_of_critical_numbers() {
    let mut rows = 0;
    for row in table("styles") {
        if row.text("type") != "triangle" {
            continue;
        }
        rows += 1;
        let panel = after(row.text("parameter"), "n=");
        let alpha = after(row.text("note"), "alpha=");
        let input = format!(r#"{{"panel": {panel}, "correct": 0, "alpha": {alpha}}}"#);
        let found = numbers("triangle", &input);
        match row.text("value") {
            "NA" => assert!(!found.contains_key("critical_number"), "{input}"),
            wanted => assert_eq!(found["critical_number"].to_string(), wanted, "{input}"),
        }
        close(found["p_value"], 1.0, 1e-12, "none right is no wonder");
    }
    assert_eq!(rows, 48);
}

#[test]
fn the_chance_of_so_many_by_luck() {
    let mut rows = 0;
    for row in table("styles") {
        if row.text("type") != "triangle_p" {
            continue;
        }
        rows += 1;
        let condition = row.text("parameter");
        let (panel, correct) = (after(condition, "n="), after(condition, "correct="));
        let input = format!(r#"{{"panel": {panel}, "correct": {correct}, "alpha": 0.05}}"#);
        let found = numbers("triangle", &input);
        row.expect("value", found["p_value"], 5e-7);
        let share: f64 = after(row.text("note"), "p_d estimate = ")
            .parse()
            .expect("a number");
        close(found["part_who_can_tell"], share, 5e-5, "who can tell");
    }
    assert_eq!(rows, 4);
}

/// Three tasters by counting all 27 outcomes: 8, 12, 6 and 1 of them have 0, 1, 2 and 3 right.
#[test]
fn three_tasters_by_hand() {
    for (correct, wanted) in [(0, 27.0), (1, 19.0), (2, 7.0), (3, 1.0)] {
        close(
            p_value(3, correct).expect("in range"),
            wanted / 27.0,
            1e-15,
            "by hand",
        );
    }
    assert_eq!(critical_number(3, 0.05), Some(3));
    assert_eq!(critical_number(3, 0.03), None);
    assert_eq!(p_value(3, 4), None);
    assert_eq!(part_who_can_tell(3, 0), 0.0);
    assert_eq!(part_who_can_tell(0, 0), 0.0);
    assert_eq!(p_value(0, 0), Some(1.0));
}

#[test]
fn faults_are_named() {
    let fault = |input: &str| faults("triangle", input);
    let one = |code, path: &str| vec![(code, path.to_owned())];
    assert_eq!(
        fault(r#"{"panel": 12, "correct": 13, "alpha": 0.05}"#),
        one(ProblemCode::OutOfRange, "/correct")
    );
    assert_eq!(
        fault(r#"{"panel": 12.5, "correct": 1, "alpha": 0.05}"#),
        one(ProblemCode::WrongKind, "/panel")
    );
    assert_eq!(
        fault(r#"{"panel": 0, "correct": 0, "alpha": 0.05}"#),
        one(ProblemCode::OutOfRange, "/panel")
    );
    assert_eq!(
        fault(r#"{"panel": 2000, "correct": 0, "alpha": 0.05}"#),
        one(ProblemCode::OutOfRange, "/panel")
    );
    assert_eq!(
        fault(r#"{"panel": 12, "correct": 3, "alpha": 0}"#),
        one(ProblemCode::OutOfRange, "/alpha")
    );
    assert_eq!(
        fault(r#"{"panel": 12, "correct": 3}"#),
        one(ProblemCode::Missing, "/alpha")
    );
}

proptest! {
    /// Chances fall from 1 as more are right, by the binomial's own term; the critical number is where they pass alpha.
    #[test]
    fn chances_are_a_distribution(panel in 1..=LARGEST_PANEL, alpha in any_number()) {
        let all: Vec<f64> = (0..=panel).map(|correct| p_value(panel, correct).expect("in range")).collect();
        prop_assert_eq!(all[0], 1.0);
        prop_assert!(all.is_sorted_by(|a, b| a >= b) && all[panel as usize] >= 0.0);
        // The mean of the right picks is the sum of the chances of at least 1, 2, …
        let mean: f64 = all[1..].iter().sum();
        prop_assert!((mean - f64::from(panel) / 3.0).abs() < 1e-10 * f64::from(panel));
        let wanted = (0..=panel).find(|c| all[*c as usize] <= alpha);
        prop_assert_eq!(critical_number(panel, alpha), wanted);
    }
}

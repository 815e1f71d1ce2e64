//! The solver of differential equations against exact solutions.

use std::ops::ControlFlow;

use mustwright::engine::ode::{Step, Tolerance, Unsolved, solve};

use crate::support::close;

fn on<const N: usize>(_: &Step<N>, _: &mut [f64; N]) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

fn to<const N: usize>(relative: f64) -> Tolerance<N> {
    Tolerance {
        relative,
        absolute: [relative; N],
    }
}

fn swing(_: f64, [x, v]: &[f64; 2]) -> [f64; 2] {
    [*v, -x]
}

#[test]
fn a_swing_and_a_decay_come_out_as_they_are_known() {
    let swung = solve(swing, (0.0, 20.0), [1.0, 0.0], &to(1e-10), on).unwrap();
    close(swung[0], 20.0_f64.cos(), 1e-8, "cosine");
    close(swung[1], -20.0_f64.sin(), 1e-8, "sine");
    let decayed = solve(|_, [y]| [-0.3 * y], (2.0, 12.0), [5.0], &to(1e-10), on).unwrap();
    close(decayed[0], 5.0 * (-3.0_f64).exp(), 1e-9, "decay");
    // A right side of the time alone, which shows a wrong place of a stage.
    let risen = solve(|t, _| [t.powi(5)], (0.0, 2.0), [0.0], &to(1e-10), on).unwrap();
    close(risen[0], 64.0 / 6.0, 1e-9, "a power of the time");
}

/// The error of dense output of order 4 falls with the fifth power of the step: a tolerance 32 times as tight halves the
/// steps and makes it 32 times as small. A method of order 3 would need 2.4 times as many steps.
#[test]
fn the_orders_are_five_and_four() {
    let with = |tolerance: f64| {
        let (mut steps, mut worst) = (0_u32, 0.0_f64);
        solve(swing, (0.0, 50.0), [1.0, 0.0], &to(tolerance), |step, y| {
            steps += 1;
            let middle = step.from + 0.4 * (step.to - step.from);
            worst = worst.max((step.at(middle)[0] - middle.cos()).abs());
            on(step, y)
        })
        .unwrap();
        (f64::from(steps), worst)
    };
    let (coarse, fine) = (with(1e-6), with(1e-6 / 1024.0));
    let ratio = fine.0 / coarse.0;
    assert!((3.4..4.6).contains(&ratio), "steps by 1024^(1/5): {ratio}");
    assert!(fine.1 < coarse.1 / 250.0, "{coarse:?} {fine:?}");
}

#[test]
fn the_state_between_the_ends_is_as_exact_as_asked() {
    let mut steps = Vec::new();
    solve(swing, (0.0, 10.0), [0.0, 1.0], &to(1e-8), |step, y| {
        steps.push(*step);
        on(step, y)
    })
    .unwrap();
    for step in &steps {
        for part in [0.0, 0.25, 0.5, 0.75, 1.0] {
            let t = step.from + part * (step.to - step.from);
            close(step.at(t)[0], t.sin(), 3e-7, "between");
        }
    }
    assert!((5..200).contains(&steps.len()), "{} steps", steps.len());
    assert_eq!(steps.last().map(|step| step.to), Some(10.0));
}

#[test]
fn a_step_may_change_the_state_or_end_it_all() {
    let mut sum = 0;
    let stopped = solve(
        |_, _| [1.0],
        (0.0, 100.0),
        [0.0],
        &to(1e-8),
        |_, [y]| {
            sum += 1;
            match *y > 3.0 {
                true => ControlFlow::Break(()),
                false => {
                    *y += 0.5;
                    ControlFlow::Continue(())
                }
            }
        },
    );
    let stopped = stopped.unwrap()[0];
    assert!(stopped > 3.0 && sum > 1);
}

#[test]
fn what_has_no_solution_says_so() {
    let blown = solve(|_, [y]| [y.powi(3)], (0.0, 2.0), [1e3], &to(1e-8), on);
    assert_eq!(
        blown,
        Err(Unsolved),
        "it is infinite after half a millionth"
    );
    let none = solve(|_, _| [f64::NAN], (0.0, 1.0), [1.0], &to(1e-8), on);
    assert_eq!(none, Err(Unsolved));
    let nothing = solve(|_, _| [1.0], (1.0, 1.0), [7.0], &to(1e-8), on);
    assert_eq!(nothing, Ok([7.0]), "no time, no change");
}

/// Whatever rounding says: in binary a start and what is left until the end seldom make the end.
#[test]
fn the_last_step_ends_exactly_at_the_end() {
    for number in 1..200 {
        let (start, end) = (0.1, 0.1 + 0.37 * f64::from(number));
        let mut reached = start;
        solve(swing, (start, end), [1.0, 0.0], &to(1e-6), |step, y| {
            assert_eq!(step.from, reached);
            assert!(step.to - step.from > 1e-9, "a step of nothing: {step:?}");
            reached = step.to;
            on(step, y)
        })
        .unwrap();
        assert_eq!(reached, end, "number {number}");
    }
}

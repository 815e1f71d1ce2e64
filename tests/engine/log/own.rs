//! A house's own figures in the place of the book's: the same amounts, another end, and numbers that agree with each other.

use mustwright::engine::formulation::{Formulation, StoppedBy};
use mustwright::engine::log::house::Figure;
use mustwright::engine::log::own::Own;
use mustwright::engine::log::{Start, replay};
use mustwright::engine::recipe::{Aim, Amount, Finish, Recipe, Target, Vessel};
use mustwright::engine::{Settings, formulate};
use proptest::prelude::*;

use super::*;
use crate::documents::{fruit, honey};
use crate::support::{any_number, close};

fn of(median: f64) -> Option<Figure> {
    Some(Figure {
        count: 4,
        median,
        low: median - 0.001,
        high: median + 0.001,
    })
}

fn ending(off: f64) -> Own {
    Own {
        fg_off: of(off),
        ..Own::default()
    }
}

fn numbers(recipe: &Recipe) -> Formulation {
    let numbers = formulate(recipe, &Settings::default());
    assert!(numbers.problems.is_empty(), "{:?}", numbers.problems);
    numbers
}

fn natural_fg(numbers: &Formulation) -> f64 {
    numbers.finished.as_ref().expect("an end").natural_fg
}

/// A recipe that ends when its sugar is gone, and the same with so much honey that its yeast gives up before.
fn cases() -> Vec<(&'static str, Recipe, StoppedBy)> {
    let with = |target, finish| Recipe {
        aim: Aim::Target(target),
        finish,
        ..traditional()
    };
    let fruity = Recipe {
        ingredients: vec![honey(Amount::Share(1.0)), fruit(Amount::Kg(4.0))],
        ..with(Target::Gravity(1.080), Finish::Dry)
    };
    vec![
        (
            "dry",
            with(Target::Gravity(1.080), Finish::Dry),
            StoppedBy::Sugar,
        ),
        (
            "by its strength",
            with(Target::Abv(9.0), Finish::Dry),
            StoppedBy::Sugar,
        ),
        ("with fruit", fruity, StoppedBy::Sugar),
        (
            "strong",
            with(Target::Gravity(1.170), Finish::Dry),
            StoppedBy::Tolerance,
        ),
    ]
}

#[test]
fn it_ends_where_the_house_ends_it_with_the_same_amounts() {
    for (name, book, stopped_by) in cases() {
        let by_the_book = numbers(&book);
        assert_eq!(
            by_the_book.limits.as_ref().unwrap().stopped_by,
            stopped_by,
            "{name}"
        );
        for off in [-0.003, -0.001, 0.002, 0.006] {
            let told = format!("{name}, {off}");
            let own = ending(off).recipe(&book, &by_the_book);
            let here = numbers(&own);
            close(
                natural_fg(&here),
                natural_fg(&by_the_book) + off,
                1e-5,
                &told,
            );
            let [og, og_of_the_book] =
                [&here, &by_the_book].map(|numbers| numbers.whole.as_ref().unwrap().og);
            close(og, og_of_the_book, 1e-6, &told);
            for (one, other) in here.ingredients.iter().zip(&by_the_book.ingredients) {
                let kg = |line: &mustwright::engine::formulation::Line| line.kg.unwrap_or(0.0);
                close(kg(one), kg(other), 1e-9, &told);
            }
            // What is not fermented makes no alcohol.
            let [abv, abv_of_the_book] =
                [&here, &by_the_book].map(|numbers| numbers.finished.as_ref().unwrap().abv_percent);
            assert_eq!(
                abv < abv_of_the_book,
                off > 0.0,
                "{told}: {abv} {abv_of_the_book}"
            );
            let plan = Start::of_recipe(&own)
                .expect("a start")
                .plan
                .expect("a plan");
            close(plan.natural_fg, natural_fg(&here), 1e-12, &told);
        }
    }
}

#[test]
fn its_state_is_reckoned_with_it_from_the_first_hour_on() {
    let (_, book, _) = cases().remove(0);
    let by_the_book = numbers(&book);
    let own = ending(0.004).recipe(&book, &by_the_book);
    let expected = |recipe: &Recipe| {
        let start = Start::of_recipe(recipe).expect("a start");
        replay(&start, &[]).flows.vessel.sugar_kg
    };
    assert!(expected(&own) < expected(&book), "less of it will ferment");
}

#[test]
fn what_stays_behind_is_the_houses_part_of_the_finished_mead() {
    let (_, mut book, _) = cases().remove(0);
    book.vessel = Some(Vessel {
        brim_l: 30.0,
        ..Vessel::default()
    });
    let by_the_book = numbers(&book);
    let own = Own {
        loss_part: of(0.11),
        ..Own::default()
    };
    let here = numbers(&own.recipe(&book, &by_the_book));
    let finished = by_the_book.finished.as_ref().unwrap().volume_l;
    let package = here.package.expect("bottles");
    close(package.losses_l, 0.11 * finished, 1e-9, "litres");
    close(package.litres, 0.89 * finished, 1e-9, "litres");
    assert!((by_the_book.package.unwrap().losses_l - package.losses_l).abs() > 0.1);
}

#[test]
fn nothing_taken_changes_nothing_and_days_change_no_recipe() {
    for (name, book, _) in cases() {
        let by_the_book = numbers(&book);
        let days = Own {
            end_days: of(25.0),
            ..Own::default()
        };
        assert!(Own::default().is_empty() && !days.is_empty());
        for own in [Own::default(), days] {
            assert_eq!(own.recipe(&book, &by_the_book), book, "{name}");
        }
    }
}

#[test]
fn a_figure_that_cannot_be_is_left_out() {
    let figure = |low, median, high| {
        Some(Figure {
            count: 3,
            median,
            low,
            high,
        })
    };
    let good = Own {
        fg_off: figure(-0.002, 0.0, 0.003),
        loss_part: figure(0.05, 0.06, 0.07),
        end_days: figure(10.0, 20.0, 30.0),
    };
    assert_eq!(good.sound(), good);
    for bad in [
        figure(0.0, 0.2, 3000.0e9),
        figure(-5.0, 0.0, 0.0),
        figure(0.03, 0.02, 0.01),
        figure(f64::NAN, 0.0, 0.0),
    ] {
        let own = Own {
            fg_off: bad,
            loss_part: bad,
            end_days: bad,
        };
        let sound = own.sound();
        assert!(
            sound.fg_off.is_none() && sound.loss_part.is_none() && sound.end_days.is_none(),
            "{own:?}"
        );
    }
}

proptest! {
    #[test]
    fn no_figure_breaks_a_recipe(off in any_number(), part in any_number()) {
        let (_, book, _) = cases().remove(0);
        let by_the_book = numbers(&book);
        let own = Own { fg_off: of(off), loss_part: of(part), end_days: None }.sound();
        let here = formulate(&own.recipe(&book, &by_the_book), &Settings::default());
        prop_assert!(here.problems.is_empty());
        prop_assert!(natural_fg(&here).is_finite());
    }
}

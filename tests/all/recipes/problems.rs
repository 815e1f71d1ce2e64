//! What the engine finds wrong stands beside the field that can mend it.

use std::collections::BTreeSet;

use mustwright::catalogue::club::ClubCatalogue;
use mustwright::engine::problem::ProblemCode;
use mustwright::engine::{Settings, formulate};
use mustwright::recipes::forms::{Group, Workbench, fill};
use mustwright::recipes::numbers::{self, Reader};
use mustwright::recipes::workbench::view::{Material, form_view};
use mustwright::web::units::Units;

use super::{NEW, SAVE, STRENGTH, a_club, check, region};

type Edit = fn(&mut Workbench);

fn set(form: &mut Workbench, fields: &[(&str, &str)]) {
    for (name, text) in fields {
        form.set(name, *text);
    }
}

/// Another form in which the cells of one row say something else.
fn with_row(form: &mut Workbench, group: Group, cells: &[(&'static str, &str)]) {
    let mut row = form.rows(group).first().cloned().unwrap_or_default();
    let key = row.key.clone();
    for (column, text) in cells {
        row.set(column, *text);
    }
    form.remove_row(group, &key, &ClubCatalogue::default());
    form.put_row(group, row);
}

/// Each problem that a form can have: how it comes about, and where its words must stand.
const PROBLEMS: &[(ProblemCode, Edit, &str)] = &[
    (
        ProblemCode::YeastCannotReach,
        |form| form.set("strength", "22 %"),
        "strength",
    ),
    (
        ProblemCode::AlreadySweeter,
        |form| {
            with_row(form, Group::Yeast, &[("pick", "yeast-lager")]);
            set(form, &[("aim", "gravity"), ("gravity", "1.120")]);
            set(form, &[("finish", "sweeten"), ("final_gravity", "1.010")]);
        },
        "final_gravity",
    ),
    (
        ProblemCode::NoRoomForWater,
        |form| {
            set(form, &[("aim", "amounts"), ("volume", "3 L")]);
            with_row(form, Group::Honey, &[("amount", "6 kg")]);
        },
        "volume",
    ),
    (
        ProblemCode::NoRoomForWater,
        |form| {
            set(form, &[("volume", "10 L"), ("strength", "8 %")]);
            let juice = [("pick", "apple-juice"), ("amount", "11 L")];
            form.add_row(Group::Other, &juice);
        },
        "volume",
    ),
    (
        ProblemCode::HoneyNegative,
        |form| {
            set(form, &[("strength", "5 %"), ("volume", "10 L")]);
            let sugar = [("pick", "table-sugar"), ("amount", "2 kg")];
            form.add_row(Group::Other, &sugar);
        },
        "strength",
    ),
    (
        ProblemCode::HoneyNegative,
        |form| {
            set(
                form,
                &[("aim", "gravity"), ("gravity", "1.020"), ("volume", "10 L")],
            );
            let sugar = [("pick", "table-sugar"), ("amount", "2 kg")];
            form.add_row(Group::Other, &sugar);
        },
        "gravity",
    ),
    (
        ProblemCode::GravityOutOfReach,
        |form| set(form, &[("aim", "gravity"), ("gravity", "1.480")]),
        "gravity",
    ),
    (
        ProblemCode::FinishOverdetermined,
        |form| {
            set(form, &[("aim", "gravity"), ("gravity", "1.090")]);
            set(form, &[("finish", "arrest"), ("final_gravity", "1.020")]);
        },
        "final_gravity",
    ),
    (
        ProblemCode::ArrestOutOfReach,
        |form| {
            set(form, &[("aim", "amounts"), ("volume", "10 L")]);
            with_row(form, Group::Honey, &[("amount", "1 kg")]);
            set(form, &[("finish", "arrest"), ("final_gravity", "1.100")]);
        },
        "final_gravity",
    ),
    (
        ProblemCode::NothingToSweetenWith,
        |form| {
            let key = form.rows(Group::Honey)[0].key.clone();
            form.remove_row(Group::Honey, &key, &ClubCatalogue::default());
            set(form, &[("aim", "amounts"), ("volume", "10 L")]);
            set(form, &[("finish", "sweeten"), ("final_gravity", "1.020")]);
            let juice = [("pick", "apple-juice"), ("amount", "9 L"), ("when", "must")];
            form.add_row(Group::Other, &juice);
        },
        "finish",
    ),
    (
        ProblemCode::SweetenerTooWeak,
        |form| {
            set(form, &[("finish", "sweeten"), ("final_gravity", "1.100")]);
            let juice = [
                ("pick", "apple-juice"),
                ("amount", "1 part"),
                ("when", "sweeten"),
            ];
            form.add_row(Group::Other, &juice);
        },
        "final_gravity",
    ),
    (
        ProblemCode::NothingToSolve,
        |form| with_row(form, Group::Honey, &[("amount", "2 kg")]),
        "honey-1-amount",
    ),
    (
        ProblemCode::NothingToSolve,
        |form| {
            let key = form.rows(Group::Honey)[0].key.clone();
            form.remove_row(Group::Honey, &key, &ClubCatalogue::default());
        },
        "aim",
    ),
    (
        ProblemCode::SharesAllZero,
        |form| with_row(form, Group::Honey, &[("amount", "0 parts")]),
        "honey-1-amount",
    ),
    (
        ProblemCode::ShareWithFixedAmounts,
        |form| form.set("aim", "amounts"),
        "honey-1-amount",
    ),
    (
        ProblemCode::ShareWithoutSugar,
        |form| {
            let spice = [("pick", "cinnamon"), ("amount", "1 part"), ("when", "must")];
            form.add_row(Group::Other, &spice);
        },
        "other-1-amount",
    ),
    (
        ProblemCode::DensityNeeded,
        |form| {
            let spice = [("pick", "cinnamon"), ("amount", "2 L"), ("when", "must")];
            form.add_row(Group::Other, &spice);
        },
        "other-1-amount",
    ),
    (
        ProblemCode::CompositionNeeded,
        |form| {
            let own = [
                ("pick", "own"),
                ("name", "Sloes"),
                ("kind", "fruit"),
                ("amount", "2 kg"),
            ];
            form.add_row(Group::Other, &own);
        },
        "other-1-water",
    ),
    (
        ProblemCode::CompositionSum,
        |form| {
            let parts = [
                ("water", "17"),
                ("fermentable", "90"),
                ("unfermentable", "8"),
                ("insoluble", "0"),
            ];
            with_row(form, Group::Honey, &parts);
        },
        "honey-1-water",
    ),
    (
        ProblemCode::FillerTooStrong,
        |form| {
            // As strong as the honey itself.
            let own = [
                ("pick", "own"),
                ("name", "Honey syrup"),
                ("kind", "syrup"),
                ("water", "17.2"),
                ("fermentable", "73.692"),
                ("insoluble", "0.05"),
            ];
            form.add_row(Group::Other, &own);
            form.set("filler", "other-1");
        },
        "filler",
    ),
    (
        ProblemCode::YeastMissing,
        |form| with_row(form, Group::Yeast, &[("when", "bottle")]),
        "yeast-1-pick",
    ),
    (
        ProblemCode::RangeReversed,
        |form| {
            with_row(
                form,
                Group::Yeast,
                &[("coldest", "25 °C"), ("warmest", "15 °C")],
            )
        },
        "yeast-1-coldest",
    ),
    (
        ProblemCode::VolumeOutOfReach,
        |form| {
            set(form, &[("aim", "honey_abv"), ("honey_to_use", "1 kg")]);
            set(form, &[("strength", "5 %")]);
            let juice = [("pick", "apple-juice"), ("amount", ""), ("when", "must")];
            form.add_row(Group::Other, &juice);
            form.set("filler", "other-1");
        },
        "honey_to_use",
    ),
];

/// Problems that no form can have, and why.
const NEVER: &[(ProblemCode, &str)] = &[
    (ProblemCode::UnknownKey, "only strict reading finds it"),
    (ProblemCode::DuplicateKey, "only strict reading finds it"),
    (ProblemCode::WrongKind, "only strict reading finds it"),
    (ProblemCode::UnknownWord, "only strict reading finds it"),
    (ProblemCode::VersionUnknown, "only strict reading finds it"),
    (ProblemCode::OneOf, "only strict reading finds it"),
    (
        ProblemCode::OutOfRange,
        "the form takes only what the engine takes",
    ),
    (
        ProblemCode::ImpossibleGravities,
        "only the calculation of alcohol finds it",
    ),
    (ProblemCode::AboveEveryLimit, "only calculations find it"),
    (ProblemCode::WrongDirection, "only calculations find it"),
    (ProblemCode::AlreadyFizzier, "only calculations find it"),
    (ProblemCode::NoBottleHolds, "only calculations find it"),
    (ProblemCode::Missing, "the form refuses what is missing"),
    (
        ProblemCode::FillerUnknown,
        "the form refuses a filler that is not in the must",
    ),
    (
        ProblemCode::OutsideTheModel,
        "found for whole lists: beside the honey, by its path",
    ),
];

#[test]
fn every_problem_stands_beside_the_field_that_mends_it() {
    let reader = Reader {
        catalogue: ClubCatalogue::default(),
        cupboard: mustwright::cupboard::stock::Stock::default(),
        vessels: Vec::new(),
        units: Units::Metric,
        zone: chrono_tz::UTC,
        now: chrono::Utc::now(),
        sachet_g: 5.0,
    };
    let mut wrong = Vec::new();
    for (code, edit, field) in PROBLEMS {
        let mut form = fill::fresh(Units::Metric);
        form.set("title", "Wrong on purpose");
        edit(&mut form);
        let checked = check(&form, Units::Metric);
        if !checked.faults.is_empty() {
            wrong.push(format!("{code:?}: faults {:?}", checked.faults));
            continue;
        }
        let numbers = formulate(&checked.recipe, &Settings::default());
        let Some(problem) = numbers
            .problems
            .iter()
            .find(|problem| problem.code == *code)
        else {
            wrong.push(format!("{code:?} at {field}: found {:?}", numbers.problems));
            continue;
        };
        let found = checked.field_of(problem);
        if found != Some(*field) {
            wrong.push(format!("{code:?}: at {found:?}, not {field}"));
        }
        let mut view = numbers::view(&checked.recipe, &numbers, &reader);
        view.problems = numbers::problems(&numbers.problems, Units::Metric, |problem| {
            checked.field_of(problem)
        });
        let shown = form_view(&Material {
            form: &form,
            checked: &checked,
            numbers: &numbers,
            view: &view,
            units: Units::Metric,
            catalogue: &ClubCatalogue::default(),
            cupboard: &reader.cupboard,
            assumed: &BTreeSet::new(),
            mixing_day: chrono::NaiveDate::default(),
            touched: None,
            scold: false,
        });
        let beside = shown
            .regions()
            .into_iter()
            .find(|shown| shown.id == *field)
            .map(|shown| shown.message.clone());
        if beside.as_deref().unwrap_or_default().is_empty() {
            wrong.push(format!("{code:?}: nothing is said at {field}"));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn no_problem_is_left_without_a_place() {
    for code in ProblemCode::ALL {
        let placed = PROBLEMS.iter().any(|(known, ..)| known == code);
        let never = NEVER.iter().find(|(known, _)| known == code);
        assert_ne!(placed, never.is_some(), "{code:?}: {never:?}");
    }
}

#[tokio::test]
async fn a_problem_is_shown_on_the_page_and_does_not_keep_a_recipe_from_being_saved() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let typed = [("Name", "Too strong"), (STRENGTH, "22 %")];
    let page = browser.submit(&form, "Recalculate", &typed).await;
    let beside = page.fault(STRENGTH);
    assert!(beside.contains("22"), "{beside}");
    assert!(region(&page, "numbers").contains(&beside));
    let done = browser.submit(&page, SAVE, &[]).await;
    let sheet = browser.follow(done).await;
    assert_eq!(
        (sheet.status, sheet.heading().as_str()),
        (200, "Too strong")
    );
    assert!(sheet.text.contains(&beside[..20]), "the sheet says so too");
    let list = browser.get("/recipes").await;
    assert!(list.text.contains("not solved yet"));
}

//! That the steps of a plan have plain English names and sentences, in the reader's units.

use mustwright::engine::plan::{
    Amount, At, Beware, Due, Facts, Missed, State, Step, StepKind, Why, plan,
};
use mustwright::engine::{Settings, formulate};
use mustwright::recipes::starters::{Size, starters};
use mustwright::web::units::Units;
use mustwright::web::words::{beware, step_missed, step_name, step_why};

fn any_step(kind: StepKind, why: Why) -> Step {
    Step {
        key: "feed-2".to_owned(),
        kind,
        number: Some(2),
        amounts: vec![
            Amount::YeastByPacket {
                name: "cinnamon".to_owned(),
            },
            Amount::Reads { sg: 1.012 },
        ],
        due: Due {
            at: Some(At::exactly(24.0)),
            or_at_sg: Some(1.066),
        },
        every_h: None,
        after: None,
        why,
        cautions: Vec::new(),
        beware: Vec::new(),
        missed: None,
        state: State::Open,
    }
}

#[track_caller]
fn is_plain(text: &str, code: &str) {
    assert!(!text.contains(['{', '}', '–', '_']), "{code}: {text}");
    let lower = text.to_lowercase();
    for word in ["invalid", "please", "oops", "error", "warning", "sorry"] {
        assert!(!lower.contains(word), "{code}: {word}");
    }
}

#[test]
fn every_code_has_plain_words() {
    let mut names = std::collections::BTreeSet::new();
    for kind in StepKind::ALL {
        let name = step_name(&any_step(*kind, Why::Begins));
        is_plain(&name, kind.as_str());
        assert!((1..=6).contains(&name.split(' ').count()), "{name}");
        names.insert(name);
    }
    // What goes in later is told by what it is, at whatever stage.
    assert_eq!(names.len(), StepKind::ALL.len() - 2, "{names:?}");
    let mut sentences = std::collections::BTreeSet::new();
    for why in Why::ALL {
        let sentence = step_why(&any_step(StepKind::Feed, *why), Units::Metric);
        is_plain(&sentence, why.as_str());
        assert!(sentence.ends_with('.'), "{sentence}");
        assert_eq!(
            sentence.matches(". ").count(),
            0,
            "one sentence: {sentence}"
        );
        sentences.insert(sentence);
    }
    assert_eq!(sentences.len(), Why::ALL.len());
    for missed in Missed::ALL {
        let step = Step {
            missed: Some(*missed),
            ..any_step(StepKind::Feed, Why::FedInParts)
        };
        let sentence = step_missed(&step, Units::Metric).expect("advice");
        is_plain(&sentence, missed.as_str());
        assert!(sentence.ends_with('.'), "{sentence}");
    }
    for code in Beware::ALL {
        let words = beware(*code);
        is_plain(&format!("{} {}", words.lead, words.sentence), code.as_str());
        assert!(words.sentence.ends_with('.'), "{}", words.sentence);
    }
}

#[test]
fn steps_name_their_number_and_what_goes_in() {
    let step = any_step(StepKind::Feed, Why::FedInParts);
    assert_eq!(step_name(&step), "Feed 2");
    assert_eq!(step_missed(&step, Units::Us), None);
    assert!(step_why(&step, Units::Us).contains("1.066"));
    let out = any_step(StepKind::TakeOut, Why::EnoughTaste);
    assert_eq!(step_name(&out), "Take out cinnamon");
    let stirred = any_step(StepKind::Degas, Why::GasHinders);
    assert_eq!(step_name(&stirred), "Stir out the gas");
}

#[test]
fn a_real_plan_leaves_no_gap_in_any_sentence() {
    for starter in starters() {
        let recipe = starter.recipe(Size::ALL[0], Units::Metric);
        let numbers = formulate(&recipe, &Settings::default());
        let steps = plan(&recipe, &numbers, &Facts::default());
        assert!(!steps.is_empty(), "{}", recipe.title);
        for step in &steps {
            is_plain(&step_name(step), &step.key);
            is_plain(&step_why(step, Units::Metric), &step.key);
        }
    }
}

//! That the trouble guide and the outlook have plain words for each of their codes, with arguments that the engine gives, in the reader's units.

use std::collections::{BTreeSet, HashMap};
use std::fs;
use std::path::PathBuf;

use mustwright::engine::outlook::{Course, Limit};
use mustwright::engine::trouble::{Check, Facts, PourAway, RemedyCode, Symptom, guide};
use mustwright::web::units::Units;
use mustwright::web::words::{Saying, WAYS, outlook, trouble};

/// Code → the words in backticks of its comment, which name its arguments.
fn arguments_of(file: &str) -> HashMap<String, BTreeSet<String>> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(file);
    let mut found = HashMap::new();
    let mut comment = String::new();
    for line in fs::read_to_string(path)
        .expect("a source")
        .lines()
        .map(str::trim)
    {
        if let Some(text) = line.strip_prefix("///") {
            comment.push_str(text);
            continue;
        }
        let code = line
            .strip_suffix("\",")
            .and_then(|line| line.split_once(" = \""));
        if let Some((_, code)) = code {
            let names = comment.split('`').skip(1).step_by(2).map(str::to_owned);
            found.insert(code.to_owned(), names.collect());
        }
        comment.clear();
    }
    found
}

fn slots(sentence: &'static str) -> Vec<(&'static str, &'static str)> {
    let slots = sentence.split('{').skip(1);
    slots
        .map(|slot| slot.split_once('}').expect("a closed brace").0)
        .map(|slot| slot.split_once(':').unwrap_or((slot, "")))
        .collect()
}

fn codes(sayings: &[Saying]) -> Vec<&'static str> {
    sayings.iter().map(|saying| saying.code).collect()
}

#[test]
fn every_code_has_words_and_no_words_are_left_over() {
    let all: [(Vec<&str>, Vec<&str>); 6] = [
        (
            codes(outlook::course_sayings()),
            Course::ALL.iter().map(|one| one.as_str()).collect(),
        ),
        (
            codes(outlook::limit_sayings()),
            Limit::ALL.iter().map(|one| one.as_str()).collect(),
        ),
        (
            codes(trouble::symptom_sayings()),
            Symptom::ALL.iter().map(|one| one.as_str()).collect(),
        ),
        (
            codes(trouble::pour_away_sayings()),
            PourAway::ALL.iter().map(|one| one.as_str()).collect(),
        ),
        (
            codes(trouble::remedy_sayings()),
            RemedyCode::ALL.iter().map(|one| one.as_str()).collect(),
        ),
        (
            trouble::questions()
                .iter()
                .map(|question| question.code)
                .collect(),
            Check::ALL.iter().map(|one| one.as_str()).collect(),
        ),
    ];
    for (has, wanted) in all {
        assert_eq!(has.iter().collect::<BTreeSet<_>>(), wanted.iter().collect());
        assert_eq!(has.len(), wanted.len(), "a code twice");
    }
}

#[test]
fn sentences_use_only_arguments_that_are_there() {
    let checks = arguments_of("src/engine/trouble/checks.rs");
    let remedies = arguments_of("src/engine/trouble/remedies/mod.rs");
    let known = |table: &HashMap<String, BTreeSet<String>>, code: &str, sentence: &'static str| {
        for (name, way) in slots(sentence) {
            assert!(table[code].contains(name), "{code} knows no {name}");
            assert!(WAYS.contains(&way), "{code}: {way}");
        }
    };
    for question in trouble::questions() {
        known(&checks, question.code, question.yes);
        known(&checks, question.code, question.no);
        // Where nothing is known there is nothing to print.
        assert!(slots(question.not_known).is_empty(), "{}", question.code);
    }
    for saying in trouble::remedy_sayings() {
        known(&remedies, saying.code, saying.sentence);
    }
    for saying in trouble::bare_sayings() {
        assert!(slots(saying.sentence).is_empty(), "{}", saying.code);
    }
}

#[test]
fn words_are_plain() {
    let mut all: Vec<(&str, &str, &str)> = Vec::new();
    for table in [
        trouble::symptom_sayings(),
        trouble::pour_away_sayings(),
        trouble::remedy_sayings(),
        trouble::bare_sayings(),
        outlook::course_sayings(),
        outlook::limit_sayings(),
    ] {
        all.extend(
            table
                .iter()
                .map(|saying| (saying.code, saying.lead, saying.sentence)),
        );
    }
    for question in trouble::questions() {
        assert!(question.asks.ends_with('?'), "{}", question.code);
        for sentence in [question.yes, question.no, question.not_known] {
            all.push((question.code, "", sentence));
        }
    }
    for (code, lead, sentence) in all {
        assert!(lead.split(' ').count() <= 6, "{code}");
        assert!(sentence.ends_with(['.', '?']), "{code}");
        let lower = format!("{lead} {sentence}").to_lowercase();
        for word in [
            "invalid", "please", "oops", "error", "sorry", "h2s", "so2", "yan",
        ] {
            assert!(
                !lower
                    .split(|c: char| !c.is_alphanumeric())
                    .any(|one| one == word),
                "{code}: {word}"
            );
        }
    }
}

/// Known or not, nothing prints a dash for what is missing.
#[test]
fn no_sentence_has_a_hole() {
    let some = Facts {
        og: Some(1.100),
        sg: Some(1.040),
        hours_since_pitch: Some(500.0),
        ph: Some(3.0),
        temperature_c: Some(10.0),
        yeast_temperature_c: Some([15.0, 25.0]),
        nitrogen_given_mg_per_l: Some(10.0),
        nitrogen_target_mg_per_l: Some(200.0),
        fall_done: Some(0.2),
        headspace_fraction: Some(0.05),
        abv_percent: Some(8.0),
        tolerance_abv_percent: Some(9.0),
        ta_g_per_l: Some(9.0),
        ..Facts::default()
    };
    let more = Facts {
        litres: Some(20.0),
        abv_percent: Some(8.5),
        tolerance_abv_percent: Some(14.0),
        age_days: Some(30.0),
        fall_sg_per_day: Some(0.0),
        is_stabilised: Some(false),
        meant_to_sparkle: Some(true),
        days_in_bottle: Some(3.0),
        free_so2_mg_per_l: Some(3.0),
        ..some
    };
    for facts in [Facts::default(), some, more] {
        for symptom in Symptom::ALL {
            let guide = guide(*symptom, &facts);
            let said = (guide
                .findings
                .iter()
                .map(|one| trouble::finding(one, Units::Metric)))
            .chain(
                guide
                    .remedies
                    .iter()
                    .map(|one| trouble::remedy(one, Units::Us)),
            )
            .chain(guide.pour_away.iter().map(|one| trouble::pour_away(*one)))
            .chain([trouble::symptom(*symptom)]);
            for words in said {
                assert!(
                    !words.sentence.contains('–') && !words.sentence.contains('{'),
                    "{words:?}"
                );
                assert!(
                    !words.lead.is_empty() && words.lead != "Take note",
                    "{words:?}"
                );
            }
        }
    }
}

#[test]
fn amounts_are_in_the_readers_units() {
    let facts = Facts {
        litres: Some(20.0),
        ph: Some(3.0),
        temperature_c: Some(10.0),
        yeast_temperature_c: Some([15.0, 25.0]),
        ..Facts::default()
    };
    let guide = guide(Symptom::Stuck, &facts);
    let say = |code, units| {
        let found = guide.remedies.iter().find(|remedy| remedy.code == code);
        trouble::remedy(found.expect("a remedy"), units).sentence
    };
    assert!(
        say(RemedyCode::RaisePh, Units::Metric).contains("stir in 5 g of potassium bicarbonate")
    );
    assert!(say(RemedyCode::WarmIt, Units::Metric).contains("15 °C"));
    assert!(say(RemedyCode::WarmIt, Units::Us).contains("59 °F"));
    let cold = guide
        .findings
        .iter()
        .find(|finding| finding.check == Check::TooCold);
    let cold = trouble::finding(cold.expect("a finding"), Units::Metric);
    assert_eq!(cold.lead, "Is it too cold?");
    assert_eq!(
        cold.sentence,
        "It is at 10 °C; this yeast likes 15 °C or more."
    );
}

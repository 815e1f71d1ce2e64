//! What is pointed out before sheets go back to makers, each with a twin that is fine.

use mustwright::engine::contest::review::{Odd, OddlyAgreed, hurting, of_agreed, of_sheet};
use mustwright::engine::contest::rules::Rules;
use mustwright::engine::contest::sheet::{AgreedEntry, Marked, Sheet};

fn full(rules: &Rules) -> Sheet {
    let marked = |most| Marked {
        points: Some(most),
        comment: "Bright, clean and long.".to_owned(),
    };
    let sections = rules.sections.iter();
    Sheet {
        sections: sections
            .map(|one| (one.key.clone(), marked(one.most)))
            .collect(),
        faults: Vec::new(),
        advice: "A cooler ferment.".to_owned(),
    }
}

#[test]
fn a_full_sheet_is_fine_and_each_thing_that_is_not_is_named() {
    let rules = Rules::default();
    assert_eq!(of_sheet(&rules, &full(&rules)), []);
    let name = |key: &str| {
        let section = rules.sections.iter().find(|one| one.key == key);
        section.expect("a section").name.clone()
    };
    let with = |change: fn(&mut Sheet)| {
        let mut sheet = full(&rules);
        change(&mut sheet);
        of_sheet(&rules, &sheet)
    };
    let look = |sheet: &mut Sheet, marked: Marked| sheet.sections.insert("look".to_owned(), marked);
    assert_eq!(
        with(|sheet| sheet.sections.get_mut("look").expect("look").points = None),
        [Odd::NoPoints {
            section: name("look")
        }]
    );
    assert_eq!(
        with(|sheet| sheet.sections.get_mut("look").expect("look").points = Some(6)),
        [Odd::TooMany {
            section: name("look"),
            points: 6
        }]
    );
    assert_eq!(
        with(|sheet| sheet.sections.get_mut("smell").expect("smell").comment = " \n".to_owned()),
        [Odd::NoComment {
            section: name("smell")
        }]
    );
    assert_eq!(with(|sheet| sheet.advice.clear()), [Odd::NoAdvice]);
    let mut sheet = full(&rules);
    look(&mut sheet, Marked::default());
    sheet.sections.insert(
        "label".to_owned(),
        Marked {
            points: Some(1),
            comment: String::new(),
        },
    );
    sheet.advice = "Honestly, this is garbage.".to_owned();
    let found = of_sheet(&rules, &sheet);
    assert_eq!(
        found,
        [
            Odd::NoPoints {
                section: name("look")
            },
            Odd::NoComment {
                section: name("look")
            },
            Odd::NoSection {
                section: "label".to_owned()
            },
            Odd::Hurts {
                word: "garbage".to_owned()
            },
        ]
    );
}

#[test]
fn hurting_words_are_whole_words() {
    assert_eq!(hurting("What a STUPID joke."), ["joke", "stupid"]);
    assert_eq!(hurting("Horribly sour"), [""; 0]);
    assert_eq!(hurting("trashy"), ["trash"]);
    // Words of the trade, and words that only hold one.
    for fine in [
        "Grosse Lage, on its gross lees, grossly underpowered? No: engrossing.",
        "Horse blanket, wet dog, sewer: sulfur.",
        "Lazily rising bubbles, nastily is not a word here",
        "Scrapped peel, shitake mushrooms, worsted",
    ] {
        assert_eq!(hurting(fine), [""; 0], "{fine}");
    }
}

#[test]
fn agreed_points_are_held_against_the_sheets() {
    let rules = Rules::default();
    let agreed = |points, tasted_again| AgreedEntry {
        code: "AB123".to_owned(),
        points: Some(points),
        place: Some(1),
        goes_on: false,
        spread: None,
        tasted_again,
    };
    assert_eq!(of_agreed(&rules, &agreed(38, false), &[36, 40]), []);
    assert_eq!(
        of_agreed(&rules, &agreed(41, false), &[36, 40]),
        [OddlyAgreed::Outside {
            points: 41,
            least: 36,
            most: 40
        }]
    );
    assert_eq!(
        of_agreed(&rules, &agreed(38, false), &[30, 40]),
        [OddlyAgreed::FarApart { apart: 10 }]
    );
    assert_eq!(of_agreed(&rules, &agreed(45, true), &[30, 40]), []);
    assert_eq!(
        of_agreed(&rules, &agreed(38, false), &[38]),
        [OddlyAgreed::FewSheets { signed: 1 }]
    );
    assert_eq!(
        of_agreed(&rules, &agreed(38, false), &[]),
        [OddlyAgreed::FewSheets { signed: 0 }]
    );
}

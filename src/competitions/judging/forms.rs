//! Sheets between text and what is kept.

use super::model::Asked;
use super::words;
use crate::engine::contest::faults::Fault;
use crate::engine::contest::rules::{Rules, Section};
use crate::engine::contest::sheet::{Marked, Sheet};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::typed::Typed;
use crate::web::units::parse_whole;

/// Letters of one comment.
pub const COMMENT_MAX: usize = 700;
/// Bytes of a whole sheet, below what its table takes.
const SHEET_MAX: usize = 18_000;
/// The field for what to do next time.
pub const ADVICE: &str = "advice";

/// The field of a section's points.
pub fn points_field(section: &str) -> String {
    format!("points_{section}")
}

/// The field of a section's words.
pub fn words_field(section: &str) -> String {
    format!("words_{section}")
}

/// The field of a fault.
pub fn fault_field(fault: Fault) -> String {
    format!("fault_{}", fault.as_str())
}

/// Puts a sheet into the fields.
pub fn fill(sheet: &Sheet, form: &mut FormState) {
    for (section, marked) in &sheet.sections {
        let points = marked.points.map(|points| points.to_string());
        form.set(&points_field(section), points.unwrap_or_default());
        form.set(&words_field(section), marked.comment.as_str());
    }
    for fault in sheet
        .faults
        .iter()
        .filter_map(|code| Fault::from_word(code))
    {
        form.set(&fault_field(fault), "yes");
    }
    form.set(ADVICE, sheet.advice.as_str());
}

/// Reads a sheet; to be signed it needs the points of every section.
///
/// # Errors
/// When a field came twice.
pub fn read(
    rules: &Rules,
    posted: &Posted,
    to_sign: bool,
) -> Result<Result<Asked, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let mut sheet = Sheet::default();
    for section in &rules.sections {
        let field = points_field(&section.key);
        let points = points(&mut typed, &field, section, to_sign)?;
        let comment = typed.lines(&words_field(&section.key), COMMENT_MAX)?;
        if points.is_some() || !comment.is_empty() {
            let marked = Marked { points, comment };
            sheet.sections.insert(section.key.clone(), marked);
        }
    }
    for fault in Fault::ALL {
        if typed.text(&fault_field(*fault))? == "yes" {
            sheet.faults.push(fault.as_str().to_owned());
        }
    }
    sheet.advice = typed.lines(ADVICE, COMMENT_MAX)?;
    if serde_json::to_string(&sheet).map_or(0, |text| text.len()) > SHEET_MAX {
        typed
            .form
            .refuse(ADVICE, "This sheet is very long. Write less.");
    }
    if !typed.form.is_sound() {
        return Ok(Err(typed.form));
    }
    Ok(Ok(Asked {
        version: typed.text("version")?.parse().unwrap_or(0),
        hand: hand(typed.text("hand")?),
        sequence: typed.text("sequence")?.parse().unwrap_or(0).max(0),
        sheet,
    }))
}

fn points(
    typed: &mut Typed<'_>,
    field: &str,
    Section { name, most, .. }: &Section,
    to_sign: bool,
) -> Result<Option<u32>, Error> {
    let why = format!("{name}: give points, a whole number from 0 to {most}.");
    let text = typed.text(field)?;
    if text.is_empty() {
        if to_sign {
            typed.form.refuse(field, why);
        }
        return Ok(None);
    }
    let found = parse_whole(text, 0, i32::try_from(*most).unwrap_or(i32::MAX));
    match found.ok().and_then(|found| u32::try_from(found).ok()) {
        Some(found) => Ok(Some(found)),
        None => {
            typed.form.refuse(field, why);
            Ok(None)
        }
    }
}

/// What an open page calls itself; anything else is a page without script.
fn hand(text: &str) -> String {
    let known = |byte: u8| byte.is_ascii_lowercase() || (b'2'..=b'7').contains(&byte);
    match text.len() == 26 && text.bytes().all(known) {
        true => text.to_owned(),
        false => String::new(),
    }
}

/// A field in which two texts of a sheet differ.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    pub label: String,
    pub theirs: String,
    pub yours: String,
}

/// Where what stands there differs from what is typed.
pub fn differences(rules: &Rules, theirs: &Sheet, yours: &FormState) -> Vec<Difference> {
    let mut now = FormState::new();
    fill(theirs, &mut now);
    let sections = rules.sections.iter().flat_map(|section| {
        let points = (
            points_field(&section.key),
            format!("{}, points", section.name),
        );
        let words = (
            words_field(&section.key),
            format!("{}, in words", section.name),
        );
        [points, words]
    });
    let advice = (ADVICE.to_owned(), "Next time".to_owned());
    let told = |form: &FormState, field: &str| form.typed(field).trim().replace('\r', "");
    let fields = sections.chain([advice]).map(|(field, label)| Difference {
        label,
        theirs: told(&now, &field),
        yours: told(yours, &field),
    });
    let ticked = |form: &FormState| {
        let faults = Fault::ALL.iter();
        let faults = faults.filter(|fault| form.is(&fault_field(**fault), "yes"));
        let names: Vec<&str> = faults.map(|fault| words::fault(*fault).0).collect();
        names.join(", ")
    };
    let faults = Difference {
        label: "Faults".to_owned(),
        theirs: ticked(&now),
        yours: ticked(yours),
    };
    fields
        .chain([faults])
        .filter(|found| found.theirs != found.yours)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn posted(fields: &[(&str, &str)]) -> Posted {
        let pairs = fields.iter();
        Posted::from_pairs(pairs.map(|(n, v)| ((*n).to_owned(), (*v).to_owned())))
    }

    const ALL: [(&str, &str); 5] = [
        ("points_look", "4"),
        ("points_smell", "9"),
        ("points_taste", "15"),
        ("points_body", "6"),
        ("points_whole", "4"),
    ];

    #[test]
    fn what_is_read_fills_the_same_fields() {
        let rules = Rules::default();
        let mut fields = ALL.to_vec();
        fields.extend([
            ("words_smell", "pears"),
            ("fault_hot", "yes"),
            ("advice", "ferment it cooler"),
            ("version", "3"),
        ]);
        let asked = read(&rules, &posted(&fields), true).unwrap().unwrap();
        assert_eq!(asked.sheet.total(&rules), Some(38));
        assert_eq!(asked.sheet.faults, ["hot"]);
        assert_eq!((asked.version, asked.hand.as_str()), (3, ""));
        let mut form = FormState::new();
        fill(&asked.sheet, &mut form);
        for (field, text) in fields.iter().filter(|(field, _)| *field != "version") {
            assert_eq!(form.typed(field), *text, "{field}");
        }
        let same = differences(&rules, &asked.sheet, &FormState::of(&posted(&fields)));
        assert_eq!(same, []);
    }

    #[test]
    fn points_are_within_their_section_and_wanted_where_one_signs() {
        let rules = Rules::default();
        let fault = |fields: &[(&str, &str)], to_sign| {
            let form = read(&rules, &posted(fields), to_sign).unwrap().err();
            form.map(|form| form.message("points_look").to_owned())
        };
        let why = Some("Look: give points, a whole number from 0 to 5.".to_owned());
        for text in ["6", "-1", "4.5", "many"] {
            assert_eq!(fault(&[("points_look", text)], false), why, "{text}");
        }
        assert_eq!(fault(&ALL[1..], true), why);
        assert_eq!(fault(&ALL[1..], false), None);
        assert_eq!(fault(&ALL, true), None);
    }

    #[test]
    fn both_values_of_what_differs_are_told() {
        let rules = Rules::default();
        let theirs = read(&rules, &posted(&ALL), true).unwrap().unwrap().sheet;
        let mut fields = ALL.to_vec();
        fields[2].1 = "12";
        fields.push(("fault_thin", "yes"));
        let found = differences(&rules, &theirs, &FormState::of(&posted(&fields)));
        let told = |label: &str, theirs: &str, yours: &str| Difference {
            label: label.to_owned(),
            theirs: theirs.to_owned(),
            yours: yours.to_owned(),
        };
        let wanted = [
            told("Taste, points", "15", "12"),
            told("Faults", "", "thin"),
        ];
        assert_eq!(found, wanted);
    }

    #[test]
    fn only_our_own_pages_have_a_hand() {
        assert_eq!(hand(&"a".repeat(26)), "a".repeat(26));
        for text in ["", "short", &"A".repeat(26), &"1".repeat(26)] {
            assert_eq!(hand(text), "");
        }
    }
}

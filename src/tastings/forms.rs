//! The forms of tastings: opening one, inviting guests, and what is picked at one; from text to what is kept.

use super::links::{AT_ONCE, DAYS};
use super::model::{GUEST_MAX, Kind, Pick, QUESTION_MAX, SHEETS_MAX, Serving, TITLE_MAX};
use crate::batches::start::readers;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::policy::Visibility;
use crate::web::typed::Typed;
use crate::web::units::parse_whole;

/// The fields of the meads.
pub const MEADS: [&str; 6] = ["mead_1", "mead_2", "mead_3", "mead_4", "mead_5", "mead_6"];

/// A tasting as it is asked for.
pub struct Asked {
    pub title: String,
    /// Public ids of batches as they were chosen, each with its field.
    pub meads: Vec<(&'static str, String)>,
    pub coded: bool,
    pub on_paper: bool,
    pub visibility: Visibility,
    pub question: String,
    /// How many sheets there are; 0 where nobody counts.
    pub tasters: usize,
}

/// Reads the form that opens a tasting of this kind.
///
/// # Errors
/// When a field came twice.
pub fn opening(posted: &Posted, kind: Kind) -> Result<Result<Asked, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let title = typed.wanted(
        "title",
        TITLE_MAX,
        "Write what it is called, such as Autumn meads, first look.",
    )?;
    let meads = meads(&mut typed, kind)?;
    let question = typed.line("question", QUESTION_MAX)?;
    let is_test = kind != Kind::Shared;
    let coded = match (is_test, typed.text("coded")?) {
        (true, _) | (false, "yes") => true,
        (false, "no") => false,
        _ => {
            let why = "Choose whether the glasses bear names or codes.";
            typed.form.refuse("coded", why);
            false
        }
    };
    let on_paper = match (is_test, typed.text("how")?) {
        (true, "paper") => true,
        (false, _) | (true, "phones") => false,
        _ => {
            typed.form.refuse("how", "Choose phones or paper.");
            false
        }
    };
    let tasters = match is_test {
        true => tasters(&mut typed)?,
        false => 0,
    };
    let visibility = readers(&mut typed)?;
    if !typed.form.is_sound() {
        return Ok(Err(typed.form));
    }
    Ok(Ok(Asked {
        title,
        meads,
        coded,
        on_paper,
        visibility,
        question,
        tasters,
    }))
}

fn tasters(typed: &mut Typed<'_>) -> Result<usize, Error> {
    let why = format!("Write how many taste, a whole number from 2 to {SHEETS_MAX}.");
    match parse_whole(typed.text("tasters")?, 2, SHEETS_MAX) {
        Ok(tasters) => Ok(usize::try_from(tasters).unwrap_or(0)),
        Err(_) => {
            typed.form.refuse("tasters", why);
            Ok(0)
        }
    }
}

/// The meads that were chosen, each once.
fn meads(typed: &mut Typed<'_>, kind: Kind) -> Result<Vec<(&'static str, String)>, Error> {
    let (least, most) = kind.meads();
    let mut meads: Vec<(&'static str, String)> = Vec::new();
    let mut is_clear = true;
    for field in MEADS.into_iter().take(most) {
        let chosen = typed.text(field)?.to_owned();
        if meads.iter().any(|(_, known)| *known == chosen) {
            is_clear = false;
            typed
                .form
                .refuse(field, "It is chosen above already. Choose another.");
        } else if !chosen.is_empty() {
            meads.push((field, chosen));
        }
    }
    if meads.len() < least && is_clear {
        let field = MEADS.get(meads.len()).copied().unwrap_or("mead_1");
        let why = match least {
            1 => "Choose a mead.".to_owned(),
            _ => format!("Choose {least} meads at least."),
        };
        typed.form.refuse(field, why);
    }
    Ok(meads)
}

/// Links as they are asked for: how many, for how many days, and the host's own words about them.
pub struct Inviting {
    pub count: i32,
    pub days: i32,
    pub note: String,
}

/// Reads the form that makes links.
///
/// # Errors
/// When a field came twice.
pub fn inviting(posted: &Posted) -> Result<Result<Inviting, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let count = parse_whole(typed.text("count")?, 1, AT_ONCE);
    if count.is_err() {
        let why = format!("Write how many guests, a whole number from 1 to {AT_ONCE}.");
        typed.form.refuse("count", why);
    }
    let days = typed.text("days")?.parse().ok();
    let days = days.filter(|days| DAYS.contains(days));
    if days.is_none() {
        typed
            .form
            .refuse("days", "Choose one of the times offered.");
    }
    let note = typed.line("note", GUEST_MAX)?;
    Ok(match (count, days) {
        (Ok(count), Some(days)) if typed.form.is_sound() => Ok(Inviting { count, days, note }),
        _ => Err(typed.form),
    })
}

/// Reads the name that a guest gives.
///
/// # Errors
/// When the field came twice.
pub fn guest(posted: &Posted) -> Result<Result<String, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let why = "Write what the others know you by; a first name is enough.";
    let name = typed.wanted("name", GUEST_MAX, why)?;
    Ok(match typed.form.is_sound() {
        true => Ok(name),
        false => Err(typed.form),
    })
}

/// The field of the odd glass, or of the place of a glass; `sheet` tells sheets apart where several stand on one page.
pub fn pick_field(sheet: &str, code: Option<i32>) -> String {
    match code {
        None => format!("{sheet}odd"),
        Some(code) => format!("{sheet}place_{code}"),
    }
}

/// Reads what is picked of some glasses. `None` with a sound form: nothing was said at all.
///
/// # Errors
/// When a field came twice.
pub fn pick(
    typed: &mut Typed<'_>,
    kind: Kind,
    serving: &Serving,
    sheet: &str,
) -> Result<Option<Pick>, Error> {
    match kind {
        Kind::Shared => Ok(None),
        Kind::Triangle => odd(typed, serving, &pick_field(sheet, None)),
        Kind::Ranking => places(typed, serving, sheet),
    }
}

fn odd(typed: &mut Typed<'_>, serving: &Serving, field: &str) -> Result<Option<Pick>, Error> {
    let text = typed.text(field)?;
    if text.is_empty() {
        return Ok(None);
    }
    let code = text.parse::<i32>().ok();
    let code = code.filter(|code| serving.glasses.iter().any(|(known, _)| known == code));
    if code.is_none() {
        typed.form.refuse(field, "Choose one of the three glasses.");
    }
    Ok(code.map(Pick::Odd))
}

fn places(typed: &mut Typed<'_>, serving: &Serving, sheet: &str) -> Result<Option<Pick>, Error> {
    let most = serving.glasses.len();
    let fields: Vec<(i32, String)> = serving
        .glasses
        .iter()
        .map(|(code, _)| (*code, pick_field(sheet, Some(*code))))
        .collect();
    let mut places = Vec::new();
    let mut empty = Vec::new();
    for (code, field) in &fields {
        match typed.text(field)? {
            "" => empty.push(field),
            text => match text.parse::<u32>() {
                Ok(place) if (1..=most).contains(&(place as usize)) => places.push((*code, place)),
                _ => typed
                    .form
                    .refuse(field, format!("Choose a place from 1 to {most}.")),
            },
        }
    }
    if empty.len() == most {
        return Ok(None);
    }
    for field in empty {
        let why = "Give this glass a place too; two may share one.";
        typed.form.refuse(field, why);
    }
    Ok((places.len() == most).then_some(Pick::Places(places)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn serving(codes: &[i32]) -> Serving {
        Serving {
            number: 1,
            glasses: codes.iter().copied().zip(1..).collect(),
        }
    }

    fn picked(kind: Kind, codes: &[i32], fields: &[(&str, &str)]) -> (Option<Pick>, usize) {
        let pairs = fields
            .iter()
            .map(|(n, v)| ((*n).to_owned(), (*v).to_owned()));
        let posted = Posted::from_pairs(pairs);
        let mut typed = Typed::of(&posted);
        let found = pick(&mut typed, kind, &serving(codes), "").unwrap();
        (found, typed.form.faults().len())
    }

    fn refused(pairs: &[(&str, &str)]) -> Vec<String> {
        let pairs = pairs
            .iter()
            .map(|(n, v)| ((*n).to_owned(), (*v).to_owned()));
        let posted = Posted::from_pairs(pairs);
        let form = opening(&posted, Kind::Ranking).unwrap().err().unwrap();
        form.faults()
            .iter()
            .map(|(field, _)| field.clone())
            .collect()
    }

    #[test]
    fn what_is_missing_is_told_at_once() {
        let none = refused(&[("how", "phones"), ("visibility", "club")]);
        assert_eq!(none, ["title", "mead_1", "tasters"]);
        let twice = refused(&[
            ("title", "Three"),
            ("mead_1", "one"),
            ("mead_2", "one"),
            ("how", "phones"),
            ("tasters", "6"),
            ("visibility", "club"),
        ]);
        assert_eq!(twice, ["mead_2"], "one fault for one slip");
    }

    #[test]
    fn an_odd_glass_is_one_of_the_three() {
        let of = |text: &str| picked(Kind::Triangle, &[111, 222, 333], &[("odd", text)]);
        assert_eq!(of("222"), (Some(Pick::Odd(222)), 0));
        assert_eq!(of("444"), (None, 1));
        assert_eq!(of("first"), (None, 1));
        assert_eq!(of(""), (None, 0));
    }

    #[test]
    fn every_glass_gets_a_place_and_two_may_share_one() {
        let of = |places: [&str; 3]| {
            let names = ["place_111", "place_222", "place_333"];
            let fields: Vec<(&str, &str)> = names.into_iter().zip(places).collect();
            picked(Kind::Ranking, &[111, 222, 333], &fields)
        };
        let all = Pick::Places(vec![(111, 1), (222, 1), (333, 3)]);
        assert_eq!(of(["1", "1", "3"]), (Some(all), 0));
        assert_eq!(of(["1", "", "3"]), (None, 1));
        assert_eq!(of(["1", "4", "0"]), (None, 2));
        assert_eq!(of(["", "", ""]), (None, 0));
    }

    #[test]
    fn a_tasting_needs_its_meads() {
        let asked = |kind, fields: &[(&str, &str)]| {
            let usual = [
                ("title", "First look"),
                ("coded", "no"),
                ("how", "phones"),
                ("tasters", "12"),
                ("visibility", "club"),
            ];
            let pairs = usual.iter().chain(fields);
            let pairs = pairs.map(|(n, v)| ((*n).to_owned(), (*v).to_owned()));
            opening(&Posted::from_pairs(pairs), kind).unwrap()
        };
        assert!(asked(Kind::Shared, &[("mead_1", "a")]).is_ok());
        let fault = |kind, fields: &[(&str, &str)], field: &str| {
            let form = asked(kind, fields).err().unwrap();
            form.message(field).to_owned()
        };
        assert_eq!(fault(Kind::Shared, &[], "mead_1"), "Choose a mead.");
        let twice = [("mead_1", "a"), ("mead_2", "a")];
        assert!(fault(Kind::Triangle, &twice, "mead_2").starts_with("It is chosen above"));
        let two = [("mead_1", "a"), ("mead_2", "b")];
        assert!(asked(Kind::Triangle, &two).is_ok());
        assert!(fault(Kind::Ranking, &two, "mead_3").starts_with("Choose 3 meads"));
    }
}

//! Sections of the scoresheet with the most points of each, and from how many points on a mead is called what.

use crate::engine::contest::rules::{Band, Rules, Section};
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::typed::Typed;

use super::whole;

/// Rows of sections and of bands that the form has.
pub const ROWS: usize = 8;
const NAME_MAX: usize = 60;
const PROMPT_MAX: usize = 300;
const POINTS_MAX: u32 = 100;

/// Every field with its label.
pub fn fields() -> Vec<(String, &'static str)> {
    let mut fields = Vec::new();
    for row in 1..=ROWS {
        fields.push((format!("key_{row}"), "Key of a section"));
        fields.push((format!("name_{row}"), "Name of a section"));
        fields.push((format!("most_{row}"), "Its most points"));
        fields.push((format!("prompt_{row}"), "What to think of"));
    }
    fields.push(("sections_source".to_owned(), "Where the weights come from"));
    for row in 1..=ROWS {
        fields.push((format!("from_{row}"), "From so many points"));
        fields.push((format!("words_{row}"), "What it is called"));
    }
    fields
}

pub fn read(typed: &mut Typed<'_>, rules: &mut Rules) -> Result<(), Error> {
    rules.sections = sections(typed)?;
    if rules.sections.is_empty() {
        typed
            .form
            .refuse("name_1", "A sheet has one section at least.");
    }
    rules.sections_source = typed.line("sections_source", PROMPT_MAX)?;
    rules.bands = bands(typed, rules.most())?;
    Ok(())
}

/// Rows in which something stands, each with its name and its points. A section keeps its key, by which others know it.
fn sections(typed: &mut Typed<'_>) -> Result<Vec<Section>, Error> {
    let mut sections: Vec<Section> = Vec::new();
    for row in 1..=ROWS {
        let [key, name, most, prompt] =
            ["key", "name", "most", "prompt"].map(|field| format!("{field}_{row}"));
        let given = [&name, &most, &prompt].map(|field| typed.text(field));
        let [named, pointed, prompted] = given;
        if named?.is_empty() && pointed?.is_empty() && prompted?.is_empty() {
            continue;
        }
        let known = typed.text(&key)?;
        let free = |key: &str, sections: &[Section]| sections.iter().all(|one| one.key != key);
        let shaped = !known.is_empty()
            && known.len() <= 20
            && known
                .bytes()
                .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit());
        let key = match shaped && free(known, &sections) {
            true => known.to_owned(),
            false => format!("own{row}"),
        };
        sections.push(Section {
            key,
            name: typed.wanted(&name, NAME_MAX, "Write what this section is called.")?,
            prompt: typed.line(&prompt, PROMPT_MAX)?,
            most: whole(typed, &most, (1, POINTS_MAX), 1)?,
        });
    }
    Ok(sections)
}

/// Rows in which something stands, none of more points than the sheet has, no two from the same.
fn bands(typed: &mut Typed<'_>, most: u32) -> Result<Vec<Band>, Error> {
    let mut bands: Vec<Band> = Vec::new();
    for row in 1..=ROWS {
        let [from, words] = ["from", "words"].map(|field| format!("{field}_{row}"));
        if typed.text(&from)?.is_empty() && typed.text(&words)?.is_empty() {
            continue;
        }
        let words = typed.wanted(&words, PROMPT_MAX, "Write what such a mead is called.")?;
        let points = whole(typed, &from, (0, most), 0)?;
        if bands.iter().any(|band| band.from == points) && typed.form.fault(&from).is_none() {
            let why = "Another line begins with as many points.";
            typed.form.refuse(&from, why);
        }
        bands.push(Band {
            from: points,
            words,
        });
    }
    bands.sort_by_key(|band| band.from);
    Ok(bands)
}

pub fn filled(rules: &Rules) -> FormState {
    let mut form = FormState::new();
    for (section, row) in rules.sections.iter().zip(1..) {
        form.set(&format!("key_{row}"), section.key.clone());
        form.set(&format!("name_{row}"), section.name.clone());
        form.set(&format!("most_{row}"), section.most.to_string());
        form.set(&format!("prompt_{row}"), section.prompt.clone());
    }
    form.set("sections_source", rules.sections_source.clone());
    for (band, row) in rules.bands.iter().zip(1..) {
        form.set(&format!("from_{row}"), band.from.to_string());
        form.set(&format!("words_{row}"), band.words.clone());
    }
    form
}

/// The published weights: look 6, smell 10, taste 24, as a whole 10; names and prompts stay ours.
/// Source: published contest practice, from memory: verify.
pub fn published() -> (Vec<Section>, String) {
    let ours = Rules::default().sections;
    let weights = [("smell", 10), ("look", 6), ("taste", 24), ("whole", 10)];
    let sections = weights.into_iter().filter_map(|(key, most)| {
        let section = ours.iter().find(|section| section.key == key)?.clone();
        Some(Section { most, ..section })
    });
    let source = "published contest practice (10, 6, 24 and 10 points), from memory: verify";
    (sections.collect(), source.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_weights_make_fifty() {
        let (sections, source) = published();
        let most: Vec<u32> = sections.iter().map(|section| section.most).collect();
        assert_eq!(most, [10, 6, 24, 10]);
        assert!(source.contains("verify"));
    }
}

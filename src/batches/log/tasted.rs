//! A tasting as it is typed: one set of fields wherever one is written down, from text to tasting and back.

use super::sorts::{Field, Is};
use crate::engine::log::entry::{Aspect, Sense, Tasting};
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::typed::Typed;
use crate::web::words::tasting::{LIKED, RIGHT, aspect, aspect_hint, sense_label};

/// The longest words about one side of a mead, in characters.
pub const SIDE_MAX: usize = 500;
/// The longest words about the whole, in characters.
pub const WHOLE_MAX: usize = 2000;

/// The field of what older tastings called character; asked only where it was said.
const CHARACTER: &str = "character";

/// The field of the words about a side: a sense may have the same name.
fn words_field(aspect: Aspect) -> &'static str {
    match aspect {
        Aspect::Look => "look",
        Aspect::Aroma => "aroma",
        Aspect::Taste => "taste",
        Aspect::Body => "body_words",
        Aspect::Finish => "finish",
    }
}

fn choice(pairs: &[(i32, &str)]) -> Is {
    let unsaid = (String::new(), "not said".to_owned());
    let known = pairs
        .iter()
        .map(|(value, words)| (value.to_string(), (*words).to_owned()));
    Is::Choice(std::iter::once(unsaid).chain(known).collect())
}

fn field(name: &'static str, label: &'static str, hint: &str, is: Is) -> Field {
    Field {
        name,
        label,
        hint: hint.to_owned(),
        is,
    }
}

/// How much it is liked, and words about the whole: what everybody can say.
pub fn first_fields() -> Vec<Field> {
    vec![
        field("liking", "How much do you like it?", "", choice(&LIKED)),
        field("text", "As a whole, in your own words", "", Is::Lines),
    ]
}

/// Words about each side.
pub fn side_fields() -> Vec<Field> {
    let sides = Aspect::ALL.iter();
    sides
        .map(|of| field(words_field(*of), aspect(*of), aspect_hint(*of), Is::Lines))
        .collect()
}

/// Of each sense whether it is too little, just right or too much; `with_character` asks for what older tastings said, too.
pub fn sense_fields(with_character: bool) -> Vec<Field> {
    let senses = Sense::ALL.iter();
    let senses = senses.map(|of| field(of.as_str(), sense_label(*of), "", choice(&RIGHT)));
    let older = with_character.then(|| {
        let label = "Character of the honey and what went with it";
        field(CHARACTER, label, "", choice(&RIGHT))
    });
    senses.chain(older).collect()
}

/// Reads all of them.
///
/// # Errors
/// When a field came twice.
pub fn read(typed: &mut Typed<'_>) -> Result<Tasting, Error> {
    let mut told = |field: &str, low: i32, high: i32| {
        typed.read(field, |text| match text.parse::<i32>() {
            Ok(value) if (low..=high).contains(&value) => Ok(value),
            _ => Err("Choose one of the list."),
        })
    };
    let mut tasting = Tasting {
        liking: told("liking", 1, 9)?,
        character: told(CHARACTER, -2, 2)?,
        ..Tasting::default()
    };
    for sense in Sense::ALL {
        tasting.put(*sense, told(sense.as_str(), -2, 2)?);
    }
    for side in Aspect::ALL {
        let words = typed.lines(words_field(*side), SIDE_MAX)?;
        let words = Some(words).filter(|words| !words.is_empty());
        tasting.described.put(*side, words);
    }
    let whole = typed.lines("text", WHOLE_MAX)?;
    tasting.text = Some(whole).filter(|words| !words.is_empty());
    Ok(tasting)
}

/// Puts a tasting into its fields. A liking of the older scale stands on that of today.
pub fn fill(tasting: &Tasting, form: &mut FormState) {
    form.set("text", tasting.text.clone().unwrap_or_default());
    for side in Aspect::ALL {
        let words = tasting.described.of(*side).unwrap_or_default();
        form.set(words_field(*side), words);
    }
    let senses = Sense::ALL.iter();
    let senses = senses.map(|sense| (sense.as_str(), tasting.of(*sense)));
    let others = [("liking", tasting.liked()), (CHARACTER, tasting.character)];
    for (field, value) in senses.chain(others) {
        if let Some(value) = value {
            form.set(field, value.to_string());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::form::Posted;

    fn again(tasting: &Tasting) -> Tasting {
        let mut form = FormState::new();
        fill(tasting, &mut form);
        let fields = [first_fields(), side_fields(), sense_fields(true)];
        let names = fields.iter().flatten().map(|field| field.name);
        let pairs = names.map(|name| (name.to_owned(), form.typed(name).to_owned()));
        let posted = Posted::from_pairs(pairs);
        let mut typed = Typed::of(&posted);
        let read = read(&mut typed).unwrap();
        assert!(typed.form.is_sound(), "{:?}", typed.form.faults());
        read
    }

    #[test]
    fn what_is_typed_reads_back_the_same() {
        let mut tasting = Tasting {
            text: Some("hot\nbut good".to_owned()),
            liking: Some(6),
            character: Some(-1),
            ..Tasting::default()
        };
        for (at, sense) in Sense::ALL.iter().enumerate() {
            tasting.put(*sense, Some(at as i32 % 5 - 2));
        }
        for side in Aspect::ALL {
            tasting
                .described
                .put(*side, Some(format!("words about {side:?}")));
        }
        assert_eq!(again(&tasting), tasting);
    }

    #[test]
    fn a_liking_of_five_steps_stands_among_nine() {
        for (score, liking) in [(1, 1), (3, 5), (5, 9)] {
            let older = Tasting {
                score: Some(score),
                ..Tasting::default()
            };
            assert_eq!(again(&older).liking, Some(liking));
        }
    }
}

//! What holds of any text as a recipe document.

use mustwright::engine::reading::{ReadError, read};
use mustwright::engine::scaling::scale;
use mustwright::engine::{Recipe, Settings, formulate};

pub fn check(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    match read(&text) {
        Ok(recipe) => reckoned(&recipe),
        Err(ReadError::NotJson(_)) => {}
        Err(ReadError::Problems(problems)) => {
            assert!(!problems.is_empty());
            let places = problems.iter().map(|problem| problem.path.as_str());
            for place in places {
                assert!(place.is_empty() || place.starts_with('/'), "{place}");
            }
        }
    }
}

/// Written it reads as the same; its numbers are numbers, or a problem says why there are none.
fn reckoned(recipe: &Recipe) {
    let written = serde_json::to_string(recipe).expect("it can be written");
    assert_eq!(read(&written).as_ref(), Ok(recipe), "{written}");
    let numbers = formulate(recipe, &Settings::default());
    assert!(numbers.finished.is_some() || !numbers.problems.is_empty());
    let again = formulate(recipe, &Settings::default());
    assert_eq!(outside_quotes(&numbers), outside_quotes(&again));
    for words in [
        outside_quotes(&numbers),
        outside_quotes(&formulate(&scale(recipe, 2.0), &Settings::default())),
    ] {
        let mut words = words.split(|c: char| !c.is_alphanumeric());
        assert!(
            !words.any(|word| word == "NaN" || word == "inf"),
            "{numbers:?}"
        );
    }
    for line in &numbers.ingredients {
        assert!(line.kg.is_none_or(|kg| kg >= 0.0), "{line:?}");
    }
}

/// How it prints, without the texts in it: an ingredient may be called what a number must not be.
fn outside_quotes(printed: &impl std::fmt::Debug) -> String {
    let printed = format!("{printed:?}");
    let (mut inside, mut escaped) = (false, false);
    let kept = printed.chars().filter(|c| {
        let was_inside = inside;
        match (inside, escaped, c) {
            (true, true, _) => escaped = false,
            (true, false, '\\') => escaped = true,
            (_, _, '"') => inside = !inside,
            _ => {}
        }
        !was_inside
    });
    kept.collect()
}

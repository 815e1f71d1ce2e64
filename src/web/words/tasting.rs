//! What is tasted for, in words: the sides of a mead, its senses, and how much it is liked.

use crate::engine::log::entry::{Aspect, Sense, Tasting};

/// How right something tastes, from much too little to much too much.
pub const RIGHT: [(i32, &str); 5] = [
    (-2, "much too little"),
    (-1, "a little too little"),
    (0, "just right"),
    (1, "a little too much"),
    (2, "much too much"),
];

/// How much it is liked. A scale of nine steps is common practice, no published source for these words.
pub const LIKED: [(i32, &str); 9] = [
    (9, "9: as good as it can be"),
    (8, "8: very good"),
    (7, "7: good"),
    (6, "6: rather good"),
    (5, "5: neither good nor bad"),
    (4, "4: rather not good"),
    (3, "3: not good"),
    (2, "2: bad"),
    (1, "1: not to be drunk"),
];

/// The name of a side that words are written about.
pub fn aspect(aspect: Aspect) -> &'static str {
    match aspect {
        Aspect::Look => "Look",
        Aspect::Aroma => "Aroma",
        Aspect::Taste => "Taste",
        Aspect::Body => "Body in words",
        Aspect::Finish => "Finish",
    }
}

/// What a side is, for somebody who never wrote a tasting note.
pub fn aspect_hint(aspect: Aspect) -> &'static str {
    match aspect {
        Aspect::Look => "Colour, clear or cloudy, bubbles.",
        Aspect::Aroma => "What it smells of, before the first sip.",
        Aspect::Taste => "What it tastes of.",
        Aspect::Body => "Thin, round, heavy: how it lies in the mouth.",
        Aspect::Finish => "What stays when it is gone, and how long.",
    }
}

/// A sense within a sentence.
pub fn sense(sense: Sense) -> &'static str {
    match sense {
        Sense::Sweetness => "sweetness",
        Sense::Acidity => "acidity",
        Sense::Tannin => "tannin",
        Sense::Warmth => "warmth",
        Sense::Body => "body",
        Sense::Honey => "honey",
        Sense::Fruit => "fruit",
        Sense::Spice => "spice",
        Sense::Sparkle => "sparkle",
    }
}

/// A sense as the name of its field.
pub fn sense_label(sense: Sense) -> &'static str {
    match sense {
        Sense::Sweetness => "Sweetness",
        Sense::Acidity => "Acidity",
        Sense::Tannin => "Tannin",
        Sense::Warmth => "Warmth of the alcohol",
        Sense::Body => "Body",
        Sense::Honey => "Honey",
        Sense::Fruit => "Fruit",
        Sense::Spice => "Spice, herbs, wood",
        Sense::Sparkle => "Bubbles",
    }
}

/// The value of each sense that something was said of, in the order of the form; last what older tastings called character.
pub fn senses(tasting: &Tasting) -> Vec<(&'static str, i32)> {
    let named = Sense::ALL.iter();
    let named = named.filter_map(|of| Some((sense(*of), tasting.of(*of)?)));
    let older = tasting.character.map(|value| ("character", value));
    named.chain(older).collect()
}

/// "7 of 9"; "4 of 5" where it was said so. Empty: nothing was said.
pub fn liked(tasting: &Tasting) -> Option<String> {
    let older = || tasting.score.map(|score| format!("{score} of 5"));
    tasting
        .liking
        .map(|liking| format!("{liking} of 9"))
        .or_else(older)
}

/// "7 of 9, a little too much sweetness": what was off, without what was just right.
pub fn short(tasting: &Tasting) -> String {
    let off = senses(tasting).into_iter().filter_map(|(name, value)| {
        let much = match value {
            ..=-2 => "much too little",
            -1 => "a little too little",
            0 => return None,
            1 => "a little too much",
            _ => "much too much",
        };
        Some(format!("{much} {name}"))
    });
    let said: Vec<String> = liked(tasting).into_iter().chain(off).collect();
    match said.is_empty() {
        true => "tasted".to_owned(),
        false => said.join(", "),
    }
}

/// All of it, line by line: the numbers first, then each side, then the whole.
pub fn lines(tasting: &Tasting) -> Vec<String> {
    let values = senses(tasting).into_iter().filter_map(|(name, value)| {
        let (_, words) = RIGHT.into_iter().find(|(right, _)| *right == value)?;
        Some(format!("{name} {words}"))
    });
    let numbers: Vec<String> = liked(tasting).into_iter().chain(values).collect();
    let numbers = (!numbers.is_empty()).then(|| numbers.join(", "));
    let sides = Aspect::ALL.iter().filter_map(|of| {
        let words = tasting.described.of(*of)?;
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        Some(format!("{}: {words}", side(*of)))
    });
    let whole = tasting.text.as_deref().unwrap_or_default();
    let whole = whole.lines().map(str::to_owned);
    numbers.into_iter().chain(sides).chain(whole).collect()
}

fn side(aspect: Aspect) -> &'static str {
    match aspect {
        Aspect::Look => "look",
        Aspect::Aroma => "aroma",
        Aspect::Taste => "taste",
        Aspect::Body => "body",
        Aspect::Finish => "finish",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tasting_says_what_was_off() {
        let tasting = Tasting {
            liking: Some(7),
            sweetness: Some(1),
            acidity: Some(-2),
            body: Some(0),
            ..Tasting::default()
        };
        assert_eq!(
            short(&tasting),
            "7 of 9, a little too much sweetness, much too little acidity"
        );
        assert_eq!(short(&Tasting::default()), "tasted");
    }

    #[test]
    fn a_tasting_is_told_as_it_was_given() {
        let mut tasting = Tasting {
            text: Some("Wait a year.\nThen again.".to_owned()),
            score: Some(4),
            honey: Some(0),
            character: Some(2),
            ..Tasting::default()
        };
        tasting
            .described
            .put(Aspect::Aroma, Some("pear,\nlinden".to_owned()));
        assert_eq!(
            lines(&tasting),
            [
                "4 of 5, honey just right, character much too much",
                "aroma: pear, linden",
                "Wait a year.",
                "Then again."
            ]
        );
    }
}

//! Names of members: what may be one, and when two look alike.

use unicode_normalization::UnicodeNormalization;

/// The most characters of a name.
pub const MAX_CHARS: usize = 60;

/// A name that may be shown, with the key by which it is compared.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Name {
    shown: String,
    key: String,
}

/// Why a text is no name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoName {
    /// Nothing was typed.
    Empty,
    /// More than `MAX_CHARS`.
    TooLong,
    /// A character that is no letter, digit, space, hyphen, full stop or apostrophe.
    Character(char),
    /// Letters of different scripts, which hides one name behind another.
    MixedScripts,
}

impl NoName {
    /// The message beside the field.
    pub fn message(self) -> String {
        match self {
            NoName::Empty => "Enter your name, as the club should see it.".to_owned(),
            NoName::TooLong => format!("Enter a name of at most {MAX_CHARS} letters."),
            NoName::Character(c) if c.is_control() || c.is_whitespace() => {
                "Enter the name on one line, in letters, digits, spaces, hyphens, full stops and apostrophes.".to_owned()
            }
            NoName::Character(c) => {
                format!("Leave out the sign {c}: a name has letters, digits, spaces, hyphens, full stops and apostrophes.")
            }
            NoName::MixedScripts => "Write the name in one alphabet.".to_owned(),
        }
    }
}

impl Name {
    /// Reads a typed name.
    pub fn read(typed: &str) -> Result<Name, NoName> {
        let composed: String = typed.nfc().collect();
        let shown = composed
            .split(' ')
            .filter(|word| !word.is_empty())
            .collect::<Vec<_>>()
            .join(" ");
        if let Some(other) = shown.chars().find(|c| !is_of_a_name(*c)) {
            return Err(NoName::Character(other));
        }
        let key = key_of(&shown);
        if !key.chars().any(char::is_alphanumeric) {
            return Err(NoName::Empty);
        }
        if shown.chars().count() > MAX_CHARS {
            return Err(NoName::TooLong);
        }
        let scripts = SCRIPTS
            .iter()
            .filter(|blocks| shown.chars().any(|c| is_in(blocks, c)));
        if scripts.count() > 1 {
            return Err(NoName::MixedScripts);
        }
        Ok(Name { shown, key })
    }

    /// The name as shown.
    pub fn shown(&self) -> &str {
        &self.shown
    }

    /// The name as compared.
    pub fn key(&self) -> &str {
        &self.key
    }
}

/// Scripts whose letters look alike, by their blocks in Unicode: Latin, Greek, Cyrillic, Armenian, Georgian, Cherokee,
/// Coptic, Lisu. A name keeps to one of them.
const SCRIPTS: &[&[(char, char)]] = &[
    &[
        ('A', '\u{24f}'),
        ('\u{1e00}', '\u{1eff}'),
        ('\u{2c60}', '\u{2c7f}'),
        ('\u{a720}', '\u{a7ff}'),
    ],
    &[
        ('\u{370}', '\u{3e1}'),
        ('\u{3f0}', '\u{3ff}'),
        ('\u{1f00}', '\u{1fff}'),
    ],
    &[
        ('\u{400}', '\u{52f}'),
        ('\u{1c80}', '\u{1c8f}'),
        ('\u{a640}', '\u{a69f}'),
    ],
    &[('\u{530}', '\u{58f}')],
    &[
        ('\u{10a0}', '\u{10ff}'),
        ('\u{1c90}', '\u{1cbf}'),
        ('\u{2d00}', '\u{2d2f}'),
    ],
    &[('\u{13a0}', '\u{13ff}'), ('\u{ab70}', '\u{abbf}')],
    &[('\u{3e2}', '\u{3ef}'), ('\u{2c80}', '\u{2cff}')],
    &[('\u{a4d0}', '\u{a4ff}')],
];

fn is_in(blocks: &[(char, char)], c: char) -> bool {
    blocks.iter().any(|(from, to)| (*from..=*to).contains(&c))
}

fn is_of_a_name(c: char) -> bool {
    let is_compatibility = !std::iter::once(c).nfkc().eq(std::iter::once(c));
    let is_mark = unicode_normalization::char::is_combining_mark(c);
    " -.'\u{2019}".contains(c) || is_mark || (c.is_alphanumeric() && !is_compatibility)
}

/// The text by which names are compared, also when someone signs in: compatibility forms folded, small letters,
/// single spaces, look-alike letters of other alphabets and the two apostrophes made one. Of what is no name it
/// makes a key as well, which nobody has.
pub fn key_of(name: &str) -> String {
    let folded: String = name
        .nfkc()
        .flat_map(char::to_lowercase)
        .nfkc()
        .map(twin)
        .collect();
    let words = folded
        .split(|c: char| c.is_whitespace() || c == '.')
        .filter(|word| !word.is_empty());
    words.collect::<Vec<_>>().join(" ")
}

/// The Latin letter that a Greek or Cyrillic one looks like.
fn twin(c: char) -> char {
    const TWINS: &[(char, char)] = &[
        ('а', 'a'),
        ('в', 'b'),
        ('с', 'c'),
        ('ԁ', 'd'),
        ('е', 'e'),
        ('һ', 'h'),
        ('і', 'i'),
        ('ј', 'j'),
        ('к', 'k'),
        ('м', 'm'),
        ('н', 'h'),
        ('о', 'o'),
        ('р', 'p'),
        ('ԛ', 'q'),
        ('ѕ', 's'),
        ('т', 't'),
        ('ѵ', 'v'),
        ('ԝ', 'w'),
        ('х', 'x'),
        ('у', 'y'),
        ('α', 'a'),
        ('ι', 'i'),
        ('κ', 'k'),
        ('ν', 'v'),
        ('ο', 'o'),
        ('ρ', 'p'),
        ('τ', 't'),
        ('υ', 'u'),
        ('χ', 'x'),
        ('ı', 'i'),
        ('\u{2019}', '\''),
    ];
    TWINS
        .iter()
        .find(|(other, _)| *other == c)
        .map_or(c, |(_, latin)| *latin)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn names_of_people_are_names() {
        for name in [
            "Ada",
            "Ana-María O'Neill",
            "Ægir",
            "Łukasz Ž.",
            "Ольга",
            "Δημήτρης",
            "花子",
            "नेहा",
            "José 2",
        ] {
            assert_eq!(Name::read(name).map(|read| read.shown), Ok(name.to_owned()));
        }
        assert_eq!(Name::read("  Ada   Lee ").unwrap().shown(), "Ada Lee");
    }

    #[test]
    fn look_alikes_have_one_key() {
        for (one, other) in [
            ("Ada", "ADA"),
            ("Ada", " ada. "),
            ("Ada", "Аԁа"),
            ("Jose\u{301}", "José"),
            ("Ada Lee", "ada  lee"),
            ("O'Neill", "O\u{2019}Neill"),
            ("Ada", "Ａｄａ"),
        ] {
            assert_eq!(key_of(one), key_of(other), "{one} {other}");
        }
        assert_ne!(key_of("Ada"), key_of("Ida"));
    }

    #[test]
    fn tricks_are_refused() {
        for (name, why) in [
            ("", NoName::Empty),
            (" . ", NoName::Empty),
            ("Ada\u{202e}", NoName::Character('\u{202e}')),
            ("A\u{200d}da", NoName::Character('\u{200d}')),
            ("Ada\n", NoName::Character('\n')),
            ("Ａda", NoName::Character('Ａ')),
            ("A\u{200b}da", NoName::Character('\u{200b}')),
            ("A\u{2066}da", NoName::Character('\u{2066}')),
            ("A\u{ad}da", NoName::Character('\u{ad}')),
            ("Adaᵃ", NoName::Character('ᵃ')),
            ("𝐀da", NoName::Character('𝐀')),
            ("Adа", NoName::MixedScripts),
            ("Αda", NoName::MixedScripts),
            ("Ꭺda", NoName::MixedScripts),
            ("Lօu", NoName::MixedScripts),
            ("ꓮda", NoName::MixedScripts),
            ("Ⲟda", NoName::MixedScripts),
            ("<b>", NoName::Character('<')),
        ] {
            assert_eq!(Name::read(name), Err(why), "{name:?}");
        }
        assert_eq!(Name::read(&"a".repeat(61)), Err(NoName::TooLong));
    }

    proptest! {
        #[test]
        fn a_key_is_its_own_key(name in any::<String>()) {
            let key = key_of(&name);
            prop_assert_eq!(key_of(&key), key);
        }
    }
}

//! Recovery codes: ten on paper, for the day on which the phone is lost. Each is good once.

use crate::members::passwords::{Checked, Hasher};
use crate::web::{Error, random};

/// How many there are.
pub const COUNT: i16 = 10;
/// Letters and digits after the number: 50 random bits.
const LETTERS: usize = 10;

/// A code in clear and what is stored of it.
pub struct NewCode {
    pub number: i16,
    pub shown: String,
    pub hash: String,
}

/// A code as it was typed, come apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Typed {
    pub number: i16,
    letters: String,
}

/// Ten new ones. They are short enough to be guessed from a hash that is quick, so they are hashed like passwords.
pub async fn draw(hasher: &Hasher) -> Result<Vec<NewCode>, Error> {
    let mut codes = Vec::new();
    for number in 0..COUNT {
        let letters = random::text(LETTERS)?;
        let (one, two) = letters.split_at(LETTERS / 2);
        codes.push(NewCode {
            number,
            shown: format!("{number}-{one}-{two}"),
            hash: hasher.hash(&letters).await?,
        });
    }
    Ok(codes)
}

impl Typed {
    /// Reads a code: spaces, hyphens and capitals do not matter, nor does a nought for an o or a one for an l.
    pub fn read(text: &str) -> Option<Typed> {
        let mut signs = text
            .chars()
            .filter(|c| !c.is_whitespace() && !"-\u{2010}\u{2011}\u{2013}".contains(*c));
        let number = signs.next()?.to_digit(10)?;
        let letters: String = signs
            .take(LETTERS + 1)
            .map(|c| match c.to_ascii_lowercase() {
                '0' => 'o',
                '1' => 'l',
                other => other,
            })
            .collect();
        let whole = letters.len() == LETTERS && letters.bytes().all(|b| b.is_ascii_alphanumeric());
        whole.then_some(Typed {
            number: i16::try_from(number).unwrap_or_default(),
            letters,
        })
    }

    /// Whether it is the code of a stored hash. Without one the same work is done.
    pub async fn fits(&self, hasher: &Hasher, hash: Option<&str>) -> Result<bool, Error> {
        Ok(hasher.check(&self.letters, hash).await? != Checked::Wrong)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_read_however_it_is_written() {
        let wanted = Some(Typed {
            number: 3,
            letters: "abcdeol234".to_owned(),
        });
        for text in [
            "3-abcde-ol234",
            " 3 ABCDE OL234 ",
            "3abcde01234",
            "3\u{2011}abcde\u{2013}ol234",
        ] {
            assert_eq!(Typed::read(text), wanted, "{text}");
        }
        for text in [
            "",
            "3",
            "123456",
            "x-abcde-ol234",
            "3-abcde-ol23",
            "3-abcde-ol2345",
            "3-abcde-ol23é",
            "3-abcde-ol23\u{0}",
        ] {
            assert_eq!(Typed::read(text), None, "{text}");
        }
    }
}

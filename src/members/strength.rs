//! Which new passwords are refused: too short, too long, guessed at once, or in fewer tries than a thief has time for.
//!
//! Fifteen characters for everybody, also for whoever has a second step: that can be lost or taken away later, and the
//! password stays. No rules on which characters, no date of expiry: both make passwords worse.

use super::guesses;

/// The fewest characters, since a password is the only factor.
pub const MIN_CHARS: usize = 15;
/// The most bytes.
pub const MAX_BYTES: usize = 1_024;
/// So many characters must remain once everything guessable is taken out.
const MUST_REMAIN: usize = 8;

/// Texts that guessers try first, composed for this list: words of signing in, of the craft, of seasons and numbers,
/// and rows of a keyboard.
const COMMON: &[&str] = &[
    "password",
    "passwort",
    "passphrase",
    "letmein",
    "welcome",
    "changeme",
    "secret",
    "default",
    "correct horse",
    "battery staple",
    "correcthorse",
    "batterystaple",
    "iloveyou",
    "trustno",
    "administrator",
    "admin",
    "keeper",
    "login",
    "signin",
    "access",
    "master",
    "dragon",
    "monkey",
    "football",
    "baseball",
    "sunshine",
    "princess",
    "mustwright",
    "homebrew",
    "brewing",
    "brewer",
    "mead",
    "honey",
    "yeast",
    "club",
    "summer",
    "winter",
    "spring",
    "autumn",
    "january",
    "february",
    "march",
    "april",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
    "monday",
    "tuesday",
    "wednesday",
    "thursday",
    "friday",
    "saturday",
    "sunday",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "zero",
    "hello",
    "please",
    "open",
    "sesame",
    "this is",
    "my ",
];

/// Rows along which fingers and minds run.
const RUNS: &[&str] = &[
    "abcdefghijklmnopqrstuvwxyz",
    "01234567890",
    "qwertyuiop",
    "qwertzuiop",
    "asdfghjkl",
    "zxcvbnm",
    "yxcvbnm",
    "azertyuiop",
    "1qaz2wsx3edc4rfv5tgb6yhn7ujm8ik",
];

/// Why a password is refused; the message beside the field. `None` when it may be used. `context` holds the names
/// that stand on every page: the club's, the member's.
pub fn refusal(password: &str, context: &[&str]) -> Option<String> {
    let chars = password.chars().count();
    if chars < MIN_CHARS {
        return Some(format!(
            "Choose a password of at least {MIN_CHARS} characters; this one has {chars}."
        ));
    }
    if password.len() > MAX_BYTES {
        return Some(format!("Choose a password of at most {MAX_BYTES} bytes."));
    }
    let words = guessable_words(context);
    let (rest, common) = without_guessable(&fold(password), &words);
    if distinct_length(&rest) >= MUST_REMAIN {
        return guesses::refusal(password, &words);
    }
    Some(match common {
        true => "Choose other words: names of the club or of you, and what everybody uses, are guessed at once.".to_owned(),
        false => "Choose a password that neither repeats nor counts: such are guessed at once.".to_owned(),
    })
}

fn fold(text: &str) -> String {
    text.chars()
        .flat_map(char::to_lowercase)
        .map(plain_letter)
        .collect()
}

/// The letter for which a sign often stands.
fn plain_letter(c: char) -> char {
    match c {
        '@' => 'a',
        '$' => 's',
        '€' => 'e',
        '!' => 'i',
        other => other,
    }
}

/// What a guesser of this club tries first: the names, whole and word by word, and common texts; the longest first.
fn guessable_words(context: &[&str]) -> Vec<String> {
    let names = context.iter().flat_map(|name| {
        let name = fold(name);
        let words = name
            .split_whitespace()
            .filter(|word| word.chars().count() >= 4)
            .map(str::to_owned);
        words
            .chain([name.clone()])
            .filter(|word| word.chars().count() >= 3)
            .collect::<Vec<_>>()
    });
    let mut words: Vec<String> = names
        .chain(COMMON.iter().map(|word| (*word).to_owned()))
        .collect();
    words.sort_by_key(|word| std::cmp::Reverse(word.len()));
    words
}

/// Takes those words and runs out; tells whether any word was among them.
fn without_guessable(folded: &str, words: &[String]) -> (String, bool) {
    let without_words = |text: &str| {
        words.iter().fold(text.to_owned(), |rest, word| {
            rest.replace(word.as_str(), " ")
        })
    };
    let plain = without_words(folded);
    let rest = without_runs(&plain);
    // Digits standing for letters hide words.
    let spelt = rest
        .replace('0', "o")
        .replace('1', "l")
        .replace('3', "e")
        .replace('5', "s");
    let bare = without_words(&spelt);
    match bare == spelt {
        true => (rest, plain != folded),
        false => (without_runs(&bare), true),
    }
}

/// Takes out what runs along a row, forwards or backwards, for four characters or more.
fn without_runs(text: &str) -> String {
    let mut rest: Vec<char> = text.chars().collect();
    for row in RUNS {
        let forwards: Vec<char> = row.chars().collect();
        let backwards: Vec<char> = row.chars().rev().collect();
        for row in [forwards, backwards] {
            let mut at = 0;
            while at < rest.len() {
                let run = longest_run(&rest[at..], &row);
                if run >= 4 {
                    rest.drain(at..at + run);
                } else {
                    at += 1;
                }
            }
        }
    }
    rest.into_iter().collect()
}

fn longest_run(text: &[char], row: &[char]) -> usize {
    let starts = row
        .iter()
        .enumerate()
        .filter(|(_, c)| Some(*c) == text.first());
    starts
        .map(|(at, _)| {
            text.iter()
                .zip(&row[at..])
                .take_while(|(a, b)| a == b)
                .count()
        })
        .max()
        .unwrap_or(0)
}

/// The characters of a text without separators, less what repeats: a text made of one block again and again counts
/// as the block, and a character in a row counts twice at most.
fn distinct_length(text: &str) -> usize {
    let bare: Vec<char> = text
        .chars()
        .filter(|c| !c.is_ascii_punctuation() && !c.is_whitespace())
        .collect();
    let signs = text.chars().filter(char::is_ascii_punctuation).count();
    let block = (1..=bare.len() / 2).find(|size| {
        bare.iter()
            .zip(bare.iter().skip(*size))
            .all(|(a, b)| a == b)
    });
    let mut distinct = bare[..block.unwrap_or(bare.len())].to_vec();
    distinct.dedup();
    let mut kinds = bare.clone();
    kinds.sort_unstable();
    kinds.dedup();
    // Four different characters at least, however they are shuffled.
    if kinds.len() + signs.min(4) < 5 {
        0
    } else {
        distinct.len() + signs.min(4)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CONTEXT: &[&str] = &["Tarn Valley Mead Circle", "Ada Lovewell"];

    #[test]
    fn length_is_counted_in_characters_and_capped_in_bytes() {
        assert!(refusal("vivid cloud fo", CONTEXT).is_some());
        assert!(refusal("vivid cloud fog", CONTEXT).is_none());
        assert!(refusal("ä🐝ö🍯ü🫙ß🌼é🌸ñ🐻ø🪵å", CONTEXT).is_none());
        let long = "velvet orchard 7 tumbling geese ".repeat(40);
        assert!(refusal(&long[..1024], CONTEXT).is_none());
        assert!(refusal(&long[..1025], CONTEXT).unwrap().contains("1024"));
    }

    #[test]
    fn what_is_guessed_at_once_is_refused() {
        for password in [
            "aaaaaaaaaaaaaaaa",
            "abcabcabcabcabcabc",
            "123456789012345",
            "098765432109876",
            "abcdefghijklmnop",
            "qwertyuiopasdfgh",
            "1qaz2wsx3edc4rfv",
            "password12345678",
            "P@ssw0rdP@ssw0rd",
            "passwordpassword!",
            "Tarn Valley Mead Circle",
            "tarnvalleymeadcircle1",
            "Ada Lovewell 1234",
            "adalovewelladalovewell",
            "mustwrightmustwright",
            "correct horse battery staple",
            "summer2024summer2024",
            "honeyhoneyhoney1",
            "one two three four five",
            "-=-=-=-=-=-=-=-=-=",
            "               ",
            "manchester united",
            "chelsea arsenal",
            "zaq12wsxcde34rfv",
            "jennifer jessica",
            "starwars startrek",
        ] {
            assert!(refusal(password, CONTEXT).is_some(), "{password}");
        }
    }

    #[test]
    fn good_ones_pass() {
        for password in [
            "nettle quilt harbour seven",
            "Kx9#vTq2!mZr7&Lp",
            "four geese tumble past the weir",
            "the tarn froze in nineteen sixty",
            "ходила баба по лесу",
        ] {
            assert_eq!(refusal(password, CONTEXT), None, "{password}");
        }
    }
}

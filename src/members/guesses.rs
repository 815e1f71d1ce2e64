//! How many guesses a password takes, estimated from what guessers try: lists of passwords that leaked, words and names,
//! also with digits for letters, keyboards, dates, repeats. All of it offline.

use zxcvbn::matching::patterns::MatchPattern;
use zxcvbn::zxcvbn;

/// So many guesses a password must take. Tries at the sign-in are slowed down, so that what counts is a database that
/// was copied: at ten thousand guesses a second, our estimate for several graphics cards at this cost of a hash (from
/// memory: verify), they take eleven days; a hundredth of them, which suits a site that limits tries, would take three
/// hours.
const ENOUGH: u64 = 10_000_000_000;
/// So many characters are looked at: signs that may stand for letters make the time of the estimate grow far faster than
/// the text. A hundred of them take a second, thirty-two some hundredths (measured). What comes behind makes a password
/// no weaker, and what is hard to guess is so long before.
const LOOKED_AT: usize = 32;

/// Why a password is guessed too early, and what helps. `words` are those of the club, which a guesser knows.
pub(super) fn refusal(password: &str, words: &[String]) -> Option<String> {
    let start: String = password.chars().take(LOOKED_AT).collect();
    let words: Vec<&str> = words.iter().map(|word| word.trim()).collect();
    let estimate = zxcvbn(&start, &words);
    if estimate.guesses() >= ENOUGH {
        return None;
    }
    let parts = estimate.sequence().iter();
    let longest = parts.max_by_key(|part| part.token.chars().count());
    let why = match longest.map(|part| &part.pattern) {
        Some(MatchPattern::Dictionary(_)) => {
            "Most of it is words, names or passwords that many people use."
        }
        Some(MatchPattern::Spatial(_)) => "Most of it follows the keys of a keyboard.",
        Some(MatchPattern::Repeat(_)) => "Most of it is the same thing again.",
        Some(MatchPattern::Sequence(_)) => "Most of it counts, or goes through the alphabet.",
        Some(MatchPattern::Date(_) | MatchPattern::Regex(_)) => "Most of it is a date or a year.",
        _ => "Too much of it is easily guessed.",
    };
    Some(format!(
        "{why} Such passwords are tried early. Add two words that have nothing to do with it or with you: capitals, digits \
         and signs in place of letters help little."
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_says_what_is_wrong_and_what_helps() {
        for (password, why) in [
            ("manchester united", "words, names"),
            ("Manch3ster Un1ted", "words, names"),
            ("dfghjkl;'", "keyboard"),
            ("x7x7x7x7x7x7x7x7", "same thing"),
            ("24/12/1987", "date"),
            ("xk4q9", "easily guessed"),
        ] {
            let told = refusal(password, &[]).unwrap_or_default();
            assert!(told.contains(why), "{password}: {told}");
            assert!(told.contains("Add two words"), "{told}");
        }
        assert_eq!(refusal("nettle quilt harbour seven", &[]), None);
    }

    #[test]
    fn names_of_the_club_are_guessed_first() {
        let words = ["quillfeather".to_owned(), "yarrowby".to_owned()];
        assert_eq!(refusal("quillfeather yarrowby", &[]), None);
        assert!(refusal("quillfeather yarrowby", &words).is_some());
    }

    #[test]
    fn a_long_text_is_looked_at_in_part() {
        let words: Vec<String> = (0..100).map(|number| format!("word{number}")).collect();
        for long in [
            "aB3$".repeat(256),
            "password".repeat(128),
            "1qaz".repeat(256),
            "é".repeat(512),
        ] {
            assert!(refusal(&long, &words).is_some(), "{}", &long[..8]);
        }
        let good = format!("nettle quilt harbour seven {}", "a".repeat(900));
        assert_eq!(refusal(&good, &words), None);
    }
}

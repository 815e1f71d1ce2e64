//! Reading numbers as people type them: decimal comma or point, thin spaces, fractions, the real minus sign.

use super::fault::{Fault, What};

/// The longest text that is read as a quantity, in characters.
const LONGEST: usize = 80;

/// One number with the unit that followed it, in lower case; empty when none did.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Part {
    pub value: f64,
    pub unit: String,
}

/// May a comma with exactly three digits behind it be read as a decimal comma?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Comma {
    /// Yes: gravities, where the range settles it.
    Decimal,
    /// No: "1,500 g" could be 1.5 g or 1500 g.
    Ask,
}

/// Reads a number without a unit.
///
/// # Errors
/// A [`Fault`] when the text is empty, no number, ambiguous, or carries a unit.
pub fn parse_number(text: &str) -> Result<f64, Fault> {
    let parts = parts(text, What::Number, Comma::Ask)?;
    match parts.as_slice() {
        [part] if part.unit.is_empty() => Ok(part.value),
        [part] => Err(unknown(&part.unit, What::Number)),
        _ => Err(Fault::NoNumber(What::Number)),
    }
}

/// Reads a number without a unit that must lie between `low` and `high`, both allowed.
///
/// # Errors
/// As [`parse_number`], and [`Fault::OutOfRange`].
pub fn parse_number_within(text: &str, low: f64, high: f64) -> Result<f64, Fault> {
    within(parse_number(text)?, What::Number, low, high, |x| {
        super::format::plain(x, 6)
    })
}

/// Reads a whole number between `low` and `high`, both allowed.
///
/// # Errors
/// As [`parse_number`], [`Fault::NotWhole`] and [`Fault::OutOfRange`].
pub fn parse_whole(text: &str, low: i32, high: i32) -> Result<i32, Fault> {
    let value = parse_number_within(text, f64::from(low), f64::from(high))?;
    if value.fract() != 0.0 {
        return Err(Fault::NotWhole);
    }
    // The range check above keeps the value inside an i32.
    Ok(value as i32)
}

pub(super) fn within(
    value: f64,
    what: What,
    low: f64,
    high: f64,
    show: impl Fn(f64) -> String,
) -> Result<f64, Fault> {
    if value >= low && value <= high {
        Ok(value)
    } else {
        Err(Fault::OutOfRange {
            what,
            low: show(low),
            high: show(high),
        })
    }
}

pub(super) fn unknown(unit: &str, what: What) -> Fault {
    Fault::UnknownUnit {
        unit: unit.chars().take(16).collect(),
        what,
    }
}

/// Splits a text into numbers and their units: "3 lb 4 oz" gives two parts.
pub(super) fn parts(text: &str, what: What, comma: Comma) -> Result<Vec<Part>, Fault> {
    let chars = tidy(text, what)?;
    if chars.is_empty() {
        return Err(Fault::Empty(what));
    }
    let mut at = 0;
    let mut found = Vec::new();
    while at < chars.len() {
        let (value, after) = scan_number(&chars, at, what, comma)?;
        let end = unit_end(&chars, after, what)?;
        found.push(Part {
            value,
            unit: tidy_unit(&chars[after..end]),
        });
        at = end;
    }
    Ok(found)
}

/// Trims, and maps the many spaces, minus signs and fraction strokes to one of each.
fn tidy(text: &str, what: What) -> Result<Vec<char>, Fault> {
    let text = text.trim();
    if text.chars().nth(LONGEST).is_some() {
        return Err(Fault::TooLong(what));
    }
    let map = |c: char| match c {
        '\u{2212}' | '\u{2013}' => '-',
        '\u{2044}' | '\u{2215}' => '/',
        c if c.is_whitespace() || c == '\u{2060}' || c == '\u{feff}' => ' ',
        c => c,
    };
    Ok(text.chars().map(map).collect())
}

fn tidy_unit(chars: &[char]) -> String {
    let spaced: String = chars
        .iter()
        .filter(|c| **c != '.')
        .map(|c| {
            if matches!(c, '(' | ')' | ',') {
                ' '
            } else {
                *c
            }
        })
        .collect();
    spaced
        .to_lowercase()
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}

fn vulgar(c: char) -> Option<f64> {
    Some(match c {
        '½' => 0.5,
        '⅓' => 1.0 / 3.0,
        '⅔' => 2.0 / 3.0,
        '¼' => 0.25,
        '¾' => 0.75,
        '⅕' => 0.2,
        '⅖' => 0.4,
        '⅗' => 0.6,
        '⅘' => 0.8,
        '⅙' => 1.0 / 6.0,
        '⅚' => 5.0 / 6.0,
        '⅛' => 0.125,
        '⅜' => 0.375,
        '⅝' => 0.625,
        '⅞' => 0.875,
        _ => return None,
    })
}

fn digits_from(chars: &[char], at: usize) -> usize {
    chars[at..]
        .iter()
        .take_while(|c| c.is_ascii_digit())
        .count()
}

fn is_digit(chars: &[char], at: usize) -> bool {
    chars.get(at).is_some_and(char::is_ascii_digit)
}

fn skip_spaces(chars: &[char], at: usize) -> usize {
    at + chars[at.min(chars.len())..]
        .iter()
        .take_while(|c| **c == ' ')
        .count()
}

/// Where the unit that begins at `at` ends: at the next number.
fn unit_end(chars: &[char], at: usize, what: What) -> Result<usize, Fault> {
    let mut end = at;
    while end < chars.len() {
        let c = chars[end];
        if c.is_ascii_digit() || vulgar(c).is_some() || matches!(c, '-' | '+') {
            break;
        }
        if matches!(c, '.' | ',') && is_digit(chars, end + 1) {
            // "3 lb .5 oz" begins a number; "lb.5" could be .5 or 5, and a wrong guess is tenfold.
            let glued = end > at && chars[end - 1] != ' ';
            return if glued {
                Err(Fault::NoNumber(what))
            } else {
                Ok(end)
            };
        }
        end += 1;
    }
    Ok(end)
}

/// Reads one number that begins at `start`; returns it with the place behind it.
fn scan_number(
    chars: &[char],
    start: usize,
    what: What,
    comma: Comma,
) -> Result<(f64, usize), Fault> {
    let mut at = skip_spaces(chars, start);
    let negative = match chars.get(at) {
        Some('-') => true,
        Some('+') => false,
        _ => {
            let (value, after) = scan_unsigned(chars, at, what, comma)?;
            return Ok((value, after));
        }
    };
    if start > 0 {
        return Err(Fault::Order(what));
    }
    at = skip_spaces(chars, at + 1);
    let (value, after) = scan_unsigned(chars, at, what, comma)?;
    // Adding zero turns -0 into 0.
    Ok((if negative { -value + 0.0 } else { value }, after))
}

fn scan_unsigned(
    chars: &[char],
    start: usize,
    what: What,
    comma: Comma,
) -> Result<(f64, usize), Fault> {
    if let Some(part) = chars.get(start).copied().and_then(vulgar) {
        return Ok((part, start + 1));
    }
    let (whole, fraction, mark, mut at) = scan_decimal(chars, start, what)?;
    if comma == Comma::Ask
        && mark == Some(',')
        && fraction.len() == 3
        && (1..=3).contains(&whole.len())
        && !whole.starts_with('0')
    {
        let decimal = format!("{whole}.{}", fraction.trim_end_matches('0'));
        return Err(Fault::OneOrThousand {
            decimal: decimal.trim_end_matches('.').to_owned(),
            whole: format!("{whole}{fraction}"),
        });
    }
    let text = format!(
        "{}.{}",
        if whole.is_empty() { "0" } else { &whole },
        if fraction.is_empty() { "0" } else { &fraction }
    );
    let value: f64 = text.parse().map_err(|_| Fault::NoNumber(what))?;
    if !value.is_finite() {
        return Err(Fault::TooLong(what));
    }
    if mark.is_some() {
        return Ok((value, at));
    }
    // "1/2"
    if chars.get(at) == Some(&'/') && is_digit(chars, at + 1) {
        let (below, after) = scan_divisor(chars, at + 1)?;
        return Ok((value / below, after));
    }
    // "1½", "1 ½", "1 1/2"
    let next = skip_spaces(chars, at);
    if let Some(part) = chars.get(next).copied().and_then(vulgar) {
        return Ok((value + part, next + 1));
    }
    if next > at && is_digit(chars, next) {
        let count = digits_from(chars, next);
        if count <= 3 && chars.get(next + count) == Some(&'/') && is_digit(chars, next + count + 1)
        {
            let above = digits_value(&chars[next..next + count]);
            let (below, after) = scan_divisor(chars, next + count + 1)?;
            at = after;
            return Ok((value + above / below, at));
        }
        return Err(Fault::LooseDigits);
    }
    Ok((value, at))
}

fn digits_value(digits: &[char]) -> f64 {
    digits.iter().fold(0.0, |sum, c| {
        sum * 10.0 + f64::from(c.to_digit(10).unwrap_or(0))
    })
}

fn scan_divisor(chars: &[char], at: usize) -> Result<(f64, usize), Fault> {
    let count = digits_from(chars, at);
    let below = digits_value(&chars[at..at + count]);
    if below == 0.0 {
        Err(Fault::OverZero)
    } else {
        Ok((below, at + count))
    }
}

/// Whole digits, decimal digits, the mark between them, and the place behind.
type Decimal = (String, String, Option<char>, usize);

fn scan_decimal(chars: &[char], start: usize, what: What) -> Result<Decimal, Fault> {
    let mut at = start + digits_from(chars, start);
    let mut whole: String = chars[start..at].iter().collect();
    // Thousands set off by spaces: "1 000".
    if (1..=3).contains(&whole.len()) {
        while chars.get(at) == Some(&' ')
            && digits_from(chars, (at + 1).min(chars.len())) == 3
            && chars.get(at + 4) != Some(&'/')
        {
            whole.extend(&chars[at + 1..at + 4]);
            at += 4;
        }
    }
    let mark = chars.get(at).copied().filter(|c| matches!(c, '.' | ','));
    let Some(mark) = mark else {
        return if whole.is_empty() {
            Err(Fault::NoNumber(what))
        } else {
            Ok((whole, String::new(), None, at))
        };
    };
    let count = digits_from(chars, at + 1);
    let fraction: String = chars[at + 1..at + 1 + count].iter().collect();
    if whole.is_empty() && fraction.is_empty() {
        return Err(Fault::NoNumber(what));
    }
    at += 1 + count;
    if matches!(chars.get(at), Some('.' | ',')) && (is_digit(chars, at + 1) || fraction.is_empty())
    {
        return Err(Fault::TwoMarks);
    }
    if chars.get(at) == Some(&' ') && is_digit(chars, at + 1) {
        return Err(Fault::LooseDigits);
    }
    Ok((whole, fraction, Some(mark), at))
}

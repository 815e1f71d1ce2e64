//! What is read in one breath is not parted at the end of a line: a figure and its unit, a day and its month.

const NO_BREAK: char = '\u{a0}';

/// Elements whose text is typed, chosen or run, and stays as it is.
const AS_IT_IS: &[&str] = &["textarea", "option", "script", "style", "title", "pre"];

/// Units, and words that are counted.
const UNITS: &[&str] = &[
    "%", "°Bx", "°Brix", "°C", "°F", "L", "US", "bar", "bottle", "bottles", "cm", "day", "days",
    "fl", "g", "gal", "h", "hour", "hours", "kB", "kPa", "kg", "lb", "litre", "litres", "mL", "MB",
    "mg", "min", "minute", "minutes", "ml", "mm", "month", "months", "oz", "pm", "am", "ppm",
    "psi", "qt", "tbsp", "tsp", "volumes", "week", "weeks", "year", "years",
];

const MONTHS: &[&str] = &[
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// A page with no-break spaces between figures and their units, and within dates. Tags are left alone.
pub fn unbroken(html: &str) -> String {
    let mut out = String::with_capacity(html.len() + html.len() / 64);
    // What stands before `copied` is in `out`; the text between two tags that is being read begins at `text`.
    let (mut copied, mut text, mut at) = (0, 0, 0);
    while let Some(byte) = html.as_bytes().get(at) {
        match byte {
            b' ' if belong(&html[text..], at - text) => {
                out.push_str(&html[copied..at]);
                out.push(NO_BREAK);
                copied = at + 1;
            }
            b'<' => {
                let tag = &html[at..];
                text = at + end_of_tag(tag);
                if let Some(name) = as_it_is(tag) {
                    let close = html[text..].find(&format!("</{name}"));
                    text = close.map_or(html.len(), |close| text + close);
                }
                at = text;
                continue;
            }
            _ => {}
        }
        at += 1;
    }
    out.push_str(&html[copied..]);
    out
}

/// The length of the tag that a text begins with; a ">" in quotes is none of its end.
fn end_of_tag(tag: &str) -> usize {
    let mut quote = None;
    for (at, letter) in tag.bytes().enumerate() {
        match (quote, letter) {
            (None, b'>') => return at + 1,
            (None, b'"' | b'\'') => quote = Some(letter),
            (Some(open), letter) if open == letter => quote = None,
            _ => {}
        }
    }
    tag.len()
}

/// Which element a tag opens, if it is one whose text stays as it is.
fn as_it_is(tag: &str) -> Option<&'static str> {
    // Most tags are told by their first letter.
    if !matches!(tag.as_bytes().get(1), Some(b'o' | b'p' | b's' | b't')) {
        return None;
    }
    let opened = AS_IT_IS.iter().find(|name| {
        let after = tag[1..].strip_prefix(**name);
        after.is_some_and(|after| !after.starts_with(|letter: char| letter.is_ascii_alphanumeric()))
    });
    opened.copied()
}

/// Whether what ends before a space of a text and what begins after it stay on one line. Every page is full of spaces:
/// what stands right beside one tells of nearly all that they part.
fn belong(text: &str, space: usize) -> bool {
    let beside = |at: Option<usize>| at.and_then(|at| text.as_bytes().get(at)).copied();
    let (before, after) = (beside(space.checked_sub(1)), beside(space.checked_add(1)));
    let words = || (last_word(&text[..space]), leading(&text[space + 1..]));
    match (before, after) {
        (Some(b'0'..=b'9'), Some(_)) => {
            let (_, word) = words();
            UNITS.contains(&word) || MONTHS.contains(&word)
        }
        (Some(b'a'..=b'z'), Some(b'0'..=b'9')) => {
            let (last, word) = words();
            let year = word.len() == 4 && word.bytes().all(|letter| letter.is_ascii_digit());
            year && MONTHS.contains(&last)
        }
        (Some(b'S'), Some(b'g' | b'f' | b'q')) => {
            let (last, word) = words();
            last == "US" && matches!(word, "gal" | "fl" | "qt")
        }
        (Some(b'l'), Some(b'o')) => words() == ("fl", "oz"),
        _ => false,
    }
}

fn leading(text: &str) -> &str {
    if text.starts_with('%') {
        return "%";
    }
    let end = text.find(|letter: char| !letter.is_alphanumeric() && letter != '°');
    &text[..end.unwrap_or(text.len())]
}

fn last_word(text: &str) -> &str {
    text.rsplit([' ', NO_BREAK, '\n']).next().unwrap_or(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// With "~" for a no-break space.
    fn shown(html: &str) -> String {
        unbroken(html).replace(NO_BREAK, "~")
    }

    #[test]
    fn a_figure_keeps_its_unit_and_a_day_its_month() {
        for (html, wanted) in [
            (
                "<p>at 20 L, 12.5 % by 3 May 2026</p>",
                "<p>at 20~L, 12.5~% by 3~May~2026</p>",
            ),
            ("1.6 to 2.5 g of it", "1.6 to 2.5~g of it"),
            ("0.9 g/L at 20 °C", "0.9~g/L at 20~°C"),
            ("5 US gal or 3 fl oz", "5~US~gal or 3~fl~oz"),
            ("for 14 days.", "for 14~days."),
            ("May 2026", "May~2026"),
        ] {
            assert_eq!(shown(html), wanted);
        }
    }

    #[test]
    fn everything_else_stays_as_it_is() {
        for html in [
            "part 2 goes in, 3 Lemons, 4 grapes",
            "<td>5</td> <td>L</td>",
            "<b>5</b> L",
            r#"<input value="20 L" title="a > 20 L">"#,
            "<textarea name=\"x\">20 L</textarea>",
            "<option>20 L</option>",
            "<script>let a = \"20 L\" < 3 ? '5 g' : 1</script>",
            "<title>20 L</title>",
            "a < 20",
            "<",
            "20 ",
            " L",
            "",
        ] {
            assert_eq!(shown(html), html);
        }
    }

    #[test]
    fn what_follows_typed_text_is_joined_again() {
        assert_eq!(
            shown("<textarea>20 L</textarea><p>20 L</p>"),
            "<textarea>20 L</textarea><p>20~L</p>"
        );
    }
}

//! Words inside pictures: how wide they are, where they break, and how they are made safe.

/// Size of the words in a picture, in its own units.
const SIZE: f64 = 13.0;

/// About how wide `words` are, measured for a wide system face so that narrower ones fit as well.
pub fn width_of(words: &str) -> f64 {
    words.chars().map(advance).sum::<f64>() * SIZE
}

/// Advance of one character in parts of the size; figures from a wide sans face, rounded up.
fn advance(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | '\'' | '|' => 0.29,
        'I' | ' ' | '.' | ',' | ':' | ';' | '-' | '/' | '(' | ')' | 't' | 'f' | 'r' | '!' => 0.42,
        'c' | 's' | 'k' | 'v' | 'x' | 'y' | 'z' => 0.60,
        'm' | 'w' | 'M' | 'W' | '%' | '@' => 1.0,
        'a'..='z' | '0'..='9' | 'J' | 'L' => 0.645,
        'A'..='Z' => 0.80,
        c if c.is_ascii() => 0.65,
        // Letters of other scripts may be as wide as they are high.
        c if (c as u32) < 0x1100 => 0.80,
        _ => 1.0,
    }
}

/// Breaks `words` into lines, the first at most `first` wide and the others at most `others`: at spaces, after
/// hyphens, and inside a word only when it is longer than a line. No line is empty; no words, no lines.
pub fn wrap(words: &str, first: f64, others: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in words.split_whitespace() {
        let mut glue = if line.is_empty() { "" } else { " " };
        for part in word.split_inclusive('-') {
            let room = if lines.is_empty() { first } else { others };
            let joined = format!("{line}{glue}{part}");
            glue = "";
            if width_of(&joined) <= room {
                line = joined;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for c in part.chars() {
                let room = if lines.is_empty() { first } else { others };
                if !line.is_empty() && width_of(&line) + advance(c) * SIZE > room {
                    lines.push(std::mem::take(&mut line));
                }
                line.push(c);
            }
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// Text as it may stand inside an element or an attribute; characters that no page may hold are dropped.
pub fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            '\n' | '\t' => safe.push(' '),
            c if c.is_control() => {}
            c => safe.push(c),
        }
    }
    safe
}

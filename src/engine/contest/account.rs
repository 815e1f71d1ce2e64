//! Inputs and answer as one plain text, line by line, the same on every machine: its SHA-256 is the hash of the results, and any
//! program that makes SHA-256 makes it again.

use super::draw::{sha256, written};
use super::frozen::{Flight, Inputs};
use super::results::{Answer, Ranked, reckon};
use super::rules::Tie;

/// What stands in the first line; another number with another way of reckoning or writing.
const HEAD: &str = "mustwright results 1";

/// A step's word, as in the rules.
pub fn word(tie: Tie) -> &'static str {
    match tie {
        Tie::TastedAgain => "tasted again",
        Tie::MoreFirsts => "more firsts",
        Tie::Taste => "taste",
        Tie::Drawn => "drawn",
    }
}

/// Reckons, and writes down from what and what came out.
pub fn account(inputs: &Inputs) -> (Answer, String) {
    let answer = reckon(inputs);
    let text = text(inputs, &answer);
    (answer, text)
}

/// The hash of an account, in hexadecimal digits.
pub fn hash(text: &str) -> String {
    sha256(text)
}

/// A name on one line.
fn on_one_line(name: &str) -> String {
    let plain = name.chars().map(|letter| match letter.is_control() {
        true => ' ',
        false => letter,
    });
    plain.collect()
}

/// Writes inputs and answer down. Lines end with a line feed, the last one too.
pub fn text(inputs: &Inputs, answer: &Answer) -> String {
    let inputs = inputs.in_order();
    let mut lines = vec![HEAD.to_owned()];
    let ties: Vec<&str> = inputs.ties.iter().map(|tie| word(*tie)).collect();
    lines.push(format!("ties: {}", ties.join(", ")));
    let number = inputs.drawn_number.as_deref().and_then(written);
    lines.push(format!("number: {}", number.unwrap_or_default()));
    for category in &inputs.categories {
        let name = on_one_line(&category.name);
        lines.push(format!("category {}: {name}", category.number));
    }
    for entry in &inputs.entries {
        lines.push(format!(
            "entry {} in category {}",
            entry.code, entry.category
        ));
    }
    for flight in &inputs.flights {
        of_flight(&mut lines, flight);
    }
    lines.push("answer".to_owned());
    for ranked in &answer.flights {
        of_ranked(&mut lines, &format!("flight {}", ranked.flight), ranked);
    }
    for category in &answer.categories {
        let name = format!("category {}", category.number);
        match &category.ranked {
            Some(ranked) => of_ranked(&mut lines, &name, ranked),
            None => lines.push(format!("{name}: not decided")),
        }
        for code in &category.unplaced {
            lines.push(format!("{name}: {code} not placed"));
        }
    }
    if let Some(best) = &answer.best {
        of_ranked(&mut lines, "best of show", best);
    }
    for open in &answer.open {
        // Words of its own shape: keys in the order in which they are declared.
        let said = serde_json::to_string(open).unwrap_or_default();
        lines.push(format!("open: {said}"));
    }
    lines.push(String::new());
    lines.join("\n")
}

fn of_flight(lines: &mut Vec<String>, flight: &Flight) {
    let of = match flight.category {
        Some(category) => format!(" of category {category}"),
        None => String::new(),
    };
    lines.push(format!(
        "flight {} {}{of}: {}",
        flight.number,
        flight.kind.word(),
        flight.codes.join(" ")
    ));
    let number = |value: Option<u32>| value.map_or("none".to_owned(), |value| value.to_string());
    for agreed in &flight.agreed {
        lines.push(format!(
            "  agreed {}: points {}, place {}, spread {}{}{}",
            agreed.code,
            number(agreed.points),
            number(agreed.place),
            number(agreed.spread),
            if agreed.goes_on { ", goes on" } else { "" },
            if agreed.tasted_again {
                ", tasted again"
            } else {
                ""
            },
        ));
    }
    for mark in &flight.marks {
        lines.push(format!(
            "  judge {} gave {}: {}, of which {} in the deciding section",
            mark.judge, mark.code, mark.total, mark.section
        ));
    }
    for order in &flight.orders {
        lines.push(format!("  order {}", order.join(" ")));
    }
}

fn of_ranked(lines: &mut Vec<String>, name: &str, ranked: &Ranked) {
    for placed in &ranked.placed {
        let points = placed.points.map(|points| format!(", {points} points"));
        let sum = placed.sum.map(|sum| format!(", sum of places {sum}"));
        lines.push(format!(
            "{name}: place {} {}{}{}",
            placed.place,
            placed.code,
            points.unwrap_or_default(),
            sum.unwrap_or_default()
        ));
    }
    for step in &ranked.steps {
        let groups: Vec<String> = step.groups.iter().map(|group| group.join("=")).collect();
        lines.push(format!(
            "{name}: {} shared, {}: {}",
            step.codes.join(" "),
            word(step.by),
            match step.lacking {
                true => "could not be asked".to_owned(),
                false => groups.join(" before "),
            }
        ));
    }
}

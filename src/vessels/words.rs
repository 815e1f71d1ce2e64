//! A vessel in words: what it holds, what is assumed of it, what to beware of.

use super::model::{Beware, Vessel, beware};
use crate::web::units::{self, Units};

/// What is assumed where nobody has measured (common practice, no published source).
pub const ASSUMED: &str = "Where nothing is said of it, a must leaves 15 % of its vessel free for foam, 20 % with ale yeast, 25 % with malt or browned honey, and 0.35 L more for each kilogram of fruit; 4 % and at least 0.25 L stay behind at the first racking, 2 % and at least 0.15 L at the next. Common practice, no published source.";

/// The part of the brim that a plain must leaves free (common practice, no published source).
const PLAIN_HEADSPACE: f64 = 0.15;

/// A vessel as the list has it.
pub struct Line {
    pub url: String,
    pub name: String,
    /// "2 demijohns of glass, narrow mouth".
    pub words: String,
    /// What it holds and takes, and what stays behind in it.
    pub figures: Vec<String>,
    pub notes: String,
    pub beware: Vec<Beware>,
    /// Where the button leads, and its words.
    pub button: (String, &'static str),
}

/// "bucket", "2 buckets".
fn counted(kind: &str, many: i32) -> String {
    match many {
        1 => kind.to_owned(),
        many => format!("{many} {kind}s"),
    }
}

/// A vessel in words.
pub fn line(vessel: &Vessel, url: String, button: (String, &'static str), units: Units) -> Line {
    let is = &vessel.is;
    let volume = |litres| units::volume(litres, units);
    let each = if is.how_many > 1 { " each" } else { "" };
    let takes = match is.headspace_fraction {
        Some(fraction) => format!(
            "takes {} of must with the {} that you leave free",
            volume(is.brim_l * (1.0 - fraction)),
            units::percent(fraction * 100.0, 0)
        ),
        None => format!(
            "takes {} of a plain must, with the usual 15 % free for foam",
            volume(is.brim_l * (1.0 - PLAIN_HEADSPACE))
        ),
    };
    let mut figures = vec![format!("{} to the brim{each}", volume(is.brim_l)), takes];
    if let Some(litres) = is.loss_l {
        figures.push(format!("{} stays behind at each racking", volume(litres)));
    }
    let mouth = if is.wide_mouth { "wide" } else { "narrow" };
    Line {
        url,
        name: is.name.clone(),
        words: format!(
            "{} of {}, {mouth} mouth",
            counted(is.kind.word(), is.how_many),
            match is.made_of {
                super::MadeOf::Unknown => "something unknown",
                known => known.words(),
            }
        ),
        figures,
        notes: is.notes.clone(),
        beware: beware(is),
        button,
    }
}

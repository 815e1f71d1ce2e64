//! A recipe that was made to fit, in words: the way from the must to the bottles, what is in the way, what rounding did.

use super::fit::Trouble;
use super::weigh::{Effect, Moved, Weighing};
use super::{Cannot, Choice, Goal, Made, Portion, Several};
use crate::recipes::numbers::{self, listed};
use crate::web::units::{self, Units};
use crate::web::words::Words;

/// The size in which bottles are counted where none was asked for, litres.
const USUAL_BOTTLE_L: f64 = 0.75;
/// What is too small to be told of a change of volume, litres.
const LITTLE_L: f64 = 0.05;

/// "blue bucket", "2 × demijohn, 5 L".
pub fn several((count, of): &Several) -> String {
    match count {
        1 => of.name.clone(),
        many => format!("{many} × {}", of.name),
    }
}

fn all(vessels: &[Several]) -> String {
    let each: Vec<String> = vessels.iter().map(several).collect();
    let each: Vec<&str> = each.iter().map(String::as_str).collect();
    listed(&each)
}

/// The sentence that leads.
pub fn lead(made: &Made, units: Units) -> String {
    let volume = |litres| units::volume(litres, units);
    let first = match made.wish.first.as_slice() {
        [] => String::new(),
        vessels => format!(" in {}", all(vessels)),
    };
    let later = match &made.wish.later {
        None => String::new(),
        Some(vessel) => format!(" in {}", several(vessel)),
    };
    format!(
        "{} of must{first} leave {} after the first racking{later}, and {} to bottle: {}.",
        volume(made.volume_l),
        volume(made.chain.secondary_l),
        volume(made.chain.packaged_l),
        bottles(made, units)
    )
}

fn bottles(made: &Made, units: Units) -> String {
    let size_l = match made.wish.goal {
        Goal::Bottles(_, size_l) => size_l,
        _ => USUAL_BOTTLE_L,
    };
    let count = (made.chain.packaged_l / size_l + 1e-6).floor();
    let word = if count == 1.0 { "bottle" } else { "bottles" };
    let size = match units {
        // Bottles are sold by the millilitre everywhere.
        _ if size_l < 1.0 => format!("{} ml", units::plain(size_l * 1000.0, 0)),
        units => units::volume(size_l, units),
    };
    format!("{} {word} of {size}", units::plain(count, 0))
}

/// One line of the way from the must to the bottles.
pub struct Volume {
    pub name: &'static str,
    pub amount: String,
    pub words: String,
    /// Whether it is what a vessel holds, and not what stays behind.
    pub held: bool,
}

/// The way from the must to the bottles, each loss with where its figure comes from.
pub fn volumes(made: &Made, units: Units) -> Vec<Volume> {
    let (chain, losses) = (&made.chain, &made.chain.losses);
    let volume = |litres: f64| units::volume(litres, units);
    let practice = "common practice, no published source";
    let by_the_club = made.wish.club_loss.map(|loss| {
        format!(
            "its share of the {} that stayed behind in the club’s own {} batches",
            units::percent(100.0 * loss.median, 0),
            loss.count
        )
    });
    let or_the_club = |usual: String| by_the_club.clone().unwrap_or(usual);
    let lost = |name, litres: f64, words: String| Volume {
        name,
        amount: format!("−{}", volume(litres)),
        words,
        held: false,
    };
    let measured = |vessels: &[Several]| {
        !vessels.is_empty() && vessels.iter().all(|(_, of)| of.loss_l.is_some())
    };
    let later: Vec<Several> = made.wish.later.iter().cloned().collect();
    let mut rows = vec![Volume {
        name: "Must on the mixing day",
        amount: volume(made.volume_l),
        words: match made.takes_l {
            Some(takes) => format!(
                "{}: with room for the foam that takes up to {}",
                all(&made.wish.first),
                volume(takes)
            ),
            None => format!(
                "with room for the foam it wants a vessel of {} to the brim ({practice})",
                volume(made.brim_wanted_l)
            ),
        },
        held: true,
    }];
    let change_l = chain.finished_l - made.volume_l;
    if change_l.abs() >= LITTLE_L {
        rows.push(match change_l > 0.0 {
            true => Volume {
                name: "joins it on the way",
                amount: format!("+{}", volume(change_l)),
                words: "juice, or honey to sweeten".to_owned(),
                held: false,
            },
            false => lost(
                "goes while it ferments",
                -change_l,
                "sugar takes more room than its alcohol".to_owned(),
            ),
        });
    }
    rows.push(lost(
        "stays behind at the first racking",
        losses.first_racking_l,
        match measured(&made.wish.first) {
            true => "as you measured it".to_owned(),
            false => or_the_club(format!(
                "on the lees: 4 %, at least {} in each vessel ({practice})",
                volume(0.25)
            )),
        },
    ));
    if losses.fruit_l > 0.0 {
        rows.push(lost(
            "stays in the fruit",
            losses.fruit_l,
            or_the_club(format!(
                "0.4 L for each kilogram that is not pressed ({practice})"
            )),
        ));
    }
    rows.push(Volume {
        name: "After the first racking",
        amount: volume(chain.secondary_l),
        words: match &made.wish.later {
            Some(vessel) => format!("in {}", several(vessel)),
            None => "wants a vessel that it fills to the neck".to_owned(),
        },
        held: true,
    });
    rows.push(lost(
        "stays behind at the next racking",
        losses.later_racking_l,
        match measured(&later) {
            true => "as you measured it".to_owned(),
            false => or_the_club(format!(
                "on the lees: 2 %, at least {} in each vessel ({practice})",
                volume(0.15)
            )),
        },
    ));
    rows.push(lost(
        "stays behind at bottling",
        losses.bottling_l,
        or_the_club(format!("in hose and vessel ({practice})")),
    ));
    rows.push(Volume {
        name: "Into bottles",
        amount: volume(chain.packaged_l),
        words: bottles(made, units),
        held: true,
    });
    rows
}

/// Something to beware of before it is made so.
pub struct Beware {
    pub class: &'static str,
    pub words: Words,
}

fn beware(class: &'static str, lead: &str, sentence: String) -> Beware {
    Beware {
        class,
        words: Words {
            lead: lead.to_owned(),
            sentence,
        },
    }
}

/// "Of yours, X would do." / "A usual Bucket, 30 L would do."
fn instead(found: Option<&Several>) -> String {
    match found {
        None => " No vessel of yours and no usual one takes it alone: share it out over several."
            .to_owned(),
        Some((1, of)) if of.is_mine() => format!(" Of yours, {} takes it.", of.name),
        Some((many, of)) if of.is_mine() => {
            format!(" Of yours, {many} × {} take it between them.", of.name)
        }
        Some((_, of)) => format!(" A usual one that takes it: {}.", of.name),
    }
}

/// What stands in the way, in words.
pub fn trouble(found: &Trouble, made: &Made, units: Units) -> Beware {
    let volume = |litres| units::volume(litres, units);
    match found {
        Trouble::TooSmall {
            takes_l,
            instead: other,
        } => beware(
            "watch",
            "Does not fit",
            format!(
                "With room for its foam {} takes {} of this must, and {} are wanted.{}",
                all(&made.wish.first),
                volume(*takes_l),
                volume(made.volume_l),
                instead(other.as_ref())
            ),
        ),
        Trouble::NotSoMany(of, _) => beware(
            "note",
            "Not so many",
            format!("You have {} of {}.", of.have.unwrap_or(0), of.name),
        ),
        Trouble::FruitInNarrow(of) => beware(
            "watch",
            "Fruit in a narrow neck",
            format!(
                "Fruit swells, rises and plugs the neck of {}: let it work in a wide bucket, with the fruit in a bag, and rack into this one afterwards.",
                of.name
            ),
        ),
        Trouble::Overflows { over_l, full_l } => beware(
            "watch",
            "More than it holds",
            format!(
                "After the first racking {} do not go into what holds {} to the brim: keep them in a small bottle under an airlock, for topping up.",
                volume(*over_l),
                volume(*full_l)
            ),
        ),
        Trouble::AirOverIt {
            air_l,
            least_l,
            instead: other,
        } => beware(
            "watch",
            "Air over the mead",
            format!(
                "{} of air would stand over it, and {} do no harm (common practice, no published source): air browns a mead and makes it sour. Make more, top it up, or take a smaller one.{}",
                volume(*air_l),
                volume(*least_l),
                other.as_ref().map_or(String::new(), |other| format!(
                    " Of yours, it fills {}.",
                    several(other)
                ))
            ),
        ),
    }
}

/// Why it cannot be made so; the engine's own problems are told elsewhere.
pub fn cannot(why: &Cannot, units: Units) -> Option<Words> {
    let words = |lead: &str, sentence: String| Words {
        lead: lead.to_owned(),
        sentence,
    };
    match why {
        Cannot::Problems(_) => None,
        Cannot::FruitKeepsAll => Some(words(
            "Nothing would be left",
            "So much fruit keeps all of the mead back. Take less of it, or press it.".to_owned(),
        )),
        Cannot::OutOfRange(litres) => Some(words(
            "No such volume",
            format!("It would be {}. Ask for more, or for less.", units::volume(*litres, units)),
        )),
        Cannot::SeveralHoneys => Some(words(
            "More than one honey",
            "At the same strength only one honey can be made whole jars. Weigh it, or take whole jars and let the strength follow.".to_owned(),
        )),
    }
}

/// What rounding did, in a sentence.
pub fn rounding(effect: &Effect, weighing: &Weighing, made: &Made) -> String {
    let jars = made.jars.map_or(String::new(), |(count, _)| {
        let word = if count == 1.0 { "jar" } else { "jars" };
        format!("With {} whole {word} of honey", units::plain(count, 0))
    });
    let how = match jars.as_str() {
        "" => "Weighed so".to_owned(),
        jars => jars.to_owned(),
    };
    if !effect.is_seen() {
        let step = units::plain(2.0 * weighing.sees_sg(), 4);
        return format!(
            "{how}, nothing changes that you could see: the start moves from {} to {}, and a hydrometer shows steps of {step}.",
            units::fixed(effect.og.from, 4),
            units::fixed(effect.og.to, 4)
        );
    }
    let gravity = |sg: f64| units::fixed(sg, 4);
    let mut told = Vec::new();
    let mut tell = |name: &str, moved: &Moved, print: &dyn Fn(f64) -> String, unit: &str| {
        if moved.seen {
            told.push(format!(
                "{name} moves from {} to {}{unit}",
                print(moved.from),
                print(moved.to)
            ));
        }
    };
    tell(
        "the strength",
        &effect.abv,
        &|abv| units::fixed(abv, 1),
        " %",
    );
    tell("the start", &effect.og, &gravity, "");
    tell("the end", &effect.fg, &gravity, "");
    if let Some((from, to)) = &effect.sweetness {
        told.push(format!("it would be called {to} in place of {from}"));
    }
    let told: Vec<&str> = told.iter().map(String::as_str).collect();
    format!("{how}, {}.", listed(&told))
}

/// A vessel in a list of choices: "mine: blue bucket, 25 L", "Bucket, 25 L".
pub fn choice(of: &Choice, units: Units) -> String {
    match of.have {
        None => of.name.clone(),
        Some(have) => {
            let many = if have > 1 {
                format!(", {have} of them")
            } else {
                String::new()
            };
            format!(
                "mine: {} ({}{many})",
                of.name,
                units::volume(of.brim_l, units)
            )
        }
    }
}

/// A part of the batch in a heading: "in each demijohn, 5 L (2 of them)".
pub fn portion(portion: &Portion) -> String {
    match &portion.vessel {
        None => String::new(),
        Some((1, of)) => of.name.clone(),
        Some((many, of)) => format!("each of {many} × {}", of.name),
    }
}

/// The numbers of the whole in a line.
pub fn figures(made: &Made) -> String {
    match (&made.numbers.whole, &made.numbers.finished) {
        (Some(whole), Some(finished)) => format!(
            "{}, from {} to {}",
            numbers::strength(finished.abv_percent),
            units::gravity(whole.og),
            units::gravity(finished.fg)
        ),
        _ => String::new(),
    }
}

//! The sorts of entries that are typed. Each is data: its fields, what stands in them first, how they become a deed and how a
//! deed becomes fields again. One page draws them all.

mod addition;
mod beginning;
mod feed;
mod package;
mod reading;
mod said;
mod typing;
mod working;

use super::tools::Tool;
use crate::batches::model::Logged;
use crate::batches::opened::Opened;
use crate::batches::start::Speaks;
use crate::catalogue::club::ClubCatalogue;
use crate::engine::log::Deed;
use crate::engine::plan::Beware;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::typed::Typed;
use crate::web::viewer::MemberId;

pub use addition::addition_of;
pub use reading::READING;
pub use said::NOTE;
pub use typing::NOTE_MAX;

/// What is known when an entry is typed.
pub struct Case<'a> {
    pub to: Speaks,
    pub by: MemberId,
    pub opened: &'a Opened,
    pub catalogue: &'a ClubCatalogue,
    /// The hydrometers of the member.
    pub tools: &'a [Tool],
    /// The entry that is corrected.
    pub before: Option<&'a Logged>,
}

impl Case<'_> {
    /// Strength by the log at the entry that is corrected, else now, % ABV: a hydrometer reads a little otherwise in it.
    fn abv_percent(&self) -> f64 {
        let state = &self.opened.state;
        let number = self.before.map(|before| before.entry.unsigned_abs());
        let mut points = state.points.iter();
        let then = points.find(|point| Some(point.entry) == number);
        then.map_or(state.abv_percent, |point| point.abv_percent)
    }
}

/// One field of a form.
pub struct Field {
    pub name: &'static str,
    pub label: &'static str,
    pub hint: String,
    pub is: Is,
}

/// How a field is typed.
pub enum Is {
    /// A number with or without its unit.
    Number,
    /// One line.
    Line,
    /// Several lines.
    Lines,
    /// One of a list: value and words.
    Choice(Vec<(String, String)>),
    /// Yes or no.
    Tick,
}

/// A sort of entries.
pub struct Sort {
    /// The word in its address.
    pub word: &'static str,
    /// What the page is called.
    pub heading: &'static str,
    /// What leads there.
    pub link: &'static str,
    pub fields: fn(&Case<'_>) -> Vec<Field>,
    /// What stands in the fields first.
    pub begins: fn(&Case<'_>, &mut FormState),
    /// The deed, or faults beside the fields.
    pub reads: fn(&mut Typed<'_>, &Case<'_>) -> Result<Option<Deed>, Error>,
    /// The fields of a deed of this sort.
    pub fills: fn(&Deed, &Case<'_>, &mut FormState),
    /// What to take care of.
    pub care: fn(&Case<'_>) -> Vec<Beware>,
}

/// All of them, in the order in which they are offered.
pub const ALL: &[&Sort] = &[
    &READING,
    &feed::FEED,
    &addition::ADDITION,
    &working::STIR,
    &working::RACK,
    &working::SAMPLE,
    &said::TASTING,
    &said::NOTE,
    &package::PACKAGE,
    &beginning::MIXED,
    &beginning::PITCH,
    &working::MOVE,
];

/// The sort of an address.
pub fn of_word(word: &str) -> Option<&'static Sort> {
    ALL.iter().copied().find(|sort| sort.word == word)
}

/// The sort by which a deed is corrected; `None` for what is not typed here: steps of the plan,
/// what was parted, and glasses on the bench.
pub fn of_deed(deed: &Deed) -> Option<&'static Sort> {
    match deed {
        Deed::Mixed(_) => Some(&beginning::MIXED),
        Deed::Pitch(_) => Some(&beginning::PITCH),
        Deed::Reading(_) => Some(&READING),
        Deed::Feed(_) => Some(&feed::FEED),
        Deed::Addition(_) => Some(&addition::ADDITION),
        Deed::Degas | Deed::Aerate => Some(&working::STIR),
        Deed::Rack(_) => Some(&working::RACK),
        Deed::Sample(_) => Some(&working::SAMPLE),
        Deed::Package(_) => Some(&package::PACKAGE),
        Deed::Note(_) => Some(&said::NOTE),
        Deed::Tasting(_) => Some(&said::TASTING),
        Deed::Move(_) => Some(&working::MOVE),
        Deed::Part(_) | Deed::Step(_) | Deed::Trial(_) => None,
    }
}

/// A field without a hint.
fn field(name: &'static str, label: &'static str, is: Is) -> Field {
    hinted(name, label, is, "")
}

fn hinted(name: &'static str, label: &'static str, is: Is, hint: impl Into<String>) -> Field {
    Field {
        name,
        label,
        hint: hint.into(),
        is,
    }
}

fn begins_empty(_: &Case<'_>, _: &mut FormState) {}

fn no_care(_: &Case<'_>) -> Vec<Beware> {
    Vec::new()
}

//! What the buttons inside the workbench's form do to it, besides recalculating.

use super::advice::{Case, kitchen, vessel};
use super::{engine_settings, today, work};
use crate::catalogue::club::ClubCatalogue;
use crate::recipes::forms::{Group, MOST_ROWS, Workbench};
use crate::recipes::numbers::Reader;
use crate::web::units::{self, IMPERIAL_GALLON_L, US_GALLON_L, Units};
use crate::web::viewer::{Member, Viewer};

/// The button that takes bread yeast, and a strength that it reaches.
pub const BREAD: &str = "bread-yeast";
/// The button that leads to what could stand in the place of something.
pub const SWAP: &str = "swap";
/// The button that makes as much as the vessel takes.
pub const FILL: &str = "fill-vessel";
/// The buttons that lay the form out otherwise, from now on.
pub const AS_QUESTIONS: &str = "as-questions";
pub const AS_WHOLE: &str = "as-whole";

/// What a button of the form asks for besides recalculating.
pub fn press(form: &mut Workbench, button: &str, catalogue: &ClubCatalogue) {
    let mut words = button.splitn(3, '-');
    let (verb, group, key) = (
        words.next(),
        words.next().and_then(Group::from_word),
        words.next(),
    );
    match (verb, group, key) {
        (Some("add"), Some(group), None) if form.rows(group).len() < MOST_ROWS => {
            form.add_row(group, new_row(group));
        }
        (Some("remove"), Some(group), Some(key)) => {
            form.remove_row(group, key, catalogue);
            // Every recipe wants a yeast: the row stays, empty, so that the problem has a place to stand.
            if group == Group::Yeast && form.rows(group).is_empty() {
                form.add_row(group, &[]);
            }
        }
        (Some("raise"), Some(group), Some(key)) => form.raise_row(group, key),
        _ if button == BREAD => {
            if let Some(row) = form.rows_mut(Group::Yeast).first_mut() {
                row.set("pick", kitchen::BREAD_YEAST);
            }
            form.set("aim", "abv");
            form.set("strength", kitchen::BREAD_STRENGTH);
        }
        _ => {}
    }
}

/// Makes as much as the vessel takes with room for foam. What fruit takes up does not grow with the must, so it is
/// looked at again.
pub fn fill_vessel(form: &mut Workbench, member: &Member, reader: &Reader) {
    let viewer = Viewer::known(member.clone());
    for _ in 0..4 {
        let worked = work(form, member, reader);
        let takes = vessel::takes_l(&Case {
            recipe: &worked.checked.recipe,
            numbers: &worked.numbers,
            settings: &engine_settings(&viewer),
            reader,
            mixing_day: today(reader),
        });
        let Some(takes) = takes else { return };
        // Down to what one would measure out.
        let step = match reader.units {
            Units::Metric => 0.1,
            Units::Us => 0.05 * US_GALLON_L,
            Units::Imperial => 0.05 * IMPERIAL_GALLON_L,
        };
        let litres = (takes / step).floor() * step;
        form.set("volume", units::volume_text(litres, reader.units));
    }
}

/// What a row begins with.
fn new_row(group: Group) -> &'static [(&'static str, &'static str)] {
    match group {
        Group::Honey => &[("pick", "honey-wildflower"), ("when", "must")],
        Group::Yeast => &[("when", "later")],
        Group::Feed => &[("pick", "feed-organic")],
        Group::Other | Group::Salt | Group::Step => &[],
    }
}

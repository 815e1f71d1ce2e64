//! Meetings in words, for their own pages and the club's.

use super::forms::Speaks;
use super::model::{Meeting, Pour};
use super::{paths, pouring};
use crate::app::App;
use crate::recipes;
use crate::web::dates::moment;
use crate::web::paths::Route;
use crate::web::units;
use crate::web::viewer::{Member, Role};

/// One meeting in a list.
pub struct Row {
    pub title: String,
    pub url: String,
    pub meta: String,
    pub ahead: bool,
}

/// Something that is poured.
pub(super) struct PourRow {
    pub words: String,
    pub who: String,
    pub recipe: Option<(String, String)>,
    /// Strength and sweetness, as far as they are known.
    pub figures: String,
    /// Allergens by name; empty where none was found.
    pub beware: String,
    pub move_at: Option<String>,
    pub off_at: Option<String>,
}

/// For whom a form is read and written.
pub(super) fn speaks(app: &App, member: &Member) -> Speaks {
    let zone = member.settings.zone;
    Speaks {
        units: member.settings.units,
        zone,
        today: app.clock.now().with_timezone(&zone).date_naive(),
    }
}

/// A meeting for a list. One that began this day is still ahead.
pub fn row(app: &App, member: &Member, meeting: &Meeting) -> Row {
    let said = &meeting.said;
    let zone = member.settings.zone;
    let day = |at: chrono::DateTime<chrono::Utc>| at.with_timezone(&zone).date_naive();
    let when = moment(said.starts_at, zone);
    let place = match said.place.as_str() {
        "" => String::new(),
        place => format!(" · {place}"),
    };
    let off = if meeting.cancelled {
        " · called off"
    } else {
        ""
    };
    Row {
        title: said.title.clone(),
        url: app
            .site
            .base()
            .link(&paths::MEETING.with(&[&meeting.public_id])),
        meta: format!("{when}{place}{off}"),
        ahead: day(said.starts_at) >= day(app.clock.now()),
    }
}

/// Lines of a text that say something.
pub(super) fn paragraphs(text: &str) -> Vec<String> {
    let lines = text.lines().filter(|line| !line.trim().is_empty());
    lines.map(str::to_owned).collect()
}

/// Something that is poured.
pub(super) fn pour_row(app: &App, member: &Member, meeting: &Meeting, pour: &Pour) -> PourRow {
    let base = app.site.base();
    let brought = &pour.brought;
    let owns = meeting.opener == member.id;
    let at = |route: Route| base.link(&route.with(&[&meeting.public_id, &pour.public_id]));
    let strength = brought
        .abv_percent
        .map(|abv| format!("about {}", units::percent(abv, 0)));
    let sweet = Some(pouring::words(pouring::sweetness(pour))).filter(|words| !words.is_empty());
    let figures: Vec<String> = sweet
        .map(str::to_owned)
        .into_iter()
        .chain(strength)
        .collect();
    let codes = brought.allergens.iter().cloned();
    let own_words = Some(brought.beware.clone()).filter(|words| !words.is_empty());
    let beware: Vec<String> = codes.chain(own_words).collect();
    PourRow {
        words: brought.words.clone(),
        who: match pour.member == member.id {
            true => "you".to_owned(),
            false => pour.member_name.clone(),
        },
        recipe: brought.recipe.as_ref().map(|(id, number)| {
            let path = recipes::paths::REVISION.with(&[id, &number.to_string()]);
            (base.link(&path), format!("revision {number}"))
        }),
        figures: figures.join(", "),
        beware: beware.join(", "),
        move_at: owns.then(|| at(paths::MOVE)),
        off_at: (owns || pour.member == member.id || member.role == Role::Keeper)
            .then(|| at(paths::TAKE_OFF)),
    }
}

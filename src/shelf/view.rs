//! Jars in words, for the pages of the shelf and of the club.

use super::forms::water_text;
use super::model::{Deed, Done, Jar};
use super::paths;
use crate::app::App;
use crate::catalogue::club::ClubCatalogue;
use crate::catalogue::colour::Class;
use crate::web::dates::moment;
use crate::web::units::{self, Units};
use crate::web::viewer::Member;

/// From how much water on honey may ferment in its jar. Codex Alimentarius, CXS 12-1981, allows at most 20 %, in heather
/// honey 23 % (from memory: verify).
const MAY_FERMENT: f64 = 0.20;

/// One jar in a list.
pub struct Row {
    pub name: String,
    pub url: String,
    /// Bee-keeper, harvest, place.
    pub from: String,
    /// Whose it is, and what it costs.
    pub meta: String,
    /// What is left of it, and its water.
    pub figures: String,
    /// The class of its swatch, or nothing.
    pub swatch: Option<String>,
}

/// One thing that was done.
pub struct Line {
    pub when: String,
    pub what: String,
}

/// A jar for a list.
pub fn row(app: &App, member: &Member, jar: &Jar) -> Row {
    let said = &jar.said;
    let currency = app.site.currency();
    let keeper = match said.bee_keeper.as_str() {
        "" => None,
        name => Some(format!("bees of {name}")),
    };
    let year = said.harvest_year.map(|year| format!("harvest of {year}"));
    let place = Some(said.place.clone()).filter(|place| !place.is_empty());
    let from: Vec<String> = [keeper, year, place].into_iter().flatten().collect();
    let water = said
        .water
        .map(|water| format!("{} water", water_text(water)));
    let left = match jar.left_kg > 0.0 {
        true => format!("{} left", units::mass(jar.left_kg, member.settings.units)),
        false => "empty".to_owned(),
    };
    let figures: Vec<String> = std::iter::once(left).chain(water).collect();
    Row {
        name: said.name.clone(),
        url: app.site.base().link(&paths::JAR.with(&[&jar.public_id])),
        from: from.join(", "),
        meta: match (jar.put_away, said.price_per_kg) {
            (true, _) => format!("{}, off the shelf", whose(jar, member)),
            (false, Some(price)) if said.of_club || said.shared => {
                format!("{}, {} a kilogram", whose(jar, member), currency.sum(price))
            }
            (false, _) => whose(jar, member),
        },
        figures: figures.join(" · "),
        swatch: said.colour.as_ref().map(|colour| colour.replace(' ', "-")),
    }
}

fn whose(jar: &Jar, member: &Member) -> String {
    let own = jar.owner == member.id;
    match (jar.said.of_club, own, jar.said.shared) {
        (true, _, _) => "the club’s".to_owned(),
        (false, true, true) => "yours, members may take from it".to_owned(),
        (false, true, false) => "yours alone".to_owned(),
        (false, false, true) => format!("{}’s, you may take from it", jar.owner_name),
        (false, false, false) => format!("{}’s, not for taking", jar.owner_name),
    }
}

/// A jar in a sentence.
pub fn lead(jar: &Jar, units: Units) -> String {
    let left = match (jar.put_away, jar.left_kg > 0.0) {
        (true, _) => "Off the shelf".to_owned(),
        (false, true) => format!("{} left", units::mass(jar.left_kg, units)),
        (false, false) => "Emptied".to_owned(),
    };
    match jar.said.water {
        Some(water) => format!("{left}, measured at {} water.", water_text(water)),
        None => format!(
            "{left}. Nobody has measured its water yet: recipes take what is usual for its kind."
        ),
    }
}

/// What is known of a jar.
pub fn facts(member: &Member, jar: &Jar) -> Vec<(&'static str, String)> {
    let said = &jar.said;
    let beware = said.water.filter(|water| *water > MAY_FERMENT).map(|_| {
        "more than 20 %: it may ferment in the jar. Keep it cold, use it soon, look for foam."
            .to_owned()
    });
    let facts = [
        ("whose", whose(jar, member)),
        ("looked after by", jar.owner_name.clone()),
        ("bee-keeper", said.bee_keeper.clone()),
        (
            "harvest",
            said.harvest_year
                .map_or(String::new(), |year| year.to_string()),
        ),
        ("where the bees flew", said.place.clone()),
        ("its water", beware.unwrap_or_default()),
        ("colour", said.colour.clone().unwrap_or_default()),
        ("smell", said.smell.clone()),
        ("taste", said.taste.clone()),
        (
            "on the shelf since",
            crate::web::dates::day(jar.created_at, member.settings.zone),
        ),
    ];
    facts
        .into_iter()
        .filter(|(_, value)| !value.is_empty())
        .collect()
}

/// What was done with a jar, in words.
pub fn history_lines(app: &App, member: &Member, history: &[Done]) -> Vec<Line> {
    let units = member.settings.units;
    let line = |done: &Done| {
        let who = match done.member == member.id {
            true => "you".to_owned(),
            false => done.member_name.clone(),
        };
        let left = match done.left_kg > 0.0 {
            true => format!("{} left", units::mass(done.left_kg, units)),
            false => "nothing left".to_owned(),
        };
        let owed = done.owed.map_or(String::new(), |owed| {
            format!(", for {}", app.site.currency().sum(owed))
        });
        let kg = units::mass(done.kg, units);
        let what = match done.deed {
            Deed::Put => format!("{who} put it on the shelf with {kg}"),
            Deed::Changed => format!("{who} corrected what is said of it"),
            Deed::Taken => format!("{who} took {kg}{owed}; {left}"),
            Deed::Weighed => format!("{who} weighed it: {left}"),
            Deed::PutAway => format!("{who} took it off the shelf"),
            Deed::PutBack => format!("{who} put it back on the shelf"),
        };
        Line {
            when: moment(done.at, member.settings.zone),
            what: match done.note.as_str() {
                "" => what,
                note => format!("{what}: {note}"),
            },
        }
    };
    history.iter().map(line).collect()
}

/// Kinds of honey that can be chosen.
pub fn choices(catalogue: &ClubCatalogue) -> Vec<(String, String)> {
    let kinds = catalogue
        .kinds_of_honey()
        .map(|entry| (entry.key.clone(), entry.name.clone()));
    std::iter::once((String::new(), "not known, or of many flowers".to_owned()))
        .chain(kinds)
        .collect()
}

/// Colours that can be chosen.
pub fn colours() -> Vec<(String, String)> {
    let classes = Class::ALL.map(|class| (class.words().to_owned(), class.words().to_owned()));
    std::iter::once((String::new(), "not said".to_owned()))
        .chain(classes)
        .collect()
}

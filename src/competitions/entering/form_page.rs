//! The page with the form of an entry, new or to be changed.

use askama::Template;
use sqlx::PgConnection;

use super::forms::{self, Against, Other};
use super::model::Mine;
use super::{paths, store};
use crate::app::App;
use crate::batches::compare::store::choices;
use crate::competitions::model::Category;
use crate::competitions::opened::Opened;
use crate::competitions::{self, shown};
use crate::engine::allergens;
use crate::web::dates::day;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::once::Once;
use crate::web::shell::Shell;
use crate::web::typed::Difference;
use crate::web::viewer::{Member, Viewer};

/// Batches to choose among.
const CHOICES: usize = 100;

/// What the form is filled from and read against.
pub(super) struct Known {
    pub categories: Vec<Category>,
    pub others: Vec<Other>,
    /// Public id and words of the member's own batches.
    batches: Vec<(String, String)>,
}

impl Known {
    /// Reads it.
    pub async fn read(
        conn: &mut PgConnection,
        member: &Member,
        opened: &Opened,
    ) -> Result<Known, Error> {
        let all = competitions::store::categories(conn, opened.competition.id).await?;
        let begun = |at| day(at, member.settings.zone);
        let own = choices(conn, member.id, CHOICES).await?.into_iter();
        let own = own.filter(|one| one.owner == member.id);
        Ok(Known {
            categories: all
                .into_iter()
                .filter(|one| one.merged_into.is_none() && one.part_of.is_none())
                .collect(),
            others: store::others(conn, member.id).await?,
            batches: own
                .map(|one| {
                    let words = format!("{}, {}", one.name, begun(one.began_at));
                    (one.public_id.as_str().to_owned(), words)
                })
                .collect(),
        })
    }

    /// What a form is read against.
    pub fn against(&self) -> Against<'_> {
        Against {
            categories: &self.categories,
            others: &self.others,
        }
    }
}

/// What is ticked for an allergen.
struct Tick {
    field: String,
    words: &'static str,
}

#[derive(Template)]
#[template(path = "competitions/entering/form.html")]
pub(super) struct FormPage {
    shell: Shell,
    title: String,
    competition_url: String,
    heading: String,
    save_words: &'static str,
    action: String,
    back_url: String,
    /// Where a batch is asked for what it proposes; none while an entry is changed.
    propose_at: Option<String>,
    batches: Vec<(String, String)>,
    categories: Vec<(String, String)>,
    boxes: Vec<Tick>,
    others: Vec<(String, String)>,
    asks: Vec<String>,
    pub form: FormState,
    once: String,
    pub version: i32,
    pub meanwhile: Vec<Difference>,
}

impl FormPage {
    const SWEETNESS: &[(&str, &str)] = forms::SWEETNESS;
    const SPARKLE: &[(&str, &str)] = forms::SPARKLE;
    const CHARACTER: &[(&str, &str)] = forms::CHARACTER;

    /// The page: of a new entry, or of one that is changed.
    pub fn of(
        app: &App,
        member: &Member,
        opened: &Opened,
        known: Known,
        of: Option<&Mine>,
        form: FormState,
    ) -> Result<FormPage, Error> {
        let base = app.site.base();
        let id = opened.competition.public_id.as_str();
        let at = |route: crate::web::paths::Route| match of {
            Some(mine) => base.link(&route.with(&[id, mine.entry.public_id.as_str()])),
            None => base.link(&route.with(&[id])),
        };
        let with_none = |all: Vec<(String, String)>, none: &str| {
            std::iter::once((String::new(), none.to_owned()))
                .chain(all)
                .collect()
        };
        let named = known.categories.iter();
        let named = named.map(|one| (one.id.0.to_string(), one.name.clone()));
        let others = known.others.into_iter().map(|(_, id, name)| (id, name));
        Ok(FormPage {
            shell: shown::shell(app, member),
            title: opened.competition.title.clone(),
            competition_url: base.link(&competitions::paths::COMPETITION.with(&[id])),
            heading: match of {
                Some(mine) => format!("Change {}", mine.entry.code),
                None => "Enter a mead".to_owned(),
            },
            save_words: if of.is_some() { "Save" } else { "Enter it" },
            action: at(if of.is_some() {
                paths::SAVE
            } else {
                paths::ENTER
            }),
            back_url: match of {
                Some(_) => at(paths::ENTRY),
                None => base.link(&paths::MINE.with(&[id])),
            },
            propose_at: of.is_none().then(|| at(paths::NEW)),
            batches: with_none(known.batches, "a bottle that is no batch here"),
            categories: with_none(named.collect(), "choose one"),
            boxes: allergens::codes()
                .map(|code| Tick {
                    field: forms::box_of(code),
                    words: forms::allergen_words(code),
                })
                .collect(),
            others: with_none(others.collect(), "nobody"),
            asks: asks(opened, app),
            version: of.map_or(0, |mine| mine.entry.version),
            once: Once::for_form(&form, &Viewer::known(member.clone()))?,
            form,
            meanwhile: Vec::new(),
        })
    }
}

/// What the rules ask of whoever enters, in sentences.
pub(super) fn asks(opened: &Opened, app: &App) -> Vec<String> {
    let rules = &opened.competition.rules;
    let mut said = Vec::new();
    let bottles = match rules.bottles {
        1 => "One bottle".to_owned(),
        many => format!("{many} bottles"),
    };
    let held = match rules.held_back {
        0 => String::new(),
        1 => " One of them is held back for the final.".to_owned(),
        many => format!(" {many} of them are held back for the final."),
    };
    said.push(format!(
        "{bottles} of {} mL, without a label and without a mark on the cap.{held}",
        rules.bottle_ml
    ));
    if !rules.drop_off_at.is_empty() {
        said.push(format!("Bring them to {}.", rules.drop_off_at));
    }
    if let Some(until) = rules.drop_off_until.as_deref().and_then(said_day) {
        said.push(format!("Bottles are taken in until {until}."));
    }
    if let Some(until) = rules.closes_on.as_deref().and_then(said_day) {
        said.push(format!("Entries close at the end of {until}."));
    }
    if let Some(fee) = rules.fee.filter(|fee| *fee > 0.0) {
        let fee = crate::web::units::plain(fee, 2);
        said.push(format!("An entry costs {fee} {}.", app.site.currency()));
    }
    if let Some(most) = rules.most_per_member {
        said.push(format!("One member may enter {most} at most."));
    }
    said
}

/// A day of the rules as it is read.
pub(super) fn said_day(text: &str) -> Option<String> {
    let day: chrono::NaiveDate = text.parse().ok()?;
    Some(crate::web::dates::date(day))
}

//! Labels for the bottles of an entry, or of all that somebody entered: the code and nothing that tells whose it is. The picture opens the entry at the desk, for
//! a steward who is signed in.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;

use super::pages::own;
use super::{forms, paths, store};
use crate::app::App;
use crate::batches::labels::sheets::{SHEETS, Sheet, of_word};
use crate::batches::labels::{self as plain_labels};
use crate::competitions::entries::Entry;
use crate::competitions::opened::Opened;
use crate::competitions::phases::{Act, demand};
use crate::competitions::{desk, shown};
use crate::members::second::picture::Picture;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::pages::{Answer, form_again, page};
use crate::web::shell::Shell;
use crate::web::units::{Units, parse_whole};
use crate::web::viewer::Member;

/// The most labels that are printed at once.
const MOST: i32 = 24;

/// What is asked for, as typed; nothing is what the rules ask for on the usual sheet.
#[derive(Deserialize, Default)]
pub(super) struct Asked {
    sheet: Option<String>,
    count: Option<String>,
    start: Option<String>,
}

/// What stands on the bottles of one entry.
struct Label {
    code: String,
    contains: String,
    picture: Option<Picture>,
}

impl Label {
    fn of(app: &App, competition: &str, entry: &Entry) -> Label {
        let desk = desk::paths::BOTTLE.with(&[competition, &entry.code]);
        let allergens = entry.declared.allergens.iter();
        let allergens: Vec<&str> = allergens.map(|one| forms::allergen_words(one)).collect();
        Label {
            code: entry.code.clone(),
            contains: match allergens.is_empty() {
                true => String::new(),
                false => format!("Contains {}.", allergens.join(", ")),
            },
            picture: Picture::of(&app.site.address(&desk)),
        }
    }
}

/// Where a page of labels leads: itself, and what it was opened from.
struct At {
    here: String,
    back: String,
    back_words: String,
}

#[derive(Template)]
#[template(path = "competitions/entering/labels.html")]
struct LabelsPage<'a> {
    shell: Shell,
    title: String,
    /// Of which entry, or of all.
    called: String,
    /// What the field of their number is called.
    count_words: &'static str,
    at: At,
    form: FormState,
    sheets: Vec<(String, String)>,
    style_url: String,
    sheet: String,
    is_low: bool,
    /// The labels of each sheet; none for a place that is used already.
    pages: Vec<Vec<Option<&'a Label>>>,
}

/// The form as asked, and what it asks for where it is sound.
fn wanted(
    asked: &Asked,
    bottles: u32,
    units: Units,
) -> (FormState, &'static Sheet, Option<(i32, i32)>) {
    let usual = match units {
        Units::Us => "letter-10",
        Units::Metric | Units::Imperial => "a4-14",
    };
    let text =
        |field: &Option<String>, usual: &str| field.as_deref().map_or(usual, str::trim).to_owned();
    let mut form = FormState::new();
    form.set("sheet", text(&asked.sheet, usual));
    form.set("count", text(&asked.count, &bottles.to_string()));
    form.set("start", text(&asked.start, "1"));
    let sheet = of_word(form.typed("sheet"));
    if sheet.is_none() {
        form.refuse("sheet", "Choose a kind of sheet.");
    }
    let sheet = sheet.or_else(|| of_word(usual)).unwrap_or(&SHEETS[0]);
    let count = parse_whole(form.typed("count"), 1, MOST).ok();
    if count.is_none() {
        let why = format!("Write how many labels, such as 3; at most {MOST}.");
        form.refuse("count", why);
    }
    let most = i32::try_from(sheet.labels()).unwrap_or(MOST);
    let start = parse_whole(form.typed("start"), 1, most).ok();
    if start.is_none() {
        let why =
            format!("Write the place of the first label that is not used yet, from 1 to {most}.");
        form.refuse("start", why);
    }
    let is_sound = form.is_sound();
    (form, sheet, count.zip(start).filter(|_| is_sound))
}

/// The page of these labels, each so often as is asked.
fn answer(
    app: &App,
    member: &Member,
    opened: &Opened,
    labels: &[Label],
    (called, at, asked): (String, At, Asked),
) -> Answer {
    let bottles = opened.competition.rules.bottles;
    let (form, sheet, asked) = wanted(&asked, bottles, member.settings.units);
    let (count, start) = asked.unwrap_or((0, 1));
    let whole = |number: i32| number.unsigned_abs() as usize;
    let each = labels
        .iter()
        .flat_map(|label| std::iter::repeat_n(label, whole(count)));
    let file = format!("{}.css", sheet.word);
    let shown = LabelsPage {
        shell: shown::shell(app, member),
        title: opened.competition.title.clone(),
        called,
        count_words: match labels.len() {
            1 => "How many labels",
            _ => "How many labels of each",
        },
        at,
        sheets: SHEETS
            .iter()
            .map(|sheet| (sheet.word.to_owned(), sheet.name()))
            .collect(),
        style_url: app
            .site
            .base()
            .link(&plain_labels::paths::STYLE.with(&[&file])),
        sheet: sheet.name(),
        is_low: sheet.is_low(),
        pages: sheet.lay(each, whole(start)),
        form,
    };
    match shown.form.is_sound() {
        true => page(&shown),
        false => form_again(&shown),
    }
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path((id, entry)): Path<(String, String)>,
    Query(asked): Query<Asked>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    let mine = own(&mut conn, &opened, &entry).await?;
    drop(conn);
    demand(opened.competition.phase, Act::PrintLabels)?;
    if mine.entry.withdrawn_at.is_some() {
        return Err(Error::not_found());
    }
    let base = app.site.base();
    let at = At {
        here: base.link(&paths::LABELS.with(&[&id, &entry])),
        back: base.link(&paths::ENTRY.with(&[&id, &entry])),
        back_words: mine.entry.code.clone(),
    };
    let labels = [Label::of(&app, &id, &mine.entry)];
    let called = mine.entry.code;
    answer(&app, &member, &opened, &labels, (called, at, asked))
}

pub(super) async fn all(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    let mine = store::mine(&mut conn, opened.competition.id, member.id).await?;
    drop(conn);
    demand(opened.competition.phase, Act::PrintLabels)?;
    let stay = mine.iter().filter(|one| one.entry.withdrawn_at.is_none());
    let labels: Vec<Label> = stay.map(|one| Label::of(&app, &id, &one.entry)).collect();
    let base = app.site.base();
    let at = At {
        here: base.link(&paths::ALL_LABELS.with(&[&id])),
        back: base.link(&paths::MINE.with(&[&id])),
        back_words: "your entries".to_owned(),
    };
    let called = "all your entries".to_owned();
    answer(&app, &member, &opened, &labels, (called, at, asked))
}

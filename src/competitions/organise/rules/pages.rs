//! The forms of the rules, while it is a draft.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use serde_json::json;
use sqlx::PgConnection;

use super::sheet::{ROWS, published};
use super::tables::choices;
use super::{Fixed, Part, Speaks, days};
use crate::app::App;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::model::{Competition, Duty};
use crate::competitions::opened::Opened;
use crate::competitions::organise::{paths, store};
use crate::competitions::phases::Act;
use crate::competitions::shown::shell;
use crate::safety;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::markdown::HELP;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::shell::Shell;
use crate::web::typed::Difference;
use crate::web::viewer::{Member, Viewer};

/// A field of a row, as it was typed.
struct Cell {
    name: String,
    value: String,
    message: String,
}

/// A row of the scoresheet.
struct SectionRow {
    legend: String,
    key: Cell,
    called: Cell,
    most: Cell,
    prompt: Cell,
}

/// From so many points on it is called so.
struct BandRow {
    spoken: String,
    from: Cell,
    words: Cell,
}

fn cell(form: &FormState, name: &str, row: usize) -> Cell {
    let name = format!("{name}_{row}");
    Cell {
        value: form.typed(&name).to_owned(),
        message: form.message(&name).to_owned(),
        name,
    }
}

#[derive(Template)]
#[template(path = "competitions/organise/rules_form.html")]
struct FormPage {
    shell: Shell,
    rules_url: String,
    title: String,
    part: Part,
    action: String,
    import_at: String,
    currency: String,
    drinking_url: String,
    sections: Vec<SectionRow>,
    bands: Vec<BandRow>,
    ties: Vec<(&'static str, &'static str)>,
    version: i32,
    meanwhile: Vec<Difference>,
    form: FormState,
    once: String,
}

impl FormPage {
    const WITHDRAW: &[(&str, &str)] = days::WITHDRAW;

    fn terms_hint(&self) -> String {
        format!("Whatever else entrants should know. {HELP}")
    }
}

fn fixed(competition: &Competition) -> Fixed {
    Fixed {
        title: competition.title.clone(),
        terms: competition.terms.clone(),
        prizes: competition.prizes.clone(),
        rules: competition.rules.clone(),
    }
}

fn speaks(app: &App, member: &Member) -> Speaks {
    let now = app.clock.now().with_timezone(&member.settings.zone);
    Speaks {
        units: member.settings.units,
        today: now.date_naive(),
        currency: app.site.currency(),
    }
}

fn part_of(word: &str) -> Result<Part, Error> {
    Part::from_word(word).ok_or_else(Error::not_found)
}

/// A competition whose rules the viewer may set; read after that no more.
async fn opened(conn: &mut PgConnection, member: &Member, id: &str) -> Result<Opened, Error> {
    let opened = Opened::read(conn, member, id).await?;
    opened.demand(&[Duty::Organiser])?;
    Ok(opened)
}

fn form_page(
    app: &App,
    member: &Member,
    opened: &Opened,
    part: Part,
    form: FormState,
) -> Result<FormPage, Error> {
    let base = app.site.base();
    let id = opened.competition.public_id.as_str();
    let sections = (1..=ROWS).map(|row| SectionRow {
        legend: format!("Section {row}"),
        key: cell(&form, "key", row),
        called: cell(&form, "name", row),
        most: cell(&form, "most", row),
        prompt: cell(&form, "prompt", row),
    });
    let bands = (1..=ROWS).map(|row| BandRow {
        spoken: format!("line {row}"),
        from: cell(&form, "from", row),
        words: cell(&form, "words", row),
    });
    Ok(FormPage {
        sections: sections.collect(),
        bands: bands.collect(),
        ties: choices(),
        shell: shell(app, member),
        rules_url: base.link(&paths::RULES.with(&[id])),
        title: opened.competition.title.clone(),
        part,
        action: base.link(&paths::SAVE_RULES.with(&[id, part.word()])),
        import_at: base.link(&paths::IMPORT_SHEET.with(&[id])),
        currency: app.site.currency().to_string(),
        drinking_url: base.link(&safety::paths::subject("drinking")),
        version: opened.competition.version,
        meanwhile: Vec::new(),
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
        form,
    })
}

pub(in crate::competitions::organise) async fn edit(
    State(app): State<App>,
    member: Member,
    Path((id, part)): Path<(String, String)>,
) -> Answer {
    let part = part_of(&part)?;
    let mut conn = app.pool.acquire().await?;
    let opened = opened(&mut conn, &member, &id).await?;
    if !opened.allows(Act::SetRules) {
        return see_other(app.site.base(), &paths::RULES.with(&[&id]));
    }
    let form = part.filled(&fixed(&opened.competition), speaks(&app, &member));
    page(&form_page(&app, &member, &opened, part, form)?)
}

pub(in crate::competitions::organise) async fn save(
    State(app): State<App>,
    member: Member,
    Path((id, part)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let part = part_of(&part)?;
    let once = Once::read(&posted, &member)?;
    let to = speaks(&app, &member);
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(at) = once::claim(&mut tx, &once, &member, paths::SAVE_RULES).await? {
        return see_other(app.site.base(), &at);
    }
    let before = opened(&mut tx, &member, &id).await?;
    before.hold(&mut tx, Act::SetRules).await?;
    // Read again: nobody changes it any more while it is held.
    let opened = opened(&mut tx, &member, &id).await?;
    let stands = fixed(&opened.competition);
    let seen = posted.one("version")?.parse().unwrap_or(0);
    let changed = match part.read(&posted, &stands, to)? {
        Ok(changed) => changed,
        Err(form) => {
            let mut again = form_page(&app, &member, &opened, part, form)?;
            again.version = seen;
            return form_again(&again);
        }
    };
    if seen != opened.competition.version {
        let mine = FormState::of(&posted);
        let mut again = form_page(&app, &member, &opened, part, mine.clone())?;
        again.meanwhile = meanwhile(part, &part.filled(&stands, to), &mine);
        return page_with(StatusCode::CONFLICT, &again);
    }
    store::set_rules(&mut tx, opened.competition.id, &changed).await?;
    note(&mut tx, &opened, &changed, app.clock.now()).await?;
    let location = format!("{}?done=saved", paths::RULES.with(&[&id]));
    once::settle(&mut tx, &once, &member, paths::SAVE_RULES, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

fn meanwhile(part: Part, theirs: &FormState, yours: &FormState) -> Vec<Difference> {
    let fields = part.fields();
    let named: Vec<(&str, &'static str)> = fields
        .iter()
        .map(|(name, label)| (name.as_str(), *label))
        .collect();
    crate::web::typed::differences(&named, theirs, yours)
}

async fn note(
    conn: &mut PgConnection,
    opened: &Opened,
    changed: &Fixed,
    now: chrono::DateTime<chrono::Utc>,
) -> Result<(), Error> {
    let deed = Deed {
        deed: "rules",
        about: json!({ "title": changed.title, "rules": changed.rules }),
        reason: "",
    };
    deeds::write(conn, opened.competition.id, Some(opened.viewer), &deed, now).await?;
    Ok(())
}

/// Takes the published weights in place of the sheet's sections.
pub(in crate::competitions::organise) async fn import(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let before = opened(&mut tx, &member, &id).await?;
    before.hold(&mut tx, Act::SetRules).await?;
    let opened = opened(&mut tx, &member, &id).await?;
    let mut changed = fixed(&opened.competition);
    (changed.rules.sections, changed.rules.sections_source) = published();
    store::set_rules(&mut tx, opened.competition.id, &changed).await?;
    note(&mut tx, &opened, &changed, app.clock.now()).await?;
    tx.commit().await?;
    see_other(
        app.site.base(),
        &paths::EDIT_RULES.with(&[&id, Part::Sheet.word()]),
    )
}

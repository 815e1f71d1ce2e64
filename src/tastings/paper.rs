//! A tasting on paper: sheets to print, the key for whoever pours, and typing in what the sheets say.

use askama::Template;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::forms::{self, pick_field};
use super::model::{Kind, Pick, Pour, Serving, Tasting};
use super::pages::{own, shell};
use super::seats::store as seats;
use super::shown::Care;
use super::taking::{fill_pick, place_choices};
use super::{paths, store};
use crate::app::App;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::paths::Routes;
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::viewer::Member;

/// Binds the handlers.
pub(super) fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::SHEETS, sheets)
        .on(paths::KEY, key)
        .on(paths::FOUND, found)
        .on(paths::TAKE_FOUND, take_found)
}

/// A sheet: its number and the codes of its glasses in order.
struct Sheet {
    number: i32,
    codes: Vec<i32>,
}

#[derive(Template)]
#[template(path = "tastings/sheets.html")]
struct SheetsPage {
    shell: Shell,
    tasting_url: String,
    title: String,
    asked: String,
    kind: Kind,
    sheets: Vec<Sheet>,
    care: Care,
}

async fn sheets(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let tasting = own(&mut conn, &member, &id).await?;
    let pours = store::pours(&mut conn, Some(member.id), tasting.id).await?;
    let servings = seats::servings(&mut conn, tasting.id).await?;
    drop(conn);
    if servings.is_empty() {
        return Err(Error::not_found());
    }
    let sheets = servings.iter().map(|serving| Sheet {
        number: serving.number,
        codes: serving.glasses.iter().map(|(code, _)| *code).collect(),
    });
    page(&SheetsPage {
        shell: shell(&app, &member),
        tasting_url: app.site.base().link(&paths::TASTING.with(&[&id])),
        asked: match (tasting.kind, tasting.question.as_str()) {
            (Kind::Ranking, "") => "Which do you like best? 1 is the best.".to_owned(),
            (_, question) => question.to_owned(),
        },
        title: tasting.title,
        kind: tasting.kind,
        sheets: sheets.collect(),
        care: Care::of(&app, &pours),
    })
}

/// A line of the key: a sheet or a mead, and what belongs to it.
struct KeyRow {
    what: String,
    holds: Vec<String>,
}

#[derive(Template)]
#[template(path = "tastings/key.html")]
struct KeyPage {
    shell: Shell,
    tasting_url: String,
    title: String,
    meads: Vec<KeyRow>,
    sheets: Vec<KeyRow>,
}

/// Into which glasses each mead goes.
fn by_mead(pours: &[Pour], servings: &[Serving]) -> Vec<KeyRow> {
    let of = |pour: &Pour| -> Vec<String> {
        let glasses = servings.iter().flat_map(|serving| &serving.glasses);
        let codes = glasses.filter(|(_, mead)| *mead == pour.place);
        let mut codes: Vec<i32> = codes.map(|(code, _)| *code).chain(pour.code).collect();
        codes.sort_unstable();
        codes.iter().map(i32::to_string).collect()
    };
    let rows = pours.iter().map(|pour| KeyRow {
        what: pour.name.clone(),
        holds: of(pour),
    });
    rows.collect()
}

/// What stands before each taster, in order.
fn by_sheet(pours: &[Pour], servings: &[Serving]) -> Vec<KeyRow> {
    let named = |(code, mead): &(i32, i32)| {
        let pour = pours.iter().find(|pour| pour.place == *mead);
        format!("{code} {}", pour.map_or("", |pour| pour.name.as_str()))
    };
    let rows = servings.iter().map(|serving| KeyRow {
        what: serving.number.to_string(),
        holds: serving.glasses.iter().map(named).collect(),
    });
    rows.collect()
}

async fn key(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let tasting = own(&mut conn, &member, &id).await?;
    if !tasting.coded {
        return Err(Error::not_found());
    }
    let pours = store::pours(&mut conn, Some(member.id), tasting.id).await?;
    let servings = seats::servings(&mut conn, tasting.id).await?;
    drop(conn);
    not_stored(page(&KeyPage {
        shell: shell(&app, &member),
        tasting_url: app.site.base().link(&paths::TASTING.with(&[&id])),
        title: tasting.title,
        meads: by_mead(&pours, &servings),
        sheets: by_sheet(&pours, &servings),
    }))
}

/// A sheet as it is typed in: its number, and its fields.
struct FoundSheet {
    number: i32,
    odd: String,
    codes: Vec<(String, String)>,
    /// Label and field of the place of each glass.
    glasses: Vec<(String, String)>,
}

#[derive(Template)]
#[template(path = "tastings/found.html")]
struct FoundPage {
    shell: Shell,
    tasting_url: String,
    title: String,
    action: String,
    kind: Kind,
    sheets: Vec<FoundSheet>,
    places: Vec<(String, String)>,
    form: FormState,
}

/// What the names of a sheet's fields begin with.
fn prefix(serving: &Serving) -> String {
    format!("sheet_{}_", serving.number)
}

fn found_page(
    app: &App,
    member: &Member,
    (tasting, servings): (&Tasting, &[Serving]),
    form: FormState,
) -> FoundPage {
    let sheet = |serving: &Serving| {
        let prefix = prefix(serving);
        let codes = serving.glasses.iter().map(|(code, _)| *code);
        let unsaid = (String::new(), "not filled in".to_owned());
        let choices = codes
            .clone()
            .map(|code| (code.to_string(), code.to_string()));
        FoundSheet {
            number: serving.number,
            odd: pick_field(&prefix, None),
            codes: std::iter::once(unsaid).chain(choices).collect(),
            glasses: codes
                .map(|code| (code.to_string(), pick_field(&prefix, Some(code))))
                .collect(),
        }
    };
    let id = tasting.public_id.as_str();
    let base = app.site.base();
    let glasses = servings.first().map_or(0, |serving| serving.glasses.len());
    FoundPage {
        shell: shell(app, member),
        tasting_url: base.link(&paths::TASTING.with(&[id])),
        title: tasting.title.clone(),
        action: base.link(&paths::TAKE_FOUND.with(&[id])),
        kind: tasting.kind,
        sheets: servings.iter().map(sheet).collect(),
        places: place_choices(glasses),
        form,
    }
}

/// A tasting on paper that the member hosts, with its sheets.
async fn on_paper(
    conn: &mut PgConnection,
    member: &Member,
    id: &str,
) -> Result<(Tasting, Vec<Serving>), Error> {
    let tasting = own(conn, member, id).await?;
    if !tasting.on_paper {
        return Err(Error::not_found());
    }
    let servings = seats::servings(conn, tasting.id).await?;
    Ok((tasting, servings))
}

async fn found(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let (tasting, servings) = on_paper(&mut conn, &member, &id).await?;
    let mut form = FormState::new();
    if !tasting.is_open() {
        for answer in seats::answers(&mut conn, tasting.id).await? {
            if let Some(serving) = &answer.serving {
                fill_pick(answer.pick.as_ref(), &prefix(serving), &mut form);
            }
        }
    }
    let of = (&tasting, servings.as_slice());
    not_stored(page(&found_page(&app, &member, of, form)))
}

/// Everything that the sheets say; faults beside the fields.
fn read(
    posted: &Posted,
    kind: Kind,
    servings: &[Serving],
) -> Result<Result<Vec<(i32, Pick)>, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let mut picks = Vec::new();
    for serving in servings {
        let picked = forms::pick(&mut typed, kind, serving, &prefix(serving))?;
        picks.extend(picked.map(|pick| (serving.number, pick)));
    }
    if picks.is_empty() && typed.form.is_sound() {
        let why = "Type in one sheet at least, or call the tasting off on its page.";
        typed.form.refuse_whole(why);
    }
    Ok(match typed.form.is_sound() {
        true => Ok(picks),
        false => Err(typed.form),
    })
}

/// Takes the sheets in and closes the tasting: both or neither.
async fn take_found(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let (tasting, servings) = on_paper(&mut tx, &member, &id).await?;
    let picks = match read(&posted, tasting.kind, &servings)? {
        Ok(picks) => picks,
        Err(form) => {
            let of = (&tasting, servings.as_slice());
            return not_stored(form_again(&found_page(&app, &member, of, form)));
        }
    };
    if !store::hold_open(&mut tx, tasting.id).await? {
        return Err(Error::conflict(
            "The tasting is closed by now. What was typed in first stays.",
        ));
    }
    let now = app.clock.now();
    for (number, pick) in &picks {
        seats::put_sheet(&mut tx, tasting.id, *number, pick, now).await?;
    }
    store::close(&mut tx, tasting.id, now).await?;
    tx.commit().await?;
    let path = format!("{}?done=closed", paths::TASTING.with(&[&id]));
    see_other(app.site.base(), &path)
}

//! The demonstration: a throw-away club with invented members, recipes, revisions and drafts, made by the same
//! functions as any other.

mod batches;
mod bottles;
mod cellar;
mod club;
mod competitions;
mod guests;
mod made;
mod opinions;
pub mod people;
pub mod recipes;
pub mod scenario;
mod tastings;

use std::collections::HashMap;

use chrono::{DateTime, TimeDelta, Utc};

use self::people::{ABOUT, CLUB, MAREN, OSKAR, PEOPLE, PIA};
use self::recipes::{Made, Version, versions};
use crate::admin::store::{NewClub, save_club};
use crate::app::App;
use crate::config::Config;
use crate::database::Database;
use crate::engine;
use crate::members;
use crate::members::mentors::store::offer;
use crate::members::model::NewMember;
use crate::members::names::Name;
use crate::members::second::codes::Key;
use crate::members::second::rule::Rule;
use crate::members::second::store as second;
use crate::recipes::drafts::{PutDraft, store as drafts};
use crate::recipes::forms::fill;
use crate::recipes::links::store::{NewLink, make_link};
use crate::recipes::model::Visibility;
use crate::recipes::numbers::summary::numbers_for_lists;
use crate::recipes::public_id::PublicId;
use crate::recipes::saving::store::{bin, save_revision};
use crate::recipes::saving::{SaveRevision, Source, Target};
use crate::serve::{self, Failure, say};
use crate::web::error::Error;
use crate::web::random;
use crate::web::viewer::{MemberId, Role};

/// How somebody gets into the demonstration.
#[derive(Debug)]
pub struct Entrance {
    pub name: &'static str,
    pub role: Role,
    pub password: String,
}

/// Serves the demonstration until a signal says stop; `database` should be one that is thrown away.
pub async fn serve(config: &Config, database: &Database) -> Result<(), Failure> {
    let config = Config {
        club_name: CLUB.to_owned(),
        // Whoever looks around for ten minutes has no phone to set up.
        second_step: Rule::Nobody,
        // Nothing of it stays.
        backup_dir: None,
        ..config.clone()
    };
    serve::serve(&config, database, async |app| {
        for entrance in furnish(app).await? {
            let who = match entrance.role {
                Role::Keeper => "A keeper",
                _ => "A member",
            };
            say(
                &config,
                &format!(
                    "{who} signs in as {} with the password {}",
                    entrance.name, entrance.password
                ),
            );
        }
        Ok(())
    })
    .await
}

/// Fills an empty club; gives the ways in.
pub async fn furnish(app: &App) -> Result<Vec<Entrance>, Error> {
    let now = app.clock.now();
    let (ids, entrances) = make_people(app, now).await?;
    let mut made: HashMap<&str, PublicId> = HashMap::new();
    for recipe in scenario::all() {
        let author = *ids.get(recipe.by).ok_or_else(|| broken(recipe.title))?;
        let id = make_recipe(app, &recipe, author, &made, now).await?;
        made.insert(recipe.title, id);
    }
    opinions::give(app, &ids, &made, now).await?;
    batches::furnish(app, &ids, &made, now).await?;
    bottles::lay_down(app, &ids, now).await?;
    keep_draft(app, &ids, now).await?;
    say_who_we_are(app, &ids, now).await?;
    club::furnish(app, &ids, &made, now).await?;
    tastings::furnish(app, &ids, now).await?;
    let mut conn = app.pool.acquire().await?;
    cellar::furnish(&mut conn, &ids, now).await?;
    drop(conn);
    competitions::furnish(app, &ids, now).await?;
    Ok(entrances)
}

/// A fault of the scenario itself; a test meets it first.
fn broken(what: &str) -> Error {
    Error::unexpected(std::io::Error::other(format!(
        "the scenario does not hold together at {what}"
    )))
}

async fn make_people(
    app: &App,
    now: DateTime<Utc>,
) -> Result<(HashMap<&'static str, MemberId>, Vec<Entrance>), Error> {
    let mut conn = app.pool.acquire().await?;
    let mut ids = HashMap::new();
    let mut entrances = Vec::new();
    for person in PEOPLE {
        let mut password_hash = None;
        if person.signs_in {
            let password = random::text(12)?;
            password_hash = Some(app.hasher.hash(&password).await?);
            entrances.push(Entrance {
                name: person.name,
                role: person.role,
                password,
            });
        }
        let new = NewMember {
            name: Name::read(person.name).map_err(|_| broken(person.name))?,
            password_hash,
            role: person.role,
            settings: person.settings(),
        };
        let id = members::store::create_member(&mut conn, &new)
            .await?
            .ok_or_else(|| broken(person.name))?;
        let joined = now - TimeDelta::days(person.joined_days_ago);
        members::store::set_joined(&mut conn, id, joined).await?;
        ids.insert(person.name, id);
        if person.name == OSKAR {
            // The keeper's page has a second step that could be lost.
            let key = Key::draw(CLUB, person.name)?;
            second::begin_app(&mut conn, id, key.bytes()).await?;
            second::confirm_app(&mut conn, id, key.bytes(), 0).await?;
        }
    }
    Ok((ids, entrances))
}

async fn make_recipe(
    app: &App,
    recipe: &Made,
    author: MemberId,
    made: &HashMap<&str, PublicId>,
    now: DateTime<Utc>,
) -> Result<PublicId, Error> {
    let source = match recipe.from {
        None => None,
        Some((title, number)) => {
            let id = made.get(title).ok_or_else(|| broken(title))?;
            Some(Source {
                recipe: id,
                number,
                held: None,
            })
        }
    };
    let mut saved: Option<PublicId> = None;
    for (at, version) in versions(recipe).into_iter().enumerate() {
        let Version {
            note,
            days_ago,
            document,
            ..
        } = version;
        let numbers = engine::formulate(&document, &engine::Settings::default());
        let json = serde_json::to_value(&document).map_err(Error::unexpected)?;
        let save = SaveRevision {
            author,
            target: match &saved {
                None => Target::New {
                    visibility: recipe.visibility,
                    started_from: source,
                },
                Some(id) => Target::Existing {
                    recipe: id,
                    expected_version: i32::try_from(at).unwrap_or(i32::MAX),
                    visibility: None,
                },
            },
            title: &document.title,
            document: &json,
            numbers: &numbers_for_lists(&document, &numbers),
            note,
            draft: None,
        };
        let mut tx = app.pool.begin().await?;
        let done = save_revision(&mut tx, &save, now - TimeDelta::days(days_ago))
            .await
            .map_err(Error::unexpected)?;
        tx.commit().await?;
        saved = Some(done.recipe);
    }
    let id = saved.ok_or_else(|| broken(recipe.title))?;
    if recipe.visibility == Visibility::Link {
        let link = NewLink {
            public_id: &random::public_id()?,
            held: &random::hash_of(&random::token()?),
            note: "the people next door",
        };
        let mut conn = app.pool.acquire().await?;
        make_link(&mut conn, author, &id, &link, now - TimeDelta::days(28)).await?;
    }
    if recipe.binned {
        let mut conn = app.pool.acquire().await?;
        bin(&mut conn, author, &id, now - TimeDelta::days(2)).await?;
    }
    Ok(id)
}

/// The club's text, who may be asked, and whom the newest member asks.
async fn say_who_we_are(
    app: &App,
    ids: &HashMap<&'static str, MemberId>,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let id = |name: &str| ids.get(name).copied().ok_or_else(|| broken(name));
    let new = NewClub {
        name: CLUB.to_owned(),
        about: ABOUT.to_owned(),
        seen: 0,
    };
    let mut conn = app.pool.acquire().await?;
    save_club(&mut conn, &new, id(MAREN)?, now).await?;
    offer(&mut conn, id(PIA)?, true, now).await
}

/// A recipe that the member was typing when they left.
async fn keep_draft(
    app: &App,
    ids: &HashMap<&'static str, MemberId>,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let Some((person, member)) = PEOPLE
        .iter()
        .filter(|person| person.signs_in && person.role == Role::Member)
        .find_map(|person| Some((person, *ids.get(person.name)?)))
    else {
        return Ok(());
    };
    let draft = PublicId::random().map_err(Error::unexpected)?;
    let mut form = fill::fresh(person.units);
    form.set("title", "Something for the solstice");
    form.set("strength", "about 9");
    form.set("notes", "Ask Oskar what he did about the foam.");
    form.set("draft", draft.as_str());
    let mut conn = app.pool.acquire().await?;
    let put = PutDraft {
        member,
        draft: &draft,
        editing: None,
        started_from: None,
        title: form.text("title"),
        fields: &form.pairs(),
        sequence: None,
        at_once: true,
    };
    let yesterday = now - TimeDelta::days(1);
    drafts::put(&mut conn, &put, yesterday).await?;
    Ok(())
}

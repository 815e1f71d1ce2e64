//! What a judge says of themselves: what they do not taste, whose meads they must not judge, how much they taste in a day.

use askama::Template;
use axum::extract::{Path, State};
use serde_json::json;
use sqlx::PgConnection;

use super::{Limits, store};
use crate::app::App;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::flights::seats::{self, numbered};
use crate::competitions::model::{Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::organise::paths;
use crate::competitions::paths as all;
use crate::competitions::phases::Act;
use crate::competitions::shown::shell;
use crate::engine::allergens;
use crate::members::roll::store::list_roll;
use crate::safety;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::units::parse_whole;
use crate::web::viewer::{Member, MemberId};

/// Kinds of mead that one may leave out.
const KINDS: [(&str, &str); 3] = [
    ("fruit", "meads with fruit"),
    ("spice", "meads with spice"),
    ("pepper", "meads with hot pepper"),
];
const OWN_MAX: usize = 200;
const CEILING_MAX: i32 = 60;

struct Tick {
    name: String,
    words: String,
    set: bool,
}

#[derive(Template)]
#[template(path = "competitions/organise/mine.html")]
struct MinePage {
    shell: Shell,
    competition_url: String,
    title: String,
    action: String,
    may_set: bool,
    /// Tables may be made: what is added takes the judge off them.
    late: bool,
    usual: u32,
    kinds: Vec<Tick>,
    allergens: Vec<Tick>,
    people: Vec<Tick>,
    drinking_url: String,
    allergies_url: String,
    form: FormState,
}

impl MinePage {
    fn usual_words(&self) -> String {
        format!(
            "Empty: {}, as the rules have it. Spit rather than swallow.",
            self.usual
        )
    }
}

/// Every box of the page: kinds, allergens, and the members but oneself with their key.
struct Boxes {
    kinds: Vec<(String, &'static str, String)>,
    allergens: Vec<(String, &'static str, String)>,
    people: Vec<(String, MemberId, String)>,
}

async fn boxes(conn: &mut PgConnection, member: &Member) -> Result<Boxes, Error> {
    let roll = list_roll(conn).await?;
    let others = roll
        .into_iter()
        .filter(|one| one.id != member.id && one.left_at.is_none());
    let kinds = KINDS.into_iter();
    let allergens = allergens::codes();
    Ok(Boxes {
        kinds: kinds
            .map(|(code, words)| (format!("not_{code}"), code, words.to_owned()))
            .collect(),
        allergens: allergens
            .map(|code| (format!("not_{code}"), code, code.to_owned()))
            .collect(),
        people: others
            .map(|one| (format!("apart_{}", one.public_id), one.id, one.name))
            .collect(),
    })
}

/// The form of what stands.
fn filled(limits: &Limits, boxes: &Boxes) -> FormState {
    let mut form = FormState::new();
    let coded = boxes.kinds.iter().chain(&boxes.allergens);
    let mut own = limits.abstains.clone();
    for (name, code, _) in coded {
        if limits.abstains.iter().any(|one| one == code) {
            form.set(name, "yes");
            own.retain(|one| one != code);
        }
    }
    for (name, id, _) in &boxes.people {
        if limits.apart_from.contains(id) {
            form.set(name, "yes");
        }
    }
    form.set("own", own.join(", "));
    let ceiling = limits.ceiling.map(|most| most.to_string());
    form.set("ceiling", ceiling.unwrap_or_default());
    form
}

fn read(posted: &Posted, boxes: &Boxes) -> Result<Result<Limits, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let coded = boxes.kinds.iter().chain(&boxes.allergens);
    let ticked = coded.filter(|(name, ..)| posted.has(name));
    let mut abstains: Vec<String> = ticked.map(|(_, code, _)| (*code).to_owned()).collect();
    let own = typed.line("own", OWN_MAX)?;
    let own = own.split([',', ';']).map(|word| word.trim().to_lowercase());
    abstains.extend(own.filter(|word| !word.is_empty()));
    let why = format!("Write a whole number from 1 to {CEILING_MAX}, or nothing.");
    let ceiling = typed.read("ceiling", |text| {
        parse_whole(text, 1, CEILING_MAX).map_err(|_| why)
    })?;
    let people = boxes.people.iter();
    let apart_from = people
        .filter(|(name, ..)| posted.has(name))
        .map(|(_, id, _)| *id)
        .collect();
    Ok(match typed.form.is_sound() {
        true => Ok(Limits {
            abstains,
            ceiling,
            apart_from,
        }),
        false => Err(typed.form),
    })
}

fn mine_page(
    app: &App,
    member: &Member,
    opened: &Opened,
    boxes: Boxes,
    form: FormState,
) -> MinePage {
    let base = app.site.base();
    let id = opened.competition.public_id.as_str();
    let tick = |name: String, words: String| Tick {
        set: !form.typed(&name).is_empty(),
        name,
        words,
    };
    let coded = |boxes: Vec<(String, &'static str, String)>| {
        let boxes = boxes.into_iter();
        boxes.map(|(name, _, words)| tick(name, words)).collect()
    };
    let people = boxes.people.into_iter();
    MinePage {
        shell: shell(app, member),
        competition_url: base.link(&all::COMPETITION.with(&[id])),
        title: opened.competition.title.clone(),
        action: base.link(&paths::SAVE_MINE.with(&[id])),
        may_set: opened.allows(Act::SayConflicts),
        late: opened.competition.phase > Phase::Closed,
        usual: opened.competition.rules.glasses_a_day,
        kinds: coded(boxes.kinds),
        allergens: coded(boxes.allergens),
        people: people.map(|(name, _, words)| tick(name, words)).collect(),
        drinking_url: base.link(&safety::paths::subject("drinking")),
        allergies_url: base.link(&safety::paths::subject("allergies")),
        form,
    }
}

pub(in crate::competitions::organise) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    opened.demand(&[Duty::Judge])?;
    let limits = store::limits(&mut conn, opened.competition.id, member.id).await?;
    let boxes = boxes(&mut conn, &member).await?;
    let form = filled(&limits, &boxes);
    page(&mine_page(&app, &member, &opened, boxes, form))
}

pub(in crate::competitions::organise) async fn save(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let opened = Opened::read(&mut tx, &member, &id).await?;
    opened.demand(&[Duty::Judge])?;
    let phase = opened.hold(&mut tx, Act::SayConflicts).await?;
    let boxes = boxes(&mut tx, &member).await?;
    let mut limits = match read(&posted, &boxes)? {
        Ok(limits) => limits,
        Err(form) => return form_again(&mine_page(&app, &member, &opened, boxes, form)),
    };
    let competition = opened.competition.id;
    let before = store::limits(&mut tx, competition, member.id).await?;
    if phase > Phase::Closed {
        limits.keep(&before);
    }
    store::set_limits(&mut tx, competition, member.id, &limits).await?;
    // Where something is added they leave every table that has not agreed, whatever is poured there: a refusal at one of them
    // would tell which entry is whose.
    let left =
        seats::store::vacate(&mut tx, competition, &limits.touches(member.id, &before)).await?;
    // How many, never which: what somebody does not tolerate stays theirs.
    let deed = Deed {
        deed: "limits",
        about: json!({ "not_tasted": limits.abstains.len(), "kept_apart": limits.apart_from.len(),
            "seats": numbered(&left) }),
        reason: "",
    };
    deeds::write(
        &mut tx,
        competition,
        Some(member.id),
        &deed,
        app.clock.now(),
    )
    .await?;
    tx.commit().await?;
    see_other(app.site.base(), &all::COMPETITION.with(&[&id]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_judge_says_is_read_as_it_is_shown() {
        let named = |code: &'static str| (format!("not_{code}"), code, code.to_owned());
        let boxes = Boxes {
            kinds: vec![named("fruit"), named("pepper")],
            allergens: vec![named("nuts"), named("milk")],
            people: vec![
                ("apart_bo".to_owned(), MemberId(2), "Bo".to_owned()),
                ("apart_cy".to_owned(), MemberId(3), "Cy".to_owned()),
            ],
        };
        let said = Limits {
            abstains: vec!["pepper".into(), "nuts".into(), "lavender".into()],
            ceiling: Some(12),
            apart_from: vec![MemberId(3)],
        };
        let form = filled(&said, &boxes);
        let names = ["not_pepper", "not_nuts", "own", "ceiling", "apart_cy"];
        let sent = names.map(|name| (name.to_owned(), form.typed(name).to_owned()));
        let posted = Posted::from_pairs(sent);
        assert_eq!(read(&posted, &boxes).expect("once each"), Ok(said));
        let much = Posted::from_pairs([("ceiling".to_owned(), "99".to_owned())]);
        let form = read(&much, &boxes)
            .expect("once each")
            .expect_err("too much");
        assert!(form.fault("ceiling").is_some());
    }
}

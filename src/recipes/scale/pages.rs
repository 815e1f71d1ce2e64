//! The page that makes a recipe fit, and the way from there into the workbench.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use serde::Deserialize;

use super::amounts::{Amount, amounts};
use super::asked::{Asked, HONEYS};
use super::weigh::{Effect, Weighing, effect};
use super::words::{self, Beware, Volume};
use super::{Cannot, Choice, ClubLoss, HoneyBy, Made, choices, fit, make};
use crate::app::App;
use crate::batches;
use crate::batches::house::figures::losses_of_kinds;
use crate::batches::house::{offered, store::finished};
use crate::recipes::forms::fill;
use crate::recipes::method_pages::{links, sheet_url};
use crate::recipes::model::Visibility;
use crate::recipes::numbers::shopping::{Shopping, list};
use crate::recipes::numbers::{CautionLine, FeedLine, Links, ProblemLine, problems, weighed_view};
use crate::recipes::opened::{Opened, open};
use crate::recipes::paths;
use crate::recipes::workbench::{assume, engine_settings, open_unsaved};
use crate::vessels::instruments;
use crate::web::error::Error;
use crate::web::pages::{Answer, page_with, see_other};
use crate::web::paths::Routes;
use crate::web::shell::{Nav, Shell};
use crate::web::units::{self, Units};
use crate::web::viewer::{Member, Viewer};

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::SCALE, show)
        .on(paths::SCALE_OPEN, open_made)
}

/// What goes into one vessel after another, as a heading and its feeding plan.
struct Fed {
    of: String,
    feeds: Vec<FeedLine>,
}

/// A recipe that was made to fit, as it is shown.
struct Shown {
    lead: String,
    figures: String,
    beware: Vec<Beware>,
    dangers: Vec<CautionLine>,
    volumes: Vec<Volume>,
    /// Over the columns of each portion, where there are several vessels.
    columns: Vec<String>,
    amounts: Vec<Amount>,
    rounding: String,
    fed: Vec<Fed>,
    shopping: Shopping,
    /// In the workbench with these amounts, and with the aim as it was.
    amounts_url: String,
    aim_url: String,
    /// A batch of exactly this.
    batch_url: String,
    /// As much as the vessels take, where it does not fit.
    takes: Option<(String, String)>,
    links: Links,
}

impl Shown {
    /// A price as it is printed.
    fn money(&self, cost: &f64) -> String {
        units::fixed(*cost, 2)
    }
}

#[derive(Template)]
#[template(path = "recipes/scale.html")]
struct ScalePage {
    shell: Shell,
    title: String,
    sheet_url: String,
    which: String,
    asked: Asked,
    faults: Vec<(String, String)>,
    problems: Vec<ProblemLine>,
    shown: Option<Shown>,
    revision: i32,
    here: String,
    vessels: Vec<(String, String)>,
    has_vessels: bool,
    /// What stays behind by the club's own batches, offered in place of the book's.
    club_loss: Option<offered::Offer>,
    vessels_url: String,
    units: Units,
}

impl ScalePage {
    const HONEYS: &[(&str, &str)] = &HONEYS;

    fn fault(&self, field: &str) -> String {
        let found = self.faults.iter().find(|(at, _)| at == field);
        found.map(|(_, why)| why.clone()).unwrap_or_default()
    }

    /// Whether more is asked than one vessel.
    fn asks_more(&self) -> bool {
        let more = [
            "vessel2",
            "many2",
            "later",
            "later_many",
            "bottles",
            "size",
            "volume",
        ];
        let asked = &self.asked;
        let typed = [&asked.vessel2, &asked.later, &asked.bottles, &asked.volume];
        typed.iter().any(|text| !text.trim().is_empty())
            || more.iter().any(|field| !self.fault(field).is_empty())
    }
}

#[derive(Deserialize)]
struct Which {
    revision: Option<i32>,
    /// What is kept of it in the workbench: the amounts, or the aim.
    keep: Option<String>,
}

/// A recipe, and what its reader has to fit and weigh it with.
struct Case {
    opened: Opened,
    choices: Vec<Choice>,
    weighing: Weighing,
    club: Vec<ClubLoss>,
    club_loss: Option<offered::Offer>,
}

async fn case(app: &App, member: &Member, id: &str, which: &Which) -> Result<Case, Error> {
    let opened = open(app, member, id, which.revision, "", "").await?;
    let mut conn = app.pool.acquire().await?;
    let tools = instruments::store::list(&mut conn, member.id).await?;
    let done = finished(&mut conn).await?;
    let club = losses_of_kinds(&done);
    let kinds: Vec<&str> = club.iter().map(|(kind, _)| kind.as_str()).collect();
    Ok(Case {
        club_loss: offered::losses(&done, &kinds),
        club,
        choices: choices(&opened.reader.vessels),
        weighing: Weighing::of(&member.settings, &tools),
        opened,
    })
}

async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(which): Query<Which>,
    Query(asked): Query<Asked>,
) -> Answer {
    let case = case(&app, &member, &id, &which).await?;
    let mut page = page_of(&app, &member, &case, asked);
    if page.asked.is_empty() && page.asked.jar.is_empty() {
        page.asked = page.asked.chosen();
        return page_with(StatusCode::OK, &page);
    }
    page.asked = page.asked.chosen();
    match page.asked.check(&case.choices, &case.club, page.units) {
        Err(faults) => {
            page.faults = faults;
            page_with(StatusCode::UNPROCESSABLE_ENTITY, &page)
        }
        Ok(wish) => {
            let settings = engine_settings(&Viewer::known(member.clone()));
            let own = &case.opened.document;
            match make(own, &wish, &case.weighing, &settings, page.units) {
                Ok(made) => page.shown = Some(shown(&app, &member, &case, &page.asked, &made)),
                Err(why) => page.problems = told(&why, page.units),
            }
            page_with(StatusCode::OK, &page)
        }
    }
}

/// Why it cannot be made so.
fn told(why: &Cannot, units: Units) -> Vec<ProblemLine> {
    if let Cannot::Problems(found) = why {
        return problems(found, units, |_| None);
    }
    let words = words::cannot(why, units).into_iter();
    words
        .map(|words| ProblemLine {
            field: String::new(),
            words,
        })
        .collect()
}

fn page_of(app: &App, member: &Member, case: &Case, asked: Asked) -> ScalePage {
    let base = app.site.base();
    let opened = &case.opened;
    let units = member.settings.units;
    let volume = opened.rounded.exact.whole.as_ref();
    let volume =
        volume.map(|whole| format!("written for {}", units::volume(whole.volume_l, units)));
    let number = opened.revision.number;
    let which = [Some(format!("revision {number}")), volume];
    let none = (String::new(), "not chosen".to_owned());
    let all = case.choices.iter();
    let all = all.map(|of| (of.key.clone(), words::choice(of, units)));
    ScalePage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Recipes),
        title: opened.revision.title.clone(),
        sheet_url: sheet_url(app, opened),
        which: which.into_iter().flatten().collect::<Vec<_>>().join(", "),
        faults: Vec::new(),
        problems: Vec::new(),
        shown: None,
        revision: number,
        here: base.link(&paths::SCALE.with(&[opened.recipe.public_id.as_str()])),
        vessels: std::iter::once(none).chain(all).collect(),
        club_loss: case.club_loss.clone(),
        has_vessels: case.choices.iter().any(Choice::is_mine),
        vessels_url: base.link(crate::vessels::paths::LIST.path),
        units,
        asked,
    }
}

fn shown(app: &App, member: &Member, case: &Case, asked: &Asked, made: &Made) -> Shown {
    let (opened, weighing) = (&case.opened, &case.weighing);
    let units = weighing.units;
    let settings = engine_settings(&Viewer::known(member.clone()));
    let troubles = fit::troubles(&opened.document, made, &case.choices, &settings);
    let views = made.portions.iter().map(|portion| {
        let view = weighed_view(&portion.document, &portion.rounded, &opened.reader);
        (portion, view)
    });
    let views: Vec<_> = views.collect();
    let cautions = views
        .first()
        .map(|(_, view)| view.cautions.iter().chain(&view.more_cautions));
    let dangers = cautions.into_iter().flatten();
    let effects = made
        .portions
        .iter()
        .filter_map(|of| effect(&of.rounded, weighing));
    let base = app.site.base();
    let number = opened.revision.number;
    let path = paths::SCALE_OPEN.with(&[opened.recipe.public_id.as_str()]);
    let query = asked.query(number);
    let several = made.portions.iter().map(|of| of.count()).sum::<u32>() > 1;
    let takes = made
        .takes_l
        .filter(|takes| made.volume_l > takes * (1.0 + 1e-9));
    Shown {
        lead: words::lead(made, units),
        figures: words::figures(made),
        beware: troubles
            .iter()
            .map(|it| words::trouble(it, made, units))
            .collect(),
        dangers: dangers
            .filter(|caution| caution.class == "danger")
            .cloned()
            .collect(),
        volumes: words::volumes(made, units),
        columns: match several {
            true => made.portions.iter().map(words::portion).collect(),
            false => Vec::new(),
        },
        amounts: amounts(made, weighing, member.settings.sachet_g),
        rounding: effects
            .max_by(|one, other| weight(one).total_cmp(&weight(other)))
            .map_or(String::new(), |it| words::rounding(&it, weighing, made)),
        fed: views
            .iter()
            .map(|(portion, view)| Fed {
                of: match several {
                    true => words::portion(portion),
                    false => String::new(),
                },
                feeds: view.feeds.clone(),
            })
            .filter(|fed| !fed.feeds.is_empty())
            .collect(),
        shopping: bought(
            made,
            list(&made.given, &made.numbers, &opened.reader),
            units,
        ),
        amounts_url: base.link(&format!("{path}?{query}")),
        aim_url: base.link(&format!("{path}?{query}&keep=aim")),
        batch_url: base.link(&format!(
            "{}?recipe={}&{query}",
            batches::paths::NEW.path,
            opened.recipe.public_id.as_str()
        )),
        takes: takes.map(|takes| {
            let litres = units::volume_text((takes * 20.0).floor() / 20.0, units);
            let other = asked.for_volume(litres).query(number);
            let here = paths::SCALE.with(&[opened.recipe.public_id.as_str()]);
            let words = format!("Make the {} that fit", units::volume(takes, units));
            (base.link(&format!("{here}?{other}")), words)
        }),
        links: links(app, &opened.recipe, &opened.revision, None, None),
    }
}

/// How far an effect moves the strength: the one that moves it most is told.
fn weight(effect: &Effect) -> f64 {
    (effect.abv.to - effect.abv.from).abs()
}

/// The list with honey in the jars that were asked for, where one honey makes all of the must.
fn bought(made: &Made, mut shopping: Shopping, units: Units) -> Shopping {
    let Some((count, kg)) = made.jars else {
        return shopping;
    };
    let told = matches!(
        made.wish.honey,
        HoneyBy::Jars(Some(_)) | HoneyBy::JarsAtStrength(Some(_))
    );
    let mut honeys = super::weigh::honeys_of_the_must(&made.given);
    let (honey, others) = (honeys.next(), honeys.next());
    let in_all: f64 = (made.numbers.ingredients.iter())
        .filter(|line| honey.is_some_and(|honey| honey.name == line.name))
        .filter_map(|line| line.kg)
        .sum();
    let (Some(honey), None, true) = (honey, others, told) else {
        return shopping;
    };
    // Sweetening takes of the same honey: then another jar is opened.
    let count = (in_all / kg - 1e-6).ceil().max(count);
    for line in shopping
        .lines
        .iter_mut()
        .filter(|line| line.what == honey.name)
    {
        let word = if count == 1.0 { "jar" } else { "jars" };
        line.buy = format!(
            "{} {word} of {}",
            units::plain(count, 0),
            units::mass(kg, units)
        );
        line.cost = honey.price_per_kg.map(|price| price * count * kg);
    }
    let known: Vec<f64> = shopping.lines.iter().filter_map(|line| line.cost).collect();
    shopping.cost = (!known.is_empty()).then(|| known.iter().sum());
    shopping
}

/// Opens what was made to fit in the workbench, unsaved: with the amounts as they are weighed, or with the aim at that volume.
async fn open_made(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(which): Query<Which>,
    Query(asked): Query<Asked>,
) -> Answer {
    let case = case(&app, &member, &id, &which).await?;
    let (opened, units) = (&case.opened, member.settings.units);
    let settings = engine_settings(&Viewer::known(member.clone()));
    let asked = asked.chosen();
    let made = asked
        .check(&case.choices, &case.club, units)
        .ok()
        .and_then(|wish| make(&opened.document, &wish, &case.weighing, &settings, units).ok());
    let number = opened.revision.number;
    let Some(made) = made else {
        let path = paths::SCALE.with(&[opened.recipe.public_id.as_str()]);
        let back = format!("{path}?{}", asked.query(number));
        return see_other(app.site.base(), &back);
    };
    let keeps_aim = which.keep.as_deref() == Some("aim");
    let document = if keeps_aim {
        &made.document
    } else {
        &made.given
    };
    let mut form = fill::fill(&opened.to_keep(document), units, &opened.reader.catalogue);
    assume::recognise_vessel(&mut form, &opened.reader);
    form.set("from_recipe", opened.recipe.public_id.as_str());
    form.set("from_number", number.to_string());
    form.set("title", format!("{}, my own", opened.revision.title));
    form.set("visibility", Visibility::Private.as_str());
    let said = match keeps_aim {
        true => "Its aim stands as it was: the amounts are solved for this volume.",
        false => {
            "The amounts stand as you weigh them, so that the strength follows from them. Choose a strength under “Aim for” to have them solved again."
        }
    };
    open_unsaved(&app, &member, &opened.reader, form, said.to_owned()).await
}

//! Sweetening: to a gravity, to so much sugar, or to how sweet it is against its acid; a little short first, then tasted again.

use askama::Template;
use axum::extract::{Path, RawQuery, State};
use axum::http::StatusCode;

use super::known;
use super::offered::{Sweet, sweeteners};
use super::passing::{self, Danger, unexplained};
use super::shared::{Head, address, done, entries, mass_kg, once_of, shell, speaks, when, write};
use crate::app::App;
use crate::batches::opened::{Opened, open_own};
use crate::batches::paths;
use crate::batches::plan::{CautionLine, held};
use crate::engine::density::sg_of_fraction;
use crate::engine::finish::sweetness::{Cannot, Mead, Sweetened, Target, sweeten};
use crate::engine::log::Deed;
use crate::engine::log::entry::{Addition, Why};
use crate::engine::recipe::Finish;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page_with, see_other};
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::units::{self, Units};
use crate::web::viewer::Member;

/// Fields that the address may carry.
const MAX_FIELDS: usize = 20;
/// The fields of the question, carried along when something went in.
const ASKED: [&str; 5] = ["sweetener", "by", "gravity", "sugar", "ratio"];

#[derive(Template)]
#[template(path = "batches/finishing/sweeten.html")]
struct SweetenPage {
    shell: Shell,
    head: Head,
    lead: String,
    /// Acid as far as it is known; empty where it is not.
    acid: String,
    warnings: Vec<CautionLine>,
    sweeteners: Vec<(String, String)>,
    here: String,
    answer: Option<Told>,
    carried: Vec<(&'static str, String)>,
    action: String,
    stabilise_url: String,
    asks_why: bool,
    form: FormState,
    once: String,
}

impl SweetenPage {
    const BY: &[(&str, &str)] = &[
        ("gravity", "a gravity"),
        ("sugar", "so much sugar in a litre"),
        ("ratio", "how sweet it is against its acid"),
    ];
}

/// An answer in words.
struct Told {
    lead: String,
    then: Vec<String>,
    first: String,
    /// Whom it can hurt.
    caution: String,
}

/// What was asked, and what came of it.
struct Case {
    sweet: Option<Sweet>,
    found: Option<Sweetened>,
}

fn begin(opened: &Opened, form: &mut FormState, sweets: &[Sweet]) {
    if form.typed("sweetener").is_empty()
        && let Some(first) = sweets.first()
    {
        form.set("sweetener", first.key.clone());
    }
    if form.typed("by").is_empty() {
        form.set("by", "gravity");
        if let Finish::SweetenTo(sg) = opened.recipe.finish
            && form.typed("gravity").is_empty()
        {
            form.set("gravity", units::gravity(sg));
        }
    }
}

/// The gravity, sugar or ratio that is wanted; nothing where nothing was asked yet.
fn target(typed: &mut Typed<'_>, by: &str) -> Result<Option<Target>, Error> {
    match by {
        "sugar" => {
            let sugar = typed.read("sugar", |text| {
                units::parse_number_within(text.trim_end_matches("g/L"), 0.0, 400.0)
                    .map_err(|_| "Write grams in a litre from 0 to 400, such as 35.")
            })?;
            Ok(sugar.map(Target::Sugar))
        }
        "ratio" => {
            let ratio = typed.read("ratio", |text| {
                units::parse_number_within(text, 0.0, 50.0)
                    .map_err(|_| "Write grams of sugar for each gram of acid, 0 to 50, such as 4.")
            })?;
            Ok(ratio.map(Target::SugarToAcid))
        }
        _ => {
            let sg = typed.read("gravity", |text| {
                units::parse_gravity(text, sg_of_fraction).map_err(|fault| fault.to_string())
            })?;
            if sg.is_some_and(|sg| !(0.97..=1.2).contains(&sg)) {
                typed.form.refuse(
                    "gravity",
                    "Write a gravity from 0.970 to 1.200, such as 1.012.",
                );
            }
            Ok(sg.map(Target::Gravity))
        }
    }
}

/// The field in which a target is typed.
fn field_of(target: Target) -> &'static str {
    match target {
        Target::Gravity(_) => "gravity",
        Target::Sugar(_) => "sugar",
        Target::SugarToAcid(_) => "ratio",
    }
}

fn cannot(why: Cannot) -> &'static str {
    match why {
        Cannot::ThereAlready => {
            "It is as sweet as that already, or sweeter. Only blending with a drier mead makes it less sweet."
        }
        Cannot::TooWeak => "No amount of this makes it so sweet. Choose something sweeter.",
        Cannot::AcidUnknown => {
            "How sour it is nobody has measured. Write its acidity into the log, or choose another way."
        }
        Cannot::NotByGravity => {
            "So little of this sweetens that no hydrometer shows it. Say how much sugar it should taste like."
        }
    }
}

/// Reads the question and answers it; faults stand in the form.
fn solve(typed: &mut Typed<'_>, mead: &Mead, sweets: Vec<Sweet>) -> Result<Case, Error> {
    let key = typed.form.typed("sweetener").to_owned();
    let by = typed.form.typed("by").to_owned();
    let sweet = sweets.into_iter().find(|sweet| sweet.key == key);
    if sweet.is_none() && !key.is_empty() {
        typed.form.refuse("sweetener", "Choose one of the list.");
    }
    let target = target(typed, &by)?;
    let asked = target.zip(sweet.as_ref()).filter(|_| typed.form.is_sound());
    let mut found = None;
    if let Some((target, sweet)) = asked {
        match sweeten(mead, &sweet.is, target) {
            Ok(is) => found = Some(is),
            Err(why) => typed.form.refuse(field_of(target), cannot(why)),
        }
    }
    Ok(Case { sweet, found })
}

fn told(opened: &Opened, sweet: &Sweet, is: &Sweetened, reads: Units) -> Told {
    let state = &opened.state;
    let mut then = vec![format!(
        "It is then {} with {} of alcohol instead of {}: what joins it makes it weaker.",
        units::volume(is.state.volume_l, reads),
        units::abv(is.state.abv_percent),
        units::abv(state.abv_percent)
    )];
    let measured = known::measured_acid(opened).and(is.acid_g_per_l);
    if let Some(acid) = measured.filter(|acid| *acid > 0.0) {
        then.push(format!(
            "That is {} g of sugar for each gram of acid.",
            units::plain(is.sweet_g_per_l / acid, 1)
        ));
    }
    let mass = |kg: f64| units::mass(kg, reads);
    Told {
        caution: sweet.caution.clone(),
        lead: format!(
            "{} of {} brings it from {} to {}, as sweet as {} of sugar.",
            mass(is.kg),
            sweet.name,
            units::gravity(state.sg),
            units::gravity(is.state.sg),
            units::grams_per_litre(is.sweet_g_per_l)
        ),
        then,
        first: format!(
            "Put in {} first: it then reads about {}, a little short. Stir, leave it for an hour, taste, and only then give the rest, or less. More can go in later; nothing comes out.",
            mass(is.first_kg),
            units::gravity(is.first_sg)
        ),
    }
}

/// Sugar in a mead that was not stabilised.
fn dangers(opened: &Opened, sweet: Option<&Sweet>) -> Vec<Danger> {
    let ferments = sweet.is_none_or(|sweet| sweet.ferments);
    match ferments && !opened.state.stabilised {
        true => vec![Danger::NotStabilised],
        false => Vec::new(),
    }
}

fn sweeten_page(
    app: &App,
    (member, opened): (&Member, &Opened),
    sweets: &[(String, String)],
    case: &Case,
    mut form: FormState,
) -> Result<SweetenPage, Error> {
    let state = &opened.state;
    let reads = member.settings.units;
    let dangers = dangers(opened, case.sweet.as_ref());
    let answer = case.sweet.as_ref().zip(case.found.as_ref());
    if let Some((_, is)) = answer
        && form.typed("amount").is_empty()
    {
        form.set("amount", units::mass(is.first_kg, reads));
    }
    let acid = state.ta_g_per_l.map(|acid| {
        let how = match known::measured_acid(opened) {
            Some(_) => "as measured",
            None => "as planned; nobody has measured it",
        };
        format!(
            "Its acidity is {}, {how}. Around 2 g of sugar for each gram of acid the two are even, from 4 g on the sugar leads: a scale of the wine trade, from memory.",
            units::grams_per_litre(acid)
        )
    });
    Ok(SweetenPage {
        shell: shell(app, member),
        head: Head::of(app, opened),
        lead: format!(
            "{} at {}, {} of alcohol, {} of sugar.",
            units::volume(state.volume_l, reads),
            units::gravity(state.sg),
            units::abv(state.abv_percent),
            units::grams_per_litre(state.sugar_g_per_l)
        ),
        acid: acid.unwrap_or_default(),
        warnings: dangers.iter().map(|_| not_stabilised()).collect(),
        sweeteners: sweets.to_vec(),
        here: address(app, opened, paths::SWEETEN),
        answer: answer.map(|(sweet, is)| told(opened, sweet, is, reads)),
        carried: ASKED
            .iter()
            .map(|name| (*name, form.typed(name).to_owned()))
            .collect(),
        action: address(app, opened, paths::SWEETENED),
        stabilise_url: address(app, opened, paths::STABILISE),
        asks_why: !unexplained(opened, &dangers).is_empty(),
        once: once_of(&form, member)?,
        form,
    })
}

fn not_stabilised() -> CautionLine {
    CautionLine {
        class: "danger",
        lead: "It was not stabilised".to_owned(),
        sentence: "Yeast that is still in it can use this sugar, even after months, and burst the bottles. Stabilise it first and wait 24 to 48 hours, or take something that does not ferment.".to_owned(),
        more: String::new(),
    }
}

fn listed(sweets: &[Sweet]) -> Vec<(String, String)> {
    sweets
        .iter()
        .map(|sweet| (sweet.key.clone(), sweet.words.clone()))
        .collect()
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
) -> Answer {
    let posted = Posted::asked(query, MAX_FIELDS)?;
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    let catalogue = app.catalogue.now(&mut conn).await?;
    drop(conn);
    let sweets = sweeteners(&opened, &catalogue);
    let list = listed(&sweets);
    let mut typed = Typed::of(&posted);
    begin(&opened, &mut typed.form, &sweets);
    let case = match posted.is_empty() || known::is_empty(&opened) {
        true => Case {
            sweet: sweets.into_iter().next(),
            found: None,
        },
        false => solve(&mut typed, &known::mead(&opened), sweets)?,
    };
    let status = match typed.form.is_sound() {
        true => StatusCode::OK,
        false => StatusCode::UNPROCESSABLE_ENTITY,
    };
    let shown = sweeten_page(&app, (&member, &opened), &list, &case, typed.form)?;
    page_with(status, &shown)
}

pub(super) async fn give(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let (once, route) = (Once::read(&posted, &member)?, paths::SWEETENED);
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(to) = once::claim(&mut tx, &once, &member, route).await? {
        return see_other(app.site.base(), &to);
    }
    let opened = held(&mut tx, &member, &id).await?;
    let catalogue = app.catalogue.now(&mut tx).await?;
    let sweets = sweeteners(&opened, &catalogue);
    let list = listed(&sweets);
    let to = speaks(&app, &member);
    let mut typed = Typed::of(&posted);
    let case = solve(&mut typed, &known::mead(&opened), sweets)?;
    let at = when(&mut typed, to, &opened)?;
    let deeds = deeds(&mut typed, &opened, &case, to.units)?;
    let Some(at) = at.filter(|_| typed.form.is_sound()) else {
        let again = sweeten_page(&app, (&member, &opened), &list, &case, typed.form)?;
        return form_again(&again);
    };
    let entries = entries(deeds, at, &member);
    let to = done(&id);
    write(&app, tx, (&member, &opened), &entries, (&once, route, &to)).await
}

/// What went in, after the reason for going on where it was not stabilised.
fn deeds(
    typed: &mut Typed<'_>,
    opened: &Opened,
    case: &Case,
    reads: Units,
) -> Result<Vec<Deed>, Error> {
    let kg = mass_kg(typed, "amount", reads)?;
    if kg.is_none() && typed.form.fault("amount").is_none() {
        typed
            .form
            .refuse("amount", "Write how much went in, such as 950 g or 1.2 kg.");
    }
    let open = unexplained(opened, &dangers(opened, case.sweet.as_ref()));
    let mut deeds = passing::read(typed, &open)?;
    let Some((sweet, kg)) = case.sweet.as_ref().zip(kg) else {
        return Ok(deeds);
    };
    deeds.push(Deed::Addition(Addition {
        why: Some(Why::Sweeten),
        kg: (kg >= 0.1).then_some(kg),
        grams: (kg < 0.1).then_some(1000.0 * kg),
        ..sweet.addition.clone()
    }));
    Ok(deeds)
}

//! A tasting as it is read: before the end what is poured and who is there, afterwards what was said.

use askama::Template;
use askama::filters::HtmlSafe;
use axum::extract::{Path, Query, State};
use serde::Deserialize;
use sqlx::PgConnection;

use super::model::{Kind, Pour, Tasting};
use super::pages::{found, shell, told};
use super::results::{self, Counted, OfMead};
use super::verdict::{self, Verdict};
use super::{paths, seats, store};
use crate::app::App;
use crate::batches;
use crate::safety;
use crate::web::dates::moment;
use crate::web::error::Error;
use crate::web::pages::{Answer, not_stored, page};
use crate::web::paths::Route;
use crate::web::shell::Shell;
use crate::web::units::plain;
use crate::web::viewer::{Member, MemberId, Viewer};
use crate::web::words::tasting::{lines, sense_label};

/// A mead as its readers may know it.
pub(super) struct PourRow {
    pub called: String,
    pub url: Option<String>,
}

/// What everybody at a table is told first.
#[derive(Template)]
#[template(path = "tastings/_care.html")]
pub(super) struct Care {
    drinking_url: String,
    allergies_url: String,
    /// What at least one of the glasses holds.
    holds: String,
}

impl HtmlSafe for Care {}

impl Care {
    /// Of these meads, without telling which of them holds what.
    pub fn of(app: &App, pours: &[Pour]) -> Care {
        let mut holds: Vec<&str> = pours
            .iter()
            .flat_map(|pour| pour.allergens.iter().map(String::as_str))
            .collect();
        holds.sort_unstable();
        holds.dedup();
        let base = app.site.base();
        Care {
            drinking_url: base.link(&safety::paths::subject("drinking")),
            allergies_url: base.link(&safety::paths::subject("allergies")),
            holds: holds.join(", "),
        }
    }
}

/// What was said of one mead, as it is drawn.
struct MeadPart {
    row: PourRow,
    lead: String,
    /// Of each sense how many found too little, just enough, too much.
    senses: Vec<(&'static str, [usize; 3])>,
    said: Vec<(String, Vec<String>)>,
}

impl MeadPart {
    fn of(app: &App, tasting: &Tasting, of: &OfMead<'_>) -> MeadPart {
        let lead = match of.liking {
            Some(liking) => format!(
                "{} of 9 on average, from {} to {}, by {}",
                plain(liking.mean, 1),
                liking.least,
                liking.most,
                liking.of
            ),
            None => "Nobody said how much it is liked".to_owned(),
        };
        let said = of.said.iter();
        MeadPart {
            row: pour_row(app, tasting, of.pour),
            lead,
            senses: of.senses.iter().map(counted).collect(),
            said: said
                .map(|(by, said)| ((*by).to_owned(), lines(said)))
                .collect(),
        }
    }
}

fn counted(of: &Counted) -> (&'static str, [usize; 3]) {
    (sense_label(of.sense), [of.little, of.right, of.much])
}

/// What came of a tasting; drawn for members and guests alike.
#[derive(Template)]
#[template(path = "tastings/_results.html")]
pub(super) struct ResultsPart {
    meads: Vec<MeadPart>,
    verdict: Option<Verdict>,
    /// Who said what of their glasses.
    picks: Vec<(String, String)>,
}

impl HtmlSafe for ResultsPart {}

impl ResultsPart {
    /// Of a closed tasting.
    pub async fn of(
        app: &App,
        conn: &mut PgConnection,
        tasting: &Tasting,
        viewer: Option<MemberId>,
    ) -> Result<ResultsPart, Error> {
        let pours = store::pours(conn, viewer, tasting.id).await?;
        let answers = seats::store::answers(conn, tasting.id).await?;
        let verdict = match tasting.kind {
            Kind::Shared => None,
            Kind::Triangle => Some(verdict::triangle(&answers)),
            Kind::Ranking => Some(verdict::ranking(&pours, &answers)),
        };
        let meads = match tasting.kind {
            Kind::Shared => results::of_meads(&pours, &answers),
            Kind::Triangle | Kind::Ranking => Vec::new(),
        };
        let picks = answers.iter().filter_map(|answer| {
            let words = verdict::picked(answer, &pours)?;
            Some((answer.by.clone(), words))
        });
        Ok(ResultsPart {
            meads: meads
                .iter()
                .map(|one| MeadPart::of(app, tasting, one))
                .collect(),
            verdict,
            picks: picks.collect(),
        })
    }
}

/// A pour in a list.
pub(super) fn pour_row(app: &App, tasting: &Tasting, pour: &Pour) -> PourRow {
    let batch = pour.batch.as_ref().filter(|_| tasting.is_named());
    PourRow {
        called: pour.called(tasting),
        url: batch.map(|batch| {
            let path = batches::paths::BATCH.with(&[batch.as_str()]);
            app.site.base().link(&path)
        }),
    }
}

/// What only its host does.
struct Host {
    guests_url: String,
    sheets_url: String,
    key_url: String,
    found_url: String,
    off_url: String,
}

#[derive(Template)]
#[template(path = "tastings/tasting.html")]
struct TastingPage {
    shell: Shell,
    list_url: String,
    title: String,
    by: String,
    about: &'static str,
    question: String,
    open: bool,
    coded: bool,
    on_paper: bool,
    pours: Vec<PourRow>,
    /// How many glasses there are, where each has a code of its own.
    glasses: String,
    /// Who sits at it; nobody does where sheets of paper go round.
    there: String,
    care: Care,
    seated: bool,
    sit_at: String,
    seat_url: String,
    close_at: Option<String>,
    host: Option<Host>,
    /// What the panel would notice.
    planned: Vec<String>,
    results: Option<ResultsPart>,
}

/// "3 have a seat, 1 has said something."
fn there(seats: i64, answered: i64) -> String {
    let have = |count: i64| match count {
        0 => "nobody has".to_owned(),
        1 => "1 has".to_owned(),
        many => format!("{many} have"),
    };
    match seats {
        0 => "Nobody has a seat yet.".to_owned(),
        _ => format!("{} a seat, {} said something.", have(seats), have(answered)),
    }
}

#[derive(Deserialize)]
pub(super) struct Told {
    done: Option<String>,
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(said): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let tasting = found(&mut conn, &member, &id).await?;
    let mut shown = tasting_page(&app, &mut conn, &member, &tasting).await?;
    drop(conn);
    let words = match said.done.as_deref() {
        Some("opened") => "Open. Members find it among the tastings; guests need a link.",
        Some("closed") => "Closed. Everybody who said something reads everything now.",
        _ => "",
    };
    shown.shell = shown.shell.saying(words);
    not_stored(page(&shown))
}

async fn tasting_page(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    tasting: &Tasting,
) -> Result<TastingPage, Error> {
    let pours = store::pours(conn, Some(member.id), tasting.id).await?;
    let servings = seats::store::servings(conn, tasting.id).await?;
    let (seats, answered) = store::count(conn, tasting.id).await?;
    let results = match tasting.readable {
        true => Some(ResultsPart::of(app, conn, tasting, Some(member.id)).await?),
        false => None,
    };
    let owns = tasting.host == member.id;
    let keeps = Viewer::known(member.clone()).is_keeper();
    let base = app.site.base();
    let at = |route: Route| base.link(&route.with(&[tasting.public_id.as_str()]));
    let zone = member.settings.zone;
    let told_by = match tasting.closed_at {
        Some(closed) => format!("{}, closed {}", tasting.host_name, moment(closed, zone)),
        None => format!(
            "{}, {}",
            tasting.host_name,
            moment(tasting.created_at, zone)
        ),
    };
    let tasters = u32::try_from(servings.len()).unwrap_or(0);
    Ok(TastingPage {
        shell: shell(app, member),
        list_url: base.link(paths::LIST.path),
        title: tasting.title.clone(),
        by: format!("by {told_by}"),
        about: told(tasting.kind).1,
        question: tasting.question.clone(),
        open: tasting.is_open(),
        coded: tasting.coded,
        on_paper: tasting.on_paper,
        // Until the end nobody but the host knows which meads lie behind glasses with codes of their own.
        pours: match tasting.kind == Kind::Shared || !tasting.is_open() || owns {
            true => pours
                .iter()
                .map(|pour| pour_row(app, tasting, pour))
                .collect(),
            false => Vec::new(),
        },
        glasses: match servings.first() {
            Some(one) => format!("{tasters} tasters, {} glasses each", one.glasses.len()),
            None => String::new(),
        },
        there: match tasting.on_paper {
            true => String::new(),
            false => there(seats, answered),
        },
        care: Care::of(app, &pours),
        seated: tasting.seated,
        sit_at: at(paths::SIT),
        seat_url: at(paths::SEAT),
        close_at: (tasting.is_open() && (owns || keeps)).then(|| at(paths::CLOSE)),
        host: owns.then(|| Host {
            guests_url: at(paths::GUESTS),
            sheets_url: at(paths::SHEETS),
            key_url: at(paths::KEY),
            found_url: at(paths::FOUND),
            off_url: at(paths::REMOVE),
        }),
        planned: match tasting.kind == Kind::Triangle && tasting.is_open() {
            true => vec![verdict::needed(tasters), verdict::noticed(tasters)],
            false => Vec::new(),
        },
        results,
    })
}

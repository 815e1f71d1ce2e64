//! The page of a sheet for those who look after sheets.

use askama::Template;

use super::LookedAfter;
use crate::app::App;
use crate::competitions::judging::forms::Difference;
use crate::competitions::judging::model::Stage;
use crate::competitions::judging::page::{Facts, ReadSheet, SheetFields};
use crate::competitions::judging::paths;
use crate::competitions::model::Duty;
use crate::competitions::phases::{Act, allows};
use crate::competitions::shown::shell;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::once::Once;
use crate::web::paths::Route;
use crate::web::shell::Shell;
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "competitions/judging/paper.html")]
pub(super) struct PaperPage {
    shell: Shell,
    sheets_url: String,
    called: String,
    code: String,
    judge: String,
    facts: Facts,
    says: &'static str,
    all: SheetFields,
    types_at: Option<String>,
    checks_at: Option<String>,
    /// The points that were typed first differ from those typed now, and the second reader has seen it.
    pub insists: bool,
    read: Option<ReadSheet>,
    reopens_at: Option<String>,
    pub meanwhile: Vec<Difference>,
    form: FormState,
    once: String,
}

/// The page of a sheet for whoever looks after it, with a form as it was typed.
pub(super) fn paper_page(
    app: &App,
    member: &Member,
    found: &LookedAfter,
    form: FormState,
) -> Result<PaperPage, Error> {
    let base = app.site.base();
    let phase = found.opened.competition.phase;
    let at = |route: Route| {
        base.link(&route.with(&[
            found.opened.competition.public_id.as_str(),
            found.flight.public_id.as_str(),
            &found.glass.code,
            found.judge.public_id.as_str(),
        ]))
    };
    let stage = found.stage();
    let typed_by_them = found.last.as_ref().is_some_and(|last| last.by == member.id);
    let types = matches!(stage, Stage::Blank | Stage::Begun) && allows(phase, Act::TypePaper);
    let checks = stage == Stage::Typed && !typed_by_them && allows(phase, Act::CheckPaper);
    let organises = found.opened.has(Duty::Organiser);
    let reads = checks || (stage == Stage::Signed && organises);
    let reopens = stage == Stage::Signed && organises && allows(phase, Act::ReopenSheet);
    let last = found.last.as_ref();
    let mut read = last
        .filter(|_| reads)
        .map(|last| ReadSheet::of(found.rules(), &last.sheet));
    if let Some(read) = read.as_mut().filter(|_| checks) {
        // The second reader gives the points from the paper, not from the first reading.
        read.sections
            .iter_mut()
            .for_each(|section| section.points.clear());
        read.total.clear();
        read.band.clear();
    }
    Ok(PaperPage {
        shell: shell(app, member),
        sheets_url: base.link(&paths::SHEETS.with(&[found.opened.competition.public_id.as_str()])),
        called: found.flight.called(),
        code: found.glass.code.clone(),
        judge: found.judge.name.clone(),
        facts: Facts::of(&found.glass.category_name, &found.glass.declared),
        says: says(stage, types || checks, typed_by_them),
        all: SheetFields::of(found.rules()),
        types_at: types.then(|| at(paths::TYPE)),
        checks_at: checks.then(|| at(paths::CHECK)),
        insists: false,
        read,
        reopens_at: reopens.then(|| at(paths::REOPEN)),
        meanwhile: Vec::new(),
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
        form,
    })
}

fn says(stage: Stage, writes: bool, typed_by_them: bool) -> &'static str {
    match (stage, writes) {
        (Stage::Blank | Stage::Begun, true) => {
            "Type in what stands on the paper. A second person then compares it."
        }
        (Stage::Typed, true) => {
            "It was typed in. Read the words below against the paper, and type the points once more, from the paper."
        }
        (Stage::Typed, false) if typed_by_them => {
            "You typed it in. Somebody else compares it with the paper."
        }
        (Stage::Typed, false) => {
            "It was typed in from paper, and waits for somebody to compare it."
        }
        (Stage::Signed, _) => "It is signed.",
        (Stage::SteppedBack, _) => "This judge stepped back from the entry.",
        (Stage::Blank, _) => "It is not begun.",
        (Stage::Begun, _) => "It is begun, and not signed.",
    }
}

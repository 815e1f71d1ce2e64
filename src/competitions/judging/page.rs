//! One sheet as a page: what judges read of the entry, the sections with their points, and what stands there already.

use askama::Template;

use super::forms::{self, Difference};
use super::model::{self, Stage, Written};
use super::seated::Seated;
use super::{paths, words};
use crate::app::App;
use crate::competitions::phases::{Act, allows};
use crate::competitions::shown::shell;
use crate::engine::contest::declared::Declared;
use crate::engine::contest::faults::Fault;
use crate::engine::contest::rules::{Rules, Section};
use crate::engine::contest::sheet::Sheet;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::once::Once;
use crate::web::paths::Route;
use crate::web::shell::Shell;
use crate::web::viewer::{Member, Viewer};

/// A section of the form.
pub(super) struct SectionField {
    pub name: String,
    pub prompt: String,
    pub most: u32,
    pub points: String,
    pub words: String,
}

/// A fault of the form.
pub(super) struct FaultField {
    pub field: String,
    pub name: &'static str,
    pub shows: &'static str,
}

/// The fields of a sheet; one partial draws them for judges and for paper.
pub(super) struct SheetFields {
    pub sections: Vec<SectionField>,
    pub faults: Vec<FaultField>,
}

impl SheetFields {
    /// By the rules of a competition.
    pub fn of(rules: &Rules) -> SheetFields {
        let section = |section: &Section| SectionField {
            name: section.name.clone(),
            prompt: section.prompt.clone(),
            most: section.most,
            points: forms::points_field(&section.key),
            words: forms::words_field(&section.key),
        };
        let fault = |fault: &Fault| {
            let (name, shows) = words::fault(*fault);
            FaultField {
                field: forms::fault_field(*fault),
                name,
                shows,
            }
        };
        SheetFields {
            sections: rules.sections.iter().map(section).collect(),
            faults: Fault::ALL.iter().map(fault).collect(),
        }
    }
}

/// A section of a sheet that is only read.
pub(super) struct ReadSection {
    pub name: String,
    pub points: String,
    pub words: String,
}

/// A sheet that is only read.
pub(super) struct ReadSheet {
    pub sections: Vec<ReadSection>,
    pub total: String,
    pub band: String,
    pub faults: String,
    pub advice: String,
}

impl ReadSheet {
    /// A sheet under the rules of its competition.
    pub fn of(rules: &Rules, sheet: &Sheet) -> ReadSheet {
        let section = |section: &Section| {
            let marked = sheet.sections.get(&section.key);
            let points = marked.and_then(|marked| marked.points);
            ReadSection {
                name: section.name.clone(),
                points: match points {
                    Some(points) => format!("{points} of {}", section.most),
                    None => format!("none of {}", section.most),
                },
                words: marked.map_or(String::new(), |marked| marked.comment.clone()),
            }
        };
        let faults: Vec<&str> = sheet
            .faults
            .iter()
            .map(|code| words::fault_name(code))
            .collect();
        let running = sheet.running(rules);
        ReadSheet {
            sections: rules.sections.iter().map(section).collect(),
            total: format!("{running} of {}", rules.most()),
            band: band(rules, sheet),
            faults: faults.join(", "),
            advice: sheet.advice.clone(),
        }
    }
}

/// The sum of the points in the fields, as far as they can be read.
fn running(rules: &Rules, form: &FormState) -> u32 {
    let points = rules.sections.iter().filter_map(|section| {
        let typed = form.typed(&forms::points_field(&section.key));
        typed.trim().parse::<u32>().ok()
    });
    points.fold(0, u32::saturating_add)
}

/// What a whole sheet calls the mead; empty before it is whole.
fn band(rules: &Rules, sheet: &Sheet) -> String {
    let total = sheet.total(rules);
    let band = total.and_then(|total| rules.band(total));
    band.map_or(String::new(), |band| band.words.clone())
}

/// What judges read of an entry besides its code.
pub(super) struct Facts {
    pub category: String,
    pub declared: String,
    pub special: String,
    pub allergens: String,
    pub note: String,
}

impl Facts {
    /// As it is declared.
    pub fn of(category: &str, declared: &Declared) -> Facts {
        Facts {
            category: category.to_owned(),
            declared: words::declared(declared),
            special: declared.special.clone(),
            allergens: declared.allergens.join(", ").replace('_', " "),
            note: declared.note.clone(),
        }
    }
}

#[derive(Template)]
#[template(path = "competitions/judging/sheet.html")]
pub(super) struct SheetPage {
    shell: Shell,
    table_url: String,
    table: String,
    code: String,
    facts: Facts,
    says: &'static str,
    /// The form, while the sheet can be written.
    fields: Option<SheetFields>,
    /// What stands there, once it cannot.
    read: Option<ReadSheet>,
    most: u32,
    running: u32,
    band: String,
    kept: String,
    version: i32,
    hand: String,
    sequence: i64,
    /// What stands in the form came from the reader, not from what is kept here.
    typed: bool,
    meanwhile: Vec<Difference>,
    form: FormState,
    once: String,
    save_at: String,
    keep_at: String,
    sign_at: String,
    key_at: String,
    recognise_at: Option<String>,
}

/// The page of a sheet: what is kept, or what was typed.
pub(super) fn sheet_page(
    app: &App,
    member: &Member,
    seated: &Seated,
    last: Option<&Written>,
    typed: Option<FormState>,
) -> Result<SheetPage, Error> {
    let competition = &seated.table.opened.competition;
    let rules = &competition.rules;
    let stage = model::stage(last);
    let act = match last.is_some_and(|last| last.reopened) {
        true => Act::MendSheet,
        false => Act::WriteSheet,
    };
    let open = allows(competition.phase, act) && matches!(stage, Stage::Blank | Stage::Begun);
    let empty = Sheet::default();
    let sheet = last.map_or(&empty, |last| &last.sheet);
    let came = typed.is_some();
    let form = typed.unwrap_or_else(|| {
        let mut form = FormState::new();
        forms::fill(sheet, &mut form);
        form
    });
    let (id, flight) = (&competition.public_id, &seated.table.flight);
    let code = seated.glass.code.as_str();
    let base = app.site.base();
    let address = [id.as_str(), flight.public_id.as_str(), code];
    let at = |route: Route| base.link(&route.with(&address));
    Ok(SheetPage {
        shell: shell(app, member),
        table_url: base.link(&paths::TABLE.with(&address[..2])),
        table: flight.called(),
        code: code.to_owned(),
        facts: Facts::of(&seated.glass.category_name, &seated.glass.declared),
        says: says(stage, open),
        fields: open.then(|| SheetFields::of(rules)),
        read: (!open).then(|| ReadSheet::of(rules, sheet)),
        most: rules.most(),
        running: running(rules, &form),
        band: band(rules, sheet),
        kept: format!("{}.{code}", flight.public_id.as_str()),
        version: last.map_or(0, |last| last.number),
        hand: last.map_or(String::new(), |last| last.hand.clone()),
        sequence: last.map_or(0, |last| last.sequence),
        typed: came,
        meanwhile: Vec::new(),
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
        form,
        save_at: at(paths::SAVE),
        keep_at: at(paths::KEEP),
        sign_at: at(paths::SIGN),
        key_at: base.link(&paths::KEY.with(&address[..1])),
        recognise_at: (open && act == Act::WriteSheet).then(|| at(paths::RECOGNISE)),
    })
}

impl SheetPage {
    /// Says something above the heading.
    pub fn saying(mut self, words: &str) -> SheetPage {
        self.shell = self.shell.saying(words);
        self
    }

    /// The row that the typed text was made from, which a fault does not change.
    pub fn made_from(&mut self, version: i32) {
        self.version = version;
    }

    /// Shows what was saved meanwhile beside what was typed.
    pub fn beside(mut self, rules: &Rules, theirs: &Sheet) -> SheetPage {
        self.meanwhile = forms::differences(rules, theirs, &self.form);
        self
    }
}

fn says(stage: Stage, open: bool) -> &'static str {
    match (stage, open) {
        (Stage::Signed, _) => {
            "You have signed this sheet, so it stays as it is. An organiser can give it back to you, with a reason."
        }
        (Stage::Typed, _) => {
            "This sheet was typed in from paper, and waits for somebody to compare it."
        }
        (Stage::SteppedBack, _) => {
            "You stepped back from this entry. The others at your table judge it."
        }
        (_, true) => "",
        (_, false) => "Nothing is written on sheets now.",
    }
}

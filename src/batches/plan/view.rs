//! The plan in words: what comes next, and all steps by their days.

use askama::Template;
use askama::filters::HtmlSafe;

use super::amounts::{self, AmountLine};
use super::when::{Reads, day_words, due_words};
use super::{Placed, fields, planned};
use crate::batches::bottling;
use crate::batches::log::answer::Next;
use crate::batches::opened::Opened;
use crate::batches::paths;
use crate::engine::plan::{State, StepKind};
use crate::engine::problem::{Caution, CautionCode, Severity};
use crate::safety::place_of;
use crate::web::paths::Base;
use crate::web::units::Units;
use crate::web::words::{beware, caution_sentence, step_missed, step_name, step_why};

/// How many steps that are due are shown large.
const LARGE: usize = 3;
/// How many of those that follow are shown, a line each; what lies further ahead is folded.
const SOON: usize = 6;

/// A caution beside a step.
pub struct CautionLine {
    pub class: &'static str,
    pub lead: String,
    pub sentence: String,
    /// Where more is said of it; empty for nothing.
    pub more: String,
}

/// A step as a page shows it.
pub struct StepView {
    pub key: String,
    pub name: String,
    /// When it is due, or what became of it.
    pub when: String,
    pub window: String,
    pub is_late: bool,
    pub is_open: bool,
    pub amounts: Vec<AmountLine>,
    pub why: String,
    pub cautions: Vec<CautionLine>,
    pub missed: String,
    /// How often it is done within its time; empty for once.
    pub often: &'static str,
    pub url: String,
    /// Where it is done without another word; empty where it asks something.
    pub done_at: String,
    /// Where it is done, for a step that fills the batch: its bottles are counted there.
    pub fill_url: String,
}

impl StepView {
    /// All amounts in a line.
    pub fn much(&self) -> String {
        let words: Vec<&str> = self
            .amounts
            .iter()
            .map(|line| line.words.as_str())
            .collect();
        words.join("; ")
    }

    /// Its name, told apart from that of earlier ones: "Taste (2)".
    pub fn title(&self) -> String {
        let last = self.key.rsplit('-').next();
        let number: Option<u32> = last.and_then(|number| number.parse().ok());
        match number.filter(|number| *number > 1) {
            Some(number) if !self.name.ends_with(&format!(" {number}")) => {
                format!("{} ({number})", self.name)
            }
            _ => self.name.clone(),
        }
    }
}

/// Who reads a plan, and where.
#[derive(Clone, Copy)]
pub struct Reader<'a> {
    pub base: &'a Base,
    pub reads: Reads,
    pub units: Units,
    /// Whether it is their own batch.
    pub is_own: bool,
}

/// A step in words.
pub fn view(opened: &Opened, placed: &Placed, reader: Reader<'_>) -> StepView {
    let (step, reads, units) = (&placed.step, reader.reads, reader.units);
    let id = opened.batch.public_id.as_str();
    let at = |route: crate::web::paths::Route| reader.base.link(&route.with(&[id, &step.key]));
    let fills = placed.is_open() && reader.is_own && is_filling(step.kind);
    let quick = placed.is_open()
        && reader.is_own
        && !fills
        && !fields::asks(step)
        && step.every_h.is_none();
    let late = placed.is_open() && placed.timing.is_some_and(|timing| timing.is_late(reads));
    let window = placed.timing.filter(|_| placed.is_open());
    StepView {
        key: step.key.clone(),
        name: step_name(step),
        when: when(opened, placed, reads),
        window: window
            .and_then(|timing| timing.window(reads))
            .unwrap_or_default(),
        is_late: late,
        is_open: placed.is_open(),
        amounts: amounts::lines(&step.amounts, units)
            .into_iter()
            .map(|line| AmountLine {
                reckon: match line.reckon.as_str() {
                    "" => String::new(),
                    // The batch's own page knows its log.
                    _ if reader.is_own && is_filling(step.kind) => fill_url(reader.base, id),
                    path => reader.base.link(path),
                },
                ..line
            })
            .collect(),
        why: step_why(step, units),
        cautions: cautions(placed, reader),
        missed: step_missed(step, units)
            .filter(|_| placed.is_open())
            .unwrap_or_default(),
        often: match step.every_h {
            Some(hours) if hours <= 12.0 => "twice a day",
            Some(_) => "every day",
            None => "",
        },
        url: match reader.is_own {
            true => at(paths::STEP),
            false => String::new(),
        },
        done_at: match quick {
            true => at(paths::STEP_DONE),
            false => String::new(),
        },
        fill_url: match fills {
            true => fill_url(reader.base, id),
            false => String::new(),
        },
    }
}

/// Whether a step is done on the page that fills a batch.
pub fn is_filling(kind: StepKind) -> bool {
    matches!(kind, StepKind::Prime | StepKind::Package | StepKind::Keg)
}

/// Where a batch is filled.
pub fn fill_url(base: &Base, batch: &str) -> String {
    base.link(&bottling::paths::BOTTLING.with(&[batch]))
}

fn when(opened: &Opened, placed: &Placed, reads: Reads) -> String {
    let day = |hours: f64| {
        let at = opened.batch.at_hours(hours);
        at.map_or_else(String::new, |at| {
            day_words(at.with_timezone(&reads.zone).date_naive(), reads.today())
        })
    };
    match placed.step.state {
        State::Open => due_words(&placed.step, placed.timing, reads),
        State::Moved { .. } => {
            format!("moved to {}", due_words(&placed.step, placed.timing, reads))
        }
        State::Done { hours } => format!("done {}", day(hours)),
        State::Skipped { hours } => format!("left out {}", day(hours)),
        State::Past => "gone by, nothing written down".to_owned(),
    }
}

/// A caution of the engine in words.
pub fn caution_line(caution: &Caution, base: &Base, units: Units) -> CautionLine {
    let arguments = serde_json::to_value(&caution.arguments).unwrap_or_default();
    let words = caution_sentence(caution.code.as_str(), &arguments, units);
    CautionLine {
        class: match caution.severity {
            Severity::Danger => "danger",
            Severity::Watch => "watch",
            Severity::Note => "",
        },
        lead: words.lead,
        sentence: words.sentence,
        more: place_of(caution.code)
            .map(|place| base.link(&place.path()))
            .unwrap_or_default(),
    }
}

fn cautions(placed: &Placed, reader: Reader<'_>) -> Vec<CautionLine> {
    let step = &placed.step;
    let mut known: Vec<_> = step.cautions.iter().collect();
    known.sort_by_key(|caution| std::cmp::Reverse(caution.severity));
    let told = known
        .into_iter()
        .map(|caution| caution_line(caution, reader.base, reader.units));
    let care = step.beware.iter().map(|code| {
        let words = beware(*code);
        CautionLine {
            class: "watch",
            lead: words.lead,
            sentence: words.sentence,
            more: String::new(),
        }
    });
    told.chain(care).collect()
}

/// A reason that stands above already is not said again, nor is what is no danger: the plan is read in one go.
pub fn say_once(steps: &mut [StepView]) {
    let mut said: Vec<String> = Vec::new();
    for step in steps {
        let mut is_new = |words: &str| {
            let new = !said.iter().any(|one| one == words);
            said.extend(new.then(|| words.to_owned()));
            new
        };
        if !is_new(&step.why) {
            step.why.clear();
        }
        step.cautions
            .retain(|caution| caution.class == "danger" || is_new(&caution.sentence));
    }
}

/// The plan on the sheet of a batch.
#[derive(Template)]
#[template(path = "batches/_plan.html")]
pub struct PlanPart {
    next: Vec<StepView>,
    open: Vec<StepView>,
    /// What lies further ahead.
    later: Vec<StepView>,
    closed: Vec<StepView>,
    plan_url: String,
    once: String,
}

/// A template has escaped what it printed.
impl HtmlSafe for PlanPart {}

impl PlanPart {
    /// Of a batch; `None` where nothing is planned. `once` is the key of its forms.
    pub fn of(opened: &Opened, reader: Reader<'_>, once: String) -> Option<PlanPart> {
        let all = planned(opened, reader.reads);
        if all.is_empty() {
            return None;
        }
        let show = |placed: &Placed| view(opened, placed, reader);
        let path = paths::PLAN.with(&[opened.batch.public_id.as_str()]);
        let (open, closed): (Vec<&Placed>, Vec<&Placed>) =
            all.iter().partition(|placed| placed.is_open());
        let next = next(&open);
        let is_next = |placed: &Placed| next.iter().any(|one| one.step.key == placed.step.key);
        let rest = open.iter().filter(|placed| !is_next(placed));
        let mut soon: Vec<StepView> = rest.map(|placed| show(placed)).collect();
        let later = soon.split_off(soon.len().min(SOON));
        Some(PlanPart {
            open: soon,
            later,
            closed: closed.into_iter().map(show).collect(),
            next: next.iter().map(|placed| show(placed)).collect(),
            plan_url: reader.base.link(&path),
            once,
        })
    }
}

/// What comes next: what is due, else the first that will be. What is done again and again stands behind what is done once.
pub fn next<'a>(open: &[&'a Placed]) -> Vec<&'a Placed> {
    let once = |placed: &&&Placed| placed.step.every_h.is_none();
    let due = open.iter().filter(|placed| placed.is_due);
    let mut next: Vec<&Placed> = due.clone().filter(once).copied().take(LARGE).collect();
    next.extend(
        due.filter(|placed| placed.step.every_h.is_some())
            .copied()
            .take(LARGE - next.len()),
    );
    if next.is_empty() {
        next.extend(open.iter().filter(once).copied().take(1));
    }
    next
}

/// The step that comes next, for what is said after an entry.
pub fn comes_next(opened: &Opened, reads: Reads, units: Units) -> Option<Next> {
    let all = planned(opened, reads);
    let open: Vec<&Placed> = all.iter().filter(|placed| placed.is_open()).collect();
    let placed = next(&open).into_iter().next()?;
    let much = amounts::lines(&placed.step.amounts, units);
    let much: Vec<String> = much.into_iter().map(|line| line.words).collect();
    let foams = |caution: &Caution| caution.code == CautionCode::StirBeforeFeeding;
    Some(Next {
        name: step_name(&placed.step),
        much: much.join("; "),
        when: due_words(&placed.step, placed.timing, reads),
        is_due: placed.is_due,
        is_powder: placed.step.cautions.iter().any(foams),
    })
}

/// Whether a step is read and not done: its reading is written on paper.
pub fn is_reading(kind: StepKind) -> bool {
    matches!(
        kind,
        StepKind::Mix
            | StepKind::Break
            | StepKind::Ph
            | StepKind::End
            | StepKind::Stop
            | StepKind::FruitOut
            | StepKind::HoneyFeed
            | StepKind::FreeSo2
    )
}

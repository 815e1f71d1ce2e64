//! The outlook in words: where it is, when what is to be expected, what to beware of, and what it should not be trusted in.

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use super::course::Sight;
use super::dates::Calendar;
use super::picture::picture;
use crate::batches::opened::Opened;
use crate::batches::paths;
use crate::charts::forecast::{ForecastRow, render};
use crate::engine::balance::StoppedBy;
use crate::engine::forecast::Band;
use crate::engine::outlook::{Course, Outlook, Unknown};
use crate::engine::trouble::Symptom;
use crate::web::paths::Base;
use crate::web::units::{self, Units};
use crate::web::words::{Words, outlook as said};

/// For whom it is said, and when.
pub struct Reader<'a> {
    pub base: &'a Base,
    pub now: DateTime<Utc>,
    pub zone: Tz,
    pub units: Units,
}

/// Something that may go wrong, and where to look.
pub struct Warning {
    pub words: Words,
    pub url: String,
    pub link: &'static str,
}

/// The outlook on the sheet of a batch.
pub struct OutlookPart {
    /// What leads the sheet; nothing once it is over.
    pub lead: String,
    pub warning: Option<Warning>,
    /// Why nothing can be said.
    pub unknown: &'static str,
    pub chart_svg: String,
    pub rows: Vec<ForecastRow>,
    /// What is expected: name and words.
    pub expected: Vec<(&'static str, String)>,
    /// What it was made from.
    pub basis: String,
    pub limits: Vec<Words>,
    /// What the club's own batches say beside the book.
    pub house: Vec<String>,
    pub is_over: bool,
    pub trouble_url: String,
}

impl OutlookPart {
    /// Of a batch's outlook.
    pub fn of(opened: &Opened, sight: &Sight, to: &Reader<'_>) -> OutlookPart {
        let id = opened.batch.public_id.as_str();
        let trouble_url = to.base.link(&paths::TROUBLE.with(&[id]));
        let mut part = OutlookPart {
            lead: String::new(),
            warning: None,
            unknown: "",
            chart_svg: String::new(),
            rows: Vec::new(),
            expected: Vec::new(),
            basis: String::new(),
            limits: Vec::new(),
            house: Vec::new(),
            is_over: sight.case.is_over,
            trouble_url,
        };
        let outlook = match &sight.outlook {
            Ok(outlook) => outlook,
            Err(why) => {
                part.unknown = unknown(*why);
                return part;
            }
        };
        let calendar = Calendar {
            pitched_at: opened
                .batch
                .at_hours(sight.case.pitch_h)
                .unwrap_or(opened.batch.began_at),
            now: to.now,
            zone: to.zone,
        };
        let picture = picture(opened, sight, outlook, &calendar, to.units);
        part.chart_svg = render(&picture);
        part.rows = picture.rows();
        if sight.case.is_over {
            return part;
        }
        part.lead = lead(sight, outlook, &calendar);
        part.warning = warning(opened, sight, to.base);
        part.expected = expected(opened, sight, outlook, &calendar);
        part.basis = basis(outlook, sight.case.has_fruit);
        part.limits = outlook
            .limits
            .iter()
            .map(|limit| said::limit(*limit))
            .collect();
        part
    }
}

fn unknown(why: Unknown) -> &'static str {
    match why {
        Unknown::Sugar => "Nothing is forecast: there is no sugar left that this yeast could use.",
        Unknown::Yeast => "Nothing is forecast: no yeast is known.",
        Unknown::Temperature => "Nothing is forecast: nobody said how warm it is.",
        Unknown::Number => "Nothing is forecast: a number of its log is far from anything real.",
    }
}

/// "dry about 12 December, between 8 and 18"; of an end that should lie behind, since when.
fn end_words(sight: &Sight, outlook: &Outlook, calendar: &Calendar) -> String {
    let goal = match outlook.stopped_by {
        StoppedBy::Sugar => "dry",
        StoppedBy::Tolerance => "done",
    };
    match outlook.end_h {
        Some(end) if end.high <= sight.case.known.now_h => {
            let since = calendar.words(end.best);
            format!("it should be {goal} since about {since}: read it again")
        }
        Some(end) => format!("{goal} {}", calendar.about(end)),
        None => "its end is not in sight".to_owned(),
    }
}

fn lead(sight: &Sight, outlook: &Outlook, calendar: &Calendar) -> String {
    let end = end_words(sight, outlook, calendar);
    let Some(course) = sight.course() else {
        return format!("If the yeast goes in today: {end}.");
    };
    let words = said::course(course);
    match course {
        Course::AskAboutTheLid => words.lead,
        Course::PossibleStall | Course::AtItsLimit | Course::Ended => format!("{}.", words.lead),
        Course::Early
        | Course::NotRead
        | Course::OnCourse
        | Course::AheadOfForecast
        | Course::Slow => format!("{}; {end}.", words.lead),
    }
}

/// What may have gone wrong, and the page that goes through it.
fn warning(opened: &Opened, sight: &Sight, base: &Base) -> Option<Warning> {
    let course = sight.course()?;
    let symptom = match course {
        Course::AskAboutTheLid => Symptom::NoStart,
        Course::Slow | Course::PossibleStall | Course::AtItsLimit => Symptom::Stuck,
        _ => return None,
    };
    let id = opened.batch.public_id.as_str();
    Some(Warning {
        words: said::course(course),
        url: base.link(&paths::SYMPTOM.with(&[id, symptom.as_str()])),
        link: "What to look at",
    })
}

fn expected(
    opened: &Opened,
    sight: &Sight,
    outlook: &Outlook,
    calendar: &Calendar,
) -> Vec<(&'static str, String)> {
    let gravities = |band: Band| {
        let [low, best, high] = [band.low, band.best, band.high].map(units::gravity);
        match low == high {
            true => best,
            false => format!("{low} to {high}, most likely {best}"),
        }
    };
    let marks = &opened.state.marks;
    let pitch_h = sight.case.pitch_h;
    let reached = |mark: Option<f64>, band: Option<Band>| match (mark, band) {
        (Some(hours), _) => format!("reached about {}", calendar.words(hours - pitch_h)),
        (None, Some(band)) => calendar.about(band),
        (None, None) => "not in sight".to_owned(),
    };
    let mut all = Vec::new();
    if sight.case.is_pitched {
        all.push(("Gravity now", gravities(outlook.now)));
    }
    all.extend([
        (
            "A third of the fall",
            reached(marks.one_third, outlook.one_third_h),
        ),
        (
            "95 % of the sugar used",
            reached(marks.nearly_all, outlook.ninety_five_h),
        ),
        ("Its end", reached(marks.end, outlook.end_h)),
        (
            "There",
            format!(
                "{}, {}",
                gravities(outlook.fg),
                units::abv(outlook.abv_percent)
            ),
        ),
    ]);
    all
}

/// What the outlook was made from.
fn basis(outlook: &Outlook, has_fruit: bool) -> String {
    let used = &outlook.used;
    let read = match (used.readings, outlook.is_fitted) {
        (0, _) => "Before any reading this is what is usual".to_owned(),
        (1, _) => {
            "With one reading this is still what is usual: three are needed to fit it".to_owned()
        }
        (many, false) => {
            format!("With {many} readings this is still what is usual: three are needed to fit it")
        }
        (many, true) => format!("Fitted to {many} readings"),
    };
    let club = match used.batches {
        0 => "honey in general, by our judgement".to_owned(),
        many => format!("the club’s own {many} finished batches"),
    };
    let fruit = match has_fruit {
        true => " Gravities are reckoned with the sugar that its fruit still holds.",
        false => "",
    };
    format!(
        "{read}; what is usual is taken from {club}. Nine times in ten it is within the range given.{fruit}"
    )
}

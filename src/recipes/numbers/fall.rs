//! The gravity ladder of a formulation: which marks stand on it, and in which words.

use super::method::{Material, Method, Number, method};
use crate::charts::ladder::{Band, Ladder, Mark, MarkKind, table_rows};
use crate::engine::formulation::{Formulation, StoppedBy};
use crate::engine::recipe::{Finish, Recipe};
use crate::web::units::gravity;

/// Two gravities nearer than this are one mark.
pub(super) const SAME: f64 = 0.0005;

/// One line of the ladder's table, and how its gravity is reckoned.
#[derive(Clone, Debug, PartialEq)]
pub struct FallRow {
    pub gravity: String,
    pub words: String,
    pub more: String,
    /// Told here, where no note of the margin tells it.
    pub methods: Vec<Method>,
    /// Where the margin tells it, or empty.
    pub href: String,
}

impl FallRow {
    /// Its word in ids.
    pub fn key(&self) -> &str {
        self.methods.first().map_or("", |method| &method.key)
    }
}

/// The number behind a mark.
fn number_of(kind: MarkKind) -> Number {
    match kind {
        MarkKind::Start => Number::Start,
        MarkKind::Read => Number::Read,
        MarkKind::Break => Number::Break,
        MarkKind::AmmoniumEnds => Number::AmmoniumEnds,
        MarkKind::YeastLimit => Number::YeastLimit,
        MarkKind::Dry => Number::NaturalEnd,
        MarkKind::Arrested | MarkKind::Sweetened => Number::End,
    }
}

/// The ladder's table.
pub(super) fn rows(ladder: &Ladder, material: &Material<'_>) -> Vec<FallRow> {
    table_rows(ladder)
        .into_iter()
        .map(|row| {
            let told_here: &[Number] = match row.kind {
                Some(MarkKind::YeastLimit) => &[Number::YeastLimit, Number::NaturalEnd],
                Some(MarkKind::Dry) => &[Number::NaturalEnd],
                Some(MarkKind::Read) => &[Number::Read],
                Some(MarkKind::Break) => &[Number::Break],
                Some(MarkKind::AmmoniumEnds) => &[Number::AmmoniumEnds],
                Some(MarkKind::Start | MarkKind::Arrested | MarkKind::Sweetened) | None => &[],
            };
            let methods: Vec<Method> = told_here
                .iter()
                .filter_map(|number| method(*number, material))
                .collect();
            FallRow {
                gravity: row.gravity,
                words: row.words,
                more: row.more,
                href: match methods.is_empty() {
                    true => row.kind.map_or(Number::Style, number_of).href(),
                    false => String::new(),
                },
                methods,
            }
        })
        .collect()
}

/// The ladder, where there is a fermentation to draw.
pub fn ladder(recipe: &Recipe, numbers: &Formulation) -> Option<Ladder> {
    let (must, whole, finished) = (
        numbers.must.as_ref()?,
        numbers.whole.as_ref()?,
        numbers.finished.as_ref()?,
    );
    let (marks_of, limits) = (numbers.ladder.as_ref()?, numbers.limits.as_ref()?);
    let mut marks = Vec::new();
    let fruit_later = (must.og - whole.og).abs() > SAME;
    marks.push(Mark::new(
        MarkKind::Start,
        whole.og,
        if fruit_later {
            "all sugar counted"
        } else {
            "at the start"
        },
    ));
    if fruit_later {
        marks.push(Mark::new(MarkKind::Read, must.og, "read before the fruit"));
    }
    let ferments = whole.og - finished.natural_fg > SAME;
    if ferments {
        marks.push(
            Mark::new(
                MarkKind::Break,
                marks_of.one_third_break_sg,
                "one third gone",
            )
            .with_more("last feed, no more air"),
        );
    }
    if let Some(sg) = marks_of.ammonium_limit_sg {
        marks.push(Mark::new(
            MarkKind::AmmoniumEnds,
            sg,
            "ammonium of no use below",
        ));
    }
    let stopped =
        matches!(recipe.finish, Finish::ArrestTo(_)) && finished.fg - finished.natural_fg > SAME;
    let end = if stopped {
        None
    } else {
        Some(finished.natural_fg)
    };
    match (limits.stopped_by, end) {
        (StoppedBy::Tolerance, Some(sg)) => {
            marks.push(Mark::new(MarkKind::YeastLimit, sg, "the yeast's limit"))
        }
        (StoppedBy::Sugar, Some(sg)) => marks.push(Mark::new(MarkKind::Dry, sg, "sugar gone")),
        (_, None) => {}
    }
    if stopped {
        marks.push(Mark::new(MarkKind::Arrested, finished.fg, "stopped here"));
    } else if (finished.fg - finished.natural_fg).abs() > SAME {
        marks.push(Mark::new(MarkKind::Sweetened, finished.fg, "in the bottle"));
    }
    let lowest = finished.fg.min(finished.natural_fg);
    let mut description = format!(
        "From {} at the start down to {}",
        gravity(whole.og),
        gravity(lowest)
    );
    if (finished.fg - lowest).abs() > SAME {
        description.push_str(&format!(", then up to {}", gravity(finished.fg)));
    }
    if ferments {
        description.push_str(&format!(
            "; one third of the sugar is gone at {}",
            gravity(marks_of.one_third_break_sg)
        ));
    }
    if let Some(sg) = marks_of.ammonium_limit_sg {
        description.push_str(&format!("; ammonium is of no use below {}", gravity(sg)));
    }
    description.push('.');
    let marks = marks
        .into_iter()
        .map(|mark| {
            let href = number_of(mark.kind).href();
            mark.leading_to(href)
        })
        .collect();
    Some(Ladder {
        prefix: "fall".to_owned(),
        og: Some(whole.og),
        fg: Some(finished.natural_fg)
            .filter(|_| !stopped)
            .or(Some(finished.fg)),
        marks,
        bands: bands(),
        title: "Gravity ladder".to_owned(),
        description,
    })
}

/// Sweetness by final gravity (mead style guidelines of 2015; ties go upward).
fn bands() -> Vec<Band> {
    [
        (0.980, 1.010, "dry"),
        (1.010, 1.025, "semi-sweet"),
        (1.025, 1.050, "sweet"),
    ]
    .into_iter()
    .map(|(from_sg, to_sg, words)| Band {
        from_sg,
        to_sg,
        words: words.to_owned(),
    })
    .collect()
}

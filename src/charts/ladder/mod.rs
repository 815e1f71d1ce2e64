//! The gravity ladder: one fermentation as a vertical scale from its start (top) to its finish, each mark in words.

mod picture;

pub use picture::render;

/// What a mark on the ladder stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MarkKind {
    /// Where everything that will ferment has been counted (OG).
    Start,
    /// A gravity that a hydrometer shows but that is not the one counted, as before fruit gives its sugar.
    Read,
    /// One third of the expected fall is done.
    Break,
    /// Below this, yeast takes up no more ammonium.
    AmmoniumEnds,
    /// Where the yeast's alcohol tolerance stops it.
    YeastLimit,
    /// The end of the fall because the sugar is gone.
    Dry,
    /// The end of the fall because the maker stops it, or the yeast gives up with sugar left.
    Arrested,
    /// Where honey added after stabilising brings it.
    Sweetened,
}

/// One value on the ladder and the few plain words that belong to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    pub sg: f64,
    pub words: String,
    /// A second, softer line: what to do there.
    pub more: Option<String>,
    pub kind: MarkKind,
    /// Where more is told about it; the words in the picture lead there.
    pub href: Option<String>,
}

impl Mark {
    /// A mark without a second line.
    pub fn new(kind: MarkKind, sg: f64, words: impl Into<String>) -> Self {
        Mark {
            sg,
            words: words.into(),
            more: None,
            kind,
            href: None,
        }
    }

    /// The same mark with a second, softer line.
    pub fn with_more(mut self, more: impl Into<String>) -> Self {
        self.more = Some(more.into());
        self
    }

    /// The same mark with words that lead somewhere.
    pub fn leading_to(mut self, href: impl Into<String>) -> Self {
        self.href = Some(href.into());
        self
    }
}

/// A stretch of the scale that has a name, such as a sweetness.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    pub from_sg: f64,
    pub to_sg: f64,
    pub words: String,
}

/// All that the picture and its table show. What is unknown is left out; nothing is invented.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ladder {
    /// Begins every id in the picture; two ladders on one page need two prefixes.
    pub prefix: String,
    /// Where the fall begins and ends; both are needed for it to be drawn.
    pub og: Option<f64>,
    pub fg: Option<f64>,
    pub marks: Vec<Mark>,
    pub bands: Vec<Band>,
    pub title: String,
    /// The same in one sentence, for those who do not see the picture.
    pub description: String,
}

/// One line of the table beside the picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LadderRow {
    /// "1.058", or "1.006 to 1.015" for a band.
    pub gravity: String,
    pub words: String,
    /// The mark's second line, or empty.
    pub more: String,
    /// What the mark stands for; a band has none.
    pub kind: Option<MarkKind>,
}

/// Gravities that a liquid of this trade can have; anything else is not drawn.
fn is_gravity(sg: f64) -> bool {
    (0.7..=1.7).contains(&sg)
}

fn sg_text(sg: f64) -> String {
    format!("{sg:.3}")
}

/// Marks that can be drawn, from the top down; equal gravities keep the order of the fermentation.
fn drawable(ladder: &Ladder) -> Vec<&Mark> {
    let mut marks: Vec<&Mark> = ladder
        .marks
        .iter()
        .filter(|mark| is_gravity(mark.sg))
        .collect();
    marks.sort_by(|a, b| b.sg.total_cmp(&a.sg));
    marks
}

/// Bands that can be drawn, lowest gravity last.
fn drawable_bands(ladder: &Ladder) -> Vec<(f64, f64, &str)> {
    let mut bands: Vec<(f64, f64, &str)> = ladder
        .bands
        .iter()
        .filter(|band| {
            is_gravity(band.from_sg) && is_gravity(band.to_sg) && band.from_sg != band.to_sg
        })
        .map(|band| {
            (
                band.from_sg.min(band.to_sg),
                band.from_sg.max(band.to_sg),
                band.words.as_str(),
            )
        })
        .collect();
    bands.sort_by(|a, b| b.0.total_cmp(&a.0));
    bands
}

/// The numbers of the picture as lines of a table, from the top down, the bands last.
pub fn table_rows(ladder: &Ladder) -> Vec<LadderRow> {
    let marks = drawable(ladder).into_iter().map(|mark| LadderRow {
        gravity: sg_text(mark.sg),
        words: mark.words.clone(),
        more: mark.more.clone().unwrap_or_default(),
        kind: Some(mark.kind),
    });
    let bands = drawable_bands(ladder)
        .into_iter()
        .map(|(low, high, words)| LadderRow {
            gravity: format!("{} to {}", sg_text(low), sg_text(high)),
            words: words.to_owned(),
            more: String::new(),
            kind: None,
        });
    marks.chain(bands).collect()
}

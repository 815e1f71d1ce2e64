//! What the page of a calculation is: questions, answer and method as data.

use super::case::Case;
use crate::charts::graph::Graph;
use crate::engine::problem::{Arguments, Caution, CautionCode, Severity};

/// When a calculation is wanted: the groups of the index.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moment {
    BeforePitching,
    Working,
    Finishing,
    AtTable,
}

impl Moment {
    /// All of them, in the order of a mead's life.
    pub const ALL: [Moment; 4] = [
        Moment::BeforePitching,
        Moment::Working,
        Moment::Finishing,
        Moment::AtTable,
    ];

    /// The heading of its group.
    pub fn heading(self) -> &'static str {
        match self {
            Moment::BeforePitching => "Before pitching",
            Moment::Working => "While it works",
            Moment::Finishing => "Finishing",
            Moment::AtTable => "At table",
        }
    }
}

/// What a field asks for, and how its text is read.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// Litres.
    Volume,
    /// A must by volume or by weight; read as kg, by the gravity that stands before it.
    Must,
    /// Water by volume or by weight, kg.
    Water,
    /// °C.
    Temperature,
    /// SG.
    Gravity,
    /// SG, °Bx or kg/m³.
    AnyGravity,
    /// A gravity, read as °Bx.
    Brix,
    /// A fall of gravity: 15 points are 0.015.
    Points,
    /// %.
    Percent,
    /// g/L; below 0 too.
    Dose,
    /// mg/L.
    Milligrams,
    /// g.
    Grams,
    /// Volumes of carbon dioxide, or g/L of it.
    Gas,
    /// A number without a unit.
    Number,
    /// One of a few words of the engine, each with what a maker calls it.
    Choice(fn() -> Vec<(&'static str, String)>),
    /// One of a few numbers.
    Level(&'static [(&'static str, &'static str)]),
    /// A honey, read as what it is made of.
    Honey,
    /// A honey, sugar or syrup, read as what it is made of.
    Sweetener,
    /// How hungry a yeast is, by its class or by a yeast of the catalogue; such a yeast brings its limit too.
    Yeast,
}

/// One field. Its key is the calculation's own; `/` leads into lists and objects.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    pub key: &'static str,
    pub label: &'static str,
    /// What to write, and where the value that stands there first comes from.
    pub hint: &'static str,
    pub kind: Kind,
    /// What stands there first: for readers of metric, US and imperial units.
    pub start: [&'static str; 3],
}

/// A field that is empty at first.
pub const fn field(key: &'static str, label: &'static str, kind: Kind) -> Field {
    Field {
        key,
        label,
        hint: "",
        kind,
        start: [""; 3],
    }
}

impl Field {
    /// With a hint.
    pub const fn hint(self, hint: &'static str) -> Field {
        Field { hint, ..self }
    }

    /// With the same text for everybody.
    pub const fn start(self, text: &'static str) -> Field {
        Field {
            start: [text; 3],
            ..self
        }
    }

    /// With a text for readers of metric, US and imperial units.
    pub const fn starts(
        self,
        metric: &'static str,
        us: &'static str,
        imperial: &'static str,
    ) -> Field {
        Field {
            start: [metric, us, imperial],
            ..self
        }
    }

    /// Its name in addresses and its id on the page.
    pub fn name(&self) -> String {
        self.key.replace('/', "-")
    }
}

/// How a group of fields is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// In columns.
    Open,
    /// On one line; a row that stays empty counts for nothing.
    Row,
    /// Folded away until asked for.
    Fold,
}

/// Fields that belong together.
#[derive(Clone, Copy, Debug)]
pub struct Group {
    pub legend: &'static str,
    pub look: Look,
    pub fields: &'static [Field],
}

/// Fields in columns.
pub const fn group(legend: &'static str, fields: &'static [Field]) -> Group {
    Group {
        legend,
        look: Look::Open,
        fields,
    }
}

/// Fields that few will want.
pub const fn fold(legend: &'static str, fields: &'static [Field]) -> Group {
    Group {
        legend,
        look: Look::Fold,
        fields,
    }
}

/// Fields on one line.
pub const fn row(legend: &'static str, fields: &'static [Field]) -> Group {
    Group {
        legend,
        look: Look::Row,
        fields,
    }
}

/// How it is reckoned.
#[derive(Clone, Copy, Debug)]
pub struct Method {
    /// In plain signs, line by line.
    pub formula: &'static [&'static str],
    pub source: &'static str,
    pub range: &'static str,
    /// What it does not count: the hidden sources of error.
    pub leaves_out: &'static str,
}

/// One number of an answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// The output that it prints.
    pub key: &'static str,
    pub name: &'static str,
    pub value: String,
    pub words: String,
}

/// A table of the answer: the first column names, the others hold figures.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    pub caption: String,
    pub heads: Vec<String>,
    pub rows: Vec<Vec<String>>,
}

/// An answer in words.
#[derive(Clone, Debug, Default)]
pub struct Said {
    /// One sentence that leads.
    pub sentence: String,
    pub figures: Vec<Figure>,
    pub graph: Option<Graph>,
    pub table: Option<Table>,
    /// What to beware of beside what the engine says.
    pub cautions: Vec<Caution>,
}

impl Said {
    /// An answer that begins with this sentence.
    pub fn new(sentence: impl Into<String>) -> Said {
        Said {
            sentence: sentence.into(),
            ..Said::default()
        }
    }

    /// With one more number.
    pub fn figure(
        mut self,
        key: &'static str,
        name: &'static str,
        value: impl Into<String>,
    ) -> Said {
        self.figures.push(Figure {
            key,
            name,
            value: value.into(),
            words: String::new(),
        });
        self
    }

    /// With words behind the last number.
    pub fn words(mut self, words: impl Into<String>) -> Said {
        if let Some(figure) = self.figures.last_mut() {
            figure.words = words.into();
        }
        self
    }

    /// With a caution of the page's own.
    pub fn beware(mut self, code: CautionCode, severity: Severity, arguments: Arguments) -> Said {
        self.cautions.push(Caution::new(code, severity, arguments));
        self
    }

    /// With a picture.
    pub fn drawn(self, graph: Graph) -> Said {
        Said {
            graph: Some(graph),
            ..self
        }
    }

    /// With a table.
    pub fn tabled(self, table: Table) -> Said {
        Said {
            table: Some(table),
            ..self
        }
    }
}

/// One page.
#[derive(Clone, Copy, Debug)]
pub struct Page {
    /// The calculation's name in the engine, and the end of the address.
    pub name: &'static str,
    /// The question it answers.
    pub title: &'static str,
    pub moment: Moment,
    /// One sentence for the index and under the heading.
    pub line: &'static str,
    pub groups: &'static [Group],
    /// The answer in words.
    pub answer: fn(&Case) -> Said,
    /// Beside which number a caution stands; the first, unless told here.
    pub beside: &'static [(CautionCode, &'static str)],
    pub method: Method,
}

impl Page {
    /// Every field, in order.
    pub fn fields(&self) -> impl Iterator<Item = &'static Field> {
        self.groups.iter().flat_map(|group| group.fields)
    }
}

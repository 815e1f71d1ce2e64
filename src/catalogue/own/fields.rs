//! The fields of an own entry, sort by sort: what each is called, what it takes, where it stands in the form.

use super::Sort;

/// The longest text of one line.
pub const LINE: usize = 200;
/// The longest text of several lines.
pub const LINES: usize = 2_000;

/// Pairs of value and words.
pub type Choices = &'static [(&'static str, &'static str)];

/// What a field takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Says {
    /// One line of text.
    Line,
    /// Several lines of text.
    Lines,
    /// One of these.
    Choice(Choices),
    /// A part of the whole, typed in percent and kept as a fraction.
    Fraction,
    /// Percent from the first to the second.
    Percent(f64, f64),
    /// A number in this unit from the first to the second.
    Number(&'static str, f64, f64),
    /// A whole number from the first to the second.
    Whole(i32, i32),
    /// Grams per litre, in any unit.
    Dose,
    /// Degrees, in any unit.
    Temperature,
}

impl Says {
    /// Whether what is kept is a text.
    pub fn is_text(self) -> bool {
        matches!(self, Says::Line | Says::Lines | Says::Choice(_))
    }
}

/// One field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    pub name: &'static str,
    pub label: &'static str,
    /// Words of the label that are heard and not seen.
    pub spoken: &'static str,
    pub hint: &'static str,
    pub says: Says,
    /// What to say when it is empty; "" where it may be.
    pub wanted: &'static str,
}

/// A part of the form.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    pub legend: &'static str,
    pub hint: &'static str,
    pub fields: &'static [Field],
}

const fn field(name: &'static str, label: &'static str, says: Says) -> Field {
    Field {
        name,
        label,
        spoken: "",
        hint: "",
        says,
        wanted: "",
    }
}

impl Field {
    const fn wanted(self, wanted: &'static str) -> Field {
        Field { wanted, ..self }
    }

    const fn spoken(self, spoken: &'static str) -> Field {
        Field { spoken, ..self }
    }

    const fn hint(self, hint: &'static str) -> Field {
        Field { hint, ..self }
    }
}

const KINDS: Choices = &[
    ("", "choose"),
    ("honey", "honey"),
    ("fruit", "fruit"),
    ("juice", "juice"),
    ("syrup", "syrup"),
    ("sugar", "sugar"),
    ("malt", "malt"),
    ("spice", "spice, herb or flower"),
    ("wood", "wood"),
    ("acid", "acid"),
    ("tannin", "tannin"),
    ("salt", "salt"),
    ("enzyme", "enzyme"),
    ("fining", "fining"),
    ("sweetener", "sweetener that does not ferment"),
    ("other", "something else"),
];
const FORMS: Choices = &[
    ("", "not said"),
    ("whole", "whole"),
    ("crushed", "crushed"),
    ("frozen", "frozen"),
    ("puree", "puree"),
    ("juice", "juice"),
    ("dried", "dried"),
    ("tincture", "tincture"),
];
const WHENS: Choices = &[
    ("", "choose"),
    ("must", "in the must, before the yeast"),
    ("primary", "while it ferments"),
    ("secondary", "after the first fermentation"),
    ("sweeten", "to sweeten, after stabilising"),
    ("ageing", "while it ages"),
];
const NEEDS: Choices = &[
    ("", "choose"),
    ("low", "low"),
    ("medium", "medium"),
    ("high", "high"),
];
const GROUPS: Choices = &[
    ("", "choose"),
    ("wine", "wine yeast"),
    ("ale", "ale or lager yeast"),
    ("other", "another"),
];
const MARKS: Choices = &[
    ("", "choose"),
    ("published", "read in the source that is named"),
    (
        "common practice",
        "measured or done by us, no published source",
    ),
    ("from memory: verify", "from memory, still to be checked"),
];

const NAME: Field = field("name", "Name", Says::Line).wanted("Give it a name.");
const WORDS: Field = field("words", "In plain words", Says::Line)
    .hint("Stands beside the name: what it is, what it is good for.")
    .wanted("Say in a few words what it is.");
const CAUTION: Field = field("caution", "Can it hurt somebody?", Says::Lines)
    .hint("An allergen, a poison, a danger: shown with every recipe that uses it.");
const NOTE: Field = field("note", "Note", Says::Lines);
const SOURCE: Field = field("source", "Where the figures come from", Says::Lines)
    .hint("A label, a book, a measurement of your own and its day.")
    .wanted("Say where the figures come from.");
const MARK: Field = field("certainty", "How sure they are", Says::Choice(MARKS))
    .wanted("Choose how sure the figures are.");
const USUAL_LOW: Field = field("usual_low", "Usual amount, from", Says::Dose)
    .hint("Such as 0.5 g/L or 2 g/US gal. A new row proposes this end.");
const USUAL_HIGH: Field = field("usual_high", "Usual amount, to", Says::Dose);

const TRUST: Part = Part {
    legend: "What to beware of, and where it comes from",
    hint: "",
    fields: &[CAUTION, NOTE, SOURCE, MARK],
};

const INGREDIENT: &[Part] = &[
    Part {
        legend: "What it is",
        hint: "",
        fields: &[
            NAME,
            WORDS,
            field("kind", "Kind", Says::Choice(KINDS)).wanted("Choose what kind of thing it is."),
            field("when", "Usually goes in", Says::Choice(WHENS))
                .wanted("Choose when it usually goes in."),
            field("form", "Form", Says::Choice(FORMS)),
        ],
    },
    Part {
        legend: "What it is made of",
        hint: "Of a honey the water alone will do. Leave all of it empty for what is only dosed, such as a spice. Otherwise write three of the four parts; the missing one is the rest.",
        fields: &[
            field("water", "Water", Says::Fraction).spoken("in percent"),
            field("fermentable", "Sugar that ferments", Says::Fraction).spoken("in percent"),
            field("unfermentable", "Dissolved, stays", Says::Fraction).spoken("in percent"),
            field("insoluble", "Does not dissolve", Says::Fraction).spoken("in percent"),
            field("density", "Density", Says::Number("kg/L", 0.3, 3.0))
                .spoken("kilograms per litre"),
            field(
                "yan",
                "Nitrogen for yeast",
                Says::Number("mg/kg", 0.0, 220_000.0),
            )
            .spoken("milligrams per kilogram"),
            field(
                "acid",
                "Acid, as tartaric",
                Says::Number("g/kg", -3_000.0, 3_000.0),
            )
            .spoken("grams per kilogram"),
            field("ph", "pH", Says::Number("", 0.0, 14.0)),
        ],
    },
    Part {
        legend: "How much, and how long",
        hint: "",
        fields: &[
            USUAL_LOW,
            USUAL_HIGH,
            field(
                "days_low",
                "Days in it, from",
                Says::Number("", 0.0, 3_650.0),
            ),
            field(
                "days_high",
                "Days in it, to",
                Says::Number("", 0.0, 3_650.0),
            ),
        ],
    },
    Part {
        legend: "If it is a honey",
        hint: "",
        fields: &[
            field(
                "pfund_low",
                "Colour, from",
                Says::Number("mm Pfund", 0.0, 300.0),
            )
            .spoken("millimetres on the Pfund scale"),
            field(
                "pfund_high",
                "Colour, to",
                Says::Number("mm Pfund", 0.0, 300.0),
            )
            .spoken("millimetres on the Pfund scale"),
            field("intensity", "Strength of taste", Says::Whole(1, 5))
                .hint("1 very mild to 5 very strong."),
            field("pairing", "Goes with", Says::Line),
        ],
    },
    TRUST,
];

const YEAST: &[Part] = &[
    Part {
        legend: "What it is",
        hint: "",
        fields: &[
            NAME,
            WORDS,
            field("species", "Species", Says::Line),
            field("group", "Sort", Says::Choice(GROUPS)).wanted("Choose what sort of yeast it is."),
        ],
    },
    Part {
        legend: "What it does and wants",
        hint: "",
        fields: &[
            field("tolerance_low", "Stops at, from", Says::Percent(1.0, 25.0))
                .spoken("percent alcohol")
                .wanted("Write at what strength it stops, such as 12 %."),
            field("tolerance_high", "Stops at, to", Says::Percent(1.0, 25.0))
                .spoken("percent alcohol")
                .wanted("Write the highest strength at which it stops."),
            field("coldest", "Works from", Says::Temperature)
                .wanted("Write the lowest temperature at which it works."),
            field("warmest", "Works up to", Says::Temperature)
                .wanted("Write the highest temperature at which it works well."),
            field("need", "Need of nitrogen", Says::Choice(NEEDS))
                .wanted("Choose how much nitrogen it wants."),
            field("attenuation", "How far it goes", Says::Line),
            field("character", "What it tastes of", Says::Line),
            field("wake_low", "Woken in water, from", Says::Temperature)
                .hint("Empty: 35 to 40 °C for a wine yeast, 25 to 30 °C for others."),
            field("wake_high", "Woken in water, to", Says::Temperature),
        ],
    },
    Part {
        legend: TRUST.legend,
        hint: "",
        fields: &[CAUTION, SOURCE, MARK],
    },
];

const FEED: &[Part] = &[
    Part {
        legend: "What it is",
        hint: "",
        fields: &[NAME, WORDS],
    },
    Part {
        legend: "What it brings",
        hint: "",
        fields: &[
            field(
                "ammonium",
                "Nitrogen as ammonium",
                Says::Number("mg/g", 0.0, 1_000.0),
            )
            .spoken("milligrams per gram")
            .wanted("Write how much nitrogen a gram holds as ammonium; 0 if none."),
            field(
                "organic",
                "Nitrogen, organic",
                Says::Number("mg/g", 0.0, 1_000.0),
            )
            .spoken("milligrams per gram")
            .wanted("Write how much organic nitrogen a gram holds; 0 if none."),
            field("usual_low", "Usual dose, from", Says::Dose)
                .hint("Such as 0.2 g/L.")
                .wanted("Write the least that is usual."),
            field("usual_high", "Usual dose, to", Says::Dose)
                .wanted("Write the most that is usual."),
            field("most", "Never more than", Says::Dose).hint("Empty: as the feeding plan allows."),
            field(
                "teaspoon",
                "A level teaspoon weighs",
                Says::Number("g", 0.5, 15.0),
            )
            .spoken("in grams"),
        ],
    },
    TRUST,
];

/// The parts of the form of a sort.
pub fn parts(sort: Sort) -> &'static [Part] {
    match sort {
        Sort::Ingredient => INGREDIENT,
        Sort::Yeast => YEAST,
        Sort::Feed => FEED,
    }
}

/// Every field of a sort, in the form's order.
pub fn fields(sort: Sort) -> impl Iterator<Item = &'static Field> {
    parts(sort).iter().flat_map(|part| part.fields)
}

//! How a deed reads, and who may know who did it.

/// Who may know who did something.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doer {
    /// Whoever reads it: an organiser did it as such.
    Told,
    /// Nobody before the release: it says whose an entry is.
    Maker,
    /// Organisers, once it is released: what a judge or steward did at a table or the desk.
    Helper,
}

/// Every deed by its word.
const TABLE: &[(&str, &str, Doer)] = &[
    ("made", "made the draft", Doer::Told),
    ("rules", "set the rules", Doer::Told),
    ("categories", "set the categories", Doer::Told),
    ("phase", "moved it on", Doer::Told),
    ("duty_given", "gave a duty", Doer::Told),
    ("duty_taken", "took a duty away", Doer::Told),
    ("stepped_in", "stepped in as organiser", Doer::Told),
    ("judge_set", "noted how experienced a judge is", Doer::Told),
    (
        "limits",
        "said what they do not taste or judge",
        Doer::Helper,
    ),
    (
        "kept_apart",
        "kept a judge apart from somebody’s meads",
        Doer::Told,
    ),
    (
        "let_together",
        "took back that two are kept apart",
        Doer::Told,
    ),
    ("entered", "entered a mead", Doer::Maker),
    ("changed", "changed an entry", Doer::Maker),
    ("withdrawn", "withdrew an entry", Doer::Maker),
    (
        "left",
        "said that they had no part in an entry",
        Doer::Maker,
    ),
    (
        "regrouped",
        "merged and split categories by the rule",
        Doer::Told,
    ),
    ("flights_made", "made the flights", Doer::Told),
    ("final_made", "made a final", Doer::Told),
    ("table_changed", "changed a table", Doer::Told),
    (
        "glasses_changed",
        "changed the glasses of a flight",
        Doer::Told,
    ),
    ("calibration_mead", "named the calibration mead", Doer::Told),
    ("poured", "poured a flight", Doer::Helper),
    (
        "not_poured",
        "said that a flight is not poured after all",
        Doer::Helper,
    ),
    ("sealed", "sealed whose every entry is", Doer::Told),
    ("signed", "signed a sheet", Doer::Helper),
    (
        "recused",
        "recognised an entry and stepped back",
        Doer::Helper,
    ),
    ("reopened", "gave a signed sheet back", Doer::Told),
    ("typed", "typed in a sheet from paper", Doer::Helper),
    (
        "compared",
        "compared a typed sheet with its paper",
        Doer::Helper,
    ),
    (
        "ordered",
        "put the glasses of a final in order",
        Doer::Helper,
    ),
    ("agreed", "wrote down what a table agreed on", Doer::Helper),
    ("received", "noted how bottles came", Doer::Helper),
    (
        "checked",
        "looked whether an entry tells whose it is",
        Doer::Helper,
    ),
    ("fee", "noted a fee", Doer::Told),
    ("draw_noted", "noted the number of the draw", Doer::Told),
    (
        "reckoned",
        "reckoned the results and froze them",
        Doer::Told,
    ),
    ("turned_away", "took an entry out", Doer::Told),
    ("names_read", "read whose the entries are", Doer::Told),
];

/// What a deed reads as, and who may know who did it; one that is not in the table is told by its own word.
pub fn told(deed: &str) -> (String, Doer) {
    let known = TABLE.iter().find(|(word, ..)| *word == deed);
    match known {
        Some((_, words, doer)) => ((*words).to_owned(), *doer),
        None => (deed.replace('_', " "), Doer::Maker),
    }
}

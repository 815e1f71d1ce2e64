//! How long a mead ages until it is usually good to drink.

/// Months from the mixing day until such a mead is usually good, earliest and at its best; `family` and `strength` are the
/// engine's words for the style.
///
/// Light 1 to 2, with malt 2 to 4, with fruit or spice 4 to 9, plain 6 to 12, of browned honey 9 to 18, strong 12 to 36:
/// common practice, no published source.
pub fn months(family: &str, strength: &str) -> [u32; 2] {
    match (strength, family) {
        ("sack", _) => [12, 36],
        (_, "bochet") => [9, 18],
        ("hydromel", _) => [1, 2],
        (_, "braggot") => [2, 4],
        (_, "traditional") => [6, 12],
        _ => [4, 9],
    }
}

/// Months from the mixing day until which such a mead usually keeps, well closed, cool and dark: light, and with malt, 18; with
/// fruit or spice 36; plain, and of browned honey, 60; strong 120. Our judgement, no published source; taste decides.
pub fn keeps_months(family: &str, strength: &str) -> u32 {
    match (strength, family) {
        ("sack", _) => 120,
        (_, "bochet") => 60,
        ("hydromel", _) | (_, "braggot") => 18,
        (_, "traditional") => 60,
        _ => 36,
    }
}

/// So many months in days, to the nearest: a month is a twelfth of 365.25 days. Exact to half a day; up to 1000 months.
pub fn days_of(months: u32) -> i64 {
    let days = f64::from(months.min(1000)) * 365.25 / 12.0;
    days.round() as i64
}

//! Usual doses and days of contact of what gives taste: above them it tastes of nothing else. Common practice, no published source.

use super::names::{Rule, Words, rule};
use super::words::Kind;

/// The upper end of the usual dose, g/L, of spices, flowers and wood: rows of the table of compositions (home practice).
pub const SPICES: &[(&str, f64)] = &[
    ("allspice berry", 0.8),
    ("black pepper, cracked", 2.0),
    ("cardamom, cracked", 1.0),
    ("chili pepper, sun-dried", 2.0),
    ("cinnamon stick (Ceylon)", 2.5),
    ("clove, whole", 0.4),
    ("cocoa nibs", 25.0),
    ("coffee bean, cracked", 20.0),
    ("coriander seed, cracked", 4.0),
    ("ginger root, fresh", 20.0),
    ("hibiscus calyx, dried", 15.0),
    ("hops, pellet (aroma)", 6.0),
    ("jalapeno pepper", 20.0),
    ("juniper berry", 3.0),
    ("lavender flower, dried", 2.0),
    ("nutmeg, grated", 0.5),
    ("oak cubes or chips, toasted", 8.0),
    ("red hot chili pepper, fresh", 8.0),
    ("rose petal, dried, food grade", 5.0),
    ("serrano pepper", 10.0),
    ("star anise", 1.0),
    ("tea, black, leaf", 6.0),
    ("vanilla bean, split", 2.0),
];

/// Names that mean a row of [`SPICES`], in its order.
#[rustfmt::skip]
const SPICE_RULES: [Rule; SPICES.len()] = [
    rule!([["allspice"]]),
    rule!([["black", "pepper"], ["white", "pepper"]]),
    rule!([["cardamom"]]),
    rule!([["chili", "dried"], ["chilli", "dried"], ["chile", "dried"], ["cayenne"], ["chipotle"]]),
    rule!([["cinnamon"], ["cassia"]]),
    rule!([["clove"]] unless ["garlic"]),
    rule!([["cocoa"], ["cacao"]]),
    rule!([["coffee"]]),
    rule!([["coriander"]]),
    rule!([["ginger"]]),
    rule!([["hibiscus"]]),
    rule!([["hop"]]),
    rule!([["jalapeno"]]),
    rule!([["juniper"]]),
    rule!([["lavender"]]),
    rule!([["nutmeg"], ["mace"]]),
    rule!([["oak"]]),
    rule!([["chili"], ["chilli"], ["chile"], ["habanero"]]),
    rule!([["rose"]] unless ["hip", "apple", "hop"]),
    rule!([["serrano"]]),
    rule!([["star", "anise"]]),
    rule!([["tea"]] unless ["herbal"]),
    rule!([["vanilla"]]),
];

/// The upper end of the usual dose of fruit, g/L.
#[rustfmt::skip]
const FRUITS: &[(Rule, f64)] = &[
    (rule!([["raspberry"]]), 250.0),
    (rule!([["black", "currant"], ["blackcurrant"]]), 250.0),
    (rule!([["cherry"]] unless ["tomato"]), 500.0),
    (rule!([["blueberry"]]), 500.0),
    (rule!([["strawberry"]]), 700.0),
    (rule!([["peach"]]), 700.0),
];

/// Days after which wood has given what is wanted.
const WOOD_CONTACT: &[(Rule, f64)] = &[(rule!([["chip"]]), 21.0), (rule!([["cube"]]), 84.0)];

/// Days after which a spice has.
#[rustfmt::skip]
const SPICE_CONTACT: &[(Rule, f64)] = &[
    (rule!([["cinnamon"], ["cassia"], ["clove"]] unless ["garlic"]), 14.0),
    (rule!([["pepper"], ["chili"], ["chilli"], ["chile"], ["jalapeno"], ["habanero"], ["serrano"], ["cayenne"], ["chipotle"]]), 5.0),
];

/// The most that is usual of an ingredient of that kind and name, g per litre of must; `None` where nothing is known.
pub(super) fn usual_g_per_l(kind: Kind, words: Words) -> Option<f64> {
    match kind {
        Kind::Fruit => {
            let fruit = FRUITS.iter().find(|(rule, _)| rule.means(words));
            fruit.map(|(_, most)| *most).or_else(|| spice(words))
        }
        Kind::Spice | Kind::Wood | Kind::Other => spice(words),
        _ => None,
    }
}

/// The narrowest of the rows that a name means.
fn spice(words: Words) -> Option<f64> {
    let meant = SPICE_RULES
        .iter()
        .zip(SPICES)
        .filter(|(rule, _)| rule.means(words));
    meant.map(|(_, (_, most))| *most).reduce(f64::min)
}

/// The most days of contact of an ingredient of that kind and name; `None` where nothing is known.
pub(super) fn contact_days(kind: Kind, words: Words) -> Option<f64> {
    let table = match kind {
        Kind::Wood => WOOD_CONTACT,
        Kind::Spice | Kind::Other | Kind::Fruit => SPICE_CONTACT,
        _ => return None,
    };
    let known = table.iter().filter(|(rule, _)| rule.means(words));
    known.map(|(_, days)| *days).reduce(f64::min)
}

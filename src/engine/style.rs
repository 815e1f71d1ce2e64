//! Words for the style: family by what is in it, strength by alcohol, sweetness by final gravity.
//!
//! Bands: mead style guidelines of 2015 as noted in the reference on styles; ties go upward. Rules of the family: our
//! judgement, no published source. The maker's own word always wins.

use super::cautions::is_hot_pepper;
use super::formulate::Balance;
use super::formulation::{Style, StyleWord};
use super::names::{Rule, Words, rule};
use super::prepare::Item;
use super::recipe::{Kind, Recipe};
use super::solver::Amounts;

/// A solved gravity or strength may miss a band's edge by its last bits.
const EDGE: f64 = 1e-6;

/// Apple, grape, berry, stone fruit; the first that is meant counts.
const GROUPS: [Rule; 4] = [
    rule!([["apple"]] unless ["custard", "rose", "pineapple"]),
    rule!([["grape"], ["raisin"], ["sultana"]]),
    rule!([
        ["~berry"],
        ["berry"],
        ["currant"],
        ["blackcurrant"],
        ["redcurrant"]
    ]),
    rule!([
        ["cherry"],
        ["chokecherry"],
        ["plum"],
        ["peach"],
        ["apricot"],
        ["nectarine"],
        ["damson"],
        ["mango"],
        ["sloe"],
        ["greengage"],
        ["mirabelle"]
    ]),
];
const MAPLE: Rule = rule!([["maple"]]);
const ROSE: Rule = rule!([["rose"]] unless ["hip"]);
const BROWNED: Rule = rule!([
    ["caramel"],
    ["caramelised"],
    ["caramelized"],
    ["browned"],
    ["burnt"],
    ["bochet"],
]);

/// Whether a honey was cooked until it browned.
pub(super) fn is_browned(words: Words) -> bool {
    BROWNED.means(words)
}

/// Sugar and mass of what is in the mead, by what it is.
#[derive(Debug, Default)]
pub(super) struct Content {
    sugar: f64,
    malt: f64,
    maple: f64,
    honey_kg: f64,
    browned_kg: f64,
    fruit_kg: f64,
    /// Apple, grape, berry, stone fruit; kg of juice and fruit alike.
    groups_kg: [f64; 4],
    spice: bool,
    hot_pepper: bool,
    rose: bool,
}

impl Content {
    /// Whether there is malt.
    pub fn has_malt(&self) -> bool {
        self.malt > 0.0
    }

    /// Whether nothing but honey and what gives it its taste is in it: no fruit, no malt.
    pub fn is_plain(&self) -> bool {
        self.fruit_kg <= 0.0 && self.malt <= 0.0
    }
}

/// Looks through all that goes in.
pub(super) fn content(items: &[Item], amounts: &Amounts) -> Content {
    let mut content = Content::default();
    let sweetening = amounts.sweetening_of_each();
    for (index, (item, kg)) in items.iter().zip(&amounts.kg).enumerate() {
        let kg = *kg + sweetening.get(index).copied().flatten().unwrap_or(0.0);
        if kg <= 0.0 {
            continue;
        }
        let sugar = item.parts.sugar_kg * kg;
        content.sugar += sugar;
        match item.kind {
            Kind::Malt => content.malt += sugar,
            Kind::Honey => {
                content.honey_kg += kg;
                if is_browned(item.words) {
                    content.browned_kg += kg;
                }
            }
            Kind::Fruit | Kind::Juice => {
                content.fruit_kg += kg;
                let group = GROUPS.iter().position(|rule| rule.means(item.words));
                if let Some(mass) = group.and_then(|group| content.groups_kg.get_mut(group)) {
                    *mass += kg;
                }
            }
            Kind::Spice | Kind::Other => {
                content.hot_pepper |= is_hot_pepper(item.words);
                content.rose |= item.kind == Kind::Spice && ROSE.means(item.words);
                content.spice |= item.kind == Kind::Spice || is_hot_pepper(item.words);
            }
            _ => {}
        }
        if MAPLE.means(item.words) {
            content.maple += sugar;
        }
    }
    content
}

fn word(value: &str, rule: &'static str) -> StyleWord {
    StyleWord {
        value: Some(value.to_owned()),
        rule,
    }
}

fn family(balance: &Balance<'_>, own: Option<&str>) -> StyleWord {
    if let Some(own) = own {
        return word(own, "makers_word");
    }
    let content = balance.content;
    let share = |sugar: f64| {
        if content.sugar > 0.0 {
            sugar / content.sugar
        } else {
            0.0
        }
    };
    let malt = share(content.malt);
    if malt > 0.60 {
        return word("experimental", "malt_over_60_percent_of_sugar");
    }
    if malt >= 0.10 {
        return word("braggot", "malt_10_to_60_percent_of_sugar");
    }
    if share(content.maple) > 0.15 {
        return word("acerglyn", "maple_over_15_percent_of_sugar");
    }
    if content.browned_kg > 0.5 * content.honey_kg {
        return word("bochet", "browned_honey_over_half_of_honey");
    }
    if content.fruit_kg > 0.0 {
        if content.spice {
            return word("fruit_spice", "fruit_and_spice");
        }
        let names = [
            ("cyser", "apple_over_half_of_fruit"),
            ("pyment", "grape_over_half_of_fruit"),
            ("berry_mead", "berries_over_half_of_fruit"),
            ("stone_fruit_mead", "stone_fruit_over_half_of_fruit"),
        ];
        let most = names
            .iter()
            .zip(content.groups_kg)
            .find(|(_, kg)| *kg > 0.5 * content.fruit_kg);
        return match most {
            Some(((name, rule), _)) => word(name, rule),
            None => word("melomel", "other_or_mixed_fruit"),
        };
    }
    if content.hot_pepper {
        word("capsicumel", "hot_pepper")
    } else if content.rose {
        word("rhodomel", "rose")
    } else if content.spice {
        word("metheglin", "spice")
    } else {
        word("traditional", "nothing_but_honey")
    }
}

fn strength(abv: f64, declared: Option<&str>) -> StyleWord {
    if let Some(own) = declared {
        return word(own, "makers_word");
    }
    let abv = abv + EDGE;
    if abv < 3.5 {
        StyleWord {
            value: None,
            rule: "below_3_5_percent",
        }
    } else if abv < 7.5 {
        word("hydromel", "3_5_to_7_5_percent")
    } else if abv < 14.0 {
        word("standard", "7_5_to_14_percent")
    } else if abv <= 18.0 + 2.0 * EDGE {
        word("sack", "14_to_18_percent")
    } else {
        StyleWord {
            value: None,
            rule: "above_18_percent",
        }
    }
}

/// Lowest and highest starting gravity that goes with the strength word; `None` where the maker's word or no word stands.
pub(super) fn gravities_of(balance: &Balance<'_>) -> Option<[f64; 2]> {
    let [_, own, _] = own_words(balance.recipe);
    match strength(balance.finished.abv_percent, own).rule {
        "3_5_to_7_5_percent" => Some([1.035, 1.080]),
        "7_5_to_14_percent" => Some([1.080, 1.120]),
        "14_to_18_percent" => Some([1.120, 1.170]),
        _ => None,
    }
}

fn sweetness(fg: f64, declared: Option<&str>) -> StyleWord {
    if let Some(own) = declared {
        return word(own, "makers_word");
    }
    let fg = fg + EDGE;
    if fg < 0.990 {
        word("dry", "below_0_990")
    } else if fg < 1.010 {
        word("dry", "0_990_to_1_010")
    } else if fg < 1.025 {
        word("semi-sweet", "1_010_to_1_025")
    } else if fg <= 1.050 + 2.0 * EDGE {
        word("sweet", "1_025_to_1_050")
    } else {
        word("sweet", "above_1_050")
    }
}

/// The maker's own words for family, strength and sweetness; an empty text is none.
fn own_words(recipe: &Recipe) -> [Option<&str>; 3] {
    let declared = recipe.declared.as_ref();
    [
        recipe.style.as_deref(),
        declared.and_then(|words| words.strength.as_deref()),
        declared.and_then(|words| words.sweetness.as_deref()),
    ]
    .map(|own| own.map(str::trim).filter(|own| !own.is_empty()))
}

pub(super) fn recognise(balance: &Balance<'_>) -> Style {
    let [own_family, own_strength, own_sweetness] = own_words(balance.recipe);
    Style {
        family: family(balance, own_family),
        strength: strength(balance.finished.abv_percent, own_strength),
        sweetness: sweetness(balance.finished.fg, own_sweetness),
    }
}

/// What the maker says of a recipe whose amounts could not be solved.
pub(super) fn as_declared(recipe: &Recipe) -> Style {
    let [family, strength, sweetness] = own_words(recipe).map(|own| match own {
        Some(own) => word(own, "makers_word"),
        None => StyleWord {
            value: None,
            rule: "amounts_not_solved",
        },
    });
    Style {
        family,
        strength,
        sweetness,
    }
}

/// Whether the must foams more than others: browned honey, or malt.
pub(super) fn foams_much(balance: &Balance<'_>) -> bool {
    let content = balance.content;
    content.browned_kg > 0.5 * content.honey_kg
        || content.malt >= 0.10 * content.sugar && content.malt > 0.0
}

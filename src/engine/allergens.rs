//! Allergens, by the words of a name that give them away.

use super::names::{Rule, Words, rule};
use super::words::Kind;

/// Allergens that must be named where a drink is sold (Regulation (EU) 1169/2011 annex II, US FALCPA; section 12), by the
/// words that give them away. Chitosan, mostly from crab shells: from memory, verify.
const ALLERGENS: &[(&str, Rule)] = &[
    (
        "gluten",
        rule!([["barley"], ["wheat"], ["rye"], ["oat"], ["spelt"]]),
    ),
    (
        "nuts",
        rule!([["almond"], ["hazelnut"], ["walnut"], ["cashew"], ["pecan"], ["pistachio"], ["macadamia"], ["brazil", "nut"]] unless [
            "blossom", "flower", "wood",
        ]),
    ),
    ("peanut", rule!([["peanut"]])),
    (
        "milk",
        rule!([["milk"], ["lactose"], ["casein"], ["caseinate"], ["whey"], ["buttermilk"]] unless [
            "thistle", "coconut", "oat", "almond", "soy", "soya", "rice",
        ]),
    ),
    (
        "egg",
        rule!([["egg"], ["albumin"], ["albumen"], ["lysozyme"]]),
    ),
    ("fish", rule!([["isinglass"], ["fish"]])),
    (
        "crustaceans",
        rule!([["chitosan"]] unless ["fungal", "mushroom"]),
    ),
    ("soy", rule!([["soy"], ["soya"]])),
    ("mustard", rule!([["mustard"]])),
    ("celery", rule!([["celery"]])),
    ("sesame", rule!([["sesame"]])),
];
/// Malt that holds no gluten.
const NO_GLUTEN: Words = Words::of(&[
    "gluten",
    "rice",
    "maize",
    "corn",
    "sorghum",
    "millet",
    "buckwheat",
]);

/// Every word of the list: most names have none of them.
const TELLING: Words = {
    let mut all = Words::NONE;
    let mut i = 0;
    while i < ALLERGENS.len() {
        all = all.or(ALLERGENS[i].1.telling());
        i += 1;
    }
    all
};

/// The code of every allergen that is looked for.
pub fn codes() -> impl Iterator<Item = &'static str> {
    ALLERGENS.iter().map(|(code, _)| *code)
}

/// The allergens that a free text gives away, such as "an almond mead"; what it does not name is not found.
pub fn of_words(text: &str) -> Vec<&'static str> {
    meant(Kind::Other, Words::of_name(text)).collect()
}

/// The allergens of an ingredient of that kind and name. Malt brings gluten whatever it is called; honey of a plant brings nothing of it.
pub(super) fn meant(kind: Kind, words: Words) -> impl Iterator<Item = &'static str> {
    let malt = (kind == Kind::Malt && !words.has_any(NO_GLUTEN)).then_some("gluten");
    let list = if words.has_any(TELLING) {
        ALLERGENS
    } else {
        &[]
    };
    let named = list.iter().filter(move |(allergen, rule)| {
        kind != Kind::Honey && rule.means(words) && !(kind == Kind::Malt && *allergen == "gluten")
    });
    malt.into_iter().chain(named.map(|(allergen, _)| *allergen))
}

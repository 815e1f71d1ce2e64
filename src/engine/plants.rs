//! Plants and other things that do not belong into a drink, or only with care: a list with its sources.
//!
//! No dose is ever given for what is refused. Rows say what the reference on safety says, sections 6, 7, 10 and 14; a source
//! named there is named here, everything else is from memory: verify.

use super::names::{Rule, Words, rule};
use super::problem::Severity;
use super::words::Kind;

/// One plant or thing, and what is wrong with it.
#[derive(Clone, Copy, Debug)]
pub struct Plant {
    /// What it is called.
    pub name: &'static str,
    /// Whether it is refused altogether; else it is only good with care.
    pub refused: bool,
    /// How much the caution about it weighs.
    pub severity: Severity,
    /// A code for what is wrong with it; pages put it into words.
    pub why: &'static str,
    /// Where that is said.
    pub source: &'static str,
    /// Whether honey of its flowers is meant too.
    honey_too: bool,
    rule: Rule,
}

const MEMORY: &str = "from memory: verify";

const fn refused(name: &'static str, why: &'static str, source: &'static str, rule: Rule) -> Plant {
    Plant {
        name,
        refused: true,
        severity: Severity::Danger,
        why,
        source,
        honey_too: false,
        rule,
    }
}

const fn limited(
    name: &'static str,
    severity: Severity,
    why: &'static str,
    source: &'static str,
    rule: Rule,
) -> Plant {
    Plant {
        refused: false,
        severity,
        ..refused(name, why, source, rule)
    }
}

/// What is refused or wants care, the refused first.
#[rustfmt::skip]
pub const PLANTS: &[Plant] = &[
    refused("calamus", "carcinogen", "21 CFR 189.110 (from memory: verify)", rule!([["calamus"], ["acorus"], ["sweet", "flag"]])),
    refused("sassafras oil and root bark", "carcinogen", "21 CFR 189.180 (from memory: verify)", rule!([["sassafras"], ["safrole"]] unless ["leaf", "file"])),
    refused("tonka bean", "coumarin_forbidden", "21 CFR 189.130 (from memory: verify)", rule!([["tonka"]])),
    refused("pennyroyal", "harms_liver_or_womb", MEMORY, rule!([["pennyroyal"]])),
    refused("tansy", "harms_liver_or_womb", MEMORY, rule!([["tansy"]])),
    refused("rue", "harms_liver_or_womb", MEMORY, rule!([["rue"]])),
    refused("comfrey", "pyrrolizidine", MEMORY, rule!([["comfrey"]])),
    refused("borage leaf", "pyrrolizidine", MEMORY, rule!([["borage"]] unless ["flower", "blossom", "petal"])),
    refused("coltsfoot", "pyrrolizidine", MEMORY, rule!([["coltsfoot"]])),
    refused("foxglove", "deadly", MEMORY, rule!([["foxglove"], ["digitalis"]])),
    refused("oleander", "deadly", MEMORY, rule!([["oleander"]])),
    refused("lily-of-the-valley", "deadly", MEMORY, rule!([["lily", "valley"], ["convallaria"]])),
    refused("yew", "deadly", MEMORY, rule!([["yew"], ["taxus"]])),
    refused("monkshood", "deadly", MEMORY, rule!([["monkshood"], ["aconite"], ["aconitum"], ["wolfsbane"]])),
    refused("hemlock", "deadly", MEMORY, rule!([["hemlock"], ["cicuta"], ["conium"]])),
    refused("datura", "deadly", MEMORY, rule!([["datura"], ["jimson"], ["jimsonweed"], ["thornapple"], ["thorn", "apple"]])),
    refused("nightshade", "deadly", MEMORY, rule!([["nightshade"], ["belladonna"]])),
    refused("pokeberry", "poisonous_berry", MEMORY, rule!([["pokeberry"], ["pokeweed"], ["poke", "berry"], ["poke", "root"], ["phytolacca"]])),
    refused("Japanese star anise", "convulsant", MEMORY, rule!([["japanese", "anise"], ["anisatum"], ["shikimi"]])),
    Plant { honey_too: true, ..refused("rhododendron, azalea and mountain laurel", "grayanotoxin", MEMORY, rule!([["rhododendron"], ["azalea"], ["kalmia"], ["mountain", "laurel"], ["mad", "honey"]])) },
    refused("rhubarb leaf", "oxalate", MEMORY, rule!([["rhubarb", "leaf"]] unless ["removed"])),
    refused("elder leaf, stem and bark", "raw_elder", "CDC, MMWR 1984;33:173", rule!([
        ["elder", "leaf"], ["elder", "stem"], ["elder", "bark"], ["elder", "twig"], ["elder", "root"],
        ["elderberry", "leaf"], ["elderberry", "stem"], ["elderberry", "bark"], ["elderberry", "twig"],
        ["sambucus", "leaf"], ["sambucus", "stem"], ["sambucus", "bark"],
    ] unless ["removed"])),
    refused("bitter almond and kernels of stone fruit", "cyanide", "EFSA 2016", rule!([
        ["almond", "bitter"], ["noyau"], ["kernel", "apricot"], ["kernel", "peach"], ["kernel", "plum"], ["kernel", "cherry"],
        ["kernel", "almond"], ["kernel", "nectarine"], ["kernel", "apple"],
    ])),
    refused("wild mushrooms", "poisonous_mushroom", MEMORY, rule!([["wild", "mushroom"], ["amanita"], ["agaric"], ["psilocybe"]])),
    refused("herbal highs and medicines", "medicine", MEMORY, rule!([["herbal", "high"], ["medicine"]])),
    refused("flowers from a florist or the roadside", "not_food_grade", MEMORY, rule!([["florist"], ["roadside"], ["cut", "flower"]])),
    refused("treated or scented wood", "not_food_grade", MEMORY, rule!([["treated", "wood"], ["treated", "oak"], ["scented", "wood"]])),
    limited("star fruit", Severity::Danger, "kidney_disease", MEMORY, rule!([["starfruit"], ["star", "fruit"], ["carambola"]])),
    limited("cassava, flax and bamboo", Severity::Danger, "cyanogenic", MEMORY, rule!([["cassava"], ["manioc"], ["flax"], ["flaxseed"], ["linseed"], ["bamboo"]])),
    limited("garlic, nut butter, vegetables in oil", Severity::Danger, "botulism_in_oil", "general food-safety rule at pH 4.6", rule!([["garlic"], ["nut", "butter"], ["peanut", "butter"], ["oil", "vegetable"]])),
    limited("cassia cinnamon", Severity::Watch, "coumarin", "EFSA: 0.1 mg/kg a day", rule!([["cassia"], ["cinnamon", "chinese"], ["cinnamon", "saigon"], ["cinnamon", "vietnamese"]])),
    limited("woodruff", Severity::Watch, "coumarin_wilting", MEMORY, rule!([["woodruff"]])),
    limited("wormwood", Severity::Watch, "thujone", "21 CFR 172.510; Regulation (EC) 1334/2008", rule!([["wormwood"], ["absinthe"], ["absinthium"]])),
    limited("nutmeg and mace", Severity::Watch, "nutmeg", "poison-centre reports", rule!([["nutmeg"], ["mace"]])),
    limited("grapefruit", Severity::Watch, "drug_interactions", MEMORY, rule!([["grapefruit"]])),
    limited("liquorice", Severity::Watch, "blood_pressure", MEMORY, rule!([["liquorice"], ["licorice"]])),
    limited("star anise", Severity::Watch, "buy_tested", MEMORY, rule!([["star", "anise"]] unless ["japanese", "anisatum"])),
    limited("essential oils", Severity::Watch, "concentrated", MEMORY, rule!([["essential", "oil"]] unless ["sassafras"])),
];

/// Every word of the list: most names have none of them.
const TELLING: Words = {
    let mut all = Words::NONE;
    let mut i = 0;
    while i < PLANTS.len() {
        all = all.or(PLANTS[i].rule.telling());
        i += 1;
    }
    all
};

/// Everything on the list that a name with these words means.
pub(super) fn meant(kind: Kind, name: Words) -> impl Iterator<Item = &'static Plant> {
    let list = if name.has_any(TELLING) { PLANTS } else { &[] };
    list.iter()
        .filter(move |plant| (kind != Kind::Honey || plant.honey_too) && plant.rule.means(name))
}

/// Whether an ingredient of that kind and name is on the list, and what is said of it there.
pub fn plants_in(kind: Kind, name: &str) -> Vec<&'static Plant> {
    meant(kind, Words::of_name(name)).collect()
}

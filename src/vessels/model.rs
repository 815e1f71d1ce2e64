//! A vessel of a member's own, and what to beware of in what it is made of.

use std::collections::BTreeMap;

use crate::catalogue::{VesselKind, catalogue};
use crate::engine::density::water_density;
use crate::engine::{recipe, vessel};
use crate::safety::Place;

/// What a vessel is made of: it decides what can hurt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MadeOf {
    Glass,
    FoodPlastic,
    OtherPlastic,
    Steel,
    Wood,
    Stoneware,
    Unknown,
}

impl MadeOf {
    /// All of them, in the order in which pages offer them.
    pub const ALL: [MadeOf; 7] = [
        MadeOf::Glass,
        MadeOf::FoodPlastic,
        MadeOf::OtherPlastic,
        MadeOf::Steel,
        MadeOf::Wood,
        MadeOf::Stoneware,
        MadeOf::Unknown,
    ];

    /// The word as stored.
    pub fn word(self) -> &'static str {
        match self {
            MadeOf::Glass => "glass",
            MadeOf::FoodPlastic => "food_plastic",
            MadeOf::OtherPlastic => "other_plastic",
            MadeOf::Steel => "steel",
            MadeOf::Wood => "wood",
            MadeOf::Stoneware => "stoneware",
            MadeOf::Unknown => "unknown",
        }
    }

    /// On pages.
    pub fn words(self) -> &'static str {
        match self {
            MadeOf::Glass => "glass",
            MadeOf::FoodPlastic => "plastic sold for food",
            MadeOf::OtherPlastic => "plastic without the sign for food",
            MadeOf::Steel => "stainless steel",
            MadeOf::Wood => "oak or other wood",
            MadeOf::Stoneware => "stoneware or glazed pottery",
            MadeOf::Unknown => "I do not know",
        }
    }

    /// Reads the stored word.
    pub fn from_word(word: &str) -> Option<MadeOf> {
        MadeOf::ALL.into_iter().find(|of| of.word() == word)
    }
}

/// Reads the word of a kind.
pub fn kind_of(word: &str) -> Option<VesselKind> {
    VesselKind::ALL.into_iter().find(|kind| kind.word() == word)
}

/// What is known of a vessel, without whose it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Described {
    pub name: String,
    pub kind: VesselKind,
    pub made_of: MadeOf,
    /// Litres at 20 °C, filled to the brim.
    pub brim_l: f64,
    pub wide_mouth: bool,
    /// Part of the brim to leave free while it ferments; else the usual.
    pub headspace_fraction: Option<f64>,
    /// What stays behind in one of them at each racking, litres; else the usual.
    pub loss_l: Option<f64>,
    pub how_many: i32,
    pub notes: String,
    /// The fields as they were typed.
    pub typed: BTreeMap<String, String>,
}

/// A vessel of a member.
#[derive(Clone, Debug, PartialEq)]
pub struct Vessel {
    pub public_id: String,
    pub version: i32,
    /// Out of use: offered no more.
    pub retired: bool,
    pub is: Described,
}

impl Vessel {
    /// As a recipe document has it; what stays behind in all is the recipe's to say.
    pub fn for_recipe(&self) -> recipe::Vessel {
        recipe::Vessel {
            name: Some(self.is.name.clone()),
            kind: Some(self.is.kind.word().to_owned()),
            brim_l: self.is.brim_l,
            wide_mouth: Some(self.is.wide_mouth),
            headspace_fraction: self.is.headspace_fraction,
            loss_l: None,
        }
    }

    /// Litres that it holds when a mead ages in it: full, but for what its kind may leave empty.
    pub fn aged_full_l(&self) -> f64 {
        self.is.brim_l * (1.0 - vessel::ageing_headspace(self.is.kind.word()))
    }
}

/// Litres of a vessel that was weighed empty and full of water, kg, water of that temperature in °C: mass over the density of
/// the water. The buoyancy of air, a thousandth, is left out. `None` where nothing is left for the water.
pub fn weighed_full_l(empty_kg: f64, full_kg: f64, water_c: f64) -> Option<f64> {
    let litres = (full_kg - empty_kg) / water_density(water_c) * 1000.0;
    (litres.is_finite() && litres > 0.0).then_some(litres)
}

/// Something to beware of, with where more is said about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beware {
    pub class: &'static str,
    pub lead: &'static str,
    pub sentence: &'static str,
    pub place: Option<Place>,
}

const fn at(subject: &'static str, section: &'static str) -> Option<Place> {
    Some(Place { subject, section })
}

const FOR_FOOD: Option<Place> = at("vessels", "plastics-and-wood");

/// What to beware of, the gravest first.
pub fn beware(of: &Described) -> Vec<Beware> {
    let mut all = Vec::new();
    let mut say = |class, lead, sentence, place| {
        all.push(Beware {
            class,
            lead,
            sentence,
            place,
        });
    };
    match of.made_of {
        MadeOf::OtherPlastic => say(
            "danger",
            "Not made for food",
            "Sour must with alcohol draws out what such plastic is made of, and what it held before. Keep it for water and cleaning.",
            FOR_FOOD,
        ),
        MadeOf::Stoneware => say(
            "danger",
            "A glaze may give off lead",
            "Only with a glaze that its maker declares for sour drinks; lead cannot be tasted.",
            at("vessels", "metals"),
        ),
        MadeOf::Unknown => say(
            "watch",
            "Look what it is made of",
            "Only what is sold for food may touch the must: look for the sign underneath.",
            FOR_FOOD,
        ),
        MadeOf::Glass => say(
            "watch",
            "Glass",
            "It cuts deep when it breaks: carry it in a crate, never by a wet neck, and pour nothing hot into it.",
            at("glass", "carrying"),
        ),
        MadeOf::Wood if of.kind == VesselKind::Barrel && of.wide_mouth => say(
            "watch",
            "An open barrel",
            "Air turns what ages in it to vinegar: ferment in it for days, then rack into one that closes.",
            FOR_FOOD,
        ),
        MadeOf::Wood => say(
            "note",
            "Wood",
            "Untreated and made for drink. Keep it full: small barrels lose 4 to 8 % a year.",
            FOR_FOOD,
        ),
        MadeOf::FoodPlastic | MadeOf::Steel => {}
    }
    match of.kind {
        VesselKind::Keg => say(
            "watch",
            "Pressure",
            "Only with a working relief valve, and never above what is stamped on it.",
            at("gas", "cylinders"),
        ),
        VesselKind::Tank => say(
            "danger",
            "Gas in a tank",
            "Never put your head inside: the gas of fermentation takes the air away.",
            at("gas", "closed-rooms"),
        ),
        VesselKind::Bucket => say(
            "note",
            "Not for ageing",
            "A bucket lets air in: four to six weeks in it are enough.",
            FOR_FOOD,
        ),
        VesselKind::Demijohn | VesselKind::Carboy | VesselKind::Barrel => {}
    }
    all
}

/// What a vessel of this kind is usually made of, for a form that begins with it.
pub fn usual_material(kind: VesselKind) -> MadeOf {
    match kind {
        VesselKind::Bucket => MadeOf::FoodPlastic,
        VesselKind::Demijohn | VesselKind::Carboy => MadeOf::Glass,
        VesselKind::Keg | VesselKind::Tank => MadeOf::Steel,
        VesselKind::Barrel => MadeOf::Wood,
    }
}

/// Whether a usual vessel of this kind has a wide mouth.
pub fn usually_wide(kind: VesselKind) -> bool {
    let mut usual = catalogue().vessels().iter();
    usual.any(|vessel| vessel.kind == kind && vessel.wide_mouth)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::safety;

    /// A kilogram of water at 20 °C takes 1/0.998207 L; at 4 °C 1/0.999975 (the table of water's density).
    #[test]
    fn a_weighed_vessel_is_as_large_as_its_water() {
        let litres = |full, t| weighed_full_l(0.6, full, t).expect("a volume");
        assert!((litres(25.6, 20.0) - 25.0449).abs() < 1e-3);
        assert!((litres(25.6, 4.0) - 25.000_6).abs() < 1e-3);
        assert_eq!(weighed_full_l(1.0, 1.0, 20.0), None);
        assert_eq!(weighed_full_l(2.0, 1.0, 20.0), None);
    }

    #[test]
    fn every_caution_leads_to_a_section_that_is_there() {
        for kind in VesselKind::ALL {
            for made_of in MadeOf::ALL {
                let vessel = Described {
                    name: String::new(),
                    kind,
                    made_of,
                    brim_l: 5.0,
                    wide_mouth: true,
                    headspace_fraction: None,
                    loss_l: None,
                    how_many: 1,
                    notes: String::new(),
                    typed: BTreeMap::new(),
                };
                for beware in beware(&vessel) {
                    let place = beware.place.expect("a place");
                    let subject = safety::subjects()
                        .iter()
                        .find(|subject| subject.key == place.subject);
                    let sections = subject.expect("a subject").sections;
                    assert!(
                        sections.iter().any(|it| it.anchor == place.section),
                        "{place:?}"
                    );
                }
            }
        }
    }
}

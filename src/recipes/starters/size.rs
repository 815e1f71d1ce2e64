//! The two sizes of a starter recipe, and the bucket that each wants.

use crate::catalogue::{VesselKind, catalogue};
use crate::engine::recipe::{Recipe, Vessel};
use crate::engine::{Settings, formulate};
use crate::web::units::{IMPERIAL_GALLON_L, US_GALLON_L, Units};

/// How much of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Size {
    /// A demijohn's worth: about a gallon.
    #[default]
    Small,
    /// A bucket's worth: about five gallons.
    Large,
}

impl Size {
    /// Both, the small one first.
    pub const ALL: [Size; 2] = [Size::Small, Size::Large];

    /// The word in addresses.
    pub fn word(self) -> &'static str {
        match self {
            Size::Small => "small",
            Size::Large => "large",
        }
    }

    /// Reads the word back; anything else is small.
    pub fn from_word(word: &str) -> Size {
        match word {
            "large" => Size::Large,
            _ => Size::Small,
        }
    }

    /// As somebody who reads these units would type it.
    pub fn typed(self, units: Units) -> &'static str {
        match (self, units) {
            (Size::Small, Units::Metric) => "4.5 L",
            (Size::Large, Units::Metric) => "20 L",
            (Size::Small, _) => "1 gal",
            (Size::Large, Units::Us) => "5 gal",
            (Size::Large, Units::Imperial) => "4.5 gal",
        }
    }

    /// Litres of must.
    pub fn litres(self, units: Units) -> f64 {
        let [small, large] = match units {
            Units::Metric => [4.5, 20.0],
            Units::Us => [US_GALLON_L, 5.0 * US_GALLON_L],
            Units::Imperial => [IMPERIAL_GALLON_L, 4.5 * IMPERIAL_GALLON_L],
        };
        match self {
            Size::Small => small,
            Size::Large => large,
        }
    }
}

/// The smallest usual bucket in which the must has room for its foam; of the sizes sold where these units are read, if
/// one of them does. None where no bucket is large enough.
pub fn bucket_for(recipe: &Recipe, units: Units) -> Option<Vessel> {
    let wanted = formulate(recipe, &Settings::default())
        .vessel?
        .brim_wanted_l;
    let mut buckets: Vec<_> = catalogue()
        .vessels()
        .iter()
        .filter(|vessel| {
            vessel.kind == VesselKind::Bucket && vessel.brim_l * (1.0 + 1e-9) >= wanted
        })
        .collect();
    let foreign = |key: &str| key.contains("-us-") != (units == Units::Us);
    buckets.sort_by(|one, other| {
        let by_place = foreign(&one.key).cmp(&foreign(&other.key));
        by_place.then(one.brim_l.total_cmp(&other.brim_l))
    });
    buckets.first().map(|vessel| vessel.for_recipe())
}

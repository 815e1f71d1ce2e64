//! Which usual bucket a must ferments in.

use crate::catalogue::{self, VesselKind, catalogue};
use crate::engine::recipe::{Recipe, Vessel};
use crate::engine::{Settings, formulate};
use crate::web::units::Units;

/// The smallest usual bucket that holds so much to the brim; of the sizes sold where these units are read, if one of them
/// does. None where no bucket is large enough.
pub fn smallest_bucket(brim_wanted_l: f64, units: Units) -> Option<&'static catalogue::Vessel> {
    let foreign = |key: &str| key.contains("-us-") != (units == Units::Us);
    let buckets = catalogue().vessels().iter().filter(|vessel| {
        vessel.kind == VesselKind::Bucket && vessel.brim_l * (1.0 + 1e-9) >= brim_wanted_l
    });
    buckets.min_by(|one, other| {
        let by_place = foreign(&one.key).cmp(&foreign(&other.key));
        by_place.then(one.brim_l.total_cmp(&other.brim_l))
    })
}

/// The smallest one in which this must has room for its foam.
pub fn bucket_for(recipe: &Recipe, units: Units) -> Option<Vessel> {
    let fit = formulate(recipe, &Settings::default()).vessel?;
    smallest_bucket(fit.brim_wanted_l, units).map(|vessel| vessel.for_recipe())
}

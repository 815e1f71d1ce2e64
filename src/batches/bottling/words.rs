//! What comes of a filling, in words.

use crate::engine::bottle::{Bottle, PrimingSugar, WARM_DAY_C};
use crate::engine::bottling::{Asked, Bottled, Danger, Mead, Refusal, TIRED_ABV, Way};
use crate::web::units::{self, Units};

/// kPa in one bar.
const BAR_KPA: f64 = 100.0;

/// A way in words.
pub fn way(way: Way) -> &'static str {
    match way {
        Way::Still => "still, in bottles",
        Way::Primed => "with gas, in bottles: sugar makes it there",
        Way::Kegged => "in a keg, with gas from a cylinder",
    }
}

/// A kind of bottle in words, with what it may hold.
pub fn bottle(bottle: Bottle) -> String {
    let most = units::plain(bottle.most_volumes(), 1);
    match bottle {
        Bottle::Still => "made for still drinks: no gas".to_owned(),
        Bottle::Beer => format!("ordinary beer bottle: up to {most} volumes"),
        Bottle::Heavy => format!("heavy bottle, sold with a rating for gas: up to {most} volumes"),
        Bottle::SparklingWine => {
            format!("made for sparkling wine, with a wired closure: up to {most} volumes")
        }
    }
}

/// A sugar in words.
pub fn sugar(sugar: PrimingSugar) -> &'static str {
    match sugar {
        PrimingSugar::Sucrose => "table sugar",
        PrimingSugar::GlucoseMonohydrate => "glucose, as it is usually sold",
        PrimingSugar::GlucoseAnhydrous => "glucose, free of water",
        PrimingSugar::Fructose => "fruit sugar",
        PrimingSugar::Honey80 => "honey, of whose mass 80 % ferments",
        PrimingSugar::Honey77 => "honey, of whose mass 77 % ferments",
    }
}

/// The field beside which a refusal stands, and what it says.
pub fn refusal(refusal: Refusal) -> (&'static str, String) {
    let volumes = |volumes: f64| units::plain(volumes, 2);
    match refusal {
        Refusal::Stabilised => (
            "way",
            "It was stabilised, so that it cannot be primed: the sugar stays, or wakes after months and bursts bottles. Put it into a keg; or bottle it still; or next time leave it dry and sweeten with what does not ferment.".to_owned(),
        ),
        Refusal::WarmestUnknown => (
            "warmest",
            "Write the warmest it has been since it stopped fermenting: the gas that is still in it goes by that.".to_owned(),
        ),
        Refusal::VolumesMissing => (
            "volumes",
            "Write how much gas you want, such as 2.5 volumes.".to_owned(),
        ),
        Refusal::KegTemperatureMissing => (
            "keg",
            "Write how cold the keg stands: the pressure goes by that.".to_owned(),
        ),
        Refusal::NoBottleHolds { most_volumes } => (
            "volumes",
            format!("More than {} volumes is more than any bottle may hold.", volumes(most_volumes)),
        ),
        Refusal::BottleTooWeak { stronger, .. } => (
            "bottle",
            match stronger {
                Some(kind) => format!("Such a bottle may burst with that: no sugar is reckoned for it. The weakest that may hold it is another kind: {}.", bottle(kind)),
                None => "Such a bottle may burst with that: no sugar is reckoned for it.".to_owned(),
            },
        ),
        Refusal::AlreadyFizzier { volumes: there } => (
            "volumes",
            format!("Without any sugar it comes to {} volumes already, with what may still ferment. Stir the gas out, or wait until it stands still.", volumes(there)),
        ),
        Refusal::OutsideTheModel => (
            "volumes",
            "Nothing is reckoned for so much pressure.".to_owned(),
        ),
    }
}

/// A danger: what leads, and what to do.
pub fn danger(danger: Danger) -> (&'static str, &'static str) {
    match danger {
        Danger::NotStill => (
            "It may still ferment",
            "No two readings, degassed and 14 days apart, agree to 0.001 since sugar last went in. Whatever ferments in a closed bottle presses until it bursts: glass cuts, and blinds. Leave it under the airlock and read again.",
        ),
        Danger::WeakBottle => (
            "These bottles may burst",
            "There may be more gas in them than their kind may hold. Take stronger ones, or let it ferment out and stir the gas out first.",
        ),
    }
}

/// What comes of it, sentence by sentence.
pub fn answer(mead: &Mead, asked: &Asked, is: &Bottled, reads: Units) -> Vec<String> {
    let mut said = Vec::new();
    if let Some(grams) = is.sugar_g {
        said.push(format!(
            "{} g of {} in {}, dissolved in a little boiled water and stirred in evenly.",
            units::fixed(grams, 1),
            sugar(asked.sugar),
            units::volume(asked.litres, reads),
        ));
    }
    // A keg's gas comes from the cylinder, whatever is in it.
    let in_bottles = asked.way != Way::Kegged;
    if let (Some(residual), Some(coming), true) =
        (is.residual_volumes, is.coming_volumes, in_bottles)
    {
        let stirred = match asked.degassed {
            true => "",
            false => " (half as much again as at rest, because the gas was not stirred out)",
        };
        said.push(format!(
            "{} volumes of gas are in it{stirred}; with the sugar that may still ferment, {} g/L, it comes to {} by itself.",
            units::plain(residual, 2),
            units::plain(coming_sugar(mead), 1),
            units::plain(coming, 2),
        ));
    }
    if let Some(kpa) = is.keg_kpa {
        said.push(match kpa > 0.0 {
            true => format!(
                "Set the cylinder to {} and wait about a week, or until it tastes right.",
                units::pressure(kpa / BAR_KPA, reads)
            ),
            false => "It holds that much without any pressure.".to_owned(),
        });
    }
    if let (Some(volumes), Some(bar)) = (is.final_volumes, is.warm_day_bar) {
        said.push(format!(
            "{} volumes press {} bar above the air on a day of {}.",
            units::plain(volumes, 2),
            units::fixed(bar, 1),
            units::temperature(WARM_DAY_C, reads),
        ));
    } else if is.final_volumes.is_some() {
        said.push(format!(
            "On a day of {} it would press more than can be reckoned.",
            units::temperature(WARM_DAY_C, reads)
        ));
    }
    if let Some([low, high]) = is.yeast_g {
        let why = match mead.abv_percent > TIRED_ABV {
            true => "so strong",
            false => "so old",
        };
        said.push(format!(
            "It is {why} that its yeast may do nothing more: add {} to {} g of fresh dry yeast that bears the strength, for bottles. It may stay flat all the same.",
            units::fixed(low, 1),
            units::fixed(high, 1),
        ));
    }
    said
}

fn coming_sugar(mead: &Mead) -> f64 {
    match mead.stabilised && mead.stands_still {
        true => 0.0,
        false => mead.fermentable_g_per_l,
    }
}

/// What to take care of, whatever was reckoned.
pub fn care(way: Way) -> &'static str {
    match way {
        Way::Still => {
            "Closed bottles stand in a box, away from warmth and children, until you know that they stay quiet."
        }
        Way::Primed => {
            "Glass under pressure: wear eye protection, keep the bottles in a closed box, never shake them, open the first after two weeks over a sink, and cool them all if it gushes."
        }
        Way::Kegged => {
            "A keg and its cylinder need a working relief valve; chain the cylinder, never use glass under a cylinder, and air the room: the gas gathers low and takes the breath. Local rules and whoever fills cylinders come first."
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_way_bottle_sugar_and_danger_has_words_of_its_own() {
        let mut all: Vec<String> = Way::ALL
            .into_iter()
            .map(|one| way(one).to_owned())
            .collect();
        all.extend(Way::ALL.into_iter().map(|one| care(one).to_owned()));
        all.extend(Bottle::ALL.into_iter().map(bottle));
        all.extend(
            PrimingSugar::ALL
                .into_iter()
                .map(|one| sugar(one).to_owned()),
        );
        for one in [Danger::NotStill, Danger::WeakBottle] {
            all.push(danger(one).1.to_owned());
        }
        let count = all.len();
        all.sort();
        all.dedup();
        assert_eq!(all.len(), count);
    }
}

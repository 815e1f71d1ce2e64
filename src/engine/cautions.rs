//! What the maker should know before going on, the weightiest first.

use super::formulate::{Balance, ferments_dry};
use super::formulation::{FeedingPlan, VesselFit};
use super::prepare::{Item, Quantity, solved_by_aim};
use super::problem::{Arguments, Caution, CautionCode as Code, Severity};
use super::recipe::{Amount, Finish, Kind, Recipe, When, YeastWhen};
use super::style::{has_stones, is_browned, is_elderberry, is_hot_pepper};

/// Headroom that "will finish dry" needs, % ABV (common practice, no published source).
pub const DRY_HEADROOM_ABV: f64 = 1.5;
/// Arresting further than this below the tolerance must be done by hand, % ABV.
const BY_HAND_ABV: f64 = 0.5;
/// Sugar above this can make a bottle burst, g/L (common practice, no published source).
const SOUND_SUGAR_G_PER_L: f64 = 3.0;
/// Musts above this are better fed with honey in steps (common practice, no published source).
const VERY_STRONG_OG: f64 = 1.140;
/// Organic feed past this helps little, g/L (common practice, no published source).
const MUCH_ORGANIC_G_PER_L: f64 = 1.0;
/// Gas of a fermentation that is worth a word about fresh air, litres (a tenth of a small closed room's limit).
const MUCH_GAS_L: f64 = 500.0;
/// Litres of carbon dioxide in a kilogram at 20 °C (reference on safety, section 2: 122 g are 67 L).
const GAS_L_PER_KG: f64 = 549.0;

pub(super) fn all(balance: &Balance<'_>, feeding: &FeedingPlan, fit: &VesselFit) -> Vec<Caution> {
    let mut cautions = Vec::new();
    strength(balance, &mut cautions);
    finish(balance, &mut cautions);
    feeds(balance, feeding, &mut cautions);
    place(balance, fit, &mut cautions);
    for (index, item) in balance.items.iter().enumerate() {
        let kg = balance.amounts.kg.get(index).copied().unwrap_or(0.0);
        ingredient(balance.recipe, item, index, kg > 0.0, &mut cautions);
    }
    weightiest_first(cautions)
}

/// What holds whatever the amounts are that could not be solved.
pub(super) fn without_amounts(recipe: &Recipe, items: &[Item]) -> Vec<Caution> {
    let mut cautions = Vec::new();
    temperature(recipe, &mut cautions);
    for (index, item) in items.iter().enumerate() {
        let is_there = match item.quantity {
            Quantity::Fixed(amount) | Quantity::PerLitre(amount) | Quantity::Share(amount) => {
                amount > 0.0
            }
            Quantity::Filler => true,
        };
        ingredient(recipe, item, index, is_there, &mut cautions);
    }
    weightiest_first(cautions)
}

fn weightiest_first(mut cautions: Vec<Caution>) -> Vec<Caution> {
    cautions.sort_by_key(|caution| std::cmp::Reverse(caution.severity));
    cautions
}

fn strength(balance: &Balance<'_>, cautions: &mut Vec<Caution>) {
    let headroom = balance.headroom();
    let at_limit = balance.ladder.tolerance_sg.is_some();
    if ferments_dry(balance.recipe) {
        if at_limit {
            let arguments = Arguments::none().with("tolerance_abv_percent", balance.tolerance_abv);
            cautions.push(Caution::new(
                Code::EndsAtYeastLimit,
                Severity::Watch,
                arguments,
            ));
        } else if headroom < DRY_HEADROOM_ABV {
            let arguments = Arguments::none()
                .with("headroom_abv_percent", headroom)
                .with("wanted_abv_percent", DRY_HEADROOM_ABV);
            cautions.push(Caution::new(
                Code::LittleHeadroom,
                Severity::Watch,
                arguments,
            ));
        }
    }
    if balance.whole.og > VERY_STRONG_OG {
        let arguments = Arguments::none().with("og", balance.whole.og);
        cautions.push(Caution::new(
            Code::VeryStrongMust,
            Severity::Watch,
            arguments,
        ));
    }
    temperature(balance.recipe, cautions);
}

fn temperature(recipe: &Recipe, cautions: &mut Vec<Caution>) {
    let pitched = recipe
        .yeasts
        .iter()
        .filter(|yeast| yeast.when == YeastWhen::Pitch);
    if let Some(temperature) = recipe.temperature_c {
        for [low, high] in pitched.filter_map(|yeast| yeast.temperature_c) {
            if temperature < low || temperature > high {
                let arguments = Arguments::none()
                    .with("temperature_c", temperature)
                    .with("low_c", low)
                    .with("high_c", high);
                cautions.push(Caution::new(
                    Code::OutsideYeastTemperature,
                    Severity::Watch,
                    arguments,
                ));
            }
        }
    }
}

fn finish(balance: &Balance<'_>, cautions: &mut Vec<Caution>) {
    if let Finish::ArrestTo(sg) = balance.recipe.finish {
        let headroom = balance.headroom();
        if headroom > BY_HAND_ABV {
            let arguments = Arguments::none()
                .with("headroom_abv_percent", headroom)
                .with("gravity_sg", sg);
            cautions.push(Caution::new(
                Code::MustBeStoppedByHand,
                Severity::Watch,
                arguments,
            ));
        }
    }
    if balance.finished.residual_sugar_g_per_l > SOUND_SUGAR_G_PER_L {
        let sugar = balance.finished.residual_sugar_g_per_l;
        let arguments = Arguments::none().with("residual_sugar_g_per_l", sugar);
        cautions.push(Caution::new(
            Code::StabiliseBeforeBottling,
            Severity::Danger,
            arguments,
        ));
    }
}

fn feeds(balance: &Balance<'_>, feeding: &FeedingPlan, cautions: &mut Vec<Caution>) {
    let note =
        |code, name, value| Caution::new(code, Severity::Note, Arguments::none().with(name, value));
    if feeding.why == "no_feed" {
        let arguments = Arguments::none().with("deficit_mg_per_l", feeding.deficit_mg_per_l);
        cautions.push(Caution::new(Code::NoFeed, Severity::Watch, arguments));
        return;
    }
    if !feeding.additions.is_empty() && feeding.why == "four_parts" {
        cautions.push(Caution::new(
            Code::StirBeforeFeeding,
            Severity::Watch,
            Arguments::none(),
        ));
    }
    if feeding.beyond_mg_per_l > 1.0 {
        cautions.push(note(
            Code::FeedBeyond,
            "beyond_mg_per_l",
            feeding.beyond_mg_per_l,
        ));
    }
    let ammonium: f64 = feeding
        .additions
        .iter()
        .map(|addition| addition.ammonium_mg_per_l)
        .sum();
    if ammonium >= super::feeding::MOST_AMMONIUM_MG_PER_L - 1e-6 {
        cautions.push(note(Code::AmmoniumCeiling, "ammonium_mg_per_l", ammonium));
    }
    let organic: f64 = feeding
        .additions
        .iter()
        .filter(|addition| addition.ammonium_mg_per_l <= 0.0)
        .map(|addition| addition.grams / balance.whole.volume_l)
        .sum();
    if organic > MUCH_ORGANIC_G_PER_L + 1e-6 {
        cautions.push(note(Code::MuchOrganicFeed, "grams_per_l", organic));
    }
}

fn place(balance: &Balance<'_>, fit: &VesselFit, cautions: &mut Vec<Caution>) {
    let brim = balance.recipe.vessel.as_ref().map(|vessel| vessel.brim_l);
    let code = match fit.advice {
        "too_small" => Some(Code::VesselTooSmall),
        "foam_may_overflow" => Some(Code::FoamMayOverflow),
        _ => None,
    };
    if let (Some(code), Some(brim)) = (code, brim) {
        let arguments = Arguments::none()
            .with("fill_l", fit.fill_l)
            .with("brim_l", brim)
            .with("wanted_brim_l", fit.brim_wanted_l);
        cautions.push(Caution::new(code, Severity::Watch, arguments));
    }
    let gas = balance.course.co2_kg * GAS_L_PER_KG;
    if gas > MUCH_GAS_L {
        let arguments = Arguments::none()
            .with("co2_kg", balance.course.co2_kg)
            .with("gas_l", gas);
        cautions.push(Caution::new(
            Code::CarbonDioxide,
            Severity::Danger,
            arguments,
        ));
    }
}

fn ingredient(
    recipe: &Recipe,
    item: &Item,
    index: usize,
    is_there: bool,
    cautions: &mut Vec<Caution>,
) {
    let stated = recipe.ingredients.get(index);
    let name = stated.map_or("", |ingredient| ingredient.name.as_str());
    let named = || Arguments::none().with("name", name);
    let note = |code| Caution::new(code, Severity::Note, named());
    if matches!(item.quantity, Quantity::Share(_)) && item.when == When::Sweeten {
        if !matches!(recipe.finish, Finish::SweetenTo(_)) {
            cautions.push(note(Code::SweeteningUnused));
        }
        return;
    }
    if item.quantity == Quantity::Filler {
        let own =
            stated
                .and_then(|ingredient| ingredient.amount)
                .is_some_and(|amount| match amount {
                    Amount::Kg(x)
                    | Amount::Litres(x)
                    | Amount::GramsPerLitre(x)
                    | Amount::Share(x) => x > 0.0,
                });
        if own {
            cautions.push(note(Code::FillerAmountUnused));
        }
    }
    if !is_there {
        return;
    }
    if matches!(item.when, When::Secondary | When::Ageing) && item.parts.sugar_kg > 0.0 {
        cautions.push(Caution::new(
            Code::SecondaryCanFerment,
            Severity::Watch,
            named(),
        ));
    }
    match item.kind {
        Kind::Acid => {
            if item.acid.is_none() {
                cautions.push(note(Code::AcidNotCounted));
            }
            if solved_by_aim(item.when) {
                cautions.push(Caution::new(
                    Code::AcidBeforeFermenting,
                    Severity::Watch,
                    named(),
                ));
            }
        }
        Kind::Honey if is_browned(name) => {
            cautions.push(Caution::new(Code::HotHoney, Severity::Danger, named()));
        }
        _ => {}
    }
    // What can hurt is known by its name, whatever kind it was called.
    if has_stones(name) && item.kind != Kind::Juice {
        cautions.push(Caution::new(Code::FruitStones, Severity::Danger, named()));
    }
    if is_elderberry(name) {
        cautions.push(Caution::new(Code::RawElderberry, Severity::Danger, named()));
    }
    if is_hot_pepper(name) {
        cautions.push(Caution::new(Code::HotPepper, Severity::Danger, named()));
    }
}

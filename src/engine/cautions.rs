//! What the maker should know before going on, the weightiest first.

mod additions;
mod bottles;
mod harm;
mod must;
mod stabilising;
mod yeasts;

use super::formulate::{Balance, ferments_dry};
use super::formulation::{FeedingPlan, VesselFit, Water};
use super::prepare::{Item, Quantity, solved_by_aim};
use super::problem::{Arguments, Caution, CautionCode as Code, Severity};
use super::recipe::{Amount, Finish, Kind, Recipe, When};

pub(super) use self::harm::is_hot_pepper;

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

/// Sugar that joins later and is too little to be noticed, g/L of mead: a tenth of a volume of gas, a fifth of a gravity point (1 volume
/// for 4.05 g/L, reference on safety, section 1; the threshold is our judgement).
const UNNOTICED_SUGAR_G_PER_L: f64 = 0.4;
/// What brings less than this part of the sugar that joins later is not named.
const WORTH_NAMING: f64 = 0.1;

pub(super) fn all(
    balance: &Balance<'_>,
    feeding: &FeedingPlan,
    fit: &VesselFit,
    water: Option<&Water>,
) -> Vec<Caution> {
    let mut cautions = Vec::new();
    let (recipe, items, amounts) = (balance.recipe, balance.items, balance.amounts);
    let sweetening = amounts.sweetening_of_each();
    let is_there = |index: usize| {
        let stated = amounts.kg.get(index).copied().unwrap_or(0.0);
        let sweetens = sweetening.get(index).copied().flatten().unwrap_or(0.0);
        stated + sweetens > 0.0
    };
    harm::by_name(recipe, items, &is_there, &mut cautions);
    place(balance, fit, &mut cautions);
    let sweet = balance.finished.residual_sugar_g_per_l > SOUND_SUGAR_G_PER_L;
    finish(balance, sweet, &mut cautions);
    bottles::all(balance, sweet, &mut cautions);
    strength(balance, &mut cautions);
    yeasts::temperature(recipe, &mut cautions);
    yeasts::all(balance, &mut cautions);
    feeds(balance, feeding, &mut cautions);
    let per_l = 1000.0 / balance.finished.volume_l;
    let later = |index: usize, item: &Item| {
        let kg = amounts.kg.get(index).copied().unwrap_or(0.0);
        joins_later(item).then_some(item.parts.sugar_kg * kg * per_l)
    };
    restarts(recipe, items, &later, &mut cautions);
    for (index, item) in items.iter().enumerate() {
        let kg = amounts.kg.get(index).copied().unwrap_or(0.0);
        ingredient(recipe, item, index, kg > 0.0, &mut cautions);
    }
    let found = stabilising::stabilisers(balance);
    stabilising::all(balance, &found, sweet, &mut cautions);
    additions::all(balance, &found, &mut cautions);
    must::all(balance, feeding, water, &mut cautions);
    weightiest_first(cautions)
}

/// What holds whatever the amounts are that could not be solved.
pub(super) fn without_amounts(recipe: &Recipe, items: &[Item]) -> Vec<Caution> {
    let mut cautions = Vec::new();
    let amount_of = |item: &Item| match item.quantity {
        Quantity::Fixed(amount) | Quantity::PerLitre(amount) | Quantity::Share(amount) => amount,
        Quantity::Filler => 1.0,
    };
    let is_there = |index: usize| items.get(index).is_some_and(|item| amount_of(item) > 0.0);
    harm::by_name(recipe, items, &is_there, &mut cautions);
    yeasts::temperature(recipe, &mut cautions);
    let later = |_: usize, item: &Item| {
        let kg_per_l = match (item.quantity, recipe.volume_l) {
            (Quantity::PerLitre(kg), _) => kg,
            (Quantity::Fixed(kg), Some(volume_l)) => kg / volume_l,
            // However little it is, nobody knows of how much.
            _ => amount_of(item) * 1e6,
        };
        joins_later(item).then_some(item.parts.sugar_kg * kg_per_l * 1000.0)
    };
    restarts(recipe, items, &later, &mut cautions);
    for (index, item) in items.iter().enumerate() {
        ingredient(recipe, item, index, is_there(index), &mut cautions);
    }
    weightiest_first(cautions)
}

fn joins_later(item: &Item) -> bool {
    matches!(item.when, When::Secondary | When::Ageing)
}

/// What joins after the first fermentation with enough sugar to set it off again; `later` tells how much of it, g/L.
fn restarts(
    recipe: &Recipe,
    items: &[Item],
    later: &dyn Fn(usize, &Item) -> Option<f64>,
    cautions: &mut Vec<Caution>,
) {
    let sugars = || {
        let pairs = items.iter().enumerate();
        pairs.filter_map(|(index, item)| Some((index, later(index, item)?)))
    };
    let all = sugars().fold(0.0, |sum, (_, sugar)| sum + sugar);
    if all <= UNNOTICED_SUGAR_G_PER_L {
        return;
    }
    for (index, _) in sugars().filter(|(_, sugar)| *sugar >= WORTH_NAMING * all) {
        if let Some(stated) = recipe.ingredients.get(index) {
            let arguments = Arguments::none().with("name", stated.name.as_str());
            cautions.push(Caution::new(
                Code::SecondaryCanFerment,
                Severity::Watch,
                arguments,
            ));
        }
    }
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
}

fn finish(balance: &Balance<'_>, sweet: bool, cautions: &mut Vec<Caution>) {
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
    if sweet {
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
    if item.kind == Kind::Acid {
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
}

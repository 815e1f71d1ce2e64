//! The must and what is in the glass: acid, pH, nitrogen, honeys that leave sugar, water.

use super::super::formulate::Balance;
use super::super::formulation::{FeedingPlan, Water};
use super::super::names::{Rule, rule};
use super::super::prepare::Item;
use super::super::problem::{Arguments, Caution, CautionCode as Code, Severity};
use super::super::recipe::Kind;
use super::super::style::gravities_of;
use super::super::water::read_salts;

/// Potassium bicarbonate for a plain honey must, g/L, low and high (common practice, no published source).
const BICARBONATE_G_PER_L: [f64; 2] = [0.25, 0.5];
const HOLDS_PH: Rule = rule!([
    ["potassium", "bicarbonate"],
    ["potassium", "carbonate"],
    ["khco3"],
    ["k2co3"],
    ["calcium", "carbonate"],
    ["chalk"],
    ["caco3"],
    ["sodium", "bicarbonate"],
]);
/// Honeys with much fruit sugar, which a tired yeast leaves (reference on composition, section 4).
const MUCH_FRUCTOSE: Rule = rule!([["acacia"], ["tupelo"], ["robinia"], ["black", "locust"]]);
/// Demand above which nitrogen is better not given in full, mg/L (reference on nutrition, section 4).
const MUCH_DEMAND_MG_PER_L: f64 = 350.0;
/// Acid in the glass that most find flat, and sharp, g/L as tartaric (common practice, no published source).
const LITTLE_ACID: f64 = 3.0;
const MUCH_ACID: f64 = 9.0;
/// Charges that miss each other by more point to a slip in the report, % (reference on physical chemistry, section 10: common practice).
const MUCH_IMBALANCE: f64 = 5.0;
/// Water with fewer ions than this, mg/L, is as good as distilled (our judgement, no published source).
const NO_MINERALS_MG_PER_L: f64 = 30.0;
/// Weaker than this the honey in it matters more than the alcohol, % ABV (our judgement, no published source).
const NEXT_TO_NO_ALCOHOL: f64 = 1.2;

pub(super) fn all(
    balance: &Balance<'_>,
    feeding: &FeedingPlan,
    water: Option<&Water>,
    cautions: &mut Vec<Caution>,
) {
    acid(balance, cautions);
    let mut say =
        |code, severity, arguments| cautions.push(Caution::new(code, severity, arguments));
    if feeding.demand.class > MUCH_DEMAND_MG_PER_L {
        let arguments = Arguments::none().with("demand_mg_per_l", feeding.demand.class);
        say(Code::HighDemand, Severity::Note, arguments);
    }
    let used = || {
        let items = balance
            .items
            .iter()
            .zip(&balance.amounts.kg)
            .zip(&balance.recipe.ingredients);
        items
            .filter(|((_, kg), _)| **kg > 0.0)
            .map(|((item, _), stated)| (item, stated))
    };
    for (_, stated) in
        used().filter(|(item, _)| item.kind == Kind::Honey && MUCH_FRUCTOSE.means(item.words))
    {
        let named = Arguments::none().with("name", stated.name.as_str());
        say(Code::HighFructoseHoney, Severity::Note, named);
    }
    let honey = used().any(|(item, _)| item.kind == Kind::Honey);
    if honey
        && balance.content.is_plain()
        && !used().any(|(item, _)| HOLDS_PH.means(item.words))
        && !salted(balance)
    {
        let [low, high] = BICARBONATE_G_PER_L.map(|dose| dose * balance.whole.volume_l);
        let arguments = Arguments::none().with("low_g", low).with("high_g", high);
        say(Code::HoneyHoldsPhPoorly, Severity::Note, arguments);
    }
    if honey && balance.finished.abv_percent < NEXT_TO_NO_ALCOHOL {
        say(Code::HoneyAndInfants, Severity::Danger, Arguments::none());
    }
    if let Some([low, high]) = gravities_of(balance)
        .filter(|[low, high]| !(low - 1e-6..=high + 1e-6).contains(&balance.whole.og))
    {
        let arguments = Arguments::none()
            .with("og", balance.whole.og)
            .with("low_sg", low)
            .with("high_sg", high);
        say(Code::GravityOutsideStrength, Severity::Note, arguments);
    }
    in_water(balance, water, cautions);
}

/// Whether the water gets a salt that neutralises acid.
fn salted(balance: &Balance<'_>) -> bool {
    let salts = balance
        .recipe
        .water_report
        .as_ref()
        .map(|report| read_salts(&report.salts, ""));
    matches!(salts, Some(Ok(salts)) if salts.iter().any(|(salt, grams)| *grams > 0.0 && salt.ions_mg_per_g().alkalinity() > 0.0))
}

fn acid(balance: &Balance<'_>, cautions: &mut Vec<Caution>) {
    let Some(acid) = balance.finished.ta_g_per_l else {
        return;
    };
    let arguments = Arguments::none().with("ta_g_per_l", acid);
    if acid > MUCH_ACID {
        cautions.push(Caution::new(Code::MuchAcid, Severity::Watch, arguments));
    } else if acid < LITTLE_ACID && balance.items.iter().all(tells_its_acid) {
        cautions.push(Caution::new(Code::LittleAcid, Severity::Note, arguments));
    }
}

/// Whether nothing sour is left out: what usually brings acid says how much.
fn tells_its_acid(item: &Item) -> bool {
    item.acid.is_some()
        || !matches!(
            item.kind,
            Kind::Honey | Kind::Fruit | Kind::Juice | Kind::Acid
        )
}

fn in_water(balance: &Balance<'_>, water: Option<&Water>, cautions: &mut Vec<Caution>) {
    let Some(report) = &balance.recipe.water_report else {
        return;
    };
    let mut say =
        |code, severity, arguments| cautions.push(Caution::new(code, severity, arguments));
    let Some(water) = water else {
        // Misspelt names are problems of their own.
        let meant = report.ions.is_empty() && report.salts.is_empty();
        if !meant && balance.whole.water_l <= 1e-3 {
            say(Code::WaterReportUnused, Severity::Note, Arguments::none());
        }
        return;
    };
    if let Some(imbalance) = water
        .charge_imbalance_percent
        .filter(|miss| miss.abs() > MUCH_IMBALANCE)
    {
        let arguments = Arguments::none().with("imbalance_percent", imbalance);
        say(Code::WaterReportUneven, Severity::Note, arguments);
    }
    let sum = water.ions.sum();
    if sum < NO_MINERALS_MG_PER_L {
        let arguments = Arguments::none().with("ions_mg_per_l", sum);
        say(Code::WaterWithoutMinerals, Severity::Watch, arguments);
    }
    for (salt, grams) in read_salts(&report.salts, "").unwrap_or_default() {
        let dose = grams / balance.whole.water_l;
        if let Some(most) = salt.dissolves_g_per_l().filter(|most| dose > *most) {
            let arguments = Arguments::none()
                .with("name", salt.formula())
                .with("grams_per_l", dose)
                .with("most_g_per_l", most);
            say(Code::SaltDoesNotDissolve, Severity::Note, arguments);
        }
    }
}

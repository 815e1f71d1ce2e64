//! Fruit, spice, wood and what goes with them: caps, sugar that comes slowly, doses, days of contact.

use super::super::doses::{contact_days, usual_g_per_l};
use super::super::formulate::Balance;
use super::super::names::{Rule, rule};
use super::super::prepare::{Item, solved_by_aim};
use super::super::problem::{Arguments, Caution, CautionCode as Code, Severity};
use super::super::recipe::{Form, Ingredient, Kind, When};
use super::stabilising::Stabilisers;

/// Sulfur dioxide for fruit that was not frozen, mg/L, and what of it is in potassium metabisulfite (common practice, no
/// published source; reference on physical chemistry, section 8).
const SO2_FOR_FRUIT_MG_PER_L: f64 = 50.0;
const SO2_OF_SALT: f64 = 0.5763;
/// No ageing in a bucket past six weeks, days (common practice, no published source).
const MOST_DAYS_IN_BUCKET: f64 = 42.0;
const BUCKET: Rule = rule!([["bucket"], ["pail"]]);

/// Whether it floats and makes a cap: fruit with flesh or skins.
fn is_solid_fruit(item: &Item, form: Option<Form>) -> bool {
    item.kind == Kind::Fruit && !matches!(form, Some(Form::Juice | Form::Puree | Form::Tincture))
}

pub(super) fn all(balance: &Balance<'_>, found: &Stabilisers<'_>, cautions: &mut Vec<Caution>) {
    let (mut fruit_kg, mut fresh) = (0.0, false);
    let items = balance.items.iter().zip(&balance.amounts.kg);
    for ((item, kg), stated) in items.zip(&balance.recipe.ingredients) {
        if *kg <= 0.0 {
            continue;
        }
        if is_solid_fruit(item, stated.form) && solved_by_aim(item.when) {
            fruit_kg += kg;
            fresh |= !matches!(stated.form, Some(Form::Frozen | Form::Dried));
        }
        one(balance, item, *kg, stated, cautions);
    }
    let mut say =
        |code, severity, arguments| cautions.push(Caution::new(code, severity, arguments));
    if fruit_kg > 0.0 {
        let amount = || Arguments::none().with("kg", fruit_kg);
        say(Code::FruitCap, Severity::Watch, amount());
        let vessel = balance.recipe.vessel.as_ref();
        if vessel.and_then(|vessel| vessel.wide_mouth) == Some(false) {
            say(Code::NarrowMouth, Severity::Watch, amount());
        }
    }
    if fresh && found.sulfite.is_none() {
        let grams = SO2_FOR_FRUIT_MG_PER_L * balance.whole.volume_l / 1000.0 / SO2_OF_SALT;
        say(
            Code::FreshFruit,
            Severity::Note,
            Arguments::none().with("metabisulfite_g", grams),
        );
    }
    in_bucket(balance, cautions);
}

fn one(
    balance: &Balance<'_>,
    item: &Item,
    kg: f64,
    stated: &Ingredient,
    cautions: &mut Vec<Caution>,
) {
    let mut say =
        |code, severity, arguments| cautions.push(Caution::new(code, severity, arguments));
    let named = || Arguments::none().with("name", stated.name.as_str());
    if item.kind == Kind::Fruit && stated.form == Some(Form::Whole) && solved_by_aim(item.when) {
        say(Code::WholeFruitKeepsSugar, Severity::Note, named());
    }
    if item.kind == Kind::Enzyme && solved_by_aim(item.when) {
        say(Code::EnzymeBeforeYeast, Severity::Note, named());
    }
    let drawn = matches!(stated.form, Some(Form::Juice | Form::Tincture));
    if let Some(usual) = usual_g_per_l(item.kind, item.words).filter(|_| !drawn) {
        let dose = kg * 1000.0 / balance.amounts.volume_l;
        if dose > usual * (1.0 + 1e-9) {
            let severity = if item.kind == Kind::Fruit {
                Severity::Note
            } else {
                Severity::Watch
            };
            let arguments = named()
                .with("grams_per_l", dose)
                .with("usual_g_per_l", usual);
            say(Code::DoseAboveUsual, severity, arguments);
        }
    }
    if let (Some(days), Some(most)) = (stated.days, contact_days(item.kind, item.words))
        && days > most
    {
        let arguments = named().with("days", days).with("most_days", most);
        say(Code::ContactTooLong, Severity::Watch, arguments);
    }
}

/// Long contact while it ages, in a vessel that lets air in.
fn in_bucket(balance: &Balance<'_>, cautions: &mut Vec<Caution>) {
    let kind = balance
        .recipe
        .vessel
        .as_ref()
        .and_then(|vessel| vessel.kind.as_deref());
    if !kind.is_some_and(|kind| BUCKET.means(super::super::names::Words::of_name(kind))) {
        return;
    }
    let later = balance
        .recipe
        .ingredients
        .iter()
        .filter(|item| matches!(item.when, When::Secondary | When::Ageing));
    let days = later.filter_map(|item| item.days).fold(0.0, f64::max);
    if days > MOST_DAYS_IN_BUCKET {
        let arguments = Arguments::none()
            .with("days", days)
            .with("most_days", MOST_DAYS_IN_BUCKET);
        cautions.push(Caution::new(Code::LongInBucket, Severity::Watch, arguments));
    }
}

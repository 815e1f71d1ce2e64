//! What can hurt somebody, known by its name: plants, peppers, stones, allergens, vessels.

use super::super::allergens;
use super::super::names::{Rule, Words, rule};
use super::super::plants;
use super::super::prepare::Item;
use super::super::problem::{Arguments, Caution, CautionCode as Code, Severity};
use super::super::recipe::{Form, Ingredient, Kind, Recipe};
use super::super::style::is_browned;

/// Fruit whose stones set cyanide free when crushed, the stones not taken out (reference on safety, section 6).
const STONES: Rule = rule!([
    ["apricot"], ["cherry"], ["chokecherry"], ["damson"], ["greengage"], ["mirabelle"], ["nectarine"], ["peach"], ["plum"],
    ["sloe"],
] unless [
    "pitted", "stoned", "stoneless", "destoned", "removed", "juice", "concentrate", "syrup", "puree", "extract", "jam",
    "blossom", "flower", "wood", "chip", "cube", "leaf", "tomato", "pepper", "kernel",
]);

/// Elderberries that nobody says were heated (section 6).
const RAW_ELDERBERRIES: Rule = rule!([["elderberry"], ["elder", "berry"], ["sambucus", "berry"]] unless [
    "heated", "cooked", "boiled", "simmered", "steamed", "pasteurised", "pasteurized", "treated", "flower", "blossom",
]);

/// Poisonous to dogs (section 7).
const NOT_FOR_DOGS: Rule = rule!([["hop"], ["raisin"], ["sultana"], ["grape"], ["cocoa"], ["cacao"], ["coffee"]] unless [
    "seed", "leaf", "blossom", "flower",
]);

/// Vessels that give off lead, zinc or copper (section 10).
const BAD_VESSEL: Rule = rule!([
    ["galvanised"],
    ["galvanized"],
    ["zinc"],
    ["copper"],
    ["brass"],
    ["leaded"],
    ["crystal"],
    ["pottery"],
    ["glazed"],
    ["painted"],
]);
/// A feed that becomes a carcinogen with alcohol (reference on nutrition, section 7).
const UREA: Rule = rule!([["urea"]]);

/// Everything that goes by names alone, of the items that are in it.
pub(super) fn by_name(
    recipe: &Recipe,
    items: &[Item],
    is_there: &dyn Fn(usize) -> bool,
    cautions: &mut Vec<Caution>,
) {
    let mut allergens: Vec<(&str, String)> = Vec::new();
    for (index, item) in items
        .iter()
        .enumerate()
        .filter(|(index, _)| is_there(*index))
    {
        let Some(stated) = recipe.ingredients.get(index) else {
            continue;
        };
        if item.words == Words::NONE && item.kind != Kind::Malt {
            continue;
        }
        one(stated, item, cautions);
        for allergen in allergens::meant(item.kind, item.words) {
            match allergens.iter_mut().find(|(known, _)| *known == allergen) {
                None => allergens.push((allergen, stated.name.clone())),
                Some((_, names)) => {
                    names.push_str(", ");
                    names.push_str(&stated.name);
                }
            }
        }
    }
    for feed in recipe
        .nutrients
        .iter()
        .filter(|feed| UREA.means(Words::of_name(&feed.name)))
    {
        let named = Arguments::none().with("name", feed.name.as_str());
        cautions.push(Caution::new(Code::UreaAsFeed, Severity::Danger, named));
    }
    if let Some(vessel) = &recipe.vessel {
        for text in [&vessel.name, &vessel.kind].into_iter().flatten() {
            if BAD_VESSEL.means(Words::of_name(text)) {
                let named = Arguments::none().with("name", text.as_str());
                cautions.push(Caution::new(Code::VesselMaterial, Severity::Danger, named));
                break;
            }
        }
    }
    for (allergen, names) in allergens {
        let arguments = Arguments::none()
            .with("name", names.as_str())
            .with("allergen", allergen);
        cautions.push(Caution::new(Code::Allergen, Severity::Watch, arguments));
    }
}

fn one(stated: &Ingredient, item: &Item, cautions: &mut Vec<Caution>) {
    let named = || Arguments::none().with("name", stated.name.as_str());
    let mut say =
        |code, severity, arguments| cautions.push(Caution::new(code, severity, arguments));
    for plant in plants::meant(item.kind, item.words) {
        let code = if plant.refused {
            Code::RefusedPlant
        } else {
            Code::PlantWithCare
        };
        say(code, plant.severity, named().with("why", plant.why));
    }
    if item.kind == Kind::Honey {
        if is_browned(item.words) {
            say(Code::HotHoney, Severity::Danger, named());
        }
        return;
    }
    let prepared = matches!(
        stated.form,
        Some(Form::Juice | Form::Puree | Form::Dried | Form::Tincture)
    );
    let solid = !matches!(item.kind, Kind::Juice | Kind::Syrup | Kind::Wood) && !prepared;
    if solid && STONES.means(item.words) {
        say(Code::FruitStones, Severity::Danger, named());
    }
    if RAW_ELDERBERRIES.means(item.words) {
        say(Code::RawElderberry, Severity::Danger, named());
    }
    if is_hot_pepper(item.words) {
        say(Code::HotPepper, Severity::Danger, named());
    }
    if NOT_FOR_DOGS.means(item.words) && item.kind != Kind::Juice {
        say(Code::KeepFromDogs, Severity::Note, named());
    }
}

/// Hot pepper, by any of its names.
const HOT_PEPPER: Rule = rule!([
    ["chili"], ["chilli"], ["chile"], ["jalapeno"], ["habanero"], ["serrano"], ["cayenne"], ["chipotle"],
    ["scotch", "bonnet"], ["hot", "pepper"], ["ghost", "pepper"], ["bird", "pepper"],
] unless ["ham"]);

/// Whether a name is that of a hot pepper.
pub(in crate::engine) fn is_hot_pepper(words: Words) -> bool {
    HOT_PEPPER.means(words)
}

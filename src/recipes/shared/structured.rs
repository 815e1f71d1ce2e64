//! A sheet for machines: schema.org's Recipe.

use serde_json::{Value, json};

use crate::recipes::links::Linked;
use crate::recipes::numbers::steps::{StepLine, mixing_hours};
use crate::recipes::numbers::{Piece, months_to_drink};
use crate::recipes::opened::{Opened, Told};
use crate::web::data_block::DataBlock;
use crate::web::units;

/// What the sheet says, at the volume and in the units in which it is shown.
pub(super) fn block(linked: &Linked, opened: &Opened, told: &Told) -> DataBlock {
    let weighed = &opened.rounded.weighed;
    let mut recipe = json!({
        "@context": "https://schema.org",
        "@type": "Recipe",
        "name": linked.revision.title,
        "description": words(&told.numbers.lead),
        "recipeCategory": "Mead",
        "inLanguage": "en",
        "datePublished": linked.recipe.created_at.format("%Y-%m-%d").to_string(),
        "dateModified": linked.revision.created_at.format("%Y-%m-%d").to_string(),
        "recipeIngredient": ingredients(opened, told),
        "recipeInstructions": instructions(opened, told),
    });
    if !told.numbers.family.is_empty() {
        recipe["keywords"] = told.numbers.family.clone().into();
    }
    if let Some(made) = yields(opened) {
        recipe["recipeYield"] = made.into();
    }
    if weighed.finished.is_some() {
        let [good, _] = months_to_drink(weighed);
        recipe["prepTime"] = format!("PT{}H", mixing_hours(weighed)).into();
        recipe["totalTime"] = format!("P{good}M").into();
    }
    if linked.terms.signed {
        recipe["author"] = json!({ "@type": "Person", "name": linked.recipe.owner_name });
    }
    DataBlock::of(&recipe)
}

/// "19 L of must, 21 bottles of 0.75 L".
fn yields(opened: &Opened) -> Option<String> {
    let weighed = &opened.rounded.weighed;
    let whole = weighed.whole.as_ref()?;
    let must = units::volume(whole.volume_l, opened.reader.units);
    let bottles = weighed.package.as_ref();
    let bottles = bottles.and_then(|package| package.bottles.first());
    Some(match bottles {
        Some(bottles) => format!("{must} of must, {} bottles of 0.75 L", bottles.count),
        None => format!("{must} of must"),
    })
}

fn ingredients(opened: &Opened, told: &Told) -> Vec<String> {
    let (recipe, weighed) = (&opened.document, &opened.rounded.weighed);
    let unit = opened.reader.units;
    let lines = told.numbers.amounts.iter();
    let lines = lines.filter(|line| line.goes_in && line.amount != "none");
    let mut all: Vec<String> = lines
        .map(|line| format!("{} {}", line.amount, line.name))
        .collect();
    if let (Some(yeast), Some(pitching)) = (recipe.yeasts.first(), &weighed.pitching) {
        let grams = units::mass(pitching.yeast_g / 1000.0, unit);
        all.push(format!("{grams} {}", yeast.name));
    }
    for (index, feed) in recipe.nutrients.iter().enumerate() {
        let plan = weighed.feeding.iter().flat_map(|plan| &plan.additions);
        let given = plan.filter(|addition| addition.index == index);
        let grams: f64 = given.map(|addition| addition.grams).sum();
        if grams > 0.0 {
            all.push(format!(
                "{} {}",
                units::mass(grams / 1000.0, unit),
                feed.name
            ));
        }
    }
    all
}

fn instructions(opened: &Opened, told: &Told) -> Vec<Value> {
    let step = |name: &str, text: String| match name {
        "" => json!({ "@type": "HowToStep", "text": text }),
        name => json!({ "@type": "HowToStep", "name": name, "text": text }),
    };
    let reckoned = told
        .steps
        .iter()
        .map(|line: &StepLine| step(line.name(), words(&line.text)));
    let own = opened.document.process.iter();
    let own = own.map(|own| step(&own.when, own.text.clone()));
    reckoned.chain(own).collect()
}

fn words(pieces: &[Piece]) -> String {
    pieces.iter().map(|piece| piece.text.as_str()).collect()
}

//! "I have bread yeast and raisins": what will happen, and the cheapest way to better.
//!
//! What is no figure of the engine is common practice, no published source.

use super::{Case, Ranked};
use crate::engine::recipe::{Aim, Amount, Finish, Recipe, When};
use crate::engine::{Formulation, formulate};
use crate::recipes::numbers::strength;
use crate::web::units;

/// The bread yeast of the catalogue.
pub const BREAD_YEAST: &str = "yeast-bread";
/// What it reaches for sure, as one would type it.
pub const BREAD_STRENGTH: &str = "8 %";

/// The same amounts with bread yeast in them, left to ferment as it will.
fn with_bread_yeast(case: &Case<'_>) -> Option<Formulation> {
    let bread = case.reader.catalogue.find_yeast(BREAD_YEAST)?;
    let whole = case.numbers.whole.as_ref()?;
    let mut recipe: Recipe = case.recipe.clone();
    for line in case
        .numbers
        .ingredients
        .iter()
        .filter(|line| line.when != When::Sweeten)
    {
        if let (Some(item), Some(kg)) = (recipe.ingredients.get_mut(line.index), line.kg)
            && matches!(item.amount, Some(Amount::Share(_)))
        {
            item.amount = Some(Amount::Kg(kg));
        }
    }
    recipe.ingredients.retain(|item| item.when != When::Sweeten);
    recipe.aim = Aim::Amounts;
    recipe.finish = Finish::Dry;
    recipe.volume_l = Some(whole.volume_l);
    recipe.yeasts = vec![bread.for_recipe()];
    Some(formulate(&recipe, case.settings)).filter(|numbers| numbers.finished.is_some())
}

/// The answer, a sentence or two each.
pub(super) fn bread_yeast_and_raisins(case: &Case<'_>, ranked: &[Ranked]) -> Vec<String> {
    let units = case.reader.units;
    let mut said =
        vec!["Then you can make mead: bread yeast eats honey like any other.".to_owned()];
    if let Some(finished) = with_bread_yeast(case).and_then(|numbers| numbers.finished) {
        said.push(match finished.residual_sugar_g_per_l {
            sugar if sugar < 5.0 => format!(
                "In this must it should end dry, near {} and {}.",
                strength(finished.abv_percent),
                units::gravity(finished.fg)
            ),
            sugar => format!(
                "In this must it gives up somewhere near {} and leaves about {} of sugar: it ends at {}, sweeter than planned, and nobody can say exactly where.",
                strength(finished.abv_percent),
                units::grams_per_litre(sugar),
                units::gravity(finished.fg)
            ),
        });
    }
    said.push("It tastes rougher at first, smells of struck matches when it is hungry or warm, and settles badly. Keep it between 18 and 20 °C, make it no stronger than about 8 %, and give it time: cold does the clearing.".replace(
        "18 and 20 °C",
        &format!("{} and {}", units::temperature(18.0, units), units::temperature(20.0, units)),
    ));
    said.push("Raisins bring a little sugar, colour and body. They are hardly food for yeast: to feed it with them one would need more raisins than honey.".to_owned());
    let best = ranked
        .iter()
        .find(|yeast| yeast.suits && yeast.key != BREAD_YEAST);
    said.push(format!(
        "The cheapest help: boil a level tablespoon of the same bread yeast in a cup of water for ten minutes, let it cool, and stir it in with the live yeast. Dead yeast feeds the living. The next cheapest: one sachet of a yeast made for wine{}, which costs less than the honey it saves.",
        best.map_or(String::new(), |yeast| format!(" (for this must: {})", yeast.name.to_lowercase()))
    ));
    said
}

//! Nutrient: of the recipe's own feeds or the catalogue's, with its nitrogen.

use super::typing::{fill_grams, grams};
use super::{Case, Field, Is, Sort, field, hinted, no_care};
use crate::engine::formulation::Addition;
use crate::engine::log::entry::Feed;
use crate::engine::log::{Deed, Entry};
use crate::engine::recipe::Nutrient;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::typed::Typed;

/// A feed.
pub const FEED: Sort = Sort {
    word: "feed",
    heading: "Fed the yeast",
    link: "Fed",
    fields,
    begins,
    reads,
    fills,
    care: no_care,
};

/// What an entry before held, where the recipe and the catalogue do not have it.
const AS_BEFORE: &str = "before";

/// The feeds of the recipe, then those of the catalogue, by key.
fn feeds(case: &Case<'_>) -> Vec<(String, Nutrient)> {
    let own = case.opened.recipe.nutrients.iter().enumerate();
    let own = own.map(|(index, feed)| (format!("recipe-{index}"), feed.clone()));
    let taken = |name: &str| {
        let mut own = case.opened.recipe.nutrients.iter();
        own.any(|feed| feed.name == name)
    };
    let others = case.catalogue.feeds().filter(|feed| !taken(&feed.name));
    let others = others.map(|feed| (feed.key.clone(), feed.for_recipe()));
    own.chain(others).collect()
}

/// The planned feed whose turn it is: of each nutrient as many are over as were given.
fn next<'a>(case: &'a Case<'_>) -> Option<&'a Addition> {
    let plan = case.opened.planned.feeding.as_ref()?;
    let given = |name: &str| {
        let of = |entry: &&Entry| matches!(&entry.deed, Deed::Feed(feed) if feed.name == name);
        case.opened.entries.iter().filter(of).count()
    };
    let mut planned = plan.additions.iter().enumerate();
    planned.find_map(|(place, addition)| {
        let before = plan.additions.iter().take(place);
        let before = before.filter(|other| other.nutrient == addition.nutrient);
        (before.count() >= given(&addition.nutrient)).then_some(addition)
    })
}

fn earlier<'a>(case: &'a Case<'_>) -> Option<&'a Feed> {
    match &case.before?.deed {
        Deed::Feed(feed) => Some(feed),
        _ => None,
    }
}

fn fields(case: &Case<'_>) -> Vec<Field> {
    let before = earlier(case).map(|feed| {
        let words = format!("{}, as it was written", feed.name);
        (AS_BEFORE.to_owned(), words)
    });
    let all = feeds(case).into_iter().map(|(key, feed)| (key, feed.name));
    vec![
        field(
            "feed",
            "What",
            Is::Choice(before.into_iter().chain(all).collect()),
        ),
        hinted(
            "grams",
            "How much",
            Is::Number,
            "Such as 4.5 g. Stir the gas out first: powder makes it foam over.",
        ),
    ]
}

fn begins(case: &Case<'_>, form: &mut FormState) {
    let Some(next) = next(case) else {
        return;
    };
    form.set("feed", format!("recipe-{}", next.index));
    // What a kitchen scale shows.
    fill_grams(form, "grams", Some((10.0 * next.grams).round() / 10.0));
}

fn reads(typed: &mut Typed<'_>, case: &Case<'_>) -> Result<Option<Deed>, Error> {
    let key = typed.text("feed")?;
    let grams = grams(typed, "grams", "grams")?;
    if typed.text("grams")?.is_empty() {
        typed.form.refuse("grams", "Write how much, such as 4.5 g.");
    }
    let chosen = match earlier(case) {
        Some(feed) if key == AS_BEFORE => Some(feed.clone()),
        _ => {
            let found = feeds(case).into_iter().find(|(own, _)| own == key);
            found.map(|(_, feed)| Feed {
                name: feed.name,
                grams: 0.0,
                ammonium_yan_mg_per_g: Some(feed.ammonium_yan_mg_per_g),
                organic_yan_mg_per_g: Some(feed.organic_yan_mg_per_g),
                cost: feed
                    .price_per_kg
                    .zip(grams)
                    .map(|(price, grams)| price * grams / 1000.0),
            })
        }
    };
    if chosen.is_none() {
        typed.form.refuse("feed", "Choose one of the list.");
    }
    Ok(chosen
        .zip(grams)
        .map(|(feed, grams)| Deed::Feed(Feed { grams, ..feed })))
}

fn fills(deed: &Deed, _: &Case<'_>, form: &mut FormState) {
    if let Deed::Feed(data) = deed {
        form.set("feed", AS_BEFORE);
        fill_grams(form, "grams", Some(data.grams));
    }
}

//! Anything else that goes in: of the recipe, of the club's catalogue, or named.

use super::typing::{NAME_MAX, fill_gravity, fill_number, gravity};
use super::{Case, Field, Is, Sort, field, hinted};
use crate::batches::log::view::why_words;
use crate::catalogue;
use crate::engine::log::Deed;
use crate::engine::log::entry::{Addition, What, Why};
use crate::engine::plan::Beware;
use crate::engine::recipe::{Ingredient, Kind};
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::typed::Typed;
use crate::web::units::{self, Bare, TypedAmount, parse_amount, parse_percent};

/// An addition.
pub const ADDITION: Sort = Sort {
    word: "addition",
    heading: "Added something",
    link: "Added",
    fields,
    begins: |case, form| {
        if !case.opened.state.fermenting {
            form.set("why", Why::Must.as_str());
        }
    },
    reads,
    fills,
    care: |_| vec![Beware::LocalLimits],
};

/// What an entry before held.
const AS_BEFORE: &str = "before";
/// What no catalogue has: the word, its words, what it is, and how its bare numbers are read.
const PLAIN: [(&str, &str, What, Bare); 5] = [
    ("water", "Water", What::Water, Bare::Volume),
    ("mead", "Mead of another batch", What::Mead, Bare::Volume),
    (
        "sulfite",
        "Potassium metabisulfite",
        What::Sulfite,
        Bare::Grams,
    ),
    ("sorbate", "Potassium sorbate", What::Sorbate, Bare::Grams),
    (
        "else",
        "Something else, named below",
        What::Other,
        Bare::Grams,
    ),
];

/// What can be chosen: its key, its name, and what an addition of it is before its amount is known.
struct Choice {
    key: String,
    words: String,
    is: Addition,
    price_per_kg: Option<f64>,
    bare: Bare,
}

fn of_ingredient(key: String, ingredient: &Ingredient) -> Choice {
    let mut kinds = catalogue::Kind::ALL.into_iter();
    let kind = kinds.find(|kind| kind.word() == ingredient.kind.as_str());
    Choice {
        key,
        words: ingredient.name.clone(),
        is: addition_of(ingredient),
        price_per_kg: ingredient.price_per_kg,
        bare: kind.map_or(Bare::LargeMass, catalogue::Kind::bare),
    }
}

/// What an addition of an ingredient is before its amount is known.
pub fn addition_of(ingredient: &Ingredient) -> Addition {
    let acid = ingredient.composition.as_ref();
    let neutral = acid
        .and_then(|of| of.ta_g_per_kg)
        .is_some_and(|ta| ta < 0.0);
    let what = match ingredient.kind {
        Kind::Honey => What::Honey,
        Kind::Fruit => What::Fruit,
        Kind::Juice => What::Juice,
        Kind::Syrup | Kind::Sugar | Kind::Malt => What::Sugar,
        Kind::Spice => What::Spice,
        Kind::Acid | Kind::Salt if neutral => What::Neutraliser,
        Kind::Acid => What::Acid,
        Kind::Tannin => What::Tannin,
        Kind::Salt => What::Salt,
        Kind::Enzyme => What::Enzyme,
        Kind::Wood => What::Wood,
        Kind::Fining => What::Fining,
        Kind::Sweetener | Kind::Other => What::Other,
    };
    Addition {
        composition: ingredient.composition.clone(),
        ..Addition::of(&ingredient.name, what)
    }
}

/// All that can be chosen: as before, of the recipe, what no catalogue has, of the catalogue.
fn choices(case: &Case<'_>) -> Vec<Choice> {
    let before = earlier(case).map(|addition| Choice {
        key: AS_BEFORE.to_owned(),
        words: format!("{}, as it was written", addition.name),
        is: addition.clone(),
        price_per_kg: None,
        bare: Bare::Grams,
    });
    let own = case.opened.recipe.ingredients.iter().enumerate();
    let own = own.map(|(index, of)| {
        let choice = of_ingredient(format!("recipe-{index}"), of);
        let words = format!("{}, of the recipe", choice.words);
        Choice { words, ..choice }
    });
    let plain = PLAIN.iter().map(|(key, words, what, bare)| Choice {
        key: (*key).to_owned(),
        words: (*words).to_owned(),
        is: Addition::of(words, *what),
        price_per_kg: None,
        bare: *bare,
    });
    let entries = case.catalogue.honeys().chain(case.catalogue.others());
    let entries = entries.map(|entry| of_ingredient(entry.key.clone(), &entry.ingredient()));
    let first = before.into_iter().chain(own).chain(plain);
    first.chain(entries).collect()
}

fn earlier<'a>(case: &'a Case<'_>) -> Option<&'a Addition> {
    match &case.before?.deed {
        Deed::Addition(addition) => Some(addition),
        _ => None,
    }
}

fn fields(case: &Case<'_>) -> Vec<Field> {
    let things = choices(case).into_iter();
    let things = things.map(|choice| (choice.key, choice.words));
    let nothing = (String::new(), "choose".to_owned());
    let why = Why::ALL.iter();
    let why = why.map(|why| (why.as_str().to_owned(), why_words(*why).to_owned()));
    let unsaid = (String::new(), "not said".to_owned());
    vec![
        field(
            "thing",
            "What",
            Is::Choice(std::iter::once(nothing).chain(things).collect()),
        ),
        hinted(
            "name",
            "Its name, if it is something else",
            Is::Line,
            "Its sugar is then not counted.",
        ),
        hinted(
            "amount",
            "How much",
            Is::Number,
            "Such as 1.2 kg, 500 ml, 3 g or 0.5 g/L.",
        ),
        field(
            "why",
            "Why",
            Is::Choice(std::iter::once(unsaid).chain(why).collect()),
        ),
        hinted(
            "sg",
            "Its gravity, if it is mead",
            Is::Number,
            "Such as 1.010.",
        ),
        hinted(
            "abv",
            "Its strength, if it is mead",
            Is::Number,
            "Such as 12 %.",
        ),
    ]
}

fn reads(typed: &mut Typed<'_>, case: &Case<'_>) -> Result<Option<Deed>, Error> {
    let key = typed.text("thing")?;
    let chosen = choices(case).into_iter().find(|choice| choice.key == key);
    if chosen.is_none() {
        typed.form.refuse("thing", "Choose what it was.");
    }
    let name = typed.line("name", NAME_MAX)?;
    if key == "else" && name.is_empty() {
        typed.form.refuse("name", "Write what it was.");
    }
    let bare = chosen.as_ref().map_or(Bare::Grams, |choice| choice.bare);
    let amount = amount(typed, case, bare)?;
    let why = match typed.text("why")? {
        "" => None,
        word => {
            let why = Why::from_word(word);
            if why.is_none() {
                typed.form.refuse("why", "Choose one of the list.");
            }
            why
        }
    };
    let sg = gravity(typed, "sg")?;
    let abv = typed.read("abv", |text| parse_percent(text, 0.0, 25.0))?;
    let Some((choice, amount)) = chosen.zip(amount) else {
        return Ok(None);
    };
    let mut is = choice.is;
    if key == "else" {
        is.name = name;
    }
    (is.kg, is.litres, is.grams) = amount;
    is.why = why;
    if is.what == What::Mead {
        (is.sg, is.abv_percent) = (sg, abv);
    }
    let kg = is.kg.or(is.grams.map(|grams| grams / 1000.0));
    is.cost = choice
        .price_per_kg
        .zip(kg)
        .map(|(price, kg)| price * kg)
        .or(is.cost);
    Ok(Some(Deed::Addition(is)))
}

/// Kilograms, litres or grams: one of the three.
type Much = (Option<f64>, Option<f64>, Option<f64>);

fn amount(typed: &mut Typed<'_>, case: &Case<'_>, bare: Bare) -> Result<Option<Much>, Error> {
    const HOW_MUCH: &str = "Write how much, such as 1.2 kg, 500 ml or 3 g.";
    if typed.text("amount")?.is_empty() {
        typed.form.refuse("amount", HOW_MUCH);
        return Ok(None);
    }
    let units = case.to.units;
    let litres = case.opened.state.volume_l;
    typed.read("amount", |text| {
        match parse_amount(text, units, bare).map_err(|fault| fault.to_string())? {
            TypedAmount::Share(_) => Err(HOW_MUCH.to_owned()),
            TypedAmount::Kg(kg) if kg < 0.1 => Ok((None, None, Some(1000.0 * kg))),
            TypedAmount::Kg(kg) => Ok((Some(kg), None, None)),
            TypedAmount::Litres(litres) => Ok((None, Some(litres), None)),
            TypedAmount::GramsPerLitre(dose) => Ok((None, None, Some(dose * litres))),
        }
    })
}

fn fills(deed: &Deed, case: &Case<'_>, form: &mut FormState) {
    let Deed::Addition(data) = deed else {
        return;
    };
    form.set("thing", AS_BEFORE);
    let much = match (data.kg, data.litres, data.grams) {
        (Some(kg), _, _) => units::mass_text(kg, case.to.units),
        (_, Some(litres), _) => units::volume_text(litres, case.to.units),
        (_, _, Some(grams)) => format!("{} g", units::plain(grams, 3)),
        _ => String::new(),
    };
    form.set("amount", much);
    form.set("why", data.why.map_or("", Why::as_str));
    fill_gravity(form, "sg", data.sg);
    fill_number(form, "abv", data.abv_percent, 2);
}

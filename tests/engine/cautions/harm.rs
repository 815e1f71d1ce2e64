//! What can hurt somebody: each code from a recipe that earns it, and the list of plants against names of every kind.

use mustwright::engine::plants::{PLANTS, plants_in};
use mustwright::engine::problem::{CautionCode, Severity};
use mustwright::engine::recipe::*;

use super::{Case, ingredient, named, with};
use crate::documents::*;

pub fn cases() -> Vec<Case> {
    let spice = |name: &str| ingredient(pinch(name, Kind::Spice, 0.01));
    vec![
        (
            CautionCode::RefusedPlant,
            Severity::Danger,
            spice("Tonka bean"),
            spice("Vanilla bean"),
        ),
        (
            CautionCode::PlantWithCare,
            Severity::Danger,
            ingredient(named("Star fruit", Kind::Fruit, When::Primary)),
            ingredient(named("Passion fruit", Kind::Fruit, When::Primary)),
        ),
        (
            CautionCode::Allergen,
            Severity::Watch,
            ingredient(named("Pale malt extract", Kind::Malt, When::Must)),
            ingredient(named("Rice malt", Kind::Malt, When::Must)),
        ),
        (
            CautionCode::KeepFromDogs,
            Severity::Note,
            spice("Hops, pellets"),
            spice("Rose hips"),
        ),
        (
            CautionCode::UreaAsFeed,
            Severity::Danger,
            with(|r| r.nutrients = vec![feed("Urea", 466.0, 0.0)]),
            with(|r| r.nutrients = vec![dap()]),
        ),
        (
            CautionCode::VesselMaterial,
            Severity::Danger,
            vessel("Galvanised pail"),
            vessel("Steel tank"),
        ),
        (
            CautionCode::HoneyAndInfants,
            Severity::Danger,
            with(|r| r.aim = Aim::Target(Target::Abv(0.8))),
            with(|r| r.aim = Aim::Target(Target::Abv(5.0))),
        ),
    ]
}

fn vessel(name: &str) -> Recipe {
    with(|r| {
        r.vessel = Some(Vessel {
            name: Some(name.to_owned()),
            brim_l: 30.0,
            ..Vessel::default()
        });
    })
}

fn names_of(kind: Kind, name: &str) -> Vec<&'static str> {
    plants_in(kind, name)
        .iter()
        .map(|plant| plant.name)
        .collect()
}

/// Every row of the table in the reference on safety, section 7, and what sections 6, 10 and 14 name, as people write it.
#[test]
fn what_is_refused_is_known_in_every_spelling() {
    for name in [
        "Calamus root",
        "sweet flag",
        "SASSAFRAS ROOT BARK",
        "Sassafras oil",
        "tonka beans",
        "Pennyroyal, dried",
        "Tansies",
        "Rue",
        "Comfrey leaves",
        "borage leaves",
        "Coltsfoot",
        "foxgloves",
        "Oleander flowers",
        "lily-of-the-valley",
        "Lilies of the valley",
        "Yew berries",
        "monkshood",
        "water hemlock",
        "Datura",
        "deadly nightshade",
        "Pokeberries",
        "poke berries",
        "Japanese star anise",
        "Illicium anisatum",
        "Rhododendron flowers",
        "mountain laurel",
        "Azaleas",
        "rhubarb leaves",
        "leaves of rhubarb",
        "Elder leaves",
        "elderberries with stems",
        "bitter almonds",
        "apricot kernels",
        "kernels of cherries",
        "wild mushrooms",
        "medicines",
        "cut flowers",
        "Treated wood",
        "Tónka béan",
        "To\u{301}nka",
    ] {
        let found = plants_in(Kind::Spice, name);
        assert!(found.iter().any(|plant| plant.refused), "{name}: {found:?}");
    }
    assert_eq!(names_of(Kind::Honey, "Mad honey").len(), 1);
    assert_eq!(names_of(Kind::Honey, "Rhododendron honey").len(), 1);
}

#[test]
fn what_wants_care_is_known() {
    for (name, plant) in [
        ("cassia bark", "cassia cinnamon"),
        ("Woodruff", "woodruff"),
        ("wormwood", "wormwood"),
        ("Nutmegs, grated", "nutmeg and mace"),
        ("mace", "nutmeg and mace"),
        ("starfruit", "star fruit"),
        ("Carambola", "star fruit"),
        ("grapefruit zest", "grapefruit"),
        ("Licorice root", "liquorice"),
        ("star anise", "star anise"),
        ("Cassava", "cassava, flax and bamboo"),
        ("linseed", "cassava, flax and bamboo"),
        ("roasted garlic", "garlic, nut butter, vegetables in oil"),
        ("essential oil of rose", "essential oils"),
    ] {
        let found = plants_in(Kind::Spice, name);
        assert!(
            found.len() == 1 && found[0].name == plant && !found[0].refused,
            "{name}: {found:?}"
        );
    }
}

/// Names that only look alike, and those of harmless parts or of honeys of such flowers.
#[test]
fn harmless_names_raise_no_alarm() {
    for name in [
        "elderflower",
        "Elder flowers, dried",
        "Elderberries, heated",
        "elderberries without stems or leaves",
        "Rhubarb stalks",
        "rhubarb (leaves removed)",
        "true cinnamon",
        "Ceylon cinnamon",
        "borage flowers",
        "Sassafras leaves",
        "almond blossom",
        "sweet almonds",
        "hawthorn",
        "grape leaf",
        "mint leaves",
        "bay laurel",
        "anise seed",
        "rosemary",
        "macerated oranges",
        "Yewdale water",
        "thyme",
        "shiitake",
        "pine nuts",
        "olive",
        "red flag",
        "crushed stone fruit",
        "untreated oak",
        "",
        "日本",
        "чёрная смородина",
    ] {
        assert_eq!(names_of(Kind::Spice, name), Vec::<&str>::new(), "{name}");
    }
    for name in ["borage honey", "grapefruit honey", "tansy honey"] {
        assert_eq!(names_of(Kind::Honey, name), Vec::<&str>::new(), "{name}");
    }
}

#[test]
fn every_row_says_what_is_wrong_and_where_that_is_said() {
    for plant in PLANTS {
        assert!(
            !plant.why.is_empty() && !plant.source.is_empty(),
            "{plant:?}"
        );
        assert!(
            !plant.refused || plant.severity == Severity::Danger,
            "{plant:?}"
        );
    }
    let first_limited = PLANTS.iter().position(|plant| !plant.refused);
    let last_refused = PLANTS.iter().rposition(|plant| plant.refused);
    assert!(first_limited > last_refused, "the refused first");
}

#[test]
fn the_caution_names_the_ingredient_and_says_why() {
    let numbers = sound(&ingredient(pinch("Tonka beans", Kind::Spice, 0.1)));
    let caution = numbers
        .cautions
        .iter()
        .find(|caution| caution.code == CautionCode::RefusedPlant)
        .expect("a caution");
    assert_eq!(caution.arguments.text("name"), Some("Tonka beans"));
    assert_eq!(caution.arguments.text("why"), Some("coumarin_forbidden"));
    assert_eq!(
        caution, &numbers.cautions[0],
        "what hurts tonight comes first"
    );
}

/// Refused is refused, also where the aim cannot be met.
#[test]
fn what_hurts_is_said_though_nothing_could_be_solved() {
    let mut recipe = ingredient(pinch("Foxglove", Kind::Spice, 0.1));
    recipe.aim = Aim::Target(Target::Abv(20.0));
    let numbers = numbers(&recipe);
    assert!(!numbers.problems.is_empty());
    assert!(caution_codes(&numbers).contains(&CautionCode::RefusedPlant));
}

#[test]
fn what_hurts_is_known_whatever_kind_it_is_called() {
    use CautionCode::{FruitStones, HotPepper, RawElderberry, RefusedPlant};
    for (name, kind, code, due) in [
        ("Elderberry juice", Kind::Juice, RawElderberry, true),
        ("Elderberry, heated", Kind::Fruit, RawElderberry, false),
        ("Elderflower", Kind::Spice, RawElderberry, false),
        ("Apricot kernels", Kind::Spice, RefusedPlant, true),
        ("Sour cherry, pitted", Kind::Fruit, FruitStones, false),
        ("Sour cherry, unpitted", Kind::Fruit, FruitStones, true),
        ("Cherries without stones", Kind::Fruit, FruitStones, false),
        ("Sloes", Kind::Fruit, FruitStones, true),
        ("Cherry wood chips", Kind::Wood, FruitStones, false),
        ("Plum blossom honey", Kind::Honey, FruitStones, false),
        ("Mango", Kind::Fruit, FruitStones, false),
        ("Chipotle", Kind::Fruit, HotPepper, true),
        ("Jalapeños", Kind::Other, HotPepper, true),
        ("Bell pepper", Kind::Other, HotPepper, false),
    ] {
        let recipe = ingredient(named(name, kind, When::Primary));
        let told = caution_codes(&sound(&recipe)).contains(&code);
        assert_eq!(told, due, "{name}: {code:?}");
    }
}

/// One caution for an allergen, with everything that brings it.
#[test]
fn allergens_are_named_once_with_all_that_bring_them() {
    let mut recipe = ingredient(named("Pale malt", Kind::Malt, When::Must));
    recipe
        .ingredients
        .push(pinch("Flaked oats", Kind::Other, 5.0));
    recipe
        .ingredients
        .push(pinch("Isinglass", Kind::Fining, 0.1));
    let told: Vec<(String, String)> = sound(&recipe)
        .cautions
        .iter()
        .filter(|caution| caution.code == CautionCode::Allergen)
        .map(|caution| {
            let text = |name: &str| caution.arguments.text(name).expect("a text").to_owned();
            (text("allergen"), text("name"))
        })
        .collect();
    let wanted = [("gluten", "Pale malt, Flaked oats"), ("fish", "Isinglass")];
    assert_eq!(told, wanted.map(|(a, b)| (a.to_owned(), b.to_owned())));
    for (name, kind, due) in [
        ("Lactose", Kind::Sweetener, true),
        ("Oat milk", Kind::Other, true),
        ("Milk thistle", Kind::Spice, false),
        ("Chestnut honey", Kind::Honey, false),
        ("Almond honey", Kind::Honey, false),
        ("Hazelnuts", Kind::Other, true),
        ("Nutmeg", Kind::Spice, false),
        ("Eggplant", Kind::Other, false),
        ("Egg white", Kind::Fining, true),
        ("Bentonite", Kind::Fining, false),
        ("Gluten-free malt", Kind::Malt, false),
    ] {
        let recipe = ingredient(named(name, kind, When::Primary));
        let told = caution_codes(&sound(&recipe)).contains(&CautionCode::Allergen);
        assert_eq!(told, due, "{name}");
    }
}

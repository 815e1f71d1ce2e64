//! What a batch costs: worked by hand, and who is named when a price is missing.

use mustwright::engine::recipe::*;
use mustwright::engine::scaling::scale;

use crate::documents::*;
use crate::support::close;

fn priced(mut item: Ingredient, price: f64) -> Ingredient {
    item.price_per_kg = Some(price);
    item
}

/// 5 kg of honey at 9 and 3 kg of raspberries at 7: 66. The feeds come on top.
fn batch() -> Recipe {
    amounts(
        20.0,
        vec![
            priced(honey(Amount::Kg(5.0)), 9.0),
            priced(fruit(Amount::Kg(3.0)), 7.0),
        ],
    )
}

#[test]
fn all_ingredients_together_by_the_batch_and_by_the_bottle() {
    let numbers = sound(&batch());
    let costs: Vec<Option<f64>> = numbers.ingredients.iter().map(|line| line.cost).collect();
    assert_eq!(costs, [Some(45.0), Some(21.0)]);
    let package = numbers.package.expect("bottles");
    close(package.cost.expect("a cost"), 66.0, 1e-9, "the batch");
    assert_eq!(package.unpriced, Vec::<String>::new());
    let bottles = f64::from(package.bottles[0].count);
    close(
        package.cost_per_bottle.expect("a cost") * bottles,
        66.0,
        1e-9,
        "bottles",
    );
}

#[test]
fn a_feed_with_a_price_comes_on_top_and_one_without_is_named() {
    let mut recipe = batch();
    recipe.nutrients = vec![
        Nutrient {
            price_per_kg: Some(30.0),
            ..mixed()
        },
        dap(),
    ];
    let numbers = sound(&recipe);
    let plan = numbers.feeding.expect("a plan");
    let mut fed = 0.0;
    for addition in &plan.additions {
        let wanted = (addition.nutrient == "mixed").then_some(0.03 * addition.grams);
        fed += wanted.unwrap_or(0.0);
        match (addition.cost, wanted) {
            (Some(cost), Some(wanted)) => close(cost, wanted, 1e-9, "a feed"),
            (found, wanted) => assert_eq!(found, wanted),
        }
    }
    assert!(fed > 0.1, "{fed}");
    let package = numbers.package.expect("bottles");
    close(package.cost.expect("a cost"), 66.0 + fed, 1e-9, "the batch");
    assert_eq!(package.unpriced, ["DAP"]);
}

#[test]
fn a_missing_price_leaves_no_cost_and_is_named_once() {
    let mut recipe = batch();
    recipe.ingredients.push(pinch("oak", Kind::Wood, 1.0));
    recipe.ingredients.push(pinch("oak", Kind::Wood, 2.0));
    // What is not in it costs nothing and is not asked for.
    recipe.ingredients.push(pinch("tannin", Kind::Tannin, 0.0));
    let package = sound(&recipe).package.expect("bottles");
    assert_eq!((package.cost, package.cost_per_bottle), (None, None));
    assert_eq!(package.unpriced, ["oak"]);
}

#[test]
fn honey_that_sweetens_is_paid_for_too() {
    let mut recipe = traditional();
    recipe.ingredients = vec![priced(honey(Amount::Share(1.0)), 10.0)];
    let cost = |recipe: &Recipe| {
        sound(recipe)
            .package
            .expect("bottles")
            .cost
            .expect("a cost")
    };
    let dry = sound(&recipe);
    close(
        cost(&recipe),
        10.0 * mass_of(&dry, "honey", When::Must),
        1e-9,
        "dry",
    );
    recipe.finish = Finish::SweetenTo(1.015);
    let sweet = sound(&recipe);
    let kg = mass_of(&sweet, "honey", When::Must) + mass_of(&sweet, "honey", When::Sweeten);
    close(cost(&recipe), 10.0 * kg, 1e-9, "sweet");
    close(
        cost(&scale(&recipe, 3.0)),
        30.0 * kg,
        1e-6,
        "thrice as much",
    );
}

#[test]
fn where_no_bottle_is_filled_none_has_a_price() {
    let mut recipe = batch();
    recipe.vessel = Some(Vessel {
        brim_l: 30.0,
        loss_l: Some(19.5),
        ..Vessel::default()
    });
    let package = sound(&recipe).package.expect("bottles");
    assert!(package.cost.is_some());
    assert_eq!(package.cost_per_bottle, None);
}

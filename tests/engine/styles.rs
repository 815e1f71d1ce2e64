//! Style words: bands of the table, families by what is in it, and the maker's own word.

use mustwright::engine::formulation::{Formulation, StyleWord};
use mustwright::engine::problem::CautionCode;
use mustwright::engine::recipe::*;

use crate::documents::*;
use crate::support::{Row, table};

fn value(word: &StyleWord) -> &str {
    word.value.as_deref().unwrap_or("")
}

fn of_strength(abv: f64) -> Formulation {
    let mut recipe = traditional();
    recipe.aim = Aim::Target(Target::Abv(abv));
    recipe.yeasts = vec![yeast(25.0)];
    sound(&recipe)
}

/// A mead of that final gravity, sweetened or dry.
fn of_gravity(fg: f64) -> Formulation {
    let mut recipe = traditional();
    recipe.ingredients = vec![item(
        "honey",
        Kind::Honey,
        Amount::Share(1.0),
        parts(0.18, 0.82, 0.0, 0.0),
    )];
    recipe.yeasts = vec![yeast(18.0)];
    recipe.finish = Finish::SweetenTo(fg);
    sound(&recipe)
}

fn rows(kind: &str, parameter: &str) -> Vec<Row> {
    let all = table("styles").into_iter();
    let wanted = all.filter(|row| row.text("type") == kind && row.text("parameter") == parameter);
    wanted.collect()
}

/// Bands touch: a tie goes to the band above, the last band keeps its upper end.
#[test]
fn strength_by_the_bands_of_the_table() {
    let bands = rows("strength", "ABV");
    assert_eq!(bands.len(), 3);
    for (place, row) in bands.iter().enumerate() {
        let (low, high) = (row.number("low"), row.number("high"));
        for abv in [low, 0.5 * (low + high), high - 0.01] {
            let style = of_strength(abv).style.expect("a style");
            assert_eq!(value(&style.strength), row.text("id"), "{abv}");
        }
        let above = bands
            .get(place + 1)
            .map_or(row.text("id"), |row| row.text("id"));
        assert_eq!(
            value(&of_strength(high).style.expect("a style").strength),
            above
        );
    }
    let outside = [3.4, 18.1].map(|abv| of_strength(abv).style.expect("a style").strength);
    assert_eq!(
        outside.map(|word| (word.value, word.rule)),
        [(None, "below_3_5_percent"), (None, "above_18_percent"),]
    );
}

#[test]
fn sweetness_by_the_bands_of_the_table() {
    let bands = rows("sweetness", "FG");
    assert_eq!(bands.len(), 3);
    for (place, row) in bands.iter().enumerate() {
        let (low, high) = (row.number("low"), row.number("high"));
        for fg in [low, 0.5 * (low + high), high - 0.0001] {
            let style = of_gravity(fg).style.expect("a style");
            assert_eq!(value(&style.sweetness), row.text("id"), "{fg}");
        }
        let above = bands
            .get(place + 1)
            .map_or(row.text("id"), |row| row.text("id"));
        assert_eq!(
            value(&of_gravity(high).style.expect("a style").sweetness),
            above
        );
    }
    let outside = [0.989, 1.060].map(|fg| of_gravity(fg).style.expect("a style").sweetness);
    assert_eq!(
        outside.map(|word| (word.value, word.rule)),
        [
            (Some("dry".to_owned()), "below_0_990"),
            (Some("sweet".to_owned()), "above_1_050"),
        ]
    );
}

/// Strength is by alcohol; where the starting gravity says otherwise, that is told with the band of the table.
#[test]
fn a_gravity_outside_of_the_band_is_told_with_the_band() {
    let bands = rows("strength", "OG");
    assert_eq!(bands.len(), 3);
    let mut seen = [0, 0];
    for tenths in 36..180 {
        let numbers = of_strength(f64::from(tenths) / 10.0);
        let style = numbers.style.as_ref().expect("a style");
        let row = bands
            .iter()
            .find(|row| row.text("id") == value(&style.strength));
        let row = row.expect("a band");
        let og = numbers.whole.as_ref().expect("a must").og;
        let outside = og < row.number("low") || og > row.number("high");
        let cautions = numbers.cautions.iter();
        let told = cautions
            .filter(|caution| caution.code == CautionCode::GravityOutsideStrength)
            .collect::<Vec<_>>();
        assert_eq!(told.len(), usize::from(outside), "{og}");
        seen[usize::from(outside)] += 1;
        for caution in told {
            let number = |name: &str| caution.arguments.number(name);
            assert_eq!(number("low_sg"), Some(row.number("low")));
            assert_eq!(number("high_sg"), Some(row.number("high")));
        }
    }
    assert!(seen[0] > 20 && seen[1] > 5, "{seen:?}");
}

fn with(items: Vec<Ingredient>) -> Recipe {
    let mut recipe = traditional();
    recipe.ingredients.extend(items);
    recipe
}

fn of(name: &str, kind: Kind, kg: f64) -> Ingredient {
    item(name, kind, Amount::Kg(kg), parts(0.84, 0.12, 0.03, 0.01))
}

fn spice(name: &str) -> Ingredient {
    pinch(name, Kind::Spice, 0.5)
}

/// Every family that the engine tells, from a recipe of it; each is a row of the table.
#[test]
fn families_by_what_is_in_it() {
    let malt = |kg: f64| {
        item(
            "pale malt extract",
            Kind::Malt,
            Amount::Kg(kg),
            parts(0.2, 0.52, 0.28, 0.0),
        )
    };
    let maple = item(
        "Maple syrup",
        Kind::Syrup,
        Amount::Kg(2.0),
        parts(0.32, 0.6, 0.08, 0.0),
    );
    let mut bochet = traditional();
    bochet.ingredients[0].name = "Browned honey".to_owned();
    let told = [
        ("traditional", traditional()),
        ("cyser", with(vec![of("Apple juice", Kind::Juice, 6.0)])),
        (
            "pyment",
            with(vec![of("Red grape juice", Kind::Juice, 6.0)]),
        ),
        ("berry_mead", with(vec![of("Raspberry", Kind::Fruit, 3.0)])),
        (
            "berry_mead",
            with(vec![of("Black currants", Kind::Fruit, 3.0)]),
        ),
        (
            "stone_fruit_mead",
            with(vec![of("Sour cherry", Kind::Fruit, 3.0)]),
        ),
        ("melomel", with(vec![of("Pineapple", Kind::Fruit, 3.0)])),
        ("melomel", with(vec![of("Grapefruit", Kind::Fruit, 3.0)])),
        (
            "melomel",
            with(vec![
                of("Apple", Kind::Fruit, 2.0),
                of("Plum", Kind::Fruit, 2.0),
            ]),
        ),
        (
            "fruit_spice",
            with(vec![of("Raspberry", Kind::Fruit, 3.0), spice("Vanilla")]),
        ),
        ("metheglin", with(vec![spice("Cinnamon")])),
        ("rhodomel", with(vec![spice("Rose petals")])),
        ("capsicumel", with(vec![spice("Habanero")])),
        ("braggot", with(vec![malt(1.5)])),
        ("acerglyn", with(vec![maple])),
        ("bochet", bochet),
        (
            "experimental",
            amounts(20.0, vec![honey(Amount::Kg(1.0)), malt(5.0)]),
        ),
    ];
    let known = rows("family", "guideline_code");
    for (family, recipe) in told {
        let style = sound(&recipe).style.expect("a style");
        assert_eq!(value(&style.family), family, "{:?}", recipe.ingredients);
        let row = known.iter().any(|row| row.text("id") == family);
        assert!(row, "{family} is no row of the table");
    }
}

#[test]
fn the_makers_word_wins() {
    let mut recipe = with(vec![of("Raspberry", Kind::Fruit, 3.0)]);
    recipe.style = Some("hippocras".to_owned());
    recipe.declared = Some(Declared {
        strength: Some("sack".to_owned()),
        sweetness: Some("sweet".to_owned()),
        carbonation: None,
    });
    let style = sound(&recipe).style.expect("a style");
    for (word, wanted) in [
        (style.family, "hippocras"),
        (style.strength, "sack"),
        (style.sweetness, "sweet"),
    ] {
        assert_eq!((value(&word), word.rule), (wanted, "makers_word"));
    }
}

/// The ends of a band are in it; a yeast that stops early keeps a strong must in a weak band.
#[test]
fn a_gravity_at_the_end_of_its_band_is_in_it() {
    let bands = rows("strength", "OG");
    for (id, end, tolerance) in [
        ("hydromel", "low", 20.0),
        ("hydromel", "high", 7.0),
        ("standard", "low", 20.0),
        ("standard", "high", 13.0),
        ("sack", "low", 20.0),
    ] {
        let row = bands.iter().find(|row| row.text("id") == id);
        let og = row.expect("a band").number(end);
        let mut recipe = traditional();
        recipe.aim = Aim::Target(Target::Gravity(og));
        recipe.yeasts = vec![yeast(tolerance)];
        let numbers = sound(&recipe);
        let style = numbers.style.as_ref().expect("a style");
        assert_eq!(value(&style.strength), id, "{og}");
        let codes = caution_codes(&numbers);
        assert!(
            !codes.contains(&CautionCode::GravityOutsideStrength),
            "{og}"
        );
    }
}

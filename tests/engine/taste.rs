//! Sugar against acid: the ratio by hand, and its bands.

use mustwright::engine::recipe::*;

use crate::documents::*;
use crate::support::close;

/// 20 L at 12 %, sweetened, with so much acid at the end.
fn sweetened(fg: f64, acid_g_per_l: f64) -> Recipe {
    let mut acid = pinch("tartaric acid", Kind::Acid, acid_g_per_l);
    acid.when = When::Ageing;
    acid.composition = Some(Composition {
        ta_g_per_kg: Some(1000.0),
        ..parts(0.0, 0.0, 1.0, 0.0)
    });
    let mut recipe = traditional();
    recipe.ingredients.push(acid);
    recipe.finish = Finish::SweetenTo(fg);
    recipe
}

#[test]
fn sugar_is_divided_by_acid() {
    let numbers = sound(&sweetened(1.010, 5.0));
    let end = numbers.finished.expect("a mead");
    let taste = numbers.balance.expect("a balance");
    let acid = end.ta_g_per_l.expect("acid");
    // 5 g/L of the must, thinned by the honey that sweetens.
    close(acid, 5.0, 0.25, "acid");
    close(
        taste.sugar_to_acid,
        end.residual_sugar_g_per_l / acid,
        1e-12,
        "ratio",
    );
}

#[test]
fn the_bands_follow_the_ratio() {
    let band = |fg: f64, acid: f64| {
        let taste = sound(&sweetened(fg, acid)).balance.expect("a balance");
        (taste.sugar_to_acid, taste.band)
    };
    let mut seen = std::collections::BTreeSet::new();
    for (fg, acid) in [
        (1.000, 8.0),
        (1.003, 8.0),
        (1.003, 6.0),
        (1.006, 6.0),
        (1.010, 6.0),
        (1.020, 5.0),
    ] {
        let (ratio, found) = band(fg, acid);
        let wanted = match ratio {
            r if r < 1.0 => "acid_leads",
            r if r < 2.0 => "acid_a_little_ahead",
            r if r < 4.0 => "sugar_a_little_ahead",
            _ => "sugar_leads",
        };
        assert_eq!(found, wanted, "{ratio}");
        seen.insert(found);
    }
    assert_eq!(seen.len(), 4, "{seen:?}");
    assert_eq!(band(1.000, 8.0).1, "acid_leads");
    assert_eq!(band(1.020, 5.0).1, "sugar_leads");
}

#[test]
fn without_acid_there_is_no_balance() {
    assert_eq!(sound(&traditional()).balance, None);
    assert_eq!(sound(&sweetened(1.010, 0.0)).balance, None);
    // A neutraliser alone leaves no acid to speak of.
    let mut recipe = sweetened(1.010, 2.0);
    if let Some(parts) = &mut recipe.ingredients[1].composition {
        parts.ta_g_per_kg = Some(-750.0);
    }
    assert_eq!(sound(&recipe).balance, None);
}

#[test]
fn a_dry_mead_leaves_the_lead_to_acid() {
    let mut recipe = sweetened(1.010, 4.0);
    recipe.finish = Finish::Dry;
    let taste = sound(&recipe).balance.expect("a balance");
    assert_eq!((taste.sugar_to_acid, taste.band), (0.0, "acid_leads"));
}

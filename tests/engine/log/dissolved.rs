//! What is dissolved in it and what was paid for it: acid, sulfite, sorbate, nitrogen, cost.

use mustwright::engine::log::Start;

use super::*;
use crate::support::close;

const DAY: f64 = 24.0;

fn begun(more: Vec<Entry>) -> State {
    let mut entries = vec![at(0.0, mixed(20.0, 1.086)), at(1.0, pitch())];
    entries.extend(more);
    after(&start(), entries)
}

#[test]
fn acid_sulfite_and_sorbate_are_diluted_as_the_mead_is() {
    let added = |addition: Addition| Deed::Addition(addition);
    let state = begun(vec![
        at(
            DAY,
            Deed::Reading(Reading {
                ta_g_per_l: Some(4.0),
                ph: Some(3.6),
                ..Reading::default()
            }),
        ),
        at(
            2.0 * DAY,
            added(Addition {
                ta_change_g_per_l: Some(1.5),
                ..Addition::of("tartaric acid", What::Acid)
            }),
        ),
        at(
            3.0 * DAY,
            added(Addition {
                why: Some(Why::Stabilise),
                so2_mg_per_l: Some(60.0),
                ..Addition::of("sulfite", What::Sulfite)
            }),
        ),
        at(
            3.0 * DAY,
            added(Addition {
                sorbic_mg_per_l: Some(180.0),
                ..Addition::of("sorbate", What::Sorbate)
            }),
        ),
        at(4.0 * DAY, sample(1.0)),
        at(5.0 * DAY, water_of(1.0)),
    ]);
    let kept = 19.0 / state.volume_l;
    close(
        state.ta_g_per_l.expect("an acidity"),
        5.5 * kept,
        1e-9,
        "TA",
    );
    close(state.total_so2_mg_per_l, 60.0 * kept, 1e-9, "SO2");
    close(state.sorbic_mg_per_l, 180.0 * kept, 1e-9, "sorbic acid");
    assert!(state.stabilised);
    assert_eq!(state.marks.stabilised, Some(3.0 * DAY));
    assert_eq!(state.ph.expect("a pH").value, 3.6);
    // Grams alone: potassium salts, by their formula.
    let grams = begun(vec![
        at(
            DAY,
            added(Addition {
                grams: Some(2.0),
                ..Addition::of("sulfite", What::Sulfite)
            }),
        ),
        at(
            DAY,
            added(Addition {
                grams: Some(5.0),
                ..Addition::of("sorbate", What::Sorbate)
            }),
        ),
    ]);
    close(grams.total_so2_mg_per_l, 57.63, 0.01, "SO2 of 2 g in 20 L");
    close(
        grams.sorbic_mg_per_l,
        186.6,
        0.1,
        "sorbic acid of 5 g in 20 L",
    );
}

#[test]
fn nitrogen_is_counted_per_litre_of_its_day() {
    let feed = |grams| {
        Deed::Feed(Feed {
            name: "mixed".to_owned(),
            grams,
            ammonium_yan_mg_per_g: Some(70.0),
            organic_yan_mg_per_g: Some(30.0),
            cost: Some(0.5),
        })
    };
    let state = begun(vec![
        at(DAY, feed(8.0)),
        at(2.0 * DAY, sample(4.0)),
        at(3.0 * DAY, feed(8.0)),
    ]);
    let nitrogen = &state.nitrogen;
    close(nitrogen.ammonium_mg_per_l, 28.0 + 35.0, 1e-9, "ammonium");
    close(nitrogen.organic_mg_per_l, 12.0 + 15.0, 1e-9, "organic");
    assert_eq!(nitrogen.feeds.len(), 2);
    close(state.cost.added, 1.0, 1e-12, "cost");
}

#[test]
fn cost_is_what_was_bought_for_it() {
    use mustwright::engine::recipe::Recipe;
    let priced = |price| {
        let mut recipe: Recipe = traditional();
        recipe.ingredients[0].price_per_kg = price;
        Start::of_recipe(&recipe).expect("a start")
    };
    let paid = after(
        &priced(Some(10.0)),
        vec![at(
            DAY,
            Deed::Addition(Addition {
                cost: Some(7.5),
                ..Addition::of("oak", What::Wood)
            }),
        )],
    );
    let honey_kg = plan(&priced(None)).honey_kg;
    close(
        paid.cost.total.expect("a cost"),
        10.0 * honey_kg + 7.5,
        1e-9,
        "all of it",
    );
    let unknown = after(&priced(None), vec![]).cost;
    assert_eq!((unknown.begun, unknown.total), (None, None));
}

#[test]
fn planned_acidity_follows_what_was_really_mixed() {
    use mustwright::engine::recipe::Amount;
    let mut recipe =
        crate::documents::amounts(10.0, vec![crate::documents::honey(Amount::Kg(2.0))]);
    if let Some(composition) = &mut recipe.ingredients[0].composition {
        composition.ta_g_per_kg = Some(2.0);
    }
    let start = Start::of_recipe(&recipe).expect("a start");
    let planned = after(&start, vec![]).ta_g_per_l.expect("an acidity");
    close(planned, 0.4, 1e-9, "planned");
    let half = Deed::Mixed(Mixed {
        volume_l: Some(20.0),
        ..Mixed::default()
    });
    let thin = after(&start, vec![at(0.0, half)]);
    close(
        thin.ta_g_per_l.expect("an acidity"),
        0.2,
        1e-9,
        "in twice the volume",
    );
    let richer = after(&start, vec![at(0.0, mixed(10.0, 1.080))]);
    let factor = richer.flows.vessel.solids_kg() / start.must.solids_kg();
    close(
        richer.ta_g_per_l.expect("an acidity"),
        0.4 * factor,
        1e-9,
        "with more honey",
    );
    let added = after(
        &start,
        vec![at(
            DAY,
            Deed::Addition(Addition {
                kg: Some(0.5),
                composition: recipe.ingredients[0].composition.clone(),
                ..Addition::of("honey", What::Honey)
            }),
        )],
    );
    close(
        added.ta_g_per_l.expect("an acidity") * added.volume_l,
        5.0,
        1e-9,
        "grams, with half a kilogram more honey",
    );
}

//! Sulfite by pH, sorbate by strength, and what the law of several places allows.

use mustwright::engine::finish::limits::{of_sorbate, of_sulfite, passed};
use mustwright::engine::finish::stabilising::{
    Asked, ByPh, Sulfite, sorbate_g, sorbic_acid_mg_per_l, sulfite,
};

use crate::calculations::numbers;
use crate::support::close;

fn asked(ph: Option<f64>, is_sweet: bool) -> Asked {
    Asked {
        ph,
        is_sweet,
        free_mg_per_l: None,
        is_first: true,
        litres: 20.0,
    }
}

fn by_ph(asked: Asked) -> ByPh {
    match sulfite(&asked) {
        Sulfite::ByPh(dose) => dose,
        other => panic!("{other:?}"),
    }
}

#[test]
fn the_first_dose_is_half_as_much_again_and_a_later_one_what_is_lacking() {
    let first = by_ph(asked(Some(3.4), true));
    close(
        first.free_mg_per_l,
        0.8 * (1.0 + 10_f64.powf(3.4 - 1.81)),
        1e-9,
        "free",
    );
    close(first.dose_mg_per_l, 1.5 * first.free_mg_per_l, 1e-9, "dose");
    close(first.molecular_mg_per_l, 0.8, 1e-9, "molecular");
    let later = by_ph(Asked {
        free_mg_per_l: Some(12.0),
        is_first: false,
        ..asked(Some(3.4), true)
    });
    close(
        later.dose_mg_per_l,
        first.free_mg_per_l - 12.0,
        1e-9,
        "lacking",
    );
    let enough = by_ph(Asked {
        free_mg_per_l: Some(90.0),
        is_first: false,
        ..asked(Some(3.4), true)
    });
    close(enough.grams, 0.0, 0.0, "enough is free");
    let unmeasured = Asked {
        is_first: false,
        ..asked(Some(3.4), true)
    };
    assert_eq!(sulfite(&unmeasured), Sulfite::MeasureFirst);
    let dry = by_ph(asked(Some(3.4), false));
    close(dry.molecular_mg_per_l, 0.5, 1e-9, "a dry one");
}

#[test]
fn it_agrees_with_the_single_calculations() {
    let later = by_ph(Asked {
        free_mg_per_l: Some(10.0),
        is_first: false,
        ..asked(Some(3.5), false)
    });
    let input =
        r#"{"litres": 20, "ph": 3.5, "free_so2_mg_per_l": 10, "molecular_so2_mg_per_l": 0.5}"#;
    close(
        later.grams,
        numbers("sulfite", input)["grams"],
        1e-9,
        "sulfite",
    );
    let input = r#"{"litres": 20, "sorbic_acid_mg_per_l": 150}"#;
    close(
        sorbate_g(150.0, 20.0),
        numbers("sorbate", input)["grams"],
        1e-12,
        "sorbate",
    );
}

#[test]
fn at_a_high_ph_nobody_chases_the_aim() {
    let high = by_ph(asked(Some(4.0), true));
    assert!(high.is_held_back());
    assert!(high.wanted_mg_per_l > 120.0, "{high:?}");
    close(high.molecular_mg_per_l, 0.5, 1e-9, "0.5 is taken");
    let higher = by_ph(asked(Some(4.3), true));
    close(
        higher.free_mg_per_l,
        100.0,
        0.0,
        "and never more than 100 free",
    );
    assert!(higher.molecular_mg_per_l < 0.5);
    assert!(!by_ph(asked(Some(3.6), true)).is_held_back());
}

#[test]
fn without_a_ph_there_is_no_exact_dose() {
    let Sulfite::WithoutPh { mg_per_l, grams } = sulfite(&asked(None, true)) else {
        panic!("no pH, no exact dose");
    };
    assert_eq!(mg_per_l, [50.0, 75.0]);
    close(grams[0], 50.0 * 20.0 / 1000.0 / 0.5763, 1e-3, "least");
    close(grams[1], 75.0 * 20.0 / 1000.0 / 0.5763, 1e-3, "most");
}

#[test]
fn the_stronger_the_less_sorbate() {
    for (abv, mg_per_l) in [
        (5.0, 200.0),
        (12.0, 200.0),
        (13.0, 150.0),
        (14.0, 150.0),
        (14.5, 100.0),
        (18.0, 100.0),
    ] {
        close(
            sorbic_acid_mg_per_l(abv),
            mg_per_l,
            0.0,
            &format!("{abv} %"),
        );
    }
    close(
        sorbate_g(200.0, 20.0),
        0.268 * 20.0,
        0.01,
        "268 mg/L of the salt",
    );
}

#[test]
fn each_place_draws_its_line() {
    let places = |sugar: f64, mg: f64| -> Vec<&str> {
        passed(&of_sulfite(sugar), mg)
            .iter()
            .map(|limit| limit.source)
            .collect()
    };
    assert!(places(2.0, 150.0).is_empty(), "the limit itself is allowed");
    assert_eq!(places(2.0, 151.0).len(), 1);
    assert_eq!(places(2.0, 201.0).len(), 2);
    assert_eq!(places(30.0, 290.0).len(), 0, "a sweet one may hold more");
    assert_eq!(places(30.0, 301.0), ["OIV-MA-C1-01"]);
    assert_eq!(places(30.0, 351.0).len(), 2);
    assert!(passed(&of_sorbate(), 200.0).is_empty());
    assert_eq!(passed(&of_sorbate(), 201.0).len(), 2);
    assert_eq!(passed(&of_sorbate(), 301.0).len(), 3);
    for limits in [of_sulfite(0.0), of_sulfite(9.0), of_sorbate().to_vec()] {
        let sorted = limits
            .windows(2)
            .all(|two| two[0].most_mg_per_l <= two[1].most_mg_per_l);
        assert!(sorted, "the lowest first: {limits:?}");
    }
}

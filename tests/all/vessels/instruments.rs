//! Instruments: what each is wrong by, how finely it shows, and when it is not to be believed.

use super::{a_club, another};
use crate::support::Browser;
use mustwright::web::units::Units;

async fn adds(
    browser: &Browser,
    kind: &str,
    button: &str,
    typed: &[(&str, &str)],
) -> crate::support::Page {
    let form = browser.get(&format!("/instruments/new/{kind}")).await;
    assert_eq!(form.status, 200, "{}", form.text);
    browser.submit(&form, button, typed).await
}

#[tokio::test]
async fn each_kind_is_added_and_told() {
    let (_club, ada) = a_club().await;
    for (kind, button, typed, told) in [
        (
            "hydrometer",
            "Save the hydrometer",
            vec![
                ("Name", "Long glass one"),
                ("It shows in plain water", "1,002"),
                ("It is marked for, which temperature", "60 °F"),
                ("One step of its scale", "2"),
            ],
            "shows 1.002 in water: 0.002 is taken off every reading; marked for 15.6 °C; steps of 0.002",
        ),
        (
            "scale",
            "Save the kitchen scale",
            vec![
                ("Name", "Letter scale"),
                ("It shows in steps of", "0.1"),
                ("It weighs up to", "500"),
            ],
            "steps of 0.1 g; up to 500 g",
        ),
        (
            "thermometer",
            "Save the thermometer",
            vec![("Name", "Probe"), ("It shows in melting ice", "0.8 °C")],
            "shows 0.8 °C in melting ice",
        ),
        (
            "ph_meter",
            "Save the pH meter",
            vec![("Name", "Pen"), ("Last calibrated", "today")],
            "calibrated on",
        ),
    ] {
        let done = adds(&ada, kind, button, &typed).await;
        assert_eq!(done.status, 303, "{kind}: {}", done.text);
        let words = ada.follow(done).await.words_of("main").unwrap();
        assert!(words.contains(told), "{told}: {words}");
    }
    assert!(!ada.get("/vessels").await.text.contains("Look at it again"));
    assert_eq!(ada.get("/instruments/new/sundial").await.status, 404);
}

#[tokio::test]
async fn an_old_calibration_is_told_with_its_mark() {
    let (_club, ada) = a_club().await;
    let typed = [("Name", "Pen"), ("Last calibrated", "2020-01-01")];
    adds(&ada, "ph_meter", "Save the pH meter", &typed).await;
    let page = ada.get("/vessels").await;
    let words = page.words_of(".caution").unwrap();
    assert!(words.contains("calibrate it again"), "{words}");
    assert!(
        words.contains("our judgement, no published source"),
        "{words}"
    );
    let form = page.link("Pen").unwrap();
    let form = ada.get(&form).await;
    assert_eq!(form.value("Last calibrated"), "2020-01-01");
    let done = ada
        .submit(&form, "Save the pH meter", &[("Last calibrated", "today")])
        .await;
    assert!(!ada.follow(done).await.text.contains("Look at it again"));
}

#[tokio::test]
async fn faults_stand_beside_their_fields() {
    let (_club, ada) = a_club().await;
    for (kind, button, typed, label, fault) in [
        (
            "hydrometer",
            "Save the hydrometer",
            vec![
                ("Name", "H"),
                ("It shows in plain water", "1.2"),
                ("One step of its scale", "0.002"),
            ],
            "It shows in plain water",
            "about 1.000",
        ),
        (
            "hydrometer",
            "Save the hydrometer",
            vec![("Name", "H"), ("One step of its scale", "fine")],
            "One step of its scale",
            "from 0.0001 to 0.01",
        ),
        (
            "scale",
            "Save the kitchen scale",
            vec![
                ("Name", "S"),
                ("It shows in steps of", "5 kg"),
                ("It weighs up to", "1 kg"),
            ],
            "It shows in steps of",
            "from 0.001 g to 1 kg",
        ),
        (
            "scale",
            "Save the kitchen scale",
            vec![
                ("Name", "S"),
                ("It shows in steps of", "10 g"),
                ("It weighs up to", "5 g"),
            ],
            "It weighs up to",
            "more than one of its steps",
        ),
        (
            "ph_meter",
            "Save the pH meter",
            vec![("Name", "P"), ("Last calibrated", "2999-01-01")],
            "Last calibrated",
            "still to come",
        ),
        (
            "thermometer",
            "Save the thermometer",
            vec![("Name", "T"), ("It shows in melting ice", "30 °C")],
            "It shows in melting ice",
            "is broken",
        ),
        (
            "thermometer",
            "Save the thermometer",
            vec![("Name", "")],
            "Name",
            "Give it a name",
        ),
    ] {
        let page = adds(&ada, kind, button, &typed).await;
        assert_eq!(page.status, 422, "{kind} {typed:?}");
        assert!(
            page.fault(label).contains(fault),
            "{kind}: {}",
            page.fault(label)
        );
        for (label, text) in typed {
            assert_eq!(page.value(label), text);
        }
    }
}

#[tokio::test]
async fn anothers_instruments_look_unknown_and_putting_away_keeps_them() {
    let (club, ada) = a_club().await;
    let typed = [
        ("Name", "Letter scale"),
        ("It shows in steps of", "0.1"),
        ("It weighs up to", "500"),
    ];
    adds(&ada, "scale", "Save the kitchen scale", &typed).await;
    let list = ada.get("/vessels").await;
    let form = list.link("Letter scale").unwrap();
    let oskar = another(&club, "Oskar", Units::Metric).await;
    assert_eq!(oskar.get(&form).await.status, 404);
    for path in ["out-of-use", "bring-back"] {
        assert_eq!(oskar.post(&format!("{form}/{path}"), &[]).await.status, 404);
    }
    let done = ada.submit(&list, "Put away: Letter scale", &[]).await;
    let list = ada.follow(done).await;
    assert!(
        list.words_of("#instruments-retired")
            .unwrap()
            .contains("Letter scale")
    );
    let stale = ada.get(&form).await;
    ada.submit(&list, "Take out again: Letter scale", &[]).await;
    let late = ada
        .submit(&stale, "Save the kitchen scale", &[("Name", "Mine")])
        .await;
    assert_eq!(late.status, 409, "on top of what was seen only");
    assert_eq!(late.value("Name"), "Mine");
}

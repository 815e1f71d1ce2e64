//! Any unit typed is understood, kept as typed, and converted beside.

use mustwright::web::units::Units;
use serde_json::Value;

use super::round_trip::differences;
use super::{NEW, VOLUME, a_club, another, edited, live, region, saved};
use crate::support::Club;

async fn document(club: &Club) -> Value {
    sqlx::query_scalar("select document from revisions order by id desc limit 1")
        .fetch_one(club.pool())
        .await
        .expect("a revision")
}

fn number(document: &Value, pointer: &str) -> f64 {
    let found = document.pointer(pointer).and_then(Value::as_f64);
    found.unwrap_or_else(|| panic!("no {pointer} in {document}"))
}

#[tokio::test]
async fn what_is_typed_is_understood_kept_and_converted() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let typed = [
        ("Name", "Of many measures"),
        ("Aim for", "gravity"),
        ("Gravity at the start", "21 °Bx"),
        (VOLUME, "5 US gal"),
        ("Amount, Honey 1", "3 lb 4 oz"),
        ("Temperature of the must", "68F"),
        ("Holds to the brim", "6,5 US gal"),
    ];
    // One honey by weight and one that is solved.
    let form = browser.submit(&form, "Add another honey", &typed).await;
    for (id, note) in [
        ("volume-note", "= 18.9 L"),
        ("honey-1-amount-note", "= 1.47 kg"),
        ("temperature-note", "= 20 °C"),
        ("honey-2-amount-note", "solved: "),
    ] {
        let shown = region(&form, id);
        assert!(shown.contains(note), "{id}: {shown}");
    }
    let done = browser.submit(&form, super::SAVE, &[]).await;
    let sheet = super::sheet_of(&done);
    let kept = document(&club).await;
    for (pointer, wanted, within) in [
        ("/volume_l", 18.927_058_92, 1e-9),
        ("/aim/gravity_sg", 1.087_4, 1e-4),
        ("/ingredients/0/amount/kg", 1.474_175_202_5, 1e-9),
        ("/ingredients/1/amount/share", 1.0, 0.0),
        ("/temperature_c", 20.0, 1e-9),
        ("/vessel/brim_l", 24.605_176_596, 1e-9),
    ] {
        let found = number(&kept, pointer);
        assert!((found - wanted).abs() <= within, "{pointer}: {found}");
    }
    let again = browser.get(&format!("{sheet}/edit")).await;
    for (label, text) in typed {
        assert_eq!(again.value(label), text, "{label}");
    }
}

#[tokio::test]
async fn a_comma_is_a_decimal_comma_and_a_doubtful_one_is_asked_about() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let typed = [("Aim for", "amounts"), ("Amount, Honey 1", "2,5 kg")];
    let answer = live(&browser, &club, &form, &typed).await;
    assert_eq!(region(&answer, "honey-1-amount-fault"), "");
    assert!(!region(&answer, "glance").is_empty());
    let doubtful = [("Aim for", "amounts"), ("Amount, Honey 1", "1,500 g")];
    let answer = live(&browser, &club, &form, &doubtful).await;
    let fault = region(&answer, "honey-1-amount-fault");
    assert!(fault.contains("1.5") && fault.contains("1500"), "{fault}");
}

#[tokio::test]
async fn a_gallon_of_two_sizes_is_asked_about_and_then_known() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let answer = live(&browser, &club, &form, &[(VOLUME, "5 gal")]).await;
    let fault = region(&answer, "volume-fault");
    for part in ["US gal for 18.9 L", "imp gal for 22.7 L"] {
        assert!(fault.contains(part), "{fault}");
    }
    for (typed, note) in [("5 US gal", "= 18.9 L"), ("5 imp gal", "= 22.7 L")] {
        let answer = live(&browser, &club, &form, &[(VOLUME, typed)]).await;
        assert_eq!(region(&answer, "volume-fault"), "");
        assert_eq!(region(&answer, "volume-note"), note);
    }
    // Whoever reads gallons has gallons of one size.
    let gallons = another(&club, "Blythe", Units::Imperial).await;
    let form = gallons.get(NEW).await;
    let answer = live(&gallons, &club, &form, &[(VOLUME, "5 gal")]).await;
    assert_eq!(region(&answer, "volume-fault"), "");
    assert_eq!(region(&answer, "volume-note"), "= 22.7 L");
}

#[tokio::test]
async fn a_gravity_in_any_spelling_is_shown_as_the_one_it_is() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    for (text, start, end) in [
        ("1058", "= 1.058, ", "= 1.058"),
        ("58", "= 1.058, ", "= 1.058"),
        ("14.3 °Bx", "= 1.058, ", "= 1.058"),
        ("1.058", "", ""),
        ("1,058", "", ""),
    ] {
        let typed = [
            ("Aim for", "gravity"),
            ("Gravity at the start", text),
            ("Gravity at the end", text),
        ];
        let answer = live(&browser, &club, &form, &typed).await;
        let note = region(&answer, "gravity-note");
        assert!(
            note.starts_with(start) && note.ends_with("% in the end"),
            "{text}: {note}"
        );
        assert_eq!(region(&answer, "final_gravity-note"), end, "{text}");
    }
}

#[tokio::test]
async fn bare_numbers_are_in_the_readers_units() {
    let (club, _, _) = a_club().await;
    let gallons = another(&club, "Blythe", Units::Us).await;
    let typed = [
        ("Name", "Bare"),
        (VOLUME, "5"),
        ("Aim for", "amounts"),
        ("Amount, Honey 1", "12"),
        ("Temperature of the must", "70"),
        ("Who may see it", "club"),
    ];
    let sheet = saved(&gallons, &typed).await;
    let kept = document(&club).await;
    assert!((number(&kept, "/volume_l") - 18.927_058_92).abs() < 1e-9);
    assert!((number(&kept, "/ingredients/0/amount/kg") - 5.443_108_44).abs() < 1e-9);
    assert!((number(&kept, "/temperature_c") - 190.0 / 9.0).abs() < 1e-9);
    let again = gallons.get(&format!("{sheet}/edit")).await;
    for (label, text) in typed {
        assert_eq!(again.value(label), text, "{label}");
    }

    // Another member reads other units: the numbers stay, and say in what they are.
    let litres = another(&club, "Corin", Units::Metric).await;
    let id = sheet.rsplit('/').next().unwrap();
    let copy = litres.get(&format!("{NEW}?from={id}")).await;
    for (label, text) in [
        (VOLUME, "5 US gal"),
        ("Amount, Honey 1", "12 lb"),
        ("Temperature of the must", "70 °F"),
    ] {
        assert_eq!(copy.value(label), text, "{label}");
    }
    let done = litres.submit(&copy, super::SAVE, &[]).await;
    super::sheet_of(&done);
    let copied = document(&club).await;
    for pointer in ["/volume_l", "/ingredients/0/amount/kg", "/temperature_c"] {
        assert_eq!(
            number(&copied, pointer),
            number(&kept, pointer),
            "{pointer}"
        );
    }
}

#[tokio::test]
async fn an_edit_in_other_units_changes_only_what_was_edited() {
    let (club, ada, browser) = a_club().await;
    let typed = [
        ("Name", "Steady"),
        (VOLUME, "20"),
        ("Amount, Honey 1", "1.3 kg"),
        ("Aim for", "amounts"),
        ("Temperature of the must", "19.5"),
    ];
    let sheet = saved(&browser, &typed).await;
    let before = document(&club).await;
    sqlx::query("update members set units = 'us' where id = $1")
        .bind(ada.id.0)
        .execute(club.pool())
        .await
        .unwrap();
    let form = browser.get(&format!("{sheet}/edit")).await;
    assert_eq!(form.value("Amount, Honey 1"), "1.3 kg");
    let done = edited(&browser, &sheet, 2, &[("Notes", "Colder next time.")]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let mut after = document(&club).await;
    assert_eq!(after["notes"], "Colder next time.");
    after["notes"] = before["notes"].clone();
    let mut found = Vec::new();
    differences(&before, &after, "", &mut found);
    assert!(found.is_empty(), "{found:#?}");
}

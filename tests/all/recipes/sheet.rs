//! The sheet: rounded to what a scale shows, re-solved at another volume, refused where a volume makes no sense.

use super::{STRENGTH, VOLUME, a_club, all_words, saved};
use crate::support::Page;

fn row(page: &Page, name: &str) -> String {
    let rows = all_words(page, "tbody.line");
    rows.iter()
        .find(|row| row.starts_with(name))
        .unwrap_or_else(|| panic!("no {name} among {rows:?}"))
        .clone()
}

/// The kilograms before rounding that the small print of a row tells: "… solved, 5.117 kg before rounding …".
fn kilograms(row: &str) -> f64 {
    let exact = row
        .split_once(" kg before rounding")
        .and_then(|(before, _)| before.rsplit(' ').next());
    let number = exact.unwrap_or_else(|| panic!("{row}"));
    number.parse().unwrap_or_else(|_| panic!("{row}: {number}"))
}

#[tokio::test]
async fn another_volume_is_solved_again_and_rounded() {
    let (_club, _, browser) = a_club().await;
    let typed = [("Name", "Scaled"), (VOLUME, "20 L"), (STRENGTH, "12 %")];
    let path = saved(&browser, &typed).await;
    let own = browser.get(&path).await;
    assert_eq!(own.value("Make it for, a volume of must"), "20 L");
    assert!(own.link("At its own volume").is_none());
    assert!(own.text.contains("Weighed to what a kitchen scale shows"));
    let honey = kilograms(&row(&own, "Wildflower"));
    let other = browser.get(&format!("{path}?volume=8,5+L")).await;
    assert_eq!(other.status, 200);
    assert_eq!(other.value("Make it for, a volume of must"), "8,5 L");
    assert!(row(&other, "Water").contains("fill to the 8.5 L mark"));
    let scaled = kilograms(&row(&other, "Wildflower"));
    assert!(
        (scaled - honey * 8.5 / 20.0).abs() < 0.0011,
        "{honey} at 20 L, {scaled} at 8.5 L"
    );
    let back = other.link("At its own volume").expect("a way back");
    assert_eq!(back, path);
    // Any unit, also here.
    let gallons = browser.get(&format!("{path}?volume=5+US+gal")).await;
    assert!(row(&gallons, "Water").contains("fill to the 18.9 L mark"));
}

#[tokio::test]
async fn a_volume_that_makes_no_sense_is_refused_with_its_text() {
    let (_club, _, browser) = a_club().await;
    let path = saved(&browser, &[("Name", "Scaled"), (VOLUME, "20 L")]).await;
    for (typed, query, said) in [
        ("a bucket", "a+bucket", "such as 20 L or 5 US gal"),
        ("0 L", "0+L", "from 50 ml to 100000 L"),
        ("-3", "-3", "from 50 ml to 100000 L"),
        ("1e9", "1e9", "Write"),
    ] {
        let page = browser.get(&format!("{path}?volume={query}")).await;
        assert_eq!(page.status, 422, "{typed}");
        let label = "Make it for, a volume of must";
        assert!(
            page.fault(label).contains(said),
            "{typed}: {}",
            page.fault(label)
        );
        assert_eq!(page.value(label), typed);
        assert!(
            row(&page, "Water").contains("fill to the 20 L mark"),
            "{typed}"
        );
    }
}

#[tokio::test]
async fn each_number_tells_how_it_is_reckoned_and_cautions_stand_with_them() {
    let (_club, _, browser) = a_club().await;
    let typed = [
        ("Name", "Sweet"),
        ("How it ends", "sweeten"),
        ("Gravity at the end", "1.020"),
    ];
    let path = saved(&browser, &typed).await;
    let page = browser.get(&path).await;
    for id in [
        "how-start",
        "how-strength",
        "how-sweetness",
        "how-feeding",
        "how-yeast",
        "how-bottles",
    ] {
        let method = page.words_of(&format!("#{id}")).unwrap_or_default();
        for part in ["source", "holds for", "left out"] {
            assert!(method.contains(part), "{id}: {method}");
        }
    }
    let cautions = all_words(&page, ".caution").join(" ");
    assert!(
        cautions.to_lowercase().contains("stabilis"),
        "sweetened and not stabilised: {cautions}"
    );
    assert!(row(&page, "Wildflower").contains("in the must"));
    assert!(
        all_words(&page, "tbody.line")
            .iter()
            .any(|row| row.contains("to sweeten, after stabilising")),
        "what sweetens is a line of its own"
    );
}

//! Every field of the workbench comes back as it was typed, whatever is aimed for and however it ends, also where the
//! choice makes it idle.

use mustwright::web::units::Units;

use super::{LIVE, NEW, SAVE, a_club, another, as_pairs, sheet_of};
use crate::support::{Browser, Page};

/// About the form itself, or about the one save.
const NOT_TYPED: &[&str] = &[
    "draft",
    "sequence",
    "base_version",
    "from_recipe",
    "from_number",
    "from_starter",
    "once",
    "recipe",
    "order",
    "way",
    "mixing_day",
    "note",
];

/// What is typed into a field; rows differ by their place, counted from 1.
fn text_for(name: &str, row: usize) -> String {
    let (group, column) = name.split_once('_').unwrap_or((name, ""));
    let own = row == 2;
    let text = match (group, column) {
        ("honey", "pick") if !own => "honey-heather",
        ("other", "pick") if !own => "sour-cherry",
        ("yeast", "pick") if !own => "yeast-ale-neutral",
        ("feed", "pick") if !own => "feed-dap",
        ("honey" | "other" | "yeast" | "feed", "pick") => "own",
        ("honey", "to_use") => "3 lb 4 oz",
        ("honey" | "other" | "yeast" | "feed", "name") => return format!("Called {group} {row}"),
        ("honey", "kind") => "honey",
        ("other", "kind") if own => "juice",
        // The catalogue knows better: it is a fruit.
        ("other", "kind") => "spice",
        ("honey" | "other", "form") => "frozen",
        ("honey" | "other", "when") => "primary",
        ("honey" | "other", "days") => "7 days",
        ("honey" | "other", "amount") => "2,5 lb",
        ("honey" | "other" | "feed", "price") => "12 for 3 lb",
        ("honey" | "other", "water") => "17.2 %",
        ("honey" | "other", "fermentable") => "74",
        ("honey" | "other", "unfermentable") => "8,3",
        ("honey" | "other", "insoluble") => "0.5 %",
        ("honey" | "other", "yan") => "120",
        ("honey" | "other", "acid") => "−2.5",
        ("honey" | "other", "density") => "1,42",
        ("honey" | "other", "remark") => "from the <market> & \"fair\"",
        ("honey" | "other" | "yeast" | "feed", "entry" | "spread" | "attenuation") => "",
        ("yeast", "tolerance") => "14,5 %",
        ("yeast", "need") => "low",
        ("yeast", "coldest") => "59 °F",
        ("yeast", "warmest") => "24 °C",
        ("yeast", "when") if own => "later",
        ("yeast", "when") => "pitch",
        ("feed", "ammonium") => "90",
        ("feed", "organic") => "12,5",
        ("feed", "most") => "2 g/US gal",
        ("feed", "share") => "60",
        ("salt", "pick") if own => "gypsum",
        ("salt", "pick") => "K2CO3",
        ("salt", "grams") if own => "1/8 oz",
        ("salt", "grams") => "1,25",
        ("water", "calcium") => "61,5",
        ("water", "magnesium") => "12 mg/L",
        ("water", "sodium") => "9 ppm",
        ("water", "potassium") => "2.5",
        // Either of the two may be told.
        ("water", "bicarbonate") => "",
        ("water", "alkalinity") => "9 °dH",
        ("water", "sulfate") => "30",
        ("water", "chloride") => "21",
        ("water", "nitrate") => "4",
        ("water", "carbonate" | "hydroxide") => "0",
        ("step", "when") => return format!("day {row}"),
        ("step", "text") => return format!("stir {row} times"),
        _ => match name {
            "title" => "With everything",
            "notes" => "Line one\nline two",
            "visibility" => "club",
            "volume" => "5 US gal",
            "strength" => "12,5 %",
            "gravity" => "1105",
            "final_gravity" => "15 points",
            "filler" => "water",
            "style" => "something of ours",
            "sweetness_word" => "rather sweet",
            "strength_word" => "table",
            "carbonation_word" => "a prickle",
            "feeding" => "lean",
            "temperature" => "66F",
            "vessel_pick" => "own",
            "vessel_name" => "the green one",
            "vessel_kind" => "demijohn",
            "vessel_brim" => "6,5 US gal",
            "vessel_mouth" => "narrow",
            "vessel_headspace" => "12",
            "vessel_loss" => "2 US qt",
            "water_report" | "from_link" => "",
            other => panic!("no text for the field {other}: a new one wants to be typed here too"),
        },
    };
    text.to_owned()
}

/// The form with two rows of everything.
async fn long_form(browser: &Browser) -> Page {
    let mut page = browser.get(NEW).await;
    for button in [
        "Add another honey",
        "Add fruit, juice, spice or anything else",
        "Add fruit, juice, spice or anything else",
        "Add another yeast",
        "Add a salt",
        "Add a salt",
        "Add a step of my own",
        "Add a step of my own",
    ] {
        page = browser.submit(&page, button, &[]).await;
    }
    page
}

type Fields = Vec<(String, String)>;

/// The fields that a person fills, in order.
fn typed(fields: &Fields) -> Fields {
    let ours = |name: &str| NOT_TYPED.contains(&name) || name.ends_with("_row");
    let typed = fields.iter().filter(|(name, _)| !ours(name));
    typed
        .map(|(name, text)| (name.clone(), text.replace("\r\n", "\n")))
        .collect()
}

/// Everything typed, with these texts instead.
fn everything(page: &Page, instead: &[(&str, &str)]) -> Fields {
    let (_, mut fields) = page.filled(SAVE, &[]);
    let mut seen: Vec<String> = Vec::new();
    for (name, value) in &mut fields {
        if NOT_TYPED.contains(&name.as_str()) || name.ends_with("_row") {
            continue;
        }
        seen.push(name.clone());
        let row = seen.iter().filter(|before| *before == name).count();
        let other = instead.iter().find(|(of, _)| of == name);
        *value = match other {
            Some((_, text)) => (*text).to_owned(),
            None => text_for(name, row),
        };
    }
    fields
}

async fn comes_back(browser: &Browser, page: &Page, instead: &[(&str, &str)]) {
    let mut fields = everything(page, instead);
    // A once key is good for one text.
    let again = browser.get(NEW).await;
    for name in ["once", "draft"] {
        let fresh = again.hidden(name).expect("a key");
        fields
            .iter_mut()
            .filter(|(of, _)| of == name)
            .for_each(|(_, value)| value.clone_from(&fresh));
    }
    let done = browser.post(NEW, &as_pairs(&fields)).await;
    assert_eq!(done.status, 303, "{instead:?}: {}", done.text);
    let reopened = browser.get(&format!("{}/edit", sheet_of(&done))).await;
    let (_, found) = reopened.filled("Save as revision 2", &[]);
    let (wanted, found) = (typed(&fields), typed(&found));
    let lost: Vec<_> = wanted
        .iter()
        .zip(&found)
        .filter(|(wanted, found)| wanted != found)
        .collect();
    assert!(lost.is_empty(), "{instead:?}: {lost:#?}");
    assert_eq!(wanted.len(), found.len(), "{instead:?}");
}

#[tokio::test]
async fn every_field_comes_back_whatever_is_chosen() {
    let (_club, _, browser) = a_club().await;
    let page = long_form(&browser).await;
    for aim in ["abv", "gravity", "amounts", "honey_abv", "honey_gravity"] {
        for finish in ["dry", "sweeten", "arrest"] {
            comes_back(&browser, &page, &[("aim", aim), ("finish", finish)]).await;
        }
    }
}

#[tokio::test]
async fn what_nobody_can_reckon_with_comes_back_where_it_is_idle() {
    let (_club, _, browser) = a_club().await;
    let page = long_form(&browser).await;
    let idle = [
        ("aim", "amounts"),
        ("finish", "dry"),
        ("strength", "as strong as it gets"),
        ("gravity", "high"),
        ("honey_to_use", "what the bees left"),
        ("final_gravity", "1.234,5"),
    ];
    comes_back(&browser, &page, &idle).await;
    let solved = [
        ("aim", "honey_gravity"),
        ("finish", "dry"),
        ("volume", "whatever it makes"),
    ];
    comes_back(&browser, &page, &solved).await;
    // Made of nothing that counts, the parts still stand there.
    let none = [
        ("aim", "amounts"),
        ("finish", "dry"),
        ("other_water", "none"),
        ("other_yan", "none"),
        ("other_acid", "some"),
        ("feed_most", "none"),
        ("feed_share", "none"),
    ];
    comes_back(&browser, &page, &none).await;
    // What the list says anyway, typed all the same.
    let usual = [
        ("aim", "amounts"),
        ("finish", "dry"),
        ("honey_name", "Heather honey"),
        ("yeast_need", "medium"),
    ];
    comes_back(&browser, &page, &usual).await;
}

#[tokio::test]
async fn a_bare_number_that_is_idle_means_the_same_to_whoever_reads_other_units() {
    let (club, ada, metric) = a_club().await;
    let page = long_form(&metric).await;
    let fields = everything(
        &page,
        &[("aim", "abv"), ("finish", "dry"), ("honey_to_use", "3")],
    );
    let done = metric.post(NEW, &as_pairs(&fields)).await;
    let sheet = sheet_of(&done);
    let form = metric.get(&format!("{sheet}/edit")).await;
    assert_eq!(form.value("Honey there is"), "3 kg");
    let gallons = another(&club, "Blythe", Units::Us).await;
    let id = sheet.rsplit('/').next().expect("an id");
    let copy = gallons.get(&format!("{NEW}?from={id}")).await;
    assert_eq!(copy.value("Honey there is"), "3 kg", "{}", ada.name);
}

#[tokio::test]
async fn a_row_with_only_a_choice_made_is_asked_about_and_not_dropped() {
    let (_club, _, browser) = a_club().await;
    let page = long_form(&browser).await;
    for (name, choice) in [
        ("other_form", "frozen"),
        ("other_when", "ageing"),
        ("yeast_need", "high"),
    ] {
        let (_, mut fields) = page.filled("Recalculate", &[]);
        let at = fields.iter().rposition(|(of, _)| of == name);
        fields[at.expect("the field")].1 = choice.to_owned();
        let answer = browser.post(LIVE, &as_pairs(&fields)).await;
        let group = name.split('_').next().expect("a group");
        let row = if group == "yeast" {
            "yeast 2"
        } else {
            "Ingredient 2"
        };
        let label = if group == "yeast" {
            "Yeast"
        } else {
            "Ingredient"
        };
        let fault = answer.fault(&format!("{label}, {row}"));
        assert!(fault.contains("Choose one of the list"), "{name}: {fault}");
    }
}

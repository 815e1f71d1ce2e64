//! How each number is reckoned: told beside it, true to the numbers shown, on a page of its own, and without a recipe.

use std::collections::{BTreeMap, BTreeSet};

use mustwright::catalogue::club::ClubCatalogue;
use mustwright::engine::recipe::{
    Amount, Composition, Finish, Form, Ingredient, Kind, Recipe, When,
};
use mustwright::engine::scaling::{Scale, round};
use mustwright::engine::{Settings as EngineSettings, density};
use mustwright::recipes::forms::fill;
use mustwright::recipes::numbers::method::{GROUPS, Material, Method, Number, all};
use mustwright::recipes::numbers::{Reader, called_as_solved};
use mustwright::web::units::Units;
use scraper::{ElementRef, Html, Node, Selector};

use super::{NEW, a_club, another, attributes, check, edited, live, saved};
use crate::support::{Page, a_keeper};

/// Text of a page that shows no number of the recipe's: what its maker typed, what a form holds, the scale of a picture.
const NOT_NUMBERS: &[&str] = &[
    "form", ".by", ".kicker", "h1", ".own", ".keep", ".method", "nav", "title", "desc", "script",
    ".flash",
];

fn is(element: ElementRef<'_>, css: &str) -> bool {
    Selector::parse(css).unwrap().matches(&element)
}

/// Whether the number in a text is told: a way to its method at it, or a method beside it in its own line or note.
fn is_told(text: ElementRef<'_>) -> bool {
    let told = Selector::parse(".method, a[href^='#method-']").unwrap();
    let mut at = Some(text);
    while let Some(element) = at {
        if is(
            element,
            "section, aside, main, table:not(.feeds), ol, .numbers, svg",
        ) {
            return false;
        }
        if is(element, "a[href^='#method-']") {
            return true;
        }
        // In the sentence that leads, each figure leads by itself.
        if is(element, ".lead") {
            return false;
        }
        if element.select(&told).next().is_some() {
            return true;
        }
        at = element.parent().and_then(ElementRef::wrap);
    }
    false
}

/// Texts with a figure in them within `css` that do not tell how it is reckoned.
fn untold(html: &str, css: &str) -> Vec<String> {
    let html = Html::parse_document(html);
    let root = Selector::parse(css).unwrap();
    let mut wrong = Vec::new();
    for root in html.select(&root) {
        for node in root.descendants() {
            let Node::Text(text) = node.value() else {
                continue;
            };
            if !text.chars().any(|c| c.is_ascii_digit()) {
                continue;
            }
            let element = node.parent().and_then(ElementRef::wrap).unwrap();
            let left_out = std::iter::once(element)
                .chain(element.ancestors().filter_map(ElementRef::wrap))
                .take_while(|at| at.id() != root.id())
                .any(|at| {
                    NOT_NUMBERS.iter().any(|css| is(at, css)) || is(at, "svg text[text-anchor=end]")
                });
            if !left_out && !is_told(element) {
                wrong.push(text.trim().to_owned());
            }
        }
    }
    wrong
}

/// Ways within the page that lead nowhere, and ids that stand twice.
fn dead_ends(page: &Page) -> Vec<String> {
    let ids = attributes(page, "id");
    let ways = attributes(page, "href");
    let dead = ways
        .iter()
        .filter(|way| way.starts_with("#method-") || way.starts_with("#beware-"));
    dead.filter(|way| !ids.contains(way.trim_start_matches('#')))
        .cloned()
        .collect()
}

/// Texts of the workbench's form for a recipe with nearly every kind of number.
const RICH: &[(&str, &str)] = &[
    ("Name", "Everything"),
    ("How it ends", "sweeten"),
    ("Gravity at the end", "1.014"),
    ("Price, Honey 1", "9.50"),
    ("Ingredient, Ingredient 1", "blackberry"),
    ("Amount, Ingredient 1", "2 kg"),
    ("When, Ingredient 1", "primary"),
    ("Price, Ingredient 1", "4"),
    ("Holds to the brim", "27 L"),
];

#[tokio::test]
async fn no_number_is_shown_without_how_it_is_reckoned() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let with_row = browser
        .submit(
            &form,
            "Add fruit, juice, spice or anything else",
            &[("Name", "Everything")],
        )
        .await;
    let bench = browser.submit(&with_row, "Recalculate", RICH).await;
    assert_eq!(bench.status, 200, "{}", bench.text);
    let done = browser.submit(&with_row, super::SAVE, RICH).await;
    let path = super::sheet_of(&done);
    let sheet = browser.get(&path).await;
    let scaled = browser.get(&format!("{path}?volume=7.3+L")).await;
    let answer = live(&browser, &club, &with_row, RICH).await;
    let dry = browser
        .get(&saved(&browser, &[("Name", "Plain")]).await)
        .await;
    let stopped = [
        ("Name", "Stopped"),
        ("How it ends", "arrest"),
        ("Gravity at the end", "1.030"),
    ];
    let stopped = browser.get(&saved(&browser, &stopped).await).await;
    let weak = browser
        .get(&saved(&browser, &[("Name", "Weak"), (super::STRENGTH, "5 %")]).await)
        .await;
    for (name, page) in [
        ("sheet", &sheet),
        ("scaled", &scaled),
        ("dry", &dry),
        ("stopped", &stopped),
        ("weak", &weak),
    ] {
        assert_eq!(untold(&page.text, "main"), [] as [String; 0], "{name}");
        assert_eq!(dead_ends(page), [] as [String; 0], "{name}");
    }
    for (name, page) in [("workbench", &bench), ("live", &answer)] {
        for css in [".numbers", ".lead"] {
            assert_eq!(untold(&page.text, css), [] as [String; 0], "{name} {css}");
        }
        assert_eq!(dead_ends(page), [] as [String; 0], "{name}");
    }
    // The check sees what it is for: without their methods hardly a number is told.
    let bare = sheet
        .text
        .replace("class=\"method\"", "class=\"gone\"")
        .replace("#method-", "#gone-");
    assert!(
        untold(&bare, "main").len() > 25,
        "{:?}",
        untold(&bare, "main")
    );
    let added = sheet.text.replace("</aside>", "<p>12.5 kg</p></aside>");
    assert_eq!(untold(&added, "main"), ["12.5 kg"]);
    let added = sheet
        .text
        .replace("<p class=\"lead\"><a", "<p class=\"lead\">12 or <a");
    assert_eq!(untold(&added, "main"), ["12 or"]);
}

#[tokio::test]
async fn every_number_of_a_sheet_has_a_page_with_what_went_in() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let with_row = browser
        .submit(
            &form,
            "Add fruit, juice, spice or anything else",
            &[("Name", "Everything")],
        )
        .await;
    let done = browser.submit(&with_row, super::SAVE, RICH).await;
    let path = super::sheet_of(&done);
    let sheet = browser.get(&path).await;
    let pages: Vec<String> = attributes(&sheet, "href")
        .into_iter()
        .filter(|href| href.starts_with(&format!("{path}/numbers/")))
        .collect();
    assert!(pages.len() >= 24, "{pages:?}");
    let blythe = another(&club, "Blythe", Units::Us).await;
    let stranger = club.browser();
    let mut headings = BTreeSet::new();
    for way in &pages {
        let page = browser.get(way).await;
        assert_eq!(page.status, 200, "{way}");
        assert!(headings.insert(page.words_of("title").unwrap()), "{way}");
        for part in [
            "Formula",
            "What went in here",
            "source",
            "holds for",
            "left out",
        ] {
            assert!(page.text.contains(part), "{way} lacks {part}");
        }
        assert!(
            page.words_of("dl.pairs dd")
                .is_some_and(|value| !value.is_empty()),
            "{way}"
        );
        let value = page.words_of("h1 .solved").unwrap();
        assert!(!value.is_empty(), "{way}");
        assert_eq!(
            page.link("Back to the sheet").as_deref(),
            Some(path.as_str())
        );
        // It is as private as its recipe.
        assert_eq!(blythe.get(way).await.status, 404, "{way}");
        let sent_away = stranger.get(way).await;
        assert!(
            sent_away
                .location()
                .is_some_and(|to| to.starts_with("/sign-in?next=")),
            "{way}"
        );
    }
    let strength = browser.get(&format!("{path}/numbers/strength")).await;
    assert_eq!(strength.heading(), "Strength: 12 %");
    assert!(strength.text.contains("Sucrose is counted as weighed"));
    let bursts = browser.get(&format!("{path}/numbers/sweetness")).await;
    assert!(
        bursts
            .words_of(".caution")
            .unwrap()
            .contains("Bottles can burst")
    );
    for nothing in [
        "nothing",
        "amount-0",
        "amount-99",
        "amount-x",
        "solved",
        "%3Cb%3E",
        "rounding/x",
    ] {
        assert_eq!(
            browser
                .get(&format!("{path}/numbers/{nothing}"))
                .await
                .status,
            404,
            "{nothing}"
        );
    }

    // At another volume, and of an older revision, the pages are of that volume and of that revision.
    let scaled = browser.get(&format!("{path}?volume=7.3+L")).await;
    let water = attributes(&scaled, "href")
        .into_iter()
        .find(|href| href.contains("/numbers/mark"));
    let mark = browser.get(&water.unwrap()).await;
    assert!(
        mark.words_of("p.kicker").unwrap().contains("7.3 L"),
        "{}",
        mark.text
    );
    assert_eq!(
        mark.link("Back to the sheet").unwrap(),
        format!("{path}?volume=7.3%20L")
    );
    edited(&browser, &path, 2, &[(super::STRENGTH, "9 %")]).await;
    let old = browser.get(&format!("{path}/revisions/1")).await;
    let strength = attributes(&old, "href")
        .into_iter()
        .find(|href| href.contains("/numbers/strength"));
    let strength = strength.unwrap();
    assert!(strength.ends_with("?revision=1"), "{strength}");
    assert_eq!(browser.get(&strength).await.heading(), "Strength: 12 %");
    assert_eq!(
        browser
            .get(&format!("{path}/numbers/strength"))
            .await
            .heading(),
        "Strength: 9 %"
    );
}

#[tokio::test]
async fn anybody_reads_all_methods_and_every_fold_leads_there() {
    let (club, _, browser) = a_club().await;
    a_keeper().of(&club).await;
    let page = club.browser().get("/methods").await;
    assert_eq!(page.status, 200);
    let ids = attributes(&page, "id");
    for number in Number::ALL {
        let text = number.text();
        assert!(ids.contains(text.slug), "{}", text.slug);
        let told = page.words_of(&format!("#{}", text.slug)).unwrap();
        for part in [text.title, text.source, text.leaves_out] {
            assert!(
                told.contains(&part.split_whitespace().collect::<Vec<_>>().join(" ")),
                "{told}"
            );
        }
    }
    assert!(page.text.contains("5 % more sugar"), "inversion is told");
    for path in [NEW.to_owned(), saved(&browser, &[("Name", "Plain")]).await] {
        let shown = browser.get(&path).await;
        let ways: Vec<String> = attributes(&shown, "href")
            .into_iter()
            .filter(|way| way.starts_with("/methods#"))
            .collect();
        assert!(ways.len() >= 15, "{path}: {ways:?}");
        for way in ways {
            assert!(ids.contains(way.trim_start_matches("/methods#")), "{way}");
        }
    }
    assert_eq!(
        browser
            .get("/")
            .await
            .link("How the numbers are reckoned")
            .as_deref(),
        Some("/methods")
    );
}

#[test]
fn every_number_is_in_one_group_with_all_its_words() {
    let grouped: Vec<Number> = GROUPS
        .iter()
        .flat_map(|(_, numbers)| numbers.iter().copied())
        .collect();
    assert_eq!(grouped.len(), Number::ALL.len());
    let mut slugs = BTreeSet::new();
    for number in Number::ALL {
        assert!(grouped.contains(number), "{number:?}");
        let text = number.text();
        assert!(slugs.insert(text.slug), "{} twice", text.slug);
        assert!(!text.formula.is_empty(), "{number:?}");
        for words in [
            text.title,
            text.sentence,
            text.source,
            text.range,
            text.leaves_out,
        ] {
            assert!(words.len() > 3, "{number:?}: {words}");
        }
        for words in [text.sentence, text.source, text.range, text.leaves_out] {
            assert!(words.ends_with('.'), "{number:?}: {words}");
        }
        let marked = [
            "no published source",
            "memory",
            "read",
            "ICUMSA",
            "OIML",
            "exact",
            "Kell",
            "Arithmetic",
            "prices",
            "ourselves",
        ];
        assert!(
            marked.iter().any(|mark| text.source.contains(mark)),
            "{number:?}: {}",
            text.source
        );
    }
}

/// A recipe with fruit, a dose, litres, a vessel and sweetening.
fn rich() -> Recipe {
    let mut form = fill::fresh(Units::Metric);
    form.set("title", "Rich");
    let checked = check(&form, Units::Metric);
    let mut recipe = checked.recipe;
    recipe.finish = Finish::SweetenTo(1.012);
    let made_of = |water: f64, fermentable: f64, unfermentable: f64, insoluble: f64| Composition {
        water,
        fermentable,
        unfermentable,
        insoluble,
        ..Composition::default()
    };
    let item =
        |name: &str, kind: Kind, when: When, amount: Amount, parts: Composition| Ingredient {
            key: None,
            name: name.to_owned(),
            kind,
            form: None,
            days: None,
            when,
            amount: Some(amount),
            composition: Some(parts),
            price_per_kg: None,
            note: None,
        };
    let mut berries = item(
        "Berries",
        Kind::Fruit,
        When::Primary,
        Amount::Kg(2.3),
        made_of(0.87, 0.06, 0.03, 0.04),
    );
    berries.form = Some(Form::Frozen);
    recipe.ingredients.push(berries);
    recipe.ingredients.push(item(
        "Apple",
        Kind::Juice,
        When::Must,
        Amount::Litres(3.0),
        made_of(0.88, 0.105, 0.015, 0.0),
    ));
    recipe.ingredients.push(item(
        "Peel",
        Kind::Spice,
        When::Must,
        Amount::GramsPerLitre(1.7),
        made_of(0.1, 0.0, 0.2, 0.7),
    ));
    recipe
}

/// The first figure of an input, in kilograms and litres.
fn figure(method: &Method, name: &str) -> f64 {
    let value = method.inputs.iter().find(|(found, _)| found == name);
    let (_, value) =
        value.unwrap_or_else(|| panic!("{} has no {name}: {:?}", method.key, method.inputs));
    let mut parts = value.split(' ');
    let number: f64 = parts
        .next()
        .unwrap()
        .trim_end_matches(',')
        .parse()
        .unwrap_or_else(|_| panic!("{name}: {value}"));
    match parts.next().map(|unit| unit.trim_end_matches([',', ':'])) {
        Some("g" | "ml") => number / 1000.0,
        _ => number,
    }
}

#[test]
fn the_formulas_with_the_inputs_shown_give_the_numbers_shown() {
    let recipe = rich();
    let rounded = round(&recipe, &EngineSettings { sachet_g: 5.0 }, Scale::Kitchen);
    assert!(
        rounded.exact.problems.is_empty(),
        "{:?}",
        rounded.exact.problems
    );
    let called = called_as_solved(&rounded);
    let reader = Reader {
        catalogue: ClubCatalogue::default(),
        cupboard: mustwright::cupboard::stock::Stock::default(),
        vessels: Vec::new(),
        units: Units::Metric,
        zone: chrono_tz::UTC,
        now: chrono::Utc::now(),
        sachet_g: 5.0,
    };
    let material = Material {
        recipe: &recipe,
        numbers: &called,
        exact: &rounded.exact,
        reader: &reader,
    };
    let methods: BTreeMap<String, Method> = all(&material)
        .into_iter()
        .map(|method| (method.key.clone(), method))
        .collect();
    let of = |key: &str, name: &str| figure(&methods[key], name);
    let near = |what: &str, got: f64, shown: f64, within: f64| {
        assert!(
            (got - shown).abs() <= within * shown.abs().max(1e-9),
            "{what}: {got}, shown {shown}"
        );
    };

    // Honey: what the must holds, less what the others bring, over what a kilogram holds.
    let honey = &methods["amount-1"];
    let holds = &honey
        .inputs
        .iter()
        .find(|(name, _)| name == "one kilogram of it holds")
        .unwrap()
        .1;
    let grams: Vec<f64> = holds
        .split(" g")
        .filter_map(|part| part.rsplit(' ').next()?.parse().ok())
        .collect();
    let dissolved = figure(honey, "volume of the must")
        * figure(honey, "its density")
        * figure(honey, "its share dissolved")
        / 100.0;
    let kg =
        (dissolved - figure(honey, "what the others bring")) / ((grams[0] + grams[1]) / 1000.0);
    near("honey", kg, figure(honey, "amount"), 3e-4);

    // Litres and dose.
    near(
        "juice",
        of("amount-3", "litres") * of("amount-3", "density at 20 °C"),
        of("amount-3", "amount"),
        1e-4,
    );
    near(
        "peel",
        of("amount-4", "dose") * of("amount-4", "volume of the must") / 1000.0,
        of("amount-4", "amount"),
        1e-4,
    );

    // Water and its mark.
    let kilograms =
        of("water", "mass of the must") - of("water", "what the ingredients bring to the liquid");
    near("water", kilograms, of("water", "water"), 1e-4);
    near(
        "mark",
        of("mark", "mass of the must") / of("mark", "its density"),
        of("mark", "volume"),
        1e-4,
    );

    // Gravities.
    let w = of("start", "its share dissolved") / 100.0;
    let sum = 385.176 * w + 135.371 * w.powi(2) + 40.930 * w.powi(3) - 3.964 * w.powi(4)
        + 13.485 * w.powi(5)
        - 17.289 * w.powi(6);
    near(
        "start",
        (998.203 + sum) / 998.203,
        of("start", "its gravity"),
        1e-5,
    );
    near(
        "dissolved",
        of("start", "dissolved in it") / of("start", "mass of the must"),
        w,
        1e-4,
    );
    let third = of("one-third-gone", "start")
        - (of("one-third-gone", "start") - of("one-third-gone", "end by itself")) / 3.0;
    near("break", third, of("one-third-gone", "one third gone"), 1e-5);

    // Gas, alcohol, the end.
    near(
        "gas",
        0.9565 * of("gas", "alcohol made"),
        called.finished.as_ref().unwrap().co2_kg,
        1e-4,
    );
    let alcohol = 0.46895 * of("strength", "sugar fermented, with what joins later");
    near(
        "strength",
        alcohol / (of("strength", "volume at the end") * 0.789239) * 100.0,
        of("strength", "strength"),
        1e-3,
    );
    let mass = of("end", "mass of the must")
        - of("end", "gas given off")
        - of("end", "yeast grown, left in the lees")
        + of("end", "what joins later");
    near("end", mass, of("end", "mass of the finished mead"), 1e-4);
    near(
        "end",
        mass / (of("end", "its volume") * density::WATER_20 / 1000.0),
        of("end", "gravity"),
        1e-4,
    );
    let left = of("sweetness", "sugar that went in") - of("sweetness", "sugar fermented")
        + of("sweetness", "sugar that sweetens");
    near(
        "sweetness",
        left * 1000.0 / of("sweetness", "volume at the end"),
        of("sweetness", "sugar left"),
        2e-2,
    );

    // Feeding: medium need, as usual.
    let plan = called.feeding.as_ref().unwrap();
    let need = plan.demand.class / plan.sugar_g_per_l;
    near(
        "need",
        need * of("feeding", "sugar by that gravity"),
        of("feeding", "what the yeast would take"),
        5e-3,
    );
    near(
        "target",
        0.8 * of("feeding", "what the yeast would take"),
        of("feeding", "aimed at"),
        5e-3,
    );
    near(
        "fed",
        of("feeding", "to feed") - of("feeding", "of that, more than helps"),
        of("feeding", "fed"),
        5e-3,
    );
    near(
        "yeast",
        of("yeast", "grams per litre") * of("yeast", "volume of the must") / 1000.0,
        of("yeast", "yeast"),
        1e-3,
    );
    near(
        "waking",
        10.0 * of("waking", "yeast"),
        of("waking", "water"),
        1e-3,
    );

    // Vessel and bottles.
    let filled = of("vessel", "must before the fruit") + of("vessel", "what fruit adds");
    near("fill", filled, of("vessel", "fills"), 1e-3);
    let brim = (filled + 0.35 * of("vessel", "weight of the fruit"))
        / (1.0 - of("vessel", "room for foam") / 100.0);
    near("brim", brim, of("vessel", "brim wanted"), 1e-3);
    let lost = of("bottles", "first racking")
        + of("bottles", "second racking")
        + of("bottles", "bottling")
        + 0.4 * of("bottles", "fruit");
    near("lost", lost, of("bottles", "kept back in all"), 1e-3);
    near(
        "bottled",
        of("bottles", "finished") - lost,
        of("bottles", "to bottle"),
        1e-3,
    );
    assert_eq!(
        of("bottles", "bottles of 750 ml"),
        (of("bottles", "to bottle") / 0.75).floor()
    );
}

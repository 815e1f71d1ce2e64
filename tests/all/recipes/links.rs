//! Links to a recipe: shown once, kept as hashes, closed at once, and opening nothing but the newest revision.

use mustwright::web::units::Units;
use sqlx::{AssertSqlSafe, Row};

use super::{NEW, SAVE, STRENGTH, a_club, all_words, another, count, edited, saved, sheet_of};
use crate::support::{Browser, Club, Page, a_keeper};

/// Lets whoever has a link see a recipe, and makes one; gives the path that it opens.
async fn linked(club: &Club, owner: &Browser, sheet: &str, whom: &str) -> String {
    let page = owner.get(sheet).await;
    let to = owner
        .submit(&page, "Change", &[("Who may see it", "link")])
        .await;
    assert_eq!(
        to.location(),
        Some(format!("{sheet}/links?done=shared").as_str())
    );
    let page = owner.follow(to).await;
    assert!(page.text.contains("Who may see it is changed."));
    let made = owner
        .submit(&page, "Make a link", &[("For whom", whom)])
        .await;
    path_in(club, &made)
}

/// The path of the link that a page shows.
fn path_in(club: &Club, made: &Page) -> String {
    assert_eq!(made.status, 200, "{}", made.text);
    let shown = made.words_of(".code").expect("a link");
    let path = shown.strip_prefix(club.app.site.origin());
    path.expect("an address of the club").to_owned()
}

/// A page without what differs each time.
fn without_reference(page: &Page) -> String {
    page.text.replace(page.header("x-request-id"), "")
}

async fn every_row(club: &Club) -> String {
    let mut owner = club.database.owner().await;
    let tables: Vec<String> = sqlx::query_scalar(
        "select tablename::text from pg_tables where schemaname = 'public' order by 1",
    )
    .fetch_all(&mut owner)
    .await
    .expect("tables");
    let mut all = String::new();
    for table in tables {
        let sql = format!("select coalesce(string_agg(t::text, ' '), '') from {table} t");
        let row = sqlx::query(AssertSqlSafe(sql))
            .fetch_one(&mut owner)
            .await
            .expect("rows");
        all.push_str(&row.get::<String, _>(0));
    }
    all
}

#[tokio::test]
async fn a_link_is_shown_once_kept_as_a_hash_and_opens_the_newest() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Meadow"), (STRENGTH, "11 %")]).await;
    let path = linked(&club, &ada, &sheet, "Aunt Hedda").await;
    let token = path.strip_prefix("/shared/").expect("a token");
    assert_eq!(token.len(), 52);
    assert!(
        !every_row(&club).await.contains(token),
        "only its hash is kept"
    );

    let stranger = club.browser();
    let page = stranger.get(&path).await;
    assert_eq!((page.status, page.heading()), (200, "Meadow".to_owned()));
    assert_eq!(page.header("cache-control"), "no-store");
    assert_eq!(page.header("x-robots-tag"), "noindex");
    assert!(
        page.text
            .contains("<meta name=\"robots\" content=\"noindex\">")
    );
    assert!(page.headers.get("set-cookie").is_none());
    for hidden in [
        "Ada",
        "Aunt Hedda",
        sheet.rsplit('/').next().expect("an id"),
    ] {
        assert!(!page.text.contains(hidden), "{hidden}: {}", page.text);
    }
    assert!(!all_words(&page, "#shopping tbody tr").is_empty());
    assert!(!all_words(&page, ".steps li").is_empty());

    edited(
        &ada,
        &sheet,
        2,
        &[("Name", "Meadow, drier"), (STRENGTH, "9 %")],
    )
    .await;
    assert_eq!(stranger.get(&path).await.heading(), "Meadow, drier");

    let page = ada.get(&format!("{sheet}/links")).await;
    assert!(!page.text.contains(token), "it is shown once");
    let entries = all_words(&page, ".entries li");
    assert!(entries[0].starts_with("Aunt Hedda made on "), "{entries:?}");
    assert!(entries[0].contains("last opened on "), "{entries:?}");
}

#[tokio::test]
async fn the_owner_alone_does_not_count_as_a_reader() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Meadow")]).await;
    let path = linked(&club, &ada, &sheet, "").await;
    let page = ada.get(&path).await;
    assert!(page.text.contains("this is what whoever has the link sees"));
    assert_eq!(page.link("back to the sheet"), Some(sheet.clone()));
    let page = ada.get(&format!("{sheet}/links")).await;
    assert!(page.text.contains("not opened yet"));
}

#[tokio::test]
async fn whatever_is_wrong_with_a_link_looks_the_same() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Meadow")]).await;
    let path = linked(&club, &ada, &sheet, "one").await;
    let page = ada.get(&format!("{sheet}/links")).await;
    let made = ada
        .submit(&page, "Make a link", &[("For whom", "two")])
        .await;
    let other = path_in(&club, &made);
    let stranger = club.browser();
    let unknown = stranger.get(&format!("/shared/{}", "a".repeat(52))).await;
    assert_eq!(unknown.status, 404);
    let closed = async |what: &str, path: &str| {
        let page = stranger.get(path).await;
        assert_eq!(page.status, 404, "{what}");
        assert_eq!(
            without_reference(&page),
            without_reference(&unknown),
            "{what}"
        );
    };
    let share = async |visibility: &str| {
        let page = ada
            .post(&format!("{sheet}/share"), &[("visibility", visibility)])
            .await;
        assert_eq!(page.status, 303, "{visibility}");
    };
    for narrower in ["private", "club"] {
        share(narrower).await;
        closed(narrower, &path).await;
        share("link").await;
        assert_eq!(stranger.get(&path).await.status, 200, "open again");
    }
    let page = ada.get(&sheet).await;
    ada.submit(&page, "Put it in the bin", &[]).await;
    closed("in the bin", &path).await;
    assert_eq!(ada.get(&format!("{sheet}/links")).await.status, 404);
    ada.post(&format!("{sheet}/unbin"), &[]).await;
    let page = ada.get(&format!("{sheet}/links")).await;
    let done = ada.submit(&page, "Take back: one", &[]).await;
    let page = ada.follow(done).await;
    assert!(page.text.contains("The link is taken back"));
    closed("taken back", &path).await;
    assert_eq!(stranger.get(&other).await.status, 200, "each by itself");
    for odd in ["x", "%20", &"a".repeat(2000), "a%2Fb"] {
        closed(odd, &format!("/shared/{odd}")).await;
    }
}

#[tokio::test]
async fn only_the_owner_makes_and_takes_back_links() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Meadow")]).await;
    let path = linked(&club, &ada, &sheet, "one").await;
    let page = ada.get(&format!("{sheet}/links")).await;
    let (take_back, _) = page.filled("Take back: one", &[]);
    let blythe = another(&club, "Blythe", Units::Metric).await;
    let wren = club.browser_of(&a_keeper().of(&club).await).await;
    // Also with a recipe of one's own in the address.
    let own = saved(&blythe, &[("Name", "Hers")]).await;
    linked(&club, &blythe, &own, "hers").await;
    let link = take_back.split('/').nth(4).expect("a link");
    blythe
        .post(&format!("{own}/links/{link}/take-back"), &[])
        .await;
    for other in [&blythe, &wren] {
        assert_eq!(other.get(&format!("{sheet}/links")).await.status, 404);
        let once = other.get(NEW).await.hidden("once").expect("a key");
        for (path, fields) in [
            (
                format!("{sheet}/links"),
                vec![("once", once.as_str()), ("note", "mine")],
            ),
            (format!("{sheet}/links/terms"), vec![("signed", "yes")]),
            (take_back.clone(), vec![]),
        ] {
            assert_eq!(other.post(&path, &fields).await.status, 404, "{path}");
        }
    }
    assert_eq!(club.browser().get(&path).await.status, 200);
    assert_eq!(count(&club, "select count(*) from recipe_links").await, 2);
    let page = club.browser().get(&path).await;
    assert!(!page.text.contains("by Ada"), "nobody else signs it");
}

#[tokio::test]
async fn a_form_sent_twice_is_one_link_and_what_is_too_long_comes_back() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Meadow")]).await;
    linked(&club, &ada, &sheet, "first").await;
    let page = ada.get(&format!("{sheet}/links")).await;
    let long = "x".repeat(81);
    let refused = ada
        .submit(&page, "Make a link", &[("For whom", &long)])
        .await;
    assert_eq!(refused.status, 422);
    assert_eq!(refused.value("For whom"), long);
    assert!(refused.fault("For whom").contains("at most 80"));
    let first = ada
        .submit(&refused, "Make a link", &[("For whom", "twice")])
        .await;
    let again = ada
        .submit(&refused, "Make a link", &[("For whom", "twice")])
        .await;
    let (first, again) = (path_in(&club, &first), path_in(&club, &again));
    assert_eq!(count(&club, "select count(*) from recipe_links").await, 2);
    // The answer that is seen is the last: its address is the good one.
    assert_eq!(club.browser().get(&again).await.status, 200);
    assert_eq!(club.browser().get(&first).await.status, 404);
}

#[tokio::test]
async fn no_link_is_made_while_nobody_could_open_it_nor_without_end() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Meadow"), ("Who may see it", "club")]).await;
    let page = ada.get(&format!("{sheet}/links")).await;
    assert!(page.text.contains("No link opens now"));
    assert!(!page.has_button("Make a link"));
    let make = async || {
        let once = ada.get(NEW).await.hidden("once").expect("a key");
        let fields = [("once", once.as_str()), ("note", "")];
        ada.post(&format!("{sheet}/links"), &fields).await
    };
    let refused = make().await;
    assert_eq!(refused.status, 400);
    assert!(
        refused
            .text
            .contains("Choose first that whoever has a link")
    );
    let done = ada
        .submit(&page, "Let whoever has a link see it", &[])
        .await;
    assert_eq!(done.status, 303);
    for _ in 0..30 {
        assert_eq!(make().await.status, 200);
    }
    let full = make().await;
    assert_eq!(full.status, 400);
    assert!(full.text.contains("30 links already"));
    assert_eq!(count(&club, "select count(*) from recipe_links").await, 30);
}

#[tokio::test]
async fn who_holds_a_link_starts_their_own_and_it_says_where_from() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Meadow"), (STRENGTH, "11 %")]).await;
    let path = linked(&club, &ada, &sheet, "").await;
    let id = sheet.rsplit('/').next().expect("an id");
    let stranger = club.browser().get(&path).await;
    let way = stranger
        .link("Sign in and start my own from this")
        .expect("a way");
    let asked = club.browser().get(&way).await;
    assert!(
        asked
            .location()
            .expect("sign-in")
            .starts_with("/sign-in?next=")
    );

    let blythe = another(&club, "Blythe", Units::Metric).await;
    assert_eq!(blythe.get(&sheet).await.status, 404, "only by its link");
    assert_eq!(blythe.get(&format!("{NEW}?from={id}")).await.status, 404);
    let page = blythe.get(&path).await;
    let way = page.link("Start my own from this").expect("a way");
    let form = blythe.get(&way).await;
    assert_eq!(form.value("Name"), "Meadow, my own");
    assert_eq!(form.value(STRENGTH), "11 %");
    assert!(form.text.contains("a recipe shared by link, revision 1"));
    let token = path.rsplit('/').next().expect("a token");
    assert!(!form.text.contains(token), "the form carries no token");
    // Through a button, and out of the draft.
    let form = blythe.submit(&form, "Recalculate", &[]).await;
    let draft = form.hidden("draft").expect("a draft");
    let form = blythe.get(&format!("/drafts/{draft}")).await;
    let done = blythe
        .submit(&form, SAVE, &[("Name", "Hers"), ("Who may see it", "club")])
        .await;
    let copy = sheet_of(&done);
    assert!(!every_row(&club).await.contains(token));
    let cleo = another(&club, "Cleo", Units::Metric).await;
    for reader in [&blythe, &cleo] {
        for page in [copy.clone(), format!("{copy}/lineage")] {
            let page = reader.get(&page).await;
            assert!(page.text.contains("a recipe, revision 1"), "{}", page.text);
            for hidden in ["Ada", "Meadow", id] {
                assert!(!page.text.contains(hidden), "{hidden}: {}", page.text);
            }
        }
    }
    // The maker sees what came of it.
    let page = ada.get(&sheet).await;
    assert_eq!(page.link("Hers by Blythe"), Some(copy));

    // With the maker's name on it, the name stays.
    let page = ada.get(&format!("{sheet}/links")).await;
    let (at, _) = page.filled("Change", &[]);
    ada.post(&at, &[("signed", "yes")]).await;
    assert!(club.browser().get(&path).await.text.contains("by Ada"));
    let form = blythe.get(&way).await;
    let done = blythe.submit(&form, SAVE, &[("Name", "Second")]).await;
    let page = blythe.get(&sheet_of(&done)).await;
    assert!(page.text.contains("a recipe by Ada, revision 1"));
}

#[tokio::test]
async fn a_closed_link_starts_nothing_and_a_forged_one_names_nothing() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Meadow")]).await;
    let path = linked(&club, &ada, &sheet, "one").await;
    let blythe = another(&club, "Blythe", Units::Metric).await;
    let form = blythe
        .get(&path)
        .await
        .link("Start my own from this")
        .expect("a way");
    let open = blythe.get(&form).await;
    let page = ada.get(&format!("{sheet}/links")).await;
    ada.submit(&page, "Take back: one", &[]).await;
    assert_eq!(blythe.get(&form).await.status, 404);
    let refused = blythe.submit(&open, SAVE, &[("Name", "Mine")]).await;
    assert_eq!(refused.status, 422, "{}", refused.text);
    assert!(refused.fault("Name").contains("no longer shared with you"));
    let done = blythe.submit(&refused, SAVE, &[]).await;
    assert!(
        !blythe
            .get(&sheet_of(&done))
            .await
            .text
            .contains("started from")
    );

    // The hash of one link does not open another recipe.
    let other = saved(&ada, &[("Name", "Other")]).await;
    let held = linked(&club, &ada, &other, "").await;
    let way = blythe
        .get(&held)
        .await
        .link("Start my own from this")
        .expect("a way");
    let form = blythe.get(&way).await;
    let (_, mut fields) = form.filled(SAVE, &[("Name", "Forged")]);
    let id = sheet.rsplit('/').next().expect("an id");
    for (name, value) in &mut fields {
        if name == "from_recipe" {
            *value = id.to_owned();
        }
    }
    let page = blythe.post(NEW, &super::as_pairs(&fields)).await;
    assert_eq!(page.status, 422);
    assert!(page.fault("Name").contains("no longer shared with you"));
}

#[tokio::test]
async fn a_reader_chooses_volume_units_and_day() {
    let (club, _, ada) = a_club().await;
    let typed = [("Name", "Meadow"), (super::VOLUME, "20 L")];
    let sheet = saved(&ada, &typed).await;
    let path = linked(&club, &ada, &sheet, "").await;
    let stranger = club.browser();
    let metric = stranger.get(&path).await;
    assert!(
        metric.text.contains("fill to the 20 L mark"),
        "{}",
        metric.text
    );
    assert_eq!(metric.value("Units"), "metric");
    let us = stranger.get(&format!("{path}?units=us&volume=2")).await;
    assert_eq!(us.status, 200);
    assert_eq!(us.value("Units"), "us");
    assert!(us.text.contains("fill to the 2 gal mark"), "{}", us.text);
    let dated = stranger.get(&format!("{path}?mixed=2026-12-05")).await;
    assert!(dated.text.contains("Saturday 5 December 2026"));
    for (asked, label) in [
        ("volume=much", "Make it for, a volume of must"),
        ("mixed=soon", "Mixing day, such as 28 November"),
    ] {
        let page = stranger.get(&format!("{path}?{asked}")).await;
        assert_eq!(page.status, 422, "{asked}");
        assert!(!page.fault(label).is_empty(), "{asked}");
    }
    // A member has units of their own.
    let blythe = another(&club, "Blythe", Units::Us).await;
    let page = blythe.get(&format!("{path}?units=metric")).await;
    assert!(page.text.contains("5.28 gal mark"), "{}", page.text);
    assert!(!page.text.contains("name=\"units\""));
}

#[tokio::test]
async fn machines_read_the_sheet_and_no_word_in_it_is_markup() {
    let (club, _, ada) = a_club().await;
    let hostile = "</script><img src=x onerror=alert(1)> <!-- &lt;";
    let typed = [
        ("Name", hostile),
        (STRENGTH, "11 %"),
        (super::VOLUME, "20 L"),
        ("Notes", "</script><script>alert(2)</script>"),
    ];
    let sheet = saved(&ada, &typed).await;
    let path = linked(&club, &ada, &sheet, "").await;
    let stranger = club.browser();
    let recipe = |page: &Page| -> serde_json::Value {
        let (_, after) = page
            .text
            .split_once("<script type=\"application/ld+json\">")
            .expect("a block");
        let (block, _) = after.split_once("</script>").expect("its end");
        assert!(!block.contains(['<', '>', '&']), "{block}");
        serde_json::from_str(block).expect("JSON")
    };
    let page = stranger.get(&path).await;
    assert_eq!(page.heading(), hostile, "as text");
    let found = recipe(&page);
    assert_eq!(found["@context"], "https://schema.org");
    assert_eq!(found["@type"], "Recipe");
    assert_eq!(found["name"], hostile);
    assert!(found.get("author").is_none());
    let texts = |name: &str| -> Vec<String> {
        let list = found[name].as_array().expect("a list").iter();
        list.map(|one| one.as_str().expect("a text").to_owned())
            .collect()
    };
    let lines = texts("recipeIngredient");
    let amount = all_words(&page, "tbody.line")
        .into_iter()
        .find(|row| row.starts_with("Wildflower"))
        .expect("a honey");
    let honey = lines
        .iter()
        .find(|line| line.ends_with(" Wildflower or mixed honey"))
        .unwrap_or_else(|| panic!("{lines:?}"));
    let weight = honey
        .strip_suffix(" Wildflower or mixed honey")
        .expect("an amount");
    assert!(amount.contains(weight), "{amount}: {weight}");
    assert!(
        lines.iter().any(|line| line.ends_with(" Water")),
        "{lines:?}"
    );
    let yield_of = found["recipeYield"].as_str().expect("a yield");
    assert!(yield_of.starts_with("20 L of must, "), "{yield_of}");
    let steps = found["recipeInstructions"].as_array().expect("steps");
    assert!(steps.len() > 5);
    for step in steps {
        assert_eq!(step["@type"], "HowToStep");
        assert!(!step["text"].as_str().expect("a text").is_empty());
    }
    // ISO 8601: hours of the mixing day, months until it is good.
    for (name, unit) in [("prepTime", 'H'), ("totalTime", 'M')] {
        let text = found[name].as_str().expect("a duration");
        let number = text
            .strip_prefix(if unit == 'H' { "PT" } else { "P" })
            .and_then(|rest| rest.strip_suffix(unit));
        let number = number.and_then(|digits| digits.parse::<u32>().ok());
        assert!(number.is_some_and(|number| number > 0), "{name}: {text}");
    }
    for name in ["datePublished", "dateModified"] {
        let day = found[name].as_str().expect("a day");
        assert!(day.parse::<chrono::NaiveDate>().is_ok(), "{name}: {day}");
    }

    // Only the owner lets search engines in.
    let links = ada.get(&format!("{sheet}/links")).await;
    let (at, _) = links.filled("Change", &[]);
    let done = ada
        .post(&at, &[("signed", "yes"), ("searchable", "yes")])
        .await;
    assert_eq!(done.status, 303);
    let page = stranger.get(&path).await;
    assert_eq!(recipe(&page)["author"]["name"], "Ada");
    assert_eq!(page.header("x-robots-tag"), "all");
    assert!(
        page.text
            .contains("<meta name=\"robots\" content=\"index, follow\">")
    );
    assert_eq!(page.header("cache-control"), "no-store");
    let done = ada.post(&at, &[]).await;
    assert_eq!(done.status, 303);
    let page = stranger.get(&path).await;
    assert_eq!(page.header("x-robots-tag"), "noindex");
    assert!(recipe(&page).get("author").is_none());
    // A closed link says nothing to them.
    ada.post(&at, &[("searchable", "yes")]).await;
    ada.post(&format!("{sheet}/share"), &[("visibility", "club")])
        .await;
    let page = stranger.get(&path).await;
    assert_eq!((page.status, page.header("x-robots-tag")), (404, "noindex"));
}

#[tokio::test]
async fn programs_of_search_engines_are_kept_to_what_is_shared() {
    let club = Club::with(&[("MUSTWRIGHT_BASE_URL", "http://mead.example/club")]).await;
    let page = club.browser().get("/robots.txt").await;
    assert_eq!(page.header("content-type"), "text/plain; charset=utf-8");
    assert_eq!(
        page.text,
        "User-agent: *\nAllow: /club/shared/\nAllow: /club/static/\nDisallow: /\n"
    );
}

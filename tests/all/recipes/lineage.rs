//! Lineage: the tree across members, what changed at each step, how it is liked, and nothing of what one may not see.

use mustwright::web::units::Units;
use sqlx::AssertSqlSafe;

use super::{NEW, SAVE, STRENGTH, a_club, all_words, another, edited, saved, sheet_of};
use crate::support::{Browser, Club};

/// Starts one's own from a revision of a recipe; gives the path of its sheet.
async fn started(browser: &Browser, sheet: &str, number: u32, typed: &[(&str, &str)]) -> String {
    let id = sheet.rsplit('/').next().expect("an id");
    let form = browser
        .get(&format!("{NEW}?from={id}&revision={number}"))
        .await;
    assert_eq!(form.status, 200, "{}", form.text);
    sheet_of(&browser.submit(&form, SAVE, typed).await)
}

async fn rated(club: &Club, sheet: &str, who: &str, number: i32, stars: i32) {
    let id = sheet.rsplit('/').next().expect("an id");
    let mut owner = club.database.owner().await;
    let sql = format!(
        "insert into recipe_ratings (recipe_id, member_id, revision_number, stars, basis, rated_at)
         select r.id, m.id, {number}, {stars}, 'made', now() from recipes r, members m
         where r.public_id = '{id}' and m.name = '{who}';
         update recipes r set
             rating_count = (select count(*) from recipe_ratings where recipe_id = r.id),
             rating_mean = (select avg(stars) from recipe_ratings where recipe_id = r.id)"
    );
    sqlx::raw_sql(AssertSqlSafe(sql))
        .execute(&mut owner)
        .await
        .expect("a rating");
}

const CLUB: (&str, &str) = ("Who may see it", "club");

#[tokio::test]
async fn what_three_found_good_is_liked_better_than_a_single_five() {
    let (club, _, ada) = a_club().await;
    let meadow = saved(&ada, &[("Name", "Meadow"), CLUB]).await;
    edited(&ada, &meadow, 2, &[(STRENGTH, "12 %")]).await;
    for (who, number, stars) in [
        ("Blythe", 1, 4),
        ("Cleo", 1, 4),
        ("Dora", 1, 4),
        ("Eve", 2, 5),
    ] {
        another(&club, who, Units::Metric).await;
        rated(&club, &meadow, who, number, stars).await;
    }
    let page = ada.get(&format!("{meadow}/lineage")).await;
    // (12 + 12) / 7 against (12 + 5) / 5, as on the page of opinions.
    let told = "Of its revisions, 1 is liked best: 3.4 of 5 by 3 members.";
    assert!(page.text.contains(told), "{}", page.text);
}

#[tokio::test]
async fn the_tree_is_told_across_members_with_what_changed_at_each_step() {
    let (club, _, ada) = a_club().await;
    let blythe = another(&club, "Blythe", Units::Metric).await;
    let meadow = saved(&ada, &[("Name", "Meadow"), (STRENGTH, "10 %"), CLUB]).await;
    edited(
        &ada,
        &meadow,
        2,
        &[
            (STRENGTH, "12 %"),
            ("What is new in this revision", "Stronger"),
        ],
    )
    .await;
    let hers = started(
        &blythe,
        &meadow,
        2,
        &[("Name", "Hers"), (STRENGTH, "13 %"), CLUB],
    )
    .await;
    let again = started(&ada, &hers, 1, &[("Name", "Again"), CLUB]).await;
    let aside = started(
        &ada,
        &meadow,
        1,
        &[("Name", "Aside"), (STRENGTH, "8 %"), CLUB],
    )
    .await;
    rated(&club, &meadow, "Blythe", 1, 3).await;
    rated(&club, &meadow, "Ada", 2, 5).await;

    for sheet in [&meadow, &hers, &again, &aside] {
        let page = blythe.get(&format!("{sheet}/lineage")).await;
        assert_eq!(page.status, 200, "{}", page.text);
        let tree = |css: &str| all_words(&page, css);
        assert_eq!(tree(".lineage > ul > li > a"), ["Meadow"]);
        assert_eq!(tree(".lineage > ul > li > ul > li > a"), ["Hers", "Aside"]);
        assert_eq!(
            tree(".lineage > ul > li > ul > li > ul > li > a"),
            ["Again"]
        );
    }
    let page = blythe.get(&format!("{hers}/lineage")).await;
    assert_eq!(
        page.words_of(".lineage a[aria-current=true]").as_deref(),
        Some("Hers")
    );
    assert_eq!(all_words(&page, ".lineage .here > a"), ["Hers"]);
    let steps = all_words(&page, ".lineage li > p");
    let step = |begins: &str| {
        let found = steps.iter().find(|step| step.starts_with(begins));
        found
            .unwrap_or_else(|| panic!("{begins}: {steps:#?}"))
            .clone()
    };
    assert!(step("From revision 2: ").contains("strength from 12 % to 13 %, start from 1."));
    assert!(
        steps
            .iter()
            .any(|step| step.contains("strength from 10 % to 8 %")),
        "{steps:#?}"
    );
    assert!(
        steps
            .iter()
            .any(|step| step.contains("As it was") || step.contains("Only words"))
    );
    assert!(
        steps
            .iter()
            .any(|step| step.starts_with("by you, begun on ")),
        "{steps:#?}"
    );
    let way = page
        .link("All that differs between Hers and what it was started from")
        .expect("a way");
    assert_eq!(blythe.get(&way).await.status, 200);
    assert!(
        page.text
            .contains("rated 4 of 5 by 2 members, revision 2 best"),
        "{}",
        page.text
    );
    // Its own revisions, and which is liked best.
    let page = blythe.get(&format!("{meadow}/lineage")).await;
    assert!(
        page.text
            .contains("Of its revisions, 2 is liked best: 3.4 of 5 by one member.")
    );
    let own = all_words(&page, ".revisions li");
    assert!(
        own[0].contains("Stronger") && own[0].contains("strength from 10 % to 12 %"),
        "{own:#?}"
    );
    assert_eq!(
        ada.get(&meadow).await.link("lineage"),
        Some(format!("{meadow}/lineage"))
    );
}

#[tokio::test]
async fn what_one_may_not_see_ends_the_line_and_leaves_no_trace() {
    // Two clubs that differ only in what a private recipe is called and how many of them there are.
    let mut pages = Vec::new();
    for (title, many) in [("Secret of the moor", 1), ("Another word", 3)] {
        let (club, _, ada) = a_club().await;
        let blythe = another(&club, "Blythe", Units::Metric).await;
        let cleo = another(&club, "Cleo", Units::Metric).await;
        let meadow = saved(&ada, &[("Name", "Meadow"), CLUB]).await;
        let mut hidden = String::new();
        for _ in 0..many {
            hidden = started(&blythe, &meadow, 1, &[("Name", title)]).await;
        }
        let open = started(&blythe, &hidden, 1, &[("Name", "Open"), CLUB]).await;
        rated(&club, &hidden, "Blythe", 1, 5).await;
        let ids: Vec<String> = sqlx::query_scalar("select public_id from recipes")
            .fetch_all(club.pool())
            .await
            .expect("ids");
        let mut seen = String::new();
        for sheet in [&meadow, &open] {
            for page in ["/lineage", "/compare", ""] {
                let mut text = cleo.get(&format!("{sheet}{page}")).await.text;
                for secret in [title, hidden.rsplit('/').next().expect("an id")] {
                    assert!(!text.contains(secret), "{secret} on {page}: {text}");
                }
                for (at, id) in ids.iter().enumerate().filter(|(_, id)| {
                    [&meadow, &open]
                        .iter()
                        .any(|own| own.ends_with(id.as_str()))
                }) {
                    let name = if at == 0 { "FIRST" } else { "OTHER" };
                    text = text.replace(id, name);
                }
                // The key of a form is another each time.
                let pieces = text.split("name=\"once\" value=\"").enumerate();
                seen.extend(pieces.map(|(at, piece)| match at {
                    0 => piece,
                    _ => piece.split_once('"').map_or("", |(_, rest)| rest),
                }));
            }
        }
        let page = cleo.get(&format!("{meadow}/lineage")).await;
        assert!(
            !page.text.contains("Open"),
            "what lies behind it is not told"
        );
        let page = cleo.get(&format!("{open}/lineage")).await;
        assert!(
            page.text
                .contains("Open was itself started from a recipe by Blythe, revision 1"),
            "{}",
            page.text
        );
        assert!(!page.text.contains("Meadow"));
        // Whoever may see it sees the whole line.
        let page = blythe.get(&format!("{open}/lineage")).await;
        let line = all_words(&page, ".lineage li > a");
        assert_eq!(line.len(), 2 + many, "{line:?}");
        assert!(line.iter().any(|one| one == title));
        assert_eq!(cleo.get(&format!("{hidden}/lineage")).await.status, 404);
        pages.push(seen);
    }
    assert_eq!(pages[0], pages[1]);
}

#[tokio::test]
async fn a_long_line_and_a_popular_recipe_are_cut_and_say_so() {
    let (club, _, ada) = a_club().await;
    let meadow = saved(&ada, &[("Name", "Meadow"), CLUB]).await;
    let id = meadow.rsplit('/').next().expect("an id");
    // Sixty copies by the database itself: the form would take a while.
    let mut owner = club.database.owner().await;
    let sql = format!(
        "do $$ declare source bigint; copy bigint; v bigint; begin
            select v.id into source from revisions v join recipes r on r.id = v.recipe_id where r.public_id = '{id}';
            for n in 1..60 loop
                insert into recipes (public_id, owner_id, title, visibility, started_from_id, created_at, updated_at)
                select translate(lpad(n::text, 20, 'a'), '0189', 'zywv'), owner_id, 'Copy ' || n, 'club', source, now(), now()
                from recipes where public_id = '{id}' returning id into copy;
                insert into revisions (recipe_id, number, title, document, author_id, created_at)
                select copy, 1, 'Copy ' || n, document, author_id, now() from revisions where id = source returning id into v;
                insert into revision_numbers (revision_id, honeys, problems, engine_version) values (v, '{{}}', 0, '0');
            end loop; end $$"
    );
    sqlx::raw_sql(AssertSqlSafe(sql))
        .execute(&mut owner)
        .await
        .expect("copies");
    let page = ada.get(&format!("{meadow}/lineage")).await;
    assert_eq!(page.status, 200);
    let shown = all_words(&page, ".lineage li > a");
    assert_eq!(shown.len(), 40, "{shown:?}");
    assert!(page.text.contains("There is more than is shown here"));
    // One of those that are cut off finds itself and its source all the same.
    let last: String = sqlx::query_scalar("select public_id from recipes where title = 'Copy 60'")
        .fetch_one(club.pool())
        .await
        .expect("an id");
    let page = ada.get(&format!("/recipes/{last}/lineage")).await;
    let here = all_words(&page, ".lineage .here > a");
    assert_eq!(here, ["Copy 60"]);
}

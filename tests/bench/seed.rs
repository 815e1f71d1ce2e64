//! A club with as many recipes as wanted: some really formulated, the others their copies under other names.

use chrono::{TimeDelta, Utc};
use mustwright::catalogue::catalogue;
use mustwright::catalogue::club::ClubCatalogue;
use mustwright::engine::{Settings, formulate};
use mustwright::recipes::forms::check::check;
use mustwright::recipes::forms::{Group, fill};
use mustwright::recipes::model::Visibility;
use mustwright::recipes::numbers::summary::numbers_for_lists;
use mustwright::recipes::saving::{SaveRevision, Target};
use mustwright::recipes::store;
use mustwright::web::units::Units;
use mustwright::web::viewer::MemberId;
use sqlx::{AssertSqlSafe, Connection, PgConnection};

/// Members of such a club.
pub const MEMBERS: i32 = 200;
/// Recipes that are really formulated.
const FORMULATED: usize = 360;

/// Words of titles and notes, the frequent ones first.
const WORDS: &str = "mead honey dry sweet autumn summer garden heather cherry orchard meadow batch river winter amber blackberry \
    morning golden bramble hedgerow forest clover linden moor valley spiced old first second ginger apple plum barrel \
    evening harvest hollow island juniper lantern lavender lowland maple midsummer nettle oak pear quarry raspberry rose \
    saffron solstice spruce stone thyme tupelo vanilla violet walnut willow wren yarrow beacon cottage crimson dusk elder \
    ember fallow field hawthorn badger barrow brook cider cinnamon clove fennel gorse hazel ivory kettle larch mallow \
    nutmeg opal pepper quince rowan sorrel tansy umber verbena whin zest";

/// Makes the members and so many recipes of theirs; the members' ids.
pub async fn club(owner: &mut PgConnection, recipes: i32) -> Vec<MemberId> {
    let members: Vec<MemberId> = sqlx::query_scalar(
        "insert into members (public_id, name, name_key)
         select translate(lpad(i::text, 20, '0'), '0189', 'abcd'), 'Member ' || i, 'member ' || i from generate_series(1, $1) as i
         returning id",
    )
    .bind(MEMBERS)
    .fetch_all(&mut *owner)
    .await
    .expect("members");
    formulated(owner, &members).await;
    copied(owner, recipes).await;
    sqlx::query("vacuum analyze")
        .execute(&mut *owner)
        .await
        .expect("analyzed");
    members
}

/// Saves recipes as members do: honeys, fruit, yeasts and strengths of the catalogue in turn.
async fn formulated(conn: &mut PgConnection, members: &[MemberId]) {
    let honeys = catalogue().honeys();
    let yeasts = catalogue().yeasts();
    let others = [
        "",
        "sour-cherry",
        "raspberry",
        "cinnamon",
        "apple-juice",
        "black-currant",
    ];
    let words: Vec<&str> = WORDS.split_whitespace().collect();
    let club = ClubCatalogue::default();
    for number in 0..FORMULATED {
        let mut form = fill::fresh(Units::Metric);
        let title = format!("{} {}", words[number % 31], words[number % words.len()]);
        form.set("title", title.as_str());
        form.set("strength", format!("{} %", 6 + number % 8));
        form.set("notes", "Kept cool and fed by the plan.");
        if number % 3 == 0 {
            form.set("finish", "sweeten");
            form.set("final_gravity", "1.014");
        }
        if let Some(row) = form.rows_mut(Group::Honey).first_mut() {
            row.set("pick", honeys[number % honeys.len()].key.as_str());
            row.set("name", honeys[number % honeys.len()].name.as_str());
            row.set("price", format!("{}", 6 + number % 9));
        }
        if let Some(row) = form.rows_mut(Group::Yeast).first_mut() {
            row.set("pick", yeasts[number % yeasts.len()].key.as_str());
        }
        let other = others[number % others.len()];
        if !other.is_empty() {
            let amount = if other == "cinnamon" { "10 g" } else { "2 kg" };
            form.add_row(
                Group::Other,
                &[("pick", other), ("amount", amount), ("when", "primary")],
            );
        }
        let recipe = check(&form, Units::Metric, &club).recipe;
        let numbers = formulate(&recipe, &Settings::default());
        let document = serde_json::to_value(&recipe).expect("a document");
        let save = SaveRevision {
            author: members[number % members.len()],
            target: Target::New {
                visibility: if number % 5 < 3 {
                    Visibility::Club
                } else {
                    Visibility::Private
                },
                started_from: None,
            },
            title: &title,
            document: &document,
            numbers: &numbers_for_lists(&recipe, &numbers),
            note: "",
            draft: None,
        };
        let mut tx = conn.begin().await.expect("a transaction");
        let then = Utc::now() - TimeDelta::days(i64::try_from(number).unwrap_or(0));
        store::save_revision(&mut tx, &save, then)
            .await
            .expect("saved");
        tx.commit().await.expect("committed");
    }
}

/// Copies of them under other names, by other members, with other notes, ratings and days.
async fn copied(conn: &mut PgConnection, recipes: i32) {
    let words: Vec<String> = WORDS
        .split_whitespace()
        .map(|word| format!("'{word}'"))
        .collect();
    let words = words.join(", ");
    // A frequent word has a low number; the square makes few of them very frequent.
    let word = |seed: &str| {
        format!(
            "(array[{words}])[1 + floor(power(random() + 0 * {seed}, 2) * {})::int]",
            WORDS.split_whitespace().count()
        )
    };
    let copies = recipes - FORMULATED as i32;
    for from in (0..copies).step_by(5_000) {
        let to = (from + 5_000).min(copies);
        let (first, second, third) = (word("i"), word("i"), word("x"));
        let batch = format!(
            "with made as (
                 insert into recipes (public_id, owner_id, title, visibility, created_at, updated_at, rating_count, rating_mean, made_count)
                 select translate(lpad(i::text, 20, '0'), '0189', 'abcd'), 1 + i % {MEMBERS},
                     initcap({first}) || ' ' || {second} || ' ' || i % 900,
                     case when random() < 0.6 then 'club' else 'private' end, begun, begun, rated, case when rated > 0 then 1 + 4 * random() end,
                     case when random() < 0.2 then floor(random() * 9)::int else 0 end
                 from generate_series({from}, {to} - 1) as i
                 cross join lateral (select now() - random() * interval '1000 days' as begun, case when random() < 0.3 then 1 + i % 7 else 0 end as rated) as chance
                 returning id, title, owner_id, created_at
             ), revised as (
                 insert into revisions (recipe_id, number, title, document, author_id, created_at)
                 select made.id, 1, made.title, source.document || jsonb_build_object('notes', (
                     select string_agg({third}, ' ') from generate_series(1, 25) as x where made.id > 0)), made.owner_id, made.created_at
                 from made join revisions source on source.recipe_id = 1 + made.id % {FORMULATED} and source.number = 1
                 returning id, recipe_id
             )
             insert into revision_numbers
             select fresh.* from revised
             join revisions source on source.recipe_id = 1 + revised.recipe_id % {FORMULATED} and source.number = 1
             join revision_numbers n on n.revision_id = source.id
             cross join lateral jsonb_populate_record(n, jsonb_build_object('revision_id', revised.id)) as fresh"
        );
        sqlx::query(AssertSqlSafe(batch))
            .execute(&mut *conn)
            .await
            .expect("copies");
    }
}

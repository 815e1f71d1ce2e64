//! Recipes with all their revisions.

use serde_json::{Map, Value, json};
use sqlx::PgConnection;

use super::{Kind, Taken, Taking, Work, moment, store, text};
use crate::engine::reading::{ReadError, read};
use crate::engine::{Recipe, Settings, formulate};
use crate::portability::sheet::Column;
use crate::recipes::model::{NOTE_MAX, RevisionId, TITLE_MAX, Visibility};
use crate::recipes::numbers::summary::numbers_for_lists;
use crate::recipes::store::put_numbers;
use crate::web::viewer::MemberId;
use crate::web::words::problem_sentence_at;
use crate::web::{Error, random};

/// Recipes, also those in the bin.
pub struct Recipes;

const READ: &str = "select jsonb_build_object('id', r.public_id, 'title', r.title, 'visibility', r.visibility, 'signed', r.signed,
        'searchable', r.searchable,
        'created_at', r.created_at, 'updated_at', r.updated_at, 'binned_at', r.binned_at,
        'started_from', (select jsonb_build_object('recipe', source.public_id, 'number', s.number,
                'by', case when a.id <> $1 and (not r.started_unnamed or recipe_visible(source, $1)) then a.name end,
                'title', case when recipe_visible(source, $1) then s.title end)
            from revisions s join recipes source on source.id = s.recipe_id join members a on a.id = s.author_id
            where s.id = r.started_from_id),
        'revisions', (select jsonb_agg(jsonb_build_object('number', v.number, 'title', v.title,
                'document', v.document, 'note', v.note, 'restored_from', v.restored_from,
                'by', case when v.author_id <> $1 then w.name end, 'created_at', v.created_at,
                'numbers', jsonb_build_object('volume_l', n.volume_l, 'og', n.og, 'fg', n.fg,
                    'abv_percent', n.abv_percent, 'honey_kg', n.honey_kg, 'honeys', n.honeys))
                order by v.number)
            from revisions v join members w on w.id = v.author_id
            left join revision_numbers n on n.revision_id = v.id where v.recipe_id = r.id))
    from recipes r where r.owner_id = $1 order by r.id";

const PUT: &str = "insert into recipes (public_id, owner_id, title, visibility, signed, searchable, started_from_id, version, created_at,
        updated_at, binned_at)
    select $3, $2, $1->>'title', $1->>'visibility', coalesce(($1->>'signed')::boolean, false),
        coalesce(($1->>'searchable')::boolean, false),
        (select v.id from revisions v join recipes s on s.id = v.recipe_id
         where s.public_id = $1#>>'{started_from,here}' and s.owner_id = $2
           and v.number = ($1#>>'{started_from,number}')::integer),
        ($1->>'version')::integer, ($1->>'created_at')::timestamptz, ($1->>'updated_at')::timestamptz,
        ($1->>'binned_at')::timestamptz";

const PUT_REVISION: &str =
    "insert into revisions (recipe_id, number, title, document, note, restored_from, author_id,
        created_at)
    select r.id, ($1->>'number')::integer, $1->>'title', $1->'document', coalesce($1->>'note', ''),
        ($1->>'restored_from')::integer, $2, ($1->>'created_at')::timestamptz
    from recipes r where r.public_id = $3";

/// A thing as a recipe, or its faults in words.
fn checked(thing: &Value, taking: &Taking) -> Result<Vec<Recipe>, Vec<String>> {
    let mut faults = Vec::new();
    let visibility: Result<Visibility, ()> = text(thing, "/visibility").parse();
    let dated = moment(thing, "/created_at").and(moment(thing, "/updated_at"));
    if visibility.is_err() || dated.is_none() {
        faults.push("Its dates, or who may see it, cannot be read.".to_owned());
    }
    let revisions = thing.get("revisions").and_then(Value::as_array);
    let revisions = revisions.map_or(&[][..], Vec::as_slice);
    if revisions.is_empty() {
        faults.push("It has no revision.".to_owned());
    }
    let mut recipes = Vec::new();
    for (at, revision) in revisions.iter().enumerate() {
        let number = at + 1;
        let fits = revision.get("number").and_then(Value::as_u64) == Some(number as u64)
            && (1..=TITLE_MAX).contains(&text(revision, "/title").chars().count())
            && text(revision, "/note").chars().count() <= NOTE_MAX
            && moment(revision, "/created_at").is_some();
        if !fits {
            faults.push(format!(
                "Revision {number}: its number, title, note or date cannot be kept."
            ));
        }
        let document = revision.get("document").unwrap_or(&Value::Null);
        match read(&document.to_string()) {
            Ok(recipe) => recipes.push(recipe),
            Err(ReadError::NotJson(why)) => faults.push(format!("Revision {number}: {}", why.0)),
            Err(ReadError::Problems(problems)) => {
                faults.extend(problems.iter().map(|problem| {
                    let arguments = serde_json::to_value(&problem.arguments).unwrap_or_default();
                    let code = problem.code.as_str();
                    let words = problem_sentence_at(code, &problem.path, &arguments, taking.units);
                    format!("Revision {number}, at {}: {}", problem.path, words.sentence)
                }));
            }
        }
    }
    match faults.is_empty() {
        true => Ok(recipes),
        false => Err(faults),
    }
}

/// Where a recipe was started from, if that is not here.
fn elsewhere(source: &Value, taking: &Taking) -> Option<Value> {
    if source.get("here").is_some() {
        return None;
    }
    let number = source.get("number")?.as_i64()?;
    let short = |place: &str| {
        text(source, place)
            .chars()
            .take(TITLE_MAX)
            .collect::<String>()
    };
    let club = match short("/club") {
        club if club.is_empty() => taking.club.clone(),
        club => club,
    };
    // Whoever shared without their name stays unnamed.
    let by = match short("/by") {
        by if by.is_empty() => "somebody".to_owned(),
        by => by,
    };
    (1..=1_000_000).contains(&number).then(|| {
        json!({
            "recipe": short("/recipe"),
            "number": number,
            "by": by,
            "title": source.get("title").filter(|title| title.is_string()),
            "club": club,
        })
    })
}

/// What this club has no column for: who wrote what elsewhere, and what it was started from there.
fn said(thing: &Value, taking: &Taking) -> Value {
    let mut said = Map::new();
    let source = thing.get("started_from");
    if let Some(source) = source.and_then(|source| elsewhere(source, taking)) {
        said.insert("started_from".to_owned(), source);
    }
    let revisions = thing.get("revisions").and_then(Value::as_array);
    let others = revisions.into_iter().flatten().filter_map(|revision| {
        let by = text(revision, "/by");
        let club = match text(revision, "/club") {
            "" => taking.club.as_str(),
            club => club,
        };
        let number = revision.get("number")?.to_string();
        (!by.is_empty()).then(|| (number, json!({"by": by, "club": club})))
    });
    let others: Map<String, Value> = others.collect();
    if !others.is_empty() {
        said.insert("authors".to_owned(), Value::Object(others));
    }
    Value::Object(said)
}

async fn put(
    conn: &mut PgConnection,
    thing: &Value,
    recipes: &[Recipe],
    taking: &Taking,
    place: &str,
) -> Result<(), Error> {
    store::put(conn, PUT, thing, taking.member, place).await?;
    let settings = Settings {
        sachet_g: taking.sachet_g,
    };
    let revisions = thing.get("revisions").and_then(Value::as_array);
    for (revision, recipe) in revisions.into_iter().flatten().zip(recipes) {
        store::put(conn, PUT_REVISION, revision, taking.member, place).await?;
        let number = revision.get("number").and_then(Value::as_i64).unwrap_or(1);
        let id = store::revision(conn, place, number).await?;
        let numbers = numbers_for_lists(recipe, &formulate(recipe, &settings));
        put_numbers(conn, RevisionId(id), &numbers).await?;
    }
    Ok(())
}

impl Kind for Recipes {
    fn name(&self) -> &'static str {
        "recipes"
    }

    fn words(&self) -> (&'static str, &'static str) {
        ("recipe", "recipes")
    }

    fn columns(&self) -> &'static [Column] {
        &[
            ("recipe", "^/title"),
            ("who sees it", "^/visibility"),
            ("in the bin since", "^/binned_at"),
            ("revision", "/number"),
            ("title", "/title"),
            ("note", "/note"),
            ("saved", "/created_at"),
            ("volume (L)", "/numbers/volume_l"),
            ("OG", "/numbers/og"),
            ("FG", "/numbers/fg"),
            ("ABV (%)", "/numbers/abv_percent"),
            ("honey (kg)", "/numbers/honey_kg"),
            ("honeys", "/numbers/honeys"),
        ]
    }

    fn lines(&self) -> &'static str {
        "/revisions"
    }

    fn read<'a>(&'a self, conn: &'a mut PgConnection, owner: MemberId) -> Work<'a, Vec<Value>> {
        Box::pin(store::things_as_told(
            conn,
            (self.name(), READ),
            owner,
            say_again,
        ))
    }

    fn take<'a>(
        &'a self,
        conn: &'a mut PgConnection,
        thing: &'a Value,
        taking: &'a Taking,
    ) -> Work<'a, Taken> {
        Box::pin(async move {
            let recipes = match checked(thing, taking) {
                Ok(recipes) => recipes,
                Err(faults) => return Ok(Taken::Refused(faults)),
            };
            let mut here = thing.clone();
            let newest = recipes.len() - 1;
            here["title"] = json!(text(thing, &format!("/revisions/{newest}/title")));
            here["version"] = json!(recipes.len());
            let source = taking.place("recipes", text(thing, "/started_from/recipe"));
            if let (Some(source), Some(from)) = (source, here["started_from"].as_object_mut()) {
                from.insert("here".to_owned(), json!(source));
            }
            let place = random::public_id()?;
            put(conn, &here, &recipes, taking, &place).await?;
            Ok(Taken::Placed {
                place,
                said: said(&here, taking),
            })
        })
    }
}

/// Puts what was said elsewhere back into a thing that is exported again.
fn say_again(thing: &mut Value, said: &Value) {
    if let (Some(source), Some(Value::Null)) = (said.get("started_from"), thing.get("started_from"))
    {
        thing["started_from"] = source.clone();
    }
    let authors = said.get("authors").and_then(Value::as_object);
    for (number, author) in authors.into_iter().flatten() {
        let place = number
            .parse::<usize>()
            .ok()
            .and_then(|number| number.checked_sub(1));
        if let Some(revision) =
            place.and_then(|place| thing.pointer_mut(&format!("/revisions/{place}")))
        {
            revision["by"] = author["by"].clone();
            revision["club"] = author["club"].clone();
        }
    }
}

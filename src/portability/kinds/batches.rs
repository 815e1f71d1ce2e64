//! Batches with their whole logs: every version of every entry, and the pictures.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use serde_json::{Map, Value, json};
use sqlx::PgConnection;

use super::picture::is_plain;
use super::{Kind, Taken, Taking, Work, minutes, moment, store, text};
use crate::batches::log::pictures;
use crate::batches::opened::refresh_for;
use crate::engine::json::Json;
use crate::engine::log::Start;
use crate::engine::log::read::deed;
use crate::engine::reading::read;
use crate::engine::{ENGINE_VERSION, Settings, formulate};
use crate::portability::sheet::Column;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;
use crate::web::{Error, random};

/// Batches, also those in the bin.
pub struct Batches;

/// The most bytes of pictures of a member that an export holds. Of more, none is in it: they are on the pages of their batches.
const MOST_PICTURES: i64 = 10 * 1024 * 1024;

/// How many bytes the pictures of a member's batches have in all.
const PICTURE_BYTES: &str = "select to_jsonb(coalesce(sum(octet_length(i.image)), 0))
    from batch_pictures i join batches b on b.id = i.batch_id where b.owner_id = $1";

/// As a list of the batch `b`.
const READ_PICTURES: &str = "(select coalesce(jsonb_agg(jsonb_build_object('entry', i.entry,
                'image', translate(encode(i.image, 'base64'), E'\\n', ''), 'width', i.width, 'height', i.height,
                'says', i.says, 'at', i.at) order by i.id), '[]')
            from batch_pictures i where i.batch_id = b.id)";

/// With and without what sensors told besides the last reading of each hour, with and without pictures.
static ALL_OF_IT: LazyLock<String> = LazyLock::new(|| reading(minutes::READ, READ_PICTURES));
static NO_MINUTES: LazyLock<String> = LazyLock::new(|| reading("null", READ_PICTURES));
static NO_PICTURES: LazyLock<String> = LazyLock::new(|| reading(minutes::READ, "null"));
static NEITHER: LazyLock<String> = LazyLock::new(|| reading("null", "null"));

fn reading(minutes: &str, pictures: &str) -> String {
    let with_minutes = READ.replace("{minutes}", minutes);
    with_minutes.replace("{pictures}", pictures)
}

const MINUTES_LEFT_OUT: &str = "Of what sensors told, this holds the last reading of each hour, with which everything is reckoned. Every minute of it\n\
     is more than one file can hold: the page of each batch gives its whole log, as a table or as JSON.";

const PICTURES_LEFT_OUT: &str = "The pictures beside your notes are not in it: all of them are more than one file can hold. The page of each batch\n\
     shows its own, and a browser saves them from there.";

const IDS: &str = "select to_jsonb(public_id) from batches where owner_id = $1 order by id";

const READ: &str = "select jsonb_build_object('id', b.public_id, 'title', b.name, 'visibility', b.visibility,
        'supposed', b.supposed, 'document', b.document, 'own', b.own, 'vessel', w.public_id, 'vessel_name', b.vessel_name,
        'began_at', b.began_at, 'ended_at', b.ended_at, 'how_it_ended', b.how_it_ended, 'created_at', b.created_at,
        'binned_at', b.binned_at, 'parted_from', p.public_id,
        'made_of', (select jsonb_build_object('recipe', r.public_id, 'number', v.number,
                'title', case when recipe_visible(r, $1) then v.title end)
            from revisions v join recipes r on r.id = v.recipe_id where v.id = b.revision_id),
        'entries', (select coalesce(jsonb_agg(jsonb_build_object('entry', e.entry, 'version', e.version, 'kind', e.kind,
                'at', e.at, 'recorded_at', e.recorded_at, 'by', case when e.by_id <> $1 then m.name end, 'data', e.data,
                'typed', e.typed, 'struck', e.struck, 'came_from', e.came_from, 'source_key', e.source_key)
                order by e.entry, e.version), '[]')
            from batch_logs_in_short e join members m on m.id = e.by_id where e.batch_id = b.id),
        'minutes', {minutes},
        'pictures', {pictures})
    from batches b left join vessels w on w.id = b.vessel_id left join batches p on p.id = b.parted_from_id
    where b.owner_id = $1 order by b.id";

const PUT: &str = "insert into batches (public_id, owner_id, name, visibility, revision_id, parted_from_id, supposed,
        document, formulation, engine_version, vessel_id, vessel_name, began_at, ended_at, how_it_ended, created_at,
        binned_at, own)
    select $3, $2, $1->>'title', $1->>'visibility',
        (select v.id from revisions v join recipes r on r.id = v.recipe_id
         where r.public_id = $1#>>'{made_of,here}' and r.owner_id = $2 and v.number = ($1#>>'{made_of,number}')::integer),
        (select p.id from batches p where p.public_id = $1->>'parted_from_here' and p.owner_id = $2),
        coalesce(($1->>'supposed')::boolean, false), $1->'document', $1->'formulation',
        ($1->>'engine_version')::integer,
        (select w.id from vessels w where w.public_id = $1->>'vessel_here' and w.owner_id = $2),
        coalesce($1->>'vessel_name', ''), ($1->>'began_at')::timestamptz, ($1->>'ended_at')::timestamptz,
        $1->>'how_it_ended', ($1->>'created_at')::timestamptz, ($1->>'binned_at')::timestamptz,
        case when jsonb_typeof($1->'own') = 'object' and octet_length(($1->'own')::text) <= 2000 then $1->'own' else '{}' end";

const PUT_ENTRIES: &str = "insert into batch_entries (batch_id, entry, version, kind, at, recorded_at, by_id, data,
        typed, struck, came_from, source_key)
    select b.id, e.entry, e.version, e.kind, e.at, e.recorded_at, $2, e.data, coalesce(e.typed, '{}'),
        coalesce(e.struck, false), e.came_from, e.source_key
    from batches b, jsonb_to_recordset($1->'entries') as e(entry integer, version integer, kind text, at timestamptz,
        recorded_at timestamptz, data jsonb, typed jsonb, struck boolean, came_from text, source_key text)
    where b.public_id = $3 and b.owner_id = $2";

const PUT_PICTURE: &str = "insert into batch_pictures (public_id, batch_id, entry, by_id, image, width, height, says, at)
    select $1->>'place', b.id, ($1->>'entry')::integer, $2, decode($1->>'image', 'base64'), ($1->>'width')::integer,
        ($1->>'height')::integer, coalesce($1->>'says', ''), ($1->>'at')::timestamptz
    from batches b where b.public_id = $3 and b.owner_id = $2";

/// The items of a list in a thing.
fn items<'a>(thing: &'a Value, key: &str) -> &'a [Value] {
    let list = thing.get(key).and_then(Value::as_array);
    list.map_or(&[][..], Vec::as_slice)
}

fn whole(value: &Value, key: &str) -> Option<i64> {
    value.get(key).and_then(Value::as_i64)
}

/// What is wrong with a log, in words.
fn faults_of_log(entries: &[Value]) -> Vec<String> {
    let mut faults = Vec::new();
    let mut versions: BTreeMap<i64, BTreeSet<i64>> = BTreeMap::new();
    for entry in entries {
        let number = whole(entry, "entry").unwrap_or(0);
        let version = whole(entry, "version").unwrap_or(0);
        let twice = !versions.entry(number).or_default().insert(version);
        let data = entry.get("data").map(Value::to_string).unwrap_or_default();
        let reads = Json::parse(&data).is_ok_and(|data| deed(text(entry, "/kind"), &data).is_ok());
        let dated = moment(entry, "/at").and(moment(entry, "/recorded_at"));
        if number < 1 || twice || !reads || dated.is_none() {
            faults.push(format!(
                "Entry {number} of its log, version {version}, cannot be read."
            ));
        }
    }
    // What counts is the newest version: none may be missing below it.
    let gap = |all: &BTreeSet<i64>| !all.iter().copied().eq(1..=all.len() as i64);
    for (number, _) in versions.iter().filter(|(_, all)| gap(all)) {
        faults.push(format!("Entry {number} of its log lacks a version."));
    }
    faults
}

/// What is wrong with a batch, in words; else its formulation anew.
fn checked(thing: &Value, taking: &Taking) -> Result<Value, Vec<String>> {
    let entries = items(thing, "entries");
    let mut faults = faults_of_log(entries);
    let numbers = entries.iter().filter_map(|entry| whole(entry, "entry"));
    if !minutes::are_sound(items(thing, minutes::KEY), numbers.collect()) {
        faults.push("What its sensors told minute by minute cannot be read.".to_owned());
    }
    if moment(thing, "/began_at")
        .and(moment(thing, "/created_at"))
        .is_none()
    {
        faults.push("Its dates cannot be read.".to_owned());
    }
    let document = thing.get("document").unwrap_or(&Value::Null);
    let recipe = read(&document.to_string());
    let settings = Settings {
        sachet_g: taking.sachet_g,
    };
    let numbers = match &recipe {
        Ok(recipe) if Start::of_recipe(recipe).is_some() => {
            serde_json::to_value(formulate(recipe, &settings)).ok()
        }
        _ => None,
    };
    match numbers {
        Some(numbers) if faults.is_empty() => Ok(numbers),
        Some(_) => Err(faults),
        None => {
            faults.push("What went in cannot be read.".to_owned());
            Err(faults)
        }
    }
}

/// What this club has no column for: a recipe, a batch and people that are elsewhere.
fn said(thing: &Value, taking: &Taking) -> Value {
    let mut said = Map::new();
    let source = thing.get("made_of").filter(|made| made.is_object());
    if let Some(source) = source.filter(|made| made.get("here").is_none()) {
        said.insert("made_of".to_owned(), source.clone());
    }
    let from = text(thing, "/parted_from");
    if !from.is_empty() && text(thing, "/parted_from_here").is_empty() {
        said.insert("parted_from".to_owned(), json!(from));
    }
    let others = items(thing, "entries").iter().filter_map(|entry| {
        let key = format!("{}.{}", whole(entry, "entry")?, whole(entry, "version")?);
        let club = match text(entry, "/club") {
            "" => taking.club.as_str(),
            club => club,
        };
        let by = text(entry, "/by");
        (!by.is_empty()).then(|| (key, json!({"by": by, "club": club})))
    });
    let others: Map<String, Value> = others.collect();
    if !others.is_empty() {
        said.insert("writers".to_owned(), Value::Object(others));
    }
    Value::Object(said)
}

/// Puts what was said elsewhere back into a thing that is exported again.
fn say_again(thing: &mut Value, said: &Value) {
    for key in ["made_of", "parted_from"] {
        if let (Some(told), Some(Value::Null)) = (said.get(key), thing.get(key)) {
            thing[key] = told.clone();
        }
    }
    let writers = said.get("writers").and_then(Value::as_object);
    let entries = thing.get_mut("entries").and_then(Value::as_array_mut);
    let (Some(writers), Some(entries)) = (writers, entries) else {
        return;
    };
    for entry in entries {
        let key = whole(entry, "entry").zip(whole(entry, "version"));
        let key = key.map(|(entry, version)| format!("{entry}.{version}"));
        if let Some(told) = key.and_then(|key| writers.get(&key)) {
            entry["by"] = told["by"].clone();
            entry["club"] = told["club"].clone();
        }
    }
}

/// A number that the database tells of a member.
async fn count(
    conn: &mut PgConnection,
    query: &'static str,
    owner: MemberId,
) -> Result<i64, Error> {
    let told = store::things(conn, query, owner).await?;
    Ok(told.first().and_then(Value::as_i64).unwrap_or(0))
}

/// Whether there is room for the pictures of a batch beside those that the member has.
async fn there_is_room(
    conn: &mut PgConnection,
    thing: &Value,
    owner: MemberId,
) -> Result<bool, Error> {
    let more = i64::try_from(items(thing, "pictures").len()).unwrap_or(i64::MAX);
    if more == 0 {
        return Ok(true);
    }
    let have = pictures::store::count_of(conn, owner).await?;
    Ok(have.saturating_add(more) <= pictures::MOST_OF_ONE)
}

/// Whether each picture is one of those that this server makes.
async fn pictures_are_plain(conn: &mut PgConnection, thing: &Value) -> Result<bool, Error> {
    for picture in items(thing, "pictures") {
        let bytes = store::bytes(conn, text(picture, "/image")).await?;
        let size = whole(picture, "width").zip(whole(picture, "height"));
        if !size.is_some_and(|(width, height)| is_plain(&bytes, width, height)) {
            return Ok(false);
        }
    }
    Ok(true)
}

async fn put(
    conn: &mut PgConnection,
    thing: &Value,
    taking: &Taking,
    place: &str,
) -> Result<(), Error> {
    store::put(conn, PUT, thing, taking.member, place).await?;
    store::put(conn, PUT_ENTRIES, thing, taking.member, place).await?;
    if !items(thing, minutes::KEY).is_empty() {
        store::wait_longer(conn).await?;
        store::put(conn, minutes::PUT, thing, taking.member, place).await?;
    }
    for picture in items(thing, "pictures") {
        let mut picture = picture.clone();
        picture["place"] = json!(random::public_id()?);
        store::put(conn, PUT_PICTURE, &picture, taking.member, place).await?;
    }
    let id: PublicId = place.parse().map_err(|_| Error::not_found())?;
    let settings = Settings {
        sachet_g: taking.sachet_g,
    };
    refresh_for(conn, taking.member, &settings, &id).await?;
    Ok(())
}

impl Kind for Batches {
    fn name(&self) -> &'static str {
        "batches"
    }

    fn words(&self) -> (&'static str, &'static str) {
        ("batch", "batches")
    }

    fn columns(&self) -> &'static [Column] {
        &[
            ("batch", "^/title"),
            ("who sees it", "^/visibility"),
            ("mixed", "^/began_at"),
            ("ended", "^/ended_at"),
            ("how it ended", "^/how_it_ended"),
            ("in the bin since", "^/binned_at"),
            ("entry", "/entry"),
            ("version", "/version"),
            ("when", "/at"),
            ("what", "/kind"),
            ("gravity (SG)", "/data/sg"),
            ("temperature of the must (°C)", "/data/must_temperature_c"),
            ("pH", "/data/ph"),
            ("litres", "/data/volume_l"),
            ("name", "/data/name"),
            ("grams", "/data/grams"),
            ("words", "/data/text"),
            ("taken out", "/struck"),
        ]
    }

    fn lines(&self) -> &'static str {
        "/entries"
    }

    /// A sensor tells every minute.
    fn is_long(&self) -> bool {
        true
    }

    fn left_out(&self, things: &[Value]) -> Vec<&'static str> {
        let lacks = |key: &str| {
            let mut all = things.iter();
            all.any(|thing| thing.get(key).is_some_and(Value::is_null))
        };
        let minutes = lacks(minutes::KEY).then_some(MINUTES_LEFT_OUT);
        let pictures = lacks("pictures").then_some(PICTURES_LEFT_OUT);
        minutes.into_iter().chain(pictures).collect()
    }

    /// Without their logs.
    fn ids<'a>(&'a self, conn: &'a mut PgConnection, owner: MemberId) -> Work<'a, Vec<String>> {
        Box::pin(async move {
            let ids = store::things(conn, IDS, owner).await?;
            Ok(ids.iter().map(|id| text(id, "").to_owned()).collect())
        })
    }

    fn read<'a>(&'a self, conn: &'a mut PgConnection, owner: MemberId) -> Work<'a, Vec<Value>> {
        Box::pin(async move {
            store::wait_longer(conn).await?;
            let readings = count(conn, minutes::COUNT, owner).await?;
            let bytes = count(conn, PICTURE_BYTES, owner).await?;
            let query: &'static str = match (readings > minutes::MOST, bytes > MOST_PICTURES) {
                (false, false) => &ALL_OF_IT,
                (true, false) => &NO_MINUTES,
                (false, true) => &NO_PICTURES,
                (true, true) => &NEITHER,
            };
            store::things_as_told(conn, (self.name(), query), owner, say_again).await
        })
    }

    fn take<'a>(
        &'a self,
        conn: &'a mut PgConnection,
        thing: &'a Value,
        taking: &'a Taking,
    ) -> Work<'a, Taken> {
        Box::pin(async move {
            let formulation = match checked(thing, taking) {
                Ok(formulation) => formulation,
                Err(faults) => return Ok(Taken::Refused(faults)),
            };
            if !pictures_are_plain(conn, thing).await? {
                let fault = "A picture in its log is not one that a server like this makes.";
                return Ok(Taken::Refused(vec![fault.to_owned()]));
            }
            if !there_is_room(conn, thing, taking.member).await? {
                let fault = "With the pictures in its log there would be more than 2,000, as many as a member keeps.";
                return Ok(Taken::Refused(vec![fault.to_owned()]));
            }
            let mut here = thing.clone();
            here["formulation"] = formulation;
            here["engine_version"] = json!(ENGINE_VERSION);
            here["vessel_here"] = json!(taking.place("vessels", text(thing, "/vessel")));
            here["parted_from_here"] = json!(taking.place("batches", text(thing, "/parted_from")));
            let source = taking.place("recipes", text(thing, "/made_of/recipe"));
            if let (Some(source), Some(made)) = (source, here["made_of"].as_object_mut()) {
                made.insert("here".to_owned(), json!(source));
            }
            let place = random::public_id()?;
            put(conn, &here, taking, &place).await?;
            Ok(Taken::Placed {
                place,
                said: said(&here, taking),
            })
        })
    }
}

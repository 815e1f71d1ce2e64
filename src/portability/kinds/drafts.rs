//! What the member has typed and not yet saved.

use serde_json::{Value, json};
use sqlx::PgConnection;

use super::{Kind, Taken, Taking, Work, moment, store, text};
use crate::portability::sheet::Column;
use crate::web::random;
use crate::web::viewer::MemberId;

/// Open drafts.
pub struct Drafts;

/// Fields of the form that hold a public id.
const IDS: &[&str] = &["draft", "recipe", "from_recipe"];

const READ: &str = "select jsonb_build_object('id', d.public_id, 'title', d.title, 'recipe', r.public_id,
        'base_version', d.base_version, 'fields', d.fields, 'created_at', d.created_at, 'updated_at', d.updated_at)
    from recipe_drafts d left join recipes r on r.id = d.recipe_id
    where d.member_id = $1 and d.closed_at is null and d.thrown_at is null
    order by d.created_at, d.public_id";

const PUT: &str = "insert into recipe_drafts (member_id, public_id, recipe_id, base_version, title, fields, sequence,
        created_at, updated_at)
    select $2, $3, (select r.id from recipes r where r.public_id = $1->>'recipe' and r.owner_id = $2),
        ($1->>'base_version')::integer, coalesce($1->>'title', ''), $1->'fields', 1,
        ($1->>'created_at')::timestamptz, ($1->>'updated_at')::timestamptz";

/// The form as typed, with the public ids that hold here; none if it is no form.
fn fields(thing: &Value, place: &str, taking: &Taking) -> Option<Value> {
    let mut fields = Vec::new();
    for pair in thing.get("fields")?.as_array()? {
        let [name, typed] = pair.as_array()?.as_slice() else {
            return None;
        };
        let (name, typed) = (name.as_str()?, typed.as_str()?);
        let typed = match name {
            "draft" => place,
            name if IDS.contains(&name) => taking.place("recipes", typed).unwrap_or(typed),
            _ => typed,
        };
        fields.push(json!([name, typed]));
    }
    Some(Value::Array(fields))
}

impl Kind for Drafts {
    fn name(&self) -> &'static str {
        "drafts"
    }

    fn words(&self) -> (&'static str, &'static str) {
        ("draft", "drafts")
    }

    fn columns(&self) -> &'static [Column] {
        &[
            ("title", "/title"),
            ("begun", "/created_at"),
            ("typed last", "/updated_at"),
        ]
    }

    fn read<'a>(&'a self, conn: &'a mut PgConnection, owner: MemberId) -> Work<'a, Vec<Value>> {
        Box::pin(store::things(conn, READ, owner))
    }

    fn take<'a>(
        &'a self,
        conn: &'a mut PgConnection,
        thing: &'a Value,
        taking: &'a Taking,
    ) -> Work<'a, Taken> {
        Box::pin(async move {
            let place = random::public_id()?;
            let dated = moment(thing, "/created_at").zip(moment(thing, "/updated_at"));
            let Some((fields, _)) = fields(thing, &place, taking).zip(dated) else {
                return Ok(Taken::Refused(vec![
                    "This is no draft: its fields or its dates cannot be read.".to_owned(),
                ]));
            };
            let mut here = thing.clone();
            here["fields"] = fields;
            here["recipe"] = json!(taking.place("recipes", text(thing, "/recipe")));
            store::put(conn, PUT, &here, taking.member, &place).await?;
            Ok(Taken::Placed {
                place,
                said: json!({}),
            })
        })
    }
}

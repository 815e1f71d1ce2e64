//! How pages speak to the member.

use serde_json::Value;
use sqlx::PgConnection;

use super::{Kind, Taken, Taking, Work, store};
use crate::portability::sheet::Column;
use crate::web::viewer::MemberId;

/// One thing, which is always called the same.
pub struct Settings;

const READ: &str = "select jsonb_build_object('id', 'settings', 'name', name, 'units', units, 'theme', theme, 'zone', zone,
        'sachet_g', sachet_g, 'powder_step_g', powder_step_g, 'honey_step_g', honey_step_g, 'whole_form', whole_form, 'newcomers_may_ask', newcomers_may_ask, 'joined_at', created_at)
    from members where id = $1";

const PUT: &str = "update members set units = $1->>'units', theme = $1->>'theme',
        sachet_g = ($1->>'sachet_g')::numeric,
        powder_step_g = coalesce(($1->>'powder_step_g')::numeric, powder_step_g),
        honey_step_g = coalesce(($1->>'honey_step_g')::numeric, honey_step_g), whole_form = ($1->>'whole_form')::boolean,
        newcomers_may_ask = ($1->>'newcomers_may_ask')::boolean,
        zone = case when exists (select from pg_timezone_names where name = $1->>'zone') then $1->>'zone' else zone end
    where id = $2 and $3 = 'settings'";

/// What is taken over; the name and the day of joining are those of this club.
const SAME: &[&str] = &[
    "/units",
    "/theme",
    "/zone",
    "/sachet_g",
    "/powder_step_g",
    "/honey_step_g",
    "/whole_form",
    "/newcomers_may_ask",
];

impl Kind for Settings {
    fn name(&self) -> &'static str {
        "settings"
    }

    fn words(&self) -> (&'static str, &'static str) {
        ("set of settings", "sets of settings")
    }

    fn columns(&self) -> &'static [Column] {
        &[
            ("name", "/name"),
            ("units", "/units"),
            ("light or dark", "/theme"),
            ("time zone", "/zone"),
            ("a sachet of yeast (g)", "/sachet_g"),
            ("steps for powders (g)", "/powder_step_g"),
            ("steps for honey (g)", "/honey_step_g"),
            ("newcomers may ask", "/newcomers_may_ask"),
            ("joined", "/joined_at"),
        ]
    }

    fn is_taken_once(&self) -> bool {
        false
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
            let own = store::things(conn, READ, taking.member).await?;
            let same = own.first().is_some_and(|own| {
                SAME.iter()
                    .all(|place| own.pointer(place) == thing.pointer(place))
            });
            if same {
                return Ok(Taken::Same);
            }
            store::put(conn, PUT, thing, taking.member, "settings").await?;
            Ok(Taken::Placed {
                place: "settings".to_owned(),
                said: serde_json::json!({}),
            })
        })
    }
}

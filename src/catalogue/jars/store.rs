//! Rows of the honey shelf, read as the catalogue offers them.

use sqlx::{PgConnection, query};

use super::{Jar, Label, entry, key_of};
use crate::catalogue::club::OwnEntry;

/// A jar with less in it than this is empty, kg.
pub const EMPTY_KG: f64 = 0.0005;

/// Every jar that ever stood on the shelf, by name.
pub async fn jars(conn: &mut PgConnection, own: &[OwnEntry]) -> Result<Vec<Jar>, sqlx::Error> {
    let rows = query!(
        "select public_id, name, varietal, water, bee_keeper, harvest_year, place, left_kg, put_away, price_per_kg
         from honey_jars order by lower(name), id"
    );
    let rows = rows.fetch_all(conn).await?;
    let jars = rows.into_iter().map(|row| {
        let year = row.harvest_year.map(|year| format!("harvest of {year}"));
        let place = Some(row.place).filter(|place| !place.is_empty());
        let harvest: Vec<String> = year.into_iter().chain(place).collect();
        let label = Label {
            key: key_of(&row.public_id),
            name: row.name,
            varietal: row.varietal,
            water: row.water,
            bee_keeper: row.bee_keeper,
            harvest: harvest.join(", "),
        };
        Jar {
            entry: entry(&label, own),
            left_kg: row.left_kg,
            offered: !row.put_away && row.left_kg >= EMPTY_KG,
            price_per_kg: row.price_per_kg,
        }
    });
    Ok(jars.collect())
}

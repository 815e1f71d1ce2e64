//! What goes into the glasses: batches that the host may see, with their allergens, coded and in balanced orders.

use sqlx::PgConnection;

use super::forms::Asked;
use super::model::{Kind, NewPour, NewTasting, Serving};
use crate::batches::allergens;
use crate::batches::opened::{Opened, open, settings_of};
use crate::engine::senses::orders;
use crate::web::error::{Error, Kind as Fault};
use crate::web::viewer::Member;

/// The batches that were chosen; `Err` names the field of one that is not there for this member.
pub async fn batches(
    conn: &mut PgConnection,
    member: &Member,
    asked: &Asked,
) -> Result<Result<Vec<Opened>, &'static str>, Error> {
    let settings = settings_of(member);
    let mut batches = Vec::new();
    for (field, id) in &asked.meads {
        match open(conn, Some(member.id), &settings, id).await {
            Ok(opened) => batches.push(opened),
            Err(fault) if fault.kind() == Fault::NotFound => return Ok(Err(*field)),
            Err(fault) => return Err(fault),
        }
    }
    Ok(Ok(batches))
}

/// The tasting of these batches; everything that chance decides follows from the seed.
pub fn tasting(kind: Kind, asked: Asked, batches: &[Opened], seed: u64) -> NewTasting {
    let meads = batches.len();
    let one_code_each = kind == Kind::Shared && asked.coded;
    let codes = orders::codes(meads, seed);
    let codes = codes
        .into_iter()
        .map(|code| one_code_each.then_some(i32::from(code)));
    let pours = batches.iter().zip(codes).map(|(opened, code)| NewPour {
        batch: opened.batch.public_id.clone(),
        name: opened.batch.name.clone(),
        code,
        allergens: allergens::of(opened),
    });
    NewTasting {
        pours: pours.collect(),
        servings: servings(kind, meads, asked.tasters, seed),
        title: asked.title,
        kind,
        coded: asked.coded,
        on_paper: asked.on_paper,
        visibility: asked.visibility,
        question: asked.question,
    }
}

/// The glasses of each taster: balanced orders, and a code of its own on every glass.
fn servings(kind: Kind, meads: usize, tasters: usize, seed: u64) -> Vec<Serving> {
    let rows: Vec<Vec<usize>> = match kind {
        Kind::Shared => Vec::new(),
        Kind::Triangle => orders::triangles(tasters, seed)
            .into_iter()
            .map(|row| row.to_vec())
            .collect(),
        Kind::Ranking => orders::servings(meads, tasters, seed),
    };
    let glasses = rows.iter().map(Vec::len).sum();
    // Another seed than that of the orders, so that no code tells its place in them.
    let mut codes = orders::codes(glasses, !seed).into_iter().map(i32::from);
    let places = |row: Vec<usize>| row.into_iter().filter_map(|at| i32::try_from(at + 1).ok());
    (1..)
        .zip(rows)
        .map(|(number, row)| Serving {
            number,
            // The places come first: what ends first takes no code away.
            glasses: places(row)
                .zip(codes.by_ref())
                .map(|(place, code)| (code, place))
                .collect(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_glass_has_a_code_of_its_own() {
        for (kind, meads) in [(Kind::Triangle, 2), (Kind::Ranking, 6)] {
            let all = servings(kind, meads, 100, 7);
            assert_eq!(all.len(), 100);
            let codes: Vec<i32> = all
                .iter()
                .flat_map(|one| one.glasses.iter().map(|(code, _)| *code))
                .collect();
            assert_eq!(codes.iter().collect::<BTreeSet<_>>().len(), codes.len());
        }
        assert!(servings(Kind::Shared, 3, 0, 7).is_empty());
    }

    #[test]
    fn the_odd_glass_is_where_the_other_mead_is() {
        for serving in servings(Kind::Triangle, 2, 24, 11) {
            let odd = serving.odd().unwrap();
            let mead = |code: i32| {
                serving
                    .glasses
                    .iter()
                    .find(|(of, _)| *of == code)
                    .unwrap()
                    .1
            };
            let others = serving.glasses.iter().filter(|(code, _)| *code != odd);
            assert!(others.clone().all(|(_, other)| *other != mead(odd)));
            assert_eq!(others.count(), 2);
        }
    }
}

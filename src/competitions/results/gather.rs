//! From rows to what results are reckoned from. Nothing here reads whose an entry is.

use std::collections::{BTreeMap, BTreeSet};

use sqlx::PgConnection;

use super::model::{FlightRow, Gathered, Poured, SheetRow};
use super::store;
use crate::competitions::flights::model::Kind;
use crate::competitions::model::{Category, CategoryId, Competition, FlightId};
use crate::competitions::store as competitions;
use crate::engine::contest::frozen::{self, Inputs, Mark};
use crate::engine::contest::rules::{Rules, Section};
use crate::engine::contest::sheet::Sheet;
use crate::web::viewer::MemberId;

/// Gathers everything as it stands now.
///
/// # Errors
/// When the database does not answer.
pub async fn gather(
    conn: &mut PgConnection,
    competition: &Competition,
) -> Result<Gathered, sqlx::Error> {
    let id = competition.id;
    let categories = competitions::categories(conn, id).await?;
    let entries = store::entries(conn, id).await?;
    let flights = store::flights(conn, id).await?;
    let poured = store::poured(conn, id).await?;
    let sheets = store::sheets(conn, id).await?;
    let drawn_number = store::drawn(conn, id).await?;
    let judges: BTreeSet<i64> = sheets.iter().map(|row| row.judge.0).collect();
    let judges: Vec<MemberId> = judges.into_iter().map(MemberId).collect();
    let names = Names::of(&categories);
    let inputs = Inputs {
        ties: competition.rules.ties.clone(),
        categories: names.judged(&entries, &flights),
        entries: entries
            .iter()
            .map(|(code, category)| frozen::Entry {
                code: code.clone(),
                category: names.number(*category),
            })
            .collect(),
        flights: flights
            .iter()
            .map(|row| {
                let marks = marks(&competition.rules, row.id, &sheets, &judges);
                flight(row, &poured, &names, marks)
            })
            .collect(),
        drawn_number,
    };
    Ok(Gathered {
        inputs: inputs.in_order(),
        flights,
        sheets,
        judges,
    })
}

/// Categories by the number that they have on every page.
struct Names<'a>(BTreeMap<CategoryId, &'a Category>);

impl Names<'_> {
    fn of(categories: &[Category]) -> Names<'_> {
        Names(categories.iter().map(|one| (one.id, one)).collect())
    }

    fn number(&self, category: CategoryId) -> u32 {
        let found = self.0.get(&category);
        found.map_or(0, |one| one.place.unsigned_abs())
    }

    /// Those in which something was judged.
    fn judged(
        &self,
        entries: &[(String, CategoryId)],
        flights: &[FlightRow],
    ) -> Vec<frozen::Category> {
        let own = entries.iter().map(|(_, category)| *category);
        let used: BTreeSet<CategoryId> = own
            .chain(flights.iter().filter_map(|one| one.category))
            .collect();
        let used = used.iter().filter_map(|category| self.0.get(category));
        used.map(|one| frozen::Category {
            number: one.place.unsigned_abs(),
            name: one.name.clone(),
        })
        .collect()
    }
}

fn flight(
    row: &FlightRow,
    poured: &[Poured],
    names: &Names<'_>,
    marks: Vec<Mark>,
) -> frozen::Flight {
    let kind = match row.kind {
        Kind::First => frozen::Kind::First,
        Kind::Final => frozen::Kind::Final,
        Kind::Best => frozen::Kind::Best,
    };
    let own = poured.iter().filter(|one| one.flight == row.id);
    let codes: Vec<String> = own.map(|one| one.code.clone()).collect();
    // An entry that was taken out since it was poured has no place any more, and judges' orders close up.
    let stays = |code: &String| codes.contains(code);
    let orders = row.orders.iter();
    let agreed = row.agreed.entries.iter();
    frozen::Flight {
        number: row.number.unsigned_abs(),
        kind,
        category: row.category.map(|category| names.number(category)),
        agreed: agreed.filter(|one| stays(&one.code)).cloned().collect(),
        orders: orders
            .map(|order| order.iter().filter(|code| stays(code)).cloned().collect())
            .collect(),
        marks,
        codes,
    }
}

/// The section that decides between equals: taste, or the one with the most points where there is none of that name.
pub fn deciding_section(rules: &Rules) -> Option<&Section> {
    let taste = rules.sections.iter().find(|section| section.key == "taste");
    // Of equal ones the first.
    let heaviest = || {
        rules
            .sections
            .iter()
            .rev()
            .max_by_key(|section| section.most)
    };
    taste.or_else(heaviest)
}

fn marks(rules: &Rules, flight: FlightId, sheets: &[SheetRow], judges: &[MemberId]) -> Vec<Mark> {
    let section = deciding_section(rules);
    let of_section = |sheet: &Sheet| sheet.sections.get(&section?.key)?.points;
    let own = sheets.iter().filter(|row| row.flight == flight);
    own.filter_map(|row| {
        let at = judges.iter().position(|judge| *judge == row.judge)?;
        Some(Mark {
            judge: u32::try_from(at + 1).ok()?,
            code: row.code.clone(),
            total: row.sheet.total(rules)?,
            section: of_section(&row.sheet).unwrap_or(0),
        })
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn taste_decides_and_else_the_heaviest_section() {
        let key = |rules: &Rules| deciding_section(rules).map(|section| section.key.clone());
        let mut rules = Rules::default();
        assert_eq!(key(&rules).as_deref(), Some("taste"));
        rules.sections.retain(|section| section.key != "taste");
        assert_eq!(key(&rules).as_deref(), Some("smell"));
        for section in &mut rules.sections {
            section.most = 10;
        }
        assert_eq!(key(&rules).as_deref(), Some("look"));
        rules.sections.clear();
        assert_eq!(key(&rules), None);
    }
}

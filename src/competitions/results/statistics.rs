//! How points were spread and how far judges agreed, once the results are out. Nothing of it decided anything. A judge reads how
//! they themselves stood to the others; an organiser reads it of all.

use askama::Template;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::gather::gather;
use super::paths;
use super::shown::{Released, released};
use crate::app::App;
use crate::charts::columns::{Column, Columns, render};
use crate::competitions::flights::store::judges;
use crate::competitions::model::Duty;
use crate::competitions::shown::shell;
use crate::engine::contest::statistics::{Leaning, Spread, agreement, leanings, spread};
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::paths::Routes;
use crate::web::shell::Shell;
use crate::web::units::fixed;
use crate::web::viewer::{Member, MemberId};

/// Binds the handlers.
pub(super) fn bind(routes: Routes<App>) -> Routes<App> {
    routes.on(paths::STATISTICS, show)
}

/// One table.
struct TableLine {
    flight: u32,
    judges: usize,
    entries: usize,
    concordance: String,
    apart: String,
    widest: u32,
}

#[derive(Template)]
#[template(path = "competitions/statistics.html")]
struct StatisticsPage {
    shell: Shell,
    title: String,
    results_url: String,
    /// How totals were spread, in a sentence; empty without a sheet.
    spread: String,
    chart_svg: String,
    bands: Vec<(String, usize)>,
    tables: Vec<TableLine>,
    /// How judges stood to the others of their tables, a line for each.
    leanings: Vec<String>,
}

/// "10 sheets of at most 50 points: from 20 to 42 …".
fn in_a_sentence(spread: &Spread, most: u32) -> String {
    let sheets = match spread.count {
        1 => "One sheet".to_owned(),
        count => format!("{count} sheets"),
    };
    let [low, _, high] = spread.quartiles.map(|points| fixed(points, 1));
    format!(
        "{sheets} of at most {most} points: from {} to {}, on average {}; half of them lie from {low} to {high}.",
        spread.least,
        spread.most,
        fixed(spread.mean, 1)
    )
}

/// "0 to 4", the last one with its end.
fn edges(from: u32, to: u32, is_last: bool) -> String {
    match is_last {
        true => format!("{from} to {to}"),
        false if to == from + 1 => from.to_string(),
        false => format!("{from} to {}", to.saturating_sub(1)),
    }
}

fn picture(spread: &Spread) -> String {
    let last = spread.columns.len().saturating_sub(1);
    let columns = spread.columns.iter().enumerate();
    render(&Columns {
        prefix: "totals".to_owned(),
        title: "How the totals of all sheets were spread".to_owned(),
        description: format!(
            "{} sheets, from {} to {} points, half of them at {} or more.",
            spread.count,
            spread.least,
            spread.most,
            fixed(spread.quartiles[1], 1)
        ),
        columns: columns
            .map(|(at, (from, to, count))| Column {
                words: edges(*from, *to, at == last),
                count: *count,
            })
            .collect(),
    })
}

/// "1.4 more generous", "0.8 stricter".
fn leaning(above: f64) -> String {
    let size = fixed(above.abs(), 1);
    match above {
        _ if size == "0.0" => "as the others".to_owned(),
        above if above > 0.0 => format!("{size} more generous"),
        _ => format!("{size} stricter"),
    }
}

/// Leanings with names: all of them for an organiser, one's own for a judge.
async fn named(
    conn: &mut PgConnection,
    released: &Released,
    (of, numbers): (&[Leaning], &[MemberId]),
) -> Result<Vec<String>, Error> {
    let opened = &released.opened;
    let all = opened.has(Duty::Organiser);
    let names = judges(conn, opened.competition.id).await?;
    let line = |one: &Leaning| {
        let index = usize::try_from(one.judge).ok()?.checked_sub(1)?;
        let judge = *numbers.get(index)?;
        let name = match judge == opened.viewer {
            true => "you".to_owned(),
            false => names
                .iter()
                .find(|one| one.judge == judge)
                .map_or("a former judge".to_owned(), |one| one.name.clone()),
        };
        let sheets = match one.sheets {
            1 => "one sheet".to_owned(),
            several => format!("{several} sheets"),
        };
        let told = format!("{name}: {}, over {sheets}", leaning(one.above));
        (all || judge == opened.viewer).then_some(told)
    };
    Ok(of.iter().filter_map(line).collect())
}

async fn show(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let released = released(&mut conn, &member, &id).await?;
    let competition = released.competition();
    let flights = &released.frozen.inputs.flights;
    let numbers = gather(&mut conn, competition).await?.judges;
    let of = leanings(flights);
    let named = named(&mut conn, &released, (&of, &numbers)).await?;
    drop(conn);
    let totals = flights.iter().flat_map(|flight| &flight.marks);
    let totals: Vec<u32> = totals.map(|mark| mark.total).collect();
    let rules = &competition.rules;
    let spread = spread(&totals, rules.most());
    let in_band = |words: &str| {
        let own = |total: &&u32| rules.band(**total).is_some_and(|band| band.words == words);
        totals.iter().filter(own).count()
    };
    let tables = flights.iter().filter_map(agreement).map(|one| TableLine {
        flight: one.flight,
        judges: one.judges,
        entries: one.entries,
        concordance: one
            .concordance
            .map_or("told nothing apart".to_owned(), |w| fixed(w, 2)),
        apart: fixed(one.apart, 1),
        widest: one.widest,
    });
    page(&StatisticsPage {
        title: competition.title.clone(),
        results_url: app.site.base().link(&paths::RESULTS.with(&[&id])),
        chart_svg: spread.as_ref().map(picture).unwrap_or_default(),
        spread: spread
            .as_ref()
            .map(|spread| in_a_sentence(spread, rules.most()))
            .unwrap_or_default(),
        bands: rules
            .bands
            .iter()
            .map(|band| (band.words.clone(), in_band(&band.words)))
            .collect(),
        tables: tables.collect(),
        leanings: named,
        shell: shell(&app, &member),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_leaning_is_told_by_its_side() {
        let told = [1.44, -0.8, 0.04, -0.04].map(leaning);
        let wanted = [
            "1.4 more generous",
            "0.8 stricter",
            "as the others",
            "as the others",
        ];
        assert_eq!(told, wanted);
    }

    #[test]
    fn the_last_column_has_its_end() {
        assert_eq!(edges(0, 5, false), "0 to 4");
        assert_eq!(edges(2, 3, false), "2");
        assert_eq!(edges(45, 50, true), "45 to 50");
    }
}

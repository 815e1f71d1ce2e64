//! How fast the program serves, how much it takes, and what it bears: each rate beside that of a bare program with the same
//! libraries, measured in turns in the same run.
//!
//! `cargo bench --bench serving` prints a table. It needs `wrk` (a general load tool; Debian's package of that name) and a
//! machine that does nothing else. `MUSTWRIGHT_SECONDS` says how long each measurement lasts (10), of which there are three.

#[path = "../../support/mod.rs"]
#[expect(dead_code, unused_imports, reason = "the tests use the rest")]
mod support;

mod bare;
mod bearing;
mod load;
mod program;
#[path = "../seed.rs"]
mod seed;
mod weight;

use load::{Load, Rate};
use program::Program;
use support::{Browser, Club, a_member};

/// Recipes of the club while rates are measured.
const RECIPES: i32 = 1_000;

/// One line of the table.
pub struct Line {
    pub what: String,
    pub is: String,
    pub goal: String,
    pub met: bool,
}

impl Line {
    /// A number that should not be above a goal.
    pub fn at_most(what: &str, is: f64, goal: f64, unit: &str) -> Line {
        Line {
            what: what.to_owned(),
            is: format!("{is:.1} {unit}"),
            goal: format!("at most {goal} {unit}"),
            met: is <= goal,
        }
    }
}

fn print(lines: &[Line]) {
    println!("\n| what | measured | goal | |\n|---|---|---|---|");
    for line in lines {
        let met = if line.met { "met" } else { "missed" };
        println!("| {} | {} | {} | {met} |", line.what, line.is, line.goal);
    }
}

/// The rate of a request beside the bare program's, in turns; the middle of three.
fn beside(what: &str, share: f64, ours: &Load, bare: &Load) -> [Line; 2] {
    let mut rates: Vec<(Rate, Rate)> = (0..3).map(|_| (bare.run(), ours.run())).collect();
    rates.sort_by(|a, b| {
        let of = |(bare, ours): &(Rate, Rate)| ours.per_second / bare.per_second;
        of(a).total_cmp(&of(b))
    });
    let (bare, ours) = &rates[1];
    let is = ours.per_second / bare.per_second;
    [
        Line {
            what: what.to_owned(),
            is: format!(
                "{:.0}/s beside {:.0}/s: {:.0} %",
                ours.per_second,
                bare.per_second,
                100.0 * is
            ),
            goal: format!("at least {:.0} %", 100.0 * share),
            met: is >= share,
        },
        Line::at_most(
            &format!("{what}: p99 of 32 connections"),
            ours.p99_ms,
            10.0,
            "ms",
        ),
    ]
}

async fn rates(club: &Club, program: &Program, browser: &Browser) -> Vec<Line> {
    let cookies = browser.cookie_line();
    let bare = bare::start(club).await;
    let list = bare::load(&bare, club).await;
    let sheet: String = sqlx::query_scalar(
        "select public_id from recipes where visibility = 'club' and id < 360 order by id desc limit 1",
    )
    .fetch_one(club.pool())
    .await
    .expect("a recipe of the club");
    let get = |path: &str| Load::get(&program.url(path), &cookies);
    let mut lines = Vec::new();
    lines.extend(beside(
        "list of recipes, signed in",
        0.6,
        &get("/recipes"),
        &list,
    ));
    lines.extend(beside(
        "sheet of a recipe",
        0.6,
        &get(&format!("/recipes/{sheet}")),
        &list,
    ));
    let edit = Load::post(
        &program.url("/recipes/workbench"),
        &cookies,
        &load::a_recipe(),
    );
    lines.extend(beside("recalculation of a recipe", 0.4, &edit, &list));
    lines.push(Line::at_most(
        "memory under this load",
        program.most_mb(),
        150.0,
        "MB",
    ));
    lines
}

#[tokio::main]
async fn main() {
    if let Some(url) = std::env::var_os(bare::SETTING) {
        return bare::serve(&url.to_string_lossy()).await;
    }
    let club = Club::open().await;
    seed::club(&mut club.database.owner().await, RECIPES).await;
    let ada = a_member().of(&club).await;
    // The crowd is somebody else: of one member's sessions only the newest twenty stay.
    let bo = a_member().named("Bo").of(&club).await;
    let mut lines = Vec::new();
    let program = Program::on(&club.database).await;
    let browser = program.browser();
    let page = browser.sign_in(&ada.name, &ada.password).await;
    assert_eq!(page.status, 303, "{}", page.text);
    lines.extend(program.idle(&browser).await);
    lines.extend(rates(&club, &program, &browser).await);
    // What comes later takes long, and may end it.
    print(&lines);
    lines.extend(weight::of_pages(&program, &browser).await);
    lines.extend(bearing::half_open(&program, &browser).await);
    drop(program);
    let program = Program::on(&club.database).await;
    let browser = program.browser();
    browser.sign_in(&ada.name, &ada.password).await;
    lines.extend(bearing::sign_ins(&program, &browser, &bo).await);
    drop(program);
    lines.extend(program::starts(&club.database).await);
    print(&lines);
}

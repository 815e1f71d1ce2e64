//! The shopping list of a recipe, as read and printed, with what to have ready and which evenings are long.

use askama::Template;
use axum::extract::{Path, Query, State};

use super::method_pages::{NumberQuery, links, sheet_url};
use super::numbers::shopping::{Shopping, list};
use super::numbers::steps::{StepLine, dated_steps, long_and_short};
use super::numbers::tools::tools;
use super::numbers::{Links, Piece, weighed_view};
use super::opened::open;
use crate::app::App;
use crate::web::money::Currency;
use crate::web::pages::{Answer, page};
use crate::web::shell::{Nav, Shell};
use crate::web::units;
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "recipes/shopping.html")]
struct ShoppingPage {
    shell: Shell,
    recipe_title: String,
    sheet_url: String,
    which: String,
    lead: Vec<Piece>,
    mixing_day: String,
    shopping: Shopping,
    currency: Currency,
    tools: Vec<Vec<Piece>>,
    steps: Vec<StepLine>,
    long_and_short: String,
    links: Links,
}

impl ShoppingPage {
    /// A price as it is printed.
    fn money(&self, cost: &f64) -> String {
        units::fixed(*cost, self.currency.decimals())
    }
}

/// The list at the recipe's own volume or another.
pub(super) async fn shopping(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(query): Query<NumberQuery>,
) -> Answer {
    let typed = query.volume.unwrap_or_default();
    let mixed = query.mixed.unwrap_or_default();
    let opened = open(&app, &member, &id, query.revision, &typed, &mixed).await?;
    let links = links(
        &app,
        &opened.recipe,
        &opened.revision,
        opened.wanted,
        opened.mixing_day,
    );
    let view = weighed_view(&opened.document, &opened.rounded, &opened.reader);
    let (unit, numbers) = (member.settings.units, &opened.rounded.weighed);
    let volume = numbers.whole.as_ref();
    let volume = volume.map(|whole| format!("{} of must", units::volume(whole.volume_l, unit)));
    let which = [Some(format!("revision {}", opened.revision.number)), volume];
    let steps = dated_steps(&opened.document, numbers, unit, opened.mixing_day);
    page(&ShoppingPage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Recipes),
        sheet_url: sheet_url(&app, &opened),
        which: which.into_iter().flatten().collect::<Vec<_>>().join(", "),
        lead: to_pages(view.lead, &links),
        mixing_day: opened
            .mixing_day
            .map_or(String::new(), |day| day.format("%A %-d %B %Y").to_string()),
        currency: app.site.currency(),
        shopping: list(&opened.document, numbers, &opened.reader),
        tools: tools(&opened.document, numbers, unit)
            .into_iter()
            .map(|tool| to_pages(tool, &links))
            .collect(),
        long_and_short: long_and_short(&steps),
        steps,
        recipe_title: opened.revision.title,
        links,
    })
}

/// Figures that lead to the page of their number: no method stands on this one.
fn to_pages(pieces: Vec<Piece>, links: &Links) -> Vec<Piece> {
    pieces
        .into_iter()
        .map(|piece| Piece {
            href: match piece.href.strip_prefix("#method-") {
                Some(key) => links.of(key),
                None => piece.href,
            },
            text: piece.text,
        })
        .collect()
}

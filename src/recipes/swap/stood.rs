//! What stood in a row, in figures: those that nobody knows better stand for what comes, and the page says so.

use super::Place;
use super::asked::Asked;
use crate::catalogue::club::ClubCatalogue;
use crate::engine::recipe::{Composition, Ingredient, Kind, Nutrient, Yeast};
use crate::recipes::forms::check::{FIGURES, PARTS, check, spread_text};
use crate::recipes::forms::quantity::Quantity;
use crate::recipes::forms::{Group, NONE, Row, Workbench};
use crate::web::units::Units;

/// A thing as the recipe has it.
pub(super) struct Stood {
    thing: Thing,
    units: Units,
}

enum Thing {
    Item(Ingredient),
    Yeast(Yeast),
    Feed(Nutrient),
}

/// What stands at a place, as far as the form reads.
pub(super) fn stood(
    form: &Workbench,
    place: &Place,
    units: Units,
    catalogue: &ClubCatalogue,
) -> Option<Stood> {
    let checked = check(form, units, catalogue);
    let recipe = &checked.recipe;
    let at = checked.place_of(place.group, &place.key)?;
    let thing = match place.group {
        Group::Honey | Group::Other => Thing::Item(recipe.ingredients.get(at)?.clone()),
        Group::Yeast => Thing::Yeast(recipe.yeasts.get(at)?.clone()),
        Group::Feed => Thing::Feed(recipe.nutrients.get(at)?.clone()),
        Group::Step | Group::Salt => return None,
    };
    Some(Stood { thing, units })
}

/// A column of numbers.
type Cell = (&'static str, &'static str, Option<f64>);

impl Stood {
    /// Writes what was typed, and for the rest what stood there, into a row of one's own.
    pub(super) fn fill(&self, row: &mut Row, group: Group, asked: &Asked) {
        row.set("name", asked.text("name"));
        let typed = |column: &str| !asked.text(column).trim().is_empty();
        match &self.thing {
            Thing::Item(item) => {
                row.set("kind", item.kind.as_str());
                if let Some(form) = item.form {
                    row.set("form", form.as_str());
                }
                self.made_of(row, item, asked);
            }
            Thing::Yeast(yeast) => {
                let [coldest, warmest] = [0, 1].map(|end| {
                    yeast
                        .temperature_c
                        .and_then(|range| range.get(end).copied())
                });
                self.write(
                    row,
                    &[
                        (
                            "tolerance",
                            "/yeasts/0/tolerance_abv_percent",
                            Some(yeast.tolerance_abv_percent),
                        ),
                        ("coldest", "/temperature_c", coldest),
                        ("warmest", "/temperature_c", warmest),
                    ],
                );
                row.set("need", yeast.nitrogen_need.as_str());
            }
            // Half of what a label says is no default for the other half.
            Thing::Feed(_) if typed("ammonium") || typed("organic") => {}
            Thing::Feed(feed) => self.write(
                row,
                &[
                    (
                        "ammonium",
                        "/ammonium_yan_mg_per_g",
                        Some(feed.ammonium_yan_mg_per_g),
                    ),
                    (
                        "organic",
                        "/organic_yan_mg_per_g",
                        Some(feed.organic_yan_mg_per_g),
                    ),
                ],
            ),
        }
        for column in [
            "water",
            "fermentable",
            "acid",
            "tolerance",
            "need",
            "ammonium",
            "organic",
        ] {
            if typed(column) && group.columns().contains(&column) {
                row.set(column, asked.text(column));
            }
        }
    }

    fn write(&self, row: &mut Row, cells: &[Cell]) {
        for (column, place, value) in cells.iter().copied() {
            if let Some(value) = value {
                row.set(column, Quantity::at(place).write(value, self.units));
            }
        }
    }

    /// The make-up: of a honey its water is enough; of anything else its sugar moves, and water is the rest.
    fn made_of(&self, row: &mut Row, item: &Ingredient, asked: &Asked) {
        let typed = |column: &str| !asked.text(column).trim().is_empty();
        let nothing = Composition::default();
        let parts = match &item.composition {
            Some(parts) => parts,
            None if ["water", "fermentable", "acid"].into_iter().any(typed) => &nothing,
            None => {
                row.set("water", NONE);
                return;
            }
        };
        let values = [
            parts.water,
            parts.fermentable,
            parts.unfermentable,
            parts.insoluble,
        ];
        for (part, value) in PARTS.into_iter().zip(values) {
            let left = match (item.kind, part) {
                (Kind::Honey, _) => typed("water"),
                (_, "water") => typed("fermentable") || item.composition.is_none(),
                _ => false,
            };
            if !left {
                self.write(row, &[(part, part, Some(value))]);
            }
        }
        let figures = [
            parts.yan_mg_per_kg,
            parts.ta_g_per_kg,
            parts.density_kg_per_l,
        ];
        for ((column, key), value) in FIGURES.into_iter().zip(figures) {
            self.write(row, &[(column, key, value)]);
        }
        row.set("spread", spread_text(parts.spread));
    }
}

//! Rows of honeys and other ingredients, their amounts and make-up, and what fills up.

use super::super::{Group, Row, cell_id};
use super::{Checker, filler_word};
use crate::catalogue::{self, Entry, catalogue};
use crate::engine::recipe::{Amount, Composition, CompositionSpread, Form, Ingredient, Kind, When};
use crate::web::units::{
    Bare, TypedAmount, parse_amount, parse_number_within, parse_percent, parse_price,
};

/// A checked form.
impl Checker<'_> {
    pub(super) fn item(&mut self, group: Group, row: &Row) {
        if row.is_blank(&["pick", "name", "amount", "water", "fermentable", "remark"]) {
            return;
        }
        let id = |column: &str| cell_id(group, &row.key, column);
        let at = format!("/ingredients/{}", self.out.recipe.ingredients.len());
        let entry = catalogue().find(row.cell("pick"));
        if entry.is_none() && !row.cell("pick").is_empty() && row.cell("pick") != "own" {
            self.refuse(id("pick"), "Choose one of the list, or your own.");
        }
        let kind = match group {
            Group::Honey => Kind::Honey,
            _ => match entry {
                Some(entry) => Kind::from_word(entry.kind.word()).unwrap_or(Kind::Other),
                None => match Kind::from_word(row.cell("kind")) {
                    Some(kind) => kind,
                    None => {
                        self.refuse(id("kind"), "Choose what kind of thing it is.");
                        Kind::Other
                    }
                },
            },
        };
        let name = match (row.cell("name").trim(), entry) {
            ("", Some(entry)) => entry.name.clone(),
            ("", None) => {
                self.refuse(id("name"), "Give it a name.");
                String::new()
            }
            (typed, _) => typed.to_owned(),
        };
        let when = match (row.cell("when"), entry) {
            ("", Some(entry)) => When::from_word(entry.when.word()).unwrap_or(When::Must),
            ("", None) => When::Must,
            (word, _) => When::from_word(word).unwrap_or_else(|| {
                self.refuse(id("when"), "Choose when it goes in.");
                When::Must
            }),
        };
        let form = match row.cell("form") {
            "" => entry
                .and_then(|entry| entry.form)
                .and_then(|form| Form::from_word(form.word())),
            word => {
                let form = Form::from_word(word);
                if form.is_none() {
                    self.refuse(id("form"), "Choose the form it comes in.");
                }
                form
            }
        };
        let amount = self.amount(group, row, kind, &at);
        let days = self.optional(
            &id("days"),
            row.cell("days"),
            &format!("{at}/days"),
            |text| {
                parse_number_within(
                    text.trim()
                        .trim_end_matches("days")
                        .trim_end_matches('d')
                        .trim(),
                    0.0,
                    3650.0,
                )
            },
        );
        let units = self.units;
        let price = self.optional(
            &id("price"),
            row.cell("price"),
            &format!("{at}/price_per_kg"),
            |text| parse_price(text, units),
        );
        let composition = self.composition(group, row, kind, entry, &at);
        self.place(at, id("pick"));
        self.out.item_rows.push((group, row.key.clone()));
        self.out.recipe.ingredients.push(Ingredient {
            key: entry.map(|entry| entry.key.clone()),
            name,
            kind,
            form,
            days,
            when,
            amount,
            composition,
            price_per_kg: price,
            note: Some(row.cell("remark").trim().to_owned()).filter(|note| !note.is_empty()),
        });
    }

    pub(super) fn amount(
        &mut self,
        group: Group,
        row: &Row,
        kind: Kind,
        at: &str,
    ) -> Option<Amount> {
        let field = cell_id(group, &row.key, "amount");
        let text = row.cell("amount");
        self.place(format!("{at}/amount"), field.clone());
        if text.trim().is_empty() && self.form.text("filler") == filler_word(group, row) {
            return None;
        }
        if text.trim().is_empty() && group != Group::Honey {
            self.refuse(field, "Write how much, such as 2.5 kg, 4 L or 0.5 g/L.");
            return None;
        }
        match parse_amount(text, self.units, bare(kind)) {
            Ok(amount) => {
                let (amount, key) = match amount {
                    TypedAmount::Share(share) => (Amount::Share(share), "share"),
                    TypedAmount::Kg(kg) => (Amount::Kg(kg), "kg"),
                    TypedAmount::Litres(litres) => (Amount::Litres(litres), "l"),
                    TypedAmount::GramsPerLitre(dose) => (Amount::GramsPerLitre(dose), "g_per_l"),
                };
                if !text.trim().is_empty() {
                    self.out
                        .recipe
                        .typed
                        .insert(format!("{at}/amount/{key}"), text.trim().to_owned());
                }
                Some(amount)
            }
            Err(fault) => {
                self.refuse(field, fault);
                None
            }
        }
    }

    /// What it is made of: the typed percentages; else the catalogue's. One percentage that is missing is the rest.
    pub(super) fn composition(
        &mut self,
        group: Group,
        row: &Row,
        kind: Kind,
        entry: Option<&Entry>,
        at: &str,
    ) -> Option<Composition> {
        const PARTS: [&str; 4] = ["water", "fermentable", "unfermentable", "insoluble"];
        let id = |column: &str| cell_id(group, &row.key, column);
        let at = format!("{at}/composition");
        let mut typed = [None; 4];
        for (part, value) in PARTS.into_iter().zip(&mut typed) {
            let read = |text: &str| parse_percent(text, 0.0, 100.0);
            *value = self
                .optional(&id(part), row.cell(part), &format!("{at}/{part}"), read)
                .map(|p| p / 100.0);
        }
        let number = |checker: &mut Self, column: &str, key: &str, low: f64, high: f64| {
            checker.optional(
                &id(column),
                row.cell(column),
                &format!("{at}/{key}"),
                |text| parse_number_within(text, low, high),
            )
        };
        let yan = number(self, "yan", "yan_mg_per_kg", 0.0, 220_000.0);
        let acid = number(self, "acid", "ta_g_per_kg", -3_000.0, 3_000.0);
        let density = number(self, "density", "density_kg_per_l", 0.3, 3.0);
        self.place(at, id("fermentable"));
        let known = typed.iter().filter(|value| value.is_some()).count();
        let parts = match (known, typed) {
            (0, _) => entry.and_then(|entry| entry.composition),
            (1, [Some(water), ..]) if kind == Kind::Honey => Some(
                catalogue::Composition::of_honey(water, share_that_ferments(entry)),
            ),
            (3 | 4, _) => Some(rest_filled(typed)),
            _ => {
                let first = PARTS
                    .iter()
                    .zip(typed)
                    .find(|(_, value)| value.is_none())
                    .map_or("water", |(part, _)| *part);
                self.refuse(
                    id(first),
                    "Write at least three of the four parts; the missing one is the rest.",
                );
                None
            }
        }?;
        let spread = spread_of(row.cell("spread")).or_else(|| {
            let spread = entry.filter(|_| known == 0)?.spread?;
            Some(CompositionSpread {
                water: Some(spread.water),
                fermentable: Some(spread.fermentable),
            })
        });
        Some(Composition {
            water: parts.water,
            fermentable: parts.fermentable,
            unfermentable: parts.unfermentable,
            insoluble: parts.insoluble,
            yan_mg_per_kg: yan.or_else(|| entry.and_then(|entry| entry.yan_mg_per_kg)),
            ta_g_per_kg: acid.or_else(|| entry.and_then(|entry| entry.ta_g_per_kg)),
            density_kg_per_l: density.or_else(|| entry.filter(|_| known == 0)?.density_kg_per_l),
            spread,
        })
    }

    pub(super) fn filler(&mut self) {
        let chosen = self.form.text("filler");
        self.place("/filler", "filler");
        if chosen.is_empty() || chosen == "water" {
            return;
        }
        let row = self
            .out
            .item_rows
            .iter()
            .position(|(group, key)| chosen == format!("{}-{key}", group.word()));
        match row.and_then(|at| self.out.recipe.ingredients.get(at)) {
            Some(item) => self.out.recipe.filler = Some(item.name.clone()),
            None => self.refuse(
                "filler",
                "Choose what fills up: water, or an ingredient of the recipe.",
            ),
        }
    }
}

/// What a bare number means in the amount of such an ingredient.
fn bare(kind: Kind) -> Bare {
    match kind {
        Kind::Honey | Kind::Fruit | Kind::Syrup | Kind::Sugar | Kind::Malt | Kind::Other => {
            Bare::LargeMass
        }
        Kind::Juice => Bare::Volume,
        _ => Bare::Grams,
    }
}

/// Part of the solids that ferments, by the catalogue's own reckoning of a honey.
fn share_that_ferments(entry: Option<&Entry>) -> f64 {
    let of = |parts: catalogue::Composition| parts.fermentable / (1.0 - parts.water);
    entry
        .and_then(|entry| entry.composition)
        .map(of)
        .filter(|share| share.is_finite())
        .unwrap_or(0.89)
}

/// Three or four parts; a missing one is the rest.
fn rest_filled(typed: [Option<f64>; 4]) -> catalogue::Composition {
    let rest = (1.0 - typed.iter().flatten().sum::<f64>()).max(0.0);
    let [water, fermentable, unfermentable, insoluble] = typed.map(|value| value.unwrap_or(rest));
    catalogue::Composition {
        water,
        fermentable,
        unfermentable,
        insoluble,
    }
}

/// A spread as it was carried through the form.
fn spread_of(text: &str) -> Option<CompositionSpread> {
    let (water, fermentable) = text.split_once(';')?;
    Some(CompositionSpread {
        water: water.parse().ok(),
        fermentable: fermentable.parse().ok(),
    })
}

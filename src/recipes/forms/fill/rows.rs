//! Rows from the lists of a document: what differs from the catalogue is written, what does not is left to it.

use super::{Filler, same};
use crate::catalogue::Entry;
use crate::engine::recipe::{Amount, Composition, Ingredient, Kind, Nutrient, When, Yeast};
use crate::recipes::forms::check::{
    FIGURES, PARTS, kind_of, make_up, spread_text, usual_density, usual_form, usual_spread,
};
use crate::recipes::forms::quantity::{parts_of, understood_amount, write_amount};
use crate::recipes::forms::{Group, NONE, Row};

impl Filler<'_> {
    pub(super) fn ingredient(&mut self, group: Group, index: usize, item: &Ingredient) -> String {
        let at = format!("/ingredients/{index}");
        let entry = item
            .key
            .as_deref()
            .and_then(|key| self.catalogue.find(key))
            .filter(|entry| kind_of(entry) == item.kind);
        let mut row = Row::default();
        let picked = entry.map(|entry| (&*entry.key, &*entry.name));
        self.named(&mut row, picked, item.key.as_deref(), &item.name, &at);
        row.set("kind", item.kind.as_str());
        if let (Some(_), Some(told)) = (entry, self.recipe.typed.get(&format!("{at}/kind"))) {
            row.set("kind", told.as_str());
        }
        row.set("when", item.when.as_str());
        row.set(
            "form",
            match item.form {
                Some(form) => form.as_str(),
                None if entry.and_then(usual_form).is_some() => NONE,
                None => "",
            },
        );
        if let Some(days) = item.days {
            row.set("days", self.text(&format!("{at}/days"), days));
        }
        if let Some(amount) = item.amount {
            row.set("amount", self.amount(item, amount, &at));
        }
        if let Some(price) = item.price_per_kg {
            let place = format!("{at}/price_per_kg");
            row.set("price", self.text(&place, price));
        }
        row.set("remark", item.note.as_deref().unwrap_or_default());
        match &item.composition {
            Some(parts) => self.made_of(&mut row, item, parts, entry, &at),
            None => self.made_of_nothing(&mut row, entry, &at),
        }
        self.form.put_row(group, row)
    }

    /// What is picked and what it is called; the key that the catalogue does not have goes along unseen.
    fn named(
        &self,
        row: &mut Row,
        picked: Option<(&str, &str)>,
        key: Option<&str>,
        name: &str,
        at: &str,
    ) {
        row.set("pick", picked.map_or("own", |(key, _)| key));
        if picked.is_none() {
            row.set("entry", key.unwrap_or_default());
        }
        let usual = picked.is_some_and(|(_, usual)| usual == name);
        if !usual || self.typed_too(&format!("{at}/name"), name) {
            row.set("name", name);
        }
    }

    /// "None" where it is made of nothing that counts, with what was typed beside it.
    fn made_of_nothing(&self, row: &mut Row, entry: Option<&Entry>, at: &str) {
        let place = |key: &str| format!("{at}/composition/{key}");
        let said = self.typed_too(&place("water"), NONE);
        if said {
            for (column, key) in PARTS.map(|part| (part, part)).into_iter().chain(FIGURES) {
                row.set(column, self.idle(&place(key)));
            }
        } else if entry.is_some_and(|entry| entry.composition.is_some()) {
            row.set("water", NONE);
        }
    }

    fn amount(&self, item: &Ingredient, amount: Amount, at: &str) -> String {
        let (key, value) = parts_of(amount);
        let holds = |text: &&String| {
            let read = understood_amount(text, item.kind, self.units).map(parts_of);
            read.is_ok_and(|(read, number)| read == key && same(number, value))
        };
        let typed = self.recipe.typed.get(&format!("{at}/amount/{key}"));
        if let Some(text) = typed.filter(holds) {
            return text.clone();
        }
        let shares = self
            .recipe
            .ingredients
            .iter()
            .filter(|other| matches!(other.amount, Some(Amount::Share(_))));
        let alone = item.kind == Kind::Honey && item.when == When::Must && shares.count() == 1;
        write_amount(amount, alone, self.units)
    }

    fn made_of(
        &self,
        row: &mut Row,
        item: &Ingredient,
        parts: &Composition,
        entry: Option<&Entry>,
        at: &str,
    ) {
        let at = format!("{at}/composition");
        let values = [
            parts.water,
            parts.fermentable,
            parts.unfermentable,
            parts.insoluble,
        ];
        let place = |part: &str| format!("{at}/{part}");
        // What was typed, where the rest follows from it: nothing, where the catalogue says the same. Else all four.
        let typed = PARTS.map(|part| self.recipe.typed.contains_key(&place(part)));
        let enough = Some(typed).filter(|written| {
            let mut given = values.map(Some);
            for (value, written) in given.iter_mut().zip(written) {
                value.take_if(|_| !written);
            }
            let made = make_up(given, item.kind, entry).ok().flatten();
            made.is_some_and(|made| {
                let made = [
                    made.water,
                    made.fermentable,
                    made.unfermentable,
                    made.insoluble,
                ];
                made.iter()
                    .zip(values)
                    .all(|(one, other)| same(*one, other))
            })
        });
        let written = enough.unwrap_or([true; 4]);
        for ((part, value), written) in PARTS.into_iter().zip(values).zip(written) {
            if written {
                row.set(part, self.text(&place(part), value));
            }
        }
        let parts_typed = written.contains(&true);
        let figures = [
            (
                parts.yan_mg_per_kg,
                entry.and_then(|entry| entry.yan_mg_per_kg),
            ),
            (parts.ta_g_per_kg, entry.and_then(|entry| entry.ta_g_per_kg)),
            (parts.density_kg_per_l, usual_density(entry, parts_typed)),
        ];
        for ((column, key), (value, usual)) in FIGURES.into_iter().zip(figures) {
            let text = self.unless_usual(&place(key), value, usual);
            row.set(column, text);
        }
        if parts.spread != usual_spread(entry, parts_typed) {
            row.set("spread", spread_text(parts.spread));
        }
    }

    /// A number's text, nothing where it is the usual one, "none" where there is none though one is usual.
    fn unless_usual(&self, place: &str, value: Option<f64>, usual: Option<f64>) -> String {
        match (value, usual) {
            (None, None) if !self.typed_too(place, NONE) => String::new(),
            (None, _) => NONE.to_owned(),
            (Some(value), Some(usual))
                if value == usual && !self.recipe.typed.contains_key(place) =>
            {
                String::new()
            }
            (Some(value), _) => self.text(place, value),
        }
    }

    pub(super) fn yeast(&mut self, index: usize, item: &Yeast) {
        let at = format!("/yeasts/{index}");
        let entry = item
            .key
            .as_deref()
            .and_then(|key| self.catalogue.find_yeast(key));
        let mut row = Row::default();
        let picked = entry.map(|entry| (&*entry.key, &*entry.name));
        self.named(&mut row, picked, item.key.as_deref(), &item.name, &at);
        let tolerance = self.unless_usual(
            &format!("{at}/tolerance_abv_percent"),
            Some(item.tolerance_abv_percent),
            entry.map(|entry| entry.tolerance_abv_percent()),
        );
        row.set("tolerance", tolerance);
        let need = item.nitrogen_need.as_str();
        let usual = entry.is_some_and(|entry| entry.nitrogen_need.word() == need);
        if !usual || self.typed_too(&format!("{at}/nitrogen_need"), need) {
            row.set("need", need);
        }
        for (column, end) in [("coldest", 0), ("warmest", 1)] {
            let of = |range: Option<[f64; 2]>| range.and_then(|range| range.get(end).copied());
            let text = self.unless_usual(
                &format!("{at}/temperature_c/{end}"),
                of(item.temperature_c),
                of(entry.map(|entry| entry.temperature_c)),
            );
            row.set(column, text);
        }
        row.set("when", item.when.as_str());
        if let Some(attenuation) = item.attenuation_percent {
            row.set("attenuation", attenuation.to_string());
        }
        self.form.put_row(Group::Yeast, row);
    }

    pub(super) fn feed(&mut self, index: usize, item: &Nutrient) {
        let at = format!("/nutrients/{index}");
        let entry = item
            .key
            .as_deref()
            .and_then(|key| self.catalogue.find_feed(key));
        let mut row = Row::default();
        let picked = entry.map(|entry| (&*entry.key, &*entry.name));
        self.named(&mut row, picked, item.key.as_deref(), &item.name, &at);
        for (column, key, value, usual) in [
            (
                "ammonium",
                "ammonium_yan_mg_per_g",
                Some(item.ammonium_yan_mg_per_g),
                entry.map(|entry| entry.ammonium_yan_mg_per_g),
            ),
            (
                "organic",
                "organic_yan_mg_per_g",
                Some(item.organic_yan_mg_per_g),
                entry.map(|entry| entry.organic_yan_mg_per_g),
            ),
            (
                "most",
                "max_g_per_l",
                item.max_g_per_l,
                entry.and_then(|entry| entry.max_g_per_l),
            ),
            ("price", "price_per_kg", item.price_per_kg, None),
            ("share", "share", item.share, None),
        ] {
            let text = self.unless_usual(&format!("{at}/{key}"), value, usual);
            row.set(column, text);
        }
        self.form.put_row(Group::Feed, row);
    }
}

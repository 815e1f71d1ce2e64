//! Yeasts, feeds, vessel, steps.

use std::collections::BTreeMap;

use super::super::{Group, Row, cell_id};
use super::Checker;
use crate::catalogue::{self, catalogue};
use crate::engine::recipe::{
    FeedingLevel, NitrogenNeed, Nutrient, Step, Vessel, WaterReport, Yeast, YeastWhen,
};
use crate::web::units::{
    self, parse_number_within, parse_percent, parse_price, parse_temperature, parse_volume,
};

/// A checked form.
impl Checker<'_> {
    pub(super) fn yeast(&mut self, row: &Row) {
        if row.is_blank(&["pick", "name", "tolerance"]) {
            return;
        }
        let id = |column: &str| cell_id(Group::Yeast, &row.key, column);
        let at = format!("/yeasts/{}", self.out.recipe.yeasts.len());
        let entry = catalogue().find_yeast(row.cell("pick"));
        let name = match (row.cell("name").trim(), entry) {
            ("", Some(entry)) => entry.name.clone(),
            ("", None) => {
                self.refuse(id("name"), "Give the yeast a name.");
                String::new()
            }
            (typed, _) => typed.to_owned(),
        };
        let tolerance = self.optional(
            &id("tolerance"),
            row.cell("tolerance"),
            &format!("{at}/tolerance_abv_percent"),
            |text| parse_percent(text, 1.0, 25.0),
        );
        if tolerance.is_none() && entry.is_none() && row.cell("tolerance").trim().is_empty() {
            self.refuse(
                id("tolerance"),
                "Write at what strength this yeast stops, such as 14 %.",
            );
        }
        let units = self.units;
        let mut degrees = |column: &str, index: usize| {
            self.optional(
                &id(column),
                row.cell(column),
                &format!("{at}/temperature_c/{index}"),
                |text| parse_temperature(text, units),
            )
        };
        let (coldest, warmest) = (degrees("coldest", 0), degrees("warmest", 1));
        let temperature_c = match (coldest, warmest, entry) {
            (None, None, entry) => entry.map(|entry| entry.temperature_c),
            (low, high, entry) => low
                .or(entry.map(|entry| entry.temperature_c[0]))
                .zip(high.or(entry.map(|entry| entry.temperature_c[1])))
                .map(|(low, high)| [low, high]),
        };
        let need = match (row.cell("need"), entry) {
            ("", Some(entry)) => NitrogenNeed::from_word(entry.nitrogen_need.word()),
            ("", None) => Some(NitrogenNeed::Medium),
            (word, _) => NitrogenNeed::from_word(word),
        };
        self.place(at, id("pick"));
        self.out.recipe.yeasts.push(Yeast {
            key: entry.map(|entry| entry.key.clone()),
            name,
            tolerance_abv_percent: tolerance
                .or_else(|| entry.map(catalogue::Yeast::tolerance_abv_percent))
                .unwrap_or(f64::NAN),
            nitrogen_need: need.unwrap_or(NitrogenNeed::Medium),
            temperature_c,
            when: YeastWhen::from_word(row.cell("when")).unwrap_or(YeastWhen::Pitch),
            attenuation_percent: row.cell("attenuation").parse().ok(),
        });
    }

    pub(super) fn feed(&mut self, row: &Row) {
        if row.is_blank(&["pick", "name", "ammonium", "organic"]) {
            return;
        }
        let id = |column: &str| cell_id(Group::Feed, &row.key, column);
        let at = format!("/nutrients/{}", self.out.recipe.nutrients.len());
        let entry = catalogue().find_feed(row.cell("pick"));
        let name = match (row.cell("name").trim(), entry) {
            ("", Some(entry)) => entry.name.clone(),
            ("", None) => {
                self.refuse(id("name"), "Give the feed a name.");
                String::new()
            }
            (typed, _) => typed.to_owned(),
        };
        let units = self.units;
        let mut nitrogen = |column: &str, key: &str| {
            self.optional(
                &id(column),
                row.cell(column),
                &format!("{at}/{key}"),
                |text| parse_number_within(text, 0.0, 1000.0),
            )
        };
        let ammonium = nitrogen("ammonium", "ammonium_yan_mg_per_g");
        let organic = nitrogen("organic", "organic_yan_mg_per_g");
        if entry.is_none() && row.is_blank(&["ammonium", "organic"]) {
            self.refuse(
                id("ammonium"),
                "Write how much nitrogen a gram of it holds, in milligrams.",
            );
        }
        let most = self.optional(
            &id("most"),
            row.cell("most"),
            &format!("{at}/max_g_per_l"),
            |text| units::parse_dose(text, units),
        );
        let price = self.optional(
            &id("price"),
            row.cell("price"),
            &format!("{at}/price_per_kg"),
            |text| parse_price(text, units),
        );
        let share = self.optional(
            &id("share"),
            row.cell("share"),
            &format!("{at}/share"),
            |text| parse_percent(text, 0.0, 100.0),
        );
        self.place(at, id("pick"));
        self.out.feed_rows.push(row.key.clone());
        self.out.recipe.nutrients.push(Nutrient {
            key: entry.map(|entry| entry.key.clone()),
            name,
            ammonium_yan_mg_per_g: ammonium
                .or(entry.map(|entry| entry.ammonium_yan_mg_per_g))
                .unwrap_or(0.0),
            organic_yan_mg_per_g: organic
                .or(entry.map(|entry| entry.organic_yan_mg_per_g))
                .unwrap_or(0.0),
            max_g_per_l: most.or_else(|| entry.and_then(|entry| entry.max_g_per_l)),
            price_per_kg: price,
            share: share.map(|percent| percent / 100.0),
        });
    }

    pub(super) fn feeding_and_vessel(&mut self) {
        let (form, units) = (self.form, self.units);
        self.out.recipe.feeding =
            FeedingLevel::from_word(form.text("feeding")).unwrap_or(FeedingLevel::Usual);
        self.place("/yeasts", "yeast-1-pick");
        self.out.recipe.temperature_c = self.optional(
            "temperature",
            form.text("temperature"),
            "/temperature_c",
            |text| parse_temperature(text, units),
        );
        let brim = self.optional(
            "vessel_brim",
            form.text("vessel_brim"),
            "/vessel/brim_l",
            |text| parse_volume(text, units),
        );
        let headspace = self.optional(
            "vessel_headspace",
            form.text("vessel_headspace"),
            "/vessel/headspace_fraction",
            |text| parse_percent(text, 0.0, 90.0).map(|percent| percent / 100.0),
        );
        let loss = self.optional(
            "vessel_loss",
            form.text("vessel_loss"),
            "/vessel/loss_l",
            |text| parse_volume(text, units),
        );
        let word =
            |name: &str| Some(form.text(name).trim().to_owned()).filter(|text| !text.is_empty());
        let (name, kind) = (word("vessel_name"), word("vessel_kind"));
        match brim {
            Some(brim_l) => {
                self.out.recipe.vessel = Some(Vessel {
                    name,
                    kind,
                    brim_l,
                    wide_mouth: match form.text("vessel_mouth") {
                        "wide" => Some(true),
                        "narrow" => Some(false),
                        _ => None,
                    },
                    headspace_fraction: headspace,
                    loss_l: loss,
                });
            }
            None if form.text("vessel_brim").trim().is_empty() => {
                if name.is_some() || headspace.is_some() || loss.is_some() {
                    self.refuse(
                        "vessel_brim",
                        "Write what the vessel holds filled to the brim, such as 25 L.",
                    );
                }
            }
            None => {}
        }
        if let Ok(report) = serde_json::from_str::<BTreeMap<String, BTreeMap<String, f64>>>(
            form.text("water_report"),
        ) {
            let group = |name: &str| report.get(name).cloned().unwrap_or_default();
            self.out.recipe.water_report = Some(WaterReport {
                ions: group("ions"),
                salts: group("salts"),
            });
        }
    }

    pub(super) fn step(&mut self, row: &Row) {
        if row.is_blank(&["when", "text"]) {
            return;
        }
        let at = format!("/process/{}", self.out.recipe.process.len());
        self.place(at, cell_id(Group::Step, &row.key, "text"));
        self.out.recipe.process.push(Step {
            when: row.cell("when").trim().to_owned(),
            text: row.cell("text").trim().to_owned(),
        });
    }
}

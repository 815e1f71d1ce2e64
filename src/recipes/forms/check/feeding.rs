//! Yeasts, feeds, the must's temperature and the vessel.

use super::items::key_of;
use super::made_of::carried_number;
use super::{Checker, Said};
use crate::catalogue;
use crate::engine::recipe::{FeedingLevel, NitrogenNeed, Nutrient, Vessel, Yeast, YeastWhen};
use crate::recipes::forms::{Group, Row, cell_id};

impl Checker<'_> {
    pub(super) fn yeast(&mut self, row: &Row) {
        const COLUMNS: &[&str] = &["pick", "name", "tolerance", "need", "coldest", "warmest"];
        if row.is_blank(COLUMNS) {
            return;
        }
        let id = |column: &str| cell_id(Group::Yeast, &row.key, column);
        let at = format!("/yeasts/{}", self.out.recipe.yeasts.len());
        let entry = self.catalogue.find_yeast(row.cell("pick"));
        if entry.is_none() && row.cell("pick") != "own" {
            self.refuse(id("pick"), "Choose one of the list, or your own.");
        }
        let name = self.name(Group::Yeast, row, entry.map(|entry| &*entry.name), &at);
        let tolerance = self.optional(
            &id("tolerance"),
            row.cell("tolerance"),
            &format!("{at}/tolerance_abv_percent"),
        );
        if row.cell("pick") == "own" && row.is_blank(&["tolerance"]) {
            self.refuse(
                id("tolerance"),
                "Write at what strength this yeast stops, such as 14 %.",
            );
        }
        let temperature_c = self.range(row, entry.map(|entry| entry.temperature_c), &at);
        let usual_need = entry.map(|entry| entry.nitrogen_need.word());
        self.keep_usual(&format!("{at}/nitrogen_need"), row.cell("need"), usual_need);
        let need = match (row.cell("need"), usual_need) {
            ("", Some(usual)) => NitrogenNeed::from_word(usual),
            ("", None) => Some(NitrogenNeed::Medium),
            (word, _) => NitrogenNeed::from_word(word),
        };
        let need = need.unwrap_or_else(|| {
            self.refuse(id("need"), "Choose how much nitrogen it wants.");
            NitrogenNeed::Medium
        });
        let when = match row.cell("when") {
            "" => Some(YeastWhen::Pitch),
            word => YeastWhen::from_word(word),
        };
        let when = when.unwrap_or_else(|| {
            self.refuse(id("when"), "Choose when it goes in.");
            YeastWhen::Pitch
        });
        self.place(at, id("pick"));
        self.out.yeast_rows.push(row.key.clone());
        self.out.recipe.yeasts.push(Yeast {
            key: key_of(row, entry.map(|entry| &entry.key)),
            name,
            tolerance_abv_percent: tolerance
                .or_else(|| entry.map(catalogue::Yeast::tolerance_abv_percent))
                .unwrap_or(f64::NAN),
            nitrogen_need: need,
            temperature_c,
            when,
            attenuation_percent: carried_number(row.cell("attenuation")),
        });
    }

    /// Lowest and highest temperature; one of them alone goes with the usual other.
    fn range(&mut self, row: &Row, usual: Option<[f64; 2]>, at: &str) -> Option<[f64; 2]> {
        let id = |column: &str| cell_id(Group::Yeast, &row.key, column);
        self.place(format!("{at}/temperature_c"), id("coldest"));
        let mut degrees = |column: &str, index: usize| {
            let pointer = format!("{at}/temperature_c/{index}");
            self.said(&id(column), row.cell(column), &pointer)
        };
        let (coldest, warmest) = (degrees("coldest", 0), degrees("warmest", 1));
        let (low, high) = (
            coldest.or(usual.map(|usual| usual[0])),
            warmest.or(usual.map(|usual| usual[1])),
        );
        match (low, high, coldest, warmest) {
            (Some(low), None, Said::Value(_), Said::Nothing | Said::NotAny) => {
                self.refuse(id("warmest"), "Write the highest temperature too.");
                Some([low, low])
            }
            (None, Some(high), Said::Nothing | Said::NotAny, Said::Value(_)) => {
                self.refuse(id("coldest"), "Write the lowest temperature too.");
                Some([high, high])
            }
            _ => low.zip(high).map(|(low, high)| [low, high]),
        }
    }

    fn name(&mut self, group: Group, row: &Row, usual: Option<&str>, at: &str) -> String {
        match (row.cell("name").trim(), usual) {
            ("", Some(usual)) => usual.to_owned(),
            ("", None) => {
                if row.cell("pick") == "own" {
                    self.refuse(cell_id(group, &row.key, "name"), "Give it a name.");
                }
                String::new()
            }
            (typed, usual) => {
                self.keep_usual(&format!("{at}/name"), typed, usual);
                typed.to_owned()
            }
        }
    }

    pub(super) fn feed(&mut self, row: &Row) {
        const COLUMNS: &[&str] = &[
            "pick", "name", "ammonium", "organic", "most", "share", "price",
        ];
        if row.is_blank(COLUMNS) {
            return;
        }
        let id = |column: &str| cell_id(Group::Feed, &row.key, column);
        let at = format!("/nutrients/{}", self.out.recipe.nutrients.len());
        let entry = self.catalogue.find_feed(row.cell("pick"));
        if entry.is_none() && row.cell("pick") != "own" {
            self.refuse(id("pick"), "Choose one of the list, or your own.");
        }
        let name = self.name(Group::Feed, row, entry.map(|entry| &*entry.name), &at);
        if row.cell("pick") == "own" && row.is_blank(&["ammonium", "organic"]) {
            self.refuse(
                id("ammonium"),
                "Write how much nitrogen a gram of it holds, in milligrams.",
            );
        }
        let mut said = |column: &str, key: &str| {
            self.said(&id(column), row.cell(column), &format!("{at}/{key}"))
        };
        let ammonium = said("ammonium", "ammonium_yan_mg_per_g");
        let organic = said("organic", "organic_yan_mg_per_g");
        let most = said("most", "max_g_per_l");
        let price = said("price", "price_per_kg");
        let share = said("share", "share");
        self.place(at, id("pick"));
        self.out.feed_rows.push(row.key.clone());
        self.out.recipe.nutrients.push(Nutrient {
            key: key_of(row, entry.map(|entry| &entry.key)),
            name,
            ammonium_yan_mg_per_g: ammonium
                .or(entry.map(|entry| entry.ammonium_yan_mg_per_g))
                .unwrap_or(0.0),
            organic_yan_mg_per_g: organic
                .or(entry.map(|entry| entry.organic_yan_mg_per_g))
                .unwrap_or(0.0),
            max_g_per_l: most.or(entry.and_then(|entry| entry.max_g_per_l)),
            price_per_kg: price.or(None),
            share: share.or(None),
        });
    }

    pub(super) fn feeding(&mut self) {
        self.out.recipe.feeding = match self.form.text("feeding") {
            "" => FeedingLevel::Usual,
            word => FeedingLevel::from_word(word).unwrap_or_else(|| {
                self.refuse("feeding", "Choose how gently to feed.");
                FeedingLevel::Usual
            }),
        };
        self.out.recipe.temperature_c = self.optional(
            "temperature",
            self.form.text("temperature"),
            "/temperature_c",
        );
    }

    pub(super) fn vessel(&mut self) {
        let form = self.form;
        let mut optional = |field: &str, key: &str| {
            self.optional(field, form.text(field), &format!("/vessel/{key}"))
        };
        let brim = optional("vessel_brim", "brim_l");
        let headspace = optional("vessel_headspace", "headspace_fraction");
        let loss = optional("vessel_loss", "loss_l");
        let (name, kind) = (self.word("vessel_name"), self.word("vessel_kind"));
        let mouth = match form.text("vessel_mouth") {
            "wide" => Some(true),
            "narrow" => Some(false),
            "" => None,
            _ => {
                self.refuse("vessel_mouth", "Choose how wide its mouth is.");
                None
            }
        };
        if let Some(brim_l) = brim {
            self.out.recipe.vessel = Some(Vessel {
                name,
                kind,
                brim_l,
                wide_mouth: mouth,
                headspace_fraction: headspace,
                loss_l: loss,
            });
        } else if form.text("vessel_brim").trim().is_empty() {
            let told = name.is_some() || kind.is_some() || mouth.is_some();
            let measured = ["vessel_headspace", "vessel_loss"]
                .iter()
                .any(|field| !form.text(field).trim().is_empty());
            if told || measured {
                self.refuse(
                    "vessel_brim",
                    "Write what the vessel holds filled to the brim, such as 25 L.",
                );
            }
        }
    }
}

//! From typed text to a recipe document: every fault beside its field, everything sound kept.

use std::collections::BTreeMap;

use super::{Group, Row, Workbench, cell_id};
use crate::catalogue::{self, Entry, catalogue};
use crate::engine::density::sg_of_fraction;
use crate::engine::problem::Problem;
use crate::engine::reading;
use crate::engine::recipe::{
    Aim, Amount, Composition, CompositionSpread, Declared, FeedingLevel, Finish, Form, Ingredient,
    Kind, NitrogenNeed, Nutrient, Recipe, Step, Target, Vessel, WaterReport, When, Yeast,
    YeastWhen,
};
use crate::web::units::{
    self, Bare, Fault, TypedAmount, Units, parse_amount, parse_gravity, parse_mass,
    parse_number_within, parse_percent, parse_price, parse_temperature, parse_volume,
};

/// A checked form.
#[derive(Clone, Debug, Default)]
pub struct Checked {
    /// The document as far as it could be made; whole when there are no faults.
    pub recipe: Recipe,
    /// Field id → what to write instead, in the form's order.
    pub faults: Vec<(String, String)>,
    /// Places of the document (JSON Pointers) → field ids.
    places: Vec<(String, String)>,
    /// Row id of each ingredient, yeast and feed in the document's order.
    pub item_rows: Vec<(Group, String)>,
    /// Feed rows in the document's order.
    pub feed_rows: Vec<String>,
}

impl Checked {
    /// The field to which a place of the document belongs: that of the longest pointer that contains it.
    pub fn field_of(&self, problem: &Problem) -> Option<&str> {
        let holds = |place: &str| {
            problem.path == place
                || problem
                    .path
                    .strip_prefix(place)
                    .is_some_and(|rest| rest.starts_with('/'))
        };
        let known = self.places.iter().filter(|(place, _)| holds(place));
        known
            .max_by_key(|(place, _)| place.len())
            .map(|(_, field)| field.as_str())
    }
}

struct Checker<'a> {
    form: &'a Workbench,
    units: Units,
    out: Checked,
}

/// Checks a form typed by a member who reads these units.
pub fn check(form: &Workbench, units: Units) -> Checked {
    let mut checker = Checker {
        form,
        units,
        out: Checked::default(),
    };
    checker.head();
    checker.what_to_make();
    for group in [Group::Honey, Group::Other] {
        for row in form.rows(group) {
            checker.item(group, row);
        }
    }
    checker.filler();
    for row in form.rows(Group::Yeast) {
        checker.yeast(row);
    }
    for row in form.rows(Group::Feed) {
        checker.feed(row);
    }
    checker.feeding_and_vessel();
    for row in form.rows(Group::Step) {
        checker.step(row);
    }
    checker.out
}

impl Checker<'_> {
    fn refuse(&mut self, field: impl Into<String>, why: impl ToString) {
        self.out.faults.push((field.into(), why.to_string()));
    }

    fn place(&mut self, pointer: impl Into<String>, field: impl Into<String>) {
        self.out.places.push((pointer.into(), field.into()));
    }

    /// Reads a text that may be empty; notes what was typed under its pointer.
    fn optional<T>(
        &mut self,
        field: &str,
        text: &str,
        pointer: &str,
        read: impl FnOnce(&str) -> Result<T, Fault>,
    ) -> Option<T> {
        self.place(pointer, field);
        if text.trim().is_empty() {
            return None;
        }
        match read(text) {
            Ok(value) => {
                self.out
                    .recipe
                    .typed
                    .insert(pointer.to_owned(), text.trim().to_owned());
                Some(value)
            }
            Err(fault) => {
                self.refuse(field, fault);
                None
            }
        }
    }

    fn head(&mut self) {
        let title = self.form.text("title").trim();
        if title.is_empty() {
            self.refuse("title", "Give the recipe a name.");
        } else if title.chars().count() > super::super::model::TITLE_MAX {
            self.refuse(
                "title",
                format!(
                    "Write a name of at most {} characters.",
                    super::super::model::TITLE_MAX
                ),
            );
        }
        if self.form.text("note").chars().count() > super::super::model::NOTE_MAX {
            self.refuse(
                "note",
                format!(
                    "Write a note of at most {} characters.",
                    super::super::model::NOTE_MAX
                ),
            );
        }
        let word = |name: &str| {
            Some(self.form.text(name).trim().to_owned()).filter(|text| !text.is_empty())
        };
        let declared = Declared {
            sweetness: word("sweetness_word"),
            strength: word("strength_word"),
            carbonation: word("carbonation_word"),
        };
        let style = word("style");
        let recipe = &mut self.out.recipe;
        recipe.title = title.to_owned();
        recipe.notes = self.form.text("notes").trim().to_owned();
        recipe.style = style;
        recipe.declared = Some(declared).filter(|declared| *declared != Declared::default());
    }

    fn what_to_make(&mut self) {
        let (form, units) = (self.form, self.units);
        let volume = self.optional("volume", form.text("volume"), "/volume_l", |text| {
            parse_volume(text, units)
        });
        self.out.recipe.volume_l = volume;
        self.place("/aim", "aim");
        let aim = form.text("aim");
        let strength = |checker: &mut Self| {
            let typed = form.text("strength");
            let read = checker.optional("strength", typed, "/aim/abv_percent", |text| {
                parse_percent(text, 0.5, 25.0)
            });
            if read.is_none() && typed.trim().is_empty() {
                checker.refuse("strength", "Write the strength you want, such as 12 %.");
            }
            read.map(Target::Abv)
        };
        let gravity = |checker: &mut Self| {
            let typed = form.text("gravity");
            let read = checker.optional("gravity", typed, "/aim/gravity_sg", |text| {
                parse_gravity(text, sg_of_fraction)
            });
            if read.is_none() && typed.trim().is_empty() {
                checker.refuse("gravity", "Write the gravity to start from, such as 1.090.");
            }
            read.map(Target::Gravity)
        };
        let target = match aim {
            "abv" | "honey_abv" => strength(self),
            "gravity" | "honey_gravity" => gravity(self),
            "amounts" => None,
            _ => {
                self.refuse("aim", "Choose what the recipe is to reach.");
                None
            }
        };
        let solved_volume = aim.starts_with("honey_");
        let aimed = if solved_volume {
            let typed = form.text("honey_to_use");
            let kg = self.optional("honey_to_use", typed, "/aim/use_honey_kg", |text| {
                parse_mass(text, units)
            });
            if kg.is_none() && typed.trim().is_empty() {
                self.refuse(
                    "honey_to_use",
                    "Write how much honey there is, such as 3 kg.",
                );
            }
            target
                .zip(kg)
                .map(|(target, kg)| Aim::UseHoney { kg, target })
        } else {
            target.map(Aim::Target)
        };
        self.out.recipe.aim = aimed.unwrap_or(Aim::Amounts);
        if !solved_volume && volume.is_none() && form.text("volume").trim().is_empty() {
            self.refuse("volume", "Write how much must to make, such as 20 L.");
        }
        self.place("/finish", "finish");
        let finish = form.text("finish");
        self.out.recipe.finish = match finish {
            "" | "dry" => Finish::Dry,
            "sweeten" | "arrest" => {
                let pointer = if finish == "sweeten" {
                    "/finish/sweeten_to_sg"
                } else {
                    "/finish/arrest_to_sg"
                };
                let typed = form.text("final_gravity");
                let sg = self.optional("final_gravity", typed, pointer, |text| {
                    parse_gravity(text, sg_of_fraction)
                });
                if sg.is_none() && typed.trim().is_empty() {
                    self.refuse(
                        "final_gravity",
                        "Write the gravity to end at, such as 1.010.",
                    );
                }
                match (sg, finish) {
                    (Some(sg), "sweeten") => Finish::SweetenTo(sg),
                    (Some(sg), _) => Finish::ArrestTo(sg),
                    (None, _) => Finish::Dry,
                }
            }
            _ => {
                self.refuse("finish", "Choose how it is to end.");
                Finish::Dry
            }
        };
    }

    fn item(&mut self, group: Group, row: &Row) {
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

    fn amount(&mut self, group: Group, row: &Row, kind: Kind, at: &str) -> Option<Amount> {
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
    fn composition(
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

    fn filler(&mut self) {
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

    fn yeast(&mut self, row: &Row) {
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

    fn feed(&mut self, row: &Row) {
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

    fn feeding_and_vessel(&mut self) {
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

    fn step(&mut self, row: &Row) {
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

/// The value of the filler's choice that means this row.
pub fn filler_word(group: Group, row: &Row) -> String {
    format!("{}-{}", group.word(), row.key)
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

/// Reads a stored document.
pub fn stored(document: &serde_json::Value) -> Option<Recipe> {
    reading::read(&document.to_string()).ok()
}

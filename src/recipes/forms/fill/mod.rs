//! From a recipe document back to the form: what was typed where it still holds, else the number in short.

mod rows;
mod water;

use super::check::IDLE_END;
use super::quantity::{Quantity, same};
use super::{Group, Workbench, filler_word};
use crate::catalogue::club::ClubCatalogue;
use crate::engine::check::filler_index;
use crate::engine::recipe::{Aim, Finish, Kind, Recipe, Target, Vessel};
use crate::web::units::Units;

/// The form of a new recipe: sensible defaults, each open to change.
pub fn fresh(units: Units) -> Workbench {
    let mut form = Workbench::default();
    let gallons = units != Units::Metric;
    for (name, text) in [
        ("visibility", "private"),
        ("volume", if gallons { "5 gal" } else { "19 L" }),
        ("aim", "abv"),
        ("strength", "12 %"),
        ("finish", "dry"),
        ("filler", "water"),
        ("feeding", "usual"),
        ("temperature", &Quantity::Temperature.write(20.0, units)),
    ] {
        form.set(name, text);
    }
    form.add_row(
        Group::Honey,
        &[
            ("pick", "honey-wildflower"),
            ("amount", "the rest"),
            ("when", "must"),
        ],
    );
    form.add_row(
        Group::Yeast,
        &[("pick", "yeast-champagne-type"), ("when", "pitch")],
    );
    for feed in ["feed-mixed", "feed-dap"] {
        form.add_row(Group::Feed, &[("pick", feed)]);
    }
    form
}

/// The form of a document, for a member who reads these units. Checked again it gives the same document, if the engine
/// can reckon with its numbers; else it says beside the field what can be reckoned with.
pub fn fill(recipe: &Recipe, units: Units, catalogue: &ClubCatalogue) -> Workbench {
    let mut filler = Filler {
        recipe,
        units,
        catalogue,
        form: Workbench::default(),
    };
    filler.head();
    filler.target();
    filler.finish();
    filler.set("filler", "water");
    let fills = filler_index(recipe);
    for (index, item) in recipe.ingredients.iter().enumerate() {
        let group = match item.kind {
            Kind::Honey => Group::Honey,
            _ => Group::Other,
        };
        let key = filler.ingredient(group, index, item);
        if fills == Some(index) {
            filler.set("filler", filler_word(group, &key));
        }
    }
    for (index, item) in recipe.yeasts.iter().enumerate() {
        filler.yeast(index, item);
    }
    if recipe.yeasts.is_empty() {
        filler.form.add_row(Group::Yeast, &[]);
    }
    for (index, item) in recipe.nutrients.iter().enumerate() {
        filler.feed(index, item);
    }
    filler.set("feeding", recipe.feeding.as_str());
    if let Some(celsius) = recipe.temperature_c {
        let text = filler.text("/temperature_c", celsius);
        filler.set("temperature", text);
    }
    if let Some(vessel) = &recipe.vessel {
        filler.vessel(vessel);
    }
    if let Some(report) = &recipe.water_report {
        filler.water(report);
    }
    for step in &recipe.process {
        let cells = [("when", step.when.as_str()), ("text", step.text.as_str())];
        filler.form.add_row(Group::Step, &cells);
    }
    filler.form
}

struct Filler<'a> {
    recipe: &'a Recipe,
    units: Units,
    catalogue: &'a ClubCatalogue,
    form: Workbench,
}

impl Filler<'_> {
    fn set(&mut self, name: &str, text: impl Into<String>) {
        self.form.set(name, text);
    }

    /// The text that was typed at a place, if it still reads as `value`, else the number written anew.
    fn text(&self, place: &str, value: f64) -> String {
        let quantity = Quantity::at(place);
        let holds = |text: &&String| {
            quantity
                .understood(text, self.units)
                .is_ok_and(|read| same(read, value))
        };
        let typed = self.recipe.typed.get(place).filter(holds);
        typed
            .cloned()
            .unwrap_or_else(|| quantity.write(value, self.units))
    }

    /// The text that was typed where the document has nothing.
    fn idle(&self, place: &str) -> String {
        self.recipe.typed.get(place).cloned().unwrap_or_default()
    }

    /// Whether a text that says what would stand there anyway was typed all the same.
    fn typed_too(&self, place: &str, text: &str) -> bool {
        self.recipe
            .typed
            .get(place)
            .is_some_and(|typed| typed == text)
    }

    fn head(&mut self) {
        let recipe = self.recipe;
        self.set("title", recipe.title.as_str());
        self.set("notes", recipe.notes.as_str());
        self.set("style", recipe.style.as_deref().unwrap_or_default());
        if let Some(declared) = &recipe.declared {
            for (name, word) in [
                ("sweetness_word", &declared.sweetness),
                ("strength_word", &declared.strength),
                ("carbonation_word", &declared.carbonation),
            ] {
                self.set(name, word.as_deref().unwrap_or_default());
            }
        }
    }

    fn target(&mut self) {
        if let Some(litres) = self.recipe.volume_l {
            let text = self.text("/volume_l", litres);
            self.set("volume", text);
        } else {
            self.set("volume", self.idle("/volume_l"));
        }
        for (name, place) in [
            ("strength", "/aim/abv_percent"),
            ("gravity", "/aim/gravity_sg"),
            ("honey_to_use", "/aim/use_honey_kg"),
        ] {
            self.set(name, self.idle(place));
        }
        let (target, prefix) = match self.recipe.aim {
            Aim::Amounts => {
                self.set("aim", "amounts");
                return;
            }
            Aim::Target(target) => (target, ""),
            Aim::UseHoney { kg, target } => {
                let text = self.text("/aim/use_honey_kg", kg);
                self.set("honey_to_use", text);
                (target, "honey_")
            }
        };
        match target {
            Target::Abv(abv) => {
                self.set("aim", format!("{prefix}abv"));
                let text = self.text("/aim/abv_percent", abv);
                self.set("strength", text);
            }
            Target::Gravity(sg) => {
                self.set("aim", format!("{prefix}gravity"));
                let text = self.text("/aim/gravity_sg", sg);
                self.set("gravity", text);
            }
        }
    }

    fn finish(&mut self) {
        let (word, place, sg) = match self.recipe.finish {
            Finish::Dry => {
                self.set("finish", "dry");
                self.set("final_gravity", self.idle(IDLE_END));
                return;
            }
            Finish::SweetenTo(sg) => ("sweeten", "/finish/sweeten_to_sg", sg),
            Finish::ArrestTo(sg) => ("arrest", "/finish/arrest_to_sg", sg),
        };
        self.set("finish", word);
        let text = self.text(place, sg);
        self.set("final_gravity", text);
    }

    fn vessel(&mut self, vessel: &Vessel) {
        self.set("vessel_name", vessel.name.as_deref().unwrap_or_default());
        self.set("vessel_kind", vessel.kind.as_deref().unwrap_or_default());
        let mouth = match vessel.wide_mouth {
            Some(true) => "wide",
            Some(false) => "narrow",
            None => "",
        };
        self.set("vessel_mouth", mouth);
        for (name, key, value) in [
            ("vessel_brim", "brim_l", Some(vessel.brim_l)),
            (
                "vessel_headspace",
                "headspace_fraction",
                vessel.headspace_fraction,
            ),
            ("vessel_loss", "loss_l", vessel.loss_l),
        ] {
            if let Some(value) = value {
                let text = self.text(&format!("/vessel/{key}"), value);
                self.set(name, text);
            }
        }
    }
}

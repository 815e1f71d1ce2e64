//! From a recipe document back to the form: what was typed where it still holds, else the number in the member's units.

mod rows;

use rows::{feed, ingredient, yeast};

use super::{Group, Workbench};
use crate::engine::density::sg_of_fraction;
use crate::engine::recipe::{Aim, Finish, Kind, Recipe, Target};
use crate::web::units::{
    Units, mass_text, parse_gravity, parse_mass, parse_number_within, parse_percent, parse_price,
    parse_temperature, parse_volume, plain, temperature_text, volume_text,
};

/// The form of a new recipe: sensible defaults, each open to change.
pub fn fresh(units: Units) -> Workbench {
    let mut form = Workbench::default();
    form.set("visibility", "private");
    form.set(
        "volume",
        match units {
            Units::Metric => "19 L",
            Units::Us | Units::Imperial => "5 gal",
        },
    );
    form.set("aim", "abv");
    form.set("strength", "12 %");
    form.set("finish", "dry");
    form.set("filler", "water");
    form.set("feeding", "usual");
    form.set("temperature", temperature_text(20.0, units));
    if let Some(row) = form.add_row(Group::Honey) {
        row.set("pick", "honey-wildflower");
        row.set("amount", "the rest");
        row.set("when", "must");
    }
    if let Some(row) = form.add_row(Group::Yeast) {
        row.set("pick", "yeast-champagne-type");
        row.set("when", "pitch");
    }
    for feed in ["feed-mixed", "feed-dap"] {
        if let Some(row) = form.add_row(Group::Feed) {
            row.set("pick", feed);
        }
    }
    form
}

/// The form of a document, for a member who reads these units.
pub fn fill(recipe: &Recipe, units: Units) -> Workbench {
    let typed = Typed { recipe };
    let mut form = Workbench::default();
    form.set("title", recipe.title.clone());
    form.set("notes", recipe.notes.clone());
    form.set("style", recipe.style.clone().unwrap_or_default());
    if let Some(declared) = &recipe.declared {
        form.set(
            "sweetness_word",
            declared.sweetness.clone().unwrap_or_default(),
        );
        form.set(
            "strength_word",
            declared.strength.clone().unwrap_or_default(),
        );
        form.set(
            "carbonation_word",
            declared.carbonation.clone().unwrap_or_default(),
        );
    }
    let volume = |litres: f64, place: &str| {
        typed.or(
            place,
            litres,
            |text| parse_volume(text, units).ok(),
            || volume_text(litres, units),
        )
    };
    if let Some(litres) = recipe.volume_l {
        form.set("volume", volume(litres, "/volume_l"));
    }
    let target = match recipe.aim {
        Aim::Amounts => {
            form.set("aim", "amounts");
            None
        }
        Aim::Target(target) => Some((target, "")),
        Aim::UseHoney { kg, target } => {
            let text = typed.or(
                "/aim/use_honey_kg",
                kg,
                |text| parse_mass(text, units).ok(),
                || mass_text(kg, units),
            );
            form.set("honey_to_use", text);
            Some((target, "honey_"))
        }
    };
    match target {
        Some((Target::Abv(abv), prefix)) => {
            form.set("aim", format!("{prefix}abv"));
            let read = |text: &str| parse_percent(text, 0.0, 100.0).ok();
            form.set(
                "strength",
                typed.or("/aim/abv_percent", abv, read, || {
                    format!("{} %", plain(abv, 6))
                }),
            );
        }
        Some((Target::Gravity(sg), prefix)) => {
            form.set("aim", format!("{prefix}gravity"));
            form.set("gravity", gravity(&typed, "/aim/gravity_sg", sg));
        }
        None => {}
    }
    match recipe.finish {
        Finish::Dry => form.set("finish", "dry"),
        Finish::SweetenTo(sg) => {
            form.set("finish", "sweeten");
            form.set(
                "final_gravity",
                gravity(&typed, "/finish/sweeten_to_sg", sg),
            );
        }
        Finish::ArrestTo(sg) => {
            form.set("finish", "arrest");
            form.set("final_gravity", gravity(&typed, "/finish/arrest_to_sg", sg));
        }
    }
    form.set("filler", "water");
    let filler = crate::engine::check::filler_index(recipe);
    for (index, item) in recipe.ingredients.iter().enumerate() {
        let group = if item.kind == Kind::Honey {
            Group::Honey
        } else {
            Group::Other
        };
        if let Some(row) = form.add_row(group) {
            ingredient(row, item, &format!("/ingredients/{index}"), &typed, units);
            let word = super::check::filler_word(group, row);
            if filler == Some(index) {
                form.set("filler", word);
            }
        }
    }
    for (index, item) in recipe.yeasts.iter().enumerate() {
        if let Some(row) = form.add_row(Group::Yeast) {
            yeast(row, item, &format!("/yeasts/{index}"), &typed, units);
        }
    }
    for (index, item) in recipe.nutrients.iter().enumerate() {
        if let Some(row) = form.add_row(Group::Feed) {
            feed(row, item, &format!("/nutrients/{index}"), &typed, units);
        }
    }
    form.set("feeding", recipe.feeding.as_str());
    if let Some(celsius) = recipe.temperature_c {
        let read = |text: &str| parse_temperature(text, units).ok();
        form.set(
            "temperature",
            typed.or("/temperature_c", celsius, read, || {
                temperature_text(celsius, units)
            }),
        );
    }
    if let Some(vessel) = &recipe.vessel {
        form.set("vessel_name", vessel.name.clone().unwrap_or_default());
        form.set("vessel_kind", vessel.kind.clone().unwrap_or_default());
        form.set("vessel_brim", volume(vessel.brim_l, "/vessel/brim_l"));
        form.set(
            "vessel_mouth",
            match vessel.wide_mouth {
                Some(true) => "wide",
                Some(false) => "narrow",
                None => "",
            },
        );
        if let Some(fraction) = vessel.headspace_fraction {
            let read = |text: &str| {
                parse_percent(text, 0.0, 100.0)
                    .ok()
                    .map(|percent| percent / 100.0)
            };
            let text = typed.or("/vessel/headspace_fraction", fraction, read, || {
                format!("{} %", plain(fraction * 100.0, 6))
            });
            form.set("vessel_headspace", text);
        }
        if let Some(litres) = vessel.loss_l {
            form.set("vessel_loss", volume(litres, "/vessel/loss_l"));
        }
    }
    if let Some(report) = &recipe.water_report {
        form.set(
            "water_report",
            serde_json::to_string(report).unwrap_or_default(),
        );
    }
    for step in &recipe.process {
        if let Some(row) = form.add_row(Group::Step) {
            row.set("when", step.when.clone());
            row.set("text", step.text.clone());
        }
    }
    form
}

/// What was typed, where it still means the number that stands in the document.
struct Typed<'a> {
    recipe: &'a Recipe,
}

impl Typed<'_> {
    /// The typed text of a place if it reads as `value`, else the number written anew.
    fn or(
        &self,
        place: &str,
        value: f64,
        read: impl Fn(&str) -> Option<f64>,
        write: impl Fn() -> String,
    ) -> String {
        let typed = self.recipe.typed.get(place);
        let same = |text: &&String| {
            read(text).is_some_and(|read| (read - value).abs() <= 1e-9 * value.abs().max(1e-9))
        };
        typed.filter(same).cloned().unwrap_or_else(write)
    }
}

fn gravity(typed: &Typed<'_>, place: &str, sg: f64) -> String {
    let read = |text: &str| parse_gravity(text, sg_of_fraction).ok();
    typed.or(place, sg, read, || {
        let plain = plain(sg, 6);
        // A gravity reads best with its three decimals.
        if plain.len() < 5 {
            format!("{sg:.3}")
        } else {
            plain
        }
    })
}

fn number(typed: &Typed<'_>, place: &str, value: f64) -> String {
    typed.or(
        place,
        value,
        |text| parse_number_within(text, f64::MIN, f64::MAX).ok(),
        || plain(value, 6),
    )
}

fn price(typed: &Typed<'_>, place: &str, value: f64, units: Units) -> String {
    typed.or(
        place,
        value,
        |text| parse_price(text, units).ok(),
        || format!("{} per kg", plain(value, 4)),
    )
}

//! What to make: name, aim, volume, finish.

use super::Checker;
use crate::engine::density::sg_of_fraction;
use crate::engine::recipe::{Aim, Declared, Finish, Target};
use crate::recipes::model;
use crate::web::units::{parse_gravity, parse_mass, parse_percent, parse_volume};

/// A checked form.
impl Checker<'_> {
    pub(super) fn head(&mut self) {
        let title = self.form.text("title").trim();
        if title.is_empty() {
            self.refuse("title", "Give the recipe a name.");
        } else if title.chars().count() > model::TITLE_MAX {
            self.refuse(
                "title",
                format!("Write a name of at most {} characters.", model::TITLE_MAX),
            );
        }
        if self.form.text("note").chars().count() > model::NOTE_MAX {
            self.refuse(
                "note",
                format!("Write a note of at most {} characters.", model::NOTE_MAX),
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

    pub(super) fn what_to_make(&mut self) {
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
}

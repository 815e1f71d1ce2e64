//! What to make: volume, aim, finish, and what fills up.

use super::{Checker, Quantity};
use crate::engine::recipe::{Aim, Finish, Target};
use crate::recipes::forms::{filler_parts, filler_word};

/// Where a gravity to end at is kept while the mead ferments dry.
pub const IDLE_END: &str = "/finish/sweeten_to_sg";

impl Checker<'_> {
    pub(super) fn what_to_make(&mut self) {
        let (aim, volume) = (self.form.text("aim"), self.form.text("volume"));
        // Where the volume is solved, what stands there instead is nobody's fault.
        let solved_volume = aim.starts_with("honey_");
        let idle = solved_volume && Quantity::at("/volume_l").read(volume, self.units).is_err();
        match idle {
            true => {
                self.place("/volume_l", "volume");
                self.idle("/volume_l", volume);
            }
            false => self.out.recipe.volume_l = self.optional("volume", volume, "/volume_l"),
        }
        let target = match aim {
            "abv" | "honey_abv" => self.strength(),
            "gravity" | "honey_gravity" => self.gravity(),
            "amounts" => {
                self.place("/aim", "aim");
                None
            }
            _ => {
                self.refuse("aim", "Choose what the recipe is to reach.");
                None
            }
        };
        self.idle_targets(aim);
        let aimed = if solved_volume {
            self.honey_to_use()
                .zip(target)
                .map(|(kg, target)| Aim::UseHoney { kg, target })
        } else {
            target.map(Aim::Target)
        };
        self.out.recipe.aim = aimed.unwrap_or(Aim::Amounts);
        if !solved_volume && self.form.text("volume").trim().is_empty() {
            self.refuse("volume", "Write how much must to make, such as 20 L.");
        }
        self.finish();
    }

    /// What this aim and this end leave unused stays beside the document: another choice may want it again.
    fn idle_targets(&mut self, aim: &str) {
        let form = self.form;
        for (field, pointer, used) in [
            ("strength", "/aim/abv_percent", aim.ends_with("abv")),
            ("gravity", "/aim/gravity_sg", aim.ends_with("gravity")),
            (
                "honey_to_use",
                "/aim/use_honey_kg",
                aim.starts_with("honey_"),
            ),
            (
                "final_gravity",
                IDLE_END,
                matches!(form.text("finish"), "sweeten" | "arrest"),
            ),
        ] {
            if !used {
                self.idle(pointer, form.text(field));
            }
        }
    }

    fn strength(&mut self) -> Option<Target> {
        self.place("/aim", "strength");
        let typed = self.form.text("strength");
        if typed.trim().is_empty() {
            self.refuse("strength", "Write the strength you want, such as 12 %.");
        }
        let read = self.optional("strength", typed, "/aim/abv_percent");
        read.map(Target::Abv)
    }

    fn gravity(&mut self) -> Option<Target> {
        self.place("/aim", "gravity");
        let typed = self.form.text("gravity");
        if typed.trim().is_empty() {
            self.refuse("gravity", "Write the gravity to start from, such as 1.090.");
        }
        let read = self.optional("gravity", typed, "/aim/gravity_sg");
        read.map(Target::Gravity)
    }

    fn honey_to_use(&mut self) -> Option<f64> {
        let typed = self.form.text("honey_to_use");
        if typed.trim().is_empty() {
            self.refuse(
                "honey_to_use",
                "Write how much honey there is, such as 3 kg.",
            );
        }
        self.optional("honey_to_use", typed, "/aim/use_honey_kg")
    }

    fn finish(&mut self) {
        self.place("/finish", "finish");
        let finish = self.form.text("finish");
        self.out.recipe.finish = match finish {
            "" | "dry" => Finish::Dry,
            "sweeten" => self
                .final_gravity("/finish/sweeten_to_sg")
                .map_or(Finish::Dry, Finish::SweetenTo),
            "arrest" => self
                .final_gravity("/finish/arrest_to_sg")
                .map_or(Finish::Dry, Finish::ArrestTo),
            _ => {
                self.refuse("finish", "Choose how it is to end.");
                Finish::Dry
            }
        };
    }

    fn final_gravity(&mut self, pointer: &str) -> Option<f64> {
        let typed = self.form.text("final_gravity");
        if typed.trim().is_empty() {
            self.refuse(
                "final_gravity",
                "Write the gravity to end at, such as 1.010.",
            );
        }
        self.optional("final_gravity", typed, pointer)
    }

    pub(super) fn filler(&mut self) {
        let (chosen, name) = filler_parts(self.form.text("filler"));
        self.place("/filler", "filler");
        if chosen.is_empty() || chosen == "water" {
            return;
        }
        let row = self
            .out
            .item_rows
            .iter()
            .position(|(group, key)| chosen == filler_word(*group, key));
        match row.and_then(|at| self.out.recipe.ingredients.get(at)) {
            Some(item) => {
                self.out.recipe.filler = Some(item.name.clone());
                // Of two rows with one name the engine would take the first; later ones do not fill up at all.
                if crate::engine::check::filler_index(&self.out.recipe) != row {
                    self.refuse(
                        "filler",
                        "What fills up goes into the must, and bears a name of its own.",
                    );
                }
            }
            None if !name.is_empty() => self.refuse(
                "filler",
                format!("{name} is no longer an ingredient: choose water, or another ingredient."),
            ),
            None => self.refuse(
                "filler",
                "Choose what fills up: water, or an ingredient of the recipe.",
            ),
        }
    }
}

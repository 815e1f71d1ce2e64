//! What a recipe takes over when something is picked: copies, so that later changes of the catalogue change no recipe.

use super::{Entry, Feed, NitrogenNeed, Vessel, Yeast};
use crate::engine::recipe;
use crate::web::units::TypedAmount;

impl Entry {
    /// The ingredient with its default amount, key and composition.
    pub fn ingredient(&self) -> recipe::Ingredient {
        recipe::Ingredient {
            key: Some(self.key.clone()),
            name: self.name.clone(),
            kind: recipe::Kind::from_word(self.kind.word()).unwrap_or(recipe::Kind::Other),
            form: self
                .form
                .and_then(|form| recipe::Form::from_word(form.word())),
            days: None,
            when: recipe::When::from_word(self.when.word()).unwrap_or(recipe::When::Must),
            amount: self.default_amount.map(|amount| match amount {
                TypedAmount::Share(share) => recipe::Amount::Share(share),
                TypedAmount::Kg(kg) => recipe::Amount::Kg(kg),
                TypedAmount::Litres(litres) => recipe::Amount::Litres(litres),
                TypedAmount::GramsPerLitre(dose) => recipe::Amount::GramsPerLitre(dose),
            }),
            composition: self.composition.map(|parts| recipe::Composition {
                water: parts.water,
                fermentable: parts.fermentable,
                unfermentable: parts.unfermentable,
                insoluble: parts.insoluble,
                yan_mg_per_kg: self.yan_mg_per_kg,
                ta_g_per_kg: self.ta_g_per_kg,
                density_kg_per_l: self.density_kg_per_l,
                spread: self.spread.map(|spread| recipe::CompositionSpread {
                    water: Some(spread.water),
                    fermentable: Some(spread.fermentable),
                }),
            }),
            price_per_kg: None,
            note: None,
        }
    }
}

impl Yeast {
    /// The yeast, pitched at the start, with the middle of its tolerance.
    pub fn for_recipe(&self) -> recipe::Yeast {
        recipe::Yeast {
            key: Some(self.key.clone()),
            name: self.name.clone(),
            tolerance_abv_percent: self.tolerance_abv_percent(),
            nitrogen_need: match self.nitrogen_need {
                NitrogenNeed::Low => recipe::NitrogenNeed::Low,
                NitrogenNeed::Medium => recipe::NitrogenNeed::Medium,
                NitrogenNeed::High => recipe::NitrogenNeed::High,
            },
            temperature_c: Some(self.temperature_c),
            when: recipe::YeastWhen::Pitch,
            attenuation_percent: None,
        }
    }
}

impl Feed {
    /// The feed, without a price or a limit of its own.
    pub fn for_recipe(&self) -> recipe::Nutrient {
        recipe::Nutrient {
            key: Some(self.key.clone()),
            name: self.name.clone(),
            ammonium_yan_mg_per_g: self.ammonium_yan_mg_per_g,
            organic_yan_mg_per_g: self.organic_yan_mg_per_g,
            max_g_per_l: self.max_g_per_l,
            price_per_kg: None,
            share: None,
        }
    }
}

impl Vessel {
    /// The vessel, with the headspace and losses of the trade.
    pub fn for_recipe(&self) -> recipe::Vessel {
        recipe::Vessel {
            name: Some(self.name.clone()),
            kind: Some(self.kind.word().to_owned()),
            brim_l: self.brim_l,
            wide_mouth: Some(self.wide_mouth),
            headspace_fraction: None,
            loss_l: None,
        }
    }
}

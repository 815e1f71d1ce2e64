//! What an ingredient is, the shape it comes in and when it goes in: the words of the recipe document.

use crate::web::units::Bare;
use serde::{Deserialize, Serialize};

/// What an ingredient is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    Honey,
    Fruit,
    Juice,
    Syrup,
    Sugar,
    Malt,
    Spice,
    Acid,
    Tannin,
    Salt,
    Enzyme,
    Wood,
    Fining,
    Sweetener,
    Other,
}

impl Kind {
    /// Every kind, in the order in which pages list them.
    pub const ALL: [Kind; 15] = [
        Kind::Honey,
        Kind::Fruit,
        Kind::Juice,
        Kind::Syrup,
        Kind::Sugar,
        Kind::Malt,
        Kind::Spice,
        Kind::Wood,
        Kind::Acid,
        Kind::Tannin,
        Kind::Salt,
        Kind::Enzyme,
        Kind::Fining,
        Kind::Sweetener,
        Kind::Other,
    ];

    /// The word of the recipe document.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Honey => "honey",
            Kind::Fruit => "fruit",
            Kind::Juice => "juice",
            Kind::Syrup => "syrup",
            Kind::Sugar => "sugar",
            Kind::Malt => "malt",
            Kind::Spice => "spice",
            Kind::Acid => "acid",
            Kind::Tannin => "tannin",
            Kind::Salt => "salt",
            Kind::Enzyme => "enzyme",
            Kind::Wood => "wood",
            Kind::Fining => "fining",
            Kind::Sweetener => "sweetener",
            Kind::Other => "other",
        }
    }

    /// What a bare number in the amount field of such an ingredient means.
    pub fn bare(self) -> Bare {
        match self {
            Kind::Honey | Kind::Fruit | Kind::Syrup | Kind::Sugar | Kind::Malt | Kind::Other => {
                Bare::LargeMass
            }
            Kind::Juice => Bare::Volume,
            Kind::Spice
            | Kind::Acid
            | Kind::Tannin
            | Kind::Salt
            | Kind::Enzyme
            | Kind::Wood
            | Kind::Fining
            | Kind::Sweetener => Bare::Grams,
        }
    }
}

/// The shape in which an ingredient is used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Form {
    Whole,
    Crushed,
    Frozen,
    Puree,
    Juice,
    Dried,
    Tincture,
}

impl Form {
    /// Every form, in the order in which pages list them.
    pub const ALL: [Form; 7] = [
        Form::Whole,
        Form::Crushed,
        Form::Frozen,
        Form::Puree,
        Form::Juice,
        Form::Dried,
        Form::Tincture,
    ];

    /// The word of the recipe document.
    pub fn word(self) -> &'static str {
        match self {
            Form::Whole => "whole",
            Form::Crushed => "crushed",
            Form::Frozen => "frozen",
            Form::Puree => "puree",
            Form::Juice => "juice",
            Form::Dried => "dried",
            Form::Tincture => "tincture",
        }
    }
}

/// When an ingredient usually goes in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Stage {
    Must,
    Primary,
    Secondary,
    Sweeten,
    Ageing,
}

impl Stage {
    /// Every stage, in the order of the making.
    pub const ALL: [Stage; 5] = [
        Stage::Must,
        Stage::Primary,
        Stage::Secondary,
        Stage::Sweeten,
        Stage::Ageing,
    ];

    /// The word of the recipe document.
    pub fn word(self) -> &'static str {
        match self {
            Stage::Must => "must",
            Stage::Primary => "primary",
            Stage::Secondary => "secondary",
            Stage::Sweeten => "sweeten",
            Stage::Ageing => "ageing",
        }
    }
}

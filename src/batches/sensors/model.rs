//! What a sensor is, and what it calls what it measures.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

use crate::batches::model::BatchId;
use crate::engine::Settings;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// The longest name of a sensor, and of one of its fields, in characters.
pub const NAME_MAX: usize = 60;
/// The most sensors of one batch that work at a time.
pub const MOST: i64 = 10;

/// How a sensor tells gravity.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum GravityAs {
    /// 1.058
    #[default]
    Sg,
    /// 58
    Points,
    /// 14.3, mass % as sucrose: °P or °Bx.
    Percent,
}

impl GravityAs {
    /// The word in forms.
    pub fn word(self) -> &'static str {
        match self {
            GravityAs::Sg => "sg",
            GravityAs::Points => "points",
            GravityAs::Percent => "percent",
        }
    }

    /// Reads the word of a form.
    pub fn from_word(word: &str) -> Option<GravityAs> {
        match word {
            "sg" => Some(GravityAs::Sg),
            "points" => Some(GravityAs::Points),
            "percent" => Some(GravityAs::Percent),
            _ => None,
        }
    }
}

/// How a sensor tells temperature.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum TemperatureAs {
    /// °C
    #[default]
    Celsius,
    /// °F
    Fahrenheit,
}

impl TemperatureAs {
    /// The word in forms.
    pub fn word(self) -> &'static str {
        match self {
            TemperatureAs::Celsius => "celsius",
            TemperatureAs::Fahrenheit => "fahrenheit",
        }
    }

    /// Reads the word of a form.
    pub fn from_word(word: &str) -> Option<TemperatureAs> {
        match word {
            "celsius" => Some(TemperatureAs::Celsius),
            "fahrenheit" => Some(TemperatureAs::Fahrenheit),
            _ => None,
        }
    }
}

/// What a sensor calls what it measures; an empty name stands for what it does not tell. A slash leads into what is nested.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fields {
    pub gravity: String,
    pub gravity_as: GravityAs,
    pub temperature: String,
    pub temperature_as: TemperatureAs,
    pub time: String,
}

/// A sensor as its page lists it.
#[derive(Clone, Debug, PartialEq)]
pub struct Sensor {
    pub public_id: PublicId,
    pub name: String,
    pub fields: Fields,
    pub last_used_at: Option<DateTime<Utc>>,
    /// What a change must have seen.
    pub version: i32,
}

/// A sensor that has just posted, with what it posts to.
#[derive(Clone, Debug, PartialEq)]
pub struct Used {
    pub sensor: PublicId,
    pub name: String,
    pub fields: Fields,
    pub batch: BatchId,
    pub batch_id: PublicId,
    pub owner: MemberId,
    pub began_at: DateTime<Utc>,
    /// Whether the batch takes readings: it is neither over nor in the bin.
    pub is_open: bool,
    pub settings: Settings,
    /// The seconds to wait, when it posts too often.
    pub wait: Option<u32>,
    /// Whether it is time to reckon the batch anew for lists.
    pub is_due: bool,
}

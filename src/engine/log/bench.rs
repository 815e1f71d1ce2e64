//! Entries that say what was tried in glasses on the bench.

use crate::engine::recipe::Composition;
use crate::engine::words::words;

words! {
    /// What is dropped into the glasses of a trial.
    Stock {
        /// Honey with as much water, by weight.
        Honey = "honey",
        /// Sugar with as much water, by weight.
        Sugar = "sugar",
        /// 10 g of tartaric acid made up to 100 ml.
        Tartaric = "tartaric",
        /// 10 g of malic acid made up to 100 ml.
        Malic = "malic",
        /// 10 g of citric acid, free of water, made up to 100 ml.
        Citric = "citric",
        /// 10 g of potassium bicarbonate made up to 100 ml.
        Bicarbonate = "bicarbonate",
        /// 1 g of tannin made up to 100 ml.
        Tannin = "tannin",
        /// A tincture, a tea, anything of one's own.
        Own = "own",
    }
}

/// One glass of a trial.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Glass {
    /// The number on it, which tells nothing.
    pub code: String,
    /// Of the stock in it, ml.
    pub stock_ml: f64,
}

/// Glasses on the bench: as much of the mead in each, and more and more of a stock.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Trial {
    /// The stock.
    pub stock: Stock,
    /// What it is called.
    pub name: String,
    /// What the honey in it is made of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub composition: Option<Composition>,
    /// Of the mead in each glass, ml.
    pub sample_ml: f64,
    /// The glasses.
    pub glasses: Vec<Glass>,
    /// The number on the one that was liked best.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub winner: Option<String>,
}

impl Trial {
    /// All of the mead that it takes, litres.
    pub fn taken_l(&self) -> f64 {
        self.sample_ml / 1000.0 * self.glasses.len() as f64
    }

    /// The glass that was liked best.
    pub fn best(&self) -> Option<&Glass> {
        let winner = self.winner.as_ref()?;
        self.glasses.iter().find(|glass| &glass.code == winner)
    }
}

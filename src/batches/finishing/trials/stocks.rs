//! The stocks that are dropped into glasses: what they are called, how they are made, and glasses to begin with.

use crate::engine::log::entry::Stock;

/// What is said of a stock.
pub struct Words {
    /// In the list.
    pub choice: &'static str,
    /// What it is made of, as it goes into the batch.
    pub itself: &'static str,
    /// How it is made.
    pub made: &'static str,
    /// Ml of it in 50 ml of mead, for six glasses.
    pub glasses: [f64; 6],
}

/// Of each.
pub fn words(stock: Stock) -> Words {
    const ACID: [f64; 6] = [0.0, 0.1, 0.2, 0.3, 0.4, 0.5];
    const SWEET: [f64; 6] = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0];
    const FEW: [f64; 6] = [0.0, 0.25, 0.5, 0.75, 1.0, 1.5];
    match stock {
        Stock::Honey => Words {
            choice: "honey with as much water",
            itself: "honey",
            made: "Weigh as much water as honey, 20 g of each, and stir until it is one.",
            glasses: SWEET,
        },
        Stock::Sugar => Words {
            choice: "sugar with as much water",
            itself: "sugar",
            made: "Weigh as much water as sugar, 20 g of each, and stir until it is clear.",
            glasses: SWEET,
        },
        Stock::Tartaric => Words {
            choice: "tartaric acid, 10 g in 100 ml",
            itself: "tartaric acid",
            made: "Dissolve 10 g in some water and fill up to 100 ml. Goggles on.",
            glasses: ACID,
        },
        Stock::Malic => Words {
            choice: "malic acid, 10 g in 100 ml",
            itself: "malic acid",
            made: "Dissolve 10 g in some water and fill up to 100 ml. Goggles on.",
            glasses: ACID,
        },
        Stock::Citric => Words {
            choice: "citric acid free of water, 10 g in 100 ml",
            itself: "citric acid, free of water",
            made: "Dissolve 10 g in some water and fill up to 100 ml. Goggles on.",
            glasses: ACID,
        },
        Stock::Bicarbonate => Words {
            choice: "potassium bicarbonate, 10 g in 100 ml (less sour)",
            itself: "potassium bicarbonate",
            made: "Dissolve 10 g in some water and fill up to 100 ml. It foams in the glass.",
            glasses: ACID,
        },
        Stock::Tannin => Words {
            choice: "tannin, 1 g in 100 ml",
            itself: "tannin",
            made: "Dissolve 1 g in some warm water and fill up to 100 ml.",
            glasses: FEW,
        },
        Stock::Own => Words {
            choice: "something of my own: a tincture, a tea",
            itself: "",
            made: "Make enough of it for the whole batch at once: the next one tastes otherwise.",
            glasses: FEW,
        },
    }
}

/// Whether yeast can use what it brings.
pub fn ferments(stock: Stock) -> bool {
    matches!(stock, Stock::Honey | Stock::Sugar)
}

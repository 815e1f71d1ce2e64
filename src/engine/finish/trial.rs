//! Glasses on the bench: from millilitres of a stock in a sample to the dose of the whole batch, by the mass balance.

use crate::engine::acid::{Acid, Addition};
use crate::engine::balance::{Liquid, State, add_water_for_volume};
use crate::engine::log::entry::Stock;
use crate::engine::numeric::find_root;
use crate::engine::prepare::dissolved;
use crate::engine::recipe::{Composition, Kind};

/// Of the dose that a glass stands for so much goes in first where no gravity shows it (common practice, no published source).
pub const FIRST_PART: f64 = 0.75;
/// Grams of acid, or of bicarbonate, in a litre of their stock: 10 g made up to 100 ml.
pub const ACID_STOCK_G_PER_L: f64 = 100.0;
/// Grams of tannin in a litre of its stock: 1 g made up to 100 ml.
pub const TANNIN_STOCK_G_PER_L: f64 = 10.0;

/// What a stock does to the acidity; `None` for what is no acid and takes none away.
pub fn acid_of(stock: Stock) -> Option<Addition> {
    match stock {
        Stock::Tartaric => Some(Addition::Acid(Acid::Tartaric)),
        Stock::Malic => Some(Addition::Acid(Acid::Malic)),
        Stock::Citric => Some(Addition::Acid(Acid::Citric)),
        Stock::Bicarbonate => Some(Addition::PotassiumBicarbonate),
        Stock::Honey | Stock::Sugar | Stock::Tannin | Stock::Own => None,
    }
}

/// What a stock is made of besides water: honey as it is, else the powder; `None` where nobody knows.
pub fn itself(stock: Stock, honey: Option<&Composition>) -> Option<Composition> {
    let powder = |fermentable: f64| Composition {
        fermentable,
        unfermentable: 1.0 - fermentable,
        ..Composition::default()
    };
    match stock {
        Stock::Honey => honey.cloned(),
        Stock::Sugar => Some(powder(1.0)),
        Stock::Own => None,
        _ => Some(powder(0.0)),
    }
}

/// The mass fractions of a stock as it is mixed, with its density: honey or sugar with as much water by weight; 10 g of acid or
/// bicarbonate, or 1 g of tannin, made up to 100 ml. `None` where nobody knows what it is made of.
pub fn composition(stock: Stock, honey: Option<&Composition>) -> Option<Composition> {
    let is = itself(stock, honey)?;
    let part = match stock {
        Stock::Honey | Stock::Sugar => 0.5,
        Stock::Tannin => part_of_solution(TANNIN_STOCK_G_PER_L),
        _ => part_of_solution(ACID_STOCK_G_PER_L),
    };
    let mixed = Composition {
        water: is.water * part + 1.0 - part,
        fermentable: is.fermentable * part,
        unfermentable: is.unfermentable * part,
        insoluble: is.insoluble * part,
        ta_g_per_kg: is.ta_g_per_kg.map(|acid| acid * part),
        ..Composition::default()
    };
    let density = dissolved(Kind::Other, &mixed).state().density_kg_per_l;
    Some(Composition {
        density_kg_per_l: Some(density),
        ..mixed
    })
}

/// The mass fraction of a powder of which so many grams are made up to a litre.
fn part_of_solution(g_per_l: f64) -> f64 {
    let powder = Liquid {
        extract_kg: g_per_l / 1000.0,
        ..Liquid::default()
    };
    powder.extract_kg / (powder.extract_kg + add_water_for_volume(&powder, 1.0))
}

/// A glass on the bench: so many ml of the mead with so many ml of the stock in it.
pub fn glass(mead: &Liquid, sample_ml: f64, stock: &Composition, stock_ml: f64) -> Liquid {
    let volume_l = mead.state().volume_l;
    let sample = match volume_l > 0.0 {
        true => *mead * (sample_ml / 1000.0 / volume_l),
        false => Liquid::default(),
    };
    sample + of_stock(stock, stock_ml / 1000.0)
}

/// So many litres of a stock.
fn of_stock(stock: &Composition, litres: f64) -> Liquid {
    dissolved(Kind::Other, stock) * (litres * stock.density_kg_per_l.unwrap_or(1.0))
}

/// The dose of a whole batch that tastes as a glass did.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dose {
    /// Of the stock, litres: its water joins too.
    pub stock_l: f64,
    /// The mead with the stock in it; `None` where nobody knows what the stock is made of.
    pub with_stock: Option<State>,
    /// Of what the stock is made of, without its water, and the mead with that in it.
    pub itself: Option<Itself>,
}

/// Of what a stock is made of, as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Itself {
    /// Kilograms.
    pub kg: f64,
    /// The mead with it.
    pub with_it: State,
    /// By how much the acidity changes through it, g/L as tartaric; `None` for what is no acid.
    pub ta_change_g_per_l: Option<f64>,
}

/// The dose for all of a mead. The stock goes in as in the glass, litre for millilitre; what it is made of goes in so that each
/// litre of the mead then holds as much of it as each litre of the glass did, the water of the stock counted.
///
/// `sample_ml` above 0, `stock_ml` from 0 up.
pub fn dose(
    mead: &Liquid,
    (stock, honey): (Stock, Option<&Composition>),
    (sample_ml, stock_ml): (f64, f64),
) -> Dose {
    let volume_l = mead.state().volume_l;
    let stock_l = volume_l * stock_ml / sample_ml;
    let Some((parts, is)) = composition(stock, honey).zip(itself(stock, honey)) else {
        return Dose {
            stock_l,
            with_stock: None,
            itself: None,
        };
    };
    let part = match stock {
        Stock::Honey | Stock::Sugar => 0.5,
        _ => parts.unfermentable,
    };
    let in_glass = glass(mead, sample_ml, &parts, stock_ml).state().volume_l;
    let held_kg = stock_ml / 1000.0 * parts.density_kg_per_l.unwrap_or(1.0) * part;
    let wanted = held_kg / in_glass;
    let per_kg = dissolved(Kind::Other, &is);
    let short = |kg: f64| kg / (*mead + per_kg * kg).state().volume_l - wanted;
    // Ten times what would do if it took no room.
    let most = 10.0 * wanted * volume_l;
    let kg = match wanted > 0.0 {
        true => find_root(short, 0.0, most, most * 1e-14),
        false => Some(0.0),
    };
    let acid = acid_of(stock).map(Addition::change_as_tartaric);
    Dose {
        stock_l,
        with_stock: Some((*mead + of_stock(&parts, stock_l)).state()),
        itself: kg.map(|kg| {
            let with_it = (*mead + per_kg * kg).state();
            Itself {
                kg,
                with_it,
                ta_change_g_per_l: acid.map(|change| change * 1000.0 * kg / with_it.volume_l),
            }
        }),
    }
}

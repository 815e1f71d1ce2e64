//! From the glass to the batch: a litre of the batch then holds what a litre of the glass held.

use mustwright::engine::finish::trial::{composition, dose, glass, itself};
use mustwright::engine::log::entry::Stock;
use mustwright::engine::recipe::Composition;
use proptest::prelude::*;

use super::mead;
use crate::documents::parts;
use crate::support::close;

fn honey() -> Composition {
    parts(0.18, 0.73, 0.09, 0.0)
}

fn known() -> Vec<Stock> {
    let all = Stock::ALL.iter().copied();
    all.filter(|stock| *stock != Stock::Own).collect()
}

#[test]
fn stocks_are_what_their_recipe_says() {
    for stock in known() {
        let is = composition(stock, Some(&honey())).expect("known");
        let sum = is.water + is.fermentable + is.unfermentable + is.insoluble;
        close(sum, 1.0, 1e-12, stock.as_str());
    }
    let acid = composition(Stock::Tartaric, None).expect("known");
    let density = acid.density_kg_per_l.expect("a density");
    close(acid.unfermentable * density, 0.1, 1e-9, "10 g in 100 ml");
    let tannin = composition(Stock::Tannin, None).expect("known");
    let density = tannin.density_kg_per_l.expect("a density");
    close(tannin.unfermentable * density, 0.01, 1e-9, "1 g in 100 ml");
    let half = composition(Stock::Honey, Some(&honey())).expect("known");
    close(half.fermentable, 0.365, 1e-12, "half of it is honey");
    assert_eq!(composition(Stock::Honey, None), None, "of an unknown honey");
    assert_eq!(itself(Stock::Own, None), None);
}

#[test]
fn half_a_millilitre_of_acid_in_fifty_is_a_gram_a_litre() {
    let batch = mead(20.0, 1.000, 12.0, 2.0);
    let found = dose(&batch, (Stock::Tartaric, None), (50.0, 0.5));
    close(found.stock_l, 0.2, 1e-9, "of the stock");
    let acid = found.itself.expect("known");
    // 50 mg in 50.5 ml.
    close(
        acid.ta_change_g_per_l.expect("an acid"),
        0.05 / 0.0505,
        1e-4,
        "acidity",
    );
    close(acid.kg * 1000.0, 19.8, 0.05, "grams for 20 L");
    let less = dose(&batch, (Stock::Bicarbonate, None), (50.0, 0.5)).itself;
    assert!(
        less.expect("known")
            .ta_change_g_per_l
            .expect("it takes acid away")
            < 0.0
    );
    let grip = dose(&batch, (Stock::Tannin, None), (50.0, 0.5)).itself;
    assert_eq!(grip.expect("known").ta_change_g_per_l, None);
}

#[test]
fn the_honey_itself_leaves_the_mead_stronger_than_its_stock() {
    let batch = mead(20.0, 0.998, 12.0, 1.0);
    let found = dose(&batch, (Stock::Honey, Some(&honey())), (50.0, 3.0));
    let (stock, honey) = (
        found.with_stock.expect("known"),
        found.itself.expect("known"),
    );
    assert!(honey.with_it.abv_percent > stock.abv_percent + 0.2);
    // The mead is lighter than the water of the stock.
    assert!(honey.with_it.sg < stock.sg);
    let nothing = dose(&batch, (Stock::Honey, None), (50.0, 3.0));
    assert_eq!((nothing.with_stock, nothing.itself), (None, None));
    close(nothing.stock_l, 1.2, 1e-12, "by volume all the same");
    let none = dose(&batch, (Stock::Tartaric, None), (50.0, 0.0));
    close(
        none.itself.expect("known").kg,
        0.0,
        0.0,
        "a glass without anything",
    );
}

proptest! {
    /// The glass, times what the batch is more than it, is the batch with its dose: through the mass balance.
    #[test]
    fn glass_times_volume_is_the_batch_with_its_dose(
        which in 0_usize..7,
        litres in 1.0_f64..500.0,
        sg in 0.998_f64..1.03,
        abv in 3.0_f64..17.0,
        sample_ml in 10.0_f64..250.0,
        part in 0.0_f64..0.1,
    ) {
        let stock = known()[which];
        let honey = honey();
        let batch = mead(litres, sg, abv, 1.0);
        let stock_ml = part * sample_ml;
        let is = composition(stock, Some(&honey)).expect("known");
        let glass = glass(&batch, sample_ml, &is, stock_ml);
        let (one, many) = (glass.state(), dose(&batch, (stock, Some(&honey)), (sample_ml, stock_ml)));
        let with = many.with_stock.expect("known");
        close(with.sg, one.sg, 1e-9, "gravity");
        close(with.abv_percent, one.abv_percent, 1e-9, "strength");
        let times = litres / (sample_ml / 1000.0);
        close(with.volume_l, one.volume_l * times, 1e-6 * litres, "volume");
        close(many.stock_l, stock_ml / 1000.0 * times, 1e-9 * litres, "stock");
        // Without the water of the stock: as much of the thing itself in each litre as in the glass.
        let pure = many.itself.expect("known");
        let held = stock_ml / 1000.0 * is.density_kg_per_l.expect("a density");
        let share = match stock {
            Stock::Honey | Stock::Sugar => 0.5,
            _ => is.unfermentable,
        };
        let in_glass = held * share / one.volume_l;
        close(pure.kg / pure.with_it.volume_l, in_glass, 1e-9, "in each litre");
        prop_assert!(pure.with_it.abv_percent >= with.abv_percent - 1e-9);
    }
}

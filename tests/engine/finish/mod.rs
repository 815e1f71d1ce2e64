//! The last third of a mead: is it finished, what stabilises and sweetens it, and what glasses on the bench say.

mod stabilising;
mod still;
mod sweetness;
mod trial;

use mustwright::engine::balance::Liquid;

/// So many litres of a mead of that gravity and strength, with so much of its solids as sugar, g/L.
pub fn mead(litres: f64, sg: f64, abv_percent: f64, sugar_g_per_l: f64) -> Liquid {
    let all = Liquid::of_reading(litres, sg, abv_percent).expect("a mead");
    let sugar_kg = sugar_g_per_l * litres / 1000.0;
    Liquid {
        sugar_kg,
        extract_kg: all.extract_kg - sugar_kg,
        ..all
    }
}

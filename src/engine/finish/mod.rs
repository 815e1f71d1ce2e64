//! The last third of a mead: whether it is finished, how it is stabilised, sweetened and put right by taste. Pure rules.

pub mod limits;
pub mod stabilising;
pub mod still;
pub mod sweetness;
pub mod trial;

//! Notes of judges beside a batch's log: what they ticked, what its log says about that, and one thing to do otherwise.

mod pages;
pub mod store;
mod words;

pub(super) use pages::bind;

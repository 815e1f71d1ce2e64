//! Batches: what was made of a recipe. What a batch began with is frozen in it; everything after is its log.

pub mod compare;
pub mod house;
mod known;
pub mod log;
mod log_file;
pub mod model;
pub mod opened;
pub mod outlook;
pub mod pages;
pub mod parting;
pub mod paths;
pub mod plan;
pub mod sensors;
pub mod series;
mod sheet;
pub mod start;
pub mod store;
pub mod table;
pub mod trouble;
mod view;

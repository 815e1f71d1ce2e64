//! Competitions: who sees what in which phase, codes, flights, sheets, results.

pub mod building;
mod chain;
mod desk;
mod entering;
pub mod entries;
mod flights;
pub mod judged;
pub mod judging;
mod notes;
mod organise;
mod rehearsal;
pub mod results;
mod roster;
mod taken_along;

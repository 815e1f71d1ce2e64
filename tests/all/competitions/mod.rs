//! Competitions: who sees what in which phase, codes, flights, sheets, results.

mod apart;
mod arrivals;
pub mod building;
mod chain;
mod deleted;
mod desk;
mod entering;
pub mod entries;
pub mod flights;
pub mod judged;
pub mod judging;
mod notes;
mod organise;
mod prizes;
mod rehearsal;
pub mod results;
mod roster;
mod rules_hold;
mod seats;
mod taken_along;

//! The engine against tables, laws and facts of the trade; builds without the `server` feature.

mod alcohol;
mod balance;
mod documents;
mod edges;
mod formulation;
mod laws;
mod physics;
mod problems;
mod support;

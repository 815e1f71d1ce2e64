//! The engine against tables, laws and facts of the trade; builds without the `server` feature.

mod alcohol;
mod balance;
mod documents;
mod formulation;
mod laws;
mod physics;
mod support;

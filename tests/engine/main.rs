//! The engine against tables, laws and facts of the trade; builds without the `server` feature.

mod alcohol;
mod balance;
mod calculations;
mod cautions;
mod composition;
mod cost;
mod documents;
mod edges;
mod feeding;
mod forecast;
mod formulation;
mod hostile;
mod kinetics;
mod laws;
mod ode;
mod physics;
mod problems;
mod reading;
mod recipe_laws;
mod scaling;
mod spread;
mod styles;
mod support;
mod taste;
mod water;

//! Competitions without people.

mod abstain;
mod agree;
mod any;
mod assign;
mod categories;
mod causes;
mod flights;
mod merge;
mod order;
mod results;
mod review;
mod statistics;

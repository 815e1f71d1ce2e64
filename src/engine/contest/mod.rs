//! Competitions without people: rules fixed beforehand, sheets, how flights are made, ties, results. Pure: the same inputs
//! give the same answer.

pub mod abstain;
pub mod account;
pub mod agree;
pub mod assign;
pub mod categories;
pub mod causes;
pub mod declared;
pub mod draw;
pub mod faults;
pub mod flights;
pub mod frozen;
pub mod merge;
pub mod order;
pub mod results;
pub mod review;
pub mod rules;
pub mod seating;
pub mod sheet;
pub mod statistics;
pub mod ties;

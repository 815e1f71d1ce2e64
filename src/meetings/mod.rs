//! Meetings of the club: when, where, who comes, and what is poured in which order.

mod bringing;
pub mod brought;
pub mod calendar;
pub mod forms;
pub mod model;
pub mod pages;
pub mod paths;
pub mod pouring;
pub mod store;
pub mod view;

//! A recipe as its link opens it: the newest revision, for whoever holds the link, with nothing else of the club.

pub mod pages;
mod structured;

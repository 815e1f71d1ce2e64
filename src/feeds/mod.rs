//! Feeds (Atom, RFC 4287): what is public, and for members with a token what is new in the club's recipes.

mod atom;
pub mod model;
pub mod pages;
pub mod paths;
pub mod store;

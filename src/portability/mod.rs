//! What a member takes along: export, import, and leaving.

pub mod archive;
mod costly;
pub mod export;
pub mod import;
pub mod kinds;
pub mod leaving;
pub mod pages;
pub mod paths;
pub mod sheet;

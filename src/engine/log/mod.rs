//! The state of a batch by pure replay of its log: what it began with, what was done and read, what follows from it.

mod adding;
mod bench;
mod compare;
pub mod entry;
pub mod house;
mod judge;
mod liquid;
mod marks;
mod measuring;
pub mod own;
mod question;
pub mod ranges;
pub mod read;
mod replay;
pub mod samples;
pub mod start;
mod state;
mod summary;
mod tasting;
mod vat;
mod write;

pub use compare::{Compared, Reason, ReasonCode};
pub use entry::{Deed, Entry};
pub use marks::Marks;
pub use question::{Question, QuestionCode};
pub use replay::replay;
pub use start::Start;
pub use state::{
    Attenuation, Cost, Expected, Flows, GivenFeed, Losses, Measured, Nitrogen, Point, Simple, State,
};

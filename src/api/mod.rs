//! The JSON API under /api/v1 and its OpenAPI description: the engine for programs, open to everyone, storing nothing;
//! recipes for programs that bring a member's token, and what a sensor posts.

mod fault;
pub mod pages;
pub mod paths;
pub mod readings;
pub mod recipes;

pub use pages::router;

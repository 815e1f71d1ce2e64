//! The JSON API under /api/v1 and its OpenAPI description: the engine for programs, open to everyone, storing nothing;
//! and recipes for programs that bring a member's token.

mod fault;
pub mod pages;
pub mod paths;
pub mod recipes;

pub use pages::router;

//! The JSON API under /api/v1 and its OpenAPI description: the engine for programs, open to everyone, storing nothing.

pub mod pages;
pub mod paths;

pub use pages::router;

//! The JSON API under /api/v1 and its OpenAPI description.

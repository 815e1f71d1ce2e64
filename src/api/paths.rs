//! Addresses of the API.

/// All numbers of a recipe (POST).
pub const FORMULATE: &str = "/api/v1/formulate";
/// One calculation by name (POST).
pub const CALCULATE: &str = "/api/v1/calculate/{name}";
/// The description of the API (GET).
pub const DESCRIPTION: &str = "/api/v1/openapi.json";

/// All of them: method and path.
pub const ROUTES: &[(&str, &str)] = &[
    ("POST", FORMULATE),
    ("POST", CALCULATE),
    ("GET", DESCRIPTION),
];

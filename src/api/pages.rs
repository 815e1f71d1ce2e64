//! Handlers of what is open to everybody: JSON in, JSON out.

use axum::Router;
use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{DefaultBodyLimit, Path};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

use super::fault::{Fault, json, no_json, text_of};
use super::paths;
use crate::engine::json::{Json, NotJson};
use crate::engine::{Settings, calculations, formulate_text};
use crate::web::paths::Routes;

/// The largest body, bytes: a thousand ingredients with long notes fit.
pub(super) const MAX_BYTES: usize = 1024 * 1024;

/// The description, written by hand; a test holds it against the routes and the answers.
pub const DESCRIPTION: &str = include_str!("openapi.json");

/// What is open to everybody.
pub fn router<S: Clone + Send + Sync + 'static>() -> Router<S> {
    Routes::of(paths::ROUTES)
        .on(paths::FORMULATE, formulate)
        .on(paths::CALCULATE, calculate)
        .on(paths::DESCRIPTION, describe)
        .done()
        .layer(DefaultBodyLimit::max(MAX_BYTES))
}

async fn formulate(body: Result<Bytes, BytesRejection>) -> Response {
    let text = match text_of(&body) {
        Ok(text) => text,
        Err(fault) => return fault.into_response(),
    };
    match formulate_text(text, &Settings::default()) {
        Ok(formulation) if formulation.problems.is_empty() => {
            json(StatusCode::OK, "application/json", &formulation)
        }
        Ok(formulation) => Fault::new(StatusCode::UNPROCESSABLE_ENTITY, "The recipe has problems")
            .problems(formulation.problems.clone())
            .formulation(formulation)
            .into_response(),
        Err(NotJson(detail)) => no_json(detail).into_response(),
    }
}

async fn calculate(Path(name): Path<String>, body: Result<Bytes, BytesRejection>) -> Response {
    if calculations::find(&name).is_none() {
        let names: Vec<&str> = calculations::LIST.iter().map(|known| known.name).collect();
        return Fault::new(StatusCode::NOT_FOUND, "No calculation of that name")
            .detail(format!("Known are: {}.", names.join(", ")))
            .into_response();
    }
    let input = match text_of(&body).map(Json::parse) {
        Ok(Ok(input)) => input,
        Ok(Err(NotJson(detail))) => return no_json(detail).into_response(),
        Err(fault) => return fault.into_response(),
    };
    match calculations::calculate(&name, &input) {
        Some(Ok(output)) => json(StatusCode::OK, "application/json", &output),
        Some(Err(problems)) => {
            Fault::new(StatusCode::UNPROCESSABLE_ENTITY, "The input has problems")
                .problems(problems)
                .into_response()
        }
        None => StatusCode::NOT_FOUND.into_response(),
    }
}

async fn describe() -> Response {
    let kind = [(header::CONTENT_TYPE, "application/json; charset=utf-8")];
    (kind, DESCRIPTION).into_response()
}

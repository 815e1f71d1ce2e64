//! The API's handlers: JSON in, JSON out; every fault as problem details (RFC 9457).

use axum::Router;
use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{DefaultBodyLimit, Path};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;

use super::paths;
use crate::engine::json::{Json, NotJson};
use crate::engine::problem::Problem;
use crate::engine::{Formulation, Settings, calculations, formulate_text};
use crate::web::paths::Routes;

/// The largest body, bytes: a thousand ingredients with long notes fit.
const MAX_BYTES: usize = 1024 * 1024;

/// The description, written by hand; a test holds it against the routes and the answers.
pub const DESCRIPTION: &str = include_str!("openapi.json");

/// The routes of the API.
pub fn router<S: Clone + Send + Sync + 'static>() -> Router<S> {
    Routes::of(paths::ROUTES)
        .on(paths::FORMULATE, formulate)
        .on(paths::CALCULATE, calculate)
        .on(paths::DESCRIPTION, describe)
        .done()
        .layer(DefaultBodyLimit::max(MAX_BYTES))
}

/// Problem details, with the members of ours beside the standard's.
#[derive(Default, Serialize)]
struct Fault {
    r#type: &'static str,
    title: &'static str,
    status: u16,
    #[serde(skip_serializing_if = "Option::is_none")]
    detail: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    problems: Option<Vec<Problem>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    formulation: Option<Box<Formulation>>,
}

impl Fault {
    fn new(status: StatusCode, title: &'static str) -> Self {
        Fault {
            r#type: "about:blank",
            title,
            status: status.as_u16(),
            ..Fault::default()
        }
    }

    fn detail(self, detail: impl Into<String>) -> Self {
        Fault {
            detail: Some(detail.into()),
            ..self
        }
    }

    fn problems(self, problems: Vec<Problem>) -> Self {
        Fault {
            problems: Some(problems),
            ..self
        }
    }
}

impl IntoResponse for Fault {
    fn into_response(self) -> Response {
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::BAD_REQUEST);
        json(status, "application/problem+json", &self)
    }
}

fn json(status: StatusCode, kind: &'static str, value: &impl Serialize) -> Response {
    match serde_json::to_string(value) {
        Ok(text) => {
            let headers = [
                (header::CONTENT_TYPE, kind),
                (header::CACHE_CONTROL, "no-store"),
            ];
            (status, headers, text).into_response()
        }
        // Engine values always serialise; a future one that does not is a fault of ours.
        Err(_) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

fn no_json(detail: impl Into<String>) -> Fault {
    Fault::new(StatusCode::BAD_REQUEST, "The body is no JSON").detail(detail)
}

/// The body as text, or why it is none.
fn text_of(body: &Result<Bytes, BytesRejection>) -> Result<&str, Fault> {
    match body {
        Ok(bytes) => std::str::from_utf8(bytes).map_err(|fault| no_json(fault.to_string())),
        Err(rejection) => {
            Err(Fault::new(rejection.status(), "The body was not taken")
                .detail(rejection.body_text()))
        }
    }
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
        Ok(formulation) => Fault {
            problems: Some(formulation.problems.clone()),
            formulation: Some(Box::new(formulation)),
            ..Fault::new(StatusCode::UNPROCESSABLE_ENTITY, "The recipe has problems")
        }
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

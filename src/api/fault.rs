//! Every fault of the API as problem details (RFC 9457), with the members of ours beside the standard's.

use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;

use crate::engine::Formulation;
use crate::engine::problem::Problem;
use crate::web::Error;

/// What is wrong, for a program.
#[derive(Default, Serialize)]
pub(super) struct Fault {
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
    pub fn new(status: StatusCode, title: &'static str) -> Self {
        Fault {
            r#type: "about:blank",
            title,
            status: status.as_u16(),
            ..Fault::default()
        }
    }

    pub fn detail(self, detail: impl Into<String>) -> Self {
        Fault {
            detail: Some(detail.into()),
            ..self
        }
    }

    pub fn problems(self, problems: Vec<Problem>) -> Self {
        Fault {
            problems: Some(problems),
            ..self
        }
    }

    pub fn formulation(self, formulation: Formulation) -> Self {
        Fault {
            formulation: Some(Box::new(formulation)),
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

/// Why a handler gives nothing: a fault that only programs meet, or one that pages have too.
pub(super) enum Refusal {
    Fault(Box<Fault>),
    Error(Error),
}

impl From<Fault> for Refusal {
    fn from(fault: Fault) -> Refusal {
        Refusal::Fault(Box::new(fault))
    }
}

impl From<Error> for Refusal {
    fn from(error: Error) -> Refusal {
        Refusal::Error(error)
    }
}

impl From<sqlx::Error> for Refusal {
    fn from(cause: sqlx::Error) -> Refusal {
        Refusal::Error(cause.into())
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        match self {
            Refusal::Fault(fault) => fault.into_response(),
            Refusal::Error(error) => error.into_response(),
        }
    }
}

/// What a handler of the API returns.
pub(super) type Answer = Result<Response, Refusal>;

/// A value as an answer that nobody keeps.
pub(super) fn json(status: StatusCode, kind: &'static str, value: &impl Serialize) -> Response {
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

pub(super) fn no_json(detail: impl Into<String>) -> Fault {
    Fault::new(StatusCode::BAD_REQUEST, "The body is no JSON").detail(detail)
}

/// The body as text, or why it is none.
pub(super) fn text_of(body: &Result<Bytes, BytesRejection>) -> Result<&str, Fault> {
    match body {
        Ok(bytes) => std::str::from_utf8(bytes).map_err(|fault| no_json(fault.to_string())),
        Err(rejection) => {
            Err(Fault::new(rejection.status(), "The body was not taken")
                .detail(rejection.body_text()))
        }
    }
}

//! The one error of all handlers. It is left in the response; the outer layer of `answers` draws the page.

use std::borrow::Cow;
use std::fmt;
use std::sync::Arc;

use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

/// What went wrong, as far as a visitor may know.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The request makes no sense; the sentence says why.
    BadRequest,
    /// Somebody must sign in first.
    SignIn,
    /// The member must set up a second step first.
    SecondStep,
    /// The request came from another site.
    Forbidden,
    /// The token is good, but not for this.
    OutOfReach,
    /// There is no such thing, or none for this viewer.
    NotFound,
    /// The path is there, but not for this method.
    MethodNotAllowed,
    /// Somebody else was faster, or the form was used before.
    Conflict,
    /// Too long.
    TooLarge,
    /// The request took too long to arrive.
    TooSlow,
    /// Too many tries; come back in so many seconds.
    TooMany(u32),
    /// The server cannot right now; come back in so many seconds.
    Busy(u32),
    /// A fault of ours.
    Unexpected,
}

/// An error on its way to a page. The cause is for the log only.
#[derive(Clone, Debug)]
pub struct Error {
    kind: Kind,
    sentence: String,
    carry: Carry,
    cause: Option<Arc<dyn std::error::Error + Send + Sync>>,
}

/// What the page does with the form that was posted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Carry {
    /// Nothing: it cannot be sent again, or it is not this viewer's to read.
    Nothing,
    /// Offers to send it again as it was: the same once key makes that safe.
    AsItWas,
    /// Offers to send it again under a once key of its own, so that it is saved beside the first.
    AsNew,
}

impl Error {
    fn new(kind: Kind, sentence: impl Into<String>) -> Error {
        let carry = match kind {
            Kind::SignIn
            | Kind::SecondStep
            | Kind::Busy(_)
            | Kind::TooMany(_)
            | Kind::TooSlow
            | Kind::Unexpected => Carry::AsItWas,
            Kind::Conflict => Carry::AsNew,
            _ => Carry::Nothing,
        };
        Error {
            kind,
            sentence: sentence.into(),
            carry,
            cause: None,
        }
    }

    /// The request makes no sense. `sentence` tells the visitor what to do instead.
    pub fn bad_request(sentence: impl Into<String>) -> Error {
        Error::new(Kind::BadRequest, sentence)
    }

    /// Only members come in here.
    pub fn sign_in() -> Error {
        Error::new(Kind::SignIn, "Sign in to go on.")
    }

    /// The member's role needs a second step at sign-in, and they have none yet.
    pub fn second_step_first() -> Error {
        Error::new(
            Kind::SecondStep,
            "Your role in the club needs a second step at sign-in, and you have none yet. Nothing was done. Open the link below in another tab, set it up, then send this again.",
        )
    }

    /// The request came from another site.
    pub fn from_elsewhere() -> Error {
        Error::new(
            Kind::Forbidden,
            "This form was sent from another site, so nothing was done. Open the page here and send it again.",
        )
    }

    /// The door stays shut; `sentence` says why and what opens it.
    pub fn forbidden(sentence: impl Into<String>) -> Error {
        Error::new(Kind::Forbidden, sentence)
    }

    /// The token is good, but does not open this.
    pub fn out_of_reach() -> Error {
        Error::new(
            Kind::OutOfReach,
            "This token does not open that. In the settings is written what it opens; make another for more.",
        )
    }

    /// A token was used too often.
    pub fn too_often(seconds: u32) -> Error {
        let told = format!(
            "This token was used too often within a minute. Wait {}, then go on.",
            wait(seconds)
        );
        Error::new(Kind::TooMany(seconds), told)
    }

    /// There is nothing here for this viewer, whether or not it exists.
    pub fn not_found() -> Error {
        Error::new(
            Kind::NotFound,
            "There is nothing at this address, or it is not shared with you.",
        )
    }

    /// The path does not take this method.
    pub fn method_not_allowed() -> Error {
        Error::new(
            Kind::MethodNotAllowed,
            "This address cannot be used in this way.",
        )
    }

    /// Somebody else was faster, or the form was used before; `sentence` says which and what to do.
    pub fn conflict(sentence: impl Into<String>) -> Error {
        Error::new(Kind::Conflict, sentence)
    }

    /// The form was made for another member: nothing is done with it, and its text is not shown.
    pub fn anothers_form() -> Error {
        let told = "Another member opened this form, so nothing was saved. Go back to find what was typed, or open the page again.";
        Error {
            carry: Carry::Nothing,
            ..Error::new(Kind::Conflict, told)
        }
    }

    /// Longer than anything we take.
    pub fn too_large() -> Error {
        Error::new(
            Kind::TooLarge,
            "What you sent is longer than this page can take. Go back and shorten it.",
        )
    }

    /// The body did not arrive in time.
    pub fn too_slow() -> Error {
        Error::new(
            Kind::TooSlow,
            "What you sent took too long to arrive. Go back and send it again.",
        )
    }

    /// Too many tries.
    pub fn too_many(seconds: u32) -> Error {
        Error::new(
            Kind::TooMany(seconds),
            format!(
                "There were too many tries. Wait {}, then try again.",
                wait(seconds)
            ),
        )
    }

    /// The server cannot right now.
    pub fn busy(seconds: u32) -> Error {
        Error::new(
            Kind::Busy(seconds),
            "The server cannot answer right now. Wait a moment, then send it again.",
        )
    }

    /// A fault of ours; the visitor learns only that there was one.
    pub fn unexpected(cause: impl std::error::Error + Send + Sync + 'static) -> Error {
        Error::new(
            Kind::Unexpected,
            "Something went wrong on our side. It has been noted.",
        )
        .because(cause)
    }

    /// Adds the cause, for the log.
    pub fn because(mut self, cause: impl std::error::Error + Send + Sync + 'static) -> Error {
        self.cause = Some(Arc::new(cause));
        self
    }

    /// What went wrong.
    pub fn kind(&self) -> Kind {
        self.kind
    }

    /// What the visitor reads.
    pub fn sentence(&self) -> &str {
        &self.sentence
    }

    /// Whether the database refused what it was given: a value that does not fit, or a rule that it breaks.
    pub fn is_of_data(&self) -> bool {
        let code = self.code();
        code.is_some_and(|code| code.starts_with("22") || code.starts_with("23"))
    }

    /// Whether the database undid the work because of others who did theirs at the same time (a deadlock, or an order that
    /// does not exist): the same once more may succeed.
    pub fn was_in_the_way(&self) -> bool {
        let code = self.code();
        code.is_some_and(|code| ["40001", "40P01"].contains(&&*code))
    }

    /// The database's code of what went wrong there (SQLSTATE).
    fn code(&self) -> Option<Cow<'_, str>> {
        let cause = self.cause.as_deref();
        let told = cause.and_then(|cause| cause.downcast_ref::<sqlx::Error>());
        told.and_then(sqlx::Error::as_database_error)
            .and_then(|told| told.code())
    }

    /// What only the log reads.
    pub fn cause(&self) -> Option<String> {
        let mut next: Option<&dyn std::error::Error> =
            self.cause.as_deref().map(|cause| cause as _);
        let mut parts = Vec::new();
        while let Some(error) = next {
            parts.push(error.to_string());
            next = error.source();
        }
        (!parts.is_empty()).then(|| parts.join(": "))
    }

    /// The status of the answer.
    pub fn status(&self) -> StatusCode {
        match self.kind {
            Kind::BadRequest => StatusCode::BAD_REQUEST,
            Kind::SignIn => StatusCode::UNAUTHORIZED,
            Kind::SecondStep | Kind::Forbidden | Kind::OutOfReach => StatusCode::FORBIDDEN,
            Kind::NotFound => StatusCode::NOT_FOUND,
            Kind::MethodNotAllowed => StatusCode::METHOD_NOT_ALLOWED,
            Kind::Conflict => StatusCode::CONFLICT,
            Kind::TooLarge => StatusCode::PAYLOAD_TOO_LARGE,
            Kind::TooSlow => StatusCode::REQUEST_TIMEOUT,
            Kind::TooMany(_) => StatusCode::TOO_MANY_REQUESTS,
            Kind::Busy(_) => StatusCode::SERVICE_UNAVAILABLE,
            Kind::Unexpected => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    /// The heading of the page.
    pub fn heading(&self) -> &'static str {
        match self.kind {
            Kind::BadRequest => "This cannot be read",
            Kind::SignIn => "Sign in",
            Kind::SecondStep => "A second step first",
            Kind::Forbidden => "No way in here",
            Kind::OutOfReach => "Not with this token",
            Kind::NotFound => "Nothing here",
            Kind::MethodNotAllowed => "Not in this way",
            Kind::Conflict => "Changed in the meantime",
            Kind::TooLarge => "Too long",
            Kind::TooSlow => "Too slow",
            Kind::TooMany(_) => "Too many tries",
            Kind::Busy(_) => "Not right now",
            Kind::Unexpected => "Something went wrong",
        }
    }

    /// Seconds after which trying again makes sense.
    pub fn retry_after(&self) -> Option<u32> {
        match self.kind {
            Kind::TooMany(seconds) | Kind::Busy(seconds) => Some(seconds),
            _ => None,
        }
    }

    /// What the page does with the form that was posted.
    pub fn carry(&self) -> Carry {
        self.carry
    }
}

fn wait(seconds: u32) -> String {
    match seconds {
        0 | 1 => "a second".to_owned(),
        2..=90 => format!("{seconds} seconds"),
        _ => format!("{} minutes", seconds.div_ceil(60)),
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

impl IntoResponse for Error {
    fn into_response(self) -> Response {
        let mut response = self.status().into_response();
        if let Some(seconds) = self.retry_after() {
            response
                .headers_mut()
                .insert(header::RETRY_AFTER, HeaderValue::from(seconds));
        }
        response.extensions_mut().insert(self);
        response
    }
}

/// The named constraint that a statement ran into, for the message beside a field.
pub fn violated(cause: &sqlx::Error) -> Option<&str> {
    cause.as_database_error().and_then(|told| told.constraint())
}

/// SQLSTATEs that pass by themselves: the server is away, full, locked, too slow, or no longer the one that takes writes.
const PASSING: &[&str] = &[
    "08000", "08003", "08006", "25006", "25P03", "40001", "40P01", "53000", "53100", "53200",
    "53300", "55P03", "57014", "57P01", "57P02", "57P03", "58030",
];

impl From<sqlx::Error> for Error {
    fn from(cause: sqlx::Error) -> Error {
        let passing = match &cause {
            sqlx::Error::PoolTimedOut
            | sqlx::Error::PoolClosed
            | sqlx::Error::Io(_)
            | sqlx::Error::WorkerCrashed => true,
            sqlx::Error::Database(told) => told
                .code()
                .is_some_and(|code| PASSING.contains(&code.as_ref())),
            _ => false,
        };
        match passing {
            true => Error::busy(5).because(cause),
            false => Error::unexpected(cause),
        }
    }
}

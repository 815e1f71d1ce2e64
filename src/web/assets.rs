//! Static files inside the program, under names that change with their content.

use std::collections::HashMap;
use std::fmt::Write as _;
use std::sync::LazyLock;

use axum::Router;
use axum::extract::Path;
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use sha2::{Digest, Sha256};

use super::error::Error;

struct File {
    name: &'static str,
    kind: &'static str,
    bytes: &'static [u8],
}

/// Every file served. A new one is a line here.
const FILES: &[File] = &[
    File {
        name: "app.css",
        kind: "text/css; charset=utf-8",
        bytes: include_bytes!("../../static/app.css"),
    },
    File {
        name: "live.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/live.js"),
    },
    File {
        name: "keep.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/keep.js"),
    },
    File {
        name: "sheet.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/sheet.js"),
    },
    File {
        name: "passkey.js",
        kind: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../../static/passkey.js"),
    },
    File {
        name: "icons.svg",
        kind: "image/svg+xml",
        bytes: include_bytes!("../../static/icons.svg"),
    },
];

static HASHED: LazyLock<HashMap<String, &'static File>> = LazyLock::new(|| {
    let name = |file: &'static File| (hashed_name(file), file);
    FILES.iter().map(name).collect()
});

static NAMES: LazyLock<HashMap<&'static str, String>> = LazyLock::new(|| {
    FILES
        .iter()
        .map(|file| (file.name, format!("/static/{}", hashed_name(file))))
        .collect()
});

fn hashed_name(file: &File) -> String {
    let mut hash = String::new();
    for byte in Sha256::digest(file.bytes).iter().take(8) {
        let _ = write!(hash, "{byte:02x}");
    }
    match file.name.rsplit_once('.') {
        Some((stem, end)) => format!("{stem}.{hash}.{end}"),
        None => format!("{}.{hash}", file.name),
    }
}

/// The path of a static file below the base; in a template `{{ base }}{{ asset("app.css") }}`. An unknown name
/// leads nowhere, which a test would see.
pub fn asset(name: &str) -> &'static str {
    NAMES.get(name).map_or("/static/none", String::as_str)
}

/// Serves the files; needs no session.
pub fn router<S: Clone + Send + Sync + 'static>() -> Router<S> {
    Router::new().route("/static/{name}", get(serve))
}

async fn serve(Path(name): Path<String>) -> Response {
    let Some(file) = HASHED.get(&name) else {
        return Error::not_found().into_response();
    };
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(file.kind)),
        (
            header::CACHE_CONTROL,
            HeaderValue::from_static("public, max-age=31536000, immutable"),
        ),
    ];
    (headers, file.bytes).into_response()
}

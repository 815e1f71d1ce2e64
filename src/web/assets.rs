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
    let (file, kept) = match (HASHED.get(&name), of_another_version(&name)) {
        (Some(file), _) => (*file, "public, max-age=31536000, immutable"),
        (None, Some(file)) => (file, "no-store"),
        (None, None) => return Error::not_found().into_response(),
    };
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(file.kind)),
        (header::CACHE_CONTROL, HeaderValue::from_static(kept)),
    ];
    (headers, file.bytes).into_response()
}

/// Our file for a name that a page of another version asks for: while servers are updated one after the other, the next
/// request may reach any of them.
fn of_another_version(name: &str) -> Option<&'static File> {
    let (rest, end) = name.rsplit_once('.')?;
    let (stem, hash) = rest.rsplit_once('.')?;
    let is_hash = hash.len() == 16 && hash.bytes().all(|byte| byte.is_ascii_hexdigit());
    let own = |file: &&File| file.name.rsplit_once('.') == Some((stem, end));
    FILES.iter().find(own).filter(|_| is_hash)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_page_of_another_version_asks_for_is_ours_of_that_name() {
        let found = |name| of_another_version(name).map(|file| file.name);
        assert_eq!(found("app.0123456789abcdef.css"), Some("app.css"));
        for none in [
            "app.css",
            "app.0123.css",
            "app.0123456789abcdef.js",
            "other.0123456789abcdef.css",
            "app.0123456789abcdeg.css",
        ] {
            assert_eq!(found(none), None, "{none}");
        }
    }
}

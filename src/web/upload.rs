//! A form with a file in it (multipart/form-data, RFC 7578), read strictly from a body that is already bounded.

use std::future::poll_fn;
use std::pin::Pin;
use std::sync::{Arc, Mutex, PoisonError};
use std::task::{Context, Poll};

use axum::body::{Body, Bytes, HttpBody};
use hyper::body::Frame;

use super::error::Error;
use super::once;

/// What stands in the field of a file that was not kept.
pub const NOT_KEPT: &str = "not kept, choose it again";

/// So much of what is too large is still taken in and forgotten, bytes: a browser that is cut off while it sends shows no answer.
const FORGOTTEN: usize = 64 * 1024 * 1024;

/// The first `most` bytes of a body, and whether there was more.
///
/// # Errors
/// When it breaks off.
pub async fn received(mut body: Body, most: usize) -> Result<(Vec<u8>, bool), Error> {
    let mut bytes = Vec::new();
    let mut more = 0_usize;
    while let Some(frame) = poll_fn(|context| Pin::new(&mut body).poll_frame(context)).await {
        let frame = frame.map_err(|_| Error::bad_request("The form broke off. Send it again."))?;
        let Ok(data) = frame.into_data() else {
            continue;
        };
        let fits = data.len().min(most - bytes.len());
        bytes.extend_from_slice(&data.slice(..fits));
        more += data.len() - fits;
        if more > FORGOTTEN {
            break;
        }
    }
    Ok((bytes, more > 0))
}

/// One field of such a form.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// The field's name.
    pub name: String,
    /// Whether it is a file.
    pub is_file: bool,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// The body is no such form, or was cut off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotAForm;

/// The most fields that a form with a file has.
const MOST: usize = 20;

/// Reads the fields in their order.
pub fn read(content_type: &str, body: &[u8]) -> Result<Vec<Part>, NotAForm> {
    let boundary = boundary(content_type).ok_or(NotAForm)?;
    let first = format!("--{boundary}");
    let between = format!("\r\n--{boundary}");
    let mut rest = match body.strip_prefix(first.as_bytes()) {
        Some(rest) => rest,
        None => split(body, between.as_bytes()).ok_or(NotAForm)?.1,
    };
    let mut parts = Vec::new();
    while !rest.starts_with(b"--") {
        rest = rest.strip_prefix(b"\r\n").ok_or(NotAForm)?;
        let (head, after) = split(rest, b"\r\n\r\n").ok_or(NotAForm)?;
        let (bytes, next) = split(after, between.as_bytes()).ok_or(NotAForm)?;
        let head = std::str::from_utf8(head).map_err(|_| NotAForm)?;
        let (name, is_file) = named(head).ok_or(NotAForm)?;
        if parts.len() == MOST {
            return Err(NotAForm);
        }
        parts.push(Part {
            name,
            is_file,
            bytes: bytes.to_vec(),
        });
        rest = next;
    }
    Ok(parts)
}

/// The texts of such a form in which no file was chosen: all that somebody typed. `None` for any other.
pub fn texts(content_type: &str, body: &[u8]) -> Option<Vec<(String, String)>> {
    let mut pairs = Vec::new();
    for part in read(content_type, body).ok()? {
        match part.is_file {
            true if part.bytes.is_empty() => {}
            true => return None,
            false if part.bytes.contains(&0) => return None,
            false => pairs.push((part.name, String::from_utf8(part.bytes).ok()?)),
        }
    }
    Some(pairs)
}

/// The texts that stand whole before the first file of a form that may be cut off.
pub fn texts_before_file(content_type: &str, body: &[u8]) -> Vec<(String, String)> {
    before_file(content_type, body).0
}

/// What can be kept of a form with a file when it cannot be done now: the texts before the file, and in its field that it must be
/// chosen again. Nothing where nobody typed anything, or where a text holds what no text has.
pub fn keepable(content_type: &str, body: &[u8]) -> Vec<(String, String)> {
    let (mut pairs, file) = before_file(content_type, body);
    if !pairs.iter().any(is_typed) || pairs.iter().any(|(_, text)| text.contains('\0')) {
        return Vec::new();
    }
    pairs.extend(file.map(|name| (name, NOT_KEPT.to_owned())));
    pairs
}

/// Whether somebody typed it: no key of ours, and not empty.
pub fn is_typed((name, text): &(String, String)) -> bool {
    name != once::FIELD && !text.trim().is_empty()
}

/// The texts that stand whole before the first file, and the name of its field.
fn before_file(content_type: &str, body: &[u8]) -> (Vec<(String, String)>, Option<String>) {
    let Some(boundary) = boundary(content_type) else {
        return (Vec::new(), None);
    };
    let between = format!("\r\n--{boundary}");
    let first = body.strip_prefix(format!("--{boundary}").as_bytes());
    let mut rest = first.unwrap_or_default();
    let mut pairs = Vec::new();
    while let Some((pair, next)) = text_at(rest, between.as_bytes()) {
        pairs.push(pair);
        rest = next;
    }
    pairs.truncate(MOST);
    (pairs, file_at(rest))
}

/// The name of the field of a file that stands at the beginning.
fn file_at(rest: &[u8]) -> Option<String> {
    let (head, _) = split(rest.strip_prefix(b"\r\n")?, b"\r\n\r\n")?;
    let (name, is_file) = named(std::str::from_utf8(head).ok()?)?;
    is_file.then_some(name)
}

/// The beginning of a body.
pub struct Begun {
    bytes: Vec<u8>,
    rest: Rest,
}

impl Begun {
    /// Of which nothing is read yet.
    pub fn of(body: Body) -> Begun {
        Begun {
            bytes: Vec::new(),
            rest: Rest(Arc::new(Mutex::new(body))),
        }
    }

    /// Reads on until there are about `most` bytes, or all. What was read stays when nobody waits for more.
    ///
    /// # Errors
    /// When it breaks off.
    pub async fn read(&mut self, most: usize) -> Result<(), Error> {
        while self.bytes.len() < most {
            let Some(frame) = self.rest.next().await else {
                break;
            };
            let frame =
                frame.map_err(|_| Error::bad_request("The form broke off. Send it again."))?;
            self.bytes.extend(frame.into_data().unwrap_or_default());
        }
        Ok(())
    }

    /// What was read.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// The body as it was, and what of it nobody has read.
    pub fn rejoined(self) -> (Body, Rest) {
        let whole = Rejoined {
            head: Some(Bytes::from(self.bytes)),
            rest: self.rest.clone(),
        };
        (Body::new(whole), self.rest)
    }
}

/// What follows the beginning of a body.
#[derive(Clone)]
pub struct Rest(Arc<Mutex<Body>>);

impl Rest {
    fn poll(&self, context: &mut Context<'_>) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        let mut body = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        Pin::new(&mut *body).poll_frame(context)
    }

    async fn next(&self) -> Option<Result<Frame<Bytes>, axum::Error>> {
        poll_fn(|context| self.poll(context)).await
    }

    /// Takes in what nobody read, so that whoever still sends it sees the answer.
    pub async fn forget(self) {
        let mut taken = 0;
        while let Some(Ok(frame)) = self.next().await {
            taken += frame.into_data().map_or(0, |bytes| bytes.len());
            if taken > FORGOTTEN {
                break;
            }
        }
    }
}

/// A body whose beginning was read already.
struct Rejoined {
    head: Option<Bytes>,
    rest: Rest,
}

impl HttpBody for Rejoined {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        match self.head.take() {
            Some(head) => Poll::Ready(Some(Ok(Frame::data(head)))),
            None => self.rest.poll(context),
        }
    }
}

/// A text that stands whole at the beginning, and what follows.
fn text_at<'a>(rest: &'a [u8], between: &[u8]) -> Option<((String, String), &'a [u8])> {
    let (head, after) = split(rest.strip_prefix(b"\r\n")?, b"\r\n\r\n")?;
    let (name, is_file) = named(std::str::from_utf8(head).ok()?)?;
    if is_file {
        return None;
    }
    let (bytes, next) = split(after, between)?;
    let text = String::from_utf8(bytes.to_vec()).ok()?;
    Some(((name, text), next))
}

/// What stands before and after the first `mark`.
fn split<'a>(bytes: &'a [u8], mark: &[u8]) -> Option<(&'a [u8], &'a [u8])> {
    let at = bytes.windows(mark.len()).position(|part| part == mark)?;
    Some((&bytes[..at], &bytes[at + mark.len()..]))
}

fn boundary(content_type: &str) -> Option<&str> {
    let (kind, rest) = content_type.split_once(';')?;
    let given = rest.split(';').find_map(|piece| {
        let (name, value) = piece.trim().split_once('=')?;
        name.eq_ignore_ascii_case("boundary").then_some(value)
    })?;
    let bare = given.trim_matches('"');
    let fine = (1..=70).contains(&bare.len()) && bare.bytes().all(|byte| byte.is_ascii_graphic());
    (kind.trim().eq_ignore_ascii_case("multipart/form-data") && fine).then_some(bare)
}

/// The name of a field from its head, and whether it is a file. What a file is called on the sender's machine is
/// nobody's business here.
fn named(head: &str) -> Option<(String, bool)> {
    let line = head.split("\r\n").find_map(|line| {
        let (name, value) = line.split_once(':')?;
        name.eq_ignore_ascii_case("content-disposition")
            .then_some(value)
    })?;
    let mut pieces = line.split(';');
    if !pieces.next()?.trim().eq_ignore_ascii_case("form-data") {
        return None;
    }
    let value_of = |wanted: &str| {
        line.split(';').find_map(|piece| {
            let (name, value) = piece.trim().split_once('=')?;
            (name == wanted).then(|| value.trim_matches('"').to_owned())
        })
    };
    let is_file = line.contains("filename");
    Some((value_of("name")?, is_file))
}

#[cfg(test)]
mod tests {
    use super::*;

    const KIND: &str = "multipart/form-data; boundary=xYz";

    fn whole() -> Vec<u8> {
        b"--xYz\r\nContent-Disposition: form-data; name=\"once\"\r\n\r\nkey\r\n--xYz\r\n\
          content-disposition: form-data; name=\"file\"; filename=\"a;b.json\"\r\nContent-Type: application/json\r\n\r\n\
          {\r\n--xY\r\n}\r\n--xYz--\r\n"
            .to_vec()
    }

    #[test]
    fn of_a_form_that_is_cut_off_the_texts_before_the_file_are_kept() {
        let kind = "multipart/form-data; boundary=xYz";
        let part = |name: &str, more: &str, holds: &str| {
            format!(
                "--xYz\r\nContent-Disposition: form-data; name=\"{name}\"{more}\r\n\r\n{holds}\r\n"
            )
        };
        let text = part("note", "", "pears") + &part("day", "", "");
        let whole = text.clone() + &part("picture", "; filename=\"x.jpg\"", "\u{1}\u{2}");
        let pair = |name: &str, text: &str| (name.to_owned(), text.to_owned());
        let both = vec![pair("note", "pears"), pair("day", "")];
        assert_eq!(texts_before_file(kind, whole.as_bytes()), both);
        let cut = &whole.as_bytes()[..whole.len() - 3];
        assert_eq!(texts_before_file(kind, cut), both);
        // A text that is cut off itself is none.
        let cut = &text.as_bytes()[..40];
        assert_eq!(texts_before_file(kind, cut), []);
        assert_eq!(texts_before_file("text/plain", whole.as_bytes()), []);
    }

    #[test]
    fn of_a_form_with_a_file_what_was_typed_can_be_kept() {
        let text = "--xYz\r\nContent-Disposition: form-data; name=\"note\"\r\n\r\npears\r\n";
        let file = "--xYz\r\nContent-Disposition: form-data; name=\"picture\"; filename=\"x\"\r\n\r\n\u{1}";
        let pair = |name: &str, text: &str| (name.to_owned(), text.to_owned());
        let both = format!("{text}{file}");
        assert_eq!(
            keepable(KIND, both.as_bytes()),
            [pair("note", "pears"), pair("picture", NOT_KEPT)]
        );
        // A form of nothing but a key and a file is sent anew as quickly.
        assert_eq!(keepable(KIND, &whole()), []);
        let odd = both.replace("pears", "pe\0rs");
        assert_eq!(keepable(KIND, odd.as_bytes()), []);
    }

    #[test]
    fn fields_and_files_are_told_apart() {
        let parts = read(KIND, &whole()).unwrap();
        let part = |name: &str, is_file, bytes: &[u8]| Part {
            name: name.to_owned(),
            is_file,
            bytes: bytes.to_vec(),
        };
        assert_eq!(
            parts,
            [
                part("once", false, b"key"),
                part("file", true, b"{\r\n--xY\r\n}")
            ]
        );
        assert_eq!(
            read("Multipart/Form-Data; charset=x; boundary=\"xYz\"", &whole()),
            Ok(parts)
        );
    }

    #[test]
    fn without_a_file_all_of_it_is_text() {
        let form = |file: &str| {
            format!(
                "--xYz\r\nContent-Disposition: form-data; name=\"note\"\r\n\r\npears\r\n--xYz\r\n\
                 Content-Disposition: form-data; name=\"file\"; filename=\"\"\r\n\r\n{file}\r\n--xYz--\r\n"
            )
        };
        let typed = ("note".to_owned(), "pears".to_owned());
        assert_eq!(texts(KIND, form("").as_bytes()), Some(vec![typed]));
        assert_eq!(texts(KIND, form("x").as_bytes()), None);
        assert_eq!(texts("text/plain", form("").as_bytes()), None);
    }

    #[test]
    fn whatever_is_cut_off_or_odd_is_no_form() {
        let body = whole();
        // The last four bytes say nothing more.
        for end in 0..body.len() - 4 {
            assert_eq!(read(KIND, &body[..end]), Err(NotAForm), "{end}");
        }
        for kind in [
            "",
            "text/plain",
            "multipart/form-data",
            "multipart/form-data; boundary=",
            "multipart/form-data; boundary=other",
            "multipart/mixed; boundary=xYz",
        ] {
            assert_eq!(read(kind, &body), Err(NotAForm), "{kind}");
        }
        let many = b"--xYz\r\nContent-Disposition: form-data; name=\"a\"\r\n\r\n\r\n".repeat(30);
        assert_eq!(read(KIND, &many), Err(NotAForm));
    }
}

//! What a member takes along: the export, the import, leaving.

mod coverage;
mod export;
mod import;
mod leaving;
mod minutes;
mod pictures;
mod things;

use std::io::{Cursor, Read, Write};

use serde_json::Value;
use zip::write::SimpleFileOptions;

use crate::support::{Browser, Club, Page, Person, a_member};

const EXPORT: &str = "/settings/export";
const IMPORT: &str = "/settings/import";
const WAITING: &str = "/settings/import/waiting";

/// The files of an archive.
pub type Files = Vec<(String, Vec<u8>)>;

/// What a member's export holds.
pub async fn exported(browser: &Browser) -> Files {
    let request = browser.request(reqwest::Method::POST, EXPORT);
    let request = request
        .header("cookie", browser.cookie_line())
        .header("sec-fetch-site", "same-origin");
    let answer = request.send().await.expect("an answer");
    assert_eq!(answer.status().as_u16(), 200);
    let named = answer.headers()["content-disposition"].to_str().unwrap();
    assert!(named.starts_with("attachment; filename=\"mustwright-"));
    unzipped(&answer.bytes().await.expect("a file"))
}

fn unzipped(bytes: &[u8]) -> Files {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).expect("a ZIP file");
    let mut files = Vec::new();
    for index in 0..archive.len() {
        let mut file = archive.by_index(index).unwrap();
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).unwrap();
        files.push((file.name().unwrap().into_owned(), bytes));
    }
    files
}

fn zipped(files: &Files) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        writer
            .start_file(name.as_str(), SimpleFileOptions::default())
            .unwrap();
        writer.write_all(bytes).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

fn bytes_of<'a>(files: &'a Files, name: &str) -> &'a [u8] {
    let found = files.iter().find(|(known, _)| known == name);
    &found.unwrap_or_else(|| panic!("no {name}")).1
}

pub fn json_of(files: &Files, name: &str) -> Value {
    serde_json::from_slice(bytes_of(files, name)).expect("JSON")
}

/// Puts another text in place of a file, with a list that agrees.
fn with(files: &Files, name: &str, text: &str) -> Files {
    let mut files = files.clone();
    let mut manifest = json_of(&files, "manifest.json");
    manifest["files"][name] = Value::from(mustwright::portability::export::hash(text.as_bytes()));
    files.retain(|(known, _)| known != name && known != "manifest.json");
    files.push((name.to_owned(), text.as_bytes().to_vec()));
    files.push((
        "manifest.json".to_owned(),
        manifest.to_string().into_bytes(),
    ));
    files
}

/// Sends a file by the form of the import.
async fn sent(browser: &Browser, origin: &str, bytes: &[u8]) -> Page {
    let mark = "----a-mark-that-no-file-has";
    let mut body = format!(
        "--{mark}\r\nContent-Disposition: form-data; name=\"file\"; filename=\"x.zip\"\r\n\
         Content-Type: application/zip\r\n\r\n"
    )
    .into_bytes();
    body.extend_from_slice(bytes);
    body.extend_from_slice(format!("\r\n--{mark}--\r\n").as_bytes());
    let request = browser
        .request(reqwest::Method::POST, IMPORT)
        .header("origin", origin)
        .header(
            "content-type",
            format!("multipart/form-data; boundary={mark}"),
        )
        .body(body);
    browser.send(request).await
}

/// Sends a file and takes it in.
async fn taken_in(club: &Club, browser: &Browser, files: &Files) -> Page {
    let page = sent(browser, club.app.site.origin(), &zipped(files)).await;
    assert_eq!(page.status, 303, "{}", page.text);
    let waiting = browser.follow(page).await;
    let done = browser.submit(&waiting, "Take it in", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    browser.follow(done).await
}

async fn saved(browser: &Browser, path: &str, button: &str, labelled: &[(&str, &str)]) -> String {
    let form = browser.get(path).await;
    let done = browser.submit(&form, button, labelled).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let to = done.location().unwrap();
    to.split(['?', '#']).next().unwrap().to_owned()
}

/// Saves a new recipe and gives the path of its sheet.
async fn a_recipe(browser: &Browser, title: &str, visibility: &str) -> String {
    let typed = [("Name", title), ("Who may see it", visibility)];
    saved(browser, "/recipes/new", "Save as revision 1", &typed).await
}

async fn a_person(club: &Club, name: &str) -> (Person, Browser) {
    let person = a_member().named(name).of(club).await;
    let browser = club.browser_of(&person).await;
    (person, browser)
}

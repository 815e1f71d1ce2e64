//! A browser without script: keeps cookies, reads pages by label, role and words, fills and sends forms.

use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Mutex;

use reqwest::header::{COOKIE, HeaderMap, LOCATION, ORIGIN, SET_COOKIE};
use reqwest::redirect::Policy;
use scraper::{ElementRef, Html, Selector};

/// A browser at one club.
pub struct Browser {
    http: reqwest::Client,
    root: String,
    origin: String,
    base: String,
    cookies: Mutex<Vec<(String, String)>>,
}

/// An answer.
pub struct Page {
    pub status: u16,
    pub headers: HeaderMap,
    pub text: String,
}

impl Browser {
    pub fn new(address: SocketAddr, origin: &str, base: &str) -> Browser {
        Browser {
            http: reqwest::Client::builder()
                .redirect(Policy::none())
                .no_proxy()
                .build()
                .expect("a client"),
            root: format!("http://{address}"),
            origin: origin.to_owned(),
            base: base.to_owned(),
            cookies: Mutex::default(),
        }
    }

    /// A browser whose proxy reaches the club through a unix socket.
    pub fn through(socket: PathBuf, origin: &str, base: &str) -> Browser {
        let http = reqwest::Client::builder().redirect(Policy::none());
        Browser {
            http: http.unix_socket(socket).build().expect("a client"),
            root: "http://localhost".to_owned(),
            origin: origin.to_owned(),
            base: base.to_owned(),
            cookies: Mutex::default(),
        }
    }

    /// Opens a path below the base, without following where it leads.
    pub async fn get(&self, path: &str) -> Page {
        self.send(self.http.get(self.url(path))).await
    }

    /// Posts a form to a path below the base, as a page of ours would.
    pub async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Page {
        self.send(
            self.http
                .post(self.url(path))
                .header(ORIGIN, &self.origin)
                .form(fields),
        )
        .await
    }

    /// Posts bytes as a form.
    pub async fn post_bytes(&self, path: &str, body: Vec<u8>) -> Page {
        let request = self.http.post(self.url(path)).header(ORIGIN, &self.origin);
        self.send(
            request
                .header("content-type", "application/x-www-form-urlencoded")
                .body(body),
        )
        .await
    }

    /// A request of another kind, with the cookies, for the test to complete.
    pub fn request(&self, method: reqwest::Method, path: &str) -> reqwest::RequestBuilder {
        self.http.request(method, self.url(path))
    }

    /// Sends a request with the cookies and keeps those that come back.
    pub async fn send(&self, request: reqwest::RequestBuilder) -> Page {
        let cookie = self.cookie_line();
        let request = if cookie.is_empty() {
            request
        } else {
            request.header(COOKIE, cookie)
        };
        let response = request.send().await.expect("an answer");
        let (status, headers) = (response.status().as_u16(), response.headers().clone());
        for line in headers.get_all(SET_COOKIE) {
            self.keep_cookie(line.to_str().expect("a cookie"));
        }
        Page {
            status,
            headers,
            text: as_read(&response.text().await.expect("a body")),
        }
    }

    /// Follows where an answer leads; an answer that leads nowhere stays as it is.
    pub async fn follow(&self, page: Page) -> Page {
        match page.location() {
            Some(to) => {
                let path = to
                    .strip_prefix(&self.base)
                    .expect("a path below the base")
                    .to_owned();
                self.get(&path).await
            }
            None => page,
        }
    }

    /// Signs in by the form.
    pub async fn sign_in(&self, name: &str, password: &str) -> Page {
        self.post("/sign-in", &[("name", name), ("password", password)])
            .await
    }

    /// Sends the form with this button, with these texts in the fields of these labels. What the form has already
    /// is sent with it.
    pub async fn submit(&self, page: &Page, button: &str, labelled: &[(&str, &str)]) -> Page {
        let (action, fields) = page.filled(button, labelled);
        let path = action
            .strip_prefix(&self.base)
            .expect("an action below the base")
            .to_owned();
        // What stands behind the number sign says where to look, and is not sent.
        let path = path.split('#').next().unwrap_or_default().to_owned();
        let fields: Vec<(&str, &str)> = fields
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .collect();
        self.post(&path, &fields).await
    }

    /// The line of cookies that is sent.
    pub fn cookie_line(&self) -> String {
        let cookies = self.cookies.lock().expect("the cookies");
        cookies
            .iter()
            .map(|(name, value)| format!("{name}={value}"))
            .collect::<Vec<_>>()
            .join("; ")
    }

    /// Takes over the cookies of another browser: a stolen or an old session.
    pub fn take_cookies(&self, line: &str) {
        *self.cookies.lock().expect("the cookies") = line
            .split("; ")
            .filter_map(|pair| pair.split_once('='))
            .map(|(n, v)| (n.to_owned(), v.to_owned()))
            .collect();
    }

    fn keep_cookie(&self, line: &str) {
        let (name, value) = line
            .split(';')
            .next()
            .and_then(|pair| pair.split_once('='))
            .expect("a cookie");
        let mut cookies = self.cookies.lock().expect("the cookies");
        cookies.retain(|(kept, _)| kept != name);
        if !line.contains("Max-Age=0") {
            cookies.push((name.to_owned(), value.to_owned()));
        }
    }

    fn url(&self, path: &str) -> String {
        format!("{}{}{path}", self.root, self.base)
    }
}

fn select(css: &str) -> Selector {
    Selector::parse(css).expect("a selector")
}

/// A page whose no-break spaces are spaces, as a reader sees them; those in what was typed stay.
fn as_read(html: &str) -> String {
    let pieces = html.split('<').map(|piece| match piece.split_once('>') {
        Some((tag, words)) if !tag.starts_with("textarea") => {
            format!("{tag}>{}", words.replace('\u{a0}', " "))
        }
        _ => piece.to_owned(),
    });
    pieces.collect::<Vec<_>>().join("<")
}

fn words(element: ElementRef<'_>) -> String {
    element
        .text()
        .collect::<String>()
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}

impl Page {
    /// Where the answer leads.
    pub fn location(&self) -> Option<&str> {
        self.headers.get(LOCATION).and_then(|to| to.to_str().ok())
    }

    /// A header's text, empty if none.
    pub fn header(&self, name: &str) -> &str {
        self.headers
            .get(name)
            .and_then(|value| value.to_str().ok())
            .unwrap_or_default()
    }

    fn html(&self) -> Html {
        Html::parse_document(&self.text)
    }

    /// The words of the first element of a selector.
    pub fn words_of(&self, css: &str) -> Option<String> {
        self.html().select(&select(css)).next().map(words)
    }

    /// The heading.
    pub fn heading(&self) -> String {
        self.words_of("h1").unwrap_or_default()
    }

    /// Where the link of these words leads.
    pub fn link(&self, text: &str) -> Option<String> {
        let html = self.html();
        let links = html
            .select(&select("a[href]"))
            .find(|link| words(*link) == text);
        links.and_then(|link| link.value().attr("href").map(str::to_owned))
    }

    /// Where all links lead.
    pub fn links(&self) -> Vec<String> {
        let html = self.html();
        html.select(&select("a[href]"))
            .filter_map(|link| link.value().attr("href").map(str::to_owned))
            .collect()
    }

    /// The fault beside the field of this label, empty if none.
    pub fn fault(&self, label: &str) -> String {
        let html = self.html();
        let id = control_of(&html, label);
        let fault = html
            .select(&select(".fault"))
            .find(|fault| fault.value().id() == Some(&format!("{id}-fault")));
        fault
            .map(words)
            .unwrap_or_default()
            .trim_start_matches("Fault: ")
            .to_owned()
    }

    /// The text in the field of this label.
    pub fn value(&self, label: &str) -> String {
        let html = self.html();
        let id = control_of(&html, label);
        let field = html
            .select(&select("input, textarea, select"))
            .find(|field| field.value().id() == Some(&id));
        value_of(field.expect("the field of the label")).unwrap_or_default()
    }

    /// The value of a hidden field.
    pub fn hidden(&self, name: &str) -> Option<String> {
        let html = self.html();
        let found = html
            .select(&select("input[type=hidden]"))
            .find(|field| field.value().attr("name") == Some(name));
        found.and_then(|field| field.value().attr("value").map(str::to_owned))
    }

    /// Whether there is a button of these words.
    pub fn has_button(&self, text: &str) -> bool {
        self.html()
            .select(&select("button"))
            .any(|button| words(button) == text)
    }

    /// Action and fields of the form with this button, these texts put in.
    pub fn filled(
        &self,
        button: &str,
        labelled: &[(&str, &str)],
    ) -> (String, Vec<(String, String)>) {
        let html = self.html();
        let buttons = select("button");
        let form = html
            .select(&select("form"))
            .find(|form| form.select(&buttons).any(|found| words(found) == button))
            .unwrap_or_else(|| panic!("no form with the button {button}: {}", self.text));
        let ids: Vec<(String, &str)> = labelled
            .iter()
            .map(|(label, text)| (control_of(&html, label), *text))
            .collect();
        let mut fields = Vec::new();
        for field in form.select(&select("input, textarea, select")) {
            let Some(name) = field.value().attr("name") else {
                continue;
            };
            let typed = ids
                .iter()
                .find(|(id, _)| field.value().id() == Some(id))
                .map(|(_, text)| (*text).to_owned());
            let is_choice = matches!(field.value().attr("type"), Some("radio" | "checkbox"));
            match typed {
                Some(_) if is_choice => {
                    fields.retain(|(kept, _)| {
                        kept != name || field.value().attr("type") != Some("radio")
                    });
                    fields.push((
                        name.to_owned(),
                        field.value().attr("value").unwrap_or("on").to_owned(),
                    ));
                }
                Some(text) => fields.push((name.to_owned(), text)),
                None => fields.extend(value_of(field).map(|value| (name.to_owned(), value))),
            }
        }
        let pressed = form
            .select(&buttons)
            .find(|found| words(*found) == button)
            .expect("the button");
        if let Some(name) = pressed.value().attr("name") {
            fields.push((
                name.to_owned(),
                pressed.value().attr("value").unwrap_or_default().to_owned(),
            ));
        }
        let action = pressed
            .value()
            .attr("formaction")
            .or(form.value().attr("action"))
            .unwrap_or_default();
        (action.to_owned(), fields)
    }
}

fn control_of(html: &Html, label: &str) -> String {
    let found = html
        .select(&select("label"))
        .find(|found| words(*found) == label);
    let found = found.unwrap_or_else(|| panic!("no label {label}"));
    found
        .value()
        .attr("for")
        .expect("a label of a field")
        .to_owned()
}

fn value_of(field: ElementRef<'_>) -> Option<String> {
    let attr = |name| field.value().attr(name).map(str::to_owned);
    match field.value().name() {
        "textarea" => Some(field.text().collect::<String>()),
        "select" => {
            let options = select("option");
            let mut options = field.select(&options);
            let chosen = options
                .clone()
                .find(|option| option.value().attr("selected").is_some());
            chosen
                .or_else(|| options.next())
                .and_then(|option| option.value().attr("value").map(str::to_owned))
        }
        _ => match field.value().attr("type") {
            Some("radio" | "checkbox") => {
                attr("checked").and_then(|_| attr("value").or(Some("on".to_owned())))
            }
            _ => Some(attr("value").unwrap_or_default()),
        },
    }
}

//! Chromium as a member has it: a driver, a session and a profile of its own, closed whatever the test does.

use std::path::Path;
use std::process::Stdio;
use std::sync::Arc;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use thirtyfour::common::command::{Command, ExtensionCommand};
use thirtyfour::prelude::*;
use thirtyfour::{BrowserLogEntry, ChromeCapabilities, ChromiumLikeCapabilities};
use thirtyfour::{DesiredCapabilities, LoggingPrefsLogLevel};
use tokio::io::{AsyncBufReadExt, BufReader};
use tokio::process::Child;

use super::Club;

/// How long a page may take before the test gives up on it.
const PATIENCE: Duration = Duration::from_secs(20);
const FLAGS: &[&str] = &[
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--window-size=1280,900",
    // Nothing but the club is found: a page that asks elsewhere complains on its console.
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
];

/// A browser window at one club.
#[derive(Clone)]
pub struct Chromium {
    pub driver: WebDriver,
    pub root: String,
}

/// Runs a test in Chromium. Session and driver are closed also when the body panics; the panic then goes on.
pub async fn in_chromium<F, B>(club: &Club, body: F)
where
    F: FnOnce(Chromium) -> B,
    B: Future<Output = ()> + Send + 'static,
{
    let profile = tempfile::tempdir().expect("a profile");
    on_phone(club, profile.path(), body).await;
}

/// The same on a phone that keeps its profile from one time to the next.
pub async fn on_phone<F, B>(club: &Club, profile: &Path, body: F)
where
    F: FnOnce(Chromium) -> B,
    B: Future<Output = ()> + Send + 'static,
{
    let (mut process, page) = start(club, profile).await;
    let driver = page.driver.clone();
    let outcome = tokio::spawn(body(page)).await;
    let closed = driver.quit().await;
    let ended = process.kill().await;
    if let Err(fault) = outcome {
        std::panic::resume_unwind(fault.into_panic());
    }
    closed.expect("the session closes");
    ended.expect("the driver ends");
}

/// The same until the battery is flat: Chromium is killed where it stands, and tells no page that it ends.
pub async fn until_the_battery_is_flat<F, B>(club: &Club, profile: &Path, body: F)
where
    F: FnOnce(Chromium) -> B,
    B: Future<Output = ()> + Send + 'static,
{
    let (mut process, page) = start(club, profile).await;
    let driver = page.driver.clone();
    let outcome = tokio::spawn(body(page)).await;
    let killed = kill_browser_of(profile);
    // There is no session left to close: what this answers is of no interest.
    let _ = driver.quit().await;
    let ended = process.kill().await;
    if let Err(fault) = outcome {
        std::panic::resume_unwind(fault.into_panic());
    }
    assert!(killed, "a browser with this profile runs");
    ended.expect("the driver ends");
}

/// Kills the browser of a profile; whether there was one.
fn kill_browser_of(profile: &Path) -> bool {
    let own = format!("--user-data-dir={}", profile.display());
    let is_its = |folder: &Path| {
        let line = std::fs::read(folder.join("cmdline")).unwrap_or_default();
        let line = String::from_utf8_lossy(&line).into_owned();
        // Its helpers have a type, and end with it.
        line.split('\0').any(|word| word == own)
            && !line.contains("--type=")
            && !line.contains("chromedriver")
    };
    let running = std::fs::read_dir("/proc").expect("processes").flatten();
    let mut killed = false;
    for found in running.filter(|found| is_its(&found.path())) {
        let id = found.file_name();
        let done = std::process::Command::new("kill")
            .arg("-9")
            .arg(id)
            .status();
        killed |= done.is_ok_and(|status| status.success());
    }
    killed
}

/// A driver with a browser of this profile.
async fn start(club: &Club, profile: &Path) -> (Child, Chromium) {
    let (process, address) = start_driver().await;
    let flags = FLAGS.iter().map(|flag| (*flag).to_owned());
    let own = format!("--user-data-dir={}", profile.display());
    let mut wanted: ChromeCapabilities = DesiredCapabilities::chrome();
    for flag in flags.chain([own]) {
        wanted.add_arg(&flag).expect("a flag");
    }
    wanted
        .set_browser_log_level(LoggingPrefsLogLevel::All)
        .expect("the console's log");
    let driver = WebDriver::new(address, wanted)
        .await
        .expect("Chromium starts: sh docker/setup.sh --tests installs it");
    let root = root_of(club);
    (process, Chromium { driver, root })
}

/// Where the club is found: at the address that it listens on, or at this machine's name if it goes by that.
fn root_of(club: &Club) -> String {
    let site = &club.app.site;
    match site.origin().starts_with("http://localhost:") {
        true => site.address(""),
        false => format!("http://{}{}", club.address, site.base().as_str()),
    }
}

/// A driver on a port that it found free.
async fn start_driver() -> (Child, String) {
    let mut process = tokio::process::Command::new("chromedriver")
        .arg("--port=0")
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .kill_on_drop(true)
        .spawn()
        .expect("chromedriver: sh docker/setup.sh --tests installs it");
    let mut lines = BufReader::new(process.stdout.take().expect("its output")).lines();
    while let Some(line) = lines.next_line().await.expect("text") {
        if let Some((_, port)) = line.rsplit_once("started successfully on port ")
            && let Ok(port) = port.trim_end_matches('.').parse::<u16>()
        {
            // Read on, or the driver would stop at a full pipe.
            tokio::spawn(async move { while let Ok(Some(_)) = lines.next_line().await {} });
            return (process, format!("http://127.0.0.1:{port}"));
        }
    }
    panic!("chromedriver says no port");
}

/// A command of Chromium's own protocol.
#[derive(Debug)]
struct Devtools(Value);

impl ExtensionCommand for Devtools {
    fn parameters_json(&self) -> Option<Value> {
        Some(self.0.clone())
    }

    fn method(&self) -> reqwest::Method {
        reqwest::Method::POST
    }

    fn endpoint(&self) -> Arc<str> {
        "/goog/cdp/execute".into()
    }
}

/// JavaScript: an element's words as they are read, hidden ones included.
const WORDS: &str = "const words = e => e.textContent.replace(/\\s+/g, ' ').trim();";

impl Chromium {
    /// A command of Chromium's own protocol.
    pub async fn devtools(&self, command: &str, parameters: Value) -> Value {
        let body = json!({ "cmd": command, "params": parameters });
        let command = Command::ExtensionCommand(Box::new(Devtools(body)));
        let answer = self.driver.cmd(command).await.expect("an answer");
        answer.value().expect("a value")
    }

    /// A window of this size; a narrow one is a phone.
    pub async fn size(&self, width: u32, height: u32) {
        let mobile = width < 600;
        let size =
            json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": mobile });
        self.devtools("Emulation.setDeviceMetricsOverride", size)
            .await;
        self.devtools(
            "Emulation.setTouchEmulationEnabled",
            json!({ "enabled": mobile }),
        )
        .await;
    }

    /// There is a connection, or there is none.
    pub async fn connection(&self, is_there: bool) {
        self.devtools("Network.enable", json!({})).await;
        let conditions = json!({ "offline": !is_there, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1 });
        self.devtools("Network.emulateNetworkConditions", conditions)
            .await;
    }

    /// A device that asks for light or dark pages.
    pub async fn prefer(&self, scheme: &str) {
        let features = json!([{ "name": "prefers-color-scheme", "value": scheme }]);
        self.devtools(
            "Emulation.setEmulatedMedia",
            json!({ "features": features }),
        )
        .await;
    }

    /// No script runs on the pages opened from now on.
    pub async fn without_script(&self) {
        self.devtools(
            "Emulation.setScriptExecutionDisabled",
            json!({ "value": true }),
        )
        .await;
    }

    /// Opens a path of the club.
    pub async fn open(&self, path: &str) {
        let address = format!("{}{path}", self.root);
        self.driver.goto(address).await.expect("the page opens");
    }

    /// Runs a script of the test's own in the page.
    pub async fn run(&self, script: &str, arguments: Vec<Value>) -> Value {
        let script = format!("{WORDS} {script}");
        let answer = self.driver.execute(script.clone(), arguments).await;
        answer
            .unwrap_or_else(|fault| panic!("{fault} in {script}"))
            .json()
            .clone()
    }

    /// What a script says, as text.
    pub async fn tell(&self, expression: &str) -> String {
        match self.run(&format!("return {expression}"), vec![]).await {
            Value::String(text) => text,
            Value::Null => String::new(),
            other => other.to_string(),
        }
    }

    /// Waits until an expression holds in the page.
    pub async fn until(&self, expression: &str) {
        let from = Instant::now();
        loop {
            // Between two pages there is nothing to ask.
            let script = format!("{WORDS} return !!({expression})");
            let answer = self.driver.execute(script, vec![]).await;
            if matches!(answer, Ok(answer) if answer.json() == &Value::Bool(true)) {
                return;
            }
            if from.elapsed() > PATIENCE {
                panic!("waited in vain for {expression} on {}", self.state().await);
            }
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    }

    /// Where the browser is and what it shows, for a failing test.
    pub async fn state(&self) -> String {
        let at = self
            .tell("location.pathname + location.search + location.hash")
            .await;
        format!("{at}: {}", self.words().await)
    }

    /// Everything in the page that is shown.
    pub async fn words(&self) -> String {
        self.tell("document.body.innerText.replace(/\\s+/g, ' ')")
            .await
    }

    /// The words of the first element of a selector, empty if there is none.
    pub async fn words_of(&self, css: &str) -> String {
        let found = format!("document.querySelector({})", json!(css));
        self.tell(&format!("{found} ? words({found}) : ''")).await
    }

    /// The heading.
    pub async fn heading(&self) -> String {
        self.words_of("h1").await
    }

    async fn element(&self, script: &str, argument: &str) -> WebElement {
        let script = format!("{WORDS} return {script}");
        let answer = self.driver.execute(script, vec![json!(argument)]).await;
        match answer.and_then(thirtyfour::prelude::ScriptRet::element) {
            Ok(element) => element,
            Err(_) => panic!("there is no “{argument}” on {}", self.state().await),
        }
    }

    /// The field of a label.
    pub async fn field(&self, label: &str) -> WebElement {
        let script =
            "[...document.querySelectorAll('label')].find(e => words(e) === arguments[0])?.control";
        self.element(script, label).await
    }

    /// The text in the field of a label.
    pub async fn value(&self, label: &str) -> String {
        let field = self.field(label).await;
        field.prop("value").await.expect("a value").expect("a text")
    }

    /// Whether the field of a label is in the page's way.
    pub async fn shows(&self, label: &str) -> bool {
        self.field(label)
            .await
            .is_displayed()
            .await
            .expect("yes or no")
    }

    /// Types into the field of a label in place of what stands there, key by key.
    pub async fn put(&self, label: &str, text: &str) {
        let field = self.field(label).await;
        field.focus().await.expect("the focus");
        let all = Key::Control + "a";
        field.send_keys(all).await.expect("all is selected");
        match text {
            "" => field.send_keys(Key::Delete).await.expect("it is emptied"),
            _ => field.send_keys(text).await.expect("the keys"),
        }
    }

    /// Chooses from the list of a label.
    pub async fn choose(&self, label: &str, words: &str) {
        let field = self.field(label).await;
        let option = format!("./option[normalize-space(.)='{words}']");
        let option = field.find(By::XPath(option)).await.expect("the choice");
        option.click().await.expect("it is chosen");
    }

    /// Presses a button or follows a link by its words.
    pub async fn press(&self, words: &str) {
        let script = "['main ', ''].flatMap(place => [...document.querySelectorAll(
            `${place}button, ${place}a[href], ${place}summary`)]).find(e => words(e) === arguments[0] && !e.ariaHidden && e.checkVisibility())";
        let found = self.element(script, words).await;
        // Into the middle, where no bar lies over it.
        let argument = found.to_json().expect("an element");
        self.run(
            "arguments[0].scrollIntoView({ block: 'center' })",
            vec![argument],
        )
        .await;
        let pressed = found.click().await;
        pressed.unwrap_or_else(|fault| panic!("{words}: {fault}"));
    }

    /// Presses what leads to another page, and waits for that page.
    pub async fn press_to(&self, words: &str) {
        self.run("document.before = true", vec![]).await;
        self.press(words).await;
        self.until("!document.before && document.readyState === 'complete'")
            .await;
    }

    /// Keys to whatever has the focus.
    pub async fn keys(&self, keys: impl Into<thirtyfour::TypingData>) {
        let focused = self.driver.active_element().await.expect("a focus");
        focused.send_keys(keys).await.expect("the keys");
    }

    /// Id of what has the focus.
    pub async fn focused(&self) -> String {
        self.tell("document.activeElement.id").await
    }

    /// What the console said since it was last asked.
    pub async fn console(&self) -> Vec<BrowserLogEntry> {
        self.driver.browser_log().await.expect("the log")
    }
}

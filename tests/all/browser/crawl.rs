//! Every page, light and dark, on a desk and on a phone: accessible, quiet on the console, nothing from elsewhere,
//! never wider than the window, each with a title of its own.

use std::collections::BTreeMap;
use std::path::Path;

use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::{Pitch, Reading};
use mustwright::members::second::codes::Key;
use mustwright::web::random::hash_of;
use serde_json::{Value, json};

use super::{VOLUME, set_up_path, sign_in};
use crate::batches::{a_maker, started, wrote};
use crate::support::{Chromium, Club, MAIL_NOWHERE, PASSWORD, a_keeper, a_member, in_chromium};

const EVERY_RULE: &str =
    "['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']";
/// What another theme can change.
const COLOURS: &str = "{ type: 'rule', values: ['color-contrast'] }";

/// Looks at pages, and remembers their titles.
pub(super) struct Crawl {
    page: Chromium,
    checker: String,
    titles: BTreeMap<String, (String, String)>,
}

impl Crawl {
    pub(super) fn new(page: Chromium) -> Crawl {
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/axe/axe.min.js");
        let checker = std::fs::read_to_string(&file).unwrap_or_else(|fault| {
            panic!(
                "{}: {fault}; sh docker/setup.sh --tests fetches it",
                file.display()
            )
        });
        Crawl {
            page,
            checker,
            titles: BTreeMap::new(),
        }
    }

    /// Opens a path and looks at it. `status` is what the server answers with.
    pub(super) async fn open(&mut self, path: &str, status: u16) {
        self.page.open(path).await;
        self.look(path, status).await;
    }

    /// Looks at the page that is open.
    pub(super) async fn look(&mut self, name: &str, status: u16) {
        let page = &self.page;
        page.until("document.readyState === 'complete'").await;
        page.run(&self.checker, vec![]).await;
        let mut seen = Vec::new();
        for width in [320, 360, 1280] {
            page.size(width, 800).await;
            let widest = page
                .tell("document.documentElement.scrollWidth - document.documentElement.clientWidth")
                .await;
            let wide = "[...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > document.documentElement.clientWidth + 1).map(e => e.outerHTML.slice(0, 90)).slice(0, 4).join(' ')";
            assert_eq!(
                widest,
                "0",
                "{name} is wider than {width}: {}",
                page.tell(wide).await
            );
            if width == 320 {
                continue;
            }
            // As tall as the page: where it scrolls, the buttons that stay in view cover a field for a moment.
            let whole = page.tell("document.documentElement.scrollHeight").await;
            page.size(width, whole.parse().expect("a height")).await;
            for (scheme, rules) in [("light", EVERY_RULE), ("dark", COLOURS)] {
                page.prefer(scheme).await;
                seen.push(
                    page.tell("getComputedStyle(document.body).backgroundColor")
                        .await,
                );
                let found = self.violations(rules).await;
                assert_eq!(found, json!([]), "{name}, {scheme}, {width}");
            }
        }
        assert_eq!(seen[0], seen[2], "light is light at every width");
        assert_ne!(seen[0], seen[1], "{name} has no dark look");
        self.is_quiet(name, status).await;
        let title = self.page.tell("document.title").await;
        // A draft opens with the faults that it was left with.
        let faulty = self.page.tell("!!document.querySelector('#problem')").await == "true";
        assert_eq!(
            title.starts_with("Error: "),
            status == 422 || faulty,
            "{name} is called {title}"
        );
        let path = self.page.tell("location.pathname").await;
        if let Some((other, there)) = self
            .titles
            .insert(title.clone(), (name.to_owned(), path.clone()))
            && there != path
        {
            panic!("{name} and {other} are both called {title}");
        }
    }

    async fn violations(&self, rules: &str) -> Value {
        let script = format!(
            "const done = arguments[arguments.length - 1];
             axe.run(document, {{ runOnly: {rules}, resultTypes: ['violations'] }}).then(
               r => done(r.violations.map(v => [v.id, v.help, ...v.nodes.slice(0, 3).map(n => n.html.slice(0, 200) + ' ' + n.any.map(a => a.message).join(' '))])),
               fault => done(String(fault)));"
        );
        let answer = self.page.driver.execute_async(script, vec![]).await;
        answer.expect("the checker answers").json().clone()
    }

    /// Nothing on the console but the status itself; nothing asked for elsewhere.
    async fn is_quiet(&self, name: &str, status: u16) {
        let of_status = format!("the server responded with a status of {status} ");
        let said: Vec<String> = self
            .page
            .console()
            .await
            .into_iter()
            .map(|entry| entry.message)
            .filter(|message| status < 400 || !message.contains(&of_status))
            // The workbench would have asked before its draft was left; no hand had touched it.
            .filter(|message| !message.contains("beforeunload"))
            .collect();
        assert_eq!(said, [] as [String; 0], "{name} speaks on the console");
        let root = json!(self.page.root);
        let elsewhere = self
            .page
            .tell(&format!(
                "performance.getEntries().filter(e => e.name.includes('//') && !e.name.startsWith({root})).map(e => e.name).join(' ')"
            ))
            .await;
        assert_eq!(elsewhere, "", "{name} asks elsewhere");
        let styled = self.page.tell("document.styleSheets.length > 0").await;
        assert_eq!(styled, "true", "{name} has no look");
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_strangers_and_members() {
    let club = Club::open().await;
    let path = set_up_path(&club).await;
    in_chromium(&club, |page| async move {
        let mut crawl = Crawl::new(page.clone());
        crawl.open("/", 200).await;
        crawl.open(&path, 200).await;
        page.press_to("Set up").await;
        crawl.look("set-up with faults", 422).await;
        super::set_up(&page, &path).await;
        crawl.titles.clear();
        crawl.look("the keeper's first page", 200).await;
        crawl.open("/settings", 200).await;
        crawl.open("/settings/password", 200).await;
        page.press_to("Change the password").await;
        crawl.look("password with faults", 422).await;
        crawl.open("/settings/export", 200).await;
        crawl.open("/settings/import", 200).await;
        page.press_to("Look what is in it").await;
        crawl.look("import with faults", 422).await;
        crawl.open("/settings/leave", 200).await;
        page.press_to("Leave the club").await;
        crawl.look("leaving with faults", 422).await;
        crawl.open("/nowhere", 404).await;
        page.press_to("Sign out").await;
        page.console().await;
        crawl.open("/sign-in", 200).await;
        crawl.open("/starters", 200).await;
        crawl.open("/starters/browned-honey?size=large", 200).await;
        crawl.open("/starters/plain-and-half-sweet", 200).await;
        crawl.open("/for-a-day", 200).await;
        let asked = "bottles=30&size=0.75+L&strength=11+%25&sweet=semi-sweet&kind=spiced";
        crawl
            .open(&format!("/for-a-day?{asked}&day=some+day"), 422)
            .await;
        let year = chrono::Utc::now().format("%Y").to_string();
        let next = year.parse::<i32>().expect("a year") + 2;
        crawl
            .open(&format!("/for-a-day?{asked}&day={next}-06-24"), 200)
            .await;
        crawl.open("/safety", 200).await;
        crawl.open("/safety/gas", 200).await;
        crawl.open("/safety/plants", 200).await;
        crawl.open("/safety/drinking", 200).await;
        crawl.open("/safety/sheet", 200).await;
        assert_eq!(
            pages_on_paper(&page).await,
            1,
            "the sheet is one page of A4"
        );
        the_checks_can_fail(&crawl).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_the_keeper_and_of_who_is_invited() {
    let club = Club::open().await;
    a_keeper().of(&club).await;
    in_chromium(&club, |page| async move {
        sign_in(&page, "Wren").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open("/keeper", 200).await;
        crawl.open("/keeper/health", 200).await;
        crawl.open("/keeper/club", 200).await;
        page.put("Name", "").await;
        page.press_to("Save").await;
        crawl.look("the club's name with faults", 422).await;
        crawl.open("/keeper/members", 200).await;
        page.press_to("Link for a new password: Wren").await;
        crawl.look("the link for a new password", 200).await;
        crawl.open("/keeper/invites", 200).await;
        page.put("For how many people", "none").await;
        page.press_to("Make the invite").await;
        crawl.look("invites with faults", 422).await;
        page.put("For how many people", "3").await;
        page.press_to("Make the invite").await;
        crawl.look("the link of an invite", 200).await;
        let link = page.words_of(".narrow .code").await;
        let path = link.trim_start_matches(&page.root).to_owned();
        page.press_to("Back to the invites").await;
        crawl.titles.clear();
        crawl.look("invites with one", 200).await;
        crawl.open(&path, 200).await;
        page.press_to("Sign out").await;
        page.console().await;
        crawl.titles.clear();
        crawl.open(&path, 200).await;
        page.press_to("Join").await;
        crawl.look("joining with faults", 422).await;
        page.put("Your name", "Ada").await;
        page.put("Password", PASSWORD).await;
        page.put("The same password again", PASSWORD).await;
        page.press_to("Join").await;
        crawl.look("welcome", 200).await;
        crawl.open("/join/nothing", 403).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_tokens_and_of_bringing_in() {
    let club = Club::open().await;
    a_member().of(&club).await;
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open("/settings/tokens", 200).await;
        page.press_to("Make the token").await;
        crawl.look("tokens with faults", 422).await;
        page.put("Name", "a cellar clock with quite a long name of its own").await;
        page.put("Your password", PASSWORD).await;
        page.press_to("Make the token").await;
        crawl.look("a new token", 200).await;
        page.press_to("Back to your tokens").await;
        crawl.titles.clear();
        crawl.look("tokens with one", 200).await;
        crawl.open("/recipes/import", 200).await;
        page.put("The document", "[{\"version\": 1}, {\"title\": \"Yule\"}]").await;
        page.press_to("Bring it in").await;
        crawl.look("documents with faults", 422).await;
        let one = |title: &str| {
            format!(
                "{{\"version\": 1, \"title\": \"{title}\", \"volume_l\": 5, \"aim\": {{\"abv_percent\": 9}}, \"finish\": {{\"dry\": true}}, \"yeasts\": [{{\"name\": \"a sturdy yeast\", \"tolerance_abv_percent\": 14, \"nitrogen_need\": \"medium\"}}]}}"
            )
        };
        let two = format!("[{}, {}]", one("Yule"), one("Lammas"));
        page.put("The document", &two).await;
        page.press_to("Bring it in").await;
        crawl.look("documents brought in", 200).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_the_second_step() {
    let club = Club::with(&[("MUSTWRIGHT_BASE_URL", "http://localhost:{port}")]).await;
    a_keeper().of(&club).await;
    a_member().named("Ada").of(&club).await;
    let pool = club.pool().clone();
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open("/second-step", 200).await;
        page.press_to("Make a passkey").await;
        crawl.look("a passkey without a name", 422).await;
        page.put("Name of the new passkey", "grey phone").await;
        page.press_to("Make a passkey").await;
        crawl.look("a passkey to be made", 200).await;
        page.open("/second-step").await;
        page.press_to("Set up codes from an app").await;
        crawl.look("an app being set up", 200).await;
        page.press_to("Use this app").await;
        crawl.titles.clear();
        crawl.look("an app without its code", 422).await;
        let secret: Vec<u8> = sqlx::query_scalar("select secret from code_apps_begun")
            .fetch_one(&pool)
            .await
            .expect("a key");
        let key = Key::of(&secret, "Club", "Ada").expect("a key");
        let code = key.code_at(chrono::Utc::now().timestamp());
        page.put("Code from your app", &code).await;
        page.press_to("Use this app").await;
        crawl.look("recovery codes", 200).await;
        assert_eq!(
            pages_on_paper(&page).await,
            1,
            "the codes are one page of A4"
        );
        crawl.open("/second-step", 200).await;
        crawl.open("/settings", 200).await;
        crawl.open("/sign-in/again?next=/second-step", 200).await;
        page.press_to("Sign in with a passkey").await;
        crawl.look("a passkey to be used", 200).await;
        page.press_to("Sign out").await;
        page.console().await;
        page.open("/sign-in").await;
        page.put("Name", "Ada").await;
        page.put("Password", PASSWORD).await;
        page.press_to("Sign in").await;
        crawl.look("the second step", 200).await;
        page.press_to("Go on").await;
        page.run(
            "document.querySelectorAll('details').forEach(e => { e.open = true; })",
            vec![],
        )
        .await;
        crawl.look("the second step without a code", 422).await;
        sign_in(&page, "Wren").await;
        crawl.open("/keeper/members", 200).await;
        page.press_to("Second step lost: Ada").await;
        crawl.look("a second step that is lost", 200).await;
    })
    .await;
}

/// A picture without words, a text like its ground and a word on the console are all noticed.
async fn the_checks_can_fail(crawl: &Crawl) {
    let page = &crawl.page;
    page.prefer("dark").await;
    page.run(
        "const picture = new Image(); picture.src = '/static/none'; document.querySelector('main').append(picture);
         document.querySelector('h1').style.color = 'color-mix(in srgb, var(--paper), var(--ink) 10%)';
         console.warn('heard');",
        vec![],
    )
    .await;
    let found = crawl.violations(EVERY_RULE).await.to_string();
    assert!(found.contains("image-alt"), "{found}");
    let found = crawl.violations(COLOURS).await.to_string();
    assert!(found.contains("color-contrast"), "{found}");
    let console = page.console().await;
    assert!(console.iter().any(|entry| entry.message.contains("heard")));
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_recipes() {
    let club = Club::open().await;
    a_keeper().of(&club).await;
    let ada = a_member().named("Ada").of(&club).await;
    let elsewhere = club.browser_of(&ada).await;
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open("/recipes/new", 200).await;
        page.put("Name", "Hedgerow").await;
        page.put(VOLUME, "much").await;
        page.press_to("Save as revision 1").await;
        crawl.look("workbench with faults", 422).await;
        page.put(VOLUME, "19 L").await;
        page.choose("How it ends", "dry, then sweetened").await;
        page.put("Gravity at the end", "1.012").await;
        page.press_to("Add fruit, juice, spice or anything else")
            .await;
        page.choose("Ingredient, Ingredient 1", "Blackberry").await;
        page.put("Amount, Ingredient 1", "2 kg").await;
        page.press_to("Recalculate").await;
        page.run(
            "document.querySelectorAll('details').forEach(e => { e.open = true; })",
            vec![],
        )
        .await;
        crawl.look("workbench, everything unfolded", 200).await;
        page.press_to("Save as revision 1").await;
        crawl.look("sheet", 200).await;
        assert_eq!(
            pages_on_paper(&page).await,
            1,
            "the sheet is one page of A4"
        );
        paper_keeps_every_caution(&page).await;
        let sheet = page.tell("location.pathname").await;
        crawl.open(&format!("{sheet}/numbers/strength"), 200).await;
        crawl.open(&format!("{sheet}/shopping"), 200).await;
        assert_eq!(
            pages_on_paper(&page).await,
            1,
            "the shopping list is one page of A4"
        );
        crawl.open(&format!("{sheet}?mixed=2026-11-28"), 200).await;
        crawl.open(&format!("{sheet}?mixed=soon"), 422).await;
        crawl.open("/methods", 200).await;
        page.open(&sheet).await;

        page.open("/vessels/new").await;
        page.put("Name", "Blue bucket").await;
        page.put("To the brim", "25 L").await;
        page.press_to("Save the vessel").await;
        page.open("/instruments/new/ph_meter").await;
        page.put("Name", "Pen").await;
        page.put("Last calibrated", "2020-01-01").await;
        page.press_to("Save the pH meter").await;
        crawl.open("/vessels", 200).await;
        crawl.open("/vessels/new", 200).await;
        page.press_to("Save the vessel").await;
        crawl.look("a vessel with faults", 422).await;
        for kind in ["hydrometer", "scale", "ph_meter", "thermometer"] {
            crawl.open(&format!("/instruments/new/{kind}"), 200).await;
        }
        crawl.open("/club/equipment/new", 200).await;
        page.put("What it is", "Hand press").await;
        page.press_to("Save").await;
        crawl.look("a thing that is lent", 200).await;
        crawl.open("/club/equipment", 200).await;
        crawl.open(&format!("{sheet}/scale"), 200).await;
        let fit = format!("{sheet}/scale?vessel=demijohn-5&many=2&later=carboy-23");
        crawl.open(&fit, 200).await;
        page.open(&sheet).await;

        crawl.open(&format!("{sheet}/swap"), 200).await;
        crawl.open(&format!("{sheet}/swap?of=honey-1"), 200).await;
        let swap = format!("{sheet}/swap?of=honey-1&with=honey-buckwheat");
        crawl.open(&swap, 200).await;
        crawl
            .open(&format!("{sheet}/swap?of=yeast-1&with=own"), 422)
            .await;
        page.open(&sheet).await;
        page.press_to("Edit").await;
        let edit = elsewhere.get(&format!("{sheet}/edit")).await;
        let saved = elsewhere
            .submit(&edit, "Save as revision 2", &[("Name", "Hedgerow, again")])
            .await;
        assert_eq!(saved.status, 303, "{}", saved.text);
        page.put("Name", "Hedgerow, mine").await;
        page.put("Gravity at the end", "1.020").await;
        page.put("Amount, Ingredient 1", "3 kg").await;
        page.press_to("Save as revision 2").await;
        crawl.look("saved meanwhile", 409).await;
        assert_eq!(page.value("Name").await, "Hedgerow, mine");
        page.press_to("Save as revision 3").await;
        crawl.open(&format!("{sheet}/revisions"), 200).await;
        crawl.open(&format!("{sheet}/revisions/1"), 200).await;
        crawl
            .open(&format!("{sheet}/revisions/3/changes"), 200)
            .await;
        crawl
            .open(&format!("{sheet}/revisions/3/changes?since=1"), 200)
            .await;
        let taking = page.tell("document.querySelector('a.take').href").await;
        let taking = taking.trim_start_matches(&page.root).to_owned();
        crawl.open(&taking, 200).await;
        crawl.open(&format!("{sheet}/lineage"), 200).await;
        crawl.open(&format!("{sheet}/compare"), 200).await;
        crawl.open(&format!("{sheet}/compare?q=hedge"), 200).await;
        crawl.open(&format!("{sheet}?volume=nothing"), 422).await;
        crawl.open("/recipes", 200).await;
        crawl
            .open("/recipes?honey=honey-wildflower&abv_from=5&sort=best", 200)
            .await;
        crawl.open("/recipes?q=hedgrow", 200).await;
        crawl.open("/recipes?q=zzz&shelf=club", 200).await;
        crawl.open("/recipes?abv_from=much", 422).await;
        crawl.open("/", 200).await;
        crawl.open(&format!("{sheet}/links"), 200).await;
        page.press_to("Let whoever has a link see it").await;
        page.put("For whom", &"x".repeat(81)).await;
        page.press_to("Make a link").await;
        crawl.look("links with faults", 422).await;
        page.put("For whom", "Aunt Hedda").await;
        page.press_to("Make a link").await;
        crawl.look("the link of a recipe", 200).await;
        let link = page.words_of(".narrow .code").await;
        let path = link.trim_start_matches(&page.root).to_owned();
        page.press_to("Back to its links").await;
        crawl.titles.clear();
        crawl.look("links with one", 200).await;
        crawl.open(&path, 200).await;
        assert_eq!(
            pages_on_paper(&page).await,
            1,
            "a shared sheet is one page of A4"
        );
        page.press_to("Sign out").await;
        page.console().await;
        crawl.titles.clear();
        crawl.open(&path, 200).await;
        crawl.open(&format!("{path}?mixed=soon"), 422).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_opinions_and_pairings() {
    let club = Club::open().await;
    let ada = a_member().named("Ada").of(&club).await;
    a_member().named("Bo").of(&club).await;
    let owner = club.browser_of(&ada).await;
    let form = owner
        .get("/recipes/new?honey=honey-clover&beside=raspberry")
        .await;
    let typed = [("Name", "Hedgerow"), ("Who may see it", "club")];
    let saved = owner.submit(&form, "Save as revision 1", &typed).await;
    let sheet = saved.location().expect("a sheet");
    let sheet = sheet.split('?').next().expect("a path").to_owned();
    in_chromium(&club, |page| async move {
        sign_in(&page, "Bo").await;
        let mut crawl = Crawl::new(page.clone());
        let unfold =
            "document.querySelectorAll('.opinions details').forEach(e => { e.open = true; })";
        page.open(&sheet).await;
        page.run(unfold, vec![]).await;
        page.press_to("Rate revision 1").await;
        crawl.look("a rating with faults", 422).await;
        page.run(
            "document.querySelector('#stars').checked = true; document.querySelector('#basis').checked = true",
            vec![],
        )
        .await;
        page.press_to("Rate revision 1").await;
        page.run(unfold, vec![]).await;
        page.put("Your words", &format!("> Once\n\n- *two*\n- `three`\n\n{}", "o".repeat(300)))
            .await;
        page.press_to("Post the comment").await;
        page.run(unfold, vec![]).await;
        crawl.look("opinions", 200).await;
        page.press_to("Post the comment").await;
        crawl.titles.clear();
        crawl.look("a comment with faults", 422).await;
        page.open(&sheet).await;
        page.run(unfold, vec![]).await;
        crawl.look("a sheet with opinions", 200).await;
        let edit = page
            .tell("document.querySelector('.comments .ways a').getAttribute('href')")
            .await;
        crawl.open(&edit, 200).await;
        page.put("Your words", "less").await;
        page.press_to("Save these words").await;
        let earlier = page
            .tell("document.querySelector('.comments .meta a').getAttribute('href')")
            .await;
        crawl.open(&earlier, 200).await;
        crawl.open("/pairings", 200).await;
        crawl.open("/pairings?beside=raspberry", 200).await;
        crawl.open("/pairings?beside=chili-dried", 200).await;
        crawl.open("/pairings?honey=honey-clover", 200).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_mail() {
    let club = Club::with(MAIL_NOWHERE).await;
    let ada = a_member().of(&club).await;
    let (confirm, stop) = ("a".repeat(52), "b".repeat(52));
    sqlx::query(
        "insert into member_mail (member_id, address, confirm_hash, confirm_until, stop_token)
         values ($1, 'ada@mead.example', $2, now() + interval '1 day', $3)",
    )
    .bind(ada.id.0)
    .bind(&hash_of(&confirm)[..])
    .bind(&stop)
    .execute(club.pool())
    .await
    .expect("an address");
    in_chromium(&club, |page| async move {
        let mut crawl = Crawl::new(page.clone());
        crawl.open(&format!("/mail/confirm/{confirm}"), 200).await;
        page.press_to("Yes, it is mine").await;
        crawl.look("an address confirmed", 200).await;
        crawl.open(&format!("/mail/stop/{stop}"), 200).await;
        page.press_to("Stop the reminders").await;
        crawl.look("reminders stopped", 200).await;
        page.open("/forgotten-password").await;
        page.press_to("Send me a link").await;
        crawl.look("a forgotten password without a name", 422).await;
        page.put("Name", "Ada").await;
        page.press_to("Send me a link").await;
        crawl.look("a link on its way", 200).await;
        sign_in(&page, "Ada").await;
        crawl.open("/settings/mail", 200).await;
        page.put("Your address", "ada").await;
        page.press_to("Send the letter").await;
        crawl.look("an address with a fault", 422).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_the_catalogue() {
    let club = Club::open().await;
    a_keeper().of(&club).await;
    in_chromium(&club, |page| async move {
        let mut crawl = Crawl::new(page.clone());
        crawl.open("/catalogue", 200).await;
        crawl.open("/catalogue?q=cherry", 200).await;
        for key in [
            "honey-heather",
            "sour-cherry",
            "cinnamon",
            "yeast-saison-type",
            "feed-mixed",
            "keg-19",
            "style-melomel",
            "word-sparkling",
        ] {
            crawl.open(&format!("/catalogue/{key}"), 200).await;
        }
        sign_in(&page, "Wren").await;
        crawl.open("/catalogue/new/yeast", 200).await;
        page.press_to("Save as revision 1").await;
        crawl.look("yeast with faults", 422).await;
        page.open("/catalogue/new/ingredient?from=honey-heather")
            .await;
        page.put("Name", "Tarn heather").await;
        page.press_to("Save as revision 1").await;
        crawl.look("an entry of the club's own", 200).await;
        let entry = page.tell("location.pathname").await;
        page.press_to("Edit").await;
        page.put("Water, in percent", "19.4").await;
        crawl.look("an entry being edited", 200).await;
        page.press_to("Save as revision 2").await;
        crawl.open(&format!("{entry}/history"), 200).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_the_club() {
    let club = Club::open().await;
    a_keeper().of(&club).await;
    in_chromium(&club, |page| async move {
        sign_in(&page, "Wren").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open("/cupboard", 200).await;
        crawl.open("/cupboard/new", 200).await;
        page.press_to("Put it in").await;
        crawl.look("cupboard with faults", 422).await;
        page.put("Called", "Raisins").await;
        page.put("How much there is", "250 g").await;
        page.put("Best before, may be left empty", "2020-01-31")
            .await;
        page.press_to("Put it in").await;
        crawl.look("cupboard with something in it", 200).await;
        page.open(
            &page
                .tell("document.querySelector('.entries a').pathname")
                .await,
        )
        .await;
        crawl.look("a thing of the cupboard", 200).await;
        crawl.open("/club/honey/new", 200).await;
        page.put("What the label says", "Moor heather").await;
        page.put("How much is in it", "3 kg").await;
        page.put("Measured water, may be left empty", "21 %").await;
        page.choose("Colour", "amber").await;
        page.press_to("Put it on the shelf").await;
        crawl.look("honey shelf", 200).await;
        page.open(
            &page
                .tell("document.querySelector('.entries a').pathname")
                .await,
        )
        .await;
        crawl.look("a jar", 200).await;
        crawl.open("/club/order/new", 200).await;
        page.put("What the order is called", "From the weir").await;
        page.put("Last day to add something", "2099-12-12").await;
        page.press_to("Open the order").await;
        page.put("Called", "Wildflower").await;
        page.put("Price of a kilogram", "7.80").await;
        page.put("Smallest pack", "12.5 kg").await;
        page.press_to("Offer it").await;
        page.put("Or a plain amount", "4 kg").await;
        page.press_to("Add it").await;
        crawl.look("an order that is open", 200).await;
        page.press_to("Close it now").await;
        crawl.look("an order that is closed", 200).await;
        crawl.open("/club/order", 200).await;
        crawl.open("/club/meetings/new", 200).await;
        page.put("What it is called", "Long tasting").await;
        page.put("Day", "2099-12-12").await;
        page.put("Time", "19:30").await;
        page.press_to("Call it").await;
        page.put("In your own words", "a dry almond mead").await;
        page.press_to("Put it down").await;
        crawl.look("a meeting", 200).await;
        let meeting = page.tell("location.pathname").await;
        crawl.open(&format!("{meeting}/pouring"), 200).await;
        assert_eq!(
            pages_on_paper(&page).await,
            1,
            "the pouring list is one page of A4"
        );
        crawl.open("/club/meetings", 200).await;
        crawl.open("/club", 200).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_calculations() {
    let club = Club::open().await;
    in_chromium(&club, |page| async move {
        let mut crawl = Crawl::new(page.clone());
        crawl.open("/calculations", 200).await;
        for described in mustwright::calculations::ALL {
            let path = mustwright::calculations::paths::page(described.name);
            page.open(&path).await;
            page.run(
                "document.querySelectorAll('details').forEach(e => { e.open = true; })",
                vec![],
            )
            .await;
            crawl.look(&path, 200).await;
        }
        crawl
            .open("/calculations/blend?parts-0-sg=much&parts-2-litres=1", 422)
            .await;
    })
    .await;
}

/// On paper every caution stands beside its number, whatever is folded; a method only where it was opened.
async fn paper_keeps_every_caution(page: &Chromium) {
    let shown = |css: &str| {
        format!(
            "[...document.querySelectorAll('{css}')].filter(e => e.checkVisibility({{ contentVisibilityAuto: true }}) && e.getClientRects().length).length"
        )
    };
    let all = page
        .tell("document.querySelectorAll('.caution[id]').length")
        .await;
    assert_ne!(all, "0");
    page.run(
        "document.querySelectorAll('details').forEach(e => { e.open = e.id === 'how-strength'; })",
        vec![],
    )
    .await;
    page.devtools("Emulation.setEmulatedMedia", json!({ "media": "print" }))
        .await;
    assert_eq!(page.tell(&shown(".caution[id]")).await, all);
    assert_eq!(page.tell(&shown(".method")).await, "1");
    assert_eq!(page.tell(&shown(".how")).await, "0");
    assert_eq!(page.tell(&shown("nav.beware")).await, "0");
    page.devtools("Emulation.setEmulatedMedia", json!({ "media": "" }))
        .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_a_newcomer() {
    let club = Club::open().await;
    a_member().named("Ada").new_to_it().of(&club).await;
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open("/", 200).await;
        crawl.open("/batches/going", 200).await;
        crawl.open("/recipes/new", 200).await;
        page.press_to("Add fruit, juice, spice or anything else")
            .await;
        page.choose("Ingredient, Ingredient 1", "Blackberry").await;
        page.choose("Yours, or a usual one", "Demijohn, 5 L").await;
        page.press_to("Recalculate").await;
        page.run(
            "document.querySelectorAll('details').forEach(e => { e.open = true; })",
            vec![],
        )
        .await;
        crawl.titles.clear();
        crawl.look("questions, everything unfolded", 200).await;
        page.run("document.querySelector('#volume').value = 'much'", vec![])
            .await;
        page.press_to("Save as revision 1").await;
        crawl.look("questions with faults", 422).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_a_batch_and_its_log() {
    let club = Club::open().await;
    a_member().named("Ada").of(&club).await;
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open("/recipes/new", 200).await;
        page.put("Name", "Hedgerow").await;
        page.press_to("Save as revision 1").await;
        page.press_to("Start a batch").await;
        crawl.look("the start of a batch", 200).await;
        page.press_to("Start the batch").await;
        let batch = page.tell("location.pathname").await;
        crawl.look("a batch that was started", 200).await;
        crawl.open(&format!("{batch}/log"), 200).await;
        page.run(
            "document.querySelectorAll('details').forEach(e => { e.open = true; })",
            vec![],
        )
        .await;
        page.put("Gravity", "very sweet").await;
        page.press_to("Write it down").await;
        crawl.titles.clear();
        crawl.look("the log with a fault", 422).await;
        page.put("Gravity", "1010").await;
        page.press_to("Write it down").await;
        crawl.look("a batch with a doubtful reading", 200).await;
        crawl.open(&format!("{batch}/log/entry/1"), 200).await;
        for sort in [
            "feed", "addition", "stir", "rack", "sample", "tasting", "note", "package", "mixed",
            "pitch", "move", "reading",
        ] {
            crawl.open(&format!("{batch}/log/{sort}"), 200).await;
        }
    })
    .await;
}

/// How many pages of A4 the page takes.
async fn pages_on_paper(page: &Chromium) -> usize {
    let paper = json!({ "paperWidth": 8.27, "paperHeight": 11.69, "preferCSSPageSize": true, "transferMode": "ReturnAsBase64" });
    let printed = page.devtools("Page.printToPDF", paper).await;
    let text = printed["data"].as_str().expect("a document");
    let bytes = decoded(text);
    let leaf = b"/Type /Page\n";
    bytes
        .windows(leaf.len())
        .filter(|part| part == leaf)
        .count()
}

/// Bytes of base64.
fn decoded(text: &str) -> Vec<u8> {
    let value = |byte: u8| match byte {
        b'A'..=b'Z' => Some(byte - b'A'),
        b'a'..=b'z' => Some(byte - b'a' + 26),
        b'0'..=b'9' => Some(byte - b'0' + 52),
        b'+' => Some(62),
        b'/' => Some(63),
        _ => None,
    };
    let sextets: Vec<u32> = text.bytes().filter_map(value).map(u32::from).collect();
    let chunk = |four: &[u32]| {
        let bits = four.iter().fold(0, |bits, six| bits << 6 | six) << (6 * (4 - four.len()));
        bits.to_be_bytes()[1..four.len()].to_vec()
    };
    sextets.chunks(4).flat_map(chunk).collect()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_a_batch_and_of_what_it_teaches() {
    let club = Club::open().await;
    let (ada, browser, recipe) = a_maker(&club, "Ada").await;
    let day = (chrono::Utc::now() - chrono::TimeDelta::days(12)).format("%Y-%m-%d");
    let day = day.to_string();
    let mixed = |name| [("What it is called", name), ("Mixing day", day.as_str())];
    let one = started(
        &browser,
        &recipe,
        &mixed("Heather, the first of a long row"),
    )
    .await;
    let other = started(&browser, &recipe, &mixed("Heather, the second")).await;
    for batch in [&one, &other] {
        wrote(&club, &ada, batch, 0.0, Deed::Pitch(Pitch::default())).await;
        for (hours, sg, celsius) in [
            (24.0, 1.086, 18.0),
            (96.0, 1.070, 21.0),
            (192.0, 1.070, 19.0),
        ] {
            let reading = Reading {
                sg: Some(sg),
                must_temperature_c: Some(celsius),
                ..Reading::default()
            };
            wrote(&club, &ada, batch, hours, Deed::Reading(reading)).await;
        }
    }
    let id = |batch: &str| batch.rsplit('/').next().unwrap_or_default().to_owned();
    let both = format!("/batches/compare?id={}&id={}", id(&one), id(&other));
    in_chromium(&club, |page| async move {
        let mut crawl = Crawl::new(page.clone());
        crawl.open("/trouble", 200).await;
        crawl.open("/trouble/stuck", 200).await;
        crawl.open("/trouble/film?ph=sour", 422).await;
        sign_in(&page, "Ada").await;
        crawl.open(&one, 200).await;
        page.run(
            "document.querySelectorAll('details').forEach(e => { e.open = true; })",
            vec![],
        )
        .await;
        crawl.titles.clear();
        crawl.look("a batch, everything unfolded", 200).await;
        crawl.open(&format!("{one}/trouble"), 200).await;
        crawl.open(&format!("{one}/trouble/no_start"), 200).await;
        crawl.open("/batches/compare", 200).await;
        crawl.open(&both, 200).await;
        crawl.open("/series", 200).await;
        crawl.open("/series/new", 200).await;
        page.press_to("Save").await;
        crawl.look("a series with faults", 422).await;
        crawl.open(&format!("{one}/series"), 200).await;
        page.press_to("Put it in").await;
        crawl.look("into a series, with faults", 422).await;
        page.put("What a new one is called", "Less acid").await;
        page.put("The question", "Is half the acid enough?").await;
        page.press_to("Put it in").await;
        crawl.look("a series with a batch", 200).await;
        page.press_to("Decide, or change this: Heather, the first of a long row")
            .await;
        crawl.look("a batch in its series", 200).await;
        page.press_to("Less acid").await;
        page.press_to("Name and aim").await;
        crawl.look("what a series is called", 200).await;
        page.press_to("Less acid").await;
        page.press_to("Delete this series").await;
        crawl.look("whether a series is to go", 200).await;
        crawl.open("/club/figures", 200).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_that_finish_a_batch() {
    let club = Club::open().await;
    let (ada, browser, recipe) = a_maker(&club, "Ada").await;
    let day = (chrono::Utc::now() - chrono::TimeDelta::days(40)).format("%Y-%m-%d");
    let day = day.to_string();
    let named = [
        ("What it is called", "Heather, the first of a long row"),
        ("Mixing day", day.as_str()),
    ];
    let batch = started(&browser, &recipe, &named).await;
    wrote(&club, &ada, &batch, 1.0, Deed::Pitch(Pitch::default())).await;
    for (hours, sg) in [(240.0, 1.030), (720.0, 0.998)] {
        let reading = Reading {
            sg: Some(sg),
            ta_g_per_l: Some(5.0),
            ph: Some(4.0),
            ..Reading::default()
        };
        wrote(&club, &ada, &batch, hours, Deed::Reading(reading)).await;
    }
    let at = move |rest: &str| format!("{batch}/finishing{rest}");
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open(&at(""), 200).await;
        crawl.open(&at("/finished"), 200).await;
        page.press_to("Go on all the same").await;
        crawl.look("an end without a reason", 422).await;
        crawl.open(&at("/stabilise?will=sweet"), 200).await;
        page.put("Potassium metabisulfite", "much").await;
        page.press_to("It went in").await;
        crawl.look("sulfite with faults", 422).await;
        crawl
            .open(&at("/sweeten?sweetener=table-sugar&by=sugar&sugar=30"), 200)
            .await;
        page.press_to("It went in").await;
        crawl.look("sugar without a reason", 422).await;
        crawl
            .open(&at("/sweeten?by=gravity&gravity=much"), 422)
            .await;
        crawl.open(&at("/acid?acid=malic&to=6"), 200).await;
        crawl.open(&at("/acid?acid=malic&to=2"), 422).await;
        crawl
            .open(&at("/clearing-and-taste?thing=oak-chips"), 200)
            .await;
        crawl.open(&at("/trials?stock=own"), 200).await;
        page.press_to("Set the glasses up").await;
        crawl.look("glasses with faults", 422).await;
        crawl.open(&at("/trials?stock=honey"), 200).await;
        page.press_to("Set the glasses up").await;
        crawl.look("glasses that were set up", 200).await;
        page.press_to("This one").await;
        crawl.look("no glass chosen", 422).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_that_part_a_batch_and_let_others_log() {
    let club = Club::open().await;
    let (ada, browser, recipe) = a_maker(&club, "Ada").await;
    let one = started(&browser, &recipe, &[("What it is called", "One")]).await;
    started(&browser, &recipe, &[("What it is called", "Two")]).await;
    in_chromium(&club, |page| async move {
        sign_in(&page, &ada.name).await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open(&format!("{one}/parts"), 200).await;
        page.press_to("Part it").await;
        crawl.look("parts with a fault", 422).await;
        crawl.open(&format!("{one}/top-up"), 200).await;
        page.press_to("Fill it up").await;
        crawl.look("filling up with a fault", 422).await;
        crawl.open(&format!("{one}/next"), 200).await;
        crawl.open(&format!("{one}/trial"), 200).await;
        crawl.open(&format!("{one}/blend"), 200).await;
        page.press_to("Blend them").await;
        crawl.look("a blend with faults", 422).await;
        crawl.open(&format!("{one}/sensors"), 200).await;
        page.press_to("Make its token").await;
        crawl.look("a sensor without a name", 422).await;
        page.put("What it is called", "The float").await;
        page.press_to("Make its token").await;
        crawl.look("the token of a sensor", 200).await;
        crawl.titles.clear();
        crawl.open(&format!("{one}/sensors"), 200).await;
        page.press_to("Change it: The float").await;
        crawl.look("a sensor to be changed", 200).await;
        page.put("What it is called", "").await;
        page.press_to("Save").await;
        crawl.look("a sensor changed to have no name", 422).await;
        crawl.open(&format!("{one}/import"), 200).await;
        page.press_to("Show what would be read").await;
        crawl.look("no table", 422).await;
        let table =
            "document.getElementById('table').value = 'Date,SG\\n2026-11-02,1.08\\nsoon,1.07'";
        page.run(table, vec![]).await;
        page.press_to("Show what would be read").await;
        crawl.titles.clear();
        crawl.look("the rows of a table", 200).await;
        crawl.open(&format!("{one}/log"), 200).await;
        let kept = "document.querySelector('[data-kept]').hidden = false;
            const item = document.createElement('li');
            item.append('One, 18:00: 1077. ');
            document.querySelector('[data-kept] ul').append(item)";
        page.run(kept, vec![]).await;
        crawl.look("the log with something kept", 200).await;
    })
    .await;
}

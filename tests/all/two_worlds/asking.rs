//! Requests made up by chance: along links, by forms, and past both, at addresses that nobody was shown.

use mustwright::app;
use mustwright::web::paths::{Method, Route};

use super::chance::Chance;
use super::watching::{Watched, watch};
use super::ways::{Way, ways};
use super::world::{Actor, Worlds};
use crate::support::{Browser, Page};

/// What addresses and fields are made of.
pub struct Pool {
    gets: Vec<Route>,
    posts: Vec<Route>,
    ids: Vec<String>,
    codes: Vec<String>,
    flights: Vec<String>,
    entries: Vec<String>,
    words: Vec<String>,
}

/// Parameters that a curious reader would try on a list.
const QUERIES: &[&str] = &[
    "q", "sort", "shelf", "order", "by", "owner", "maker", "member", "name", "code", "after",
    "before", "category", "filter", "state", "phase", "with", "batch", "family",
];

impl Pool {
    /// Everything that the worlds have in common.
    pub async fn of(worlds: &Worlds) -> Pool {
        let routes = app::routes();
        let is_ours = |route: &&Route| route.path.starts_with("/competitions");
        let mut words = worlds.words.clone();
        words.extend(
            ["", "12", "-1", "dry", "heather", "name", "desc", "x'); --"].map(str::to_owned),
        );
        let mut gets: Vec<Route> = routes
            .iter()
            .filter(|route| route.method == Method::Get)
            .copied()
            .collect();
        // Those of competitions come up as often as all others.
        let ours: Vec<Route> = gets.iter().filter(is_ours).copied().collect();
        for _ in 0..gets.len() / ours.len().max(1) {
            gets.extend(&ours);
        }
        Pool {
            posts: routes
                .iter()
                .filter(|route| route.method == Method::Post && !route.path.ends_with("/my-limits"))
                .filter(is_ours)
                .copied()
                .collect(),
            gets,
            ids: worlds.ids.iter().cloned().collect(),
            codes: worlds.codes.clone(),
            flights: worlds.flights.clone(),
            entries: worlds.entries.clone(),
            words,
        }
    }

    fn part(&self, worlds: &Worlds, route: Route, name: &str, chance: &mut Chance) -> String {
        let of = match name {
            "id" if route.path.starts_with("/competitions") && chance.percent(95) => {
                return worlds.competition.clone();
            }
            "code" => &self.codes,
            "flight" => &self.flights,
            "entry" => &self.entries,
            "place" | "number" | "part" if chance.percent(60) => {
                return chance.between(1, 4).to_string();
            }
            _ if chance.percent(10) => &self.words,
            _ => &self.ids,
        };
        // Whatever it is, an address has it in its own letters.
        let text = chance.one(of).clone();
        text.bytes()
            .map(|byte| match byte.is_ascii_alphanumeric() {
                true => char::from(byte).to_string(),
                false => format!("%{byte:02X}"),
            })
            .collect()
    }

    /// An address of a route, with parts that may or may not belong together.
    fn address(&self, worlds: &Worlds, route: Route, chance: &mut Chance) -> String {
        let parts: Vec<String> = route
            .path
            .split('/')
            .filter_map(|part| part.strip_prefix('{')?.strip_suffix('}'))
            .map(|name| self.part(worlds, route, name, chance))
            .collect();
        let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
        route.with(&parts)
    }

    fn queried(&self, path: String, chance: &mut Chance) -> String {
        if path.contains('?') || chance.percent(60) {
            return path;
        }
        let value: String = chance
            .one(&self.words)
            .replace(|c: char| !c.is_ascii_alphanumeric(), "+");
        format!("{path}?{}={value}", chance.one(QUERIES))
    }
}

/// Somebody who asks in both worlds at once.
pub struct Asker<'a> {
    worlds: &'a Worlds,
    pool: &'a Pool,
    actor: &'a Actor,
    /// The pages on which they are.
    here: Option<[Page; 2]>,
    /// Where the last answers led.
    led: Option<[String; 2]>,
}

/// What is asked in one world.
struct Ask {
    posts: bool,
    path: String,
    fields: Vec<(String, String)>,
    /// With the actor's token, as a program.
    token: bool,
}

impl Ask {
    fn get(path: String) -> Ask {
        Ask {
            posts: false,
            path,
            fields: Vec::new(),
            token: false,
        }
    }
}

impl<'a> Asker<'a> {
    pub fn of(worlds: &'a Worlds, pool: &'a Pool, actor: &'a Actor) -> Asker<'a> {
        Asker {
            worlds,
            pool,
            actor,
            here: None,
            led: None,
        }
    }

    /// One request in both worlds: how it reads, and what came.
    pub async fn ask(&mut self, chance: &mut Chance) -> (String, [Watched; 2]) {
        let asks = self.make_up(chance);
        let told = match asks[0].posts {
            true => format!("POST {} {:?}", asks[0].path, asks[0].fields),
            false => format!("GET {}", asks[0].path),
        };
        let mut came = Vec::new();
        for (browser, ask) in self.actor.browsers.iter().zip(asks) {
            let token = &self.actor.token;
            let mut watched = watch(self.worlds, async || send(browser, token, &ask).await).await;
            // A machine that has too much to do says so in either world, and nothing was done then.
            for _ in 0..5 {
                if watched.status != 503 {
                    break;
                }
                watched = watch(self.worlds, async || send(browser, token, &ask).await).await;
            }
            came.push(watched);
        }
        let (Some(other), Some(one)) = (came.pop(), came.pop()) else {
            unreachable!("two browsers")
        };
        self.move_on(&one, &other);
        (told, [one, other])
    }

    fn move_on(&mut self, one: &Watched, other: &Watched) {
        let copy = |watched: &Watched| Page {
            status: watched.status,
            headers: watched.page.headers.clone(),
            text: watched.page.text.clone(),
        };
        match (one.location.as_deref(), other.location.as_deref()) {
            (Some(first), Some(second)) => {
                self.led = Some([self.below(first), self.below(second)]);
            }
            _ if one.status == 200 || one.status == 422 => {
                self.here = Some([copy(one), copy(other)]);
            }
            _ => {}
        }
    }

    fn below(&self, path: &str) -> String {
        path.split('#').next().unwrap_or_default().to_owned()
    }

    fn make_up(&mut self, chance: &mut Chance) -> [Ask; 2] {
        if let Some(led) = self.led.take() {
            return led.map(Ask::get);
        }
        match (&self.here, chance.below(100)) {
            (None, 0..70) => {
                let path = format!("/competitions/{}", self.worlds.competition);
                [Ask::get(path.clone()), Ask::get(path)]
            }
            (Some(here), 0..65) => self.on_from(here, chance),
            (_, 0..70) => self.as_program(chance),
            (_, 0..78) => {
                let route = *chance.one(&self.pool.posts);
                let path = self.pool.address(self.worlds, route, chance);
                let fields = vec![("once".to_owned(), chance.one(&self.pool.words).clone())];
                [(); 2].map(|()| Ask {
                    posts: true,
                    path: path.clone(),
                    fields: fields.clone(),
                    token: false,
                })
            }
            _ => {
                let route = *chance.one(&self.pool.gets);
                let path = self.pool.address(self.worlds, route, chance);
                let path = self.pool.queried(path, chance);
                [Ask::get(path.clone()), Ask::get(path)]
            }
        }
    }

    fn as_program(&self, chance: &mut Chance) -> [Ask; 2] {
        let of_programs: Vec<Route> = app::routes()
            .into_iter()
            .filter(|route| route.method == Method::Get && route.path.starts_with("/api/"))
            .collect();
        let route = *chance.one(&of_programs);
        let path = self.pool.address(self.worlds, route, chance);
        let path = self.pool.queried(path, chance);
        [(); 2].map(|()| Ask {
            token: true,
            ..Ask::get(path.clone())
        })
    }

    /// Forms of this competition: what is entered elsewhere gets a code by chance. Whom a judge must not judge is said
    /// before flights are made, and here they stand from the beginning.
    fn may_send(&self, action: &str) -> bool {
        let ours = format!("/competitions/{}/", self.worlds.competition);
        action.starts_with(&ours) && !action.ends_with("/my-limits")
    }

    /// Along a way of the pages on which they are: by the same link, by the same form filled alike.
    fn on_from(&self, here: &[Page; 2], chance: &mut Chance) -> [Ask; 2] {
        let of_pages = [ways(&here[0].text), ways(&here[1].text)];
        assert_eq!(of_pages[0].len(), of_pages[1].len(), "pages of one shape");
        let allowed: Vec<usize> = (0..of_pages[0].len())
            .filter(|at| match &of_pages[0][*at] {
                Way::Link(_) => true,
                Way::Form(form) => !form.posts || self.may_send(&form.action),
            })
            .collect();
        if allowed.is_empty() {
            let home = Ask::get("/".to_owned());
            return [home, Ask::get("/".to_owned())];
        }
        // Forms are rarer than links, and more is to be seen by them.
        let forms: Vec<usize> = allowed
            .iter()
            .copied()
            .filter(|at| matches!(of_pages[0][*at], Way::Form(_)))
            .collect();
        let from = match !forms.is_empty() && chance.percent(50) {
            true => &forms,
            false => &allowed,
        };
        let at = *chance.one(from);
        let seed = chance.below(usize::MAX) as u64;
        of_pages.map(|mut of_page| match of_page.swap_remove(at) {
            Way::Link(to) => Ask::get(self.below(&to)),
            Way::Form(form) => {
                let (path, fields) = form.filled(&mut Chance::of(seed), &self.pool.words);
                Ask {
                    posts: form.posts,
                    path: match path.is_empty() {
                        true => "/".to_owned(),
                        false => self.below(&path),
                    },
                    fields,
                    token: false,
                }
            }
        })
    }
}

async fn send(browser: &Browser, token: &str, ask: &Ask) -> Page {
    let fields: Vec<(&str, &str)> = ask
        .fields
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    if ask.posts {
        return browser.post(&ask.path, &fields).await;
    }
    let query = reqwest::Url::parse_with_params("http://mead.example/", &fields);
    let path = match query.expect("a query").query() {
        Some(query) if !query.is_empty() => format!("{}?{query}", ask.path),
        _ => ask.path.clone(),
    };
    let request = browser.request(reqwest::Method::GET, &path);
    match ask.token {
        true => browser.send(request.bearer_auth(token)).await,
        false => browser.send(request).await,
    }
}

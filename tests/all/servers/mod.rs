//! Two real servers on one database, behind a proxy.

mod jobs;
mod killed;
mod rolling;
mod shared;

use std::sync::Arc;

use mustwright::web::listen::Limits;

use crate::support::{Browser, Club, Command, Proxy, TestDatabase, quiet_port};

/// Two servers, the proxy before them, and the same database once more from within.
struct Two {
    club: Club,
    proxy: Proxy,
    ports: [u16; 2],
    servers: [Option<Command>; 2],
    settings: Vec<(String, String)>,
}

impl Two {
    /// Opens a club with nobody in it, and starts both.
    async fn open(settings: &[(&str, &str)]) -> Two {
        let mut two = Two::closed(settings).await;
        for which in 0..2 {
            two.start(which).await;
        }
        two
    }

    /// The same with no server started yet.
    async fn closed(settings: &[(&str, &str)]) -> Two {
        let ports = [quiet_port(), quiet_port()];
        let proxy = Proxy::before(&ports).await;
        let origin = proxy.origin();
        let ours = [("MUSTWRIGHT_BASE_URL", origin.as_str())];
        let database = TestDatabase::make().await;
        let (owner, app) = database.urls();
        let club = Club::opened(&ours, Limits::default(), database).await;
        let usual = [
            ("MIGRATE_DATABASE_URL", owner.as_str()),
            ("DATABASE_URL", app.as_str()),
            ("MUSTWRIGHT_BASE_URL", origin.as_str()),
            ("MUSTWRIGHT_SECOND_FACTOR", "nobody"),
            ("MUSTWRIGHT_POOL_SIZE", "8"),
            ("MUSTWRIGHT_LOG", "warn"),
        ];
        let all = usual.iter().chain(settings);
        let settings = all.map(|(name, value)| ((*name).to_owned(), (*value).to_owned()));
        Two {
            settings: settings.collect(),
            servers: [None, None],
            club,
            proxy,
            ports,
        }
    }

    /// Starts one of them, on the port that it has each time.
    async fn start(&mut self, which: usize) {
        let listen = format!("127.0.0.1:{}", self.ports[which]);
        let given = self.settings.iter();
        let mut given: Vec<(&str, &str)> = given.map(|(n, v)| (n.as_str(), v.as_str())).collect();
        given.push(("MUSTWRIGHT_LISTEN", &listen));
        let mut server = Command::start(&["serve"], &given);
        server.says("Mustwright serves").await.expect("it serves");
        self.servers[which] = Some(server);
    }

    /// Takes one out of our hands, to be stopped or killed.
    fn take(&mut self, which: usize) -> Command {
        self.servers[which].take().expect("a running server")
    }

    /// A browser that asks one of them alone.
    fn browser_at(&self, which: usize) -> Browser {
        let address = format!("127.0.0.1:{}", self.ports[which]);
        let address = address.parse().expect("an address");
        Browser::new(address, &self.proxy.origin(), "")
    }
}

/// Puts one thing after the other into a cupboard, through the proxy and on a connection of its own each.
#[derive(Clone)]
struct Writer {
    http: reqwest::Client,
    origin: Arc<str>,
    cookies: Arc<str>,
    action: Arc<str>,
    fields: Arc<[(String, String)]>,
}

impl Writer {
    /// A writer for whoever is signed in with this browser.
    async fn of(two: &Two, browser: &Browser) -> Writer {
        let form = browser.get("/cupboard/new").await;
        let labelled = [("Called", "THING"), ("How much there is", "250 g")];
        let (action, fields) = form.filled("Put it in", &labelled);
        Writer {
            http: reqwest::Client::builder()
                .redirect(reqwest::redirect::Policy::none())
                .no_proxy()
                .pool_max_idle_per_host(0)
                .timeout(std::time::Duration::from_secs(20))
                .build()
                .expect("a client"),
            origin: two.proxy.origin().into(),
            cookies: browser.cookie_line().into(),
            action: action.into(),
            fields: fields.into(),
        }
    }

    /// Puts a thing in once, however often it is called; the status, or what became of the connection.
    async fn put(&self, name: &str) -> Result<u16, String> {
        let fields = self.fields.iter().map(|(field, text)| {
            let whose = text.split('.').next().unwrap_or_default();
            let text = match field.as_str() {
                "once" => format!("{whose}.{:a>24}", name.replace(' ', "x")),
                _ => text.replace("THING", name),
            };
            (field.clone(), text)
        });
        let request = self.http.post(format!("{}{}", self.origin, self.action));
        let sent = request
            .header("cookie", &*self.cookies)
            .header("origin", &*self.origin)
            .form(&fields.collect::<Vec<_>>())
            .send()
            .await;
        let answer = sent.map_err(|cause| format!("{cause:?}"))?;
        Ok(answer.status().as_u16())
    }

    /// Reads a page; the status, or what became of the connection.
    async fn read(&self, path: &str) -> Result<u16, String> {
        let request = self.http.get(format!("{}{path}", self.origin));
        let sent = request.header("cookie", &*self.cookies).send().await;
        let answer = sent.map_err(|cause| format!("{cause:?}"))?;
        let status = answer.status().as_u16();
        answer.text().await.map_err(|cause| format!("{cause:?}"))?;
        Ok(status)
    }
}

/// The names of everything that lies in anybody's cupboard, in order.
async fn put_in(two: &Two) -> Vec<String> {
    sqlx::query_scalar("select name from cupboard_items order by name collate \"C\"")
        .fetch_all(two.club.pool())
        .await
        .expect("the database")
}

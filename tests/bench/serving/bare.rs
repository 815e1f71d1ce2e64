//! What the same libraries do with nothing around them: a session that is looked up, a list of twelve, a page of 12 kB.

use std::process::Stdio;
use std::str::FromStr;

use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{Html, IntoResponse, Response};
use axum::routing::get;
use chrono::{DateTime, Utc};
use sha2::{Digest, Sha256};
use sqlx::PgPool;
use sqlx::postgres::{PgConnectOptions, PgPoolOptions};
use tokio::io::{AsyncBufReadExt, BufReader};
use tokio::process::{Child, Command};

use super::load::Load;
use super::support::Club;

/// The address of the database, which makes of this program the bare one.
pub const SETTING: &str = "MUSTWRIGHT_BENCH_BARE";

/// Connections to the database: as many as the program takes on two cores.
const CONNECTIONS: u32 = 6;

struct Row {
    id: String,
    title: String,
    maker: String,
    at: DateTime<Utc>,
}

/// A page of about 12 kB, most of it markup around twelve rows.
#[derive(Template)]
#[template(
    ext = "html",
    source = r##"<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Recipes of the club</title>
<link rel="stylesheet" href="/static/app.css">
<script src="/static/app.js" defer></script>
</head>
<body>
<a class="skip" href="#main">To the content</a>
<header class="masthead"><nav aria-label="Main"><ul>
{% for way in ["Recipes", "Batches", "Club", "Calculations", "Safety", "Settings"] %}<li><a class="way" href="/{{ way }}">{{ way }}</a></li>
{% endfor %}</ul></nav><p class="who">Signed in as {{ name }}</p></header>
<main id="main">
<h1>Recipes of the club</h1>
<form class="search" method="get" action="/list"><label for="q">Words to look for</label><input id="q" name="q" type="search" autocomplete="off"><button type="submit">Look</button></form>
<ul class="list">
{% for row in rows %}<li class="card">
<h2 class="card-title"><a href="/recipes/{{ row.id }}">{{ row.title }}</a></h2>
<p class="card-line"><span class="label">Made by</span> <span class="value">{{ row.maker }}</span></p>
<p class="card-line"><span class="label">Changed</span> <time class="value" datetime="{{ row.at }}">{{ row.at }}</time></p>
<p class="card-text">A list has something to say about each of its rows, so that whoever reads it can choose. This text stands for what a row would say: how strong, how sweet, from which honey, how often it was made, and how it was liked.</p>
<ul class="card-ways"><li><a href="/recipes/{{ row.id }}">Read it</a></li><li><a href="/recipes/{{ row.id }}/copy">Start my own from this</a></li><li><a href="/recipes/{{ row.id }}/print">Print it</a></li></ul>
</li>
{% endfor %}</ul>
<p class="more"><a href="/list?after={{ last }}">Older ones</a></p>
</main>
<footer><p>A page of the size that pages have, to be compared with.</p></footer>
</body>
</html>
"##
)]
struct Page {
    name: String,
    rows: Vec<Row>,
    last: String,
}

fn failed(error: sqlx::Error) -> StatusCode {
    eprintln!("{error}");
    StatusCode::INTERNAL_SERVER_ERROR
}

async fn list(State(pool): State<PgPool>, headers: HeaderMap) -> Result<Response, StatusCode> {
    let cookie = headers
        .get(header::COOKIE)
        .and_then(|line| line.to_str().ok());
    let token = cookie
        .and_then(|line| line.split_once('='))
        .ok_or(StatusCode::UNAUTHORIZED)?
        .1;
    let hash: [u8; 32] = Sha256::digest(token).into();
    let name: Option<String> = sqlx::query_scalar(
        "select m.name from sessions s join members m on m.id = s.member_id where s.token_hash = $1 and s.ended_at is null",
    )
    .bind(hash.as_slice())
    .fetch_optional(&pool)
    .await
    .map_err(failed)?;
    let name = name.ok_or(StatusCode::UNAUTHORIZED)?;
    let rows: Vec<(String, String, String, DateTime<Utc>)> = sqlx::query_as(
        "select r.public_id, r.title, m.name, r.updated_at from recipes r join members m on m.id = r.owner_id
         where r.visibility = 'club' order by r.id desc limit 12",
    )
    .fetch_all(&pool)
    .await
    .map_err(failed)?;
    let rows: Vec<Row> = rows
        .into_iter()
        .map(|(id, title, maker, at)| Row {
            id,
            title,
            maker,
            at,
        })
        .collect();
    let last = rows.last().map_or_else(String::new, |row| row.id.clone());
    let page = Page { name, rows, last };
    let html = page
        .render()
        .map_err(|_| StatusCode::INTERNAL_SERVER_ERROR)?;
    Ok(Html(html).into_response())
}

/// Serves until it is killed, and says where.
pub async fn serve(url: &str) {
    let options = PgConnectOptions::from_str(url).expect("an address of a database");
    let pool = PgPoolOptions::new()
        .max_connections(CONNECTIONS)
        .test_before_acquire(false)
        .connect_with(options)
        .await
        .expect("the database");
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0")
        .await
        .expect("a port");
    println!("{}", listener.local_addr().expect("the port"));
    let router = Router::new().route("/list", get(list)).with_state(pool);
    axum::serve(listener, router).await.expect("served");
}

/// The bare program, running.
pub struct Bare {
    _child: Child,
    address: String,
}

/// Starts it as a process of its own.
pub async fn start(club: &Club) -> Bare {
    let program = std::env::current_exe().expect("this program");
    let mut child = Command::new(program)
        .env(SETTING, club.database.urls().1)
        .stdout(Stdio::piped())
        .kill_on_drop(true)
        .spawn()
        .expect("the bare program starts");
    let mut lines = BufReader::new(child.stdout.take().expect("its output")).lines();
    let address = lines.next_line().await.expect("text").expect("its address");
    Bare {
        _child: child,
        address,
    }
}

/// Its list, asked for by a member.
pub async fn load(bare: &Bare, club: &Club) -> Load {
    let token = "bare";
    let hash: [u8; 32] = Sha256::digest(token).into();
    sqlx::query(
        "insert into sessions (token_hash, member_id) select $1, max(member_id) from sessions",
    )
    .bind(hash.as_slice())
    .execute(&mut club.database.owner().await)
    .await
    .expect("a session");
    let (url, cookie) = (
        format!("http://{}/list", bare.address),
        format!("session={token}"),
    );
    let client = reqwest::Client::builder()
        .no_proxy()
        .build()
        .expect("a client");
    let page = client
        .get(&url)
        .header("cookie", &cookie)
        .send()
        .await
        .expect("an answer");
    assert_eq!(page.status(), 200);
    println!(
        "the bare page has {} bytes",
        page.bytes().await.expect("a body").len()
    );
    Load::get(&url, &cookie)
}

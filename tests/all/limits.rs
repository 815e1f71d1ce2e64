//! The limits of what a connection may send and how long it may take: met exactly, and passed by one.

use std::net::SocketAddr;
use std::time::Duration;

use axum::Router;
use axum::routing::get;
use mustwright::app;
use mustwright::web::flow::{Pieces, flow};
use mustwright::web::form::{MAX_BYTES, MAX_FIELDS};
use mustwright::web::listen::Limits;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::sync::mpsc;

use crate::faults::{impatient, listen_with};
use crate::support::{Browser, Club, TestDatabase, a_member};

/// How long a test waits for an end that must come.
const PATIENCE: Duration = Duration::from_secs(20);

/// What the limits of this program are measured against elsewhere.
const URI_BYTES: usize = 8 * 1024;
const HEADER_BYTES: usize = 16 * 1024;
const HEAD_BYTES: usize = 24 * 1024;

/// Sends bytes, and reads all that comes back until the other side closes.
async fn conversation(address: SocketAddr, sent: &[u8]) -> Vec<u8> {
    let mut stream = TcpStream::connect(address).await.expect("a connection");
    // It may be closed while this still writes.
    let _ = stream.write_all(sent).await;
    let mut answer = Vec::new();
    let read = tokio::time::timeout(PATIENCE, stream.read_to_end(&mut answer)).await;
    assert!(read.is_ok(), "still open");
    answer
}

fn status(answer: &[u8]) -> String {
    String::from_utf8_lossy(answer.get(9..12).unwrap_or_default()).into_owned()
}

#[tokio::test]
async fn a_form_has_so_many_bytes_and_fields_and_not_one_more() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let bytes = |more: usize| [&b"a="[..], "x".repeat(MAX_BYTES - 2 + more).as_bytes()].concat();
    let fields = |more: usize| vec!["a="; MAX_FIELDS + more].join("&").into_bytes();
    for (body, wanted) in [
        (bytes(0), 422),
        (bytes(1), 413),
        (fields(0), 422),
        (fields(1), 400),
    ] {
        let length = body.len();
        let page = browser.post_bytes("/settings", body).await;
        assert_eq!(page.status, wanted, "{length} bytes");
        assert!(!page.heading().is_empty());
    }
    // A body that does not say how long it is is counted as it comes.
    let mut request = b"POST /settings HTTP/1.1\r\nHost: x\r\nConnection: close\r\nSec-Fetch-Site: same-origin\r\n\
        Content-Type: application/x-www-form-urlencoded\r\nTransfer-Encoding: chunked\r\n\r\n"
        .to_vec();
    for _ in 0..5 {
        request.extend_from_slice(b"10000\r\n");
        request.extend_from_slice(&[b'a'; 65_536]);
        request.extend_from_slice(b"\r\n");
    }
    request.extend_from_slice(b"0\r\n\r\n");
    let answer = conversation(club.address, &request).await;
    assert!(
        ["413", ""].contains(&&*status(&answer)),
        "{}",
        status(&answer)
    );
    assert_eq!(browser.get("/settings").await.status, 200);
}

#[tokio::test]
async fn a_head_has_so_many_bytes_and_headers_and_not_many_more() {
    let club = Club::open().await;
    let head = |path: &str, more: &str| {
        format!("GET {path} HTTP/1.1\r\nHost: x\r\nConnection: close\r\n{more}\r\n").into_bytes()
    };
    let uri = |more: usize| format!("/?{}", "x".repeat(URI_BYTES - 2 + more));
    let long = |bytes: usize| format!("X-Long: {}\r\n", "a".repeat(bytes));
    let many = |count: usize| "X-One: a\r\n".repeat(count);
    for (request, wanted) in [
        (head(&uri(0), ""), "200"),
        (head(&uri(1), ""), "413"),
        (head("/", &long(HEADER_BYTES)), "200"),
        (head("/", &long(HEAD_BYTES)), "431"),
        (head("/", &many(90)), "200"),
        (head("/", &many(101)), "431"),
    ] {
        let answer = conversation(club.address, &request).await;
        // Whoever is cut off while they still send may find no answer.
        let cut_off = wanted == "431" && answer.is_empty();
        assert!(
            status(&answer) == wanted || cut_off,
            "{} of {} bytes, wanted {wanted}",
            status(&answer),
            request.len()
        );
    }
}

#[tokio::test]
async fn what_is_not_plain_http_is_closed() {
    let club = Club::open().await;
    for sent in [
        &b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03"[..],
        b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: x\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\nab",
        b"GET / HTTP/1.1\r\nHost: x\r\nContent-Length: -1\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost : x\r\n\r\n",
        b"GET /\0 HTTP/1.1\r\nHost: x\r\n\r\n",
        b"\r\n\0\0\0\0\r\n\r\n",
    ] {
        let answer = conversation(club.address, sent).await;
        assert!(
            ["400", ""].contains(&&*status(&answer)),
            "{sent:?}: {}",
            status(&answer)
        );
    }
    assert_eq!(club.browser().get("/").await.status, 200);
}

#[tokio::test]
async fn a_form_that_does_not_arrive_is_not_waited_for() {
    let club = Club::opened(&[], impatient(), TestDatabase::make().await).await;
    let request = b"POST /sign-in HTTP/1.1\r\nHost: x\r\nSec-Fetch-Site: same-origin\r\nContent-Length: 100\r\n\
        Content-Type: application/x-www-form-urlencoded\r\n\r\nname=A";
    let answer = conversation(club.address, request).await;
    assert_eq!(status(&answer), "408");
    assert!(String::from_utf8_lossy(&answer).contains("took too long to arrive"));
}

#[tokio::test]
async fn of_a_form_whose_file_does_not_arrive_the_text_comes_back_to_its_own_page_only() {
    let club = Club::opened(&[], impatient(), TestDatabase::make().await).await;
    let origin = club.app.site.origin();
    for (from, is_ours) in [
        ("Sec-Fetch-Site: same-origin".to_owned(), true),
        (format!("Origin: {origin}"), true),
        ("Sec-Fetch-Site: cross-site".to_owned(), false),
        ("Sec-Fetch-Site: same-site".to_owned(), false),
        (format!("Origin: {origin}0"), false),
        ("X-Nothing: told".to_owned(), false),
    ] {
        let request = format!(
            "POST /batches/1/log/note HTTP/1.1\r\nHost: x\r\n{from}\r\nContent-Length: 5000000\r\n\
             Content-Type: multipart/form-data; boundary=edge\r\n\r\n\
             --edge\r\nContent-Disposition: form-data; name=\"note\"\r\n\r\nIt smells of pears.\r\n\
             --edge\r\nContent-Disposition: form-data; name=\"picture\"; filename=\"x\"\r\n\r\nbegun"
        );
        let answer = conversation(club.address, request.as_bytes()).await;
        assert_eq!(status(&answer), "408", "{from}");
        let page = String::from_utf8_lossy(&answer);
        assert!(page.contains("took too long to arrive"), "{page}");
        for kept in ["It smells of pears.", "not kept, choose it again"] {
            assert_eq!(page.contains(kept), is_ours, "{from}: {page}");
        }
    }
}

#[tokio::test]
async fn an_answer_that_goes_out_slowly_goes_out_whole() {
    let club = Club::open().await;
    let slow = get(|| async {
        flow(async |pieces: Pieces| {
            for _ in 0..12 {
                tokio::time::sleep(Duration::from_millis(60)).await;
                if !pieces.send(vec![b'~'; 100]).await {
                    break;
                }
            }
            Ok(())
        })
    });
    let router = app::dressed(Router::new().route("/slow", slow), club.app.clone());
    // It lasts more than three times as long as a connection may rest.
    let (address, _stop, _server) = listen_with(router, impatient()).await;
    let request = b"GET /slow HTTP/1.1\r\nHost: x\r\n\r\n";
    let answer = conversation(address, request).await;
    assert_eq!(status(&answer), "200");
    assert_eq!(answer.iter().filter(|byte| **byte == b'~').count(), 1_200);
}

#[tokio::test]
async fn stalled_connections_do_not_keep_the_server_from_ending() {
    let club = Club::open().await;
    let limits = Limits {
        drain: Duration::from_millis(1_500),
        ..Limits::default()
    };
    let (begun, mut begins) = mpsc::unbounded_channel();
    let slow = get(move || async move {
        let _ = begun.send(());
        tokio::time::sleep(Duration::from_millis(400)).await;
        "done"
    });
    let router = app::dressed(Router::new().route("/slow", slow), club.app.clone());
    let (address, stop, server) = listen_with(router, limits).await;
    let mut stalled = Vec::new();
    for sent in [
        "",
        "GET / HT",
        "POST /sign-in HTTP/1.1\r\nHost: x\r\nSec-Fetch-Site: same-origin\r\nContent-Length: 9\r\n\
         Content-Type: application/x-www-form-urlencoded\r\n\r\nname",
        "GET /health/live HTTP/1.1\r\nHost: x\r\n\r\n",
    ] {
        for _ in 0..5 {
            let mut stream = TcpStream::connect(address).await.expect("a connection");
            stream.write_all(sent.as_bytes()).await.expect("it is sent");
            stalled.push(stream);
        }
    }
    let asked: Vec<_> = (0..10)
        .map(|_| {
            let browser = Browser::new(address, club.app.site.origin(), "");
            tokio::spawn(async move { browser.get("/slow").await })
        })
        .collect();
    // Ten answers are under way.
    for _ in 0..10 {
        let begin = tokio::time::timeout(PATIENCE, begins.recv()).await;
        begin.expect("in time").expect("an answer begins");
    }
    stop.send(true).expect("it hears");
    for answer in asked {
        let page = answer.await.expect("an answer");
        assert_eq!((page.status, page.text.as_str()), (200, "done"));
    }
    let ended = tokio::time::timeout(PATIENCE, server).await;
    ended.expect("it ends").expect("as it should");
}

/// How many connections stay half open: as many as the machine lets one process have, in both its ends.
fn half_open() -> usize {
    let asked = std::env::var("MUSTWRIGHT_HALF_OPEN").ok();
    asked.and_then(|count| count.parse().ok()).unwrap_or(300)
}

#[tokio::test]
async fn hundreds_of_half_open_connections_are_closed_and_disturb_nobody() {
    let mut limits = impatient();
    limits.patience.head = Duration::from_secs(2);
    limits.patience.idle = Duration::from_secs(2);
    let club = Club::opened(&[], limits, TestDatabase::make().await).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let mut open = Vec::new();
    for number in 0..half_open() {
        let mut stream = TcpStream::connect(club.address)
            .await
            .expect("a connection");
        let sent = ["", "G", "GET / HTTP/1.1\r\nHost: x\r\n"][number % 3];
        stream.write_all(sent.as_bytes()).await.expect("it is sent");
        open.push(stream);
    }
    for _ in 0..10 {
        assert_eq!(browser.get("/settings").await.status, 200);
    }
    let all_closed = async {
        for mut stream in open {
            let mut answer = Vec::new();
            let _ = stream.read_to_end(&mut answer).await;
            assert!(answer.is_empty(), "nothing is answered to half a request");
        }
    };
    tokio::time::timeout(PATIENCE, all_closed)
        .await
        .expect("all are closed");
    assert_eq!(browser.get("/settings").await.status, 200);
}

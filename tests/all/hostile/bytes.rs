//! Bytes that are no text, floods of fields and endless texts, at every route (B25, B26, B27).

use mustwright::app;

use super::{Visitor, method_of};
use crate::support::{Club, a_keeper};

const FORM: &str = "application/x-www-form-urlencoded";

/// Names under which pages ask for something.
const ASKED: &[&str] = &[
    "q", "after", "before", "from", "revision", "starter", "size", "volume", "mixed", "done",
    "saved", "next", "of", "since", "shelf", "limit", "honey", "style", "maker", "sort", "kind",
    "page", "day", "name", "link",
];

/// A keeper, who comes in everywhere, with a token.
async fn a_keeper_in(club: &Club) -> Visitor<'_> {
    let wren = a_keeper().of(club).await;
    Visitor::of(club, &wren).await
}

/// Paths that end what the visitor stands on.
fn ends_the_session(path: &str) -> bool {
    path == "/sign-out" || path.contains("/end-") || path.ends_with("/end")
}

#[tokio::test]
async fn bytes_that_are_no_text_are_nobodys_fault_of_ours() {
    let club = Club::open().await;
    let visitor = a_keeper_in(&club).await;
    let mut queries = vec!["?%00=%00".to_owned(), "?%ff".to_owned(), "?&&&=".to_owned()];
    for odd in ["a%00b", "%ff", "99999999999999999999", "-1"] {
        let pairs: Vec<String> = ASKED.iter().map(|name| format!("{name}={odd}")).collect();
        queries.push(format!("?{}", pairs.join("&")));
    }
    let long = "x".repeat(5_000);
    for route in app::routes() {
        let plain = route.with(&["1"; 5]);
        let mut paths: Vec<String> = queries
            .iter()
            .map(|query| format!("{plain}{query}"))
            .collect();
        if route.path.contains('{') {
            for odd in [
                "%00",
                "%ff",
                "a%00b",
                "..%2f..%2fetc%2fpasswd",
                "%e2%80%ae",
                &long,
            ] {
                paths.push(route.with(&[odd; 5]));
            }
        }
        for path in paths {
            if ends_the_session(route.path) {
                continue;
            }
            let page = visitor.send(route, &path, FORM, b"a=b".to_vec()).await;
            assert!(page.status < 500, "{route:?} {path}: {}", page.status);
        }
    }
}

#[tokio::test]
async fn bodies_that_are_no_text_or_too_much_of_it_are_refused_everywhere() {
    let club = Club::open().await;
    let visitor = a_keeper_in(&club).await;
    let flood = b"a=&".repeat(2_100);
    let edge = "multipart/form-data; boundary=edge";
    let part = |bytes: &[u8]| {
        let mut body =
            b"--edge\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a\"\r\n\r\n"
                .to_vec();
        body.extend_from_slice(bytes);
        body.extend_from_slice(b"\r\n--edge--\r\n");
        body
    };
    let nested = [b"[".repeat(10_000), b"]".repeat(10_000)].concat();
    let routes = app::routes().into_iter();
    let writing: Vec<_> = routes.filter(|route| method_of(*route) != "GET").collect();
    assert!(writing.len() > 20);
    for route in writing {
        let path = route.with(&["aaaaaaaaaaaaaaaaaaaa"; 5]);
        // Whether a form is read at all: of PUT and DELETE none is.
        let takes_forms = method_of(route) == "POST";
        for (kind, body, refused) in [
            (FORM, b"title=a%00b".to_vec(), true),
            (FORM, b"title=a\0b".to_vec(), true),
            (FORM, b"title=%ff".to_vec(), true),
            (FORM, b"\xff=\xfe".to_vec(), true),
            (FORM, flood.clone(), true),
            (FORM, vec![b'&'; 200_000], true),
            (FORM, vec![b'a'; 400_000], true),
            (
                "application/json",
                b"{\"document\": {\"title\": \"a\\u0000b\"}}".to_vec(),
                false,
            ),
            ("application/json", b"{\"a\": \"\\ud800\"}".to_vec(), false),
            ("application/json", b"\"\xff\"".to_vec(), false),
            ("application/json", nested.clone(), false),
            (edge, part(b"\0\xff"), false),
            (edge, b"--edge\r\n\r\n".to_vec(), false),
            ("", b"\0".to_vec(), false),
        ] {
            // A body without a form's name on it is, for most pages, no body: what ends sessions would end this one.
            if !refused && ends_the_session(route.path) {
                continue;
            }
            let start = String::from_utf8_lossy(&body[..body.len().min(40)]).into_owned();
            let page = visitor.send(route, &path, kind, body).await;
            let told = format!("{route:?} {kind} {start}: {}", page.status);
            assert!(page.status < 500, "{told}");
            if refused && takes_forms {
                assert!([400, 413].contains(&page.status), "{told}");
            }
        }
    }
}

#[tokio::test]
async fn endless_texts_are_refused_beside_their_field_and_come_back() {
    let club = Club::open().await;
    let visitor = a_keeper_in(&club).await;
    let browser = &visitor.browser;
    let form = browser.get("/recipes/new").await;
    for text in [
        "x".repeat(64 * 1024),
        format!("a{}", "\u{301}".repeat(20_000)),
    ] {
        let page = browser
            .submit(&form, "Save as revision 1", &[("Name", &text)])
            .await;
        assert_eq!(page.status, 422, "{}", text.len());
        assert!(
            page.fault("Name").contains("at most"),
            "{}",
            page.fault("Name")
        );
        assert_eq!(page.value("Name"), text);
    }
    let token = club.browser().get("/settings/tokens").await;
    assert_eq!(token.status, 303);
    let page = browser.get("/settings/tokens").await;
    let long = "x".repeat(64 * 1024);
    let fields = [
        ("Name", long.as_str()),
        ("Your password", crate::support::PASSWORD),
    ];
    let page = browser.submit(&page, "Make the token", &fields).await;
    assert_eq!(page.status, 422);
    assert_eq!(page.value("Name"), long);
}

//! The shell around every page and the error page, on every base path, for strangers and members.

use super::{all, attr, holds, one, read, words};
use askama::Template;
use mustwright::web::shell::{Flash, FlashKind, Nav, Shell, Theme};
use scraper::Html;

#[derive(Template)]
#[template(
    ext = "html",
    source = r#"{% extends "shell.html" %}{% block title %}A page{% endblock %}{% block content %}<h1>A page</h1>{% endblock %}"#
)]
struct Page {
    shell: Shell,
}

fn page_in(shell: Shell) -> Html {
    let html = Page { shell }.render().unwrap();
    let page = read(&html);
    holds(&page);
    page
}

#[test]
fn a_stranger_may_sign_in_and_a_member_sign_out() {
    let page = page_in(Shell::new("Tarn Valley", ""));
    assert_eq!(words(one(&page, ".me")), "Sign in");
    assert!(
        all(&page, "nav a")
            .iter()
            .all(|link| words(*link) != "Recipes")
    );
    let page = page_in(
        Shell::new("Tarn Valley", "")
            .for_member("Ada <3")
            .at_place(Nav::Recipes),
    );
    assert_eq!(words(one(&page, ".me a")), "Your settings, Ada <3");
    assert_eq!(attr(one(&page, ".me form"), "method"), "post");
    assert_eq!(words(one(&page, "nav [aria-current]")), "Recipes");
    assert_eq!(words(one(&page, "title")), "A page · Tarn Valley");
    assert_eq!(attr(one(&page, "html"), "lang"), "en");
    assert_eq!(attr(all(&page, "body a")[0], "href"), "#main");
}

#[test]
fn every_address_stays_below_the_base_path() {
    let page = page_in(Shell::new("Tarn Valley", "/club/").for_member("Ada"));
    let mut seen = 0;
    for (css, name) in [("[href]", "href"), ("[src]", "src"), ("[action]", "action")] {
        for element in all(&page, css) {
            let address = attr(element, name);
            assert!(
                address.starts_with("/club/") || address.starts_with('#'),
                "{address}"
            );
            seen += 1;
        }
    }
    assert!(seen >= 8, "only {seen} addresses on the page");
    assert_eq!(
        Shell::new("Tarn Valley", "/club/").url("/recipes"),
        "/club/recipes"
    );
}

#[test]
fn the_members_theme_is_in_the_first_byte() {
    for (theme, word, scheme) in [
        (Theme::Device, "device", "light dark"),
        (Theme::Light, "light", "light"),
        (Theme::Dark, "dark", "dark"),
    ] {
        let page = page_in(Shell::new("Tarn Valley", "").in_theme(theme));
        assert_eq!(attr(one(&page, "html"), "data-theme"), word);
        assert_eq!(
            attr(one(&page, "meta[name=color-scheme]"), "content"),
            scheme
        );
        assert_eq!(Theme::from_word(word), theme);
    }
    assert_eq!(Theme::from_word("purple"), Theme::Device);
}

#[test]
fn messages_stand_before_the_heading_and_are_announced() {
    let mut shell = Shell::new("Tarn Valley", "").saying("Saved as revision 3.");
    shell.plain_http_warning = true;
    let page = page_in(shell);
    assert_eq!(attr(one(&page, ".flash"), "role"), "status");
    let order: Vec<String> = all(&page, "main > *").into_iter().map(words).collect();
    assert!(order[0].starts_with("Served over plain http."));
    assert_eq!(order[1..], ["Saved as revision 3.", "A page"]);

    let mut shell = Shell::new("Tarn Valley", "").warning("Nothing was saved.");
    shell.flash = shell.flash.map(|flash| Flash {
        link: Some(("/back".into(), "Put it back".into())),
        ..flash
    });
    assert_eq!(shell.flash.as_ref().unwrap().kind, FlashKind::Trouble);
    let page = page_in(shell);
    assert_eq!(attr(one(&page, ".flash"), "role"), "alert");
    assert_eq!(attr(one(&page, ".flash a"), "href"), "/back");
    assert!(
        all(&page, ".caution").is_empty(),
        "the plain http warning is the keeper's"
    );
}

#[test]
fn the_footer_defers_to_the_law() {
    let page = page_in(Shell::new("Tarn Valley", "/club"));
    assert!(words(one(&page, "footer")).contains("drinking age and the law where you live"));
    for (end, path) in [("safety", "/club/safety"), ("methods", "/club/methods")] {
        let link = one(&page, &format!("footer a[href$={end}]"));
        assert_eq!(attr(link, "href"), path);
    }
}

#[derive(Template)]
#[template(path = "error.html")]
struct ErrorPage {
    shell: Shell,
    heading: String,
    sentence: String,
    hidden: Vec<(String, String)>,
    typed: Vec<(String, String)>,
    action: String,
    ways_on: Vec<(String, String)>,
    reference: String,
}

#[test]
fn the_error_page_carries_what_was_typed() {
    let page = ErrorPage {
        shell: Shell::new("Tarn Valley", ""),
        heading: "The cellar is full".into(),
        sentence: "Try again in a minute.".into(),
        hidden: vec![("notes".into(), "two\nlines & <b>".into())],
        typed: vec![("Notes".into(), "two\nlines & <b>".into())],
        action: "/recipes/new".into(),
        ways_on: vec![("/".into(), "To the first page".into())],
        reference: "7f3a".into(),
    };
    let html = page.render().unwrap();
    let read_page = read(&html);
    holds(&read_page);
    assert_eq!(attr(one(&read_page, "main form"), "action"), "/recipes/new");
    assert_eq!(
        attr(one(&read_page, "main input[type=hidden]"), "value"),
        "two\nlines & <b>"
    );
    assert_eq!(words(one(&read_page, "dd")), "two lines & <b>");
    assert!(words(one(&read_page, ".reference")).contains("7f3a"));
    let empty = ErrorPage {
        hidden: vec![],
        ..page
    }
    .render()
    .unwrap();
    assert!(all(&read(&empty), "main form").is_empty());
}

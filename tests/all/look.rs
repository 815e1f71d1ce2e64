//! The look: what each field macro and the shell print, colours in contrast, no inline style or script.

mod forecast;
mod graph;
mod ladder;
mod overlay;
mod pieces;
mod shell;
mod tokens;

use askama::Template;
use mustwright::web::shell::Shell;
use scraper::{ElementRef, Html, Selector};

/// Every macro of `fields.html` on one page.
#[derive(Template)]
#[template(
    ext = "html",
    source = r##"{% extends "shell.html" %}
{% import "fields.html" as fields %}
{% block title %}Fields{% endblock %}
{% block notices %}{{ fields::summary(faults) }}{% endblock %}
{% block kicker %}<p class="kicker">editing</p>{% endblock %}
{% block content %}
<h1>Fields</h1>
<form method="post" novalidate>
{{ fields::enter("/club/preview") }}
{{ fields::hidden("version", "3") }}
{{ fields::carry(carried) }}
{{ fields::text("Volume of must", "volume", typed, message = message, hint = "At 20 °C.", unit = "L", spoken = "in litres", inputmode = "decimal", width = "w8", note = "5.0 US gal", bare = "L") }}
{% call fields::text("Amount", "amount", "2,5 kg", id = "amount-2", spoken = "honey 2") %}solved: <span class="solved">5.12 kg</span>{% endcall %}
{{ fields::text("Sign-in name", "name", "", autocomplete = "username") }}
{{ fields::password("Password", "password", "current-password", hint = "At least ten characters.") }}
{{ fields::textarea("Notes", "notes", notes, rows = 4) }}
{{ fields::select("When", "when", [("must", "in the must"), ("primary", "from the start")], "primary") }}
{{ fields::select("Style", "style", styles, "an unheard-of one", message = "Choose one of the list.") }}
{{ fields::checkbox("Let the club see it", "club", true, hint = "Others may start their own from it.") }}
{{ fields::checkbox("Plain", "plain", false) }}
{{ fields::radios("Feeding", "feeding", [("lean", "Lean"), ("usual", "As usual")], "usual", message = "Choose how gentle.") }}
{% call fields::group("Honey", hint = "The balance honey is solved.") %}<p>inside</p>{% endcall %}
{{ fields::submit("Save as revision 4") }}
{{ fields::submit("Recalculate", kind = "quiet", action = "/club/preview") }}
{{ fields::submit("Remove", kind = "link", name = "remove", value = "2", spoken = "honey 2") }}
</form>
{% endblock %}"##
)]
struct Fields {
    shell: Shell,
    typed: String,
    message: String,
    notes: String,
    styles: Vec<(String, String)>,
    faults: Vec<(String, String)>,
    carried: Vec<(String, String)>,
}

fn fields_page() -> Fields {
    Fields {
        shell: Shell::new("Tarn Valley Mead Circle", "/club/").for_member("Ada"),
        typed: "19,5 <L>".into(),
        message: "Type a volume above 0 L.".into(),
        notes: "\nfirst line is empty".into(),
        styles: vec![("dry".into(), "Dry".into())],
        faults: vec![("volume".into(), "Type a volume above 0 L.".into())],
        carried: vec![("title".into(), "Hedgerow \"3\"".into())],
    }
}

fn read(html: &str) -> Html {
    let page = Html::parse_document(html);
    assert!(
        page.errors.is_empty(),
        "the page is not well formed: {:?}",
        page.errors
    );
    page
}

fn all<'a>(page: &'a Html, css: &str) -> Vec<ElementRef<'a>> {
    page.select(&Selector::parse(css).unwrap()).collect()
}

fn one<'a>(page: &'a Html, css: &str) -> ElementRef<'a> {
    let found = all(page, css);
    assert_eq!(
        found.len(),
        1,
        "{css} stands {} times on the page",
        found.len()
    );
    found[0]
}

fn words(element: ElementRef<'_>) -> String {
    element
        .text()
        .collect::<String>()
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}

fn attr<'a>(element: ElementRef<'a>, name: &str) -> &'a str {
    element
        .value()
        .attr(name)
        .unwrap_or_else(|| panic!("no {name} on {}", element.html()))
}

/// What holds on every page: ids are unique, every label and description finds its element, nothing is inline.
fn holds(page: &Html) {
    let mut seen = std::collections::HashSet::new();
    for element in all(page, "[id]") {
        assert!(
            seen.insert(attr(element, "id")),
            "id {} stands twice",
            attr(element, "id")
        );
    }
    for (css, name) in [
        ("[for]", "for"),
        ("[aria-describedby]", "aria-describedby"),
        ("[aria-labelledby]", "aria-labelledby"),
    ] {
        for element in all(page, css) {
            for id in attr(element, name).split(' ') {
                assert!(
                    seen.contains(id),
                    "{name} names {id}, which is not on the page"
                );
            }
        }
    }
    for link in all(page, "a[href^='#']") {
        assert!(
            seen.contains(&attr(link, "href")[1..]),
            "a link leads to {}",
            attr(link, "href")
        );
    }
    assert!(all(page, "style, [style], script:not([src])").is_empty());
    for element in all(page, "*") {
        assert!(
            element
                .value()
                .attrs()
                .all(|(name, _)| !name.starts_with("on")),
            "{}",
            element.html()
        );
    }
    assert!(
        all(
            page,
            "[placeholder], [required], [maxlength], [type=number]"
        )
        .is_empty()
    );
    for control in all(page, "input:not([type=hidden]), select, textarea") {
        let id = attr(control, "id");
        assert_eq!(
            all(page, &format!("label[for='{id}']")).len(),
            1,
            "{id} has no label"
        );
    }
}

#[test]
fn every_field_keeps_the_rules_of_forms() {
    holds(&read(&fields_page().render().unwrap()));
}

#[test]
fn text_shows_what_was_typed_with_its_fault_hint_unit_and_conversion() {
    let page = read(&fields_page().render().unwrap());
    let volume = one(&page, "#volume");
    assert_eq!(attr(volume, "value"), "19,5 <L>");
    assert_eq!(attr(volume, "type"), "text");
    assert_eq!(attr(volume, "inputmode"), "decimal");
    assert_eq!(attr(volume, "autocomplete"), "off");
    assert_eq!(attr(volume, "aria-invalid"), "true");
    assert_eq!(
        attr(volume, "aria-describedby"),
        "volume-hint volume-fault volume-note volume-bare"
    );
    assert_eq!(
        words(one(&page, "label[for=volume]")),
        "Volume of must, in litres"
    );
    assert_eq!(
        words(one(&page, "#volume-fault")),
        "Fault: Type a volume above 0 L."
    );
    assert_eq!(words(one(&page, "#volume-hint")), "At 20 °C.");
    assert_eq!(words(one(&page, "#volume-note")), "5.0 US gal");
    assert_eq!(words(one(&page, "#volume-bare")), "a bare number means L");
    assert_eq!(attr(one(&page, "#volume + .unit"), "aria-hidden"), "true");
}

#[test]
fn a_field_without_fault_is_not_marked_but_can_be_later() {
    let page = read(&fields_page().render().unwrap());
    let amount = one(&page, "#amount-2");
    assert_eq!(attr(amount, "name"), "amount");
    assert!(amount.value().attr("aria-invalid").is_none());
    assert!(
        amount.value().attr("inputmode").is_none(),
        "a keypad without letters cannot type kg"
    );
    assert_eq!(
        attr(amount, "aria-describedby"),
        "amount-2-fault amount-2-note"
    );
    assert_eq!(words(one(&page, "[data-live-region='amount-2-fault']")), "");
    assert_eq!(
        words(one(&page, "[data-live-region='amount-2-note'] .solved")),
        "5.12 kg"
    );
    assert_eq!(
        words(one(&page, "label[for='amount-2']")),
        "Amount, honey 2"
    );
}

#[test]
fn no_control_stands_where_live_answers_are_put() {
    let page = read(&fields_page().render().unwrap());
    assert!(!all(&page, "[data-live-region]").is_empty());
    assert!(
        all(
            &page,
            "[data-live-region] :is(input, select, textarea, button)"
        )
        .is_empty()
    );
}

#[test]
fn password_is_never_sent_back() {
    let page = read(&fields_page().render().unwrap());
    let password = one(&page, "input[type=password]");
    assert!(password.value().attr("value").is_none());
    assert_eq!(attr(password, "autocomplete"), "current-password");
}

#[test]
fn textarea_keeps_an_empty_first_line() {
    let page = read(&fields_page().render().unwrap());
    let notes = one(&page, "textarea").text().collect::<String>();
    assert_eq!(notes, "\nfirst line is empty");
}

#[test]
fn select_marks_the_value_and_never_loses_one_it_does_not_know() {
    let page = read(&fields_page().render().unwrap());
    assert_eq!(
        attr(one(&page, "#when option[selected]"), "value"),
        "primary"
    );
    assert_eq!(all(&page, "#when option").len(), 2);
    assert_eq!(
        attr(one(&page, "#style option[selected]"), "value"),
        "an unheard-of one"
    );
    assert_eq!(attr(one(&page, "#style"), "aria-invalid"), "true");
}

#[test]
fn choices_show_what_was_chosen() {
    let page = read(&fields_page().render().unwrap());
    assert_eq!(all(&page, "input[type=checkbox][checked]").len(), 1);
    assert_eq!(
        attr(one(&page, "#club"), "aria-describedby"),
        "club-hint club-fault"
    );
    assert_eq!(
        attr(one(&page, "input[type=radio][checked]"), "value"),
        "usual"
    );
    assert_eq!(words(one(&page, "fieldset.radios legend")), "Feeding");
    // A fault in the summary leads to the first of the choices, which can take the focus.
    assert_eq!(attr(one(&page, "input#feeding"), "value"), "lean");
    assert_eq!(words(one(&page, "fieldset.group legend")), "Honey");
    assert_eq!(words(one(&page, "fieldset.group > p:last-child")), "inside");
}

#[test]
fn summary_comes_before_the_heading_takes_the_focus_and_leads_to_the_field() {
    let html = fields_page().render().unwrap();
    let page = read(&html);
    let problem = one(&page, "main > .problem");
    assert_eq!(attr(problem, "role"), "alert");
    assert_eq!(attr(problem, "tabindex"), "-1");
    assert!(problem.value().attr("autofocus").is_some());
    assert_eq!(words(one(&page, ".problem h2")), "There is a problem");
    assert_eq!(attr(one(&page, ".problem a"), "href"), "#volume");
    assert!(html.find("class=\"problem\"").unwrap() < html.find("<h1").unwrap());
    let calm = Fields {
        faults: vec![],
        ..fields_page()
    }
    .render()
    .unwrap();
    assert!(all(&read(&calm), ".problem").is_empty());
}

#[test]
fn buttons_send_what_they_say_and_the_first_recalculates() {
    let page = read(&fields_page().render().unwrap());
    let buttons = all(&page, "main form button");
    assert_eq!(attr(buttons[0], "formaction"), "/club/preview");
    assert_eq!(attr(buttons[0], "tabindex"), "-1");
    assert_eq!(words(buttons[1]), "Save as revision 4");
    assert!(buttons[1].value().attr("class").is_none());
    assert_eq!(
        (attr(buttons[3], "name"), attr(buttons[3], "value")),
        ("remove", "2")
    );
    assert_eq!(words(buttons[3]), "Remove honey 2");
    assert_eq!(
        attr(one(&page, "input[type=hidden][name=title]"), "value"),
        "Hedgerow \"3\""
    );
}

//! The look: what each field macro and the shell print, colours in contrast, no inline style or script.

use askama::Template;
use mustwright::web::shell::Shell;
use scraper::Html;

/// Every macro of `fields.html` on one page.
#[derive(Template)]
#[template(
    ext = "html",
    source = r##"{% extends "shell.html" %}
{% import "fields.html" as fields %}
{% block title %}Fields{% endblock %}
{% block kicker %}<p class="kicker">editing</p>{% endblock %}
{% block content %}
{{ fields::summary(faults) }}
<h1>Fields</h1>
<form method="post" novalidate>
{{ fields::hidden("version", "3") }}
{{ fields::carry(carried) }}
{{ fields::text("Volume of must", "volume", typed, message = message, hint = "At 20 °C.", unit = "L", spoken = "in litres", inputmode = "decimal", width = "w8", note = "5.0 US gal") }}
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

#[test]
fn fields_compile() {
    let html = fields_page().render().unwrap();
    read(&html);
}

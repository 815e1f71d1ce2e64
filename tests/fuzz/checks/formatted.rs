//! What holds of any text in markdown: only what may stand comes out, read by the rules by which browsers read.

use mustwright::web::markdown::render;
use scraper::{Html, Node};

/// What may stand, each with its attributes; told here anew, so that a list that grows by mistake is noticed.
const MAY_STAND: [(&str, &[&str]); 12] = [
    ("a", &["href", "rel"]),
    ("blockquote", &[]),
    ("br", &[]),
    ("code", &[]),
    ("em", &[]),
    ("hr", &[]),
    ("li", &[]),
    ("ol", &["start"]),
    ("p", &[]),
    ("pre", &[]),
    ("strong", &[]),
    ("ul", &[]),
];

pub fn check(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let shown = render(&text);
    let tree = Html::parse_fragment(shown.as_str());
    // The first two are what the parser puts around a piece.
    for node in tree.tree.root().descendants().skip(2) {
        assert!(node.ancestors().count() < 20, "too deep: {shown}");
        match node.value() {
            Node::Text(_) => {}
            Node::Element(element) => {
                let known = MAY_STAND.iter().find(|(tag, _)| *tag == element.name());
                let (_, attributes) =
                    known.unwrap_or_else(|| panic!("{}: {shown}", element.name()));
                for (name, value) in element.attrs() {
                    assert!(attributes.contains(&name), "{name}: {shown}");
                    assert!(is_harmless(name, value), "{name}={value}: {shown}");
                }
                if element.name() == "a" {
                    assert!(
                        element.attr("rel").is_some() && element.attr("href").is_some(),
                        "{shown}"
                    );
                }
            }
            other => panic!("{other:?}: {shown}"),
        }
    }
}

fn is_harmless(name: &str, value: &str) -> bool {
    match name {
        "href" => {
            let lower = value.to_ascii_lowercase();
            ["http://", "https://", "mailto:"]
                .iter()
                .any(|start| lower.starts_with(start))
        }
        "rel" => ["nofollow", "ugc", "noopener"]
            .iter()
            .all(|word| value.contains(word)),
        _ => value.parse::<u64>().is_ok(),
    }
}

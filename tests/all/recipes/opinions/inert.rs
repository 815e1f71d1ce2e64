//! What is hostile in a comment does nothing on any page that shows it.

use scraper::{Html, Selector};

use super::{POST, WORDS, a_shared_recipe, comments_of};
use crate::support::Page;

/// Everything that could run, load or lead astray. Pictures of our own stand outside the opinions.
fn dangers(page: &Page) -> Vec<String> {
    const NOWHERE: [&str; 10] = [
        "script", "style", "iframe", "img", "math", "object", "base", "meta", "link", "template",
    ];
    let html = Html::parse_document(&page.text);
    let select = |css: &str| Selector::parse(css).expect("a selector");
    let mut found = Vec::new();
    for element in html.select(&select("body *")) {
        let element = element.value();
        let name = element.name();
        if NOWHERE.contains(&name) {
            found.push(name.to_owned());
        }
        for (attribute, value) in element.attrs() {
            let value: String = value.chars().filter(|c| !c.is_control()).collect();
            let address = ["href", "src", "action", "formaction"].contains(&attribute);
            let known = ["/", "#", "https://mead.example"];
            let astray = address && !known.iter().any(|known| value.starts_with(known));
            if attribute.starts_with("on") || ["style", "srcdoc"].contains(&attribute) || astray {
                found.push(format!("{name} {attribute}={value}"));
            }
        }
    }
    let pictures = select(".opinions svg, .comments svg, form svg");
    found.extend(html.select(&pictures).map(|_| "svg".to_owned()));
    found
}

#[tokio::test]
async fn whatever_is_written_is_words() {
    let (_club, ada, bo, sheet) = a_shared_recipe().await;
    for typed in [
        "<script>alert(1)</script>",
        "</textarea><script>alert(1)</script>",
        "</div></section></main><img src=x onerror=alert(1)>",
        "<svg><animate onbegin=alert(1) attributeName=x dur=1s>",
        "<math><annotation-xml encoding=\"text/html\"><style><img src=x onerror=alert(1)></style></annotation-xml></math>",
        "[a](javascript:alert(1)) [b](JaVaScRiPt:alert(1)) [c](java\tscript:alert(1)) [d](&#106;avascript:alert(1))",
        "[a](data:text/html,<script>alert(1)</script>) <javascript:alert(1)> ![a](vbscript:x)",
        "[a](//evil.example) [b](\\\\evil.example) [c](https:evil.example)",
        "[fine](https://mead.example/honey \"x\\\" onmouseover=\\\"alert(1)\")",
        "{{ 7 * 7 }} {% include \"shell.html\" %}",
        "\u{202e}gnp.evil\u{202c} \u{200d}\u{feff}",
        "> ".repeat(1_500).as_str(),
        "a\u{301}".repeat(1_900).as_str(),
    ] {
        let page = bo.get(&sheet).await;
        let done = bo.submit(&page, POST, &[(WORDS, typed)]).await;
        assert_eq!(done.status, 303, "{typed}");
        let told = bo.follow(done).await;
        let id = comments_of(&told)[0].clone();
        let path = format!("{sheet}/comments/{id}");
        for shown in [
            told,
            ada.get(&sheet).await,
            ada.get(&format!("{path}/earlier")).await,
            bo.get(&format!("{path}/edit")).await,
        ] {
            assert_eq!(shown.status, 200, "{typed}");
            assert_eq!(dangers(&shown), [] as [String; 0], "{typed}");
        }
        // A form that comes back is as harmless.
        let long = format!("{typed}{}", "x".repeat(4_001));
        let refused = bo.submit(&page, POST, &[(WORDS, &long)]).await;
        assert_eq!(dangers(&refused), [] as [String; 0], "{typed}");
        bo.post(&format!("{path}/remove"), &[]).await;
    }
}

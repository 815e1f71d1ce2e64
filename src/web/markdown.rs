//! Members' markdown as HTML: paragraphs, lists, quotes, emphasis, code and links, and nothing that can do harm.

use std::collections::{HashMap, HashSet};
use std::fmt;
use std::sync::LazyLock;

use ammonia::{Builder, UrlRelative};
use askama::filters::HtmlSafe;
use pulldown_cmark::{CodeBlockKind, Event, LinkType, Options, Parser, Tag, TagEnd, html};

use super::leads;

/// A longer text is shown as it was typed: bytes.
const LONGEST: usize = 12 * 1024;
/// So many quotes, lists and emphases stand in each other at most; what lies deeper is text.
const DEEPEST: usize = 12;
/// What stands in the output at most, each with its attributes. Links get their `rel` besides.
const TAGS: [(&str, &[&str]); 12] = [
    ("p", &[]),
    ("br", &[]),
    ("em", &[]),
    ("strong", &[]),
    ("a", &["href"]),
    ("ul", &[]),
    ("ol", &["start"]),
    ("li", &[]),
    ("blockquote", &[]),
    ("code", &[]),
    ("pre", &[]),
    ("hr", &[]),
];

/// What `rel` says of every link: its target gains nothing by it and learns nothing from it.
const REL: &str = "nofollow ugc noopener";

/// One line of help, to stand beside a field that takes markdown.
pub const HELP: &str = "Plain text will do. *Stars* around words lean them, two **make them strong**, a line that begins with a hyphen is one of a list, > begins a quotation.";

/// HTML that only [`render`] makes: templates print it as it is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rendered(String);

impl Rendered {
    /// The HTML.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Rendered {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl HtmlSafe for Rendered {}

static SANITIZER: LazyLock<Builder<'static>> = LazyLock::new(|| {
    let mut builder = Builder::empty();
    let attributes = TAGS.iter().filter(|(_, names)| !names.is_empty());
    let attributes: HashMap<&str, HashSet<&str>> = attributes
        .map(|(tag, names)| (*tag, names.iter().copied().collect()))
        .collect();
    builder
        .tags(TAGS.iter().map(|(tag, _)| *tag).collect())
        .tag_attributes(attributes)
        .generic_attributes(HashSet::new())
        .url_schemes(leads::SCHEMES.into())
        .url_relative(UrlRelative::Deny)
        .link_rel(Some(REL));
    builder
});

/// The text as HTML. Its own HTML is shown as text, line breaks are kept, headings become strong paragraphs, a picture
/// becomes a link to it. Made anew for each page, so that what is stored is what was typed.
pub fn render(text: &str) -> Rendered {
    let mut tamer = Tamer::default();
    if text.len() > LONGEST {
        tamer.out.push(Event::Start(Tag::Paragraph));
        tamer.lines(text.to_owned());
        tamer.out.push(Event::End(TagEnd::Paragraph));
    } else {
        for event in Parser::new_ext(text, Options::empty()) {
            tamer.take(event);
        }
    }
    let mut raw = String::with_capacity(text.len() * 3 / 2);
    html::push_html(&mut raw, tamer.out.into_iter());
    Rendered(SANITIZER.clean(&raw).to_string())
}

/// What was made of a tag that is open.
enum Open {
    /// Its contents alone.
    Nothing,
    /// A paragraph, which does not count as deep.
    Paragraph,
    /// A strong paragraph.
    Strong,
    /// The same tag.
    Same,
    /// A link.
    Link,
    /// A link that stands for a picture: where its words begin, and its address, which is said where there are none.
    Picture(usize, String),
}

/// Takes the events of the parser and keeps what may stand.
#[derive(Default)]
struct Tamer<'a> {
    out: Vec<Event<'a>>,
    open: Vec<Open>,
    deep: usize,
    in_link: bool,
}

impl<'a> Tamer<'a> {
    fn take(&mut self, event: Event<'a>) {
        match event {
            Event::Start(tag) => self.start(tag),
            Event::End(tag) => self.end(tag),
            Event::Html(text) | Event::InlineHtml(text) => self.lines(text.into_string()),
            Event::SoftBreak => self.out.push(Event::HardBreak),
            Event::Text(_) | Event::Code(_) | Event::HardBreak | Event::Rule => {
                self.out.push(event);
            }
            _ => {}
        }
    }

    /// A text with the breaks of its lines.
    fn lines(&mut self, text: String) {
        for line in text.split_inclusive('\n') {
            let words = line.trim_end_matches('\n').to_owned();
            self.out.push(Event::Text(words.into()));
            if line.ends_with('\n') {
                self.out.push(Event::HardBreak);
            }
        }
    }

    fn start(&mut self, tag: Tag<'a>) {
        let room = self.deep < DEEPEST;
        let opened = match tag {
            Tag::Paragraph | Tag::HtmlBlock => {
                self.out.push(Event::Start(Tag::Paragraph));
                Open::Paragraph
            }
            Tag::Heading { .. } => {
                self.out.push(Event::Start(Tag::Paragraph));
                self.out.push(Event::Start(Tag::Strong));
                Open::Strong
            }
            // An item stands in its list or not at all.
            Tag::Item if matches!(self.open.last(), Some(Open::Same)) => self.same(tag),
            Tag::List(_) | Tag::Emphasis | Tag::Strong if room => self.same(tag),
            Tag::BlockQuote(_) if room => self.same(Tag::BlockQuote(None)),
            Tag::CodeBlock(_) if room => self.same(Tag::CodeBlock(CodeBlockKind::Indented)),
            Tag::Link {
                link_type,
                ref dest_url,
                ..
            } if room && !self.in_link && may_lead(link_type, dest_url) => {
                self.in_link = true;
                self.same(without_title(tag));
                Open::Link
            }
            Tag::Image { dest_url, id, .. }
                if room && !self.in_link && may_lead(LinkType::Inline, &dest_url) =>
            {
                self.in_link = true;
                let address = dest_url.to_string();
                self.same(Tag::Link {
                    link_type: LinkType::Inline,
                    dest_url,
                    title: "".into(),
                    id,
                });
                Open::Picture(self.out.len(), address)
            }
            // Between what loses its tags.
            _ => {
                self.out.push(Event::Text(" ".into()));
                Open::Nothing
            }
        };
        self.open.push(opened);
    }

    fn same(&mut self, tag: Tag<'a>) -> Open {
        self.deep += 1;
        self.out.push(Event::Start(tag));
        Open::Same
    }

    fn end(&mut self, tag: TagEnd) {
        let Some(opened) = self.open.pop() else {
            return;
        };
        if matches!(opened, Open::Same | Open::Link | Open::Picture(..)) {
            self.deep -= 1;
        }
        match opened {
            Open::Nothing => {}
            Open::Paragraph => self.out.push(Event::End(TagEnd::Paragraph)),
            Open::Strong => {
                self.out.push(Event::End(TagEnd::Strong));
                self.out.push(Event::End(TagEnd::Paragraph));
            }
            Open::Same => self.out.push(Event::End(match tag {
                TagEnd::BlockQuote(_) => TagEnd::BlockQuote(None),
                tag => tag,
            })),
            Open::Link => self.end_link(),
            Open::Picture(began, address) => {
                if self.out.len() == began {
                    self.out.push(Event::Text(address.into()));
                }
                self.end_link();
            }
        }
    }

    fn end_link(&mut self) {
        self.in_link = false;
        self.out.push(Event::End(TagEnd::Link));
    }
}

/// Whether a link may lead to this address. One of mail in angle brackets has no scheme yet.
fn may_lead(link_type: LinkType, address: &str) -> bool {
    link_type == LinkType::Email || leads::somewhere(address)
}

fn without_title(tag: Tag<'_>) -> Tag<'_> {
    match tag {
        Tag::Link {
            link_type,
            dest_url,
            id,
            ..
        } => Tag::Link {
            link_type,
            dest_url,
            title: "".into(),
            id,
        },
        tag => tag,
    }
}

#[cfg(test)]
mod tests {
    use proptest::collection::vec;
    use proptest::prelude::*;
    use proptest::sample::select;
    use scraper::{Html, Node};

    use super::*;

    fn shown(text: &str) -> String {
        render(text).to_string()
    }

    #[test]
    fn what_it_knows() {
        for (typed, wanted) in [
            ("", ""),
            ("one", "<p>one</p>\n"),
            ("one\ntwo\n\nthree", "<p>one<br>\ntwo</p>\n<p>three</p>\n"),
            (
                "*a* **b** `c`",
                "<p><em>a</em> <strong>b</strong> <code>c</code></p>\n",
            ),
            ("- a\n- b", "<ul>\n<li>a</li>\n<li>b</li>\n</ul>\n"),
            (
                "3. a\n4. b",
                "<ol start=\"3\">\n<li>a</li>\n<li>b</li>\n</ol>\n",
            ),
            ("> a", "<blockquote>\n<p>a</p>\n</blockquote>\n"),
            ("# a", "<p><strong>a</strong></p>\n"),
            ("    a < b", "<pre><code>a &lt; b</code></pre>\n"),
            ("---", "<hr>\n"),
            (
                "1 < 2 & <b>3</b>",
                "<p>1 &lt; 2 &amp; &lt;b&gt;3&lt;/b&gt;</p>\n",
            ),
        ] {
            assert_eq!(shown(typed), wanted, "{typed}");
        }
        let link =
            format!("<p><a href=\"https://mead.example/a?b=1&amp;c\" rel=\"{REL}\">a</a></p>\n");
        assert_eq!(shown("[a](https://mead.example/a?b=1&c \"title\")"), link);
        let mail =
            format!("<p><a href=\"mailto:a@mead.example\" rel=\"{REL}\">a@mead.example</a></p>\n");
        assert_eq!(shown("<a@mead.example>"), mail);
    }

    #[test]
    fn a_picture_is_a_link_to_it() {
        let link = |words: &str| {
            format!("<p><a href=\"https://mead.example/a.png\" rel=\"{REL}\">{words}</a></p>\n")
        };
        assert_eq!(shown("![jar](https://mead.example/a.png)"), link("jar"));
        assert_eq!(
            shown("![](https://mead.example/a.png)"),
            link("https://mead.example/a.png")
        );
        assert_eq!(
            shown("[![jar](https://other.example/b.png)](https://mead.example/a.png)"),
            link(" jar")
        );
    }

    /// Attacks of several kinds: elements, handlers, schemes in disguise, contents of other languages, broken markup.
    const HOSTILE: &[&str] = &[
        "<script>alert(1)</script>",
        "<img src=x onerror=alert(1)>",
        "<svg onload=alert(1)>",
        "<svg><set attributeName=href to=javascript:alert(1)>",
        "<svg><animate onbegin=alert(1) attributeName=x dur=1s>",
        "<math><annotation-xml encoding=\"text/html\"><p><style><!--</style><img src=x onerror=alert(1)>",
        "<math><mtext><table><mglyph><style><img src=x onerror=alert(1)>",
        "<iframe srcdoc=\"<script>alert(1)</script>\">",
        "<style>@import 'https://evil.example'</style>",
        "<a href=\"javascript:alert(1)\">x</a>",
        "<form action=https://evil.example><button>x</button></form>",
        "<base href=https://evil.example>",
        "<meta http-equiv=refresh content=\"0;url=https://evil.example\">",
        "<!--><img src=x onerror=alert(1)>-->",
        "<![CDATA[<img src=x onerror=alert(1)>]]>",
        "<?php x ?>",
        "<noscript><p title=\"</noscript><img src=x onerror=alert(1)>\">",
        "<template><img src=x onerror=alert(1)></template>",
        "<details open ontoggle=alert(1)>",
        "<p style=\"background:url(https://evil.example)\">",
        "[x](javascript:alert(1))",
        "[x](JaVaScRiPt:alert(1))",
        "[x](java\tscript:alert(1))",
        "[x](java&#9;script:alert(1))",
        "[x](&#106;avascript:alert(1))",
        "[x](&#x6A;avascript&colon;alert(1))",
        "[x](%6Aavascript:alert(1))",
        "[x]( javascript:alert(1))",
        "[x](<javascript:alert(1)>)",
        "[x](data:text/html,<script>alert(1)</script>)",
        "[x](DATA:text/html;base64,PHNjcmlwdD4=)",
        "[x](vbscript:msgbox(1))",
        "[x](//evil.example)",
        "[x](/settings)",
        "[x](\\\\evil.example)",
        "[x][y]\n\n[y]: javascript:alert(1)",
        "<javascript:alert(1)>",
        "![x](javascript:alert(1))",
        "[x](https://mead.example\" onmouseover=\"alert(1))",
        "```\" onmouseover=\"alert(1)\n</code></pre><script>alert(1)</script>\n```",
    ];

    /// What stands in the output that may not: none, if all is well.
    fn strangers(html: &str) -> Vec<String> {
        let mut found = Vec::new();
        let tree = Html::parse_fragment(html);
        // The first is the root that the parser adds.
        for node in tree.tree.root().descendants().skip(2) {
            match node.value() {
                Node::Text(_) => {}
                Node::Element(element) => {
                    let known = TAGS.iter().find(|(tag, _)| *tag == element.name());
                    let Some((tag, attributes)) = known else {
                        found.push(element.name().to_owned());
                        continue;
                    };
                    for (name, value) in element.attrs() {
                        let fine = match name {
                            "href" => may_lead(LinkType::Inline, value),
                            "rel" => *tag == "a" && value == REL,
                            name => attributes.contains(&name) && value.parse::<u64>().is_ok(),
                        };
                        if !fine {
                            found.push(format!("{tag} {name}={value}"));
                        }
                    }
                    if *tag == "a" && element.attr("rel") != Some(REL) {
                        found.push("a link without its rel".to_owned());
                    }
                }
                other => found.push(format!("{other:?}")),
            }
        }
        found
    }

    #[test]
    fn what_is_hostile_is_inert() {
        for typed in HOSTILE {
            let html = shown(typed);
            assert_eq!(strangers(&html), [] as [String; 0], "{typed}: {html}");
        }
        // The sanitizer alone stops it too, should the parser ever let something through.
        for typed in HOSTILE {
            let html = SANITIZER.clean(typed).to_string();
            assert_eq!(strangers(&html), [] as [String; 0], "{typed}: {html}");
        }
        assert_ne!(strangers("<p onclick=\"x\">a</p>"), [] as [String; 0]);
        assert_ne!(strangers("<img>"), [] as [String; 0]);
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 1_500, failure_persistence: None, ..ProptestConfig::default() })]
        #[test]
        fn whatever_is_typed_only_what_may_stand_comes_out(
            pieces in vec(prop_oneof![
                2 => select(HOSTILE).prop_map(|typed: &str| typed.to_owned()),
                4 => select(vec!["*", "**", "_", "`", "```", "\n", "\n\n", "> ", "- ", "1. ", "    ", "\t", "[", "](", ")", "![",
                    "<", ">", "\"", "'", "&", "&lt;", "<!--", "-->", "javascript:", "https://a.example", "mailto:", "#", "---", "\\", "\u{a0}", "\u{202e}"])
                    .prop_map(str::to_owned),
                1 => any::<String>(),
            ], 0..25)
        ) {
            let typed = pieces.concat();
            let html = shown(&typed);
            prop_assert_eq!(strangers(&html), [] as [String; 0], "{}", html);
        }
    }

    #[test]
    fn nesting_is_bounded() {
        let deepest = |html: &str| {
            let tree = Html::parse_fragment(html);
            let nodes = tree.tree.root().descendants();
            nodes.map(|node| node.ancestors().count()).max()
        };
        for typed in [
            "> ".repeat(5_000) + "a",
            "- ".repeat(5_000) + "a",
            "*a ".repeat(3_000) + &"a* ".repeat(3_000),
            "*a **b ".repeat(1_000) + &"b** a* ".repeat(1_000),
            "[".repeat(3_000) + "a" + &"](https://a.example)".repeat(1_000),
        ] {
            let html = shown(&typed);
            assert!(deepest(&html) < Some(DEEPEST + 6), "{}", &html[..200]);
            assert!(html.contains('a'));
        }
    }
}

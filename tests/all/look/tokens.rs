//! The stylesheet's tokens in contrast, in both themes; and what the stylesheet and the script must not contain.

use std::collections::BTreeMap;

const CSS: &str = include_str!("../../../static/app.css");
const JS: &str = include_str!("../../../static/live.js");

/// Tokens of the first block: name to (light, dark).
fn tokens() -> BTreeMap<&'static str, (&'static str, &'static str)> {
    let block = &CSS[CSS.find(":root {").unwrap()..];
    let block = &block[..block.find('}').unwrap()];
    block
        .lines()
        .filter_map(|line| {
            let (name, value) = line
                .trim()
                .strip_prefix("--")?
                .split_once(": light-dark(")?;
            let (light, dark) = value.strip_suffix(");")?.split_once(", ")?;
            Some((name, (light, dark)))
        })
        .collect()
}

/// Relative luminance of WCAG 2.2, of "#rrggbb".
fn luminance(colour: &str) -> f64 {
    let channel = |at: usize| {
        let value = f64::from(u8::from_str_radix(&colour[at..at + 2], 16).unwrap()) / 255.0;
        if value <= 0.04045 {
            value / 12.92
        } else {
            ((value + 0.055) / 1.055).powf(2.4)
        }
    };
    0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
}

fn contrast(a: &str, b: &str) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn contrast_is_computed_as_the_standard_says() {
    // WCAG 2.2, definition of contrast ratio: black on white is 21 to 1.
    assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
    assert!((contrast("#777777", "#ffffff") - 4.48).abs() < 0.01);
}

#[test]
fn every_pair_of_tokens_is_legible_in_both_themes() {
    let tokens = tokens();
    let grounds = ["paper", "raised", "wash"];
    let mut pairs = 0;
    for ground in grounds {
        let (light_ground, dark_ground) = tokens[ground];
        for (name, &(light, dark)) in &tokens {
            let wanted = match *name {
                "ink" | "soft" | "accent" | "watch" | "danger" => 4.5,
                "edge" | "honey" | "rule-strong" => 3.0,
                // A hairline between lines of a table means nothing by itself.
                "rule" | "paper" | "raised" | "wash" => continue,
                other => panic!("no rule for the contrast of --{other}"),
            };
            for (theme, colour, ground_colour) in
                [("light", light, light_ground), ("dark", dark, dark_ground)]
            {
                let got = contrast(colour, ground_colour);
                assert!(got >= wanted, "--{name} on --{ground}, {theme}: {got:.2}");
                pairs += 1;
            }
        }
    }
    assert_eq!(pairs, 3 * 8 * 2);
    // Words on buttons are paper on accent, or on danger for what cannot be taken back.
    for ground in ["accent", "danger"] {
        assert!(contrast(tokens["paper"].0, tokens[ground].0) >= 4.5);
        assert!(contrast(tokens["paper"].1, tokens[ground].1) >= 4.5);
    }
}

#[test]
fn colours_come_from_tokens_only() {
    // An id in a selector is no colour: a colour has three, four, six or eight hexadecimal digits.
    let has_colour = |line: &str| {
        line.split('#').skip(1).any(|after| {
            let word: String = after
                .chars()
                .take_while(|c| c.is_alphanumeric() || *c == '-')
                .collect();
            matches!(word.len(), 3 | 4 | 6 | 8) && word.chars().all(|c| c.is_ascii_hexdigit())
        })
    };
    for line in CSS.lines().filter(|line| has_colour(line)) {
        let token = line.trim_start().starts_with("--") || line.trim_start().starts_with(":root {");
        assert!(token, "a colour outside the tokens: {line}");
    }
}

#[test]
fn the_stylesheet_serves_every_reader() {
    for need in [
        "prefers-reduced-motion",
        "prefers-contrast",
        "forced-colors: active",
        "@media print",
        "pointer: coarse",
        "html[data-theme=\"dark\"] { color-scheme: dark; }",
        ":focus-visible { outline: 3px solid var(--honey)",
        "scroll-padding-bottom",
    ] {
        assert!(CSS.contains(need), "{need} is missing");
    }
    for evil in ["@import", "url(", "@font-face", "http"] {
        assert!(
            !CSS.contains(evil),
            "the stylesheet fetches something: {evil}"
        );
    }
    assert_eq!(CSS.matches('{').count(), CSS.matches('}').count());
}

#[test]
fn the_script_is_short_and_makes_no_markup_itself() {
    assert!(JS.lines().count() < 100);
    for evil in [
        "innerHTML = ",
        "outerHTML",
        "insertAdjacentHTML",
        "document.write",
        "eval(",
        ".focus(",
    ] {
        assert!(!JS.contains(evil), "{evil}");
    }
}

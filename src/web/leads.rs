//! Where a link that somebody typed may lead.

use ammonia::Url;

/// What such an address begins with.
pub const SCHEMES: [&str; 3] = ["http", "https", "mailto"];

/// Whether an address can be followed and leads out of this site or to a mailbox.
pub fn somewhere(address: &str) -> bool {
    let Some((scheme, rest)) = address.split_once(':') else {
        return false;
    };
    let scheme = scheme.to_ascii_lowercase();
    // Without its slashes a browser takes the rest for a place on this very site.
    let is_whole = scheme == "mailto" || rest.starts_with("//");
    SCHEMES.contains(&scheme.as_str()) && is_whole && Url::parse(address).is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_that_lead_somewhere_are_told_from_others() {
        for (address, wanted) in [
            ("https://mead.example/a?b=1#c", true),
            ("HTTP://mead.example", true),
            ("https://m\u{e9}ad.example", true),
            ("mailto:ada@mead.example", true),
            ("", false),
            ("/recipes", false),
            ("//mead.example", false),
            ("https:mead.example", false),
            ("javascript:alert(1)", false),
            ("data:text/html,x", false),
            ("ftp://mead.example", false),
            // Hosts that there cannot be.
            ("https://", false),
            ("https://mea\u{fffd}d.example", false),
            ("https://a b.example", false),
            ("https://mead.example:99999", false),
        ] {
            assert_eq!(somewhere(address), wanted, "{address}");
        }
    }
}

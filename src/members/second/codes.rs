//! Codes from an app (RFC 6238): six digits that change every 30 seconds, from a key that app and server share.

use totp_rs::{Builder, Totp};

use crate::web::Error;

/// The length of a key in bytes: what the standard advises for its hash.
pub const KEY_BYTES: usize = 20;

/// The key that a member's app and the server share.
#[derive(Clone, Debug)]
pub struct Key(Totp);

impl Key {
    /// A new one.
    pub fn draw(club: &str, member: &str) -> Result<Key, Error> {
        let mut secret = [0u8; KEY_BYTES];
        getrandom::fill(&mut secret).map_err(Error::unexpected)?;
        Key::of(&secret, club, member)
    }

    /// The key of these bytes. Club and member are what the app shows beside the code.
    pub fn of(secret: &[u8], club: &str, member: &str) -> Result<Key, Error> {
        // The address that the picture holds parts the two by a colon.
        let shown = |text: &str| text.replace(':', " ");
        let built = Builder::new()
            .with_secret(secret.to_vec())
            .with_issuer(Some(shown(club)))
            .with_account_name(shown(member))
            .build();
        built.map(Key).map_err(Error::unexpected)
    }

    /// Its bytes.
    pub fn bytes(&self) -> &[u8] {
        self.0.secret().as_ref()
    }

    /// The step of the code, if it is that of this moment or of a neighbour, for clocks that differ a little.
    pub fn step_of(&self, typed: &str, unix_seconds: i64) -> Option<i64> {
        let bare: String = typed.chars().filter(|c| !c.is_whitespace()).collect();
        let now = u64::try_from(unix_seconds).ok()?;
        i64::try_from(self.0.check(&bare, now)?).ok()
    }

    /// The code of a moment.
    pub fn code_at(&self, unix_seconds: i64) -> String {
        let at = u64::try_from(unix_seconds).unwrap_or_default();
        self.0.generate(at).to_string()
    }

    /// The address that an app reads from the picture.
    pub fn address(&self) -> Result<String, Error> {
        self.0.to_url().map_err(Error::unexpected)
    }

    /// The key as one types it into an app: letters and digits in groups of four.
    pub fn spoken(&self) -> String {
        let letters: Vec<char> = self.0.secret().to_base32().chars().collect();
        let groups = letters
            .chunks(4)
            .map(|four| four.iter().collect::<String>());
        groups.collect::<Vec<_>>().join(" ")
    }
}

/// Whether a text could be a code from an app.
pub fn looks_like_one(typed: &str) -> bool {
    let bare = || typed.chars().filter(|c| !c.is_whitespace());
    bare().count() == 6 && bare().all(|c| c.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 6238, appendix B, SHA-1: seconds and the last six of the eight digits.
    const PUBLISHED: &[(i64, &str)] = &[
        (59, "287082"),
        (1_111_111_109, "081804"),
        (1_111_111_111, "050471"),
        (1_234_567_890, "005924"),
        (2_000_000_000, "279037"),
        (20_000_000_000, "353130"),
    ];

    fn published() -> Key {
        Key::of(b"12345678901234567890", "Club", "Ada").unwrap()
    }

    #[test]
    fn codes_are_those_of_the_standard() {
        let key = published();
        for (seconds, code) in PUBLISHED {
            assert_eq!(key.code_at(*seconds), *code);
            assert_eq!(key.step_of(code, *seconds), Some(seconds / 30), "{code}");
        }
    }

    #[test]
    fn a_neighbour_is_good_and_the_one_beyond_is_not() {
        let (key, seconds) = (published(), 1_234_567_890);
        let step = seconds / 30;
        for (away, wanted) in [(-60, None), (-30, Some(step)), (30, Some(step)), (60, None)] {
            assert_eq!(key.step_of("005 924", seconds + away), wanted, "{away}");
        }
        for typed in ["", "00592", "0059244", "+05924", "00592a", "٠٠٥٩٢٤"] {
            assert_eq!(key.step_of(typed, seconds), None, "{typed}");
        }
        assert_eq!(key.step_of("005924", -1), None);
    }

    #[test]
    fn the_address_names_club_and_member() {
        let key = Key::of(b"12345678901234567890", "Tarn: Valley", "Ada").unwrap();
        let address = key.address().unwrap();
        assert!(
            address.starts_with("otpauth://totp/Tarn%20%20Valley:Ada?secret=GEZDGNBV"),
            "{address}"
        );
        assert!(key.spoken().starts_with("GEZD GNBV "));
        assert_eq!(Key::draw("Club", "Ada").unwrap().bytes().len(), KEY_BYTES);
    }
}

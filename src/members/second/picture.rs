//! The picture that an app reads the key from: squares on a white ground.

use std::fmt::Write as _;

use qrcodegen::{QrCode, QrCodeEcc};

/// The white edge that the standard of such pictures asks for, in squares.
const EDGE: i32 = 4;

/// A picture of squares: its width with the edge, and the outline of all that is dark.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    pub width: i32,
    pub path: String,
}

impl Picture {
    /// The picture of a text; none for one that is too long.
    pub fn of(text: &str) -> Option<Picture> {
        let code = QrCode::encode_text(text, QrCodeEcc::Medium).ok()?;
        let mut path = String::new();
        for y in 0..code.size() {
            let mut x = 0;
            while x < code.size() {
                let from = x;
                while code.get_module(x, y) {
                    x += 1;
                }
                if x > from {
                    let (left, top, wide) = (from + EDGE, y + EDGE, x - from);
                    let _ = write!(path, "M{left} {top}h{wide}v1h-{wide}z");
                }
                x += 1;
            }
        }
        Some(Picture {
            width: code.size() + 2 * EDGE,
            path,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_dark_square_is_drawn_once() {
        let code = QrCode::encode_text("otpauth://totp/x", QrCodeEcc::Medium).unwrap();
        let picture = Picture::of("otpauth://totp/x").unwrap();
        let dark = (0..code.size())
            .flat_map(|y| (0..code.size()).map(move |x| (x, y)))
            .filter(|(x, y)| code.get_module(*x, *y));
        let drawn: usize = picture
            .path
            .split('h')
            .skip(1)
            .step_by(2)
            .map(|rest| rest.split('v').next().unwrap().parse::<usize>().unwrap())
            .sum();
        assert_eq!(drawn, dark.count());
        assert_eq!(picture.width, code.size() + 8);
        assert_eq!(Picture::of(&"a".repeat(5_000)), None);
    }
}

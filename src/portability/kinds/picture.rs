//! A picture that comes in with an export is believed only as far as its bytes go: a plain JPEG of that size with nothing in it
//! that a camera or somebody else wrote (ITU-T T.81, B.1).

/// The two bytes of a marker: start and end of an image, start of a scan.
const START: [u8; 2] = [0xff, 0xd8];
const END: [u8; 2] = [0xff, 0xd9];
const SCAN: u8 = 0xda;

fn two(bytes: &[u8], at: usize) -> Option<usize> {
    let pair = bytes.get(at..at + 2)?;
    Some(usize::from(pair[0]) << 8 | usize::from(pair[1]))
}

/// Whether these bytes are such a picture. What they show is not looked at.
pub fn is_plain(bytes: &[u8], width: i64, height: i64) -> bool {
    let framed = bytes.starts_with(&START) && bytes.ends_with(&END);
    framed && walk(bytes, width, height).unwrap_or(false)
}

/// Goes through the segments before the first scan.
fn walk(bytes: &[u8], width: i64, height: i64) -> Option<bool> {
    let mut at = START.len();
    let mut sized = false;
    loop {
        let (mark, kind) = (*bytes.get(at)?, *bytes.get(at + 1)?);
        let length = two(bytes, at + 2)?;
        if mark != 0xff || length < 2 {
            return Some(false);
        }
        match kind {
            SCAN => return Some(sized),
            // What applications write, and comments; the first of them says no more than that it is a JPEG.
            0xe1..=0xef | 0xfe => return Some(false),
            // The frame: how many bits, height, width. The three that are left out are tables.
            0xc0..=0xcf if ![0xc4, 0xc8, 0xcc].contains(&kind) => {
                let (high, wide) = (two(bytes, at + 5)?, two(bytes, at + 7)?);
                sized = (wide as i64, high as i64) == (width, height);
            }
            _ => {}
        }
        at += 2 + length;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: &[u8] = &[0xff, 0xc0, 0, 11, 8, 0, 9, 0, 16, 1, 1, 0x11, 0];
    const REST: &[u8] = &[0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0, 0x55, 0xff, 0xd9];

    fn jpeg(before: &[u8]) -> Vec<u8> {
        [&START, before, FRAME, REST].concat()
    }

    #[test]
    fn a_plain_picture_of_its_size_is_taken_and_no_other() {
        let head = [0xff, 0xe0, 0, 4, 0, 0];
        assert!(is_plain(&jpeg(&[]), 16, 9));
        assert!(is_plain(&jpeg(&head), 16, 9));
        assert!(!is_plain(&jpeg(&[]), 9, 16), "another size");
        for written in [0xe1, 0xed, 0xfe] {
            assert!(!is_plain(&jpeg(&[0xff, written, 0, 4, 0, 0]), 16, 9));
        }
        let whole = jpeg(&[]);
        for cut in 0..whole.len() {
            assert!(!is_plain(&whole[..cut], 16, 9), "cut off at {cut}");
        }
        assert!(!is_plain(b"<svg onload=alert(1)>", 16, 9));
        assert!(
            !is_plain(&[&whole[..], b"<script>"].concat(), 16, 9),
            "something behind it"
        );
    }
}

//! A picture of any camera as a small JPEG: turned upright, made smaller, and free of everything that is no pixel.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{DynamicImage, ExtendedColorType, ImageDecoder, ImageReader, Limits, RgbImage};
use tokio::sync::Semaphore;

use super::MOST_BYTES;
use crate::web::error::Error;

/// The most pixels that are taken.
const MOST_PIXELS: u64 = 40_000_000;
/// The most memory that decoding one may take, bytes: those pixels in four colours.
const MOST_MEMORY: u64 = 4 * MOST_PIXELS;
/// The longer side of what is kept, pixels.
const SIDE: u32 = 1600;
/// The most that is kept, bytes.
const KEPT_BYTES: usize = 400_000;
/// Qualities that are tried until it is small enough.
const QUALITIES: [u8; 5] = [82, 70, 55, 40, 25];

/// One after the other: each may take much memory.
static TURN: Semaphore = Semaphore::const_new(1);

/// A picture as it is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Shrunk {
    pub jpeg: Vec<u8>,
    pub width: u32,
    pub height: u32,
}

/// Why a file is not taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    #[error("This file is larger than 8 MB. Choose a smaller picture.")]
    TooLarge,
    #[error("This picture has more than 40 million points. Choose a smaller one.")]
    TooManyPixels,
    #[error("This is no picture that can be read here. Choose a JPEG, PNG or WebP.")]
    NotAPicture,
    #[error(
        "Beside the notes of your batches stand 2,000 pictures, as many as a member keeps. Remove some, then choose this one again."
    )]
    TooMany,
}

/// Makes a picture anew, on a thread of its own.
///
/// # Errors
/// When that thread fails; what is wrong with the file is the inner error.
pub async fn shrink(bytes: Vec<u8>) -> Result<Result<Shrunk, Fault>, Error> {
    let turn = TURN.acquire().await.map_err(Error::unexpected)?;
    // Whoever asked may be gone before it is done: the turn lasts as long as the work.
    let made = tokio::task::spawn_blocking(move || {
        let _turn = turn;
        anew(&bytes)
    });
    made.await.map_err(Error::unexpected)
}

fn anew(bytes: &[u8]) -> Result<Shrunk, Fault> {
    if bytes.len() > MOST_BYTES {
        return Err(Fault::TooLarge);
    }
    let image = decoded(bytes)?;
    let image = match image.width().max(image.height()) > SIDE {
        true => image.thumbnail(SIDE, SIDE),
        false => image,
    };
    let image = on_white(&image);
    let mut found = QUALITIES
        .into_iter()
        .map(|quality| encoded(&image, quality));
    let jpeg = found.find(|made| made.as_ref().is_ok_and(|jpeg| jpeg.len() <= KEPT_BYTES));
    Ok(Shrunk {
        jpeg: jpeg.ok_or(Fault::NotAPicture)??,
        width: image.width(),
        height: image.height(),
    })
}

/// The pixels, upright. How large it is said to be counts before any of it is unpacked.
fn decoded(bytes: &[u8]) -> Result<DynamicImage, Fault> {
    let none = |_| Fault::NotAPicture;
    let reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format();
    let reader = reader.map_err(|_| Fault::NotAPicture)?;
    let mut decoder = reader.into_decoder().map_err(none)?;
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    if pixels > MOST_PIXELS || decoder.total_bytes() > MOST_MEMORY {
        return Err(Fault::TooManyPixels);
    }
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(2 * MOST_MEMORY);
    decoder.set_limits(limits).map_err(none)?;
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let mut image = DynamicImage::from_decoder(decoder).map_err(none)?;
    image.apply_orientation(orientation);
    Ok(image)
}

/// A JPEG has no holes: white shines through.
fn on_white(image: &DynamicImage) -> RgbImage {
    if !image.color().has_alpha() {
        return image.to_rgb8();
    }
    let seen = image.to_rgba8();
    RgbImage::from_fn(seen.width(), seen.height(), |x, y| {
        let [red, green, blue, alpha] = seen.get_pixel(x, y).0;
        let over = |colour: u8| {
            let (colour, alpha) = (u32::from(colour), u32::from(alpha));
            ((colour * alpha + 255 * (255 - alpha)) / 255) as u8
        };
        image::Rgb([over(red), over(green), over(blue)])
    })
}

fn encoded(image: &RgbImage, quality: u8) -> Result<Vec<u8>, Fault> {
    let mut jpeg = Vec::new();
    let (width, height) = image.dimensions();
    JpegEncoder::new_with_quality(&mut jpeg, quality)
        .encode(image, width, height, ExtendedColorType::Rgb8)
        .map_err(|_| Fault::NotAPicture)?;
    Ok(jpeg)
}

//! A photograph made small enough for a terminal: PNG and JPEG, read by the crates that do only that. (The usual
//! crate for all pictures brings colour management that takes longer to build than the rest of the program.)

use zune_core::bytestream::ZCursor;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;

/// More pixels than any camera of a workshop makes: a file that says more is not read.
const MOST_PIXELS: u64 = 120_000_000;

/// A picture as rows of red, green, blue.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Raster {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Row by row.
    pub pixels: Vec<[u8; 3]>,
}

impl Raster {
    /// Read a picture.
    ///
    /// # Errors
    /// It is neither PNG nor JPEG, is damaged, or says it is larger than any photograph.
    pub fn read(bytes: &[u8]) -> Result<Self, String> {
        if bytes.starts_with(b"\x89PNG") {
            png(bytes)
        } else if bytes.starts_with(b"\xff\xd8\xff") {
            jpeg(bytes)
        } else {
            Err("only PNG and JPEG are shown".to_owned())
        }
    }

    /// Made smaller by the mean of what falls into each pixel, in the proportions it has.
    pub fn within(&self, width: usize, height: usize) -> Self {
        let (width, height) = (width.max(1), height.max(1));
        let shrink = (self.width as f64 / width as f64).max(self.height as f64 / height as f64).max(1.0);
        let to = |length: usize| ((length as f64 / shrink).round() as usize).clamp(1, length.max(1));
        let (columns, rows) = (to(self.width), to(self.height));
        let mut pixels = Vec::with_capacity(columns * rows);
        for y in 0..rows {
            let (top, bottom) =
                (y * self.height / rows, ((y + 1) * self.height / rows).max(y * self.height / rows + 1));
            for x in 0..columns {
                let (left, right) = (
                    x * self.width / columns,
                    ((x + 1) * self.width / columns).max(x * self.width / columns + 1),
                );
                let mut sum = [0_u64; 3];
                for row in top..bottom.min(self.height) {
                    for pixel in self
                        .pixels
                        .get(row * self.width + left..row * self.width + right.min(self.width))
                        .unwrap_or(&[])
                    {
                        for (sum, part) in sum.iter_mut().zip(pixel) {
                            *sum += u64::from(*part);
                        }
                    }
                }
                let count = ((bottom - top) * (right - left)).max(1) as u64;
                pixels.push(sum.map(|sum| (sum / count).min(255) as u8));
            }
        }
        Self { width: columns, height: rows, pixels }
    }
}

fn sized(width: u64, height: u64) -> Result<(), String> {
    match width.checked_mul(height) {
        Some(1..=MOST_PIXELS) => Ok(()),
        _ => Err(format!("{width} x {height} pixels are no photograph")),
    }
}

fn png(bytes: &[u8]) -> Result<Raster, String> {
    let fault = |error: png::DecodingError| format!("the PNG is damaged: {error}");
    let mut decoder = png::Decoder::new(std::io::Cursor::new(bytes));
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    let header = decoder.read_header_info().map_err(fault)?;
    sized(u64::from(header.width), u64::from(header.height))?;
    let mut reader = decoder.read_info().map_err(fault)?;
    let size = reader.output_buffer_size().ok_or_else(|| "the PNG is too large".to_owned())?;
    let mut samples = vec![0; size];
    let frame = reader.next_frame(&mut samples).map_err(fault)?;
    let each = frame.color_type.samples();
    let over_white = |value: u8, alpha: u8| {
        ((u32::from(value) * u32::from(alpha) + 255 * (255 - u32::from(alpha))) / 255) as u8
    };
    let pixels = samples[..frame.buffer_size()]
        .chunks_exact(each)
        .map(|pixel| match *pixel {
            [grey] => [grey; 3],
            [grey, alpha] => [over_white(grey, alpha); 3],
            [red, green, blue] => [red, green, blue],
            [red, green, blue, alpha, ..] => [red, green, blue].map(|value| over_white(value, alpha)),
            [] => [255; 3],
        })
        .collect();
    Ok(Raster { width: frame.width as usize, height: frame.height as usize, pixels })
}

fn jpeg(bytes: &[u8]) -> Result<Raster, String> {
    let options = DecoderOptions::default()
        .set_max_width(65_535)
        .set_max_height(65_535)
        .jpeg_set_out_colorspace(ColorSpace::RGB);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    let fault = |error: &dyn std::fmt::Display| format!("the JPEG is damaged: {error}");
    decoder.decode_headers().map_err(|error| fault(&error))?;
    let (width, height) = decoder
        .info()
        .map(|info| (usize::from(info.width), usize::from(info.height)))
        .ok_or_else(|| "the JPEG says no size".to_owned())?;
    sized(width as u64, height as u64)?;
    let samples = decoder.decode().map_err(|error| fault(&error))?;
    let pixels: Vec<[u8; 3]> = samples.chunks_exact(3).map(|pixel| [pixel[0], pixel[1], pixel[2]]).collect();
    if pixels.len() == width * height {
        Ok(Raster { width, height, pixels })
    } else {
        Err("the JPEG is damaged: it ends early".to_owned())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn shrinking_keeps_proportions_and_means() {
        let raster = Raster { width: 4, height: 2, pixels: (0..8).map(|i| [i * 10; 3]).collect() };
        let small = raster.within(2, 10);
        assert_eq!((small.width, small.height), (2, 1));
        assert_eq!(small.pixels, [[25; 3], [45; 3]]);
        assert_eq!(raster.within(100, 100), raster, "never larger than it is");
        assert_eq!(raster.within(0, 0).pixels.len(), 1);
    }

    #[test]
    fn anything_else_is_a_reason() {
        for bytes in [&b""[..], b"GIF89a", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff\xe0 no", b"\x89PNG"] {
            assert!(Raster::read(bytes).is_err());
        }
        // A header that claims four thousand million pixels.
        let mut bomb = Vec::new();
        let mut encoder = png::Encoder::new(&mut bomb, 65_000, 65_000);
        encoder.set_color(png::ColorType::Grayscale);
        drop(encoder.write_header().unwrap());
        assert!(Raster::read(&bomb).unwrap_err().contains("are no photograph"));
    }
}

//! Pixels to PNG bytes. A chart has few inks and their mixes with paper at the edges of letters, so
//! a list of colors and one byte a pixel hold it: a third to pack. Knows pixels, not charts.

use png::{BitDepth, ColorType, Compression, Encoder};

/// Bits of a channel that are kept. Black and white stay what they are, and no channel is off by
/// more than 4 of 255, which nobody sees.
const BITS: u32 = 5;
const TOP: u32 = (1 << BITS) - 1;

/// Pixels that are compared at a time.
const BLOCK: usize = 16;

/// No place in the list yet.
const NO_PLACE: u16 = u16::MAX;

/// The picture of 8-bit red, green and blue as PNG: by a list of at most 256 colors, or as it is
/// when it has more. The few `inks` keep their color to the bit; what mixes them is rounded.
///
/// List and quick packing take a seventh of the time of usual packing of the three channels, to
/// four fifths of the bytes (84 charts of the sample, side by side: 0.27 s against 1.83 s).
pub(super) fn png(width: u32, height: u32, pixels: &[u8], inks: &[[u8; 3]]) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, width, height);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_compression(Compression::Fast);
    let listed = listed(pixels, inks);
    let data = if let Some((colors, places)) = &listed {
        encoder.set_color(ColorType::Indexed);
        encoder.set_palette(colors.as_slice());
        places
    } else {
        encoder.set_color(ColorType::Rgb);
        pixels
    };
    let written = encoder
        .write_header()
        .and_then(|mut writer| writer.write_image_data(data));
    written.expect("writing to a vector cannot fail");
    bytes
}

/// The inks and then the other colors in the order in which they come, and the place of each
/// pixel's among them; `None` when there are more than 256.
fn listed(pixels: &[u8], inks: &[[u8; 3]]) -> Option<(Vec<u8>, Vec<u8>)> {
    let mut place_of = vec![NO_PLACE; 1 << (3 * BITS)];
    let mut colors = inks.concat();
    let mut places = Vec::with_capacity(pixels.len() / 3);
    let mut pixels = pixels.as_chunks::<3>().0;
    while let Some((&pixel, rest)) = pixels.split_first() {
        let place = if let Some(place) = inks.iter().position(|ink| *ink == pixel) {
            place
        } else {
            let levels = pixel.iter().map(|&channel| level(channel));
            let key = levels.fold(0, |key, level| key << BITS | level) as usize;
            if place_of[key] == NO_PLACE {
                place_of[key] = u16::try_from(colors.len() / 3).ok()?;
                colors.extend(pixel.iter().map(|&channel| channel_of(level(channel))));
            }
            usize::from(place_of[key])
        };
        // Most pixels look like their neighbor, and many in a row like one.
        let alike = 1 + leading(rest, pixel);
        places.resize(places.len() + alike, u8::try_from(place).ok()?);
        pixels = &pixels[alike..];
    }
    Some((colors, places))
}

/// How many pixels at the start are `pixel`; told block by block, which is quicker than one by one.
fn leading(pixels: &[[u8; 3]], pixel: [u8; 3]) -> usize {
    let block = [pixel; BLOCK];
    let blocks = pixels.as_chunks::<BLOCK>().0;
    let whole = blocks.iter().take_while(|found| **found == block).count() * BLOCK;
    let rest = pixels[whole..].iter().take_while(|found| **found == pixel);
    whole + rest.count()
}

/// The nearest of the levels that are kept.
fn level(channel: u8) -> u32 {
    (u32::from(channel) * TOP + 127) / 255
}

fn channel_of(level: u32) -> u8 {
    u8::try_from((level * 255 + TOP / 2) / TOP).unwrap_or(u8::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The picture read back as red, green and blue, and whether it came by a list.
    fn read(bytes: &[u8]) -> (Vec<u8>, bool) {
        let mut decoder = png::Decoder::new(std::io::Cursor::new(bytes));
        decoder.set_transformations(png::Transformations::EXPAND);
        let mut reader = decoder.read_info().unwrap();
        let is_listed = reader.info().color_type == ColorType::Indexed;
        let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut pixels).unwrap();
        (pixels, is_listed)
    }

    #[test]
    fn no_channel_is_off_by_more_than_four_and_black_and_white_stay() {
        let pixels: Vec<u8> = (0..=u8::MAX).flat_map(|v| [v, v, v]).collect();
        let (back, is_listed) = read(&png(256, 1, &pixels, &[]));
        assert!(is_listed);
        let worst = pixels.iter().zip(&back).map(|(a, b)| a.abs_diff(*b)).max();
        assert_eq!(worst, Some(4));
        assert_eq!(back[..3], [0, 0, 0]);
        assert_eq!(back[765..], [255, 255, 255]);
    }

    #[test]
    fn an_ink_keeps_its_color_beside_a_mix_that_is_almost_the_same() {
        let pixels = [212, 218, 224, 211, 217, 223];
        let (back, _) = read(&png(2, 1, &pixels, &[[212, 218, 224]]));
        // 26, 26 and 27 of 31 steps, times 255: 213.9, 213.9 and 222.1.
        assert_eq!(back, [212, 218, 224, 214, 214, 222]);
    }

    #[test]
    fn a_picture_of_more_colors_than_a_list_holds_is_kept_as_it_is() {
        let pixels: Vec<u8> = (0..=u8::MAX)
            .flat_map(|v| [v, v.wrapping_mul(37), v.wrapping_mul(91)])
            .chain((0..=u8::MAX).flat_map(|v| [v.wrapping_mul(53), v, 9]))
            .collect();
        let (back, is_listed) = read(&png(512, 1, &pixels, &[]));
        assert!(!is_listed);
        assert_eq!(back, pixels);
    }
}

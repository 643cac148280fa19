//! Pixels to PNG bytes, by a list of colors and one byte a pixel. Knows pixels, not charts.

use super::palette::RGB;
use png::{BitDepth, ColorType, Compression, Encoder, Filter};

/// The picture as PNG. `places` are those of its pixels among the colors, row by row.
///
/// Quick packing of the difference to the row above, for most rows of a chart are alike. Usual packing
/// makes files half as large and takes twelve times as long; half a byte a pixel gains nothing here.
pub(super) fn png(width: u32, height: u32, places: &[u8]) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, width, height);
    encoder.set_color(ColorType::Indexed);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_palette(RGB.as_flattened());
    encoder.set_compression(Compression::Fast);
    encoder.set_filter(Filter::Up);
    let written = encoder
        .write_header()
        .and_then(|mut writer| writer.write_image_data(places));
    written.expect("writing to a vector cannot fail");
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pixel_comes_back_in_its_color() {
        let places: Vec<u8> = (0..16).chain((0..16).rev()).collect();
        let bytes = png(16, 2, &places);
        let mut decoder = png::Decoder::new(std::io::Cursor::new(bytes));
        decoder.set_transformations(png::Transformations::EXPAND);
        let mut reader = decoder.read_info().unwrap();
        let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut pixels).unwrap();
        let colors: Vec<u8> = places
            .iter()
            .flat_map(|place| RGB[usize::from(*place)])
            .collect();
        assert_eq!(pixels, colors);
    }
}

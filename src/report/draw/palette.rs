//! The sixteen colors of a picture of pixels: the inks, and mixes of them for the edges of letters
//! and slanted lines. Every mix of an ink with what lies below is the nearest of these. Knows colors,
//! not pixels.

use super::scene::Ink;
use std::sync::LazyLock;

/// Number of colors. Few different bytes pack well, and more than these nobody tells apart.
pub(super) const COLORS: usize = 16;

/// Steps of how much of a pixel an ink covers: 0 is nothing and this is all of it.
pub(super) const COVERED: u8 = 32;

/// The place of paper among the colors. Zeros pack best, and most of a picture is paper.
pub(super) const PAPER: u8 = 0;

/// Every color as red, green and blue. The gray inks are each other's mixes with paper; steps that
/// they leave wide are halved, and the accent has four mixes of its own.
pub(super) const RGB: [[u8; 3]; COLORS] = [
    Ink::Paper.rgb(),
    [242, 243, 245],
    Ink::Mist.rgb(),
    Ink::Cloud.rgb(),
    Ink::Ash.rgb(),
    [174, 178, 184],
    Ink::Silver.rgb(),
    [124, 127, 132],
    Ink::Gray.rgb(),
    [60, 61, 64],
    Ink::Black.rgb(),
    [206, 221, 228],
    [157, 187, 201],
    [108, 152, 174],
    [59, 118, 147],
    Ink::Accent.rgb(),
];

/// What an ink makes of each color, by how much of the pixel it covers.
type Mixes = [[u8; COVERED as usize + 1]; COLORS];

static MIXES: LazyLock<Vec<([u8; 3], Mixes)>> = LazyLock::new(|| {
    let of_ink = |ink: Ink| (ink.rgb(), mixes(ink.rgb()));
    Ink::ALL.into_iter().map(of_ink).collect()
});

/// What the ink of `rgb` makes of what lies below it; `None` when it is no ink.
pub(super) fn mixes_of(rgb: [u8; 3]) -> Option<&'static Mixes> {
    let of_ink = MIXES.iter().find(|(ink, _)| *ink == rgb);
    of_ink.map(|(_, mixes)| mixes)
}

fn mixes(ink: [u8; 3]) -> Mixes {
    let mut mixes = [[PAPER; COVERED as usize + 1]; COLORS];
    for (of_color, below) in mixes.iter_mut().zip(RGB) {
        for (place, covered) in of_color.iter_mut().zip(0..=COVERED) {
            *place = nearest([0, 1, 2].map(|channel| mixed(below[channel], ink[channel], covered)));
        }
    }
    mixes
}

fn mixed(below: u8, ink: u8, covered: u8) -> i32 {
    let [below, ink, covered, all] = [below, ink, covered, COVERED].map(i32::from);
    (below * (all - covered) + ink * covered + all / 2) / all
}

fn nearest(rgb: [i32; 3]) -> u8 {
    let distance = |color: &[u8; 3]| -> i32 {
        let channels = color.iter().zip(rgb);
        channels.map(|(a, b)| (i32::from(*a) - b).pow(2)).sum()
    };
    let places = (0..).zip(&RGB);
    let nearest = places.min_by_key(|(_, color)| distance(color));
    nearest.map_or(PAPER, |(place, _)| place)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_ink_that_covers_a_pixel_is_there_and_one_that_covers_nothing_is_not() {
        for ink in Ink::ALL {
            let mixes = mixes_of(ink.rgb()).unwrap();
            for (below, of_color) in mixes.iter().enumerate() {
                assert_eq!(usize::from(of_color[0]), below);
                assert_eq!(RGB[usize::from(of_color[usize::from(COVERED)])], ink.rgb());
            }
        }
    }

    #[test]
    fn the_edge_of_a_black_letter_on_paper_has_ten_steps_that_darken() {
        let on_paper = mixes_of(Ink::Black.rgb()).unwrap()[usize::from(PAPER)];
        let mut reds: Vec<u8> = on_paper.iter().map(|p| RGB[usize::from(*p)][0]).collect();
        assert!(reds.is_sorted_by(|a, b| a >= b), "{reds:?}");
        reds.dedup();
        assert_eq!(reds.len(), 11, "{reds:?}");
    }

    #[test]
    fn the_accent_keeps_its_hue_at_its_edges() {
        let on_paper = mixes_of(Ink::Accent.rgb()).unwrap()[usize::from(PAPER)];
        for place in &on_paper[11..] {
            let [red, _, blue] = RGB[usize::from(*place)];
            assert!(blue > red + 20, "{on_paper:?}");
        }
    }

    #[test]
    fn what_is_no_ink_has_no_mixes() {
        assert!(mixes_of([1, 2, 3]).is_none());
    }
}

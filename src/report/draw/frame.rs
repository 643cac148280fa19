//! What pictures have in common: the title on top and, where values go upward, their axis on the left.

use super::axis::Axis;
use super::font::wrapped;
use super::scene::{Align, Ink, Scene, Size, WIDTH};
use crate::report::chart::Chart;

/// Left end of a plot whose values go upward.
pub(super) const LEFT: i32 = 96;

/// Height of a line of the title.
const TITLE_LINE: i32 = 40;

/// A picture with its title alone, and where the title ends. Its height is to be set.
pub(super) fn titled(chart: &Chart) -> (Scene, i32) {
    let title = wrapped(&chart.title, Size::Title.pixels(), WIDTH - 40);
    let below = 36 + i32::try_from(title.len()).unwrap_or(1) * TITLE_LINE;
    let mut scene = Scene {
        height: below,
        shapes: Vec::new(),
    };
    for (y, line) in (44..).step_by(40).zip(title) {
        scene.text((20, y), line, Size::Title, Ink::Black, Align::Start);
    }
    (scene, below)
}

/// A picture with its title and the words of the axis for values that go upward, and where the plot
/// begins.
pub(super) fn upward(chart: &Chart) -> (Scene, i32) {
    let (mut scene, below) = titled(chart);
    let top = below + 60;
    let at = (20, top - 48);
    let words = &chart.axis_label;
    scene.text(at, words, Size::Label, Ink::Gray, Align::Start);
    (scene, top)
}

/// The marks of an axis for values that go upward, across the plot.
pub(super) fn marks_upward(scene: &mut Scene, axis: &Axis, right: i32) {
    for (y, words) in axis.ticks() {
        scene.line((LEFT, y), (right, y), Ink::Mist, 2);
        scene.text((LEFT - 14, y), words, Size::Label, Ink::Gray, Align::End);
    }
}

/// A text at the right end of a plot, at the height of its value.
pub(super) struct SideLabel {
    pub(super) value: f64,
    pub(super) text: String,
    pub(super) ink: Ink,
}

/// Draws the labels at the heights of their values. Those that would overlap stand one below the other
/// about the middle of their values.
pub(super) fn beside(
    scene: &mut Scene,
    mut labels: Vec<SideLabel>,
    right: i32,
    axis: &Axis,
    size: Size,
) {
    labels.sort_by(|a, b| b.value.total_cmp(&a.value));
    let wanted: Vec<i32> = labels.iter().map(|label| axis.pixel(label.value)).collect();
    let line = i32::try_from(size.pixels()).unwrap_or(0) * 5 / 4;
    for (label, y) in labels.into_iter().zip(apart(&wanted, line)) {
        scene.text((right + 10, y), label.text, size, label.ink, Align::Start);
    }
}

/// Heights that are at least `line` apart, each group of neighbors with the mean of what they want.
/// `wanted` goes downward.
fn apart(wanted: &[i32], line: i32) -> Vec<i32> {
    // Each group: how many, and the sum of what they want.
    let mut groups: Vec<(i32, i32)> = Vec::new();
    let first = |(count, sum): (i32, i32)| sum / count - line * (count - 1) / 2;
    let last = |group: (i32, i32)| first(group) + line * (group.0 - 1);
    for &height in wanted {
        let mut group = (1, height);
        while let Some(&above) = groups.last() {
            if last(above) + line <= first(group) {
                break;
            }
            group = (group.0 + above.0, group.1 + above.1);
            groups.pop();
        }
        groups.push(group);
    }
    groups
        .into_iter()
        .flat_map(|group| (0..group.0).map(move |place| first(group) + line * place))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heights_that_are_too_close_move_apart_about_their_middle() {
        assert_eq!(apart(&[10, 100], 24), [10, 100]);
        assert_eq!(apart(&[100, 105, 110], 24), [81, 105, 129]);
        // The third pushes into the first two, which are a group already.
        assert_eq!(apart(&[100, 100, 120, 400], 24), [82, 106, 130, 400]);
        assert_eq!(apart(&[], 24), [0; 0]);
    }
}

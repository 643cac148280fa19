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

/// Draws the labels from the top down, pushed apart where they would overlap.
pub(super) fn beside(scene: &mut Scene, mut labels: Vec<SideLabel>, right: i32, axis: &Axis) {
    labels.sort_by(|a, b| b.value.total_cmp(&a.value));
    let mut free_from = i32::MIN;
    for label in labels {
        let y = axis.pixel(label.value).max(free_from);
        free_from = y + 32;
        scene.text(
            (right + 10, y),
            label.text,
            Size::Label,
            label.ink,
            Align::Start,
        );
    }
}

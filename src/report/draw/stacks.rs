//! Layout of a chart of bars that are cut into parts. Parts are told by their place and number, not
//! by their shade, so they hold on paper without color.

use super::axis::Axis;
use super::font::{fitted, text_width};
use super::frame::titled;
use super::scene::{Align, Ink, Scene, Size, WIDTH};
use crate::report::chart::{Chart, Stack};

const LINE: i32 = 62;
const HALF_BAR: i32 = 21;
const LEGEND_LINE: i32 = 34;
const WIDEST_LABEL: i32 = 420;
const WIDEST_TEXT: i32 = 360;
/// Shades of neighbors differ; the numbers say which part is which.
const SHADES: [Ink; 2] = [Ink::Silver, Ink::Mist];

/// The shapes of the chart.
pub(super) fn scene(chart: &Chart, parts: &[String], bars: &[Stack]) -> Scene {
    let (mut scene, legend_top) = titled(chart);
    let top = legend_top + count(parts.len()) * LEGEND_LINE + 16;
    let bottom = top + count(bars.len()) * LINE;
    scene.height = bottom + 104;
    for (index, part) in (0..).zip(parts) {
        let words = format!("{}  {part}", index + 1);
        let words = fitted(&words, Size::Label.pixels(), WIDTH - 40);
        let y = legend_top + index * LEGEND_LINE + LEGEND_LINE / 2;
        scene.text((20, y), words, Size::Label, Ink::Black, Align::Start);
    }
    let widest = |part: fn(&Stack) -> &str| {
        let widths = bars.iter().map(part);
        let widths = widths.map(|text| text_width(text, Size::Label.pixels()));
        widths.max().unwrap_or(0)
    };
    let left = 20 + widest(|bar| &bar.label).min(WIDEST_LABEL) + 34;
    let right = WIDTH - 20 - widest(|bar| &bar.text).min(WIDEST_TEXT) - 34;
    let axis = Axis::new(chart.unit, 1.0, left, right);
    for (x, words) in axis.ticks() {
        scene.line((x, top), (x, bottom), Ink::Mist, 2);
        let at = (x, bottom + 26);
        scene.text(at, words, Size::Label, Ink::Gray, Align::Middle);
    }
    let at = (left, bottom + 70);
    scene.text(at, &chart.axis_label, Size::Label, Ink::Gray, Align::Start);
    for (index, stack) in (0..).zip(bars) {
        let y = top + index * LINE + LINE / 2;
        let label = fitted(&stack.label, Size::Label.pixels(), WIDEST_LABEL);
        scene.text((20, y), label, Size::Label, Ink::Black, Align::Start);
        bar(&mut scene, stack, y, &axis);
        let text = fitted(&stack.text, Size::Label.pixels(), WIDEST_TEXT);
        scene.text((right + 34, y), text, Size::Label, Ink::Black, Align::Start);
    }
    scene
}

fn bar(scene: &mut Scene, stack: &Stack, y: i32, axis: &Axis) {
    let mut until = 0.0;
    for (place, (share, words)) in stack.shares.iter().enumerate() {
        let from = axis.pixel(until);
        until += share;
        let to = axis.pixel(until);
        if to <= from {
            continue;
        }
        let (upper, lower) = ((from, y - HALF_BAR), (to, y + HALF_BAR));
        scene.bar(upper, lower, SHADES[place % SHADES.len()]);
        for x in [from, to] {
            scene.line((x, upper.1), (x, lower.1), Ink::Black, 2);
        }
        // The number alone where a part has no room for its words, and nothing where it has none.
        let number = (place + 1).to_string();
        let texts = [format!("{number}: {words}"), number];
        let fits = |text: &String| text_width(text, Size::Label.pixels()) <= to - from - 8;
        if let Some(text) = texts.into_iter().find(fits) {
            let middle = (i32::midpoint(from, to), y);
            scene.text(middle, text, Size::Label, Ink::Black, Align::Middle);
        }
    }
}

fn count(lines: usize) -> i32 {
    i32::try_from(lines).unwrap_or(i32::MAX / LINE / 2)
}

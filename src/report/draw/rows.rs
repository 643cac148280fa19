//! Layout of a chart of groups, one line each.

use super::axis::Axis;
use super::font::{fitted, text_width};
use super::frame::titled;
use super::scene::{Align, Ink, Mark, Scene, Size, WIDTH};
use crate::findings::finding::Unit;
use crate::report::chart::{Chart, DrawnMark, Line};

const LINE: i32 = 46;
const WIDEST_LABEL: i32 = 420;
const WIDEST_TEXT: i32 = 560;
const INDENT: i32 = 24;

/// The shapes of the chart.
pub(super) fn scene(chart: &Chart, lines: &[Line]) -> Scene {
    let (mut scene, top) = titled(chart);
    let count = i32::try_from(lines.len()).unwrap_or(i32::MAX / LINE / 2);
    let bottom = top + count * LINE;
    scene.height = bottom + 104;

    let has_headings = lines.iter().any(|line| matches!(line, Line::Heading(_)));
    let label_x = 20 + if has_headings { INDENT } else { 0 };
    let left = label_x + widest(lines, label_of).min(WIDEST_LABEL) + 34;
    let text_width = widest(lines, text_of).min(WIDEST_TEXT);
    let right = WIDTH - 20 - text_width - 34;
    let axis = Axis::new(chart.unit, highest(chart.unit, lines), left, right);
    for (x, words) in axis.ticks() {
        scene.line((x, top), (x, bottom), Ink::Mist, 2);
        scene.text(
            (x, bottom + 26),
            words,
            Size::Label,
            Ink::Gray,
            Align::Middle,
        );
    }
    scene.text(
        (left, bottom + 70),
        &chart.axis_label,
        Size::Label,
        Ink::Gray,
        Align::Start,
    );

    for (index, line) in (0..).zip(lines) {
        let y = top + index * LINE + LINE / 2;
        match line {
            Line::Heading(words) => {
                scene.text((20, y + 4), words, Size::Label, Ink::Accent, Align::Start);
            }
            Line::Group { label, text, .. } => {
                let label = fitted(label, Size::Label.pixels(), WIDEST_LABEL);
                scene.text((label_x, y), label, Size::Label, Ink::Black, Align::Start);
                group(&mut scene, line, y, &axis);
                let text = fitted(text, Size::Label.pixels(), WIDEST_TEXT);
                scene.text((right + 34, y), text, Size::Label, Ink::Black, Align::Start);
            }
        }
    }
    scene
}

fn group(scene: &mut Scene, line: &Line, y: i32, axis: &Axis) {
    let Line::Group {
        value,
        limits,
        quartiles,
        p90,
        drawn,
        ..
    } = line
    else {
        return;
    };
    if let Some((low, high)) = *quartiles {
        scene.bar(
            (axis.pixel(low), y - 13),
            (axis.pixel(high), y + 13),
            Ink::Cloud,
        );
    }
    if let Some(p90) = *p90
        && !axis.is_beyond(p90)
    {
        scene.mark((axis.pixel(p90), y), Mark::Far);
    }
    // Two estimates of one group stand one above the other; their forms tell them apart.
    let y = if drawn.is_some() { y - 10 } else { y };
    if let Some(value) = *value {
        scene.level_interval(y, axis.interval(value, *limits), Ink::Black);
        scene.mark((axis.pixel(value), y), Mark::Estimate);
    }
    if let Some(DrawnMark { value, limits }) = *drawn {
        scene.level_interval(y + 20, axis.interval(value, limits), Ink::Silver);
        scene.mark((axis.pixel(value), y + 20), Mark::Far);
    }
}

fn label_of(line: &Line) -> &str {
    match line {
        Line::Heading(_) => "",
        Line::Group { label, .. } => label,
    }
}

fn text_of(line: &Line) -> &str {
    match line {
        Line::Heading(_) => "",
        Line::Group { text, .. } => text,
    }
}

fn widest(lines: &[Line], part: fn(&Line) -> &str) -> i32 {
    lines
        .iter()
        .map(|line| text_width(part(line), Size::Label.pixels()))
        .max()
        .unwrap_or(0)
}

/// What the axis must hold: every estimate, and of the rest what does not squeeze the estimates
/// into a corner.
fn highest(unit: Option<Unit>, lines: &[Line]) -> f64 {
    let mut highest_value = 0.0_f64;
    let mut highest_far = 0.0_f64;
    for line in lines {
        if let Line::Group {
            value,
            limits,
            quartiles,
            p90,
            ..
        } = line
        {
            let inner = [*value, quartiles.map(|(_, high)| high)];
            highest_value = inner.into_iter().flatten().fold(highest_value, f64::max);
            highest_far = [limits.1, *p90]
                .into_iter()
                .flatten()
                .fold(highest_far, f64::max);
        }
    }
    let stretch = if unit == Some(Unit::Minutes) {
        4.0
    } else {
        2.5
    };
    highest_value.max(highest_far.min(highest_value * stretch))
}

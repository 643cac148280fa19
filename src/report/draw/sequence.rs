//! Layout of a chart of events in their order.

use super::axis::Axis;
use super::font::text_width;
use super::frame::{LEFT, marks_upward, upward};
use super::scene::{Align, Ink, Mark, Scene, Size, WIDTH};
use crate::report::chart::{Chart, SequenceLines, SequencePoint};
use crate::report::format;

const PLOT_HEIGHT: i32 = 360;
const BELOW: i32 = 96;

/// The shapes of the chart.
pub(super) fn scene(
    chart: &Chart,
    points: &[SequencePoint],
    lines: Option<&SequenceLines>,
) -> Scene {
    let (mut scene, top) = upward(chart);
    let bottom = top + PLOT_HEIGHT;
    scene.height = bottom + BELOW;

    let labels = side_labels(lines);
    let widest = labels
        .iter()
        .map(|(_, text)| text_width(text, Size::Label.pixels()));
    let right = WIDTH - 30 - widest.max().unwrap_or(0);
    let axis = Axis::new(chart.unit, highest(points, lines), bottom, top);
    marks_upward(&mut scene, &axis, right);
    for (value, text) in labels {
        let y = axis.pixel(value);
        scene.dashes((LEFT, y), right, Ink::Gray, 2);
        scene.text((right + 10, y), text, Size::Label, Ink::Gray, Align::Start);
    }
    let count = i32::try_from(points.len()).unwrap_or(i32::MAX).max(1);
    let x_of = |index: i32| LEFT + (right - LEFT) * (2 * index + 1) / (2 * count);
    if let Some(lines) = lines {
        end_of_baseline(&mut scene, lines, points.len(), (top, bottom), &x_of);
    }
    joined(&mut scene, points, &axis, &x_of);
    below(&mut scene, points, bottom, &x_of);
    scene
}

/// The points, joined in their order; signals are larger and of another form.
fn joined(scene: &mut Scene, points: &[SequencePoint], axis: &Axis, x_of: &impl Fn(i32) -> i32) {
    let places: Vec<_> = (0..)
        .zip(points)
        .map(|(index, point)| (x_of(index), axis.pixel(point.value)))
        .collect();
    for pair in places.windows(2) {
        scene.line(pair[0], pair[1], Ink::Silver, 2);
    }
    for (place, point) in places.iter().zip(points) {
        let mark = if point.is_signal {
            Mark::InView
        } else {
            Mark::Estimate
        };
        scene.mark(*place, mark);
    }
}

/// Under the axis: the month of an event, where there is room and it is not that of the last mark.
fn below(scene: &mut Scene, points: &[SequencePoint], bottom: i32, x_of: &impl Fn(i32) -> i32) {
    let mut free_from = i32::MIN;
    let mut marked = None;
    for (index, point) in (0..).zip(points) {
        let text = format!(
            "{} {}",
            format::month_short(point.month),
            point.month.year()
        );
        let half = text_width(&text, Size::Small.pixels()) / 2;
        let x = x_of(index);
        if x - half < free_from || marked == Some(point.month) {
            continue;
        }
        marked = Some(point.month);
        free_from = x + half + 16;
        scene.line((x, bottom), (x, bottom + 8), Ink::Gray, 2);
        scene.text(
            (x, bottom + 30),
            text,
            Size::Small,
            Ink::Gray,
            Align::Middle,
        );
    }
}

/// An upright line behind the last point that the lines come from, when others follow.
fn end_of_baseline(
    scene: &mut Scene,
    lines: &SequenceLines,
    count: usize,
    (top, bottom): (i32, i32),
    x_of: &impl Fn(i32) -> i32,
) {
    let last = i32::try_from(lines.baseline).unwrap_or(0) - 1;
    if lines.baseline == 0 || lines.baseline >= count {
        return;
    }
    let x = i32::midpoint(x_of(last), x_of(last + 1));
    scene.line((x, top), (x, bottom), Ink::Silver, 2);
    scene.text(
        (x, bottom + 66),
        "lines from the left of this",
        Size::Small,
        Ink::Gray,
        Align::Middle,
    );
}

fn side_labels(lines: Option<&SequenceLines>) -> Vec<(f64, String)> {
    let Some(lines) = lines else {
        return Vec::new();
    };
    let label = |value: Option<f64>, name: &str| {
        let value = value.filter(|value| value.is_finite())?;
        Some((value, format!("{name} {}", format::distance(value))))
    };
    [
        label(lines.high, "upper limit"),
        label(Some(lines.middle), "middle"),
        // A limit so near the floor would lie on the axis.
        label(
            lines.low.filter(|low| *low > lines.middle / 8.0),
            "lower limit",
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn highest(points: &[SequencePoint], lines: Option<&SequenceLines>) -> f64 {
    let of_points = points.iter().map(|point| point.value);
    let of_lines = lines
        .into_iter()
        .flat_map(|lines| [Some(lines.middle), lines.high]);
    of_points.chain(of_lines.flatten()).fold(0.0, f64::max)
}

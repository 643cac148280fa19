//! Layout of months against lines that stay as they are: one panel below the other, one scale.

use super::axis::Axis;
use super::font::{fitted, text_width};
use super::frame::{LEFT, SideLabel, beside, marks_upward, upward};
use super::scene::{Align, Ink, Mark, Scene, Size, WIDTH};
use crate::report::chart::{Chart, LinedPoint, MonthNote, Panel, Reference, Stretch};
use crate::report::format;

/// Height of the plot of a single panel, and of each of several.
const ALONE: i32 = 340;
const STACKED: i32 = 190;
/// Above a plot: its name, then the words of its rules.
const ABOVE: i32 = 76;
/// Below a plot: the denominators.
const BELOW: i32 = 58;
/// Below the last plot: months and years.
const MONTHS: i32 = 76;
/// Height of a line of words.
const WORDS: i32 = 26;

/// Where the months stand.
struct Months {
    right: i32,
    count: i32,
}

impl Months {
    fn x(&self, index: usize) -> i32 {
        let index = i32::try_from(index).unwrap_or(i32::MAX);
        LEFT + (self.right - LEFT) * (2 * index + 1) / (2 * self.count)
    }

    /// The boundary before a month.
    fn before(&self, index: usize) -> i32 {
        let index = i32::try_from(index).unwrap_or(i32::MAX);
        LEFT + (self.right - LEFT) * index / self.count
    }
}

/// The shapes of the chart.
pub(super) fn scene(
    chart: &Chart,
    panels: &[Panel],
    notes: &[MonthNote],
    target: Option<&Reference>,
) -> Scene {
    let (mut scene, top) = upward(chart);
    let height = if panels.len() > 1 { STACKED } else { ALONE };
    let labels = panels.iter().flat_map(|panel| &panel.line_labels);
    let widest = labels
        .chain(target)
        .map(|label| text_width(&label.label, Size::Small.pixels()));
    let months = Months {
        right: WIDTH - 30 - widest.max().unwrap_or(0),
        count: panels
            .iter()
            .map(|panel| i32::try_from(panel.points.len()).unwrap_or(i32::MAX))
            .max()
            .unwrap_or(1)
            .max(1),
    };
    let highest = highest(panels, target);
    let mut above = top - 26;
    for (index, panel) in panels.iter().enumerate() {
        let plot = (above + ABOVE, above + ABOVE + height);
        let axis = Axis::new(chart.unit, highest, plot.1, plot.0);
        let is_first = index == 0;
        self::panel(&mut scene, panel, &months, &axis, (above, plot), target);
        for note in notes {
            self::note(&mut scene, panel, note, &months, plot, is_first);
        }
        above = plot.1 + BELOW;
    }
    if let Some(panel) = panels.first() {
        under(&mut scene, &panel.points, &months, above);
    }
    scene.height = above + MONTHS;
    scene
}

fn panel(
    scene: &mut Scene,
    panel: &Panel,
    months: &Months,
    axis: &Axis,
    (above, (top, bottom)): (i32, (i32, i32)),
    target: Option<&Reference>,
) {
    scene.text(
        (LEFT, above + WORDS),
        &panel.label,
        Size::Label,
        Ink::Black,
        Align::Start,
    );
    marks_upward(scene, axis, months.right);
    lines(scene, &panel.points, months, axis);
    let mut labels: Vec<_> = panel
        .line_labels
        .iter()
        .map(|label| SideLabel {
            value: label.value,
            text: label.label.clone(),
            ink: Ink::Gray,
        })
        .collect();
    if let Some(target) = target {
        let y = axis.pixel(target.value);
        scene.line((LEFT, y), (months.right, y), Ink::Accent, 2);
        labels.push(SideLabel {
            value: target.value,
            text: target.label.clone(),
            ink: Ink::Accent,
        });
    }
    points(scene, panel, months, axis);
    rules(scene, panel, months, axis, top);
    for (index, point) in panel.points.iter().enumerate() {
        scene.text(
            (months.x(index), bottom + 28),
            &point.n,
            Size::Small,
            Ink::Gray,
            Align::Middle,
        );
    }
    scene.text(
        (LEFT - 14, bottom + 28),
        "n",
        Size::Small,
        Ink::Gray,
        Align::End,
    );
    labels.retain(|label| !axis.is_beyond(label.value));
    beside(scene, labels, months.right, axis, Size::Small);
}

/// The center line in dashes and the limits in full, each as far as it holds.
fn lines(scene: &mut Scene, points: &[LinedPoint], months: &Months, axis: &Axis) {
    let heights = |line: fn(&LinedPoint) -> Option<f64>| -> Vec<Option<i32>> {
        let inside = |value: &f64| value.is_finite() && !axis.is_beyond(*value);
        let height = |point| line(point).filter(inside).map(|value| axis.pixel(value));
        points.iter().map(height).collect()
    };
    for limits in [
        heights(|point| point.limits.0),
        heights(|point| point.limits.1),
    ] {
        for (from, to, y) in levels(&limits) {
            let ends = [from, to].map(|index| (months.before(index), y));
            scene.line(ends[0], ends[1], Ink::Silver, 2);
            // Upright to where the next month goes on.
            if let Some(Some(next)) = limits.get(to) {
                scene.line(ends[1], (ends[1].0, *next), Ink::Silver, 2);
            }
        }
    }
    for (from, to, y) in levels(&heights(|point| point.line)) {
        scene.dashes((months.before(from), y), months.before(to), Ink::Gray, 2);
    }
}

/// Months in a row with the same height: the first, the one behind the last, and the height.
fn levels(heights: &[Option<i32>]) -> Vec<(usize, usize, i32)> {
    let mut from = 0;
    let mut levels = Vec::new();
    for alike in heights.chunk_by(|a, b| a == b) {
        let to = from + alike.len();
        levels.extend(alike[0].map(|y| (from, to, y)));
        from = to;
    }
    levels
}

/// The points, joined where months follow one another; those that meet a rule have another form.
fn points(scene: &mut Scene, panel: &Panel, months: &Months, axis: &Axis) {
    let places: Vec<_> = panel
        .points
        .iter()
        .enumerate()
        .map(|(index, point)| {
            let value = point.value.filter(|value| value.is_finite())?;
            Some((months.x(index), axis.pixel(value)))
        })
        .collect();
    for pair in places.windows(2) {
        if let [Some(from), Some(to)] = *pair {
            scene.line(from, to, Ink::Gray, 2);
        }
    }
    for (index, place) in places.iter().enumerate() {
        let meets = |stretch: &Stretch| {
            stretch.is_of_points && (stretch.first..=stretch.last).contains(&index)
        };
        if let Some(at) = *place {
            let mark = if panel.stretches.iter().any(meets) {
                Mark::InView
            } else if panel.points[index].is_few {
                Mark::OpenCase
            } else {
                Mark::Estimate
            };
            scene.mark(at, mark);
        }
    }
}

/// The rules by name: beside a point that meets one, and above the months that meet one together.
fn rules(scene: &mut Scene, panel: &Panel, months: &Months, axis: &Axis, top: i32) {
    let mut free_from = i32::MIN;
    let mut named: Vec<&str> = Vec::new();
    for stretch in &panel.stretches {
        // Points that meet the same rule have the same mark; its name once is enough.
        if stretch.is_of_points && named.contains(&stretch.words.as_str()) {
            continue;
        }
        named.push(&stretch.words);
        let width = text_width(&stretch.words, Size::Small.pixels());
        if stretch.is_of_points {
            let value = panel
                .points
                .get(stretch.first)
                .and_then(|point| point.value);
            let Some(value) = value else { continue };
            let y = axis.pixel(value);
            // Above the point where there is room, else below it.
            let y = if y - top > 34 { y - 28 } else { y + 30 };
            let x = months.x(stretch.first).clamp(
                LEFT + width / 2,
                (months.right - width / 2).max(LEFT + width / 2),
            );
            scene.text(
                (x, y),
                &stretch.words,
                Size::Small,
                Ink::Accent,
                Align::Middle,
            );
        } else {
            let (from, to) = (
                months.before(stretch.first),
                months.before(stretch.last + 1),
            );
            let y = top - 8;
            scene.line((from, y), (to, y), Ink::Accent, 3);
            for x in [from, to] {
                scene.line((x, y), (x, y + 10), Ink::Accent, 3);
            }
            let right = to.max(from + width).min(months.right.max(LEFT + width));
            if right - width >= free_from {
                let at = (right, y - 18);
                scene.text(at, &stretch.words, Size::Small, Ink::Accent, Align::End);
                free_from = right + 16;
            }
        }
    }
}

/// An upright line before the month of a change; its words stand on the first panel.
fn note(
    scene: &mut Scene,
    panel: &Panel,
    note: &MonthNote,
    months: &Months,
    (top, bottom): (i32, i32),
    is_first: bool,
) {
    let place = panel
        .points
        .iter()
        .position(|point| point.month >= note.from);
    let Some(index) = place.filter(|_| panel.points.first().is_some_and(|p| p.month <= note.from))
    else {
        return;
    };
    let x = months.before(index);
    let mut y = top;
    while y < bottom {
        scene.line((x, y), (x, (y + 6).min(bottom)), Ink::Accent, 2);
        y += 14;
    }
    if is_first {
        // On the line of the panel's name, which stands at the left end.
        let y = top - ABOVE + WORDS;
        let name = LEFT + text_width(&panel.label, Size::Label.pixels()) + 24;
        let words = fitted(&note.text, Size::Small.pixels(), months.right - name);
        let width = text_width(&words, Size::Small.pixels());
        let right = (x + width / 2).clamp(name + width, months.right.max(name + width));
        scene.text((right, y), words, Size::Small, Ink::Accent, Align::End);
        scene.line((x, y + 16), (x, top), Ink::Accent, 2);
    }
}

/// Under the last panel: months, and the year where one starts.
fn under(scene: &mut Scene, points: &[LinedPoint], months: &Months, y: i32) {
    for (index, point) in points.iter().enumerate() {
        let is_last = index + 1 == points.len();
        let ink = if is_last { Ink::Accent } else { Ink::Gray };
        let month = format::month_short(point.month);
        let x = months.x(index);
        scene.text((x, y + 12), month, Size::Small, ink, Align::Middle);
        if index == 0 || point.month.number() == 1 {
            let year = point.month.year().to_string();
            scene.text((x, y + 42), year, Size::Small, Ink::Gray, Align::Middle);
        }
    }
}

/// What the scale must hold: every value and line, but no limit far above all values.
fn highest(panels: &[Panel], target: Option<&Reference>) -> f64 {
    let points = || panels.iter().flat_map(|panel| &panel.points);
    let values = points()
        .flat_map(|point| [point.value, point.line])
        .flatten()
        .chain(target.map(|target| target.value))
        .filter(|value| value.is_finite())
        .fold(0.0, f64::max);
    points()
        .filter_map(|point| point.limits.1)
        .filter(|limit| *limit <= values * 1.6)
        .fold(values, f64::max)
}

//! Layout of a chart of months.

use super::axis::Axis;
use super::font::text_width;
use super::frame::{LEFT, SideLabel, beside, marks_upward, upward};
use super::scene::{Align, Ink, Mark, Scene, Size, WIDTH};
use crate::domain::month::Month;
use crate::findings::finding::Unit;
use crate::report::chart::{CaseDot, Chart, MonthPoint, Reference};
use crate::report::format;

const PLOT_HEIGHT: i32 = 400;
const BELOW: i32 = 132;

/// The shapes of the chart.
pub(super) fn scene(
    chart: &Chart,
    points: &[MonthPoint],
    in_view: Month,
    reference: Option<&Reference>,
) -> Scene {
    let (mut scene, top) = upward(chart);
    let bottom = top + PLOT_HEIGHT;
    scene.height = bottom + BELOW;

    let labels = side_labels(points, in_view, reference);
    let widest = labels
        .iter()
        .map(|label| text_width(&label.text, Size::Label.pixels()));
    let right = WIDTH - 30 - widest.max().unwrap_or(0);
    let axis = Axis::new(
        chart.unit,
        highest(chart.unit, points, reference),
        bottom,
        top,
    );
    marks_upward(&mut scene, &axis, right);
    if let Some(reference) = reference {
        let y = axis.pixel(reference.value);
        scene.dashes((LEFT, y), right, Ink::Gray, 2);
    }

    let count = i32::try_from(points.len()).unwrap_or(i32::MAX).max(1);
    let step = (right - LEFT) / count;
    scene.text(
        (LEFT - 14, bottom + 102),
        "n",
        Size::Small,
        Ink::Gray,
        Align::End,
    );
    for (index, point) in (0..).zip(points) {
        let x = LEFT + step / 2 + index * step;
        let is_in_view = point.month == in_view;
        below(&mut scene, point, x, bottom, index == 0, is_in_view);
        bar(&mut scene, point, x, step, &axis);
        cases(&mut scene, point, x, step, &axis, top);
        estimate(&mut scene, point, x, &axis, is_in_view);
    }
    beside(&mut scene, labels, right, &axis, Size::Label);
    scene
}

/// Under the axis: month, year where one starts, and the denominator.
fn below(
    scene: &mut Scene,
    point: &MonthPoint,
    x: i32,
    bottom: i32,
    is_first: bool,
    is_in_view: bool,
) {
    let ink = if is_in_view { Ink::Accent } else { Ink::Gray };
    let month = format::month_short(point.month);
    scene.text((x, bottom + 28), month, Size::Small, ink, Align::Middle);
    if is_first || point.month.number() == 1 {
        let year = point.month.year().to_string();
        scene.text(
            (x, bottom + 60),
            year,
            Size::Small,
            Ink::Gray,
            Align::Middle,
        );
    }
    scene.text((x, bottom + 102), &point.n, Size::Small, ink, Align::Middle);
}

fn bar(scene: &mut Scene, point: &MonthPoint, x: i32, step: i32, axis: &Axis) {
    if let Some((low, high)) = point.quartiles {
        let half = (step * 3 / 10).clamp(4, 26);
        let from = (x - half, axis.pixel(high));
        scene.bar(from, (x + half, axis.pixel(low)), Ink::Cloud);
    }
}

/// Single cases, those of equal length side by side; those beyond the axis as a number at its top.
fn cases(scene: &mut Scene, point: &MonthPoint, x: i32, step: i32, axis: &Axis, top: i32) {
    let mut beyond = 0;
    let mut at_pixel: Vec<(i32, i32)> = Vec::new();
    for &CaseDot {
        minutes,
        reached,
        count,
    } in &point.cases
    {
        if axis.is_beyond(minutes as f64) {
            beyond += count;
            continue;
        }
        let y = axis.pixel(minutes as f64);
        for _ in 0..count {
            // Dots that would cover each other move aside in turn: 0, +1, -1, +2, and so on.
            let neighbors = at_pixel
                .iter()
                .filter(|(_, other)| (other - y).abs() < 8)
                .count();
            let turn = i32::try_from(neighbors).unwrap_or(0);
            let side = if turn % 2 == 1 {
                (turn + 1) / 2
            } else {
                -turn / 2
            };
            let room = (step / 2 - 5).max(0);
            at_pixel.push((x, y));
            let mark = if reached { Mark::Case } else { Mark::OpenCase };
            scene.mark((x + (side * 8).clamp(-room, room), y), mark);
        }
    }
    if beyond > 0 {
        scene.text(
            (x, top - 14),
            format!("+{beyond}"),
            Size::Small,
            Ink::Gray,
            Align::Middle,
        );
    }
}

fn estimate(scene: &mut Scene, point: &MonthPoint, x: i32, axis: &Axis, is_in_view: bool) {
    let Some(value) = point.value else {
        return;
    };
    let (ink, mark) = if is_in_view {
        (Ink::Accent, Mark::InView)
    } else {
        (Ink::Black, Mark::Estimate)
    };
    scene.upright_interval(x, axis.interval(value, point.limits), ink);
    scene.mark((x, axis.pixel(value)), mark);
}

fn side_labels(
    points: &[MonthPoint],
    in_view: Month,
    reference: Option<&Reference>,
) -> Vec<SideLabel> {
    let now = points.iter().find(|point| point.month == in_view);
    let now = now.and_then(|point| {
        Some(SideLabel {
            value: point.value?,
            text: point.value_text.clone(),
            ink: Ink::Accent,
        })
    });
    let before = reference.map(|reference| SideLabel {
        value: reference.value,
        text: reference.label.clone(),
        ink: Ink::Gray,
    });
    now.into_iter().chain(before).collect()
}

/// What the axis must hold. Minutes have a long tail: the axis follows the middle half, and what
/// lies beyond is counted at its top. Without any estimate it follows the cases.
fn highest(unit: Option<Unit>, points: &[MonthPoint], reference: Option<&Reference>) -> f64 {
    let of_points = points.iter().flat_map(|point| {
        let upper = point.limits.1.filter(|_| unit != Some(Unit::Minutes));
        [point.value, point.quartiles.map(|(_, high)| high), upper]
    });
    let highest = of_points
        .flatten()
        .chain(reference.map(|reference| reference.value))
        .fold(0.0, f64::max);
    let cases = points.iter().flat_map(|point| &point.cases);
    match unit {
        Some(Unit::Minutes) if highest > 0.0 => highest * 1.6,
        Some(Unit::Minutes) => cases.map(|dot| dot.minutes as f64).fold(0.0, f64::max),
        Some(Unit::Fraction | Unit::Per30SiteDays) | None => highest,
    }
}

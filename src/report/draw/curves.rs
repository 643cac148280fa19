//! Layout of rising curves: small panels, two beside each other, each with its band, the cases that
//! left as ticks, and the numbers at risk below the axis. No panel needs a color to be told from
//! another.

use super::axis::Axis;
use super::font::{fitted, text_width};
use super::frame::titled;
use super::scene::{Align, At, Ink, Scene, Size, WIDTH};
use crate::findings::finding::Unit;
use crate::report::chart::{Chart, CurvePanel};

const PLOT_HEIGHT: i32 = 270;
/// Left end of the first panel, behind the words of the axes.
const LEFT: i32 = 112;
const RIGHT: i32 = WIDTH - 44;
/// Between two panels of a row; the marks of the axis stand in it.
const GAP: i32 = 100;
const HEAD: i32 = 84;
const FOOT: i32 = 104;
/// Ticks of cases that left stand at least this far from each other.
const BETWEEN_TICKS: i32 = 6;

/// Lowest step that is drawn, in pixels; the line is twice as wide.
const LOWEST_STEP: i32 = 2;

/// The shapes of the chart.
pub(super) fn scene(chart: &Chart, panels: &[CurvePanel]) -> Scene {
    let (mut scene, below) = titled(chart);
    let at = (20, below + 12);
    let words = &chart.axis_label;
    scene.text(at, words, Size::Label, Ink::Gray, Align::Start);
    let columns = if panels.len() > 1 { 2 } else { 1 };
    let width = (RIGHT - LEFT - (columns - 1) * GAP) / columns;
    let mut top = below + 40;
    for row in panels.chunks(usize::try_from(columns).unwrap_or(1)) {
        for (column, panel) in (0..).zip(row) {
            let left = LEFT + column * (width + GAP);
            let frame = Frame {
                left,
                right: left + width,
                top: top + HEAD,
                bottom: top + HEAD + PLOT_HEIGHT,
                end: panel.ticks.last().map_or(1, |tick| tick.0).max(1),
            };
            frame.draw(&mut scene, panel);
            if column == 0 {
                let at = (20, frame.bottom + 62);
                scene.text(at, "at risk", Size::Small, Ink::Gray, Align::Start);
            }
        }
        top += HEAD + PLOT_HEIGHT + FOOT;
    }
    scene.height = top;
    scene
}

/// Where one panel lies, and the minutes at its right end.
struct Frame {
    left: i32,
    right: i32,
    top: i32,
    bottom: i32,
    end: i64,
}

impl Frame {
    fn draw(&self, scene: &mut Scene, panel: &CurvePanel) {
        let width = self.right - self.left;
        let label = fitted(&panel.label, Size::Label.pixels(), width);
        let at = (self.left, self.top - 58);
        scene.text(at, label, Size::Label, Ink::Black, Align::Start);
        let words = fitted(&panel.words, Size::Small.pixels(), width);
        let at = (self.left, self.top - 27);
        scene.text(at, words, Size::Small, Ink::Gray, Align::Start);

        let axis = Axis::new(Some(Unit::Fraction), 1.0, self.bottom, self.top);
        self.band(scene, panel, &axis);
        for (y, words) in axis.ticks() {
            scene.line((self.left, y), (self.right, y), Ink::Mist, 2);
            let at = (self.left - 12, y);
            scene.text(at, words, Size::Small, Ink::Gray, Align::End);
        }
        self.time(scene, panel);
        self.limits(scene, panel);
        self.curve(scene, panel, &axis);
    }

    fn x_of(&self, minutes: i64) -> i32 {
        let part = (minutes as f64 / self.end as f64).clamp(0.0, 1.0);
        #[expect(
            clippy::cast_possible_truncation,
            reason = "a part of the width of the panel, which is an i32"
        )]
        let pixels = (f64::from(self.right - self.left) * part).round() as i32;
        self.left + pixels
    }

    /// The axis of time: marks, their words, and the cases at risk below them.
    fn time(&self, scene: &mut Scene, panel: &CurvePanel) {
        scene.line(
            (self.left, self.bottom),
            (self.right, self.bottom),
            Ink::Silver,
            2,
        );
        for (minutes, words, at_risk) in &panel.ticks {
            let x = self.x_of(*minutes);
            let tick = (x, self.bottom + 8);
            scene.line((x, self.bottom), tick, Ink::Silver, 2);
            for (down, text) in [(26, words), (62, at_risk)] {
                let at = (x, self.bottom + down);
                scene.text(at, text, Size::Small, Ink::Gray, Align::Middle);
            }
        }
    }

    /// Upright lines, named low in the panel, where the curve seldom is.
    fn limits(&self, scene: &mut Scene, panel: &CurvePanel) {
        for (line, (minutes, words)) in (0..).zip(&panel.limits) {
            let x = self.x_of(*minutes);
            scene.line((x, self.top), (x, self.bottom), Ink::Gray, 3);
            let y = self.bottom - 18 - line * 26;
            let width = text_width(words, Size::Small.pixels());
            let (x, align) = if x + 12 + width > self.right {
                (x - 10, Align::End)
            } else {
                (x + 10, Align::Start)
            };
            scene.text((x, y), words, Size::Small, Ink::Black, align);
        }
    }

    fn band(&self, scene: &mut Scene, panel: &CurvePanel, axis: &Axis) {
        let mut corners = self.stairs(panel, axis, |step| step.1.1);
        let mut low = self.stairs(panel, axis, |step| step.1.0);
        low.reverse();
        corners.extend(low);
        scene.area(corners, Ink::Cloud);
    }

    fn curve(&self, scene: &mut Scene, panel: &CurvePanel, axis: &Axis) {
        let mut free_from = i32::MIN;
        for minutes in &panel.censored {
            let x = self.x_of(*minutes);
            if x < free_from || *minutes > panel.until {
                continue;
            }
            free_from = x + BETWEEN_TICKS;
            let passed = panel.steps.partition_point(|step| step.minutes <= *minutes);
            let step = panel.steps[..passed].last();
            let y = axis.pixel(step.map_or(0.0, |step| step.share));
            scene.line((x, y - 10), (x, y + 10), Ink::Black, 2);
        }
        let stairs = self.stairs(panel, axis, |step| step.0);
        scene.path(stairs, Ink::Black, 4);
    }

    /// The stairs of one number of each step, from the start to the end of the curve. Steps too low to
    /// be seen wait for the next, so that a picture does not grow with the number of cases.
    fn stairs(
        &self,
        panel: &CurvePanel,
        axis: &Axis,
        number: impl Fn((f64, (f64, f64))) -> f64,
    ) -> Vec<At> {
        let mut points = vec![(self.left, axis.pixel(0.0))];
        for (place, step) in panel.steps.iter().enumerate() {
            let x = self.x_of(step.minutes);
            let y = axis.pixel(number((step.share, step.band)));
            let before = points.last().map_or(y, |point| point.1);
            let is_last = place + 1 == panel.steps.len();
            if (y - before).abs() >= LOWEST_STEP || (is_last && y != before) {
                points.extend([(x, before), (x, y)]);
            }
        }
        let last = points.last().map_or(0, |point| point.1);
        points.push((self.x_of(panel.until), last));
        points
    }
}

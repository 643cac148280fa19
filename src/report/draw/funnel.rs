//! Layout of sites by size and share between limits. Sites beyond a limit have a form of their own
//! and are named first; others are named where there are few.

use super::axis::Axis;
use super::font::text_width;
use super::frame::{LEFT, marks_upward, upward};
use super::scene::{Align, At, Ink, Mark, Scene, Size, WIDTH};
use crate::report::chart::{Chart, FunnelLine, FunnelPlot, FunnelPoint};
use crate::report::format;

const PLOT_HEIGHT: i32 = 520;
const BELOW: i32 = 110;
const WIDEST_LABEL: i32 = 230;
/// With more sites than that only those beyond a limit are named; the table names all.
const FEW_SITES: usize = 15;
/// A largest site this many times the middle one would press all others together.
const UNEVEN: u64 = 8;

/// The shapes of the chart.
pub(super) fn scene(chart: &Chart, plot: &FunnelPlot) -> Scene {
    let (mut scene, top) = upward(chart);
    let bottom = top + PLOT_HEIGHT;
    scene.height = bottom + BELOW;
    let names = side_labels(plot);
    let widest = names
        .iter()
        .map(|(_, words)| text_width(words, Size::Small.pixels()));
    let right = WIDTH - 34 - widest.max().unwrap_or(0);
    let axis = Axis::of_points(range(plot), bottom, top);
    let sizes = Sizes::new(plot, right);
    marks_upward(&mut scene, &axis, right);
    for (cases, words) in sizes.ticks() {
        let x = sizes.pixel(cases);
        scene.line((x, bottom), (x, bottom + 8), Ink::Silver, 2);
        let at = (x, bottom + 28);
        scene.text(at, words, Size::Label, Ink::Gray, Align::Middle);
    }
    let at = (LEFT, bottom + 74);
    scene.text(at, sizes.words(), Size::Label, Ink::Gray, Align::Start);

    let y = axis.pixel(plot.target.value);
    let target = [(LEFT, y), (right, y)];
    scene.line(target[0], target[1], Ink::Black, 2);
    let mut on_lines: Vec<Taken> = vec![around(&target)];
    for (place, ink) in [(0, Ink::Silver), (1, Ink::Gray)] {
        for side in [low, high] {
            let at = |line: &FunnelLine| side(line.limits[place]);
            for path in paths(&plot.lines, at, &axis, &sizes) {
                on_lines.extend(path.windows(2).map(around));
                scene.path(path, ink, 3);
            }
        }
    }
    beside(&mut scene, names, right, &axis);
    let mut placed = Sites {
        axis,
        sizes,
        on_lines,
        taken: Vec::new(),
    };
    placed.draw(&mut scene, plot);
    scene
}

fn low(limits: (Option<f64>, Option<f64>)) -> Option<f64> {
    limits.0
}

fn high(limits: (Option<f64>, Option<f64>)) -> Option<f64> {
    limits.1
}

/// The lines of one limit, broken where it does not exist.
fn paths(
    lines: &[FunnelLine],
    limit: impl Fn(&FunnelLine) -> Option<f64>,
    axis: &Axis,
    sizes: &Sizes,
) -> Vec<Vec<At>> {
    let exists = |line: &FunnelLine| limit(line).is_some_and(|at| axis.holds(at));
    let parts = lines.chunk_by(|a, b| exists(a) == exists(b));
    parts
        .filter(|part| part.first().is_some_and(exists))
        .map(|part| {
            let points = part.iter().filter_map(|line| {
                let x = sizes.pixel(line.cases);
                Some((x, axis.pixel(limit(line)?)))
            });
            points.collect()
        })
        .collect()
}

/// The axis of sizes. Logarithmic where one site is much larger than most.
struct Sizes {
    first: f64,
    last: f64,
    is_logarithmic: bool,
    right: i32,
}

impl Sizes {
    fn new(plot: &FunnelPlot, right: i32) -> Sizes {
        let mut cases: Vec<u64> = plot.sites.iter().map(|site| site.cases).collect();
        cases.sort_unstable();
        let middle = cases.get(cases.len() / 2).copied().unwrap_or(1);
        let largest = cases.last().copied().unwrap_or(1);
        let smallest = plot.lines.first().map_or(1, |line| line.cases).max(1);
        let is_logarithmic = largest / UNEVEN > middle;
        Sizes {
            first: if is_logarithmic { smallest as f64 } else { 0.0 },
            last: largest.max(smallest + 1) as f64 * 1.04,
            is_logarithmic,
            right,
        }
    }

    fn pixel(&self, cases: u64) -> i32 {
        let cases = cases as f64;
        let part = if self.is_logarithmic {
            (cases / self.first).ln() / (self.last / self.first).ln()
        } else {
            (cases - self.first) / (self.last - self.first)
        };
        #[expect(
            clippy::cast_possible_truncation,
            reason = "a part of the width of the plot, which is an i32"
        )]
        let pixels = (f64::from(self.right - LEFT) * part.clamp(0.0, 1.0)).round() as i32;
        LEFT + pixels
    }

    /// What the axis is.
    fn words(&self) -> &'static str {
        if self.is_logarithmic {
            "judged cases of the site (logarithmic axis)"
        } else {
            "judged cases of the site"
        }
    }

    /// Round numbers of cases with their words, far enough from each other.
    fn ticks(&self) -> Vec<(u64, String)> {
        let powers = (0..20).map(|power| 10_u64.saturating_pow(power));
        let round = powers.flat_map(|power| [1, 2, 5].map(|factor| power.saturating_mul(factor)));
        let all: Vec<u64> = if self.is_logarithmic && self.last > self.first * 1000.0 {
            (0..20).map(|power| 10_u64.saturating_pow(power)).collect()
        } else if self.is_logarithmic {
            round.collect()
        } else {
            let is_enough = |step: &u64| *step as f64 * 6.0 >= self.last;
            let step = round.into_iter().find(is_enough).unwrap_or(u64::MAX);
            (0..=6).map(|place| step.saturating_mul(place)).collect()
        };
        let is_on_axis = |cases: &u64| (self.first..=self.last).contains(&(*cases as f64));
        let mut free_from = i32::MIN;
        let shown = all.into_iter().filter(is_on_axis).filter_map(|cases| {
            let words = format::whole(cases);
            let half = text_width(&words, Size::Label.pixels()) / 2;
            let x = self.pixel(cases);
            (x - half >= free_from).then(|| {
                free_from = x + half + 20;
                (cases, words)
            })
        });
        shown.collect()
    }
}

/// The names of target and limits, with the height at which each ends.
fn side_labels(plot: &FunnelPlot) -> Vec<(f64, String)> {
    let mut labels = vec![(plot.target.value, plot.target.label.clone())];
    if let Some(line) = plot.lines.last() {
        for (limits, name) in line.limits.iter().zip(&plot.names) {
            let ends = [limits.0, limits.1].into_iter().flatten();
            labels.extend(ends.map(|end| (end, name.clone())));
        }
    }
    labels
}

/// Draws the names at the right end, pushed apart from the target to both sides.
fn beside(scene: &mut Scene, names: Vec<(f64, String)>, right: i32, axis: &Axis) {
    const APART: i32 = 24;
    let target = names.first().map_or(0.0, |name| name.0);
    let mut up = names;
    let mut down: Vec<_> = up.extract_if(.., |name| name.0 < target).collect();
    up.sort_by(|a, b| a.0.total_cmp(&b.0));
    down.sort_by(|a, b| b.0.total_cmp(&a.0));
    let middle = axis.pixel(target);
    let mut write = |y: i32, words: String| {
        let at = (right + 12, y);
        scene.text(at, words, Size::Small, Ink::Gray, Align::Start);
    };
    let mut free = middle;
    for (value, words) in up {
        let y = axis.pixel(value).min(free);
        free = y - APART;
        write(y, words);
    }
    let mut free = middle + APART;
    for (value, words) in down {
        let y = axis.pixel(value).max(free);
        free = y + APART;
        write(y, words);
    }
}

/// A rectangle that is taken: left, top, right, bottom.
type Taken = [i32; 4];

fn around(points: &[At]) -> Taken {
    let x = || points.iter().map(|point| point.0);
    let y = || points.iter().map(|point| point.1);
    let least = |number: Option<i32>| number.unwrap_or(0) - 2;
    let most = |number: Option<i32>| number.unwrap_or(0) + 2;
    [
        least(x().min()),
        least(y().min()),
        most(x().max()),
        most(y().max()),
    ]
}

fn overlap(a: Taken, b: Taken) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

/// The marks of the sites, and where names would cover something.
struct Sites {
    axis: Axis,
    sizes: Sizes,
    on_lines: Vec<Taken>,
    taken: Vec<Taken>,
}

impl Sites {
    /// The marks, and the names that find room: first of sites beyond the outer limits, then beyond
    /// the inner ones, then of the others where there are few.
    fn draw(&mut self, scene: &mut Scene, plot: &FunnelPlot) {
        for site in &plot.sites {
            let (x, y) = self.at(site);
            self.taken.push([x - 12, y - 12, x + 12, y + 12]);
            let mark = match site.beyond {
                0 => Mark::Estimate,
                1 => Mark::Far,
                _ => Mark::InView,
            };
            scene.mark((x, y), mark);
        }
        let is_named = |site: &&FunnelPoint| site.beyond > 0 || plot.sites.len() <= FEW_SITES;
        let mut named: Vec<_> = plot.sites.iter().filter(is_named).collect();
        named.sort_by_key(|site| std::cmp::Reverse(site.beyond));
        for site in named {
            self.name(scene, site);
        }
    }

    fn at(&self, site: &FunnelPoint) -> At {
        (self.sizes.pixel(site.cases), self.axis.pixel(site.value))
    }

    /// The name beside, above or below its mark, never on a mark or on another name: off the lines too,
    /// or, where there is no such place, nowhere unless the site lies beyond a limit.
    fn name(&mut self, scene: &mut Scene, site: &FunnelPoint) {
        let words = shortened(&site.label);
        let width = text_width(&words, Size::Small.pixels());
        let (x, y) = self.at(site);
        let middle = x - width / 2;
        let places = [
            ((x + 20, y), Align::Start, x + 20),
            ((x - 20, y), Align::End, x - 20 - width),
            ((x, y - 26), Align::Middle, middle),
            ((x, y + 26), Align::Middle, middle),
            ((x + 12, y - 26), Align::Start, x + 12),
            ((x - 12, y - 26), Align::End, x - 12 - width),
            ((x + 12, y + 26), Align::Start, x + 12),
            ((x - 12, y + 26), Align::End, x - 12 - width),
        ];
        let free = places.into_iter().filter_map(|(at, align, left)| {
            let place = [left, at.1 - 11, left + width, at.1 + 11];
            let is_inside = left >= LEFT && left + width <= self.sizes.right;
            let is_free = !self.taken.iter().any(|other| overlap(place, *other));
            (is_inside && is_free).then_some((at, align, place))
        });
        let free: Vec<_> = free.collect();
        let is_off_lines = |place: Taken| !self.on_lines.iter().any(|line| overlap(place, *line));
        let best = free.iter().find(|place| is_off_lines(place.2));
        // The limits are what the chart is about: a site within them gives way.
        let second = free.first().filter(|_| site.beyond > 0);
        if let Some(&(at, align, place)) = best.or(second) {
            self.taken.push(place);
            scene.text(at, words, Size::Small, Ink::Black, align);
        }
    }
}

/// A name that is too long loses its middle: names of sites often differ at their end.
fn shortened(name: &str) -> String {
    let fits = |words: &str| text_width(words, Size::Small.pixels()) <= WIDEST_LABEL;
    if fits(name) {
        return name.to_owned();
    }
    let letters: Vec<char> = name.chars().collect();
    let cut = (1..letters.len() / 2).rev().map(|kept| {
        let first: String = letters[..kept].iter().collect();
        let last: String = letters[letters.len() - kept..].iter().collect();
        format!("{}…{}", first.trim_end(), last.trim_start())
    });
    cut.into_iter()
        .find(|words| fits(words))
        .unwrap_or_default()
}

/// The lowest and highest number that the chart must hold: every site, and the outer limits of the
/// middle of the sites.
fn range(plot: &FunnelPlot) -> (f64, f64) {
    let values = plot.sites.iter().map(|site| site.value);
    let middle = plot.lines.get(plot.lines.len() / 2);
    let limits = middle
        .into_iter()
        .flat_map(|line| [line.limits[1].0, line.limits[1].1])
        .flatten();
    values
        .chain(limits)
        .chain([plot.target.value])
        .fold((1.0, 0.0), |(low, high), value| {
            (f64::min(low, value), f64::max(high, value))
        })
}

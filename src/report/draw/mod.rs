//! From chart models to pictures: layout to shapes, shapes to SVG and PNG. Layout is plain
//! arithmetic; only `image` touches a drawing library, and `inline` shortens what that writes for a
//! page of many charts. Nothing here knows findings or HTML.

mod axis;
mod canvas;
mod curves;
mod followed;
mod font;
mod frame;
mod funnel;
mod grid;
mod image;
mod inline;
mod months;
mod pack;
mod palette;
mod primitives;
mod rows;
mod scene;
mod sequence;
mod stacks;

#[cfg(test)]
mod tests;

use super::chart::{Chart, Plot};
use scene::Scene;

pub(super) use primitives::{Picture, Primitive, Rgb};

/// The chart as SVG, without ids and styles, so that many fit into one page. `alternative` says in
/// words what it shows.
pub(super) fn svg(chart: &Chart, alternative: &str) -> String {
    image::svg(&scene(chart), &chart.title, alternative)
}

/// The chart for the page, which writes the title above it itself. Its inks are classes of the
/// style sheet. `alternative` says in words what it shows, escaped for markup.
pub(super) fn inline_svg(chart: &Chart, alternative: &str) -> String {
    inline::svg(&scene(chart), alternative)
}

/// The chart as a PNG with a list of its colors, 8 bits a pixel.
pub(super) fn png(chart: &Chart) -> Vec<u8> {
    image::png(&scene(chart))
}

/// The chart as primitives, for another surface.
pub(super) fn picture(chart: &Chart) -> Picture {
    primitives::picture(&scene(chart))
}

fn scene(chart: &Chart) -> Scene {
    match &chart.plot {
        Plot::Months {
            points,
            in_view,
            reference,
        } => months::scene(chart, points, *in_view, reference.as_ref()),
        Plot::Rows(lines) => rows::scene(chart, lines),
        Plot::Stacks { parts, bars } => stacks::scene(chart, parts, bars),
        Plot::Grid(grid) => grid::scene(chart, grid),
        Plot::Sequence { points, lines } => sequence::scene(chart, points, lines.as_ref()),
        Plot::Followed {
            panels,
            notes,
            target,
        } => followed::scene(chart, panels, notes, target.as_ref()),
        Plot::Curves(panels) => curves::scene(chart, panels),
        Plot::Funnel(plot) => funnel::scene(chart, plot),
    }
}

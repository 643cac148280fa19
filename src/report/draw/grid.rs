//! Layout of a chart of cells. Shades only lead the eye: every number stands in its cell.

use super::font::{fitted, text_width, wrapped};
use super::frame::titled;
use super::scene::{Align, At, Ink, Scene, Size, WIDTH};
use crate::report::chart::{Chart, Grid, GridCell, Shade};

const ROW: i32 = 40;
const LEGEND_LINE: i32 = 40;
const WIDEST_LABEL: i32 = 400;
const WIDEST_TOTAL: i32 = 160;
/// No cell is wider, so that few columns do not look like bars.
const WIDEST_CELL: i32 = 96;
const FRAME: u32 = 4;

/// Where the cells lie.
struct Cells {
    left: i32,
    top: i32,
    width: i32,
    /// Where the totals of rows end.
    totals_end: i32,
}

impl Cells {
    /// Upper left of a cell.
    fn at(&self, row: i32, column: i32) -> At {
        (self.left + column * self.width, self.top + row * ROW)
    }

    fn middle(&self, row: i32, column: i32) -> At {
        let (x, y) = self.at(row, column);
        (x + self.width / 2, y + ROW / 2)
    }
}

/// The shapes of the chart.
pub(super) fn scene(chart: &Chart, grid: &Grid) -> Scene {
    let (mut scene, below) = titled(chart);
    let widest = |texts: &mut dyn Iterator<Item = &String>, most: i32| {
        let widths = texts.map(|text| text_width(text, Size::Label.pixels()));
        widths.max().unwrap_or(0).min(most)
    };
    let mut labels = grid.rows.iter().map(|row| &row.label).chain(&grid.below);
    let left = 20 + widest(&mut labels, WIDEST_LABEL) + 24;
    let mut totals = grid.rows.iter().map(|row| &row.total).chain(&grid.totals);
    let totals = match widest(&mut totals, WIDEST_TOTAL) {
        0 => 0,
        width => width + 28,
    };
    let (columns, rows) = (count(grid.columns.len()), count(grid.rows.len()));
    let has_groups = grid.columns.iter().any(|column| !column.group.is_empty());
    let width = ((WIDTH - 20 - totals - left) / columns.max(1)).clamp(1, WIDEST_CELL);
    let cells = Cells {
        left,
        top: below + if has_groups { 88 } else { 60 },
        width,
        totals_end: left + columns * width + totals,
    };
    headings(&mut scene, grid, &cells);
    for (row, line) in (0..).zip(&grid.rows) {
        let y = cells.middle(row, 0).1;
        label(&mut scene, &line.label, y);
        for (column, cell) in (0..columns).zip(&line.cells) {
            self::cell(&mut scene, cell, &cells, (row, column));
        }
        if !line.total.is_empty() {
            let at = (cells.totals_end, y);
            scene.text(at, &line.total, Size::Label, Ink::Black, Align::End);
        }
    }
    let mut bottom = cells.at(rows, 0).1;
    borders(&mut scene, &cells, (rows, columns));
    frame(&mut scene, grid, &cells);
    if let Some(below) = &grid.below {
        let at = (20, cells.middle(rows, 0).1);
        scene.text(at, below, Size::Label, Ink::Gray, Align::Start);
        for (column, heading) in (0..).zip(&grid.columns) {
            let at = cells.middle(rows, column);
            if !heading.total.is_empty() {
                scene.text(at, &heading.total, Size::Small, Ink::Black, Align::Middle);
            }
        }
        bottom += ROW;
    }
    scene.height = legend(&mut scene, chart, grid, bottom + 16);
    scene
}

/// The label of a row, in small letters where it is long, and on two lines where it is longer still.
fn label(scene: &mut Scene, label: &str, y: i32) {
    let small = Size::Small.pixels();
    let mut put = |text: String, size, y| scene.text((20, y), text, size, Ink::Black, Align::Start);
    if text_width(label, Size::Label.pixels()) <= WIDEST_LABEL {
        put(label.to_owned(), Size::Label, y);
        return;
    }
    let mut lines = wrapped(label, small, WIDEST_LABEL).into_iter();
    let first = lines.next().unwrap_or_default();
    let first = fitted(&first, small, WIDEST_LABEL);
    let rest = lines.collect::<Vec<_>>().join(" ");
    if rest.is_empty() {
        put(first, Size::Small, y);
        return;
    }
    put(first, Size::Small, y - 10);
    put(fitted(&rest, small, WIDEST_LABEL), Size::Small, y + 10);
}

/// What stands above the cells.
fn headings(scene: &mut Scene, grid: &Grid, cells: &Cells) {
    let has_room = grid
        .columns
        .iter()
        .all(|column| text_width(&column.label, Size::Small.pixels()) + 8 <= cells.width);
    for (column, heading) in (0..).zip(&grid.columns) {
        let (x, _) = cells.middle(0, column);
        let y = cells.top - 20;
        // The group above says which J is January.
        let letters = if has_room { usize::MAX } else { 1 };
        let label: String = heading.label.chars().take(letters).collect();
        scene.text((x, y), label, Size::Small, Ink::Gray, Align::Middle);
        if !heading.group.is_empty() {
            let at = (cells.at(0, column).0 + 4, y - 30);
            scene.text(at, &heading.group, Size::Small, Ink::Black, Align::Start);
        }
    }
    if let Some(totals) = &grid.totals {
        let at = (cells.totals_end, cells.top - 20);
        scene.text(at, totals, Size::Small, Ink::Gray, Align::End);
    }
}

fn cell(scene: &mut Scene, cell: &GridCell, cells: &Cells, (row, column): (i32, i32)) {
    if let Some(ink) = fill(cell.shade) {
        scene.bar(cells.at(row, column), cells.at(row + 1, column + 1), ink);
    }
    if cell.text.is_empty() {
        return;
    }
    let size = if cells.width >= 56 {
        Size::Label
    } else {
        Size::Small
    };
    let at = cells.middle(row, column);
    scene.text(at, &cell.text, size, text_ink(cell.shade), Align::Middle);
}

const fn fill(shade: Shade) -> Option<Ink> {
    match shade {
        Shade::Blank => None,
        Shade::Pale => Some(Ink::Mist),
        Shade::Light => Some(Ink::Ash),
        Shade::Middle => Some(Ink::Silver),
        Shade::Dark => Some(Ink::Gray),
    }
}

/// Contrast of at least 6 to 1 on each shade.
const fn text_ink(shade: Shade) -> Ink {
    match shade {
        Shade::Dark => Ink::Paper,
        _ => Ink::Black,
    }
}

/// Thin lines between rows and around all cells, so that blank ones have a place.
fn borders(scene: &mut Scene, cells: &Cells, (rows, columns): (i32, i32)) {
    for row in 0..=rows {
        scene.line(cells.at(row, 0), cells.at(row, columns), Ink::Cloud, 2);
    }
    for column in [0, columns] {
        scene.line(cells.at(0, column), cells.at(rows, column), Ink::Cloud, 2);
    }
}

/// A line wherever a framed cell lies beside one that is not, in pieces as long as can be. It has a
/// white rim, so that it also stands out from dark cells.
fn frame(scene: &mut Scene, grid: &Grid, cells: &Cells) {
    let (rows, columns) = (count(grid.rows.len()), count(grid.columns.len()));
    let is_framed = |row: i32, column: i32| {
        let row = usize::try_from(row).ok().and_then(|row| grid.rows.get(row));
        let cell = usize::try_from(column)
            .ok()
            .and_then(|column| row?.cells.get(column));
        cell.is_some_and(|cell| cell.is_framed)
    };
    let mut lines = Vec::new();
    for row in 0..=rows {
        let is_edge = |column| is_framed(row - 1, column) != is_framed(row, column);
        for (from, to) in runs(columns, is_edge) {
            lines.push((cells.at(row, from), cells.at(row, to)));
        }
    }
    for column in 0..=columns {
        let is_edge = |row| is_framed(row, column - 1) != is_framed(row, column);
        for (from, to) in runs(rows, is_edge) {
            lines.push((cells.at(from, column), cells.at(to, column)));
        }
    }
    for (ink, width) in [(Ink::Paper, 2 * FRAME), (Ink::Black, FRAME)] {
        for (from, to) in &lines {
            scene.line(*from, *to, ink, width);
        }
    }
}

/// The stretches of `0..length` in which something holds, as first place and first place behind.
fn runs(length: i32, holds: impl Fn(i32) -> bool) -> Vec<(i32, i32)> {
    let mut runs: Vec<(i32, i32)> = Vec::new();
    for place in (0..length).filter(|&place| holds(place)) {
        match runs.last_mut() {
            Some((_, end)) if *end == place => *end += 1,
            _ => runs.push((place, place + 1)),
        }
    }
    runs
}

/// The legend and the words of the axis; gives the height of the picture.
fn legend(scene: &mut Scene, chart: &Chart, grid: &Grid, top: i32) -> i32 {
    let (mut x, mut y) = (20, top + LEGEND_LINE / 2);
    if !chart.axis_label.is_empty() {
        let words = format!("{}:", chart.axis_label);
        scene.text((x, y), &words, Size::Label, Ink::Gray, Align::Start);
        x += text_width(&words, Size::Label.pixels()) + 24;
    }
    let keys = grid
        .legend
        .iter()
        .map(|(shade, words)| (Some(*shade), words));
    for (shade, words) in keys.chain(grid.frame.iter().map(|words| (None, words))) {
        let width = 56 + text_width(words, Size::Label.pixels()) + 30;
        if x > 20 && x + width > WIDTH - 20 {
            (x, y) = (20, y + LEGEND_LINE);
        }
        let (from, to) = ((x, y - 13), (x + 44, y + 13));
        if let Some(ink) = shade.and_then(fill) {
            scene.bar(from, to, ink);
        }
        let (ink, width_of_line) = match shade {
            Some(_) => (Ink::Cloud, 2),
            None => (Ink::Black, FRAME),
        };
        for (start, end) in [
            (from, (to.0, from.1)),
            ((from.0, to.1), to),
            (from, (from.0, to.1)),
            ((to.0, from.1), to),
        ] {
            scene.line(start, end, ink, width_of_line);
        }
        scene.text((x + 56, y), words, Size::Label, Ink::Black, Align::Start);
        x += width;
    }
    y + LEGEND_LINE / 2 + 20
}

fn count(number: usize) -> i32 {
    i32::try_from(number).unwrap_or(i32::MAX / ROW / 2)
}

//! How wide the columns of a table are. Arithmetic on what their texts need.

use super::text::{Typefaces, Weight};
use crate::report::content::Table;

/// A word wider than this does not make its column wider while there are other columns; it is broken.
const WIDEST_WORD: f32 = 110.0;

/// Letters of details, of those of the cell.
pub(super) const DETAIL: f32 = 0.93;

/// What a column holds, in points at an em of one point.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Column {
    /// Width of its widest text.
    pub(super) natural: f32,
    /// Width that three of four of its texts need.
    pub(super) typical: f32,
    /// Width of its widest word.
    pub(super) least: f32,
}

/// The widths of columns in this room, without the gaps: as wide as their texts where these fit.
/// Else each has what its words need, then what most of its texts need, then what all of them do; what
/// is left for a step that does not fit is shared. `None` when not even the
/// words fit.
pub(super) fn widths(columns: &[Column], room: f32) -> Option<Vec<f32>> {
    let mut widths: Vec<f32> = columns.iter().map(|column| column.least).collect();
    let mut left = room - widths.iter().sum::<f32>();
    if left < 0.0 {
        return None;
    }
    let steps: [fn(&Column) -> f32; 2] = [|column| column.typical, |column| column.natural];
    for step in steps {
        let mut lacks: Vec<f32> = columns
            .iter()
            .zip(&widths)
            .map(|(column, width)| (step(column) - width).max(0.0))
            .collect();
        // Half of the room evenly, so that short texts stay on their line, and half by what is
        // lacking, so that long texts do not become towers.
        let limit = limit(&lacks, left / 2.0);
        for (width, lack) in widths.iter_mut().zip(&mut lacks) {
            let given = lack.min(limit);
            *width += given;
            *lack -= given;
            left -= given;
        }
        let lacking = lacks.iter().sum::<f32>().max(f32::MIN_POSITIVE);
        let part = (left.max(0.0) / lacking).min(1.0);
        for (width, lack) in widths.iter_mut().zip(&lacks) {
            *width += lack * part;
        }
        left -= lacking * part;
    }
    Some(widths)
}

/// The texts of a table: of each row, of each cell, the widths of its texts at an em of one point.
pub(super) type Texts = Vec<Vec<Vec<f32>>>;

/// Rows that are looked at to make a table low; of more, one in so many.
const LOOKED_AT: usize = 60;

/// What is moved from one column to another at a time.
const MOVES: [f32; 4] = [48.0, 24.0, 12.0, 4.0];

/// Moves of one kind, at most.
const MOST_MOVES: usize = 40;

/// The same widths in sum, moved from column to column as long as that makes the table lower. Widths
/// of words stay.
pub(super) fn lowered(
    mut widths: Vec<f32>,
    columns: &[Column],
    texts: &Texts,
    size: f32,
) -> Vec<f32> {
    let every = texts.len().div_ceil(LOOKED_AT).max(1);
    let rows: Vec<&Vec<Vec<f32>>> = texts.iter().step_by(every).collect();
    let lines = |column: usize, width: f32| -> Vec<f32> {
        let of_row = |row: &&Vec<Vec<f32>>| {
            let texts = row.get(column).map_or(&[][..], Vec::as_slice);
            texts
                .iter()
                .map(|text| lines_of(text * size, width, size))
                .sum()
        };
        rows.iter().map(of_row).collect()
    };
    let of_columns = |widths: &[f32], by: f32| -> Vec<Vec<f32>> {
        let widths = widths.iter().enumerate();
        widths
            .map(|(column, width)| lines(column, width + by))
            .collect()
    };
    let mut standing = of_columns(&widths, 0.0);
    for by in MOVES {
        let mut narrower = of_columns(&widths, -by);
        let mut wider = of_columns(&widths, by);
        for _ in 0..MOST_MOVES {
            let mut best = cost(&standing.iter().collect::<Vec<_>>());
            let mut best_pair = None;
            for from in 0..widths.len() {
                if widths[from] - by < columns[from].least {
                    continue;
                }
                for to in (0..widths.len()).filter(|to| *to != from) {
                    let mut tried: Vec<&Vec<f32>> = standing.iter().collect();
                    tried[from] = &narrower[from];
                    tried[to] = &wider[to];
                    let cost = cost(&tried);
                    if cost < best {
                        (best, best_pair) = (cost, Some((from, to)));
                    }
                }
            }
            let Some((from, to)) = best_pair else { break };
            widths[from] -= by;
            widths[to] += by;
            standing[from].clone_from(&narrower[from]);
            standing[to].clone_from(&wider[to]);
            for column in [from, to] {
                narrower[column] = lines(column, widths[column] - by);
                wider[column] = lines(column, widths[column] + by);
            }
        }
    }
    widths
}

/// The lines of all rows, and where these are equal those of all cells.
fn cost(columns: &[&Vec<f32>]) -> (f32, f32) {
    let rows = columns.first().map_or(0, |column| column.len());
    let highest = |row: usize| {
        columns
            .iter()
            .fold(0.0, |most: f32, column| most.max(column[row]))
    };
    let cells = columns.iter().flat_map(|column| column.iter()).sum();
    ((0..rows).map(highest).sum(), cells)
}

/// About how many lines a text takes: where it is broken, a word does not quite fill its line.
fn lines_of(text: f32, width: f32, size: f32) -> f32 {
    if text <= width {
        return 1.0;
    }
    let filled = (width - 1.2 * size).max(width / 2.0).max(1.0);
    (text / filled).ceil().max(2.0)
}

/// The widths when not even the words fit: no column is wider than a limit that lets all of them in.
pub(super) fn narrowed(columns: &[Column], room: f32) -> Vec<f32> {
    let least: Vec<f32> = columns.iter().map(|column| column.least).collect();
    let limit = limit(&least, room);
    least.into_iter().map(|width| width.min(limit)).collect()
}

/// The largest limit under which `wanted` add up to no more than `room`: who wants little gets it, and
/// the others get the same.
fn limit(wanted: &[f32], room: f32) -> f32 {
    let mut rising = wanted.to_vec();
    rising.sort_by(f32::total_cmp);
    let mut left = room.max(0.0);
    for (place, width) in rising.iter().enumerate() {
        let limit = left / (rising.len() - place) as f32;
        if *width > limit {
            return limit;
        }
        left -= width;
    }
    f32::INFINITY
}

impl Column {
    /// The same at an em of `size` points.
    pub(super) fn at(self, size: f32) -> Column {
        Column {
            natural: self.natural * size,
            typical: self.typical * size,
            least: (self.least * size).min(WIDEST_WORD),
        }
    }
}

/// What each column holds, at an em of one point, and the texts themselves.
pub(super) fn columns(table: &Table, names: Weight, typefaces: &Typefaces) -> (Vec<Column>, Texts) {
    let mut columns = vec![Column::default(); table.columns.len()];
    let mut texts: Texts = Vec::with_capacity(table.rows.len() + 1);
    let mut width = |index: usize, text: &str, weight: Weight| -> f32 {
        let face = typefaces.of(weight);
        let text = typefaces.drawable(text);
        let least: &mut f32 = &mut columns[index].least;
        *least = least.max(face.widest_part(&text, 1.0));
        face.width(text.trim(), 1.0)
    };
    let heads = table.columns.iter().enumerate();
    texts.push(
        heads
            .map(|(index, words)| vec![width(index, words, Weight::Bold)])
            .collect(),
    );
    for row in &table.rows {
        let cells = row.iter().take(table.columns.len()).enumerate();
        texts.push(
            cells
                .map(|(index, cell)| {
                    let weight = if index == 0 { names } else { Weight::Regular };
                    let mut texts = vec![width(index, &cell.text, weight)];
                    for detail in &cell.details {
                        texts.push(width(index, detail, Weight::Regular) * DETAIL);
                    }
                    texts
                })
                .collect(),
        );
    }
    for (index, column) in columns.iter_mut().enumerate() {
        let widest = |row: &Vec<Vec<f32>>| row.get(index)?.iter().copied().reduce(f32::max);
        // A head may take two lines, so that it does not make a column of numbers wide.
        let head = texts.first().and_then(widest).unwrap_or(0.0) * 0.55;
        let mut of_rows: Vec<f32> = texts.iter().skip(1).filter_map(widest).collect();
        of_rows.sort_by(f32::total_cmp);
        let typical = of_rows.get(of_rows.len() * 3 / 4).copied().unwrap_or(0.0);
        let natural = of_rows.last().copied().unwrap_or(0.0);
        column.natural = natural.max(head).max(column.least);
        column.typical = typical.max(head).max(column.least);
    }
    (columns, texts)
}

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

/// What each column holds, at an em of one point.
pub(super) fn columns(table: &Table, names: Weight, typefaces: &Typefaces) -> Vec<Column> {
    let column = |(index, words): (usize, &String)| {
        let weight = if index == 0 { names } else { Weight::Regular };
        let mut least = 0.0_f32;
        let mut width = |text: &str, weight: Weight| {
            let face = typefaces.of(weight);
            let text = typefaces.drawable(text);
            least = least.max(face.widest_word(&text, 1.0));
            face.width(text.trim(), 1.0)
        };
        // A head may take two lines, so that it does not make a column of numbers wide.
        let head = width(words, Weight::Bold) * 0.55;
        let cells = table.rows.iter().filter_map(|row| row.get(index));
        let mut texts: Vec<f32> = cells
            .map(|cell| {
                let text = width(&cell.text, weight);
                let details = cell.details.iter();
                let details = details.map(|detail| width(detail, Weight::Regular) * DETAIL);
                details.fold(text, f32::max)
            })
            .collect();
        texts.sort_by(f32::total_cmp);
        let typical = texts.get(texts.len() * 3 / 4).copied().unwrap_or(0.0);
        Column {
            natural: texts.last().copied().unwrap_or(0.0).max(head).max(least),
            typical: typical.max(head).max(least),
            least,
        }
    };
    table.columns.iter().enumerate().map(column).collect()
}

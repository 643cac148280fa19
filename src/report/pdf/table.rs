//! Tables as pieces: how wide columns are, and rows that stay whole.

use super::columns::{Column, DETAIL, columns, lowered, narrowed, widths};
use super::piece::{BLACK, BODY, Closeness, Drawn, Piece, RULE, SOFT, STRONG, Style, WIDTH, Words};
use super::tags::{Kind, Node, Tags};
use super::text::{Typefaces, Weight};
use crate::report::content::{Cell, Table};

/// Sizes of the letters of a table, the first that its columns fit at.
const SIZES: [f32; 4] = [8.4, 8.0, 7.5, 7.0];

/// Least space between two columns, and most where there is room.
const GAP: (f32, f32) = (9.0, 26.0);

/// Letters of details, unless those of the table are smaller.
const LEAST_DETAIL: f32 = 7.5;

/// Space above and below the lines of a row.
const PADDING: f32 = 2.4;

/// A column that names rows by longer texts than this is not bold.
const LONG_NAME: usize = 40;

/// A table lower than this is kept on one page.
const LOW: f32 = BODY / 4.0;

/// How a table is set.
struct Setting {
    size: f32,
    gap: f32,
    widths: Vec<f32>,
    /// Whether numbers stand under numbers.
    to_the_right: Vec<bool>,
    names: Weight,
    /// Space above and below the lines of a row.
    padding: f32,
    closeness: Closeness,
}

/// A line of a cell.
#[derive(Clone)]
struct Line {
    text: String,
    style: Style,
}

/// The pieces of a table. Its head goes to `heads`, to be drawn again.
pub(super) fn pieces(
    table: &Table,
    parent: Node,
    tags: &mut Tags,
    typefaces: &Typefaces,
    heads: &mut Vec<Vec<Drawn>>,
    closeness: Closeness,
) -> Vec<Piece> {
    let node = tags.child(parent, Kind::Table);
    let setting = Setting::new(table, typefaces, closeness);
    let mut pieces = caption(table, node, tags, typefaces, closeness);

    let head = tags.child(node, Kind::TableHead);
    let head_style = setting.style(Weight::Bold, BLACK);
    let texts: Vec<Vec<Line>> = table
        .columns
        .iter()
        .zip(&setting.widths)
        .map(|(words, width)| lines(words, head_style, *width, typefaces))
        .collect();
    let kinds = vec![Kind::ColumnHead; texts.len()];
    let row = tags.child(head, Kind::Row);
    let nodes: Vec<Node> = kinds
        .into_iter()
        .map(|kind| tags.child(row, kind))
        .collect();
    let mut rows = setting.row(texts, &nodes, BODY, Rule::Head, typefaces);
    let head_height: f32 = rows.iter().map(|piece| piece.extent.height).sum();
    let repeated = (rows.len() == 1 && head_height < BODY / 3.0).then(|| {
        heads.push(again(&rows[0].drawn));
        heads.len() - 1
    });
    for piece in &mut rows {
        piece.extent.keeps_next = true;
    }
    pieces.append(&mut rows);

    let first_row = pieces.len();
    let body = (!table.rows.is_empty()).then(|| tags.child(node, Kind::TableBody));
    let most = BODY - repeated.map_or(0.0, |_| head_height);
    for (cells, body) in table.rows.iter().zip(body.into_iter().cycle()) {
        let row = tags.child(body, Kind::Row);
        let nodes: Vec<Node> = (0..cells.len())
            .map(|column| match column {
                0 => tags.child(row, Kind::RowHead),
                _ => tags.child(row, Kind::Cell),
            })
            .collect();
        let texts = setting.cells(cells, typefaces);
        for mut piece in setting.row(texts, &nodes, most, Rule::Row, typefaces) {
            piece.head = repeated;
            piece.extent.repeated = repeated.map_or(0.0, |_| head_height);
            pieces.push(piece);
        }
    }
    keep(&mut pieces, first_row);
    pieces
}

/// Keeps a low table whole, and the first two and the last three rows of another together.
fn keep(pieces: &mut [Piece], first_row: usize) {
    let height: f32 = pieces.iter().map(|piece| piece.extent.height).sum();
    let count = pieces.len();
    for (index, piece) in pieces.iter_mut().enumerate() {
        let is_end = index == first_row || index + 3 >= count;
        let joins = piece.extent.height < LOW && is_end && index + 1 < count;
        piece.extent.keeps_next |= joins || (height < LOW && index + 1 < count);
    }
}

fn caption(
    table: &Table,
    node: Node,
    tags: &mut Tags,
    typefaces: &Typefaces,
    closeness: Closeness,
) -> Vec<Piece> {
    let node = tags.child(node, Kind::Caption);
    let style = closeness.style(STRONG);
    let lines = lines(&table.caption, style, WIDTH, typefaces);
    let before = |index: usize| {
        if index == 0 {
            closeness.space(10.0)
        } else {
            0.0
        }
    };
    let mut pieces: Vec<Piece> = lines
        .into_iter()
        .enumerate()
        .map(|(index, line)| {
            let drawn = Drawn::Text(Words {
                x: 0.0,
                y: style.baseline(),
                text: line.text,
                style: line.style,
                node: Some(node),
                target: None,
                is_underlined: false,
            });
            let mut piece = Piece::new(before(index), style.leading, vec![drawn]);
            piece.extent.keeps_next = true;
            piece
        })
        .collect();
    if let Some(last) = pieces.last_mut() {
        last.extent.height += 2.0;
    }
    pieces
}

/// The same, without a place in the tree: a screen reader reads a head once.
fn again(drawn: &[Drawn]) -> Vec<Drawn> {
    let mut drawn = drawn.to_vec();
    for one in &mut drawn {
        if let Drawn::Text(words) = one {
            words.node = None;
        }
    }
    drawn
}

/// What stands below a row.
#[derive(Clone, Copy)]
enum Rule {
    Head,
    Row,
}

impl Setting {
    fn new(table: &Table, typefaces: &Typefaces, closeness: Closeness) -> Setting {
        let names = table.rows.iter().filter_map(|row| row.first());
        let is_long = |cell: &Cell| cell.text.chars().count() > LONG_NAME;
        let names = if names.into_iter().any(is_long) {
            Weight::Regular
        } else {
            Weight::Bold
        };
        let (columns, texts) = columns(table, names, typefaces);
        let gaps = columns.len().saturating_sub(1) as f32;
        let room = WIDTH - gaps * GAP.0;
        let fitted = SIZES.iter().find_map(|&size| {
            let scaled: Vec<Column> = columns.iter().map(|column| column.at(size)).collect();
            let widths = widths(&scaled, room)?;
            let is_natural = widths
                .iter()
                .zip(&scaled)
                .all(|(width, column)| *width >= column.natural);
            let widths = if is_natural {
                widths
            } else {
                lowered(widths, &scaled, &texts, size)
            };
            Some((size, widths))
        });
        let (size, widths) = fitted.unwrap_or_else(|| {
            let size = SIZES[SIZES.len() - 1];
            let scaled: Vec<Column> = columns.iter().map(|column| column.at(size)).collect();
            (size, narrowed(&scaled, room))
        });
        let spare = WIDTH - widths.iter().sum::<f32>();
        Setting {
            size,
            gap: (spare / gaps.max(1.0)).clamp(GAP.0, GAP.1),
            widths,
            to_the_right: to_the_right(table),
            names,
            padding: closeness.space(PADDING),
            closeness,
        }
    }

    fn style(&self, weight: Weight, gray: u8) -> Style {
        self.closeness.style(Style {
            weight,
            size: self.size,
            leading: self.size * 1.28,
            gray,
        })
    }

    fn detail(&self) -> Style {
        let size = self.style(Weight::Regular, SOFT).size * DETAIL;
        let size = size.max(LEAST_DETAIL.min(self.size));
        self.closeness.style(Style {
            weight: Weight::Regular,
            size,
            leading: size * 1.26,
            gray: SOFT,
        })
    }

    fn cells(&self, cells: &[Cell], typefaces: &Typefaces) -> Vec<Vec<Line>> {
        cells
            .iter()
            .zip(&self.widths)
            .enumerate()
            .map(|(column, (cell, width))| {
                let weight = if column == 0 {
                    self.names
                } else {
                    Weight::Regular
                };
                let mut found = lines(&cell.text, self.style(weight, BLACK), *width, typefaces);
                for detail in &cell.details {
                    // Read aloud, a line and the next are two words, not one.
                    if let Some(line) = found.last_mut() {
                        line.text.push(' ');
                    }
                    found.extend(lines(detail, self.detail(), *width, typefaces));
                }
                found
            })
            .collect()
    }

    /// The pieces of a row: one, unless it is higher than `most`; then it is cut between lines.
    fn row(
        &self,
        cells: Vec<Vec<Line>>,
        nodes: &[Node],
        most: f32,
        rule: Rule,
        typefaces: &Typefaces,
    ) -> Vec<Piece> {
        let mut rest: Vec<std::vec::IntoIter<Line>> =
            cells.into_iter().map(Vec::into_iter).collect();
        let mut pieces = Vec::new();
        loop {
            let mut drawn = Vec::new();
            let mut lowest = 0.0_f32;
            let mut left = 0.0;
            for (column, lines) in rest.iter_mut().enumerate() {
                let mut y = 0.0;
                while let Some(line) = lines.as_slice().first() {
                    if y > 0.0 && y + line.style.leading + 2.0 * self.padding + 1.0 > most {
                        break;
                    }
                    let line = lines.next().expect("there is a line");
                    let style = line.style;
                    let words = line.text.trim_end();
                    let width = typefaces.of(style.weight).width(words, style.size);
                    let spare = self.widths[column] - width;
                    let shift = if self.to_the_right[column] {
                        spare
                    } else {
                        0.0
                    };
                    drawn.push(Drawn::Text(Words {
                        x: left + shift,
                        y: self.padding + y + style.baseline(),
                        text: line.text,
                        style,
                        node: Some(nodes[column]),
                        target: None,
                        is_underlined: false,
                    }));
                    y += style.leading;
                }
                lowest = lowest.max(y);
                left += self.widths[column] + self.gap;
            }
            let is_last = rest.iter().all(|lines| lines.as_slice().is_empty());
            let height = lowest + 2.0 * self.padding;
            if is_last {
                let (width, gray) = match rule {
                    Rule::Head => (0.8, SOFT),
                    Rule::Row => (0.4, RULE),
                };
                drawn.push(Drawn::Rule {
                    from: (0.0, height),
                    to: (WIDTH, height),
                    width,
                    gray,
                });
            }
            pieces.push(Piece::new(0.0, height, drawn));
            if is_last {
                return pieces;
            }
        }
    }
}

/// Which columns hold plain numbers and nothing else.
fn to_the_right(table: &Table) -> Vec<bool> {
    let is_number = |cell: &Cell| {
        let is_part = |c: char| c.is_ascii_digit() || ",.+−-–%".contains(c);
        cell.details.is_empty() && cell.text.chars().all(is_part)
    };
    let holds_numbers = |column: usize| {
        let cells = || table.rows.iter().filter_map(|row| row.get(column));
        column > 0 && cells().all(is_number) && cells().any(|cell| cell.text.len() < 12)
    };
    (0..table.columns.len()).map(holds_numbers).collect()
}

fn lines(text: &str, style: Style, width: f32, typefaces: &Typefaces) -> Vec<Line> {
    let text = typefaces.drawable(text);
    let face = typefaces.of(style.weight);
    face.lines(text.trim_start(), style.size, width)
        .into_iter()
        .map(|range| Line {
            text: text.trim_start()[range].to_owned(),
            style,
        })
        .collect()
}

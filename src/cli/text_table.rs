//! Tables of plain text: columns as wide as their content, numbers to the right, never wider than a
//! usual terminal.

/// Columns of a usual terminal.
pub(super) const TERMINAL_WIDTH: usize = 80;

const INDENT: &str = "  ";
const GAP: usize = 2;
/// A column of words is not made narrower than this, even where the table then is too wide.
const NARROWEST: usize = 16;

/// To which side a column leans.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// A table in the making.
pub(super) struct TextTable {
    sides: Vec<Side>,
    /// The headings first.
    rows: Vec<Vec<String>>,
}

impl TextTable {
    /// A table with these headings.
    pub(super) fn new(columns: &[(&str, Side)]) -> TextTable {
        TextTable {
            sides: columns.iter().map(|(_, side)| *side).collect(),
            rows: vec![columns.iter().map(|(name, _)| (*name).to_owned()).collect()],
        }
    }

    /// Adds a row with one cell for each column.
    pub(super) fn push<const N: usize>(&mut self, cells: [String; N]) {
        debug_assert_eq!(cells.len(), self.sides.len(), "one cell for each column");
        self.rows.push(cells.into());
    }

    /// Whether there is no row below the headings.
    pub(super) fn is_empty(&self) -> bool {
        self.rows.len() == 1
    }

    /// The lines of the table, the line of headings first.
    pub(super) fn lines(&self) -> Vec<String> {
        let widths = self.widths();
        let mut lines = Vec::new();
        for row in &self.rows {
            let cells: Vec<_> = row
                .iter()
                .zip(&widths)
                .map(|(cell, width)| wrapped(cell, *width))
                .collect();
            let height = cells.iter().map(Vec::len).max().unwrap_or(0);
            for index in 0..height {
                let mut line = String::from(INDENT);
                for ((parts, width), side) in cells.iter().zip(&widths).zip(&self.sides) {
                    let part = parts.get(index).map_or("", String::as_str);
                    let blanks = " ".repeat(width.saturating_sub(part.chars().count()));
                    match side {
                        Side::Left => line.extend([part, &blanks]),
                        Side::Right => line.extend([blanks.as_str(), part]),
                    }
                    line.push_str(&" ".repeat(GAP));
                }
                lines.push(line.trim_end().to_owned());
            }
        }
        lines
    }

    /// Widths by content; what is too much is taken from the widest column of words.
    fn widths(&self) -> Vec<usize> {
        let longest = |index: usize| self.rows.iter().map(move |row| row[index].chars().count());
        let mut widths: Vec<usize> = (0..self.sides.len())
            .map(|index| longest(index).max().unwrap_or(0))
            .collect();
        let gaps = INDENT.len() + GAP * widths.len().saturating_sub(1);
        let too_much = (widths.iter().sum::<usize>() + gaps).saturating_sub(TERMINAL_WIDTH);
        let widest = self
            .sides
            .iter()
            .zip(widths.iter_mut())
            .filter(|(side, _)| **side == Side::Left)
            .map(|(_, width)| width)
            .max();
        if let Some(widest) = widest {
            *widest = widest.saturating_sub(too_much).max(NARROWEST.min(*widest));
        }
        widths
    }
}

/// A text in lines of at most `width` characters, broken at spaces; a longer word stands alone.
pub(super) fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let line = lines.last_mut().expect("one line at least");
        if line.is_empty() {
            line.push_str(word);
        } else if line.chars().count() + 1 + word.chars().count() <= width {
            line.push(' ');
            line.push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_below_one_another_and_words_begin_below_one_another() {
        let mut table = TextTable::new(&[("code", Side::Left), ("count", Side::Right)]);
        assert!(table.is_empty());
        table.push(["C02".into(), "1,204".into()]);
        table.push(["R05 and more".into(), "7".into()]);
        assert!(!table.is_empty());
        assert_eq!(
            table.lines(),
            [
                "  code          count",
                "  C02           1,204",
                "  R05 and more      7",
            ]
        );
    }

    #[test]
    fn the_widest_column_of_words_gives_way_and_its_cells_go_on_below() {
        let mut table = TextTable::new(&[
            ("kind", Side::Left),
            ("rows", Side::Right),
            ("effect", Side::Left),
        ]);
        table.push([
            "word ".repeat(30).trim_end().into(),
            "12".into(),
            "note".into(),
        ]);
        let lines = table.lines();
        assert!(
            lines
                .iter()
                .all(|line| line.chars().count() <= TERMINAL_WIDTH)
        );
        assert!(lines.len() > 2 && lines[1].ends_with("12  note"));
        assert_eq!(lines.concat().matches("word").count(), 30);
    }

    #[test]
    fn a_word_longer_than_the_line_stands_alone() {
        assert_eq!(wrapped("a bb ccccccc d", 4), ["a bb", "ccccccc", "d"]);
        assert_eq!(wrapped("", 4), [""]);
    }
}

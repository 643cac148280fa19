//! What stands on the page, as plain data: sections of text, tables and figures. Nothing here
//! knows HTML, and nothing here draws.

use super::chart::Chart;
use super::format::NOTHING;

/// One part of the page under one heading.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Section {
    /// Anchor, unique on the page.
    pub id: &'static str,
    /// The heading.
    pub heading: String,
    /// What follows, in order.
    pub blocks: Vec<Block>,
}

/// One piece of a section.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Block {
    /// A paragraph.
    Text(String),
    /// A paragraph that stands out: what the numbers beside it cannot say.
    Caution(String),
    /// A list of sentences.
    List(Vec<String>),
    /// Terms with their explanations.
    Terms(Vec<(String, Vec<String>)>),
    /// A heading within the section.
    Heading(String),
    /// A table.
    Table(Table),
    /// A chart with the table behind it.
    Figure(Box<Figure>),
}

/// A table. The first cell of each row names the row.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Table {
    /// What the table shows.
    pub caption: String,
    /// Column headings.
    pub columns: Vec<String>,
    /// Rows, each as long as `columns`.
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    /// A table without rows yet.
    pub(super) fn new(caption: impl Into<String>, columns: &[&str]) -> Table {
        Table {
            caption: caption.into(),
            columns: columns.iter().map(|&column| column.to_owned()).collect(),
            rows: Vec::new(),
        }
    }

    /// Adds a row; cells that it does not fill say that there is nothing to say.
    pub(super) fn push(&mut self, mut row: Vec<Cell>) {
        row.resize(self.columns.len(), NOTHING.into());
        self.rows.push(row);
    }

    /// Adds a row that says what the rows below it are about.
    pub(super) fn push_heading(&mut self, words: &str) {
        let mut row = vec![Cell::from(words)];
        row.resize(self.columns.len(), "".into());
        self.rows.push(row);
    }
}

/// One cell: its text, and smaller lines below it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Cell {
    /// The text.
    pub text: String,
    /// Smaller lines below.
    pub details: Vec<String>,
}

impl<T: Into<String>> From<T> for Cell {
    fn from(text: T) -> Cell {
        Cell {
            text: text.into(),
            details: Vec::new(),
        }
    }
}

/// A chart, what its marks mean, and the numbers behind it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Figure {
    /// File stem of the chart, unique on the page: `call_to_scope_by_month`.
    pub stem: String,
    /// The chart.
    pub chart: Chart,
    /// What the marks mean.
    pub caption: String,
    /// What the chart shows, in words, for who cannot see it.
    pub alternative: String,
    /// The numbers.
    pub table: Table,
}

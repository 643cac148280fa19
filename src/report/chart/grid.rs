//! Cells in rows and columns.

/// A chart of cells.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::report) struct Grid {
    /// The columns, from left to right.
    pub columns: Vec<GridColumn>,
    /// The rows, from the top; each as long as `columns`.
    pub rows: Vec<GridRow>,
    /// Heading of the totals of rows; `None` when rows have none.
    pub totals: Option<String>,
    /// Name of the totals of columns; `None` when columns have none.
    pub below: Option<String>,
    /// What each shade means, light to dark.
    pub legend: Vec<(Shade, String)>,
    /// What the frame around cells means; `None` when no cell has one.
    pub frame: Option<String>,
}

/// One column of a grid.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::report) struct GridColumn {
    /// Its name, short.
    pub label: String,
    /// Stands above the name where a group of columns begins, such as the year; else empty.
    pub group: String,
    /// The total below; empty when columns have none.
    pub total: String,
}

/// One row of a grid.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::report) struct GridRow {
    /// Its name.
    pub label: String,
    /// Its cells.
    pub cells: Vec<GridCell>,
    /// The total at the right.
    pub total: String,
}

/// One cell of a grid.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::report) struct GridCell {
    /// How dark it is.
    pub shade: Shade,
    /// The number in it; empty where the shade says all.
    pub text: String,
    /// Whether it lies within the frame.
    pub is_framed: bool,
}

/// How dark a cell is. Few enough to be told apart in gray print.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::report) enum Shade {
    /// Paper.
    Blank,
    /// The lightest gray.
    Pale,
    /// Light gray.
    Light,
    /// Gray.
    Middle,
    /// Dark gray, on which numbers are white.
    Dark,
}

impl Shade {
    /// Every shade, light to dark.
    pub(in crate::report) const ALL: [Shade; 5] = [
        Shade::Blank,
        Shade::Pale,
        Shade::Light,
        Shade::Middle,
        Shade::Dark,
    ];
}

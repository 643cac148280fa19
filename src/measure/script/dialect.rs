//! What engines call the same thing by another name. The only place that knows one of them.

/// An engine for which the whole counting can be written out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dialect {
    /// `DuckDB`.
    DuckDb,
    /// Spark SQL.
    Spark,
    /// `SQLite`, the second engine of the tests.
    Sqlite,
}

impl Dialect {
    /// How a statement opens that makes a view of one session.
    pub(super) const fn create_view(self) -> &'static str {
        match self {
            Dialect::DuckDb | Dialect::Spark => "create or replace temporary view",
            Dialect::Sqlite => "create temporary view",
        }
    }

    /// The type of text.
    pub(super) const fn text(self) -> &'static str {
        match self {
            Dialect::DuckDb => "varchar",
            Dialect::Spark => "string",
            Dialect::Sqlite => "text",
        }
    }

    /// The type of a number with a fraction.
    pub(super) const fn fraction(self) -> &'static str {
        match self {
            Dialect::DuckDb | Dialect::Spark => "double",
            Dialect::Sqlite => "real",
        }
    }

    /// A name that is also a word of SQL.
    pub(super) fn quoted(self, name: &str) -> String {
        match self {
            Dialect::DuckDb | Dialect::Sqlite => format!("\"{name}\""),
            Dialect::Spark => format!("`{name}`"),
        }
    }
}

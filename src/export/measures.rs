//! The table `measures`: what each measure is, for who reads the other tables without this tool.
//!
//! Knows the columns. The words come from the definitions.

use super::columns::{batch, made_by, text, whole};
use super::table::{Table, TableError};
use crate::findings::review::Review;

/// One row for each measure that was counted, in the order of the report.
///
/// # Errors
/// When a version does not fit INT64.
pub fn measures_table(review: &Review) -> Result<Table, TableError> {
    let rows = || review.definitions.iter();
    let columns = vec![
        text(
            "measure",
            "identifier of the measure, as the other tables have it",
            rows().map(|row| &row.id),
        ),
        made_by(
            whole(
                "version",
                "raised with every change of meaning",
                "number",
                rows().map(|row| row.version),
            )?,
            "as defined",
        ),
        text(
            "kind",
            "share, minutes, clustered_share or count",
            rows().map(|row| row.kind.code()),
        ),
        text("title", "short name", rows().map(|row| &row.title)),
        text(
            "question",
            "what it asks, in plain words",
            rows().map(|row| &row.question),
        ),
        text(
            "eligible",
            "which cases or passes are judged",
            rows().map(|row| &row.eligible),
        ),
        text(
            "hit",
            "what counts as meeting it; for minutes from when to when",
            rows().map(|row| &row.hit),
        ),
        text(
            "better",
            "which direction a service wants: higher, lower or neither",
            rows().map(|row| row.better.code()),
        ),
        text(
            "source",
            "guideline, society and year, or common practice, no source",
            rows().map(|row| &row.source),
        ),
    ];
    Ok(Table {
        name: "measures",
        batch: batch(columns),
    })
}

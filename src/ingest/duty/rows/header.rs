//! The header of a file of staffing: each column once, in any order, and no others.

use super::{Column, duty};
use crate::ingest::dialect::{Dialect, Given, Sample, Wanted, find};
use crate::ingest::duty::listed;
use crate::ingest::error::{IngestError, MappingFault};
use crate::ingest::guard::check_above_header;

/// The header, whose `places` are those of the columns.
pub(super) fn header(sample: &Sample<'_>, columns: &[Column]) -> Result<Dialect, IngestError> {
    let wanted: Vec<_> = columns
        .iter()
        .map(|column| Wanted {
            field: column.name,
            heading: column.name,
        })
        .collect();
    let given = Given {
        header_rows: Some(1),
        ..Given::default()
    };
    let names = listed(columns.iter().map(|column| column.name));
    let hint = format!("the columns are: {names}; in any order, and no others");
    let refused = |what: String, line| {
        let fault = MappingFault::new(what, hint.as_str());
        duty(sample.path, line, fault)
    };
    let dialect = find(sample, &given, &wanted).map_err(|error| match error {
        IngestError::MissingColumn {
            field,
            columns_found,
            ..
        } => {
            let found = match columns_found {
                1 => "1 column".to_owned(),
                count => format!("{count} columns"),
            };
            refused(
                format!("no column `{field}` in its header, which has {found}"),
                None,
            )
        }
        IngestError::RepeatedColumn { field, .. } => refused(
            format!("the column `{field}` stands twice in its header"),
            None,
        ),
        other => other,
    })?;
    check_above_header(
        sample.path,
        sample.bytes,
        dialect.header_line,
        dialect.separator,
    )?;
    let headings = dialect.headings.iter().enumerate();
    // A blank heading is what spreadsheets leave behind; cells below it are one cell too many.
    let extra = headings
        .filter(|(place, heading)| !dialect.places.contains(place) && !heading.text().is_empty())
        .map(|(place, _)| place + 1)
        .next();
    match extra {
        Some(number) => Err(refused(
            format!("column {number} is none that is needed, and may tell of persons"),
            Some(dialect.header_line),
        )),
        None => Ok(dialect),
    }
}

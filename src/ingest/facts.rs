//! What a file turned out to be, in the words of `FileFacts`.

use super::dialect::SeparatorOrigin;
use super::input::EncodingOrigin;
use super::mapping::ExportForm;
use super::open_file::EndedFile;
use super::plan::FilePlan;
use super::time::TimeFormat;
use crate::domain::accounting::Accounting;
use crate::domain::fields::Field;
use crate::domain::file_facts::{FileFacts, TimeForm};
use crate::domain::issue::Source;
use std::collections::BTreeSet;

/// The facts of a file that has been read to its end.
pub(super) fn file_facts<F: Field>(
    source: Source,
    form: &ExportForm,
    plan: &FilePlan<'_, F>,
    ended: &EndedFile,
    rows: Accounting,
) -> FileFacts {
    let dialect = &plan.dialect;
    let mapped: BTreeSet<_> = plan.mapped_places().collect();
    FileFacts {
        source,
        bytes: ended.bytes,
        sha256: ended.sha256.clone(),
        packing: ended.facts.packing.name(),
        encoding: ended.facts.encoding.name(),
        encoding_from: match ended.facts.origin {
            EncodingOrigin::Given => "given",
            EncodingOrigin::Marked => "mark",
            EncodingOrigin::Detected => "found",
        },
        separator: char::from(dialect.separator),
        separator_from: match dialect.separator_origin {
            SeparatorOrigin::Given => "given",
            SeparatorOrigin::SepLine => "sep line",
            SeparatorOrigin::Found => "found",
        },
        line_ends: dialect.line_ends.name(),
        header_line: dialect.header_line,
        lines_before_header: dialect.lines_before_header(),
        header_rows: dialect.header_rows,
        columns: dialect.headings.len(),
        columns_mapped: mapped.len(),
        columns_dropped: plan.guard.columns_dropped(),
        times: plan
            .columns
            .iter()
            .filter_map(|column| {
                let time = column.time.as_ref()?;
                let first = |formats: &'_ [TimeFormat]| formats[0].words().to_owned();
                let date = time.date.as_ref().map(|date| first(&date.formats));
                let words = date.into_iter().chain([first(&time.formats)]);
                Some(TimeForm {
                    field: column.field.name(),
                    format: words.collect::<Vec<_>>().join(" "),
                    is_proved: time.is_proved,
                })
            })
            .collect(),
        decimal_mark: char::from(form.decimal),
        rows,
    }
}

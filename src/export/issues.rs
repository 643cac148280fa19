//! The table `issues`: where the data are wrong and how. It never leaves the site.
//!
//! Positions, our own names of fields and kinds only; an issue has no place for a cell's content,
//! so none can get in here.

use super::columns::{batch, text, whole};
use super::table::{Table, TableError};
use crate::domain::issue::{Issue, Position};

/// One row per issue: cases before passes, then in the order of files and lines. `file_name` gives
/// the name, without directory, of the file that a position lies in.
///
/// # Errors
/// When a line number does not fit INT64.
pub fn issues_table(
    issues: &[Issue],
    file_name: impl Fn(Position) -> String,
) -> Result<Table, TableError> {
    let mut sorted: Vec<&Issue> = issues.iter().collect();
    sorted.sort();
    let rows = || sorted.iter().copied();
    let columns = vec![
        text(
            "file",
            "name of the file",
            rows().map(|row| file_name(row.at)),
        ),
        whole(
            "line",
            "line on which the row starts, from 1",
            "line",
            rows().map(|row| row.at.line_number),
        )?,
        text(
            "source",
            "cases or passes",
            rows().map(|row| row.at.source.code()),
        ),
        text(
            "field",
            "our name of the field; empty for the whole row",
            rows().map(|row| row.field),
        ),
        text(
            "other_field",
            "our name of the second of two moments; empty otherwise",
            rows().map(|row| row.other_field),
        ),
        text(
            "code",
            "stable code of the kind of issue",
            rows().map(|row| row.code.code()),
        ),
        text(
            "found",
            "what the cell looks like; its content is not shown",
            rows().map(|row| row.found.to_string()),
        ),
        text(
            "effect",
            "what becomes of the row",
            rows().map(|row| row.code.effect().sentence()),
        ),
        text(
            "what",
            "what is wrong",
            rows().map(|row| row.code.summary()),
        ),
    ];
    Ok(Table {
        name: "issues",
        batch: batch(columns),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::issue::{IssueCode, Shape, Source};
    use crate::export::table::Format;

    fn issue(source: Source, file_index: usize, line_number: u64, field: &'static str) -> Issue {
        Issue {
            at: Position {
                source,
                file_index,
                line_number,
            },
            code: IssueCode::UnknownWord,
            field,
            other_field: "",
            found: Shape::Letters,
        }
    }

    #[test]
    fn issues_are_listed_by_file_and_line_without_any_content() {
        let issues = [
            issue(Source::Passes, 0, 2, "device"),
            issue(Source::Cases, 1, 10, "outcome"),
            issue(Source::Cases, 1, 9, "airway"),
            issue(Source::Cases, 0, 40, "sex"),
        ];
        let name = |at: Position| format!("{}-{}.csv", at.source.code(), at.file_index);
        let table = issues_table(&issues, name).unwrap();
        let csv = String::from_utf8(table.encode(Format::Csv).unwrap()).unwrap();
        let rest = "C02,letters or signs,value counts as missing,\
                    the cell holds a word that the mapping does not know";
        let expected = format!(
            "file,line,source,field,other_field,code,found,effect,what\n\
             cases-0.csv,40,cases,sex,,{rest}\n\
             cases-1.csv,9,cases,airway,,{rest}\n\
             cases-1.csv,10,cases,outcome,,{rest}\n\
             passes-0.csv,2,passes,device,,{rest}\n"
        );
        assert_eq!(csv, expected);
        assert_eq!(table.file_name(Format::Csv), "issues.csv");
    }
}

//! The table `duty_issues`: where a roster or checks of carts are wrong and how. It never leaves the
//! site, and an issue has no place for a cell's content.

use crate::domain::duty::issue::DutyIssue;
use crate::export::columns::{batch, text, whole};
use crate::export::table::{Table, TableError};

/// One row per issue, file by file, in the order of the lines.
///
/// # Errors
/// When a line number does not fit INT64.
pub fn duty_issues_table<'a>(
    files: impl Iterator<Item = (&'a str, &'a [DutyIssue])>,
) -> Result<Table, TableError> {
    let rows: Vec<(&str, &DutyIssue)> = files
        .flat_map(|(file, issues)| issues.iter().map(move |issue| (file, issue)))
        .collect();
    let issues = || rows.iter().map(|(_, issue)| *issue);
    let columns = vec![
        text(
            "file",
            "name of the file",
            rows.iter().map(|(file, _)| *file),
        ),
        whole(
            "line",
            "line on which the row starts, from 1",
            "line",
            issues().map(|issue| issue.line_number),
        )?,
        text(
            "column",
            "the column; empty for the whole row",
            issues().map(|issue| issue.column),
        ),
        text(
            "code",
            "stable code of the kind of issue",
            issues().map(|issue| issue.kind.code()),
        ),
        text(
            "found",
            "what the cell looks like; its content is not shown",
            issues().map(|issue| issue.found.to_string()),
        ),
        text(
            "effect",
            "what becomes of the row",
            issues().map(|issue| issue.kind.effect().sentence()),
        ),
        text(
            "what",
            "what is wrong",
            issues().map(|issue| issue.kind.summary()),
        ),
    ];
    Ok(Table {
        name: "duty_issues",
        batch: batch(columns),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::duty::issue::DutyIssueKind;
    use crate::domain::issue::Shape;
    use crate::export::table::Format;

    #[test]
    fn an_issue_stands_with_its_file_line_and_kind() {
        let issue = DutyIssue {
            line_number: 7,
            column: "until",
            kind: DutyIssueKind::EndNotAfterStart,
            found: Shape::NotOneCell,
        };
        let table = duty_issues_table([("roster.csv", [issue].as_slice())].into_iter()).unwrap();
        let csv = String::from_utf8(table.encode(Format::Csv).unwrap()).unwrap();
        assert!(
            csv.starts_with("file,line,column,code,found,effect,what\nroster.csv,7,until,D08,")
        );
    }
}

//! What became of the rows of every file, and what was wrong with them.

use crate::findings::staffing::Staffing;
use crate::report::content::{Block, Section, Table};
use crate::report::format;

/// The section.
pub(super) fn section(staffing: &Staffing) -> Section {
    let mut blocks = vec![
        Block::Text(
            "Every row that was read is accounted for. No missing value was filled in, and no row was \
             dropped without a count. internal/ beside this page holds where each issue stands; it stays \
             on your premises."
                .to_owned(),
        ),
        Block::Table(accounting(staffing)),
    ];
    let issues = issues(staffing);
    if issues.rows.is_empty() {
        blocks.push(Block::Text("No issues were found in the rows.".to_owned()));
    } else {
        blocks.push(Block::Table(issues));
    }
    Section {
        id: "quality",
        heading: "Data quality".to_owned(),
        blocks,
    }
}

fn accounting(staffing: &Staffing) -> Table {
    let mut table = Table::new(
        "What became of the rows",
        &[
            "File",
            "Read",
            "Accepted",
            "Set aside",
            "Repeats left out",
            "Accepted, of other months or sites",
        ],
    );
    for of_file in &staffing.rows {
        let rows = of_file.rows;
        table.push(vec![
            of_file.file.into(),
            format::whole(rows.read).into(),
            format::whole(rows.accepted).into(),
            format::part(rows.set_aside, rows.read).into(),
            format::whole(rows.duplicates).into(),
            format::whole(of_file.left_out).into(),
        ]);
    }
    table
}

fn issues(staffing: &Staffing) -> Table {
    let mut table = Table::new(
        "What was wrong, by kind",
        &["Code", "What is wrong", "File", "Field", "How often"],
    );
    for ((code, field, other), count) in &staffing.issues {
        let fields = if other.is_empty() {
            (*field).to_owned()
        } else {
            format!("{field}, {other}")
        };
        table.push(vec![
            code.code().into(),
            code.summary().into(),
            "exports".into(),
            fields.into(),
            format::whole(*count).into(),
        ]);
    }
    for ((file, kind, column), count) in &staffing.duty_issues {
        table.push(vec![
            kind.code().into(),
            kind.summary().into(),
            file.as_str().into(),
            (*column).into(),
            format::whole(*count).into(),
        ]);
    }
    table
}

//! `roster.csv`: who was planned when, by place on the roster. A role that looks like the name of a
//! person stops the run.

use super::local_time::{LocalTimes, Pass};
use super::place_code::is_role_code;
use super::rows::{Column, DutyRow, DutyRows, Refusal, RowFault, read_rows};
use crate::domain::codes::YesNo;
use crate::domain::duty::calendar::Span;
use crate::domain::duty::issue::DutyIssueKind;
use crate::domain::duty::roster::{Duty, RosterLine};
use crate::domain::fields::Kind;
use crate::ingest::error::{IngestError, MappingFault};
use crate::ingest::mapping::Mapping;
use std::collections::BTreeMap;
use std::path::Path;

/// Only whether a column is coded counts here; its words stand below.
const WORDS: Kind = Kind::Code(YesNo::LIST);

const COLUMNS: [Column; 5] = [
    Column {
        name: "site",
        kind: Kind::Text,
    },
    Column {
        name: "role",
        kind: Kind::Text,
    },
    Column {
        name: "duty",
        kind: WORDS,
    },
    Column {
        name: "from",
        kind: Kind::Minute,
    },
    Column {
        name: "until",
        kind: Kind::Minute,
    },
];

const SITE: usize = 0;
const ROLE: usize = 1;
const DUTY: usize = 2;
const FROM: usize = 3;
const UNTIL: usize = 4;

/// Longest duty of one row, in minutes.
const LONGEST_DUTY: i64 = 7 * 24 * 60;

/// Reads a roster. Times are local, in the zone of the mapping; roles come out in small letters.
///
/// # Errors
/// When the mapping has no clock times; when the file cannot be read or is no CSV, lacks a column,
/// has another one, or has no row; when a role is no code, or the file seems to identify persons.
pub fn read_roster(path: &Path, mapping: &Mapping) -> Result<DutyRows<RosterLine>, IngestError> {
    let times = LocalTimes::new(mapping, path, "--roster")?;
    let mut lines_so_far = LinesSoFar::new();
    read_rows(path, &COLUMNS, |row| read(row, &times, &mut lines_so_far))
}

/// For each site, role and duty the ends of its stretches by their starts. They do not overlap.
type LinesSoFar = BTreeMap<(String, String, Duty), BTreeMap<i64, i64>>;

fn read(
    row: &mut DutyRow<'_>,
    times: &LocalTimes<'_>,
    lines_so_far: &mut LinesSoFar,
) -> Result<RosterLine, Refusal> {
    // First of all: a name stops the run, whatever else is wrong with its row.
    let role = row.needed(ROLE)?;
    if !is_role_code(role.text) {
        return Err(Refusal::Run(no_role(row.column_number(ROLE))));
    }
    let site = row.needed(SITE)?;
    let word = row.needed(DUTY)?;
    let duty = duty(word.text).ok_or_else(|| word.fault(DutyIssueKind::UnknownDuty))?;
    let (from_cell, until_cell) = (row.needed(FROM)?, row.needed(UNTIL)?);
    let mut spans = Vec::new();
    let mut is_repeated = [false; 2];
    for (from_pass, until_pass) in PASSES {
        let from = times.read(from_cell, from_pass)?;
        let until = times.read(until_cell, until_pass)?;
        is_repeated = [from.is_repeated, until.is_repeated];
        spans.push(Span {
            from: from.minute,
            until: until.minute,
        });
    }
    let fault = |kind| Refusal::Row(RowFault::of_row(kind));
    let longest = spans[0];
    if longest.until <= longest.from {
        return Err(fault(DutyIssueKind::EndNotAfterStart));
    }
    if longest.minutes() > LONGEST_DUTY {
        return Err(fault(DutyIssueKind::TooLong));
    }
    let role = role.text.to_ascii_lowercase();
    let key = (site.text.to_owned(), role.clone(), duty);
    let earlier = lines_so_far.entry(key).or_default();
    if spans
        .iter()
        .any(|span| earlier.get(&span.from) == Some(&span.until))
    {
        return Err(fault(DutyIssueKind::RepeatedRow));
    }
    let span = spans
        .into_iter()
        .find(|span| span.minutes() > 0 && is_free(*span, earlier))
        .ok_or_else(|| fault(DutyIssueKind::OverlapsEarlierRow))?;
    earlier.insert(span.from, span.until);
    for (is_repeated, cell) in is_repeated.into_iter().zip([from_cell, until_cell]) {
        if is_repeated {
            row.note(cell.fault(DutyIssueKind::RepeatedHour));
        }
    }
    Ok(RosterLine {
        site: site.text.to_owned(),
        role,
        duty,
        span,
    })
}

/// Which passes through a repeated hour `from` and `until` may mean, the longest time first. The
/// others are for two workers who hand over within it.
const PASSES: [(Pass, Pass); 3] = [
    (Pass::First, Pass::Later),
    (Pass::Later, Pass::Later),
    (Pass::First, Pass::First),
];

/// Of stretches that do not overlap, the last to begin before this one's end is the last to end.
fn is_free(span: Span, earlier: &BTreeMap<i64, i64>) -> bool {
    let last = earlier.range(..span.until).next_back();
    last.is_none_or(|(_, until)| *until <= span.from)
}

fn no_role(column_number: usize) -> MappingFault {
    MappingFault::new(
        format!(
            "column {column_number}, `role`, holds no code of a place on the roster, and may name a person"
        ),
        "write the place and not who fills it, such as `nurse_1`, `endoscopist_2` or `RN3`: words of roles, a single letter and up to three digits, with `_` or `-` between them",
    )
}

fn duty(word: &str) -> Option<Duty> {
    match word.to_lowercase().replace(['-', ' '], "_").as_str() {
        "shift" => Some(Duty::Shift),
        "on_call" | "oncall" => Some(Duty::OnCall),
        _ => None,
    }
}

#[cfg(test)]
mod tests;

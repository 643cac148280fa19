//! What the readers of rosters and of checks have in common: files that are none, and headers.

use super::*;
use crate::domain::duty::issue::{DutyIssue, DutyIssueKind};
use crate::domain::duty::plan::DutyPlan;
use crate::ingest::IngestError;
use crate::ingest::mapping::Mapping;
use std::path::PathBuf;
use tempfile::TempDir;

/// The columns of a roster.
pub(super) const HEADER: &str = "site,role,duty,from,until\n";

/// A mapping of the zone of New York.
pub(super) fn mapping() -> Mapping {
    mapping_of(
        "time_form = \"clock\"\ntime_zone = \"America/New_York\"",
        "called_at",
    )
}

fn mapping_of(form: &str, call: &str) -> Mapping {
    let (_folder, path) = file(
        "mapping.toml",
        format!(
            "[cases]\n{form}\n[cases.columns]\ncase_id = \"a\"\nsite = \"b\"\npresentation = \"c\"\n{call} = \"d\"\n"
        )
        .as_bytes(),
    );
    Mapping::read(&path).expect("a mapping")
}

/// A file of a test, and the folder that keeps it.
pub(super) fn file(name: &str, bytes: &[u8]) -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join(name);
    std::fs::write(&path, bytes).expect("a file");
    (folder, path)
}

/// Line, column and kind of each issue.
pub(super) fn told(issues: &[DutyIssue]) -> Vec<(u64, &'static str, DutyIssueKind)> {
    let told = issues.iter();
    told.map(|issue| (issue.line_number, issue.column, issue.kind))
        .collect()
}

/// Minutes, UTC since 1970, of a moment written in UTC.
pub(super) fn utc(text: &str) -> i64 {
    let moment: jiff::Timestamp = format!("{text}:00Z").parse().expect("a moment of the test");
    moment.as_second() / 60
}

/// What a roster of these bytes is refused for, without the path, and what to do.
#[track_caller]
pub(super) fn roster_refused(bytes: &[u8]) -> (String, String) {
    let (_folder, path) = file("roster.csv", bytes);
    let error = read_roster(&path, &mapping()).expect_err("a roster that is refused");
    let words = error.to_string();
    let shown = words
        .split_once("roster.csv`")
        .map_or(words.as_str(), |(_, rest)| rest);
    (shown.to_owned(), error.hint())
}

#[test]
fn files_that_are_none_say_so() {
    assert_eq!(roster_refused(b"").0, " is empty");
    assert_eq!(roster_refused(b"\n  \n\n").0, " is empty");
    assert_eq!(
        roster_refused(HEADER.as_bytes()).0,
        " has a header and no row below it"
    );
    let (what, _) = roster_refused(b"%PDF-1.7\n1 0 obj\n");
    assert_eq!(what, " is a PDF document, not CSV");
    let (what, _) = roster_refused(b"PK\x03\x04\x14\x00\x06\x00\x08\x00xl/worksheets");
    assert!(what.ends_with("not CSV"), "{what}");
    // Bytes of no kind that is known have no header.
    let noise: Vec<u8> = (0..4000_u32)
        .map(|step| (step * step % 251) as u8)
        .collect();
    let (what, _) = roster_refused(&noise);
    assert!(!what.is_empty());
    let open = format!("{HEADER}Alder,nurse_1,shift,\"2026-09-30 08:00,2026-09-30 16:00\n");
    assert_eq!(
        roster_refused(open.as_bytes()).0,
        ", line 2: a quote opens in this row and never closes"
    );
    let folder = tempfile::tempdir().expect("a folder");
    for path in [folder.path().to_path_buf(), folder.path().join("none.csv")] {
        let error = read_roster(&path, &mapping()).expect_err("nothing to read");
        assert!(matches!(error, IngestError::Unreadable { .. }));
        let error = read_cart_checks(&path, &mapping()).expect_err("nothing to read");
        assert!(matches!(error, IngestError::Unreadable { .. }));
    }
}

#[test]
fn a_header_has_each_column_once_and_no_others() {
    let row = "Alder,nurse_1,shift,2026-09-30 08:00,2026-09-30 16:00";
    let (what, hint) = roster_refused(format!("site,role,from,until\n{row}\n").as_bytes());
    assert_eq!(
        what,
        ": no column `duty` in its header, which has 4 columns"
    );
    assert_eq!(
        hint,
        "the columns are: `site`, `role`, `duty`, `from`, `until`; in any order, and no others"
    );
    let (what, _) = roster_refused(format!("site,role,duty,from,until,from\n{row},x\n").as_bytes());
    assert_eq!(what, ": the column `from` stands twice in its header");
    let (what, hint) =
        roster_refused(format!("site,role,duty,Nurse Okafor,from,until\n{row}\n").as_bytes());
    assert_eq!(
        what,
        ", line 1: column 4 is none that is needed, and may tell of persons"
    );
    assert!(hint.ends_with("and no others"));
    // A file without a header shows nothing of its first row.
    let (what, _) = roster_refused(format!("{row}\n{row}\n").as_bytes());
    assert_eq!(
        what,
        ": no column `site` in its header, which has 5 columns"
    );
    let (_folder, path) = file(
        "cart_checks.csv",
        b"site,cart,due_at,checked_at,complete\nAlder,c1,,,\n",
    );
    let error = read_cart_checks(&path, &mapping()).expect_err("a column is missing");
    assert!(
        error
            .to_string()
            .ends_with("no column `faults` in its header, which has 5 columns")
    );
    assert!(
        error
            .hint()
            .contains("`due_at`, `checked_at`, `complete`, `faults`")
    );
}

#[test]
fn a_line_above_the_header_that_tells_of_a_person_stops_the_run() {
    let row = "Alder,nurse_1,shift,2026-09-30 08:00,2026-09-30 16:00";
    let (what, _) = roster_refused(format!("Roster of Dr. Okafor\n{HEADER}{row}\n").as_bytes());
    assert_eq!(
        what,
        ", line 1, above the header, seems to identify a person: name of a person"
    );
}

#[test]
fn minutes_since_the_call_stand_on_no_calendar() {
    let elapsed = mapping_of("time_form = \"elapsed\"", "month");
    // Nothing of the file is looked at.
    let path = PathBuf::from("none.csv");
    for (error, option) in [
        (read_roster(&path, &elapsed).map(drop), "`--roster`"),
        (
            read_cart_checks(&path, &elapsed).map(drop),
            "`--cart-checks`",
        ),
    ] {
        let error = error.expect_err("no clock times");
        assert!(
            error
                .to_string()
                .starts_with("`none.csv`: needs clock times")
        );
        assert!(error.hint().contains(option));
    }
}

#[test]
fn a_mapping_with_clock_times_has_a_calendar_of_duty_and_one_without_has_none() {
    let month = "2026-09".parse().expect("a month");
    let rules = DutyPlan::default().rules;
    let elapsed = mapping_of("time_form = \"elapsed\"", "month");
    assert_eq!(elapsed.duty_calendar(month, month, rules), None);
    let calendar = mapping().duty_calendar(month, month, rules);
    let calendar = calendar.expect("clock times");
    assert_eq!(calendar.period.from, utc("2026-09-01T04:00"));
    assert_eq!(calendar.period.until, utc("2026-10-01T04:00"));
    // The first night, from 22:00 to 07:00, and the first staffed day, 08:00 to 17:00.
    assert_eq!(calendar.nights[0].from, utc("2026-09-02T02:00"));
    assert_eq!(calendar.nights[0].until, utc("2026-09-02T11:00"));
    assert_eq!(calendar.in_hours[0].from, utc("2026-09-01T12:00"));
    assert_eq!(calendar.in_hours[0].until, utc("2026-09-01T21:00"));
}

#[test]
fn a_slip_in_a_word_is_told_from_another_word() {
    assert_eq!(
        nearest("marge_minutes", ["merge_minutes", "night"]),
        Some("merge_minutes")
    );
    assert_eq!(
        nearest("Merge-Minutes", ["merge_minutes"]),
        Some("merge_minutes")
    );
    assert_eq!(nearest("nigth", ["merge_minutes", "night"]), Some("night"));
    assert_eq!(nearest("day", ["net", "cap"]), None);
    assert_eq!(nearest("", ["net"]), None);
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(64))]

    /// Any bytes below a header are rows that are accounted for, or an error.
    #[test]
    fn no_bytes_panic(bytes in proptest::collection::vec(proptest::prelude::any::<u8>(), 0..300)) {
        for header in [HEADER, "site,cart,due_at,checked_at,complete,faults\n", ""] {
            let mut text = header.as_bytes().to_vec();
            text.extend(&bytes);
            let (_folder, path) = file("rows.csv", &text);
            if let Ok(read) = read_roster(&path, &mapping()) {
                proptest::prop_assert!(read.accounting.balances());
            }
            if let Ok(read) = read_cart_checks(&path, &mapping()) {
                proptest::prop_assert!(read.accounting.balances());
            }
        }
    }

    /// However the rows of a roster lie, no two that are accepted of one place and duty overlap, and
    /// what was left out is told of.
    #[test]
    fn accepted_rows_never_overlap(
        rows in proptest::collection::vec((0_u32..3, 0_u32..60, 1_u32..40), 1..40)
    ) {
        // Quarter hours around the end of summer time, 2026-11-01 02:00.
        let clock = |quarter: u32| format!("2026-11-01 {:02}:{:02}", quarter / 4, quarter % 4 * 15);
        let rows: Vec<String> = rows
            .iter()
            .map(|(place, from, length)| {
                let (from, until) = (clock(*from), clock((from + length).min(95)));
                format!("Alder,nurse_{place},shift,{from},{until}\n")
            })
            .collect();
        let (_folder, path) = file("roster.csv", format!("{HEADER}{}", rows.concat()).as_bytes());
        let read = read_roster(&path, &mapping()).expect("a roster");
        proptest::prop_assert!(read.accounting.balances());
        for (place, line) in read.rows.iter().enumerate() {
            proptest::prop_assert!(line.span.minutes() > 0);
            for other in &read.rows[place + 1..] {
                let is_same = line.role == other.role;
                proptest::prop_assert!(!is_same || line.span.shared(other.span) == 0);
            }
        }
        let left_out = read.accounting.set_aside + read.accounting.duplicates;
        let told = read.issues.iter().filter(|issue| issue.kind != DutyIssueKind::RepeatedHour);
        proptest::prop_assert_eq!(told.count() as u64, left_out);
    }
}

//! What is wrong with rows of a roster or of checks of carts, and where. As with cases: positions and
//! kinds only, with no place for the content of a cell.

use crate::domain::issue::{Effect, Shape};
use crate::domain::issue_log::{LINES_REMEMBERED, Occurrences};
use std::collections::BTreeMap;

macro_rules! duty_issues {
    ($($variant:ident = $code:literal $effect:ident, $summary:literal, $hint:literal;)+) => {
        /// A kind of issue of these files. Its code is stable and is never used again for another
        /// kind.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum DutyIssueKind { $(#[doc = $summary] $variant,)+ }

        impl DutyIssueKind {
            /// Every kind, in the order of the codes.
            pub const ALL: &'static [DutyIssueKind] = &[$(DutyIssueKind::$variant,)+];

            /// The stable code.
            pub const fn code(self) -> &'static str {
                match self { $(DutyIssueKind::$variant => $code,)+ }
            }

            /// What is wrong.
            pub const fn summary(self) -> &'static str {
                match self { $(DutyIssueKind::$variant => $summary,)+ }
            }

            /// What it does to the row.
            pub const fn effect(self) -> Effect {
                match self { $(DutyIssueKind::$variant => Effect::$effect,)+ }
            }

            /// What a person can do about it.
            pub const fn hint(self) -> &'static str {
                match self { $(DutyIssueKind::$variant => $hint,)+ }
            }
        }
    };
}

duty_issues! {
    WrongCellCount = "D01" RowSetAside,
        "the row has more or fewer cells than the header",
        "look for a separator or a line break inside an unquoted cell on this line";
    BlankCell = "D02" RowSetAside,
        "a cell is blank that every row needs",
        "fill the cell; only `checked_at`, `complete` and `faults` may be blank";
    SummaryRow = "D03" RowSetAside,
        "the row holds a total, a remark, the header once more or nothing",
        "nothing needs doing; a file without such rows is easier to check";
    UnreadableBytes = "D04" RowSetAside,
        "the cell holds bytes that are no text in the encoding of the file",
        "save the file as UTF-8";
    RepeatedRow = "D05" RowIsDuplicate,
        "the row says the same as an earlier row",
        "nothing needs doing; a file without repeats is easier to check";
    ConflictingRow = "D06" RowSetAside,
        "an earlier row has the same site, cart and due time, and says something else",
        "keep the right row of the two; until then the earlier one stands";
    OverlapsEarlierRow = "D07" RowSetAside,
        "the time overlaps that of an earlier row of the same site, role and duty",
        "a place on the roster is held by one worker at a time: correct the times, or give the second worker a role of its own, such as `nurse_2`";
    EndNotAfterStart = "D08" RowSetAside,
        "`until` is not after `from`",
        "write both with their dates; a duty over midnight ends on the next day";
    TooLong = "D09" RowSetAside,
        "the duty lasts longer than seven days",
        "check both dates; write a longer duty week by week";
    UnknownDuty = "D10" RowSetAside,
        "the cell is no kind of duty",
        "write `shift` for being at work, and `on_call` for waiting to be called in";
    NotATime = "D11" RowSetAside,
        "the cell is not a date and time of 1970 to 2100 in the form `2026-09-30 22:00`, or no such day exists",
        "write local times with their dates, without an offset; midnight is 00:00 of the day that begins";
    SkippedHour = "D12" RowSetAside,
        "the time lies in the hour that the change to summer time skips",
        "correct the cell; no clock showed this time";
    RepeatedHour = "D13" Noted,
        "the time lies in the hour that the end of summer time repeats; a duty was given the longest time that overlaps no other row, and all else stands in the first pass through it",
        "nothing needs doing unless the duty is an hour too long";
    UnknownAnswer = "D14" ValueMissing,
        "the cell is neither yes nor no",
        "write `yes` where all was there and ready, else `no`";
    UnknownFault = "D15" ValueMissing,
        "the cell holds a word that is no fault of a cart",
        "write faults by their codes, with `+` between them: missing_item, below_par, expired, found_open, device_failure, not_charged, wrong_scope, other_fault";
    CompleteWithFaults = "D16" ValueMissing,
        "the check found faults, and all is said to be there and ready",
        "correct `complete` or `faults`; until then only the faults stand";
    FindingsWithoutCheck = "D17" RowSetAside,
        "the row tells what a check found, and not when it was done",
        "fill `checked_at`, or clear `complete` and `faults` where the check was not done";
    CheckedLongBefore = "D18" RowSetAside,
        "the check lies more than 31 days before it was due",
        "check the dates of both, above all the year";
}

/// One thing that is wrong at one place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct DutyIssue {
    /// Line on which the row starts, from 1.
    pub line_number: u64,
    /// The column; empty for the whole row.
    pub column: &'static str,
    /// What.
    pub kind: DutyIssueKind,
    /// What the cell looks like from outside.
    pub found: Shape,
}

/// How often each kind came up in each column.
pub fn by_kind_and_column(
    issues: &[DutyIssue],
) -> BTreeMap<(DutyIssueKind, &'static str), Occurrences> {
    let mut places: BTreeMap<_, Occurrences> = BTreeMap::new();
    for issue in issues {
        let place = places.entry((issue.kind, issue.column)).or_default();
        place.count += 1;
        if place.first_lines.len() < LINES_REMEMBERED {
            place.first_lines.push(issue.line_number);
        }
        place.shapes.insert(issue.found);
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::codes::CartFault;
    use crate::domain::issue::IssueCode;
    use std::collections::BTreeSet;

    #[test]
    fn codes_are_unique_beside_those_of_cases_and_in_words_without_a_period() {
        let kinds = DutyIssueKind::ALL;
        let own = kinds.iter().map(|kind| kind.code());
        let all: BTreeSet<_> = own
            .chain(IssueCode::ALL.iter().map(|code| code.code()))
            .collect();
        assert_eq!(all.len(), kinds.len() + IssueCode::ALL.len());
        for kind in kinds {
            assert!(!kind.summary().ends_with('.') && !kind.hint().ends_with('.'));
        }
    }

    #[test]
    fn the_hint_lists_every_fault() {
        let hint = DutyIssueKind::UnknownFault.hint();
        let codes: Vec<_> = CartFault::ALL.iter().map(|fault| fault.code()).collect();
        assert!(hint.ends_with(&codes.join(", ")), "{hint}");
    }

    #[test]
    fn issues_of_one_kind_and_column_are_counted_and_the_first_lines_kept() {
        let issue = |line_number, column| DutyIssue {
            line_number,
            column,
            kind: DutyIssueKind::NotATime,
            found: Shape::Letters,
        };
        let mut issues: Vec<_> = (2..=11).map(|line| issue(line, "from")).collect();
        issues.push(issue(3, "until"));
        let places = by_kind_and_column(&issues);
        assert_eq!(places.len(), 2);
        let from = &places[&(DutyIssueKind::NotATime, "from")];
        assert_eq!(from.count, 10);
        assert_eq!(from.first_lines, (2..=9).collect::<Vec<_>>());
    }
}

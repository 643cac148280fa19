use super::*;
use crate::domain::accounting::Accounting;
use crate::ingest::duty::tests::{file, mapping, told, utc};

const HEADER: &str = "site,cart,due_at,checked_at,complete,faults\n";

#[track_caller]
fn checks(rows: &[&str]) -> DutyRows<CartCheck> {
    let text = format!("{HEADER}{}\n", rows.join("\n"));
    let (_folder, path) = file("cart_checks.csv", text.as_bytes());
    let read = read_cart_checks(&path, &mapping()).expect("checks");
    assert!(read.accounting.balances());
    read
}

/// What a row is set aside for, or what is wrong with it.
#[track_caller]
fn issues_of(row: &str) -> Vec<(&'static str, DutyIssueKind)> {
    let issues = checks(&[row]).issues;
    assert!(issues.iter().all(|issue| issue.line_number == 2));
    let told = issues.iter();
    told.map(|issue| (issue.column, issue.kind)).collect()
}

#[test]
fn a_row_is_a_check_that_was_due() {
    let read = checks(&[
        "Alder,cart_1,2026-09-30 07:00,2026-09-30 07:20,yes,",
        "Alder,cart_1,2026-10-01 07:00,2026-10-01T06:50,No,expired+missing_item + Expired",
        "Alder,cart_1,2026-10-02 07:00,,,",
        "Alder,cart_1,2026-10-03 07:00,n/a,-,none",
        "Alder,cart_1,2026-10-04 07:00,2026-10-06 07:00,,Wrong-scope",
    ]);
    assert!(read.issues.is_empty());
    let check = |due, checked: Option<&str>, is_complete, faults: &[CartFault]| CartCheck {
        site: "Alder".to_owned(),
        cart: "cart_1".to_owned(),
        due: utc(due),
        checked: checked.map(utc),
        is_complete,
        faults: faults.to_vec(),
    };
    let faults = [CartFault::ItemMissing, CartFault::Expired];
    assert_eq!(
        read.rows,
        [
            check(
                "2026-09-30T11:00",
                Some("2026-09-30T11:20"),
                Some(true),
                &[]
            ),
            check(
                "2026-10-01T11:00",
                Some("2026-10-01T10:50"),
                Some(false),
                &faults
            ),
            check("2026-10-02T11:00", None, None, &[]),
            check("2026-10-03T11:00", None, None, &[]),
            check(
                "2026-10-04T11:00",
                Some("2026-10-06T11:00"),
                None,
                &[CartFault::WrongScope]
            ),
        ]
    );
}

#[test]
fn a_row_without_site_cart_or_due_time_is_set_aside() {
    use DutyIssueKind::BlankCell;
    let rest = "2026-09-30 07:20,yes,";
    assert_eq!(
        issues_of(&format!(",cart_1,2026-09-30 07:00,{rest}")),
        [("site", BlankCell)]
    );
    assert_eq!(
        issues_of(&format!("Alder,,2026-09-30 07:00,{rest}")),
        [("cart", BlankCell)]
    );
    assert_eq!(
        issues_of(&format!("Alder,cart_1,,{rest}")),
        [("due_at", BlankCell)]
    );
    let read = checks(&[",,,,,"]);
    assert_eq!(told(&read.issues), [(2, "", DutyIssueKind::SummaryRow)]);
    assert_eq!((read.accounting.set_aside, read.rows.len()), (1, 0));
}

#[test]
fn a_time_that_cannot_be_read_is_not_taken_for_a_check_that_was_not_done() {
    use DutyIssueKind::{NotATime, SkippedHour};
    let row = "Alder,cart_1,2026-09-30 07:00,yesterday,yes,";
    assert_eq!(issues_of(row), [("checked_at", NotATime)]);
    assert!(checks(&[row]).rows.is_empty());
    let row = "Alder,cart_1,30.09.2026 07:00,,,";
    assert_eq!(issues_of(row), [("due_at", NotATime)]);
    let row = "Alder,cart_1,2026-03-08 01:00,2026-03-08 02:30,yes,";
    assert_eq!(issues_of(row), [("checked_at", SkippedHour)]);
}

#[test]
fn words_that_are_not_known_are_noted_and_the_rest_of_the_row_stands() {
    let read = checks(&[
        "Alder,cart_1,2026-09-30 07:00,2026-09-30 07:20,partly,",
        "Alder,cart_1,2026-10-01 07:00,2026-10-01 07:20,no,expired+rusty",
    ]);
    assert_eq!(
        told(&read.issues),
        [
            (2, "complete", DutyIssueKind::UnknownAnswer),
            (3, "faults", DutyIssueKind::UnknownFault),
        ]
    );
    assert_eq!(read.rows[0].is_complete, None);
    assert_eq!(read.rows[1].faults, [CartFault::Expired]);
    assert_eq!(read.accounting.accepted, 2);
}

#[test]
fn what_contradicts_itself_is_told() {
    let read = checks(&["Alder,cart_1,2026-09-30 07:00,2026-09-30 07:20,yes,expired"]);
    assert_eq!(
        told(&read.issues),
        [(2, "complete", DutyIssueKind::CompleteWithFaults)]
    );
    assert_eq!(read.rows[0].is_complete, None);
    assert_eq!(read.rows[0].faults, [CartFault::Expired]);
    for rest in ["yes,", "no,", ",expired"] {
        let row = format!("Alder,cart_1,2026-09-30 07:00,,{rest}");
        assert_eq!(issues_of(&row), [("", DutyIssueKind::FindingsWithoutCheck)]);
        assert!(checks(&[&row]).rows.is_empty());
    }
}

#[test]
fn a_check_may_be_early_by_a_month_and_late_by_any_time() {
    let of = |checked: &str| issues_of(&format!("Alder,cart_1,2026-09-30 07:00,{checked},yes,"));
    assert_eq!(of("2026-08-30 07:00"), []);
    assert_eq!(
        of("2026-08-30 06:59"),
        [("checked_at", DutyIssueKind::CheckedLongBefore)]
    );
    assert_eq!(of("2027-09-30 07:00"), []);
}

#[test]
fn of_rows_of_one_check_the_first_stands() {
    use DutyIssueKind::{ConflictingRow, RepeatedRow};
    let read = checks(&[
        "Alder,cart_1,2026-09-30 07:00,2026-09-30 07:20,no,expired+below_par",
        "Alder,cart_1,2026-09-30T07:00,2026-09-30 07:20,No,below_par+expired",
        "Alder,cart_1,2026-09-30 07:00,2026-09-30 07:21,no,expired+below_par",
        "Alder,cart_1,2026-09-30 07:00,,,",
        "Alder,cart_2,2026-09-30 07:00,2026-09-30 07:20,no,expired+below_par",
        "Birch,cart_1,2026-09-30 07:00,2026-09-30 07:20,no,expired+below_par",
        "Alder,cart_1,2026-09-30 07:01,2026-09-30 07:20,no,expired+below_par",
    ]);
    assert_eq!(
        told(&read.issues),
        [
            (3, "", RepeatedRow),
            (4, "", ConflictingRow),
            (5, "", ConflictingRow),
        ]
    );
    assert_eq!(
        read.accounting,
        Accounting {
            read: 7,
            accepted: 4,
            set_aside: 2,
            duplicates: 1,
        }
    );
    assert_eq!(read.rows[0].checked, Some(utc("2026-09-30T11:20")));
}

#[test]
fn times_in_the_repeated_hour_stand_in_its_first_pass() {
    let read = checks(&["Alder,cart_1,2026-11-01 01:00,2026-11-01 01:30,yes,"]);
    assert_eq!(read.rows[0].due, utc("2026-11-01T05:00"));
    assert_eq!(read.rows[0].checked, Some(utc("2026-11-01T05:30")));
    assert_eq!(
        told(&read.issues),
        [
            (2, "due_at", DutyIssueKind::RepeatedHour),
            (2, "checked_at", DutyIssueKind::RepeatedHour),
        ]
    );
}

#[test]
fn a_cart_that_may_be_a_person_stops_the_run() {
    let text = format!("{HEADER}Alder,cart_1,2026-09-30 07:00,,,\nAlder,Okafor,,,,\n");
    let (_folder, path) = file("cart_checks.csv", text.as_bytes());
    let error = read_cart_checks(&path, &mapping()).expect_err("a name");
    let words = error.to_string();
    assert!(
        words.ends_with(
            ", line 3: column 2, `cart`, holds no code of a cart, and may name a person"
        ),
        "{words}"
    );
}

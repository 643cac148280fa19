use super::*;
use crate::domain::accounting::Accounting;
use crate::domain::issue::Shape;
use crate::ingest::duty::tests::{HEADER, file, mapping, roster_refused, told, utc};

#[track_caller]
fn roster(bytes: &[u8]) -> DutyRows<RosterLine> {
    let (_folder, path) = file("roster.csv", bytes);
    let read = read_roster(&path, &mapping()).expect("a roster");
    assert!(read.accounting.balances());
    read
}

/// A roster of these rows below its header.
#[track_caller]
fn rows(rows: &[&str]) -> DutyRows<RosterLine> {
    roster(format!("{HEADER}{}\n", rows.join("\n")).as_bytes())
}

/// The only issue of a row that is the only one.
#[track_caller]
fn issue_of(row: &str) -> (&'static str, DutyIssueKind) {
    let read = rows(&[row]);
    assert_eq!(read.issues.len(), 1, "{row}");
    assert_eq!(read.issues[0].line_number, 2);
    (read.issues[0].column, read.issues[0].kind)
}

#[test]
fn a_row_is_a_place_on_the_roster_and_its_time() {
    let read = rows(&[
        "Alder,Nurse_1,shift,2026-09-30 08:00,2026-09-30 16:00",
        " Birch , rn-2 ,On-call,2026-01-09T17:00,2026-01-10T08:00:30",
    ]);
    // New York is four hours behind UTC in September and five in January.
    assert_eq!(
        read.rows,
        [
            RosterLine {
                site: "Alder".to_owned(),
                role: "nurse_1".to_owned(),
                duty: Duty::Shift,
                span: Span {
                    from: utc("2026-09-30T12:00"),
                    until: utc("2026-09-30T20:00"),
                },
            },
            RosterLine {
                site: "Birch".to_owned(),
                role: "rn-2".to_owned(),
                duty: Duty::OnCall,
                span: Span {
                    from: utc("2026-01-09T22:00"),
                    until: utc("2026-01-10T13:00"),
                },
            },
        ]
    );
    assert!(read.issues.is_empty());
    assert_eq!((read.accounting.read, read.accounting.accepted), (2, 2));
}

#[test]
fn a_file_may_be_written_as_spreadsheets_write_it() {
    let text = "\u{feff}sep=;\r\nUNTIL;Duty;site;role;from;\r\n2026-09-30 16:00;SHIFT;\"Alder; east\";RN1;2026-09-30 08:00;\r\n;;;;;\r\n";
    let read = roster(text.as_bytes());
    assert_eq!(read.rows.len(), 1);
    assert_eq!(read.rows[0].site, "Alder; east");
    assert_eq!(read.rows[0].span.minutes(), 480);
    assert_eq!(told(&read.issues), [(4, "", DutyIssueKind::SummaryRow)]);
    assert_eq!(
        (
            read.facts.separator,
            read.facts.header_line,
            read.facts.encoding
        ),
        (';', 2, "utf-8")
    );
    let utf_16: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let again = roster(&utf_16);
    assert_eq!((again.rows, again.facts.encoding), (read.rows, "utf-16le"));
}

#[test]
fn the_facts_are_those_of_the_bytes_on_disk() {
    let read = roster(
        b"site,role,duty,from,until\nAlder,nurse_1,shift,2026-09-30 08:00,2026-09-30 16:00\n",
    );
    // By `sha256sum`.
    assert_eq!(
        read.facts.sha256,
        "c4bf36c7680698e55a04733f6db35b57c8dd22d2abc75575a7d344766836c8d8"
    );
    assert_eq!((read.facts.bytes, read.facts.packing), (80, "none"));
}

#[test]
fn lines_are_counted_over_breaks_in_cells_blank_lines_and_remarks() {
    let read = roster(
        b"Roster of the unit\n\nsite,role,duty,from,until\n\"Alder\neast\",nurse_1,shift,2026-09-30 08:00,2026-09-30 16:00\n\nAlder,nurse_2,shift,2026-09-31 08:00,2026-09-30 16:00\nsite,role,duty,from,until\nAlder,nurse_3,shift\nTotal: 3,,,,\n",
    );
    assert_eq!(read.rows.len(), 1);
    assert_eq!(
        told(&read.issues),
        [
            (7, "from", DutyIssueKind::NotATime),
            (8, "", DutyIssueKind::SummaryRow),
            (9, "", DutyIssueKind::WrongCellCount),
            (10, "", DutyIssueKind::SummaryRow),
        ]
    );
    assert_eq!(
        read.accounting,
        Accounting {
            read: 5,
            accepted: 1,
            set_aside: 4,
            duplicates: 0,
        }
    );
}

#[test]
fn what_is_wrong_with_a_row_names_the_column() {
    use DutyIssueKind::{
        BlankCell, NotATime, SkippedHour, UnknownDuty, UnreadableBytes, WrongCellCount,
    };
    let times = "2026-09-30 08:00,2026-09-30 16:00";
    assert_eq!(
        issue_of(&format!(",nurse_1,shift,{times}")),
        ("site", BlankCell)
    );
    assert_eq!(
        issue_of(&format!("Alder,-,shift,{times}")),
        ("role", BlankCell)
    );
    assert_eq!(
        issue_of(&format!("Alder,nurse_1,,{times}")),
        ("duty", BlankCell)
    );
    assert_eq!(
        issue_of("Alder,nurse_1,shift,,2026-09-30 16:00"),
        ("from", BlankCell)
    );
    assert_eq!(
        issue_of("Alder,nurse_1,shift,2026-09-30 08:00,"),
        ("until", BlankCell)
    );
    assert_eq!(
        issue_of(&format!("Alder,nurse_1,vacation,{times}")),
        ("duty", UnknownDuty)
    );
    assert_eq!(
        issue_of(&format!("Alder,nurse_1,shift,{times},x")),
        ("", WrongCellCount)
    );
    for time in [
        "30.09.2026 16:00",
        "09/30/2026 16:00",
        "2026-09-30",
        "16:00",
        "2026-02-29 16:00",
        "2026-09-30 24:00",
        "2026-09-30 16:60",
        "2026-09-30 16:00Z",
        "2026-09-30T16:00-04:00",
        "1969-09-30 16:00",
        "2101-09-30 16:00",
        "46295.5",
    ] {
        let row = format!("Alder,nurse_1,shift,2026-09-30 08:00,{time}");
        assert_eq!(issue_of(&row), ("until", NotATime), "{time}");
    }
    // 02:30 of 2026-03-08 was on no clock of New York.
    let row = "Alder,nurse_1,shift,2026-03-08 02:30,2026-03-08 08:00";
    assert_eq!(issue_of(row), ("from", SkippedHour));
    let mut bytes = format!("{HEADER}Alder,nurse_1,shift,2026-09-30 08:00,").into_bytes();
    bytes.extend(
        b"2026-09-30 1\xff:00\nBirch\xc3\xa9,nurse_1,shift,2026-09-30 08:00,2026-09-30 16:00\n",
    );
    let read = roster(&bytes);
    assert_eq!(read.facts.encoding, "utf-8");
    assert_eq!(told(&read.issues), [(2, "until", UnreadableBytes)]);
    assert_eq!(
        rows(&["Alder,nurse_1,night off,2026-09-30 08:00,2026-09-30 16:00"]).issues[0].found,
        Shape::Letters
    );
}

#[test]
fn a_duty_ends_after_its_start_and_within_seven_days() {
    let of = |from: &str, until: &str| {
        let read = rows(&[&format!("Alder,nurse_1,shift,{from},{until}")]);
        read.issues.first().map(|issue| issue.kind)
    };
    assert_eq!(
        of("2026-09-30 08:00", "2026-09-30 08:00"),
        Some(DutyIssueKind::EndNotAfterStart)
    );
    assert_eq!(
        of("2026-09-30 22:00", "2026-09-30 06:00"),
        Some(DutyIssueKind::EndNotAfterStart)
    );
    assert_eq!(of("2026-09-30 08:00", "2026-09-30 08:01"), None);
    assert_eq!(of("2026-09-01 08:00", "2026-09-08 08:00"), None);
    assert_eq!(
        of("2026-09-01 08:00", "2026-09-08 08:01"),
        Some(DutyIssueKind::TooLong)
    );
    // Over the end of summer time, 2026-11-01, a week on the clock is an hour longer.
    assert_eq!(
        of("2026-10-30 08:00", "2026-11-06 08:00"),
        Some(DutyIssueKind::TooLong)
    );
    assert_eq!(of("2026-10-30 08:00", "2026-11-06 07:00"), None);
}

#[test]
fn of_overlapping_rows_the_later_one_is_set_aside() {
    use DutyIssueKind::{OverlapsEarlierRow, RepeatedRow};
    let read = rows(&[
        "Alder,nurse_1,on_call,2026-09-30 20:00,2026-10-01 06:00",
        "Alder,nurse_1,on_call,2026-09-30 19:00,2026-09-30 20:01",
        "Alder,nurse_1,on_call,2026-10-01 05:59,2026-10-01 08:00",
        "Alder,nurse_1,on_call,2026-09-30 22:00,2026-09-30 23:00",
        "Alder,nurse_1,on_call,2026-09-30 10:00,2026-10-02 06:00",
        // These only touch it, or are of another site, place or duty.
        "Alder,nurse_1,on_call,2026-09-30 19:00,2026-09-30 20:00",
        "Alder,nurse_1,on_call,2026-10-01 06:00,2026-10-01 08:00",
        "Birch,nurse_1,on_call,2026-09-30 20:00,2026-10-01 06:00",
        "Alder,nurse_2,on_call,2026-09-30 20:00,2026-10-01 06:00",
        "Alder,nurse_1,shift,2026-09-30 20:00,2026-10-01 06:00",
        // The first row once more, in other capitals.
        "Alder,NURSE_1,ON_CALL,2026-09-30T20:00,2026-10-01T06:00",
    ]);
    assert_eq!(
        told(&read.issues),
        [
            (3, "", OverlapsEarlierRow),
            (4, "", OverlapsEarlierRow),
            (5, "", OverlapsEarlierRow),
            (6, "", OverlapsEarlierRow),
            (12, "", RepeatedRow),
        ]
    );
    assert_eq!(
        read.accounting,
        Accounting {
            read: 11,
            accepted: 6,
            set_aside: 4,
            duplicates: 1,
        }
    );
}

#[test]
fn a_duty_in_the_repeated_hour_takes_all_of_it_and_is_noted() {
    // 01:30 of 2026-11-01 was shown at 05:30 and at 06:30 UTC.
    let read = rows(&[
        "Alder,nurse_1,shift,2026-11-01 01:30,2026-11-01 09:00",
        "Alder,nurse_2,shift,2026-10-31 22:00,2026-11-01 01:30",
        "Alder,nurse_3,shift,2026-11-01 01:30,2026-11-01 01:30",
    ]);
    let spans: Vec<_> = read.rows.iter().map(|line| line.span).collect();
    let span = |from, until| Span {
        from: utc(from),
        until: utc(until),
    };
    assert_eq!(
        spans,
        [
            span("2026-11-01T05:30", "2026-11-01T14:00"),
            span("2026-11-01T02:00", "2026-11-01T06:30"),
            span("2026-11-01T05:30", "2026-11-01T06:30"),
        ]
    );
    assert_eq!(
        told(&read.issues),
        [
            (2, "from", DutyIssueKind::RepeatedHour),
            (3, "until", DutyIssueKind::RepeatedHour),
            (4, "from", DutyIssueKind::RepeatedHour),
            (4, "until", DutyIssueKind::RepeatedHour),
        ]
    );
}

#[test]
fn two_workers_may_hand_over_within_the_repeated_hour() {
    // Each row is one place on the roster: it is never held twice at a time, in either order.
    let first = "Alder,nurse_1,shift,2026-10-31 22:00,2026-11-01 01:30";
    let second = "Alder,nurse_1,shift,2026-11-01 01:30,2026-11-01 09:00";
    for (rows_given, handover) in [
        ([first, second], "2026-11-01T06:30"),
        ([second, first], "2026-11-01T05:30"),
    ] {
        let read = rows(&rows_given);
        let mut spans: Vec<_> = read.rows.iter().map(|line| line.span).collect();
        spans.sort_unstable();
        let expected = [
            (utc("2026-11-01T02:00"), utc(handover)),
            (utc(handover), utc("2026-11-01T14:00")),
        ];
        assert_eq!(spans.len(), 2);
        for (span, (from, until)) in spans.into_iter().zip(expected) {
            assert_eq!((span.from, span.until), (from, until));
        }
    }
    let read = rows(&[first, second, second]);
    assert_eq!(
        (read.accounting.accepted, read.accounting.duplicates),
        (2, 1)
    );
}

#[test]
fn a_role_that_may_be_a_name_stops_the_run_and_is_not_shown() {
    let first = "Alder,nurse_1,shift,2026-09-30 08:00,2026-09-30 16:00";
    for role in [
        "Okafor",
        "okafor_1",
        "rn_okafor",
        "Ngozi Okafor",
        "\"Okafor, N\"",
        "rn_48213",
    ] {
        // Whatever else is wrong with the row.
        for rest in ["shift,2026-09-30 08:00,2026-09-30 16:00", "x,,"] {
            let text = format!("{HEADER}{first}\n\n,{role},{rest}\n");
            let (what, hint) = roster_refused(text.as_bytes());
            assert_eq!(
                what,
                ", line 4: column 2, `role`, holds no code of a place on the roster, and may name a person"
            );
            assert!(hint.contains("`nurse_1`") && !hint.contains("kafor"));
        }
    }
}

#[test]
fn names_in_any_other_column_stop_the_run_too() {
    let row = |site: &str, duty: &str| {
        format!("{site},nurse_1,{duty},2026-09-30 08:00,2026-09-30 16:00\n")
    };
    let names = [
        "Okafor, Ngozi",
        "Lindqvist, Maja",
        "Petrov, Anton",
        "Haruki, Emi",
        "Moreau, Luc",
    ];
    let sites: String = names
        .iter()
        .map(|name| row(&format!("\"{name}\""), "shift"))
        .collect();
    let duties: String = names
        .iter()
        .map(|name| row("Alder", &format!("\"{name}\"")))
        .collect();
    for (text, column) in [(sites, 1), (duties, 3)] {
        let (what, hint) = roster_refused(format!("{HEADER}{text}").as_bytes());
        assert!(
            what.starts_with(&format!(
                ": seems to hold identifiers of persons: column {column} ("
            )),
            "{what}"
        );
        assert!(names.iter().all(|name| !what.contains(name)));
        assert!(!hint.contains("drop"), "{hint}");
    }
}

#[test]
fn nothing_that_is_printed_for_developers_shows_a_cell() {
    let read = rows(&["Alder,nurse_1,Okafor,2026-09-30 08:00,2026-09-30 16:00"]);
    assert!(!format!("{:?}", read.issues).contains("kafor"));
}

use super::*;
use crate::domain::file_facts::TimeForm;
use crate::findings::flow::MeasureFlow;

/// An invented export that is unusual in every way.
pub(in crate::cli) fn facts() -> FileFacts {
    let time = |field, format: &str, is_proved| TimeForm {
        field,
        format: format.to_owned(),
        is_proved,
    };
    FileFacts {
        source: Source::Cases,
        bytes: 84_120,
        sha256: None,
        packing: "gzip",
        encoding: "UTF-16LE",
        encoding_from: "mark",
        separator: '\t',
        separator_from: "found",
        line_ends: "CRLF",
        header_line: 4,
        lines_before_header: 3,
        header_rows: 2,
        columns: 33,
        columns_mapped: 30,
        columns_dropped: 1,
        times: vec![
            time("called_at", "%d.%m.%Y %H:%M", true),
            time("scope_in_at", "%H:%M", false),
            time("scope_out_at", "%H:%M", false),
        ],
        decimal_mark: ',',
        rows: Accounting {
            read: 12_004,
            accepted: 12_000,
            set_aside: 3,
            duplicates: 1,
        },
    }
}

#[test]
fn a_file_is_told_as_it_was_read() {
    let lines = file_lines(&facts(), "export.csv.gz");
    assert_eq!(
        lines,
        [
            "export.csv.gz: 84.1 kB, packed with gzip",
            "UTF-16LE (mark), separator tab (found), line ends CRLF, decimal mark `,`",
            "header of 2 lines from line 4 on, 3 other lines above it",
            "33 columns: 30 mapped, 1 dropped, 2 not used",
            "times `%H:%M` (given): scope_in_at, scope_out_at",
            "times `%d.%m.%Y %H:%M` (proved by the cells): called_at",
            "12,004 rows read = 12,000 accepted + 3 set aside + 1 duplicate",
        ]
    );
}

#[test]
fn what_is_usual_of_a_file_goes_without_saying() {
    let usual = FileFacts {
        packing: "none",
        header_line: 1,
        lines_before_header: 0,
        header_rows: 1,
        separator: ';',
        ..facts()
    };
    let text = file_lines(&usual, "cases.csv").join("\n");
    assert!(!text.contains("packed") && !text.contains("header"));
    assert!(text.contains("separator `;`"));
}

#[test]
fn sizes_are_in_the_unit_that_people_read() {
    for (bytes, words) in [
        (1, "1 byte"),
        (999, "999 bytes"),
        (1_000, "1.0 kB"),
        (999_949, "999.9 kB"),
        (999_950, "1.0 MB"),
        (1_712_000_000, "1.7 GB"),
        (5_000_000_000_000_000, "5000.0 TB"),
    ] {
        assert_eq!(bytes_in_words(bytes), words);
    }
}

#[test]
fn one_is_told_as_one() {
    let rows = |read, accepted, set_aside, duplicates| Accounting {
        read,
        accepted,
        set_aside,
        duplicates,
    };
    assert_eq!(
        rows_in_words(rows(1, 1, 0, 0)),
        "1 row read = 1 accepted + 0 set aside + 0 duplicates"
    );
    assert_eq!(
        rows_in_words(rows(1_205, 1_200, 4, 1)),
        "1,205 rows read = 1,200 accepted + 4 set aside + 1 duplicate"
    );
}

#[test]
fn a_share_is_whole_only_when_nothing_is_missing() {
    for (part, of, words) in [
        (0, 900, "0%"),
        (1, 900, "0.1%"),
        (1, 9_000, "<0.1%"),
        (450, 900, "50.0%"),
        (899, 900, "99.9%"),
        (8_999, 9_000, ">99.9%"),
    ] {
        assert_eq!(share_in_words(part, of), words);
    }
}

#[test]
fn the_flow_of_a_hundred_million_cases_fits_a_terminal() {
    let flow = Flow {
        measures: vec![MeasureFlow {
            measure: "scoped_within_window".to_owned(),
            title: String::new(),
            not_of_population: 10_000_000,
            population: 100_000_000,
            eligible: 100_000_000,
            excluded: 10_000_000,
            result: FlowResult::Passes {
                judged: 100_000_000,
                hit: 10_000_000,
            },
        }],
        ..Flow::default()
    };
    for line in flow_table(&flow).lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

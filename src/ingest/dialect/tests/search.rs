//! Which columns a mapping finds, and what is said when it does not find them.

use super::{Given, find, find_in, header_rows, sample, separator, texts, wanted};
use crate::ingest::dialect::Sample;
use crate::ingest::error::IngestError;

const WANTED: &[&str] = &["Case", "Site", "Called"];

#[track_caller]
fn check_places(header: &str, expected: &[usize]) {
    let dialect = find_in(format!("{header}\nK1,2,3,4\n"), Given::default(), WANTED).unwrap();
    assert_eq!(dialect.places, expected, "{header}");
}

#[test]
fn headings_are_compared_trimmed_then_without_case_and_repeated_spaces() {
    check_places("Case,Site,Called", &[0, 1, 2]);
    check_places("x,Called,Site,Case", &[3, 2, 1]);
    check_places("  Case ,\u{a0}Site\u{a0},\"\tCalled\"", &[0, 1, 2]);
    check_places("CASE,site,cALLED", &[0, 1, 2]);
    // The exact one of two that differ in case only.
    check_places("CASE,Case,Site,Called", &[1, 2, 3]);
    let dialect = find_in(
        "Time  of\u{a0}call,\"Time of\nscope\",Größe\n",
        Given::default(),
        &["Time of call", "time of scope", "GRÖẞE"],
    );
    // ẞ is the capital of ß, so only its lower case is the heading.
    assert_eq!(dialect.unwrap().places, [0, 1, 2]);
}

#[test]
fn an_exact_header_goes_before_one_of_other_case_above_it() {
    let text = "case,site,called\nCase,Site,Called\nK1,A,10:00\n";
    let dialect = find_in(text, Given::default(), WANTED).unwrap();
    assert_eq!(dialect.header_line, 2);
    let dialect = find_in(
        "x\n".to_string() + text,
        Given::default(),
        &["case", "SITE"],
    )
    .unwrap();
    assert_eq!(dialect.header_line, 2);
}

#[test]
fn one_column_may_serve_several_fields_and_a_field_several_columns() {
    let dialect = find_in(
        "Case,Date,Time\n",
        Given::default(),
        &["Date", "Time", "Date", "Case"],
    );
    assert_eq!(dialect.unwrap().places, [1, 2, 1, 0]);
}

#[track_caller]
fn check_missing(
    text: &str,
    given: Given,
    missing: &str,
    columns: usize,
    separator: Option<char>,
) -> IngestError {
    match find_in(text, given, WANTED) {
        Err(error) => {
            let IngestError::MissingColumn {
                heading,
                columns_found,
                likely_separator,
                ..
            } = &error
            else {
                panic!("{error}");
            };
            assert_eq!(
                (heading.as_str(), *columns_found, *likely_separator),
                (missing, columns, separator)
            );
            error
        }
        Ok(_) => panic!("was found"),
    }
}

#[test]
fn a_missing_heading_is_told_of_the_row_that_holds_most_of_them() {
    let none = Given::default;
    check_missing("Case,Site,Ended,In\nK1,A,1,2\n", none(), "Called", 4, None);
    let below = "Report\n\nSite;x\nCase;Site;Ended\nK1;A;10:00\n";
    check_missing(below, none(), "Called", 3, None);
    // Nothing is there: the first of the longest rows.
    check_missing("Report\nK1,A,10:00,1\n", none(), "Case", 4, None);
    // The headings in order of the mapping.
    check_missing("Called,x\n", none(), "Case", 2, None);
    // A title is no part of the header, so it is not shown as one with bad bytes.
    assert!(matches!(
        find_in(b"Title \xff\nCase,Site\n", none(), WANTED),
        Err(IngestError::MissingColumn { .. })
    ));
}

#[test]
fn a_separator_of_the_mapping_that_is_wrong_is_named() {
    for (found, name) in [(';', ";"), ('\t', "\\t"), ('|', "|")] {
        let text = "Case,Site,Called\nK1,A,\"1,5\"\n".replace(',', &found.to_string());
        let error = check_missing(&text, separator(b','), "Case", 1, Some(found));
        assert_eq!(
            error.hint(),
            format!(
                "the header looks separated by `{name}`: set `separator = \"{name}\"` in the mapping"
            )
        );
        assert!(find_in(&text, separator(found as u8), WANTED).is_ok());
        assert!(find_in(&text, Given::default(), WANTED).is_ok());
    }
    let sep = "sep=^\nCase^Site^Called\n";
    check_missing(sep, separator(b','), "Case", 1, Some('^'));
    // No separator finds more.
    check_missing("Case,Site\n", separator(b','), "Called", 2, None);
}

#[test]
fn a_wanted_heading_that_stands_twice_is_refused() {
    for header in [
        "Case,Site,Called,Site",
        "Case,SITE,Called,site",
        "Title\nCase, Site,Called,Site ",
    ] {
        let error = find_in(format!("{header}\n"), Given::default(), WANTED).unwrap_err();
        assert_eq!(
            error.to_string(),
            "`cases.csv` has the column `Site` twice, so `a_field` is ambiguous"
        );
    }
    // Twice, and not wanted.
    assert!(find_in("Case,x,x,Site,Called\n", Given::default(), WANTED).is_ok());
}

#[test]
fn a_header_that_is_not_text_is_refused_with_its_place() {
    for (text, line, column) in [
        (b"Case,Site,Cal\xffled\n".as_slice(), 1, 3),
        (b"Title\n\nCase,S\xe9te\xff,Called\n", 3, 2),
        (b"Case,Site,Called,Note\xff,\xff\n", 1, 4),
        (b"\xff\xfe,x\n", 1, 1),
    ] {
        let error = find_in(text, Given::default(), WANTED).unwrap_err();
        assert_eq!(
            error.to_string(),
            format!("`cases.csv`, line {line}: column {column} of the header is not UTF-8 text")
        );
    }
}

#[test]
fn a_header_inside_a_quote_and_a_header_without_end_are_refused() {
    let unclosed = |text: &str| match find_in(text, Given::default(), WANTED) {
        Err(IngestError::UnclosedQuote { line_number, .. }) => line_number,
        Err(other) => panic!("{other}"),
        Ok(_) => panic!("was found"),
    };
    assert_eq!(unclosed("Case,\"Site,Called\nK1,A,10:00\nK2,B,11:00\n"), 1);
    assert_eq!(unclosed("\"Case,Site,Called\nK1,A,10:00\nK2,B,11:00\n"), 1);
    assert_eq!(unclosed("Title\n\nCase,Site,\"Called\nK1,A,10:00\n"), 3);
    let long = format!("Case,Site,Called{}", ",x".repeat(1 << 19));
    let cut = Sample {
        is_whole: false,
        ..sample(long.as_bytes())
    };
    let error = find(&cut, &Given::default(), &wanted(WANTED)).unwrap_err();
    assert_eq!(
        error.to_string(),
        "`cases.csv`, line 1: this row does not end within the first 1 MiB, so no header was found"
    );
    // The same as a whole file has more columns than any export.
    let error = find_in(&long, Given::default(), WANTED).unwrap_err();
    assert!(
        matches!(error, IngestError::TooManyColumns { line_number: 1, .. }),
        "{error}"
    );
    let wide = format!("Case,Site,Called{}\n", ",x".repeat(10_000));
    let dialect = find_in(&wide, Given::default(), WANTED).unwrap();
    assert_eq!(dialect.headings.len(), 10_003);
}

#[test]
fn a_file_of_nothing_is_empty() {
    for text in ["", "\n\r\n  \n", ",,,\n;;\n", "sep=;\n", "\u{feff}\n"] {
        let error = find_in(text, separator(b','), WANTED).unwrap_err();
        let is_signs = text.contains(";;") || text.contains('\u{feff}');
        match error {
            IngestError::Empty { .. } => {}
            IngestError::MissingColumn { .. } if is_signs => {}
            other => panic!("{text:?}: {other}"),
        }
    }
    assert!(matches!(
        find_in(";;\n\n,,\n", Given::default(), WANTED),
        Err(IngestError::MissingColumn { .. } | IngestError::Empty { .. })
    ));
}

#[test]
fn the_header_stands_within_the_first_hundred_lines_that_are_not_blank() {
    let text = |titles: usize| "title\n\n".repeat(titles) + "Case,Site,Called\nK1,A,1\n";
    let dialect = find_in(text(99), Given::default(), WANTED).unwrap();
    assert_eq!((dialect.header_line, dialect.rows_line), (199, 200));
    assert!(find_in(text(100), Given::default(), WANTED).is_err());
}

#[test]
fn several_rows_of_a_header_are_joined() {
    let joined = |text: &str, rows: usize| {
        let dialect = find_in(text, header_rows(rows), &[]).unwrap();
        assert_eq!(dialect.header_rows, rows);
        assert!(text[dialect.rows_offset..].starts_with("K1"));
        texts(&dialect).join("|")
    };
    // Merged cells: a group over several columns, and headings over both rows.
    assert_eq!(
        joined("Case,Times,,Outcome\n,Called,In,\nK1,1,2,x\n", 2),
        "Case|Times / Called|Times / In|Outcome"
    );
    // The lower row is longer than the upper, and the other way round.
    assert_eq!(
        joined("Case,Times\n,Called,In\nK1,1,2\n", 2),
        "Case|Times / Called|Times / In"
    );
    assert_eq!(
        joined("Case,Times,,Site\nid,Called\nK1,1,2,3\n", 2),
        "Case / id|Times / Called|Times|Site"
    );
    // A group of the second row ends where one of the first does.
    assert_eq!(
        joined("A,,B,\nx,,,y\n1,2,3,4\nK1,1,2,3\n", 3),
        "A / x / 1|A / x / 2|B / 3|B / y / 4"
    );
    assert_eq!(joined("Case,Site\nK1,A\n", 1), "Case|Site");
}

#[test]
fn headings_of_several_rows_are_found_with_and_without_their_number() {
    let text = "Title,,\n\nCase,Times,\r\n,Called,In\r\nK1,1,2\r\n";
    let headings = &["Case", "Times / Called", "times /  in"];
    for given in [Given::default(), header_rows(2)] {
        let dialect = find_in(text, given, headings).unwrap();
        assert_eq!(dialect.places, [0, 1, 2]);
        assert_eq!((dialect.header_line, dialect.header_rows), (3, 2));
        assert_eq!(dialect.rows_line, 5);
        assert!(text[dialect.rows_offset..].starts_with("K1,1,2"));
    }
    assert!(find_in(text, header_rows(1), headings).is_err());
    assert!(find_in("Case\n", header_rows(2), headings).is_err());
    assert!(find_in(text, header_rows(usize::MAX), headings).is_err());
}

#[test]
fn what_is_found_shows_no_heading_of_the_file() {
    let dialect = find_in("Case,Jane Doe\nK1,A\n", Given::default(), &["Case"]).unwrap();
    let shown = format!("{dialect:?}");
    assert!(
        shown.contains("Heading(..)") && !shown.contains("Jane"),
        "{shown}"
    );
}

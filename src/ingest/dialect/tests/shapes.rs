//! Separators, quotes, line ends, and what stands above a header.

use super::{Given, find_in, separator, texts};
use crate::ingest::dialect::{LineEnds, SeparatorOrigin};

const WANTED: &[&str] = &["Case", "Called, local", "Object; text"];

#[test]
fn every_separator_line_end_and_beginning_is_found() {
    let titles: [(&str, u64); 8] = [
        ("", 0),
        ("\n", 1),
        ("Cases of March|\n\n\n", 3),
        ("Report; of, cases\nprinted\t2026-04-01\n", 2),
        ("\"A title\nof two lines\"\n", 2),
        // A quote that opens in a title and never closes.
        ("\"Emergency cases\n", 1),
        ("5\" scopes,\n", 1),
        (",,,\n", 1),
    ];
    for separator in [',', ';', '\t', '|'] {
        for (line_end, expected) in [
            ("\n", LineEnds::Lf),
            ("\r\n", LineEnds::CrLf),
            ("\r", LineEnds::Cr),
        ] {
            for (title, lines_above) in &titles {
                let header = ["Case", "\"Called, local\"", "\"Object; text\""];
                let row = ["K1", "\"10:00\n\"", "\"a \"\"b\"\"\""];
                let sign = separator.to_string();
                let table = [header.join(&sign), row.join(&sign), "K2".into()].join(line_end);
                let text = format!("{}{table}", title.replace('\n', line_end));
                let dialect = find_in(&text, Given::default(), WANTED).unwrap();
                assert_eq!(dialect.separator, separator as u8, "{text:?}");
                assert_eq!(dialect.separator_origin, SeparatorOrigin::Found);
                assert_eq!(dialect.line_ends, expected, "{text:?}");
                assert_eq!(dialect.header_line, lines_above + 1, "{text:?}");
                assert_eq!(dialect.lines_before_header(), *lines_above);
                assert_eq!(dialect.rows_line, lines_above + 2);
                assert!(text[dialect.rows_offset..].starts_with("K1"), "{text:?}");
                assert_eq!(texts(&dialect), WANTED);
            }
        }
    }
}

#[test]
fn line_ends_are_those_of_rows_and_may_be_mixed() {
    let check = |text: &str, expected: LineEnds| {
        let dialect = find_in(text, Given::default(), &["Case"]).unwrap();
        assert_eq!(dialect.line_ends, expected, "{text:?}");
    };
    check("Case,Site\r\nK1,\"a\nb\"\r\nK2,c\r\n", LineEnds::CrLf);
    check("Case,Site\r\nK1,a\nK2,c\r\n", LineEnds::Mixed);
    check("Case,Site\rK1,a\nK2,c\r", LineEnds::Mixed);
    check("Case,Site", LineEnds::Lf);
    check("Title\r\nCase,Site\nK1,a\n", LineEnds::Lf);
}

#[test]
fn a_sep_line_names_the_separator_and_is_no_header() {
    for line in [
        "sep=;",
        "SEP=;",
        "\"sep=;\"",
        "\"sep=\";",
        "\"sep=\";\"\"",
        "sep=;;;;",
        "sep=; ",
        "\n\nsep=;",
    ] {
        let text = format!("{line}\r\nCase;Site\r\nK1;A\r\n");
        let dialect = find_in(&text, Given::default(), &["Case", "Site"]).unwrap();
        assert_eq!(dialect.separator, b';', "{line:?}");
        assert_eq!(dialect.separator_origin, SeparatorOrigin::SepLine);
        assert!(text[dialect.rows_offset..].starts_with("K1;A"));
        assert_eq!(dialect.lines_before_header(), line.lines().count() as u64);
    }
    for other in ['^', '~', ':', ' ', '\t', '_'] {
        let text = "sep=;\nCase;Site\nK1;A\n".replace(';', &other.to_string());
        let dialect = find_in(&text, Given::default(), &["Case", "Site"]).unwrap();
        assert_eq!(dialect.separator, other as u8);
    }
}

#[test]
fn a_sep_line_that_lies_is_overruled_by_the_headings_and_by_the_mapping() {
    let text = "sep=;\nCase,Site\nK1,A\n";
    let dialect = find_in(text, Given::default(), &["Case", "Site"]).unwrap();
    assert_eq!(dialect.separator, b',');
    assert_eq!(dialect.separator_origin, SeparatorOrigin::Found);
    let dialect = find_in(text, separator(b','), &["Case", "Site"]).unwrap();
    assert_eq!(dialect.separator_origin, SeparatorOrigin::Given);
    assert_eq!(dialect.header_line, 2);
    // These are headings, or nothing.
    for line in ["sep=x", "sep=;a", "sep", "sep=", "separator;"] {
        let text = format!("{line}\nCase;Site\n");
        let dialect = find_in(&text, Given::default(), &["Case", "Site"]).unwrap();
        assert_eq!(dialect.separator_origin, SeparatorOrigin::Found, "{line}");
    }
}

#[test]
fn a_given_quote_takes_the_place_of_the_usual_one() {
    let text = "Case,'Called, local','Object; text'\nK1,5\" scope,'it''s\n'\n";
    let given = Given {
        quote: Some(b'\''),
        ..Given::default()
    };
    let dialect = find_in(text, given, WANTED).unwrap();
    assert_eq!(dialect.quote, b'\'');
    assert_eq!(texts(&dialect), WANTED);
    assert!(find_in(text, Given::default(), WANTED).is_err());
}

#[test]
fn a_quote_that_never_closes_below_the_header_changes_nothing() {
    let text = format!("Case;Site\nK1;\"A\n{}", "K2;B\n".repeat(1000));
    let dialect = find_in(&text, Given::default(), &["Case", "Site"]).unwrap();
    assert_eq!((dialect.separator, dialect.rows_offset), (b';', 10));
}

#[test]
fn of_separators_that_find_all_the_one_with_most_columns_is_taken() {
    let dialect = find_in("Case;a,b;c\n", Given::default(), &["Case"]).unwrap();
    assert_eq!((dialect.separator, dialect.headings.len()), (b';', 3));
    let dialect = find_in("Case\nK1\n", Given::default(), &["Case"]).unwrap();
    assert_eq!((dialect.separator, dialect.headings.len()), (b',', 1));
}

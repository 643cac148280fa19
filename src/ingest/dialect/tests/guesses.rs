//! Dialects of files of which no heading is known.

use super::{Given, guess_in, header_rows, separator, texts};
use crate::ingest::dialect::{Certainty, SeparatorOrigin};
use crate::ingest::error::IngestError;

#[track_caller]
fn check(text: &str, separator: u8, header_line: u64, columns: usize, certainty: Certainty) {
    let guess = guess_in(text, Given::default()).unwrap();
    let dialect = &guess.dialect;
    assert_eq!(
        (
            char::from(dialect.separator),
            dialect.header_line,
            dialect.headings.len(),
            guess.certainty
        ),
        (char::from(separator), header_line, columns, certainty)
    );
}

#[test]
fn the_separator_is_the_one_that_cuts_the_rows_alike() {
    use Certainty::Sure;
    let rows = "K1,Alder,2026-03-01 10:00,12\nK2,Birch,2026-03-01 11:00,\n".repeat(20);
    let text = format!("Case,Site,Called,Minutes\n{rows}");
    for separator in [b',', b';', b'\t', b'|'] {
        let text = text.replace(',', &char::from(separator).to_string());
        check(&text, separator, 1, 4, Sure);
    }
    // Decimal commas cut every row alike too, into fewer cells.
    let rows = "K1;Alder;11,2;x;y\nK2;Birch;9,8;x;y\n".repeat(20);
    check(&format!("Case;Site;Hb;a;b\n{rows}"), b';', 1, 5, Sure);
    // Lists inside cells.
    let rows = "K1,\"snare; net\",a|b\nK2,net,a\n".repeat(20);
    check(&format!("Case,Devices,Signs\n{rows}"), b',', 1, 3, Sure);
}

#[test]
fn the_header_is_the_first_long_row_of_names() {
    use Certainty::{Likely, Sure, Unsure};
    let rows = "K1,Alder,10:00\n".repeat(200);
    check(
        &format!("Cases of March\n\nCase,Site,Called\n{rows}"),
        b',',
        3,
        3,
        Sure,
    );
    check(
        &format!("2026,1,2\nCase,Site,Called\n{rows}Total,200,\n"),
        b',',
        2,
        3,
        Sure,
    );
    // A heading is blank, stands twice, or lacks the separator at the end of the rows.
    check(&format!(",Site,Called\n{rows}"), b',', 1, 3, Likely);
    check(&format!("Case,Site,site\n{rows}"), b',', 1, 3, Likely);
    let ragged = rows.replace("10:00", "10:00,");
    check(&format!("Case,Site,Called\n{ragged}"), b',', 1, 3, Likely);
    check("Case\nK1\n", b',', 1, 1, Unsure);
    let uneven = "a,b,1\nc,2\nd,3\ne,f,4\n".repeat(5);
    check(&format!("Case,Site,Called\n{uneven}"), b',', 1, 3, Unsure);
}

#[test]
fn what_is_given_or_named_is_taken() {
    let text = "a;b,c;d\n1;2,3;4\n";
    let guess = guess_in(text, separator(b',')).unwrap();
    assert_eq!(texts(&guess.dialect), ["a;b", "c;d"]);
    assert_eq!(guess.dialect.separator_origin, SeparatorOrigin::Given);
    let guess = guess_in(format!("sep=,\n{text}"), Given::default()).unwrap();
    assert_eq!(texts(&guess.dialect), ["a;b", "c;d"]);
    assert_eq!(guess.dialect.separator_origin, SeparatorOrigin::SepLine);
    assert_eq!((guess.rows_seen, guess.rows_alike), (2, 2));
    let rows = "K1,10:00,11:00,x\n".repeat(9);
    let text = format!("Title\nCase,Times,,Outcome\n,Called,In,\n{rows}");
    let guess = guess_in(&text, header_rows(2)).unwrap();
    assert_eq!(
        texts(&guess.dialect),
        ["Case", "Times / Called", "Times / In", "Outcome"]
    );
    assert!(text[guess.dialect.rows_offset..].starts_with("K1"));
}

#[test]
fn a_file_without_names_has_no_header() {
    for text in [
        "K1,2026-03-01,1\nK2,2026-03-02,2\n",
        "a,1 Mar 2026\nb,2 Mar 2026\n",
        "a,03-MAR-26 10:15 PM\n",
        "a,2026-03-01T10:00:00Z\n",
        "a,-1.5e\n,\n1,2\n,\n".replace("-1.5e", "-1,5").as_str(),
        "1\n2\n",
    ] {
        let error = guess_in(text, Given::default()).unwrap_err();
        assert!(
            matches!(error, IngestError::NoHeader { .. }),
            "{text}: {error}"
        );
        assert!(error.hint().contains("every column a name"));
    }
    for (text, line) in [("\"a,b\nc,d\n", 1), ("\n\n\"a,b\nc,d\n", 3)] {
        match guess_in(text, Given::default()) {
            Err(IngestError::UnclosedQuote { line_number, .. }) => assert_eq!(line_number, line),
            _ => panic!("{text}"),
        }
    }
    for text in ["", "\n\n", ",,,\n,,,\n", "sep=,\n"] {
        let error = guess_in(text, Given::default()).unwrap_err();
        assert!(
            matches!(error, IngestError::Empty { .. }),
            "{text}: {error}"
        );
    }
}

#[test]
fn names_with_numbers_in_them_are_names() {
    let text = "Device 1,Device 2,Age 90+,Q1,24h outcome,May,T,Hb (g/dl)\n";
    let rows = "net,,91,1,x,2,3,11.2\n".repeat(5);
    check(&format!("{text}{rows}"), b',', 1, 8, Certainty::Sure);
}

#[test]
fn the_sample_of_the_repository_is_guessed() {
    for file in ["cases.csv", "passes.csv"] {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("sample_data");
        let text = std::fs::read(folder.join(file)).unwrap();
        let header = text.split(|byte| *byte == b'\n').next().unwrap();
        let columns = header.iter().filter(|byte| **byte == b';').count() + 1;
        let guess = guess_in(&text, Given::default()).unwrap();
        assert_eq!(guess.dialect.separator, b';');
        assert_eq!(guess.dialect.headings.len(), columns);
        assert_eq!(guess.certainty, Certainty::Sure);
    }
}

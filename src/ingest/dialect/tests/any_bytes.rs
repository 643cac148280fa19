//! Laws that hold for every table, with the csv crate as the other program, and for any bytes.

use super::{Given, Sample, find, find_in, guess, header_rows, sample, separator, texts, wanted};
use csv::{ByteRecord, ReaderBuilder, Terminator, WriterBuilder};
use proptest::prelude::*;

/// Bytes that make the grammar, more often than chance would.
fn csv_bytes() -> impl Strategy<Value = Vec<u8>> {
    let piece = prop_oneof![
        Just(b",".to_vec()),
        Just(b";".to_vec()),
        Just(b"\t".to_vec()),
        Just(b"\"".to_vec()),
        Just(b"\n".to_vec()),
        Just(b"\r".to_vec()),
        Just(b"\r\n".to_vec()),
        Just(b"sep=".to_vec()),
        Just(b"Case".to_vec()),
        Just(b"Site".to_vec()),
        Just(b"\xef\xbb\xbf".to_vec()),
        Just("\u{a0}".as_bytes().to_vec()),
        Just(b"12".to_vec()),
        proptest::collection::vec(any::<u8>(), 0..4),
    ];
    proptest::collection::vec(piece, 0..60).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn no_bytes_cause_a_panic(
        bytes in csv_bytes(),
        is_whole: bool,
        given in prop_oneof![
            Just(Given::default()),
            Just(separator(b',')),
            Just(header_rows(2)),
            Just(Given { quote: Some(b','), ..Given::default() }),
        ],
    ) {
        let sample = Sample { is_whole, ..sample(&bytes) };
        let (one, two) = (wanted(&["Case"]), wanted(&["Site", "Case / Site"]));
        for wanted in [&[], one.as_slice(), &two] {
            match find(&sample, &given, wanted) {
                Ok(dialect) => {
                    prop_assert!(dialect.rows_offset <= bytes.len());
                    prop_assert_eq!(dialect.places.len(), wanted.len());
                    for (place, wanted) in dialect.places.iter().zip(wanted) {
                        let text = dialect.headings[*place].text().to_lowercase();
                        prop_assert_eq!(
                            text.split_whitespace().collect::<Vec<_>>().join(" "),
                            wanted.heading.to_lowercase()
                        );
                    }
                    prop_assert!(dialect.header_line < dialect.rows_line || dialect.rows_offset == bytes.len());
                }
                Err(error) => prop_assert!(!error.to_string().is_empty()),
            }
        }
        if let Ok(guess) = guess(&sample, &given) {
            prop_assert!(guess.dialect.rows_offset <= bytes.len());
            prop_assert!(guess.rows_alike <= guess.rows_seen);
        }
    }

    #[test]
    fn tables_of_the_csv_crate_come_back(
        rows in proptest::collection::vec(
            proptest::collection::vec("[a-z\"',;|\t\n\r é]{0,6}", 3),
            0..5
        ),
        separator in prop_oneof![Just(b','), Just(b';'), Just(b'\t'), Just(b'|')],
        is_crlf: bool,
        titles in 0_usize..3,
    ) {
        let headings = ["The, case", "a;\"b\"|", "\tCalled\nat"];
        let terminator = if is_crlf { Terminator::CRLF } else { Terminator::Any(b'\n') };
        let mut writer = WriterBuilder::new()
            .delimiter(separator)
            .terminator(terminator)
            .from_writer(b"title, of; cases\n".repeat(titles));
        writer.write_record(headings).unwrap();
        for row in &rows {
            writer.write_record(row).unwrap();
        }
        let text = writer.into_inner().unwrap();
        let dialect = find_in(&text, Given::default(), &headings).unwrap();
        prop_assert_eq!(dialect.separator, separator);
        prop_assert_eq!(dialect.header_line, titles as u64 + 1);
        let expected: Vec<&str> = headings.iter().map(|text| text.trim()).collect();
        prop_assert_eq!(texts(&dialect), expected);
        // One heading holds a line break.
        prop_assert_eq!(dialect.rows_line, titles as u64 + 3);
        let mut reader = ReaderBuilder::new()
            .has_headers(false)
            .delimiter(separator)
            .from_reader(&text[dialect.rows_offset..]);
        let read: Vec<ByteRecord> = reader.byte_records().map(Result::unwrap).collect();
        let rows: Vec<ByteRecord> = rows.iter().map(|row| row.iter().collect()).collect();
        prop_assert_eq!(read, rows);
    }
}

#[test]
fn a_hundred_open_quotes_in_a_large_sample_end() {
    // Each line opens a quote under one separator or another, so each row reaches to the end.
    let text = format!("{}{}", "a;\"\n;\"b\n".repeat(60), "x;\n".repeat(50_000));
    assert!(find_in(&text, Given::default(), &["Case"]).is_err());
}

use super::*;
use proptest::prelude::{any, prop, proptest};

const COMMA: Grammar = Grammar {
    separator: b',',
    quote: b'"',
};

fn rows(text: &[u8], first_line: u64) -> Vec<(u64, Vec<Vec<u8>>)> {
    let block = Block {
        first_line,
        bytes: text.to_vec(),
    };
    let mut rows = Vec::new();
    RowReader::new(COMMA).each_row(&block, |row| {
        let cells = row
            .cells_from(0)
            .map(|cell| cell.bytes().to_vec())
            .collect();
        rows.push((row.line_number, cells));
    });
    rows
}

/// Rows with their lines, in a text that reads `|` as a cell end.
#[track_caller]
fn check(text: &str, expected: &[(u64, &str)]) {
    let found: Vec<_> = rows(text.as_bytes(), 1)
        .into_iter()
        .map(|(line, cells)| {
            let cells = cells
                .into_iter()
                .map(|cell| String::from_utf8(cell).unwrap());
            (line, cells.collect::<Vec<_>>().join("|"))
        })
        .collect();
    let expected: Vec<_> = expected
        .iter()
        .map(|(line, cells)| (*line, (*cells).to_string()))
        .collect();
    assert_eq!(found, expected, "{text:?}");
}

#[test]
fn rows_start_after_whole_line_ends_and_blank_lines() {
    check("ab\ncd\nef", &[(1, "ab"), (2, "cd"), (3, "ef")]);
    check("ab\r\ncd\r\nef\r\n", &[(1, "ab"), (2, "cd"), (3, "ef")]);
    check("ab\rcd\ref", &[(1, "ab"), (2, "cd"), (3, "ef")]);
    check("\n\nab\n\n\ncd\n", &[(3, "ab"), (6, "cd")]);
    check("ab\r\n\r\n\r\ncd\r\n", &[(1, "ab"), (4, "cd")]);
    check("\n\nab,\"c\nd\"\nef", &[(3, "ab|c\nd"), (5, "ef")]);
    check("a,\"b\r\nb\"\r\nc", &[(1, "a|b\r\nb"), (3, "c")]);
}

#[test]
fn quotes_belong_to_the_grammar_or_to_the_text() {
    check(
        "\"a \"\"b\"\"\",5\" scope,,\n",
        &[(1, "a \"b\"|5\" scope||")],
    );
}

#[test]
fn long_rows_and_long_cells_fit() {
    let cell = "x".repeat(10_000);
    let row = vec![cell.as_str(); 300].join(",");
    let found = rows(row.as_bytes(), 9);
    assert_eq!((found.len(), found[0].0, found[0].1.len()), (1, 9, 300));
    assert!(found[0].1.iter().all(|read| read == cell.as_bytes()));
}

proptest! {
    /// The csv crate reads the same rows on the same lines, where a line break is one byte.
    #[test]
    fn the_csv_crate_agrees(bytes in prop::collection::vec(
        prop::sample::select(b"ab,\"\n".to_vec()), 0..40
    )) {
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .from_reader(bytes.as_slice());
        let mut expected = Vec::new();
        for record in reader.byte_records() {
            let cells: Vec<_> = record.unwrap().iter().map(<[u8]>::to_vec).collect();
            expected.push(cells);
        }
        let found: Vec<_> = rows(&bytes, 1).into_iter().map(|(_, cells)| cells).collect();
        assert_eq!(found, expected);
    }

    #[test]
    fn no_bytes_are_too_wild(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let lines = 1 + line_ends(&bytes);
        for (line, _) in rows(&bytes, 1) {
            assert!(line <= lines);
        }
    }
}

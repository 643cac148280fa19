use super::*;

const COMMA: Grammar = Grammar {
    separator: b',',
    quote: b'"',
};

/// The blocks of a text in pieces of so many bytes.
fn blocks(text: &str, block_bytes: usize) -> Result<Vec<(u64, String)>, BlockFault> {
    let mut blocks = Blocks::new(text.as_bytes(), COMMA, 1);
    blocks.block_bytes = block_bytes;
    let mut found = Vec::new();
    while let Some(block) = blocks.next(Vec::new())? {
        let text = String::from_utf8(block.bytes).expect("cut between characters");
        found.push((block.first_line, text));
    }
    Ok(found)
}

/// Whatever the size of a block, blocks begin where rows begin.
#[track_caller]
fn check(rows: &[&str]) {
    let text = rows.concat();
    for block_bytes in 1..=text.len() + 1 {
        let blocks = blocks(&text, block_bytes).expect("whole rows");
        let joined: String = blocks.iter().map(|(_, text)| text.as_str()).collect();
        assert_eq!(joined, text, "in blocks of {block_bytes}");
        let mut starts = vec![(1, 0)];
        let (mut line, mut offset) = (1, 0);
        for row in rows {
            line += line_ends(row.as_bytes());
            offset += row.len();
            starts.push((line, offset));
        }
        let mut offset = 0;
        for (first_line, text) in blocks {
            assert!(
                starts.contains(&(first_line, offset)),
                "{text:?} in blocks of {block_bytes}"
            );
            offset += text.len();
        }
    }
}

#[test]
fn blocks_begin_with_rows() {
    check(&["a,b\n", "c,d\n", "e,f"]);
    check(&["a,b\r\n", "c,d\r\n", "\r\n", "e,f\r\n"]);
    check(&["a,b\r", "c,d\r", "e,f\r"]);
}

#[test]
fn a_line_break_inside_a_quote_ends_no_row() {
    check(&["a,\"b\nb\"\n", "\"c\r\nc\",d\n", "e,f\n"]);
    check(&["\"a \"\"b\"\"\n\",c\n", "\"\"\"\n\"\"\",d\n"]);
}

#[test]
fn a_quote_inside_a_cell_opens_nothing() {
    check(&["5\" scope,b\n", "c,d\n", "6\" scope,\"e\nf\"\n", "g,h\n"]);
    check(&["\"a\"b\"c,d\n", "e,f\n"]);
}

#[test]
fn a_quote_that_never_closes_is_told_by_the_row_in_which_it_opens() {
    for block_bytes in 1..40 {
        let fault = blocks("a,b\nc,\"d\ne,f\ng,h\n", block_bytes).expect_err("an open quote");
        assert!(
            matches!(fault, BlockFault::UnclosedQuote { line_number: 2 }),
            "{fault:?} in blocks of {block_bytes}"
        );
    }
}

#[test]
fn a_row_without_end_is_not_waited_for() {
    let endless = io::repeat(b'x');
    let mut blocks = Blocks::new(endless, COMMA, 7);
    let fault = blocks.next(Vec::new()).err().expect("no end");
    assert!(matches!(fault, BlockFault::EndlessRow { line_number: 7 }));
    let quote_then_lines = (&b"a,b\n\""[..]).chain(io::repeat(b'\n'));
    let mut blocks = Blocks::new(quote_then_lines, COMMA, 1);
    let first = blocks.next(Vec::new()).expect("one row").expect("one row");
    assert_eq!(first.bytes, b"a,b\n");
    let fault = blocks.next(Vec::new()).err().expect("no end");
    assert!(matches!(fault, BlockFault::EndlessRow { line_number: 2 }));
}

#[test]
fn lines_end_at_feeds_returns_and_both() {
    assert_eq!(line_ends(b"a\nb\r\nc\rd"), 3);
    assert_eq!(line_ends(b"\r\r\n\n"), 3);
}

//! Rows below a header that are no cases: totals, footers, remarks. Knows no column.

/// Words that begin a total, a footer or a remark; the longer before the shorter.
const BEGINNINGS: &[&str] = &[
    "grand total",
    "grand totals",
    "total",
    "totals",
    "subtotal",
    "subtotals",
    "sub-total",
    "sub-totals",
    "sub total",
    "sum",
    "average",
    "averages",
    "avg",
    "mean",
    "median",
    "minimum",
    "maximum",
    "count",
    "counts",
    "rows",
    "row count",
    "records",
    "record count",
    "exported",
    "generated",
    "printed",
    "created",
    "report",
    "page",
    "end of",
    "legend",
    "note",
    "notes",
    "remark",
    "remarks",
    "footnote",
    "footnotes",
    "source",
    "sources",
];

/// Words after a number that make it a count of rows: `25 rows`, `(312 records affected)`.
const COUNTED: &[&str] = &[
    "row", "rows", "record", "records", "case", "cases", "entries",
];

/// Whether a row is a total, a footer or a remark rather than a case, or holds nothing, as the rows
/// that spreadsheets leave below a table.
///
/// Only asked about rows that failed otherwise, below a header of several columns: a row with one
/// filled cell is a remark there. Words count only as words: `Total: 25`, not `Total25`, and not
/// `SUM-001`, which is a number of a case.
pub(in crate::ingest) fn is_summary_row<'a>(cells: impl Iterator<Item = &'a [u8]>) -> bool {
    let mut filled = cells.map(trim).filter(|cell| !cell.is_empty());
    match filled.next() {
        None => true,
        Some(first) => begins_summary(first) || filled.next().is_none(),
    }
}

/// Without white space and non-breaking spaces around it.
fn trim(mut cell: &[u8]) -> &[u8] {
    loop {
        let trimmed = cell.trim_ascii();
        let trimmed = trimmed.strip_prefix(b"\xc2\xa0").unwrap_or(trimmed);
        let trimmed = trimmed.strip_suffix(b"\xc2\xa0").unwrap_or(trimmed);
        if trimmed.len() == cell.len() {
            return cell;
        }
        cell = trimmed;
    }
}

fn begins_summary(cell: &[u8]) -> bool {
    // Footers are set off by signs: `--- End of report ---`, `(25 rows)`, `# Note`, `* Source`.
    let signs = cell
        .iter()
        .take_while(|byte| byte.is_ascii_punctuation() || byte.is_ascii_whitespace())
        .count();
    let text = &cell[signs..];
    if BEGINNINGS
        .iter()
        .any(|word| rest_after(text, word).is_some_and(ends_word))
    {
        return true;
    }
    if let Some(rest) = rest_after(text, "n") {
        return rest.trim_ascii_start().first() == Some(&b'=');
    }
    let digits = text.iter().take_while(|byte| byte.is_ascii_digit()).count();
    let rest = &text[digits..];
    let counted = rest.trim_ascii_start();
    digits > 0
        && counted.len() < rest.len()
        && COUNTED
            .iter()
            .any(|word| rest_after(counted, word).is_some_and(ends_word))
}

/// What follows a word at the beginning of a text, in any case.
fn rest_after<'a>(text: &'a [u8], word: &str) -> Option<&'a [u8]> {
    let (start, rest) = text.split_at_checked(word.len())?;
    start.eq_ignore_ascii_case(word.as_bytes()).then_some(rest)
}

/// Whether a word ends before this text. A hyphen, a letter or a digit would go on with it.
fn ends_word(rest: &[u8]) -> bool {
    match rest {
        [] | [0xc2, 0xa0, ..] => true,
        [byte, ..] => byte.is_ascii_whitespace() || b":=(),.;*/".contains(byte),
    }
}

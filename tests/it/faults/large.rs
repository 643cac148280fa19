//! Faults far down in files of several blocks, and beyond the sample: lines must be exact there too.

use super::Input;
use crate::bad_input::{GOOD, HEADER};
use std::fmt::Write as _;

/// Bytes of a block that one thread parses, and of the sample that proves forms.
const BLOCK: usize = 1 << 20;
const SAMPLE: usize = 4 << 20;

/// Good rows until the text has at least so many bytes; the number of the next line.
fn filled(text: &mut String, bytes: usize, first_line: u64) -> u64 {
    let mut line = first_line;
    while text.len() < bytes {
        writeln!(
            text,
            "K{line},Alder,Food,2026-03-01 10:00,2026-03-01 11:00,2026-03-01 11:20,Meat"
        )
        .unwrap();
        line += 1;
    }
    line
}

#[test]
fn faults_at_the_borders_of_blocks() {
    let mut text = HEADER.to_owned();
    let line = filled(&mut text, BLOCK - 150, 2);
    // A quoted cell of three lines across the border, then a doubled quote on either side of it.
    let cell = format!("\"SECRET\n{}\"\"\n\"\"end\"", "x".repeat(300));
    writeln!(text, "Q1,Alder,Food,2026-03-01 10:00,,,{cell}").unwrap();
    let next = filled(&mut text, 2 * BLOCK - 40, line + 3);
    writeln!(
        text,
        "Q2,Alder,Food,2026-03-01 10:00,,,\"{}\"",
        "\"\"SECRET\"\"".repeat(30)
    )
    .unwrap();
    let last = filled(&mut text, 3 * BLOCK, next + 1);
    writeln!(text, "Q3,Alder,Food,2026-03-01 10:00,,,SECRET").unwrap();
    // Each row but Q1 takes one line, and Q1 three.
    let rows = last - 1 - 2;
    let issues = [line, next, last].map(|line| format!("C02 object_type, line {line}"));
    let issues: Vec<&str> = issues.iter().map(String::as_str).collect();
    for threads in ["--threads 1", "--threads 3"] {
        Input::of("three rows").cases(&text).with(threads).ends(
            0,
            &format!("{rows} = {rows} + 0 + 0"),
            &issues,
        );
    }
    let crlf = text.replace('\n', "\r\n");
    Input::of("the same of Windows").cases(crlf).ends(
        0,
        &format!("{rows} = {rows} + 0 + 0"),
        &issues,
    );
    let cr = text.replace('\n', "\r");
    Input::of("the same with CR alone").cases(cr).ends(
        0,
        &format!("{rows} = {rows} + 0 + 0"),
        &issues,
    );
}

#[test]
fn a_doubled_quote_is_cut_by_a_border_at_every_offset() {
    for offset in 0..4 {
        let mut text = HEADER.to_owned();
        let line = filled(&mut text, BLOCK - 400, 2);
        let head = "Q1,Alder,Food,2026-03-01 10:00,,,";
        // So many letters that the first of the two quotes is byte number BLOCK - 2 + offset.
        let header = HEADER.len();
        let before = header + BLOCK - 2 + offset - text.len() - head.len() - 1;
        writeln!(text, "{head}\"{}\"\"SECRET\"", "x".repeat(before)).unwrap();
        writeln!(text, "Q2,Alder,Food,2026-03-01 10:00,,,SECRET").unwrap();
        let rows = line;
        Input::of("a doubled quote at a border").cases(&text).ends(
            0,
            &format!("{rows} = {rows} + 0 + 0"),
            &[
                &format!("C02 object_type, line {line}"),
                &format!("C02 object_type, line {}", line + 1),
            ],
        );
    }
}

#[test]
fn orders_of_day_and_month_that_contradict_the_sample() {
    let mut text = HEADER.to_owned();
    let mut line = 2;
    while text.len() < SAMPLE + BLOCK {
        writeln!(
            text,
            "K{line},Alder,Food,03/{:02}/2026 20:00,,,Meat",
            line % 28 + 1
        )
        .unwrap();
        line += 1;
    }
    let contradicted = format!(
        "{text}SECRET,Alder,Food,13/03/2026 20:00,,,Meat\nSECRET2,Alder,Food,14/03/2026 20:00,,,Meat\n"
    );
    Input::of("day first, far down").times_by_cells().cases(&contradicted).refused(
        &format!("`cases.csv`, line {line}: `called_at` has day and month the other way round than its first rows prove, here and in 2 cells in all"),
        "if two systems wrote this file, split it",
    );
    let rows = line - 1;
    let read = format!("{rows} = {} + 1 + 0", rows - 1);
    Input::of("another form, far down")
        .times_by_cells()
        .cases(format!("{text}SECRET,Alder,Food,2026-03-13 20:00,,,Meat\n"))
        .ends(
            0,
            &read,
            &[
                &format!("C03 called_at, line {line}"),
                &format!("R04 line {line}"),
            ],
        );
}

#[test]
fn rows_without_an_end() {
    let mut text = HEADER.to_owned();
    let line = filled(&mut text, BLOCK, 2);
    let endless = format!(
        "{text}SECRET,Alder,Food,2026-03-01 10:00,,,{}",
        "x".repeat(20 * BLOCK)
    );
    Input::of("a row of 20 MiB").cases(endless).refused(
        &format!("`cases.csv`, line {line}: this row does not end within 16 MiB"),
        "look for a quote that opens on this line",
    );
    let mut open = format!("{text}SECRET,Alder,Food,2026-03-01 10:00,,,\"");
    filled(&mut open, 20 * BLOCK, 0);
    Input::of("a quote that does not close for 20 MiB")
        .cases(open)
        .refused(
            &format!("line {line}: this row does not end within 16 MiB"),
            "look for a quote that opens on this line",
        );
    Input::of("a header without an end").cases(format!("SECRET{}", "x".repeat(5 * BLOCK))).refused(
        "`cases.csv`, line 1: this row does not end within the first 4 MiB, so no header was found",
        "check that the file has line ends",
    );
    Input::of("blanks without an end")
        .cases(" ".repeat(5 * BLOCK))
        .refused("`cases.csv`", "");
}

#[test]
fn rows_and_headers_of_very_many_cells() {
    let header = HEADER.trim_end();
    let good = GOOD.trim_end();
    let columns = |count: usize| format!("{header}{}\n{good}\n", ",x".repeat(count - 7));
    Input::of("as many columns as a spreadsheet has")
        .set("short_rows = \"blank\"")
        .cases(columns(16_384))
        .ends(0, "1 = 1 + 0 + 0", &["R15 line 2"]);
    Input::of("one column more").cases(columns(16_385)).refused(
        "`cases.csv`, line 1: the header has more than 16384 columns",
        "its rows are not written as columns",
    );
    Input::of("a million columns, none of them wanted")
        .cases(format!("SECRET{}\n", ",x".repeat(999_999)))
        .refused(
            "the header has more than 16384 columns",
            "check that the file has line ends",
        );
    let blanks = ",".repeat(300_000);
    Input::rows(
        "a row of blanks",
        format!("K2,Alder,Food,2026-03-01 10:00,,,Meat{blanks}\n"),
    )
    .ends(0, "2 = 2 + 0 + 0", &[]);
    Input::rows(
        "a row of blanks with a quote",
        format!("K2,Alder,Food,2026-03-01 10:00,,,\"Meat\"{blanks}\n"),
    )
    .ends(0, "2 = 2 + 0 + 0", &[]);
    Input::rows(
        "a word after a quote and many blanks",
        format!("K2,Alder,Food,2026-03-01 10:00,,,\"Meat\"{blanks}SECRET\n"),
    )
    .ends(1, "2 = 1 + 1 + 0", &["R01 line 3"]);
    Input::rows(
        "a word after many blanks",
        format!("K2,Alder,Food,2026-03-01 10:00,,,Meat{blanks}SECRET\n"),
    )
    .ends(1, "2 = 1 + 1 + 0", &["R01 line 3"]);
}

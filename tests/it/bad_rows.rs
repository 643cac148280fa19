//! Faults of rows and cells: each is an issue with its code and line, and no row is lost.

use crate::bad_input::{GOOD, HEADER, MAPPING, check_refused, with_cases};
use crate::run::Ended;

/// Checks a file of the good row and one bad row, both with a word that must not show up.
#[track_caller]
fn check_issue(bad_row: &str, code: &str, place: &str, rows: &str, exit_code: i32) -> Ended {
    let run = with_cases(format!("{HEADER}{GOOD}{bad_row}"));
    let ended = run.on_files("check");
    assert_eq!(ended.code, exit_code, "{}{}", ended.stdout, ended.stderr);
    assert!(
        ended.stdout.contains(&format!("[{code}]: ")),
        "{}",
        ended.stdout
    );
    assert!(ended.stdout.contains(place), "{}", ended.stdout);
    assert!(ended.stdout.contains(rows), "{}", ended.stdout);
    assert!(!format!("{}{}", ended.stdout, ended.stderr).contains("SECRET"));
    ended
}

#[test]
fn a_word_that_the_mapping_does_not_know() {
    check_issue(
        "K2,Alder,Food,2026-03-01 10:00,,,SECRET\n",
        "C02",
        "cases.csv, `object_type`, line 3",
        "2 rows read = 2 accepted + 0 set aside + 0 duplicates",
        1,
    );
}

#[test]
fn a_day_that_does_not_exist() {
    check_issue(
        "K2,Alder,Food,2026-03-01 10:00,2026-02-31 11:00,,Meat\n",
        "C03",
        "cases.csv, `scope_in_at`, line 3",
        "2 rows read = 2 accepted + 0 set aside + 0 duplicates",
        1,
    );
    // Without a usable call the row cannot be placed in a month.
    let ended = check_issue(
        "SECRET,Alder,Food,SECRET,,,Meat\n",
        "R04",
        "cases.csv, line 3",
        "2 rows read = 1 accepted + 1 set aside + 0 duplicates",
        1,
    );
    assert!(
        ended
            .stderr
            .contains("50.0% of the rows of the cases export were set aside")
    );
}

#[test]
fn an_hour_that_the_clocks_skip() {
    check_issue(
        "K2,Alder,Food,2026-03-08 01:50,2026-03-08 02:30,2026-03-08 03:20,Meat\n",
        "C04",
        "cases.csv, `scope_in_at`, line 3",
        "2 accepted",
        1,
    );
}

#[test]
fn scope_out_before_scope_in() {
    let bad = "K2,Alder,Food,2026-03-01 10:00,2026-03-01 11:00,2026-03-01 10:50,Meat\n";
    check_issue(
        bad,
        "T01",
        "cases.csv, `scope_in_at` to `scope_out_at`, line 3",
        "2 accepted",
        0,
    );
    let run = with_cases(format!("{HEADER}{GOOD}{bad}"));
    assert_eq!(run.on_files("review --out out").code, 0);
    let rows = run.table("out/tables/findings.csv");
    let at = ["all", "all", "all", "median"];
    let duration = crate::run::Finding::at(&rows, "scope_in_to_out", at);
    assert_eq!(
        (duration.count("cases"), duration.count("excluded")),
        (1, 1)
    );
    assert_eq!(
        crate::run::Finding::at(&rows, "call_to_scope", at).count("cases"),
        2
    );
}

#[test]
fn a_repeated_case_and_one_that_says_something_else() {
    let twice = check_issue(
        GOOD,
        "R05",
        "cases.csv, line 3",
        "1 accepted + 0 set aside + 1 duplicate",
        0,
    );
    assert!(twice.stdout.contains("the earlier row stands for both"));
    check_issue(
        &GOOD.replace("Meat", ""),
        "R06",
        "cases.csv, line 3",
        "1 accepted + 1 set aside + 0 duplicates",
        1,
    );
}

#[test]
fn rows_without_number_or_reason_or_with_too_many_cells() {
    let bad = [
        (GOOD.replace("K1", ""), "R02"),
        (GOOD.replace("K1", "K2").replace("Food", "SECRET"), "R03"),
        (
            GOOD.replace("K1", "K2").replace("Meat", "Meat,SECRET"),
            "R01",
        ),
        (GOOD.replace("K1", "K2").replace(",Meat", ""), "R01"),
    ];
    for (row, code) in bad {
        check_issue(
            &row,
            code,
            "line 3",
            "1 accepted + 1 set aside + 0 duplicates",
            1,
        );
    }
}

#[test]
fn bytes_that_are_not_text() {
    let mut bytes = format!("{HEADER}{GOOD}K2,Alder,Food,2026-03-01 10:00,,,").into_bytes();
    bytes.extend(b"Fl\xe4che\n");
    let run = with_cases(&bytes);
    // Every byte is a letter in Windows-1252, so the word is read and not known.
    let ended = run.on_files("check");
    assert_eq!(ended.code, 1, "{}", ended.stderr);
    assert!(ended.stdout.contains("[C02]: "), "{}", ended.stdout);
    assert!(ended.stdout.contains("windows-1252 (found)"));
    let mapping = MAPPING.replace("[cases]", "[cases]\nencoding = \"utf-8\"");
    run.file("mapping.toml", mapping);
    let ended = run.on_files("check");
    assert_eq!(ended.code, 1, "{}", ended.stderr);
    assert!(ended.stdout.contains("[C01]: "), "{}", ended.stdout);
    assert!(ended.stdout.contains("cases.csv, `object_type`, line 3"));
}

#[test]
fn line_numbers_count_line_breaks_inside_quotes() {
    let bad = "\"K\n2\",Alder,Food,2026-03-01 10:00,,,\"Meat\"\nK3,Alder,Food,2026-03-01 10:00,,,SECRET\n";
    let ended = check_issue(bad, "C02", "`object_type`, line 5", "3 accepted", 1);
    assert!(ended.stdout.contains("issues  1 in 1 row\n"));
}

#[test]
fn passes_without_a_case_twice_or_without_a_number() {
    let run = with_cases(format!("{HEADER}{GOOD}"));
    run.file(
        "passes.csv",
        "Case,Pass,Device\nK1,1,net\nSECRET,1,net\nK1,1,net\nK1,1,snare\nK1,two,net\nK1,2,SECRET\n",
    );
    let ended = run.on_files("check");
    assert_eq!(ended.code, 1);
    let text = format!("{}{}", ended.stdout, ended.stderr);
    for (code, line) in [("R07", 3), ("R05", 4), ("R06", 5), ("C02", 7), ("C05", 6)] {
        assert!(text.contains(&format!("[{code}]: ")), "{code}\n{text}");
        assert!(text.contains(&format!("line {line}")), "{code}\n{text}");
    }
    assert!(
        text.contains("6 rows read = 3 accepted + 2 set aside + 1 duplicate"),
        "{text}"
    );
    assert!(!text.contains("SECRET"));
}

#[test]
fn no_row_that_can_be_used() {
    let run = with_cases(format!("{HEADER}{}", GOOD.replace("Food", "SECRET")));
    check_refused(
        &run,
        "none of the 1 rows of the cases export could be used",
        "scopetally check",
    );
    // The check itself says what is wrong first.
    let ended = run.on_files("check");
    assert!(
        ended.stdout.contains("[R03]: ") && ended.stdout.contains("line 2"),
        "{}",
        ended.stdout
    );
    assert!(
        ended
            .stdout
            .contains("1 row read = 0 accepted + 1 set aside")
    );
}

#[test]
fn a_quote_that_never_closes_swallows_no_row() {
    let open = GOOD.replace("K1", "K2").replace("Meat", "\"Meat");
    let later = GOOD.replace("K1", "K3");
    let run = with_cases(format!("{HEADER}{GOOD}{open}{later}"));
    check_refused(
        &run,
        "`cases.csv`, line 3: a quote opens in this row and never closes",
        "close the quote",
    );
    let run = with_cases(format!("\"{HEADER}{GOOD}"));
    check_refused(&run, "line 1: a quote opens", "close the quote");
    // Closed by a quote far below: the rows between stand in one cell, which is seen by its length.
    let between: String = (3..20)
        .map(|n| GOOD.replace("K1", &format!("K{n}")))
        .collect();
    let closing = GOOD.replace("K1", "K99").replace("Meat", "\"");
    let run = with_cases(format!("{HEADER}{GOOD}{open}{between}{closing}"));
    let ended = run.on_files("check");
    assert!(
        ended.stdout.contains("[R08]: ") && ended.stdout.contains("cases.csv, line 3"),
        "{}",
        ended.stdout
    );
}

#[test]
fn line_numbers_are_those_of_an_editor() {
    let bad = GOOD.replace("K1", "K2").replace("Meat", "SECRET");
    for (file, line) in [
        (format!("{HEADER}{GOOD}{bad}"), 3),
        (format!("{HEADER}{GOOD}{bad}").replace('\n', "\r\n"), 3),
        (format!("{HEADER}\n\n{GOOD}\n{bad}\n\n"), 6),
        (
            format!("{HEADER}\n\n{GOOD}\n{bad}\n\n").replace('\n', "\r\n"),
            6,
        ),
        (
            format!("\u{feff}{HEADER}{GOOD}{bad}").replace('\n', "\r\n"),
            3,
        ),
        (format!("{HEADER}{GOOD}{bad}").replace('\n', "\r"), 3),
        (format!("{HEADER}{GOOD}{}", bad.trim_end()), 3),
    ] {
        let ended = with_cases(&file).on_files("check");
        assert!(
            ended
                .stdout
                .contains(&format!("`object_type`, line {line}\n")),
            "{file:?}\n{}",
            ended.stdout
        );
        assert!(
            ended.stdout.contains("2 rows read = 2 accepted"),
            "{file:?}\n{}",
            ended.stdout
        );
    }
}

#[test]
fn a_case_without_a_site() {
    let row = GOOD.replace("K1", "K2").replace("Alder", "");
    check_issue(
        &row,
        "C09",
        "cases.csv, `site`, line 3",
        "2 rows read = 2 accepted",
        1,
    );
}

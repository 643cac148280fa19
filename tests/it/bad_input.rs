//! Bad input: each fault ends in a message that says where and what to do, with the exit code of
//! the README, and without the content of a cell.

use crate::run::{Ended, Run};

const MAPPING: &str = r#"
[cases]
time_form = "clock"
time_zone = "America/Chicago"
time_format = "%Y-%m-%d %H:%M"
[cases.columns]
case_id = "Case"
site = "Site"
presentation = "Reason"
called_at = "Called"
scope_in_at = "In"
scope_out_at = "Out"
object_type = "Object"
[cases.codes.presentation]
"Food" = "food_impaction"
[cases.codes.object_type]
"Meat" = "food_bolus"
[passes.columns]
case_id = "Case"
pass_number = "Pass"
device = "Device"
"#;

const HEADER: &str = "Case,Site,Reason,Called,In,Out,Object\n";
const GOOD: &str = "K1,Alder,Food,2026-03-01 10:00,2026-03-01 11:00,2026-03-01 11:20,Meat\n";

fn with_cases(content: impl AsRef<[u8]>) -> Run {
    let run = Run::new();
    run.file("mapping.toml", MAPPING).file("cases.csv", content);
    run
}

#[track_caller]
fn check_refused(run: &Run, message: &str, hint: &str) {
    for command in ["check", "review --out out"] {
        let ended = run.on_files(command);
        assert_eq!(ended.code, 2, "{}{}", ended.stdout, ended.stderr);
        assert!(ended.stderr.starts_with("error: "), "{}", ended.stderr);
        assert!(ended.stderr.contains(message), "{}", ended.stderr);
        assert!(ended.stderr.contains(hint), "{}", ended.stderr);
        assert!(!run.path("out").exists());
    }
}

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
fn a_missing_file() {
    let run = Run::new();
    run.file("mapping.toml", MAPPING);
    check_refused(&run, "cannot read `cases.csv`", "check the path");
    let run = Run::new();
    run.file("cases.csv", HEADER);
    check_refused(&run, "cannot read `mapping.toml`", "check the path");
}

#[test]
fn an_empty_file_and_a_header_without_rows() {
    check_refused(
        &with_cases(""),
        "`cases.csv` is empty",
        "run the export again",
    );
    check_refused(
        &with_cases("\n\n"),
        "`cases.csv` is empty",
        "run the export again",
    );
    check_refused(
        &with_cases(HEADER),
        "a header and no row below it",
        "filter of the export",
    );
}

#[test]
fn a_wrong_separator_is_named() {
    let run = with_cases(format!("{HEADER}{GOOD}").replace(',', ";"));
    check_refused(
        &run,
        "no column `Case`",
        "set `separator = \";\"` in the mapping",
    );
    let run = with_cases(format!("{HEADER}{GOOD}").replace(',', "\t"));
    check_refused(
        &run,
        "its header has 1 columns",
        "set `separator = \"\\t\"`",
    );
}

#[test]
fn a_mapped_column_that_is_missing_or_stands_twice() {
    let run = with_cases(format!("{HEADER}{GOOD}").replace(",Out,", ",Ended,"));
    check_refused(
        &run,
        "no column `Out`, which the mapping gives for `scope_out_at`",
        "correct the heading",
    );
    let run = with_cases(format!("{HEADER}{GOOD}").replace(",Out,", ",In,"));
    check_refused(&run, "the column `In` twice", "different headings");
}

#[test]
fn a_header_that_is_not_text() {
    let mut bytes = b"Case,Site,Rea\xffson,Called,In,Out,Object\n".to_vec();
    bytes.extend(GOOD.bytes());
    check_refused(
        &with_cases(bytes),
        "column 3 of the header is not UTF-8",
        "as UTF-8",
    );
}

/// What is replaced in the mapping, by what, and what the message and its hint then say.
const MAPPING_FAULTS: &[[&str; 4]] = &[
    ["time_zone", "timezone", "line 4", "README"],
    [
        "America/Chicago",
        "Chicago",
        "no IANA time zone",
        "America/Chicago",
    ],
    [
        "object_type = ",
        "objekt = ",
        "`cases.columns.objekt` is no field",
        "the fields are: case_id",
    ],
    [
        "\"Meat\" = \"food_bolus\"",
        "\"Meat\" = \"meat\"",
        "`meat`, which does not exist",
        "food_bolus, bone",
    ],
    [
        "scope_in_at = \"In\"",
        "month = \"In\"",
        "`cases.columns.month` is no field",
        "the fields are",
    ],
    [
        "called_at = \"Called\"\n",
        "",
        "gives no column for `called_at`",
        "[cases.columns]",
    ],
    [
        "time_format = ",
        "separator = \"#\"\ntime_format = ",
        "`cases.separator` is not one of",
        "first line",
    ],
    [
        "[passes.columns]",
        "[period]\nfrom = \"2026-05\"\nto = \"2026-04\"\n[passes.columns]",
        "not two months in order",
        "2026-09",
    ],
    [
        "[passes.columns]",
        "[limits]\nrows_set_aside = 2.0\n[passes.columns]",
        "not a share between 0 and 1",
        "0.02",
    ],
    [
        "device = \"Device\"",
        "",
        "gives no column for `device`",
        "[passes.columns]",
    ],
    [
        "[cases.codes.object_type]",
        "[cases.codes.airway]\n\"T\" = \"intubated\"\n[cases.codes.object_type]",
        "`cases.codes.airway` gives words for a field that has no column",
        "[cases.columns]",
    ],
    [
        "[passes.columns]",
        "[staffed_hours]\nfrom = \"17:00\"\nto = \"08:00\"\n[passes.columns]",
        "is not before",
        "08:00",
    ],
    [
        "[passes.columns]",
        "[staffed_hours]\ndays = [\"monday\"]\n[passes.columns]",
        "no weekday",
        "mon, tue",
    ],
    [
        "[passes.columns]",
        "[windows]\nstart = \"team_at\"\n[passes.columns]",
        "neither `arrived_at` nor `called_at`",
        "arrival",
    ],
    [
        "%H:%M",
        "%I:%M",
        "does not hold a whole date and time of day",
        "%I:%M %p",
    ],
    ["%H:%M", "%Q", "does not hold a whole date", "%Y-%m-%d"],
    [
        "scope_out_at = \"Out\"",
        "scope_out_at = \"In\"",
        "`scope_in_at` and `scope_out_at` read the same column",
        "its own column",
    ],
    [
        "object_type = \"Object\"",
        "",
        "gives words for a field that has no column",
        "`[cases.columns]`",
    ],
    ["[passes.columns]", "[[[", "line 18", "README"],
];

#[test]
fn a_mapping_with_an_unknown_key_or_word() {
    for [from, to, message, hint] in MAPPING_FAULTS {
        assert!(MAPPING.contains(from), "{from}");
        let run = with_cases(format!("{HEADER}{GOOD}"));
        run.file("mapping.toml", MAPPING.replacen(from, to, 1));
        check_refused(&run, message, hint);
    }
}

#[test]
fn a_constant_that_is_no_value_of_its_field() {
    for (constant, message) in [
        ("sex = \"banana\"", "constants.sex"),
        ("sex = \" \"", "constants.sex"),
        ("case_id = \"1\"", "cannot be one value"),
    ] {
        let run = with_cases(format!("{HEADER}{GOOD}"));
        let constants = format!("[cases.constants]\n{constant}\n[cases.codes.presentation]");
        run.file(
            "mapping.toml",
            MAPPING.replacen("[cases.codes.presentation]", &constants, 1),
        );
        check_refused(&run, message, "");
    }
}

#[test]
fn months_outside_the_period_of_the_mapping() {
    let run = with_cases(format!("{HEADER}{GOOD}"));
    run.file(
        "mapping.toml",
        format!("{MAPPING}\n[period]\nfrom = \"2026-03\"\nto = \"2026-05\"\n"),
    );
    let ended = run.on_files("review --out out --to 2026-06");
    assert_eq!(ended.code, 2);
    assert!(
        ended
            .stderr
            .contains("2026-06 lies outside the period of the mapping, 2026-03 to 2026-05"),
        "{}",
        ended.stderr
    );
    assert_eq!(run.on_files("check --to 2026-05").code, 0);
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
            .contains("50.0 % of the rows of the cases export were set aside")
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
        "1 accepted + 0 set aside + 1 duplicates",
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
    let ended = with_cases(bytes).on_files("check");
    assert_eq!(ended.code, 1, "{}", ended.stderr);
    assert!(ended.stdout.contains("[C01]: "), "{}", ended.stdout);
    assert!(ended.stdout.contains("cases.csv, `object_type`, line 3"));
}

#[test]
fn line_numbers_count_line_breaks_inside_quotes() {
    let bad = "\"K\n2\",Alder,Food,2026-03-01 10:00,,,\"Meat\"\nK3,Alder,Food,2026-03-01 10:00,,,SECRET\n";
    let ended = check_issue(bad, "C02", "`object_type`, line 5", "3 accepted", 1);
    assert!(ended.stdout.contains("issues  1 in 1 rows"));
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
        text.contains("6 rows read = 3 accepted + 2 set aside + 1 duplicates"),
        "{text}"
    );
    assert!(!text.contains("SECRET"));
}

#[test]
fn passes_that_the_mapping_does_not_speak_of() {
    let run = with_cases(format!("{HEADER}{GOOD}"));
    let (mapping, _) = MAPPING.split_once("[passes.columns]").unwrap();
    run.file("mapping.toml", mapping)
        .file("passes.csv", "Case,Pass,Device\nK1,1,net\n");
    check_refused(
        &run,
        "the mapping has no `[passes.columns]`",
        "leave `--passes` out",
    );
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
            .contains("1 rows read = 0 accepted + 1 set aside")
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

#[test]
fn exports_of_the_same_name_are_told_apart() {
    let run = with_cases(HEADER);
    run.file("a/cases.csv", format!("{HEADER}{GOOD}"));
    run.file(
        "b/cases.csv",
        format!(
            "{HEADER}{}",
            GOOD.replace("K1", "K2").replace("Meat", "SECRET")
        ),
    );
    let ended = run.run("check --cases a/cases.csv b/cases.csv --mapping mapping.toml");
    assert!(
        ended
            .stdout
            .contains("--> b/cases.csv, `object_type`, line 2"),
        "{}",
        ended.stdout
    );
}

#[test]
fn a_month_or_a_period_outside_the_records() {
    let run = with_cases(format!("{HEADER}{GOOD}"));
    let ended = run.on_files("review --out out --month 2026-04");
    assert_eq!(ended.code, 2);
    assert!(
        ended
            .stderr
            .contains("--month 2026-04 lies outside the records, which cover 2026-03 to 2026-03")
    );
    let ended = run.on_files("review --out out --from 2026-05 --to 2026-04");
    assert!(
        ended
            .stderr
            .contains("--from 2026-05 is after --to 2026-04")
    );
    let ended = run.on_files("check --month nonsense");
    assert_eq!(ended.code, 2);
}

#[test]
fn an_output_directory_that_is_not_ours_or_cannot_be_written() {
    let run = with_cases(format!("{HEADER}{GOOD}"));
    run.file("thesis/chapter.txt", "years of work")
        .file("a_file", "");
    for (out, message) in [
        ("thesis", "is not empty and holds no results of scopetally"),
        ("a_file", "is a file"),
        ("a_file/below", "cannot"),
        (".", "name a directory inside it"),
    ] {
        let ended = run.on_files(&format!("review --out {out}"));
        assert_eq!(ended.code, 2, "{out}");
        assert!(ended.stderr.contains(message), "{}", ended.stderr);
    }
    assert_eq!(run.files_below("thesis").len(), 1);
}

#[test]
fn measures_of_a_site_that_cannot_be_used() {
    let run = with_cases(format!("{HEADER}{GOOD}"));
    let ended = run.on_files("review --out out --measures nowhere");
    assert_eq!(ended.code, 2);
    assert!(
        ended.stderr.contains("cannot read `nowhere`"),
        "{}",
        ended.stderr
    );
    run.file("own/long.sql", "-- id: long\nselect 1");
    let ended = run.on_files("review --out out --measures own");
    assert!(
        ended
            .stderr
            .contains("`long.sql`: the header has no `-- version:` line"),
        "{}",
        ended.stderr
    );
    assert!(!run.path("out").exists());
}

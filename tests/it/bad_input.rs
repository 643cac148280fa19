//! Bad input: each fault ends in a message that says where and what to do, with the exit code of
//! the README, and without the content of a cell.

use crate::run::Run;

pub(crate) const MAPPING: &str = r#"
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

pub(crate) const HEADER: &str = "Case,Site,Reason,Called,In,Out,Object\n";
pub(crate) const GOOD: &str =
    "K1,Alder,Food,2026-03-01 10:00,2026-03-01 11:00,2026-03-01 11:20,Meat\n";

pub(crate) fn with_cases(content: impl AsRef<[u8]>) -> Run {
    let run = Run::new();
    run.file("mapping.toml", MAPPING).file("cases.csv", content);
    run
}

#[track_caller]
pub(crate) fn check_refused(run: &Run, message: &str, hint: &str) {
    for command in ["check", "review --out out"] {
        let ended = run.on_files(command);
        assert_eq!(ended.code, 2, "{}{}", ended.stdout, ended.stderr);
        assert!(ended.stderr.starts_with("error: "), "{}", ended.stderr);
        assert!(ended.stderr.contains(message), "{}", ended.stderr);
        assert!(ended.stderr.contains(hint), "{}", ended.stderr);
        assert!(!run.path("out").exists());
    }
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
    let wrong = |separator: &str| {
        let run = with_cases(format!("{HEADER}{GOOD}").replace(',', separator));
        let given = MAPPING.replace("[cases]", "[cases]\nseparator = \",\"");
        run.file("mapping.toml", given);
        run
    };
    check_refused(
        &wrong(";"),
        "no column `Case`",
        "set `separator = \";\"` in the mapping",
    );
    check_refused(
        &wrong("\t"),
        "its header has 1 columns",
        "set `separator = \"\\t\"`",
    );
    // Without one in the mapping it is found.
    for separator in [";", "\t", "|"] {
        let run = with_cases(format!("{HEADER}{GOOD}").replace(',', separator));
        let ended = run.on_files("check");
        assert_eq!(ended.code, 0, "{}{}", ended.stdout, ended.stderr);
    }
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
    let run = with_cases(bytes);
    run.file(
        "mapping.toml",
        MAPPING
            .replace("[cases]", "[cases]\nencoding = \"utf-8\"")
            .replace("presentation = \"Reason\"\n", "")
            .replace(
                "[cases.codes.presentation]",
                "[cases.constants]\npresentation = \"Food\"\n[cases.codes.presentation]",
            ),
    );
    check_refused(&run, "column 3 of the header is not UTF-8", "as UTF-8");
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

//! `map`: what it proposes for exports of many styles is accepted by `check`, maps what a person
//! would map, says what is left to decide, and tells of nobody.

mod privacy;
mod styles;

use crate::run::{Ended, Run};
use std::fmt::Write as _;

/// Runs `map` on cases.csv, and passes.csv when there is one, into mapping.toml.
#[track_caller]
fn map(run: &Run, options: &str) -> Ended {
    let passes = if run.path("passes.csv").exists() {
        "--passes passes.csv"
    } else {
        ""
    };
    let ended = run.run(&format!(
        "map cases.csv {passes} {options} --out mapping.toml"
    ));
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    ended
}

/// The mapping that was written.
fn mapping(run: &Run) -> String {
    std::fs::read_to_string(run.path("mapping.toml")).expect("a mapping")
}

/// A table of the mapping as `field = value` lines, sorted by field.
fn table(run: &Run, name: &str) -> String {
    let mapping: toml::Table = toml::from_str(&mapping(run)).expect("TOML");
    let mut value = toml::Value::Table(mapping);
    for part in name.split('.') {
        match value.get(part) {
            Some(inner) => value = inner.clone(),
            None => return String::new(),
        }
    }
    let table = value.as_table().expect("a table").clone();
    let mut lines = String::new();
    for (key, value) in table.iter().filter(|(_, value)| !value.is_table()) {
        writeln!(lines, "{key} = {}", shown(value)).expect("a string takes all");
    }
    lines
}

/// A value as TOML writes it.
fn shown(value: &toml::Value) -> String {
    match value {
        toml::Value::String(text) => format!("{text:?}"),
        toml::Value::Array(values) => {
            let values: Vec<String> = values.iter().map(shown).collect();
            format!("[{}]", values.join(", "))
        }
        toml::Value::Integer(number) => number.to_string(),
        other => panic!("no other kind of value is written: {}", other.type_str()),
    }
}

const HOLIDAYS: &str = r#"holidays = [
    "2024-11-28",
    "2024-12-25",
    "2025-01-01",
    "2025-07-04",
    "2025-11-27",
    "2025-12-25",
    "2026-01-01",
    "2026-07-04",
]"#;

#[test]
fn accepting_the_proposal_for_the_sample_gives_the_findings_of_the_sample() {
    let run = Run::of_sample();
    let of_sample = std::fs::read_to_string(run.path("mapping.toml")).unwrap();
    std::fs::remove_file(run.path("mapping.toml")).unwrap();
    map(&run, "--time-zone America/New_York");
    let proposed = mapping(&run);

    let check = run.on_files("check");
    assert_eq!(check.code, 0, "{}", check.stderr);
    assert_eq!(run.on_files("review --out unchanged").code, 0);
    // No export tells when a service has holidays; without them the two mappings say the same.
    assert!(of_sample.contains(HOLIDAYS) && proposed.contains("\nholidays = []"));
    run.file("mapping.toml", of_sample.replace(HOLIDAYS, "holidays = []"));
    assert_eq!(run.on_files("review --out without_holidays").code, 0);
    let findings = |name: &str| std::fs::read(run.path(name).join("tables/findings.csv")).unwrap();
    assert!(findings("unchanged") == findings("without_holidays"));

    // With the holidays filled in, the proposal gives the committed report.
    run.file(
        "mapping.toml",
        proposed.replace("\nholidays = []", &format!("\n{HOLIDAYS}")),
    );
    assert_eq!(run.on_files("review --out with_holidays").code, 0);
    let committed = crate::run::repository("reports/sample/tables/findings.csv");
    assert!(findings("with_holidays") == std::fs::read(committed).unwrap());
}

#[test]
fn every_word_of_a_long_sample_is_proposed_but_the_one_that_is_planted_as_unknown() {
    let run = Run::new();
    assert_eq!(run.run("sample --out . --cases 6000").code, 0);
    let by_sample = run.on_files("check").stdout;
    let words: toml::Table = toml::from_str(&mapping(&run)).unwrap();
    std::fs::rename(run.path("mapping.toml"), run.path("of_sample.toml")).unwrap();
    map(&run, "--time-zone America/New_York");
    let issues = |text: &str| {
        let (_, issues) = text.split_once("\nissues ").expect("a summary of issues");
        let (issues, _) = issues.split_once("\nperiod ").expect("the end of it");
        issues.to_string()
    };
    assert_eq!(issues(&run.on_files("check").stdout), issues(&by_sample));
    // Rare words of the sample may not stand in these rows; those that do have the same code.
    let proposed: toml::Table = toml::from_str(&mapping(&run)).unwrap();
    let mut count = 0;
    for table in ["cases", "passes"] {
        let codes = words[table]["codes"].as_table().unwrap();
        for (field, of_field) in codes {
            for (word, code) in of_field.as_table().unwrap() {
                if let Some(found) = proposed[table]["codes"][field].get(word) {
                    assert_eq!(found, code, "{field}: {word}");
                    count += 1;
                }
            }
        }
    }
    assert!(count > 90, "{count}");
}

#[test]
fn a_mapping_that_exists_is_never_replaced() {
    let run = Run::of_sample();
    let before = mapping(&run);
    let ended = run.run("map cases.csv --out mapping.toml");
    assert_eq!((ended.code, ended.stdout.as_str()), (2, ""));
    assert!(
        ended.stderr.contains("`mapping.toml` exists") && ended.stderr.contains("another --out"),
        "{}",
        ended.stderr
    );
    assert_eq!(mapping(&run), before);
    let ended = run.run("map cases.csv --out nowhere/mapping.toml");
    assert_eq!(ended.code, 2);
    assert!(ended.stderr.contains("cannot create"), "{}", ended.stderr);
}

#[test]
fn without_a_file_the_mapping_alone_is_printed_and_always_the_same() {
    let run = Run::of_sample();
    let printed = run.run("map cases.csv --passes passes.csv");
    assert_eq!((printed.code, printed.stderr.as_str()), (0, ""));
    assert!(toml::from_str::<toml::Table>(&printed.stdout).is_ok());
    std::fs::remove_file(run.path("mapping.toml")).unwrap();
    let ended = map(&run, "");
    assert_eq!(mapping(&run), printed.stdout);
    // What is left to decide stands at the top, and again beside the output.
    let columns: usize = ["cases.csv", "passes.csv"]
        .map(|export| {
            let text = std::fs::read_to_string(run.path(export)).unwrap();
            text.lines().next().unwrap().split(';').count()
        })
        .iter()
        .sum();
    let all = format!("mapping.toml: {columns} of {columns} columns");
    assert!(ended.stdout.contains(&all), "{all}: {}", ended.stdout);
    assert!(ended.stderr.contains("`time_zone`: no export tells"));
    assert!(
        printed
            .stdout
            .contains("#   1. `time_zone`: no export tells")
    );
    // Standard input reads the same.
    let names = |text: &str| text.replace("\"cases.csv\"", "\"-\"");
    let cases = std::fs::read(run.path("cases.csv")).unwrap();
    let from_pipe = run.with_input("map - --passes passes.csv", &cases);
    assert_eq!(from_pipe.stdout, names(&printed.stdout));
}

#[test]
fn without_a_zone_check_says_what_to_do() {
    let run = Run::of_sample();
    std::fs::remove_file(run.path("mapping.toml")).unwrap();
    map(&run, "");
    let check = run.on_files("check");
    assert_eq!(check.code, 2);
    assert!(
        check.stderr.contains("`cases.time_zone` is missing")
            && check.stderr.contains("America/Chicago"),
        "{}",
        check.stderr
    );
    let wrong = run.run("map cases.csv --time-zone Chicago");
    assert_eq!(wrong.code, 2);
    assert!(
        wrong.stderr.contains("no IANA time zone") && wrong.stderr.contains("America/Chicago"),
        "{}",
        wrong.stderr
    );
}

#[test]
fn files_that_cannot_be_read_end_as_everywhere() {
    let run = Run::new();
    run.file("empty.csv", "").file("header.csv", "Case,Site\n");
    for (file, message) in [
        ("none.csv", "cannot read `none.csv`"),
        ("empty.csv", "`empty.csv` is empty"),
        ("header.csv", "a header and no row below it"),
    ] {
        let ended = run.run(&format!("map {file}"));
        assert_eq!((ended.code, ended.stdout.as_str()), (2, ""));
        assert!(ended.stderr.contains(message), "{}", ended.stderr);
    }
    assert_eq!(run.run("map").code, 2);
}

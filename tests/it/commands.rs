//! `measures`, `sample` and the measures of a site, as a user types them.

use crate::run::{Finding, Run};

#[test]
fn measures_are_listed_and_explained() {
    let run = Run::new();
    let listed = run.run("measures");
    assert_eq!(listed.code, 0);
    for definition in scopetally::measure::built_in() {
        assert!(listed.stdout.contains(&definition.id));
        let explained = run.run(&format!("measures {}", definition.id));
        assert_eq!(explained.code, 0);
        for part in [
            &definition.question,
            &definition.eligible,
            &definition.hit,
            &definition.source,
            &definition.sql,
        ] {
            assert!(explained.stdout.contains(part.as_str()), "{part}");
        }
    }
    let unknown = run.run("measures call_to_coffee");
    assert_eq!(unknown.code, 2);
    assert!(
        unknown
            .stderr
            .contains("there is no measure `call_to_coffee`; the measures are: call_to_scope")
    );
}

#[test]
fn a_site_counts_a_measure_of_its_own() {
    let run = Run::of_sample();
    run.file(
        "own/night_call.sql",
        "-- id:        night_call\n\
         -- version:   1\n\
         -- kind:      share\n\
         -- title:     Called at night\n\
         -- question:  How many calls came from 22:00 to 06:00?\n\
         -- eligible:  every case\n\
         -- hit:       call in these hours\n\
         -- better:    neither\n\
         -- source:    ours\n\
         select case_id, site, month, 1 as eligible,\n\
         \x20   case when hour >= 22 or hour < 6 then 1 else 0 end as hit\n\
         from cases\n",
    );
    let ended = run.on_files("review --out out --measures own");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let rows = run.table("out/tables/findings.csv");
    let share = Finding::at(&rows, "night_call", ["all", "all", "all", "share"]);
    // Counted from the text of the export, not by the tool.
    let cases = String::from_utf8(run.files_below(".")["cases.csv"].clone()).expect("text");
    let mut headings = cases.lines().next().expect("a header").split(';');
    let paged = headings.position(|heading| heading == "Paged");
    let paged = paged.expect("the column of the call");
    let lines: std::collections::BTreeSet<&str> = cases.lines().skip(1).collect();
    let at_night = lines
        .iter()
        .filter(|line| {
            let called = line.split(';').nth(paged).expect("the call");
            let hour: u32 = called[11..13].parse().expect("an hour");
            !(6..22).contains(&hour)
        })
        .count();
    assert_eq!(
        (share.count("events"), share.count("cases")),
        (at_night as u64, 900)
    );
    let page = String::from_utf8(run.files_below("out")["report.html"].clone()).expect("text");
    assert!(page.contains("Called at night"));
}

#[test]
fn period_and_sites_are_printed_and_slips_in_them_warned_of() {
    let run = Run::of_sample();
    let ended = run.on_files("check");
    assert!(
        ended
            .stdout
            .contains("period  2024-10 to 2026-09, as given: 24 months, 0 without a call"),
        "{}",
        ended.stdout
    );
    assert!(
        ended
            .stdout
            .contains("sites   Alder 354, Birch 346, Cedar 200"),
        "{}",
        ended.stdout
    );
    assert_eq!(ended.stderr, "");

    let files = run.files_below(".");
    let text = |name: &str| String::from_utf8(files[name].clone()).expect("text");
    let (mapping, _) = text("mapping.toml")
        .split_once("[period]")
        .map(|(m, rest)| (m.to_string(), rest.to_string()))
        .expect("a period");
    let cases = text("cases.csv");
    let first = cases.lines().nth(1).expect("a row");
    let mistyped = first
        .replace("2024", "2023")
        .replace(";Alder;", ";alder;")
        .replacen(&first[..8], "X-1", 1);
    run.file("mapping.toml", mapping)
        .file("cases.csv", format!("{cases}{mistyped}\n"));
    let ended = run.on_files("check");
    assert!(
        ended
            .stdout
            .contains(", first to last call: 36 months, 11 without a call"),
        "{}",
        ended.stdout
    );
    assert!(
        ended.stderr.contains("is a year mistyped?"),
        "{}",
        ended.stderr
    );
    assert!(
        ended.stderr.contains("`alder` is also written otherwise"),
        "{}",
        ended.stderr
    );
}

#[test]
fn a_measure_that_compares_with_a_word_of_the_export_is_warned_of() {
    let run = Run::new();
    run.file(
        "own/out.sql",
        "-- id: out\n-- version: 1\n-- kind: share\n-- title: Out\n-- question: Out?\n-- eligible: all\n-- hit: out\n-- better: higher\n-- source: ours\n\
         select case_id, 1 as eligible, case when outcome = 'Retrieved' then 1 else 0 end as hit from cases",
    );
    let ended = run.run("measures --measures own");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    assert!(
        ended
            .stderr
            .contains("measure `out` compares with 'Retrieved', which is no code"),
        "{}",
        ended.stderr
    );
}

#[test]
fn samples_are_written_once_and_can_be_reviewed() {
    let run = Run::new();
    let ended = run.run("sample --out made --cases 60 --months 3 --from 2026-01 --seed 7");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let made = run.files_below("made");
    assert!(made.keys().eq([
        "cart_checks.csv",
        "cases.csv",
        "duty.toml",
        "mapping.toml",
        "passes.csv",
        "roster.csv",
    ]));
    // The same roster for any number of cases, of all three months where there are no twelve.
    let roster = String::from_utf8(made["roster.csv"].clone()).expect("text");
    assert!(roster.contains("on_call,2025-12-31 17:00,2026-01-01 08:00"));
    assert!(roster.contains("on_call,2026-03-31 17:00,2026-04-01 08:00"));
    let again = run.run("sample --out made --cases 60 --months 3 --from 2026-01 --seed 7");
    assert_eq!(again.code, 2);
    assert!(
        again.stderr.contains("exists; choose another --out"),
        "{}",
        again.stderr
    );
    let check = run
        .run("check --cases made/cases.csv --passes made/passes.csv --mapping made/mapping.toml");
    assert!(check.code < 2, "{}", check.stderr);
    assert!(
        check.stdout.contains(" = 60 accepted + "),
        "{}",
        check.stdout
    );
    for wrong in ["--cases 0", "--months 0", "--cases 100000001"] {
        assert_eq!(run.run(&format!("sample --out other {wrong}")).code, 2);
    }
}

#[test]
fn several_exports_are_one() {
    let run = Run::of_sample();
    let cases = String::from_utf8(run.files_below(".")["cases.csv"].clone()).expect("text");
    let (header, rows) = cases.split_once('\n').expect("a header");
    let (first, second) = rows.split_at(rows[..rows.len() / 2].rfind('\n').expect("a row") + 1);
    run.file("first.csv", format!("{header}\n{first}"))
        .file("second.csv", format!("{header}\n{second}"));
    let whole = run.on_files("check");
    let parts =
        run.run("check --cases first.csv second.csv --passes passes.csv --mapping mapping.toml");
    assert_eq!(parts.code, 0, "{}", parts.stderr);
    let rows = |text: &str| {
        text.lines()
            .filter(|line| line.starts_with("cases ") || line.starts_with("passes "))
            .map(String::from)
            .collect::<Vec<_>>()
    };
    assert_eq!(rows(&whole.stdout), rows(&parts.stdout));
    assert!(parts.stdout.contains("--> second.csv"));
}

//! `counts` and `review --counts`: counts travel in place of rows, and give the same findings.

use crate::run::Run;

const SITES: [&str; 3] = ["Alder", "Birch", "Cedar"];

/// Tables that rest on counts alone.
pub(crate) const OF_COUNTS: [&str; 8] = [
    "comparisons",
    "curves",
    "ends",
    "findings",
    "funnel",
    "headlines",
    "signal_charts",
    "signals",
];

fn succeeds(run: &Run, arguments: &str) {
    let ended = run.run(arguments);
    assert_eq!(ended.code, 0, "{arguments}: {}", ended.stderr);
}

fn count(run: &Run, arguments: &str) {
    let ended = run.on_files(&format!("counts --quiet {arguments}"));
    assert_eq!(ended.code, 0, "{arguments}: {}", ended.stderr);
}

#[test]
fn counts_of_sites_added_up_give_the_review_of_all_to_the_byte() {
    let run = Run::of_sample();
    let ended = run.on_files("review --quiet --out whole");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    for site in SITES {
        count(&run, &format!("--site {site} --out counted/{site}"));
    }
    // In another order than that of their names, which must change nothing.
    let places = "counted/Cedar counted/Alder counted/Birch";
    succeeds(
        &run,
        &format!("review --quiet --counts {places} --mapping mapping.toml --out added"),
    );
    let whole = run.files_below("whole");
    let added = run.files_below("added");
    let mut compared = 0;
    for (name, bytes) in &whole {
        let is_of_counts = name.starts_with("counts/")
            || OF_COUNTS
                .iter()
                .any(|table| name.starts_with(&format!("tables/{table}.")));
        if is_of_counts {
            assert!(added.get(name) == Some(bytes), "{name}");
            compared += 1;
        }
    }
    assert_eq!(
        compared,
        8 * 3 + 4 * 2,
        "tables in three formats, counts in two"
    );
    let names_rows = |name: &&String| name.starts_with("internal/");
    assert_eq!(added.keys().filter(names_rows).count(), 0);
    let page = String::from_utf8(added["report.html"].clone()).expect("text");
    assert!(page.contains("made from counts") && !page.contains("internal/cases_to_review.csv"));
}

#[test]
fn the_counts_command_writes_what_a_review_writes_below_counts() {
    let run = Run::of_sample();
    let ended = run.on_files("review --quiet --out review");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    count(&run, "--out counted");
    let reviewed = run.files_below("review/counts");
    assert_eq!(reviewed.len(), 8);
    assert!(run.files_below("counted/counts") == reviewed);
    assert_eq!(
        run.files_below("counted").len(),
        9,
        "and run.json, but nothing of a case"
    );
}

/// Runs `review --counts` and returns what it says when it refuses.
fn refused(run: &Run, arguments: &str) -> String {
    let ended = run.run(&format!("review --out refused --counts {arguments}"));
    assert_eq!(ended.code, 2, "{arguments}: {}", ended.stderr);
    assert!(!run.path("refused").exists());
    ended.stderr
}

#[test]
fn counts_that_do_not_go_together_are_refused_with_the_reason() {
    let run = Run::of_sample();
    count(&run, "--out all");
    count(&run, "--site Alder --out alder");
    let mapping = std::fs::read_to_string(run.path("mapping.toml")).expect("a mapping");
    let other = mapping.replace("start = \"arrived_at\"", "start = \"called_at\"");
    let other = if other == mapping {
        format!("{mapping}\n[windows]\nstart = \"called_at\"\n")
    } else {
        other
    };
    run.file("other.toml", other);
    run.file("measures/mine.sql", MINE);

    for (arguments, words) in [
        ("all alder --mapping mapping.toml", "would count twice"),
        ("alder alder --mapping mapping.toml", "would count twice"),
        ("nowhere --mapping mapping.toml", "run.json cannot be read"),
        ("all --mapping other.toml", "other windows"),
        (
            "all --mapping mapping.toml --measures measures",
            "does not count `mine`",
        ),
        (
            "all --mapping mapping.toml --cases cases.csv",
            "cannot be used with",
        ),
        ("all", "--mapping"),
    ] {
        let said = refused(&run, arguments);
        assert!(said.contains(words), "{arguments}: {said}");
    }

    count(&run, "--measures measures --out with_mine");
    let said = refused(&run, "with_mine --mapping mapping.toml");
    assert!(said.contains("counts `mine` by a definition"), "{said}");

    // Counts of one site beside the record of all.
    for table in ["shares", "minutes", "passes", "events"] {
        let (of_all, of_site) = (
            format!("all/counts/{table}.parquet"),
            format!("alder/counts/{table}.parquet"),
        );
        std::fs::rename(run.path(&of_all), run.path(&format!("kept_{table}"))).expect("moved");
        std::fs::copy(run.path(&of_site), run.path(&of_all)).expect("copied");
        let said = refused(&run, "all --mapping mapping.toml");
        assert!(said.contains("holds counts that do not fit"), "{said}");
    }
    let said = refused(&run, "all --mapping mapping.toml");
    assert!(said.contains("run.json beside it tells of"), "{said}");

    run.file("all/counts/shares.parquet", "no table");
    let said = refused(&run, "all --mapping mapping.toml");
    assert!(said.contains("shares.parquet"), "{said}");
    std::fs::remove_file(run.path("all/counts/shares.parquet")).expect("removed");
    let said = refused(&run, "all --mapping mapping.toml");
    assert!(said.contains("cannot open"), "{said}");
    run.file("all/run.json", "{}");
    let said = refused(&run, "all --mapping mapping.toml");
    assert!(said.contains("is not one that"), "{said}");
}

const MINE: &str = "-- id:        mine
-- version:   1
-- kind:      count
-- title:     Mine
-- question:  How many?
-- eligible:  every accepted case
-- hit:       a case
-- better:    neither
-- source:    common practice, no source
select case_id, site, month, shift, 1 as eligible from cases
";

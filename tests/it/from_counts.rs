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
        ("nowhere --mapping mapping.toml", "give a directory that"),
        (
            "all/counts --mapping mapping.toml",
            "give the directory that holds it",
        ),
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
    std::fs::remove_dir_all(run.path("all/counts")).expect("removed");
    let said = refused(&run, "all --mapping mapping.toml");
    assert!(said.contains("give a directory that"), "{said}");
    run.file("all/run.json", "{}");
    let said = refused(&run, "all --mapping mapping.toml");
    assert!(said.contains("is not one that"), "{said}");
}

#[test]
fn counts_over_unlike_months_are_told_in_every_caption_whatever_their_order() {
    let run = Run::of_sample();
    for (site, options) in [("Alder", ""), ("Birch", ""), ("Cedar", "--from 2025-06")] {
        count(&run, &format!("--site {site} --out {site} {options}"));
    }
    let tables = |out: &str, places: &str| {
        let ended = run.run(&format!(
            "tables --quiet --counts {places} --mapping mapping.toml --out {out}"
        ));
        assert_eq!(ended.code, 0, "{}", ended.stderr);
        assert!(
            ended.stderr.contains("unlike months") && ended.stderr.contains("`Cedar` 2025-06 to"),
            "{}",
            ended.stderr
        );
        run.files_below(out)
    };
    let one = tables("one", "Alder Birch Cedar");
    let other = tables("other", "Cedar Birch Alder");
    let text = |name: &str| String::from_utf8(one[name].clone()).expect("text");
    for name in [
        "papers/main_findings.md",
        "papers/months.md",
        "methods.txt",
        "reporting.md",
    ] {
        assert!(text(name).contains("(of Cedar June 2025 to"), "{name}");
    }
    let record: serde_json::Value = serde_json::from_str(&text("run.json")).expect("JSON");
    let months = |site: usize| &record["period"]["sites"][site];
    assert_eq!(months(2)["site"], "Cedar");
    assert_eq!(months(2)["first"], "2025-06");
    assert_eq!(months(0)["first"], record["period"]["first"]);
    for (name, bytes) in &one {
        // The inputs stand in the order given.
        if name != "run.json" && name != "datapackage.json" {
            assert!(other[name] == *bytes, "{name}");
        }
    }
    let accounting = |files: &std::collections::BTreeMap<String, Vec<u8>>| {
        let record: serde_json::Value = serde_json::from_slice(&files["run.json"]).expect("JSON");
        (record["accounting"].clone(), record["flow"].clone())
    };
    assert_eq!(accounting(&one), accounting(&other));

    let shared = run.run(
        "tables --counts Alder Cedar --mapping mapping.toml --share --releases r.json --out shared",
    );
    assert_eq!(shared.code, 2);
    assert!(
        shared.stderr.contains("the same months of every site"),
        "{}",
        shared.stderr
    );
    assert!(!run.path("r.json").exists());

    // Neither holds the months of the other.
    count(&run, "--site Alder --to 2025-06 --out early");
    let said = refused(&run, "early Cedar --mapping mapping.toml");
    assert!(said.contains("the same --from and --to"), "{said}");
}

#[test]
fn counts_that_were_added_up_can_be_added_to_and_never_count_twice() {
    let run = Run::of_sample();
    for site in SITES {
        count(&run, &format!("--site {site} --out {site}"));
    }
    count(&run, "--out all");
    let review = "review --quiet --mapping mapping.toml --counts";
    succeeds(&run, &format!("{review} Alder Birch --out both"));
    succeeds(&run, &format!("{review} both Cedar --out three"));
    succeeds(&run, &format!("{review} all --out whole"));
    let (three, whole) = (
        run.files_below("three/counts"),
        run.files_below("whole/counts"),
    );
    assert!(three == whole && three.len() == 8);
    for twice in ["both Alder", "Birch both", "three all"] {
        let said = refused(&run, &format!("{twice} --mapping mapping.toml"));
        assert!(said.contains("would count twice"), "{twice}: {said}");
    }
    let rows = |out: &str| -> serde_json::Value {
        let record = std::fs::read(run.path(&format!("{out}/run.json"))).expect("a record");
        let record: serde_json::Value = serde_json::from_slice(&record).expect("JSON");
        record["accounting"].clone()
    };
    assert_eq!(rows("three"), rows("whole"));
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

//! Releases: the list of them, trials, and that a release speaks of nothing that it lacks.

use super::share;
use crate::run::Run;
use std::collections::{BTreeMap, BTreeSet};

#[test]
fn the_same_months_are_not_released_twice_with_other_counts() {
    let run = Run::of_sample();
    let release = |out: &str, options: &str| {
        run.on_files(&format!(
            "tables --quiet --share --smallest-count 3 --releases releases.json --out {out} {options}"
        ))
    };
    assert_eq!(release("a", "--to 2025-01").code, 0);
    assert_eq!(
        release("b", "--to 2025-01 --threads 1").code,
        0,
        "the same again"
    );
    assert!(run.files_below("a") == run.files_below("b"));
    let list = std::fs::read(run.path("releases.json")).unwrap();
    for options in [
        "--to 2025-02",
        "--to 2025-01 --tell-unjudged",
        "--from 2025-01 --to 2025-03",
    ] {
        let refused = release("c", options);
        assert_eq!(refused.code, 2, "{options}: {}", refused.stderr);
        assert!(
            refused
                .stderr
                .contains("2024-10 to 2025-01 was released before"),
            "{options}: {}",
            refused.stderr
        );
        assert!(!run.path("c").exists(), "{options}");
    }
    assert_eq!(std::fs::read(run.path("releases.json")).unwrap(), list);
    assert_eq!(release("c", "--from 2025-02 --to 2025-04").code, 0);
    assert_ne!(std::fs::read(run.path("releases.json")).unwrap(), list);

    let refused = run.on_files("tables --out d --share");
    assert_eq!(refused.code, 2);
    assert!(
        refused.stderr.contains("made when it does not exist"),
        "{}",
        refused.stderr
    );
    for options in [
        "--trial",
        "--releases list.json",
        "--smallest-count 5",
        "--tell-unjudged",
    ] {
        let refused = run.on_files(&format!("tables --out d {options}"));
        assert_eq!(refused.code, 2, "{options}");
    }
}

#[test]
fn a_trial_tells_what_is_left_and_leaves_no_trace() {
    let run = Run::of_sample();
    let tried = run.on_files("tables --quiet --share --trial --smallest-count 3 --to 2025-01");
    assert_eq!(tried.code, 0, "{}", tried.stderr);
    for words in [
        "A count of 1 to 2 is not told.",
        "## What is left",
        "A trial: no file was written",
    ] {
        assert!(tried.stdout.contains(words), "{words}: {}", tried.stdout);
    }
    let tried = run.on_files(
        "tables --quiet --share --trial --releases releases.json --smallest-count 3 --to 2024-11",
    );
    assert_eq!(tried.code, 0, "{}", tried.stderr);
    for name in ["reports", "releases.json"] {
        assert!(!run.path(name).exists(), "{name}");
    }
    share(&run, "made", "--to 2024-11 --smallest-count 3");
    let list = std::fs::read(run.path("made.json")).unwrap();
    let tried = run.on_files(
        "tables --quiet --share --trial --releases made.json --smallest-count 3 --to 2024-12",
    );
    assert_eq!(tried.code, 2);
    assert!(
        tried.stderr.contains("was released before"),
        "{}",
        tried.stderr
    );
    assert_eq!(std::fs::read(run.path("made.json")).unwrap(), list);
}

/// Every table that the words of a release name is there, and has rows.
#[test]
fn a_release_speaks_of_nothing_that_it_lacks() {
    let run = Run::of_sample();
    share(&run, "some", "--to 2025-01 --smallest-count 3");
    check_words(&run, "some");
    check_totals(&run, "some");
}

/// Where a share is told of every site, that of all cases follows by adding up, so it is told as well.
fn check_totals(run: &Run, out: &str) {
    let shares: Vec<_> = run
        .table(&format!("{out}/tables/findings.csv"))
        .into_iter()
        .filter(|row| row["month"] == "all" && row["kind"] == "share")
        .collect();
    let mut told = 0;
    for all in shares.iter().filter(|row| row["by"] == "all") {
        let of_sites = |row: &&BTreeMap<String, String>| {
            row["by"] == "site" && row["measure"] == all["measure"]
        };
        let mut sites = shares.iter().filter(of_sites).peekable();
        if sites.peek().is_some() && sites.all(|row| row["suppressed"] == "false") {
            assert_eq!(all["suppressed"], "false", "{}", all["measure"]);
            told += 1;
        }
    }
    assert!(told > 0, "nothing was compared");
}

fn check_words(run: &Run, out: &str) {
    let files = run.files_below(out);
    let tables: BTreeSet<&str> = files
        .keys()
        .filter_map(|name| name.strip_prefix("tables/")?.split_once('.'))
        .map(|(table, _)| table)
        .collect();
    let papers: BTreeSet<&str> = files
        .keys()
        .filter_map(|name| name.strip_prefix("papers/")?.strip_suffix(".md"))
        .collect();
    for (name, bytes) in &files {
        let is_read = [".md", ".txt", ".tex", "package.json"];
        if !is_read.iter().any(|ending| name.ends_with(ending)) {
            continue;
        }
        let text = String::from_utf8(bytes.clone()).unwrap().replace('\\', "");
        for (folder, there) in [("tables/", &tables), ("papers/", &papers)] {
            for (at, _) in text.match_indices(folder) {
                let named = &text[at + folder.len()..];
                let end = named.find(|letter: char| letter != '_' && !letter.is_alphanumeric());
                let named = &named[..end.unwrap_or(named.len())];
                assert!(there.contains(named), "{name} names {folder}{named}");
            }
        }
    }
    for table in &tables {
        let rows = run.table(&format!("{out}/tables/{table}.csv"));
        assert!(!rows.is_empty(), "{table}");
    }
    let package = String::from_utf8(files["datapackage.json"].clone()).unwrap();
    assert!(!package.contains("\"sources\""), "hashes of the exports");
}

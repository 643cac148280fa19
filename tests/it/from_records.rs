//! `counts --records` and `--from-records`: typed records travel in place of exports, and give the same
//! findings.

use crate::from_counts::OF_COUNTS;
use crate::run::Run;
use crate::streamed::with_passes_inside;
use std::collections::BTreeMap;

fn succeeds(run: &Run, arguments: &str) {
    let ended = run.run(&format!("{arguments} --quiet"));
    assert_eq!(ended.code, 0, "{arguments}: {}", ended.stderr);
}

/// The files of a review that rest on counted cases, and the list of cases.
fn of_cases(files: BTreeMap<String, Vec<u8>>) -> BTreeMap<String, Vec<u8>> {
    let is_of_cases = |name: &str| {
        name.starts_with("counts/")
            || name == "internal/cases_to_review.csv"
            || OF_COUNTS
                .iter()
                .any(|table| name.starts_with(&format!("tables/{table}.")))
    };
    files
        .into_iter()
        .filter(|(name, _)| is_of_cases(name))
        .collect()
}

#[test]
fn a_review_from_records_finds_what_one_from_exports_does_to_the_byte() {
    for (run, exports) in [
        (
            Run::of_sample(),
            "--cases cases.csv --passes passes.csv --mapping mapping.toml",
        ),
        (
            with_passes_inside(),
            "--cases cases.csv --mapping mapping.toml",
        ),
    ] {
        succeeds(&run, &format!("counts --records --out counted {exports}"));
        for more in ["", "--site Alder"] {
            succeeds(&run, &format!("review {more} --out whole {exports}"));
            succeeds(
                &run,
                &format!("review {more} --out again --from-records counted --mapping mapping.toml"),
            );
            let whole = of_cases(run.files_below("whole"));
            assert_eq!(whole.len(), 8 * 3 + 4 * 2 + 1);
            let again = of_cases(run.files_below("again"));
            for (name, bytes) in &whole {
                assert!(again.get(name) == Some(bytes), "{name} {more}");
            }
            let page = String::from_utf8(run.files_below("again").remove("report.html").unwrap());
            assert!(!page.unwrap().contains("made from counts"));
        }
        succeeds(&run, &format!("tables --out whole {exports}"));
        succeeds(
            &run,
            "tables --out again --from-records counted --mapping mapping.toml",
        );
        let tables = |out: &str| {
            let mut files = run.files_below(out);
            files.retain(|name, _| name.starts_with("tables/"));
            files
        };
        assert!(!tables("whole").is_empty() && tables("whole") == tables("again"));
    }
}

#[test]
fn records_that_do_not_go_with_the_run_are_refused_with_the_reason() {
    let run = Run::of_sample();
    let exports = "--cases cases.csv --passes passes.csv --mapping mapping.toml";
    succeeds(&run, &format!("counts --records --out counted {exports}"));
    succeeds(&run, &format!("counts --out without {exports}"));
    succeeds(
        &run,
        &format!("counts --records --out alder --site Alder {exports}"),
    );
    let mapping = std::fs::read_to_string(run.path("mapping.toml")).expect("a mapping");
    run.file(
        "other.toml",
        format!("{mapping}\n[windows]\nstart = \"called_at\"\n"),
    );
    // The records of another run beside the run.json of all.
    for table in ["cases", "passes", "observed", "observed_hours"] {
        let place = |of: &str| run.path(&format!("{of}/internal/records/{table}.parquet"));
        std::fs::create_dir_all(place("mixed").parent().unwrap()).unwrap();
        std::fs::copy(place("alder"), place("mixed")).unwrap();
    }
    std::fs::copy(run.path("counted/run.json"), run.path("mixed/run.json")).unwrap();
    for (arguments, words) in [
        ("nowhere --mapping mapping.toml", "run.json cannot be read"),
        (
            "without --mapping mapping.toml",
            "holds no records of a run",
        ),
        (
            "mixed --mapping mapping.toml",
            "cases where its run.json tells of",
        ),
        ("counted --mapping other.toml", "other windows"),
        (
            "counted --mapping mapping.toml --site Ader",
            "did you mean `Alder`",
        ),
        (
            "counted --mapping mapping.toml --counts counted",
            "cannot be used with",
        ),
        ("counted", "--mapping"),
    ] {
        let ended = run.run(&format!("review --out refused --from-records {arguments}"));
        assert_eq!(ended.code, 2, "{arguments}: {}", ended.stderr);
        assert!(
            ended.stderr.contains(words),
            "{arguments}: {}",
            ended.stderr
        );
        assert!(!run.path("refused").exists());
    }
}

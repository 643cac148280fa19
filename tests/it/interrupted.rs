//! Runs that are killed, and disks that are full or closed: the former report stands or the new one
//! does, whole, and the next run goes on as if nothing had been.
//!
//! `SCOPETALLY_KILLS` sets how many runs are killed; ten without it.

#![cfg(unix)]

use crate::bad_input::{GOOD, HEADER, with_cases};
use crate::run::Run;
use std::collections::BTreeMap;
use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

type Files = BTreeMap<String, Vec<u8>>;

const BINARY: &str = env!("CARGO_BIN_EXE_scopetally");

/// Two exports, `a.csv` and `b.csv`, and the report of each in `a` and `b`.
fn two_reports() -> (Run, [Files; 2]) {
    let run = with_cases("");
    for (name, last) in [("a", 3), ("b", 5)] {
        let rows = (1..=last).map(|number| GOOD.replace("K1", &format!("K{number}")));
        run.file(
            &format!("{name}.csv"),
            HEADER.to_owned() + &rows.collect::<String>(),
        );
    }
    let reports = ["a", "b"].map(|name| {
        let ended = run.run(&review(name, name));
        assert_ne!(ended.code, 2, "{}", ended.stderr);
        run.files_below(name)
    });
    assert_ne!(reports[0], reports[1]);
    (run, reports)
}

fn review(export: &str, out: &str) -> String {
    format!("review --cases {export}.csv --mapping mapping.toml --out {out}")
}

/// Names in the directory of the run that are ours and temporary.
fn leftovers(run: &Run) -> Vec<String> {
    let entries = fs::read_dir(run.path(".")).unwrap();
    let names = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap());
    names
        .filter(|name| name.starts_with(".scopetally-"))
        .collect()
}

fn copy(files: &Files, directory: &Path) {
    for (name, content) in files {
        let path = directory.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, content).unwrap();
    }
}

/// Whether this directory holds that many files or more, in all directories below it.
fn holds(directory: &Path, files: usize) -> bool {
    directory.exists() && count(directory) >= files
}

fn count(directory: &Path) -> usize {
    // A directory may be moved away while it is read.
    let Ok(entries) = fs::read_dir(directory) else {
        return 0;
    };
    let paths = entries.filter_map(|entry| Some(entry.ok()?.path()));
    paths
        .map(|path| if path.is_dir() { count(&path) } else { 1 })
        .sum()
}

#[test]
fn a_run_that_is_killed_leaves_the_former_report_or_the_new_one() {
    let kills = std::env::var("SCOPETALLY_KILLS").map_or(10, |kills| kills.parse().unwrap());
    let (run, [former, new]) = two_reports();
    let begun = Instant::now();
    assert_ne!(run.run(&review("b", "timed")).code, 2);
    let whole_time = begun.elapsed();
    for kill in 0..kills {
        if run.path("out").exists() {
            fs::remove_dir_all(run.path("out")).unwrap();
        }
        copy(&former, &run.path("out"));
        let mut running = Command::new(BINARY)
            .args(review("b", "out").split_whitespace())
            .current_dir(run.path("."))
            .env_remove("SOURCE_DATE_EPOCH")
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        if kill % 2 == 0 {
            // The golden ratio spreads any number of moments evenly over the run.
            let share = (f64::from(kill) * 0.618_034).fract();
            sleep(whole_time.mul_f64(1.1 * share));
        } else {
            // While the files are written and put in place, which takes the least of the time. With
            // the former ones moved aside there are twice as many.
            let files =
                2 * new.len() * usize::try_from(kill).unwrap() / usize::try_from(kills).unwrap();
            let is_far_enough = || {
                let mut places = leftovers(&run).into_iter().map(|name| run.path(&name));
                places.any(|place| holds(&place, files.max(1)))
            };
            while running.try_wait().unwrap().is_none() && !is_far_enough() {
                sleep(Duration::from_micros(200));
            }
        }
        // SIGKILL; that the run has ended already is no error.
        let _ = running.kill();
        running.wait().unwrap();
        let moved_aside = leftovers(&run)
            .into_iter()
            .map(|name| run.path(&name).join("old"))
            .find(|old| old.exists() && !run.path("out").exists());
        let found = crate::run::files_below(&moved_aside.unwrap_or(run.path("out")));
        assert!(
            found == former || found == new,
            "kill {kill}: {:?}",
            found.keys()
        );
        // The next run is refused nothing and cleans up.
        if kill % 5 == 4 {
            let ended = run.run(&review("a", "out"));
            assert_ne!(ended.code, 2, "{}", ended.stderr);
            assert!(run.files_below("out") == former, "kill {kill}");
            assert_eq!(leftovers(&run), Vec::<String>::new(), "kill {kill}");
        }
    }
}

#[test]
fn a_full_disk_leaves_the_former_report_and_an_error() {
    let (run, [former, _]) = two_reports();
    // A file that grows beyond 20 blocks of 512 bytes fails, as on a disk without room. The signal
    // that says so is ignored, so that it is an error like any other.
    let limited = |command: &str| {
        Command::new("sh")
            .args([
                "-c",
                &format!("trap '' XFSZ; ulimit -f 20; exec {BINARY} {command}"),
            ])
            .current_dir(run.path("."))
            .output()
            .unwrap()
    };
    for out in ["a", "none"] {
        let command = review("b", out);
        let ended = limited(&command);
        let text = String::from_utf8_lossy(&ended.stderr);
        assert_eq!(ended.status.code(), Some(2), "{command}\n{text}");
        assert!(text.contains("error: cannot write `"), "{text}");
        assert!(text.contains("File too large"), "{text}");
        assert_eq!(run.path(out).exists(), out == "a");
        assert_eq!(leftovers(&run), Vec::<String>::new());
    }
    assert!(run.files_below("a") == former);
}

#[test]
fn a_directory_that_cannot_be_written_leaves_the_former_report_and_an_error() {
    let (run, [former, _]) = two_reports();
    fs::create_dir(run.path("closed")).unwrap();
    copy(&former, &run.path("closed/out"));
    let set_mode = |name: &str, mode: u32| {
        fs::set_permissions(run.path(name), fs::Permissions::from_mode(mode)).unwrap();
    };
    set_mode(".", 0o755);
    set_mode("closed", 0o555);
    let mut command = Command::new(BINARY);
    command
        .args(review("b", "closed/out").split_whitespace())
        .current_dir(run.path("."));
    if fs::write(run.path("closed/probe"), "").is_ok() {
        // Modes do not bind this user, so the run is somebody else's.
        fs::remove_file(run.path("closed/probe")).unwrap();
        std::os::unix::process::CommandExt::uid(&mut command, 65_534);
    }
    let Ok(ended) = command.output() else {
        // Somebody else may not be let at the binary.
        set_mode("closed", 0o755);
        return;
    };
    set_mode("closed", 0o755);
    let text = String::from_utf8_lossy(&ended.stderr);
    assert_eq!(ended.status.code(), Some(2), "{text}");
    assert!(
        text.contains("error: cannot create a directory in `closed`: Permission denied"),
        "{text}"
    );
    assert!(run.files_below("closed/out") == former);
    let file = run.run(&review("b", "a.csv/out"));
    assert!(
        file.code == 2 && file.stderr.contains("error: cannot create `a.csv`"),
        "{}",
        file.stderr
    );
}

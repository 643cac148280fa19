//! The house rules of this repository as tests: which module may import which, and the shape of
//! the tree. Reads the sources as text. The rules of the SQL files stand in `sql_rules`.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// The floors: each module of `src` and the others that it may import.
const MAY_IMPORT: &[(&str, &[&str])] = &[
    ("domain", &[]),
    ("records", &["domain"]),
    ("stats", &["domain"]),
    ("simulation", &["domain", "stats"]),
    ("disclosure", &["domain", "stats"]),
    ("findings", &["domain", "stats", "simulation", "disclosure"]),
    ("ingest", &["domain", "records"]),
    ("measure", &["domain", "records"]),
    ("report", &["domain", "findings"]),
    ("export", &["domain", "records", "findings"]),
    ("sample", &["domain"]),
    (
        "cli",
        &[
            "domain",
            "records",
            "stats",
            "simulation",
            "disclosure",
            "findings",
            "ingest",
            "measure",
            "report",
            "export",
            "sample",
        ],
    ),
];

/// What a module must not touch, beside the floors. `domain` may use no crate but thiserror.
const MUST_NOT_USE: &[(&str, &[&str])] = &[
    (
        "domain",
        &["std::fs", "std::io", "std::env", "std::time", GROUPED],
    ),
    (
        "records",
        &["polars", "parquet", "std::fs", "std::io", GROUPED],
    ),
    (
        "stats",
        &[
            "polars", "arrow", "parquet", "csv", "std::fs", "std::io", GROUPED,
        ],
    ),
    (
        "simulation",
        &[
            "polars",
            "arrow",
            "parquet",
            "csv",
            "std::fs",
            "std::io",
            "std::env",
            "std::time",
            GROUPED,
        ],
    ),
    (
        "disclosure",
        &[
            "polars",
            "arrow",
            "parquet",
            "csv",
            "std::fs",
            "std::io",
            "std::env",
            "std::time",
            GROUPED,
        ],
    ),
    (
        "findings",
        &[
            "polars", "arrow", "parquet", "csv", "std::fs", "std::io", GROUPED,
        ],
    ),
];

/// An import that would hide what it imports from these lists.
const GROUPED: &str = "std::{";

/// Everything that may stand at the top. Dotfiles may too, and `target`, which git ignores.
const TOP_LEVEL: &[&str] = &[
    "Cargo.toml",
    "Cargo.lock",
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "src",
    "sql",
    "tests",
    "sample_data",
    "reports",
    "target",
];

const MOST_LINES: usize = 400;

/// Files above `MOST_LINES`, each with the reason why splitting it would help nobody.
const LONG_FILES: &[(&str, &str)] = &[(
    "src/report/tests/invented.rs",
    "one invented review, written out finding by finding",
)];

pub(crate) fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The text of every file of ours below `folder` that ends in `.extension`, by path from the top level.
fn files(folder: &str, extension: &str) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    let mut folders: Vec<PathBuf> = vec![root().join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                // What npm brings for the browser is not ours.
                if !path.ends_with("node_modules") {
                    folders.push(path);
                }
            } else if path.extension().is_some_and(|known| known == extension) {
                let name = path.strip_prefix(root()).unwrap().to_str().unwrap();
                found.insert(name.replace('\\', "/"), fs::read_to_string(&path).unwrap());
            }
        }
    }
    assert!(!found.is_empty(), "no .{extension} file below {folder}");
    found
}

/// Rust without comments, so that a sentence about a crate is not a use of it.
fn code_of(text: &str) -> String {
    let lines = text
        .lines()
        .map(|line| line.split("//").next().unwrap_or_default());
    lines.collect::<Vec<_>>().join("\n")
}

pub(crate) fn is_word(c: char) -> bool {
    c.is_ascii_alphanumeric() || c == '_'
}

/// The words that follow `prefix` where `prefix` is not itself the end of a longer word. A brace
/// after it gives an empty word, which no list allows: one path per `use` keeps this readable.
pub(crate) fn words_after<'a>(code: &'a str, prefix: &str) -> Vec<&'a str> {
    code.match_indices(prefix)
        .filter(|(place, _)| !code[..*place].ends_with(is_word))
        .map(|(place, _)| {
            let rest = &code[place + prefix.len()..];
            &rest[..rest.find(|c| !is_word(c)).unwrap_or(rest.len())]
        })
        .collect()
}

/// Whether Rust code imports or names `path`, a crate or a module.
fn has_path(code: &str, path: &str) -> bool {
    code.match_indices(path).any(|(place, _)| {
        let (before, after) = (&code[..place], &code[place + path.len()..]);
        let is_longer_word =
            before.ends_with(is_word) || (path.ends_with(is_word) && after.starts_with(is_word));
        // The name of a crate alone may also be the name of a variable.
        let is_path = path.contains("::") || after.starts_with("::") || before.ends_with("use ");
        is_path && !is_longer_word
    })
}

/// The module that a file of `src` belongs to; `None` for lib.rs and main.rs.
fn module_of(path: &str) -> Option<&str> {
    let path = path.strip_prefix("src/").unwrap();
    let module = path.split('/').next().unwrap().trim_end_matches(".rs");
    (!["lib", "main"].contains(&module)).then_some(module)
}

/// How many `super::` lead from a file of `src` to the top of the crate.
fn depth_of(path: &str) -> usize {
    let path = path.trim_end_matches(".rs").trim_end_matches("/mod");
    path.split('/').count() - 1
}

/// Whether a file of `src` is compiled for unit tests only.
fn is_unit_test(path: &str) -> bool {
    path.ends_with("/tests.rs") || path.contains("/tests/")
}

#[track_caller]
pub(crate) fn assert_none(faults: &[String]) {
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn modules_import_lower_floors_only() {
    let mut faults = Vec::new();
    for (path, text) in files("src", "rs") {
        if is_unit_test(&path) {
            continue;
        }
        let code = code_of(&text);
        let Some(module) = module_of(&path) else {
            continue;
        };
        let Some((_, allowed)) = MAY_IMPORT.iter().find(|(known, _)| *known == module) else {
            faults.push(format!("{path}: module `{module}` stands on no floor"));
            continue;
        };
        for word in words_after(&code, "crate::") {
            if word != module && !allowed.contains(&word) {
                faults.push(format!("{path}: `crate::{word}` is not below `{module}`"));
            }
        }
        // As many `super::` as the file lies deep would go around the list. Unit tests in the file
        // are one deeper and may well say `super::`.
        let code_before_tests = code.split("#[cfg(test)]").next().unwrap_or_default();
        if code_before_tests.contains(&"super::".repeat(depth_of(&path))) {
            faults.push(format!(
                "{path}: write `crate::` where `super::` leaves the module"
            ));
        }
    }
    assert_none(&faults);
}

#[test]
fn main_is_a_frame_around_the_command_line() {
    let main = code_of(&fs::read_to_string(root().join("src/main.rs")).unwrap());
    for word in words_after(&main, "scopetally::") {
        assert_eq!(word, "cli");
    }
}

#[test]
fn inner_floors_do_without_engines_and_files() {
    let manifest = fs::read_to_string(root().join("Cargo.toml")).unwrap();
    let manifest: toml::Table = toml::from_str(&manifest).unwrap();
    let crates: Vec<String> = manifest["dependencies"]
        .as_table()
        .unwrap()
        .keys()
        .filter(|name| *name != "thiserror")
        .map(|name| name.replace('-', "_"))
        .collect();
    let mut faults = Vec::new();
    for (path, text) in files("src", "rs") {
        let code = code_of(&text);
        let module = module_of(&path).unwrap_or_default();
        let listed = MUST_NOT_USE.iter().find(|(known, _)| *known == module);
        let listed = listed.map_or(&[][..], |(_, paths)| *paths);
        let of_domain = crates.iter().filter(|_| module == "domain");
        for forbidden in listed.iter().copied().chain(of_domain.map(String::as_str)) {
            if has_path(&code, forbidden) {
                faults.push(format!("{path}: `{forbidden}` has no place in `{module}`"));
            }
        }
    }
    assert_none(&faults);
}

#[test]
fn every_source_file_says_what_it_is_for() {
    let mut faults = Vec::new();
    for (path, text) in files("src", "rs").into_iter().chain(files("tests", "rs")) {
        // A file of unit tests is part of the file that it tests.
        if !path.ends_with("/tests.rs") && !text.starts_with("//! ") {
            faults.push(format!("{path}: opens without a `//!` line"));
        }
    }
    for (path, text) in files("tests", "mjs") {
        if !text.starts_with("// ") {
            faults.push(format!(
                "{path}: opens without a line that says what it is for"
            ));
        }
    }
    assert_none(&faults);
}

#[test]
fn files_are_short() {
    let mut faults = Vec::new();
    for (path, text) in files("src", "rs") {
        let lines = text.lines().count();
        let is_excused = LONG_FILES.iter().any(|(known, _)| *known == path);
        if lines > MOST_LINES && !is_excused {
            faults.push(format!(
                "{path}: {lines} lines; split it, or name it with a reason"
            ));
        }
    }
    assert_none(&faults);
}

#[test]
fn the_top_level_holds_what_readers_expect() {
    let mut faults = Vec::new();
    for entry in fs::read_dir(root()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        if !name.starts_with('.') && !TOP_LEVEL.contains(&name.as_str()) {
            faults.push(format!("`{name}` has no place at the top level"));
        }
    }
    assert_none(&faults);
}

//! The house rules of this repository as tests: which module may import which, portable SQL, limits
//! that stand in two places, and the shape of the tree. Reads the sources as text.

use scopetally::domain::fields::{CaseField, Field, PassField};
use scopetally::domain::measure::MeasureKind;
use scopetally::measure::built_in;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// The floors: each module of `src` and the others that it may import.
const MAY_IMPORT: &[(&str, &[&str])] = &[
    ("domain", &[]),
    ("stats", &["domain"]),
    ("findings", &["domain", "stats"]),
    ("ingest", &["domain"]),
    ("measure", &["domain"]),
    ("report", &["domain", "findings"]),
    ("export", &["domain", "findings"]),
    ("sample", &["domain"]),
    (
        "cli",
        &[
            "domain", "stats", "findings", "ingest", "measure", "report", "export", "sample",
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
        "stats",
        &[
            "polars", "arrow", "parquet", "csv", "std::fs", "std::io", GROUPED,
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
    "src/ingest/mapping.rs",
    "one table and one check for each key of mapping.toml, side by side",
)];

const MOST_COLUMNS_OF_SQL: usize = 100;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The text of every file below `folder` that ends in `.extension`, by path from the top level.
fn files(folder: &str, extension: &str) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    let mut folders: Vec<PathBuf> = vec![root().join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
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

fn is_word(c: char) -> bool {
    c.is_ascii_alphanumeric() || c == '_'
}

/// The words that follow `prefix` where `prefix` is not itself the end of a longer word. A brace
/// after it gives an empty word, which no list allows: one path per `use` keeps this readable.
fn words_after<'a>(code: &'a str, prefix: &str) -> Vec<&'a str> {
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
    let ends_here = |place: usize| {
        let rest = &code[place + path.len()..];
        !code[..place].ends_with(is_word) && !(path.ends_with(is_word) && rest.starts_with(is_word))
    };
    let is_use = |place: usize| {
        path.contains("::")
            || code[place + path.len()..].starts_with("::")
            || code[..place].ends_with("use ")
    };
    code.match_indices(path)
        .any(|(place, _)| ends_here(place) && is_use(place))
}

/// The module that a file of `src` belongs to; `None` for lib.rs and main.rs.
fn module_of(path: &str) -> Option<&str> {
    let path = path.strip_prefix("src/").unwrap();
    let module = path.split('/').next().unwrap().trim_end_matches(".rs");
    (!["lib", "main"].contains(&module)).then_some(module)
}

#[track_caller]
fn assert_none(faults: &[String]) {
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn modules_import_lower_floors_only() {
    let mut faults = Vec::new();
    for (path, text) in files("src", "rs") {
        if path.ends_with("/tests.rs") {
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
        // `super::super::` and a `super::` at the top of a module would go around the list.
        let code_before_tests = code.split("#[cfg(test)]").next().unwrap_or_default();
        let is_top = path == format!("src/{module}.rs") || path == format!("src/{module}/mod.rs");
        if code.contains("super::super") || (is_top && code_before_tests.contains("super::")) {
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

/// What is not portable, or not readable, in the SQL below the header of a measure.
fn faults_of_sql(sql: &str) -> Vec<String> {
    let mut faults = Vec::new();
    for line in sql
        .lines()
        .filter(|line| line.chars().count() > MOST_COLUMNS_OF_SQL)
    {
        faults.push(format!(
            "more than {MOST_COLUMNS_OF_SQL} characters: {line}"
        ));
    }
    if sql.chars().any(|c| c.is_ascii_uppercase()) {
        faults.push("uppercase letters".into());
    }
    for mark in ["/", "::", "\"", ";", "--"] {
        if sql.contains(mark) {
            faults.push(format!("`{mark}`"));
        }
    }
    let words: Vec<_> = sql
        .split(|c| !is_word(c))
        .filter(|word| !word.is_empty())
        .collect();
    for word in &words {
        if ["cast", "date", "timestamp", "interval"].contains(word) || word.starts_with("read_") {
            faults.push(format!("`{word}`"));
        }
    }
    // `is true` of a null is false in one engine and null in another.
    let text = words.join(" ");
    for test in ["is true", "is false", "is not true", "is not false"] {
        if format!(" {text} ").contains(&format!(" {test} ")) {
            faults.push(format!("`{test}`"));
        }
    }
    faults
}

#[test]
fn measures_are_written_in_sql_that_every_engine_runs() {
    let mut faults = Vec::new();
    for measure in built_in() {
        let of_measure = faults_of_sql(&measure.sql).into_iter();
        faults.extend(of_measure.map(|fault| format!("{}: {fault}", measure.id)));
    }
    assert_none(&faults);
}

#[test]
fn every_kind_of_sql_that_is_not_portable_is_found() {
    let long = format!("select {} from cases", "a, ".repeat(40));
    for sql in [
        "select cast(hour as text) from cases",
        "select hour from cases where (hour > 3) is\n true",
        "select hour from cases where hour > 3 is not true",
        "select date '2026-01-01' from cases",
        "select * from read_csv('x')",
        "select hour / 2 from cases",
        "select hour::text from cases",
        "select \"hour\" from cases",
        "select hour from cases;",
        "SELECT hour from cases",
        long.as_str(),
    ] {
        assert!(!faults_of_sql(sql).is_empty(), "{sql}");
    }
    assert_none(&faults_of_sql(
        "select updated, cast_number, readout from cases",
    ));
}

/// The numbers that a query compares `to - from` with: `(to, from, operator, number)`.
fn comparisons(sql: &str) -> Vec<(String, String, String, i64)> {
    let words: Vec<_> = sql.split_whitespace().collect();
    let found = words.windows(5).filter_map(|window| match window {
        [to, "-", from, operator @ (">=" | "<="), number] => {
            let number = number.parse().ok()?;
            Some(((*to).into(), (*from).into(), (*operator).into(), number))
        }
        _ => None,
    });
    found.collect()
}

#[test]
fn minutes_measures_keep_the_limits_of_the_interval_table() {
    let table = fs::read_to_string(root().join("sql/interval_limits.csv")).unwrap();
    let column = |name: &str| CaseField::named(name).unwrap().column();
    let mut limits = BTreeMap::new();
    for line in table.lines().skip(1) {
        let cells: Vec<_> = line.split(',').collect();
        let number = |place: usize| cells[place].parse::<i64>().unwrap();
        limits.insert((column(cells[1]), column(cells[0])), (number(4), number(5)));
    }
    let ended = CaseField::EndedAt.column();
    for measure in built_in() {
        if measure.kind != MeasureKind::Minutes {
            continue;
        }
        let comparisons = comparisons(&measure.sql);
        let to_moment = comparisons.iter().find(|(to, ..)| to != ended);
        let (to, from, ..) = to_moment.unwrap_or_else(|| panic!("{}: no limit", measure.id));
        let (low, high) = limits
            .get(&(to.as_str(), from.as_str()))
            .unwrap_or_else(|| panic!("{}: no row for its two moments", measure.id));
        let of = |(to, from): (&str, &str), low, high| {
            let part = |operator: &str, number| (to.into(), from.into(), operator.into(), number);
            vec![part(">=", low), part("<=", high)]
        };
        let mut expected: Vec<(String, String, String, i64)> = of((to, from), *low, *high);
        if measure.sql.contains(ended) {
            // Nobody is followed for less than no time.
            expected.extend(of((ended, from), 0, *high));
        }
        assert_eq!(comparisons, expected, "{}", measure.id);
    }
}

fn contract() -> String {
    fs::read_to_string(root().join("sql/README.md")).unwrap()
}

#[test]
fn the_sql_contract_explains_every_column() {
    let contract = contract();
    let (cases, passes) = contract
        .split_once("### Table `passes`")
        .expect("a section for each table");
    for field in CaseField::ALL {
        let row = format!("| `{}` |", field.column());
        assert!(cases.contains(&row), "cases: {row}");
    }
    for field in PassField::ALL {
        let row = format!("| `{}` |", field.column());
        assert!(passes.contains(&row), "passes: {row}");
    }
}

#[test]
fn the_example_of_the_sql_contract_is_a_portable_measure() {
    let contract = contract();
    let example = contract.split("```sql\n").nth(1).expect("an example");
    let example = example.split("```").next().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let id = words_after(example, "-- id:        ")[0];
    fs::write(folder.path().join(format!("{id}.sql")), example).unwrap();
    let measures = scopetally::measure::from_directory(folder.path(), &built_in()).unwrap();
    assert_none(&faults_of_sql(&measures[0].sql));
    crate::second_engine::check_equal(&crate::generated::records(), &measures);
}

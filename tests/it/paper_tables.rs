//! `tables`: what a researcher takes along is what a review says, described to the last column, and
//! no name of a site breaks it.

use crate::run::{Run, repository};
use arrow::array::ArrayRef;
use calamine::{Data, Reader as _, Xlsx};
use parquet::arrow::arrow_reader::ParquetRecordBatchReaderBuilder;
use scopetally::export::counts::events_table;
use scopetally::export::counts::read::read_counts;
use scopetally::export::sha256::sha256_hex;
use scopetally::export::table::Format;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::Cursor;

type Files = BTreeMap<String, Vec<u8>>;

fn tables(run: &Run, arguments: &str) -> Files {
    let ended = run.on_files(&format!("tables --quiet --out made {arguments}"));
    assert_eq!(ended.code, 0, "{arguments}: {}", ended.stderr);
    run.files_below("made")
}

fn text<'a>(files: &'a Files, name: &str) -> &'a str {
    std::str::from_utf8(&files[name]).expect("UTF-8")
}

fn rows(files: &Files, name: &str) -> Vec<BTreeMap<String, String>> {
    let reader = csv::Reader::from_reader(files[name].as_slice());
    reader
        .into_deserialize()
        .map(|row| row.expect("a row"))
        .collect()
}

#[test]
fn the_tables_are_those_of_a_review_and_the_same_from_counts_and_again() {
    let run = Run::of_sample();
    let made = tables(&run, "");
    let ended = run.on_files("review --quiet --out review");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let review = run.files_below("review");
    for table in ["findings", "comparisons", "curves", "ends"] {
        let name = format!("tables/{table}.csv");
        assert!(made[&name] == review[&name], "{name}");
        // The columns say more of themselves here; what they hold is the same.
        let name = format!("tables/{table}.parquet");
        let [here, there] = [&made, &review].map(|files| columns(&files[&name]));
        assert!(here == there && here.len() > 5, "{name}");
    }
    assert!(made == tables(&run, "--threads 1"), "another run");

    let command = "tables --quiet --out added --counts review --mapping mapping.toml";
    let ended = run.run(command);
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let added = run.files_below("added");
    let names = |files: &Files| files.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(&made), names(&added));
    for (name, bytes) in &made {
        // These two say what was read, which differs.
        if name != "run.json" && name != "datapackage.json" {
            assert!(added[name] == *bytes, "{name}");
        }
    }
    assert!(!made.keys().any(|name| name.starts_with("internal/")));
}

#[test]
fn the_package_describes_every_file_as_it_is() {
    let made = tables(&Run::of_sample(), "--by shift");
    let package: Value = serde_json::from_slice(&made["datapackage.json"]).expect("JSON");
    let resources = package["resources"].as_array().expect("resources");
    let stated: BTreeSet<_> = resources
        .iter()
        .map(|resource| resource["path"].as_str().expect("a path"))
        .collect();
    let written: BTreeSet<_> = made
        .keys()
        .map(String::as_str)
        .filter(|name| name.starts_with("tables"))
        .collect();
    assert_eq!(stated, written);
    assert_eq!(
        stated.len(),
        9 * 3 + 1,
        "tables in three formats, and the workbook"
    );
    let mut listed = 0;
    for resource in resources {
        let path = resource["path"].as_str().expect("a path");
        let bytes = &made[path];
        let hash = format!("sha256:{}", sha256_hex(bytes.as_slice()).expect("read"));
        assert_eq!(resource["hash"], hash, "{path}");
        assert_eq!(resource["bytes"], bytes.len(), "{path}");
        if resource["format"] != "csv" {
            continue;
        }
        let fields = resource["schema"]["fields"].as_array().expect("fields");
        let names: Vec<_> = fields
            .iter()
            .map(|field| field["name"].as_str().unwrap())
            .collect();
        let header = text(&made, path).lines().next().expect("a header");
        assert_eq!(header, names.join(","), "{path}");
        let rows = rows(&made, path);
        for field in fields {
            let name = field["name"].as_str().expect("a name");
            assert_ne!(field["description"], "", "{path}: {name}");
            let is_number = ["integer", "number"]
                .iter()
                .any(|kind| field["type"] == *kind);
            for key in ["unit", "method"] {
                let is_said = field[key].as_str().is_some_and(|words| !words.is_empty());
                assert_eq!(is_said, is_number, "{path}: {name}: {key}");
            }
            let Some(list) = field["constraints"]["enum"].as_array() else {
                continue;
            };
            listed += 1;
            for row in &rows {
                let value = Value::from(row[name].as_str());
                assert!(list.contains(&value), "{path}: {name}: {value}");
            }
        }
    }
    assert_eq!(listed, 16, "columns with a closed list");
}

/// The columns of a Parquet file as Arrow arrays, without what its schema says of them.
fn columns(file: &[u8]) -> Vec<ArrayRef> {
    let run = Run::new();
    run.file("table.parquet", file);
    let file = File::open(run.path("table.parquet")).expect("a file");
    let reader = ParquetRecordBatchReaderBuilder::try_new(file).expect("a table");
    // One batch holds every row.
    let mut reader = reader.with_batch_size(1 << 20).build().expect("a reader");
    let batch = reader.next().expect("rows").expect("a batch");
    assert!(reader.next().is_none());
    batch.columns().to_vec()
}

#[test]
fn the_workbook_holds_every_table_as_another_program_reads_it() {
    let run = Run::of_sample();
    let cases = std::fs::read_to_string(run.path("cases.csv")).expect("cases");
    run.file("cases.csv", cases.replace("Birch", "-Birch"));
    let mapping = std::fs::read_to_string(run.path("mapping.toml")).expect("a mapping");
    run.file("mapping.toml", mapping.replace("Birch", "-Birch"));
    let made = tables(&run, "");
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(&made["tables.xlsx"])).expect("a workbook");
    let names = book.sheet_names();
    assert_eq!(
        names,
        [
            "about",
            "findings",
            "comparisons",
            "devices",
            "curves",
            "ends",
            "months",
            "case_mix",
            "measures",
            "values"
        ]
    );
    let mut cells = 0;
    for name in &names[1..] {
        let sheet = book.worksheet_range(name).expect("a sheet");
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .from_reader(made[&format!("tables/{name}.csv")].as_slice());
        let rows: Vec<_> = reader.records().map(|row| row.expect("a row")).collect();
        assert_eq!(sheet.height(), rows.len(), "{name}");
        for (found, expected) in sheet.rows().zip(&rows) {
            assert_eq!(found.len(), expected.len(), "{name}");
            for (found, expected) in found.iter().zip(expected) {
                cells += 1;
                let is_equal = match found {
                    Data::Empty => expected.is_empty(),
                    Data::Float(number) => expected.parse() == Ok(*number),
                    Data::Bool(flag) => expected.parse() == Ok(*flag),
                    // Only a CSV file needs the apostrophe.
                    Data::String(text) => expected.trim_start_matches('\'') == text,
                    _ => false,
                };
                assert!(is_equal, "{name}: {found:?} instead of {expected}");
            }
        }
        let formulas = book.worksheet_formula(name).expect("a sheet");
        assert!(formulas.cells().all(|(.., formula)| formula.is_empty()));
    }
    assert!(cells > 300_000, "{cells}");
}

#[test]
fn counts_that_are_older_than_a_grouping_say_what_is_missing() {
    let run = Run::of_sample();
    let ended = run.on_files("counts --quiet --out counted");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let mut counts = read_counts(&run.path("counted/counts")).expect("counts");
    counts
        .events
        .retain(|key, _| !["site+sex", "site+age_group"].contains(&key.by.as_str()));
    let older = events_table(&counts).expect("a table");
    let older = older.encode(Format::Parquet).expect("a file");
    run.file("counted/counts/events.parquet", older);
    let ended = run.run("tables --quiet --out made --counts counted --mapping mapping.toml");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let made = run.files_below("made");
    let missing: Vec<_> = rows(&made, "tables/case_mix.csv")
        .into_iter()
        .filter(|row| row["kind"] == "not_counted")
        .map(|row| (row["variable"].clone(), row["cases"].clone()))
        .collect();
    let named = |name: &str| (name.to_owned(), String::new());
    assert_eq!(missing, [named("age_group"), named("sex")]);
    for name in ["papers/case_mix.md", "papers/case_mix.tex", "methods.txt"] {
        let words = "so without a row here: age group, sex.";
        assert!(
            text(&made, name).replace("\\_", "_").contains(words),
            "{name}"
        );
    }
}

#[test]
fn the_case_mix_has_every_case_once_in_each_variable() {
    let run = Run::of_sample();
    let calls = calls_of_the_sample();
    for by in ["site", "shift", "presentation"] {
        let made = tables(&run, &format!("--by {by}"));
        let mut sums = BTreeMap::<(String, String), u64>::new();
        for row in rows(&made, "tables/case_mix.csv") {
            // An object is not asked of bleeds, and minutes have a population of their own.
            if row["kind"] != "minutes" && row["variable"] != "object_type" {
                let key = (row["variable"].clone(), row["group"].clone());
                *sums.entry(key).or_default() += row["cases"].parse::<u64>().expect("a count");
            }
        }
        assert!(sums.len() >= 6 * 3, "{by}: {sums:?}");
        for ((variable, group), sum) in &sums {
            let key = (by.to_owned(), group.clone());
            let expected = calls.get(&key).copied().unwrap_or(900);
            assert_eq!(*sum, expected, "{by}: {variable} in {group}");
        }
    }
}

/// Calls of the sample by dimension and group, as its committed count table has them.
fn calls_of_the_sample() -> BTreeMap<(String, String), u64> {
    let path = repository("reports/sample/counts/events.csv");
    let mut calls = BTreeMap::new();
    for row in csv::Reader::from_path(path).expect("a table").deserialize() {
        let row: BTreeMap<String, String> = row.expect("a row");
        if row["measure"] == "calls" && row["month"] == "all" {
            let key = (row["by"].clone(), row["group"].clone());
            calls.insert(key, row["events"].parse().expect("a count"));
        }
    }
    calls
}

#[test]
fn no_name_of_a_site_becomes_markup() {
    let run = Run::of_sample();
    let cases = std::fs::read_to_string(run.path("cases.csv")).expect("cases");
    let named = cases.replace("Birch", "[B_1 & 50%|x]");
    assert_ne!(cases, named);
    run.file("cases.csv", named);
    let mapping = std::fs::read_to_string(run.path("mapping.toml")).expect("a mapping");
    run.file("mapping.toml", mapping.replace("Birch", "[B_1 & 50%|x]"));
    let made = tables(&run, "");
    for table in ["case_mix", "main_findings"] {
        let latex = text(&made, &format!("papers/{table}.tex"));
        assert!(
            latex.contains("{[}B\\_1 \\& 50\\%\\textbar{}x{]}"),
            "{latex}"
        );
        let columns = latex.lines().filter(|line| line.ends_with(" \\\\"));
        let breaks: BTreeSet<_> = columns
            // An escaped sign has a backslash in front, not a space.
            .map(|line| line.matches(" & ").count())
            .collect();
        assert_eq!(breaks.len(), 1, "{table}: rows of one width");
        let markdown = text(&made, &format!("papers/{table}.md"));
        assert!(markdown.contains("\\[B\\_1 \\& 50%\\|x\\]"), "{markdown}");
    }
    let rows = rows(&made, "tables/case_mix.csv");
    let shift = rows
        .iter()
        .filter(|row| row["group"] == "[B_1 & 50%|x]" && row["variable"] == "sex");
    let cases: u64 = shift.map(|row| row["cases"].parse::<u64>().unwrap()).sum();
    assert_eq!(cases, 346, "as Birch has in the rows");
}

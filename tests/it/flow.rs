//! Rows to accepted cases to the cases of each measure: the flow adds up, and is the same in
//! `run.json`, in the count tables, on the page and on the terminal.

use crate::bad_input::{GOOD, HEADER, with_cases};
use crate::run::{Run, repository};
use serde_json::Value;
use std::collections::BTreeMap;

/// The rows of a committed count table for all cases and all months, by measure.
fn counted(table: &str) -> BTreeMap<String, Vec<BTreeMap<String, u64>>> {
    let path = repository(&format!("reports/sample/counts/{table}.csv"));
    let mut measures = BTreeMap::<_, Vec<_>>::new();
    for row in csv::Reader::from_path(path).expect("a table").deserialize() {
        let row: BTreeMap<String, String> = row.expect("a row");
        if row["by"] == "all" && row["month"] == "all" {
            let numbers = row
                .iter()
                .filter_map(|(column, cell)| Some((column.clone(), cell.parse().ok()?)));
            measures
                .entry(row["measure"].clone())
                .or_default()
                .push(numbers.collect());
        }
    }
    measures
}

fn number(flow: &Value, key: &str) -> u64 {
    flow[key]
        .as_u64()
        .unwrap_or_else(|| panic!("{key} in {flow}"))
}

fn committed() -> Value {
    let json = std::fs::read(repository("reports/sample/run.json")).expect("a run");
    serde_json::from_slice(&json).expect("JSON")
}

#[test]
fn the_flow_of_the_sample_adds_up_in_every_measure() {
    let run = committed();
    let accepted = number(&run["accounting"]["cases"], "accepted");
    let flows = run["flow"].as_array().expect("flows");
    assert_eq!(flows.len(), scopetally::measure::built_in().len());
    for flow in flows {
        let population = number(flow, "population");
        assert_eq!(
            number(flow, "eligible") + number(flow, "excluded"),
            population
        );
        assert_eq!(number(flow, "not_of_population") + population, accepted);
    }
}

#[test]
fn the_flow_of_the_sample_is_that_of_the_count_tables() {
    let run = committed();
    let flows = run["flow"].as_array().expect("flows");
    let tables = ["shares", "minutes", "passes", "events"].map(|table| (table, counted(table)));
    let mut compared = 0;
    for flow in flows {
        let measure = flow["measure"].as_str().expect("a name");
        for (table, measures) in &tables {
            let Some(rows) = measures.get(measure) else {
                continue;
            };
            compared += 1;
            let sum = |wanted: &dyn Fn(&BTreeMap<String, u64>) -> u64| {
                rows.iter().map(wanted).sum::<u64>()
            };
            let found = match *table {
                "shares" => [
                    sum(&|row| row["eligible"]),
                    sum(&|row| row["excluded"]),
                    sum(&|row| row["hit"]),
                ],
                // A row without minutes counts the excluded cases.
                "minutes" => {
                    let has_end = |row: &BTreeMap<String, u64>| row.contains_key("minutes");
                    [
                        sum(&|row| if has_end(row) { row["cases"] } else { 0 }),
                        sum(&|row| if has_end(row) { 0 } else { row["cases"] }),
                        sum(&|row| {
                            if has_end(row) {
                                row["cases"] * row["reached"]
                            } else {
                                0
                            }
                        }),
                    ]
                }
                // A row without attempts counts the excluded cases.
                "passes" => {
                    assert_eq!(
                        number(flow, "judged_passes"),
                        sum(&|row| row["attempts"] * row["cases"])
                    );
                    [
                        sum(&|row| if row["attempts"] > 0 { row["cases"] } else { 0 }),
                        sum(&|row| {
                            if row["attempts"] == 0 {
                                row["cases"]
                            } else {
                                0
                            }
                        }),
                        sum(&|row| row["events"] * row["cases"]),
                    ]
                }
                _ => [sum(&|row| row["events"]), 0, 0],
            };
            let hit = flow["hit"].as_u64().or(flow["reached"].as_u64());
            assert_eq!(
                [
                    number(flow, "eligible"),
                    number(flow, "excluded"),
                    hit.unwrap_or(0)
                ],
                found,
                "{measure} in {table}"
            );
            let unit = if *table == "passes" {
                "passes"
            } else {
                "cases"
            };
            assert_eq!(flow["unit"], unit, "{measure}");
        }
    }
    assert_eq!(compared, flows.len());
}

/// Counted by hand: four rows are read; one repeats another; of the three cases one has no object
/// type and one no scope in, and nobody's overtube is recorded.
#[test]
fn the_flow_of_a_few_rows_is_that_of_a_hand_count() {
    let run = with_cases(format!(
        "{HEADER}{GOOD}{GOOD}\
         K2,Alder,Food,2026-03-01 10:00,2026-03-01 11:00,2026-03-01 11:20,\n\
         K3,Alder,Food,2026-03-01 10:00,,,Meat\n"
    ));
    let ended = run.on_files("review --out out");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let files = run.files_below("out");
    let facts: Value = serde_json::from_slice(&files["run.json"]).expect("JSON");
    let flow = |measure: &str| {
        let flows = facts["flow"].as_array().expect("flows").iter();
        flows
            .filter(|flow| flow["measure"] == measure)
            .map(|flow| {
                ["not_of_population", "population", "excluded", "eligible"]
                    .map(|key| number(flow, key))
            })
            .collect::<Vec<_>>()
    };
    assert_eq!(flow("call_to_scope"), [[0, 3, 1, 2]]);
    assert_eq!(flow("overtube_used"), [[0, 3, 3, 0]]);
    assert_eq!(flow("calls"), [[0, 3, 0, 3]]);
    assert!(
        ended
            .stdout
            .contains("counted 3 accepted cases = outside the population + not judged + judged\n"),
        "{}",
        ended.stdout
    );
    let words = |line: &str| {
        line.split_whitespace()
            .map(String::from)
            .collect::<Vec<_>>()
    };
    let rows: Vec<_> = ended.stdout.lines().map(words).collect();
    for row in [
        "call_to_scope 0 1 2 2 reached",
        "overtube_used 0 3 0 0 met",
        "calls 0 0 3 events",
    ] {
        assert!(rows.contains(&words(row)), "{row}\n{}", ended.stdout);
    }
    let page = String::from_utf8(files["report.html"].clone()).expect("text");
    assert!(page.contains("From rows to measures: 3 accepted cases in each measure"));
}

#[test]
fn one_is_told_as_one() {
    let ended = with_cases(format!("{HEADER}{GOOD}")).on_files("review --out out");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    for text in [
        "cases   1 row read = 1 accepted + 0 set aside + 0 duplicates\n",
        "issues  0 in 0 rows\n",
        ": 1 month, 0 without a call\n",
        "counted 1 accepted case = ",
    ] {
        assert!(ended.stdout.contains(text), "{text}\n{}", ended.stdout);
    }
    let sample = Run::of_sample().on_files("check").stdout;
    assert!(
        sample.contains("1,018 rows read = 1,017 accepted"),
        "{sample}"
    );
}

//! `tables --share`: nothing small is told or can be worked out, nothing of single rows comes along,
//! and the same months are not released twice.

mod releases;

use crate::run::Run;
use scopetally::stats::linear_region::LinearRegion;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

type Rows = Vec<BTreeMap<String, String>>;

const COUNTS: [&str; 4] = ["events", "cases", "excluded", "censored"];
const ADDRESS: [&str; 5] = ["measure", "by", "group", "month", "statistic"];

/// A directory with the sample, its tables as they are in `whole`, and what is shared of them by the
/// usual rules in `shared`: made once, since protecting takes a while without optimization.
fn sample() -> &'static Run {
    static SAMPLE: OnceLock<Run> = OnceLock::new();
    SAMPLE.get_or_init(|| {
        let run = Run::of_sample();
        let ended = run.on_files("tables --quiet --out whole");
        assert_eq!(ended.code, 0, "{}", ended.stderr);
        share(&run, "shared", "");
        run
    })
}

fn share(run: &Run, out: &str, options: &str) {
    let command = format!("tables --quiet --share --releases {out}.json --out {out} {options}");
    let ended = run.on_files(&command);
    assert_eq!(ended.code, 0, "{options}: {}", ended.stderr);
}

fn address(row: &BTreeMap<String, String>) -> Vec<String> {
    ADDRESS.iter().map(|column| row[*column].clone()).collect()
}

fn is_suppressed(row: &BTreeMap<String, String>) -> bool {
    row["suppressed"] == "true"
}

fn count(row: &BTreeMap<String, String>, column: &str) -> Option<u64> {
    row[column].parse().ok()
}

#[test]
fn what_is_told_is_true_and_not_small_and_what_is_withheld_has_no_number() {
    let run = sample();
    share(run, "more", "--smallest-count 5 --tell-unjudged");
    let whole: BTreeMap<_, _> = run
        .table("whole/tables/findings.csv")
        .into_iter()
        .map(|row| (address(&row), row))
        .collect();
    for (out, smallest, tells_unjudged) in [("shared", 11, false), ("more", 5, true)] {
        let shared = run.table(&format!("{out}/tables/findings.csv"));
        let told = shared.iter().filter(|row| !is_suppressed(row));
        assert!(told.clone().count() * 5 > shared.len(), "{out}");
        for row in told {
            assert_eq!(*row, whole[&address(row)], "{out}");
            let is_small = |count: u64| (1..smallest).contains(&count);
            let counted = COUNTS.iter();
            for column in counted.filter(|column| **column != "excluded" || !tells_unjudged) {
                assert!(
                    !count(row, column).is_some_and(is_small),
                    "{column} of {row:?}"
                );
            }
            if row["kind"] == "share" {
                assert!(!is_small(part(row, "miss")), "{row:?}");
            }
        }
        for row in shared.iter().filter(|row| is_suppressed(row)) {
            for column in COUNTS.iter().chain(&["estimate", "low", "high"]) {
                assert_eq!(row[*column], "", "{column} of {row:?}");
            }
        }
    }
}

/// The counts of one measure and split, and of all cases, as an attacker has them: each hit, miss and
/// excluded is known or not, and the groups add up to all cases.
struct Attack {
    unknowns: BTreeMap<(String, &'static str), usize>,
    equations: Vec<(Vec<(usize, f64)>, f64)>,
}

impl Attack {
    fn new(rows: &Rows, measure: &str, by: &str) -> Attack {
        let mut attack = Attack {
            unknowns: BTreeMap::new(),
            equations: Vec::new(),
        };
        let of_measure = rows.iter().filter(|row| {
            row["measure"] == measure
                && row["month"] == "all"
                && (row["by"] == by || row["by"] == "all")
        });
        let mut sums: BTreeMap<&str, Vec<(usize, f64)>> = BTreeMap::new();
        for row in of_measure {
            let group = format!("{} {}", row["by"], row["group"]);
            for what in ["hit", "miss", "excluded"] {
                let unknown = attack.unknowns.len();
                attack.unknowns.insert((group.clone(), what), unknown);
                if !is_suppressed(row) {
                    let known = part(row, what) as f64;
                    attack.equations.push((vec![(unknown, 1.0)], known));
                }
                let sign = if row["by"] == by { 1.0 } else { -1.0 };
                sums.entry(what).or_default().push((unknown, sign));
            }
        }
        // A split that is withheld as a whole has no row.
        let has_groups = |sum: &Vec<(usize, f64)>| sum.iter().any(|(_, sign)| *sign > 0.0);
        let sums = sums.into_values().filter(has_groups);
        attack.equations.extend(sums.map(|sum| (sum, 0.0)));
        attack
    }
}

fn part(row: &BTreeMap<String, String>, what: &str) -> u64 {
    let of = |column| count(row, column).expect("a count that is told");
    match what {
        "hit" => of("events"),
        "miss" => of("cases") - of("events"),
        _ => of("excluded"),
    }
}

/// An attack on the finished file, which knows nothing of how it was made.
#[test]
fn no_small_count_of_a_site_or_shift_follows_from_the_finished_tables() {
    let run = sample();
    let whole = run.table("whole/tables/findings.csv");
    let shared = run.table("shared/tables/findings.csv");
    // Only the small counts taken out, as a spreadsheet would have it.
    let naive: Rows = whole
        .iter()
        .filter(|row| row["kind"] == "share")
        .map(|row| {
            let is_small = ["hit", "miss"]
                .iter()
                .any(|what| (1..11).contains(&part(row, what)));
            let mut row = row.clone();
            row.insert("suppressed".to_owned(), is_small.to_string());
            row
        })
        .collect();
    let (mut tried, mut naive_leaks) = (0, 0);
    let measures: BTreeSet<_> = whole
        .iter()
        .filter(|row| row["kind"] == "share")
        .map(|row| row["measure"].clone())
        .collect();
    for measure in &measures {
        for by in ["site", "shift"] {
            let truth = |group: &str, what| {
                let row = whole.iter().find(|row| {
                    row["measure"] == *measure
                        && row["month"] == "all"
                        && format!("{} {}", row["by"], row["group"]) == group
                });
                part(row.expect("a finding of the whole tables"), what)
            };
            for (rows, is_naive) in [(&shared, false), (&naive, true)] {
                let attack = Attack::new(rows, measure, by);
                let region = LinearRegion::new(attack.unknowns.len(), attack.equations);
                let mut region = region.expect("the true counts are one solution");
                for ((group, what), unknown) in &attack.unknowns {
                    let is_small = (1..11).contains(&truth(group, what));
                    if *what == "excluded" || !is_small {
                        continue;
                    }
                    let highest = region.highest(*unknown, 11.0).expect("an upper bound");
                    let is_told_to_be_small = highest < 11.0 - 1e-6;
                    if is_naive {
                        naive_leaks += usize::from(is_told_to_be_small);
                    } else {
                        tried += 1;
                        assert!(!is_told_to_be_small, "{measure} {group} {what}: {highest}");
                    }
                }
            }
        }
    }
    assert!(tried > 20, "{tried} small counts");
    assert!(naive_leaks > 0, "the attack finds nothing");
}

#[test]
fn nothing_of_single_rows_comes_along() {
    let run = sample();
    let files = run.files_below("shared");
    assert!(
        !files
            .keys()
            .any(|name| name.starts_with("internal/") || name.starts_with("counts/"))
    );
    for name in ["curves", "ends"] {
        assert!(!files.contains_key(&format!("tables/{name}.csv")), "{name}");
    }
    let cases = String::from_utf8(std::fs::read(run.path("cases.csv")).unwrap()).unwrap();
    let ids: Vec<&str> = cases
        .lines()
        .skip(1)
        .filter_map(|line| line.split(';').next())
        .collect();
    assert!(ids.len() > 800 && ids[0].len() > 3, "{}", ids[0]);
    for (name, bytes) in &files {
        let text = String::from_utf8_lossy(bytes);
        for id in &ids {
            assert!(!text.contains(id), "{name} holds a case number");
        }
        let is_text = [".csv", ".md", ".json", ".txt", ".tex"]
            .iter()
            .any(|ending| name.ends_with(ending));
        if is_text {
            assert_eq!(day_in(&text), None, "{name}");
        }
    }
    let record: serde_json::Value = serde_json::from_slice(&files["run.json"]).unwrap();
    assert!(record["accounting"].is_null());
    for list in ["inputs", "exports", "flow", "issues", "limits_crossed"] {
        assert_eq!(record[list], serde_json::json!([]), "{list}");
    }
    assert_eq!(record["options"]["smallest_count"], "11");
}

/// The first day in a text, as `2025-01-31` or `31.01.2025`.
fn day_in(text: &str) -> Option<&str> {
    let shape = |word: &str| -> String {
        word.chars()
            .map(|sign| if sign.is_ascii_digit() { '9' } else { sign })
            .collect()
    };
    let is_day = |word: &&str| matches!(shape(word).as_str(), "9999-99-99" | "99.99.9999");
    text.split(|sign: char| !(sign.is_ascii_digit() || sign == '-' || sign == '.'))
        .find(is_day)
}

#[test]
fn shared_tables_are_the_same_from_counts() {
    let run = Run::of_sample();
    share(&run, "rows", "--smallest-count 5");
    let ended = run.on_files("counts --quiet --out counts");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let command = "tables --quiet --counts counts --mapping mapping.toml --share --releases x.json \
                   --smallest-count 5 --out counted";
    let ended = run.run(command);
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let (rows, counted) = (run.files_below("rows"), run.files_below("counted"));
    assert!(rows.keys().eq(counted.keys()));
    for (name, bytes) in &rows {
        assert!(counted[name] == *bytes, "{name}");
    }
}

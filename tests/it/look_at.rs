//! Cases to look at: the list below `internal/` holds what the page counts, and nothing else tells
//! which cases they are.

use crate::run::{Ended, Run};
use std::collections::{BTreeMap, BTreeSet};

const LIST: &str = "out/internal/cases_to_review.csv";

#[track_caller]
fn review(run: &Run, options: &str) -> Ended {
    let ended = run.on_files(&format!("review --out out {options}"));
    assert!(ended.code < 2, "{}", ended.stderr);
    ended
}

/// Rows of the list by rule.
fn by_rule(run: &Run) -> BTreeMap<String, u64> {
    let mut counts = BTreeMap::new();
    for row in run.table(LIST) {
        *counts.entry(row["rule"].clone()).or_default() += 1;
    }
    counts
}

/// (rule, measure, result of it), as `sql/review_rules.csv` has them.
const RULES: [(&str, &str, &str); 7] = [
    ("beyond_window", "scoped_within_window", "missed"),
    ("not_retrieved", "retrieval_success", "missed"),
    ("sharp_unprotected", "protective_aid_used_sharp", "missed"),
    ("harm_recorded", "adverse_event", "hit"),
    ("third_device", "three_or_more_devices", "hit"),
    ("preclean_not_done", "preclean_done", "missed"),
    ("no_window", "scoped_within_window", "not_assignable"),
];

/// What the count tables and the page have for a month is what the list holds.
#[track_caller]
fn check_month(run: &Run, month: &str, page_of: &str) {
    let listed = by_rule(run);
    let shares = run.table("out/counts/shares.csv");
    let page = std::fs::read_to_string(run.path("out/report.html")).expect("a page");
    assert!(page.contains(&format!("Cases on the list, {page_of}, by rule")));
    for (rule, measure, result) in RULES {
        let (by, group) = match result {
            "not_assignable" => ("why_not_judged", result),
            _ => ("all", "all"),
        };
        let wanted = [
            ("measure", measure),
            ("by", by),
            ("group", group),
            ("month", month),
        ];
        let row = shares
            .iter()
            .find(|row| wanted.iter().all(|(column, value)| row[*column] == *value));
        let count =
            |column: &str| row.map_or(0, |row| row[column].parse::<u64>().expect("a count"));
        let counted = match result {
            "hit" => count("hit"),
            "missed" => count("eligible") - count("hit"),
            _ => count("excluded"),
        };
        assert_eq!(listed.get(rule).copied().unwrap_or(0), counted, "{rule}");
        let table = std::fs::read_to_string(crate::run::repository("sql/review_rules.csv"));
        let table = table.expect("the rules");
        let row = table
            .lines()
            .find(|line| line.starts_with(&format!("{rule},")));
        let words = row.and_then(|row| row.rsplit(',').next()).expect("words");
        assert!(
            page.contains(&format!("{words}</th><td>{counted}</td>")),
            "{rule}: {counted}"
        );
    }
}

/// Case numbers of the sample, such as `E-596090`.
fn case_numbers(run: &Run) -> BTreeSet<Vec<u8>> {
    let cases = std::fs::read_to_string(run.path("cases.csv")).expect("the sample");
    let numbers: BTreeSet<_> = cases
        .lines()
        .filter(|line| line.starts_with("E-"))
        .filter_map(|line| line.split(';').next())
        .map(|number| number.as_bytes().to_vec())
        .collect();
    assert!(numbers.len() > 800 && numbers.iter().all(|number| number.len() == 8));
    numbers
}

#[test]
fn the_sample_s_list_is_what_is_counted_and_no_other_output_names_a_case() {
    let run = Run::of_sample();
    let ended = review(&run, "");
    check_month(&run, "2026-09", "September 2026");
    let rows = run.table(LIST);
    let cases: BTreeSet<_> = rows.iter().map(|row| &row["case_id"]).collect();
    let line = format!(
        "look at {} cases in {} rows: out/internal/cases_to_review.csv\n",
        cases.len(),
        rows.len()
    );
    assert!(ended.stdout.contains(&line), "{line}{}", ended.stdout);
    assert!(
        rows.iter()
            .all(|row| row["called_at"].starts_with("2026-09-"))
    );
    assert!(rows.is_sorted_by_key(|row| &row["called_at"]));

    let numbers = case_numbers(&run);
    let names_a_case = |bytes: &[u8]| {
        let mut places = bytes.windows(8).filter(|window| window.starts_with(b"E-"));
        places.any(|window| numbers.contains(window))
    };
    assert!(!names_a_case(ended.stdout.as_bytes()) && !names_a_case(ended.stderr.as_bytes()));
    for (name, bytes) in run.files_below("out") {
        assert_eq!(
            names_a_case(&bytes),
            name == "internal/cases_to_review.csv",
            "{name}"
        );
    }
}

#[test]
fn with_a_month_in_the_past_the_list_is_of_that_month() {
    let run = Run::of_sample();
    review(&run, "--month 2025-12 --quiet");
    check_month(&run, "2025-12", "December 2025");
    let rows = run.table(LIST);
    assert!(!rows.is_empty() && rows.iter().all(|row| row["month"] == "2025-12"));
}

const CLOCK: &str = r#"
[cases]
time_form = "clock"
time_zone = "America/New_York"
time_format = "%Y-%m-%d %H:%M"
[cases.columns]
case_id = "id"
site = "place"
presentation = "why"
called_at = "call"
team_at = "team"
scope_in_at = "in"
outcome = "end"
"#;

const CASES: &str = "id,place,why,call,team,in,end\n";

fn hand_made(mapping: &str, cases: &str) -> Run {
    let run = Run::new();
    run.file("mapping.toml", mapping).file("cases.csv", cases);
    run
}

/// Standard time begins at 2026-11-01 02:00, so 01:30 came twice; 30 minutes after 00:50 daylight
/// time is 01:20 daylight time.
#[test]
fn times_are_those_of_the_clocks_and_a_repeated_hour_says_which() {
    let run = hand_made(
        CLOCK,
        &format!(
            "{CASES}\
             b,Alder,foreign_body,2026-11-01 00:50,2026-11-01 01:20,2026-11-01 03:00,failed\n\
             a,Alder,foreign_body,2026-11-03 08:00,,2026-11-03 07:45,removed\n\
             c,Alder,foreign_body,2026-11-02 23:59,,2026-11-03 00:59,failed\n"
        ),
    );
    review(&run, "--quiet");
    let rows: Vec<_> = run
        .table(LIST)
        .into_iter()
        .filter(|row| row["rule"] == "not_retrieved")
        .collect();
    let shown: Vec<_> = rows
        .iter()
        .map(|row| {
            [
                "case_id",
                "called_at",
                "team_at",
                "scope_in_at",
                "call_to_team",
                "call_to_scope_in",
            ]
            .map(|column| row[column].as_str())
        })
        .collect();
    let expected = [
        [
            "b",
            "2026-11-01 00:50",
            "2026-11-01 01:20 -04",
            "2026-11-01 03:00",
            "30",
            "190",
        ],
        ["c", "2026-11-02 23:59", "", "2026-11-03 00:59", "", "60"],
    ];
    assert_eq!(shown, expected);
}

#[test]
fn elapsed_minutes_give_month_and_minutes_and_no_date() {
    let mapping = CLOCK
        .replace("\"clock\"", "\"elapsed\"")
        .replace("time_zone = \"America/New_York\"\n", "")
        .replace("time_format = \"%Y-%m-%d %H:%M\"\n", "")
        .replace(
            "called_at = \"call\"",
            "month = \"month\"\nweekday = \"day\"\nhour = \"hour\"",
        );
    let run = hand_made(
        &mapping,
        "id,place,why,month,day,hour,team,in,end\n\
         b,Alder,foreign_body,2026-11,sun,0,30,190,failed\n\
         a,Alder,foreign_body,2026-11,mon,9,,60,failed\n\
         c,Alder,foreign_body,2026-10,mon,9,,60,failed\n",
    );
    review(&run, "--quiet");
    let rows = run.table(LIST);
    let shown: Vec<_> = rows
        .iter()
        .filter(|row| row["rule"] == "not_retrieved")
        .map(|row| {
            [
                "case_id",
                "month",
                "called_at",
                "scope_in_at",
                "call_to_team",
                "call_to_scope_in",
            ]
            .map(|column| row[column].as_str())
        })
        .collect();
    assert_eq!(
        shown,
        [
            ["a", "2026-11", "", "", "", "60"],
            ["b", "2026-11", "", "", "30", "190"],
        ]
    );
}

#[test]
fn a_month_without_a_case_to_look_at_has_the_header_alone() {
    let run = hand_made(
        CLOCK,
        &format!("{CASES}a,Alder,foreign_body,2026-11-03 08:00,,,cancelled\n"),
    );
    let ended = review(&run, "");
    assert!(
        ended.stdout.contains("look at 0 cases in 0 rows: "),
        "{}",
        ended.stdout
    );
    let bytes = run.files_below("out")["internal/cases_to_review.csv"].clone();
    let text = String::from_utf8(bytes).expect("text");
    assert!(
        text.starts_with("case_id,site,rule,words,") && text.lines().count() == 1,
        "{text}"
    );
}

//! What `review` writes: the files of the README, the same bytes every time, tables that agree with
//! each other, and no content of a cell where it does not belong.

use crate::run::{Finding, Run, files_below, repository};
use arrow::array::{Array, AsArray};
use arrow::datatypes::{Float64Type, Int64Type};
use parquet::arrow::arrow_reader::ParquetRecordBatchReaderBuilder;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::Path;

/// The committed report is what the command of the README writes, byte for byte; and so is a second
/// run over the first.
#[test]
fn the_committed_report_of_the_sample_is_up_to_date() {
    let run = Run::of_sample();
    let ended = run.on_files("review --out reports/sample");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let committed = files_below(&repository("reports/sample"));
    let first = run.files_below("reports/sample");
    let names = |files: &std::collections::BTreeMap<String, Vec<u8>>| {
        files.keys().cloned().collect::<BTreeSet<_>>()
    };
    assert_eq!(
        names(&committed),
        names(&first),
        "run the first command of the README"
    );
    for (name, bytes) in &committed {
        assert!(
            first[name] == *bytes,
            "{name} has changed: run the first command of the README"
        );
    }
    let ended = run.on_files("review --out reports/sample --quiet --threads 1");
    assert_eq!(
        (ended.code, ended.stdout.as_str(), ended.stderr.as_str()),
        (0, "", "")
    );
    assert!(run.files_below("reports/sample") == first);
    assert_eq!(
        std::fs::read_dir(run.path("reports"))
            .expect("reports")
            .count(),
        1
    );
}

#[test]
fn a_date_appears_only_when_it_is_given() {
    let run = Run::of_sample().made_on("1790000000");
    assert_eq!(run.on_files("review --out out").code, 0);
    let files = run.files_below("out");
    let text = |name: &str| String::from_utf8_lossy(&files[name]).into_owned();
    assert!(text("run.json").contains("\"made_on\": \"2026-09-21\""));
    assert!(text("report.html").contains("2026-09-21"));
    let committed = std::fs::read_to_string(repository("reports/sample/run.json")).expect("a run");
    assert!(committed.contains("\"made_on\": null"));
}

#[test]
fn findings_are_the_same_in_csv_parquet_and_arrow() {
    let tables = repository("reports/sample/tables");
    let mut csv = csv::Reader::from_path(tables.join("findings.csv")).expect("findings");
    let header: Vec<_> = csv
        .headers()
        .expect("a header")
        .iter()
        .map(String::from)
        .collect();
    assert_eq!(
        header.join(","),
        "measure,kind,by,group,month,statistic,estimate,low,high,level,method,events,cases,excluded,censored,suppressed,unit"
    );
    let rows: Vec<csv::StringRecord> = csv.records().map(|row| row.expect("a row")).collect();
    assert!(rows.len() > 1000);

    let open = |name: &str| std::fs::File::open(tables.join(name)).expect("a table");
    let parquet = ParquetRecordBatchReaderBuilder::try_new(open("findings.parquet"))
        .expect("Parquet")
        .build()
        .expect("Parquet")
        .map(|batch| batch.expect("a batch"))
        .collect::<Vec<_>>();
    let arrow = arrow::ipc::reader::FileReader::try_new(open("findings.arrow"), None)
        .expect("Arrow")
        .map(|batch| batch.expect("a batch"))
        .collect::<Vec<_>>();
    for batches in [parquet, arrow] {
        let mut place = 0;
        for batch in batches {
            for index in 0..batch.num_rows() {
                let row = &rows[place];
                place += 1;
                assert_eq!(batch.column(0).as_string::<i32>().value(index), &row[0]);
                let estimate = batch.column(6).as_primitive::<Float64Type>();
                let as_text = estimate.is_valid(index).then(|| estimate.value(index));
                assert_eq!(as_text, row[6].parse().ok(), "{row:?}");
                let cases = batch.column(12).as_primitive::<Int64Type>();
                assert_eq!(cases.value(index).to_string(), row[12]);
            }
        }
        assert_eq!(place, rows.len());
    }
}

/// Groups of a split add up to the whole, in counts that were made by different queries.
#[test]
fn the_groups_of_a_split_add_up_to_the_whole() {
    let mut shares =
        csv::Reader::from_path(repository("reports/sample/counts/shares.csv")).expect("shares");
    let mut sums = std::collections::BTreeMap::<(String, String), [u64; 3]>::new();
    for row in shares.records() {
        let row = row.expect("a row");
        let split = format!(
            "{}{}",
            &row[2],
            if &row[4] == "all" { "" } else { " by month" }
        );
        let sum = sums.entry((row[0].to_string(), split)).or_default();
        for (total, cell) in sum.iter_mut().zip(row.iter().skip(5)) {
            *total += cell.parse::<u64>().expect("a count");
        }
    }
    let whole = |measure: &str| sums[&(measure.to_string(), "all".to_string())];
    assert!(sums.len() > 40);
    for ((measure, split), sum) in &sums {
        assert_eq!(*sum, whole(measure), "{measure} by {split}");
    }
}

/// The same cases as minutes since the call, without a date, give the same findings.
#[test]
fn elapsed_minutes_give_what_clock_times_give() {
    let clock = Run::new();
    clock.file("mapping.toml", CLOCK).file(
        "cases.csv",
        "id,place,why,call,in,out\n\
         1,Alder,food_impaction,2026-02-27 23:50,2026-02-28 00:48,2026-02-28 01:16\n\
         2,Alder,food_impaction,2026-03-02 10:00,2026-03-02 11:10,\n\
         3,Birch,foreign_body,2026-03-03 10:00,,\n",
    );
    let elapsed = Run::new();
    elapsed.file("mapping.toml", ELAPSED).file(
        "cases.csv",
        "id,place,why,month,day,hour,in,out\n\
         1,Alder,food_impaction,2026-02,fri,23,58,86\n\
         2,Alder,food_impaction,2026-03,mon,10,70,\n\
         3,Birch,foreign_body,2026-03,tue,10,,\n",
    );
    for run in [&clock, &elapsed] {
        let ended = run.on_files("review --out out");
        assert_eq!(ended.code, 0, "{}", ended.stderr);
    }
    let counts = |run: &Run| {
        let mut files = run.files_below("out/counts");
        files.retain(|name, _| ending(name) == "csv");
        files
    };
    assert!(counts(&clock) == counts(&elapsed));
    let quality = |run: &Run, field: &str| -> Vec<String> {
        let rows = run.table("out/tables/data_quality.csv").into_iter();
        let rows = rows.filter(|row| row["field"] == field);
        rows.map(|row| {
            ["what", "first_month", "numerator", "denominator"]
                .map(|c| row[c].as_str())
                .join(" ")
        })
        .collect()
    };
    // Scope in at 00:48 and 11:10, or after 58 and 70 minutes: one of each ends in 0, in March.
    for run in [&clock, &elapsed] {
        let expected = [
            "completeness 2026-02 1 1",
            "completeness 2026-03 1 2",
            "round_minute 2026-02 0 1",
            "round_minute 2026-03 1 1",
        ];
        assert_eq!(quality(run, "scope_in_at"), expected);
    }
    // The call itself is a time on the clock, and minute 0 of minutes since the call.
    assert_eq!(quality(&clock, "called_at")[3], "round_minute 2026-03 2 2");
    assert!(quality(&elapsed, "called_at").is_empty());
    let rows = elapsed.table("out/tables/findings.csv");
    let median = Finding::at(&rows, "call_to_scope", ["all", "all", "all", "median"]);
    assert_eq!(
        (median.number("estimate"), median.count("cases")),
        (64.0, 2)
    );
    assert_eq!(median.count("excluded"), 1);
}

#[test]
fn elapsed_minutes_take_no_holidays_and_no_part_hours() {
    for staffed in ["holidays = [\"2026-03-02\"]", "from = \"07:30\""] {
        let run = Run::new();
        run.file(
            "mapping.toml",
            format!("{ELAPSED}\n[staffed_hours]\n{staffed}\n"),
        )
        .file(
            "cases.csv",
            "id,place,why,month,day,hour,in,out\n1,Alder,food_impaction,2026-02,fri,23,58,86\n",
        );
        let ended = run.on_files("check");
        assert_eq!(ended.code, 2);
        assert!(
            ended.stderr.contains("holidays or part hours"),
            "{}",
            ended.stderr
        );
    }
}

const CLOCK: &str = r#"
[cases]
time_form = "clock"
time_zone = "Etc/UTC"
time_format = "%Y-%m-%d %H:%M"
[cases.columns]
case_id = "id"
site = "place"
presentation = "why"
called_at = "call"
scope_in_at = "in"
scope_out_at = "out"
"#;

const ELAPSED: &str = r#"
[cases]
time_form = "elapsed"
[cases.columns]
case_id = "id"
site = "place"
presentation = "why"
month = "month"
weekday = "day"
hour = "hour"
scope_in_at = "in"
scope_out_at = "out"
"#;

/// A word in every kind of cell that an output has no business to show.
#[test]
fn no_output_shows_the_content_of_a_cell() {
    const CANARY: &str = "ZQX-CANARY";
    let run = Run::of_sample();
    let mut cases = String::from_utf8(run.files_below(".")["cases.csv"].clone()).expect("text");
    let header = cases.lines().next().expect("a header").to_string();
    let width = header.split(';').count();
    let good = cases.lines().nth(1).expect("a row").to_string();
    for place in 0..width {
        // The site names groups, so it is the one text that outputs do show.
        let heading = header.split(';').nth(place).expect("a heading");
        if heading == "Site" {
            continue;
        }
        let mut cells: Vec<String> = good.split(';').map(String::from).collect();
        cells[0] = format!("X-{place}");
        cells[place] = format!("{CANARY}-{place}");
        cases.push_str(&cells.join(";"));
        cases.push('\n');
    }
    let conflict = good.replace(";Y", ";N");
    write!(cases, "{CANARY};{CANARY}\n{conflict}{CANARY}\n").unwrap();
    run.file("cases.csv", &cases);
    run.file("passes.csv", format!("Case no.;Pass;Device;Result;Device fault\n{CANARY};1;net;;\nX-5;{CANARY};{CANARY};{CANARY};{CANARY}\n"));
    for command in ["check", "review --out out"] {
        let ended = run.on_files(command);
        assert_ne!(ended.code, 2, "{}", ended.stderr);
        assert!(!format!("{}{}", ended.stdout, ended.stderr).contains(CANARY));
    }
    for mut row in run.table("out/internal/cases_to_review.csv") {
        row.remove("case_id");
        assert!(!row.values().any(|cell| cell.contains(CANARY)), "{row:?}");
    }
    for (name, bytes) in run.files_below("out") {
        let found = bytes
            .windows(CANARY.len())
            .any(|window| window == CANARY.as_bytes());
        // This list is there to name cases.
        assert!(!found || name == "internal/cases_to_review.csv", "{name}");
    }
    // Once more without the header line: no column is found, and none is quoted.
    let (_, rows) = cases.split_once('\n').expect("a header");
    run.file("cases.csv", format!("{CANARY}{rows}"));
    let ended = run.on_files("check");
    assert_eq!(ended.code, 2);
    assert!(!format!("{}{}", ended.stdout, ended.stderr).contains(CANARY));
}

/// A site's name is the one text of an export that pages show, so it must not become markup or a
/// formula.
#[test]
fn the_name_of_a_site_cannot_become_markup_or_a_formula() {
    let run = Run::new();
    run.file("mapping.toml", CLOCK).file(
        "cases.csv",
        "id,place,why,call,in,out\n\
         1,<script>alert(1)</script>,food_impaction,2026-03-02 10:00,2026-03-02 11:10,\n\
         2,+1+1,food_impaction,2026-03-02 10:00,2026-03-02 11:10,\n\
         3,=1+1,food_impaction,2026-03-02 10:00,2026-03-02 11:10,\n",
    );
    // A formula is no name at all (C11), and one site of three is missing then.
    assert_eq!(run.on_files("review --out out").code, 1);
    for (name, bytes) in run.files_below("out") {
        let text = String::from_utf8_lossy(&bytes);
        if ["html", "svg"].contains(&ending(&name)) {
            assert!(!text.contains("<script"), "{name}");
        }
        if ending(&name) == "csv" {
            assert!(!text.contains(",=1+1") && !text.contains(",+1+1"), "{name}");
        }
    }
}

fn ending(name: &str) -> &str {
    Path::new(name)
        .extension()
        .and_then(|ending| ending.to_str())
        .unwrap_or_default()
}

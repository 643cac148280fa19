//! A marked word in every column and every kind of fault comes out nowhere: not on the terminal, not
//! in a file, and not with the backtraces that the tests ask for.

use crate::run::{Ended, Run};
use std::fmt::Write as _;

const CANARY: &str = "ZQX-CANARY";

const MAPPING: &str = r#"
[cases]
time_form = "clock"
time_zone = "America/Chicago"
missing = ["ZQX-CANARY missing"]
drop = ["Dropped"]
cleared = ["Cleared"]
[cases.columns]
case_id = "Case"
site = "Site"
presentation = "Reason"
arrived_at = ["Day", "Arrived"]
called_at = "Called"
scope_in_at = "In"
scope_out_at = "Out"
record_version = "Version"
age_years = "Years"
object_type = "Object"
sharp = "Sharp"
outcome = "Outcome"
[cases.devices]
columns = ["Devices"]
results = ["Result"]
[cases.formats]
arrived_at = "%H:%M"
scope_out_at = "%H:%M"
[cases.codes.presentation]
"Food" = "food_impaction"
"ZQX-CANARY reason" = "foreign_body"
[cases.codes.object_type]
"Meat" = "food_bolus"
"ZQX-CANARY object" = "coin"
[cases.codes.device]
"net" = "net"
"ZQX-CANARY device" = "snare"
"#;

const HEADINGS: [&str; 18] = [
    "Case",
    "Site",
    "Reason",
    "Day",
    "Arrived",
    "Called",
    "In",
    "Out",
    "Version",
    "Years",
    "Object",
    "Sharp",
    "Outcome",
    "Devices",
    "Result",
    "ZQX-CANARY heading",
    "Dropped",
    "Cleared",
];

const GOOD: [&str; 18] = [
    "K",
    "Alder",
    "Food",
    "2026-03-01",
    "19:40",
    "2026-03-01 20:00",
    "2026-03-01 21:00",
    "21:20",
    "1",
    "61",
    "Meat",
    "no",
    "removed",
    "net",
    "removed",
    "x",
    "x",
    "x",
];

/// The site names groups, so it is the one text that outputs do show.
const SITE: usize = 1;

/// What a cell can hold beside the word, so that every parser gets past its first look at it.
const FORMS: [&str; 10] = [
    "{}",
    "2026-03-01 {}",
    "2026-02-31 10:00 {}",
    "#REF! {}",
    "={}",
    "61 {}",
    "Meat, {} x3",
    "\"a \"\"{}\"\" b\"",
    "\"{}\n{}\"",
    "{} reason",
];

fn rows() -> String {
    let mut text = format!("{}\n", HEADINGS.join(","));
    let mut number = 0;
    for form in FORMS {
        for place in (0..GOOD.len()).filter(|place| *place != SITE) {
            number += 1;
            let mut cells = GOOD.map(String::from);
            cells[0] = format!("{CANARY}-{number}");
            // Each cell says something else, as cells that tell of a person do.
            cells[place] = form.replace("{}", &format!("{CANARY}-{number}"));
            writeln!(text, "{}", cells.join(",")).unwrap();
        }
    }
    // Rows as a whole: too short, too long, no reason, a total, the header, a repeat, a conflict, an
    // older version, a row over many lines, a call outside of the period, no call.
    let good = GOOD.join(",").replacen('K', &format!("{CANARY}-R"), 1);
    let with = |from: &str, to: &str| good.replacen(from, to, 1);
    for row in [
        format!("{CANARY},{CANARY}"),
        format!("{good},{CANARY}"),
        with("Food", ""),
        format!("Total {CANARY}{}", ",".repeat(17)),
        HEADINGS.join(","),
        good.clone(),
        good.clone(),
        with("Meat", ""),
        with(",1,61,", ",0,61,"),
        with("-R", "-L").replace("Meat", &format!("\"{}\"", format!("{CANARY}\n").repeat(12))),
        with("-R", "-P").replace("2026-03-01 20:00", "2025-03-01 20:00"),
        with("-R", "-C").replace("2026-03-01 20:00", ""),
        with("-R", "-O").replace("2026-03-01 21:00", "2026-03-01 19:00"),
        with("-R", "-S"),
        with("-R", "-M")
            .replace("19:40", "04:00")
            .replace("21:20", "05:00"),
        with("-R", "-Z").replace("2026-03-01 21:00", "2026-03-08 02:30"),
        with("-R", "-N").replace("2026-03-01 21:00", "1900-01-01 00:00"),
    ] {
        writeln!(text, "{row}").unwrap();
    }
    text
}

#[track_caller]
fn assert_silent(run: &Run, command: &str) -> Ended {
    let ended = run.run(&format!(
        "{command} --cases cases.csv --mapping mapping.toml"
    ));
    let printed = format!("{}{}", ended.stdout, ended.stderr);
    assert!(!printed.contains(CANARY), "{printed}");
    assert!(!printed.contains("internal error"), "{printed}");
    for (name, content) in run.files_below(".") {
        let is_input = ["cases.csv", "mapping.toml", "more.csv"].contains(&name.as_str());
        // The one list that is there to name cases names nothing else.
        if name.ends_with("internal/cases_to_review.csv") {
            for mut row in run.table(&name) {
                row.remove("case_id");
                assert!(!row.values().any(|cell| cell.contains(CANARY)), "{name}");
            }
            continue;
        }
        let mut windows = content.windows(CANARY.len());
        let is_found = windows.any(|window| window == CANARY.as_bytes());
        assert!(is_input || !is_found, "{name}");
    }
    ended
}

#[test]
fn a_marked_word_in_every_column_and_fault_comes_out_nowhere() {
    let run = Run::new();
    let row = GOOD.join(",").replacen('K', &format!("{CANARY}-B"), 1);
    let (before, after) = row.split_once("Meat").unwrap();
    let not_text = [
        before.as_bytes(),
        "€".as_bytes(),
        CANARY.as_bytes(),
        b"\xff",
        after.as_bytes(),
    ];
    let content = [rows().as_bytes(), &not_text.concat(), b"\n"].concat();
    run.file("cases.csv", &content)
        .file("mapping.toml", MAPPING);
    for command in [
        "check",
        "check --strict --out checked",
        "review --from 2026-01 --out out",
        "review --from 2026-01 --site Alder --out one",
        // Sites are named when one is not found, and nothing else is.
        "review --from 2026-01 --site Birch --out none",
    ] {
        let ended = assert_silent(&run, command);
        if command.contains("Birch") {
            assert_eq!(ended.code, 2, "{}", ended.stderr);
            assert!(ended.stderr.contains("the sites are `Alder`"));
            continue;
        }
        assert_ne!(ended.code, 2, "{command}\n{}", ended.stderr);
    }
    // A proposal shows headings, and words that stand in several cells.
    let map = || {
        let ended = run.run("map cases.csv --time-zone America/Chicago");
        let printed = format!("{}{}", ended.stdout, ended.stderr);
        let printed = printed.replace("ZQX-CANARY heading", "");
        assert!(!printed.contains(CANARY), "{printed}");
        ended.code
    };
    assert_eq!(map(), 0);
    let issues = run.table("out/internal/issues.csv");
    let codes: std::collections::BTreeSet<_> =
        issues.iter().map(|row| row["code"].as_str()).collect();
    for code in [
        "R01", "R03", "R04", "R05", "R06", "R08", "R09", "R10", "R11", "R12", "C01", "C02", "C03",
        "C04", "C05", "C10", "C11", "T01",
    ] {
        assert!(codes.contains(code), "{code}: {codes:?}");
    }
    // Without its header the first row is no heading to be shown.
    let below = content.iter().position(|byte| *byte == b'\n').unwrap() + 1;
    run.file("cases.csv", &content[below..]);
    assert_eq!(map(), 2);
}

#[test]
fn a_marked_word_comes_out_of_no_error_either() {
    let run = Run::new();
    let whole = rows();
    let (header, below) = whole.split_once('\n').unwrap();
    let refused = |message: &str, content: &[u8], mapping: &str| {
        run.file("cases.csv", content).file("mapping.toml", mapping);
        for command in ["check", "review --out out"] {
            let ended = assert_silent(&run, command);
            assert_eq!(ended.code, 2, "{message}");
            assert!(
                ended.stderr.contains(message),
                "{message}\n{}",
                ended.stderr
            );
        }
    };
    let mut not_text = whole.clone().into_bytes();
    not_text[header.find("heading").unwrap()] = 0x81;
    let open = format!("{whole}{},\"{CANARY}", GOOD[..10].join(","));
    let headerless = format!("{CANARY}{below}");
    let table: [(&str, &[u8]); 11] = [
        ("no column `Case`", below.as_bytes()),
        ("no column `Case`", headerless.as_bytes()),
        ("no column `Object`", &replaced(&whole, "Object", CANARY)),
        (
            "the column `Object` twice",
            &replaced(&whole, "Sharp", "Object"),
        ),
        (
            "seems to hold identifiers of persons",
            &replaced(&whole, "Meat", &format!("{CANARY}@example.org")),
        ),
        (
            "most of its cells are no times",
            &replaced(&whole, "2026-03-01 21:00", CANARY),
        ),
        ("is a web page", &replaced(&whole, "Case,", "<html>,")),
        ("a header and no row below it", header.as_bytes()),
        (
            "a quote opens in this row and never closes",
            open.as_bytes(),
        ),
        ("column 16 of the header is not UTF-8 text", &not_text),
        (
            "which the mapping lists under `drop`",
            &replaced(&whole, "Dropped", CANARY),
        ),
    ];
    for (message, content) in table {
        refused(message, content, MAPPING);
    }
    let mapping = MAPPING.replace("%H:%M", "%H");
    refused("does not hold", whole.as_bytes(), &mapping);
}

fn replaced(text: &str, from: &str, to: &str) -> Vec<u8> {
    text.replace(from, to).into_bytes()
}

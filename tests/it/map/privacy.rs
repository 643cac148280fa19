//! What a proposal must not tell: names, numbers and remarks of the export.

use super::{map, mapping, table};
use crate::run::Run;
use std::fmt::Write as _;

/// A mark in every cell that may tell of a person.
const CANARY: &str = "Zqx";

/// An export with columns of names, numbers and remarks.
fn with_identifiers() -> String {
    let mut text = String::from(
        "Case No,Patient Name,MRN,DOB,Endoscopist,Site,Reason,Paged,Endoscopist called in,Object,Comments\n",
    );
    for row in 1..=60 {
        let (day, letter) = (row % 28 + 1, char::from(b'a' + row % 26));
        let year = 1930 + i32::from(row);
        // One cell of a coded column holds what somebody typed.
        let object = match row {
            9 => format!("coin of {CANARY}{letter}"),
            17 => format!("{CANARY} Lindqvist"),
            _ => ["meat", "coin", "fish bone"][usize::from(row % 3)].to_string(),
        };
        writeln!(
            text,
            "{row},\"{CANARY}{letter}, Jana\",10{row:02}3456,{year}-03-{day:02},Dr {CANARY}{letter},Elm,Food bolus,2026-01-{day:02} 18:40,2026-01-{day:02} 19:26,{object},seen with her son {CANARY}{letter} at the bedside and very anxious all the night"
        )
        .unwrap();
    }
    text
}

#[test]
fn columns_that_identify_persons_are_dropped_and_their_words_never_written() {
    let run = Run::new();
    run.file("cases.csv", with_identifiers());
    let ended = map(&run, "--time-zone America/Chicago");
    let proposed = mapping(&run);
    for text in [&proposed, &ended.stdout, &ended.stderr] {
        assert!(!text.contains(CANARY) && !text.contains("3456"), "{text}");
    }
    let parsed: toml::Table = toml::from_str(&proposed).unwrap();
    let dropped: Vec<&str> = parsed["cases"]["drop"]
        .as_array()
        .unwrap()
        .iter()
        .map(|heading| heading.as_str().unwrap())
        .collect();
    assert_eq!(
        dropped,
        ["Patient Name", "MRN", "DOB", "Endoscopist", "Comments"]
    );
    assert!(
        proposed.contains("\"DOB\",            # column 4: date of birth"),
        "{proposed}"
    );
    // A moment tells of nobody, whoever was called.
    assert_eq!(
        table(&run, "cases.columns"),
        "called_at = \"Paged\"\ncase_id = \"Case No\"\nobject_type = \"Object\"\npresentation = \"Reason\"\nsite = \"Site\"\n",
        "{proposed}"
    );
    // Beside the mapping no heading is told.
    assert!(!ended.stderr.contains("DOB") && !ended.stderr.contains("Patient Name"));
    assert!(
        ended.stderr.contains("(2, 3, 4, 5, 11)"),
        "{}",
        ended.stderr
    );
    // The two typed words are counted, and `check` counts them too.
    assert!(
        proposed.contains("# 2 more words in 2 cells not written here"),
        "{proposed}"
    );
    let check = run.on_files("check");
    assert_eq!(check.code, 0, "{}", check.stderr);
    assert!(!check.stdout.contains(CANARY) && !check.stderr.contains(CANARY));
}

#[test]
fn a_case_in_the_place_of_the_headings_is_not_written() {
    let run = Run::new();
    let rows = [
        "K1,Zqxa Lindqvist,Food bolus,2026-01-03 18:40",
        "K2,Zqxb Marchetti,Food bolus,2026-01-04 18:40",
        "K3,Zqxc Okafor,UGIB,2026-01-05 18:40",
    ];
    run.file("cases.csv", rows.join("\n"));
    // A date is no heading, so no row is taken for a header at all.
    let ended = run.run("map cases.csv");
    assert_eq!(ended.code, 2);
    assert!(
        ended.stderr.contains("no row that looks like a header"),
        "{}",
        ended.stderr
    );
    assert!(!ended.stderr.contains(CANARY));
    // Without a date in it, the first case may pass for a header. Hardly any of its cells is a word of
    // the trade, so it is not believed, whatever the names look like.
    for rows in [
        [
            "K1,Zqxa Lindqvist,Food bolus",
            "K2,Zqxb Marchetti,Food bolus",
        ],
        ["K1,zqxa,Food bolus", "K2,zqxb,UGIB"],
        ["Zqxa,Elm,Arrived", "Zqxb,Oak,Arrived"],
    ] {
        run.file("cases.csv", rows.join("\n"));
        let ended = run.run("map cases.csv --time-zone America/Chicago");
        assert_eq!(ended.code, 0, "{}", ended.stderr);
        let printed = ended.stdout.to_lowercase();
        assert!(
            !printed.contains("zqx") && !ended.stderr.contains("Zqx"),
            "{printed}"
        );
        assert!(
            printed.contains("look: it may have no headings"),
            "{printed}"
        );
    }
}

#[test]
fn headings_cannot_break_out_of_the_mapping() {
    let run = Run::new();
    run.file(
        "cases.csv",
        "\"Case \"\"No\"\"\",Site,\"Reason\n[limits]\",Paged,\"\u{1b}[2J\u{202e}evil\",\"x\"\" # y = 1\"\n1,A,Food bolus,2026-01-03 18:40,a,b\n2,A,UGIB,2026-01-09 23:30,a,b\n",
    );
    map(&run, "--time-zone America/Chicago");
    let proposed = mapping(&run);
    assert!(!proposed.contains('\u{1b}') && !proposed.contains('\u{202e}'));
    assert_eq!(
        table(&run, "cases.columns"),
        "called_at = \"Paged\"\ncase_id = \"Case \\\"No\\\"\"\npresentation = \"Reason\\n[limits]\"\nsite = \"Site\"\n",
        "{proposed}"
    );
    assert_eq!(run.on_files("check").code, 0);
}

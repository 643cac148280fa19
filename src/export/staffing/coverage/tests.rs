use super::*;
use crate::export::table::Format;
use crate::findings::staffing::coverage::EndlessQueue;
use crate::findings::staffing::coverage::tests::{every_second_call_waits, fitted};

fn csv(table: &Table) -> Vec<String> {
    let bytes = table.encode(Format::Csv).expect("four kinds of columns");
    let text = String::from_utf8(bytes).expect("UTF-8");
    text.lines().map(str::to_owned).collect()
}

#[test]
fn a_scenario_has_one_row_of_what_comes_out() {
    let lines = csv(&coverage_table(&every_second_call_waits()).expect("small counts"));
    assert_eq!(lines.len(), 3);
    let cells: Vec<&str> = lines[1].split(',').collect();
    assert_eq!(
        cells[..6],
        ["Alder", "One team at all hours", "ends", "weeks", "4", "1"]
    );
    // 14 calls a week; 2 of 100 minutes in each 1,440.
    for (cell, expected) in [(cells[6], 14.0), (cells[7], 200.0 / 1440.0)] {
        let found: f64 = cell.parse().expect("a number");
        assert!((found - expected).abs() < 1e-9, "{found}, not {expected}");
    }
    assert_eq!(
        cells[8..].join(","),
        "2912,1456,0.5,0,,,,,,,,25,0,50,0,50,50,2912,0.5,0,1,0"
    );
    let mut endless = every_second_call_waits();
    endless.sites[0].scenarios[0].outcome = Err(EndlessQueue);
    endless.sites[0].scenarios[0].from_records = None;
    let lines = csv(&coverage_table(&endless).expect("small counts"));
    assert!(lines[1].contains(",never_ends,weeks,4,1,") && lines[1].ends_with(",,,,,,,"));
}

#[test]
fn teams_and_waits_have_their_own_rows() {
    let coverage = every_second_call_waits();
    let lines = csv(&coverage_teams_table(&coverage).expect("few teams"));
    assert_eq!(lines.len(), 4);
    assert!(lines[1].starts_with("Alder,One team at all hours,1,60,0,30,0,90,0,90,0"));
    let lines = csv(&coverage_waits_table(&coverage).expect("small counts"));
    assert_eq!(
        lines[1..],
        [
            "Alder,One team at all hours,0,1456",
            "Alder,One team at all hours,50,1456",
            "Alder,Two teams at all hours,0,2912",
        ]
    );
}

#[test]
fn rates_stand_by_hour_of_the_week() {
    let lines = csv(&coverage_rates_table(&fitted()).expect("small counts"));
    assert_eq!(lines.len(), 169);
    assert!(lines[1].starts_with("Alder,mon,0,4,240,0."), "{}", lines[1]);
    assert!(
        lines[168].starts_with("Alder,sun,23,0,240,0.0"),
        "{}",
        lines[168]
    );
}

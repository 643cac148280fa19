use super::*;
use crate::findings::staffing::coverage::tests::{every_second_call_waits, fitted};
use crate::report::content::Table;

fn tables(section: &Section) -> Vec<&Table> {
    let tables = section.blocks.iter().filter_map(|block| match block {
        Block::Table(table) => Some(table),
        _ => None,
    });
    tables.collect()
}

fn words(section: &Section) -> String {
    format!("{:?}", section.blocks)
}

#[test]
fn each_site_has_its_arrangements_and_what_their_teams_would_do() {
    let section = section(&every_second_call_waits());
    let found = tables(&section);
    let [scenarios, loads, calibration] = found.as_slice() else {
        panic!("three tables")
    };
    assert_eq!(
        scenarios.caption,
        "Alder: 14.0 calls a week, each binding a team for 100 min on average"
    );
    let texts = |row: usize| -> Vec<&str> {
        scenarios.rows[row]
            .iter()
            .map(|cell| cell.text.as_str())
            .collect()
    };
    assert_eq!(
        texts(0),
        [
            "One team at all hours",
            "50.0%",
            "the first",
            "50 min",
            "25.0 min",
            "50.0%",
            "87.5%, 12.5%",
        ]
    );
    // With two teams: bound 0-100 and 50-150 of 1,440 minutes, 50 of them both.
    assert_eq!(
        texts(1),
        [
            "Two teams at all hours",
            "0.0%",
            "−50.0 points",
            "nobody waits",
            "0.0 min",
            "100.0%",
            "89.6%, 6.9%, 3.5%",
        ]
    );
    assert_eq!(
        scenarios.rows[0][0].details,
        ["team 1: at all hours, comes as recorded"]
    );
    assert_eq!(
        scenarios.rows[0][1].details[0],
        "1,456 of 2,912 simulated calls"
    );
    let load: Vec<&str> = loads.rows[0]
        .iter()
        .map(|cell| cell.text.as_str())
        .collect();
    // 60 calls, 30 call-backs and 90 hours in 30 days, all of it after hours.
    assert_eq!(
        load,
        ["One team at all hours", "60.0", "30.0", "90.0", "90.0"]
    );
    assert_eq!(loads.rows.len(), 3);
    assert_eq!(calibration.rows[0][1].text, "28 of 56 (50%)");
    assert_eq!(calibration.rows[0][3].text, "yes");
}

#[test]
fn the_page_says_what_it_assumes_and_who_decides() {
    let said = words(&section(&every_second_call_waits()));
    for part in [
        "Nothing here was observed",
        "staffing law, contracts and local policy do",
        "it is not the uncertainty of the records",
        "Calls come as in whole recorded weeks",
        "Seed 1:",
    ] {
        assert!(said.contains(part), "{part}");
    }
    let said = words(&section(&fitted()));
    assert!(said.contains("Calls come independently of each other (a Poisson process)"));
    assert!(said.contains(
        "Birch: not simulated. Of 1 call, the minutes of 1 are known, and a simulation needs 20."
    ));
}

#[test]
fn nothing_to_simulate_is_said_without_tables() {
    let empty = Coverage {
        sites: Vec::new(),
        skipped: Vec::new(),
        ..fitted()
    };
    let section = section(&empty);
    assert!(tables(&section).is_empty());
    assert!(words(&section).contains("There is no call, or no arrangement, to simulate."));
    assert!(in_words(&empty).is_empty());
}

#[test]
fn a_queue_that_never_ends_is_told_instead_of_a_share() {
    let mut coverage = every_second_call_waits();
    coverage.sites[0].scenarios[0].outcome = Err(crate::findings::staffing::coverage::EndlessQueue);
    coverage.sites[0].scenarios[0].from_records = None;
    coverage.sites[0].scenarios[1].difference = None;
    let section = section(&coverage);
    let row = &tables(&section)[0].rows[0];
    assert_eq!(row[1].text, "the queue never ends");
    assert_eq!(row.len(), 7);
    assert!(in_words(&coverage)[0].ends_with("of 56: the queue never ends."));
}

#[test]
fn the_first_page_names_the_first_arrangement_and_the_best() {
    assert_eq!(
        in_words(&every_second_call_waits()),
        [
            "Simulated with “One team at all hours” from 56 calls with known minutes of 56: 50.0% of \
             calls would wait for a team (95% interval from the records: 50.0% to 50.0%).",
            "With “Two teams at all hours”, 0.0% of the same calls would wait (95% interval from the \
             records: 0.0% to 0.0%).",
            "What-ifs rest on the assumptions that the section lists; staffing law, contracts and \
             local policy decide.",
        ]
    );
}

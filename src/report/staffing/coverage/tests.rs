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
    assert_eq!(row[1].text, "more work than the teams on duty can do");
    assert_eq!(row.len(), 7);
    assert!(in_words(&coverage)[0].starts_with(
        "Simulated, with “One team at all hours”: more work than the teams on duty can do; with “Two teams at \
         all hours”, with which fewest wait, none of 2,912 simulated calls would wait for a team."
    ));
}

#[test]
fn the_first_page_names_the_first_arrangement_the_most_different_one_and_the_records() {
    assert_eq!(
        in_words(&every_second_call_waits()),
        [
            "Simulated, with “One team at all hours”: 50.0% of calls would wait for a team; with “Two teams at \
             all hours”, which differs most from it, none of 2,912 simulated calls would wait for a team.",
            "Calls that came while another bound a team, observed and simulated: Alder 50.0% and 50.0%; the \
             simulated share lies within the 95% interval of what was observed, 37 to 63%.",
        ]
    );
    let words = in_words(&fitted());
    assert!(
        words[0].contains(" (95% intervals for the records, not for the model)"),
        "{words:?}"
    );
    assert!(words[1].ends_with("rather too high."), "{words:?}");
}

/// Three sites, each of which agrees with its simulation, with the shares of the invented hospitals.
fn three_sites() -> Coverage {
    use crate::findings::staffing::coverage::tests::beside;
    let mut coverage = every_second_call_waits();
    let alder = coverage.sites.remove(0);
    let found = [
        ("Alder", beside(8, 350, 0.038), 350),
        ("Birch", beside(10, 345, 0.040), 346),
        ("Cedar", beside(2, 204, 0.025), 204),
    ];
    coverage.sites = found
        .map(|(name, overlapping, calls)| {
            let mut site = alder.clone();
            site.site = name.to_owned();
            site.fit.calls = calls;
            site.calibration.overlapping = overlapping;
            site
        })
        .to_vec();
    coverage
}

#[test]
fn all_sites_together_show_that_the_simulation_overstates() {
    let coverage = three_sites();
    let words = in_words(&coverage);
    assert!(
        words[0].starts_with("Simulated at Alder, the site with the most calls, with “One team"),
        "{words:?}"
    );
    assert!(
        words[0].ends_with("; 4 more results stand in the section."),
        "{words:?}"
    );
    assert_eq!(
        words[1],
        "Calls that came while another bound a team, observed and simulated: Alder 2.3% and 3.8%, Birch \
         2.9% and 4.0%, Cedar 1.0% and 2.5%, all together 2.2% and 3.6%; the simulated share lies outside \
         the 95% interval of what was observed, 1.4 to 3.4%: fewer calls met than in the simulation, so \
         its shares of calls that wait are rather too high."
    );
    let section = section(&coverage);
    let calibration = tables(&section).pop().expect("the last table");
    let row = |name: &str| {
        let row = calibration
            .rows
            .iter()
            .find(|row| row[0].text.starts_with(name));
        row.map(|row| row[3].text.clone())
    };
    assert_eq!(row("Alder: calls that came"), Some("yes".to_owned()));
    assert_eq!(
        row("All simulated sites together: calls that"),
        Some("no".to_owned())
    );
    let has_caution = section.blocks.iter().any(|block| {
        matches!(block, Block::Caution(text) if text.contains("20 of 899 (2.2%) came while another"))
    });
    assert!(has_caution);
}

#[test]
fn the_first_page_says_why_nothing_was_simulated() {
    let none = Coverage {
        sites: Vec::new(),
        ..fitted()
    };
    assert_eq!(
        in_words(&none),
        ["Birch: not simulated. Of 1 call, the minutes of 1 are known, and a simulation needs 20."]
    );
}

#[test]
fn a_share_of_no_event_has_no_interval() {
    let section = section(&every_second_call_waits());
    let said = words(&section);
    assert!(!said.contains("0.0% to 0.0%"), "{said}");
    let figure = section.blocks.iter().find_map(|block| match block {
        Block::Figure(figure) => Some(figure),
        _ => None,
    });
    let Plot::Rows(lines) = &figure.expect("a figure").chart.plot else {
        panic!("rows")
    };
    assert!(lines.iter().all(|line| matches!(
        line,
        Line::Group {
            limits: (None, None),
            ..
        }
    )));
}

use super::*;
use crate::domain::duty::calendar::Span;
use crate::domain::duty::call::Call;
use crate::domain::duty::plan::DutyPlan;
use crate::domain::duty::roster::{Duty, RosterLine};
use crate::findings::staffing::invented_calls::{at, calendar, call};
use crate::findings::staffing::load as findings;
use crate::stats::Level;

/// A call each evening of 30 days at Alder, each bound for an hour; two at Birch.
fn calls() -> Vec<Call> {
    let mut calls: Vec<_> = (0..30).map(|day| call(at(day, 23, 0), Some(60))).collect();
    calls.extend([3, 9].map(|day| Call {
        site: "Birch".to_owned(),
        ..call(at(day, 20, 0), None)
    }));
    calls
}

fn made(roster: Option<&[RosterLine]>) -> Load {
    let rules = DutyPlan::default().rules;
    findings::load(&calls(), &calendar(30), rules, roster, Level::P95)
}

fn tables(section: &Section) -> Vec<&Table> {
    let tables = section.blocks.iter().filter_map(|block| match block {
        Block::Table(table) => Some(table),
        Block::Figure(figure) => Some(&figure.table),
        _ => None,
    });
    tables.collect()
}

#[test]
fn the_first_page_has_rate_interval_nights_and_what_is_unknown() {
    let sentences = in_words(&made(None));
    assert_eq!(
        sentences[0],
        "32 call-backs: 16.0 per 30 site-days (Garwood 95% interval 10.9 to 22.6); teams were bound for \
         30 hours after hours, 15 per 30 days of one site (2 calls of unknown length add nothing)."
    );
    // The 30th night ends after the period, and the calls of Birch come before the night.
    assert_eq!(
        sentences[1],
        "A call came in 29 of 58 nights (50%, Wilson 95% interval 38 to 62%); two or more came in 0."
    );
    // Free at midnight, eight hours before the staffed hours: not below eight hours.
    assert!(
        sentences[2].starts_with("Without a roster: 0 of 30 call-backs (0%,"),
        "{}",
        sentences[2]
    );
}

#[test]
fn every_table_has_each_site_and_all_of_them() {
    let load = made(None);
    let section = section(Some(&load));
    let tables = tables(&section);
    assert_eq!(tables.len(), 6);
    for table in tables {
        let names: Vec<_> = table.rows.iter().map(|row| row[0].text.as_str()).collect();
        if table.columns[0] == "Site" {
            assert_eq!(names, ["Alder", "Birch", "All sites"], "{}", table.caption);
        }
    }
}

#[test]
fn no_place_of_the_roster_reaches_the_page() {
    let line = |duty, day, hours: [i64; 2]| RosterLine {
        site: "Alder".to_owned(),
        role: "nurse_1".to_owned(),
        duty,
        span: Span {
            from: at(day, hours[0], 0),
            until: at(day, hours[1], 0),
        },
    };
    let roster: Vec<_> = (0..6)
        .flat_map(|day| {
            [
                line(Duty::OnCall, day, [17, 32]),
                line(Duty::Shift, day + 1, [7, 16]),
            ]
        })
        .collect();
    let load = made(Some(&roster));
    let section = section(Some(&load));
    let text = format!("{section:?}{:?}", in_words(&load));
    assert!(!text.contains("nurse"));
    // Free at midnight, seven hours before the shift.
    assert_eq!(
        in_words(&load)[2],
        "After 6 of 6 on-call duties (100%, Wilson 95% interval 61 to 100%) that a call-back met, rest was \
         shorter than 8 hours before the next shift."
    );
    assert!(text.contains("Rest after call-backs by the roster"));
}

#[test]
fn elapsed_times_and_no_calls_are_said() {
    let without = section(None);
    assert!(matches!(&without.blocks[..], [Block::Caution(text)] if text.contains("clock times")));
    let rules = DutyPlan::default().rules;
    let empty = findings::load(&[], &calendar(30), rules, None, Level::P95);
    assert_eq!(section(Some(&empty)).blocks.len(), 1);
    assert!(in_words(&empty).is_empty());
}

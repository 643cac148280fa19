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
        "32 call-backs, 16.0 per 30 days of one site (95% interval 10.9 to 22.6); teams were bound for at \
         least 30 hours after hours (no end is known for 2 calls)."
    );
    // The 30th night ends after the period, and the calls of Birch come before the night.
    assert_eq!(
        sentences[1],
        "A call came in 29 of 58 nights (50%, 95% interval 38 to 62%), never two or more in one night."
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
    // Free at midnight, seven hours before the shift. The roster ends on the morning of the seventh day:
    // 24 call-backs of Alder come later, and Birch has no line.
    assert_eq!(
        in_words(&load)[2],
        "After 6 of 6 on-call duties (100%, 95% interval 61 to 100%) that a call-back met, rest was shorter \
         than 8 hours; 26 of 32 call-backs lie outside the dates of the roster."
    );
    assert!(text.contains(
        "The roster goes from 1 January 1970 to 7 January 1970; 26 of 32 call-backs lie outside the dates"
    ));
    assert!(text.contains("Rest after call-backs by the roster"));
}

#[test]
fn rest_is_told_by_site_where_sites_differ() {
    let line = |site: &str, duty, day, hours: [i64; 2]| RosterLine {
        site: site.to_owned(),
        role: "nurse_1".to_owned(),
        duty,
        span: Span {
            from: at(day, hours[0], 0),
            until: at(day, hours[1], 0),
        },
    };
    // At Alder the shift begins seven hours after midnight, at Birch twelve.
    let roster: Vec<_> = (0..20)
        .flat_map(|day| {
            [("Alder", 7), ("Birch", 12)].map(|(site, begins)| {
                [
                    line(site, Duty::OnCall, day, [17, 31]),
                    line(site, Duty::Shift, day + 1, [begins, 16]),
                ]
            })
        })
        .flatten()
        .collect();
    let calls: Vec<_> = (0..20)
        .flat_map(|day| {
            let at_alder = call(at(day, 23, 0), Some(60));
            let site = "Birch".to_owned();
            [at_alder.clone(), Call { site, ..at_alder }]
        })
        .collect();
    let rules = DutyPlan::default().rules;
    let load = findings::load(&calls, &calendar(30), rules, Some(&roster), Level::P95);
    assert!(in_words(&load)[2].ends_with(
        "that a call-back met, rest was shorter than 8 hours (Alder 20 of 20, Birch 0 of 20)."
    ));
    let text = format!("{:?}", section(Some(&load)));
    assert!(text.contains("one call-back meets two duties"));
    assert!(text.contains("no call-back lies outside these dates"));
}

#[test]
fn without_ends_hours_and_rest_cannot_be_told() {
    let calls: Vec<_> = (0..30).map(|day| call(at(day, 23, 0), None)).collect();
    let rules = DutyPlan::default().rules;
    let load = findings::load(&calls, &calendar(30), rules, None, Level::P95);
    let words = in_words(&load);
    assert_eq!(words.len(), 2, "{words:?}");
    assert!(words[0].ends_with(
        "for how long teams were bound, and how long they rested, cannot be told: no end is known for 30 \
         of 30 calls."
    ));
    let section = section(Some(&load));
    let has_caution = section.blocks.iter().any(|block| {
        matches!(block, Block::Caution(text) if text.contains("nor which calls belong to one call-back"))
    });
    assert!(has_caution);
    let bound = tables(&section)
        .into_iter()
        .find(|table| table.columns[1] == "Hours bound")
        .expect("the table");
    assert_eq!(bound.rows[0][1].text, "cannot be told");
    assert_eq!(bound.rows[0].len(), bound.columns.len());
    assert_eq!(
        bound_in_words(
            &findings::load(&[call(0, Some(60))], &calendar(30), rules, None, Level::P95).all
        ),
        "teams were bound for 1 hour after hours"
    );
}

#[test]
fn the_team_of_the_day_counts_as_there_for_the_minutes_of_the_rule() {
    let section = section(Some(&made(None)));
    let name = &tables(&section)[0].columns[2];
    assert_eq!(
        name,
        "Team of the day still at work, or free for no longer than 60 min"
    );
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

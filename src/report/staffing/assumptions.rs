//! The rules by which this page counts, and where its methods come from.

use crate::domain::duty::plan::{Arrivals, DutyPlan, Place, Scenario, ScenarioTeam, WEEK_HOURS};
use crate::findings::staffing::Staffing;
use crate::report::content::{Block, Section};
use crate::report::format;

/// The sections.
pub(super) fn sections(staffing: &Staffing) -> [Section; 2] {
    [
        Section {
            id: "definitions",
            heading: "Rules and assumptions".to_owned(),
            blocks: rules(staffing),
        },
        Section {
            id: "methods",
            heading: "Methods".to_owned(),
            blocks: vec![Block::List(METHODS.map(str::to_owned).to_vec())],
        },
    ]
}

fn rules(staffing: &Staffing) -> Vec<Block> {
    let from = if staffing.is_plan_given {
        "The rules of this page, as the duty plan gives them or, where it says nothing, as this tool has \
         them by default."
    } else {
        "No duty plan was given (--duty FILE), so the rules are those that this tool has by default. They \
         are common practice or a proposal of this project, and no standard."
    };
    vec![
        Block::Text(from.to_owned()),
        Block::Terms(terms(&staffing.plan)),
        Block::Heading("Scenarios".to_owned()),
        Block::Terms(staffing.plan.scenarios.iter().map(scenario).collect()),
    ]
}

fn terms(plan: &DutyPlan) -> Vec<(String, Vec<String>)> {
    let rules = plan.rules;
    let term = |name: &str, words: String| (name.to_owned(), vec![words]);
    vec![
        term(
            "Bound",
            format!(
                "A call binds one team of its site from the call until the team was free again or, where \
                 that is not recorded, until {} min after the scope came out or the case was called off. \
                 An end more than a day after the call counts as not known.",
                rules.wrap_up_minutes
            ),
        ),
        term(
            "Call-back",
            format!(
                "An activation outside staffed hours. A call that comes before the team is free, or up to \
                 {} min after, belongs to the same one.",
                rules.merge_minutes
            ),
        ),
        term(
            "Night",
            format!(
                "From {} to {}.",
                clock(rules.night_from),
                clock(rules.night_until)
            ),
        ),
        term(
            "Short rest",
            format!(
                "Less than {} between a call-back and the next shift.",
                hours(rules.min_rest_minutes)
            ),
        ),
        term(
            "Stock",
            format!(
                "An item that was used is on the cart again after {}; the stock is to last that long with a \
                 probability of {}.",
                format::counted(u64::from(plan.cart.lead_days), "day", "days"),
                percent(plan.cart.service_level)
            ),
        ),
        term(
            "Simulation",
            format!(
                "{} of each scenario, seed {}; calls come {}.",
                format::counted(u64::from(plan.simulation.years), "year", "years"),
                plan.simulation.seed,
                match plan.simulation.arrivals {
                    Arrivals::Fitted =>
                        "at random, at a rate that changes over the week as recorded",
                    Arrivals::Weeks => "in whole recorded weeks, drawn at random",
                }
            ),
        ),
    ]
}

/// Up to two digits behind the point: `99%`, `99.95%`.
fn percent(share: f64) -> String {
    let percent = format!("{:.2}", share * 100.0);
    format!("{}%", percent.trim_end_matches('0').trim_end_matches('.'))
}

fn clock(minute: u16) -> String {
    format!("{:02}:{:02}", minute / 60, minute % 60)
}

fn hours(minutes: i64) -> String {
    if minutes % 60 == 0 {
        format::counted((minutes / 60).unsigned_abs(), "hour", "hours")
    } else {
        format!("{minutes} min")
    }
}

fn scenario(scenario: &Scenario) -> (String, Vec<String>) {
    let mut lines: Vec<_> = scenario.teams.iter().enumerate().map(team).collect();
    lines.push(match &scenario.site {
        Some(site) => format!("For {site}."),
        None => "For each site by itself.".to_owned(),
    });
    (scenario.name.clone(), lines)
}

fn team((place, team): (usize, &ScenarioTeam)) -> String {
    let from = match team.place {
        Place::InHouse { minutes } => format!("in the house, {minutes} min to the bedside"),
        Place::Home { minutes: None } => {
            "from home, by the recorded times from call to team".to_owned()
        }
        Place::Home {
            minutes: Some(minutes),
        } => format!("from home, {minutes} min to the bedside"),
    };
    let on_duty = team.on_duty.iter().filter(|on_duty| **on_duty).count();
    format!(
        "Team {}: {} of the {WEEK_HOURS} hours of a week, {from}.",
        place + 1,
        on_duty
    )
}

/// How numbers that stand in more than one part are made; each part says the rest.
const METHODS: [&str; 6] = [
    "Rates: events in observed time, with the exact Poisson interval (Garwood 1936).",
    "Shares: Wilson score interval (Wilson 1927).",
    "Observed time is that of the calendar of the site: exact over clock changes, months of different \
     length and holidays.",
    "Numbers to come: predictive distribution of a Poisson count with Jeffreys' prior, which is negative \
     binomial; wider where months vary by more than chance.",
    "Queues: Erlang's loss and delay formulas (Erlang 1917), for calls that come at random at a steady \
     rate. They stand beside what was observed, since calls are neither.",
    "Simulation: single calls, one after another, each served by the first free team on duty. Its error \
     comes from blocks of simulated years.",
];

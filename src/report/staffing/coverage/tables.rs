//! The tables of the simulated scenarios.

use super::why_no_share;
use crate::domain::duty::plan::{Place, ScenarioTeam};
use crate::findings::finding::Unit;
use crate::findings::staffing::coverage::{
    Beside, Coverage, Difference, Estimate, FromRecords, Outcome, ScenarioCoverage, SiteCoverage,
    WaitQuantile,
};
use crate::report::content::{Cell, Table};
use crate::report::format::{self, NOTHING};

/// A simulated share: enough calls stand behind each for one decimal.
pub(super) fn share(share: f64) -> String {
    const SMALLEST: f64 = 0.0005;
    if share > 0.0 && share < SMALLEST {
        return "below 0.1%".to_owned();
    }
    format::with_unit(Unit::Fraction, u64::MAX, share)
}

fn hours(hours: f64) -> String {
    format::with_unit(Unit::Per30SiteDays, u64::MAX, hours)
}

fn minutes(minutes: f64) -> String {
    format::with_unit(Unit::Minutes, u64::MAX, minutes)
}

fn cell(text: String, details: Vec<String>) -> Cell {
    Cell { text, details }
}

/// One row for each scenario of a site.
pub(super) fn scenarios(site: &SiteCoverage) -> Table {
    let fit = &site.fit;
    let caption = format!(
        "{}: {} calls a week, each binding a team for {} on average",
        site.site,
        hours(fit.calls_per_week()),
        minutes(fit.mean_minutes)
    );
    let mut table = Table::new(
        caption,
        &[
            "Arrangement",
            "Calls that wait",
            "Against the first",
            "Added wait: 90% of those that wait stay within",
            "Added wait: mean of all calls",
            "In window",
            "Time with 0, 1, 2 .. teams bound",
        ],
    );
    for (place, scenario) in site.scenarios.iter().enumerate() {
        let name = cell(scenario.name.clone(), team_words(&scenario.teams));
        let Ok(outcome) = &scenario.outcome else {
            let load = format!(
                "calls would bind {} teams on average if there were always one more",
                format::ratio(fit.offered_load)
            );
            table.push(vec![
                name,
                cell(why_no_share(scenario).to_owned(), vec![load]),
            ]);
            continue;
        };
        table.push(vec![
            name,
            waiting(scenario, outcome),
            against_first(place, scenario.difference.as_ref()),
            p90(outcome),
            outcome.mean_wait.map_or_else(
                || NOTHING.into(),
                |mean| {
                    cell(
                        one_decimal_minutes(mean.value),
                        simulation_error(&mean, one_decimal_minutes),
                    )
                },
            ),
            in_window(outcome),
            bound(&outcome.bound_shares),
        ]);
    }
    table
}

fn one_decimal_minutes(minutes: f64) -> String {
    hours(minutes) + " min"
}

/// What an interval from repetitions with other records is called.
const FOR_RECORDS: &str = "95% for the records, not for the model";

fn waiting(scenario: &ScenarioCoverage, outcome: &Outcome) -> Cell {
    let Some(waiting) = outcome.waiting else {
        return why_no_share(scenario).into();
    };
    let mut details = vec![format!(
        "{} of {}",
        format::whole(outcome.waiting_calls),
        format::counted(outcome.calls, "simulated call", "simulated calls")
    )];
    details.extend(simulation_error(&waiting, share));
    details.extend(
        scenario
            .from_records
            .map(|found| format!("{FOR_RECORDS}: {}", records_limits(&found))),
    );
    cell(share(waiting.value), details)
}

/// `simulation error: 12.8% to 13.0%`, if it is known and to be seen.
fn simulation_error(estimate: &Estimate, words: fn(f64) -> String) -> Vec<String> {
    let limits = estimate
        .limits()
        .map(|[low, high]| [words(low.max(0.0)), words(high)])
        .filter(|[low, high]| low != high);
    let words = limits.map(|[low, high]| format!("simulation error: {low} to {high}"));
    words.into_iter().collect()
}

/// `9.1% to 16.7%`; the upper end is open where some drawn records ask for more than the teams can do.
pub(super) fn records_limits(found: &FromRecords) -> String {
    match found.high {
        Some(high) => format!("{} to {}", share(found.low), share(high)),
        None => format!(
            "from {}, no upper limit: in {} of {} draws of the records there is more work than the teams on duty \
             can do",
            share(found.low),
            found.endless,
            found.draws
        ),
    }
}

fn against_first(place: usize, difference: Option<&Difference>) -> Cell {
    if place == 0 {
        return "the first".into();
    }
    let Some(difference) = difference else {
        return NOTHING.into();
    };
    let simulated = difference.simulated;
    let of_records = difference.from_records;
    let limits = match (of_records, simulated.limits()) {
        (
            Some(FromRecords {
                low,
                high: Some(high),
                ..
            }),
            _,
        ) => Some([low, high]),
        (_, limits) => limits,
    };
    let Some([low, high]) = limits.filter(|[low, high]| low < high) else {
        let [value, ..] = format::difference(Unit::Fraction, u64::MAX, [simulated.value; 3]);
        return format!("{value} points").into();
    };
    let [value, low, high] =
        format::difference(Unit::Fraction, u64::MAX, [simulated.value, low, high]);
    let what = if of_records.is_some_and(|found| found.high.is_some()) {
        FOR_RECORDS
    } else {
        "simulation error"
    };
    cell(
        format!("{value} points"),
        vec![format!("{what}: {low} to {high}")],
    )
}

fn p90(outcome: &Outcome) -> Cell {
    let Some(of_waiting) = outcome.p90_wait_of_waiting else {
        return "nobody waits".into();
    };
    let words = |quantile: &WaitQuantile| minutes(quantile.minutes.into());
    let mut details = Vec::new();
    if let Some([low, high]) = of_waiting.limits.filter(|[low, high]| low < high) {
        details.push(format!(
            "simulation error: {} to {}",
            format::whole(low.into()),
            minutes(high.into())
        ));
    }
    details.extend(
        outcome
            .p90_wait
            .map(|all| format!("90% of all calls: {}", words(&all))),
    );
    details.extend(
        outcome
            .mean_wait_of_waiting
            .map(|mean| format!("mean of those that wait: {}", minutes(mean.value))),
    );
    cell(words(&of_waiting), details)
}

fn in_window(outcome: &Outcome) -> Cell {
    let Some(within) = outcome.in_window else {
        return "no recorded call has a window".into();
    };
    let mut details = simulation_error(&within, share);
    details.extend(
        outcome
            .in_window_without_wait
            .map(|without| format!("if no call waited: {}", share(without.value))),
    );
    details.push(format!(
        "of {}",
        format::counted(
            outcome.windowed,
            "call with a window",
            "calls with a window"
        )
    ));
    cell(share(within.value), details)
}

fn bound(shares: &[f64]) -> Cell {
    let shares: Vec<String> = shares.iter().map(|part| share(*part)).collect();
    if shares.is_empty() {
        return NOTHING.into();
    }
    shares.join(", ").into()
}

/// The teams in words, one line each.
fn team_words(teams: &[ScenarioTeam]) -> Vec<String> {
    let words = teams.iter().zip(1..).map(|(team, number)| {
        let on_duty = team.on_duty.iter().filter(|on| **on).count();
        let hours = match on_duty {
            0 => "never on duty".to_owned(),
            168 => "at all hours".to_owned(),
            hours => format!("{hours} of 168 hours a week"),
        };
        let place = match team.place {
            Place::InHouse { minutes } => format!("in the house, {minutes} min away"),
            Place::Home {
                minutes: Some(minutes),
            } => format!("from home, {minutes} min away"),
            Place::Home { minutes: None } => "comes as recorded".to_owned(),
        };
        format!("team {number}: {hours}, {place}")
    });
    words.collect()
}

/// What each team of a site would do.
pub(super) fn loads(site: &SiteCoverage) -> Table {
    let mut table = Table::new(
        format!("{}: what each team would do in 30 days", site.site),
        &[
            "Arrangement and team",
            "Calls taken",
            "Call-backs after hours",
            "Hours bound after hours",
            "Hours bound in all",
        ],
    );
    for scenario in &site.scenarios {
        let Ok(outcome) = &scenario.outcome else {
            table.push(vec![cell(
                scenario.name.clone(),
                vec![why_no_share(scenario).to_owned()],
            )]);
            continue;
        };
        let words = team_words(&scenario.teams);
        for (team, words) in outcome.teams.iter().zip(words) {
            table.push(vec![
                cell(scenario.name.clone(), vec![words]),
                hours(team.calls.value).into(),
                hours(team.call_backs.value).into(),
                hours(team.after_hours.value).into(),
                hours(team.bound_hours.value).into(),
            ]);
        }
    }
    table
}

/// The observed values beside the simulated ones.
pub(super) fn calibration(coverage: &Coverage) -> Table {
    let mut table = Table::new(
        "Observed and simulated",
        &[
            "Site and share",
            "Observed",
            "Simulated",
            "Within the interval",
        ],
    );
    let together = coverage.together();
    let all = together
        .iter()
        .map(|found| ("All simulated sites together", found));
    let sites = coverage.sites.iter();
    let sites = sites.map(|site| (site.site.as_str(), &site.calibration));
    for (name, found) in sites.chain(all) {
        for (words, beside) in [
            (
                "calls that came while another bound a team",
                &found.overlapping,
            ),
            ("scope in within the window", &found.in_window),
            ("calls after hours", &found.after_hours),
        ] {
            table.push(calibration_row(&format!("{name}: {words}"), beside));
        }
    }
    table
}

fn calibration_row(name: &str, beside: &Beside) -> Vec<Cell> {
    let interval = beside.interval.map(|interval| {
        let of = |limit| format::with_unit(Unit::Fraction, beside.cases, limit);
        format!("95% interval {} to {}", of(interval.low), of(interval.high))
    });
    let observed = if beside.cases == 0 {
        "no call could be judged".into()
    } else {
        cell(
            format::part(beside.events, beside.cases),
            interval.into_iter().collect(),
        )
    };
    let agrees = match beside.agrees() {
        Some(true) => "yes",
        Some(false) => "no",
        None if beside.cases > 0 && beside.simulated.is_some() => "too few calls to say",
        None => NOTHING,
    };
    vec![
        name.into(),
        observed,
        beside
            .simulated
            .map_or_else(|| NOTHING.into(), |simulated| share(simulated).into()),
        agrees.into(),
    ]
}

/// The numbers of the chart.
pub(super) fn behind_figure(coverage: &Coverage) -> Table {
    let mut table = Table::new(
        "Share of simulated calls that wait",
        &[
            "Site",
            "Arrangement",
            "Share",
            "Simulation error",
            FOR_RECORDS,
        ],
    );
    for site in &coverage.sites {
        for scenario in &site.scenarios {
            let waiting = scenario
                .outcome
                .as_ref()
                .ok()
                .and_then(|found| found.waiting);
            let Some(waiting) = waiting else {
                table.push(vec![
                    site.site.as_str().into(),
                    scenario.name.as_str().into(),
                    why_no_share(scenario).into(),
                ]);
                continue;
            };
            let limits = waiting.limits().filter(|[low, high]| low < high);
            let error = limits.map_or_else(
                || NOTHING.to_owned(),
                |[low, high]| format!("{} to {}", share(low.max(0.0)), share(high)),
            );
            let records = scenario
                .from_records
                .as_ref()
                .map_or_else(|| NOTHING.to_owned(), records_limits);
            table.push(vec![
                site.site.as_str().into(),
                scenario.name.as_str().into(),
                share(waiting.value).into(),
                error.into(),
                records.into(),
            ]);
        }
    }
    table
}

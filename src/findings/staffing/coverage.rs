//! What other arrangements of teams would have done with calls like those of the records: for each
//! site a fit of when calls come and how long they bind a team, a simulation of each scenario, and
//! the observed values beside the simulated ones.
//!
//! Knows calls, not cases. The simulation itself is [`crate::simulation`].

mod calibration;
pub mod fit;
mod from_records;
mod weeks;

#[cfg(test)]
pub(crate) mod tests;

pub use calibration::{Beside, Calibration};
pub use from_records::FromRecords;

pub use crate::simulation::{
    EndlessQueue, Estimate, Outcome, TeamLoad, WARM_UP_WEEKS, WaitQuantile,
};

use crate::domain::duty::call::Call;
use crate::domain::duty::plan::{
    Arrivals, DutyPlan, Place, Scenario, ScenarioTeam, SimulationRules, WEEK_HOURS,
};
use crate::domain::exposure::{Exposure, StaffedWeek};
use crate::simulation::{self, CallPool, Setting, simulate, waiting_difference};
use fit::{Fit, Pooled};
use std::collections::BTreeMap;
use std::num::NonZeroUsize;

/// A site with fewer calls of which the minutes are known is not simulated. A limit of this project.
pub const FEWEST_USABLE: usize = 20;

/// Teams of the arrangement that stands for the records, in which hardly a call waits.
const TEAMS_AS_RECORDED: usize = 8;

/// All scenarios at all sites.
#[derive(Clone, Debug, PartialEq)]
pub struct Coverage {
    /// How was simulated.
    pub rules: SimulationRules,
    /// The sites, by name.
    pub sites: Vec<SiteCoverage>,
    /// Sites that scenarios are for and that could not be simulated, by name.
    pub skipped: Vec<SkippedSite>,
    /// Scenarios for a site without a call, by name.
    pub without_site: Vec<String>,
}

/// One site.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteCoverage {
    /// The site.
    pub site: String,
    /// What the simulation takes from its records.
    pub fit: Fit,
    /// The observed values beside those of the simulation.
    pub calibration: Calibration,
    /// Its scenarios, in the order of the plan.
    pub scenarios: Vec<ScenarioCoverage>,
}

/// One scenario at one site.
#[derive(Clone, Debug, PartialEq)]
pub struct ScenarioCoverage {
    /// Its name.
    pub name: String,
    /// Its teams.
    pub teams: Vec<ScenarioTeam>,
    /// What comes out.
    pub outcome: Result<Outcome, EndlessQueue>,
    /// The share of calls that wait, with what is not known of the records; `None` where the queue
    /// never ends, where too little was simulated to tell, or where all drawn records give the same.
    pub from_records: Option<FromRecords>,
    /// Against the first scenario of the site; `None` for that one, and where the queue of either
    /// never ends.
    pub difference: Option<Difference>,
}

/// The share of calls that wait, less that in the first scenario.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// The difference with its simulation error. Both scenarios met the same calls.
    pub simulated: Estimate,
    /// The same with what is not known of the records.
    pub from_records: Option<FromRecords>,
}

/// A site that was not simulated.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SkippedSite {
    /// The site.
    pub site: String,
    /// Its calls.
    pub calls: u64,
    /// Calls of which the minutes are known.
    pub usable: u64,
    /// Why.
    pub reason: SkipReason,
}

/// Why a site was not simulated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SkipReason {
    /// Fewer than [`FEWEST_USABLE`] calls of which the minutes are known.
    TooFewUsable,
    /// No time was observed in which its calls could be counted.
    NotObserved,
}

/// Simulates every scenario of the plan at each site that it is for. `staffed` says which hours of
/// the week are in-hours; the number of threads changes nothing.
pub fn coverage(
    calls: &[Call],
    exposure: &Exposure,
    staffed: &StaffedWeek,
    plan: &DutyPlan,
    threads: NonZeroUsize,
) -> Coverage {
    let mut by_site = BTreeMap::<&str, Vec<&Call>>::new();
    for call in calls {
        by_site.entry(&call.site).or_default().push(call);
    }
    let mut coverage = Coverage {
        rules: plan.simulation,
        sites: Vec::new(),
        skipped: Vec::new(),
        without_site: Vec::new(),
    };
    for (site, calls) in &by_site {
        let of_site = |scenario: &&Scenario| scenario.site.as_deref().is_none_or(|of| of == *site);
        let scenarios: Vec<&Scenario> = plan.scenarios.iter().filter(of_site).collect();
        if scenarios.is_empty() {
            continue;
        }
        match of_site_calls(calls, exposure, staffed, plan, &scenarios, threads) {
            Ok(covered) => coverage.sites.push(covered),
            Err((reason, usable)) => coverage.skipped.push(SkippedSite {
                site: (*site).to_owned(),
                calls: calls.len() as u64,
                usable: usable as u64,
                reason,
            }),
        }
    }
    coverage.without_site = plan
        .scenarios
        .iter()
        .filter(|scenario| {
            let of = scenario.site.as_deref();
            of.is_some_and(|site| !by_site.contains_key(site))
        })
        .map(|scenario| scenario.name.clone())
        .collect();
    coverage
}

fn of_site_calls(
    calls: &[&Call],
    exposure: &Exposure,
    staffed: &StaffedWeek,
    plan: &DutyPlan,
    scenarios: &[&Scenario],
    threads: NonZeroUsize,
) -> Result<SiteCoverage, (SkipReason, usize)> {
    let pooled = Pooled::new(calls, plan.rules.wrap_up_minutes);
    let skip = |reason| (reason, pooled.usable());
    let pool = pooled.pool().ok_or(skip(SkipReason::TooFewUsable))?;
    let after_hours = fit::after_hours(staffed);
    let (fit, rates) = Fit::new(calls, exposure, &after_hours, &pooled, &pool)
        .ok_or(skip(SkipReason::NotObserved))?;
    let weeks = match plan.simulation.arrivals {
        Arrivals::Fitted => Vec::new(),
        Arrivals::Weeks => weeks::recorded(calls, exposure, &pooled),
    };
    let arrivals = match plan.simulation.arrivals {
        Arrivals::Fitted => simulation::Arrivals::Poisson(&rates),
        Arrivals::Weeks if weeks.is_empty() => {
            return Err(skip(SkipReason::NotObserved));
        }
        Arrivals::Weeks => simulation::Arrivals::Weeks(&weeks),
    };

    let as_recorded = teams_as_recorded();
    let teams: Vec<Vec<ScenarioTeam>> = scenarios
        .iter()
        .map(|scenario| teams_of(scenario, fit.knows_travel))
        .collect();
    let arrangements: Vec<&[ScenarioTeam]> = teams
        .iter()
        .map(Vec::as_slice)
        .chain([as_recorded.as_slice()])
        .collect();
    let setting = Setting {
        arrivals,
        pool: &pool,
        after_hours: &after_hours,
        merge_minutes: plan.rules.merge_minutes,
        arrangements: &arrangements,
    };
    let SimulationRules { years, seed, .. } = plan.simulation;
    let mut outcomes = simulate(&setting, years, seed, threads);
    let as_recorded = outcomes.pop().expect("the arrangement of the records");
    let calibration = Calibration::new(calls, plan, &fit, as_recorded.ok().as_ref());

    let scenarios_alone = Setting {
        arrangements: &arrangements[..scenarios.len()],
        ..setting
    };
    let spread =
        from_records::Spread::new(&scenarios_alone, &fit, &outcomes, (years, seed), threads);
    Ok(SiteCoverage {
        site: calls
            .first()
            .map_or_else(String::new, |call| call.site.clone()),
        calibration,
        scenarios: in_order(scenarios, outcomes, &spread),
        fit,
    })
}

/// The scenarios with what comes out of each, and against the first.
fn in_order(
    scenarios: &[&Scenario],
    outcomes: Vec<Result<Outcome, EndlessQueue>>,
    spread: &from_records::Spread,
) -> Vec<ScenarioCoverage> {
    let differences: Vec<Option<Difference>> = outcomes
        .iter()
        .enumerate()
        .map(|(place, outcome)| {
            let (first, other) = (outcomes[0].as_ref().ok()?, outcome.as_ref().ok()?);
            let simulated = waiting_difference(first, other).filter(|_| place > 0)?;
            Some(Difference {
                simulated,
                from_records: spread.difference(place, simulated, first.years),
            })
        })
        .collect();
    scenarios
        .iter()
        .zip(outcomes.into_iter().zip(differences))
        .enumerate()
        .map(
            |(place, (scenario, (outcome, difference)))| ScenarioCoverage {
                name: scenario.name.clone(),
                teams: scenario.teams.clone(),
                from_records: outcome
                    .as_ref()
                    .ok()
                    .and_then(|outcome| spread.share(place, outcome)),
                outcome,
                difference,
            },
        )
        .collect()
}

/// Where records do not say when teams came, their way is part of the recorded minutes wherever they
/// come from.
fn teams_of(scenario: &Scenario, knows_travel: bool) -> Vec<ScenarioTeam> {
    let mut teams = scenario.teams.clone();
    if !knows_travel {
        for team in &mut teams {
            team.place = Place::Home { minutes: None };
        }
    }
    teams
}

fn teams_as_recorded() -> Vec<ScenarioTeam> {
    let team = ScenarioTeam {
        on_duty: [true; WEEK_HOURS],
        place: Place::Home { minutes: None },
    };
    vec![team; TEAMS_AS_RECORDED]
}

impl Coverage {
    /// The observed values of all simulated sites together beside those of their simulations; `None`
    /// with fewer than two.
    pub fn together(&self) -> Option<Calibration> {
        let sites = self.sites.iter().map(|site| &site.calibration);
        (self.sites.len() > 1).then(|| Calibration::together(&sites))
    }

    /// Whether nothing could be simulated.
    pub fn is_empty(&self) -> bool {
        self.sites.is_empty()
    }
}

/// What the simulation of a site draws from.
fn pool_sizes(pool: &CallPool) -> [usize; 2] {
    [pool.size(false), pool.size(true)]
}

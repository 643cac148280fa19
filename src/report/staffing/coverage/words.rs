//! What the first page and the terminal say of simulated scenarios, and how far the simulation is off.

use super::{skipped, tables, why_no_share};
use crate::findings::finding::Unit;
use crate::findings::staffing::coverage::{
    Beside, Coverage, FEWEST_USABLE, ScenarioCoverage, SiteCoverage,
};
use crate::findings::staffing::overlap::Agreement;
use crate::report::format;

/// Sites that a sentence has room for.
const MOST_SITES: usize = 6;

/// Two sentences: at the site with the most calls its first arrangement and the one that differs most
/// from it, and observed values beside simulated ones. One where nothing was simulated.
pub(crate) fn in_words(coverage: &Coverage) -> Vec<String> {
    // Of sites with as many calls, the first by name.
    let largest = coverage
        .sites
        .iter()
        .rev()
        .max_by_key(|site| site.fit.calls);
    let Some(site) = largest else {
        return none_simulated(coverage).into_iter().collect();
    };
    let sentences = [arrangements(coverage, site), beside_records(coverage)];
    sentences.into_iter().flatten().collect()
}

fn none_simulated(coverage: &Coverage) -> Option<String> {
    match coverage.skipped.as_slice() {
        [] => None,
        [site] => Some(skipped(site)),
        sites => Some(format!(
            "No arrangement was simulated: that needs {FEWEST_USABLE} calls at a site of which the minutes \
             are known, in observed time, and none of {} sites has them.",
            format::whole(sites.len() as u64)
        )),
    }
}

fn arrangements(coverage: &Coverage, site: &SiteCoverage) -> Option<String> {
    let (first, others) = site.scenarios.split_first()?;
    let other = most_different(others);
    let place = if coverage.sites.len() > 1 {
        format!(" at {}, the site with the most calls", site.site)
    } else {
        String::new()
    };
    let beside = other.map_or_else(String::new, |(other, rule)| {
        format!("; with “{}”, {rule}, {}", other.name, outcome(other))
    });
    let has_interval = |of: &ScenarioCoverage| of.from_records.is_some();
    let note = if has_interval(first) || other.is_some_and(|(other, _)| has_interval(other)) {
        " (95% intervals for the records, not for the model)"
    } else {
        ""
    };
    let all = coverage.sites.iter().map(|site| site.scenarios.len());
    let shown = 1 + usize::from(other.is_some());
    let rest = match all.sum::<usize>() - shown {
        0 => String::new(),
        1 => "; 1 more result stands in the section".to_owned(),
        more => format!("; {more} more results stand in the section"),
    };
    Some(format!(
        "Simulated{place}, with “{}”: {}{beside}{note}{rest}.",
        first.name,
        outcome(first)
    ))
}

/// `11.0% of calls would wait for a team, 9.1% to 16.7%`.
fn outcome(scenario: &ScenarioCoverage) -> String {
    let found = scenario.outcome.as_ref().ok();
    let Some((found, waiting)) = found.and_then(|found| Some((found, found.waiting?))) else {
        return why_no_share(scenario).to_owned();
    };
    if found.waiting_calls == 0 {
        return format!(
            "none of {} would wait for a team",
            format::counted(found.calls, "simulated call", "simulated calls")
        );
    }
    let limits = scenario
        .from_records
        .as_ref()
        .map_or_else(String::new, |found| {
            format!(", {}", tables::records_limits(found))
        });
    format!(
        "{} of calls would wait for a team{limits}",
        tables::share(waiting.value)
    )
}

/// The arrangement whose share of waiting calls differs most from that of the first; where the first has
/// none, the one with the fewest waiting. With the rule in words.
fn most_different(others: &[ScenarioCoverage]) -> Option<(&ScenarioCoverage, &'static str)> {
    let difference = |of: &ScenarioCoverage| Some(of.difference?.simulated.value.abs());
    let fewest = |of: &ScenarioCoverage| Some(-of.outcome.as_ref().ok()?.waiting?.value);
    let most = |by: &dyn Fn(&ScenarioCoverage) -> Option<f64>| {
        let found = others.iter().rev().filter_map(|of| Some((of, by(of)?)));
        let most = found.max_by(|(_, one), (_, other)| one.total_cmp(other));
        most.map(|(of, _)| of)
    };
    let by_difference = most(&difference).map(|of| (of, "which differs most from it"));
    by_difference.or_else(|| most(&fewest).map(|of| (of, "with which fewest wait")))
}

/// Which calls met, observed and simulated, site by site and together.
fn beside_records(coverage: &Coverage) -> Option<String> {
    let pair = |beside: &Beside| {
        let (observed, simulated) = beside.observed().zip(beside.simulated)?;
        let percent = |share| format::with_unit(Unit::Fraction, u64::MAX, share);
        Some(format!("{} and {}", percent(observed), percent(simulated)))
    };
    let of_site = |site: &SiteCoverage| {
        let beside = &site.calibration.overlapping;
        Some(format!("{} {}", site.site, pair(beside)?))
    };
    let together = coverage.together().map(|all| all.overlapping);
    let sites: Vec<_> = coverage.sites.iter().filter_map(of_site).collect();
    let is_listed = together.is_none() || sites.len() <= MOST_SITES;
    let all = match (&together, coverage.sites.as_slice()) {
        (Some(all), _) => all,
        (None, [site]) => &site.calibration.overlapping,
        (None, _) => return None,
    };
    let mut parts = if is_listed { sites } else { Vec::new() };
    if together.is_some() {
        parts.extend(pair(all).map(|pair| format!("all together {pair}")));
    }
    (!parts.is_empty()).then(|| {
        format!(
            "Calls that came while another bound a team, observed and simulated: {}; {}.",
            parts.join(", "),
            verdict(all)
        )
    })
}

/// How all simulated sites together compare; `None` with one, of which the table says all.
pub(super) fn together(coverage: &Coverage) -> Option<String> {
    let all = coverage.together()?.overlapping;
    let simulated = all.simulated?;
    Some(format!(
        "At all simulated sites together, of calls of known length {} came while another bound a team, and \
         {} of the simulated ones: {}.",
        format::part(all.events, all.cases),
        tables::share(simulated),
        verdict(&all)
    ))
}

/// What the comparison says of the simulated shares.
fn verdict(beside: &Beside) -> String {
    let interval = beside.interval.map_or_else(String::new, |interval| {
        let of = |limit| format::with_unit(Unit::Fraction, beside.cases, limit);
        format!(
            " the 95% interval of what was observed, {} to {}",
            of(interval.low).trim_end_matches('%'),
            of(interval.high)
        )
    });
    match beside.compared() {
        None => "that is too few calls to compare".to_owned(),
        Some(Agreement::Within) => format!("the simulated share lies within{interval}"),
        Some(Agreement::Fewer) => format!(
            "the simulated share lies outside{interval}: fewer calls met than in the simulation, so its \
             shares of calls that wait are rather too high"
        ),
        Some(Agreement::More) => format!(
            "the simulated share lies outside{interval}: more calls met than in the simulation, so its \
             shares of calls that wait are rather too low"
        ),
    }
}

//! What other arrangements of teams would do: the section of the simulated scenarios, and what the
//! first page and the terminal say of it.

mod assumptions;
mod tables;

#[cfg(test)]
mod tests;

use crate::domain::duty::plan::Arrivals;
use crate::findings::finding::Unit;
use crate::findings::staffing::coverage::{
    Coverage, FEWEST_USABLE, ScenarioCoverage, SiteCoverage, SkipReason, SkippedSite,
};
use crate::report::chart::{Chart, Line, Plot};
use crate::report::content::{Block, Figure, Section};
use crate::report::format;

/// Most lines of the chart; more would not fit a page.
const MOST_LINES: usize = 30;

/// The section.
pub(super) fn section(coverage: &Coverage) -> Section {
    let mut blocks = vec![Block::Text(introduction(coverage))];
    blocks.extend(not_simulated(coverage));
    if !coverage.is_empty() {
        blocks.extend(figure(coverage));
        for site in &coverage.sites {
            blocks.push(Block::Table(tables::scenarios(site)));
            blocks.push(Block::Table(tables::loads(site)));
        }
        blocks.push(Block::Heading(
            "Does the simulation look like the records?".to_owned(),
        ));
        blocks.push(Block::Text(CALIBRATION.to_owned()));
        blocks.push(Block::Table(tables::calibration(coverage)));
        blocks.push(Block::Heading("What the simulation assumes".to_owned()));
        blocks.push(Block::List(assumptions::list(coverage)));
        blocks.push(Block::Caution(CAUTION.to_owned()));
    }
    Section {
        id: "coverage",
        heading: "What would another arrangement of teams do?".to_owned(),
        blocks,
    }
}

const CALIBRATION: &str = "Observed shares with their 95% interval beside those of a simulation in \
     which each call is taken at once and its team comes as recorded. Where the simulated share lies \
     outside, calls do not come, or do not last, as the simulation has it, and the scenarios above \
     are to be read with that in mind. Holidays count as after hours in the records alone.";

const CAUTION: &str = "A simulation shows what its assumptions lead to. It does not decide who may or \
     must be on call: staffing law, contracts and local policy do. Simulation error is what is left \
     by simulating no longer, and more years make it as small as one likes; it is not the uncertainty \
     of the records, which only more records make smaller. The share of calls that wait and its difference \
     come with an interval from the records; all else comes with simulation error alone.";

fn introduction(coverage: &Coverage) -> String {
    let years = format::counted(coverage.rules.years.into(), "year", "years");
    let arrivals = match coverage.rules.arrivals {
        Arrivals::Fitted => {
            "Calls come at random, in each hour of the week as often as in the records"
        }
        Arrivals::Weeks => "Calls come as in whole weeks of the records, drawn at random",
    };
    format!(
        "Nothing here was observed: each arrangement was simulated, call by call, for {years} of 52 \
         weeks. {arrivals}, and each takes as long as a recorded call did. All arrangements of a site \
         meet the same calls, so what differs between them is not chance of the calls. A call waits \
         when no team on duty is free; its added wait ends when a team sets out."
    )
}

/// What could not be simulated, and why.
fn not_simulated(coverage: &Coverage) -> Option<Block> {
    let skipped = coverage.skipped.iter().map(skipped);
    let unknown = coverage.without_site.iter().map(|name| {
        format!("“{name}” is for a site without a call in the records: not simulated.")
    });
    let mut sentences: Vec<String> = skipped.chain(unknown).collect();
    if sentences.is_empty() && coverage.is_empty() {
        sentences.push("There is no call, or no arrangement, to simulate.".to_owned());
    }
    (!sentences.is_empty()).then_some(Block::List(sentences))
}

fn skipped(site: &SkippedSite) -> String {
    let calls = format::counted(site.calls, "call", "calls");
    let why = match site.reason {
        SkipReason::TooFewUsable => format!(
            "the minutes of {} are known, and a simulation needs {}",
            format::whole(site.usable),
            FEWEST_USABLE
        ),
        SkipReason::NotObserved => "none lies in observed time".to_owned(),
    };
    format!("{}: not simulated. Of {calls}, {why}.", site.site)
}

/// The share of calls that wait, scenario by scenario; `None` where nothing has one.
fn figure(coverage: &Coverage) -> Option<Block> {
    let has_headings = coverage.sites.len() > 1;
    let mut lines = Vec::new();
    for site in &coverage.sites {
        if has_headings {
            lines.push(Line::Heading(site.site.clone()));
        }
        lines.extend(site.scenarios.iter().map(line));
    }
    let is_any_shown = lines
        .iter()
        .any(|line| matches!(line, Line::Group { value: Some(_), .. }));
    if !is_any_shown {
        return None;
    }
    if lines.len() > MOST_LINES {
        let words = "There are too many arrangements for one chart; the tables hold them all.";
        return Some(Block::Text(words.to_owned()));
    }
    Some(Block::Figure(Box::new(Figure {
        stem: "coverage_waiting".to_owned(),
        chart: Chart {
            title: "How many calls would wait for a team?".to_owned(),
            axis_label: "Share of simulated calls that wait".to_owned(),
            unit: Some(Unit::Fraction),
            plot: Plot::Rows(lines),
        },
        caption:
            "Dots are simulated shares; bars are 95% intervals that hold simulation error and, \
                  where it could be told, how few the records are. Bars of one site must not be \
                  compared with each other: its arrangements met the same calls, and the table has \
                  the difference."
                .to_owned(),
        alternative: alternative(coverage),
        table: tables::behind_figure(coverage),
    })))
}

fn line(scenario: &ScenarioCoverage) -> Line {
    let waiting = scenario
        .outcome
        .as_ref()
        .ok()
        .and_then(|outcome| outcome.waiting);
    let limits = match (scenario.from_records, waiting) {
        (Some(found), _) => (Some(found.low), found.high),
        (None, Some(waiting)) => match waiting.limits() {
            Some([low, high]) => (Some(low.max(0.0)), Some(high.min(1.0))),
            None => (None, None),
        },
        (None, None) => (None, None),
    };
    Line::Group {
        label: scenario.name.clone(),
        value: waiting.map(|waiting| waiting.value),
        limits,
        quartiles: None,
        p90: None,
        drawn: None,
        text: match waiting {
            Some(waiting) => format!("{} wait", tables::share(waiting.value)),
            None => why_no_share(scenario).to_owned(),
        },
    }
}

/// Why there is no share of calls that wait.
fn why_no_share(scenario: &ScenarioCoverage) -> &'static str {
    match scenario.outcome {
        Err(_) => "the queue never ends",
        Ok(_) => "no call was simulated",
    }
}

fn alternative(coverage: &Coverage) -> String {
    let sites = coverage.sites.iter().map(|site| {
        let scenarios = site.scenarios.iter().map(|scenario| {
            let waiting = scenario
                .outcome
                .as_ref()
                .ok()
                .and_then(|found| found.waiting);
            match waiting {
                Some(waiting) => format!("{} {}", scenario.name, tables::share(waiting.value)),
                None => format!("{}: {}", scenario.name, why_no_share(scenario)),
            }
        });
        let scenarios: Vec<String> = scenarios.collect();
        format!("{}: {}.", site.site, scenarios.join("; "))
    });
    let sites: Vec<String> = sites.collect();
    format!(
        "Share of simulated calls that wait for a team. {}",
        sites.join(" ")
    )
}

/// What the first page and the terminal say: the site with the most calls, its first arrangement and
/// the one in which fewest wait.
pub(crate) fn in_words(coverage: &Coverage) -> Vec<String> {
    let Some(site) = coverage.sites.iter().max_by_key(|site| site.fit.calls) else {
        return Vec::new();
    };
    let Some((first, others)) = site.scenarios.split_first() else {
        return Vec::new();
    };
    let mut sentences = vec![first_in_words(coverage, site, first)];
    let share = |scenario: &&ScenarioCoverage| -> Option<f64> {
        Some(scenario.outcome.as_ref().ok()?.waiting?.value)
    };
    let best = others
        .iter()
        .filter(|scenario| share(scenario).is_some())
        .min_by(|one, other| {
            let (one, other) = (share(one), share(other));
            one.partial_cmp(&other).unwrap_or(std::cmp::Ordering::Equal)
        });
    if let Some((best, share)) = best.and_then(|best| Some((best, share(&best)?))) {
        sentences.push(format!(
            "With “{}”, {} of the same calls would wait{}.",
            best.name,
            tables::share(share),
            records_in_words(best),
        ));
    }
    sentences.push(
        "What-ifs rest on the assumptions that the section lists; staffing law, contracts and local \
         policy decide."
            .to_owned(),
    );
    sentences
}

fn first_in_words(coverage: &Coverage, site: &SiteCoverage, first: &ScenarioCoverage) -> String {
    let place = if coverage.sites.len() > 1 {
        format!(" at {}", site.site)
    } else {
        String::new()
    };
    let fit = format!(
        "{} with known minutes of {}",
        format::counted(site.fit.usable, "call", "calls"),
        format::whole(site.fit.calls)
    );
    let waiting = first.outcome.as_ref().ok().and_then(|found| found.waiting);
    match waiting {
        Some(waiting) => format!(
            "Simulated{place} with “{}” from {fit}: {} of calls would wait for a team{}.",
            first.name,
            tables::share(waiting.value),
            records_in_words(first),
        ),
        None => format!(
            "Simulated{place} with “{}” from {fit}: {}.",
            first.name,
            why_no_share(first)
        ),
    }
}

/// ` (95% interval from the records 9.1% to 16.7%)`, or nothing.
fn records_in_words(scenario: &ScenarioCoverage) -> String {
    scenario.from_records.map_or_else(String::new, |found| {
        format!(
            " (95% interval from the records: {})",
            tables::records_limits(&found)
        )
    })
}

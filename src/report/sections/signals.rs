//! Measures month by month against the lines of their own baseline, and which rules are met.

use crate::domain::measure::Definition;
use crate::findings::review::Review;
use crate::findings::signals::{ChartForm, MonthSignal};
use crate::report::content::{Block, Section};
use crate::report::{format, one_minute, series, signal_words};
use std::collections::BTreeSet;

/// The section; `None` when nothing is followed.
pub(super) fn section(review: &Review) -> Option<Section> {
    if review.signals.charts.is_empty() {
        return None;
    }
    let mut blocks = vec![Block::Text(ABOUT.to_owned())];
    blocks.extend(signal_words::chance_note(review).map(Block::Text));
    blocks.push(Block::Heading(format!(
        "Rules met in {}",
        format::month_name(review.month)
    )));
    let standing = sentences(review, Told::Standing);
    blocks.push(if standing.is_empty() {
        Block::Text("No rule is met.".to_owned())
    } else {
        Block::List(standing)
    });
    let earlier = sentences(review, Told::Ended);
    if !earlier.is_empty() {
        blocks.push(Block::Heading("Rules met before, and no longer".to_owned()));
        blocks.push(Block::Text(
            "Chance makes as many in each month as in the month in view, so over all months there are \
             many of them even when nothing changes."
                .to_owned(),
        ));
        blocks.push(Block::List(earlier));
    }
    let targets = targets(review);
    if !targets.is_empty() {
        blocks.push(Block::Heading("Targets of the service".to_owned()));
        blocks.push(Block::List(targets));
    }
    for measure in followed(review) {
        if let Some(definition) = review.definition(measure) {
            let figure = series::followed(review, definition);
            blocks.extend(figure.map(|figure| Block::Figure(Box::new(figure))));
        }
    }
    Some(Section {
        id: "signals",
        heading: "What is unlike before".to_owned(),
        blocks,
    })
}

const ABOUT: &str = "Each chart holds a measure against lines that come from its own first months, \
    the baseline, and then stay as they are. A rule is met by a month beyond a limit, or by eight \
    months or more in a row on one side of the center line. Where cases are few, limits are exact and \
    rows of months are not counted; a run chart has a median and no limits, and a rule is met by a \
    longer row or by fewer crossings than shuffled months show. A rule that is met says that months \
    are unlike the baseline. It does not say why: look first whether \
    recording, the mix of cases or a dated change explains it. New lines begin only at a dated change \
    that the mapping names, once it is old enough to have its own.";

/// The followed measures, each once, in the order of their charts.
fn followed(review: &Review) -> Vec<&str> {
    let mut measures: Vec<&str> = Vec::new();
    for chart in &review.signals.charts {
        if !measures.contains(&chart.measure.as_str()) {
            measures.push(&chart.measure);
        }
    }
    measures
}

/// Which patterns of a chart are told.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Told {
    /// Those that hold at the month in view, with the earlier ones of the same rule and side.
    Standing,
    /// Those of rules and sides that hold no longer.
    Ended,
}

/// One sentence for each chart that has something to tell.
fn sentences(review: &Review, told: Told) -> Vec<String> {
    let mut sentences = Vec::new();
    for chart in &review.signals.charts {
        let Some(definition) = review.definition(&chart.measure) else {
            continue;
        };
        let holds = |signal: &&MonthSignal| {
            let mut standing = chart.standing();
            let is_same =
                |other: &MonthSignal| (other.rule, other.side) == (signal.rule, signal.side);
            standing.any(is_same) == (told == Told::Standing)
        };
        let rules: Vec<_> = chart
            .signals
            .iter()
            .filter(holds)
            .map(|signal| signal_words::signal(chart, signal))
            .collect();
        if !rules.is_empty() {
            sentences.push(format!(
                "{}{}: {}{}.",
                definition.title,
                signal_words::place(chart),
                rules.join("; "),
                signal_words::wanted(definition)
            ));
        }
    }
    sentences
}

/// Each target of the service, with where the month in view stands beside it.
fn targets(review: &Review) -> Vec<String> {
    let target = |definition: &Definition| {
        let statistic = series::main_statistic(definition.kind);
        let month = review
            .findings
            .overall(&definition.id, Some(review.month), statistic);
        let words = one_minute::target(review, definition, month)?;
        let value = month.map_or_else(|| format::NO_CASES.to_owned(), format::estimate_with_counts);
        Some(format!("{}: {value}; {words}.", definition.title))
    };
    review.definitions.iter().filter_map(target).collect()
}

/// How the lines of the charts are made, a sentence for each form in use.
pub(super) fn methods(review: &Review) -> Vec<String> {
    let forms: BTreeSet<ChartForm> = review
        .signals
        .charts
        .iter()
        .flat_map(|chart| &chart.baselines)
        .map(|baseline| baseline.form)
        .collect();
    forms
        .into_iter()
        .map(|form| signal_words::form_sentence(form).to_owned())
        .collect()
}

//! Measures month by month against the lines of their own baseline, and which rules are met.

use crate::findings::review::Review;
use crate::findings::signals::{ChartForm, MonthChart, MonthSignal};
use crate::report::content::{Block, Section};
use crate::report::{format, series, signal_words};
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
    let standing = sentences(review, |chart, signal| {
        Some(signal.last) == chart.points.last().map(|point| point.month)
    });
    blocks.push(if standing.is_empty() {
        Block::Text("No rule is met.".to_owned())
    } else {
        Block::List(standing)
    });
    let earlier = sentences(review, |chart, signal| {
        Some(signal.last) != chart.points.last().map(|point| point.month)
    });
    if !earlier.is_empty() {
        blocks.push(Block::Heading("Rules met before, and no longer".to_owned()));
        blocks.push(Block::List(earlier));
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
    months or more in a row on one side of the center line; on a run chart, which has a median and no \
    limits, by a run that is longer or by crossings that are fewer than shuffled months show. A rule \
    that is met says that months are unlike the baseline. It does not say why: look first whether \
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

/// One sentence for each signal that is asked for.
fn sentences(
    review: &Review,
    is_wanted: impl Fn(&MonthChart, &MonthSignal) -> bool,
) -> Vec<String> {
    let mut sentences = Vec::new();
    for chart in &review.signals.charts {
        let Some(definition) = review.definition(&chart.measure) else {
            continue;
        };
        let wanted = chart
            .signals
            .iter()
            .filter(|signal| is_wanted(chart, signal));
        let rules: Vec<_> = wanted.map(|it| signal_words::signal(chart, it)).collect();
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

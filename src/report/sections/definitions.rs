//! The end of the page: definitions, methods, cautions, words and versions.

use super::{curves, devices, funnel, glossary, harm_over_time, signals};
use crate::domain::measure::{Better, Definition, MeasureKind};
use crate::findings::comparisons::method::ComparisonMethod;
use crate::findings::finding::{Finding, Method, Statistic};
use crate::findings::review::{Change, Headline, Review};
use crate::report::cautions;
use crate::report::content::{Block, Section};
use crate::report::{format, series, words};
use std::collections::BTreeMap;

/// The sections; they always exist.
pub(super) fn sections(review: &Review) -> [Section; 4] {
    [
        Section {
            id: "definitions",
            heading: "Definitions".to_owned(),
            blocks: definitions(review),
        },
        Section {
            id: "methods",
            heading: "Methods".to_owned(),
            blocks: vec![Block::List(methods(review))],
        },
        Section {
            id: "cautions",
            heading: "Cautions".to_owned(),
            blocks: vec![Block::List(CAUTIONS.map(str::to_owned).to_vec())],
        },
        Section {
            id: "words",
            heading: "Words and versions".to_owned(),
            blocks: vec![
                Block::Terms(glossary::terms()),
                Block::List(versions(review)),
            ],
        },
    ]
}

fn definitions(review: &Review) -> Vec<Block> {
    let start = format!(
        "Windows are counted from {}; cases by the month of the call.",
        review.window_start
    );
    let terms = review
        .definitions
        .iter()
        .map(|definition| {
            (
                definition.title.clone(),
                definition_lines(review, definition),
            )
        })
        .collect();
    vec![Block::Text(start), Block::Terms(terms)]
}

fn definition_lines(review: &Review, definition: &Definition) -> Vec<String> {
    let meets = match definition.kind {
        MeasureKind::Share | MeasureKind::ClusteredShare => "Meets it",
        MeasureKind::Minutes => "From when to when",
        MeasureKind::Count => "Counted",
    };
    let wanted = match definition.better {
        Better::Higher => "more is wanted",
        Better::Lower => "less is wanted",
        Better::Neither => "neither direction is good in itself",
    };
    let statistic = series::main_statistic(definition.kind);
    let overall = review.findings.overall(&definition.id, None, statistic);
    vec![
        definition.question.clone(),
        format!("Judged: {}.", definition.eligible),
        format!("{meets}: {}.", definition.hit),
        format!(
            "Whole period: {}{}.",
            overall.map_or_else(|| format::NO_CASES.to_owned(), words::finding_words),
            overall.map_or_else(String::new, not_judged)
        ),
        format!("Direction: {wanted}. Source: {}.", definition.source),
        format!(
            "Identifier {}, version {}, kind {}.",
            definition.id,
            definition.version,
            definition.kind.code()
        ),
    ]
}

fn not_judged(finding: &Finding) -> String {
    if finding.excluded == 0 || finding.suppressed || format::is_empty(finding) {
        String::new()
    } else {
        format!(
            "; {} could not be judged",
            format::counted(finding.excluded, "case", "cases")
        )
    }
}

fn methods(review: &Review) -> Vec<String> {
    let used = |method: Method| {
        review
            .findings
            .iter()
            .any(|finding| finding.method == method)
    };
    let mut sentences: Vec<_> = Method::ALL
        .into_iter()
        .filter(|&method| used(method))
        .map(|method| format!("{}: {}", words::method_name(method), method.sentence()))
        .collect();
    let comparisons = review.comparisons.methods();
    let new = comparisons
        .iter()
        .filter(|method| !matches!(method, ComparisonMethod::Share(_)));
    sentences.extend(new.map(|method| format!("{}: {}", method.name(), method.sentence())));
    if review.comparisons.devices.is_some() {
        sentences.push(devices::HOLM.to_owned());
    }
    sentences.extend(signals::methods(review));
    if harm_over_time::has_lines(review) {
        sentences.extend(harm_over_time::METHODS.map(str::to_owned));
    }
    if !review.curves.ends.is_empty() {
        sentences.push(curves::METHOD.to_owned());
    }
    if !review.funnels.is_empty() {
        sentences.push(funnel::METHOD.to_owned());
    }
    let is_compared = |headline: &Headline| matches!(headline.change, Change::Difference { .. });
    if review.headlines.iter().any(is_compared) {
        sentences.push(words::COMPARISON.to_owned());
    }
    let median_needs = review
        .findings
        .iter()
        .find(|finding| finding.statistic == Statistic::P90)
        .and_then(format::cases_for_limits);
    if let Some(needed) = median_needs {
        sentences.push(format!(
            "Both limits of the time within which nine of ten were done need at least {needed} cases; \
             with fewer the missing limit is named instead of guessed."
        ));
    }
    sentences.push(format!(
        "All intervals have a confidence level of {}. A change is called clear only when the interval \
         of the difference excludes zero.",
        format::level(review.level)
    ));
    sentences
}

const CAUTIONS: [&str; 8] = [
    cautions::DESCRIBES,
    cautions::NOT_A_PATIENT,
    "It ranks no person, no site and no device. Groups stand in a fixed order, sites in that of their names.",
    cautions::SMALL_NUMBERS,
    "Time beyond a window is not proof of poor care. Local policy and licensed practice decide.",
    cautions::CLOCKS,
    "Devices are chosen for the case at hand, so comparisons between devices are confounded.",
    "Cases with a missing value are left out of the measures that need it, and counted as not judged.",
];

fn versions(review: &Review) -> Vec<String> {
    let mut lines = vec![format!("scopetally {}", review.tool_version)];
    lines.extend(
        review
            .made_on
            .as_ref()
            .map(|date| format!("Made on {date}")),
    );
    lines.push(format!("Records: {}", series::period(review)));
    let mut place = BTreeMap::<&str, usize>::new();
    for input in &review.inputs {
        let place = place.entry(input.role.as_str()).or_default();
        *place += 1;
        lines.push(format!(
            "Input, {} {place}: SHA-256 {}",
            input.role, input.sha256
        ));
    }
    lines.push(
        "run.json beside this page holds the file names, the options, how the files were read, and \
         what became of every row."
            .to_owned(),
    );
    lines
}

//! What can be said about a change, in calm sentences: no blame, no advice, no more than the
//! interval allows.

use super::series::main_statistic;
use super::{format, groups, series};
use crate::domain::fields::Field;
use crate::domain::measure::{Better, Definition};
use crate::findings::bleeds::ScoreDoubt;
use crate::findings::finding::{Finding, Method, Statistic, Unit};
use crate::findings::review::{Change, Headline, Review};
use std::collections::BTreeSet;

/// What the comparison of a headline measure comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Verdict {
    /// The interval of the difference excludes zero, in the wanted direction.
    Better,
    /// The interval of the difference excludes zero, against the wanted direction.
    Worse,
    /// The interval excludes zero upward, and neither direction is wanted.
    Higher,
    /// The interval excludes zero downward, and neither direction is wanted.
    Lower,
    /// The interval of the difference holds zero.
    NoClearChange,
    /// Too few cases in the month.
    TooFew,
    /// Nothing to compare with.
    NotCompared,
}

/// What `change` comes to for a measure in which `better` is wanted.
pub(super) fn verdict(change: Change, better: Better) -> Verdict {
    match change {
        Change::NotCompared => Verdict::NotCompared,
        Change::TooFewCases { .. } => Verdict::TooFew,
        Change::Difference {
            estimate,
            low,
            high,
        } => {
            if ![estimate, low, high]
                .iter()
                .all(|number| number.is_finite())
            {
                return Verdict::NotCompared;
            }
            let is_up = low > 0.0;
            let is_down = high < 0.0;
            match (is_up, is_down, better) {
                (true, _, Better::Higher) | (_, true, Better::Lower) => Verdict::Better,
                (true, _, Better::Lower) | (_, true, Better::Higher) => Verdict::Worse,
                (true, _, Better::Neither) => Verdict::Higher,
                (_, true, Better::Neither) => Verdict::Lower,
                (false, false, _) => Verdict::NoClearChange,
            }
        }
    }
}

/// What the comparison of a headline comes to. A difference would give withheld numbers away.
pub(super) fn headline_verdict(headline: &Headline, definition: &Definition) -> Verdict {
    let is_withheld = [&headline.month, &headline.before]
        .into_iter()
        .flatten()
        .any(|finding| finding.suppressed);
    if is_withheld {
        Verdict::NotCompared
    } else {
        verdict(headline.change, definition.better)
    }
}

/// The verdict in a few words, and the difference with its interval; empty when there is none.
pub(super) fn change_words(headline: &Headline, definition: &Definition) -> (String, String) {
    let verdict = headline_verdict(headline, definition);
    let words = match verdict {
        Verdict::Better => "better than before",
        Verdict::Worse => "worse than before",
        Verdict::Higher => "higher than before",
        Verdict::Lower => "lower than before",
        Verdict::NoClearChange => "no clear change",
        Verdict::TooFew => "too few cases to compare",
        Verdict::NotCompared => "not compared",
    };
    let detail = match headline.change {
        _ if verdict == Verdict::NotCompared => String::new(),
        Change::NotCompared => String::new(),
        Change::TooFewCases { needed } => short_sides(headline, needed),
        Change::Difference {
            estimate,
            low,
            high,
        } => difference(headline, definition, [estimate, low, high]),
    };
    (words.to_owned(), detail)
}

/// Which of the two sides has fewer cases than `needed`.
fn short_sides(headline: &Headline, needed: u64) -> String {
    let sides = [
        ("this month", &headline.month),
        ("before", &headline.before),
    ];
    let short = sides.map(|(side, finding)| {
        let cases = finding.as_ref().map_or(0, |finding| finding.cases);
        (cases < needed).then(|| {
            format!(
                "{side}: {} of {} needed",
                format::whole(cases),
                format::counted(needed, "case", "cases")
            )
        })
    });
    short.into_iter().flatten().collect::<Vec<_>>().join("; ")
}

fn difference(headline: &Headline, definition: &Definition, numbers: [f64; 3]) -> String {
    let unit = main_statistic(definition.kind).unit();
    let n = headline.month.as_ref().map_or(0, Finding::denominator);
    let [estimate, low, high] = format::difference(unit, n, numbers);
    format!(
        "{estimate} {} ({low} to {high})",
        format::difference_unit(unit)
    )
}

/// The title of the report.
pub(super) fn title(review: &Review) -> String {
    let month = format::month_name(review.month);
    match &review.site {
        Some(site) => format!("Emergency endoscopy review of {site}, {month}"),
        None => format!("Emergency endoscopy review, {month}"),
    }
}

/// What the report is about, in one line.
pub(super) fn lead(review: &Review) -> String {
    let calls = review
        .findings
        .overall("calls", Some(review.month), Statistic::Rate)
        .filter(|calls| !calls.suppressed)
        .map(|calls| {
            format!(
                " {} in the month.",
                format::counted(calls.events, "call", "calls")
            )
        });
    let sites = match (&review.site, groups::sites(review).len()) {
        (Some(site), _) => format!("{site} alone, one site of the export"),
        (None, 0) => "one service".to_owned(),
        (None, count) => format::counted(count as u64, "site", "sites"),
    };
    format!(
        "From the records of {sites}, {}.{} It describes a service, not a patient and not a person.",
        series::period(review),
        calls.unwrap_or_default()
    )
}

/// How often comparisons like these mislead; `None` when none was made.
pub(super) fn chance_note(review: &Review) -> Option<String> {
    let compared = review
        .headlines
        .iter()
        .filter(|headline| matches!(headline.change, Change::Difference { .. }))
        .count();
    let compared = u32::try_from(compared).ok().filter(|&count| count > 1)?;
    let one_in = (1.0 / (1.0 - review.level)).round();
    one_in.is_finite().then(|| {
        format!(
            "{compared} comparisons were made. When nothing changes at all, each by itself still has \
             about one chance in {one_in:.0} to look like a clear change; if they were independent, \
             at least one of the {compared} would look so with a chance of {}.",
            format::chance_of_any(review.level, compared)
        )
    })
}

/// `the 12 months before`.
pub(crate) fn before_words(review: &Review) -> String {
    match review.months_before {
        0 => "the months before".to_owned(),
        1 => "the month before".to_owned(),
        months => format!("the {months} months before"),
    }
}

/// Scores of an export that differ too often, in one sentence without its stop.
pub(crate) fn score_doubt(doubt: &ScoreDoubt) -> String {
    format!(
        "{} of {} of `{}` differ from the score that the components give: check units and components",
        format::whole(doubt.different),
        format::counted(doubt.exported, "value", "values"),
        doubt.score.name()
    )
}

/// A method in a word or two, for tables.
pub(super) fn method_name(method: Method) -> &'static str {
    match method {
        Method::Wilson => "Wilson",
        Method::ClopperPearson => "Clopper-Pearson",
        Method::Jeffreys => "Jeffreys",
        Method::OrderStatistics => "order\u{a0}statistics",
        Method::KaplanMeier => "Kaplan-Meier",
        Method::ClusteredRatio => "clustered\u{a0}ratio",
        Method::Garwood => "Garwood",
        Method::RatioOfSums => "ratio\u{a0}of\u{a0}sums",
    }
}

/// The methods behind some findings, each once; a dash when there are none.
pub(super) fn method_names<'a>(findings: impl Iterator<Item = &'a Finding>) -> String {
    let names: BTreeSet<_> = findings
        .map(|finding| method_name(finding.method))
        .collect();
    if names.is_empty() {
        format::NOTHING.to_owned()
    } else {
        names.into_iter().collect::<Vec<_>>().join(" or ")
    }
}

/// How the month in view is compared with the months before.
pub(super) const COMPARISON: &str = "Comparison with the months before: difference of the two \
    estimates, with limits by the square-and-add method from the limits of both. For shares with \
    Wilson limits it is method 10 of Newcombe (1998); for medians and rates, Zou and Donner (2008). \
    The difference of two medians is not the median of the differences.";

/// Estimate, counts and interval in one sentence part: `71% (30 of 42 cases), Wilson 95% interval 56 to 83%`.
pub(crate) fn finding_words(finding: &Finding) -> String {
    if format::is_empty(finding) {
        return format::why_empty(finding);
    }
    match format::shown_estimate(finding) {
        None if finding.unit == Unit::Fraction => format::counts(finding),
        _ => format!(
            "{} ({}), {} {} interval {}",
            format::estimate_in_text(finding),
            format::counts(finding),
            method_name(finding.method),
            format::level(finding.level),
            format::interval(finding)
        ),
    }
}

/// A title as it stands in the middle of a sentence. Words in capitals keep them.
pub(super) fn inside_sentence(title: &str) -> String {
    let mut letters = title.chars();
    let first = letters.next().map(char::to_lowercase);
    match (first, letters.clone().next()) {
        (Some(first), Some(second)) if second.is_lowercase() => first.chain(letters).collect(),
        _ => title.to_owned(),
    }
}

/// `a, b and c`; `None` for an empty list.
pub(super) fn listed(titles: &[String]) -> Option<String> {
    match titles {
        [] => None,
        [only] => Some(only.clone()),
        [first @ .., last] => Some(format!("{} and {last}", first.join(", "))),
    }
}

#[cfg(test)]
mod tests;

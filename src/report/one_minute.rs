//! The month in three sentences, and the two or three things to look at. Nothing is said here that no
//! interval and no rule stands behind.

use super::words::{self, Verdict, headline_verdict, inside_sentence, listed};
use super::{format, series, signal_words};
use crate::domain::counts::ALL;
use crate::domain::measure::{Better, Definition};
use crate::findings::coding_checks::coding_doubts;
use crate::findings::finding::Finding;
use crate::findings::review::{Change, Headline, Review};
use crate::findings::signals::{MonthChart, Side};
use crate::findings::target::{Standing, standing};

#[cfg(test)]
mod tests;

/// Most things to look at.
const MOST_THINGS: usize = 3;

/// Most charts on which a rule is met in one sentence.
const MOST_SIGNALS: usize = 3;

/// A share of cases not judged that is worth a look.
const MANY_NOT_JUDGED: f64 = 0.2;

/// What changed, what did not, and what cannot be said.
pub(super) fn three_sentences(review: &Review) -> Vec<String> {
    if review.headlines.is_empty() {
        return vec!["There are no headline measures in this review.".to_owned()];
    }
    let changed = changed(review);
    let is_silent = |headline: &Headline| headline.change == Change::NotCompared;
    if changed.is_none() && review.headlines.iter().all(is_silent) {
        return vec!["There is nothing that this month can be compared with.".to_owned()];
    }
    let sentences = [changed, unchanged(review), unsaid(review)];
    sentences.into_iter().flatten().collect()
}

/// Titles of the headlines with one verdict, as they stand inside a sentence.
fn titles(review: &Review, wanted: Verdict) -> Vec<String> {
    of_headlines(review)
        .filter(|(headline, definition)| headline_verdict(headline, definition) == wanted)
        .map(|(_, definition)| inside_sentence(&definition.title))
        .collect()
}

fn of_headlines(review: &Review) -> impl Iterator<Item = (&Headline, &Definition)> {
    let headlines = review.headlines.iter();
    headlines.filter_map(|headline| Some((headline, review.definition(&headline.measure)?)))
}

fn changed(review: &Review) -> Option<String> {
    let compared: Vec<_> = [
        (Verdict::Better, "better"),
        (Verdict::Worse, "worse"),
        (Verdict::Higher, "higher"),
        (Verdict::Lower, "lower"),
    ]
    .into_iter()
    .filter_map(|(wanted, word)| Some((word, listed(&titles(review, wanted))?)))
    .map(|(word, titles)| format!("clearly {word}: {titles}"))
    .collect();
    let is_compared = of_headlines(review).any(|(headline, definition)| {
        headline_verdict(headline, definition) == Verdict::NoClearChange
    });
    let before = words::before_words(review);
    let mut parts = Vec::new();
    if !compared.is_empty() {
        parts.push(format!("against {before}, {}", compared.join("; ")));
    } else if is_compared {
        parts.push(format!("over all cases nothing clearly against {before}"));
    }
    let told = |met: Met| format!("{}, {}", met.what, met.why);
    let whole = signals(review, |chart| chart.by == ALL);
    let at_sites = signals(review, |chart| chart.by != ALL);
    let mut met: Vec<String> = whole.into_iter().map(told).collect();
    met.extend(harm(review));
    met.extend(at_sites.into_iter().map(told));
    let is_followed = review
        .signals
        .charts
        .iter()
        .any(|chart| chart.chance.is_some());
    if !met.is_empty() {
        let more = met.len().saturating_sub(MOST_SIGNALS);
        let more = if more > 0 {
            format!("; and {more} more")
        } else {
            String::new()
        };
        met.truncate(MOST_SIGNALS);
        parts.push(format!("unlike the baseline: {}{more}", met.join("; ")));
    } else if is_followed {
        parts.push("no rule sets a measure apart from its baseline".to_owned());
    }
    parts.extend(dated(review));
    let first = parts.first()?;
    let rest = parts.iter().skip(1).map(|words| format::capitalized(words));
    let sentences: Vec<String> = std::iter::once(first.clone()).chain(rest).collect();
    Some(format!("What changed: {}.", sentences.join(". ")))
}

/// A headline measure on whose chart a rule is met in the month in view.
struct Met {
    /// Measure and place: `call to scope at Birch`.
    what: String,
    /// Its value beside the line, and the rules.
    why: String,
    /// Months of the longest pattern.
    points: usize,
}

/// The headline measures with rules that are met in the month in view, those met longest first.
fn signals(review: &Review, is_wanted: impl Fn(&MonthChart) -> bool) -> Vec<Met> {
    let mut found: Vec<Met> = review
        .signals
        .charts
        .iter()
        .filter(|chart| is_wanted(chart))
        .filter(|chart| {
            let mut headlines = review.headlines.iter();
            headlines.any(|headline| headline.measure == chart.measure)
        })
        .filter_map(|chart| {
            let definition = review.definition(&chart.measure)?;
            Some(Met {
                what: format!(
                    "{}{}",
                    inside_sentence(&definition.title),
                    signal_words::place(chart)
                ),
                why: signal_words::now_and_why(chart),
                points: chart.standing().map(|signal| signal.points).max()?,
            })
        })
        .collect();
    found.sort_by_key(|met| std::cmp::Reverse(met.points));
    found
}

/// The dated changes of the month in view and of the months that it is compared with.
fn dated(review: &Review) -> Option<String> {
    let earliest = review
        .month
        .plus(-i32::try_from(review.months_before).unwrap_or(0));
    let changes: Vec<_> = review
        .phases
        .iter()
        .filter(|phase| (earliest..=review.month).contains(&phase.from))
        .map(|phase| format!("{}, {}", format::month_name(phase.from), phase.note))
        .collect();
    listed(&changes).map(|changes| format!("dated by the service: {changes}"))
}

/// Measures of harm whose events changed their distance, by a rule met in the month in view.
fn harm(review: &Review) -> Vec<String> {
    let mut sentences = Vec::new();
    for harm in review.comparisons.over_time.iter().flatten() {
        let Some(definition) = review.definition(&harm.measure) else {
            continue;
        };
        let charts = [&harm.cases_between, &harm.days_between];
        for (side, words) in [
            (Side::Below, "closer together"),
            (Side::Above, "further apart"),
        ] {
            let is_met = charts
                .iter()
                .any(|chart| chart.met_in(review.month).any(|signal| signal.side == side));
            if is_met {
                sentences.push(format!(
                    "{}: events lie {words} than those of the baseline, see Harm over time",
                    inside_sentence(&definition.title)
                ));
            }
        }
    }
    sentences
}

fn unchanged(review: &Review) -> Option<String> {
    let titles = listed(&titles(review, Verdict::NoClearChange))?;
    Some(format!(
        "What did not change clearly: {titles}. That is not proof that nothing changed."
    ))
}

fn unsaid(review: &Review) -> Option<String> {
    let needed = review
        .headlines
        .iter()
        .find_map(|headline| match headline.change {
            Change::TooFewCases { needed } => Some(needed),
            _ => None,
        });
    let few: Vec<_> = of_headlines(review)
        .filter(|(headline, definition)| headline_verdict(headline, definition) == Verdict::TooFew)
        .map(|(headline, definition)| too_few(headline, definition))
        .collect();
    let few = listed(&few).zip(needed).map(|(titles, needed)| {
        format!(
            "too few cases (at least {} needed): {titles}",
            format::whole(needed)
        )
    });
    let not_compared = listed(&titles(review, Verdict::NotCompared))
        .map(|titles| format!("nothing to compare with: {titles}"));
    let parts: Vec<_> = [few, not_compared].into_iter().flatten().collect();
    (!parts.is_empty()).then(|| format!("What cannot be said: {}.", parts.join("; ")))
}

/// A measure with too few cases to compare, with what was counted.
fn too_few(headline: &Headline, definition: &Definition) -> String {
    let title = inside_sentence(&definition.title);
    match (&headline.month, &headline.before) {
        (Some(month), Some(before)) => format!(
            "{title} ({}; before {})",
            format::counts(month),
            format::estimate_with_counts(before)
        ),
        _ => title,
    }
}

/// The two or three things that deserve a look, the broadest first.
pub(super) fn to_look_at(review: &Review) -> Vec<String> {
    let whole = signals(review, |chart| chart.by == ALL);
    let at_sites = signals(review, |chart| chart.by != ALL);
    let mut met = whole.iter().chain(&at_sites).map(|met| {
        format!(
            "{}: look first whether recording or the mix of cases changed. The chart stands under \
             What is unlike before.",
            format::capitalized(&met.what)
        )
    });
    let first = met.next();
    let doubts = coding_doubts(&review.findings, review.month);
    let doubted = (!doubts.is_empty()).then(|| {
        format!(
            "{} so far from what is published that {} coding deserves a look: see Data quality.",
            format::capitalized(&format::counted(
                doubts.len() as u64,
                "number lies",
                "numbers lie"
            )),
            if doubts.len() == 1 { "its" } else { "their" }
        )
    });
    first
        .into_iter()
        .chain(listed_cases(review))
        .chain(met.next())
        .chain(doubted)
        .chain(not_judged(review))
        .take(MOST_THINGS)
        .collect()
}

/// How often a rule picks out a case of the month; `None` when none does.
fn listed_cases(review: &Review) -> Option<String> {
    let rows: u64 = review
        .to_look_at
        .iter()
        .map(|tally| tally.month.listed)
        .sum();
    (rows > 0).then(|| {
        format!(
            "{} on the list of cases to read together: see Cases to look at.",
            format::capitalized(&format::counted(rows, "entry", "entries"))
        )
    })
}

/// The headline with the largest part of its cases not judged in the month, when that is large.
fn not_judged(review: &Review) -> Option<String> {
    let part = |finding: &Finding| {
        let all = finding.cases + finding.excluded;
        if all == 0 || finding.suppressed {
            0.0
        } else {
            finding.excluded as f64 / all as f64
        }
    };
    let (finding, definition) = of_headlines(review)
        .filter_map(|(headline, definition)| Some((headline.month.as_ref()?, definition)))
        .filter(|(finding, _)| part(finding) >= MANY_NOT_JUDGED)
        .max_by(|(a, _), (b, _)| part(a).total_cmp(&part(b)))?;
    Some(format!(
        "{}: {} of {} could not be judged, because a value that the definition needs is missing.",
        definition.title,
        format::whole(finding.excluded),
        format::counted(finding.cases + finding.excluded, "case", "cases"),
    ))
}

/// A target that the site set, and where the month stands beside it; `None` without a target.
pub(super) fn target(
    review: &Review,
    definition: &Definition,
    month: Option<&Finding>,
) -> Option<String> {
    let &target = review.targets.get(&definition.id)?;
    let value = format::as_chosen(series::unit(definition.kind), target);
    let wanted = match definition.better {
        Better::Higher => format!("target: {value} or more"),
        Better::Lower => format!("target: {value} or less"),
        Better::Neither => format!("target: {value}"),
    };
    // A share of few cases is not shown, so it is held against nothing.
    let month = month.filter(|finding| format::shown_estimate(finding).is_some());
    let reached = |is_reached| if is_reached { "reached" } else { "not reached" };
    Some(match standing(target, definition.better, month) {
        Standing::NoDirection => wanted,
        Standing::NoValue => format!("{wanted}; no value to hold against it"),
        Standing::Clear { is_reached } => format!("{wanted}; {}", reached(is_reached)),
        Standing::Alone { is_reached } => format!(
            "{wanted}; {} by the number alone, which has no interval",
            reached(is_reached)
        ),
        Standing::Open { is_reached } => format!(
            "{wanted}; {}, but the interval lies on both sides of it",
            reached(is_reached)
        ),
    })
}

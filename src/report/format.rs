//! Numbers to text: the only place of the report that rounds. Knows findings, no page and no chart.
//!
//! Rules: below five cases only `k of n`; percent without decimals below 100 cases and with one
//! from there on; minutes whole, and halves with one decimal; a difference of less than a point, or of
//! half a minute, with one decimal; limits never finer than the estimate, but for a difference whose
//! limit would read as the zero that it excludes. What is not finite is treated as missing, so no
//! page can show a `NaN`.

mod number;

pub(super) use number::{
    FEWEST_CASES_FOR_PERCENT, as_chosen, chance_of_any, days, days_in_column, difference,
    difference_unit, distance, level, month_short, months, p_value, part, ratio, short_whole,
    signed_whole, window_length, with_unit,
};
pub(crate) use number::{counted, month_name, whole};

use crate::findings::finding::{Finding, Method, Statistic, Unit};
pub(super) use number::bare;
use number::unit_sign;

/// The estimate when it is a number that may be shown; `None` when it is missing, not finite,
/// withheld, or a share of too few cases.
pub(super) fn shown_estimate(finding: &Finding) -> Option<f64> {
    let too_few = finding.unit == Unit::Fraction && finding.cases < FEWEST_CASES_FOR_PERCENT;
    finite(finding.estimate).filter(|_| !finding.suppressed && !too_few)
}

/// Both limits when they may be shown; one alone when the sample gives only one.
pub(super) fn shown_limits(finding: &Finding) -> (Option<f64>, Option<f64>) {
    if shown_estimate(finding).is_none() && finding.method != Method::KaplanMeier {
        return (None, None);
    }
    if finding.suppressed {
        return (None, None);
    }
    (finite(finding.low), finite(finding.high))
}

fn finite(number: Option<f64>) -> Option<f64> {
    number.filter(|number| number.is_finite())
}

/// The estimate with its unit, without denominator: `75%`, `94 min`, `not reached`.
pub(super) fn estimate(finding: &Finding) -> String {
    if finding.suppressed {
        return "withheld".to_owned();
    }
    if is_empty(finding) {
        return why_empty(finding);
    }
    match shown_estimate(finding) {
        Some(number) => with_unit(finding.unit, finding.denominator(), number),
        None if finding.unit == Unit::Fraction => "too few for a percentage".to_owned(),
        None if finding.method == Method::KaplanMeier => "not reached".to_owned(),
        None => "not estimable".to_owned(),
    }
}

/// [`estimate`] with its counts behind it: `75% (45 of 60 cases)`, `no cases`.
pub(super) fn estimate_with_counts(finding: &Finding) -> String {
    if is_empty(finding) || finding.suppressed {
        return estimate(finding);
    }
    format!("{} ({})", estimate(finding), counts(finding))
}

/// [`estimate`] for running text, where no axis and no column heading gives the unit of a rate.
pub(super) fn estimate_in_text(finding: &Finding) -> String {
    let text = estimate(finding);
    match finding.unit {
        Unit::Per30SiteDays if shown_estimate(finding).is_some() => {
            format!("{text} {}", difference_unit(finding.unit))
        }
        _ => text,
    }
}

/// Numerator and denominator: `45 of 60 cases`, `23 of 40 passes in 31 cases`, `60 cases`, `17 calls`.
pub(super) fn counts(finding: &Finding) -> String {
    if finding.suppressed {
        return WITHHELD.to_owned();
    }
    match (finding.unit, finding.attempts) {
        (Unit::Fraction, Some(passes)) => format!(
            "{} of {} in {}",
            whole(finding.events),
            counted(passes, "pass", "passes"),
            counted(finding.cases, "case", "cases")
        ),
        (Unit::Fraction, None) => format!(
            "{} of {}",
            whole(finding.events),
            counted(finding.cases, "case", "cases")
        ),
        (Unit::Minutes, _) if finding.censored > 0 => format!(
            "{}, {} not followed to the end",
            counted(finding.cases, "case", "cases"),
            whole(finding.censored)
        ),
        (Unit::Minutes, _) => counted(finding.cases, "case", "cases"),
        (Unit::Per30SiteDays, _) => counted(finding.events, "event", "events"),
    }
}

/// [`counts`] in the fewest words, for the side of a chart: `60 cases, 4 censored`.
pub(super) fn short_counts(finding: &Finding) -> String {
    if finding.unit != Unit::Minutes || finding.censored == 0 || finding.suppressed {
        return counts(finding);
    }
    format!(
        "{}, {} censored",
        counted(finding.cases, "case", "cases"),
        whole(finding.censored)
    )
}

/// One of the counts of a finding, unless the group is withheld.
pub(super) fn unless_withheld(finding: &Finding, count: u64) -> String {
    if finding.suppressed {
        "withheld".to_owned()
    } else {
        whole(count)
    }
}

/// The interval in words: `62 to 84%`, `from 80 min, no upper limit below 36 cases`.
pub(super) fn interval(finding: &Finding) -> String {
    if finding.suppressed || is_empty(finding) {
        return NOTHING.to_owned();
    }
    if shown_estimate(finding).is_none() && finding.method != Method::KaplanMeier {
        return NOTHING.to_owned();
    }
    let n = finding.denominator();
    let number = |number: f64| bare(finding.unit, n, number);
    let unit = unit_sign(finding.unit);
    match shown_limits(finding) {
        (Some(low), Some(high)) => format!("{} to {}{unit}", number(low), number(high)),
        (Some(low), None) => format!(
            "from {}{unit}, {}",
            number(low),
            why_missing(finding, "upper")
        ),
        (None, Some(high)) => {
            format!(
                "up to {}{unit}, {}",
                number(high),
                why_missing(finding, "lower")
            )
        }
        (None, None) => match (finding.method, cases_for_limits(finding)) {
            (Method::OrderStatistics, Some(needed)) if finding.cases < needed => {
                format!("needs at least {needed} cases")
            }
            (Method::KaplanMeier, _) => "limits not reached".to_owned(),
            _ => "not estimable".to_owned(),
        },
    }
}

/// The text with its first letter raised.
pub(super) fn capitalized(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Stands in a cell that has nothing to say.
pub(super) const NOTHING: &str = "–";

fn why_missing(finding: &Finding, which: &str) -> String {
    match (finding.method, cases_for_limits(finding)) {
        (Method::OrderStatistics, Some(needed)) if finding.cases < needed => {
            format!("{which} limit needs at least {needed} cases")
        }
        (Method::KaplanMeier, _) => format!("{which} limit not reached"),
        _ => format!("no {which} limit"),
    }
}

/// Cases from which both order-statistic limits of a quantile exist: the extreme values must
/// enclose it with the wanted confidence. `None` for numbers that are no quantile.
pub(super) fn cases_for_limits(finding: &Finding) -> Option<u64> {
    let outer = match finding.statistic {
        Statistic::Median => 0.5_f64,
        Statistic::P25 | Statistic::P75 => 0.75,
        Statistic::P90 => 0.9,
        Statistic::Share | Statistic::Rate | Statistic::TimeShare => return None,
    };
    let tail = (1.0 - finding.level) / 2.0;
    (1..=10_000_u64).find(|&cases| outer.powf(cases as f64) <= tail)
}

/// Whether there was nothing to estimate from. No events in observed time is something.
pub(super) fn is_empty(finding: &Finding) -> bool {
    finding.cases == 0 && finding.unit != Unit::Per30SiteDays
}

/// Why there was nothing to estimate from: there were no cases at all, or cases of which none could
/// be judged, which is other news.
pub(super) fn why_empty(finding: &Finding) -> String {
    match finding.excluded {
        _ if finding.suppressed => WITHHELD.to_owned(),
        0 => NO_CASES.to_owned(),
        excluded => none_judged(excluded),
    }
}

/// Where numbers would give a small count away, be it that of another group.
pub(super) const WITHHELD: &str = "withheld";

/// Where nothing was counted.
pub(crate) const NO_CASES: &str = "no cases";

/// Where there were cases, and a value that the definition needs was missing in each.
pub(super) fn none_judged(excluded: u64) -> String {
    format!("no case could be judged ({} not judged)", whole(excluded))
}

#[cfg(test)]
mod tests;

//! Numbers to text: the only place of the report that rounds. Knows findings, no page and no chart.
//!
//! Rules: below five cases only `k of n`; percent without decimals below 100 cases and with one
//! from there on; minutes whole; limits never finer than the estimate, but for a difference whose
//! limit would read as the zero that it excludes. What is not finite is treated as missing, so no
//! page can show a `NaN`.

use crate::domain::month::Month;
use crate::findings::finding::{Finding, Method, Statistic, Unit};

/// Below this many cases only `k of n` is shown.
pub(super) const FEWEST_CASES_FOR_PERCENT: u64 = 5;
const CASES_FOR_ONE_DECIMAL: u64 = 100;

/// A whole number with commas between thousands.
pub(super) fn whole(number: u64) -> String {
    let digits = number.to_string();
    let mut text = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// A count short enough to stand under one month of a chart: `12k` for 12,345.
pub(super) fn short_whole(number: u64) -> String {
    if number < 10_000 {
        number.to_string()
    } else if number < 10_000_000 {
        format!("{}k", number / 1_000)
    } else {
        format!("{}M", number / 1_000_000)
    }
}

/// `1 case`, `2 cases`.
pub(super) fn counted(number: u64, one: &str, many: &str) -> String {
    format!("{} {}", whole(number), if number == 1 { one } else { many })
}

/// `September 2026`.
pub(crate) fn month_name(month: Month) -> String {
    format!(
        "{} {}",
        MONTHS[usize::from(month.number()) - 1],
        month.year()
    )
}

/// `Sep`.
pub(super) fn month_short(month: Month) -> &'static str {
    &MONTHS[usize::from(month.number()) - 1][..3]
}

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

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

/// The denominator: passes for a share per pass, cases otherwise.
pub(super) fn denominator(finding: &Finding) -> u64 {
    finding.attempts.unwrap_or(finding.cases)
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
        Some(number) => with_unit(finding.unit, denominator(finding), number),
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
        return "withheld, small group".to_owned();
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
    let n = denominator(finding);
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
        Statistic::Share | Statistic::Rate => return None,
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
        _ if finding.suppressed => "withheld".to_owned(),
        0 => NO_CASES.to_owned(),
        excluded => none_judged(excluded),
    }
}

/// Where nothing was counted.
pub(super) const NO_CASES: &str = "no cases";

/// Where there were cases, and a value that the definition needs was missing in each.
pub(super) fn none_judged(excluded: u64) -> String {
    format!("no case could be judged ({} not judged)", whole(excluded))
}

/// A number in the unit of a finding: `75%`, `94 min`, `12.3`.
pub(super) fn with_unit(unit: Unit, denominator: u64, number: f64) -> String {
    format!("{}{}", bare(unit, denominator, number), unit_sign(unit))
}

/// A difference and its limits with their signs: `+9 (−15 to 0)` as three texts; points for shares.
/// A limit that excludes zero gets the decimals that it needs in order not to read as zero.
pub(super) fn difference(
    unit: Unit,
    denominator: u64,
    [estimate, low, high]: [f64; 3],
) -> [String; 3] {
    let usual = decimals(unit, denominator);
    let reads_zero = |number, decimals| is_zero(&signed(unit, decimals, number));
    let excludes_zero = low > 0.0 || high < 0.0;
    let needed = (usual..=usual + MOST_MORE_DECIMALS).find(|&decimals| {
        !excludes_zero || !(reads_zero(low, decimals) || reads_zero(high, decimals))
    });
    let decimals = needed.unwrap_or(usual + MOST_MORE_DECIMALS);
    [estimate, low, high].map(|number| signed(unit, decimals, number))
}

const MOST_MORE_DECIMALS: usize = 3;

fn signed(unit: Unit, decimals: usize, number: f64) -> String {
    let text = with_decimals(unit, decimals, number.abs());
    match (is_zero(&text), number < 0.0) {
        (true, _) => text,
        (false, true) => format!("−{text}"),
        (false, false) => format!("+{text}"),
    }
}

fn is_zero(text: &str) -> bool {
    text.chars().all(|c| matches!(c, '0' | '.'))
}

/// The unit of a difference: percentage points, minutes, or calls.
pub(super) const fn difference_unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Fraction => "points",
        Unit::Minutes => "min",
        Unit::Per30SiteDays => "per 30 site-days",
    }
}

/// `95%` for a confidence level of 0.95.
pub(super) fn level(level: f64) -> String {
    let percent = format!("{:.1}", level * 100.0);
    format!("{}%", percent.trim_end_matches('0').trim_end_matches('.'))
}

/// The chance that at least one of `comparisons` independent intervals of `level` misleads: `23%`.
pub(super) fn chance_of_any(level: f64, comparisons: u32) -> String {
    let percent = (1.0 - level.powf(f64::from(comparisons))) * 100.0;
    if percent < 1.0 {
        format!("{percent:.1}%")
    } else {
        format!("{percent:.0}%")
    }
}

/// `6 hours` or `90 min`: the length of a window.
pub(super) fn window_length(minutes: i64) -> String {
    match (minutes % 60, minutes / 60) {
        (0, 1) => "1 hour".to_owned(),
        (0, hours) => format!("{hours} hours"),
        _ => format!("{minutes} min"),
    }
}

/// Days for a span of minutes.
pub(super) fn days(minutes: u64) -> String {
    whole(minutes / (24 * 60))
}

/// `k of n (p%)` of two counts that need no interval, such as the filling of a field.
pub(super) fn part(events: u64, of: u64) -> String {
    if of < FEWEST_CASES_FOR_PERCENT {
        return format!("{} of {}", whole(events), whole(of));
    }
    format!(
        "{} of {} ({})",
        whole(events),
        whole(of),
        with_unit(Unit::Fraction, of, events as f64 / of as f64)
    )
}

fn bare(unit: Unit, denominator: u64, number: f64) -> String {
    let text = with_decimals(unit, decimals(unit, denominator), number);
    // A tiny negative number must not read "-0".
    match text.strip_prefix('-') {
        Some(rest) if is_zero(rest) => rest.to_owned(),
        Some(rest) => format!("−{rest}"),
        None => text,
    }
}

const fn decimals(unit: Unit, denominator: u64) -> usize {
    match unit {
        Unit::Fraction if denominator < CASES_FOR_ONE_DECIMAL => 0,
        Unit::Fraction | Unit::Per30SiteDays => 1,
        Unit::Minutes => 0,
    }
}

fn with_decimals(unit: Unit, decimals: usize, number: f64) -> String {
    match unit {
        Unit::Fraction => format!("{:.decimals$}", number * 100.0),
        Unit::Minutes if decimals == 0 => signed_whole(number),
        Unit::Minutes | Unit::Per30SiteDays => format!("{number:.decimals$}"),
    }
}

/// A whole number with its sign when negative.
pub(super) fn signed_whole(number: f64) -> String {
    let text = format!("{:.0}", number.abs());
    let text = text.parse().map_or(text, whole);
    if number < 0.0 && text != "0" {
        format!("−{text}")
    } else {
        text
    }
}

const fn unit_sign(unit: Unit) -> &'static str {
    match unit {
        Unit::Fraction => "%",
        Unit::Minutes => " min",
        Unit::Per30SiteDays => "",
    }
}

#[cfg(test)]
mod tests;

//! Numbers, units and months to text, before anyone knows what they are findings of.

use crate::domain::month::Month;
use crate::findings::finding::Unit;

/// Below this many cases only `k of n` is shown.
pub(in crate::report) const FEWEST_CASES_FOR_PERCENT: u64 = 5;
const CASES_FOR_ONE_DECIMAL: u64 = 100;

/// A whole number with commas between thousands.
pub(crate) fn whole(number: u64) -> String {
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
pub(in crate::report) fn short_whole(number: u64) -> String {
    if number < 10_000 {
        number.to_string()
    } else if number < 10_000_000 {
        format!("{}k", number / 1_000)
    } else {
        format!("{}M", number / 1_000_000)
    }
}

/// `1 case`, `2 cases`.
pub(crate) fn counted(number: u64, one: &str, many: &str) -> String {
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

/// `January 2025 to September 2026`, or the one month.
pub(in crate::report) fn months(first: Month, last: Month) -> String {
    let name = month_name(first);
    if first == last {
        return name;
    }
    format!("{name} to {}", month_name(last))
}

/// `Sep`.
pub(in crate::report) fn month_short(month: Month) -> &'static str {
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

/// A number in the unit of a finding: `75%`, `94 min`, `12.3`.
pub(in crate::report) fn with_unit(unit: Unit, denominator: u64, number: f64) -> String {
    format!("{}{}", bare(unit, denominator, number), unit_sign(unit))
}

/// A number that somebody chose, with the decimals that it was given: `97.5%`, `60 min`, `1.25`.
pub(in crate::report) fn as_chosen(unit: Unit, number: f64) -> String {
    let shown = match unit {
        Unit::Fraction => number * 100.0,
        Unit::Minutes | Unit::Per30SiteDays => number,
    };
    // 0.07 * 100 is 7.000000000000001; nobody chooses more than six decimals.
    let text = format!("{shown:.6}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    format!("{text}{}", unit_sign(unit))
}

/// A difference and its limits with their signs: `+9 (−15 to 0)` as three texts; points for shares.
/// A limit that excludes zero gets the decimals that it needs in order not to read as zero.
pub(in crate::report) fn difference(
    unit: Unit,
    denominator: u64,
    [estimate, low, high]: [f64; 3],
) -> [String; 3] {
    let usual = numbers_decimals(unit, denominator, [estimate, low, high]);
    let reads_zero = |number, decimals| is_zero(&signed(unit, decimals, number));
    let excludes_zero = low > 0.0 || high < 0.0;
    let needed = (usual..=usual + MOST_MORE_DECIMALS).find(|&decimals| {
        !excludes_zero || !(reads_zero(low, decimals) || reads_zero(high, decimals))
    });
    let decimals = needed.unwrap_or(usual + MOST_MORE_DECIMALS);
    [estimate, low, high].map(|number| signed(unit, decimals, number))
}

/// The usual decimals, and one at least where a share moved by less than a point, or minutes by a half:
/// 52.5 after 56 is -3.5, not -4.
fn numbers_decimals(unit: Unit, denominator: u64, numbers: [f64; 3]) -> usize {
    let usual = decimals(unit, denominator);
    let needs_one = match unit {
        Unit::Fraction => numbers
            .iter()
            .any(|number| *number != 0.0 && number.abs() < ONE_POINT),
        Unit::Minutes => is_half(numbers[0]),
        Unit::Per30SiteDays => false,
    };
    if needs_one { usual.max(1) } else { usual }
}

/// One percentage point, less what rounding may take from it.
const ONE_POINT: f64 = 0.01 - 1e-9;

/// Whether a number of minutes lies in the middle of two whole ones, as a median often does.
fn is_half(minutes: f64) -> bool {
    (minutes.abs().fract() - 0.5).abs() < 1e-6
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
pub(in crate::report) const fn difference_unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Fraction => "points",
        Unit::Minutes => "min",
        Unit::Per30SiteDays => "per 30 site-days",
    }
}

/// `95%` for a confidence level of 0.95.
pub(in crate::report) fn level(level: f64) -> String {
    let percent = format!("{:.1}", level * 100.0);
    format!("{}%", percent.trim_end_matches('0').trim_end_matches('.'))
}

/// The chance that at least one of `comparisons` independent intervals of `level` misleads: `23%`.
pub(in crate::report) fn chance_of_any(level: f64, comparisons: u32) -> String {
    let percent = (1.0 - level.powf(f64::from(comparisons))) * 100.0;
    if percent < 1.0 {
        format!("{percent:.1}%")
    } else {
        format!("{percent:.0}%")
    }
}

/// A ratio with two digits behind the point, one from 10 on: `0.54`, `12.3`, `infinite`.
pub(in crate::report) fn ratio(ratio: f64) -> String {
    match ratio {
        _ if ratio.is_infinite() => "infinite".to_owned(),
        _ if ratio >= 100.0 => signed_whole(ratio),
        _ if ratio >= 10.0 => fixed(ratio, 1),
        _ => fixed(ratio, 2),
    }
}

/// A p-value with three digits behind the point: `0.038`, `below 0.001`.
pub(in crate::report) fn p_value(p: f64) -> String {
    if p < 0.001 {
        "below 0.001".to_owned()
    } else {
        fixed(p, 3)
    }
}

/// Cases or days between events: whole from 10 on, one digit behind the point below.
pub(in crate::report) fn distance(value: f64) -> String {
    if value >= 10.0 || value.fract() == 0.0 {
        signed_whole(value)
    } else {
        fixed(value, 1)
    }
}

/// Days between events that stand below each other: one digit behind the point in each.
pub(in crate::report) fn days_in_column(days: f64) -> String {
    fixed(days, 1)
}

/// `6 hours` or `90 min`: the length of a window.
pub(in crate::report) fn window_length(minutes: i64) -> String {
    match (minutes % 60, minutes / 60) {
        (0, 1) => "1 hour".to_owned(),
        (0, hours) => format!("{hours} hours"),
        _ => format!("{minutes} min"),
    }
}

/// Days for a span of minutes.
pub(in crate::report) fn days(minutes: u64) -> String {
    whole(minutes / (24 * 60))
}

/// `k of n (p%)` of two counts that need no interval, such as the filling of a field.
pub(in crate::report) fn part(events: u64, of: u64) -> String {
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

pub(in crate::report) fn bare(unit: Unit, denominator: u64, number: f64) -> String {
    let decimals = match unit {
        Unit::Minutes if is_half(number) => 1,
        _ => decimals(unit, denominator),
    };
    let text = with_decimals(unit, decimals, number);
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
        Unit::Fraction => fixed(number * 100.0, decimals),
        Unit::Minutes if decimals == 0 => signed_whole(number),
        Unit::Minutes => grouped(number, decimals),
        Unit::Per30SiteDays => fixed(number, decimals),
    }
}

/// A number with so many decimals. Halves go up in size, as readers do it by hand: 12.25 is 12.3,
/// and -12.25 is -12.3.
fn fixed(number: f64, decimals: usize) -> String {
    let scale = 10_f64.powi(i32::try_from(decimals).unwrap_or(0));
    format!("{:.decimals$}", (number * scale).round() / scale)
}

/// A number that is not negative, with so many decimals and commas between thousands.
fn grouped(number: f64, decimals: usize) -> String {
    let text = fixed(number, decimals);
    let Some((before, after)) = text.split_once('.') else {
        return text;
    };
    match before.parse() {
        Ok(before) => format!("{}.{after}", whole(before)),
        Err(_) => text,
    }
}

/// A whole number with its sign when negative.
pub(in crate::report) fn signed_whole(number: f64) -> String {
    let text = fixed(number.abs(), 0);
    let text = text.parse().map_or(text, whole);
    if number < 0.0 && text != "0" {
        format!("−{text}")
    } else {
        text
    }
}

pub(super) const fn unit_sign(unit: Unit) -> &'static str {
    match unit {
        Unit::Fraction => "%",
        Unit::Minutes => " min",
        Unit::Per30SiteDays => "",
    }
}

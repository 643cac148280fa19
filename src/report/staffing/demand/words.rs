//! Sentences about demand: calm, with denominators, intervals and methods.

use super::tables::{interval, rate_number, site_name};
use crate::domain::month::Month;
use crate::findings::finding::Unit;
use crate::findings::staffing::demand::{
    AfterHours, Demand, Evenness, FEWEST_MONTHS, Prediction, RateTrend, SiteDemand, Week,
};
use crate::report::format;

/// Where there is no demand to tell of.
pub(super) const NOT_COUNTED: &str =
    "Calls were not counted, or no time was observed, so nothing can be said of how many come.";

/// Where no call has its hour.
pub(super) const NO_HOURS: &str =
    "No call has its weekday and hour, so nothing can be said of when in the week calls come.";

/// One to three sentences for the first page and the terminal.
pub(crate) fn in_words(demand: &Demand) -> Vec<String> {
    let mut sentences = Vec::new();
    if let Some(rate) = &demand.all.rate {
        sentences.push(format!(
            "{}, {}: {} per 30 days of one site ({} interval {}).",
            format::counted(rate.events, "call", "calls"),
            period(demand.first, demand.last),
            rate_number(rate.rate),
            format::level(demand.level),
            interval(rate_number, rate.low, rate.high),
        ));
    }
    let after = demand.all.by_shift.and_then(|shifts| shifts.after);
    sentences.extend(after.map(|after| after_hours(demand, &after)));
    sentences.extend(
        demand
            .all
            .prediction
            .as_ref()
            .map(|ahead| next(demand, ahead)),
    );
    sentences
}

/// What the section is about.
pub(super) fn lead(demand: &Demand) -> String {
    let sites = match demand.sites.len() {
        0 => String::new(),
        count => format!(" at {}", format::counted(count as u64, "site", "sites")),
    };
    let calls: u64 = demand.all.months.iter().map(|(_, rate)| rate.events).sum();
    let without_site = match demand.without_site {
        0 => String::new(),
        calls => format!(
            " {} without a recorded site count among those of all sites only.",
            format::counted(calls, "call", "calls")
        ),
    };
    format!(
        "{}{sites}, {}. Months differ in length and sites in the time they are observed, so rates are \
         calls over observed time: per 30 days of one site, or per 100 hours of one site for parts of \
         the week. Sites stand by name, which is no ranking.{without_site}",
        format::counted(calls, "call", "calls"),
        period(demand.first, demand.last),
    )
}

/// Which months of which site are left out; `None` when none is.
pub(super) fn left_out(demand: &Demand) -> Option<String> {
    let all = [&demand.all];
    let sites: Vec<&SiteDemand> = if demand.sites.is_empty() {
        all.to_vec()
    } else {
        demand.sites.iter().collect()
    };
    let left_out = sites.into_iter().flat_map(|site| {
        let name = site_name(site);
        let months = |count: usize, which: &str| {
            let count = format::counted(count as u64, "month", "months");
            (!count.starts_with("0 ")).then(|| format!("{name}: the {which} {count}"))
        };
        [
            months(site.months_before, "first"),
            months(site.months_after, "last"),
        ]
    });
    let left_out: Vec<String> = left_out.flatten().collect();
    (!left_out.is_empty()).then(|| {
        format!(
            "Months in which a site was not in service are left out ({}): a stretch without a call at \
             the start or the end of the period, longer than any between two calls, and so long that \
             chance gives one like it in fewer than 1 of 1,000 such periods. The review counts the \
             whole period.",
            left_out.join("; ")
        )
    })
}

/// Whether months differ by more than chance, and with which trend.
pub(super) fn months(demand: &Demand) -> Vec<String> {
    let mut sentences = vec![evenness(&demand.all.evenness)];
    sentences.extend(
        demand
            .all
            .trend
            .map(|trend| self::trend(demand, &trend, demand.all.months.len())),
    );
    sentences
}

fn evenness(evenness: &Evenness) -> String {
    match evenness {
        Evenness::Uneven(found) => format!(
            "Months differ by more than chance gives: their calls vary {} times as much as calls that \
             come at random at one rate would (Pearson’s chi-square over its {} degrees of freedom, \
             p {}). A season, a trend, or days with several calls do that. Intervals of rates and \
             predictions are widened for it.",
            format::ratio(found.index),
            found.degrees_of_freedom,
            p_words(found.p)
        ),
        Evenness::Even(found) => format!(
            "Months differ by no more than chance gives: their calls vary {} times as much as calls \
             that come at random at one rate would (Pearson’s chi-square over its {} degrees of \
             freedom, p {}). Intervals and predictions are those of such calls.",
            format::ratio(found.index),
            found.degrees_of_freedom,
            p_words(found.p)
        ),
        Evenness::TooFewMonths(months) => format!(
            "Whether months differ by more than chance cannot be said from {} ({FEWEST_MONTHS} are \
             needed). Intervals and predictions are those of calls that come at random at one rate, and \
             too narrow if they do not.",
            format::counted(*months as u64, "month", "months")
        ),
        Evenness::TooFewCalls => {
            "With less than one call a month it cannot be said whether months \
             differ by more than chance. Intervals and predictions are those of calls that come at \
             random at one rate, and too narrow if they do not."
                .to_owned()
        }
    }
}

fn p_words(p: f64) -> String {
    let words = format::p_value(p);
    if words.starts_with("below") {
        words
    } else {
        format!("= {words}")
    }
}

fn trend(demand: &Demand, trend: &RateTrend, months: usize) -> String {
    let is_clear = demand.all.clear_trend().is_some();
    let numbers = format!(
        "{} times that of the year before ({} interval {}; log-linear quasi-Poisson regression over {})",
        format::ratio(trend.ratio),
        format::level(demand.level),
        interval(format::ratio, trend.low, trend.high),
        format::counted(months as u64, "month", "months"),
    );
    let season = if months < 24 {
        " In fewer than 24 months a season can look like a trend."
    } else {
        ""
    };
    if is_clear {
        let direction = if trend.ratio > 1.0 { "rises" } else { "falls" };
        format!("On one straight line the rate {direction}: a year’s is {numbers}.{season}")
    } else {
        format!("No clear trend: on one straight line the rate of a year is {numbers}.{season}")
    }
}

/// The part after hours beside that of the clock; the table has the rates.
fn after_hours(demand: &Demand, after: &AfterHours) -> String {
    let level = format::level(demand.level);
    let share = |share: f64| format::with_unit(Unit::Fraction, after.calls, share);
    let limits = if after.calls < format::FEWEST_CASES_FOR_PERCENT {
        String::new()
    } else {
        format!(
            " ({}; {level} interval {} to {})",
            share(after.share),
            share(after.interval.low).trim_end_matches('%'),
            share(after.interval.high)
        )
    };
    format!(
        "After hours came {} of {}{limits}; {} of the clock is after hours.",
        format::whole(after.events),
        format::counted(after.calls, "call", "calls"),
        clock_share(after.clock_share),
    )
}

/// A part of the clock, which has no interval.
pub(super) fn clock_share(share: f64) -> String {
    format::with_unit(Unit::Fraction, 1000, share)
}

fn next(demand: &Demand, ahead: &Prediction) -> String {
    let sites = match ahead.sites {
        1 => String::new(),
        sites => format!(" at {} sites together", format::whole(sites)),
    };
    // The period of all calls stands above it.
    let since = if (ahead.base_first, ahead.base_last) == (demand.first, demand.last) {
        String::new()
    } else {
        format!(" in {}", period(ahead.base_first, ahead.base_last))
    };
    format!(
        "If calls go on as they came{since}: {} to {} calls{sites} in {} ({} interval).",
        format::whole(ahead.low),
        format::whole(ahead.high),
        next_period(ahead),
        format::level(demand.level),
    )
}

/// `October to December 2026`, or with both years.
pub(super) fn next_period(ahead: &Prediction) -> String {
    match (ahead.months.first(), ahead.months.last()) {
        (Some(first), Some(last)) => period(first.month, last.month),
        _ => "the next three months".to_owned(),
    }
}

/// Two months in words, the year once where it is the same.
pub(super) fn period(first: Month, last: Month) -> String {
    let (from, until) = (format::month_name(first), format::month_name(last));
    if first == last {
        return from;
    }
    let year = format!(" {}", first.year());
    match from.strip_suffix(&year) {
        Some(name) if first.year() == last.year() => format!("{name} to {until}"),
        _ => format!("{from} to {until}"),
    }
}

/// What the prediction assumes.
pub(super) fn assumptions(demand: &Demand) -> Vec<String> {
    let mut list = vec![
        "The sites that serve now go on, and nobody is sent elsewhere: no new service, no new rule of \
         who is called."
            .to_owned(),
        "Calls come at the rate of the months behind the prediction; no season and no trend is carried \
         forward. The same months of the year before stand beside it."
            .to_owned(),
        "The months ahead have their own number of days. The rate is itself uncertain, and the limits \
         allow for it (negative binomial, Jeffreys’ prior), so they are wider than those of the rate."
            .to_owned(),
        "The limits of three months together are not the sum of those of each.".to_owned(),
    ];
    let places = || demand.sites.iter().chain([&demand.all]);
    let predictions = || places().filter_map(|site| site.prediction.as_ref());
    if predictions().any(|ahead| ahead.index > 1.0) {
        list.push(
            "Where months differ by more than chance, the next ones do so as much, each independently \
             of the others; a lasting change is not foreseen."
                .to_owned(),
        );
    }
    if predictions().any(|ahead| ahead.is_recent) {
        list.push(
            "Where the rate has a clear trend over 24 months or more, the last 12 alone are behind the \
             prediction."
                .to_owned(),
        );
    }
    if predictions().any(|ahead| ahead.has_trend && !ahead.is_recent) {
        list.push(
            "Where the rate has a clear trend over fewer than 24 months, the prediction does not follow \
             it and may lag behind."
                .to_owned(),
        );
    }
    list.push(
        "It says how many calls may come, not how many people must be on call: staffing law, contracts \
         and local policy decide."
            .to_owned(),
    );
    list
}

/// How the week is cut.
pub(super) fn week(demand: &Demand, week: &Week) -> String {
    let blocks = match (week.has_single_days(), week.block_hours) {
        (true, 1) => {
            "Hours of the week stand alone: each holds 5 calls or more on average.".to_owned()
        }
        (true, hours) => format!(
            "Days are cut into blocks of {hours} hours, the shortest that leave 5 calls or more to a \
             cell on average."
        ),
        (false, hours) => format!(
            "Calls are too few to tell weekdays apart: in even blocks of 4 hours they would leave fewer \
             than 5 to a cell on average. So Monday to Friday and the weekend stand in blocks of {hours} \
             hours."
        ),
    };
    let not_known = match week.not_known {
        0 => String::new(),
        calls => format!(
            " {} without a recorded weekday or hour are left out.",
            format::counted(calls, "call", "calls")
        ),
    };
    let kept = if week.kept_time < 1.0 {
        format!(
            " Since a site was not in service all the time, the hours of every cell are {} of those of \
             the whole period.",
            clock_share(week.kept_time)
        )
    } else {
        String::new()
    };
    let widened = if demand.all.evenness.index() > 1.0 {
        " Intervals of parts of the week allow for uneven months in proportion to their part of the \
         calls, as if months differed alike at all hours."
    } else {
        ""
    };
    format!(
        "Hours are those of the clock of the site, clock changes included; a holiday counts as its \
         weekday. {blocks}{not_known}{kept}{widened}"
    )
}

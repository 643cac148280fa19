//! Count tables + statistics → findings: one estimate with interval and method per count.

use super::finding::{Finding, Findings, Method, Statistic, Unit};
use super::results;
use super::time_parts::{PARTS, time_shares};
use crate::domain::counts::{CountTables, EventsCount, Key, MinutesCount, PassesCount, ShareCount};
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::side_by_side::side_by_side;
use crate::domain::tally::Tally;
use crate::stats::clustered::clustered_share;
use crate::stats::proportion::{clopper_pearson, jeffreys, wilson};
use crate::stats::quantile::{Distribution, Ranks, order_ranks, quantile, quantile_between};
use crate::stats::rate::garwood;
use crate::stats::survival::KaplanMeier;
use crate::stats::{Interval, Level};
use std::collections::BTreeMap;
use std::num::NonZeroUsize;

/// How the interval of a share of cases is made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ShareMethod {
    /// Wilson: close to its level on average.
    #[default]
    Wilson,
    /// Clopper-Pearson: never below its level, so mostly too wide.
    ClopperPearson,
    /// Jeffreys: equal tails of the Bayesian interval.
    Jeffreys,
}

/// How all intervals of a run are made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Confidence level.
    pub level: Level,
    /// Interval of a share of cases.
    pub share_method: ShareMethod,
}

impl Default for Settings {
    fn default() -> Settings {
        Settings {
            level: Level::P95,
            share_method: ShareMethod::default(),
        }
    }
}

/// The quantiles of a length of time, with what each is called.
const QUANTILES: [(Statistic, f64); 4] = [
    (Statistic::Median, 0.5),
    (Statistic::P25, 0.25),
    (Statistic::P75, 0.75),
    (Statistic::P90, 0.9),
];

/// Measures of harm. They are statements of safety, so their intervals are never below their level:
/// exact (Clopper-Pearson), whatever is chosen for other shares. With no event the upper limit is
/// the two-sided one, 1 - (alpha / 2)^(1 / n).
const HARM: [&str; 3] = ["adverse_event", "perforation", "graded_harm"];

/// How the interval of a share is made.
fn share_method(measure: &str, settings: Settings) -> ShareMethod {
    if HARM.contains(&measure) {
        ShareMethod::ClopperPearson
    } else {
        settings.share_method
    }
}

/// Methods that estimate a measure by default.
pub fn default_methods(measure: &Definition) -> &'static [Method] {
    match measure.kind {
        MeasureKind::Share if HARM.contains(&measure.id.as_str()) => &[Method::ClopperPearson],
        MeasureKind::Share => &[Method::Wilson],
        MeasureKind::Minutes if PARTS.contains(&measure.id.as_str()) => &[
            Method::OrderStatistics,
            Method::KaplanMeier,
            Method::RatioOfSums,
        ],
        MeasureKind::Minutes => &[Method::OrderStatistics, Method::KaplanMeier],
        MeasureKind::ClusteredShare => &[Method::ClusteredRatio],
        MeasureKind::Count => &[Method::Garwood],
    }
}

/// Minutes in 30 days.
const THIRTY_DAYS: f64 = 30.0 * 24.0 * 60.0;

/// Counts that one thread makes findings of at a time.
const AT_A_TIME: usize = 2_000;

/// Parts that each thread makes, on average, before their findings are put to the others: with many
/// sites the findings are much of the memory of a run, and all parts would hold them once more.
const PARTS_AT_ONCE: usize = 8;

/// Counts of one measure that findings are made of: the key of the first, and how.
type Part<'a> = (&'a Key, Box<dyn Fn() -> Vec<Finding> + Sync + 'a>);

/// Every finding of the count tables, made side by side on `threads`.
pub fn findings(counts: &CountTables, settings: Settings, threads: NonZeroUsize) -> Findings {
    let shares = results::shares(counts);
    let shares = shares.iter().map(|(key, count)| (key.as_ref(), count));
    let mut parts = self::parts(shares, move |rows| {
        let each = rows.iter();
        each.map(|(key, count)| share(key, **count, settings))
            .collect()
    });
    parts.extend(self::parts(counts.minutes.iter(), move |rows| {
        let mut known = KnownRanks::default();
        let each = rows.iter();
        each.flat_map(|(key, count)| minutes_with(&mut known, key, count, settings))
            .collect()
    }));
    parts.extend(self::parts(counts.passes.iter(), move |rows| {
        let each = rows.iter();
        each.map(|(key, count)| passes(key, count, settings))
            .collect()
    }));
    parts.extend(self::parts(counts.events.iter(), move |rows| {
        let each = rows.iter();
        each.map(|(key, count)| rate(key, **count, settings))
            .collect()
    }));
    // In the order of the findings, so that next to nothing is left to sort.
    parts.sort_by_key(|(first, _)| *first);
    let mut all = Vec::new();
    for some in parts.chunks(PARTS_AT_ONCE.saturating_mul(threads.get())) {
        for findings in side_by_side(some, threads, |(_, made)| made()) {
            all.extend(findings);
        }
    }
    all.extend(time_shares(counts, settings));
    Findings::new(all)
}

/// The parts of one table.
fn parts<'a, C: Sync + 'a>(
    table: impl Iterator<Item = (&'a Key, &'a C)>,
    made: impl Fn(&[(&Key, &C)]) -> Vec<Finding> + Sync + Copy + 'a,
) -> Vec<Part<'a>> {
    let rows: Vec<(&Key, &C)> = table.collect();
    rows.chunk_by(|(a, _), (b, _)| a.measure == b.measure)
        .flat_map(|of_measure| of_measure.chunks(AT_A_TIME))
        .map(|part| {
            let part = part.to_vec();
            let first = part[0].0;
            let made: Box<dyn Fn() -> Vec<Finding> + Sync + 'a> = Box::new(move || made(&part));
            (first, made)
        })
        .collect()
}

/// How the interval of a share of a measure is made, with its name: the same wherever the share
/// stands.
pub(super) fn share_interval(
    measure: &str,
    settings: Settings,
) -> (Method, fn(Tally, Level) -> Interval) {
    match share_method(measure, settings) {
        ShareMethod::Wilson => (Method::Wilson, wilson),
        ShareMethod::ClopperPearson => (Method::ClopperPearson, clopper_pearson),
        ShareMethod::Jeffreys => (Method::Jeffreys, jeffreys),
    }
}

/// The share of eligible cases that meet a definition.
pub(super) fn share(key: &Key, count: ShareCount, settings: Settings) -> Finding {
    let (method, interval) = share_interval(&key.measure, settings);
    let tally = tally(count);
    let limits = tally.map(|tally| interval(tally, settings.level));
    Finding {
        estimate: tally.map(Tally::share),
        low: limits.map(|limits| limits.low),
        high: limits.map(|limits| limits.high),
        events: count.hit,
        cases: count.eligible,
        excluded: count.excluded,
        ..blank(
            key,
            MeasureKind::Share,
            Statistic::Share,
            method,
            Unit::Fraction,
            settings,
        )
    }
}

/// The tally behind a share; `None` without an eligible case.
pub(super) fn tally(count: ShareCount) -> Option<Tally> {
    Tally::new(count.hit.min(count.eligible), count.eligible)
        .expect("no more events than cases after the minimum")
}

/// The quantiles of a length of time. Kaplan-Meier as soon as one case was not followed to its end.
pub(super) fn minutes(key: &Key, count: &MinutesCount, settings: Settings) -> Vec<Finding> {
    minutes_with(&mut KnownRanks::default(), key, count, settings)
}

/// Ranks of the limits of the quantiles by the number of cases, at one level. Of the numbers of cases
/// of many groups and months few differ.
#[derive(Default)]
struct KnownRanks(BTreeMap<u64, [Option<Ranks>; QUANTILES.len()]>);

fn minutes_with(
    known: &mut KnownRanks,
    key: &Key,
    count: &MinutesCount,
    settings: Settings,
) -> Vec<Finding> {
    let cases: u64 = count.cases.values().sum();
    let censored = censored(count);
    let (method, times) = if censored > 0 {
        (Method::KaplanMeier, followed_times(count, settings.level))
    } else {
        (
            Method::OrderStatistics,
            whole_times(known, count, settings.level),
        )
    };
    QUANTILES
        .iter()
        .zip(times)
        .map(|((statistic, _), (estimate, low, high))| Finding {
            estimate,
            low,
            high,
            events: cases - censored,
            cases,
            excluded: count.excluded,
            censored,
            ..blank(
                key,
                MeasureKind::Minutes,
                *statistic,
                method,
                Unit::Minutes,
                settings,
            )
        })
        .collect()
}

/// Cases that were followed for a while only.
fn censored(count: &MinutesCount) -> u64 {
    let cases = count.cases.iter().filter(|((_, reached), _)| !reached);
    cases.map(|(_, cases)| cases).sum()
}

/// The number of cases and their median, the same as that of [`minutes`] without its limits.
pub(super) fn cases_and_median(count: &MinutesCount) -> (u64, Option<f64>) {
    let median = if censored(count) > 0 {
        let found = KaplanMeier::new(&count.cases).quantile(0.5, Level::P95);
        found.and_then(|found| found.estimate)
    } else {
        quantile(&distribution(count), 0.5)
    };
    (count.cases.values().sum(), median)
}

fn distribution(count: &MinutesCount) -> Distribution {
    let lengths = count.cases.iter();
    Distribution::new(lengths.map(|((value, _), cases)| (*value, *cases)))
}

/// Estimate and limits of one quantile.
type Time = (Option<f64>, Option<f64>, Option<f64>);

/// The quantiles where every case came to its end.
fn whole_times(
    known: &mut KnownRanks,
    count: &MinutesCount,
    level: Level,
) -> [Time; QUANTILES.len()] {
    let values = distribution(count);
    let cases = values.cases();
    let ranks = known
        .0
        .entry(cases)
        .or_insert_with(|| QUANTILES.map(|(_, q)| order_ranks(cases, q, level)));
    std::array::from_fn(|place| {
        let found = ranks[place].and_then(|ranks| {
            let (_, q) = QUANTILES[place];
            quantile_between(&values, q, ranks)
        });
        found.map_or((None, None, None), |found| {
            (Some(found.estimate), found.low, found.high)
        })
    })
}

/// The quantiles where some cases were followed for a while only.
fn followed_times(count: &MinutesCount, level: Level) -> [Time; QUANTILES.len()] {
    let curve = KaplanMeier::new(&count.cases);
    QUANTILES.map(|(_, q)| {
        curve
            .quantile(q, level)
            .map_or((None, None, None), |found| {
                (found.estimate, found.low, found.high)
            })
    })
}

/// The share of passes, with passes of one case belonging together.
pub(super) fn passes(key: &Key, count: &PassesCount, settings: Settings) -> Finding {
    let cases = count.cases.values().sum();
    let (events, attempts) = events_and_attempts(count);
    let share = clustered_share(&count.cases, settings.level);
    Finding {
        estimate: share.as_ref().map(|share| share.estimate),
        low: share.as_ref().map(|share| share.interval.low),
        high: share.as_ref().map(|share| share.interval.high),
        events,
        cases,
        attempts: Some(attempts),
        excluded: count.excluded,
        ..blank(
            key,
            MeasureKind::ClusteredShare,
            Statistic::Share,
            Method::ClusteredRatio,
            Unit::Fraction,
            settings,
        )
    }
}

/// Events and attempts of all cases.
pub(super) fn events_and_attempts(count: &PassesCount) -> (u64, u64) {
    let total = |part: fn(&(u64, u64)) -> u64| -> u64 {
        count
            .cases
            .iter()
            .map(|(pair, cases)| part(pair) * cases)
            .sum()
    };
    (
        total(|(events, _)| *events),
        total(|(_, attempts)| *attempts),
    )
}

/// Events, and the observed time in units of 30 days of one site.
pub(super) fn events_and_exposure(count: EventsCount) -> (u64, f64) {
    (count.events, count.exposure_minutes as f64 / THIRTY_DAYS)
}

/// Events per 30 days of one site.
pub(super) fn rate(key: &Key, count: EventsCount, settings: Settings) -> Finding {
    let (events, exposure) = events_and_exposure(count);
    let rate = garwood(events, exposure, settings.level);
    Finding {
        estimate: rate.map(|rate| rate.rate),
        low: rate.map(|rate| rate.low),
        high: rate.map(|rate| rate.high),
        events: count.events,
        cases: count.events,
        ..blank(
            key,
            MeasureKind::Count,
            Statistic::Rate,
            Method::Garwood,
            Unit::Per30SiteDays,
            settings,
        )
    }
}

/// A finding of which nothing was computed yet.
pub(super) fn blank(
    key: &Key,
    kind: MeasureKind,
    statistic: Statistic,
    method: Method,
    unit: Unit,
    settings: Settings,
) -> Finding {
    Finding {
        measure: key.measure.clone(),
        kind,
        by: key.by.clone(),
        group: key.group.clone(),
        month: key.month,
        statistic,
        estimate: None,
        low: None,
        high: None,
        level: settings.level.fraction(),
        method,
        events: 0,
        cases: 0,
        attempts: None,
        excluded: 0,
        censored: 0,
        suppressed: false,
        unit,
    }
}

//! Count tables + statistics → findings: one estimate with interval and method per count.

mod minutes;

pub(super) use minutes::{cases_and_median, minutes};

use super::finding::{Finding, Findings, Method, Statistic, Unit};
use super::results;
use super::time_parts::{PARTS, time_shares};
use crate::domain::codes::NOT_RECORDED;
use crate::domain::counts::{CountTables, EventsCount, Key, PassesCount, ShareCount};
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::side_by_side::side_by_side;
use crate::domain::tally::Tally;
use crate::stats::clustered::clustered_share;
use crate::stats::proportion::{clopper_pearson, jeffreys, wilson};
use crate::stats::rate::garwood;
use crate::stats::{Interval, Level};
use minutes::{KnownRanks, minutes_with};
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

/// Nobody asks how often nothing came of what was not recorded.
fn is_news(key: &Key, count: &EventsCount) -> bool {
    count.events > 0 || !key.group.contains(NOT_RECORDED)
}

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
        let each = rows.iter().filter(|(key, count)| is_news(key, count));
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

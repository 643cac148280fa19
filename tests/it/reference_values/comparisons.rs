//! The methods of `checks.csv` and `published.csv` that compare groups: from the names and inputs
//! of these files to calls of `stats`. What starts with `published_` belongs to `published.csv`.

use super::checks::{level, tally};
use super::{number, parse};
use scopetally::stats::adjust::{benjamini_hochberg, holm};
use scopetally::stats::balance::{category_distance, mean_difference, share_difference};
use scopetally::stats::exact::{ExactP, fisher_exact};
use scopetally::stats::log_rank::{LogRank, log_rank};
use scopetally::stats::quantile::Distribution;
use scopetally::stats::rank::{hodges_lehmann, kruskal_wallis, mann_whitney, mann_whitney_exact};
use scopetally::stats::rate::{Exposed, RateRatio, rate_ratio};
use scopetally::stats::trend::{Trend, cochran_armitage};
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TableInputs {
    /// Rows are groups, columns are events and others.
    table: [[u64; 2]; 2],
}

pub(super) fn fisher(inputs: &str) -> Result<Value, String> {
    let TableInputs { table } = parse(inputs)?;
    let [[a, b], [c, d]] = table;
    Ok(json!({ "p": number(exact_p([a, b, c, d])?.two_sided) }))
}

fn exact_p([a, b, c, d]: [u64; 4]) -> Result<ExactP, String> {
    Ok(fisher_exact(tally(a, a + b)?, tally(c, c + d)?))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PublishedTableInputs {
    table: [u64; 4],
}

pub(super) fn published_fisher(inputs: &str, p: fn(ExactP) -> f64) -> Result<Value, String> {
    let inputs: PublishedTableInputs = parse(inputs)?;
    Ok(json!({ "p": number(p(exact_p(inputs.table)?)) }))
}

pub(super) fn published_fisher_all(inputs: &str) -> Result<Value, String> {
    let inputs: PublishedTableInputs = parse(inputs)?;
    let found = exact_p(inputs.table)?;
    Ok(json!({
        "less": number(found.less),
        "greater": number(found.greater),
        "two_sided": number(found.two_sided),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TwoGroups {
    x: Vec<f64>,
    y: Vec<f64>,
    /// Only where an interval is asked for.
    conf: Option<f64>,
}

/// The published values have up to two decimals; as whole hundredths they keep their order.
const SCALE: f64 = 100.0;

fn distribution(values: &[f64]) -> Result<Distribution, String> {
    let counts: Result<Vec<(i64, u64)>, String> = values
        .iter()
        .map(|value| Ok((parse(&format!("{:.0}", value * SCALE))?, 1)))
        .collect();
    Ok(Distribution::new(counts?))
}

impl TwoGroups {
    fn distributions(&self) -> Result<(Distribution, Distribution), String> {
        Ok((distribution(&self.x)?, distribution(&self.y)?))
    }
}

/// The names of both files.
pub(super) fn rank_sum(inputs: &str) -> Result<Value, String> {
    let (x, y) = parse::<TwoGroups>(inputs)?.distributions()?;
    let found = mann_whitney(&x, &y);
    let (u, p) = (found.map(|found| found.u), found.map(|found| found.p));
    let exact = mann_whitney_exact(&x, &y);
    Ok(json!({
        "u": number(u),
        "p": number(p),
        "U": number(u),
        "p_cc": number(p),
        "p_exact": number(exact.map(|exact| exact.two_sided)),
        "p_exact_greater": number(exact.map(|exact| exact.greater)),
    }))
}

/// The names of both files.
pub(super) fn shift(inputs: &str) -> Result<Value, String> {
    let inputs: TwoGroups = parse(inputs)?;
    let (x, y) = inputs.distributions()?;
    let found = hodges_lehmann(&x, &y, level(inputs.conf.unwrap_or(0.95))?);
    let estimate = found.map(|found| found.estimate / SCALE);
    let interval = found.and_then(|found| found.interval);
    Ok(json!({
        "shift": number(estimate),
        "hl": number(estimate),
        "lo": number(interval.map(|interval| interval.low / SCALE)),
        "hi": number(interval.map(|interval| interval.high / SCALE)),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Groups {
    groups: Vec<Vec<f64>>,
}

/// The names of both files.
pub(super) fn kruskal(inputs: &str) -> Result<Value, String> {
    let inputs: Groups = parse(inputs)?;
    let groups: Result<Vec<Distribution>, String> = inputs
        .groups
        .iter()
        .map(|values| distribution(values))
        .collect();
    let found = kruskal_wallis(&groups?);
    let h = found.map(|found| found.h);
    Ok(json!({
        "h": number(h),
        "H": number(h),
        "df": found.map(|found| found.degrees_of_freedom),
        "p": number(found.map(|found| found.p)),
    }))
}

fn followed(
    minutes: &[i64],
    reached: impl IntoIterator<Item = bool>,
) -> BTreeMap<(i64, bool), u64> {
    let mut cases = BTreeMap::new();
    for case in minutes.iter().copied().zip(reached) {
        *cases.entry(case).or_insert(0) += 1;
    }
    cases
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LogRankInputs {
    minutes_1: Vec<i64>,
    observed_1: Vec<bool>,
    minutes_2: Vec<i64>,
    observed_2: Vec<bool>,
}

pub(super) fn log_rank_of_two(inputs: &str) -> Result<Value, String> {
    let inputs: LogRankInputs = parse(inputs)?;
    let found = log_rank(&[
        followed(&inputs.minutes_1, inputs.observed_1),
        followed(&inputs.minutes_2, inputs.observed_2),
    ]);
    let (chi_square, p) = found.map(|found| (found.chi_square, found.p)).unzip();
    Ok(json!({ "chi_square": number(chi_square), "p": number(p) }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PublishedLogRankInputs {
    groups: Vec<Followed>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Followed {
    time: Vec<i64>,
    event: Vec<u8>,
}

pub(super) fn published_log_rank(inputs: &str) -> Result<Value, String> {
    let inputs: PublishedLogRankInputs = parse(inputs)?;
    let groups: Vec<_> = inputs
        .groups
        .into_iter()
        .map(|group| followed(&group.time, group.event.into_iter().map(|event| event == 1)))
        .collect();
    let LogRank {
        ends,
        chi_square,
        degrees_of_freedom,
        p,
    } = log_rank(&groups).ok_or("nothing to compare")?;
    Ok(json!({
        "chi2": number(chi_square),
        "df": degrees_of_freedom,
        "p": number(p),
        "O": ends.iter().map(|ends| number(ends.observed)).collect::<Value>(),
        "E": ends.iter().map(|ends| number(ends.expected)).collect::<Value>(),
    }))
}

fn trend(
    scores: impl IntoIterator<Item = f64>,
    events: &[u64],
    cases: &[u64],
) -> Result<Option<Trend>, String> {
    let mut groups = Vec::new();
    for (score, (&events, &cases)) in scores.into_iter().zip(events.iter().zip(cases)) {
        // A month without cases keeps its place among the scores.
        if cases > 0 {
            groups.push((score, tally(events, cases)?));
        }
    }
    Ok(cochran_armitage(&groups))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TrendInputs {
    events: Vec<u64>,
    cases: Vec<u64>,
}

pub(super) fn trend_over_months(inputs: &str) -> Result<Value, String> {
    let inputs: TrendInputs = parse(inputs)?;
    let scores = (0_u32..).map(f64::from);
    let found = trend(scores, &inputs.events, &inputs.cases)?;
    Ok(json!({
        "z": number(found.map(|found| found.z)),
        "p": number(found.map(|found| found.p)),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PublishedTrendInputs {
    k: Vec<u64>,
    n: Vec<u64>,
    scores: Vec<f64>,
}

pub(super) fn published_trend(inputs: &str) -> Result<Value, String> {
    let inputs: PublishedTrendInputs = parse(inputs)?;
    let found = trend(inputs.scores, &inputs.k, &inputs.n)?.ok_or("no trend")?;
    Ok(json!({
        "chi2": number(found.z.powi(2)),
        "z": number(found.z),
        "p": number(found.p),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AdjustInputs {
    p: Vec<f64>,
    /// The level at which rejections are counted.
    alpha: Option<f64>,
}

pub(super) fn family(inputs: &str) -> Result<Value, String> {
    adjusted(inputs, holm)
}

pub(super) fn screen(inputs: &str) -> Result<Value, String> {
    adjusted(inputs, benjamini_hochberg)
}

/// The names of both files.
fn adjusted(inputs: &str, adjust: fn(&[f64]) -> Option<Vec<f64>>) -> Result<Value, String> {
    let inputs: AdjustInputs = parse(inputs)?;
    let adjusted = adjust(&inputs.p).ok_or("not probabilities")?;
    let list = |values: &[f64]| values.iter().map(|p| number(*p)).collect::<Value>();
    let mut sorted = adjusted.clone();
    sorted.sort_by(f64::total_cmp);
    let first = |count: usize| list(&sorted[..count.min(sorted.len())]);
    let rejected = inputs
        .alpha
        .map(|alpha| adjusted.iter().filter(|p| **p <= alpha).count());
    Ok(json!({
        "adjusted": list(&adjusted),
        "adjusted_sorted_first5": first(5),
        "adjusted_sorted_first6": first(6),
        "rejected": rejected,
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BalanceInputs {
    #[serde(alias = "k1")]
    events_1: u64,
    #[serde(alias = "n1")]
    cases_1: u64,
    #[serde(alias = "k2")]
    events_2: u64,
    #[serde(alias = "n2")]
    cases_2: u64,
}

/// The names of both files.
pub(super) fn balance_of_shares(inputs: &str) -> Result<Value, String> {
    let inputs: BalanceInputs = parse(inputs)?;
    let found = share_difference(
        tally(inputs.events_1, inputs.cases_1)?,
        tally(inputs.events_2, inputs.cases_2)?,
    );
    Ok(json!({ "smd": number(found) }))
}

pub(super) fn published_balance_of_means(inputs: &str) -> Result<Value, String> {
    let (x, y) = parse::<TwoGroups>(inputs)?.distributions()?;
    Ok(json!({ "smd": number(mean_difference(&x, &y)) }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CategoryInputs {
    c1: Vec<u64>,
    c2: Vec<u64>,
}

pub(super) fn published_balance_of_categories(inputs: &str) -> Result<Value, String> {
    let inputs: CategoryInputs = parse(inputs)?;
    let categories: Vec<(u64, u64)> = inputs.c1.into_iter().zip(inputs.c2).collect();
    Ok(json!({ "smd": number(category_distance(&categories)) }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RatioInputs {
    #[serde(alias = "c1")]
    events_1: u64,
    #[serde(alias = "t1")]
    exposure_1: f64,
    #[serde(alias = "c2")]
    events_2: u64,
    #[serde(alias = "t2")]
    exposure_2: f64,
    #[serde(alias = "conf")]
    level: f64,
}

/// The names of both files.
pub(super) fn ratio(inputs: &str) -> Result<Value, String> {
    let inputs: RatioInputs = parse(inputs)?;
    let exposed = |events, exposure| Exposed { events, exposure };
    let RateRatio {
        estimate,
        low,
        high,
        p,
    } = rate_ratio(
        exposed(inputs.events_1, inputs.exposure_1),
        exposed(inputs.events_2, inputs.exposure_2),
        level(inputs.level)?,
    )
    .ok_or("no exposure")?;
    Ok(json!({
        "estimate": number(estimate),
        "low": number(low),
        "high": number(high),
        "ratio": number(estimate),
        "lo": number(low),
        "hi": number(high),
        "p": number(p),
    }))
}

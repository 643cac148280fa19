//! Methods of both files on strata, units, queues, stock and predictions: from the names of the
//! files to calls of `stats`.

use super::checks::{level, tally};
use super::{number, parse};
use scopetally::stats::Level;
use scopetally::stats::par::predictive_par_level;
use scopetally::stats::prediction::{predict_count, predict_events};
use scopetally::stats::queue::{erlang_b, erlang_c, mean_wait, waits_longer_share};
use scopetally::stats::shrinkage::{UnitShares, shrunk_share};
use scopetally::stats::strata::{
    Stratum, breslow_day, cochran_mantel_haenszel, cochran_mantel_haenszel_corrected,
    common_odds_ratio,
};
use serde::Deserialize;
use serde_json::{Value, json};

fn stratum([first_events, first_misses, second_events, second_misses]: [u64; 4]) -> Stratum {
    Stratum {
        first_events,
        first_misses,
        second_events,
        second_misses,
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StrataInputs {
    tables: Vec<[[u64; 2]; 2]>,
    level: f64,
}

/// Rows are the groups, columns events and misses; the test has the continuity correction.
pub(super) fn mantel_haenszel(inputs: &str) -> Result<Value, String> {
    let inputs: StrataInputs = parse(inputs)?;
    let tables = inputs.tables.into_iter();
    let strata: Vec<Stratum> = tables
        .map(|[[a, b], [c, d]]| stratum([a, b, c, d]))
        .collect();
    let ratio = common_odds_ratio(&strata, level(inputs.level)?);
    let interval = ratio.and_then(|ratio| ratio.interval);
    let test = cochran_mantel_haenszel_corrected(&strata);
    Ok(json!({
        "odds_ratio": number(ratio.map(|ratio| ratio.estimate)),
        "low": number(interval.map(|interval| interval.low)),
        "high": number(interval.map(|interval| interval.high)),
        "chi_square": number(test.map(|test| test.chi_square)),
        "p": number(test.map(|test| test.p)),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TeamsInputs {
    offered_load: f64,
    teams: u16,
}

pub(super) fn blocked(inputs: &str) -> Result<Value, String> {
    let inputs: TeamsInputs = parse(inputs)?;
    Ok(json!({ "blocked": number(erlang_b(inputs.offered_load, inputs.teams)) }))
}

pub(super) fn waits(inputs: &str) -> Result<Value, String> {
    let inputs: TeamsInputs = parse(inputs)?;
    Ok(json!({ "waits": number(erlang_c(inputs.offered_load, inputs.teams)) }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ParInputs {
    uses: u64,
    periods: f64,
    quantile: f64,
}

/// For one period.
pub(super) fn par_level(inputs: &str) -> Result<Value, String> {
    let inputs: ParInputs = parse(inputs)?;
    let par = predictive_par_level(inputs.uses, inputs.periods, 1.0, inputs.quantile);
    Ok(json!({ "par": par }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PublishedStrata {
    tables: Vec<[u64; 4]>,
    conf: Option<f64>,
}

fn published_strata(inputs: &str) -> Result<(Vec<Stratum>, Level), String> {
    let inputs: PublishedStrata = parse(inputs)?;
    let level = inputs.conf.map_or(Ok(Level::P95), level)?;
    Ok((inputs.tables.into_iter().map(stratum).collect(), level))
}

pub(super) fn published_mantel_haenszel(inputs: &str) -> Result<Value, String> {
    let (strata, level) = published_strata(inputs)?;
    let ratio = common_odds_ratio(&strata, level).ok_or("no odds ratio")?;
    let interval = ratio.interval.ok_or("no interval")?;
    let plain = cochran_mantel_haenszel(&strata).ok_or("no test")?;
    let corrected = cochran_mantel_haenszel_corrected(&strata).ok_or("no test")?;
    Ok(json!({
        "or": number(ratio.estimate),
        "lo": number(interval.low),
        "hi": number(interval.high),
        "chi2": number(plain.chi_square),
        "p": number(plain.p),
        "chi2_cc": number(corrected.chi_square),
        "p_cc": number(corrected.p),
    }))
}

pub(super) fn published_breslow_day(inputs: &str) -> Result<Value, String> {
    let (strata, _) = published_strata(inputs)?;
    let found = breslow_day(&strata).ok_or("no test")?;
    Ok(json!({
        "bd": number(found.breslow_day.chi_square),
        "p": number(found.breslow_day.p),
        "tarone": number(found.tarone.chi_square),
        "p_tarone": number(found.tarone.p),
        "df": found.tarone.degrees_of_freedom,
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ShrinkageInputs {
    k: u64,
    n: u64,
    a: f64,
    b: f64,
    conf: f64,
}

pub(super) fn published_shrinkage(inputs: &str) -> Result<Value, String> {
    let inputs: ShrinkageInputs = parse(inputs)?;
    let concentration = inputs.a + inputs.b;
    let units = UnitShares {
        mean: inputs.a / concentration,
        concentration,
    };
    let found = shrunk_share(tally(inputs.k, inputs.n)?, units, level(inputs.conf)?)
        .ok_or("no shrunk share")?;
    let interval = found.interval.ok_or("no interval")?;
    Ok(json!({
        "mean": number(found.estimate),
        "lo": number(interval.low),
        "hi": number(interval.high),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PublishedTeams {
    #[serde(rename = "A")]
    load: f64,
    #[serde(rename = "N")]
    teams: u16,
    service_s: Option<f64>,
}

pub(super) fn published_blocked(inputs: &str) -> Result<Value, String> {
    let inputs: PublishedTeams = parse(inputs)?;
    Ok(json!({ "B": number(erlang_b(inputs.load, inputs.teams)) }))
}

pub(super) fn published_waits(inputs: &str) -> Result<Value, String> {
    let inputs: PublishedTeams = parse(inputs)?;
    Ok(json!({ "C": number(erlang_c(inputs.load, inputs.teams)) }))
}

pub(super) fn published_wait(inputs: &str) -> Result<Value, String> {
    let PublishedTeams {
        load,
        teams,
        service_s,
    } = parse(inputs)?;
    let service = service_s.ok_or("no `service_s`")?;
    let longer = waits_longer_share(load, teams, service, 20.0);
    Ok(json!({
        "asa_s": number(mean_wait(load, teams, service)),
        "within_20s": number(longer.map(|longer| 1.0 - longer)),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FutureEventsInputs {
    k: u64,
    n: u64,
    m: u64,
    conf: f64,
    prior: [f64; 2],
}

pub(super) fn published_future_events(inputs: &str) -> Result<Value, String> {
    let inputs: FutureEventsInputs = parse(inputs)?;
    if inputs.prior.iter().any(|shape| (shape - 0.5).abs() > 0.0) {
        return Err("a prior other than Jeffreys'".to_string());
    }
    let found = predict_events(tally(inputs.k, inputs.n)?, inputs.m, level(inputs.conf)?);
    Ok(json!({ "lo": found.low, "hi": found.high }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FutureCountInputs {
    c: u64,
    t: f64,
    t_new: f64,
    conf: f64,
    prior_shape: f64,
}

pub(super) fn published_future_count(inputs: &str) -> Result<Value, String> {
    let inputs: FutureCountInputs = parse(inputs)?;
    if (inputs.prior_shape - 0.5).abs() > 0.0 {
        return Err("a prior other than Jeffreys'".to_string());
    }
    let found = predict_count(inputs.c, inputs.t, inputs.t_new, level(inputs.conf)?)
        .ok_or("no prediction")?;
    Ok(json!({ "lo": found.low, "hi": found.high }))
}

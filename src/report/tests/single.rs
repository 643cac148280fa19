//! Single findings for tests, with limits from simple formulas: plausible, and no more.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "an index that was checked to lie within the list"
)]

use crate::domain::measure::MeasureKind;
use crate::findings::finding::{Finding, Method, Statistic, Unit};

/// A finding over all cases of the whole period, for tests to change.
pub(crate) fn share(events: u64, cases: u64) -> Finding {
    let n = cases.max(1) as f64;
    let share = events as f64 / n;
    let center = (share + 1.92 / n) / (1.0 + 3.84 / n);
    let half = (share * (1.0 - share) * 3.84 / n + 3.69 / (n * n)).sqrt() / (1.0 + 3.84 / n);
    let is_shown = cases > 0;
    Finding {
        measure: "retrieval_success".to_owned(),
        kind: MeasureKind::Share,
        by: "all".to_owned(),
        group: "all".to_owned(),
        month: None,
        statistic: Statistic::Share,
        estimate: is_shown.then_some(share),
        low: is_shown.then_some((center - half).max(0.0)),
        high: is_shown.then_some((center + half).min(1.0)),
        level: 0.95,
        method: Method::Wilson,
        events,
        cases,
        attempts: None,
        excluded: 1,
        censored: 0,
        suppressed: false,
        unit: Unit::Fraction,
    }
}

/// The order-statistic median of sorted minutes, or another quantile.
pub(crate) fn quantile(statistic: Statistic, sorted: &[i64]) -> Finding {
    let part = match statistic {
        Statistic::P25 => 0.25,
        Statistic::P75 => 0.75,
        Statistic::P90 => 0.9,
        _ => 0.5,
    };
    let n = sorted.len() as f64;
    let at = |index: f64| {
        let index = index.round();
        (index >= 0.0 && index < n).then(|| sorted[index as usize] as f64)
    };
    let half = 1.96 * (n * part * (1.0 - part)).sqrt();
    Finding {
        kind: MeasureKind::Minutes,
        statistic,
        estimate: at(((n - 1.0) * part).max(0.0)),
        low: at(n * part - half - 0.5),
        high: at(n * part + half),
        method: Method::OrderStatistics,
        events: sorted.len() as u64,
        unit: Unit::Minutes,
        ..share(0, sorted.len() as u64)
    }
}

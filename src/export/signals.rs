//! The tables `signals` and `signal_charts`: every followed measure month by month with its lines
//! and what the rules found, and for each chart where its lines come from.
//!
//! Knows the columns. Applies no rule itself.

use super::columns::Column;
use super::columns::batch;
use super::columns::number;
use super::columns::optional_text;
use super::columns::text;
use super::columns::whole;
use super::findings::AS_UNIT;
use super::table::Table;
use super::table::TableError;
use crate::findings::signals::Baseline;
use crate::findings::signals::ChartForm;
use crate::findings::signals::MonthChart;
use crate::findings::signals::MonthRule;
use crate::findings::signals::MonthSignal;
use crate::findings::signals::MonthValue;
use crate::findings::signals::Side;
use crate::findings::signals::Signals;

#[cfg(test)]
mod tests;

/// One row per chart and month, in the order of the charts.
///
/// # Errors
/// When a count does not fit INT64.
pub fn signals_table(signals: &Signals) -> Result<Table, TableError> {
    let rows: Vec<(&MonthChart, &MonthValue)> = signals
        .charts
        .iter()
        .flat_map(|chart| chart.points.iter().map(move |point| (chart, point)))
        .collect();
    let points = || rows.iter().map(|(_, point)| *point);
    let mut columns = Vec::from(address_columns(rows.iter().map(|(chart, _)| *chart)));
    columns.extend([
        text(
            "month",
            "YYYY-MM",
            points().map(|point| point.month.to_string()),
        ),
        optional_text(
            "form",
            &format!(
                "{}: the form of chart in this month; empty without lines",
                forms()
            ),
            rows.iter()
                .map(|(chart, point)| form_at(chart, point).map(ChartForm::code)),
        ),
        whole(
            "n",
            "what the value is out of: cases, passes, or events of a rate",
            "count",
            points().map(|point| point.n),
        )?,
        number(
            "value",
            "the value of the month; empty where there was no case, or too few for a value",
            AS_UNIT,
            points().map(|point| point.value),
        ),
        number(
            "line",
            "the line about which runs are counted; empty before there is one",
            AS_UNIT,
            points().map(|point| point.line),
        ),
        number(
            "low",
            "lower limit; empty where there is none",
            AS_UNIT,
            points().map(|point| point.low),
        ),
        number(
            "high",
            "upper limit; empty where there is none",
            AS_UNIT,
            points().map(|point| point.high),
        ),
        optional_text(
            "rule",
            "rules whose pattern this month belongs to, joined with +; empty without one",
            rows.iter().map(|(chart, point)| rules_at(chart, point)),
        ),
        optional_text(
            "side",
            "above or below the line; empty without a pattern on one side",
            rows.iter().map(|(chart, point)| {
                let side = patterns_at(chart, point).find_map(|signal| signal.side)?;
                Some(side_code(side))
            }),
        ),
    ]);
    Ok(Table {
        name: "signals",
        batch: batch(columns),
    })
}

/// One row per chart and set of lines, in the order of the charts, oldest lines first.
///
/// # Errors
/// When a count does not fit INT64.
pub fn signal_charts_table(signals: &Signals) -> Result<Table, TableError> {
    let rows: Vec<(&MonthChart, Option<&Baseline>)> = signals
        .charts
        .iter()
        .flat_map(|chart| {
            let lines = chart.baselines.iter().map(Some);
            let without = chart.baselines.is_empty().then_some(None);
            lines.chain(without).map(move |baseline| (chart, baseline))
        })
        .collect();
    // The chance belongs to the last lines of a chart.
    let last = |chart: &MonthChart, baseline: Option<&Baseline>| baseline == chart.baselines.last();
    let baselines = || rows.iter().map(|(_, baseline)| *baseline);
    let mut columns = Vec::from(address_columns(rows.iter().map(|(chart, _)| *chart)));
    columns.extend([
        optional_text(
            "form",
            &format!("{}: the form of chart with these lines; empty without lines", forms()),
            baselines().map(|baseline| Some(baseline?.form.code())),
        ),
        optional_text(
            "first_month",
            "first month of these lines and of the baseline that they come from, YYYY-MM",
            baselines().map(|baseline| Some(baseline?.first.to_string())),
        ),
        optional_text(
            "baseline_last_month",
            "last month of the baseline; the lines stay as they are behind it, YYYY-MM",
            baselines().map(|baseline| Some(baseline?.last.to_string())),
        ),
        whole(
            "baseline_months",
            "months with a value in the baseline",
            "months",
            baselines().map(|baseline| baseline.map_or(0, |baseline| baseline.points as u64)),
        )?,
        number(
            "chance",
            "chance of a signal at the month in view if nothing had changed; empty where none is possible, and for earlier lines",
            "probability",
            rows.iter()
                .map(|(chart, baseline)| chart.chance.filter(|_| last(chart, *baseline))),
        ),
        number(
            "autocorrelation",
            "correlation of each month with the next in the last baseline, where it is larger than chance explains",
            "correlation",
            rows.iter()
                .map(|(chart, baseline)| chart.autocorrelation.filter(|_| last(chart, *baseline))),
        ),
    ]);
    Ok(Table {
        name: "signal_charts",
        batch: batch(columns),
    })
}

fn address_columns<'a>(charts: impl Iterator<Item = &'a MonthChart> + Clone) -> [Column; 5] {
    [
        text(
            "measure",
            "identifier of the measure",
            charts.clone().map(|chart| &chart.measure),
        ),
        text("by", "site, or all", charts.clone().map(|chart| &chart.by)),
        text(
            "group",
            "the site, or all",
            charts.clone().map(|chart| &chart.group),
        ),
        text(
            "statistic",
            "share, median or rate",
            charts.clone().map(|chart| chart.statistic.code()),
        ),
        text(
            "unit",
            "what values, lines and limits are counted in",
            charts.map(|chart| chart.statistic.unit().code()),
        ),
    ]
}

/// The words of all forms, as in `a, b or c`.
fn forms() -> String {
    let codes = ChartForm::ALL.map(ChartForm::code);
    let (last, others) = codes.split_last().expect("there are forms");
    format!("{} or {last}", others.join(", "))
}

/// The form with the lines that hold in the month.
fn form_at(chart: &MonthChart, point: &MonthValue) -> Option<ChartForm> {
    let mut begun = chart
        .baselines
        .iter()
        .filter(|baseline| baseline.first <= point.month);
    begun.next_back().map(|baseline| baseline.form)
}

/// The patterns that a month with a value belongs to.
fn patterns_at<'a>(
    chart: &'a MonthChart,
    point: &'a MonthValue,
) -> impl Iterator<Item = &'a MonthSignal> {
    chart.signals.iter().filter(|signal| {
        point.value.is_some() && (signal.first..=signal.last).contains(&point.month)
    })
}

fn rules_at(chart: &MonthChart, point: &MonthValue) -> Option<String> {
    let mut rules: Vec<_> = patterns_at(chart, point)
        .map(|signal| signal.rule)
        .collect();
    rules.sort_unstable();
    rules.dedup();
    let codes: Vec<_> = rules.into_iter().map(MonthRule::code).collect();
    (!codes.is_empty()).then(|| codes.join("+"))
}

fn side_code(side: Side) -> &'static str {
    match side {
        Side::Above => "above",
        Side::Below => "below",
    }
}

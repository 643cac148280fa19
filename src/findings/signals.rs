//! Signals: measures month by month against lines that stay as they are, and the rules that say where
//! a measure is unlike the months that its lines come from. Knows counts and months, not pages.

mod chance;
mod chart;
mod followed;
mod lines;
mod patterns;
mod series;
#[cfg(test)]
mod tests;

use super::comparisons::over_time::HarmOverTime;
use super::finding::Statistic;
use crate::domain::counts::CountTables;
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::domain::phase::Phase;

pub use crate::stats::chart::limits::Side;

/// Every measure that is followed, up to the month in view.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Signals {
    /// The charts: over all cases first, in the order of the first page and then of the report; then
    /// site by site, by name.
    pub charts: Vec<MonthChart>,
}

/// Every followed measure from `first_month` to `month`. Lines come from the first `baseline_months`
/// months with a value, and anew from those behind a phase once it has as many. A month behind
/// `month` changes nothing.
pub fn signals(
    counts: &CountTables,
    definitions: &[Definition],
    first_month: Month,
    month: Month,
    phases: &[Phase],
    baseline_months: usize,
) -> Signals {
    let charts = followed::followed(counts, definitions)
        .into_iter()
        .filter_map(|followed| {
            let series = series::Series::of(counts, &followed, first_month, month)?;
            let site = followed.site();
            let mut changes: Vec<Month> = phases
                .iter()
                .filter(|phase| phase.concerns(&followed.definition.id, site))
                .map(|phase| phase.from)
                .collect();
            changes.sort_unstable();
            Some(chart::month_chart(
                &followed,
                &series,
                &changes,
                baseline_months,
            ))
        })
        .collect();
    Signals { charts }
}

impl Signals {
    /// The chart of a measure for one group; `None` when it is not followed.
    pub fn chart(&self, measure: &str, by: &str, group: &str) -> Option<&MonthChart> {
        self.charts
            .iter()
            .find(|chart| chart.measure == measure && chart.by == by && chart.group == group)
    }

    /// How much was looked at, with the charts of harm, and what chance alone would show at `month`,
    /// the month in view.
    pub fn multiplicity(&self, harm: &[HarmOverTime], month: Month) -> Multiplicity {
        let of_harm = harm.iter().flat_map(|harm| harm.false_alarms(month));
        let chances: Vec<Option<f64>> = self
            .charts
            .iter()
            .map(|chart| chart.chance)
            .chain(of_harm)
            .collect();
        Multiplicity {
            charts: chances.len(),
            able: chances.iter().flatten().count(),
            expected: chances.iter().flatten().sum(),
        }
    }
}

/// How many charts were looked at in a month, and how many false alarms that makes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Multiplicity {
    /// Charts of followed measures, and the two charts of each measure of harm.
    pub charts: usize,
    /// Of these, charts that can signal at the month in view at all.
    pub able: usize,
    /// Charts that would signal there on average if nothing had changed, in 0 to `able`.
    pub expected: f64,
}

/// The form of chart that fits what is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ChartForm {
    /// Run chart: a median line and Anhøj's rules, no limits.
    Run,
    /// Shares with binomial limits.
    P,
    /// Shares of which hits or misses are few, with exact limits.
    ExactP,
    /// Laney's p' chart: shares that vary more than counting explains.
    LaneyP,
    /// Events in observed time.
    U,
    /// Events in observed time that are few a month, with exact limits.
    ExactU,
    /// Laney's u' chart.
    LaneyU,
    /// Individual values: one median a month.
    Xmr,
}

impl ChartForm {
    /// Every form.
    pub const ALL: [ChartForm; 8] = [
        ChartForm::Run,
        ChartForm::P,
        ChartForm::ExactP,
        ChartForm::LaneyP,
        ChartForm::U,
        ChartForm::ExactU,
        ChartForm::LaneyU,
        ChartForm::Xmr,
    ];

    /// The word in tables.
    pub const fn code(self) -> &'static str {
        match self {
            ChartForm::Run => "run",
            ChartForm::P => "p",
            ChartForm::ExactP => "exact_p",
            ChartForm::LaneyP => "laney_p",
            ChartForm::U => "u",
            ChartForm::ExactU => "exact_u",
            ChartForm::LaneyU => "laney_u",
            ChartForm::Xmr => "xmr",
        }
    }
}

/// One measure of one group, month by month.
#[derive(Clone, Debug, PartialEq)]
pub struct MonthChart {
    /// Identifier of the measure.
    pub measure: String,
    /// Dimension, or `all`.
    pub by: String,
    /// Value of the dimension, or `all`.
    pub group: String,
    /// Which number is followed.
    pub statistic: Statistic,
    /// Form of the chart in the phase of the month in view.
    pub form: ChartForm,
    /// Every month from the first of the records to the month in view.
    pub points: Vec<MonthValue>,
    /// Where the lines come from, oldest first: one stretch of months for each set of lines.
    pub baselines: Vec<Baseline>,
    /// What the rules found, oldest first.
    pub signals: Vec<MonthSignal>,
    /// The chance of a signal at the month in view if nothing had changed, in 0 to 1; `None` where no
    /// rule can be met there: too few months, or no value in the month.
    pub chance: Option<f64>,
    /// Lag-1 correlation of the baseline, where it is larger than chance explains: the limits are
    /// then too close.
    pub autocorrelation: Option<f64>,
}

impl MonthChart {
    /// The signals that hold at the month in view.
    pub fn standing(&self) -> impl Iterator<Item = &MonthSignal> {
        let last = self.points.last().map(|point| point.month);
        self.signals
            .iter()
            .filter(move |signal| Some(signal.last) == last)
    }
}

/// One month of a chart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MonthValue {
    /// The month.
    pub month: Month,
    /// What the value is out of: cases, passes, or events of a rate.
    pub n: u64,
    /// The value in the unit of the statistic; `None` is a gap: no case, or too few for a value.
    pub value: Option<f64>,
    /// The line about which runs are counted; `None` before any line can be drawn.
    pub line: Option<f64>,
    /// Lower limit; `None` where there is none.
    pub low: Option<f64>,
    /// Upper limit; `None` where there is none.
    pub high: Option<f64>,
}

/// The months that a set of lines comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Baseline {
    /// Form of the chart with these lines.
    pub form: ChartForm,
    /// First month in which these lines hold, the first of the baseline too.
    pub first: Month,
    /// Last month of the baseline; the lines stay as they are behind it.
    pub last: Month,
    /// Months with a value among them.
    pub points: usize,
}

/// A pattern that a steady process seldom shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MonthSignal {
    /// The rule.
    pub rule: MonthRule,
    /// On which side of the line; `None` for few crossings.
    pub side: Option<Side>,
    /// First month of the pattern.
    pub first: Month,
    /// Last month of the pattern.
    pub last: Month,
    /// First month at which the rule was met: the eighth of a run, the first beyond a limit. For few
    /// crossings, which belong to the whole stretch, the last month.
    pub met: Month,
    /// Months with a value in the pattern.
    pub points: usize,
}

/// The rules. Each names what is seen, not why.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MonthRule {
    /// A point beyond its limits.
    BeyondLimits,
    /// Eight or more points in a row on one side of the line.
    EightOnOneSide,
    /// A run chart with more points in a row on one side of its median than shuffled points show.
    LongRun,
    /// A run chart that crosses its median less often than shuffled points do.
    FewCrossings,
}

impl MonthRule {
    /// The word in tables.
    pub const fn code(self) -> &'static str {
        match self {
            MonthRule::BeyondLimits => "beyond_limits",
            MonthRule::EightOnOneSide => "eight_on_one_side",
            MonthRule::LongRun => "long_run",
            MonthRule::FewCrossings => "few_crossings",
        }
    }
}

//! What a chart shows, as plain data. Knows neither pixels nor HTML.

mod curves;
mod followed;
mod funnel;
mod grid;

pub(super) use curves::{CurvePanel, CurveStep};
pub(super) use followed::{LinedPoint, MonthNote, Panel, Stretch};
pub(super) use funnel::{FunnelLine, FunnelPlot, FunnelPoint};
pub(super) use grid::{Grid, GridCell, GridColumn, GridRow, Shade};

use crate::domain::month::Month;
use crate::findings::finding::Unit;

/// A chart that answers the question in its title.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Chart {
    /// The question.
    pub title: String,
    /// What the axis of values is counted in, in words.
    pub axis_label: String,
    /// The unit of every value, which fixes the axis and its numbers; `None` for plain numbers.
    pub unit: Option<Unit>,
    /// The marks.
    pub plot: Plot,
}

/// The forms of charts.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Plot {
    /// Months from left to right, values upward.
    Months {
        /// Every month of the axis, in order; a month without value is a gap.
        points: Vec<MonthPoint>,
        /// The month that the review is about.
        in_view: Month,
        /// The months before, pooled.
        reference: Option<Reference>,
    },
    /// One group per line, values to the right.
    Rows(Vec<Line>),
    /// One group per bar, and each bar cut into the parts of a whole, always in the same order.
    Stacks {
        /// What the parts are, first to last.
        parts: Vec<String>,
        /// The bars.
        bars: Vec<Stack>,
    },
    /// Events from left to right, and how far each lies from the one before.
    Sequence {
        /// The distances, oldest first.
        points: Vec<SequencePoint>,
        /// The lines; `None` where there are too few points.
        lines: Option<SequenceLines>,
    },
    /// Months from left to right and one panel below the other, all on the same scale, each with
    /// lines that stay as they are.
    Followed {
        /// The panels, first on top.
        panels: Vec<Panel>,
        /// Dated changes.
        notes: Vec<MonthNote>,
        /// The level that the site wants to reach.
        target: Option<Reference>,
    },
    /// Rising curves of the share that got there by when, one small panel each.
    Curves(Vec<CurvePanel>),
    /// Sites by size and share, between limits.
    Funnel(FunnelPlot),
    /// Rows by columns of cells, darker where there is more.
    Grid(Grid),
}

/// One bar of parts.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stack {
    /// The name of the group.
    pub label: String,
    /// Each part as a fraction of the whole and in words; none when there is nothing to show.
    pub shares: Vec<(f64, String)>,
    /// Counts in words, at the right.
    pub text: String,
}

/// The distance of one event from the event before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct SequencePoint {
    /// Month of the event.
    pub month: Month,
    /// The distance.
    pub value: f64,
    /// Whether a rule is met at it.
    pub is_signal: bool,
}

/// The lines of a chart of events, the same at every point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct SequenceLines {
    /// The line about which runs are counted.
    pub middle: f64,
    /// Lower limit.
    pub low: Option<f64>,
    /// Upper limit.
    pub high: Option<f64>,
    /// How many of the points, the first ones, the lines come from.
    pub baseline: usize,
}

/// One month.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct MonthPoint {
    /// The month.
    pub month: Month,
    /// The denominator in short, under the axis.
    pub n: String,
    /// The estimate; `None` when there is none to show.
    pub value: Option<f64>,
    /// The estimate in words, beside the month in view.
    pub value_text: String,
    /// Limits of the estimate.
    pub limits: (Option<f64>, Option<f64>),
    /// Lower and upper quartile.
    pub quartiles: Option<(f64, f64)>,
    /// Individual cases.
    pub cases: Vec<CaseDot>,
}

/// Cases with the same number of minutes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct CaseDot {
    /// Minutes.
    pub minutes: i64,
    /// Whether the end was reached; otherwise followed until then only.
    pub reached: bool,
    /// How many cases.
    pub count: u64,
}

/// A level to compare the months with.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Reference {
    /// The level.
    pub value: f64,
    /// What it is.
    pub label: String,
}

/// An estimate drawn toward those of other groups.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct DrawnMark {
    /// The estimate.
    pub value: f64,
    /// Its limits.
    pub limits: (Option<f64>, Option<f64>),
}

/// One line of a chart of groups.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Line {
    /// The name of the groups below.
    Heading(String),
    /// One group.
    Group {
        /// Its name.
        label: String,
        /// The estimate; `None` when there is none to show.
        value: Option<f64>,
        /// Limits of the estimate.
        limits: (Option<f64>, Option<f64>),
        /// Lower and upper quartile.
        quartiles: Option<(f64, f64)>,
        /// Nine of ten cases took no longer.
        p90: Option<f64>,
        /// The estimate drawn toward those of the other groups, with its limits.
        drawn: Option<DrawnMark>,
        /// Estimate and counts in words, at the right.
        text: String,
    },
}

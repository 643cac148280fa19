//! Months against lines that stay as they are.

use super::Reference;
use crate::domain::month::Month;

/// One series of months with its lines.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::report) struct Panel {
    /// What the series is about: all sites, or one.
    pub label: String,
    /// Every month of the axis, in order.
    pub points: Vec<LinedPoint>,
    /// Where a rule is met, oldest first.
    pub stretches: Vec<Stretch>,
    /// Names of the lines with their values, at the right end.
    pub line_labels: Vec<Reference>,
}

/// One month with the lines that hold there.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::report) struct LinedPoint {
    /// The month.
    pub month: Month,
    /// The denominator in short.
    pub n: String,
    /// The value; `None` is a gap.
    pub value: Option<f64>,
    /// Whether it comes from so few cases that it says little by itself.
    pub is_few: bool,
    /// The line about which runs are counted.
    pub line: Option<f64>,
    /// Lower and upper limit.
    pub limits: (Option<f64>, Option<f64>),
}

/// Months at which a rule is met.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::report) struct Stretch {
    /// Index of the first month.
    pub first: usize,
    /// Index of the last month.
    pub last: usize,
    /// The rule in a few words.
    pub words: String,
    /// Whether single points meet it, and not only the months together.
    pub is_of_points: bool,
}

/// A dated change on the axis of months.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::report) struct MonthNote {
    /// First month after the change.
    pub from: Month,
    /// What changed.
    pub text: String,
}

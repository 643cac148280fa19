//! Which points of a control chart are signals. Knows points with their lines, of any chart.

use super::limits::{ChartPoint, Side};

#[cfg(test)]
mod tests;

/// A pattern that a steady process seldom shows. Each more rule costs more false alarms: with the
/// two of [`Rule::DEFAULT`], a quiet chart signals after 148 points on average; with eight rules,
/// after 78.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rule {
    /// A point beyond its control limits.
    BeyondLimits,
    /// The eighth point in a row, and each further one, on the same side of the line for runs. A
    /// point on the line ends a run, a gap does not.
    EightOnOneSide,
    /// A point beyond two standard deviations, and so one of the two points before it, on the
    /// same side. Gaps are not counted.
    TwoOfThree,
}

impl Rule {
    /// All rules.
    pub const ALL: [Rule; 3] = [Rule::BeyondLimits, Rule::EightOnOneSide, Rule::TwoOfThree];

    /// The rules to use unless somebody asks for others.
    pub const DEFAULT: [Rule; 2] = [Rule::BeyondLimits, Rule::EightOnOneSide];
}

/// A point at which a rule is met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Signal {
    /// Place of the point that completes the pattern, among all points, gaps included.
    pub index: usize,
    /// The rule.
    pub rule: Rule,
    /// On which side.
    pub side: Side,
}

/// Points in a row on one side that make a signal.
pub const LONG_RUN: usize = 8;

/// The signals by the given rules, in the order of points, then of rules. Each rule counts once,
/// however often it is given.
///
/// The points of one chart belong to one baseline: after a change of the process, ask for the
/// signals of each phase on its own.
///
/// Source: Western Electric (1956), Statistical Quality Control Handbook; from memory, as listed
/// by NIST/SEMATECH e-Handbook, section 6.3.2.
pub fn signals(points: &[Option<ChartPoint>], rules: &[Rule]) -> Vec<Signal> {
    let mut found = Vec::new();
    let mut run: (Option<Side>, usize) = (None, 0);
    // Where the last two observed points lie outside two standard deviations.
    let mut before: [Option<Side>; 2] = [None, None];
    for (index, point) in points.iter().enumerate() {
        let Some(ChartPoint { value, limits }) = *point else {
            continue;
        };
        let side = side_of_line(value, limits.run_line);
        run = (side, if run.0 == side { run.1 + 1 } else { 1 });
        let outside = limits.two_sigma.beyond(value);
        for rule in Rule::ALL {
            let side = match rule {
                Rule::BeyondLimits => limits.control.beyond(value),
                Rule::EightOnOneSide => side.filter(|_| run.1 >= LONG_RUN),
                Rule::TwoOfThree => outside.filter(|side| before.contains(&Some(*side))),
            };
            if let Some(side) = side
                && rules.contains(&rule)
            {
                found.push(Signal { index, rule, side });
            }
        }
        before = [before[1], outside];
    }
    found
}

/// The side of `line` on which `value` lies; `None` on the line.
pub fn side_of_line(value: f64, line: f64) -> Option<Side> {
    if value > line {
        Some(Side::Above)
    } else if value < line {
        Some(Side::Below)
    } else {
        None
    }
}

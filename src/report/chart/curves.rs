//! Rising curves.

/// One curve with its band.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::report) struct CurvePanel {
    /// The name of the group.
    pub label: String,
    /// What to take from the curve, in a few words.
    pub words: String,
    /// Where the curve steps up, in order; it starts at 0.
    pub steps: Vec<CurveStep>,
    /// Minutes at which cases left.
    pub censored: Vec<i64>,
    /// The last minute of the curve.
    pub until: i64,
    /// The marks of the axis of time in order, the last at its end: minutes, words, and cases still
    /// at risk.
    pub ticks: Vec<(i64, String, String)>,
    /// Upright lines at some minutes, with what they are.
    pub limits: Vec<(i64, String)>,
}

/// One step of a curve. It holds up to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::report) struct CurveStep {
    /// Minutes since the start.
    pub minutes: i64,
    /// The share from here on.
    pub share: f64,
    /// The band from here on, its lower and upper end.
    pub band: (f64, f64),
}

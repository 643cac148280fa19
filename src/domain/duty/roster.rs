//! Who was planned, by place on the roster.

use super::calendar::Span;

/// One line of a roster.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RosterLine {
    /// The site.
    pub site: String,
    /// The place on the roster, such as `nurse_1`: the same place is one worker's line.
    pub role: String,
    /// What was planned.
    pub duty: Duty,
    /// When.
    pub span: Span,
}

/// What a line of a roster plans.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Duty {
    /// At work.
    Shift,
    /// On call, to be called in.
    OnCall,
}

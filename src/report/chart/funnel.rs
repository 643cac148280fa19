//! Sites by size, between limits.

use super::Reference;

/// Sites by size and share.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::report) struct FunnelPlot {
    /// The sites.
    pub sites: Vec<FunnelPoint>,
    /// The share of all together.
    pub target: Reference,
    /// The limits along the sizes, smallest first.
    pub lines: Vec<FunnelLine>,
    /// What the inner and the outer limits are.
    pub names: [String; 2],
}

/// One site.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::report) struct FunnelPoint {
    /// Its name.
    pub label: String,
    /// Cases.
    pub cases: u64,
    /// Share.
    pub value: f64,
    /// How many of the two pairs of limits it lies beyond.
    pub beyond: u8,
}

/// Limits at one size, inner and outer, each low and high.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::report) struct FunnelLine {
    /// Cases.
    pub cases: u64,
    /// Inner and outer limits.
    pub limits: [(Option<f64>, Option<f64>); 2],
}

//! What a measure is: the definition that stands in the header of its SQL file.

/// What a measure counts, and so which count table and which statistics serve it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MeasureKind {
    /// Cases that meet a condition, out of cases that can be judged.
    Share,
    /// Minutes between two moments, the second of which may not have been reached.
    Minutes,
    /// Passes that meet a condition, out of all passes; passes of one case go together.
    ClusteredShare,
    /// Events in observed time.
    Count,
}

impl MeasureKind {
    /// Every kind.
    pub const ALL: [MeasureKind; 4] = [
        MeasureKind::Share,
        MeasureKind::Minutes,
        MeasureKind::ClusteredShare,
        MeasureKind::Count,
    ];

    /// The word in SQL headers and tables.
    pub const fn code(self) -> &'static str {
        match self {
            MeasureKind::Share => "share",
            MeasureKind::Minutes => "minutes",
            MeasureKind::ClusteredShare => "clustered_share",
            MeasureKind::Count => "count",
        }
    }
}

/// Which direction a service wants.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Better {
    /// More is better.
    Higher,
    /// Less is better.
    Lower,
    /// Neither direction is good in itself.
    Neither,
}

impl Better {
    /// Every direction.
    pub const ALL: [Better; 3] = [Better::Higher, Better::Lower, Better::Neither];

    /// The word in SQL headers.
    pub const fn code(self) -> &'static str {
        match self {
            Better::Higher => "higher",
            Better::Lower => "lower",
            Better::Neither => "neither",
        }
    }
}

/// One measure: the header of its SQL file, and the query below it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Definition {
    /// Stable identifier, also the file name: `overtube_used`.
    pub id: String,
    /// Raised with every change of meaning.
    pub version: u32,
    /// What is counted.
    pub kind: MeasureKind,
    /// Short name for tables and charts.
    pub title: String,
    /// The question in plain words.
    pub question: String,
    /// Which cases or passes are judged.
    pub eligible: String,
    /// What counts as meeting it (for minutes: from when to when).
    pub hit: String,
    /// The direction a service wants.
    pub better: Better,
    /// Guideline, society and year; or `common practice, no source`.
    pub source: String,
    /// The row-level query.
    pub sql: String,
}

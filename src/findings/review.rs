//! Everything that the review of one month shows, as plain data.

use super::calls_by_hour::CallsByHour;
use super::cases_to_look_at::RuleTally;
use super::comparisons::Comparisons;
use super::curves::Curves;
use super::drift::Drift;
use super::finding::{Finding, Findings};
use super::flow::Flow;
use super::funnel::Funnel;
use super::heaping::Heaping;
use super::signals::Signals;
use crate::disclosure::ShareRules;
use crate::domain::accounting::Accounting;
use crate::domain::counts::CountTables;
use crate::domain::exposure::StaffedWeek;
use crate::domain::fields::CaseField;
use crate::domain::issue::IssueCode;
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::domain::phase::Phase;
use crate::domain::recording::Recording;
use crate::domain::window::GuidelineWindow;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// One headline measure: the month in view beside the months before it, twelve at most.
#[derive(Clone, Debug, PartialEq)]
pub struct Headline {
    /// Identifier of the measure.
    pub measure: String,
    /// The month in view; `None` when the population had no case in it.
    pub month: Option<Finding>,
    /// The months before, pooled; `None` when there are none.
    pub before: Option<Finding>,
    /// What the comparison of the two can say.
    pub change: Change,
}

/// What can be said about the month in view beside the months before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Change {
    /// There is nothing to compare with, or a limit that the comparison needs cannot be estimated.
    NotCompared,
    /// The month in view or the months before have fewer cases than a comparison needs.
    TooFewCases {
        /// Cases needed on either side.
        needed: u64,
    },
    /// Month minus months before, with its interval, in the unit of the measure.
    Difference {
        /// The difference.
        estimate: f64,
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
    },
}

/// A file that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReviewInput {
    /// What it was read as: `cases`, `passes` or `mapping`.
    pub role: String,
    /// SHA-256 in lowercase hexadecimal.
    pub sha256: String,
}

/// The months in which one site was observed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MonthsOfSite {
    /// The site.
    pub site: String,
    /// First month.
    pub first: Month,
    /// Last month.
    pub last: Month,
    /// Whether it was not observed in some month between them.
    pub has_gaps: bool,
}

/// What became of the rows, and what was wrong with them. Positions stay in `internal/`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DataQuality {
    /// Rows of the cases export.
    pub cases: Accounting,
    /// Rows of the passes export; `None` when none was given.
    pub passes: Option<Accounting>,
    /// How often each kind of issue came up, by our names of the fields concerned.
    pub issues: BTreeMap<(IssueCode, &'static str, &'static str), u64>,
    /// For each field that the mapping names: (field, cases with a value), of all accepted cases.
    pub completeness: Vec<(&'static str, u64)>,
    /// What was recorded, month by month.
    pub recording: Recording,
    /// Fields that a measure of the first page needs in order to count.
    pub read_by_first_page: BTreeSet<CaseField>,
    /// How often times are round.
    pub heaping: Vec<Heaping>,
    /// How the categories shifted; `None` when there are too few months before or no calls.
    pub drift: Option<Drift>,
}

/// The review of one month.
#[derive(Clone, Debug, PartialEq)]
pub struct Review {
    /// The site whose cases alone are counted; `None` for all sites of the records.
    pub site: Option<String>,
    /// The month in view.
    pub month: Month,
    /// First month of the records.
    pub first_month: Month,
    /// Last month of the records.
    pub last_month: Month,
    /// The months of each site, in the order of their names, where counts that cover unlike months were
    /// added up; else none.
    pub months_of_sites: Vec<MonthsOfSite>,
    /// How many months before the month in view it is compared with, 0 to 12.
    pub months_before: u32,
    /// From when urgency windows are counted, in words.
    pub window_start: String,
    /// Laboratory quantities in words, each with the unit that the mapping declares for it.
    pub units: Vec<(&'static str, &'static str)>,
    /// The guideline windows, in the order in which they are tried.
    pub windows: Vec<GuidelineWindow>,
    /// Every measure that was counted, in the order of the report.
    pub definitions: Vec<Definition>,
    /// Every finding.
    pub findings: Findings,
    /// The first page.
    pub headlines: Vec<Headline>,
    /// Every measure over all cases of the months before the month in view, pooled.
    pub before: Findings,
    /// Carts with something missing, in judged carts.
    pub missing: Findings,
    /// How many cases each review rule lists. The list itself names cases and is no part of this.
    pub to_look_at: Vec<RuleTally>,
    /// What is compared with what.
    pub comparisons: Comparisons,
    /// How many had been scoped by when, and how many had left before.
    pub curves: Curves,
    /// Sites side by side; empty with fewer than five.
    pub funnels: Vec<Funnel>,
    /// Calls by weekday and hour over the whole period; `None` when they were not counted so.
    pub calls_by_hour: Option<CallsByHour>,
    /// Measures month by month against lines that stay as they are.
    pub signals: Signals,
    /// Dated changes that the mapping names, oldest first.
    pub phases: Vec<Phase>,
    /// The hours of a usual week that are staffed.
    pub staffed_week: StaffedWeek,
    /// Targets that the site set itself, by measure, in the unit of the measure.
    pub targets: BTreeMap<String, f64>,
    /// Whether the rows behind the counts were not read, so that nothing is known but the counts.
    pub is_from_counts: bool,
    /// By which rules counts are withheld; `None` where none is, so that nothing of it may be shared.
    pub shared: Option<ShareRules>,
    /// The counts behind the findings.
    pub counts: CountTables,
    /// How the rows became the counts.
    pub flow: Flow,
    /// The rows behind the counts.
    pub quality: DataQuality,
    /// The files behind the review.
    pub inputs: Vec<ReviewInput>,
    /// Confidence level of all intervals, in 0 to 1.
    pub level: f64,
    /// Version of this tool.
    pub tool_version: &'static str,
    /// Date for the page, `YYYY-MM-DD`, from `SOURCE_DATE_EPOCH`; `None` when that is not set.
    pub made_on: Option<String>,
}

impl Review {
    /// The definition of a measure; `None` when it was not counted.
    pub fn definition(&self, measure: &str) -> Option<&Definition> {
        self.definitions
            .iter()
            .find(|definition| definition.id == measure)
    }

    /// The title of a measure; its identifier when it was not counted.
    pub fn title<'a>(&'a self, measure: &'a str) -> &'a str {
        self.definition(measure)
            .map_or(measure, |definition| &definition.title)
    }
}

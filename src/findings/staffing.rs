//! What a nurse manager asks: when calls come, what they ask of the teams, how often two meet, what
//! other arrangements would do, and what the cart must carry. Each part is a module of its own.

pub mod cart_floor;
pub mod checks;
pub mod coverage;
pub mod demand;
#[cfg(test)]
pub(crate) mod invented_calls;
pub mod kit;
pub mod load;
pub mod overlap;
mod sites;
pub mod stock;

pub use sites::Share;

use crate::domain::accounting::Accounting;
use crate::domain::duty::issue::DutyIssueKind;
use crate::domain::duty::plan::DutyPlan;
use crate::domain::issue::IssueCode;
use crate::domain::month::Month;
use checks::CartChecks;
use coverage::Coverage;
use demand::Demand;
use kit::Kit;
use load::Load;
use overlap::Overlap;
use std::collections::BTreeMap;
use stock::Stock;

/// What became of the rows of one kind of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RowsOfFile {
    /// What it was read as.
    pub file: &'static str,
    /// What became of its rows.
    pub rows: Accounting,
    /// Accepted rows of other months or sites, which are left out.
    pub left_out: u64,
}

/// Everything that the staffing report shows, as plain data.
#[derive(Clone, Debug, PartialEq)]
pub struct Staffing {
    /// The site whose cases alone are counted; `None` for all sites of the records.
    pub site: Option<String>,
    /// Number of sites with a case.
    pub sites: u64,
    /// Accepted cases that are counted.
    pub cases: u64,
    /// First month of the records.
    pub first_month: Month,
    /// Last month of the records.
    pub last_month: Month,
    /// What the site assumes and asks.
    pub plan: DutyPlan,
    /// Whether the site gave a plan; otherwise its default holds.
    pub is_plan_given: bool,
    /// How many calls come and when; `None` when calls were not counted.
    pub demand: Option<Demand>,
    /// What the calls ask of the teams; `None` without clock times.
    pub load: Option<Load>,
    /// How often calls meet; `None` without clock times.
    pub overlap: Option<Overlap>,
    /// What other arrangements would do; `None` without clock times.
    pub coverage: Option<Coverage>,
    /// What is used and how much to carry.
    pub stock: Stock,
    /// Which items finish cases.
    pub kit: Kit,
    /// Whether the carts were ready; `None` where no checks were given.
    pub checks: Option<CartChecks>,
    /// What became of the rows of each file.
    pub rows: Vec<RowsOfFile>,
    /// How often each kind of issue of cases and passes came up, by our names of the fields.
    pub issues: BTreeMap<(IssueCode, &'static str, &'static str), u64>,
    /// How often each kind of issue of roster and checks came up, by file and column.
    pub duty_issues: BTreeMap<(String, DutyIssueKind, &'static str), u64>,
    /// The files behind the report, each as what it was read as and its SHA-256.
    pub inputs: Vec<(String, String)>,
    /// Confidence level of all intervals, in 0 to 1.
    pub level: f64,
    /// Version of this tool.
    pub tool_version: &'static str,
    /// Date for the page, `YYYY-MM-DD`, from `SOURCE_DATE_EPOCH`; `None` when that is not set.
    pub made_on: Option<String>,
}

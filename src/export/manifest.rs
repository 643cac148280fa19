//! `run.json`: which inputs, definitions and options made the outputs beside it.
//!
//! Knows the layout of that file. Takes every fact from the caller; no clock, no environment, no
//! directory of an input is recorded.

mod inputs;
pub mod read;
mod windows;

pub use inputs::{Input, ReadAs, ReadTime};
pub use windows::Window;

use super::sha256::sha256_of_text;
use crate::domain::accounting::Accounting;
use crate::domain::issue::IssueCode;
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::findings::flow::{FlowResult, MeasureFlow};
use crate::findings::review::MonthsOfSite;
use serde::{Deserialize, Serialize, Serializer};
use std::collections::{BTreeMap, BTreeSet};

/// Name of the file in the output directory.
pub const FILE_NAME: &str = "run.json";

/// What `tool` says in every `run.json` that this tool wrote.
const TOOL: &str = "scopetally";

/// Version of the layout of `run.json`.
const FORMAT: u32 = 1;

/// The facts of a run, in the order in which `run.json` lists them.
#[derive(Clone, Debug, Serialize)]
pub struct Manifest {
    /// The command, such as `review`.
    pub command: String,
    /// The month in view; `None` when the command has none.
    #[serde(serialize_with = "as_text")]
    pub month: Option<Month>,
    /// The months that the records cover; `None` when there are no records.
    pub period: Option<Period>,
    /// Options by name, as they were in effect.
    pub options: BTreeMap<String, String>,
    /// Input files, in the order given.
    pub inputs: Vec<Input>,
    /// SHA-256 of the exports of cases behind the numbers, also where records or counts made of them were
    /// read.
    pub exports: Vec<String>,
    /// SHA-256 of the mapping file; `None` when the run had none.
    pub mapping_sha256: Option<String>,
    /// Measures that were counted.
    pub measures: Vec<Measure>,
    /// What became of the rows; `None` when the run started from counts.
    pub accounting: Option<RowsRead>,
    /// How the accepted cases became those that each measure counts; empty when none was counted.
    pub flow: Vec<Flow>,
    /// How often each kind of issue came up.
    pub issues: Vec<IssueTally>,
    /// From when urgency windows are counted, in words.
    pub window_start: String,
    /// The guideline windows in the order in which they are tried, last those that are off;
    /// empty when none were used.
    pub windows: Vec<Window>,
    /// One sentence for each data-quality limit that was crossed.
    pub limits_crossed: Vec<String>,
    /// `YYYY-MM-DD` from `SOURCE_DATE_EPOCH`; `None` when that is not set.
    pub made_on: Option<String>,
    /// Every other file of the output directory, by its path in it. The next run replaces the
    /// directory only while it holds nothing else.
    pub outputs: Vec<String>,
}

/// First and last month, both included.
#[derive(Clone, Debug, Serialize)]
pub struct Period {
    /// First month.
    #[serde(serialize_with = "as_text_of_one")]
    pub first: Month,
    /// Last month.
    #[serde(serialize_with = "as_text_of_one")]
    pub last: Month,
    /// The months of each site, where counts of sites that cover unlike months were added up; else
    /// none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sites: Vec<PeriodOfSite>,
}

/// The months in which one site was observed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PeriodOfSite {
    /// The site.
    pub site: String,
    /// First month.
    #[serde(serialize_with = "as_text_of_one")]
    pub first: Month,
    /// Last month.
    #[serde(serialize_with = "as_text_of_one")]
    pub last: Month,
    /// Whether it was not observed in some month between them.
    pub has_gaps: bool,
}

/// Which definition of a measure was counted.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, Serialize)]
pub struct Measure {
    /// Identifier.
    pub id: String,
    /// Version of the definition.
    pub version: u32,
    /// SHA-256 of the SQL text.
    pub sha256: String,
}

/// What became of the rows of each kind of input.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct RowsRead {
    /// Rows of the cases export.
    pub cases: Rows,
    /// Rows of the passes export; `None` when none was given.
    pub passes: Option<Rows>,
    /// Passes that stood in the rows of their cases; `None` where the mapping has none there.
    pub passes_in_cases: Option<u64>,
}

/// What became of the rows of one kind of input.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Rows {
    /// Rows below the header.
    pub read: u64,
    /// Rows that became records.
    pub accepted: u64,
    /// Rows that could not become records.
    pub set_aside: u64,
    /// Rows that repeat an earlier row.
    pub duplicates: u64,
    /// Whether the last three add up to the first.
    pub balances: bool,
}

/// The accepted cases in one measure: `not_of_population + population` of them, and
/// `population = eligible + excluded`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Flow {
    /// Identifier of the measure.
    pub measure: String,
    /// What it counts: `cases` or `passes`.
    pub unit: &'static str,
    /// Cases that the question is not about.
    pub not_of_population: u64,
    /// Cases that it is about.
    pub population: u64,
    /// Of these, cases that can be judged.
    pub eligible: u64,
    /// Of these, cases that cannot be judged.
    pub excluded: u64,
    /// Passes that can be judged; `None` where cases are counted.
    pub judged_passes: Option<u64>,
    /// Eligible cases, or judged passes, that meet the definition; `None` where nothing is to be met.
    pub hit: Option<u64>,
    /// Eligible cases that reached the end; `None` where no time is measured.
    pub reached: Option<u64>,
}

/// How often one kind of issue came up.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct IssueTally {
    /// Code of the kind.
    pub code: &'static str,
    /// Our name of the field; empty for the whole row.
    pub field: &'static str,
    /// Our name of the second field; empty when there is none.
    pub other_field: &'static str,
    /// How often.
    pub count: u64,
}

impl Manifest {
    /// The content of `run.json`: indented, in a fixed order, with a line end.
    pub fn to_json(&self) -> String {
        #[derive(Serialize)]
        struct File<'a> {
            tool: &'static str,
            version: &'static str,
            format: u32,
            #[serde(flatten)]
            manifest: &'a Manifest,
        }
        let file = File {
            tool: TOOL,
            version: env!("CARGO_PKG_VERSION"),
            format: FORMAT,
            manifest: self,
        };
        let mut json = serde_json::to_string_pretty(&file)
            .expect("names, texts and whole numbers are always JSON");
        json.push('\n');
        json
    }

    /// What others may read of it: nothing of rows and files.
    #[must_use]
    pub fn for_others(self) -> Manifest {
        Manifest {
            inputs: Vec::new(),
            exports: Vec::new(),
            accounting: None,
            flow: Vec::new(),
            issues: Vec::new(),
            limits_crossed: Vec::new(),
            ..self
        }
    }
}

impl From<&MonthsOfSite> for PeriodOfSite {
    fn from(of: &MonthsOfSite) -> PeriodOfSite {
        PeriodOfSite {
            site: of.site.clone(),
            first: of.first,
            last: of.last,
            has_gaps: of.has_gaps,
        }
    }
}

impl From<&MeasureFlow> for Flow {
    fn from(flow: &MeasureFlow) -> Flow {
        let (judged_passes, hit, reached) = match flow.result {
            FlowResult::Hit(hit) => (None, Some(hit), None),
            FlowResult::Reached(reached) => (None, None, Some(reached)),
            FlowResult::Passes { judged, hit } => (Some(judged), Some(hit), None),
            FlowResult::Events => (None, None, None),
        };
        Flow {
            measure: flow.measure.clone(),
            unit: flow.result.unit(),
            not_of_population: flow.not_of_population,
            population: flow.population,
            eligible: flow.eligible,
            excluded: flow.excluded,
            judged_passes,
            hit,
            reached,
        }
    }
}

impl From<&Definition> for Measure {
    fn from(definition: &Definition) -> Measure {
        Measure {
            id: definition.id.clone(),
            version: definition.version,
            sha256: sha256_of_text(&definition.sql),
        }
    }
}

impl From<Accounting> for Rows {
    fn from(rows: Accounting) -> Rows {
        Rows {
            read: rows.read,
            accepted: rows.accepted,
            set_aside: rows.set_aside,
            duplicates: rows.duplicates,
            balances: rows.balances(),
        }
    }
}

/// The entries of `issues` in the manifest.
pub fn issue_tallies(
    issues: &BTreeMap<(IssueCode, &'static str, &'static str), u64>,
) -> Vec<IssueTally> {
    issues
        .iter()
        .map(|(&(code, field, other_field), &count)| IssueTally {
            code: code.code(),
            field,
            other_field,
            count,
        })
        .collect()
}

/// The files that stand beside a `run.json` of this tool, of whatever version; `None` when `json` is
/// something else.
pub(super) fn outputs_if_ours(json: &[u8]) -> Option<BTreeSet<String>> {
    #[derive(Deserialize)]
    struct Owned {
        tool: String,
        #[serde(default)]
        outputs: BTreeSet<String>,
    }
    serde_json::from_slice::<Owned>(json)
        .ok()
        .filter(|owned| owned.tool == TOOL)
        .map(|owned| owned.outputs)
}

#[expect(
    clippy::ref_option,
    clippy::trivially_copy_pass_by_ref,
    reason = "serde passes a reference to the field"
)]
fn as_text<S: Serializer>(month: &Option<Month>, serializer: S) -> Result<S::Ok, S::Error> {
    month.map(|month| month.to_string()).serialize(serializer)
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde passes a reference to the field"
)]
fn as_text_of_one<S: Serializer>(month: &Month, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_str(month)
}

#[cfg(test)]
mod tests;

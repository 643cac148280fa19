//! `mapping.toml` as written: tables and keys, before anything is checked against the fields.

use super::Limits;
use crate::domain::fields::{CaseField, Field};
use jiff::civil::{Date, Time};
use serde::Deserialize;
use std::collections::BTreeMap;

/// The file as written. Unknown keys are errors, so that a misspelt key is never silently ignored.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MappingFile {
    pub(super) cases: CasesTable,
    pub(super) passes: Option<PassesTable>,
    #[serde(default)]
    pub(super) staffed_hours: StaffedHoursTable,
    #[serde(default)]
    pub(super) windows: WindowsTable,
    pub(super) period: Option<PeriodTable>,
    #[serde(default)]
    pub(super) limits: Limits,
    #[serde(default)]
    pub(super) signals: SignalsTable,
    #[serde(default)]
    pub(super) phase: Vec<PhaseTable>,
    /// By measure.
    #[serde(default)]
    pub(super) targets: BTreeMap<String, f64>,
}

/// Words of one column, by the site's word.
pub(super) type CodeTables = BTreeMap<String, BTreeMap<String, String>>;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CasesTable {
    pub(super) time_form: TimeFormWord,
    pub(super) time_zone: Option<String>,
    pub(super) time_format: Option<String>,
    pub(super) date_of: Option<String>,
    separator: Option<char>,
    quote: Option<char>,
    encoding: Option<String>,
    decimal: Option<char>,
    header_rows: Option<usize>,
    #[serde(default)]
    short_rows: ShortRowsWord,
    #[serde(default)]
    missing: Vec<String>,
    #[serde(default)]
    drop: Vec<String>,
    #[serde(default)]
    cleared: Vec<String>,
    pub(super) columns: BTreeMap<String, Headings>,
    #[serde(default)]
    pub(super) constants: BTreeMap<String, String>,
    #[serde(default)]
    pub(super) codes: CodeTables,
    #[serde(default)]
    pub(super) formats: BTreeMap<String, String>,
    #[serde(default)]
    pub(super) units: BTreeMap<String, String>,
    pub(super) devices: Option<DevicesTable>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PassesTable {
    separator: Option<char>,
    quote: Option<char>,
    encoding: Option<String>,
    decimal: Option<char>,
    header_rows: Option<usize>,
    #[serde(default)]
    short_rows: ShortRowsWord,
    #[serde(default)]
    missing: Vec<String>,
    #[serde(default)]
    drop: Vec<String>,
    #[serde(default)]
    cleared: Vec<String>,
    pub(super) columns: BTreeMap<String, Headings>,
    #[serde(default)]
    pub(super) codes: CodeTables,
}

/// The keys of either export that say how its files are written. serde cannot share keys between
/// tables that refuse unknown ones, so each table has them and gives them out here.
pub(super) struct FormKeys<'a> {
    pub(super) separator: Option<char>,
    pub(super) quote: Option<char>,
    pub(super) encoding: Option<&'a str>,
    pub(super) decimal: Option<char>,
    pub(super) header_rows: Option<usize>,
    pub(super) short_rows: ShortRowsWord,
    pub(super) missing: &'a [String],
    pub(super) drop: &'a [String],
    pub(super) cleared: &'a [String],
}

macro_rules! form_keys {
    ($table:ty) => {
        impl $table {
            pub(super) fn form(&self) -> FormKeys<'_> {
                FormKeys {
                    separator: self.separator,
                    quote: self.quote,
                    encoding: self.encoding.as_deref(),
                    decimal: self.decimal,
                    header_rows: self.header_rows,
                    short_rows: self.short_rows,
                    missing: &self.missing,
                    drop: &self.drop,
                    cleared: &self.cleared,
                }
            }
        }
    };
}
form_keys!(CasesTable);
form_keys!(PassesTable);

/// The heading of a column; of two for a time whose date stands in a column of its own.
#[derive(Clone, Deserialize)]
#[serde(
    untagged,
    expecting = "a heading, or a list of two headings: of the date and of the time of day"
)]
pub(super) enum Headings {
    One(String),
    Two([String; 2]),
}

/// What becomes of a row that ends before the last column.
#[derive(Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum ShortRowsWord {
    #[default]
    SetAside,
    Blank,
}

/// Devices that stand in the row of their case.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct DevicesTable {
    /// Headings, in the order of the passes.
    pub(super) columns: Vec<String>,
    /// Headings of the results, one for each device column, or none.
    #[serde(default)]
    pub(super) results: Vec<String>,
    #[serde(default)]
    pub(super) order: OrderWord,
    #[serde(default)]
    pub(super) result: ResultWord,
}

/// Whether the order in which devices are written is the order in which they went down.
#[derive(Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum OrderWord {
    #[default]
    Unknown,
    AsWritten,
}

/// Where the results of passes come from that stand in the row of their case.
#[derive(Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum ResultWord {
    /// From their own columns, or not at all.
    #[default]
    Recorded,
    /// The last pass did what the outcome says, those before it failed.
    FromOutcome,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum TimeFormWord {
    Clock,
    Elapsed,
}

/// Monday to Friday, 08:00 to 17:00, unless the mapping says otherwise: the hours that published
/// series call working hours.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct StaffedHoursTable {
    pub(super) days: Vec<String>,
    pub(super) from: Time,
    pub(super) to: Time,
    pub(super) holidays: Vec<Date>,
}

impl Default for StaffedHoursTable {
    fn default() -> StaffedHoursTable {
        StaffedHoursTable {
            days: ["mon", "tue", "wed", "thu", "fri"]
                .map(String::from)
                .to_vec(),
            from: Time::constant(8, 0, 0, 0),
            to: Time::constant(17, 0, 0, 0),
            holidays: Vec::new(),
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct WindowsTable {
    pub(super) start: String,
    /// Identifiers of built-in windows that are off and shall be on.
    pub(super) on: Vec<String>,
    /// Identifiers of built-in windows that shall be off.
    pub(super) off: Vec<String>,
    /// Windows of the site, tried before those of guidelines.
    pub(super) local: Vec<LocalWindowTable>,
}

impl Default for WindowsTable {
    fn default() -> WindowsTable {
        WindowsTable {
            start: CaseField::ArrivedAt.name().into(),
            on: Vec::new(),
            off: Vec::new(),
            local: Vec::new(),
        }
    }
}

/// A window of the site. Conditions have the names of the columns of `sql/urgency_windows.csv`.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LocalWindowTable {
    pub(super) id: String,
    pub(super) population: Option<String>,
    pub(super) presentation: Option<Words>,
    pub(super) object_type: Option<Words>,
    pub(super) object_location: Option<Words>,
    pub(super) obstruction: Option<Words>,
    pub(super) sharp: Option<Words>,
    pub(super) symptoms: Option<Words>,
    pub(super) variceal_suspected: Option<Words>,
    pub(super) age_from: Option<i64>,
    pub(super) age_under: Option<i64>,
    pub(super) length_mm_from: Option<i64>,
    pub(super) length_mm_under: Option<i64>,
    pub(super) width_mm_from: Option<i64>,
    pub(super) width_mm_under: Option<i64>,
    pub(super) urgency: String,
    pub(super) hours: Option<i64>,
    pub(super) minutes: Option<i64>,
    pub(super) inclusive: Option<bool>,
    pub(super) clock_start: Option<String>,
    /// Who says so, in the site's words.
    pub(super) source: String,
}

/// One word or several.
#[derive(Deserialize)]
#[serde(untagged, expecting = "one code, or a list of codes")]
pub(super) enum Words {
    One(String),
    Several(Vec<String>),
}

impl Words {
    pub(super) fn iter(&self) -> impl Iterator<Item = &str> {
        let words = match self {
            Words::One(word) => std::slice::from_ref(word),
            Words::Several(words) => words,
        };
        words.iter().map(String::as_str)
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PeriodTable {
    pub(super) from: String,
    pub(super) to: String,
}

/// How signals are looked for.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct SignalsTable {
    /// Months with a value that the lines of a chart come from.
    pub(super) baseline_months: usize,
}

impl Default for SignalsTable {
    fn default() -> SignalsTable {
        SignalsTable {
            baseline_months: 12,
        }
    }
}

/// A dated change.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PhaseTable {
    /// First month after it.
    pub(super) from: String,
    /// What changed, in the site's words.
    pub(super) note: String,
    /// Measures that it concerns; all without it.
    pub(super) measures: Option<Vec<String>>,
    /// Sites that it concerns; all without it.
    pub(super) sites: Option<Vec<String>>,
}

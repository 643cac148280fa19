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
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CasesTable {
    pub(super) time_form: TimeFormWord,
    pub(super) time_zone: Option<String>,
    pub(super) time_format: Option<String>,
    #[serde(default = "comma")]
    pub(super) separator: char,
    #[serde(default)]
    pub(super) missing: Vec<String>,
    pub(super) columns: BTreeMap<String, String>,
    #[serde(default)]
    pub(super) constants: BTreeMap<String, String>,
    #[serde(default)]
    pub(super) codes: BTreeMap<String, BTreeMap<String, String>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PassesTable {
    #[serde(default = "comma")]
    pub(super) separator: char,
    #[serde(default)]
    pub(super) missing: Vec<String>,
    pub(super) columns: BTreeMap<String, String>,
    #[serde(default)]
    pub(super) codes: BTreeMap<String, BTreeMap<String, String>>,
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
}

impl Default for WindowsTable {
    fn default() -> WindowsTable {
        WindowsTable {
            start: CaseField::ArrivedAt.name().into(),
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PeriodTable {
    pub(super) from: String,
    pub(super) to: String,
}

fn comma() -> char {
    ','
}

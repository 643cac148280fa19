//! The mapping: what the columns and words of one site's export mean, read from `mapping.toml` and
//! checked against the list of fields before any row is read.

use super::cell::Words;
use super::error::{IngestError, MappingFault};
use crate::domain::codes::Weekday;
use crate::domain::fields::{CaseField, Field, Kind, Origin, PassField};
use crate::domain::month::Month;
use jiff::civil::{Date, Time};
use jiff::tz::TimeZone;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::Path;

/// The file as written. Unknown keys are errors, so that a misspelt key is never silently ignored.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MappingFile {
    cases: CasesTable,
    passes: Option<PassesTable>,
    #[serde(default)]
    staffed_hours: StaffedHoursTable,
    #[serde(default)]
    windows: WindowsTable,
    period: Option<PeriodTable>,
    #[serde(default)]
    limits: Limits,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CasesTable {
    time_form: TimeFormWord,
    time_zone: Option<String>,
    time_format: Option<String>,
    #[serde(default = "comma")]
    separator: char,
    #[serde(default)]
    missing: Vec<String>,
    columns: BTreeMap<String, String>,
    #[serde(default)]
    constants: BTreeMap<String, String>,
    #[serde(default)]
    codes: BTreeMap<String, BTreeMap<String, String>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PassesTable {
    #[serde(default = "comma")]
    separator: char,
    #[serde(default)]
    missing: Vec<String>,
    columns: BTreeMap<String, String>,
    #[serde(default)]
    codes: BTreeMap<String, BTreeMap<String, String>>,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
enum TimeFormWord {
    Clock,
    Elapsed,
}

/// Monday to Friday, 08:00 to 17:00, unless the mapping says otherwise: the hours that published
/// series call working hours.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
struct StaffedHoursTable {
    days: Vec<String>,
    from: Time,
    to: Time,
    holidays: Vec<Date>,
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
struct WindowsTable {
    start: String,
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
struct PeriodTable {
    from: String,
    to: String,
}

/// Shares above which a run still writes its outputs but ends with exit code 1.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Limits {
    /// Rows set aside, as a share of rows read.
    pub rows_set_aside: f64,
    /// Values of one field that were filled in but could not be used, as a share of accepted rows.
    pub values_unusable: f64,
}

impl Default for Limits {
    fn default() -> Limits {
        Limits {
            rows_set_aside: 0.05,
            values_unusable: 0.05,
        }
    }
}

fn comma() -> char {
    ','
}

/// How times stand in the export.
#[derive(Clone, Debug)]
pub(super) enum TimeForm {
    /// Local wall-clock times.
    Clock {
        /// Zone of the clocks.
        zone: TimeZone,
        /// `strptime` form of a date and time.
        format: String,
    },
    /// Minutes since the call; month, weekday and hour are columns.
    Elapsed,
}

/// Hours in which the unit is staffed.
#[derive(Clone, Debug)]
pub(super) struct StaffedHours {
    pub(super) days: Vec<Weekday>,
    pub(super) from: Time,
    pub(super) to: Time,
    pub(super) holidays: Vec<Date>,
}

/// Where a field's cells come from, and the words they use.
#[derive(Clone, Debug)]
pub(super) struct Column<F> {
    pub(super) field: F,
    pub(super) heading: String,
    pub(super) words: Words,
}

/// A mapping that has been checked.
#[derive(Clone, Debug)]
pub struct Mapping {
    pub(super) time_form: TimeForm,
    pub(super) cases_separator: u8,
    pub(super) case_columns: Vec<Column<CaseField>>,
    /// Fields that have one value for the whole export.
    pub(super) constants: Vec<(CaseField, String, Words)>,
    pub(super) passes: Option<PassesMapping>,
    pub(super) staffed_hours: StaffedHours,
    pub(super) window_start: CaseField,
    pub(super) period: Option<(Month, Month)>,
    limits: Limits,
    bytes: Vec<u8>,
}

/// The part of a mapping that concerns passes.
#[derive(Clone, Debug)]
pub(super) struct PassesMapping {
    pub(super) separator: u8,
    pub(super) columns: Vec<Column<PassField>>,
}

impl Mapping {
    /// Reads and checks a mapping file.
    ///
    /// # Errors
    /// When it cannot be read, is not TOML, has an unknown key, or contradicts the list of fields.
    pub fn read(path: &Path) -> Result<Mapping, IngestError> {
        let text = std::fs::read_to_string(path)
            .map_err(|source| IngestError::unreadable(path, source))?;
        let file: MappingFile =
            toml::from_str(&text).map_err(|error| IngestError::MappingSyntax {
                path: path.to_path_buf(),
                message: place(&text, &error),
            })?;
        check(file, text.into_bytes()).map_err(|fault| IngestError::MappingFault {
            path: path.to_path_buf(),
            fault,
        })
    }

    /// Shares above which a run ends with exit code 1.
    pub fn limits(&self) -> Limits {
        self.limits
    }

    /// From when urgency windows are counted, in words.
    pub fn window_start(&self) -> &'static str {
        self.window_start.label()
    }

    /// The bytes of the file, for its hash.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// The fields of a case that the export gives, in column order.
    pub(super) fn mapped_case_fields(&self) -> impl Iterator<Item = CaseField> {
        CaseField::ALL.iter().copied().filter(|field| {
            self.case_columns
                .iter()
                .any(|column| column.field == *field)
                || self
                    .constants
                    .iter()
                    .any(|(constant, ..)| constant == field)
        })
    }
}

/// Line and column of a TOML error, and its reason, on one line.
fn place(text: &str, error: &toml::de::Error) -> String {
    let reason = error.message().lines().collect::<Vec<_>>().join("; ");
    match error.span() {
        Some(span) => {
            let before = text.get(..span.start).unwrap_or(text);
            let line = before.matches('\n').count() + 1;
            let column = before.len() - before.rfind('\n').map_or(0, |at| at + 1) + 1;
            format!("line {line}, column {column}: {reason}")
        }
        None => reason,
    }
}

fn check(file: MappingFile, bytes: Vec<u8>) -> Result<Mapping, MappingFault> {
    let time_form = time_form(&file.cases)?;
    let is_elapsed = matches!(time_form, TimeForm::Elapsed);
    let cases = &file.cases;
    let case_columns = columns(
        "cases",
        &cases.columns,
        &cases.codes,
        &cases.missing,
        |field: CaseField| match field.origin() {
            Origin::Export => true,
            Origin::CallTime => is_elapsed,
            Origin::Derived => false,
        },
    )?;
    check_codes_have_columns("cases", &cases.codes, |name| {
        cases.columns.contains_key(name) || cases.constants.contains_key(name)
    })?;
    let constants = constants(cases, &case_columns)?;
    let has = |field: CaseField| {
        case_columns.iter().any(|column| column.field == field)
            || constants.iter().any(|(constant, ..)| *constant == field)
    };
    let call = match time_form {
        TimeForm::Clock { .. } => CaseField::CalledAt,
        TimeForm::Elapsed => CaseField::Month,
    };
    for required in [
        CaseField::CaseId,
        CaseField::Site,
        CaseField::Presentation,
        call,
    ] {
        if !has(required) {
            let name = required.name();
            return Err(MappingFault::new(
                format!("`cases.columns` gives no column for `{name}`, which every case needs"),
                format!(
                    "add `{name} = \"the heading in the export\"` below `[cases.columns]`, or one value for all rows below `[cases.constants]`"
                ),
            ));
        }
    }
    Ok(Mapping {
        cases_separator: separator(file.cases.separator, "cases")?,
        passes: file.passes.as_ref().map(passes_mapping).transpose()?,
        staffed_hours: staffed_hours(file.staffed_hours)?,
        window_start: window_start(&file.windows.start)?,
        period: file.period.as_ref().map(period).transpose()?,
        limits: limits(file.limits)?,
        bytes,
        time_form,
        case_columns,
        constants,
    })
}

fn time_form(cases: &CasesTable) -> Result<TimeForm, MappingFault> {
    match cases.time_form {
        TimeFormWord::Elapsed => Ok(TimeForm::Elapsed),
        TimeFormWord::Clock => {
            let zone_name = cases.time_zone.as_deref().ok_or_else(|| {
                MappingFault::new(
                    "`cases.time_zone` is missing; local times mean nothing without it",
                    "give the IANA name of the zone, for example `time_zone = \"America/Chicago\"`",
                )
            })?;
            let zone = TimeZone::get(zone_name).map_err(|_| {
                MappingFault::new(
                    "`cases.time_zone` is no IANA time zone",
                    "IANA names look like `America/Chicago` or `Europe/Vienna`",
                )
            })?;
            let format = cases.time_format.clone().ok_or_else(|| {
                MappingFault::new(
                    "`cases.time_format` is missing; day and month are never guessed",
                    "for 2026-09-30 23:50 write `time_format = \"%Y-%m-%d %H:%M\"`",
                )
            })?;
            Ok(TimeForm::Clock { zone, format })
        }
    }
}

/// The mapped columns of one table of the mapping, in column order.
fn columns<F: Field>(
    table: &str,
    headings: &BTreeMap<String, String>,
    codes: &BTreeMap<String, BTreeMap<String, String>>,
    missing: &[String],
    may_be_mapped: impl Fn(F) -> bool,
) -> Result<Vec<Column<F>>, MappingFault> {
    let mut columns = Vec::new();
    for (name, heading) in headings {
        let field = F::named(name)
            .filter(|field| may_be_mapped(*field))
            .ok_or_else(|| {
                let known = F::ALL.iter().filter(|field| may_be_mapped(**field));
                let known: Vec<_> = known.map(|field| field.name()).collect();
                MappingFault::new(
                    format!("`{table}.columns.{name}` is no field that an export can give"),
                    format!("the fields are: {}", known.join(", ")),
                )
            })?;
        let words = Words::new(name, field.kind(), codes.get(name), missing)?;
        columns.push(Column {
            field,
            heading: heading.trim().to_string(),
            words,
        });
    }
    columns.sort_by_key(|column| column.field);
    Ok(columns)
}

/// A table of words for a field that has no column would be silently ignored.
fn check_codes_have_columns(
    table: &str,
    codes: &BTreeMap<String, BTreeMap<String, String>>,
    is_mapped: impl Fn(&str) -> bool,
) -> Result<(), MappingFault> {
    match codes.keys().find(|name| !is_mapped(name)) {
        None => Ok(()),
        Some(name) => Err(MappingFault::new(
            format!("`{table}.codes.{name}` gives words for a field that has no column"),
            format!("add `{name}` below `[{table}.columns]`, or take its words out"),
        )),
    }
}

fn constants(
    cases: &CasesTable,
    columns: &[Column<CaseField>],
) -> Result<Vec<(CaseField, String, Words)>, MappingFault> {
    cases
        .constants
        .iter()
        .map(|(name, value)| {
            let field = CaseField::named(name)
                .filter(|field| {
                    field.origin() == Origin::Export
                        && matches!(field.kind(), Kind::Text | Kind::Code(_))
                        && *field != CaseField::CaseId
                })
                .ok_or_else(|| {
                    MappingFault::new(
                        format!("`cases.constants.{name}` cannot be one value for all rows"),
                        "constants are for text and coded fields, such as `site` or `presentation`",
                    )
                })?;
            if columns.iter().any(|column| column.field == field) {
                return Err(MappingFault::new(
                    format!("`{name}` stands both in `cases.columns` and in `cases.constants`"),
                    "keep one of the two",
                ));
            }
            let words = Words::new(name, field.kind(), cases.codes.get(name), &cases.missing)?;
            Ok((field, value.clone(), words))
        })
        .collect()
}

fn passes_mapping(passes: &PassesTable) -> Result<PassesMapping, MappingFault> {
    let columns: Vec<Column<PassField>> = columns(
        "passes",
        &passes.columns,
        &passes.codes,
        &passes.missing,
        |_| true,
    )?;
    check_codes_have_columns("passes", &passes.codes, |name| {
        passes.columns.contains_key(name)
    })?;
    for required in [PassField::CaseId, PassField::PassNumber, PassField::Device] {
        if !columns.iter().any(|column| column.field == required) {
            let name = required.name();
            return Err(MappingFault::new(
                format!("`passes.columns` gives no column for `{name}`, which every pass needs"),
                format!("add `{name} = \"the heading in the export\"` below `[passes.columns]`"),
            ));
        }
    }
    Ok(PassesMapping {
        separator: separator(passes.separator, "passes")?,
        columns,
    })
}

fn separator(separator: char, table: &str) -> Result<u8, MappingFault> {
    match separator {
        ',' | ';' | '\t' | '|' => Ok(u8::try_from(separator).expect("four ASCII characters")),
        _ => Err(MappingFault::new(
            format!("`{table}.separator` is not one of `,` `;` `\\t` `|`"),
            "look at the first line of the export: which of the four stands between the headings?",
        )),
    }
}

fn staffed_hours(table: StaffedHoursTable) -> Result<StaffedHours, MappingFault> {
    let days = table
        .days
        .iter()
        .map(|day| {
            Weekday::ALL
                .iter()
                .copied()
                .find(|weekday| weekday.code() == day)
                .ok_or_else(|| {
                    MappingFault::new(
                        "`staffed_hours.days` holds a word that is no weekday",
                        "the weekdays are: mon, tue, wed, thu, fri, sat, sun",
                    )
                })
        })
        .collect::<Result<_, _>>()?;
    if table.from >= table.to {
        return Err(MappingFault::new(
            "`staffed_hours.from` is not before `staffed_hours.to`",
            "both times lie on the same day, for example from = \"08:00\" and to = \"17:00\"",
        ));
    }
    Ok(StaffedHours {
        days,
        from: table.from,
        to: table.to,
        holidays: table.holidays,
    })
}

fn window_start(name: &str) -> Result<CaseField, MappingFault> {
    [CaseField::ArrivedAt, CaseField::CalledAt]
        .into_iter()
        .find(|field| field.name() == name)
        .ok_or_else(|| {
            MappingFault::new(
                "`windows.start` is neither `arrived_at` nor `called_at`",
                "guidelines mostly count from arrival; choose one, it is printed with every result",
            )
        })
}

fn period(table: &PeriodTable) -> Result<(Month, Month), MappingFault> {
    let fault = || {
        MappingFault::new(
            "`period.from` and `period.to` are not two months in order",
            "write months as 2026-09; both are part of the period",
        )
    };
    let from: Month = table.from.parse().map_err(|_| fault())?;
    let to: Month = table.to.parse().map_err(|_| fault())?;
    if from <= to {
        Ok((from, to))
    } else {
        Err(fault())
    }
}

fn limits(limits: Limits) -> Result<Limits, MappingFault> {
    let is_share = |value: f64| (0.0..=1.0).contains(&value);
    if is_share(limits.rows_set_aside) && is_share(limits.values_unusable) {
        Ok(limits)
    } else {
        Err(MappingFault::new(
            "a value below `[limits]` is not a share between 0 and 1",
            "for 2 percent write 0.02",
        ))
    }
}

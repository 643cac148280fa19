//! A mapping as written → a mapping that fits the fields, or the first fault with its remedy.

use super::super::cell::{RawCell, Value, Words};
use super::super::error::MappingFault;
use super::file::{
    CasesTable, MappingFile, PassesTable, PeriodTable, StaffedHoursTable, TimeFormWord,
};
use super::{Column, Limits, Mapping, PassesMapping, StaffedHours, TimeForm};
use crate::domain::codes::Weekday;
use crate::domain::fields::{CaseField, Field, Kind, Origin, PassField};
use crate::domain::month::Month;
use jiff::civil::{DateTime, Time};
use jiff::fmt::strtime;
use jiff::tz::TimeZone;
use std::collections::BTreeMap;

/// Checks a file; `bytes` is its content.
pub(super) fn check(file: MappingFile, bytes: Vec<u8>) -> Result<Mapping, MappingFault> {
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
    check_times_have_own_columns(&case_columns)?;
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
    let staffed_hours = staffed_hours(file.staffed_hours)?;
    if is_elapsed {
        check_staffed_hours_of_elapsed(&staffed_hours)?;
    }
    Ok(Mapping {
        cases_separator: separator(file.cases.separator, "cases")?,
        passes: file.passes.as_ref().map(passes_mapping).transpose()?,
        staffed_hours,
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
            check_time_format(&format)?;
            Ok(TimeForm::Clock { zone, format })
        }
    }
}

/// A form that loses part of a date or time, such as twelve hours without am and pm, would read
/// every row wrongly; so a moment is written in it and read back.
fn check_time_format(format: &str) -> Result<(), MappingFault> {
    let moment = DateTime::constant(2024, 2, 29, 23, 47, 0, 0);
    let written = strtime::format(format, moment).ok();
    let read = written.and_then(|text| DateTime::strptime(format, &text).ok());
    if read == Some(moment) {
        Ok(())
    } else {
        Err(MappingFault::new(
            "`cases.time_format` does not hold a whole date and time of day",
            "for 2026-09-30 23:50 write `%Y-%m-%d %H:%M`, for 9/30/2026 11:50 pm write `%m/%d/%Y %I:%M %p`",
        ))
    }
}

/// Two moments of a case that read the same column are a slip: every interval would be 0.
fn check_times_have_own_columns(columns: &[Column<CaseField>]) -> Result<(), MappingFault> {
    let times = || {
        columns
            .iter()
            .filter(|column| column.field.kind() == Kind::Minute)
    };
    for column in times() {
        let twin = times().find(|twin| twin.field > column.field && twin.heading == column.heading);
        if let Some(twin) = twin {
            return Err(MappingFault::new(
                format!(
                    "`{}` and `{}` read the same column",
                    column.field.name(),
                    twin.field.name()
                ),
                "give each moment its own column, or take one of the two out of the mapping",
            ));
        }
    }
    Ok(())
}

/// Without dates no call can be told to be on a holiday, and hours are whole.
fn check_staffed_hours_of_elapsed(staffed: &StaffedHours) -> Result<(), MappingFault> {
    let is_whole = |time: Time| time.minute() == 0 && time.second() == 0;
    if staffed.holidays.is_empty() && is_whole(staffed.from) && is_whole(staffed.to) {
        Ok(())
    } else {
        Err(MappingFault::new(
            "`staffed_hours` has holidays or part hours, which `time_form = \"elapsed\"` cannot tell",
            "take the holidays out, and let the staffed hours begin and end on the hour",
        ))
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
) -> Result<Vec<(CaseField, Value)>, MappingFault> {
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
            match words.read(RawCell::new(value.as_bytes())) {
                Ok(value) if value != Value::Missing => Ok((field, value)),
                _ => Err(MappingFault::new(
                    format!("`cases.constants.{name}` is no value of this field"),
                    "a coded field takes one of its codes, or a word of its own table below `[cases.codes]`",
                )),
            }
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

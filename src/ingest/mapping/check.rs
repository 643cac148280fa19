//! A mapping as written → a mapping that fits the fields, or the first fault with its remedy.

mod calendar;
mod changes;
mod columns;
mod form;
mod windows;

use super::file::{CasesTable, DevicesTable, MappingFile, OrderWord, PassesTable, ResultWord};
use super::{Column, Constant, DevicesMapping, ExportMapping, Mapping, TimeForm};
use crate::domain::fields::{CaseField, Field, Kind, Origin, PassField};
use crate::ingest::cell::{Cells, ColumnWords, RawCell, Value};
use crate::ingest::error::MappingFault;
use columns::{
    ColumnTables, check_codes_have_columns, check_nothing_read_is_dropped,
    check_onset_has_own_date, check_times_have_own_columns, columns, headings_read,
};
use form::{export_form, time_form};
use std::collections::BTreeMap;

/// Words below `codes` that belong to `[cases.devices]` and not to a column of its own.
const DEVICE_TABLES: [PassField; 2] = [PassField::Device, PassField::Result];

/// Checks a file; `bytes` is its content.
pub(super) fn check(file: MappingFile, bytes: Vec<u8>) -> Result<Mapping, MappingFault> {
    let time_form = time_form(&file.cases)?;
    let is_elapsed = matches!(time_form, TimeForm::Elapsed);
    let cases = cases(&file.cases, is_elapsed)?;
    let constants = constants(&file.cases, &cases.columns)?;
    let has = |field: CaseField| {
        cases.columns.iter().any(|column| column.field == field)
            || constants.iter().any(|(constant, ..)| *constant == field)
    };
    let call = if is_elapsed {
        CaseField::Month
    } else {
        CaseField::CalledAt
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
    if is_elapsed && has(CaseField::CalledAt) {
        return Err(MappingFault::new(
            "`cases.columns.called_at` has no place in `time_form = \"elapsed\"`, where the call is minute 0",
            "take `called_at` out, or choose `time_form = \"clock\"`",
        ));
    }
    // Who came back would be known, and who did not would be unknown: every share would be 100 %.
    for days in [CaseField::RebleedDays, CaseField::DeathDays] {
        if has(days) && !has(CaseField::FollowedDays) {
            let name = days.name();
            return Err(MappingFault::new(
                format!(
                    "`cases.columns.{name}` needs `followed_days`: a blank in it may be a patient to whom nothing happened, or one whom nobody followed"
                ),
                "add `followed_days = \"the heading in the export\"` below `[cases.columns]`; or, where every patient was followed, `followed_days = \"30\"` with your number of days below `[cases.constants]`",
            ));
        }
    }
    let staffed_hours = calendar::staffed_hours(file.staffed_hours)?;
    if is_elapsed {
        calendar::check_staffed_hours_of_elapsed(&staffed_hours)?;
    }
    let devices = file.cases.devices.as_ref();
    let devices = devices
        .map(|devices| devices_mapping(devices, &file.cases, &cases))
        .transpose()?;
    let of_devices = devices.iter().flat_map(|devices| {
        let results = devices.results.iter();
        let results = results.map(|heading| (PassField::Result.name(), heading));
        let devices = devices.columns.iter();
        let devices = devices.map(|heading| (PassField::Device.name(), heading));
        devices.chain(results)
    });
    let read = headings_read(&cases.columns).chain(of_devices);
    check_nothing_read_is_dropped("cases", &cases.form.drop, read)?;
    Ok(Mapping {
        devices,
        passes: file.passes.as_ref().map(passes).transpose()?,
        staffed_hours,
        window_start: windows::window_start(&file.windows.start, has)?,
        windows: windows::windows(&file.windows, has)?,
        date_of: calendar::date_of(file.cases.date_of.as_deref())?,
        period: file.period.as_ref().map(calendar::period).transpose()?,
        limits: calendar::limits(file.limits)?,
        baseline_months: changes::baseline_months(&file.signals)?,
        phases: changes::phases(&file.phase)?,
        targets: changes::targets(&file.targets)?,
        bytes,
        time_form,
        cases,
        constants,
    })
}

fn cases(table: &CasesTable, is_elapsed: bool) -> Result<ExportMapping<CaseField>, MappingFault> {
    let form = export_form(&table.form(), "cases")?;
    let tables = ColumnTables {
        name: "cases",
        headings: &table.columns,
        codes: &table.codes,
        formats: Some(&table.formats),
        units: Some(&table.units),
        missing: table.form().missing,
        decimal: form.decimal,
        has_clock_times: !is_elapsed,
        time_format: table.time_format.as_deref(),
    };
    let columns = columns(&tables, |field: CaseField| match field.origin() {
        Origin::Export => true,
        Origin::CallTime => is_elapsed,
        Origin::Derived => false,
    })?;
    check_times_have_own_columns(&columns)?;
    check_onset_has_own_date(&columns)?;
    check_codes_have_columns("cases", &table.codes, |name| {
        let is_of_devices = DEVICE_TABLES.iter().any(|field| field.name() == name);
        table.columns.contains_key(name)
            || table.constants.contains_key(name)
            || (table.devices.is_some() && is_of_devices)
    })?;
    Ok(ExportMapping { form, columns })
}

fn constants(
    cases: &CasesTable,
    columns: &[Column<CaseField>],
) -> Result<Vec<(CaseField, Constant)>, MappingFault> {
    cases
        .constants
        .iter()
        .map(|(name, value)| {
            let field = CaseField::named(name)
                .filter(|field| {
                    field.origin() == Origin::Export
                        && matches!(field.kind(), Kind::Text | Kind::Code(_) | Kind::Whole { .. })
                        && *field != CaseField::CaseId
                })
                .ok_or_else(|| {
                    MappingFault::new(
                        format!("`cases.constants.{name}` cannot be one value for all rows"),
                        "constants are for text, codes and whole numbers, such as `site` or `presentation`",
                    )
                })?;
            if columns.iter().any(|column| column.field == field) {
                return Err(MappingFault::new(
                    format!("`{name}` stands both in `cases.columns` and in `cases.constants`"),
                    "keep one of the two",
                ));
            }
            let cells = Cells::new(
                field.kind(),
                &ColumnWords {
                    name,
                    codes: cases.codes.get(name),
                    unit: None,
                    missing: cases.form().missing,
                    decimal: b'.',
                },
            )?;
            match cells.read(RawCell::new(value.as_bytes())) {
                Ok(Value::Text(text)) => Ok((field, Constant::Text(text.to_string()))),
                Ok(Value::Code(code)) => Ok((field, Constant::Code(code))),
                Ok(Value::Whole(number)) => Ok((field, Constant::Whole(number))),
                _ => Err(MappingFault::new(
                    format!("`cases.constants.{name}` is no value of this field"),
                    "a coded field takes one of its codes, or a word of its own table below `[cases.codes]`; a number lies within the range of its field",
                )),
            }
        })
        .collect()
}

fn passes(table: &PassesTable) -> Result<ExportMapping<PassField>, MappingFault> {
    let form = export_form(&table.form(), "passes")?;
    let tables = ColumnTables {
        name: "passes",
        headings: &table.columns,
        codes: &table.codes,
        formats: None,
        units: None,
        missing: table.form().missing,
        decimal: form.decimal,
        has_clock_times: false,
        time_format: None,
    };
    let columns: Vec<Column<PassField>> = columns(&tables, |_| true)?;
    check_codes_have_columns("passes", &table.codes, |name| {
        table.columns.contains_key(name)
    })?;
    check_nothing_read_is_dropped("passes", &form.drop, headings_read(&columns))?;
    for required in [PassField::CaseId, PassField::PassNumber, PassField::Device] {
        if !columns.iter().any(|column| column.field == required) {
            let name = required.name();
            return Err(MappingFault::new(
                format!("`passes.columns` gives no column for `{name}`, which every pass needs"),
                format!("add `{name} = \"the heading in the export\"` below `[passes.columns]`"),
            ));
        }
    }
    Ok(ExportMapping { form, columns })
}

fn devices_mapping(
    table: &DevicesTable,
    cases: &CasesTable,
    mapping: &ExportMapping<CaseField>,
) -> Result<DevicesMapping, MappingFault> {
    let has_results = !table.results.is_empty();
    if table.columns.is_empty() || (has_results && table.results.len() != table.columns.len()) {
        return Err(MappingFault::new(
            "`cases.devices.results` has not as many headings as `cases.devices.columns`",
            "give one result column for each device column, in the same order, or none; and at least one device column",
        ));
    }
    if has_results && table.result == ResultWord::FromOutcome {
        return Err(MappingFault::new(
            "`cases.devices` takes results both from columns and from the outcome",
            "keep `results`, or `result = \"from_outcome\"`",
        ));
    }
    let outcome_is_read = mapping
        .columns
        .iter()
        .any(|column| column.field == CaseField::Outcome);
    if table.result == ResultWord::FromOutcome
        && (table.order == OrderWord::Unknown || !outcome_is_read)
    {
        return Err(MappingFault::new(
            "`cases.devices.result = \"from_outcome\"` needs a column for `outcome` and `order = \"as_written\"`",
            "only where the order is known is the last device known, and with it what the outcome says of it",
        ));
    }
    let cells = |field: PassField| {
        Cells::new(
            field.kind(),
            &ColumnWords {
                name: field.name(),
                codes: cases.codes.get(field.name()),
                unit: None,
                missing: cases.form().missing,
                decimal: b'.',
            },
        )
    };
    let trimmed = |headings: &[String]| -> Vec<String> {
        headings
            .iter()
            .map(|heading| heading.trim().to_string())
            .collect()
    };
    Ok(DevicesMapping {
        columns: trimmed(&table.columns),
        results: trimmed(&table.results),
        device_cells: cells(PassField::Device)?,
        result_cells: cells(PassField::Result)?,
        is_ordered: table.order == OrderWord::AsWritten,
        is_result_from_outcome: table.result == ResultWord::FromOutcome,
    })
}

/// Tables of a mapping by the name of the field.
type ByField = BTreeMap<String, String>;

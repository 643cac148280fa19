//! The words of every coded column, in the text of the mapping.

use super::{Draft, Findings};
use crate::domain::codes::{Device, PassResult};
use crate::domain::fields::{Field, Kind, PassField};
use crate::ingest::propose::columns::Columns;
use crate::ingest::propose::devices::DeviceColumns;
use crate::ingest::propose::meaning::Meanings;
use crate::ingest::propose::sample::SampledExport;
use crate::ingest::propose::words::{CodedColumn, ColumnCodes};

/// `[cases.codes.…]`.
pub(super) fn write_cases(
    draft: &mut Draft,
    findings: &Findings<'_>,
    missing: &[String],
    meanings: &mut Meanings,
) {
    write(
        draft,
        "cases",
        findings.cases,
        findings.case_columns,
        missing,
        meanings,
    );
    if let Some(devices) = findings.devices {
        write_devices(draft, findings.cases, devices, missing, meanings);
    }
}

/// `[passes.codes.…]`.
pub(super) fn write_passes(
    draft: &mut Draft,
    export: &SampledExport,
    columns: &Columns<PassField>,
    missing: &[String],
    meanings: &mut Meanings,
) {
    write(draft, "passes", export, columns, missing, meanings);
}

fn write<F: Field>(
    draft: &mut Draft,
    table: &str,
    export: &SampledExport,
    columns: &Columns<F>,
    missing: &[String],
    meanings: &mut Meanings,
) {
    for found in &columns.found {
        let Kind::Code(list) = found.field.kind() else {
            continue;
        };
        let name = found.field.name();
        let column = &export.columns[found.column];
        let coded = CodedColumn::of(name, list, &column.words, &column.cells);
        add(draft, table, name, &coded.codes(meanings, missing));
    }
}

fn write_devices(
    draft: &mut Draft,
    export: &SampledExport,
    devices: &DeviceColumns,
    missing: &[String],
    meanings: &mut Meanings,
) {
    let sum = |columns: &[usize], count: fn(&crate::ingest::propose::cells::CellsSeen) -> u64| {
        let cells = columns.iter().map(|column| &export.columns[*column].cells);
        cells.map(count).sum::<u64>()
    };
    let Some(first) = devices.devices.first() else {
        return;
    };
    let coded = CodedColumn {
        name: PassField::Device.name(),
        list: Device::LIST,
        heading: &export.columns[*first].words,
        texts: devices.device_words(export, meanings),
        not_kept: sum(&devices.devices, |cells| cells.not_kept),
        blank: 0,
        filled: sum(&devices.devices, |cells| cells.filled),
    };
    add(draft, "cases", coded.name, &coded.codes(meanings, missing));
    let Some(first) = devices.results.first() else {
        return;
    };
    let results = devices.results.iter();
    let texts = results.flat_map(|column| export.columns[*column].cells.all_texts());
    let coded = CodedColumn {
        name: PassField::Result.name(),
        list: PassResult::LIST,
        heading: &export.columns[*first].words,
        texts: texts.collect(),
        not_kept: sum(&devices.results, |cells| cells.not_kept),
        blank: 0,
        filled: sum(&devices.results, |cells| cells.filled),
    };
    add(draft, "cases", coded.name, &coded.codes(meanings, missing));
}

fn add(draft: &mut Draft, table: &str, name: &'static str, codes: &ColumnCodes) {
    if codes.lines.is_empty() {
        return;
    }
    draft.looks += codes.doubtful;
    if codes.open.1 > 0 {
        draft.open_words.push((name, codes.open.0, codes.open.1));
    }
    if codes.is_ticked_only {
        draft.ticked_only.push(name);
    }
    draft.table(&format!("{table}.codes.{name}"), &codes.lines);
}

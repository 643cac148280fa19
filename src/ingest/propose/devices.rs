//! Devices that stand in the row of their case: in numbered columns (`Device 1`, `Device 2`), or
//! several in one cell (`snare x2, net then basket`).

use super::fit::{CellsSay, Judge, MOST_WORDS};
use super::meaning::Meanings;
use super::sample::{SampledColumn, SampledExport};
use crate::domain::codes::{CodeList, Device};
use crate::domain::fields::{Field, PassField};
use crate::ingest::device_list::mentions;
use crate::ingest::synonyms::Sureness;
use std::collections::BTreeMap;

/// Columns of devices in an export of cases.
pub(super) struct DeviceColumns {
    /// Indexes of the columns, in the order of the passes.
    pub(super) devices: Vec<usize>,
    /// Indexes of the columns of their results, one for each device, or none.
    pub(super) results: Vec<usize>,
    /// Whether the columns are numbered.
    pub(super) is_numbered: bool,
    /// Cells that name more than one device.
    pub(super) lists: u64,
}

impl DeviceColumns {
    /// Every column that is taken.
    pub(super) fn columns(&self) -> Vec<usize> {
        self.devices.iter().chain(&self.results).copied().collect()
    }

    /// The words of the devices with their cells.
    pub(super) fn device_words<'a>(
        &self,
        export: &'a SampledExport,
        meanings: &mut Meanings,
    ) -> Vec<(&'a str, u64)> {
        let texts = self
            .devices
            .iter()
            .flat_map(|column| export.columns[*column].cells.texts());
        texts
            .flat_map(|(text, cells)| {
                let mut words = words_in(meanings, Device::LIST, text);
                // A word that one cell repeats stands in one cell.
                words.sort_unstable();
                words.dedup();
                words.into_iter().map(move |word| (word, cells))
            })
            .collect()
    }
}

/// The words that a cell of devices holds. What the table knows as one word is one, and so is a text
/// that holds one known word beside others, but for lists and numbers of times.
pub(super) fn words_in<'a>(meanings: &mut Meanings, list: CodeList, text: &'a str) -> Vec<&'a str> {
    let known = meanings.field(PassField::Device.name(), list);
    let is_known = |word: &str| {
        let is_list = word.contains(|sign: char| sign.is_ascii_digit() || ",;>\n".contains(sign))
            || word
                .split_whitespace()
                .any(|part| part.eq_ignore_ascii_case("then"));
        let is_near = || {
            let suggestion = known.suggest(word);
            suggestion.is_some_and(|suggestion| suggestion.sureness != Sureness::Spelling)
        };
        known.know(word) || (!is_list && is_near())
    };
    mentions(text, is_known)
        .map(|mention| mention.word)
        .collect()
}

/// The columns of devices, if the export has any.
pub(super) fn device_columns(
    export: &SampledExport,
    judge: &mut Judge<'_>,
) -> Option<DeviceColumns> {
    let mut devices: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    let mut results: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    let mut single: Vec<(i64, usize)> = Vec::new();
    for (index, column) in export.columns.iter().enumerate() {
        let (number, words) = match column.words.numbered() {
            Some((number, words)) => (Some(number), words),
            None => (None, super::headings::HeadingWords::of(&column.heading)),
        };
        let points = |field: PassField| {
            words
                .fit(judge.export, field.name(), false)
                .map_or(0, |fit| fit.points)
        };
        let (of_device, of_result) = (points(PassField::Device), points(PassField::Result));
        if of_device.max(of_result) == 0 || is_barred(column) {
            continue;
        }
        let is_result = of_result >= of_device;
        if !is_result && !says_device(judge, column) {
            continue;
        }
        match number {
            Some(number) if is_result => results.entry(number).or_default().push(index),
            Some(number) => devices.entry(number).or_default().push(index),
            None if !is_result && column.cells.telling() > 0 => single.push((of_device, index)),
            None => {}
        }
    }
    let is_one_each = devices.values().all(|columns| columns.len() == 1);
    if !devices.is_empty() && is_one_each {
        let has_results =
            devices.keys().eq(results.keys()) && results.values().all(|columns| columns.len() == 1);
        return Some(of_columns(
            export,
            judge,
            devices.into_values().flatten().collect(),
            if has_results {
                results.into_values().flatten().collect()
            } else {
                Vec::new()
            },
            true,
        ));
    }
    single.sort_by_key(|(points, index)| (-points, *index));
    match single.as_slice() {
        [] => None,
        [(most, _), (next, _), ..] if most == next => None,
        [(_, index), ..] => Some(of_columns(export, judge, vec![*index], Vec::new(), false)),
    }
}

fn of_columns(
    export: &SampledExport,
    judge: &mut Judge<'_>,
    devices: Vec<usize>,
    results: Vec<usize>,
    is_numbered: bool,
) -> DeviceColumns {
    let mut lists = 0;
    for column in &devices {
        for (text, cells) in export.columns[*column].cells.texts() {
            if words_in(judge.meanings, Device::LIST, text).len() > 1 {
                lists += cells;
            }
        }
    }
    DeviceColumns {
        devices,
        results,
        is_numbered,
        lists,
    }
}

fn is_barred(column: &SampledColumn) -> bool {
    column.has_no_name || !column.is_everywhere || column.finding.is_some()
}

/// Whether the cells of a column are devices. The last of numbered columns are often blank.
fn says_device(judge: &mut Judge<'_>, column: &SampledColumn) -> bool {
    let fit = judge.fit(column, PassField::Device);
    fit.is_some_and(|fit| match fit.cells {
        CellsSay::Yes | CellsSay::Nothing => true,
        CellsSay::Perhaps => column.cells.different() <= MOST_WORDS,
        CellsSay::No => false,
    })
}

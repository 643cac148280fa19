//! The cells of devices in the row of a case → the passes of the case.
//!
//! Says no more of order and results than the cells do.

use super::block_rows::Row;
use super::cell::{RawCell, Value};
use super::device_list;
use super::mapping::DevicesMapping;
use super::parsed::Found;
use super::plan::PlannedDevice;
use super::records::Record;
use crate::domain::codes::PassResult;
use crate::domain::fields::{CaseField, PassField};
use crate::domain::issue::{Issue, IssueCode, Position, Source};

/// The passes of one case, in the order in which they are written.
pub(super) struct RowPasses {
    passes: Vec<Pass>,
    /// Whether that is the order in which the devices went down.
    is_ordered: bool,
}

#[derive(Clone, Copy)]
struct Pass {
    device: Option<&'static str>,
    result: Option<&'static str>,
}

impl RowPasses {
    /// Reads the cells of a row. What is wrong with them is added to `found`.
    pub(super) fn read(
        devices: &DevicesMapping,
        planned: &[PlannedDevice],
        row: &Row<'_>,
        at: Position,
        found: &mut Found,
    ) -> RowPasses {
        let mut passes = Vec::new();
        let mut filled_cells = 0;
        let mut is_each_cell_ordered = true;
        for planned in planned {
            let mut cell = DeviceCell {
                devices,
                at,
                passes: Vec::new(),
                is_ordered: true,
            };
            cell.read_devices(planned.place, row, found);
            let result = planned
                .result_place
                .and_then(|place| cell.read_result(place, row, found));
            cell.place_result(result, found);
            filled_cells += usize::from(!cell.passes.is_empty());
            is_each_cell_ordered &= cell.is_ordered;
            passes.append(&mut cell.passes);
        }
        RowPasses {
            passes,
            // What stands in several columns may have been filled in in any order.
            is_ordered: devices.is_ordered || (filled_cells == 1 && is_each_cell_ordered),
        }
    }

    /// Their records.
    pub(super) fn records<'r>(
        &self,
        devices: &DevicesMapping,
        case: &Record<'r, CaseField>,
    ) -> impl Iterator<Item = Record<'r, PassField>> {
        let last_result = case
            .text(CaseField::Outcome)
            .and_then(DevicesMapping::result_of)
            .filter(|_| devices.is_result_from_outcome && self.is_ordered);
        let case_id = case.value(CaseField::CaseId);
        self.passes.iter().enumerate().map(move |(index, pass)| {
            let mut record = Record::empty();
            record.set(PassField::CaseId, case_id);
            if self.is_ordered
                && let Ok(number) = i64::try_from(index + 1)
            {
                record.set(PassField::PassNumber, Value::Whole(number));
            }
            if let Some(device) = pass.device {
                record.set(PassField::Device, Value::Code(device));
            }
            let is_last = index + 1 == self.passes.len();
            let result = last_result.map_or(pass.result, |last| {
                let result = if is_last {
                    last
                } else {
                    PassResult::PassFailed
                };
                Some(result.code())
            });
            if let Some(result) = result {
                record.set(PassField::Result, Value::Code(result));
            }
            record
        })
    }
}

/// The passes of one cell of devices.
struct DeviceCell<'m> {
    devices: &'m DevicesMapping,
    at: Position,
    passes: Vec<Pass>,
    /// Whether the cell says what came first.
    is_ordered: bool,
}

impl DeviceCell<'_> {
    fn read_devices(&mut self, place: usize, row: &Row<'_>, found: &mut Found) {
        let text = match row.cell(place).text() {
            Ok(text) => text,
            Err(fault) => {
                found.issues.push(fault.at(self.at, PassField::Device));
                // Some device, or several.
                self.add(None, 1);
                self.is_ordered = false;
                return;
            }
        };
        let cells = &self.devices.device_cells;
        let is_known = |word: &str| cells.read(RawCell::new(word.as_bytes())).is_ok();
        let mut devices_named = 0;
        let mut is_each_after_previous = true;
        for (index, mention) in device_list::mentions(text, is_known).enumerate() {
            is_each_after_previous &= index == 0 || mention.sure_after_previous;
            let word = RawCell::new(mention.word.as_bytes());
            let device = match cells.read(word) {
                Ok(Value::Code(code)) => Some(code),
                Ok(_) => continue,
                Err(fault) => {
                    let (source, field) = (Source::Cases, PassField::Device);
                    found.refuse_cell(source, field, (place, word), fault, self.at);
                    None
                }
            };
            devices_named += 1;
            self.add(device, mention.times);
        }
        self.is_ordered = devices_named <= 1 || is_each_after_previous;
    }

    fn add(&mut self, device: Option<&'static str>, times: u16) {
        for _ in 0..times {
            self.passes.push(Pass {
                device,
                result: None,
            });
        }
    }

    fn read_result(&self, place: usize, row: &Row<'_>, found: &mut Found) -> Option<&'static str> {
        let cell = row.cell(place);
        match self.devices.result_cells.read(cell) {
            Ok(Value::Code(code)) => Some(code),
            Ok(_) => None,
            Err(fault) => {
                let (source, field) = (Source::Cases, PassField::Result);
                found.refuse_cell(source, field, (place, cell), fault, self.at);
                None
            }
        }
    }

    /// A result is that of the last pass of its cell: had an earlier one done it, none would have
    /// followed, and of a pass that failed before it no word was kept.
    fn place_result(&mut self, result: Option<&'static str>, found: &mut Found) {
        let Some(result) = result else {
            return;
        };
        if self.passes.is_empty() {
            // Nothing is lost: something had this result.
            self.add(None, 1);
        }
        let is_order_known = self.is_ordered || self.devices.is_ordered || self.passes.len() == 1;
        match self.passes.last_mut() {
            Some(last) if is_order_known => last.result = Some(result),
            _ => found
                .issues
                .push(Issue::of_row(self.at, IssueCode::UnplacedResult)),
        }
    }
}

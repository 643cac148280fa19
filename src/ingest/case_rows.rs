//! A block of the cases export → records of cases, and of the passes that stand in their rows.

use super::block_rows::{Row, RowReader};
use super::blocks::Block;
use super::case::CaseReader;
use super::cell::{RawCell, Value};
use super::device_list;
use super::mapping::{DevicesMapping, Mapping};
use super::parsed::{Found, KeyedRow, ParsedBlock, ParsedRow, PassesInside, Verdict, Version};
use super::plan::FilePlan;
use super::records::{Columns, Record};
use super::registry::{Fingerprint, Key, Traits};
use crate::domain::codes::PassResult;
use crate::domain::fields::{CaseField, PassField};
use crate::domain::issue::{Issue, IssueCode, Position, Source};
use crate::domain::month::Month;
use xxhash_rust::xxh3::xxh3_64_with_seed;

/// First and last month to keep; `None` where nothing was asked for.
pub(super) type Bounds = (Option<Month>, Option<Month>);

/// What a thread needs to parse the blocks of one file.
pub(super) struct CaseRows<'a> {
    pub(super) mapping: &'a Mapping,
    pub(super) plan: &'a FilePlan<'a, CaseField>,
    pub(super) reader: &'a CaseReader<'a>,
    pub(super) bounds: Bounds,
    pub(super) file_index: usize,
}

/// The records of a block while it is read.
struct Gathered {
    cases: Columns<CaseField>,
    passes: Columns<PassField>,
    case_places: Vec<usize>,
    found: Found,
}

impl CaseRows<'_> {
    /// Parses one block.
    pub(super) fn parse(&self, rows: &mut RowReader, block: &Block) -> ParsedBlock {
        let mut gathered = Gathered {
            cases: Columns::new(),
            passes: Columns::new(),
            case_places: Vec::new(),
            found: self.plan.nothing_found(),
        };
        let mut parsed = Vec::new();
        rows.each_row(block, |row| {
            let at = Position {
                source: Source::Cases,
                file_index: self.file_index,
                line_number: row.line_number,
            };
            let issues_before = gathered.found.issues.len();
            let verdict = match self.read(&row, at, &mut gathered) {
                Ok(keyed) => Verdict::Keyed(keyed),
                Err(_) if self.plan.is_no_record(&row) => {
                    // What is wrong with the cells of a total says nothing.
                    gathered.found.issues.truncate(issues_before);
                    Verdict::Refused(IssueCode::SummaryRow)
                }
                Err(code) => Verdict::Refused(code),
            };
            parsed.push(ParsedRow {
                line_number: row.line_number,
                verdict,
            });
        });
        ParsedBlock {
            rows: parsed,
            records: gathered.cases.finish(),
            found: gathered.found,
            passes: self.mapping.devices.is_some().then(|| PassesInside {
                records: gathered.passes.finish(),
                case_places: gathered.case_places,
            }),
        }
    }

    fn read(
        &self,
        row: &Row<'_>,
        at: Position,
        gathered: &mut Gathered,
    ) -> Result<KeyedRow, IssueCode> {
        self.plan.check_length(row, at, &mut gathered.found)?;
        self.plan.watch(row, &mut gathered.found);
        let record = self.reader.read(row, self.plan, at, &mut gathered.found)?;
        let id = record
            .text(CaseField::CaseId)
            .ok_or(IssueCode::MissingKey)?;
        let Value::Month(month) = month_of(&record) else {
            return Err(IssueCode::MissingCall);
        };
        let (from, to) = self.bounds;
        let is_outside = from.is_some_and(|from| month < from) || to.is_some_and(|to| month > to);
        let traits = if is_outside {
            Traits::OUTSIDE_PERIOD
        } else {
            Traits::of_outcome(record.text(CaseField::Outcome))
        };
        let place = (!is_outside).then_some(gathered.cases.length());
        if let Some(place) = place {
            gathered.cases.push(&record);
            if let Some(devices) = &self.mapping.devices {
                self.unfold(devices, row, &record, (at, place), gathered);
            }
        }
        Ok(KeyedRow {
            case: Key::of_case(id),
            pass: None,
            fingerprint: Fingerprint::of(row, self.plan.mapped_places()),
            traits,
            place,
            version: Version {
                number: record.whole(CaseField::RecordVersion),
                amended_minute: record.whole(CaseField::AmendedAt),
            },
            likeness: likeness(&record),
            // It has a call and a known reason for it.
            may_be_no_record: false,
        })
    }

    /// Adds the passes that stand in the row of a case.
    fn unfold(
        &self,
        devices: &DevicesMapping,
        row: &Row<'_>,
        record: &Record<'_, CaseField>,
        (at, case_place): (Position, usize),
        gathered: &mut Gathered,
    ) {
        let mut passes: Vec<(Option<&'static str>, Option<&'static str>)> = Vec::new();
        let mut is_ordered = devices.is_ordered;
        for planned in &self.plan.devices {
            let cell = row.cell(planned.place);
            let text = match cell.text() {
                Ok(text) => text,
                Err(fault) => {
                    let issue = fault.at(at, PassField::Device);
                    gathered.found.issues.push(issue);
                    passes.push((None, None));
                    continue;
                }
            };
            let result = planned.result_place.and_then(|place| {
                let cell = row.cell(place);
                match devices.result_cells.read(cell) {
                    Ok(Value::Code(code)) => Some(code),
                    Ok(_) => None,
                    Err(fault) => {
                        let (source, field) = (Source::Cases, PassField::Result);
                        gathered
                            .found
                            .refuse_cell(source, field, (place, cell), fault, at);
                        None
                    }
                }
            });
            let is_known = |word: &str| {
                let read = devices.device_cells.read(RawCell::new(word.as_bytes()));
                matches!(read, Ok(Value::Code(_)))
            };
            let mut mentioned = 0;
            for mention in device_list::mentions(text, is_known) {
                let word = RawCell::new(mention.word.as_bytes());
                let device = match devices.device_cells.read(word) {
                    Ok(Value::Code(code)) => Some(code),
                    Ok(_) => continue,
                    Err(fault) => {
                        let (source, field) = (Source::Cases, PassField::Device);
                        let place = planned.place;
                        gathered
                            .found
                            .refuse_cell(source, field, (place, word), fault, at);
                        None
                    }
                };
                is_ordered |= mentioned > 0 && mention.sure_after_previous;
                mentioned += 1;
                for _ in 0..mention.times {
                    passes.push((device, result));
                }
            }
        }
        is_ordered |= passes.len() == 1;
        gathered.push_passes(devices, record, &passes, is_ordered, case_place);
    }
}

impl Gathered {
    /// Adds the passes of a case: device and result of each, in the order in which they are written.
    fn push_passes(
        &mut self,
        devices: &DevicesMapping,
        record: &Record<'_, CaseField>,
        passes: &[(Option<&'static str>, Option<&'static str>)],
        is_ordered: bool,
        case_place: usize,
    ) {
        let last_result = record
            .text(CaseField::Outcome)
            .and_then(DevicesMapping::result_of)
            .filter(|_| devices.is_result_from_outcome && is_ordered);
        for (index, (device, result)) in passes.iter().enumerate() {
            let mut pass = Record::empty();
            pass.set(PassField::CaseId, record.value(CaseField::CaseId));
            if is_ordered && let Ok(number) = i64::try_from(index + 1) {
                pass.set(PassField::PassNumber, Value::Whole(number));
            }
            if let Some(device) = device {
                pass.set(PassField::Device, Value::Code(device));
            }
            let is_last = index + 1 == passes.len();
            let result = last_result.map_or(*result, |last| {
                let result = if is_last {
                    last
                } else {
                    PassResult::PassFailed
                };
                Some(result.code())
            });
            if let Some(result) = result {
                pass.set(PassField::Result, Value::Code(result));
            }
            self.passes.push(&pass);
            self.case_places.push(case_place);
        }
    }
}

fn month_of<'r>(record: &Record<'r, CaseField>) -> Value<'r> {
    record.value(CaseField::Month)
}

/// Two cases that agree in these may be one case that was entered twice.
const LIKE: [CaseField; 7] = [
    CaseField::Site,
    CaseField::ArrivedAt,
    CaseField::CalledAt,
    CaseField::Presentation,
    CaseField::ObjectType,
    CaseField::AgeYears,
    CaseField::Sex,
];

/// `None` where arrival or age is missing: then too many cases are alike. Minutes since the call
/// tell no two calls apart.
fn likeness(record: &Record<'_, CaseField>) -> Option<u64> {
    let called = record
        .whole(CaseField::CalledAt)
        .filter(|call| *call != 0)?;
    record.whole(CaseField::ArrivedAt)?;
    record.whole(CaseField::AgeYears)?;
    let mut hash = called.unsigned_abs();
    for field in LIKE {
        hash = match record.value(field) {
            Value::Whole(number) => xxh3_64_with_seed(&number.to_le_bytes(), hash),
            value => xxh3_64_with_seed(value.text().unwrap_or_default().as_bytes(), hash),
        };
    }
    Some(hash)
}

/// The issue of a row that repeats a case under another number.
pub(super) fn suspected_repeat(at: Position) -> Issue {
    Issue::of_row(at, IssueCode::SuspectedRepeat)
}

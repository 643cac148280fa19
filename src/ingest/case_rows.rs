//! A block of the cases export → records of cases, and of the passes that stand in their rows.

use super::block_rows::{Row, RowReader};
use super::blocks::Block;
use super::case::CaseReader;
use super::cell::{Value, WholeWord};
use super::clock::Reading;
use super::fingerprint::{self, Fingerprint, RefusedCells};
use super::mapping::{Mapping, TimeForm};
use super::parsed::{
    Claim, Found, KeyedRow, ParsedBlock, ParsedRow, PassesInside, UnreadableVersion, Verdict,
    Version,
};
use super::plan::{FilePlan, PlannedColumn};
use super::records::{Columns, FilledFields, Record};
use super::registry::{Key, Traits};
use super::row_passes::RowPasses;
use super::tallies::{Counted, SiteNumbers};
use super::time::Written;
use crate::domain::fields::{CaseField, PassField};
use crate::domain::issue::{IssueCode, Position, Source};
use crate::domain::month::Month;
use std::sync::atomic::{AtomicBool, Ordering};

/// First and last month to keep; `None` where nothing was asked for.
pub(super) type Bounds = (Option<Month>, Option<Month>);

/// What a thread needs to parse the blocks of one file.
pub(super) struct CaseRows<'a> {
    pub(super) mapping: &'a Mapping,
    pub(super) plan: &'a FilePlan<'a, CaseField>,
    pub(super) reader: &'a CaseReader<'a>,
    pub(super) bounds: Bounds,
    pub(super) file_index: usize,
    /// Whether a case may stand in several versions.
    pub(super) has_versions: bool,
    /// The columns of their records.
    pub(super) columns: FilledFields,
    /// Whether records are still kept.
    pub(super) keeps: &'a AtomicBool,
}

/// The records of a block while it is read.
struct Gathered {
    /// `None` where none is kept any more.
    records: Option<(Columns<CaseField>, Columns<PassField>)>,
    case_count: usize,
    /// For each pass, the place of its case, and what is counted of it.
    passes: Vec<(usize, Counted)>,
    sites: SiteNumbers,
    found: Found,
}

impl CaseRows<'_> {
    /// Parses one block.
    pub(super) fn parse(&self, rows: &mut RowReader, block: &Block) -> ParsedBlock {
        let mut gathered = Gathered {
            records: (self.keeps.load(Ordering::Relaxed))
                .then(|| (Columns::new(self.columns), Columns::new(FilledFields::ALL))),
            case_count: 0,
            passes: Vec::new(),
            sites: SiteNumbers::default(),
            found: self.plan.nothing_found(),
        };
        let mut parsed = Vec::new();
        rows.each_row(block, |row| {
            let at = Position {
                source: Source::Cases,
                file_index: self.file_index,
                line_number: row.line_number,
            };
            let before = gathered.found.mark();
            let verdict = match self.read(&row, at, &mut gathered) {
                Ok(keyed) => Verdict::Keyed(keyed),
                Err(_) if self.plan.is_no_record(&row) => {
                    gathered.found.forget_since(&before);
                    Verdict::refused(IssueCode::SummaryRow)
                }
                // Without its cells nothing is known of it.
                Err(why @ IssueCode::WrongCellCount) => Verdict::refused(why),
                Err(why) => Verdict::Refused {
                    why,
                    claim: self.has_versions.then(|| self.claim(&row)).flatten(),
                },
            };
            parsed.push(ParsedRow {
                line_number: row.line_number,
                verdict,
            });
        });
        let (cases, passes) = gathered.records.unzip();
        ParsedBlock {
            rows: parsed,
            record_count: gathered.case_count,
            records: cases.map(Columns::finish),
            sites: gathered.sites,
            found: gathered.found,
            passes: self.mapping.devices.is_some().then(|| PassesInside {
                records: passes.map(Columns::finish),
                passes: gathered.passes,
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
        gathered.found.refused = RefusedCells::default();
        let record = self.reader.read(row, self.plan, at, &mut gathered.found)?;
        let id = record
            .text(CaseField::CaseId)
            .ok_or(IssueCode::MissingKey)?;
        let Value::Month(WholeWord(month)) = record.value(CaseField::Month) else {
            return Err(IssueCode::MissingCall);
        };
        let (from, to) = self.bounds;
        let is_outside = from.is_some_and(|from| month < from) || to.is_some_and(|to| month > to);
        let mut traits = if is_outside {
            Traits::OUTSIDE_PERIOD
        } else {
            Traits::of_outcome(record.text(CaseField::Outcome))
        };
        let place = (!is_outside).then_some(gathered.case_count);
        if let Some(place) = place {
            gathered.case_count += 1;
            if let Some((cases, _)) = &mut gathered.records {
                cases.push(&record);
            }
            if let Some(devices) = &self.mapping.devices {
                let passes =
                    RowPasses::read(devices, &self.plan.devices, row, at, &mut gathered.found);
                for pass in passes.records(devices, &record) {
                    traits.add(Traits::of_pass(pass.text(PassField::Result)));
                    if let Some((_, passes)) = &mut gathered.records {
                        passes.push(&pass);
                    }
                    let counted = Counted::of_pass(pass.filled());
                    gathered.passes.push((place, counted));
                }
            }
        }
        Ok(KeyedRow {
            case: Key::of_case(id),
            pass: None,
            fingerprint: Fingerprint::of(
                &record,
                self.reader.told,
                gathered.found.refused,
                self.plan.device_places().map(|place| row.cell(place)),
            ),
            traits,
            place,
            counted: Counted::of_case(&record, &self.mapping.time_form, &mut gathered.sites),
            version: Version {
                number: record.whole(CaseField::RecordVersion),
                amended_minute: record.whole(CaseField::AmendedAt),
            },
            unreadable: if self.has_versions {
                self.unreadable(row, &record)
            } else {
                UnreadableVersion::default()
            },
            likeness: likeness(&record),
            // It has a call and a known reason for it.
            may_be_no_record: false,
        })
    }

    /// Of which case and version a row that is set aside would have been, in an export that has
    /// versions.
    fn claim(&self, row: &Row<'_>) -> Option<Claim> {
        let case_id = self.column(CaseField::CaseId)?;
        let Ok(Value::Text(case_id)) = case_id.cells.read(row.cell(case_id.place)) else {
            return None;
        };
        let version = Version {
            number: self.column(CaseField::RecordVersion).and_then(|column| {
                let value = column.cells.read(row.cell(column.place));
                value.ok()?.whole()
            }),
            amended_minute: self
                .column(CaseField::AmendedAt)
                .and_then(|column| self.amended_minute(row, column)),
        };
        (version != Version::default()).then(|| Claim {
            case: Key::of_case(case_id),
            version,
        })
    }

    fn amended_minute(&self, row: &Row<'_>, column: &PlannedColumn<'_, CaseField>) -> Option<i64> {
        let cell = row.cell(column.place);
        let TimeForm::Clock { table, .. } = &self.mapping.time_form else {
            return column.cells.read(cell).ok()?.whole();
        };
        let time = column.time.as_ref()?;
        let mut written = column
            .cells
            .read_time(cell, |text| time.read(text))
            .ok()??;
        if let Some(date) = &time.date {
            let cell = row.cell(date.place);
            let date = column
                .cells
                .read_time(cell, |text| date.read(text))
                .ok()??;
            written = Written::joined(date, written);
        }
        match written.reading(table).ok()? {
            Reading::Once(minute) | Reading::Twice { first: minute, .. } => Some(minute),
        }
    }

    /// Which parts of the version of a row are filled in without a value.
    fn unreadable(&self, row: &Row<'_>, record: &Record<'_, CaseField>) -> UnreadableVersion {
        let is_unreadable = |field| {
            let column = self.column(field).filter(|_| !record.has(field));
            column.is_some_and(|column| {
                let text = row.cell(column.place).text();
                text.map_or(true, |text| column.cells.is_filled(text))
            })
        };
        UnreadableVersion {
            number: is_unreadable(CaseField::RecordVersion),
            amended: is_unreadable(CaseField::AmendedAt),
        }
    }

    fn column(&self, field: CaseField) -> Option<&PlannedColumn<'_, CaseField>> {
        let mut columns = self.plan.columns.iter();
        columns.find(|column| column.field == field)
    }
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
    let is_called = record
        .whole(CaseField::CalledAt)
        .is_some_and(|call| call != 0);
    let is_known = is_called && record.has(CaseField::ArrivedAt) && record.has(CaseField::AgeYears);
    is_known.then(|| fingerprint::likeness(record, &LIKE))
}

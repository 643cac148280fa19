//! How one file is read: where each mapped column stands in it, how its times are written, and which
//! columns the identifier guard looks at.

mod times;

use super::block_rows::Row;
use super::blocks::Grammar;
use super::cell::{CellFault, Cells, RawCell};
use super::dialect::{Dialect, Given, Heading, Sample, Wanted, find, is_summary_row};
use super::error::IngestError;
use super::guard::{CellsToPass, Guard, HeadingLists, MappedColumn, check_above_header};
use super::mapping::{DevicesMapping, ExportForm, ExportMapping};
use super::parsed::Found;
use super::time::{TimeFormat, Written};
use crate::domain::fields::{Field, PassField};
use crate::domain::issue::{Issue, IssueCode, Position, Source};
use memchr::memchr_iter;

/// One file, ready to be read.
pub(super) struct FilePlan<'m, F> {
    pub(super) dialect: Dialect,
    pub(super) columns: Vec<PlannedColumn<'m, F>>,
    /// Devices that stand in the row of their case, in the order of the passes.
    pub(super) devices: Vec<PlannedDevice>,
    pub(super) guard: Guard,
    /// Columns of which the guard sees every cell.
    watched: Vec<usize>,
    lengths: Lengths,
}

/// How many cells a row may have.
struct Lengths {
    columns: usize,
    fills_short_rows: bool,
}

impl Lengths {
    /// Blank cells beyond the last column are no fault; cells that lack are filled where the mapping
    /// says so. Whether some lack.
    fn check(&self, row: &Row<'_>) -> Result<bool, IssueCode> {
        let is_short = row.length() < self.columns;
        let is_blank = |cell: RawCell<'_>| cell.bytes().trim_ascii().is_empty();
        if (is_short && !self.fills_short_rows) || !row.cells_from(self.columns).all(is_blank) {
            return Err(IssueCode::WrongCellCount);
        }
        Ok(is_short)
    }
}

/// A mapped column.
pub(super) struct PlannedColumn<'m, F> {
    pub(super) field: F,
    pub(super) place: usize,
    pub(super) cells: &'m Cells,
    /// For clock times only.
    pub(super) time: Option<PlannedTime>,
}

/// How the times of a column are written.
pub(super) struct PlannedTime {
    /// Tried in order; one, unless a time of day may stand with a date or without.
    pub(super) formats: Vec<TimeFormat>,
    /// For a time of day whose date stands in a column of its own.
    pub(super) date: Option<PlannedDate>,
    /// Whether that date is the date of several moments.
    pub(super) has_shared_date: bool,
    /// Whether the cells themselves proved the form; the mapping gave it otherwise.
    pub(super) is_proved: bool,
    /// The form with day and month exchanged, where the cells proved their order.
    pub(super) swapped: Option<TimeFormat>,
}

impl PlannedTime {
    /// What a cell says; of a time whose date stands in a column of its own, the time of day.
    pub(super) fn read(&self, text: &str) -> Result<Written, IssueCode> {
        match &self.date {
            None => first_fit(&self.formats, |format| format.read(text)),
            Some(_) => first_fit(&self.formats, |format| format.read_time_of_day(text)),
        }
    }
}

impl PlannedDate {
    /// What a cell says.
    pub(super) fn read(&self, text: &str) -> Result<Written, IssueCode> {
        first_fit(&self.formats, |format| format.read(text))
    }
}

/// What the first form says that fits; the fault of the first form when none does.
fn first_fit(
    formats: &[TimeFormat],
    read: impl Fn(&TimeFormat) -> Result<Written, IssueCode>,
) -> Result<Written, IssueCode> {
    let mut formats = formats.iter();
    let first = formats.next().map_or(Err(IssueCode::NotATime), &read);
    first.or_else(|fault| formats.find_map(|format| read(format).ok()).ok_or(fault))
}

/// Where the date of a time of day stands.
pub(super) struct PlannedDate {
    pub(super) place: usize,
    /// Tried in order: a database may write midnight behind a date.
    pub(super) formats: Vec<TimeFormat>,
    /// The form with day and month exchanged, where the cells proved their order.
    pub(super) swapped: Option<TimeFormat>,
}

/// A device in the row of its case.
pub(super) struct PlannedDevice {
    pub(super) place: usize,
    pub(super) result_place: Option<usize>,
}

impl<'m, F: Field> FilePlan<'m, F> {
    /// Finds the columns of a mapping in a file, and how they are written.
    ///
    /// # Errors
    /// When a column is missing or stands twice, when cells do not prove how times are written, and
    /// when a line above the header seems to identify a person.
    pub(super) fn new(
        sample: &Sample<'_>,
        mapping: &'m ExportMapping<F>,
        devices: Option<&'m DevicesMapping>,
    ) -> Result<FilePlan<'m, F>, IngestError> {
        let form = &mapping.form;
        let given = Given {
            separator: form.separator,
            quote: form.quote,
            header_rows: (form.header_rows > 1).then_some(form.header_rows),
        };
        let wanted = wanted(mapping, devices);
        let dialect = find(sample, &given, &wanted)?;
        let mut places = dialect.places.iter().copied();
        let mut next = || places.next().expect("one place for each wanted heading");
        let found: Vec<_> = mapping
            .columns
            .iter()
            .map(|column| (column, column.headings.iter().map(|_| next()).collect()))
            .collect();
        let device_places: Vec<_> = devices
            .iter()
            .flat_map(|devices| &devices.columns)
            .map(|_| next())
            .collect();
        let result_places: Vec<_> = devices
            .iter()
            .flat_map(|devices| &devices.results)
            .map(|_| next())
            .collect();
        let devices: Vec<_> = device_places
            .into_iter()
            .enumerate()
            .map(|(index, place)| PlannedDevice {
                place,
                result_place: result_places.get(index).copied(),
            })
            .collect();
        let lengths = Lengths {
            columns: dialect.headings.len(),
            fills_short_rows: form.fills_short_rows,
        };
        let has_right_length = |row: &Row<'_>| lengths.check(row).is_ok();
        let columns = times::planned_columns(sample, &dialect, has_right_length, &found)?;
        let guard = guard(sample, form, &dialect, &columns, &devices)?;
        let watched = (0..dialect.headings.len())
            .filter(|place| guard.cells_to_pass(*place) == CellsToPass::Every)
            .collect();
        Ok(FilePlan {
            dialect,
            columns,
            devices,
            guard,
            watched,
            lengths,
        })
    }

    /// An empty account of a block, with fresh watches.
    pub(super) fn nothing_found(&self) -> Found {
        Found::new(self.guard.watches())
    }

    /// With what cells are separated and quoted.
    pub(super) fn grammar(&self) -> Grammar {
        self.dialect.grammar()
    }

    /// The places of the mapped columns, in the order of the fields.
    pub(super) fn mapped_places(&self) -> impl Iterator<Item = usize> {
        let of_fields = self.columns.iter().flat_map(|column| {
            let date = column.time.as_ref().and_then(|time| time.date.as_ref());
            date.map(|date| date.place)
                .into_iter()
                .chain([column.place])
        });
        of_fields.chain(self.device_places())
    }

    /// The places of devices that stand in the row of their case, and of their results.
    pub(super) fn device_places(&self) -> impl Iterator<Item = usize> {
        self.devices
            .iter()
            .flat_map(|device| [Some(device.place), device.result_place])
            .flatten()
    }

    /// Whether a row has as many cells as the header.
    pub(super) fn check_length(
        &self,
        row: &Row<'_>,
        at: Position,
        found: &mut Found,
    ) -> Result<(), IssueCode> {
        let checked = self.lengths.check(row);
        if checked.is_err() {
            watch_misplaced(row, found);
        }
        let is_filled_up = checked?;
        if is_filled_up {
            found.issues.push(Issue::of_row(at, IssueCode::ShortRow));
        }
        Ok(())
    }

    /// Shows the cells of a row to the guard.
    pub(super) fn watch(&self, row: &Row<'_>, found: &mut Found) {
        for place in &self.watched {
            found.watches[*place].observe(row.cell(*place).bytes());
        }
    }

    /// Whether a row that could not be read is no record at all: a total, a remark, the header again,
    /// nothing.
    pub(super) fn is_no_record(&self, row: &Row<'_>) -> bool {
        let is_summary = || is_summary_row(row.cells_from(0).map(RawCell::bytes));
        self.is_header_again(row) || (!self.has_another_separator(row) && is_summary())
    }

    /// Whether one cell holds a whole row that is separated otherwise: a case, and no remark.
    fn has_another_separator(&self, row: &Row<'_>) -> bool {
        let between = self.dialect.headings.len().saturating_sub(1);
        let bytes = row.cell(0).bytes();
        let count = |sign: u8| memchr_iter(sign, bytes).count();
        row.length() == 1 && between > 0 && b",;\t|".iter().any(|sign| count(*sign) >= between)
    }

    fn is_header_again(&self, row: &Row<'_>) -> bool {
        let mut cells = self.columns.iter().map(|column| {
            let heading = &self.dialect.headings[column.place];
            (heading, row.cell(column.place).text().unwrap_or("\0"))
        });
        if self.dialect.header_rows == 1 {
            return cells.all(|(heading, cell)| heading.is_said_by(cell));
        }
        // In one row of several, cells are blank below a merged one and beside a whole one.
        let mut filled = cells.filter(|(_, cell)| !cell.is_empty()).peekable();
        filled.peek().is_some() && filled.all(|(heading, cell)| heading.has_row_said_by(cell))
    }
}

/// Shows all cells of a row with another number of cells to the guard, since no parser will see
/// them; those beyond the last column as if they stood in it.
fn watch_misplaced(row: &Row<'_>, found: &mut Found) {
    let Some(last) = found.watches.len().checked_sub(1) else {
        return;
    };
    for (place, cell) in row.cells_from(0).enumerate() {
        found.watches[place.min(last)].observe(cell.bytes());
    }
}

/// The guard of a file, told which columns are mapped to what.
fn guard<F: Field>(
    sample: &Sample<'_>,
    form: &ExportForm,
    dialect: &Dialect,
    columns: &[PlannedColumn<'_, F>],
    devices: &[PlannedDevice],
) -> Result<Guard, IngestError> {
    let headings: Vec<_> = dialect.headings.iter().map(Heading::text).collect();
    let lists = form.heading_lists();
    check_above_header(
        sample.path,
        sample.bytes,
        dialect.header_line,
        dialect.separator,
    )?;
    let mut mapped = vec![None; headings.len()];
    let mut map = |place: usize, field: &'static str, kind| {
        mapped[place] = Some(MappedColumn { field, kind });
    };
    for column in columns {
        let date = column.time.as_ref().and_then(|time| time.date.as_ref());
        for place in date
            .map(|date| date.place)
            .into_iter()
            .chain([column.place])
        {
            map(place, column.field.name(), column.field.kind());
        }
    }
    for device in devices {
        map(
            device.place,
            PassField::Device.name(),
            PassField::Device.kind(),
        );
        if let Some(place) = device.result_place {
            map(place, PassField::Result.name(), PassField::Result.kind());
        }
    }
    Ok(Guard::new(&headings, &mapped, lists))
}

impl ExportForm {
    /// What the mapping says of headings, for the guard.
    pub(super) fn heading_lists(&self) -> HeadingLists<'_> {
        HeadingLists {
            drop: &self.drop,
            cleared: &self.cleared,
        }
    }
}

/// The headings of a mapping, those of devices and results last.
fn wanted<'a, F: Field>(
    mapping: &'a ExportMapping<F>,
    devices: Option<&'a DevicesMapping>,
) -> Vec<Wanted<'a>> {
    let of_fields = mapping.columns.iter().flat_map(|column| {
        column.headings.iter().map(|heading| Wanted {
            field: column.field.name(),
            heading,
        })
    });
    let of_devices = devices.iter().flat_map(|devices| {
        let device = devices
            .columns
            .iter()
            .map(|heading| (PassField::Device, heading));
        let result = devices
            .results
            .iter()
            .map(|heading| (PassField::Result, heading));
        device.chain(result).map(|(field, heading)| Wanted {
            field: field.name(),
            heading,
        })
    });
    of_fields.chain(of_devices).collect()
}

impl Found {
    /// Notes a cell of a mapped column that cannot be used.
    pub(super) fn refuse<F: Field>(
        &mut self,
        source: Source,
        column: &PlannedColumn<'_, F>,
        cell: RawCell<'_>,
        fault: CellFault,
        at: Position,
    ) {
        self.refuse_cell(source, column.field, (column.place, cell), fault, at);
    }

    /// Notes a cell, or a word in it, that cannot be used.
    pub(super) fn refuse_cell<F: Field>(
        &mut self,
        source: Source,
        field: F,
        (place, cell): (usize, RawCell<'_>),
        fault: CellFault,
        at: Position,
    ) {
        self.issues.push(fault.at(at, field));
        self.refused.add(field, cell);
        // Of typed columns the guard sees these cells only. Text is refused for its bytes alone, and
        // such a cell does no harm when it is seen twice.
        self.watches[place].observe(cell.bytes());
        if fault.code == IssueCode::UnknownWord
            && let Ok(word) = cell.text()
        {
            self.words.add(at.line_number, (source, field.name()), word);
        }
    }
}

//! One row of the cases export → one record with its issues.

use super::block_rows::Row;
use super::calendar::{self, CallCalendar, CallTime};
use super::cell::{CellFault, RawCell, Value, WholeWord};
use super::clock::{self, Reading};
use super::grade;
use super::mapping::{Mapping, TimeForm};
use super::parsed::{CounterProof, Found};
use super::plan::{FilePlan, PlannedColumn, PlannedTime};
use super::records::{FilledFields, Record};
use super::rules::IntervalLimits;
use super::scores::Scores;
use super::time::{CourseTime, Roll, TimeFormat, Written, ZoneTable};
use super::windows::{ADULT_YEARS, CODED, Traits};
use crate::domain::codes::{AgeGroup, Setting, Urgency};
use crate::domain::fields::{CaseField, Field, Origin};
use crate::domain::issue::{Issue, IssueCode, Position, Shape, Source};

pub(super) use crate::domain::recording::COURSE;

/// More line breaks than that inside the cells of one row are no comment any more.
const MOST_LINE_BREAKS: usize = 10;

/// What is needed to read a case, made once per run.
pub(super) struct CaseReader<'a> {
    mapping: &'a Mapping,
    limits: Vec<IntervalLimits>,
    roll: Roll<{ COURSE.len() }>,
    /// For each field its place in the course.
    course_places: Vec<Option<usize>>,
    calendar: CallCalendar,
    scores: Scores,
    /// The fields that do not follow from others.
    pub(super) told: FilledFields,
}

impl<'a> CaseReader<'a> {
    pub(super) fn new(mapping: &'a Mapping) -> CaseReader<'a> {
        let limits = super::rules::built_in();
        CaseReader {
            mapping,
            roll: Roll::new(&COURSE, &limits, mapping.date_of),
            course_places: CaseField::ALL
                .iter()
                .map(|field| COURSE.iter().position(|known| known == field))
                .collect(),
            calendar: CallCalendar::new(&mapping.staffed_hours),
            limits,
            scores: Scores::new(mapping),
            told: FilledFields::of(|field: CaseField| field.origin() != Origin::Derived),
        }
    }

    /// The record of a row. Issues of its cells are added to `found`.
    ///
    /// # Errors
    /// The kind of issue for which the whole row is set aside.
    pub(super) fn read<'r>(
        &'r self,
        row: &Row<'r>,
        plan: &FilePlan<'_, CaseField>,
        at: Position,
        found: &mut Found,
    ) -> Result<Record<'r, CaseField>, IssueCode> {
        let mut record = Record::empty();
        for (field, value) in &self.mapping.constants {
            record.set(*field, value.value());
        }
        let mut times = [None; COURSE.len()];
        for column in &plan.columns {
            let (Some(time), TimeForm::Clock { table, .. }) =
                (&column.time, &self.mapping.time_form)
            else {
                let cell = row.cell(column.place);
                let read = record.set_by(column.field, |value| column.cells.read_to(cell, value));
                if let Err(fault) = read {
                    found.refuse(Source::Cases, column, cell, fault, at);
                }
                continue;
            };
            let written = read_time(row, column, time, at, found);
            let written = written.filter(|written| written.minute_of_day.is_some());
            if let Some(place) = self.course_places[column.field.index()] {
                times[place] = written.map(|written| CourseTime {
                    written,
                    has_shared_date: time.has_shared_date,
                });
            } else if let Some(written) = written {
                // Not part of the course, so no clock change can be settled by it.
                let minute = alone(written, table, column.field, at, &mut found.issues);
                if let Some(minute) = minute {
                    record.set(column.field, Value::Whole(minute));
                }
            }
        }
        if let TimeForm::Clock { table, .. } = &self.mapping.time_form {
            self.settle(&times, table, &mut record, at, &mut found.issues);
        }
        self.complete(&mut record)?;
        grade::check(&mut record, at, &mut found.issues);
        self.scores.add(&mut record, at, &mut found.issues);
        if !record.has(CaseField::Site) {
            let site = CaseField::Site.name();
            let issue = Issue::of_cell(at, IssueCode::MissingSite, site, Shape::Empty);
            found.issues.push(issue);
        }
        if row.line_breaks > MOST_LINE_BREAKS {
            found.issues.push(Issue::of_row(at, IssueCode::LongRow));
        }
        self.check_intervals(&record, at, &mut found.issues);
        Ok(record)
    }

    /// Gives every time its day and its pass through a repeated hour.
    fn settle(
        &self,
        times: &[Option<CourseTime>; COURSE.len()],
        zone: &ZoneTable,
        record: &mut Record<'_, CaseField>,
        at: Position,
        issues: &mut Vec<Issue>,
    ) {
        let placed = self.roll.place(times, zone);
        let impossible = |minutes: &[Option<i64>]| self.impossible_intervals(minutes);
        let minutes = clock::settle(&placed.readings, impossible);
        for (place, field) in COURSE.iter().enumerate() {
            if let Some(minute) = minutes[place] {
                record.set(*field, Value::Whole(minute));
            }
            let repeated = matches!(placed.readings[place], Some(Reading::Twice { .. }))
                .then_some(IssueCode::RepeatedHour);
            for code in placed.issues[place].into_iter().chain(repeated) {
                let name = field.name();
                issues.push(Issue::of_cell(at, code, name, Shape::DigitsAndSigns));
            }
        }
        if placed.has_two_midnights {
            issues.push(Issue::of_row(at, IssueCode::TwoMidnights));
        }
    }

    /// How many intervals between moments of the course cannot be.
    fn impossible_intervals(&self, minutes: &[Option<i64>]) -> usize {
        let at = |field: CaseField| {
            let place = self.course_places[field.index()]?;
            minutes[place]
        };
        self.limits
            .iter()
            .filter(|limits| {
                let ends = at(limits.to).zip(at(limits.from));
                ends.is_some_and(|(to, from)| !limits.is_possible(to - from))
            })
            .count()
    }

    /// Adds the fields that follow from others.
    fn complete<'r>(&'r self, record: &mut Record<'r, CaseField>) -> Result<(), IssueCode> {
        if !record.has(CaseField::CaseId) {
            return Err(IssueCode::MissingKey);
        }
        if !record.has(CaseField::Presentation) {
            return Err(IssueCode::MissingPresentation);
        }
        self.add_call_time(record).ok_or(IssueCode::MissingCall)?;
        if let Some(age) = record.whole(CaseField::AgeYears) {
            record.set(CaseField::AgeGroup, Value::Code(age_group(age).code()));
        }
        let window = self.mapping.windows.first_fit(&traits(record));
        let urgency = window.map_or(Urgency::NotAssignable, |window| window.words.urgency);
        record.set(CaseField::Urgency, Value::Code(urgency.code()));
        if let Some(window) = window {
            record.set(CaseField::WindowId, Value::Text(&window.words.id));
            if let Some(length) = window.words.length {
                let minutes = Value::Whole(length.longest_minutes());
                record.set(CaseField::WindowMinutes, minutes);
            }
            if let Some(minutes) = window.words.preferred_minutes {
                record.set(CaseField::PreferredMinutes, Value::Whole(minutes));
            }
        }
        // A patient on a ward had arrived long before, and for another reason.
        let is_inpatient = record.text(CaseField::Setting) == Some(Setting::Ward.code());
        let start = record.whole(self.mapping.window_start);
        if let Some(start) = start
            && !(is_inpatient && self.mapping.window_start == CaseField::ArrivedAt)
        {
            record.set(CaseField::WindowStart, Value::Whole(start));
        }
        Ok(())
    }

    /// `None` when the row has no usable call.
    fn add_call_time(&self, record: &mut Record<'_, CaseField>) -> Option<()> {
        match &self.mapping.time_form {
            TimeForm::Clock { table, .. } => {
                let minute = record.whole(CaseField::CalledAt)?;
                let CallTime {
                    month,
                    weekday,
                    hour,
                    shift,
                } = self.calendar.call_time(table.local(minute))?;
                record.set(CaseField::Month, Value::Month(WholeWord(month)));
                record.set(CaseField::Weekday, Value::Code(weekday.code()));
                record.set(CaseField::Hour, Value::Whole(hour));
                record.set(CaseField::Shift, Value::Code(shift.code()));
            }
            TimeForm::Elapsed => {
                if !record.has(CaseField::Month) {
                    return None;
                }
                // Elapsed minutes count from the call, so the call itself is minute 0.
                record.set(CaseField::CalledAt, Value::Whole(0));
                let weekday = record.text(CaseField::Weekday);
                if let Some((weekday, hour)) = weekday.zip(record.whole(CaseField::Hour)) {
                    let shift = calendar::shift_of_hour(weekday, hour, &self.mapping.staffed_hours);
                    record.set(CaseField::Shift, Value::Code(shift.code()));
                }
            }
        }
        Some(())
    }

    fn check_intervals(
        &self,
        record: &Record<'_, CaseField>,
        at: Position,
        issues: &mut Vec<Issue>,
    ) {
        for limits in &self.limits {
            let ends = record.whole(limits.from).zip(record.whole(limits.to));
            if let Some(code) = ends.and_then(|(from, to)| limits.judge(to - from)) {
                let (from, to) = (limits.from.name(), limits.to.name());
                issues.push(Issue::of_interval(at, code, from, to));
            }
        }
    }
}

/// What one cell, or a date and a time of day in two, say of a moment.
fn read_time(
    row: &Row<'_>,
    column: &PlannedColumn<'_, CaseField>,
    time: &PlannedTime,
    at: Position,
    found: &mut Found,
) -> Option<Written> {
    let written = read_part(
        row.cell(column.place),
        column,
        time.swapped.as_ref(),
        (at, found),
        |text| time.read(text),
    )
    .ok()??;
    let Some(date) = &time.date else {
        return Some(written);
    };
    let read = |text: &str| date.read(text);
    match read_part(
        row.cell(date.place),
        column,
        date.swapped.as_ref(),
        (at, found),
        read,
    )
    .ok()?
    {
        // Of two dates that differ none is taken.
        Some(date) if written.date.is_some_and(|own| Some(own) != date.date) => {
            let cell = row.cell(column.place);
            let fault = CellFault {
                code: IssueCode::NotATime,
                found: Shape::DigitsAndSigns,
            };
            found.refuse(Source::Cases, column, cell, fault, at);
            None
        }
        Some(date) => Some(Written::joined(date, written)),
        // A time of day without its date is placed by the other times of the case.
        None => Some(written),
    }
}

/// A cell that cannot be used, and that has been noted.
struct Noted;

/// What one cell says of a moment; `None` when nothing was recorded.
fn read_part(
    cell: RawCell<'_>,
    column: &PlannedColumn<'_, CaseField>,
    swapped: Option<&TimeFormat>,
    (at, found): (Position, &mut Found),
    read: impl Fn(&str) -> Result<Written, IssueCode>,
) -> Result<Option<Written>, Noted> {
    let fault = match column.cells.read_time(cell, read) {
        Ok(written) => return Ok(written),
        Err(fault) => fault,
    };
    let by_swapped = swapped.map(|format| column.cells.read_time(cell, |text| format.read(text)));
    if matches!(by_swapped, Some(Ok(Some(_)))) {
        found.counter_proofs.push(CounterProof {
            field: column.field.name(),
            line_number: at.line_number,
        });
    }
    found.refuse(Source::Cases, column, cell, fault, at);
    Err(Noted)
}

/// A moment on its own, read in the first pass through a repeated hour.
fn alone(
    written: Written,
    zone: &ZoneTable,
    field: CaseField,
    at: Position,
    issues: &mut Vec<Issue>,
) -> Option<i64> {
    let mut note = |code| {
        let name = field.name();
        issues.push(Issue::of_cell(at, code, name, Shape::DigitsAndSigns));
    };
    match written.reading(zone) {
        Ok(Reading::Once(minute)) => Some(minute),
        Ok(Reading::Twice { first, .. }) => {
            note(IssueCode::RepeatedHour);
            Some(first)
        }
        Err(code) => {
            note(code);
            None
        }
    }
}

fn traits<'r>(record: &Record<'r, CaseField>) -> Traits<'r> {
    Traits {
        age_years: record.whole(CaseField::AgeYears),
        codes: CODED.map(|(field, _)| record.text(field)),
        length_mm: record.whole(CaseField::ObjectLength),
        width_mm: record.whole(CaseField::ObjectWidth),
    }
}

fn age_group(age_years: i64) -> AgeGroup {
    match age_years {
        80.. => AgeGroup::OldestAdult,
        65.. => AgeGroup::OlderAdult,
        40.. => AgeGroup::MiddleAdult,
        ADULT_YEARS.. => AgeGroup::YoungAdult,
        _ => AgeGroup::Pediatric,
    }
}

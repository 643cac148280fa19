//! One row of the cases export → one record with its issues.

use super::calendar::{self, CallTime};
use super::cell::{CellFault, RawCell, Value, Words};
use super::clock;
use super::mapping::{Mapping, TimeForm};
use super::reader::Row;
use super::records::Record;
use super::rules::IntervalLimits;
use super::windows::{self, ADULT_YEARS, Traits, Window};
use crate::domain::codes::{AgeGroup, Setting, Shift, Urgency};
use crate::domain::fields::{CaseField, Field, Kind};
use crate::domain::issue::{Issue, IssueCode, Position, Shape};

/// Moments in the usual order of events; clock changes are settled along it.
pub(super) const COURSE: [CaseField; 11] = [
    CaseField::ArrivedAt,
    CaseField::CalledAt,
    CaseField::TeamAt,
    CaseField::CartAt,
    CaseField::AirwayAt,
    CaseField::ScopeInAt,
    CaseField::RemovedAt,
    CaseField::ScopeOutAt,
    CaseField::PrecleanAt,
    CaseField::HandoverAt,
    CaseField::EndedAt,
];

/// More line breaks than that inside the cells of one row are no comment any more.
const MOST_LINE_BREAKS: usize = 10;

/// What is needed to read a case, made once per run.
pub(super) struct CaseReader<'a> {
    mapping: &'a Mapping,
    windows: Vec<Window>,
    limits: Vec<IntervalLimits>,
}

impl<'a> CaseReader<'a> {
    pub(super) fn new(mapping: &'a Mapping) -> CaseReader<'a> {
        CaseReader {
            mapping,
            windows: windows::built_in(),
            limits: super::rules::built_in(),
        }
    }

    /// The record of a row. Issues of its cells are added to `issues`.
    ///
    /// # Errors
    /// The kind of issue for which the whole row is set aside.
    pub(super) fn read(
        &self,
        row: &Row<'_>,
        at: Position,
        issues: &mut Vec<Issue>,
    ) -> Result<Record<CaseField>, IssueCode> {
        let mut record = Record::empty();
        for (field, value) in &self.mapping.constants {
            record.set(*field, value.clone());
        }
        let mut readings = [None; COURSE.len()];
        for (index, column) in self.mapping.case_columns.iter().enumerate() {
            let cell = row.cell(index);
            match (column.field.kind(), &self.mapping.time_form) {
                (Kind::Minute, TimeForm::Clock { zone, format }) => {
                    let place = COURSE.iter().position(|field| *field == column.field);
                    match read_clock(cell, &column.words, format, zone) {
                        Ok(reading) => {
                            if let Some(place) = place {
                                readings[place] = reading;
                            }
                        }
                        Err(fault) => issues.push(fault.at(at, column.field)),
                    }
                }
                _ => match column.words.read(cell) {
                    Ok(value) => record.set(column.field, value),
                    Err(fault) => issues.push(fault.at(at, column.field)),
                },
            }
        }
        let impossible = |minutes: &[Option<i64>]| self.impossible_intervals(minutes);
        for (place, minute) in clock::settle(&readings, impossible).into_iter().enumerate() {
            if let Some(minute) = minute {
                record.set(COURSE[place], Value::Whole(minute));
            }
            if matches!(readings[place], Some(clock::Reading::Twice { .. })) {
                issues.push(Issue::of_cell(
                    at,
                    IssueCode::RepeatedHour,
                    COURSE[place].name(),
                    Shape::DigitsAndSigns,
                ));
            }
        }
        self.complete(&mut record)?;
        if !record.has(CaseField::Site) {
            let site = CaseField::Site.name();
            issues.push(Issue::of_cell(
                at,
                IssueCode::MissingSite,
                site,
                Shape::Empty,
            ));
        }
        if row.line_breaks() > MOST_LINE_BREAKS {
            issues.push(Issue::of_row(at, IssueCode::LongRow));
        }
        self.check_intervals(&record, at, issues);
        Ok(record)
    }

    /// How many intervals between moments of the course cannot be.
    fn impossible_intervals(&self, minutes: &[Option<i64>]) -> usize {
        let at = |field: CaseField| {
            let place = COURSE.iter().position(|known| *known == field)?;
            minutes[place]
        };
        self.limits
            .iter()
            .filter_map(|limits| limits.judge(at(limits.to)? - at(limits.from)?))
            .filter(|code| *code == IssueCode::WrongOrder)
            .count()
    }

    /// Adds the fields that follow from others.
    fn complete(&self, record: &mut Record<CaseField>) -> Result<(), IssueCode> {
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
        let window = windows::first_fit(&self.windows, traits(record));
        let urgency = window.map_or(Urgency::NotAssignable, |window| window.words.urgency);
        record.set(CaseField::Urgency, Value::Code(urgency.code()));
        if let Some(window) = window {
            record.set(CaseField::WindowId, Value::Text(window.words.id.clone()));
            record.set(CaseField::WindowMinutes, Value::Whole(window.words.minutes));
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
    fn add_call_time(&self, record: &mut Record<CaseField>) -> Option<()> {
        match &self.mapping.time_form {
            TimeForm::Clock { zone, .. } => {
                let minute = record.whole(CaseField::CalledAt)?;
                let CallTime {
                    month,
                    weekday,
                    hour,
                    shift,
                } = calendar::call_time(minute, zone, &self.mapping.staffed_hours)?;
                record.set(CaseField::Month, Value::Text(month.to_string()));
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
                let shift: Option<Shift> =
                    weekday
                        .zip(record.whole(CaseField::Hour))
                        .map(|(weekday, hour)| {
                            calendar::shift_of_hour(weekday, hour, &self.mapping.staffed_hours)
                        });
                if let Some(shift) = shift {
                    record.set(CaseField::Shift, Value::Code(shift.code()));
                }
            }
        }
        Some(())
    }

    fn check_intervals(&self, record: &Record<CaseField>, at: Position, issues: &mut Vec<Issue>) {
        for limits in &self.limits {
            let ends = record.whole(limits.from).zip(record.whole(limits.to));
            if let Some(code) = ends.and_then(|(from, to)| limits.judge(to - from)) {
                let (from, to) = (limits.from.name(), limits.to.name());
                issues.push(Issue::of_interval(at, code, from, to));
            }
        }
    }
}

fn read_clock(
    cell: RawCell<'_>,
    words: &Words,
    format: &str,
    zone: &jiff::tz::TimeZone,
) -> Result<Option<clock::Reading>, CellFault> {
    let text = cell.text().ok_or(CellFault {
        code: IssueCode::UnreadableBytes,
        found: Shape::Bytes,
    })?;
    if words.is_missing(text) {
        return Ok(None);
    }
    clock::read(text, format, zone)
        .map(Some)
        .map_err(|code| CellFault {
            code,
            found: Shape::of(text),
        })
}

fn traits(record: &Record<CaseField>) -> Traits<'_> {
    Traits {
        age_years: record.whole(CaseField::AgeYears),
        presentation: record.text(CaseField::Presentation),
        object_type: record.text(CaseField::ObjectType),
        object_location: record.text(CaseField::ObjectLocation),
        obstruction: record.text(CaseField::Obstruction),
        sharp: record.text(CaseField::Sharp),
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

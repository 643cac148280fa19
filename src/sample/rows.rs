//! Cases and passes as rows of the two exports, in the words and the time form of the site.
//!
//! Knows the faults that change a row; draws nothing.

use super::bleed::Bleed;
use super::calendar::Calendar;
use super::case::Case;
use super::faults::Fault;
use super::passes::Pass;
use super::wording::{self, bleeding};
use crate::domain::codes::YesNo;
use crate::domain::fields::{AGE_CAP, CaseField, Field, PassField};
use std::io::{self, Write};

/// Writes the rows of one export.
pub(super) struct Rows<'a, W: Write> {
    writer: csv::Writer<W>,
    calendar: &'a Calendar,
    /// Rows below the header so far.
    pub(super) count: u64,
}

impl<'a, W: Write> Rows<'a, W> {
    /// An export with no row yet, under these headings.
    pub(super) fn new<'h>(
        output: W,
        calendar: &'a Calendar,
        headings: impl Iterator<Item = &'h str>,
    ) -> io::Result<Rows<'a, W>> {
        let mut writer = csv::WriterBuilder::new()
            .delimiter(wording::SEPARATOR)
            .buffer_capacity(1 << 16)
            .from_writer(output);
        writer.write_record(headings).map_err(as_io)?;
        Ok(Rows {
            writer,
            calendar,
            count: 0,
        })
    }

    /// Adds the row of a case.
    pub(super) fn add_case(
        &mut self,
        number: &str,
        case: &Case,
        fault: Option<Fault>,
    ) -> io::Result<()> {
        for field in CaseField::ALL {
            if let Some(cell) = case_cell(number, case, *field) {
                let is_false_date =
                    *field == CaseField::ArrivedAt && fault == Some(Fault::ImpossibleDate);
                self.add_cell(cell, is_false_date)?;
            }
        }
        self.end_row()
    }

    /// Adds the row of a pass; `place` counts from 1.
    pub(super) fn add_pass(
        &mut self,
        number: &str,
        place: usize,
        pass: Pass,
        fault: Option<Fault>,
    ) -> io::Result<()> {
        for field in PassField::ALL {
            let cell = match field {
                PassField::CaseId => Cell::Text(number),
                PassField::PassNumber => Cell::Number(place as u64),
                PassField::Device if place == 1 && fault == Some(Fault::UnknownDevice) => {
                    Cell::Text(wording::UNKNOWN_DEVICE)
                }
                PassField::Device => Cell::Text(wording::device(pass.device)),
                PassField::Result => Cell::Text(wording::pass_result(pass.result)),
                PassField::Malfunction => yes_no(Some(pass.device_fault)),
            };
            self.add_cell(cell, false)?;
        }
        self.end_row()
    }

    /// Hands everything on to the output.
    pub(super) fn finish(mut self) -> io::Result<()> {
        self.writer.flush()
    }

    fn add_cell(&mut self, cell: Cell<'_>, is_false_date: bool) -> io::Result<()> {
        let mut text = [0_u8; 20];
        let filled = match cell {
            Cell::Text(text) => text.as_bytes(),
            Cell::Blank => b"",
            Cell::Number(number) => {
                let mut rest = &mut text[..];
                write!(rest, "{number}")?;
                let free = rest.len();
                &text[..text.len() - free]
            }
            Cell::Tenths(number) => {
                let mut rest = &mut text[..];
                write!(rest, "{}.{}", number / 10, number % 10)?;
                let free = rest.len();
                &text[..text.len() - free]
            }
            Cell::Minute(minute) => {
                self.fill_time(&mut text, minute);
                if is_false_date {
                    text[..5].copy_from_slice(b"31.02");
                }
                &text[..TIME_LENGTH]
            }
        };
        self.writer.write_field(filled).map_err(as_io)
    }

    /// `14.03.2026 23:50`, filled by hand, since a case has a dozen of them.
    fn fill_time(&self, text: &mut [u8; 20], minute: i64) {
        let wall = self.calendar.wall_clock(minute);
        text[..TIME_LENGTH].copy_from_slice(b"00.00.0000 00:00");
        let pairs = [
            (0, i16::from(wall.day())),
            (3, i16::from(wall.month())),
            (6, wall.year() / 100),
            (8, wall.year() % 100),
            (11, i16::from(wall.hour())),
            (14, i16::from(wall.minute())),
        ];
        for (at, pair) in pairs {
            let pair = u8::try_from(pair).expect("two digits");
            text[at] += pair / 10;
            text[at + 1] += pair % 10;
        }
    }

    fn end_row(&mut self) -> io::Result<()> {
        self.count += 1;
        self.writer.write_record(None::<&[u8]>).map_err(as_io)
    }
}

/// The form of times in the export, as the mapping says it.
pub(super) const TIME_FORMAT: &str = "%d.%m.%Y %H:%M";
const TIME_LENGTH: usize = 16;

/// What stands in a cell.
#[derive(Clone, Copy)]
enum Cell<'a> {
    Text(&'a str),
    Number(u64),
    /// A number with one digit behind its point.
    Tenths(u64),
    Minute(i64),
    Blank,
}

/// The cell of a field; `None` for a field that ingest works out.
fn case_cell<'a>(number: &'a str, case: &Case, field: CaseField) -> Option<Cell<'a>> {
    let times = &case.times;
    Some(match field {
        CaseField::CaseId => Cell::Text(number),
        CaseField::Site => Cell::Text(case.site.name()),
        CaseField::Presentation => Cell::Text(wording::presentation(case.presentation)),
        CaseField::OnsetAt => moment(case.details.onset),
        CaseField::ArrivedAt => moment(times.arrived),
        CaseField::CalledAt => Cell::Minute(times.called),
        CaseField::TeamAt => moment(times.team),
        CaseField::CartAt => moment(times.cart),
        CaseField::AirwayAt => moment(times.airway),
        CaseField::ScopeInAt => moment(times.scope_in),
        CaseField::OvertubeAt => moment(case.care.overtube_at),
        CaseField::RemovedAt => moment(times.removed),
        CaseField::ScopeOutAt => moment(times.scope_out),
        CaseField::PrecleanAt => moment(times.preclean),
        CaseField::PrecleanEndAt => moment(times.preclean_end),
        CaseField::HandoverAt => moment(times.handover),
        CaseField::ManualCleanAt => moment(times.manual_clean),
        CaseField::EndedAt => moment(times.ended),
        CaseField::ReleasedAt => moment(times.released),
        CaseField::AgeYears if case.age_years >= AGE_CAP => Cell::Text("90+"),
        CaseField::AgeYears => Cell::Number(case.age_years.unsigned_abs()),
        CaseField::Sex => Cell::Text(wording::sex(case.sex)),
        CaseField::Setting => Cell::Text(wording::setting(case.setting)),
        CaseField::ObjectType => word(case.object_type, wording::object_type),
        CaseField::ObjectLocation => word(case.object_location, wording::object_location),
        CaseField::Obstruction if case.object_type.is_some() && case.obstruction.is_none() => {
            Cell::Text(wording::NOT_RECORDED)
        }
        CaseField::Obstruction => word(case.obstruction, wording::obstruction),
        CaseField::Sharp => yes_no(case.sharp),
        CaseField::Symptoms => yes_no(case.details.symptoms),
        CaseField::ObjectLength => case.details.length_mm.map_or(Cell::Blank, Cell::Number),
        CaseField::ObjectWidth => case.details.width_mm.map_or(Cell::Blank, Cell::Number),
        CaseField::VaricealSuspected => yes_no(case.details.variceal_suspected),
        CaseField::Airway => word(case.airway, wording::airway),
        CaseField::Overtube => yes_no(case.overtube),
        CaseField::OvertubePass => case.care.overtube_pass.map_or(Cell::Blank, Cell::Number),
        CaseField::Hood => yes_no(case.hood),
        CaseField::Cap => yes_no(case.cap),
        CaseField::Outcome => Cell::Text(wording::outcome(case.outcome)),
        CaseField::OnePiece => yes_no(case.one_piece),
        CaseField::BiopsiesTaken => yes_no(case.biopsies_taken),
        CaseField::AdverseEvent => word(case.adverse_event, wording::adverse_event),
        CaseField::BiopsyNotIndicated => yes_no(case.care.biopsy_not_indicated),
        CaseField::AdverseScale => word(case.care.adverse_scale, wording::adverse_scale),
        CaseField::AdverseGrade => word(case.care.adverse_grade, wording::adverse_grade),
        CaseField::CartComplete => yes_no(case.cart_complete),
        CaseField::MissingItem => word(case.missing_item, wording::missing_item),
        CaseField::Malfunction => yes_no(case.malfunction),
        CaseField::PrecleanDone => yes_no(case.preclean_done),
        // A field of a bleed; all others are worked out by ingest.
        _ => {
            bleeding::heading(field)?;
            let cell = |bleed| bleed_cell(bleed, field);
            case.bleed.as_ref().map_or(Cell::Blank, cell)
        }
    })
}

/// The cell of a field of a bleed.
fn bleed_cell(bleed: &Bleed, field: CaseField) -> Cell<'static> {
    match field {
        CaseField::Treatment => word(bleed.treatment, bleeding::treatment),
        CaseField::BleedFinding => word(bleed.finding, bleeding::finding),
        CaseField::Forrest => word(bleed.forrest, bleeding::forrest),
        CaseField::Stigmata => word(bleed.stigmata, bleeding::stigmata),
        CaseField::Rescue => word(bleed.rescue, bleeding::rescue),
        CaseField::TransfusedUnits => number(bleed.transfused_units),
        CaseField::FollowedDays => number(bleed.followed_days),
        CaseField::RebleedDays => number(bleed.rebleed_days),
        CaseField::DeathDays => number(bleed.death_days),
        CaseField::Urea => number(bleed.urea_nitrogen),
        CaseField::Hemoglobin => tenths(bleed.hemoglobin),
        CaseField::Albumin => number(bleed.albumin),
        CaseField::Inr => tenths(bleed.inr),
        CaseField::Systolic => number(bleed.systolic),
        CaseField::Pulse => number(bleed.pulse),
        CaseField::Melena => yes_no(bleed.melena),
        CaseField::Syncope => yes_no(bleed.syncope),
        CaseField::HepaticDisease => yes_no(bleed.hepatic_disease),
        CaseField::CardiacFailure => yes_no(bleed.cardiac_failure),
        CaseField::Comorbidity => word(bleed.comorbidity, bleeding::comorbidity),
        CaseField::AlteredMentalStatus => yes_no(bleed.altered_mental_status),
        CaseField::PreviousLowerBleed => yes_no(bleed.has_bled_before),
        CaseField::BloodOnRectalExam => yes_no(bleed.blood_on_rectal_exam),
        CaseField::ExportedGlasgowBlatchford => number(bleed.exported_glasgow_blatchford),
        _ => Cell::Blank,
    }
}

fn number(value: Option<i64>) -> Cell<'static> {
    value.map_or(Cell::Blank, |value| Cell::Number(value.unsigned_abs()))
}

fn tenths(value: Option<i64>) -> Cell<'static> {
    value.map_or(Cell::Blank, |value| Cell::Tenths(value.unsigned_abs()))
}

fn moment(minute: Option<i64>) -> Cell<'static> {
    minute.map_or(Cell::Blank, Cell::Minute)
}

fn word<Code>(code: Option<Code>, words: fn(Code) -> &'static str) -> Cell<'static> {
    code.map_or(Cell::Blank, |code| Cell::Text(words(code)))
}

fn yes_no(value: Option<bool>) -> Cell<'static> {
    let code = value.map(|yes| if yes { YesNo::Yes } else { YesNo::No });
    word(code, wording::yes_no)
}

/// An error of the output keeps its kind, so that the caller can tell a full disk.
pub(super) fn as_io(error: csv::Error) -> io::Error {
    match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        kind => io::Error::other(format!("the row could not be written: {kind:?}")),
    }
}

//! The clock times of a proposal: the date that belongs to a time of day, the form of each column
//! with what proved it, and the months in which calls came.

use super::columns::Columns;
use super::sample::SampledExport;
use crate::domain::fields::{CaseField, Field, Kind};
use crate::domain::issue::Source;
use crate::domain::month::Month;
use crate::ingest::time::{
    Form, FormProof, Proof, TimeFormat, Verdict, civil_from_days, settle_sisters,
};
use std::collections::BTreeMap;

/// Whether cells hold a date and a time of day; `None` when they are no times or none is filled.
pub(super) fn holds(verdict: &Verdict) -> Option<(bool, bool)> {
    let of = |format: &str| {
        let format = TimeFormat::new(format).ok()?;
        Some((format.has_date(), format.has_time()))
    };
    match verdict {
        Verdict::Empty | Verdict::NotTimes => None,
        Verdict::Serial { .. } | Verdict::Proved(_) => Some((true, true)),
        Verdict::DateOnly(_) => Some((true, false)),
        Verdict::TimeOfDay(_) => Some((false, true)),
        Verdict::Ambiguous { formats } => of(formats.first()?),
        Verdict::Mixed { forms } => {
            let most = forms.iter().rev().max_by_key(|(_, cells)| *cells)?;
            of(&most.0)
        }
    }
}

/// How the times of one field are written.
#[derive(Clone)]
pub(super) struct FieldTimes {
    pub(super) field: CaseField,
    /// Index of the column with the time of day, or with both.
    pub(super) column: usize,
    /// Index of the column with the date, where it is another, and whether its heading names it.
    pub(super) date: Option<(usize, bool)>,
    pub(super) form: FieldForm,
}

/// The form of one field.
#[derive(Clone)]
pub(super) enum FieldForm {
    /// No cell is filled.
    Unseen,
    Proved {
        format: String,
        proof: Proof,
        strays: u64,
        may_lack_meridiem: bool,
    },
    /// A person has to say which.
    Open { formats: Vec<String>, why: String },
}

/// The clock times of the cases.
pub(super) struct Times {
    pub(super) fields: Vec<FieldTimes>,
    /// The form that most fields have, where every form is proved.
    pub(super) common: Option<String>,
}

impl Times {
    /// The times of the fields that were found.
    pub(super) fn of(export: &SampledExport, columns: &Columns<CaseField>) -> Times {
        let dates = dates(export, columns);
        let fields: Vec<(CaseField, usize)> = columns
            .found
            .iter()
            .filter(|found| found.field.kind() == Kind::Minute)
            .map(|found| (found.field, found.column))
            .collect();
        let proof = |column: usize| export.columns[column].cells.proof.clone();
        let mut proofs: Vec<FormProof> = fields.iter().map(|(_, column)| proof(*column)).collect();
        let used: Vec<usize> = dates.values().map(|(column, _)| *column).collect();
        proofs.extend(used.iter().map(|column| proof(*column)));
        settle_sisters(&mut proofs);
        let fields: Vec<FieldTimes> = fields
            .iter()
            .enumerate()
            .map(|(place, (field, column))| {
                let date = dates.get(field).copied();
                let date_verdict = date.map(|(column, _)| {
                    let place = used.iter().position(|used| *used == column);
                    let place = place.expect("every date that is used has a proof");
                    proofs[fields.len() + place].verdict()
                });
                FieldTimes {
                    field: *field,
                    column: *column,
                    date,
                    form: form(proofs[place].verdict(), date_verdict),
                }
            })
            .collect();
        Times {
            common: common(&fields),
            fields,
        }
    }

    /// First and last month of the calls in the sample; of other moments where no call has a date.
    pub(super) fn months(&self, export: &SampledExport) -> Option<(Month, Month)> {
        let dated = self.fields.iter().find_map(|times| {
            let FieldForm::Proved { format, .. } = &times.form else {
                return None;
            };
            let format = TimeFormat::new(format).ok()?;
            let is_dated = format.has_date() && times.date.is_none();
            is_dated.then_some((times, format))
        });
        let of_pair = self.fields.iter().find_map(|times| {
            let (column, _) = times.date?;
            match export.columns[column].cells.proof.verdict() {
                Verdict::DateOnly(form) => Some((column, TimeFormat::new(&form.format).ok()?)),
                _ => None,
            }
        });
        let (column, format) = match (dated, of_pair) {
            (Some((times, format)), _) if times.field == CaseField::CalledAt => {
                (times.column, format)
            }
            (_, Some(of_pair)) => of_pair,
            (Some((times, format)), None) => (times.column, format),
            (None, None) => return None,
        };
        let mut months: Option<(Month, Month)> = None;
        export.each_text(&[column], |texts| {
            let written = texts.first().and_then(|text| format.read(text).ok());
            let date = written.and_then(|written| civil_from_days(i32::from(written.date?)));
            let month =
                date.and_then(|(year, month, _)| Month::new(u16::try_from(year).ok()?, month).ok());
            if let Some(month) = month {
                let (first, last) = months.unwrap_or((month, month));
                months = Some((first.min(month), last.max(month)));
            }
        });
        months
    }
}

/// For fields with a time of day alone, the column of the date, and whether its heading says so.
fn dates(
    export: &SampledExport,
    columns: &Columns<CaseField>,
) -> BTreeMap<CaseField, (usize, bool)> {
    let shape = |column: usize| holds(&export.columns[column].cells.proof.verdict());
    let is_used = |index: usize| {
        columns.found.iter().any(|found| found.column == index)
            || columns.ties.iter().any(|tie| tie.columns.contains(&index))
    };
    let is_date = |(index, column): &(usize, &super::sample::SampledColumn)| {
        shape(*index) == Some((true, false))
            && column.finding.is_none()
            && !column.has_no_name
            && column.is_everywhere
            && !is_used(*index)
    };
    let mut of_field: BTreeMap<CaseField, Vec<usize>> = BTreeMap::new();
    let mut general = Vec::new();
    for (index, column) in export.columns.iter().enumerate().filter(is_date) {
        let points = |field: &CaseField| {
            let fit = column.words.fit(Source::Cases, field.name(), false);
            fit.map_or(0, |fit| fit.points)
        };
        let times = CaseField::ALL
            .iter()
            .filter(|field| field.kind() == Kind::Minute);
        match times.max_by_key(|field| points(field)) {
            Some(best) if points(best) > 0 => of_field.entry(*best).or_default().push(index),
            _ if column.words.is_general() => general.push(index),
            _ => {}
        }
    }
    let found = || {
        columns
            .found
            .iter()
            .filter(|found| found.field.kind() == Kind::Minute)
    };
    let without_date: Vec<CaseField> = found()
        .filter(|found| shape(found.column) == Some((false, true)))
        .map(|found| found.field)
        .collect();
    let mut dates: BTreeMap<CaseField, (usize, bool)> = without_date
        .iter()
        .filter_map(|field| match of_field.get(field).map(Vec::as_slice) {
            Some([column]) => Some((*field, (*column, true))),
            _ => None,
        })
        .collect();
    let has_date = !dates.is_empty()
        || found().any(|found| shape(found.column).is_some_and(|(has_date, _)| has_date));
    if let ([column], false) = (general.as_slice(), has_date) {
        // The date of a case is most often that of its call.
        let call = without_date
            .iter()
            .find(|field| **field == CaseField::CalledAt);
        if let Some(field) = call.or(without_date.first()) {
            dates.insert(*field, (*column, false));
        }
    }
    dates
}

fn form(verdict: Verdict, date: Option<Verdict>) -> FieldForm {
    let proved = |form: &Form, format: String, proof: Proof, strays: u64| FieldForm::Proved {
        format,
        proof,
        strays,
        may_lack_meridiem: form.may_lack_meridiem,
    };
    match (verdict, date) {
        (Verdict::TimeOfDay(time), Some(Verdict::DateOnly(date))) => {
            // Where a blank stands inside the date, the two cannot be told apart when joined: then the
            // cells of the date prove themselves again.
            let format = if date.format.contains([' ', 'T']) {
                time.format.clone()
            } else {
                format!("{} {}", date.format, time.format)
            };
            proved(&time, format, date.proof, date.strays + time.strays)
        }
        (Verdict::TimeOfDay(time), Some(Verdict::Ambiguous { formats })) => FieldForm::Open {
            formats: formats
                .iter()
                .map(|date| format!("{date} {}", time.format))
                .collect(),
            why: BOTH_WAYS.to_string(),
        },
        (Verdict::Proved(form) | Verdict::TimeOfDay(form), _) => {
            proved(&form, form.format.clone(), form.proof, form.strays)
        }
        (Verdict::Ambiguous { formats }, _) => FieldForm::Open {
            formats,
            why: BOTH_WAYS.to_string(),
        },
        (Verdict::Mixed { forms }, _) => FieldForm::Open {
            why: format!("the times are written in {} forms", forms.len()),
            formats: forms.into_iter().map(|(format, _)| format).collect(),
        },
        (Verdict::Serial { .. }, _) => FieldForm::Open {
            formats: vec!["serial".to_string(), "serial_1904".to_string()],
            why: "the times are day numbers of a spreadsheet, which counts from 1900 or from 1904"
                .to_string(),
        },
        (Verdict::Empty | Verdict::NotTimes | Verdict::DateOnly(_), _) => FieldForm::Unseen,
    }
}

const BOTH_WAYS: &str = "day and month can be read both ways in every cell";

/// The form of date and time that most fields have; of equals, that of the first.
fn common(fields: &[FieldTimes]) -> Option<String> {
    let mut formats: Vec<(&str, usize)> = Vec::new();
    for times in fields {
        match &times.form {
            FieldForm::Unseen => {}
            FieldForm::Open { .. } => return None,
            FieldForm::Proved { format, .. } => {
                let has_both = TimeFormat::new(format)
                    .is_ok_and(|format| format.has_date() && format.has_time());
                match formats.iter_mut().find(|(known, _)| known == format) {
                    Some((_, count)) => *count += 1,
                    None if has_both => formats.push((format, 1)),
                    None => {}
                }
            }
        }
    }
    let most = formats.iter().rev().max_by_key(|(_, count)| *count)?;
    Some(most.0.to_string())
}

/// What proved a form, in words.
pub(super) fn proof_in_words(proof: Proof) -> String {
    let cells = super::words::in_cells;
    match proof {
        Proof::SelfEvident => "nothing else it could be".to_string(),
        Proof::DaysAboveTwelve(1) => "1 cell has a day above 12".to_string(),
        Proof::DaysAboveTwelve(count) => format!("{} have a day above 12", cells(count)),
        Proof::Sisters(count) => {
            format!("{} of other columns have a day above 12", cells(count))
        }
    }
}

/// The proof of the common form: that of all its fields together.
pub(super) fn proof_of_common(times: &Times, common: &str) -> String {
    let mut days = 0;
    for field in &times.fields {
        if let FieldForm::Proved { format, proof, .. } = &field.form
            && format == common
            && let Proof::DaysAboveTwelve(cells) = proof
        {
            days += cells;
        }
    }
    if days > 0 {
        proof_in_words(Proof::DaysAboveTwelve(days))
    } else {
        proof_in_words(Proof::SelfEvident)
    }
}

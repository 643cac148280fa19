//! Local times of a file of staffing → minutes of UTC. There is one form, with a blank or a `T`, so
//! that day and month cannot be taken for one another.

use super::rows::DutyCell;
use super::rows::RowFault;
use super::rows::duty;
use crate::domain::duty::issue::DutyIssueKind;
use crate::domain::issue::IssueCode;
use crate::ingest::clock::Reading;
use crate::ingest::error::{IngestError, MappingFault};
use crate::ingest::mapping::{Mapping, TimeForm};
use crate::ingest::time::{TimeFormat, ZoneTable};
use std::path::Path;

const FORMS: [&str; 4] = [
    "%Y-%m-%d %H:%M",
    "%Y-%m-%dT%H:%M",
    "%Y-%m-%d %H:%M:%S",
    "%Y-%m-%dT%H:%M:%S",
];

/// Which pass through a repeated hour a time means.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Pass {
    First,
    Later,
}

/// A moment, and whether the clocks showed it twice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Moment {
    /// Minutes, UTC since 1970.
    pub(super) minute: i64,
    pub(super) is_repeated: bool,
}

/// Reads the times of one file.
pub(super) struct LocalTimes<'m> {
    zone: &'m ZoneTable,
    forms: Vec<TimeFormat>,
}

impl<'m> LocalTimes<'m> {
    /// Times on the clocks of a mapping.
    ///
    /// # Errors
    /// Where its times are minutes since the call: then no time of a roster can stand beside them.
    pub(super) fn new(
        mapping: &'m Mapping,
        path: &Path,
        option: &str,
    ) -> Result<LocalTimes<'m>, IngestError> {
        let TimeForm::Clock { table, .. } = &mapping.time_form else {
            let fault = MappingFault::new(
                "needs clock times, and the mapping says `time_form = \"elapsed\"`: minutes since the call stand on no calendar",
                format!("leave `{option}` out, or export the cases with dates and times of day"),
            );
            return Err(duty(path, None, fault));
        };
        let forms = FORMS.iter().map(|words| {
            TimeFormat::new(words).expect("a whole date and time of day in each of the forms")
        });
        Ok(LocalTimes {
            zone: table,
            forms: forms.collect(),
        })
    }

    /// The moment that a cell says.
    pub(super) fn read(&self, cell: DutyCell<'_>, pass: Pass) -> Result<Moment, RowFault> {
        let written = self.forms.iter().find_map(|form| form.read(cell.text).ok());
        let written = written.ok_or_else(|| cell.fault(DutyIssueKind::NotATime))?;
        match written.reading(self.zone) {
            Ok(Reading::Once(minute)) => Ok(Moment {
                minute,
                is_repeated: false,
            }),
            Ok(Reading::Twice { first, second }) => Ok(Moment {
                minute: if pass == Pass::First { first } else { second },
                is_repeated: true,
            }),
            Err(IssueCode::SkippedHour) => Err(cell.fault(DutyIssueKind::SkippedHour)),
            Err(_) => Err(cell.fault(DutyIssueKind::NotATime)),
        }
    }
}

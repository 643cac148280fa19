//! The parts of a mapping that the report is read with: dated changes, targets, and how many months
//! the lines of a chart come from. Which measures there are is not known here.

use crate::domain::month::Month;
use crate::domain::phase::Phase;
use crate::ingest::error::MappingFault;
use crate::ingest::mapping::file::PhaseTable;
use crate::ingest::mapping::file::SignalsTable;
use std::collections::BTreeMap;
use std::ops::RangeInclusive;

/// Months that the lines of a chart may come from. Below a year no limits are drawn, and each season
/// should count once; five years are no baseline but a history.
const BASELINE_MONTHS: RangeInclusive<usize> = 12..=60;

/// Most characters of a note: it stands on a chart.
const LONGEST_NOTE: usize = 80;

pub(super) fn baseline_months(table: &SignalsTable) -> Result<usize, MappingFault> {
    if BASELINE_MONTHS.contains(&table.baseline_months) {
        Ok(table.baseline_months)
    } else {
        Err(MappingFault::new(
            "`signals.baseline_months` is not a number of months from 12 to 60",
            "the lines of each chart come from its first so many months and then stay; write 12 unless you want a longer baseline",
        ))
    }
}

/// The changes, oldest first.
pub(super) fn phases(tables: &[PhaseTable]) -> Result<Vec<Phase>, MappingFault> {
    let mut phases = (1..)
        .zip(tables)
        .map(|(place, table)| phase(place, table))
        .collect::<Result<Vec<_>, _>>()?;
    phases.sort_by_key(|phase| phase.from);
    Ok(phases)
}

/// `place` counts the tables from 1: a note may be what is wrong, so no message shows it.
fn phase(place: usize, table: &PhaseTable) -> Result<Phase, MappingFault> {
    let fault = |what: &str, hint: &str| {
        Err(MappingFault::new(
            format!("`[[phase]]` number {place} {what}"),
            hint,
        ))
    };
    let Ok(from) = table.from.parse::<Month>() else {
        return fault(
            "has a `from` that is no month",
            "write the first month after the change as 2026-09",
        );
    };
    let note = table.note.trim();
    if note.is_empty() {
        return fault(
            "has no `note`",
            "say in a few words what changed, for example note = \"second cart on ward 4\"; it stands on the charts",
        );
    }
    if note.chars().count() > LONGEST_NOTE || note.chars().any(char::is_control) {
        return fault(
            "has a `note` that does not fit on a chart",
            "a note is one line of at most 80 characters",
        );
    }
    for (key, names) in [("measures", &table.measures), ("sites", &table.sites)] {
        let Some(names) = names else { continue };
        if names.is_empty() || names.iter().any(|name| name.trim().is_empty()) {
            return fault(
                &format!("has a list `{key}` that names nothing"),
                "name what the change concerns, or take the list out: then it concerns all",
            );
        }
    }
    let trimmed = |names: &Option<Vec<String>>| -> Vec<String> {
        let names = names.iter().flatten();
        names.map(|name| name.trim().to_owned()).collect()
    };
    Ok(Phase {
        from,
        note: note.to_owned(),
        measures: trimmed(&table.measures),
        sites: trimmed(&table.sites),
    })
}

/// The targets by measure.
pub(super) fn targets(
    table: &BTreeMap<String, f64>,
) -> Result<BTreeMap<String, f64>, MappingFault> {
    let is_possible = |target: f64| target >= 0.0 && target.is_finite();
    match table.iter().find(|(_, target)| !is_possible(**target)) {
        None => Ok(table.clone()),
        Some((measure, _)) => Err(MappingFault::new(
            format!("`targets.{measure}` is not a number of 0 or more"),
            "a target is minutes, a share from 0 to 1, or events per 30 days of one site",
        )),
    }
}

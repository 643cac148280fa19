//! The cases that the review rules list, by the same rows of the same measures as the counts. What
//! leaves here names cases, and is for files below `internal/` alone.

use super::engine::{EngineError, Records};
use super::judged::{texts, whole_numbers};
use super::locality::named_columns;
use super::part::CasesWithPasses;
use crate::domain::fields::{CaseField, Field};
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::review_rules::{CaseToReview, Moments, ReviewRule, WHY_NOT_JUDGED};
use crate::domain::unknown_words::CellText;
use arrow::array::RecordBatch;
use foldhash::quality::FixedState;
use hashbrown::HashMap;
use std::collections::BTreeSet;

/// The columns of records that the review rules need, so that the others need not be kept.
#[derive(Clone, Debug)]
pub struct ReviewColumns(Option<BTreeSet<String>>);

impl ReviewColumns {
    /// The columns that the measures of the rules name, and those that the list shows.
    pub fn new(definitions: &[Definition], rules: &[ReviewRule]) -> ReviewColumns {
        let is_asked = |definition: &Definition| {
            let mut rules = rules.iter();
            rules.any(|rule| rule.measure == definition.id)
        };
        let asked = definitions.iter().filter(|definition| is_asked(definition));
        let asked: Vec<_> = asked.cloned().collect();
        let shown = SHOWN.iter().map(|field| field.column().to_owned());
        ReviewColumns(named_columns(&asked).map(|named| named.into_iter().chain(shown).collect()))
    }

    /// Records without the columns that are not needed.
    ///
    /// # Panics
    /// Never: columns of the records themselves are asked for.
    #[must_use]
    pub fn of(&self, records: &RecordBatch) -> RecordBatch {
        let Some(named) = &self.0 else {
            return records.clone();
        };
        let schema = records.schema();
        let fields = schema.fields().iter().enumerate();
        let wanted: Vec<_> = fields
            .filter(|(_, field)| named.contains(field.name()))
            .map(|(place, _)| place)
            .collect();
        records.project(&wanted).expect("columns that there are")
    }
}

/// What the list shows of a case.
pub(super) const SHOWN: [CaseField; 11] = [
    CaseField::CaseId,
    CaseField::Site,
    CaseField::Month,
    CaseField::CalledAt,
    CaseField::TeamAt,
    CaseField::CartAt,
    CaseField::ScopeInAt,
    CaseField::RemovedAt,
    CaseField::WindowStart,
    CaseField::WindowId,
    CaseField::WindowMinutes,
];

/// The cases that the rules list among these records, in the order of their calls; those called in
/// the same minute by their numbers, and each case by the order of the rules. A rule whose measure is
/// not among the definitions, or is no share of cases, lists nothing. The records may lack columns that
/// are not among the [`ReviewColumns`].
///
/// # Errors
/// As [`super::count`].
pub fn cases_to_review(
    parts: &[CasesWithPasses],
    definitions: &[Definition],
    rules: &[ReviewRule],
) -> Result<Vec<CaseToReview>, EngineError> {
    let mut listed = Vec::new();
    for part in parts {
        listed.append(&mut listed_of(part, definitions, rules)?);
    }
    listed.sort_by(|(first_place, first), (second_place, second)| {
        let by_call = first.moments.called.cmp(&second.moments.called);
        (first.month.cmp(&second.month).then(by_call))
            .then_with(|| first.case.cmp(&second.case))
            .then(first_place.cmp(second_place))
    });
    Ok(listed.into_iter().map(|(_, case)| case).collect())
}

/// The cases that are listed, each with the place of its rule, by measure.
fn listed_of(
    part: &CasesWithPasses,
    definitions: &[Definition],
    rules: &[ReviewRule],
) -> Result<Vec<(usize, CaseToReview)>, EngineError> {
    let records = Records::new(&part.cases, &part.passes);
    let mut listed = Vec::new();
    let mut columns = None;
    for definition in definitions {
        let is_asked = |rule: &ReviewRule| rule.measure == definition.id;
        if definition.kind != MeasureKind::Share || !rules.iter().any(is_asked) {
            continue;
        }
        let data_error = || EngineError::Data {
            measure: definition.id.clone(),
        };
        let columns = match &columns {
            Some(columns) => columns,
            None => columns.insert(Columns::of(&records).ok_or_else(data_error)?),
        };
        let rows = records.rows_of(definition)?;
        let numbers = texts(&rows, CaseField::CaseId.column()).ok_or_else(data_error)?;
        let eligible = whole_numbers(&rows, "eligible").ok_or_else(data_error)?;
        let hits = whole_numbers(&rows, "hit").ok_or_else(data_error)?;
        let reasons = texts(&rows, WHY_NOT_JUDGED);
        for (row, number) in numbers.iter().enumerate() {
            let reason = reasons.as_ref().and_then(|reasons| reasons[row].as_deref());
            let is_listed = |rule: &ReviewRule| {
                let (is_eligible, is_hit) = (eligible[row] == Some(1), hits[row] == Some(1));
                rule.listed.holds(is_eligible, is_hit, reason)
            };
            for (place, rule) in rules.iter().enumerate() {
                if is_asked(rule) && is_listed(rule) {
                    let number = number.as_deref().ok_or_else(data_error)?;
                    let case = columns.case(number, *rule).ok_or_else(data_error)?;
                    listed.push((place, case));
                }
            }
        }
    }
    Ok(listed)
}

/// What the list shows of a case, column by column.
struct Columns {
    /// Looked up only, so its order reaches nothing.
    row_of_number: HashMap<String, usize, FixedState>,
    sites: Vec<Option<String>>,
    months: Vec<Option<String>>,
    called: Vec<Option<i64>>,
    team: Vec<Option<i64>>,
    cart: Vec<Option<i64>>,
    scope_in: Vec<Option<i64>>,
    removed: Vec<Option<i64>>,
    window_start: Vec<Option<i64>>,
    windows: Vec<Option<String>>,
    window_minutes: Vec<Option<i64>>,
}

impl Columns {
    fn of(records: &Records) -> Option<Columns> {
        let text = |field: CaseField| texts(&records.cases, field.column());
        let whole = |field: CaseField| whole_numbers(&records.cases, field.column());
        let numbers = text(CaseField::CaseId)?.into_iter().enumerate();
        Some(Columns {
            row_of_number: numbers
                .filter_map(|(row, number)| Some((number?, row)))
                .collect(),
            sites: text(CaseField::Site)?,
            months: text(CaseField::Month)?,
            called: whole(CaseField::CalledAt)?,
            team: whole(CaseField::TeamAt)?,
            cart: whole(CaseField::CartAt)?,
            scope_in: whole(CaseField::ScopeInAt)?,
            removed: whole(CaseField::RemovedAt)?,
            window_start: whole(CaseField::WindowStart)?,
            windows: text(CaseField::WindowId)?,
            window_minutes: whole(CaseField::WindowMinutes)?,
        })
    }

    /// `None` when there is no such case, or one without a call, which no accepted case is.
    fn case(&self, number: &str, rule: ReviewRule) -> Option<CaseToReview> {
        let row = *self.row_of_number.get(number)?;
        Some(CaseToReview {
            rule,
            case: CellText::new(number),
            site: self.sites[row].as_deref().map(CellText::new),
            month: self.months[row].clone()?,
            moments: Moments {
                called: self.called[row]?,
                team: self.team[row],
                cart: self.cart[row],
                scope_in: self.scope_in[row],
                removed: self.removed[row],
                window_start: self.window_start[row],
            },
            window: self.windows[row].clone(),
            window_minutes: self.window_minutes[row],
        })
    }
}

#[cfg(test)]
mod tests;

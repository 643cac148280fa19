//! `cart_checks.csv`: when carts were due for a check, when they were checked, and what was found.

use super::local_time::{LocalTimes, Pass};
use super::place_code::is_cart_code;
use super::rows::{Column, DutyCell, DutyRow, DutyRows, Refusal, RowFault, read_rows};
use crate::domain::codes::CartFault;
use crate::domain::codes::YesNo;
use crate::domain::duty::cart_check::CartCheck;
use crate::domain::duty::issue::DutyIssueKind;
use crate::domain::fields::Kind;
use crate::ingest::error::{IngestError, MappingFault};
use crate::ingest::mapping::Mapping;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

const COLUMNS: [Column; 6] = [
    Column {
        name: "site",
        kind: Kind::Text,
    },
    Column {
        name: "cart",
        kind: Kind::Text,
    },
    Column {
        name: "due_at",
        kind: Kind::Minute,
    },
    Column {
        name: "checked_at",
        kind: Kind::Minute,
    },
    Column {
        name: "complete",
        kind: Kind::Code(YesNo::LIST),
    },
    Column {
        name: "faults",
        kind: Kind::Code(CartFault::LIST),
    },
];

const SITE: usize = 0;
const CART: usize = 1;
const DUE: usize = 2;
const CHECKED: usize = 3;
const COMPLETE: usize = 4;
const FAULTS: usize = 5;

/// How long before it was due a check may have been done, in minutes. One that is further off has a
/// wrong month or year more likely, and would count as done in time.
const LONGEST_BEFORE: i64 = 31 * 24 * 60;

/// Reads checks of carts. Times are local, in the zone of the mapping.
///
/// # Errors
/// When the mapping has no clock times; when the file cannot be read or is no CSV, lacks a column,
/// has another one, or has no row; when a cart is no code, or the file seems to identify persons.
pub fn read_cart_checks(
    path: &Path,
    mapping: &Mapping,
) -> Result<DutyRows<CartCheck>, IngestError> {
    let times = LocalTimes::new(mapping, path, "--cart-checks")?;
    let mut checks_so_far = ChecksSoFar::new();
    read_rows(path, &COLUMNS, |row| read(row, &times, &mut checks_so_far))
}

/// What was said of each check: by site, cart and due time.
type ChecksSoFar = BTreeMap<(String, String, i64), CartCheck>;

fn read(
    row: &mut DutyRow<'_>,
    times: &LocalTimes<'_>,
    checks_so_far: &mut ChecksSoFar,
) -> Result<CartCheck, Refusal> {
    let cart = row.needed(CART)?;
    if !is_cart_code(cart.text) {
        return Err(Refusal::Run(no_cart(row.column_number(CART))));
    }
    let site = row.needed(SITE)?;
    let due_cell = row.needed(DUE)?;
    let due = times.read(due_cell, Pass::First)?;
    let checked_cell = row.cell(CHECKED)?;
    // A time that cannot be read is not taken for a check that was not done.
    let checked = checked_cell
        .map(|cell| times.read(cell, Pass::First))
        .transpose()?;
    if let (Some(checked), Some(cell)) = (checked, checked_cell)
        && checked.minute < due.minute - LONGEST_BEFORE
    {
        return Err(cell.fault(DutyIssueKind::CheckedLongBefore).into());
    }
    let (complete_cell, faults_cell) = (row.cell(COMPLETE)?, row.cell(FAULTS)?);
    let mut is_complete = complete_cell.and_then(|cell| answer(row, cell));
    let faults = faults_cell.map_or_else(Vec::new, |cell| faults(row, cell));
    if checked.is_none() && (is_complete.is_some() || !faults.is_empty()) {
        return Err(RowFault::of_row(DutyIssueKind::FindingsWithoutCheck).into());
    }
    if let (Some(true), Some(cell), false) = (is_complete, complete_cell, faults.is_empty()) {
        is_complete = None;
        row.note(cell.fault(DutyIssueKind::CompleteWithFaults));
    }
    let check = CartCheck {
        site: site.text.to_owned(),
        cart: cart.text.to_owned(),
        due: due.minute,
        checked: checked.map(|moment| moment.minute),
        is_complete,
        faults,
    };
    let key = (check.site.clone(), check.cart.clone(), check.due);
    match checks_so_far.get(&key) {
        Some(earlier) if *earlier == check => {
            return Err(RowFault::of_row(DutyIssueKind::RepeatedRow).into());
        }
        Some(_) => return Err(RowFault::of_row(DutyIssueKind::ConflictingRow).into()),
        None => {}
    }
    checks_so_far.insert(key, check.clone());
    let moments = [(Some(due), Some(due_cell)), (checked, checked_cell)];
    for (moment, cell) in moments {
        if let (Some(moment), Some(cell)) = (moment, cell)
            && moment.is_repeated
        {
            row.note(cell.fault(DutyIssueKind::RepeatedHour));
        }
    }
    Ok(check)
}

fn no_cart(column_number: usize) -> MappingFault {
    MappingFault::new(
        format!("column {column_number}, `cart`, holds no code of a cart, and may name a person"),
        "write a code with a digit or a word for carts in it, such as `cart_1` or `EC-02`: letters, digits, `_` and `-`, at most 20 of them",
    )
}

fn answer(row: &mut DutyRow<'_>, cell: DutyCell<'_>) -> Option<bool> {
    let is_yes = match cell.text.to_lowercase().as_str() {
        "yes" | "y" | "true" | "1" => Some(true),
        "no" | "n" | "false" | "0" => Some(false),
        _ => None,
    };
    if is_yes.is_none() {
        row.note(cell.fault(DutyIssueKind::UnknownAnswer));
    }
    is_yes
}

/// The faults that are known, in their order; `none` is none.
fn faults(row: &mut DutyRow<'_>, cell: DutyCell<'_>) -> Vec<CartFault> {
    let mut found = BTreeSet::new();
    let mut has_unknown = false;
    for word in cell.text.split('+') {
        let word = word.trim().to_lowercase().replace(['-', ' '], "_");
        match CartFault::LIST.position(&word) {
            Some(index) => {
                found.insert(CartFault::ALL[index]);
            }
            None => has_unknown |= word != "none" && !word.is_empty(),
        }
    }
    if has_unknown {
        row.note(cell.fault(DutyIssueKind::UnknownFault));
    }
    found.into_iter().collect()
}

#[cfg(test)]
mod tests;

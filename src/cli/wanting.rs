//! Which measures want for a field: the export does not have it, or has it and never fills it.
//!
//! The text of a query says which columns it names, and the counts say what that does: a measure
//! that names several ways to judge a case may well be counted without one of them.

use super::console::{self, Tone, painted};
use super::inputs::Read;
use crate::domain::accounting::Accounting;
use crate::domain::fields::{CaseField, Field, Origin, PassField};
use crate::domain::measure::Definition;
use crate::findings::flow::{Flow, FlowResult};
use crate::measure::{self, columns_of};
use std::collections::BTreeSet;

/// A measure that names fields without a single value.
struct Wanting {
    measure: String,
    /// What to say of the fields.
    fields: Vec<String>,
    /// Whether there is nothing to count.
    is_uncounted: bool,
}

/// Prints the measures that cannot be counted, and those that are counted with less to judge by.
pub(super) fn print(read: &Read, definitions: &[Definition]) -> anyhow::Result<()> {
    let wanting = wanting(read, definitions)?;
    for (head, is_uncounted) in [
        ("not counted for want of:", true),
        ("counted, though without:", false),
    ] {
        let mut of_kind = wanting
            .iter()
            .filter(|wanting| wanting.is_uncounted == is_uncounted)
            .peekable();
        if of_kind.peek().is_some() {
            console::line(&painted(Tone::Heading, head));
        }
        for wanting in of_kind {
            let fields = wanting.fields.join(", ");
            console::line(&format!("  {}: {fields}", wanting.measure));
        }
    }
    Ok(())
}

fn wanting(read: &Read, definitions: &[Definition]) -> anyhow::Result<Vec<Wanting>> {
    let ingested = &read.ingested;
    let named: Vec<_> = definitions
        .iter()
        .map(|definition| (definition, wanted_fields(read, definition)))
        .filter(|(_, fields)| !fields.is_empty())
        .collect();
    if named.is_empty() {
        return Ok(Vec::new());
    }
    let definitions: Vec<_> = named
        .iter()
        .map(|(definition, _)| (*definition).clone())
        .collect();
    let counts = measure::count(
        &ingested.cases,
        &ingested.passes,
        &ingested.exposure,
        &definitions,
    )?;
    let flow = Flow::new(
        ingested.cases_accounting,
        None,
        ingested.cases_accounting.accepted,
        &counts,
        &definitions,
    )?;
    Ok(named
        .into_iter()
        .zip(flow.measures)
        .map(|((_, fields), flow)| Wanting {
            measure: flow.measure,
            fields,
            // A length of time of which every end is wanting says nothing either.
            is_uncounted: flow.eligible == 0 || flow.result == FlowResult::Reached(0),
        })
        .collect())
}

/// What to say of the fields that a measure names and no record has, in the order in which its
/// query names them; the first is mostly what the measure is about.
fn wanted_fields(read: &Read, definition: &Definition) -> Vec<String> {
    let ingested = &read.ingested;
    let mut columns: Vec<_> = columns_of(definition).into_iter().collect();
    columns.sort_by_key(|column| definition.sql.find(column));
    let mut words = Vec::new();
    for column in columns {
        let of_case = CaseField::ALL.iter().find(|field| field.column() == column);
        let of_pass = PassField::ALL.iter().find(|field| field.column() == column);
        if ingested.filled_columns.contains(column) {
            continue;
        }
        let given = match (of_case, of_pass) {
            (Some(field), _) => source_of(read, *field),
            (None, Some(_)) if has_no_row(ingested.passes_accounting) => {
                words.push("a passes export".to_owned());
                continue;
            }
            (None, Some(field)) => {
                words.push(format!("`{}` (never filled)", field.name()));
                continue;
            }
            (None, None) => continue,
        };
        if let Some(field) = given {
            let is_mapped = ingested
                .completeness
                .iter()
                .any(|(name, _)| *name == field.name());
            let never = if is_mapped { " (never filled)" } else { "" };
            words.push(format!("`{}`{never}", field.name()));
        }
    }
    let mut seen = BTreeSet::new();
    words.retain(|word| seen.insert(word.clone()));
    words
}

fn has_no_row(passes: Option<Accounting>) -> bool {
    passes.is_none_or(|rows| rows.accepted == 0)
}

/// The field of an export from which a field gets its value; `None` when it is made of several.
fn source_of(read: &Read, field: CaseField) -> Option<CaseField> {
    match field {
        CaseField::WindowStart => CaseField::ALL
            .iter()
            .copied()
            .find(|field| field.label() == read.mapping.window_start()),
        CaseField::AgeGroup => Some(CaseField::AgeYears),
        CaseField::Shift => Some(CaseField::Hour),
        field if field.origin() == Origin::Derived => None,
        field => Some(field),
    }
}

//! The table `values`: the closed list of every dimension, with the words for each code.
//!
//! Knows the columns. Dimensions without a closed list, such as sites, are left out.

use super::columns::{batch, made_by, text, whole};
use super::table::{Table, TableError};
use crate::domain::codes::NOT_RECORDED;
use crate::domain::fields::{code_list, dimension_label};
use crate::findings::review::Review;
use std::collections::BTreeSet;

/// One row for each code of each dimension by which anything was counted, in the order of the lists;
/// `not_recorded` ends each.
///
/// # Errors
/// When a place does not fit INT64.
pub fn values_table(review: &Review) -> Result<Table, TableError> {
    let findings = review.findings.iter();
    let dimensions: BTreeSet<&str> = findings.flat_map(|row| row.by.split('+')).collect();
    let rows: Vec<(&str, usize, &str, &str)> = dimensions
        .into_iter()
        .filter_map(|dimension| Some((dimension, code_list(dimension)?)))
        .flat_map(|(dimension, list)| {
            let words = list.words.iter().map(|word| (word.code, word.label));
            let words = words.chain([(NOT_RECORDED, "not recorded")]);
            let placed = words.enumerate();
            placed.map(move |(place, (code, label))| (dimension, place + 1, code, label))
        })
        .collect();
    let columns = vec![
        text(
            "dimension",
            "name of the dimension, as columns by and variable have it",
            rows.iter().map(|row| row.0),
        ),
        text(
            "dimension_label",
            "words for the dimension",
            rows.iter().map(|row| dimension_label(row.0)),
        ),
        text(
            "value",
            "the code, as columns group and category have it",
            rows.iter().map(|row| row.2),
        ),
        text("label", "words for the code", rows.iter().map(|row| row.3)),
        made_by(
            whole(
                "place",
                "place in the list, from 1; an order of listing and no ranking",
                "number",
                rows.iter().map(|row| row.1),
            )?,
            "as listed",
        ),
    ];
    Ok(Table {
        name: "values",
        batch: batch(columns),
    })
}

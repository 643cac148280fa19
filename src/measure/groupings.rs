//! How each kind of measure is split, as data in `sql/groupings.csv`. A short list: only splits that
//! some output needs, never all dimensions at once, which would be the rows again.

use crate::domain::counts::ALL;
use crate::domain::measure::MeasureKind;

const TABLE: &str = include_str!("../../sql/groupings.csv");

/// One way to split a measure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grouping {
    /// The kind of measure that is split so.
    pub kind: MeasureKind,
    /// Dimensions, without the month; none for all cases together.
    pub dimensions: Vec<String>,
    /// Whether each month is counted apart.
    pub is_monthly: bool,
}

impl Grouping {
    /// The dimensions as they stand in a count table.
    pub fn by(&self) -> String {
        if self.dimensions.is_empty() {
            ALL.to_string()
        } else {
            self.dimensions.join("+")
        }
    }

    /// The columns to group by, the month last.
    pub fn columns(&self) -> impl Iterator<Item = &str> {
        self.dimensions
            .iter()
            .map(String::as_str)
            .chain(self.is_monthly.then_some("month"))
    }
}

/// The groupings, in the order of the file.
pub fn groupings() -> Vec<Grouping> {
    parse(TABLE).expect("the built-in table, which a test reads")
}

fn parse(table: &str) -> Option<Vec<Grouping>> {
    table
        .lines()
        .skip(1)
        .map(|line| {
            let [kind, by, month] =
                <[&str; 3]>::try_from(line.split(',').collect::<Vec<_>>()).ok()?;
            Some(Grouping {
                kind: MeasureKind::ALL
                    .into_iter()
                    .find(|known| known.code() == kind)?,
                dimensions: if by == ALL {
                    Vec::new()
                } else {
                    by.split('+').map(String::from).collect()
                },
                is_monthly: match month {
                    "each" => true,
                    "all" => false,
                    _ => return None,
                },
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fields::{COMPUTED_DIMENSIONS, CaseField, Field, Kind, PassField};

    #[test]
    fn every_dimension_is_a_text_column_of_the_records_or_computed() {
        let text_columns: Vec<_> = CaseField::ALL
            .iter()
            .map(|field| (field.column(), field.kind()))
            .chain(
                PassField::ALL
                    .iter()
                    .map(|field| (field.column(), field.kind())),
            )
            .filter(|(_, kind)| matches!(kind, Kind::Text | Kind::Code(_)))
            .map(|(column, _)| column)
            // The one whole number that has few values.
            .chain(["hour"])
            .chain(COMPUTED_DIMENSIONS.iter().map(|(name, ..)| *name))
            .collect();
        for grouping in groupings() {
            for dimension in &grouping.dimensions {
                assert!(text_columns.contains(&dimension.as_str()), "{dimension}");
            }
        }
        // A row that stands twice would be counted twice.
        for (place, grouping) in groupings().iter().enumerate() {
            assert!(
                !groupings()[..place].contains(grouping),
                "twice: {}",
                grouping.by()
            );
        }
        for kind in MeasureKind::ALL {
            assert!(groupings().iter().any(|grouping| grouping.kind == kind));
        }
    }
}

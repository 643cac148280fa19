//! What a program that knows nothing of this tool finds in a table of `tables`: what the table is, and
//! for each column a unit, a definition and a method, as metadata of the schema.
//!
//! Changes no row. The tables of a review hold the definition alone, under `meaning`.

use super::table::Table;
use arrow::array::RecordBatch;
use arrow::datatypes::{DataType, Field, Schema};
use std::sync::Arc;

/// Key of what a table or column is.
pub const DEFINITION: &str = "definition";

/// Key of how the numbers of a column were made.
pub const METHOD: &str = "method";

/// Key of what the numbers of a column are counted in.
pub const UNIT: &str = "unit";

/// The same rows with a definition of the table, and unit, definition and method of each column. Text
/// and yes or no have neither unit nor method.
pub fn described(table: &Table) -> Table {
    let schema = table.batch.schema();
    let has_method = schema.field_with_name("method").is_ok();
    let fields: Vec<Field> = schema
        .fields()
        .iter()
        .map(|field| described_field(field, has_method))
        .collect();
    let schema = Schema::new_with_metadata(fields, [(DEFINITION, about(table.name))]);
    let columns = table.batch.columns().to_vec();
    Table {
        name: table.name,
        batch: RecordBatch::try_new(Arc::new(schema), columns)
            .expect("names and types are those of the columns"),
    }
}

fn described_field(field: &Field, has_method: bool) -> Field {
    let mut metadata = field.metadata().clone();
    if let Some(meaning) = metadata.remove("meaning") {
        metadata.insert(DEFINITION, meaning);
    }
    let (unit, method) = match field.data_type() {
        DataType::Int64 => ("count", "counted"),
        DataType::Float64 if field.name() == "level" => ("fraction", "as set for the run"),
        DataType::Float64 if has_method => ("number", "as column `method` says"),
        DataType::Float64 => ("number", "computed from the counts beside it"),
        _ => return field.clone().with_metadata(metadata),
    };
    for (key, words) in [(UNIT, unit), (METHOD, method)] {
        if !metadata.contains_key(key) {
            metadata.insert(key, words);
        }
    }
    field.clone().with_metadata(metadata)
}

/// What a table is, in a sentence.
fn about(table: &str) -> &'static str {
    match table {
        "case_mix" => {
            "Which cases stand in which group: each category and each time in all cases and in each group, \
             with what was not recorded and the largest standardized difference between groups"
        }
        "comparisons" => {
            "Every number of a comparison with both sides, interval and p-value; uses are compared, nothing \
             is ranked"
        }
        "curves" => {
            "Kaplan-Meier curves from call and from arrival to scope in by urgency: a row for each minute \
             at which something happened"
        }
        "devices" => {
            "Each device for each object type: the share of successes as it is, drawn toward those of the \
             other devices, and the difference to the other devices, adjusted for the object type in the \
             rows over all object types"
        }
        "ends" => "What had become of all judged calls by half an hour to a day",
        "findings" => {
            "A row for each measure, group and month that was counted, with counts, interval and method: over \
             all cases and by dimension, over the whole period and month by month"
        }
        "measures" => "What each measure is: the definitions that the other tables name",
        "months" => {
            "Monthly series: a row for each month of all cases, and of each site and shift unless the table is \
             made to be passed on; a column for each measure"
        }
        "values" => "The closed lists: the words for each code of each dimension",
        _ => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::columns::{batch, made_by, number, text, whole};

    fn said(table: &Table) -> Vec<[Option<String>; 3]> {
        let schema = table.batch.schema();
        let fields = schema.fields().iter();
        let keys = [UNIT, DEFINITION, METHOD];
        fields
            .map(|field| keys.map(|key| field.metadata().get(key).cloned()))
            .collect()
    }

    #[test]
    fn every_number_has_a_unit_a_definition_and_a_method() {
        let columns = vec![
            text("group", "the group", ["Alder"].iter()),
            number("level", "a level", "fraction", [Some(0.95)].into_iter()),
            whole("events", "how many", "", [3_u64].into_iter()).expect("fits"),
            number("share", "a part", "fraction", [Some(0.5)].into_iter()),
            made_by(
                number("p", "a chance", "probability", [None].into_iter()),
                "holm",
            ),
        ];
        let table = described(&Table {
            name: "devices",
            batch: batch(columns.clone()),
        });
        let words =
            |words: [&str; 3]| words.map(|word| (!word.is_empty()).then(|| word.to_owned()));
        let expected = [
            words(["", "the group", ""]),
            words(["fraction", "a level", "as set for the run"]),
            words(["count", "how many", "counted"]),
            words(["fraction", "a part", "computed from the counts beside it"]),
            words(["probability", "a chance", "holm"]),
        ];
        assert_eq!(said(&table), expected);
        let about = table.batch.schema_ref().metadata()[DEFINITION].clone();
        assert!(
            about.starts_with("Each device for each object type"),
            "{about}"
        );

        let columns = columns.into_iter().take(4);
        let method = text("method", "how", ["wilson"].iter());
        let table = described(&Table {
            name: "findings",
            batch: batch(columns.chain([method]).collect()),
        });
        assert_eq!(
            said(&table)[3][2].as_deref(),
            Some("as column `method` says")
        );
    }
}

//! The typed records as they are handed from module to module: Arrow batches with a column for each
//! field. Knows how a column is laid out, and nothing of what a field means.
//!
//! A column of text holds either each text for itself, or each different text once and for every
//! record the place of its own. The latter takes a tenth of the room, and who asks for texts need not
//! know which of them it is.

use crate::domain::fields::Field;
use arrow::array::{
    Array, ArrayRef, AsArray, DictionaryArray, Int32Array, Int64Array, RecordBatch, StringArray,
};
use arrow::compute::cast;
use arrow::datatypes::{DataType, Field as ArrowField, Int32Type, Schema, SchemaRef};
use std::sync::Arc;

/// The column of both kinds of record that names the case.
pub const CASE_ID: &str = "case_id";

/// The type of a column where each text stands for itself.
pub fn data_type<F: Field>(field: F) -> DataType {
    if field.kind().is_text() {
        DataType::Utf8
    } else {
        DataType::Int64
    }
}

/// The column of a field where each text stands for itself.
pub fn arrow_field<F: Field>(field: F) -> ArrowField {
    ArrowField::new(field.column(), data_type(field), true)
}

/// The columns of all fields, each text for itself.
pub fn schema<F: Field>() -> SchemaRef {
    let columns = F::ALL.iter().map(|field| arrow_field(*field));
    Arc::new(Schema::new(columns.collect::<Vec<_>>()))
}

/// The type of a column in records that were read from exports.
pub fn compact_type<F: Field>(field: F) -> DataType {
    let each = data_type(field);
    if has_few_texts(field) {
        DataType::Dictionary(Box::new(DataType::Int32), Box::new(each))
    } else {
        each
    }
}

/// Whether a column of text holds few different texts: all but that which names the case.
pub fn has_few_texts<F: Field>(field: F) -> bool {
    field.kind().is_text() && field.column() != CASE_ID
}

/// The texts of one column of one batch.
#[derive(Clone, Copy, Debug)]
pub enum Texts<'a> {
    /// Each for itself.
    Each(&'a StringArray),
    /// The different ones, and of every record the place of its own.
    Listed {
        /// Null where a record has none.
        places: &'a Int32Array,
        /// The different texts.
        texts: &'a StringArray,
    },
}

impl<'a> Texts<'a> {
    /// The texts of a column; `None` when it holds something else.
    pub fn of(column: &'a dyn Array) -> Option<Texts<'a>> {
        if let Some(texts) = column.as_string_opt::<i32>() {
            return Some(Texts::Each(texts));
        }
        let listed: &DictionaryArray<Int32Type> = column.as_dictionary_opt()?;
        Some(Texts::Listed {
            places: listed.keys(),
            texts: listed.values().as_string_opt::<i32>()?,
        })
    }

    /// The text of a record; `None` when it has none.
    pub fn get(self, record: usize) -> Option<&'a str> {
        match self {
            Texts::Each(texts) => texts.is_valid(record).then(|| texts.value(record)),
            Texts::Listed { places, texts } => {
                let place = places.is_valid(record).then(|| places.value(record))?;
                Some(texts.value(usize::try_from(place).ok()?))
            }
        }
    }

    /// The texts of all records, in order.
    pub fn iter(self) -> impl Iterator<Item = Option<&'a str>> {
        (0..self.len()).map(move |record| self.get(record))
    }

    fn len(self) -> usize {
        match self {
            Texts::Each(texts) => texts.len(),
            Texts::Listed { places, .. } => places.len(),
        }
    }
}

/// The column of a field in every batch.
///
/// # Panics
/// When a batch lacks the column, as it may where nobody asks for it.
pub fn columns_of<F: Field>(field: F, records: &[RecordBatch]) -> impl Iterator<Item = &ArrayRef> {
    records.iter().map(move |batch| {
        let column = batch.column_by_name(field.column());
        column.expect("records hold the columns that are asked for")
    })
}

/// The texts of a field, batch by batch.
///
/// # Panics
/// When a batch lacks the column, or the field is none of text.
pub fn texts_of<F: Field>(field: F, records: &[RecordBatch]) -> impl Iterator<Item = Texts<'_>> {
    let columns = columns_of(field, records);
    columns.map(|column| Texts::of(column).expect("a field of text has a column of text"))
}

/// The text of a field in every record.
///
/// # Panics
/// As [`texts_of`].
pub fn texts<F: Field>(field: F, records: &[RecordBatch]) -> impl Iterator<Item = Option<&str>> {
    texts_of(field, records).flat_map(Texts::iter)
}

/// The whole number of a field in every record.
///
/// # Panics
/// When a batch lacks the column, or the field is one of text.
pub fn wholes<F: Field>(field: F, records: &[RecordBatch]) -> impl Iterator<Item = Option<i64>> {
    columns_of(field, records).flat_map(|column| {
        let numbers: Option<&Int64Array> = column.as_any().downcast_ref();
        numbers
            .expect("a field without text has whole numbers")
            .iter()
    })
}

/// The records with each text for itself.
///
/// # Panics
/// Never: a list of texts can always be written out.
#[must_use]
pub fn written_out(records: &RecordBatch) -> RecordBatch {
    let columns = records.schema_ref().fields().iter().zip(records.columns());
    let columns = columns.map(|(field, column)| {
        let column = match column.data_type() {
            DataType::Dictionary(_, each) => cast(column, each).expect("texts of a list of texts"),
            _ => column.clone(),
        };
        let field = ArrowField::new(field.name(), column.data_type().clone(), true);
        (field, column)
    });
    let (fields, columns): (Vec<_>, Vec<_>) = columns.unzip();
    RecordBatch::try_new(Arc::new(Schema::new(fields)), columns)
        .expect("columns of the records, as long as before")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_the_same_each_for_itself_and_from_a_list() {
        let expected = [Some("net"), None, Some("snare"), Some("net")];
        let each = StringArray::from(expected.to_vec());
        let listed: DictionaryArray<Int32Type> = expected.into_iter().collect();
        for column in [&each as &dyn Array, &listed] {
            let texts = Texts::of(column).expect("a column of text");
            assert_eq!(texts.iter().collect::<Vec<_>>(), expected);
            assert_eq!((texts.get(0), texts.get(1)), (Some("net"), None));
        }
        assert!(Texts::of(&Int64Array::from(vec![1])).is_none());
        let field = ArrowField::new("device", listed.data_type().clone(), true);
        let records = RecordBatch::try_new(
            Arc::new(Schema::new(vec![field])),
            vec![Arc::new(listed) as ArrayRef],
        );
        let written = written_out(&records.expect("one column"));
        assert_eq!(written.column(0).as_string::<i32>(), &each);
    }
}

//! One record at a time, and typed Arrow columns of many. The only file of ingest that knows Arrow.

use super::cell::{Value, WholeWord};
use crate::domain::fields::{CaseField, Field, PassField};
use crate::domain::month::Month;
use crate::records::{compact_type, has_few_texts};
use arrow::array::{
    ArrayRef, BooleanArray, DictionaryArray, Int32Builder, Int64Builder, RecordBatch,
    RecordBatchOptions, StringArray, StringBuilder, new_null_array,
};
use arrow::compute::filter_record_batch;
use arrow::datatypes::{Field as ArrowField, Schema};
use foldhash::fast::FixedState;
use hashbrown::HashMap;
use std::hash::BuildHasher as _;
use std::marker::PhantomData;
use std::sync::Arc;

/// Which fields of a record have a value, one bit each in the order of the fields.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub(super) struct FilledFields(u128);

// A field more than bits would be lost without a word.
const _: () = assert!(CaseField::ALL.len() <= 128 && PassField::ALL.len() <= 128);

impl FilledFields {
    /// Every field.
    pub(super) const ALL: FilledFields = FilledFields(u128::MAX);

    /// No field.
    pub(super) const NONE: FilledFields = FilledFields(0);

    /// These and the field at that place.
    pub(super) const fn with(self, place: usize) -> FilledFields {
        FilledFields(self.0 | 1 << place)
    }

    /// The fields that are meant.
    pub(super) fn of<F: Field>(is_meant: impl Fn(F) -> bool) -> FilledFields {
        let fields = F::ALL.iter().filter(|field| is_meant(**field));
        fields.fold(FilledFields::NONE, |fields, field| {
            fields.with(field.index())
        })
    }

    /// Whether the field at that place is one of them.
    fn has(self, place: usize) -> bool {
        self.0 >> place & 1 == 1
    }

    /// Those that are among the others.
    pub(super) fn and(self, others: FilledFields) -> FilledFields {
        FilledFields(self.0 & others.0)
    }

    /// These and the others.
    fn or(self, others: FilledFields) -> FilledFields {
        FilledFields(self.0 | others.0)
    }

    /// These without the others.
    pub(super) const fn without(self, others: FilledFields) -> FilledFields {
        FilledFields(self.0 & !others.0)
    }

    /// Their places among all fields, rising.
    pub(super) fn places(self) -> impl Iterator<Item = usize> {
        let mut rest = self.0;
        std::iter::from_fn(move || {
            let place = rest.trailing_zeros() as usize;
            (rest != 0).then(|| {
                rest &= rest - 1;
                place
            })
        })
    }
}

/// The values of one case or pass, one per field, borrowed from its row and from the mapping.
pub(super) struct Record<'a, F> {
    values: Vec<Value<'a>>,
    filled: FilledFields,
    fields: PhantomData<F>,
}

impl<'a, F: Field> Record<'a, F> {
    /// A record of which nothing is known.
    pub(super) fn empty() -> Record<'a, F> {
        Record {
            values: vec![Value::Missing; F::ALL.len()],
            filled: FilledFields::default(),
            fields: PhantomData,
        }
    }

    pub(super) fn set(&mut self, field: F, value: Value<'a>) {
        let bit = 1 << field.index();
        if value == Value::Missing {
            self.filled.0 &= !bit;
        } else {
            self.filled.0 |= bit;
        }
        self.values[field.index()] = value;
    }

    /// Sets a field by what `read` writes. When that fails the field is missing.
    pub(super) fn set_by<E>(
        &mut self,
        field: F,
        read: impl FnOnce(&mut Value<'a>) -> Result<(), E>,
    ) -> Result<(), E> {
        let value = &mut self.values[field.index()];
        let result = read(value);
        if result.is_err() {
            *value = Value::Missing;
        }
        let bit = 1 << field.index();
        self.filled.0 = match value {
            Value::Missing => self.filled.0 & !bit,
            _ => self.filled.0 | bit,
        };
        result
    }

    /// Which fields have a value.
    pub(super) fn filled(&self) -> FilledFields {
        self.filled
    }

    /// The values of these fields, in order.
    pub(super) fn values_of(&self, fields: FilledFields) -> impl Iterator<Item = &Value<'a>> {
        fields.places().map(|place| &self.values[place])
    }

    pub(super) fn value(&self, field: F) -> Value<'a> {
        self.values[field.index()]
    }

    pub(super) fn has(&self, field: F) -> bool {
        self.filled.has(field.index())
    }

    pub(super) fn text(&self, field: F) -> Option<&'a str> {
        self.values[field.index()].text()
    }

    pub(super) fn whole(&self, field: F) -> Option<i64> {
        self.values[field.index()].whole()
    }
}

/// Room that columns begin with: rows of a block of a mebibyte, and bytes of a case number.
const RECORDS_OF_A_BLOCK: usize = 4096;
const TEXT_BYTES: usize = 8;

/// Records gathered column by column. A column is made with its first value: an export has values for
/// half of the fields at most.
pub(super) struct Columns<F> {
    builders: Vec<Option<Builder>>,
    /// The fields that have a column.
    met: FilledFields,
    rows: usize,
    asked: FilledFields,
    /// The last month, written out: rows of one month stand together.
    month: Option<(Month, String)>,
    fields: PhantomData<F>,
}

enum Builder {
    Text(StringBuilder),
    /// Of few different texts.
    Listed(ListedTexts),
    Whole(Int64Builder),
}

impl Builder {
    fn new<F: Field>(field: F) -> Builder {
        if has_few_texts(field) {
            Builder::Listed(ListedTexts {
                texts: Vec::new(),
                places: Int32Builder::with_capacity(RECORDS_OF_A_BLOCK),
                place_of: HashMap::default(),
                codes: Box::new([("", 0); CODE_SLOTS]),
            })
        } else if field.kind().is_text() {
            let text_bytes = RECORDS_OF_A_BLOCK * TEXT_BYTES;
            Builder::Text(StringBuilder::with_capacity(RECORDS_OF_A_BLOCK, text_bytes))
        } else {
            Builder::Whole(Int64Builder::with_capacity(RECORDS_OF_A_BLOCK))
        }
    }

    fn append_nulls(&mut self, rows: usize) {
        match self {
            Builder::Text(builder) => builder.append_nulls(rows),
            Builder::Listed(listed) => listed.places.append_nulls(rows),
            Builder::Whole(builder) => builder.append_nulls(rows),
        }
    }

    fn finish(self) -> ArrayRef {
        match self {
            Builder::Text(mut builder) => Arc::new(builder.finish()),
            Builder::Listed(mut listed) => {
                let texts = StringArray::from_iter_values(&listed.texts);
                let array = DictionaryArray::try_new(listed.places.finish(), Arc::new(texts));
                Arc::new(array.expect("every place is one of the texts"))
            }
            Builder::Whole(mut builder) => Arc::new(builder.finish()),
        }
    }
}

/// The different texts of a column, and the place of that of each record.
struct ListedTexts {
    texts: Vec<Box<str>>,
    places: Int32Builder,
    /// Looked up only, so its order reaches nothing.
    place_of: HashMap<Box<str>, i32, FixedState>,
    /// Codes met lately with their places, each in the slot of its address. A code stands in the program
    /// once, so where it stands tells it from others without a look at its letters.
    codes: Box<[(&'static str, i32); CODE_SLOTS]>,
}

/// A power of two: so many more than a column has codes that two seldom share one.
const CODE_SLOTS: usize = 64;

impl ListedTexts {
    fn push_code(&mut self, code: &'static str) {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "the low bits of the hash are what is wanted"
        )]
        let slot = FixedState::default().hash_one(code.as_ptr().addr()) as usize % CODE_SLOTS;
        let (known, place) = self.codes[slot];
        let place = if std::ptr::eq(known, code) {
            place
        } else {
            let place = self.place(code);
            self.codes[slot] = (code, place);
            place
        };
        self.places.append_value(place);
    }

    fn push(&mut self, text: &str) {
        let place = self.place(text);
        self.places.append_value(place);
    }

    fn place(&mut self, text: &str) -> i32 {
        if let Some(place) = self.place_of.get(text) {
            return *place;
        }
        let place = i32::try_from(self.texts.len()).expect("fewer texts than rows of a block");
        self.texts.push(text.into());
        self.place_of.insert(text.into(), place);
        place
    }
}

impl<F: Field> Columns<F> {
    /// No record. Only the columns of these fields are made.
    pub(super) fn new(asked: FilledFields) -> Columns<F> {
        Columns {
            builders: F::ALL.iter().map(|_| None).collect(),
            met: FilledFields::NONE,
            rows: 0,
            asked,
            month: None,
            fields: PhantomData,
        }
    }

    pub(super) fn push(&mut self, record: &Record<'_, F>) {
        let filled = record.filled.and(self.asked);
        for place in filled.without(self.met).places() {
            let mut builder = Builder::new(F::ALL[place]);
            if self.rows > 0 {
                builder.append_nulls(self.rows);
            }
            self.builders[place] = Some(builder);
        }
        self.met = self.met.or(filled);
        // Every column gets its value or a null, so that the way through them is the same in each row,
        // which the processor learns.
        for place in self.met.places() {
            let Some(builder) = &mut self.builders[place] else {
                continue;
            };
            match (builder, record.values[place]) {
                (Builder::Listed(listed), Value::Code(code)) => listed.push_code(code),
                (Builder::Listed(listed), Value::Month(WholeWord(month))) => {
                    let written = self.month.take().filter(|(last, _)| *last == month);
                    let (month, text) = written.unwrap_or_else(|| (month, month.to_string()));
                    listed.push(&text);
                    self.month = Some((month, text));
                }
                (Builder::Listed(listed), value) => match value.text() {
                    Some(text) => listed.push(text),
                    None => listed.places.append_null(),
                },
                (Builder::Text(builder), value) => builder.append_option(value.text()),
                (Builder::Whole(builder), value) => builder.append_option(value.whole()),
            }
        }
        self.rows += 1;
    }

    pub(super) fn finish(self) -> RecordBatch {
        let rows = self.rows;
        let (fields, columns): (Vec<_>, Vec<_>) = self
            .builders
            .into_iter()
            .enumerate()
            .filter(|(place, _)| self.asked.has(*place))
            .map(|(place, builder)| {
                let field = F::ALL[place];
                let data_type = compact_type(field);
                let column = match builder {
                    None => new_null_array(&data_type, rows),
                    Some(builder) => builder.finish(),
                };
                (ArrowField::new(field.column(), data_type, true), column)
            })
            .unzip();
        let schema = Arc::new(Schema::new(fields));
        let options = RecordBatchOptions::new().with_row_count(Some(rows));
        RecordBatch::try_new_with_options(schema, columns, &options)
            .expect("every column was given one value per record, of its own type")
    }
}

/// The records that are kept, by their places.
pub(super) fn filtered(batch: &RecordBatch, is_kept: &[bool]) -> RecordBatch {
    filter_record_batch(batch, &BooleanArray::from(is_kept.to_vec()))
        .expect("one verdict per record")
}

//! One cell at a time: text in, value or kind of issue out. With the parsers that it calls, the only
//! place that looks at the content of a cell.

mod codes;
mod units;

use super::error::MappingFault;
use super::number::{self, AgeUnit, DurationUnit};
use super::time::{Written, is_spreadsheet_error};
use super::word_table::fold;
use crate::domain::fields::{Field, Kind};
use crate::domain::issue::{Issue, IssueCode, Position, Shape};
use crate::domain::month::Month;
use crate::domain::quantities::LaboratoryUnit;
use codes::Codes;
use std::collections::BTreeMap;
use std::fmt;
use units::{age_unit, check_may_have_unit, duration_unit, laboratory_unit};

/// One cell as read. No `Display`, no `Deref`: its text may identify a person.
#[derive(Clone, Copy)]
pub(super) enum RawCell<'a> {
    /// Known to be text.
    Text(&'a str),
    /// Perhaps text.
    Bytes(&'a [u8]),
}

impl fmt::Debug for RawCell<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("RawCell(..)")
    }
}

impl<'a> RawCell<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> RawCell<'a> {
        RawCell::Bytes(bytes)
    }

    /// A cell of a row that was found to be text.
    pub(super) fn of_text(text: &'a str) -> RawCell<'a> {
        RawCell::Text(text)
    }

    /// The bytes as they stand.
    pub(super) fn bytes(self) -> &'a [u8] {
        match self {
            RawCell::Text(text) => text.as_bytes(),
            RawCell::Bytes(bytes) => bytes,
        }
    }

    /// The text without surrounding white space.
    ///
    /// # Errors
    /// When the bytes are not UTF-8; what could not be decoded from another encoding is not either.
    pub(super) fn text(self) -> Result<&'a str, CellFault> {
        let text = match self {
            RawCell::Text(text) => text,
            RawCell::Bytes(bytes) => std::str::from_utf8(bytes).map_err(|_| CellFault {
                code: IssueCode::UnreadableBytes,
                found: Shape::Bytes,
            })?,
        };
        // `="007"` is how spreadsheets are made to keep a text as it is.
        let as_formula = text
            .strip_prefix("=\"")
            .and_then(|text| text.strip_suffix('"'));
        let text = as_formula.unwrap_or(text);
        // Nearly every cell begins and ends with a letter or a digit of ASCII.
        let is_plain = |byte: Option<&u8>| byte.is_none_or(|byte| (b'!'..=b'~').contains(byte));
        let bytes = text.as_bytes();
        if is_plain(bytes.first()) && is_plain(bytes.last()) {
            Ok(text)
        } else {
            Ok(text.trim())
        }
    }
}

/// The value of one field of one record, borrowed from its row or from the mapping.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Value<'a> {
    /// Blank, a word that means "not recorded", or a cell with an issue.
    Missing,
    /// Opaque text.
    Text(&'a str),
    /// A code of a closed list.
    Code(&'static str),
    /// A whole number, or minutes.
    Whole(i64),
    /// A calendar month.
    Month(WholeWord<Month>),
}

/// Fills up a word of memory. One variant that began within a word would make every value one that is
/// copied byte by byte.
#[derive(Clone, Copy, PartialEq, Eq)]
#[repr(align(8))]
pub(super) struct WholeWord<T>(pub(super) T);

impl<'a> Value<'a> {
    pub(super) fn whole(self) -> Option<i64> {
        match self {
            Value::Whole(number) => Some(number),
            _ => None,
        }
    }

    pub(super) fn text(self) -> Option<&'a str> {
        match self {
            Value::Text(text) => Some(text),
            Value::Code(code) => Some(code),
            _ => None,
        }
    }
}

/// A cell that was filled in but cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct CellFault {
    pub(super) code: IssueCode,
    pub(super) found: Shape,
}

impl CellFault {
    fn of(text: &str, code: IssueCode) -> CellFault {
        CellFault {
            code,
            found: Shape::of(text),
        }
    }

    /// The fault as an issue of a field at a place.
    pub(super) fn at(self, at: Position, field: impl Field) -> Issue {
        Issue::of_cell(at, self.code, field.name(), self.found)
    }
}

/// How the cells of one column are read.
#[derive(Clone, Debug)]
pub(super) struct Cells {
    kind: CellKind,
    /// Words that mean "not recorded".
    missing: MissingWords,
    decimal: u8,
}

#[derive(Clone, Debug)]
enum CellKind {
    Text,
    Code(Codes),
    Whole { min: i64, max: i64 },
    Age(AgeUnit),
    Elapsed(DurationUnit),
    Month,
    Quantity(LaboratoryUnit, (i64, i64)),
}

/// What a mapping says of one column, as far as its cells need it.
pub(super) struct ColumnWords<'a> {
    pub(super) name: &'a str,
    /// The site's word → our code, or [`NOT_RECORDED`]; a blank word gives a blank cell a meaning.
    pub(super) codes: Option<&'a BTreeMap<String, String>>,
    pub(super) unit: Option<&'a str>,
    pub(super) missing: &'a [String],
    pub(super) decimal: u8,
}

impl Cells {
    /// The reader of a column. Without a table of its own, a coded field reads our codes.
    pub(super) fn new(kind: Kind, words: &ColumnWords<'_>) -> Result<Cells, MappingFault> {
        let name = words.name;
        if words.codes.is_some() && !matches!(kind, Kind::Code(_)) {
            return Err(MappingFault::new(
                format!("`codes.{name}` gives words for a field that is not coded"),
                "take this table out of the mapping",
            ));
        }
        check_may_have_unit(kind, words)?;
        let kind = match kind {
            Kind::Text => CellKind::Text,
            Kind::Code(list) => CellKind::Code(Codes::new(name, list, words)?),
            Kind::Whole { min, max } => CellKind::Whole { min, max },
            Kind::Age { .. } => CellKind::Age(age_unit(words)?),
            Kind::Minute => CellKind::Elapsed(duration_unit(words)?),
            Kind::Month => CellKind::Month,
            Kind::Quantity(quantity) => {
                CellKind::Quantity(laboratory_unit(quantity, words)?, quantity.range())
            }
        };
        Ok(Cells {
            kind,
            missing: MissingWords::new(words.missing),
            decimal: words.decimal,
        })
    }

    /// Reads a cell that is not a clock time.
    pub(super) fn read<'a>(&self, cell: RawCell<'a>) -> Result<Value<'a>, CellFault> {
        let mut value = Value::Missing;
        self.read_to(cell, &mut value)?;
        Ok(value)
    }

    /// Reads a cell that is not a clock time to where its value shall stand; an unusable one leaves
    /// that as it was. HOT: a value that is returned is copied while it is still being written, which
    /// takes longer than most cells.
    #[inline]
    pub(super) fn read_to<'a>(
        &self,
        cell: RawCell<'a>,
        value: &mut Value<'a>,
    ) -> Result<(), CellFault> {
        let text = cell.text()?;
        if let CellKind::Code(codes) = &self.kind {
            *value = codes.read(text)?.map_or(Value::Missing, Value::Code);
            return Ok(());
        }
        if text.is_empty() || self.missing.hold(text) {
            *value = Value::Missing;
            return Ok(());
        }
        *value = self.read_filled(text)?;
        Ok(())
    }

    fn read_filled<'a>(&self, text: &'a str) -> Result<Value<'a>, CellFault> {
        let whole = |number: Result<i64, IssueCode>| number.map(Value::Whole);
        let value = match &self.kind {
            CellKind::Text if is_damaged_key(text) => Err(IssueCode::SpreadsheetError),
            CellKind::Text | CellKind::Code(_) => Ok(Value::Text(text)),
            CellKind::Whole { min, max } => whole(number::whole(text, self.decimal, *min, *max)),
            CellKind::Age(unit) => whole(number::age_years(text, *unit, self.decimal)),
            CellKind::Elapsed(unit) => whole(number::elapsed_minutes(text, *unit, self.decimal)),
            CellKind::Month => match text.parse::<Month>() {
                Ok(month) => Ok(Value::Month(WholeWord(month))),
                Err(_) => Err(IssueCode::NotAMonth),
            },
            CellKind::Quantity(unit, range) => {
                whole(number::quantity(text, *unit, self.decimal, *range))
            }
        };
        value.map_err(|code| CellFault::of(text, code))
    }

    /// Reads a date and time, or one of the two; `None` when nothing was recorded.
    pub(super) fn read_time(
        &self,
        cell: RawCell<'_>,
        read: impl Fn(&str) -> Result<Written, IssueCode>,
    ) -> Result<Option<Written>, CellFault> {
        let text = cell.text()?;
        if text.is_empty() || self.missing.hold(text) {
            return Ok(None);
        }
        match read(text) {
            Ok(written) => Ok(Some(written)),
            Err(code) => Err(CellFault::of(text, code)),
        }
    }

    /// The unit of a laboratory quantity; `None` for all else.
    pub(super) fn laboratory_unit(&self) -> Option<LaboratoryUnit> {
        match self.kind {
            CellKind::Quantity(unit, _) => Some(unit),
            _ => None,
        }
    }

    /// Whether a cell of the sample says something of the form of this column.
    pub(super) fn is_filled(&self, text: &str) -> bool {
        !text.is_empty() && !self.missing.hold(text)
    }
}

/// Whether a spreadsheet has left no key: an error, a formula, or a long number cut to `1.23E+11`,
/// which many numbers become.
fn is_damaged_key(text: &str) -> bool {
    is_spreadsheet_error(text)
        || text.split_once("E+").is_some_and(|(number, power)| {
            let is_digit = |byte: u8| byte.is_ascii_digit() || byte == b'.' || byte == b',';
            !number.is_empty()
                && number.bytes().all(is_digit)
                && (1..=3).contains(&power.len())
                && power.bytes().all(|byte| byte.is_ascii_digit())
        })
}

/// Words that mean "not recorded" in a column of times, numbers or text.
#[derive(Clone, Debug)]
struct MissingWords {
    folded: Vec<String>,
    /// First bytes that such a word can have, in either case. Nearly every cell is told by it.
    first_bytes: [bool; 256],
}

impl MissingWords {
    fn new(words: &[String]) -> MissingWords {
        let folded: Vec<_> = words.iter().map(|word| fold(word)).collect();
        let mut first_bytes = [false; 256];
        for byte in folded.iter().filter_map(|word| word.bytes().next()) {
            // A letter beyond ASCII may begin with another byte in the other case.
            if byte.is_ascii() {
                first_bytes[usize::from(byte)] = true;
                first_bytes[usize::from(byte.to_ascii_uppercase())] = true;
            } else {
                first_bytes[128..].fill(true);
            }
        }
        MissingWords {
            folded,
            first_bytes,
        }
    }

    fn hold(&self, text: &str) -> bool {
        text.bytes()
            .next()
            .is_some_and(|byte| self.first_bytes[usize::from(byte)])
            && self.folded.contains(&fold(text))
    }
}

#[cfg(test)]
mod tests;

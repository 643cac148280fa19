//! One cell at a time: text in, value or kind of issue out. The only place that looks at the
//! content of a cell.

use super::error::MappingFault;
use crate::domain::fields::{AGE_CAP, Field, Kind};
use crate::domain::issue::{Issue, IssueCode, Position, Shape};
use crate::domain::month::Month;
use std::collections::BTreeMap;
use std::fmt;

/// One cell as read. No `Display`, no `Deref`: its text may identify a person.
#[derive(Clone, Copy)]
pub(super) struct RawCell<'a>(&'a [u8]);

impl fmt::Debug for RawCell<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("RawCell(..)")
    }
}

impl<'a> RawCell<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> RawCell<'a> {
        RawCell(bytes)
    }

    /// The text without surrounding white space; `None` when the bytes are not UTF-8.
    pub(super) fn text(self) -> Option<&'a str> {
        std::str::from_utf8(self.0).ok().map(str::trim)
    }
}

/// The value of one field of one record.
#[derive(Clone, PartialEq, Eq)]
pub(super) enum Value {
    /// Blank, a word that means "not recorded", or a cell with an issue.
    Missing,
    /// Opaque text, or a month.
    Text(String),
    /// A code of a closed list.
    Code(&'static str),
    /// A whole number, or minutes.
    Whole(i64),
}

impl Value {
    pub(super) fn whole(&self) -> Option<i64> {
        match self {
            Value::Whole(number) => Some(*number),
            _ => None,
        }
    }

    pub(super) fn text(&self) -> Option<&str> {
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
    /// The fault as an issue of a field at a place.
    pub(super) fn at(self, at: Position, field: impl Field) -> Issue {
        Issue::of_cell(at, self.code, field.name(), self.found)
    }
}

/// What the words of one column mean: the site's own words, and those for "not recorded".
#[derive(Clone, Debug)]
pub(super) struct Words {
    kind: Kind,
    codes: BTreeMap<String, &'static str>,
    missing: Vec<String>,
}

impl Words {
    /// The words of the field `name`. Without a table of its own, a coded field reads our codes.
    pub(super) fn new(
        name: &str,
        kind: Kind,
        table: Option<&BTreeMap<String, String>>,
        missing: &[String],
    ) -> Result<Words, MappingFault> {
        let mut codes = BTreeMap::new();
        match (kind, table) {
            (Kind::Code(list), None) => {
                codes.extend(
                    list.words
                        .iter()
                        .map(|word| (word.code.to_string(), word.code)),
                );
            }
            (Kind::Code(list), Some(table)) => {
                for (word, code) in table {
                    let index = list.position(code).ok_or_else(|| {
                        let known: Vec<_> = list.words.iter().map(|word| word.code).collect();
                        MappingFault::new(
                            format!("`codes.{name}` has the code `{code}`, which does not exist"),
                            format!("the codes of `{name}` are: {}", known.join(", ")),
                        )
                    })?;
                    let previous = codes.insert(fold(word), list.words[index].code);
                    if previous.is_some_and(|previous| previous != list.words[index].code) {
                        return Err(MappingFault::new(
                            format!("`codes.{name}` gives one word two codes"),
                            "words are compared without regard to case and repeated spaces",
                        ));
                    }
                }
            }
            (_, Some(_)) => {
                return Err(MappingFault::new(
                    format!("`codes.{name}` gives words for a field that is not coded"),
                    "take this table out of the mapping",
                ));
            }
            (_, None) => {}
        }
        let missing = missing.iter().map(|word| fold(word)).collect();
        Ok(Words {
            kind,
            codes,
            missing,
        })
    }

    /// Reads a cell that is not a clock time (those need the whole case, see `clock`).
    pub(super) fn read(&self, cell: RawCell<'_>) -> Result<Value, CellFault> {
        let Some(text) = cell.text() else {
            return Err(CellFault {
                code: IssueCode::UnreadableBytes,
                found: Shape::Bytes,
            });
        };
        if self.is_missing(text) {
            return Ok(Value::Missing);
        }
        let fault = |code| CellFault {
            code,
            found: Shape::of(text),
        };
        match self.kind {
            Kind::Text => Ok(Value::Text(text.to_string())),
            Kind::Code(_) => match self.codes.get(&fold(text)) {
                Some(code) => Ok(Value::Code(code)),
                None => Err(fault(IssueCode::UnknownWord)),
            },
            // Elapsed minutes; sixty days either way is far beyond any interval in use.
            Kind::Minute => whole(text, -86_400, 86_400)
                .map(Value::Whole)
                .map_err(fault),
            Kind::Whole { min, max } => whole(text, min, max).map(Value::Whole).map_err(fault),
            Kind::Age { max } => age(text, max).map(Value::Whole).map_err(fault),
            Kind::Month => match text.parse::<Month>() {
                Ok(month) => Ok(Value::Text(month.to_string())),
                Err(_) => Err(fault(IssueCode::NotAMonth)),
            },
        }
    }

    /// Whether a text says that nothing was recorded.
    pub(super) fn is_missing(&self, text: &str) -> bool {
        text.is_empty() || (!self.missing.is_empty() && self.missing.contains(&fold(text)))
    }
}

fn whole(text: &str, min: i64, max: i64) -> Result<i64, IssueCode> {
    let number: i64 = text.parse().map_err(|_| IssueCode::NotAWholeNumber)?;
    if (min..=max).contains(&number) {
        Ok(number)
    } else {
        Err(IssueCode::OutOfRange)
    }
}

/// Ages from 90 on read 90, also where the export writes `90+`, `>89` or `> 90`.
fn age(text: &str, max: i64) -> Result<i64, IssueCode> {
    let open_ended = text
        .strip_suffix('+')
        .or_else(|| text.strip_prefix('>'))
        .map(str::trim);
    if let Some(bound) = open_ended {
        let bound = whole(bound, 0, max)?;
        return if bound >= AGE_CAP - 1 {
            Ok(AGE_CAP)
        } else {
            Err(IssueCode::OutOfRange)
        };
    }
    Ok(whole(text, 0, max)?.min(AGE_CAP))
}

/// Words are compared without regard to case and repeated white space.
fn fold(word: &str) -> String {
    let mut folded = String::with_capacity(word.len());
    for part in word.split_whitespace() {
        if !folded.is_empty() {
            folded.push(' ');
        }
        folded.extend(part.chars().flat_map(char::to_lowercase));
    }
    folded
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::codes::{Device, YesNo};

    fn words(kind: Kind, table: &[(&str, &str)]) -> Words {
        let table: BTreeMap<_, _> = table
            .iter()
            .map(|(word, code)| ((*word).to_string(), (*code).to_string()))
            .collect();
        let table = (!table.is_empty()).then_some(&table);
        Words::new("field", kind, table, &["n/a".to_string()]).unwrap_or_else(|f| panic!("{f:?}"))
    }

    #[track_caller]
    fn check(words: &Words, cell: &str, expected: &Result<Value, IssueCode>) {
        let read = words
            .read(RawCell::new(cell.as_bytes()))
            .map_err(|fault| fault.code);
        assert!(read == *expected, "{cell}");
    }

    #[test]
    fn coded_words_are_the_sites_own_and_no_other() {
        let device = words(
            Kind::Code(Device::LIST),
            &[("Landing  net", "net"), ("Rat tooth", "forceps_rat")],
        );
        check(&device, " rat TOOTH ", &Ok(Value::Code("forceps_rat")));
        check(&device, "landing net", &Ok(Value::Code("net")));
        check(&device, "net", &Err(IssueCode::UnknownWord));
        check(&device, "N/A", &Ok(Value::Missing));
        check(&device, "  ", &Ok(Value::Missing));
        let plain = words(Kind::Code(YesNo::LIST), &[]);
        check(&plain, "Yes", &Ok(Value::Code("yes")));
    }

    #[test]
    fn ages_of_90_and_over_are_kept_as_90() {
        let ages = words(Kind::Age { max: 120 }, &[]);
        for text in ["90", "97", "90+", ">89", "> 90", "120"] {
            check(&ages, text, &Ok(Value::Whole(90)));
        }
        check(&ages, "89", &Ok(Value::Whole(89)));
        check(&ages, "121", &Err(IssueCode::OutOfRange));
        check(&ages, "70+", &Err(IssueCode::OutOfRange));
        check(&ages, "4 mo", &Err(IssueCode::NotAWholeNumber));
    }

    #[test]
    fn unreadable_bytes_and_wrong_numbers_are_issues_without_content() {
        let hours = words(Kind::Whole { min: 0, max: 23 }, &[]);
        check(&hours, "23", &Ok(Value::Whole(23)));
        check(&hours, "24", &Err(IssueCode::OutOfRange));
        check(&hours, "7.5", &Err(IssueCode::NotAWholeNumber));
        let elapsed = words(Kind::Minute, &[]);
        check(
            &elapsed,
            "-9223372036854775808",
            &Err(IssueCode::OutOfRange),
        );
        check(
            &elapsed,
            "99999999999999999999",
            &Err(IssueCode::NotAWholeNumber),
        );
        check(&elapsed, "-60", &Ok(Value::Whole(-60)));
        let fault = hours
            .read(RawCell::new(b"\xff\xfe"))
            .err()
            .expect("not UTF-8");
        assert_eq!(
            fault,
            CellFault {
                code: IssueCode::UnreadableBytes,
                found: Shape::Bytes
            }
        );
        assert_eq!(format!("{:?}", RawCell::new(b"Jane Doe")), "RawCell(..)");
    }

    #[test]
    fn a_mapping_that_contradicts_the_lists_is_refused() {
        let table = BTreeMap::from([("Y".to_string(), "yess".to_string())]);
        let fault = Words::new("hood", Kind::Code(YesNo::LIST), Some(&table), &[]).unwrap_err();
        assert!(fault.what.contains("`yess`") && fault.hint.contains("yes, no"));
        let table = BTreeMap::from([("Y".into(), "yes".into()), ("y".into(), "no".into())]);
        assert!(Words::new("hood", Kind::Code(YesNo::LIST), Some(&table), &[]).is_err());
    }
}

//! A table of TOML, key by key: each value with its place in the file, and what it may be.
//!
//! Knows no key. A fault names the key, the line and the range, and shows no value.

use super::{listed, nearest, of_the_known};
use crate::ingest::error::MappingFault;
use std::ops::Range;
use std::ops::RangeInclusive;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// What is wrong, and at which byte of the file.
#[derive(Debug)]
pub(super) struct Fault {
    pub(super) offset: usize,
    pub(super) fault: MappingFault,
}

/// Whose keys they are, as a message says it.
#[derive(Clone)]
pub(super) enum Owner {
    /// Those of the file.
    File,
    /// Those of a table, which has a name.
    Table(String),
    /// Those of one of several tables, such as `team 1 of scenario 2`.
    OneOf(String),
}

impl Owner {
    fn key(&self, key: &str) -> String {
        match self {
            Owner::File => format!("`{key}`"),
            Owner::Table(name) => format!("`{name}.{key}`"),
            Owner::OneOf(name) => format!("`{key}` of {name}"),
        }
    }

    fn words(&self) -> String {
        match self {
            Owner::File => "the file".to_owned(),
            Owner::Table(name) => format!("`[{name}]`"),
            Owner::OneOf(name) => name.clone(),
        }
    }
}

/// The keys and values of one table.
pub(super) struct Entries<'a> {
    owner: Owner,
    offset: usize,
    table: &'a DeTable<'a>,
}

impl<'a> Entries<'a> {
    /// A table that may hold any key.
    pub(super) fn any(owner: Owner, table: &'a DeTable<'a>, offset: usize) -> Entries<'a> {
        Entries {
            owner,
            offset,
            table,
        }
    }

    /// A table that may hold the known keys only.
    pub(super) fn of(
        owner: Owner,
        table: &'a DeTable<'a>,
        offset: usize,
        known: &[&str],
    ) -> Result<Entries<'a>, Fault> {
        let is_unknown = |key: &&Spanned<_>| !known.contains(&AsRef::<str>::as_ref(key.get_ref()));
        // The first in the file; the table itself is in the order of the words.
        let unknown = table.keys().filter(is_unknown);
        if let Some(key) = unknown.min_by_key(|key| key.span().start) {
            let what = format!(
                "{} is no key that is known here",
                owner.key(shown(key.get_ref()))
            );
            let there_are = format!(
                "the keys of {} are: {}",
                owner.words(),
                listed(known.iter().copied())
            );
            let meant = nearest(key.get_ref(), known.iter().copied());
            return Err(Fault {
                offset: key.span().start,
                fault: MappingFault::new(what, of_the_known(meant, &there_are)),
            });
        }
        Ok(Entries::any(owner, table, offset))
    }

    /// The entry of a key.
    pub(super) fn get(&self, key: &str) -> Option<Entry<'a>> {
        let value = self.table.get(key)?;
        Some(self.entry(key, value.span(), value.get_ref()))
    }

    /// Every entry, with its key as written.
    pub(super) fn iter(&self) -> impl Iterator<Item = (&'a str, Entry<'a>)> {
        self.table.iter().map(|(key, value)| {
            let key_text: &str = key.get_ref();
            (
                key_text,
                self.entry(shown(key_text), key.span(), value.get_ref()),
            )
        })
    }

    /// A fault of the whole table.
    pub(super) fn fault(&self, what: &str, hint: impl Into<String>) -> Fault {
        Fault {
            offset: self.offset,
            fault: MappingFault::new(format!("{} {what}", self.owner.words()), hint),
        }
    }

    fn entry(&self, key: &str, span: Range<usize>, value: &'a DeValue<'a>) -> Entry<'a> {
        Entry {
            words: self.owner.key(key),
            offset: span.start,
            value,
        }
    }
}

/// A key as a message may show it.
fn shown(key: &str) -> &str {
    let is_plain = |letter: char| letter.is_ascii_alphanumeric() || "_-.".contains(letter);
    if key.len() <= 40 && key.chars().all(is_plain) {
        key
    } else {
        "this key"
    }
}

/// One value.
pub(super) struct Entry<'a> {
    /// The key, as a message says it.
    pub(super) words: String,
    offset: usize,
    value: &'a DeValue<'a>,
}

impl<'a> Entry<'a> {
    /// A fault of this value; `what` goes on behind the key.
    pub(super) fn fault(&self, what: &str, hint: impl Into<String>) -> Fault {
        Fault {
            offset: self.offset,
            fault: MappingFault::new(format!("{} {what}", self.words), hint),
        }
    }

    /// A whole number within a range.
    pub(super) fn whole(&self, range: RangeInclusive<i64>, hint: &str) -> Result<i64, Fault> {
        let number = match self.value {
            DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix()).ok(),
            _ => None,
        };
        number
            .filter(|number| range.contains(number))
            .ok_or_else(|| {
                let (start, end) = (range.start(), range.end());
                self.fault(
                    &format!("is not a whole number from {start} to {end}"),
                    hint,
                )
            })
    }

    /// A number within a range, with decimals or without.
    pub(super) fn number(&self, range: RangeInclusive<f64>, hint: &str) -> Result<f64, Fault> {
        let number = match self.value {
            DeValue::Integer(number) if number.radix() == 10 => number.as_str().parse().ok(),
            DeValue::Float(number) => number.as_str().parse().ok(),
            _ => None,
        };
        number
            .filter(|number| range.contains(number))
            .ok_or_else(|| {
                let (start, end) = (range.start(), range.end());
                self.fault(&format!("is not a number from {start} to {end}"), hint)
            })
    }

    /// A text without space around it: one line, not blank, of at most 80 characters.
    pub(super) fn text(&self, hint: &str) -> Result<&'a str, Fault> {
        let DeValue::String(text) = self.value else {
            return Err(self.fault("is not a text in quotes", hint));
        };
        let text = text.trim();
        let is_one_line = !text.chars().any(char::is_control);
        if text.is_empty() {
            Err(self.fault("is blank", hint))
        } else if is_one_line && text.chars().count() <= LONGEST_TEXT {
            Ok(text)
        } else {
            Err(self.fault(
                &format!("is not one line of at most {LONGEST_TEXT} characters"),
                hint,
            ))
        }
    }

    /// What one of a few words means.
    pub(super) fn word<T: Copy>(&self, known: &[(&str, T)]) -> Result<T, Fault> {
        let words = || known.iter().map(|(word, _)| *word);
        let there_are = format!("the words are: {}", listed(words()));
        let text = self.text(&there_are)?;
        let found = known.iter().find(|(word, _)| *word == text);
        found.map(|(_, value)| *value).ok_or_else(|| {
            let hint = of_the_known(nearest(text, words()), &there_are);
            self.fault("is no word that is known here", hint)
        })
    }

    /// A table.
    pub(super) fn table(&self) -> Option<&'a DeTable<'a>> {
        match self.value {
            DeValue::Table(table) => Some(table),
            _ => None,
        }
    }

    /// A table below a heading of its own, `[name]`, with the known keys.
    pub(super) fn section(&self, name: &str, known: &[&str]) -> Result<Entries<'a>, Fault> {
        let table = self.table().ok_or_else(|| self.no_section(name))?;
        Entries::of(Owner::Table(name.to_owned()), table, self.offset, known)
    }

    /// The same, with any keys.
    pub(super) fn open_section(&self, name: &str) -> Result<Entries<'a>, Fault> {
        let table = self.table().ok_or_else(|| self.no_section(name))?;
        let owner = Owner::Table(name.to_owned());
        Ok(Entries::any(owner, table, self.offset))
    }

    fn no_section(&self, name: &str) -> Fault {
        self.fault(
            "is not a table",
            format!("write `[{name}]` on a line of its own, and its keys below it"),
        )
    }

    /// The values of a list, in order.
    pub(super) fn list(&self, hint: &str) -> Result<Vec<Entry<'a>>, Fault> {
        let DeValue::Array(values) = self.value else {
            return Err(self.fault("is not a list", hint));
        };
        let entry = |value: &'a Spanned<DeValue<'a>>| Entry {
            words: self.words.clone(),
            offset: value.span().start,
            value: value.get_ref(),
        };
        Ok(values.iter().map(entry).collect())
    }

    /// Where the value stands.
    pub(super) fn offset(&self) -> usize {
        self.offset
    }
}

/// Texts of this file stand in tables and on charts.
const LONGEST_TEXT: usize = 80;

//! The built-in windows: `sql/urgency_windows.csv` as rows.

use super::{Bounds, CODED, Codes, Conditions, Population, Window, applies_to};
use crate::domain::codes::{CodeList, Urgency};
use crate::domain::fields::Field;
use crate::domain::window::{ClockStart, GuidelineWindow, WindowChoice, WindowLength};

const TABLE: &str = include_str!("../../../sql/urgency_windows.csv");

/// What stands in the table for any code.
const ANY: &str = "any";

/// One row of the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::ingest) struct BuiltInWindow {
    /// Whether it is on unless a site switches it off.
    pub(in crate::ingest) is_on: bool,
    pub(in crate::ingest) window: Window,
}

/// All rows of the built-in table, in order.
pub(in crate::ingest) fn built_in() -> Vec<BuiltInWindow> {
    parse(TABLE).expect("the built-in table, which a test reads")
}

/// Reads a table; the error names line and column.
pub(super) fn parse(table: &str) -> Result<Vec<BuiltInWindow>, String> {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let header = reader.headers().map_err(|error| error.to_string())?.clone();
    let mut windows = Vec::new();
    for (index, cells) in reader.records().enumerate() {
        let row = Row {
            header: &header,
            cells: &cells.map_err(|error| error.to_string())?,
            line: index + 2,
        };
        windows.push(row.window()?);
    }
    Ok(windows)
}

struct Row<'a> {
    header: &'a csv::StringRecord,
    cells: &'a csv::StringRecord,
    line: usize,
}

impl Row<'_> {
    fn window(&self) -> Result<BuiltInWindow, String> {
        let conditions = self.conditions()?;
        let urgency = self.one_of("urgency", Urgency::ALL, Urgency::code)?;
        let length = self.length()?;
        // A time without a class, or a class without its time, would be counted in two ways.
        if length.is_none() != (urgency == Urgency::NoWindow) {
            return Err(self.wrong("hours"));
        }
        let preferred_minutes = self.number("preferred_hours")?.map(|hours| hours * 60);
        let is_shorter =
            |minutes: i64| length.is_some_and(|length| minutes < length.longest_minutes());
        if !preferred_minutes.is_none_or(is_shorter) {
            return Err(self.wrong("preferred_hours"));
        }
        let words = GuidelineWindow {
            id: self.cell("id")?.to_string(),
            applies_to: applies_to(&conditions),
            urgency,
            length,
            preferred_minutes,
            clock_start: self.one_of("clock_start", &ClockStart::ALL, ClockStart::code)?,
            source: format!("{} {}", self.cell("society")?, self.cell("year")?),
            status: self.cell("status")?.to_string(),
            note: self.cell("note")?.to_string(),
            choice: WindowChoice::Default,
        };
        Ok(BuiltInWindow {
            is_on: self.yes_or_no("on")?,
            window: Window { words, conditions },
        })
    }

    fn conditions(&self) -> Result<Conditions, String> {
        let population = match self.cell("population")? {
            "adult" => Population::Adult,
            "child" => Population::Child,
            ANY => Population::Any,
            _ => return Err(self.wrong("population")),
        };
        let mut codes: [Codes; CODED.len()] = Default::default();
        for (codes, (field, list)) in codes.iter_mut().zip(CODED) {
            let words = self.cell(field.name())?;
            if words != ANY {
                let found: Option<_> = words.split(' ').map(|word| code_of(list, word)).collect();
                *codes = Some(found.ok_or_else(|| self.wrong(field.name()))?);
            }
        }
        Ok(Conditions {
            population,
            codes,
            age_years: self.bounds("age_from", "age_under")?,
            length_mm: self.bounds("length_mm_from", "length_mm_under")?,
            width_mm: self.bounds("width_mm_from", "width_mm_under")?,
        })
    }

    fn length(&self) -> Result<Option<WindowLength>, String> {
        let Some(hours) = self.number("hours")? else {
            return Ok(None);
        };
        Ok(Some(WindowLength {
            minutes: hours * 60,
            is_inclusive: self.yes_or_no("inclusive")?,
        }))
    }

    fn bounds(&self, from: &str, under: &str) -> Result<Bounds, String> {
        Ok(Bounds {
            from: self.number(from)?,
            under: self.number(under)?,
        })
    }

    fn number(&self, name: &str) -> Result<Option<i64>, String> {
        match self.cell(name)? {
            "" => Ok(None),
            number => number.parse().map(Some).map_err(|_| self.wrong(name)),
        }
    }

    fn yes_or_no(&self, name: &str) -> Result<bool, String> {
        match self.cell(name)? {
            "yes" => Ok(true),
            "no" => Ok(false),
            _ => Err(self.wrong(name)),
        }
    }

    fn one_of<T: Copy>(
        &self,
        name: &str,
        all: &[T],
        code: impl Fn(T) -> &'static str,
    ) -> Result<T, String> {
        let word = self.cell(name)?;
        let mut all = all.iter().copied();
        all.find(|known| code(*known) == word)
            .ok_or_else(|| self.wrong(name))
    }

    fn cell(&self, name: &str) -> Result<&str, String> {
        self.header
            .iter()
            .position(|heading| heading == name)
            .and_then(|place| self.cells.get(place))
            .ok_or_else(|| format!("line {}: no column `{name}`", self.line))
    }

    fn wrong(&self, name: &str) -> String {
        format!("line {}: `{name}` cannot be what it is", self.line)
    }
}

/// The code of a list that is written so.
pub(in crate::ingest) fn code_of(list: CodeList, word: &str) -> Option<&'static str> {
    list.position(word).map(|place| list.words[place].code)
}

//! The identifier guard: stops a run when an export, which is supposed to be de-identified, seems to
//! hold identifiers of persons. It looks at every column, mapped or not, at headings and at cells.
//!
//! Knows what identifiers look like (45 CFR 164.514(b)(2), see `kind`), which columns are mapped,
//! and what a person has said of a heading. Opens no file. A finding says where, what kind and how
//! many, never a heading (a file without a header has a case in its first line) nor a cell.
//!
//! Contract with the caller, by column, as `Guard::cells_to_pass` says:
//!
//! | column | cells passed to its watch | looked for |
//! |---|---|---|
//! | dropped or cleared by the mapping | none | nothing |
//! | not mapped, or mapped to a text other than the case number | all | all kinds |
//! | mapped to the case number | all | all kinds but record numbers |
//! | mapped to a time, number or code | those that its parser refused, and all of rows with another number of cells | e-mail, phone, national and plan numbers, names; dates of birth among ages |
//!
//! What the parser of a typed column accepts is a time, a number or a listed word, and so explained:
//! a mapped time is no date of birth. Its heading is not judged either, except that no time, month
//! or age is read from a column that calls itself a date of birth.
//!
//! The cells of a row beyond the last column belong to the last column here. Columns of the same
//! heading in several files of an export are judged together, see `export`; lines above the header
//! by themselves, see `above`.
//!
//! A heading alone makes a finding only if some cell below it says more than a letter or a yes or no:
//! a column that was emptied, or that tells whether a nurse was there, tells of nobody. Nor does one
//! that holds grades of staff, or the same few labels again and again, see `values`.

mod above;
mod check_digits;
mod contact;
mod dates;
mod distinct;
mod export;
mod heading;
mod kind;
mod labels;
mod numbers;
mod pattern;
mod persons;
mod places;
mod scan;
mod shape;
#[cfg(test)]
mod tests;
mod values;
mod watch;

use super::dialect::folded;
use crate::domain::fields::{CaseField, Field, Kind};
use export::listed;
use scan::patterns_of;
use shape::Shape;
use std::fmt;
use watch::Looking;

pub(super) use above::check_above_header;
pub(super) use export::{ExportWatch, ListedHeadings, listed_findings, without};
pub(super) use heading::{heading_kind, words_of};
pub use kind::IdentifierKind;
pub(super) use watch::{ColumnWatch, ValueFinding};

/// Whether a single text shows a pattern of an identifier, however seldom that would make a finding
/// of a column.
pub(super) fn shows_identifier(text: &str) -> bool {
    !patterns_of(text.as_bytes(), &Shape::of(text.as_bytes())).is_empty()
}

/// What a column is mapped to.
#[derive(Clone, Copy, Debug)]
pub(super) struct MappedColumn {
    /// Our name of the field.
    pub(super) field: &'static str,
    /// What the field holds.
    pub(super) kind: Kind,
}

/// What the mapping says of headings of one file.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct HeadingLists<'a> {
    /// Never looked at, by nobody.
    pub(super) drop: &'a [String],
    /// Looked at by a person, who found them harmless.
    pub(super) cleared: &'a [String],
}

/// Which cells of a column the watch of that column is to see.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum CellsToPass {
    /// None.
    No,
    /// Those that the parser of the column refused.
    Refused,
    /// All.
    Every,
}

/// What made a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Evidence {
    /// The heading of the column.
    Heading,
    /// Its cells.
    Values {
        /// How many look like it.
        cells: u64,
        /// How many are filled.
        of: u64,
    },
    /// The cells of a mapped column that its parser refused.
    RefusedValues {
        /// How many look like it.
        cells: u64,
        /// How many were refused.
        of: u64,
    },
}

/// A column that seems to identify persons.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GuardFinding {
    /// Place of the column in the file, from 1.
    pub column_number: usize,
    /// What it seems to hold.
    pub kind: IdentifierKind,
    /// Why.
    pub from: Evidence,
    /// Our field to which the column is mapped; `None` when it is not.
    pub mapped_field: Option<&'static str>,
    /// How many files of the export have the column, whose cells are counted over all of them.
    pub files: usize,
}

impl fmt::Display for GuardFinding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "column {} (", self.column_number)?;
        match self.from {
            Evidence::Heading => f.write_str("heading")?,
            Evidence::Values { cells, of } => write!(f, "{cells} of {of} filled cells")?,
            Evidence::RefusedValues { cells, of } => {
                write!(f, "{cells} of {of} cells that could not be read")?;
            }
        }
        if self.files > 1 && self.from != Evidence::Heading {
            write!(f, " in {} files", self.files)?;
        }
        write!(f, ": {}", self.kind.label())?;
        if let Some(field) = self.mapped_field {
            write!(f, "; mapped to `{field}`")?;
        }
        f.write_str(")")
    }
}

/// The guard of one file, made from its header. It holds no state of a run: the watches do.
pub(super) struct Guard {
    columns: Vec<Guarded>,
}

/// One column of the file.
#[derive(Clone)]
struct Guarded {
    /// The heading, for comparison with those of other files and of the mapping.
    folded: String,
    is_dropped: bool,
    looking: Looking,
    /// What the heading announces, where it counts.
    heading: Option<IdentifierKind>,
    /// What the heading itself holds: nobody should stand in one.
    in_heading: Option<IdentifierKind>,
    mapped: Option<MappedColumn>,
}

impl Guard {
    /// The guard of a file with these headings, in order. `mapped` says for each column, by index,
    /// what it is mapped to; a column beyond its end is not mapped. A column that is both dropped
    /// and mapped is looked at, since it is read after all.
    pub(super) fn new(
        headings: &[&str],
        mapped: &[Option<MappedColumn>],
        lists: HeadingLists<'_>,
    ) -> Guard {
        let is_dropped = listed(headings, lists.drop);
        let is_cleared = listed(headings, lists.cleared);
        let columns = headings.iter().enumerate().map(|(index, heading)| {
            let mapped = mapped.get(index).copied().flatten();
            let is_dropped = mapped.is_none() && is_dropped[index];
            let looking = match mapped {
                _ if is_dropped || is_cleared[index] => Looking::Nothing,
                Some(column) if column.field == CaseField::CaseId.name() => Looking::CaseNumbers,
                Some(column) if column.field == CaseField::Site.name() => Looking::Sites,
                Some(column) if matches!(column.kind, Kind::Age { .. }) => Looking::RefusedAges,
                Some(column) if column.kind != Kind::Text => Looking::RefusedCells,
                _ => Looking::EveryCell,
            };
            Guarded {
                folded: folded(heading),
                is_dropped,
                looking,
                heading: heading_kind(heading).filter(|kind| is_judged(*kind, looking, mapped)),
                in_heading: (looking != Looking::Nothing)
                    .then(|| above::identifier_in(heading.as_bytes()))
                    .flatten(),
                mapped,
            }
        });
        Guard {
            columns: columns.collect(),
        }
    }

    /// A fresh watch of each column, for one thread.
    pub(super) fn watches(&self) -> Vec<ColumnWatch> {
        self.columns
            .iter()
            .map(|column| {
                let watch = ColumnWatch::new(column.looking);
                match column.heading {
                    Some(IdentifierKind::PersonName | IdentifierKind::FreeText) => {
                        watch.counting_values()
                    }
                    _ => watch,
                }
            })
            .collect()
    }

    /// How many columns of the file the mapping drops.
    pub(super) fn columns_dropped(&self) -> usize {
        self.columns
            .iter()
            .filter(|column| column.is_dropped)
            .count()
    }

    /// Which cells of the column with this index to pass to its watch.
    pub(super) fn cells_to_pass(&self, column_index: usize) -> CellsToPass {
        match self.columns.get(column_index).map(|column| column.looking) {
            None | Some(Looking::Nothing) => CellsToPass::No,
            Some(Looking::RefusedCells | Looking::RefusedAges) => CellsToPass::Refused,
            Some(Looking::EveryCell | Looking::CaseNumbers | Looking::Sites) => CellsToPass::Every,
        }
    }

    /// What headings and cells say, by column; `watches` are those of `watches`, after all rows and
    /// with those of all threads merged. A column whose cells and heading say the same is one
    /// finding, that of the cells.
    pub(super) fn findings(&self, watches: &[ColumnWatch]) -> Vec<GuardFinding> {
        self.columns
            .iter()
            .zip(watches)
            .enumerate()
            .flat_map(|(index, (column, watch))| column.findings(watch, index + 1, 1))
            .collect()
    }
}

impl Guarded {
    /// What heading and cells say, where the column stands at this place and in so many files.
    fn findings(
        &self,
        watch: &ColumnWatch,
        column_number: usize,
        files: usize,
    ) -> Vec<GuardFinding> {
        let finding = |kind, from| GuardFinding {
            column_number,
            kind,
            from,
            mapped_field: self.mapped.map(|mapped| mapped.field),
            files,
        };
        let of_values = watch.verdict();
        let is_refused = matches!(self.looking, Looking::RefusedCells | Looking::RefusedAges);
        let says_more = is_refused || watch.says_more_than_yes_or_no();
        let of_heading = self.heading.filter(|kind| {
            says_more
                && !watch.is_closed_set(*kind)
                && of_values.is_none_or(|values| values.kind != *kind)
        });
        let mut findings = Vec::new();
        let of_heading = self.in_heading.or(of_heading);
        findings.extend(of_heading.map(|kind| finding(kind, Evidence::Heading)));
        findings.extend(of_values.map(|ValueFinding { kind, cells, of }| {
            let from = if is_refused {
                Evidence::RefusedValues { cells, of }
            } else {
                Evidence::Values { cells, of }
            };
            finding(kind, from)
        }));
        findings
    }
}

/// Whether the heading of a column counts: see the contract at the top.
fn is_judged(kind: IdentifierKind, looking: Looking, mapped: Option<MappedColumn>) -> bool {
    let is_time_or_age = mapped
        .is_some_and(|column| matches!(column.kind, Kind::Minute | Kind::Month | Kind::Age { .. }));
    match looking {
        Looking::Nothing => false,
        Looking::RefusedCells | Looking::RefusedAges => {
            kind == IdentifierKind::BirthDate && is_time_or_age
        }
        Looking::EveryCell | Looking::CaseNumbers | Looking::Sites => true,
    }
}

/// What the number of different sites says: `distinct` of them in `cases` cases. A service has a
/// few sites, each with many cases. More than 200, or more than 20 with hardly a case for each, are
/// no sites: numbers of records when nearly every case has its own, else names of persons. `None`
/// for what can be sites. Whether the sites look like names is said by the watch of the column.
pub(super) fn site_verdict(distinct: usize, cases: u64) -> Option<IdentifierKind> {
    const MOST_SITES: u64 = 200;
    const MOST_SITES_OF_ONE_CASE: u64 = 20;
    let distinct = distinct as u64;
    let is_one_a_case = distinct * 10 >= cases * 9;
    if distinct > MOST_SITES_OF_ONE_CASE && is_one_a_case {
        Some(IdentifierKind::RecordNumber)
    } else if distinct > MOST_SITES {
        Some(IdentifierKind::PersonName)
    } else {
        None
    }
}

//! Which column of an export gives which field, and how sure that is.

use super::assignment::assign;
use super::fit::{CellsSay, Fit, Judge};
use super::sample::SampledExport;
use crate::domain::fields::{CaseField, Field};
use std::collections::BTreeMap;

/// A column whose heading names another field so much better is not weighed for this one.
const BEHIND: i64 = 20;

/// A choice by fewer points is one that somebody must look at.
const CLOSE: i64 = 15;

/// How sure a line of the proposal is, and why it is no surer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Trust {
    Sure,
    Likely(&'static str),
    Look(&'static str),
}

impl Trust {
    /// The comment at the end of the line.
    pub(super) fn comment(self) -> String {
        match self {
            Trust::Sure => "sure".to_string(),
            Trust::Likely(why) => format!("likely: {why}"),
            Trust::Look(why) => format!("look: {why}"),
        }
    }
}

/// A field and the column that gives it.
#[derive(Clone, Copy)]
pub(super) struct Found<F> {
    pub(super) field: F,
    /// Index of the column.
    pub(super) column: usize,
    pub(super) sure: Trust,
}

/// A field that several columns fit equally well, or a column that fits several fields so.
pub(super) struct Tie<F> {
    pub(super) field: F,
    pub(super) columns: Vec<usize>,
}

/// What the columns of an export give.
pub(super) struct Columns<F> {
    /// In the order of the fields.
    pub(super) found: Vec<Found<F>>,
    pub(super) ties: Vec<Tie<F>>,
}

impl<F: Field> Columns<F> {
    /// The column of a field.
    pub(super) fn column_of(&self, field: F) -> Option<usize> {
        let found = self.found.iter().find(|found| found.field == field);
        found.map(|found| found.column)
    }

    /// Whether a field is to be decided between columns.
    pub(super) fn is_tied(&self, field: F) -> bool {
        self.ties.iter().any(|tie| tie.field == field)
    }
}

/// Weighs every column for every field that may be mapped. Columns that are `taken` give none.
pub(super) fn columns<F: Field>(
    export: &SampledExport,
    judge: &mut Judge<'_>,
    may_be_mapped: impl Fn(F) -> bool,
    taken: &[usize],
) -> Columns<F> {
    let mut fits: BTreeMap<(usize, usize), Fit> = BTreeMap::new();
    for (index, column) in export.columns.iter().enumerate() {
        if taken.contains(&index) {
            continue;
        }
        let fields = F::ALL.iter().filter(|field| may_be_mapped(**field));
        let mut of_column: Vec<(usize, Fit)> = fields
            .filter_map(|field| Some((field.index(), judge.fit(column, *field)?)))
            .collect();
        let points = |fit: &Fit| fit.heading.map_or(0, |heading| heading.points);
        let best = of_column.iter().map(|(_, fit)| points(fit)).max();
        let least = best
            .filter(|best| *best > 0)
            .map_or(0, |best| (best - BEHIND).max(1));
        of_column.retain(|(_, fit)| points(fit) >= least);
        fits.extend(
            of_column
                .into_iter()
                .map(|(field, fit)| ((field, index), fit)),
        );
    }
    let scores: Vec<(usize, usize, i64)> = fits
        .iter()
        .map(|((field, column), fit)| (*field, *column, fit.score))
        .collect();
    let chosen = assign(F::ALL.len(), &scores);
    let is_tied = |field: usize| {
        chosen
            .iter()
            .any(|pair| pair.field == field && pair.margin == 0)
    };
    let is_settled = |column: usize| {
        chosen
            .iter()
            .any(|pair| pair.column == column && pair.margin > 0)
    };
    let tied_columns: Vec<usize> = chosen
        .iter()
        .filter(|pair| pair.margin == 0)
        .map(|pair| pair.column)
        .collect();
    let found = chosen
        .iter()
        .filter(|pair| pair.margin > 0)
        .map(|pair| {
            let field = F::ALL[pair.field];
            Found {
                field,
                column: pair.column,
                sure: sure(field, &fits[&(pair.field, pair.column)], pair.margin),
            }
        })
        .collect();
    let is_found = |field: usize| {
        chosen
            .iter()
            .any(|pair| pair.field == field && pair.margin > 0)
    };
    let mut ties = Vec::new();
    for (index, field) in F::ALL.iter().enumerate() {
        let of_field = || fits.iter().filter(|((of, _), _)| *of == index);
        let most = of_field()
            .filter(|((_, column), _)| !is_settled(*column))
            .map(|(_, fit)| fit.score)
            .max();
        let columns: Vec<usize> = of_field()
            .filter(|((_, column), fit)| !is_settled(*column) && Some(fit.score) == most)
            .map(|((_, column), _)| *column)
            .collect();
        let competes = is_tied(index)
            || (!is_found(index) && columns.iter().any(|column| tied_columns.contains(column)));
        if competes && !columns.is_empty() {
            ties.push(Tie {
                field: *field,
                columns,
            });
        }
    }
    Columns { found, ties }
}

fn sure<F: Field>(field: F, fit: &Fit, margin: i64) -> Trust {
    // That few words can be sites is all that cells can say of sites.
    let cells = match fit.cells {
        CellsSay::Perhaps if field.name() == CaseField::Site.name() => CellsSay::Yes,
        other => other,
    };
    let Some(heading) = fit.heading else {
        return Trust::Look("only its words say so");
    };
    if margin < CLOSE {
        return Trust::Look("another column or field fits nearly as well");
    }
    match (heading.is_strong, cells) {
        (_, CellsSay::Perhaps) => Trust::Look("many of its cells fit no value of this field"),
        (false, CellsSay::Nothing | CellsSay::No) => {
            Trust::Look("the heading may mean something else, and no cell says")
        }
        (false, CellsSay::Yes) => Trust::Likely("the heading may mean something else"),
        (true, CellsSay::Nothing | CellsSay::No) => Trust::Likely("no cell is filled"),
        (true, CellsSay::Yes) if heading.is_whole => Trust::Sure,
        (true, CellsSay::Yes) => Trust::Likely("the heading says more than this"),
    }
}

//! Which columns rows are split by at once, so that every grouping of a measure is a sum over the
//! groups of a finer one: rows are read a few times and not once for each grouping.

use super::groupings::Grouping;
use crate::domain::fields::{CaseField, code_list};
use crate::domain::measure::MeasureKind;
use std::collections::{BTreeMap, BTreeSet};

/// A column by which a measure is split.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum SplitColumn {
    /// Of the case of the row, as it stands.
    OfCase(CaseField),
    /// Of the row itself: worked out by the query, or that of a pass.
    OfRow(String),
}

/// Columns by which rows are split at once, and the groupings that are sums over such groups.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Base {
    pub(super) columns: Vec<SplitColumn>,
    /// Each with the places of its columns among those of the base.
    pub(super) groupings: Vec<(Grouping, Vec<usize>)>,
}

/// The fewest bases that stay small. `column` says what a name stands for.
pub(super) fn bases(
    kind: MeasureKind,
    groupings: &[Grouping],
    column: impl Fn(&str) -> SplitColumn,
) -> Vec<Base> {
    type Columns = BTreeSet<SplitColumn>;
    let split_columns = |grouping: &Grouping| grouping.columns().map(&column).collect::<Columns>();
    let mut wanted: Vec<_> = groupings.iter().map(split_columns).collect();
    wanted.sort_by_key(|columns| std::cmp::Reverse(groups(columns)));
    let mut bases: Vec<Columns> = Vec::new();
    for columns in wanted {
        if bases.iter().any(|base| is_sum(kind, &columns, base)) {
            continue;
        }
        let joined = bases.iter_mut().filter_map(|base| {
            let joined: Columns = base.union(&columns).cloned().collect();
            let is_small = groups(&joined) <= most_groups(kind);
            let adds_up = is_sum(kind, base, &joined) && is_sum(kind, &columns, &joined);
            (is_small && adds_up).then_some((base, joined))
        });
        match joined.min_by_key(|(_, joined)| groups(joined)) {
            Some((base, joined)) => *base = joined,
            None => bases.push(columns),
        }
    }
    let mut of_base: BTreeMap<usize, Vec<_>> = BTreeMap::new();
    for grouping in groupings {
        let columns = split_columns(grouping);
        let fitting = (0..bases.len()).filter(|base| is_sum(kind, &columns, &bases[*base]));
        let place = fitting.min_by_key(|base| groups(&bases[*base]));
        let place = place.expect("a base was made for every grouping");
        let position = |name: &str| {
            let column = column(name);
            bases[place].iter().position(|known| *known == column)
        };
        let positions: Option<Vec<_>> = grouping.columns().map(position).collect();
        let positions = positions.expect("a base holds the columns of its groupings");
        let groupings = of_base.entry(place).or_default();
        groupings.push((grouping.clone(), positions));
    }
    of_base
        .into_iter()
        .map(|(place, groupings)| Base {
            columns: bases[place].iter().cloned().collect(),
            groupings,
        })
        .collect()
}

/// Whether groups by `columns` are sums over groups by `finer`. The passes of one case count together,
/// so those by the pass are no sums over those by something more that tells passes apart.
fn is_sum(
    kind: MeasureKind,
    columns: &BTreeSet<SplitColumn>,
    finer: &BTreeSet<SplitColumn>,
) -> bool {
    let of_row = |columns: &BTreeSet<SplitColumn>| -> BTreeSet<SplitColumn> {
        let of_row = columns
            .iter()
            .filter(|column| matches!(column, SplitColumn::OfRow(_)));
        of_row.cloned().collect()
    };
    columns.is_subset(finer)
        && (kind != MeasureKind::ClusteredShare || of_row(columns) == of_row(finer))
}

/// Groups that a base may have where it is joined of several groupings. Of lengths of time each group
/// holds every length, so more groups would soon be as many as there are rows.
fn most_groups(kind: MeasureKind) -> usize {
    match kind {
        MeasureKind::Share | MeasureKind::Count => 1 << 14,
        MeasureKind::ClusteredShare => 1 << 12,
        MeasureKind::Minutes => 1 << 9,
    }
}

/// About how many groups columns make.
fn groups(columns: &BTreeSet<SplitColumn>) -> usize {
    columns.iter().map(values).product()
}

/// About how many values a column has: its codes and "not recorded", or a guess.
fn values(column: &SplitColumn) -> usize {
    use crate::domain::fields::Field as _;
    let name = match column {
        SplitColumn::OfCase(field) => field.column(),
        SplitColumn::OfRow(name) => name,
    };
    match name {
        "month" => 48,
        "hour" => 25,
        name => code_list(name).map_or(32, |list| list.words.len() + 1),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fields::Field;
    use crate::measure::groupings;

    /// What stands in a record of cases is of the case, all else of the row.
    fn column(name: &str) -> SplitColumn {
        let mut fields = CaseField::ALL.iter();
        match fields.find(|field| field.column() == name) {
            Some(field) => SplitColumn::OfCase(*field),
            None => SplitColumn::OfRow(name.to_owned()),
        }
    }

    #[test]
    fn every_grouping_is_a_sum_over_exactly_one_base_that_holds_its_columns() {
        for kind in MeasureKind::ALL {
            let mut of_kind = groupings();
            of_kind.retain(|grouping| grouping.kind == kind);
            let bases = bases(kind, &of_kind, column);
            assert!(bases.len() * 2 <= of_kind.len(), "{}", kind.code());
            let mut found = Vec::new();
            for base in &bases {
                for (grouping, positions) in &base.groupings {
                    let names: Vec<_> = grouping.columns().map(column).collect();
                    let at: Vec<_> = positions
                        .iter()
                        .map(|at| base.columns[*at].clone())
                        .collect();
                    assert_eq!(names, at);
                    found.push(grouping);
                }
            }
            assert_eq!(found.len(), of_kind.len());
            for grouping in &of_kind {
                assert!(found.contains(&grouping), "{}", grouping.by());
            }
        }
    }

    #[test]
    fn passes_are_never_added_up_over_what_tells_passes_of_one_case_apart() {
        let mut of_kind = groupings();
        of_kind.retain(|grouping| grouping.kind == MeasureKind::ClusteredShare);
        for base in bases(MeasureKind::ClusteredShare, &of_kind, column) {
            let device = SplitColumn::OfRow("device".to_owned());
            let by_device = base.columns.contains(&device);
            for (grouping, _) in &base.groupings {
                let names_it = grouping.dimensions.iter().any(|name| name == "device");
                assert_eq!(names_it, by_device, "{}", grouping.by());
            }
        }
    }
}

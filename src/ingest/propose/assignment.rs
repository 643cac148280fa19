//! Which column gives which field: each field takes one column at most and each column gives one
//! field at most, so that the scores add up to the most. What could as well be otherwise is a tie.

/// A pair that was chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Chosen {
    /// Index of the field.
    pub(super) field: usize,
    /// Index of the column.
    pub(super) column: usize,
    /// By how much the best choice without this pair is worse; 0 for a tie.
    pub(super) margin: i64,
}

/// Columns that are weighed for one field; the best of them are.
const MOST_COLUMNS: usize = 40;

/// The best choice. `scores` are of (field, column) pairs that fit, each above 0.
pub(super) fn assign(fields: usize, scores: &[(usize, usize, i64)]) -> Vec<Chosen> {
    let mut kept: Vec<(usize, usize, i64)> = Vec::new();
    for field in 0..fields {
        let mut of_field: Vec<_> = scores
            .iter()
            .copied()
            .filter(|pair| pair.0 == field)
            .collect();
        of_field.sort_by_key(|(_, column, score)| (-score, *column));
        of_field.truncate(MOST_COLUMNS);
        kept.extend(of_field);
    }
    let mut columns: Vec<usize> = kept.iter().map(|(_, column, _)| *column).collect();
    columns.sort_unstable();
    columns.dedup();
    // A field that takes no column takes a column of its own, which is worth nothing.
    let width = columns.len() + fields;
    let mut costs = vec![vec![0_i64; width]; fields];
    for (field, column, score) in kept {
        let place = columns
            .binary_search(&column)
            .expect("every kept column is listed");
        costs[field][place] = -score;
    }
    let best = cheapest(&costs);
    let total = cost_of(&costs, &best);
    let mut chosen = Vec::new();
    for (field, place) in best.iter().copied().enumerate() {
        if costs[field][place] == 0 {
            continue;
        }
        let cost = std::mem::replace(&mut costs[field][place], 0);
        let margin = cost_of(&costs, &cheapest(&costs)) - total;
        costs[field][place] = cost;
        chosen.push(Chosen {
            field,
            column: columns[place],
            margin,
        });
    }
    chosen
}

fn cost_of(costs: &[Vec<i64>], places: &[usize]) -> i64 {
    places
        .iter()
        .enumerate()
        .map(|(field, place)| costs[field][*place])
        .sum()
}

/// For each row a column of its own, so that the costs add up to the least: the Hungarian method
/// with potentials, by rows. There are at least as many columns as rows.
///
/// Source: Kuhn, The Hungarian method for the assignment problem, Naval Research Logistics
/// Quarterly 2 (1955), in the form with shortest augmenting paths.
fn cheapest(costs: &[Vec<i64>]) -> Vec<usize> {
    let rows = costs.len();
    let width = costs.first().map_or(0, Vec::len);
    // Row and column 0 stand for "none yet".
    let mut row_potential = vec![0_i64; rows + 1];
    let mut column_potential = vec![0_i64; width + 1];
    let mut row_of = vec![0_usize; width + 1];
    for row in 1..=rows {
        row_of[0] = row;
        let mut column = 0;
        let mut least = vec![i64::MAX / 4; width + 1];
        let mut before = vec![0_usize; width + 1];
        let mut is_used = vec![false; width + 1];
        while row_of[column] != 0 {
            is_used[column] = true;
            let current = row_of[column];
            let mut step = i64::MAX / 4;
            let mut next = 0;
            for other in 1..=width {
                if is_used[other] {
                    continue;
                }
                let reduced = costs[current - 1][other - 1]
                    - row_potential[current]
                    - column_potential[other];
                if reduced < least[other] {
                    least[other] = reduced;
                    before[other] = column;
                }
                if least[other] < step {
                    step = least[other];
                    next = other;
                }
            }
            for other in 0..=width {
                if is_used[other] {
                    row_potential[row_of[other]] += step;
                    column_potential[other] -= step;
                } else {
                    least[other] -= step;
                }
            }
            column = next;
        }
        while column != 0 {
            row_of[column] = row_of[before[column]];
            column = before[column];
        }
    }
    let mut place_of = vec![0; rows];
    for (column, row) in row_of.iter().enumerate().skip(1) {
        if *row > 0 {
            place_of[*row - 1] = column - 1;
        }
    }
    place_of
}

#[cfg(test)]
mod tests {
    use super::{Chosen, assign};
    use proptest::prelude::*;

    fn chosen(field: usize, column: usize, margin: i64) -> Chosen {
        Chosen {
            field,
            column,
            margin,
        }
    }

    #[test]
    fn the_sum_of_the_scores_counts_and_not_the_best_single_pair() {
        // Taking 90 leaves the other field nothing; 80 and 70 are more.
        let scores = [(0, 5, 90), (0, 7, 80), (1, 5, 70)];
        assert_eq!(assign(2, &scores), [chosen(0, 7, 60), chosen(1, 5, 60)]);
        assert_eq!(assign(3, &[]), []);
    }

    #[test]
    fn what_could_as_well_be_otherwise_has_no_margin() {
        let two_columns = assign(1, &[(0, 1, 50), (0, 2, 50)]);
        assert_eq!(two_columns, [chosen(0, two_columns[0].column, 0)]);
        let two_fields = assign(2, &[(0, 3, 40), (1, 3, 40)]);
        assert_eq!(two_fields.len(), 1);
        assert_eq!(two_fields[0].margin, 0);
        assert_eq!(assign(1, &[(0, 1, 50), (0, 2, 43)]), [chosen(0, 1, 7)]);
    }

    /// Tries everything.
    fn most(fields: usize, scores: &[(usize, usize, i64)], taken: &mut Vec<usize>) -> i64 {
        let Some(field) = fields.checked_sub(1) else {
            return 0;
        };
        let mut best = most(field, scores, taken);
        for (of, column, score) in scores {
            if *of == field && !taken.contains(column) {
                taken.push(*column);
                best = best.max(score + most(field, scores, taken));
                taken.pop();
            }
        }
        best
    }

    proptest! {
        #[test]
        fn nothing_is_better(table in proptest::collection::vec(0..9_i64, 20)) {
            let scores: Vec<_> = table
                .iter()
                .enumerate()
                .filter(|(_, score)| **score > 0)
                .map(|(place, score)| (place / 5, place % 5, *score))
                .collect();
            let chosen = assign(4, &scores);
            let score = |pair: &Chosen| table[pair.field * 5 + pair.column];
            let total: i64 = chosen.iter().map(score).sum();
            prop_assert_eq!(total, most(4, &scores, &mut Vec::new()));
            for pair in &chosen {
                let without: Vec<_> = scores
                    .iter()
                    .copied()
                    .filter(|(field, column, _)| (*field, *column) != (pair.field, pair.column))
                    .collect();
                prop_assert_eq!(pair.margin, total - most(4, &without, &mut Vec::new()));
            }
        }
    }
}

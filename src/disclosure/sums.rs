//! Which counts add up to which, over all tables and measures: the equations that an attacker has.
//!
//! Derived from the dimensions of the tables and from the meaning of the counts, never from a list
//! of names. Knows no threshold and hides nothing.

use super::Quantity;
use super::ShareRules;
use super::cells::{Row, Table, Tables};
use super::linked::linked;
use super::nested::Nesting;
use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// One count, wherever it stands.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cell {
    pub(super) count: u64,
    /// Whether it is published anywhere. What is not may follow from what is.
    pub(super) is_published: bool,
    /// Whether it is to be protected where it is small.
    pub(super) is_sensitive: bool,
}

/// Cells with their factors, which add up to zero.
#[derive(Clone, Debug)]
pub(super) struct Sum {
    pub(super) terms: Vec<(usize, i64)>,
    /// It follows from other sums, so that it says nothing new to one who has all of them.
    pub(super) is_implied: bool,
}

/// All cells and sums of a run.
pub(super) struct Sums {
    pub(super) cells: Vec<Cell>,
    pub(super) equations: Vec<Sum>,
    /// The sums in which each cell stands.
    pub(super) equations_of: Vec<Vec<usize>>,
    /// A cell and one that is never less, by far more.
    far_apart: Vec<(usize, usize)>,
    /// The pairs of `far_apart` in which each cell stands.
    far_apart_of: Vec<Vec<usize>>,
    /// The published rows in which each cell stands.
    pub(super) rows_of: Vec<BTreeSet<usize>>,
    /// What it costs to lose each published row.
    pub(super) worth: Vec<u64>,
    cell_of: Vec<usize>,
}

impl Sums {
    /// All that `tables` and the definitions of their measures say. Counts that lie within each other
    /// and are `far` or more apart make no sum.
    pub(super) fn new(tables: &Tables, nesting: &Nesting, rules: ShareRules, far: u64) -> Sums {
        let mut sums = Sums {
            cells: Vec::new(),
            equations: Vec::new(),
            equations_of: Vec::new(),
            far_apart: Vec::new(),
            far_apart_of: Vec::new(),
            rows_of: Vec::new(),
            worth: Vec::new(),
            cell_of: Vec::new(),
        };
        sums.add_cells(tables);
        for of_measure in tables.of_measures.values() {
            for table in of_measure {
                for row in &table.rows {
                    sums.add_parts_of_cases(row);
                }
            }
            for coarse in of_measure {
                for fine in of_measure {
                    if is_next(coarse, fine, of_measure) {
                        sums.add_groups(coarse, fine);
                    }
                }
            }
        }
        sums.add_nested(tables, nesting, rules, far);
        sums.add_rows_of(tables);
        sums.equations_of = vec![Vec::new(); sums.cells.len()];
        for (number, sum) in sums.equations.iter().enumerate() {
            for (cell, _) in &sum.terms {
                sums.equations_of[*cell].push(number);
            }
        }
        sums.far_apart_of = vec![Vec::new(); sums.cells.len()];
        for (number, (part, whole)) in sums.far_apart.iter().enumerate() {
            sums.far_apart_of[*part].push(number);
            sums.far_apart_of[*whole].push(number);
        }
        sums
    }

    /// Every pair that one of the cells stands in, each once: a cell and one that is never less, by
    /// far more.
    pub(super) fn far_apart<'a>(
        &'a self,
        cells: impl Iterator<Item = &'a usize>,
    ) -> impl Iterator<Item = &'a (usize, usize)> {
        let pairs = cells.flat_map(|cell| &self.far_apart_of[*cell]);
        let pairs: BTreeSet<usize> = pairs.copied().collect();
        pairs.into_iter().map(|pair| &self.far_apart[pair])
    }

    fn add_rows_of(&mut self, tables: &Tables) {
        self.rows_of = vec![BTreeSet::new(); self.cells.len()];
        for (table, row) in tables.published_rows() {
            let worth = match table.dimensions.len() {
                0 => 4,
                1 if !table.name.is_monthly => 2,
                _ => 1,
            };
            for number in row.numbers.values() {
                if tables.counts[*number].is_published {
                    self.rows_of[self.cell_of[*number]].insert(self.worth.len());
                }
            }
            self.worth.push(worth);
        }
    }

    /// The cell of a count of `Tables::counts`.
    pub(super) fn cell_of(&self, number: usize) -> usize {
        self.cell_of[number]
    }

    /// The counts that `cells` stand for.
    pub(super) fn members(&self, cells: &BTreeSet<usize>) -> BTreeSet<usize> {
        let all = self.cell_of.iter().enumerate();
        all.filter(|(_, cell)| cells.contains(cell))
            .map(|(number, _)| number)
            .collect()
    }

    /// One cell for all counts that are the same.
    fn add_cells(&mut self, tables: &Tables) {
        let mut first: Vec<usize> = (0..tables.counts.len()).collect();
        for (one, other) in linked(tables) {
            let (one, other) = (root(&mut first, one), root(&mut first, other));
            first[one.max(other)] = one.min(other);
        }
        let mut cell_of_root = BTreeMap::new();
        for (number, count) in tables.counts.iter().enumerate() {
            let root = root(&mut first, number);
            let cell = *cell_of_root.entry(root).or_insert_with(|| {
                self.cells.push(Cell {
                    count: count.size,
                    is_published: false,
                    is_sensitive: false,
                });
                self.cells.len() - 1
            });
            self.cells[cell].is_published |= count.is_published;
            self.cells[cell].is_sensitive |= count.is_sensitive;
            self.cell_of.push(cell);
        }
    }

    /// The sums within one row.
    fn add_parts_of_cases(&mut self, row: &Row) {
        let at = |what| row.numbers.get(&what).map(|number| self.cell_of[*number]);
        let population = at(Quantity::Population);
        let (eligible, excluded) = (at(Quantity::Eligible), at(Quantity::Excluded));
        let (hit, miss) = (at(Quantity::Hit), at(Quantity::Miss));
        let attempts = at(Quantity::Attempts);
        if let (Some(all), Some(eligible), Some(excluded)) = (population, eligible, excluded) {
            self.add(all, &[eligible, excluded], false);
        }
        if let (Some(all), Some(hit), Some(miss)) = (attempts.or(eligible), hit, miss) {
            self.add(all, &[hit, miss], false);
        }
        // Every case that was judged has one pass or more.
        if let (Some(attempts), Some(cases)) = (attempts, eligible) {
            self.add_at_most(cases, attempts);
        }
    }

    /// The rows of `fine` that add up to each row of `coarse`.
    fn add_groups(&mut self, coarse: &Table, fine: &Table) {
        let places: Vec<usize> = coarse
            .dimensions
            .iter()
            .filter_map(|dimension| fine.dimensions.iter().position(|it| it == dimension))
            .collect();
        let mut parts: BTreeMap<Vec<&str>, Vec<&Row>> = BTreeMap::new();
        for row in &fine.rows {
            let values = places.iter().map(|place| row.values[*place].as_str());
            parts.entry(values.collect()).or_default().push(row);
        }
        for row in &coarse.rows {
            let values: Vec<&str> = row.values.iter().map(String::as_str).collect();
            let parts = parts.get(&values).map_or(&[][..], Vec::as_slice);
            self.add_rows(row, parts);
        }
    }

    fn add_rows(&mut self, row: &Row, parts: &[&Row]) {
        let mut adding_up = BTreeSet::new();
        // Parts before their totals, so that it is known which totals say nothing new.
        for what in [
            Quantity::Hit,
            Quantity::Miss,
            Quantity::Attempts,
            Quantity::Eligible,
            Quantity::Excluded,
            Quantity::Population,
        ] {
            let Some(total) = row.numbers.get(&what).map(|number| self.cell_of[*number]) else {
                continue;
            };
            let of_parts = parts.iter().filter_map(|part| part.numbers.get(&what));
            let cells: Vec<usize> = of_parts.map(|number| self.cell_of[*number]).collect();
            let sum: u64 = cells.iter().map(|cell| self.cells[*cell].count).sum();
            let count = self.cells[total].count;
            match sum.cmp(&count) {
                Ordering::Equal => {
                    let of: &[Quantity] = match what {
                        Quantity::Attempts => &[Quantity::Hit, Quantity::Miss],
                        Quantity::Eligible if !row.numbers.contains_key(&Quantity::Attempts) => {
                            &[Quantity::Hit, Quantity::Miss]
                        }
                        Quantity::Population => &[Quantity::Eligible, Quantity::Excluded],
                        _ => &[],
                    };
                    let is_implied =
                        !of.is_empty() && of.iter().all(|part| adding_up.contains(part));
                    self.add(total, &cells, is_implied);
                    adding_up.insert(what);
                }
                Ordering::Greater => {
                    // A case with passes of two devices is a case of both: groups overlap, and all that
                    // is known is that no group has more than all, and all no more than the groups.
                    for cell in &cells {
                        self.add_at_most(*cell, total);
                    }
                    let beyond = self.add_unpublished(sum - count);
                    let terms = cells.iter().map(|cell| (*cell, 1));
                    self.push(terms.chain([(total, -1), (beyond, -1)]), false);
                }
                Ordering::Less => {
                    let rest = self.add_unpublished(count - sum);
                    self.add(total, &[&cells[..], &[rest]].concat(), false);
                }
            }
        }
    }

    /// `part` is not more than `total`.
    fn add_at_most(&mut self, part: usize, total: usize) {
        let (part_count, count) = (self.cells[part].count, self.cells[total].count);
        if part != total && part_count <= count {
            let rest = self.add_unpublished(count - part_count);
            self.add(total, &[part, rest], false);
        }
    }

    /// A count that lies within another by definition leaves a rest that everybody works out who
    /// knows both.
    fn add_nested(&mut self, tables: &Tables, nesting: &Nesting, rules: ShareRules, far: u64) {
        let mut is_sensitive: BTreeMap<(usize, usize), bool> = BTreeMap::new();
        for pair in nesting.pairs(tables) {
            let of_pair = [pair.part, pair.whole].map(|number| self.cell_of[number]);
            let quantity = if pair.is_unjudged {
                Quantity::Excluded
            } else {
                Quantity::Hit
            };
            *is_sensitive.entry(of_pair.into()).or_default() |= rules.protects(quantity);
        }
        for ((part, whole), is_sensitive) in is_sensitive {
            let (part_count, count) = (self.cells[part].count, self.cells[whole].count);
            // Where a part is more than its whole, the counts were not made by the definitions.
            if part == whole || part_count > count {
                continue;
            }
            if count - part_count >= far {
                self.far_apart.push((part, whole));
                continue;
            }
            let rest = self.add_unpublished(count - part_count);
            self.cells[rest].is_sensitive = is_sensitive;
            self.add(whole, &[part, rest], false);
        }
    }

    fn add_unpublished(&mut self, count: u64) -> usize {
        self.cells.push(Cell {
            count,
            is_published: false,
            is_sensitive: false,
        });
        self.cells.len() - 1
    }

    fn add(&mut self, total: usize, parts: &[usize], is_implied: bool) {
        let parts = parts.iter().map(|part| (*part, -1));
        self.push([(total, 1)].into_iter().chain(parts), is_implied);
    }

    /// Cells that are the same meet here: a total that equals its only part says nothing.
    fn push(&mut self, terms: impl Iterator<Item = (usize, i64)>, is_implied: bool) {
        let mut factors: BTreeMap<usize, i64> = BTreeMap::new();
        for (cell, factor) in terms {
            *factors.entry(cell).or_default() += factor;
        }
        factors.retain(|_, factor| *factor != 0);
        if !factors.is_empty() {
            self.equations.push(Sum {
                terms: factors.into_iter().collect(),
                is_implied,
            });
        }
    }
}

/// Whether rows of `fine` add up to rows of `coarse` without another table between the two.
fn is_next(coarse: &Table, fine: &Table, all: &[Table]) -> bool {
    let is_coarser = |one: &Table, other: &Table| {
        one.dimensions.len() < other.dimensions.len() && one.is_within(other)
    };
    is_coarser(coarse, fine)
        && !all
            .iter()
            .any(|between| is_coarser(coarse, between) && is_coarser(between, fine))
}

/// The first of all counts that are linked with one.
fn root(first: &mut [usize], number: usize) -> usize {
    let mut number = number;
    while first[number] != number {
        first[number] = first[first[number]];
        number = first[number];
    }
    number
}

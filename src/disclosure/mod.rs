//! Disclosure control: which counts must be hidden so that nobody can work out a small one from all
//! that is published.
//!
//! Knows count tables and their sums; does not know what a finding, a page or a file looks like.
//!
//! **What is protected.** A count of 1 to `threshold - 1` is small. It is hidden, and so are as many
//! others as it takes that, by all sums between what is published, each small count could be
//! (a) `threshold` or more, and (b) anything in a range of at least `threshold` whole numbers, which
//! is more than the rule itself gives away. So no small count can be told, nor be told to be small.
//! Zero is published; so is everything else that is not needed to hide a small count.
//!
//! **From what.** All cells of all tables of a run ([`cells`]): cases and their parts (met and not
//! met, judged and excluded), groups and all cases, months and the whole period, tables of two
//! dimensions and of one, and different measures that count the same cases, or of which one counts
//! some of the cases of the other by definition ([`nested`]): who rebled within three days rebled
//! within seven, and the difference of the two counts is one more that everybody can work out. It is
//! protected like one that is published. A share or an interval is published only where it follows
//! from published counts, so that it adds nothing (`findings::shared`).
//!
//! **How** ([`hide`]). Small counts first (primary suppression); then in each sum the count whose
//! loss takes the fewest rows with it, so that a hidden one is not the difference of the others
//! (complementary suppression); then the least and the greatest possible value of each hidden small
//! count by linear programming ([`bounds`]), and where they are too near the complements that keep
//! them apart at the least cost, by linear programming as well. Only the cells around a count are
//! looked at together, and all others keep their true counts, which proves less and never too much.
//! Whole numbers are not demanded of the other cells; where sums have two levels this changes
//! nothing, and where they have three the true range may be narrower than the one that was found.
//!
//! Tables of several dimensions or of months in which most rows hold a small count are withheld as a
//! whole, with every row and every absence of a row; so are tables of one dimension in which one small
//! group alone has cases. Where splits go around in a circle and a count in them is hidden, the
//! tables of one of them are withheld ([`circles`]). What follows from told counts by one sum
//! after another is told again. Where no complements protect a small count, the deepest tables around
//! it are withheld.
//!
//! Small counts, complements and bounds as in Willenborg and de Waal, Elements of Statistical
//! Disclosure Control (2001), and Hundepool et al., Statistical Disclosure Control (2012), both from
//! memory; the threshold of 11 as the United States Centers for Medicare and Medicaid Services set
//! it for what they release. The order in which complements are taken, and (b), are decisions of
//! this project.
//!
//! **What is not protected.** Earlier releases: who publishes two periods, of which one contains the
//! other, publishes their difference (`export::releases` refuses the second). What someone knows of
//! single cases. What follows from knowing this procedure and its order. Of what the words of two
//! definitions say about each other, all but equal counts and counts within each other: not that two
//! counts have no case in common, nor what both have in common, nor that a measure counts the cases of
//! one group of another, such as upper bleeds those of one presentation. What no cases could be in
//! several splits of several measures at once, though each split and each measure by itself could.
//! Measures of a site's own, of which no table says what lies within what. Lengths of time: their
//! distributions are not for publication, only numbers of cases and quantiles of groups whose counts
//! are all shown.

mod bounds;
mod cells;
mod circles;
mod hide;
mod linked;
mod nested;
mod release;
mod sums;

pub use release::{is_released, released};

use crate::domain::counts::{CountTables, Key};
use crate::domain::month::Month;
use crate::domain::nested_counts::{NestedCount, nested_counts};
use nested::Nesting;
use std::collections::BTreeSet;

/// What is to be protected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShareRules {
    /// The smallest count above zero that may be published. At 0 or 1 nothing is hidden.
    pub threshold: u64,
    /// Whether a small number of cases that could not be judged may be told: it says what was not
    /// written down, and nothing of what these cases are or came to.
    pub tells_unjudged: bool,
}

impl Default for ShareRules {
    /// 11: counts of 1 to 10 are hidden, those of cases that could not be judged among them.
    fn default() -> ShareRules {
        ShareRules {
            threshold: 11,
            tells_unjudged: false,
        }
    }
}

impl ShareRules {
    /// Whether a count of so many is one to be protected.
    fn is_small(self, count: u64) -> bool {
        (1..self.threshold).contains(&count)
    }

    /// Whether small counts of this kind are to be protected.
    fn protects(self, what: Quantity) -> bool {
        what.is_published() && !(self.tells_unjudged && what == Quantity::Excluded)
    }
}

/// Which count of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quantity {
    /// Cases that were or were not judged. Not published by itself, yet often known from another
    /// measure of the same cases.
    Population,
    /// Cases that were judged; for events, none.
    Eligible,
    /// Cases of the population that could not be judged.
    Excluded,
    /// Judged cases that meet the definition, cases that reached the end of a time, passes that meet
    /// the definition, or events.
    Hit,
    /// Judged cases (or passes) that do not: not met, or followed for a while only.
    Miss,
    /// Passes, for a share per pass.
    Attempts,
}

impl Quantity {
    /// Whether outputs hold it. What they do not hold may follow from what they do.
    const fn is_published(self) -> bool {
        !matches!(self, Quantity::Population)
    }

    /// Whether it counts passes, in a share per pass.
    const fn is_of_passes(self) -> bool {
        matches!(self, Quantity::Attempts | Quantity::Hit | Quantity::Miss)
    }
}

/// A row of a count table, whatever the version of its measure.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Identifier of the measure.
    pub measure: String,
    /// Names of the dimensions joined with `+`, or `all`.
    pub by: String,
    /// Values of these dimensions joined with `|`, or `all`.
    pub group: String,
    /// The month, or `None` for all months together.
    pub month: Option<Month>,
}

impl From<&Key> for Place {
    fn from(key: &Key) -> Place {
        Place {
            measure: key.measure.clone(),
            by: key.by.clone(),
            group: key.group.clone(),
            month: key.month,
        }
    }
}

/// A table of a measure: all rows of one split, without or with months.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct TableName {
    /// Identifier of the measure.
    pub measure: String,
    /// Names of the dimensions joined with `+`, or `all`.
    pub by: String,
    /// Whether each month has rows of its own.
    pub is_monthly: bool,
}

impl From<&Key> for TableName {
    fn from(key: &Key) -> TableName {
        TableName::from(&Place::from(key))
    }
}

impl From<&Place> for TableName {
    fn from(place: &Place) -> TableName {
        TableName {
            measure: place.measure.clone(),
            by: place.by.clone(),
            is_monthly: place.month.is_some(),
        }
    }
}

/// What may be published of count tables.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Protected {
    hidden: BTreeSet<(Place, Quantity)>,
    withheld: BTreeSet<TableName>,
}

impl Protected {
    /// Whether one count of a row may be published. A row that the tables do not have is a row of
    /// zeros, which may be told unless the whole table is withheld.
    pub fn shows(&self, place: &Place, quantity: Quantity) -> bool {
        quantity.is_published()
            && !self.withholds(place)
            && !self.hidden.contains(&(place.clone(), quantity))
    }

    /// Whether every count of a row may be published, and so whatever is computed from them.
    pub fn shows_row(&self, place: &Place) -> bool {
        let first = (place.clone(), Quantity::Population);
        let mut of_row = self.hidden.range(first..).take_while(|(at, _)| at == place);
        !self.withholds(place) && of_row.next().is_none()
    }

    /// Whether the table of a row is withheld as a whole: neither its rows nor their absence may be
    /// published.
    pub fn withholds(&self, place: &Place) -> bool {
        // Tables are few, and mostly none is withheld.
        self.withheld.iter().any(|table| {
            table.is_monthly == place.month.is_some()
                && table.measure == place.measure
                && table.by == place.by
        })
    }

    /// The rows of which every count may be published, as if there were no others.
    pub fn published(&self, counts: &CountTables) -> CountTables {
        release::only(counts, |key| self.shows_row(&Place::from(key)))
    }

    /// Every count that is hidden, in order, without those of tables that are withheld.
    pub fn hidden(&self) -> impl Iterator<Item = (&Place, Quantity)> {
        self.hidden.iter().map(|(place, what)| (place, *what))
    }

    /// The tables that are withheld as a whole, in order.
    pub fn withheld(&self) -> impl Iterator<Item = &TableName> {
        self.withheld.iter()
    }
}

/// Decides what of `counts` may be published. The same counts and rules give the same answer.
pub fn protect(counts: &CountTables, rules: ShareRules) -> Protected {
    protected(counts, rules, &nested_counts(), hide::MOST_CELLS)
}

/// With `nested` counts of different measures, and at most `most_cells` hidden counts looked at
/// together.
fn protected(
    counts: &CountTables,
    rules: ShareRules,
    nested: &[NestedCount],
    most_cells: usize,
) -> Protected {
    let nesting = Nesting::new(nested);
    let mut withheld = BTreeSet::new();
    loop {
        let tables = cells::tables(counts, &withheld, rules);
        let unreadable: Vec<TableName> = tables.unreadable().cloned().collect();
        if !unreadable.is_empty() {
            withheld.extend(unreadable);
            continue;
        }
        let mostly_small = tables.mostly_small(rules);
        if !mostly_small.is_empty() {
            withheld.extend(mostly_small);
            continue;
        }
        // What is small will be hidden, so there is no need to look for its complements first.
        let in_circle = circles::to_open(&tables, |number| {
            let count = &tables.counts[number];
            count.is_sensitive && rules.is_small(count.size)
        });
        if !in_circle.is_empty() {
            withheld.extend(in_circle);
            continue;
        }
        let sums = sums::Sums::new(&tables, &nesting, rules, hide::far(rules));
        match hide::hide(&sums, rules, most_cells) {
            Ok(is_hidden) => {
                let is_hidden = |number: usize| {
                    tables.counts[number].is_published && is_hidden[sums.cell_of(number)]
                };
                let in_circle = circles::to_open(&tables, is_hidden);
                if !in_circle.is_empty() {
                    withheld.extend(in_circle);
                    continue;
                }
                let counts = tables.counts.iter().enumerate();
                let hidden = counts.filter(|(number, _)| is_hidden(*number));
                return Protected {
                    hidden: hidden
                        .map(|(_, count)| (count.place.clone(), count.what))
                        .collect(),
                    withheld,
                };
            }
            Err(entangled) => {
                let mut more = tables.deepest(&sums.members(&entangled));
                if more.is_empty() {
                    more = tables.deepest(&(0..tables.counts.len()).collect());
                }
                withheld.extend(more);
            }
        }
    }
}

#[cfg(test)]
mod tests;

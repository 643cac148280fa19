//! Count tables, the waist of the tool: grouped whole numbers from which every published number
//! is computed. They add up: the tables of two sites become one table by adding equal keys.

mod whole;

use super::measure::Definition;
use super::month::Month;
use std::collections::BTreeMap;

pub use whole::NotWhole;

/// The word that stands for "not split by any dimension" and for "all groups together".
pub const ALL: &str = "all";

/// The dimension of counts by site, the column of its field.
pub const SITE: &str = "site";

/// What a count is a count of.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Key {
    /// Identifier of the measure.
    pub measure: String,
    /// Version of the measure's definition. Counts of two versions never mix.
    pub version: u32,
    /// Names of the dimensions joined with `+`, or `all`.
    pub by: String,
    /// Values of these dimensions joined with `|`, or `all`.
    pub group: String,
    /// The month, or `None` for all months together.
    pub month: Option<Month>,
}

impl Key {
    /// The key of all cases together, in one month or in all.
    pub fn of_all(definition: &Definition, month: Option<Month>) -> Key {
        Key {
            measure: definition.id.clone(),
            version: definition.version,
            by: ALL.to_owned(),
            group: ALL.to_owned(),
            month,
        }
    }
}

/// Counts of a share.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ShareCount {
    /// Cases that the definition judges.
    pub eligible: u64,
    /// Of these, cases that meet it.
    pub hit: u64,
    /// Cases of the population that could not be judged.
    pub excluded: u64,
}

/// Counts of a length of time, one per whole minute, so that quantiles and survival curves stay
/// exact at any size.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct MinutesCount {
    /// Cases by minutes and by whether the end was reached (`false`: followed until then only).
    pub cases: BTreeMap<(i64, bool), u64>,
    /// Cases of the population that could not be judged.
    pub excluded: u64,
}

/// Counts of a share per pass, kept per case because passes of one case go together.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PassesCount {
    /// Cases by (events, attempts), attempts at least 1.
    pub cases: BTreeMap<(u64, u64), u64>,
    /// Cases none of whose passes could be judged.
    pub excluded: u64,
}

impl PassesCount {
    /// Events, and attempts, of all cases together.
    pub fn passes(&self) -> (u64, u64) {
        let (mut all_events, mut all_attempts) = (0_u64, 0_u64);
        for ((events, attempts), cases) in &self.cases {
            all_events = all_events.saturating_add(events.saturating_mul(*cases));
            all_attempts = all_attempts.saturating_add(attempts.saturating_mul(*cases));
        }
        (all_events, all_attempts)
    }
}

/// Counts of events in observed time.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct EventsCount {
    /// Number of events.
    pub events: u64,
    /// Observed time in minutes, summed over sites.
    pub exposure_minutes: u64,
}

/// The four tables, one per kind of measure.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CountTables {
    /// Measures of kind `share`.
    pub shares: BTreeMap<Key, ShareCount>,
    /// Measures of kind `minutes`.
    pub minutes: BTreeMap<Key, MinutesCount>,
    /// Measures of kind `clustered_share`.
    pub passes: BTreeMap<Key, PassesCount>,
    /// Measures of kind `count`.
    pub events: BTreeMap<Key, EventsCount>,
}

impl CountTables {
    /// The key of every row.
    pub fn keys(&self) -> impl Iterator<Item = &Key> {
        let shares = self.shares.keys().chain(self.minutes.keys());
        shares.chain(self.passes.keys()).chain(self.events.keys())
    }
}

/// The counts of different measures in one.
impl FromIterator<CountTables> for CountTables {
    fn from_iter<I: IntoIterator<Item = CountTables>>(measures: I) -> CountTables {
        let (mut shares, mut minutes) = (Vec::new(), Vec::new());
        let (mut passes, mut events) = (Vec::new(), Vec::new());
        for tables in measures {
            shares.push(tables.shares);
            minutes.push(tables.minutes);
            passes.push(tables.passes);
            events.push(tables.events);
        }
        CountTables {
            shares: joined(shares),
            minutes: joined(minutes),
            passes: joined(passes),
            events: joined(events),
        }
    }
}

/// Tables of different measures as one. Added to a map one by one they would be sorted anew each time.
fn joined<C>(mut tables: Vec<BTreeMap<Key, C>>) -> BTreeMap<Key, C> {
    tables.sort_by(|a, b| a.keys().next().cmp(&b.keys().next()));
    tables.into_iter().flatten().collect()
}

/// Counts that can be added to counts of the same kind.
pub trait Additive: Default {
    /// Adds `other` to `self`. Counts stop at `u64::MAX`.
    fn add(&mut self, other: &Self);

    /// The sum of all `parts`.
    fn sum<'a>(parts: impl IntoIterator<Item = &'a Self>) -> Self
    where
        Self: 'a,
    {
        let mut total = Self::default();
        for part in parts {
            total.add(part);
        }
        total
    }
}

impl Additive for ShareCount {
    fn add(&mut self, other: &Self) {
        self.eligible = self.eligible.saturating_add(other.eligible);
        self.hit = self.hit.saturating_add(other.hit);
        self.excluded = self.excluded.saturating_add(other.excluded);
    }
}

impl Additive for MinutesCount {
    fn add(&mut self, other: &Self) {
        add_map(&mut self.cases, &other.cases);
        self.excluded = self.excluded.saturating_add(other.excluded);
    }
}

impl Additive for PassesCount {
    fn add(&mut self, other: &Self) {
        add_map(&mut self.cases, &other.cases);
        self.excluded = self.excluded.saturating_add(other.excluded);
    }
}

impl Additive for EventsCount {
    fn add(&mut self, other: &Self) {
        self.events = self.events.saturating_add(other.events);
        self.exposure_minutes = self.exposure_minutes.saturating_add(other.exposure_minutes);
    }
}

impl Additive for CountTables {
    fn add(&mut self, other: &Self) {
        add_table(&mut self.shares, &other.shares);
        add_table(&mut self.minutes, &other.minutes);
        add_table(&mut self.passes, &other.passes);
        add_table(&mut self.events, &other.events);
    }
}

fn add_map<K: Ord + Copy>(into: &mut BTreeMap<K, u64>, from: &BTreeMap<K, u64>) {
    for (key, count) in from {
        let sum = into.entry(*key).or_default();
        *sum = sum.saturating_add(*count);
    }
}

fn add_table<C: Additive>(into: &mut BTreeMap<Key, C>, from: &BTreeMap<Key, C>) {
    for (key, count) in from {
        into.entry(key.clone()).or_default().add(count);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key_of(measure: &str, group: &str) -> Key {
        Key {
            measure: measure.into(),
            version: 1,
            by: "site".into(),
            group: group.into(),
            month: None,
        }
    }

    #[test]
    fn tables_of_measures_in_any_order_become_one() {
        let tables = |measure: &str, groups: [&str; 2]| CountTables {
            events: groups
                .iter()
                .map(|group| (key_of(measure, group), EventsCount::default()))
                .collect(),
            ..CountTables::default()
        };
        let parts = [
            tables("stock_outs", ["Alder", "Birch"]),
            CountTables::default(),
            tables("calls", ["Birch", "Cedar"]),
        ];
        let all: CountTables = parts.into_iter().collect();
        let found: Vec<_> = all.events.keys().cloned().collect();
        let expected = [
            key_of("calls", "Birch"),
            key_of("calls", "Cedar"),
            key_of("stock_outs", "Alder"),
            key_of("stock_outs", "Birch"),
        ];
        assert_eq!(found, expected);
        assert!(all.events.contains_key(&expected[2]));
    }

    #[test]
    fn tables_of_two_sites_add_up_key_by_key() {
        let key = |group: &str| key_of("overtube_used", group);
        let share = |eligible, hit, excluded| ShareCount {
            eligible,
            hit,
            excluded,
        };
        let mut alder = CountTables::default();
        alder.shares.insert(key("Alder"), share(10, 4, 1));
        alder.shares.insert(key("all"), share(10, 4, 1));
        let mut birch = CountTables::default();
        birch.shares.insert(key("Birch"), share(6, 3, 0));
        birch.shares.insert(key("all"), share(6, 3, 0));

        let both = CountTables::sum([&alder, &birch]);
        assert_eq!(both.shares[&key("all")], share(16, 7, 1));
        assert_eq!(both.shares[&key("Alder")], share(10, 4, 1));
        assert_eq!(both.shares.len(), 3);
    }
}

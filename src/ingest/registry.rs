//! Which cases and passes were seen: enough of every row to tell a repeat, a conflict and a stray,
//! in less than 32 bytes.
//!
//! Knows hashes of keys, never the keys. Of ten million cases the chance that any two different
//! numbers share a 64-bit hash is one in 370,000; the two would be told as a conflict (R06).

use super::fingerprint::Fingerprint;
use crate::domain::codes::{Outcome, PassResult};
use crate::domain::issue::{IssueCode, Position, Source};
use hashbrown::HashTable;
use xxhash_rust::xxh3::xxh3_64_with_seed;

/// The hash of a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Key(u64);

impl Key {
    /// The key of a case by its number.
    pub(super) fn of_case(case_id: &str) -> Key {
        Key(xxh3_64_with_seed(case_id.as_bytes(), 0))
    }

    /// The key of its passes without a number that have these cells.
    pub(super) fn of_pass_without_number(self, Fingerprint(cells): Fingerprint) -> Key {
        Key(xxh3_64_with_seed(&cells.to_le_bytes(), !self.0))
    }

    /// The key of one of its passes.
    pub(super) fn of_pass(self, pass_number: i64) -> Key {
        Key(xxh3_64_with_seed(&pass_number.to_le_bytes(), self.0))
    }
}

/// What is remembered of a row.
#[derive(Clone, Copy)]
struct Entry {
    key: Key,
    fingerprint: Fingerprint,
    line_number: u32,
    file_index: u16,
    traits: Traits,
}

/// What is known of a case beside its row, one bit each.
#[derive(Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Traits(u16);

impl Traits {
    pub(super) const OUTSIDE_PERIOD: Traits = Traits(1);
    /// The outcome says that a device was used.
    const EXPECTS_PASS: Traits = Traits(1 << 1);
    /// The outcome says that the object came out or went on.
    const SAYS_OUT: Traits = Traits(1 << 2);
    /// The outcome says that it did not.
    const SAYS_FAILED: Traits = Traits(1 << 3);
    const HAS_PASS: Traits = Traits(1 << 4);
    /// A pass took the object out or pushed it on.
    const PASS_OUT: Traits = Traits(1 << 5);
    /// The result of a pass, or that it was rigid, is unknown.
    const PASS_UNKNOWN: Traits = Traits(1 << 6);

    fn has(self, other: Traits) -> bool {
        self.0 & other.0 == other.0
    }

    pub(super) fn add(&mut self, other: Traits) {
        self.0 |= other.0;
    }

    /// What an outcome says of devices.
    pub(super) fn of_outcome(outcome: Option<&str>) -> Traits {
        let mut traits = Traits::default();
        let is = |wanted: Outcome| outcome == Some(wanted.code());
        if is(Outcome::Removed) || is(Outcome::Pushed) {
            traits.add(Traits::EXPECTS_PASS);
            traits.add(Traits::SAYS_OUT);
        } else if is(Outcome::Failed) {
            traits.add(Traits::EXPECTS_PASS);
            traits.add(Traits::SAYS_FAILED);
        }
        traits
    }

    /// What the result of one pass says of its case.
    pub(super) fn of_pass(result: Option<&str>) -> Traits {
        let mut traits = Traits::HAS_PASS;
        let is = |wanted: PassResult| result == Some(wanted.code());
        if is(PassResult::ObjectRemoved) || is(PassResult::PushedOn) {
            traits.add(Traits::PASS_OUT);
        } else if !is(PassResult::PassFailed) {
            // A piece may have been the last one.
            traits.add(Traits::PASS_UNKNOWN);
        }
        traits
    }

    /// What is wrong between the outcome of a case and its passes.
    fn fault(self) -> Option<IssueCode> {
        if self.has(Traits::OUTSIDE_PERIOD) {
            None
        } else if !self.has(Traits::HAS_PASS) {
            self.has(Traits::EXPECTS_PASS)
                .then_some(IssueCode::CaseWithoutPass)
        } else if (self.has(Traits::SAYS_OUT)
            && !self.has(Traits::PASS_OUT)
            && !self.has(Traits::PASS_UNKNOWN))
            || (self.has(Traits::SAYS_FAILED) && self.has(Traits::PASS_OUT))
        {
            Some(IssueCode::OutcomeAgainstPasses)
        } else {
            None
        }
    }
}

/// Parts of the registry. What grows stands twice in memory while it moves; one part at a time makes
/// that a sixty-fourth.
const PARTS: usize = 64;

/// Rows seen so far, by key.
pub(super) struct Registry {
    parts: Vec<Part>,
}

/// Rows in the order in which they came, and where each stands by its key: a table of places is so
/// small that much of it stays near the processor.
#[derive(Default)]
struct Part {
    entries: Vec<Entry>,
    places: HashTable<u32>,
}

impl Part {
    fn place(&self, key: Key) -> Option<usize> {
        let is_it = |place: &u32| self.entries[*place as usize].key == key;
        let found = self.places.find(key.0, is_it);
        found.map(|place| *place as usize)
    }

    fn get(&self, key: Key) -> Option<&Entry> {
        self.place(key).map(|place| &self.entries[place])
    }

    /// Adds a row whose key is not there yet.
    fn insert(&mut self, entry: Entry) {
        let place = u32::try_from(self.entries.len()).expect("fewer rows than a file can have");
        self.entries.push(entry);
        let entries = &self.entries;
        let hash = |place: &u32| entries[*place as usize].key.0;
        self.places.insert_unique(entry.key.0, place, hash);
    }
}

impl Registry {
    pub(super) fn new() -> Registry {
        Registry {
            parts: (0..PARTS).map(|_| Part::default()).collect(),
        }
    }

    fn part(&self, key: Key) -> &Part {
        &self.parts[place_of(key)]
    }

    /// Looks many keys up at once, for nothing but that what they need is near the processor when each
    /// is asked for: one at a time, every key of a large registry is a wait for memory.
    pub(super) fn expect(&self, keys: impl Iterator<Item = Key>) {
        let known = keys
            .filter(|key| self.part(*key).place(*key).is_some())
            .count();
        std::hint::black_box(known);
    }

    /// Remembers a row by its key.
    ///
    /// # Errors
    /// When an earlier row had the same key: a repeat if all mapped cells are the same but for
    /// capitals and blanks, a conflict if not.
    pub(super) fn add(
        &mut self,
        key: Key,
        fingerprint: Fingerprint,
        at: Position,
        traits: Traits,
    ) -> Result<(), IssueCode> {
        match self.part(key).get(key) {
            None => {
                let entry = Entry {
                    key,
                    fingerprint,
                    line_number: u32::try_from(at.line_number).unwrap_or(u32::MAX),
                    file_index: u16::try_from(at.file_index).unwrap_or(u16::MAX),
                    traits,
                };
                self.parts[place_of(key)].insert(entry);
                Ok(())
            }
            Some(earlier) if earlier.fingerprint == fingerprint => Err(IssueCode::RepeatedRow),
            Some(_) => Err(IssueCode::ConflictingRow),
        }
    }

    /// Remembers a pass without a number by a key that holds all its cells.
    ///
    /// # Errors
    /// When an earlier file had the same. Within a file two passes may well be told in the same
    /// words, and a case must not look like one with fewer passes.
    pub(super) fn add_pass_without_number(
        &mut self,
        key: Key,
        fingerprint: Fingerprint,
        at: Position,
    ) -> Result<(), IssueCode> {
        let earlier = self.part(key).get(key);
        if earlier.is_some_and(|earlier| usize::from(earlier.file_index) == at.file_index) {
            return Ok(());
        }
        self.add(key, fingerprint, at, Traits::default())
    }

    /// Why a pass cannot belong to the case with this key; `Ok` when it can.
    pub(super) fn check_pass(&self, case: Key) -> Result<(), IssueCode> {
        match self.part(case).get(case) {
            None => Err(IssueCode::PassWithoutCase),
            Some(entry) if entry.traits.has(Traits::OUTSIDE_PERIOD) => {
                Err(IssueCode::OutsidePeriod)
            }
            Some(_) => Ok(()),
        }
    }

    /// Adds what a pass says of its case.
    pub(super) fn note(&mut self, case: Key, traits: Traits) {
        let part = &mut self.parts[place_of(case)];
        if let Some(place) = part.place(case) {
            part.entries[place].traits.add(traits);
        }
    }

    /// Cases whose outcome and passes do not go together, in the order of files and lines.
    pub(super) fn cases_against_passes(&self) -> Vec<(Position, IssueCode)> {
        let mut found: Vec<_> = self
            .parts
            .iter()
            .flat_map(|part| &part.entries)
            .filter_map(|entry| {
                let at = Position {
                    source: Source::Cases,
                    file_index: usize::from(entry.file_index),
                    line_number: u64::from(entry.line_number),
                };
                entry.traits.fault().map(|code| (at, code))
            })
            .collect();
        found.sort();
        found
    }
}

/// The part that holds a key. The map within a part goes by the lowest and the highest bits.
fn place_of(key: Key) -> usize {
    usize::try_from((key.0 >> 32) % PARTS as u64).expect("less than the number of parts")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(line_number: u64) -> Position {
        Position {
            source: Source::Cases,
            file_index: 0,
            line_number,
        }
    }

    #[test]
    fn a_repeat_a_conflict_and_a_stray_are_told_apart() {
        let mut registry = Registry::new();
        let (first, second) = (Key::of_case("K1"), Key::of_case("K2"));
        let mut add =
            |key, cells, line| registry.add(key, Fingerprint(cells), at(line), Traits::default());
        assert_eq!(add(first, 1, 2), Ok(()));
        assert_eq!(add(first, 1, 3), Err(IssueCode::RepeatedRow));
        assert_eq!(add(first, 2, 4), Err(IssueCode::ConflictingRow));
        assert_eq!(registry.check_pass(first), Ok(()));
        assert_eq!(registry.check_pass(second), Err(IssueCode::PassWithoutCase));
        let outside = Traits::OUTSIDE_PERIOD;
        assert_eq!(registry.add(second, Fingerprint(1), at(5), outside), Ok(()));
        assert_eq!(registry.check_pass(second), Err(IssueCode::OutsidePeriod));
        assert_ne!(first.of_pass(1), first.of_pass(2));
        assert_ne!(first.of_pass(1), second.of_pass(1));
    }

    #[test]
    fn an_outcome_is_held_against_the_passes() {
        // Outcome, results of the passes (`None` for a pass without one), what is wrong.
        type Row<'a> = (Option<&'a str>, &'a [Option<&'a str>], Option<IssueCode>);
        let against = Some(IssueCode::OutcomeAgainstPasses);
        let table: &[Row<'_>] = &[
            (Some("removed"), &[], Some(IssueCode::CaseWithoutPass)),
            (Some("failed"), &[], Some(IssueCode::CaseWithoutPass)),
            (Some("not_present"), &[], None),
            (Some("controlled"), &[], None),
            (None, &[], None),
            (Some("removed"), &[Some("failed"), Some("removed")], None),
            (Some("removed"), &[Some("failed")], against),
            (Some("removed"), &[Some("piece")], None),
            (Some("removed"), &[Some("failed"), None], None),
            (Some("pushed"), &[Some("pushed")], None),
            (Some("failed"), &[Some("failed"), Some("piece")], None),
            (Some("failed"), &[Some("removed")], against),
            (None, &[Some("removed")], None),
        ];
        for (line, (outcome, results, expected)) in (2..).zip(table) {
            let mut registry = Registry::new();
            let key = Key::of_case("K1");
            let traits = Traits::of_outcome(*outcome);
            let added = registry.add(key, Fingerprint(0), at(line), traits);
            assert_eq!(added, Ok(()));
            for result in *results {
                registry.note(key, Traits::of_pass(*result));
            }
            let expected: Vec<_> = expected.map(|code| (at(line), code)).into_iter().collect();
            assert_eq!(
                registry.cases_against_passes(),
                expected,
                "{outcome:?} {results:?}"
            );
        }
    }
}

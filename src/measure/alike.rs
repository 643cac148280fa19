//! Cases that are alike in all that a measure looks at are worth the same. Most measures look at a few
//! coded columns alone, so their query runs over one case of each kind, and what it says of that case
//! holds for every other of its kind.

use super::columns::tokens;
use super::grouped::Rows;
use super::locality::{handed_on_words, is_case_local, takes_case_id_as_key};
use crate::domain::fields::{CaseField, Field, Kind};
use crate::domain::measure::Definition;
use foldhash::fast::FixedState;
use hashbrown::HashMap;

/// Something in which cases are alike or differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Trait {
    /// The value of a column.
    Value(CaseField),
    /// Whether a column has a value.
    Presence(CaseField),
    /// All passes, by all of their columns.
    Passes,
}

/// All that the query of a measure looks at in a case, beside its number as a key and what is handed
/// on as it stands; `None` when it looks at times, in which hardly two cases are alike, or at more
/// than one case.
pub(super) fn traits(definition: &Definition) -> Option<Vec<Trait>> {
    if !is_case_local(definition) || !takes_case_id_as_key(definition) {
        return None;
    }
    let sql = definition.sql.to_ascii_lowercase();
    let words = tokens(&sql);
    let handed_on = handed_on_words(definition);
    let mut traits = Vec::new();
    for field in CaseField::ALL {
        let places = (0..words.len()).filter(|place| words[*place] == field.column());
        let (tests, others): (Vec<_>, Vec<_>) = places.partition(|at| is_null_test(&words, *at));
        let is_looked_at = others.len() > handed_on.get(field).copied().unwrap_or(0);
        match field.kind() {
            _ if *field == CaseField::CaseId => {}
            Kind::Minute if is_looked_at => return None,
            _ if is_looked_at => traits.push(Trait::Value(*field)),
            _ if !tests.is_empty() => traits.push(Trait::Presence(*field)),
            _ => {}
        }
    }
    if words.contains(&"passes") {
        traits.push(Trait::Passes);
    }
    Some(traits)
}

/// Whether all that is asked of the word is if it is null.
fn is_null_test(words: &[&str], place: usize) -> bool {
    let after: Vec<&str> = words[place + 1..].iter().take(3).copied().collect();
    matches!(after.as_slice(), ["is", "null", ..] | ["is", "not", "null"])
}

/// Numbers that are looked up in a list, as they lie in the memory next to a processor.
const MOST_LISTED: u64 = 1 << 16;

/// Cases by their kind.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Kinds {
    /// The number of the kind of each case.
    pub(super) of_cases: Vec<u32>,
    /// The place of the first case of each kind.
    pub(super) firsts: Vec<u32>,
    /// What tells each kind from others, the same for cases that come later; `None` when that is known
    /// of these cases alone.
    pub(super) meanings: Option<Vec<Vec<i64>>>,
}

impl Kinds {
    /// One kind for each number, all of which are below `end`; `None` when there are so many that
    /// nothing is won by it.
    pub(super) fn new(numbers: &[u64], end: u64) -> Option<Kinds> {
        if end > MOST_LISTED {
            let mut known: HashMap<u64, u32, FixedState> = HashMap::default();
            return Kinds::by(numbers, |number, next| *known.entry(number).or_insert(next));
        }
        let mut known = vec![None; usize::try_from(end).ok()?];
        Kinds::by(numbers, |number, next| {
            let kind = usize::try_from(number).map(|number| &mut known[number]);
            *kind.expect("a place in memory").get_or_insert(next)
        })
    }

    /// `kind_of` says which kind a number is, of the next one if it was not seen before.
    fn by(numbers: &[u64], mut kind_of: impl FnMut(u64, u32) -> u32) -> Option<Kinds> {
        let most = (numbers.len() / 2).max(1);
        let mut firsts = Vec::new();
        let mut next = 0;
        let mut of_cases = Vec::with_capacity(numbers.len());
        for (place, number) in (0..).zip(numbers) {
            let kind = kind_of(*number, next);
            if kind == next {
                if firsts.len() == most {
                    return None;
                }
                firsts.push(place);
                next += 1;
            }
            of_cases.push(kind);
        }
        Some(Kinds {
            of_cases,
            firsts,
            meanings: None,
        })
    }
}

/// Most kinds that are remembered: far more than the built-in measures tell apart.
const MOST_KNOWN: usize = 1 << 16;

/// What a query said of the kinds of cases that it was asked of, so that it is asked of each once.
#[derive(Default)]
pub(super) struct KnownKinds {
    /// The number of each kind. Looked up only, so its order reaches nothing.
    numbers: HashMap<Vec<i64>, u32, FixedState>,
    /// The rows of these kinds, each with the number of its kind for that of a case.
    rows: Option<Rows>,
}

impl KnownKinds {
    /// The number of each of these kinds, and those that were not known before, as their places among
    /// these.
    pub(super) fn numbers_of(&mut self, kinds: &Kinds) -> (Vec<u32>, Vec<usize>) {
        if kinds.meanings.is_none() || self.numbers.len() > MOST_KNOWN {
            *self = KnownKinds::default();
        }
        let mut new = Vec::new();
        let numbers = (0..kinds.firsts.len()).map(|kind| {
            let next = u32::try_from(self.numbers.len()).expect("kinds are far fewer than cases");
            let meaning = match &kinds.meanings {
                Some(meanings) => meanings[kind].clone(),
                None => vec![i64::from(next)],
            };
            let number = *self.numbers.entry(meaning).or_insert(next);
            if number == next {
                new.push(kind);
            }
            number
        });
        (numbers.collect(), new)
    }

    /// Remembers the rows of new kinds.
    pub(super) fn add(&mut self, rows: Rows) {
        match &mut self.rows {
            Some(known) => known.append(rows),
            None => self.rows = Some(rows),
        }
    }

    /// The rows of every case, by the number of the kind of each. Forgets them where they hold for these
    /// cases alone.
    pub(super) fn rows_of_cases(&mut self, kinds: &Kinds, numbers: &[u32]) -> Rows {
        let known = self.rows.as_ref().expect("the first kinds are new");
        let rows = known.spread(&kinds.of_cases, numbers, self.numbers.len());
        if kinds.meanings.is_none() {
            *self = KnownKinds::default();
        }
        rows
    }
}

/// Rows of kinds, given to every case.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Spread {
    /// The place of the case.
    pub(super) cases: Vec<u32>,
    /// The row.
    pub(super) rows: Vec<u32>,
}

impl Spread {
    /// Of rows that each belong to one of `count` kinds, in any order, those of every case: the places of
    /// the cases in order, and the row that holds for each. `numbers` tells which of the kinds is meant
    /// by those of the cases.
    pub(super) fn new(of_cases: &[u32], numbers: &[u32], of_rows: &[u32], count: usize) -> Spread {
        let mut starts = vec![0; count + 1];
        for kind in of_rows {
            starts[*kind as usize + 1] += 1;
        }
        for kind in 0..count {
            starts[kind + 1] += starts[kind];
        }
        let mut rows = vec![0; of_rows.len()];
        let mut next = starts.clone();
        for (row, kind) in (0..).zip(of_rows) {
            rows[next[*kind as usize]] = row;
            next[*kind as usize] += 1;
        }
        let mut spread = Spread {
            cases: Vec::with_capacity(of_cases.len()),
            rows: Vec::with_capacity(of_cases.len()),
        };
        for (place, kind) in (0..).zip(of_cases) {
            let kind = numbers[*kind as usize] as usize;
            for row in &rows[starts[kind]..starts[kind + 1]] {
                spread.cases.push(place);
                spread.rows.push(*row);
            }
        }
        spread
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::built_in;

    fn traits_of(sql: &str) -> Option<Vec<Trait>> {
        let mut definition = built_in().remove(0);
        definition.sql = sql.to_owned();
        traits(&definition)
    }

    #[test]
    fn what_is_looked_at_tells_kinds_apart_and_what_is_handed_on_does_not() {
        use Trait::{Passes, Presence, Value};
        let checks: [(&str, &[Trait]); 6] = [
            (
                "select case_id, site, airway, 1 as eligible from cases",
                &[],
            ),
            (
                "select case_id, airway, 1 as eligible from cases where airway <> 'awake'",
                &[Value(CaseField::Airway)],
            ),
            (
                "select case_id, SHIFT from cases where Outcome is null or overtube = 'yes'",
                &[
                    Value(CaseField::Shift),
                    Value(CaseField::Overtube),
                    Presence(CaseField::Outcome),
                ],
            ),
            (
                "select case_id, outcome from cases where scope_in_minute is not null \
                 and (outcome is null or outcome = 'removed') and rebleed_days <= 3",
                &[
                    Presence(CaseField::ScopeInAt),
                    Value(CaseField::Outcome),
                    Value(CaseField::RebleedDays),
                ],
            ),
            (
                "select cases.case_id as case_id, cases.site as site, 1 as hit from cases \
                 left join passes on cases.case_id = passes.case_id where passes.device is null",
                &[Passes],
            ),
            (
                "select case_id, coalesce(site, 'none') as site from cases",
                &[Value(CaseField::Site)],
            ),
        ];
        for (sql, expected) in checks {
            let mut expected = expected.to_vec();
            expected.sort();
            let mut found = traits_of(sql).expect(sql);
            found.sort();
            assert_eq!(found, expected, "{sql}");
        }
    }

    #[test]
    fn cases_are_told_apart_where_a_query_looks_at_times_numbers_or_other_cases() {
        for sql in [
            "select case_id, scope_in_minute - called_minute as minutes from cases",
            "select case_id, 1 as hit from cases where called_minute is distinct from ended_minute",
            "select case_id, 1 as hit from cases where case_id <> 'A'",
            "select * from cases",
            "select max(case_id) as case_id, airway from cases group by airway",
        ] {
            assert_eq!(traits_of(sql), None, "{sql}");
        }
        let built_in = built_in();
        let kinds = built_in.iter().filter(|measure| traits(measure).is_some());
        assert!(kinds.count() * 2 > built_in.len());
    }

    #[test]
    fn rows_of_kinds_are_given_to_every_case() {
        let numbers = [7, 7, 3, 7, 5, 3];
        let kinds = Kinds::new(&numbers, 8).expect("three kinds of six cases");
        assert_eq!(Kinds::new(&numbers, u64::MAX).as_ref(), Some(&kinds));
        assert_eq!(kinds.of_cases, [0, 0, 1, 0, 2, 1]);
        assert_eq!(kinds.firsts, [0, 2, 4]);
        // Kind 1 has two rows, kind 2 none.
        let spread = Spread::new(&kinds.of_cases, &[0, 1, 2], &[1, 0, 1], 3);
        assert_eq!(spread.cases, [0, 1, 2, 2, 3, 5, 5]);
        assert_eq!(spread.rows, [1, 1, 0, 2, 1, 0, 2]);
        for end in [4, u64::MAX] {
            assert_eq!(Kinds::new(&[1, 2, 3], end), None);
            let of_one = Kinds::new(&[1], end);
            assert_eq!(of_one.map(|kinds| kinds.firsts), Some(vec![0]));
        }
    }
}

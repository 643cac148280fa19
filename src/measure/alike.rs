//! Cases that are alike in all that a measure looks at are worth the same. Most measures look at a few
//! coded columns alone, so their query runs over one case of each kind, and what it says of that case
//! holds for every other of its kind.

use super::columns::tokens;
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

/// Cases by their kind.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Kinds {
    /// The number of the kind of each case.
    pub(super) of_cases: Vec<u32>,
    /// The place of the first case of each kind.
    pub(super) firsts: Vec<u32>,
}

impl Kinds {
    /// One kind for each number; `None` when there are so many that nothing is won by it.
    pub(super) fn new(numbers: &[u64]) -> Option<Kinds> {
        let most = (numbers.len() / 2).max(1);
        let mut known: HashMap<u64, u32, FixedState> = HashMap::default();
        let mut firsts = Vec::new();
        let mut of_cases = Vec::with_capacity(numbers.len());
        for (place, number) in numbers.iter().enumerate() {
            let next = u32::try_from(firsts.len()).ok()?;
            let kind = *known.entry(*number).or_insert(next);
            if kind == next {
                if firsts.len() == most {
                    return None;
                }
                firsts.push(u32::try_from(place).ok()?);
            }
            of_cases.push(kind);
        }
        Some(Kinds { of_cases, firsts })
    }

    /// Of rows that each belong to a kind, in any order, those of every case: the places of the cases
    /// in order, and the row that holds for it.
    pub(super) fn spread(&self, kinds_of_rows: &[u32]) -> Spread {
        let mut starts = vec![0; self.firsts.len() + 1];
        for kind in kinds_of_rows {
            starts[*kind as usize + 1] += 1;
        }
        for kind in 0..self.firsts.len() {
            starts[kind + 1] += starts[kind];
        }
        let mut rows = vec![0; kinds_of_rows.len()];
        let mut next = starts.clone();
        for (row, kind) in (0..).zip(kinds_of_rows) {
            rows[next[*kind as usize]] = row;
            next[*kind as usize] += 1;
        }
        let mut spread = Spread::default();
        for (place, kind) in (0..).zip(&self.of_cases) {
            for row in &rows[starts[*kind as usize]..starts[*kind as usize + 1]] {
                spread.cases.push(place);
                spread.rows.push(*row);
            }
        }
        spread
    }
}

/// Rows of kinds, given to every case.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Spread {
    /// The place of the case.
    pub(super) cases: Vec<u32>,
    /// The row.
    pub(super) rows: Vec<u32>,
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
        let kinds = Kinds::new(&[7, 7, 3, 7, 5, 3]).expect("three kinds of six cases");
        assert_eq!(kinds.of_cases, [0, 0, 1, 0, 2, 1]);
        assert_eq!(kinds.firsts, [0, 2, 4]);
        // Kind 1 has two rows, kind 2 none.
        let spread = kinds.spread(&[1, 0, 1]);
        assert_eq!(spread.cases, [0, 1, 2, 2, 3, 5, 5]);
        assert_eq!(spread.rows, [1, 1, 0, 2, 1, 0, 2]);
        assert_eq!(Kinds::new(&[1, 2, 3]), None);
        assert_eq!(Kinds::new(&[1]).map(|kinds| kinds.firsts), Some(vec![0]));
    }
}

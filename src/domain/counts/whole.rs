//! Whether counts fit together: the groups of every grouping make up all cases of their measure.

use super::{ALL, Additive, CountTables, EventsCount, Key, MinutesCount, PassesCount, ShareCount};
use std::collections::BTreeMap;

/// A grouping whose groups come to something else than all cases together, or that is missing where every
/// measure has it.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the groups of measure `{measure}` by `{by}`{} do not add up to all of its cases",
    if *.is_monthly { " and month" } else { "" })]
pub struct NotWhole {
    /// Identifier of the measure.
    pub measure: String,
    /// Names of the dimensions joined with `+`, or `all`.
    pub by: String,
    /// Whether months are counted apart.
    pub is_monthly: bool,
}

impl CountTables {
    /// Checks that every grouping adds up to all cases, and that months are among them. Of passes, whose
    /// cases may stand in several groups, the passes do.
    ///
    /// # Errors
    /// With the first grouping that does not, by table, measure and dimensions.
    pub fn check_whole(&self) -> Result<(), NotWhole> {
        check(&self.shares, |groups| ShareCount::sum(groups))?;
        check(&self.minutes, |groups| MinutesCount::sum(groups))?;
        check(&self.passes, |groups| PassesCount::sum(groups).passes())?;
        // Time is observed for a site and a shift, and not for a kind of call.
        check(&self.events, |groups| EventsCount::sum(groups).events)
    }
}

fn check<C, W: PartialEq>(
    table: &BTreeMap<Key, C>,
    sum: impl Fn(Vec<&C>) -> W,
) -> Result<(), NotWhole> {
    let mut groupings: BTreeMap<_, Vec<&C>> = BTreeMap::new();
    for (key, count) in table {
        let grouping = (
            &key.measure,
            key.version,
            key.by.as_str(),
            key.month.is_some(),
        );
        groupings.entry(grouping).or_default().push(count);
    }
    let not_whole = |measure: &str, by: &str, is_monthly| NotWhole {
        measure: measure.to_owned(),
        by: by.to_owned(),
        is_monthly,
    };
    let mut of_all = BTreeMap::new();
    for ((measure, version, by, is_monthly), groups) in &groupings {
        let all = of_all.entry((measure, version)).or_insert_with(|| {
            let all = groupings.get(&(*measure, *version, ALL, false));
            sum(all.cloned().unwrap_or_default())
        });
        if sum(groups.clone()) != *all {
            return Err(not_whole(measure, by, *is_monthly));
        }
    }
    // A measure without months would be taken for one without a case in any month.
    for ((measure, version), all) in of_all {
        let months = (*measure, *version, ALL, true);
        if all != sum(Vec::new()) && !groupings.contains_key(&months) {
            return Err(not_whole(measure, ALL, true));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(by: &str, group: &str, month: Option<&str>) -> Key {
        Key {
            measure: "m".to_owned(),
            version: 1,
            by: by.to_owned(),
            group: group.to_owned(),
            month: month.map(|month| month.parse().expect("a month")),
        }
    }

    fn not_whole(tables: &CountTables) -> Option<(String, bool)> {
        let fault = tables.check_whole().err();
        fault.map(|fault| (fault.by, fault.is_monthly))
    }

    #[test]
    fn a_group_that_is_missing_or_stands_twice_is_found_in_every_table() {
        let share = |eligible| ShareCount {
            eligible,
            hit: 1,
            excluded: 0,
        };
        let minutes = |minutes: &[i64]| MinutesCount {
            cases: minutes.iter().map(|each| ((*each, true), 1)).collect(),
            excluded: 0,
        };
        // One case with two passes by two devices.
        let passes = |of_case| PassesCount {
            cases: BTreeMap::from([(of_case, 1)]),
            excluded: 0,
        };
        let events = |events, exposure_minutes| EventsCount {
            events,
            exposure_minutes,
        };
        let (all, alder, birch) = (
            key(ALL, ALL, None),
            key("site", "Alder", None),
            key("site", "Birch", None),
        );
        let month = key(ALL, ALL, Some("2026-03"));
        let mut tables = CountTables::default();
        for (key, eligible) in [(&alder, 4), (&birch, 5)] {
            tables.shares.insert(key.clone(), share(eligible));
        }
        let both = ShareCount { hit: 2, ..share(9) };
        for key in [&all, &month] {
            tables.shares.insert(key.clone(), both);
            tables.minutes.insert(key.clone(), minutes(&[7, 9]));
            tables.passes.insert(key.clone(), passes((1, 2)));
            tables.events.insert(key.clone(), events(3, 60));
        }
        tables.minutes.insert(alder.clone(), minutes(&[7]));
        tables.minutes.insert(birch.clone(), minutes(&[9]));
        tables.passes.insert(alder.clone(), passes((0, 1)));
        tables.passes.insert(birch.clone(), passes((1, 1)));
        tables.events.insert(alder.clone(), events(1, 60));
        tables.events.insert(birch.clone(), events(2, 60));
        assert_eq!(tables.check_whole(), Ok(()));
        assert_eq!(CountTables::default().check_whole(), Ok(()));

        let by_site = Some(("site".to_owned(), false));
        let by_month = Some((ALL.to_owned(), true));
        for table in 0..4 {
            for (lost, fault) in [(&birch, &by_site), (&all, &by_month), (&month, &by_month)] {
                let mut tables = tables.clone();
                let was_there = match table {
                    0 => tables.shares.remove(lost).is_some(),
                    1 => tables.minutes.remove(lost).is_some(),
                    2 => tables.passes.remove(lost).is_some(),
                    _ => tables.events.remove(lost).is_some(),
                };
                assert!(was_there);
                assert_eq!(not_whole(&tables), *fault, "{table}");
            }
        }
        let mut twice = tables.clone();
        twice.minutes.insert(birch, minutes(&[9, 10]));
        assert_eq!(not_whole(&twice), by_site);
        let mut months = tables;
        months.events.insert(month, events(2, 60));
        assert_eq!(not_whole(&months), by_month);
        // Of no case there is no month.
        let none = ShareCount::default();
        let nobody = CountTables {
            shares: BTreeMap::from([(all, none), (alder, none)]),
            ..CountTables::default()
        };
        assert_eq!(nobody.check_whole(), Ok(()));
    }
}

//! Whether counts fit together: the groups of every grouping make up all cases of their measure.

use super::{ALL, Additive, CountTables, EventsCount, Key, MinutesCount, PassesCount, ShareCount};
use std::collections::BTreeMap;

/// A grouping whose groups come to something else than all cases together.
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
    /// Checks that every grouping adds up to all cases. Of passes, whose cases may stand in several
    /// groups, the passes do.
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
    let mut of_all = BTreeMap::new();
    for ((measure, version, by, is_monthly), groups) in &groupings {
        let all = of_all.entry((measure, version)).or_insert_with(|| {
            let all = groupings.get(&(*measure, *version, ALL, false));
            sum(all.cloned().unwrap_or_default())
        });
        if sum(groups.clone()) != *all {
            return Err(NotWhole {
                measure: (*measure).clone(),
                by: (*by).to_owned(),
                is_monthly: *is_monthly,
            });
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
        let mut tables = CountTables::default();
        for (key, eligible) in [(&alder, 4), (&birch, 5)] {
            tables.shares.insert(key.clone(), share(eligible));
        }
        let both = ShareCount { hit: 2, ..share(9) };
        tables.shares.insert(all.clone(), both);
        tables.minutes.insert(all.clone(), minutes(&[7, 9]));
        tables.minutes.insert(alder.clone(), minutes(&[7]));
        tables.minutes.insert(birch.clone(), minutes(&[9]));
        tables.passes.insert(all.clone(), passes((1, 2)));
        tables.passes.insert(alder.clone(), passes((0, 1)));
        tables.passes.insert(birch.clone(), passes((1, 1)));
        tables.events.insert(all.clone(), events(3, 60));
        tables.events.insert(alder.clone(), events(1, 60));
        tables.events.insert(birch.clone(), events(2, 60));
        assert_eq!(tables.check_whole(), Ok(()));
        assert_eq!(CountTables::default().check_whole(), Ok(()));

        let by_site = Some(("site".to_owned(), false));
        for table in 0..4 {
            for lost in [&birch, &all] {
                let mut tables = tables.clone();
                let was_there = match table {
                    0 => tables.shares.remove(lost).is_some(),
                    1 => tables.minutes.remove(lost).is_some(),
                    2 => tables.passes.remove(lost).is_some(),
                    _ => tables.events.remove(lost).is_some(),
                };
                assert!(was_there);
                assert_eq!(not_whole(&tables), by_site, "{table}");
            }
        }
        let mut twice = tables.clone();
        twice.minutes.insert(birch, minutes(&[9, 10]));
        assert_eq!(not_whole(&twice), by_site);
        let month = key(ALL, ALL, Some("2026-03"));
        let mut months = tables;
        months.events.insert(month, events(2, 60));
        assert_eq!(not_whole(&months), Some((ALL.to_owned(), true)));
    }
}

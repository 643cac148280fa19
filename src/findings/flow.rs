//! From the rows of an export to the cases that each measure counts, without a gap.
//!
//! ```text
//! read = accepted + set aside + duplicates
//!        accepted = population + not of the population
//!                   population = eligible + excluded
//! ```
//! Made from the count tables alone, so that it says what was counted and not what was meant to be.

use crate::domain::accounting::Accounting;
use crate::domain::counts::{CountTables, Key};
use crate::domain::measure::{Definition, MeasureKind};

/// What became of every row, and of every accepted case in each measure.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Flow {
    /// Rows of the cases export.
    pub cases: Accounting,
    /// Rows of the passes export; `None` when none was given.
    pub passes: Option<Accounting>,
    /// Accepted cases that are counted: all, or those of the one site that is.
    pub counted: u64,
    /// Every measure, in the order of the report.
    pub measures: Vec<MeasureFlow>,
}

/// The accepted cases in one measure, over the whole period.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MeasureFlow {
    /// Identifier of the measure.
    pub measure: String,
    /// Its short name.
    pub title: String,
    /// Accepted cases that the question is not about.
    pub not_of_population: u64,
    /// Cases that the question is about.
    pub population: u64,
    /// Of these, cases that can be judged.
    pub eligible: u64,
    /// Of these, cases that cannot be judged, mostly for want of a value.
    pub excluded: u64,
    /// What the eligible cases came to.
    pub result: FlowResult,
}

/// What the eligible cases of a measure came to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FlowResult {
    /// A share: so many of the eligible cases meet the definition.
    Hit(u64),
    /// A length of time: so many of the eligible cases reached the second moment; the others were
    /// followed until they ended.
    Reached(u64),
    /// A share of passes: the eligible cases have so many judged passes, and so many of these meet
    /// the definition.
    Passes {
        /// Judged passes.
        judged: u64,
        /// Of these, passes that meet the definition.
        hit: u64,
    },
    /// Events: every eligible case is one.
    Events,
}

impl FlowResult {
    /// What the measure counts: `cases` or `passes`.
    pub const fn unit(self) -> &'static str {
        match self {
            FlowResult::Passes { .. } => "passes",
            FlowResult::Hit(_) | FlowResult::Reached(_) | FlowResult::Events => "cases",
        }
    }
}

/// The counts of a measure do not fit the rows that were accepted. Counts of the built-in measures
/// always do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FlowError {
    /// More cases than there are.
    #[error("measure `{measure}` counts {population} cases, and only {accepted} were accepted")]
    MoreCasesThanAccepted {
        /// Identifier of the measure.
        measure: String,
        /// Cases of its population.
        population: u64,
        /// Accepted cases.
        accepted: u64,
    },
    /// More of a part than of the whole.
    #[error("measure `{measure}` counts {part} {what} among {whole}")]
    PartExceedsWhole {
        /// Identifier of the measure.
        measure: String,
        /// What the part is of.
        what: &'static str,
        /// The part.
        part: u64,
        /// The whole.
        whole: u64,
    },
    /// Rows that are neither accepted nor set aside nor duplicates.
    #[error("the rows of the {source_name} export do not add up")]
    LostRow {
        /// `cases` or `passes`.
        source_name: &'static str,
    },
}

impl Flow {
    /// The flow of these rows, and of the `counted` ones among the accepted cases, through the counts
    /// of these measures.
    ///
    /// # Errors
    /// When it does not add up.
    pub fn new(
        cases: Accounting,
        passes: Option<Accounting>,
        counted: u64,
        counts: &CountTables,
        definitions: &[Definition],
    ) -> Result<Flow, FlowError> {
        let named = [("cases", Some(cases)), ("passes", passes)];
        for (source_name, rows) in named {
            if rows.is_some_and(|rows| !rows.balances()) {
                return Err(FlowError::LostRow { source_name });
            }
        }
        let measures = definitions
            .iter()
            .map(|definition| measure_flow(definition, counts, counted))
            .collect::<Result<_, _>>()?;
        Ok(Flow {
            cases,
            passes,
            counted,
            measures,
        })
    }
}

fn measure_flow(
    definition: &Definition,
    counts: &CountTables,
    accepted: u64,
) -> Result<MeasureFlow, FlowError> {
    let key = Key::of_all(definition, None);
    // A measure without a case of its population has no row in the tables.
    let (eligible, excluded, result) = match definition.kind {
        MeasureKind::Share => {
            let share = counts.shares.get(&key).copied().unwrap_or_default();
            (share.eligible, share.excluded, FlowResult::Hit(share.hit))
        }
        MeasureKind::Minutes => {
            let (mut eligible, mut reached, mut excluded) = (0, 0, 0);
            if let Some(minutes) = counts.minutes.get(&key) {
                excluded = minutes.excluded;
                for ((_, is_reached), cases) in &minutes.cases {
                    eligible += cases;
                    reached += if *is_reached { *cases } else { 0 };
                }
            }
            (eligible, excluded, FlowResult::Reached(reached))
        }
        MeasureKind::ClusteredShare => {
            let (mut eligible, mut excluded, mut passes) = (0, 0, (0, 0));
            if let Some(count) = counts.passes.get(&key) {
                eligible = count.cases.values().sum();
                excluded = count.excluded;
                passes = count.passes();
            }
            let (hit, judged) = passes;
            (eligible, excluded, FlowResult::Passes { judged, hit })
        }
        MeasureKind::Count => {
            let events = counts.events.get(&key).map_or(0, |count| count.events);
            (events, 0, FlowResult::Events)
        }
    };
    let (what, part, whole) = match result {
        FlowResult::Hit(hit) => ("hits", hit, eligible),
        FlowResult::Reached(reached) => ("ends", reached, eligible),
        FlowResult::Passes { judged, hit } => ("hits", hit, judged),
        FlowResult::Events => ("events", eligible, eligible),
    };
    let measure = definition.id.clone();
    if part > whole {
        return Err(FlowError::PartExceedsWhole {
            measure,
            what,
            part,
            whole,
        });
    }
    let population = eligible + excluded;
    let Some(not_of_population) = accepted.checked_sub(population) else {
        return Err(FlowError::MoreCasesThanAccepted {
            measure,
            population,
            accepted,
        });
    };
    Ok(MeasureFlow {
        measure,
        title: definition.title.clone(),
        not_of_population,
        population,
        eligible,
        excluded,
        result,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::counts::{EventsCount, MinutesCount, PassesCount, ShareCount};
    use crate::domain::measure::Better;
    use std::collections::BTreeMap;

    const ROWS: Accounting = Accounting {
        read: 13,
        accepted: 10,
        set_aside: 2,
        duplicates: 1,
    };

    fn definition(id: &str, kind: MeasureKind) -> Definition {
        Definition {
            id: id.to_owned(),
            version: 1,
            kind,
            title: id.to_uppercase(),
            question: String::new(),
            eligible: String::new(),
            hit: String::new(),
            better: Better::Neither,
            source: String::new(),
            sql: String::new(),
        }
    }

    fn of_share(count: ShareCount) -> Result<Flow, FlowError> {
        let share = definition("share", MeasureKind::Share);
        let mut counts = CountTables::default();
        counts.shares.insert(Key::of_all(&share, None), count);
        Flow::new(ROWS, None, ROWS.accepted, &counts, &[share])
    }

    #[test]
    fn each_kind_of_measure_flows_from_the_accepted_cases() {
        let [share, minutes, passes, calls, none] = [
            definition("share", MeasureKind::Share),
            definition("minutes", MeasureKind::Minutes),
            definition("passes", MeasureKind::ClusteredShare),
            definition("calls", MeasureKind::Count),
            definition("none", MeasureKind::Minutes),
        ];
        let mut counts = CountTables::default();
        let count = ShareCount {
            eligible: 6,
            hit: 4,
            excluded: 1,
        };
        counts.shares.insert(Key::of_all(&share, None), count);
        let count = MinutesCount {
            cases: BTreeMap::from([((30, true), 5), ((45, true), 1), ((45, false), 2)]),
            excluded: 2,
        };
        counts.minutes.insert(Key::of_all(&minutes, None), count);
        // Three cases with two passes each, one of them good; one case with one bad pass.
        let count = PassesCount {
            cases: BTreeMap::from([((1, 2), 3), ((0, 1), 1)]),
            excluded: 2,
        };
        counts.passes.insert(Key::of_all(&passes, None), count);
        let count = EventsCount {
            events: 10,
            exposure_minutes: 1,
        };
        counts.events.insert(Key::of_all(&calls, None), count);

        let flow = Flow::new(
            ROWS,
            None,
            ROWS.accepted,
            &counts,
            &[share, minutes, passes, calls, none],
        )
        .expect("it adds up");
        let numbers: Vec<_> = flow
            .measures
            .iter()
            .map(|flow| {
                (
                    flow.not_of_population,
                    flow.population,
                    flow.eligible,
                    flow.excluded,
                    flow.result,
                )
            })
            .collect();
        assert_eq!(
            numbers,
            [
                (3, 7, 6, 1, FlowResult::Hit(4)),
                (0, 10, 8, 2, FlowResult::Reached(6)),
                (4, 6, 4, 2, FlowResult::Passes { judged: 7, hit: 3 }),
                (0, 10, 10, 0, FlowResult::Events),
                (10, 0, 0, 0, FlowResult::Reached(0)),
            ]
        );
        assert_eq!(flow.measures[2].result.unit(), "passes");
        assert_eq!(flow.measures[0].title, "SHARE");
    }

    #[test]
    fn counts_that_do_not_fit_the_rows_are_refused() {
        let count = |eligible, hit, excluded| ShareCount {
            eligible,
            hit,
            excluded,
        };
        assert!(of_share(count(10, 10, 0)).is_ok());
        let error = of_share(count(10, 4, 1)).expect_err("11 of 10");
        assert!(error.to_string().contains("counts 11 cases, and only 10"));
        let error = of_share(count(4, 5, 0)).expect_err("5 of 4");
        assert!(error.to_string().contains("5 hits among 4"));
        let lost = Accounting {
            accepted: 9,
            ..ROWS
        };
        let error = Flow::new(
            ROWS,
            Some(lost),
            ROWS.accepted,
            &CountTables::default(),
            &[],
        );
        assert!(
            error.is_err_and(|error| error.to_string().contains("passes export do not add up"))
        );
    }
}

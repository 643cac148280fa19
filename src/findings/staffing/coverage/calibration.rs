//! The observed values beside those of a simulation in which each call is taken at once and by a team
//! that comes as recorded. Where they differ, calls do not come as the simulation has them come.

use super::fit::Fit;
use crate::domain::codes::Shift;
use crate::domain::duty::call::Call;
use crate::domain::duty::plan::DutyPlan;
use crate::domain::tally::Tally;
use crate::findings::staffing::overlap::{Agreement, FEWEST_TO_COMPARE};
use crate::findings::staffing::sites::are_ends_known;
use crate::simulation::Outcome;
use crate::stats::proportion::wilson;
use crate::stats::{Interval, Level};

/// What was observed beside what was simulated.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// Calls of known length that came while another still bound a team; none where more than half of
    /// the ends are unknown.
    pub overlapping: Beside,
    /// Calls with scope in within their window.
    pub in_window: Beside,
    /// Calls that came after hours, holidays included in the observed ones alone.
    pub after_hours: Beside,
}

/// An observed share of calls and the simulated one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beside {
    /// Observed calls of the kind.
    pub events: u64,
    /// Observed calls.
    pub cases: u64,
    /// Interval of the observed share; `None` without a call.
    pub interval: Option<Interval>,
    /// The simulated share; `None` where there is none.
    pub simulated: Option<f64>,
}

impl Beside {
    pub(super) fn new(events: u64, cases: u64, simulated: Option<f64>) -> Beside {
        let tally = Tally::new(events, cases).ok().flatten();
        Beside {
            events,
            cases,
            interval: tally.map(|tally| wilson(tally, Level::P95)),
            simulated,
        }
    }

    /// The observed share; `None` without a call.
    pub fn observed(&self) -> Option<f64> {
        let tally = Tally::new(self.events, self.cases).ok().flatten();
        tally.map(Tally::share)
    }

    /// How the observed share compares with the simulated one; `None` without either, or with fewer
    /// calls than [`FEWEST_TO_COMPARE`].
    pub fn compared(&self) -> Option<Agreement> {
        let is_enough = self.cases >= FEWEST_TO_COMPARE;
        let (interval, simulated) = self.interval.filter(|_| is_enough).zip(self.simulated)?;
        Some(if simulated < interval.low {
            Agreement::More
        } else if simulated > interval.high {
            Agreement::Fewer
        } else {
            Agreement::Within
        })
    }

    /// Whether the simulated share lies within the interval of the observed one; `None` where
    /// [`Beside::compared`] is.
    pub fn agrees(&self) -> Option<bool> {
        Some(self.compared()? == Agreement::Within)
    }

    /// All observed calls beside the mean of the simulated shares, weighed by the observed calls; no
    /// simulated share where a site with calls has none.
    fn together(of_sites: impl Iterator<Item = Beside>) -> Beside {
        let (mut events, mut cases, mut simulated) = (0, 0, Some(0.0));
        for beside in of_sites.filter(|beside| beside.cases > 0) {
            events += beside.events;
            cases += beside.cases;
            simulated = simulated
                .zip(beside.simulated)
                .map(|(sum, share)| sum + share * beside.cases as f64);
        }
        let simulated = simulated.filter(|_| cases > 0);
        Beside::new(events, cases, simulated.map(|sum| sum / cases as f64))
    }
}

impl Calibration {
    /// All sites together.
    pub(super) fn together<'a>(
        sites: &(impl Iterator<Item = &'a Calibration> + Clone),
    ) -> Calibration {
        let of = |part: fn(&Calibration) -> Beside| Beside::together(sites.clone().map(part));
        Calibration {
            overlapping: of(|site| site.overlapping),
            in_window: of(|site| site.in_window),
            after_hours: of(|site| site.after_hours),
        }
    }

    /// Beside the outcome of the arrangement that stands for the records.
    pub(super) fn new(
        calls: &[&Call],
        plan: &DutyPlan,
        fit: &Fit,
        as_recorded: Option<&Outcome>,
    ) -> Calibration {
        let wrap_up = plan.rules.wrap_up_minutes;
        let mut spans: Vec<_> = calls
            .iter()
            .filter_map(|call| call.busy(wrap_up))
            .map(|busy| busy.span)
            .collect();
        spans.sort_unstable();
        let mut bound_until = i64::MIN;
        let mut overlapping = 0;
        for span in &spans {
            overlapping += u64::from(span.from < bound_until);
            bound_until = bound_until.max(span.until);
        }
        let found_bound = as_recorded.map(|outcome| outcome.found_bound.iter().skip(1).sum());

        let windowed = calls.iter().filter_map(|call| {
            call.busy(wrap_up)?;
            Some(call.scope_in? <= call.deadline?)
        });
        let windowed: Vec<bool> = windowed.collect();
        let in_window = windowed.iter().filter(|within| **within).count() as u64;

        let after_hours = |call: &&&Call| call.shift == Shift::AfterHours;
        let after_hours = calls.iter().filter(after_hours).count() as u64;
        let (all, known) = (calls.len() as u64, spans.len() as u64);
        let [overlapping, known] = if are_ends_known(all - known, all) {
            [overlapping, known]
        } else {
            [0, 0]
        };
        Calibration {
            overlapping: Beside::new(overlapping, known, found_bound),
            in_window: Beside::new(
                in_window,
                windowed.len() as u64,
                as_recorded.and_then(|outcome| Some(outcome.in_window_without_wait?.value)),
            ),
            after_hours: Beside::new(after_hours, calls.len() as u64, Some(fit.after_hours_share)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn site(events: u64, cases: u64, simulated: Option<f64>) -> Calibration {
        let beside = Beside::new(events, cases, simulated);
        Calibration {
            overlapping: beside,
            in_window: Beside::new(0, 0, simulated),
            after_hours: beside,
        }
    }

    /// The observed and simulated shares of the invented hospitals when this was written: each site agrees, and
    /// all together do not. Wilson, 20 of 899: 1.44 to 3.41 % (by hand from its form).
    #[test]
    fn sites_that_each_agree_may_not_agree_together() {
        let sites = [
            site(8, 350, Some(0.038)),
            site(10, 345, Some(0.040)),
            site(2, 204, Some(0.025)),
        ];
        assert!(
            sites
                .iter()
                .all(|site| site.overlapping.agrees() == Some(true))
        );
        let all = Calibration::together(&sites.iter()).overlapping;
        assert_eq!((all.events, all.cases), (20, 899));
        let expected = (350.0 * 0.038 + 345.0 * 0.040 + 204.0 * 0.025) / 899.0;
        assert!((all.simulated.expect("all three") - expected).abs() < 1e-12);
        let interval = all.interval.expect("899 calls");
        assert!((interval.low - 0.0144).abs() < 1e-4 && (interval.high - 0.0341).abs() < 1e-4);
        assert_eq!(all.compared(), Some(Agreement::Fewer));
        assert_eq!(all.agrees(), Some(false));
    }

    #[test]
    fn a_site_with_calls_and_without_a_simulated_share_leaves_none_for_all() {
        let sites = [site(8, 350, Some(0.038)), site(1, 30, None)];
        let all = Calibration::together(&sites.iter());
        assert_eq!(
            (all.overlapping.cases, all.overlapping.simulated),
            (380, None)
        );
        assert_eq!((all.in_window.cases, all.in_window.simulated), (0, None));
        // Of fewer than 20 calls nothing is said.
        let few = |cases| Beside::new(0, cases, Some(0.9)).compared();
        assert_eq!((few(19), few(20)), (None, Some(Agreement::Fewer)));
    }
}

//! How far a simulated share may be off because the records are few: the simulation is repeated with
//! rates and recorded calls as other records of the same service might have given them.
//!
//! The rate of each block of hours is drawn from a gamma distribution with as many calls as the block
//! has (Jeffreys' half call added), the recorded calls and weeks are drawn anew with replacement. How
//! much the repetitions differ, less what they differ because each simulates few years, is what is not
//! known of the records.

use super::fit::{BLOCKS, Fit, block_of};
use crate::domain::duty::plan::WEEK_HOURS;
use crate::simulation::{
    Arrivals, CallPool, Draws, EndlessQueue, Estimate, Outcome, Rates, RecordedWeek, Setting,
    YEAR_WEEKS, simulate_each, waiting_difference,
};
use std::num::NonZeroUsize;

/// How often records are drawn.
const DRAWS: u32 = 100;

/// Each repetition simulates so many calls that wait for each call of the records: then its own chance
/// is small beside theirs.
const WAITING_PER_CALL: f64 = 1.5;

/// All repetitions together simulate up to twice the calls of the plan; up to the first of these where
/// that is fewer, up to the second where it is more, and never more than ten times those of the plan.
const MANY_CALLS: [f64; 2] = [1e6, 5e6];
const TIMES_THE_PLAN: [f64; 2] = [2.0, 10.0];

/// Nor more years each.
const MOST_YEARS: u32 = 200;

/// A share or a difference with what is not known of the records, simulation error included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FromRecords {
    /// Lower limit of about 95 %.
    pub low: f64,
    /// Upper limit of about 95 %; `None` where the queue never ends with some of the drawn records.
    pub high: Option<f64>,
    /// How many of the drawn records give a queue that never ends.
    pub endless: u32,
    /// How often records were drawn.
    pub draws: u32,
}

/// What comes out with other records.
pub(super) struct Spread {
    years_each: u32,
    repetitions: Vec<Vec<Result<Outcome, EndlessQueue>>>,
}

struct Drawn {
    rates: Option<Rates>,
    weeks: Vec<RecordedWeek>,
    pool: CallPool,
}

impl Spread {
    /// Repeats a simulation of so many years with other records.
    pub(super) fn new(
        setting: &Setting<'_>,
        fit: &Fit,
        outcomes: &[Result<Outcome, EndlessQueue>],
        (years, seed): (u32, u64),
        threads: NonZeroUsize,
    ) -> Spread {
        let drawn: Vec<Drawn> = (0..DRAWS)
            .map(|draw| Drawn::new(setting, fit, seed, draw))
            .collect();
        let settings: Vec<Setting<'_>> = drawn
            .iter()
            .map(|drawn| Setting {
                arrivals: match (&drawn.rates, setting.arrivals) {
                    (Some(rates), _) => Arrivals::Poisson(rates),
                    (None, Arrivals::Weeks(_)) => Arrivals::Weeks(&drawn.weeks),
                    (None, fitted @ Arrivals::Poisson(_)) => fitted,
                },
                pool: &drawn.pool,
                ..*setting
            })
            .collect();
        let years_each = years_each(fit, outcomes, years);
        Spread {
            years_each,
            repetitions: simulate_each(&settings, years_each, seed, threads),
        }
    }

    /// The share of calls that wait in the arrangement at a place.
    pub(super) fn share(&self, place: usize, outcome: &Outcome) -> Option<FromRecords> {
        let shares = self.repetitions.iter().map(|outcomes| {
            let outcome = outcomes[place].as_ref().ok()?;
            Some(outcome.waiting?.value)
        });
        let found = self.limits(shares, outcome.waiting?, outcome.years)?;
        Some(FromRecords {
            low: found.low.max(0.0),
            high: found.high.map(|high| high.min(1.0)),
            ..found
        })
    }

    /// The difference of that share to the one in the first arrangement.
    pub(super) fn difference(
        &self,
        place: usize,
        simulated: Estimate,
        years: u32,
    ) -> Option<FromRecords> {
        let differences = self.repetitions.iter().map(|outcomes| {
            let (first, other) = (outcomes[0].as_ref().ok()?, outcomes[place].as_ref().ok()?);
            Some(waiting_difference(first, other)?.value)
        });
        self.limits(differences, simulated, years)
    }

    fn limits(
        &self,
        repeated: impl Iterator<Item = Option<f64>>,
        simulated: Estimate,
        years: u32,
    ) -> Option<FromRecords> {
        const BOUND: f64 = 1.96;
        let error = simulated.standard_error?;
        let repeated: Vec<Option<f64>> = repeated.collect();
        let ended: Vec<f64> = repeated.iter().flatten().copied().collect();
        let count = ended.len() as f64;
        if count < 2.0 {
            return None;
        }
        let mean = ended.iter().sum::<f64>() / count;
        let squares: f64 = ended.iter().map(|value| (value - mean).powi(2)).sum();
        // What repetitions differ by chance: the error of the whole simulation, of shorter length.
        let by_chance = error * error * f64::from(years) / f64::from(self.years_each);
        let of_records = (squares / (count - 1.0) - by_chance).max(0.0);
        let half = BOUND * (of_records + error * error).sqrt();
        let endless = u32::try_from(repeated.len() - ended.len()).unwrap_or(DRAWS);
        Some(FromRecords {
            low: simulated.value - half,
            high: (endless == 0).then_some(simulated.value + half),
            endless,
            draws: DRAWS,
        })
    }
}

impl Drawn {
    fn new(setting: &Setting<'_>, fit: &Fit, seed: u64, number: u32) -> Drawn {
        // Streams far from those of the simulation itself.
        let mut draws = Draws::new(seed, u64::MAX - u64::from(number));
        let pool = setting.pool.resampled(&mut draws);
        match setting.arrivals {
            Arrivals::Poisson(rates) => Drawn {
                rates: drawn_rates(rates, &fit.block_calls(), &mut draws),
                weeks: Vec::new(),
                pool,
            },
            Arrivals::Weeks(weeks) => Drawn {
                rates: None,
                weeks: (0..weeks.len())
                    .map(|_| weeks[draws.place(weeks.len())].clone())
                    .collect(),
                pool,
            },
        }
    }
}

/// The rates with those of each block raised or lowered together.
fn drawn_rates(rates: &Rates, block_calls: &[u64; BLOCKS], draws: &mut Draws) -> Option<Rates> {
    let factors = block_calls.map(|calls| {
        let shape = calls as f64 + 0.5;
        draws.gamma(shape) / shape
    });
    let raised: [f64; WEEK_HOURS] =
        std::array::from_fn(|hour| rates.of_hour(hour) * factors[block_of(hour)]);
    Rates::new(raised)
}

/// Years of a repetition: enough for the arrangement in which fewest calls wait, if any does.
fn years_each(fit: &Fit, outcomes: &[Result<Outcome, EndlessQueue>], years: u32) -> u32 {
    let shares = outcomes
        .iter()
        .flatten()
        .filter_map(|outcome| outcome.waiting);
    let rarest = shares
        .map(|waiting| waiting.value)
        .filter(|share| *share > 0.0)
        .fold(1.0, f64::min);
    let of_year = fit.calls_per_week() * f64::from(YEAR_WEEKS);
    let [some, most] = TIMES_THE_PLAN.map(|times| times * f64::from(years) * of_year);
    let [fewest, enough] = MANY_CALLS;
    let most = some.clamp(fewest, enough).min(most) / f64::from(DRAWS);
    let calls = (WAITING_PER_CALL * fit.calls as f64 / rarest).min(most);
    (1..MOST_YEARS)
        .find(|years| f64::from(*years) * of_year >= calls)
        .unwrap_or(MOST_YEARS)
}

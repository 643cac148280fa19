//! One rate of calls with its interval, and whether months differ by more than chance.

use super::{CHANCE_OF_UNEVEN, Dispersion, EventsCount, Exposed, FEWEST_MONTHS, Level};
use crate::stats::dispersion::{dispersion, garwood_of_effective_count};
use crate::stats::rate::garwood;

/// What a rate is counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Per {
    /// 30 days of one site.
    ThirtyDays,
    /// 100 hours of one site.
    HundredHours,
}

impl Per {
    /// Its minutes.
    pub const fn minutes(self) -> u64 {
        match self {
            Per::ThirtyDays => 30 * 24 * 60,
            Per::HundredHours => 100 * 60,
        }
    }

    /// The word in tables.
    pub const fn code(self) -> &'static str {
        match self {
            Per::ThirtyDays => "per 30 site-days",
            Per::HundredHours => "per 100 site-hours",
        }
    }
}

/// How the interval of a rate is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RateMethod {
    /// Garwood's exact Poisson interval.
    Garwood,
    /// Garwood's interval of the calls divided by the index of their dispersion.
    EffectiveCount,
}

impl RateMethod {
    /// The word in tables.
    pub const fn code(self) -> &'static str {
        match self {
            RateMethod::Garwood => "garwood",
            RateMethod::EffectiveCount => "garwood_of_effective_count",
        }
    }
}

/// Calls per observed time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CallRate {
    /// Calls.
    pub events: u64,
    /// Observed minutes, summed over sites.
    pub exposure_minutes: u64,
    /// What the numbers below are counted in.
    pub per: Per,
    /// The rate.
    pub rate: f64,
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
    /// The index of dispersion that the limits allow for, at least 1.
    pub index: f64,
}

impl CallRate {
    /// `None` when no time was observed.
    pub(super) fn new(count: EventsCount, per: Per, index: f64, level: Level) -> Option<CallRate> {
        let exposure = count.exposure_minutes as f64 / per.minutes() as f64;
        let found = if index > 1.0 {
            garwood_of_effective_count(count.events, exposure, index, level)
        } else {
            garwood(count.events, exposure, level)
        }?;
        Some(CallRate {
            events: count.events,
            exposure_minutes: count.exposure_minutes,
            per,
            rate: found.rate,
            low: found.low,
            high: found.high,
            index: index.max(1.0),
        })
    }

    /// The calls and the time behind it.
    pub fn count(&self) -> EventsCount {
        EventsCount {
            events: self.events,
            exposure_minutes: self.exposure_minutes,
        }
    }

    /// The limits as a number of calls in the observed time.
    pub fn limits_of_count(&self) -> (f64, f64) {
        let exposure = self.exposure_minutes as f64 / self.per.minutes() as f64;
        (self.low * exposure, self.high * exposure)
    }

    /// How the limits were made.
    pub fn method(&self) -> RateMethod {
        if self.index > 1.0 {
            RateMethod::EffectiveCount
        } else {
            RateMethod::Garwood
        }
    }
}

/// Whether months differ by more than calls that come at random at one rate would.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Evenness {
    /// Fewer than 12 months.
    TooFewMonths(usize),
    /// Less than one call a month on average.
    TooFewCalls,
    /// No more than chance gives.
    Even(Dispersion),
    /// More than chance gives in 95 of 100 such periods; limits and predictions allow for it.
    Uneven(Dispersion),
}

impl Evenness {
    /// By how much limits and predictions allow for uneven calls: 1 where nothing is known of any.
    pub fn index(&self) -> f64 {
        match self {
            Evenness::Uneven(found) => found.index,
            _ => 1.0,
        }
    }

    /// What was found; `None` where there was too little.
    pub fn dispersion(&self) -> Option<Dispersion> {
        match self {
            Evenness::Even(found) | Evenness::Uneven(found) => Some(*found),
            Evenness::TooFewMonths(_) | Evenness::TooFewCalls => None,
        }
    }
}

/// Whether the calls of months differ by more than chance.
pub(super) fn evenness(months: &[Exposed]) -> Evenness {
    let calls: u64 = months.iter().map(|month| month.events).sum();
    if months.len() < FEWEST_MONTHS {
        return Evenness::TooFewMonths(months.len());
    }
    if calls < months.len() as u64 {
        return Evenness::TooFewCalls;
    }
    match dispersion(months) {
        None => Evenness::TooFewCalls,
        Some(found) if found.index > 1.0 && found.p < CHANCE_OF_UNEVEN => Evenness::Uneven(found),
        Some(found) => Evenness::Even(found),
    }
}

/// The index of a part of the calls, when months differ alike at all hours: calls that are drawn at
/// random from uneven ones are the more even the fewer they are.
pub(super) fn index_of_part(index: f64, part: u64, all: u64) -> f64 {
    1.0 + (index - 1.0) * (part as f64 / all.max(1) as f64)
}

/// So much of a number of minutes, all of it from 1 on.
pub(super) fn part_of_minutes(minutes: u64, part: f64) -> u64 {
    if part < 1.0 {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a part of a number of minutes, which is not negative"
        )]
        let kept = (minutes as f64 * part).round() as u64;
        kept
    } else {
        minutes
    }
}

//! What a queue with the measured load would give: calls at random and a steady rate, for which the
//! formulas of Erlang hold. Beside the observed shares it says where calls are not like that.

use super::{FEWEST_TO_COMPARE, LEVELS};
use crate::findings::staffing::sites::Share;
use crate::stats::queue::{erlang_b, erlang_c};

/// Load, and what follows from it. For all sites, each number is the average over the calls of the
/// sites.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Model {
    /// Calls per hour of these hours.
    pub calls_per_hour: f64,
    /// Mean minutes that a call binds a team, over the calls whose length is known.
    pub mean_minutes: f64,
    /// Offered load: calls per hour times mean hours bound, the mean number of teams bound if there
    /// were always one more.
    pub load: f64,
    /// Share of calls that find one team, or both of two, bound, where such a call goes elsewhere
    /// (Erlang B).
    pub loss: [f64; 2],
    /// Share of calls that wait for one team, or for one of two, where all wait (Erlang C).
    pub waits: [f64; 2],
    /// Share of the time, and of the calls, with none, one, two, and three or more teams bound,
    /// where a team can always be found (M/G/∞).
    pub bound: [f64; LEVELS],
}

/// How the observed share of calls that came while a team was bound compares with the model.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Agreement {
    /// The share of the model lies within the interval of the observed one.
    Within,
    /// More calls met than the model says.
    More,
    /// Fewer calls met than the model says.
    Fewer,
}

impl Agreement {
    /// How an observed share compares with that of a model; `None` with fewer calls than
    /// [`FEWEST_TO_COMPARE`].
    pub(super) fn of(observed: Share, model: f64) -> Option<Agreement> {
        let is_enough = observed.counted.cases >= FEWEST_TO_COMPARE;
        let interval = observed.interval.filter(|_| is_enough)?;
        Some(if model < interval.low {
            Agreement::More
        } else if model > interval.high {
            Agreement::Fewer
        } else {
            Agreement::Within
        })
    }

    /// The word in tables.
    pub const fn code(self) -> &'static str {
        match self {
            Agreement::Within => "within",
            Agreement::More => "more_than_model",
            Agreement::Fewer => "fewer_than_model",
        }
    }
}

impl Model {
    /// The model of `calls` in so many minutes of the period, each binding a team for `mean_minutes`
    /// on average. `None` without time.
    pub(super) fn new(calls: u64, mean_minutes: f64, minutes: u64) -> Option<Model> {
        if minutes == 0 {
            return None;
        }
        let calls_per_hour = calls as f64 / (minutes as f64 / 60.0);
        let load = calls_per_hour * (mean_minutes / 60.0);
        Some(Model {
            calls_per_hour,
            mean_minutes,
            load,
            loss: [erlang_b(load, 1)?, erlang_b(load, 2)?],
            waits: [erlang_c(load, 1)?, erlang_c(load, 2)?],
            bound: bound_teams(load),
        })
    }

    /// Share of the time, and of the calls, with so many teams bound or more. From one team on it is
    /// `1 - exp(-a)`, the chance that another call comes while a call binds its team.
    pub fn bound_from(&self, level: usize) -> f64 {
        self.bound[level.min(LEVELS)..].iter().sum()
    }

    /// The average over the calls of sites; `None` where no site has a model.
    pub(super) fn average(sites: impl Iterator<Item = (u64, Option<Model>)>) -> Option<Model> {
        let mut sum = Model {
            calls_per_hour: 0.0,
            mean_minutes: 0.0,
            load: 0.0,
            loss: [0.0; 2],
            waits: [0.0; 2],
            bound: [0.0; LEVELS],
        };
        let mut all = 0;
        for (calls, model) in sites.filter_map(|(calls, model)| Some((calls, model?))) {
            all += calls;
            sum = sum.combined(model, |so_far, of_site| so_far + of_site * calls as f64);
        }
        (all > 0).then(|| sum.combined(sum, |weighted, _| weighted / all as f64))
    }

    /// Each number of two models put together.
    fn combined(self, other: Model, put: impl Fn(f64, f64) -> f64) -> Model {
        Model {
            calls_per_hour: put(self.calls_per_hour, other.calls_per_hour),
            mean_minutes: put(self.mean_minutes, other.mean_minutes),
            load: put(self.load, other.load),
            loss: std::array::from_fn(|c| put(self.loss[c], other.loss[c])),
            waits: std::array::from_fn(|c| put(self.waits[c], other.waits[c])),
            bound: std::array::from_fn(|k| put(self.bound[k], other.bound[k])),
        }
    }
}

/// Share of the time with none, one, two, and three or more of endlessly many teams bound: Poisson
/// with the load as its mean, whatever the times that calls bind (M/G/∞; from memory). Calls at
/// random find the same shares.
fn bound_teams(load: f64) -> [f64; LEVELS] {
    let none = (-load).exp();
    let mut bound = [none; LEVELS];
    for k in 1..LEVELS - 1 {
        bound[k] = bound[k - 1] * load / k as f64;
    }
    let fewer: f64 = bound[..LEVELS - 1].iter().sum();
    bound[LEVELS - 1] = (1.0 - fewer).max(0.0);
    bound
}

//! A target that the site set itself, and what one month says about it.

use super::finding::Finding;
use crate::domain::measure::Better;

/// Where a month stands beside a target.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Neither direction is wanted, so nothing is reached or missed.
    NoDirection,
    /// There is no estimate.
    NoValue,
    /// The estimate reaches the target, or does not, and there is no interval to hold beside it.
    Alone {
        /// Whether it does.
        is_reached: bool,
    },
    /// The estimate and the whole interval are on the same side.
    Clear {
        /// Whether it is the wanted one.
        is_reached: bool,
    },
    /// The interval lies on both sides, so the month alone cannot tell.
    Open {
        /// On which side the estimate is.
        is_reached: bool,
    },
}

/// Where `finding` stands beside `target`, which is in its unit. A number that equals the target
/// reaches it.
pub fn standing(target: f64, better: Better, finding: Option<&Finding>) -> Standing {
    let reaches = |number: f64| match better {
        Better::Higher => number >= target,
        Better::Lower | Better::Neither => number <= target,
    };
    if better == Better::Neither {
        return Standing::NoDirection;
    }
    let Some((finding, estimate)) = finding
        .filter(|finding| !finding.suppressed)
        .and_then(|finding| Some((finding, finding.estimate?)))
        .filter(|(_, estimate)| estimate.is_finite())
    else {
        return Standing::NoValue;
    };
    let is_reached = reaches(estimate);
    match finding.low.zip(finding.high) {
        None => Standing::Alone { is_reached },
        Some((low, high)) if reaches(low) == reaches(high) => Standing::Clear { is_reached },
        Some(_) => Standing::Open { is_reached },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::counts::{ALL, Key, ShareCount};
    use crate::findings::estimate::{Settings, share};

    fn with(estimate: f64, limits: Option<(f64, f64)>) -> Finding {
        let key = Key {
            measure: "retrieval_success".to_owned(),
            version: 1,
            by: ALL.to_owned(),
            group: ALL.to_owned(),
            month: None,
        };
        Finding {
            estimate: Some(estimate),
            low: limits.map(|(low, _)| low),
            high: limits.map(|(_, high)| high),
            ..share(&key, ShareCount::default(), Settings::default())
        }
    }

    #[test]
    fn a_limit_on_the_target_reaches_it() {
        let month = with(52.5, Some((47.0, 60.0)));
        let at = |target, better| standing(target, better, Some(&month));
        assert_eq!(
            at(60.0, Better::Lower),
            Standing::Clear { is_reached: true }
        );
        assert_eq!(at(59.0, Better::Lower), Standing::Open { is_reached: true });
        assert_eq!(
            at(50.0, Better::Lower),
            Standing::Open { is_reached: false }
        );
        assert_eq!(
            at(46.0, Better::Lower),
            Standing::Clear { is_reached: false }
        );
        assert_eq!(
            at(47.0, Better::Higher),
            Standing::Clear { is_reached: true }
        );
        assert_eq!(
            at(60.5, Better::Higher),
            Standing::Clear { is_reached: false }
        );
        assert_eq!(at(60.0, Better::Neither), Standing::NoDirection);
    }

    #[test]
    fn without_both_limits_the_number_stands_alone() {
        let mut month = with(52.5, None);
        let at = |month: &Finding| standing(60.0, Better::Lower, Some(month));
        assert_eq!(at(&month), Standing::Alone { is_reached: true });
        month.high = Some(55.0);
        assert_eq!(at(&month), Standing::Alone { is_reached: true });
        month.estimate = None;
        assert_eq!(at(&month), Standing::NoValue);
        assert_eq!(standing(60.0, Better::Lower, None), Standing::NoValue);
    }
}

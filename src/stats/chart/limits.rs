//! Center line and limits at one point of a chart. Knows no formula of any chart.

/// What a measure can take at all; limits at its ends or beyond are no limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Possible {
    /// Any number, such as a difference or a logarithm.
    AnyNumber,
    /// 0 or more: minutes, counts, rates.
    NotNegative,
    /// 0 to 1.
    Share,
}

impl Possible {
    /// The bounds, each kept only if it lies inside what is possible and is a finite number.
    pub(super) fn keep(self, low: f64, high: f64) -> Bounds {
        let (least, most) = match self {
            Possible::AnyNumber => (f64::NEG_INFINITY, f64::INFINITY),
            Possible::NotNegative => (0.0, f64::INFINITY),
            Possible::Share => (0.0, 1.0),
        };
        Bounds {
            low: (low > least && low < f64::INFINITY).then_some(low),
            high: (high < most && high > f64::NEG_INFINITY).then_some(high),
        }
    }
}

/// A pair of limits. `None` where there is no limit on that side: nothing can lie beyond it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Lower limit.
    pub low: Option<f64>,
    /// Upper limit.
    pub high: Option<f64>,
}

/// The side of a line or limit on which a point lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// Above.
    Above,
    /// Below.
    Below,
}

impl Bounds {
    /// No limit on either side.
    pub const NONE: Bounds = Bounds {
        low: None,
        high: None,
    };

    /// The side on which `value` lies outside; `None` within the limits and exactly on one.
    pub fn beyond(self, value: f64) -> Option<Side> {
        if self.high.is_some_and(|high| value > high) {
            Some(Side::Above)
        } else if self.low.is_some_and(|low| value < low) {
            Some(Side::Below)
        } else {
            None
        }
    }
}

/// The lines of a chart at one point, in the unit of its values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// The center line.
    pub center: f64,
    /// The line about which runs are counted: the center line, but for a g chart the median.
    pub run_line: f64,
    /// Two standard deviations from the center, for the rule of two of three.
    pub two_sigma: Bounds,
    /// Three standard deviations from the center: the control limits.
    pub control: Bounds,
}

impl Limits {
    /// Two and three `sigma` on both sides of `center`.
    pub(super) fn symmetric(center: f64, sigma: f64, possible: Possible) -> Limits {
        let at = |count: f64| {
            if sigma > 0.0 {
                possible.keep(center - count * sigma, center + count * sigma)
            } else {
                Bounds::NONE
            }
        };
        Limits {
            center,
            run_line: center,
            two_sigma: at(2.0),
            control: at(3.0),
        }
    }
}

/// One point of a chart with the lines that belong to it alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartPoint {
    /// The value.
    pub value: f64,
    /// Its lines.
    pub limits: Limits,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_limit_at_the_end_of_what_is_possible_is_none() {
        let limits = Limits::symmetric(0.75, 0.25, Possible::Share);
        assert_eq!(limits.two_sigma.low, Some(0.25));
        assert_eq!(limits.two_sigma.high, None);
        assert_eq!(limits.control, Bounds::NONE, "0.75 - 3 * 0.25 is 0");
        let limits = Limits::symmetric(3.0, 1.0, Possible::NotNegative);
        assert_eq!((limits.control.low, limits.control.high), (None, Some(6.0)));
        let limits = Limits::symmetric(3.0, 1.0, Possible::AnyNumber);
        assert_eq!(limits.control.low, Some(0.0));
    }

    #[test]
    fn no_spread_and_no_finite_number_give_no_limits() {
        for possible in [Possible::AnyNumber, Possible::NotNegative, Possible::Share] {
            for sigma in [0.0, -1.0, f64::NAN, f64::INFINITY] {
                let limits = Limits::symmetric(0.5, sigma, possible);
                assert_eq!(limits.control, Bounds::NONE, "{sigma}");
            }
        }
        assert_eq!(Possible::AnyNumber.keep(f64::NAN, f64::NAN), Bounds::NONE);
        let nowhere = Possible::AnyNumber.keep(f64::INFINITY, f64::NEG_INFINITY);
        assert_eq!(nowhere, Bounds::NONE);
    }

    #[test]
    fn a_point_on_a_limit_is_within_it() {
        let bounds = Bounds {
            low: Some(1.0),
            high: Some(2.0),
        };
        assert_eq!(bounds.beyond(1.0), None);
        assert_eq!(bounds.beyond(2.0), None);
        assert_eq!(bounds.beyond(0.999), Some(Side::Below));
        assert_eq!(bounds.beyond(2.001), Some(Side::Above));
        assert_eq!(bounds.beyond(f64::NAN), None);
        assert_eq!(Bounds::NONE.beyond(f64::INFINITY), None);
    }
}

//! Factors of unknowns, of which all but a few are zero.

use super::NOTHING;

/// The unknowns whose factors are not zero, in order.
#[derive(Clone, Debug, Default)]
pub(super) struct Row {
    terms: Vec<(usize, f64)>,
}

impl Row {
    /// What stands twice is added up.
    pub(super) fn new(terms: &[(usize, f64)]) -> Row {
        let mut terms = terms.to_vec();
        terms.sort_unstable_by_key(|(unknown, _)| *unknown);
        terms.dedup_by(|(next, more), (unknown, factor)| {
            let is_same = next == unknown;
            if is_same {
                *factor += *more;
            }
            is_same
        });
        terms.retain(|(_, factor)| !is_nothing(*factor));
        Row { terms }
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.terms.iter().copied()
    }

    pub(super) fn factor(&self, unknown: usize) -> f64 {
        let place = self.terms.binary_search_by_key(&unknown, |(it, _)| *it);
        place.map_or(0.0, |place| self.terms[place].1)
    }

    pub(super) fn divide(&mut self, by: f64) {
        for (_, factor) in &mut self.terms {
            *factor /= by;
        }
    }

    /// Takes `other` away so often that `unknown` is gone, which `other` has with a factor of one.
    pub(super) fn clear(&mut self, unknown: usize, other: &Row) {
        let times = self.factor(unknown);
        if times == 0.0 {
            return;
        }
        let before = std::mem::take(&mut self.terms);
        self.terms.reserve(before.len() + other.terms.len());
        let (mut own, mut others) = (before.iter().peekable(), other.terms.iter().peekable());
        loop {
            let (place, factor) = match (own.peek(), others.peek()) {
                (None, None) => return,
                (Some(one), Some(two)) if one.0 == two.0 => (one.0, one.1 - times * two.1),
                (Some(one), Some(two)) if one.0 < two.0 => **one,
                (Some(one), None) => **one,
                (_, Some(two)) => (two.0, -times * two.1),
            };
            own.next_if(|it| it.0 == place);
            others.next_if(|it| it.0 == place);
            if place != unknown && !is_nothing(factor) {
                self.terms.push((place, factor));
            }
        }
    }
}

/// What is left of a factor by rounding.
fn is_nothing(factor: f64) -> bool {
    factor.abs() < NOTHING * 1e-2
}

//! Risk scores of bleeds, recomputed from their components.
//!
//! A component that nobody recorded is never taken for zero: a score is a pair of bounds, and it is
//! computed where they meet. Nothing here predicts an outcome. Knows no field and no file.

mod aims65;
mod glasgow_blatchford;
mod oakland;
mod rockall;

pub use aims65::Aims65;
pub use glasgow_blatchford::GlasgowBlatchford;
pub use oakland::Oakland;
pub use rockall::Rockall;

/// The lowest and the highest score that the known components leave possible, both included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bounds {
    /// Lowest possible score.
    pub low: u8,
    /// Highest possible score.
    pub high: u8,
}

impl Bounds {
    const fn exactly(points: u8) -> Bounds {
        Bounds {
            low: points,
            high: points,
        }
    }

    /// Bounds of the smallest and the largest of some points.
    fn around(points: impl Iterator<Item = u8>) -> Bounds {
        let empty = Bounds {
            low: u8::MAX,
            high: 0,
        };
        points.fold(empty, |bounds, points| Bounds {
            low: bounds.low.min(points),
            high: bounds.high.max(points),
        })
    }

    /// The score; `None` when a component that matters is missing.
    pub fn computed(self) -> Option<u8> {
        (self.low == self.high).then_some(self.low)
    }

    /// Whether a score given elsewhere may be right.
    pub fn allow(self, score: i64) -> bool {
        (i64::from(self.low)..=i64::from(self.high)).contains(&score)
    }
}

/// Components add up, and so do their bounds.
impl std::ops::Add for Bounds {
    type Output = Bounds;

    fn add(self, other: Bounds) -> Bounds {
        Bounds {
            low: self.low + other.low,
            high: self.high + other.high,
        }
    }
}

/// Points by half-open bands: `below` up to the first edge, then from each edge on its points.
struct Bands {
    below: u8,
    /// Edges in rising order, each with the points from it on.
    from: &'static [(i64, u8)],
}

impl Bands {
    fn points(&self, value: i64) -> u8 {
        let reached = self.from.iter().take_while(|(edge, _)| *edge <= value);
        reached.last().map_or(self.below, |(_, points)| *points)
    }

    /// Bounds of a value; of all values when it is missing.
    fn bounds(&self, value: Option<i64>) -> Bounds {
        let every = self.from.iter().map(|(_, points)| *points);
        match value {
            Some(value) => Bounds::exactly(self.points(value)),
            None => Bounds::around(every.chain([self.below])),
        }
    }
}

/// Bounds of a component that is there or not; of both when nobody recorded it.
fn if_present(points: u8, is_present: Option<bool>) -> Bounds {
    match is_present {
        Some(is_present) => Bounds::exactly(if is_present { points } else { 0 }),
        None => Bounds {
            low: 0,
            high: points,
        },
    }
}

#[cfg(test)]
mod tests;

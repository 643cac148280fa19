//! All unknown amounts that meet linear equations, and how low and how high one of them can be.
//!
//! Knows no counts and no tables. The simplex method on a full tableau (Dantzig 1951; Bland's rule
//! against circles, 1977; both from memory), for a few hundred unknowns. A region is prepared once
//! and asked about each unknown in turn, every time from the corner where the last answer stood.

/// An equation: unknowns with their factors, and what they add up to.
pub type Equation = (Vec<(usize, f64)>, f64);

/// Amounts below this count as zero. The equations that come here have factors of 1 and -1 and whole
/// right sides, so true amounts are whole numbers or simple fractions.
const NOTHING: f64 = 1e-9;

/// How far a corner may be off an equation by rounding, by its size.
const ROUNDING: f64 = 1e-7;

/// Steps without progress after which circles are to be feared.
const PATIENCE: usize = 40;

/// The points `x >= 0` that meet all equations, standing at one of its corners.
#[derive(Clone, Debug)]
pub struct LinearRegion {
    equations: Vec<Equation>,
    unknowns: usize,
    /// One row for each independent equation: factors of all unknowns, then the right side.
    rows: Vec<Vec<f64>>,
    /// The unknown that each row solves for.
    basis: Vec<usize>,
    /// The row that solves for each unknown.
    row_of: Vec<Option<usize>>,
}

/// Which way an unknown is pushed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Push {
    Up,
    Down,
}

impl LinearRegion {
    /// The region of `unknowns` amounts; `None` when no point was found that meets the equations.
    /// Factors of unknowns at or above `unknowns` are an error of the caller and are ignored.
    pub fn new(unknowns: usize, equations: Vec<Equation>) -> Option<LinearRegion> {
        let mut region = LinearRegion {
            unknowns,
            rows: Vec::new(),
            basis: Vec::new(),
            row_of: Vec::new(),
            equations,
        };
        region.find_a_corner().then_some(region)
    }

    /// The amounts at the corner where the region stands.
    pub fn point(&self) -> Vec<f64> {
        let mut point = vec![0.0; self.unknowns];
        for (row, unknown) in self.basis.iter().enumerate() {
            point[*unknown] = self.right_side(row).max(0.0);
        }
        point
    }

    /// How high `unknown` can be: infinite without an upper limit; anything at or above `enough`
    /// ends the search early. `None` when rounding spoils the answer.
    pub fn highest(&mut self, unknown: usize, enough: f64) -> Option<f64> {
        self.pushed(unknown, Push::Up, enough)
    }

    /// How low `unknown` can be. `None` when rounding spoils the answer.
    pub fn lowest(&mut self, unknown: usize) -> Option<f64> {
        self.pushed(unknown, Push::Down, 0.0)
    }

    fn pushed(&mut self, unknown: usize, push: Push, enough: f64) -> Option<f64> {
        let found = self.push(unknown, push, enough);
        if found.is_some() && self.is_at_a_point() {
            return found;
        }
        // Rounding adds up over many steps; a fresh start takes a few.
        self.find_a_corner()
            .then(|| self.push(unknown, push, enough))
            .flatten()
            .filter(|_| self.is_at_a_point())
    }

    fn push(&mut self, unknown: usize, push: Push, enough: f64) -> Option<f64> {
        let mut without_progress = 0;
        for _ in 0..self.most_steps() {
            let amount = self.row_of[unknown].map_or(0.0, |row| self.right_side(row));
            let is_far_enough = match push {
                Push::Up => amount >= enough,
                Push::Down => amount <= NOTHING,
            };
            if is_far_enough {
                return Some(amount);
            }
            let entering = match self.row_of[unknown] {
                Some(row) => self.entering(without_progress > PATIENCE, |column| {
                    let factor = self.rows[row][column];
                    if push == Push::Up { -factor } else { factor }
                }),
                None => Some(unknown),
            };
            let Some(entering) = entering else {
                return Some(amount);
            };
            let Some(row) = self.leaving(entering) else {
                return (push == Push::Up).then_some(f64::INFINITY);
            };
            let has_progress = self.right_side(row) > NOTHING;
            without_progress = if has_progress {
                0
            } else {
                without_progress + 1
            };
            self.pivot(row, entering);
        }
        None
    }

    /// The unknown outside the basis with the largest gain, or the first with any when in order.
    fn entering(&self, in_order: bool, gain: impl Fn(usize) -> f64) -> Option<usize> {
        let mut best = None;
        let mut best_gain = NOTHING;
        for column in (0..self.unknowns).filter(|column| self.row_of[*column].is_none()) {
            let gain = gain(column);
            if gain > best_gain {
                best = Some(column);
                if in_order {
                    break;
                }
                best_gain = gain;
            }
        }
        best
    }

    /// The row whose amount first falls to zero when `entering` grows; `None` when none ever does.
    fn leaving(&self, entering: usize) -> Option<usize> {
        let mut first: Option<(usize, f64)> = None;
        for (row, factors) in self.rows.iter().enumerate() {
            if factors[entering] <= NOTHING {
                continue;
            }
            let reach = self.right_side(row).max(0.0) / factors[entering];
            let is_before = first.is_none_or(|(known, least)| {
                reach < least - NOTHING
                    || (reach <= least + NOTHING && self.basis[row] < self.basis[known])
            });
            if is_before {
                first = Some((row, reach));
            }
        }
        first.map(|(row, _)| row)
    }

    /// Solves `row` for the unknown `entering` and takes it out of all other rows.
    fn pivot(&mut self, row: usize, entering: usize) {
        let mut solved = std::mem::take(&mut self.rows[row]);
        let factor = solved[entering];
        for value in &mut solved {
            *value /= factor;
        }
        // Most factors are zero, however many unknowns there are.
        let places: Vec<usize> = (0..solved.len()).filter(|it| solved[*it] != 0.0).collect();
        for (other, values) in self.rows.iter_mut().enumerate() {
            if other == row || values[entering] == 0.0 {
                continue;
            }
            let times = values[entering];
            for place in &places {
                let value = &mut values[*place];
                *value -= times * solved[*place];
                if value.abs() < NOTHING * 1e-2 {
                    *value = 0.0;
                }
            }
            values[entering] = 0.0;
        }
        self.rows[row] = solved;
        let left = std::mem::replace(&mut self.basis[row], entering);
        if left < self.unknowns {
            self.row_of[left] = None;
        }
        self.row_of[entering] = Some(row);
    }

    /// First phase: each row starts with an amount of its own that makes up for the whole right side,
    /// and these amounts are brought down to nothing. Whether that succeeds.
    fn find_a_corner(&mut self) -> bool {
        let unknowns = self.unknowns;
        self.rows = self
            .equations
            .iter()
            .map(|(terms, right)| {
                let sign = if *right < 0.0 { -1.0 } else { 1.0 };
                let mut row = vec![0.0; unknowns + 1];
                for (unknown, factor) in terms.iter().filter(|(unknown, _)| *unknown < unknowns) {
                    row[*unknown] += sign * factor;
                }
                row[unknowns] = sign * right;
                row
            })
            .collect();
        self.basis = (unknowns..unknowns + self.rows.len()).collect();
        self.row_of = vec![None; unknowns];
        let mut without_progress = 0;
        let mut gains = self.gains();
        for _ in 0..self.most_steps() {
            let mut made_up = (0..self.rows.len()).filter(|row| self.basis[*row] >= unknowns);
            if made_up.all(|row| self.right_side(row) <= NOTHING) {
                self.leave_made_up_amounts();
                return self.is_at_a_point();
            }
            let in_order = without_progress > PATIENCE;
            let found = self.entering(in_order, |column| gains[column]);
            let found = found.or_else(|| {
                // Rounding adds up in gains that are carried on.
                gains = self.gains();
                self.entering(in_order, |column| gains[column])
            });
            let Some(entering) = found else {
                return false;
            };
            let Some(row) = self.leaving(entering) else {
                return false;
            };
            without_progress = if self.right_side(row) > NOTHING {
                0
            } else {
                without_progress + 1
            };
            self.pivot(row, entering);
            let gain = gains[entering];
            for (gain_of, solved) in gains.iter_mut().zip(&self.rows[row]) {
                *gain_of -= gain * solved;
            }
        }
        false
    }

    /// By how much all amounts that make up for right sides fall with each unknown.
    fn gains(&self) -> Vec<f64> {
        let mut gains = vec![0.0; self.unknowns];
        for (row, _) in self
            .basis
            .iter()
            .enumerate()
            .filter(|(_, it)| **it >= self.unknowns)
        {
            for (gain, factor) in gains.iter_mut().zip(&self.rows[row]) {
                *gain += factor;
            }
        }
        gains
    }

    /// Rows that still stand for amounts of their own say nothing new, or are solved for an unknown.
    fn leave_made_up_amounts(&mut self) {
        let mut row = 0;
        while row < self.rows.len() {
            if self.basis[row] >= self.unknowns {
                let factors = &self.rows[row][..self.unknowns];
                let Some(column) = factors.iter().position(|factor| factor.abs() > NOTHING) else {
                    self.rows.swap_remove(row);
                    self.basis.swap_remove(row);
                    if let Some(moved) = self.basis.get(row).filter(|it| **it < self.unknowns) {
                        self.row_of[*moved] = Some(row);
                    }
                    continue;
                };
                self.pivot(row, column);
            }
            row += 1;
        }
    }

    /// Whether the corner meets the equations as they were given.
    fn is_at_a_point(&self) -> bool {
        let point = self.point();
        let is_met = self.equations.iter().all(|(terms, right)| {
            let known = terms.iter().filter(|(unknown, _)| *unknown < self.unknowns);
            let sum: f64 = known
                .map(|(unknown, factor)| factor * point[*unknown])
                .sum();
            (sum - right).abs() <= ROUNDING * (1.0 + right.abs())
        });
        let is_positive = (0..self.rows.len())
            .all(|row| self.right_side(row) >= -ROUNDING * (1.0 + self.right_side(row).abs()));
        is_met && is_positive
    }

    fn right_side(&self, row: usize) -> f64 {
        self.rows[row][self.unknowns]
    }

    fn most_steps(&self) -> usize {
        200 + 50 * (self.rows.len() + self.unknowns)
    }
}

#[cfg(test)]
mod tests;

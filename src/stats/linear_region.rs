//! All unknown amounts that meet linear equations, and how low and how high one of them can be.
//!
//! Knows no counts and no tables. The simplex method on a tableau (Dantzig 1951; Bland's rule against
//! circles, 1977; both from memory), for a thousand unknowns, each in a few equations. It starts at
//! any point of the region, not at a corner alone: who asks mostly knows one, and to look for a corner
//! would take longer than all questions. A region is prepared once and asked about each unknown in
//! turn, every time from where the last answer stood.

mod row;

use row::Row;

/// An equation: unknowns with their factors, and what they add up to.
pub type Equation = (Vec<(usize, f64)>, f64);

/// Amounts below this count as zero. The equations that come here have whole factors, nearly all of 1
/// and -1, and whole right sides, so true amounts are whole numbers or simple fractions.
const NOTHING: f64 = 1e-9;

/// How far a point may be off an equation by rounding, by the size of its right side.
const ROUNDING: f64 = 1e-7;

/// Steps without progress after which circles are to be feared.
const PATIENCE: usize = 40;

/// The points `x >= 0` that meet all equations, standing at one of them.
#[derive(Clone, Debug)]
pub struct LinearRegion {
    equations: Vec<Equation>,
    /// The point that was known from the start.
    known: Vec<f64>,
    /// Where the region stands.
    point: Vec<f64>,
    /// The least and the greatest amount of each unknown on the way.
    seen: Vec<(f64, f64)>,
    /// Factors of all unknowns, one row for each independent equation.
    rows: Vec<Row>,
    /// The unknown that each row solves for.
    basis: Vec<usize>,
    /// The row that solves for each unknown.
    row_of: Vec<Option<usize>>,
}

/// Which way an unknown is moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    Up,
    Down,
}

impl Way {
    const fn sign(self) -> f64 {
        match self {
            Way::Up => 1.0,
            Way::Down => -1.0,
        }
    }
}

/// How far an unknown can be moved, and the row whose amount is nothing then; no row where it is the
/// unknown's own.
struct Step {
    length: f64,
    row: Option<usize>,
}

impl LinearRegion {
    /// The region of `unknowns` amounts; `None` when no point was found that meets the equations.
    /// Factors of unknowns at or above `unknowns` are an error of the caller and are ignored.
    pub fn new(unknowns: usize, mut equations: Vec<Equation>) -> Option<LinearRegion> {
        for (terms, _) in &mut equations {
            terms.retain(|(unknown, _)| *unknown < unknowns);
        }
        // Each equation gets an amount of its own that makes up for the whole right side, and the sum
        // of these is brought down to nothing.
        let sum = unknowns + equations.len();
        let mut point = vec![0.0; sum + 1];
        let mut wider = equations.clone();
        for (place, (terms, right)) in wider.iter_mut().enumerate() {
            terms.push((unknowns + place, right.signum()));
            point[unknowns + place] = right.abs();
            point[sum] += right.abs();
        }
        let made_up = (unknowns..sum).map(|unknown| (unknown, 1.0));
        wider.push((made_up.chain([(sum, -1.0)]).collect(), 0.0));
        let mut wider = LinearRegion::around(point, wider)?;
        wider.lowest(sum)?;
        // What is left over, if anything, is missing in an equation.
        wider.point.truncate(unknowns);
        LinearRegion::around(wider.point, equations)
    }

    /// The region of which one point is known, which is where it stands; `None` when the point does not
    /// meet the equations. They name no unknown that the point lacks.
    pub fn around(point: Vec<f64>, equations: Vec<Equation>) -> Option<LinearRegion> {
        let mut region = LinearRegion {
            seen: point.iter().map(|amount| (*amount, *amount)).collect(),
            known: point.clone(),
            row_of: vec![None; point.len()],
            point,
            rows: Vec::new(),
            basis: Vec::new(),
            equations,
        };
        if !region.is_at_a_point() {
            return None;
        }
        region.solve();
        Some(region)
    }

    /// The amounts at the point where the region stands.
    pub fn point(&self) -> &[f64] {
        &self.point
    }

    /// The least and the greatest amount that each unknown had at any point so far. All between them
    /// is possible.
    pub fn seen(&self) -> &[(f64, f64)] {
        &self.seen
    }

    /// How high `unknown` can be: infinite without an upper limit; anything at or above `enough`
    /// ends the search early, and the region then stands there. `None` when rounding spoils the answer.
    pub fn highest(&mut self, unknown: usize, enough: f64) -> Option<f64> {
        self.pushed(unknown, Way::Up, enough)
    }

    /// How low `unknown` can be. `None` when rounding spoils the answer.
    pub fn lowest(&mut self, unknown: usize) -> Option<f64> {
        self.pushed(unknown, Way::Down, 0.0)
    }

    fn pushed(&mut self, unknown: usize, way: Way, enough: f64) -> Option<f64> {
        let seen = self.seen.clone();
        for _ in 0..2 {
            let found = self.push(unknown, way, enough);
            if found.is_some() && self.is_at_a_point() {
                return found;
            }
            // Rounding adds up over many steps; a fresh start takes a few.
            self.seen.clone_from(&seen);
            self.point.clone_from(&self.known);
            self.solve();
        }
        None
    }

    fn push(&mut self, unknown: usize, way: Way, enough: f64) -> Option<f64> {
        let mut without_progress = 0;
        for _ in 0..200 + 50 * (self.rows.len() + self.point.len()) {
            let amount = self.point[unknown];
            let is_far_enough = match way {
                Way::Up => amount >= enough,
                Way::Down => amount <= NOTHING,
            };
            if is_far_enough {
                return Some(amount);
            }
            let in_order = without_progress > PATIENCE;
            let Some((entering, entering_way)) = self.entering(unknown, way, in_order) else {
                return Some(amount);
            };
            let Some(step) = self.step(entering, entering_way) else {
                // Nothing stands in the way of one that rises.
                if enough.is_infinite() {
                    return Some(enough);
                }
                let speed =
                    self.row_of[unknown].map_or(1.0, |row| self.rows[row].factor(entering).abs());
                self.go(entering, entering_way, (enough - amount) / speed);
                return Some(enough);
            };
            let has_progress = step.length > NOTHING;
            without_progress = if has_progress {
                0
            } else {
                without_progress + 1
            };
            self.go(entering, entering_way, step.length);
            if let Some(row) = step.row {
                self.point[self.basis[row]] = 0.0;
                self.pivot(row, entering);
            } else {
                self.point[entering] = 0.0;
            }
        }
        None
    }

    /// The unknown outside the basis that moves `unknown` fastest, or the first that moves it when in
    /// order, and the way it has to go.
    fn entering(&self, unknown: usize, way: Way, in_order: bool) -> Option<(usize, Way)> {
        let Some(row) = self.row_of[unknown] else {
            return Some((unknown, way));
        };
        let mut best = None;
        let mut best_gain = NOTHING;
        for (column, factor) in self.rows[row].iter() {
            if factor.abs() <= best_gain || self.row_of[column].is_some() {
                continue;
            }
            // The unknown of the row falls where one with a factor above zero rises.
            let column_way = if (factor < 0.0) == (way == Way::Up) {
                Way::Up
            } else {
                Way::Down
            };
            if column_way == Way::Up || self.point[column] > NOTHING {
                best = Some((column, column_way));
                if in_order {
                    break;
                }
                best_gain = factor.abs();
            }
        }
        best
    }

    /// How far `entering` can go; `None` where nothing ever stops it.
    fn step(&self, entering: usize, way: Way) -> Option<Step> {
        let mut first = (way == Way::Down).then(|| Step {
            length: self.point[entering],
            row: None,
        });
        for (row, factors) in self.rows.iter().enumerate() {
            let factor = factors.factor(entering) * way.sign();
            if factor <= NOTHING {
                continue;
            }
            let length = self.point[self.basis[row]] / factor;
            let is_before = first.as_ref().is_none_or(|first| {
                let in_order = |known: usize| self.basis[row] < self.basis[known];
                length < first.length - NOTHING
                    || (length <= first.length + NOTHING && first.row.is_some_and(in_order))
            });
            if is_before {
                let row = Some(row);
                first = Some(Step { length, row });
            }
        }
        first
    }

    /// Moves `entering`, and with it all that the rows solve for.
    fn go(&mut self, entering: usize, way: Way, length: f64) {
        if length <= 0.0 {
            return;
        }
        self.move_by(entering, way.sign() * length);
        for row in 0..self.rows.len() {
            let factor = self.rows[row].factor(entering);
            if factor != 0.0 {
                self.move_by(self.basis[row], -factor * way.sign() * length);
            }
        }
    }

    fn move_by(&mut self, unknown: usize, distance: f64) {
        let moved = self.point[unknown] + distance;
        let amount = if moved < NOTHING { 0.0 } else { moved };
        self.point[unknown] = amount;
        let (low, high) = &mut self.seen[unknown];
        *low = low.min(amount);
        *high = high.max(amount);
    }

    /// Solves `row` for the unknown `entering` and takes it out of all other rows.
    fn pivot(&mut self, row: usize, entering: usize) {
        let mut solved = std::mem::take(&mut self.rows[row]);
        solved.divide(solved.factor(entering));
        for other in &mut self.rows {
            other.clear(entering, &solved);
        }
        self.rows[row] = solved;
        let left = std::mem::replace(&mut self.basis[row], entering);
        self.row_of[left] = None;
        self.row_of[entering] = Some(row);
    }

    /// Solves each equation for an unknown, if possible one that can move either way and that stands
    /// in few equations. Equations that say nothing new are left out.
    fn solve(&mut self) {
        let mut equations: Vec<&Equation> = self.equations.iter().collect();
        equations.sort_by_key(|(terms, _)| terms.len());
        let mut stands_in = vec![0_usize; self.point.len()];
        for (unknown, _) in equations.iter().flat_map(|(terms, _)| terms) {
            stands_in[*unknown] += 1;
        }
        self.rows.clear();
        self.basis.clear();
        self.row_of.fill(None);
        for (terms, _) in equations {
            let mut row = Row::new(terms);
            // A row holds what later ones are solved for, so the first goes first.
            while let Some(solved) = row.iter().filter_map(|(it, _)| self.row_of[it]).min() {
                row.clear(self.basis[solved], &self.rows[solved]);
            }
            let able = row.iter().filter(|(_, factor)| factor.abs() > NOTHING);
            let best = able.min_by_key(|(unknown, factor)| {
                let is_exact = (factor.abs() - 1.0).abs() < NOTHING;
                let is_stuck = self.point[*unknown] <= NOTHING;
                (!is_exact, is_stuck, stands_in[*unknown])
            });
            if let Some((unknown, factor)) = best {
                row.divide(factor);
                self.row_of[unknown] = Some(self.rows.len());
                self.basis.push(unknown);
                self.rows.push(row);
            }
        }
        // The last row holds nothing that another is solved for, and so do those before it then.
        for place in (0..self.rows.len()).rev() {
            let mut row = std::mem::take(&mut self.rows[place]);
            let later = |it: usize| self.row_of[it].filter(|solved| *solved > place);
            let solved: Vec<usize> = row.iter().filter_map(|(it, _)| later(it)).collect();
            for solved in solved {
                row.clear(self.basis[solved], &self.rows[solved]);
            }
            self.rows[place] = row;
        }
    }

    /// Whether the point meets the equations as they were given.
    fn is_at_a_point(&self) -> bool {
        let is_met = self.equations.iter().all(|(terms, right)| {
            let terms = terms.iter();
            let sum: f64 = terms
                .map(|(unknown, factor)| factor * self.point[*unknown])
                .sum();
            (sum - right).abs() <= ROUNDING * (1.0 + right.abs())
        });
        is_met && self.point.iter().all(|amount| *amount >= -ROUNDING)
    }
}

#[cfg(test)]
mod tests;

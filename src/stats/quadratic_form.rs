//! Differences weighted by the inverse of their covariances, for tests and distances over several
//! groups or categories at once. Knows a matrix and a vector only.

/// A pivot smaller than this fraction of its diagonal element is rounding where 0 is meant, and so
/// is a difference smaller than this fraction of all differences and standard deviations together.
const NEGLIGIBLE: f64 = 1e-10;

/// A quadratic form and the rank of its matrix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct QuadraticForm {
    pub(super) value: f64,
    pub(super) rank: usize,
}

/// `v' M⁻ v` for a covariance matrix `M` (symmetric, no negative variance) and differences `v`,
/// where `M⁻` leaves out what the other differences already determine: differences that add up to
/// 0 have one degree of freedom less than there are.
///
/// `None` when a difference has no variance and yet is not 0, and when something is not finite.
pub(super) fn quadratic_form(
    mut matrix: Vec<Vec<f64>>,
    mut differences: Vec<f64>,
) -> Option<QuadraticForm> {
    let diagonal: Vec<f64> = (0..matrix.len()).map(|i| matrix[i][i]).collect();
    let size: f64 = differences
        .iter()
        .zip(&diagonal)
        .map(|(difference, variance)| difference.abs() + variance.sqrt())
        .sum();
    let mut form = QuadraticForm {
        value: 0.0,
        rank: 0,
    };
    // Gaussian elimination; in a covariance matrix no order of the rows loses digits.
    for i in 0..matrix.len() {
        let pivot_row = matrix[i].clone();
        let (pivot, difference) = (pivot_row[i], differences[i]);
        if pivot <= NEGLIGIBLE * diagonal[i] {
            if difference.abs() > NEGLIGIBLE * size {
                return None;
            }
            continue;
        }
        form.value += difference * (difference / pivot);
        form.rank += 1;
        for j in i + 1..matrix.len() {
            let factor = matrix[j][i] / pivot;
            differences[j] -= factor * difference;
            for (element, above) in matrix[j].iter_mut().zip(&pivot_row).skip(i) {
                *element -= factor * above;
            }
        }
    }
    form.value.is_finite().then_some(form)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_others_determine_is_left_out() {
        // By hand: 2 * 2 / 4 for the first; the second is its mirror image.
        let mirrored = vec![vec![4.0, -4.0], vec![-4.0, 4.0]];
        let form = quadratic_form(mirrored.clone(), vec![2.0, -2.0]).expect("a form");
        assert_eq!(
            form,
            QuadraticForm {
                value: 1.0,
                rank: 1
            }
        );
        assert_eq!(quadratic_form(mirrored, vec![2.0, -1.0]), None);
        // The inverse of ((2, 1), (1, 2)) is ((2, -1), (-1, 2)) / 3, so (1, 2) gives 6 / 3.
        let form = quadratic_form(vec![vec![2.0, 1.0], vec![1.0, 2.0]], vec![1.0, 2.0]);
        let form = form.expect("a form");
        assert!((form.value - 2.0).abs() < 1e-15 && form.rank == 2);
    }

    #[test]
    fn nothing_and_no_variance_have_no_rank() {
        let nothing = Some(QuadraticForm {
            value: 0.0,
            rank: 0,
        });
        assert_eq!(quadratic_form(vec![], vec![]), nothing);
        assert_eq!(quadratic_form(vec![vec![0.0]], vec![0.0]), nothing);
        assert_eq!(quadratic_form(vec![vec![0.0]], vec![0.1]), None);
        assert_eq!(quadratic_form(vec![vec![1.0]], vec![f64::NAN]), None);
        assert_eq!(quadratic_form(vec![vec![1e-300]], vec![1e300]), None);
    }
}

//! How rare each of many tests must be, for the whole family to raise a false alarm
//! in no more than one comparison of twenty.
//!
//! The statistics T₁ … Tₖ (each of unit variance) are tested at one common p, |Tᵢ| > c.
//! Grow a tree from the first, hanging each on the earlier one that it is most like. Then
//!
//! P(some |Tᵢ| > c) ≤ P(|T₁| > c) + Σ P(|Tᵢ| > c and not |T_parent| > c).
//!
//! Two normal statistics with correlation cos θ are the projections of one round normal
//! vector in the plane onto two directions θ apart. Of the directions that such a vector
//! longer than c can have, those for which it exceeds c along the second and not along the
//! first are no more than 2θ in 2π, and it is longer than c with probability e^(−c²/2). So each
//! term is at most (θ/π)·e^(−c²/2), and at most P(|T| > c), whichever is less: a statistic that
//! says what another said costs nothing, and one of its own costs what Bonferroni asks. (The
//! tree is Hunter's, 1976; the arc is the tube bound of Naiman, 1986, and of Johansen and
//! Johnstone, 1990: the papers from memory, the argument as above.)
//!
//! A displacement in the plane is one test, T² against χ² of two; it pays its p in full.

use crate::numeric::{find_root, normal_quantile, t_cdf, t_quantile};

/// Degrees of freedom of what is normal.
pub(super) const NORMAL_DOF: f64 = 1e9;
/// From so many on a t is taken for normal: their 95 % points differ by 2e-5 of themselves.
const ALL_BUT_NORMAL_DOF: f64 = 1e5;

/// Largest critical value looked for: e^(−50) of a chance.
const MOST_SD: f64 = 10.0;

/// The p of each test at which the whole family claims falsely with `level`: `tests` are what
/// each source of error does to each statistic, of any size (only directions count), and `planar`
/// is how many tests of two dimensions there are besides.
pub(super) fn p_of_each(tests: &[Vec<f64>], planar: usize, level: f64) -> f64 {
    let angles = angles(tests);
    let ones = planar + usize::from(!tests.is_empty());
    let family = |c: f64| {
        let p = two_sided(c);
        let arc = (-0.5 * c * c).exp() / std::f64::consts::PI;
        ones as f64 * p + angles.iter().map(|theta| p.min(theta * arc)).sum::<f64>()
    };
    // More tests can only ask for more than one alone; the bound falls as c grows. A hair less, so
    // that rounding leaves a change of sign where there is but one.
    let alone = 0.999 * normal_quantile(1.0 - 0.5 * level);
    find_root(|c| family(c) - level, alone, MOST_SD, 1e-9)
        .map_or(level / (tests.len() + planar).max(1) as f64, two_sided)
}

/// Probability that a standard normal number is farther from nought than `c`.
fn two_sided(c: f64) -> f64 {
    p_of_t(c, NORMAL_DOF)
}

/// The least angle from each statistic but the first to one before it, radians.
fn angles(tests: &[Vec<f64>]) -> Vec<f64> {
    let units: Vec<Vec<f64>> = tests
        .iter()
        .map(|t| {
            let size = t.iter().map(|v| v * v).sum::<f64>().sqrt();
            t.iter().map(|v| v / size.max(f64::MIN_POSITIVE)).collect()
        })
        .collect();
    (1..units.len())
        .map(|i| {
            // |T| is tested, so a direction and its opposite are one.
            let nearest = (0..i)
                .map(|j| units[i].iter().zip(&units[j]).map(|(a, b)| a * b).sum::<f64>().abs())
                .fold(0.0, f64::max);
            nearest.clamp(0.0, 1.0).acos()
        })
        .collect()
}

/// Probability of a t farther from nought than this.
pub(super) fn p_of_t(t: f64, dof: f64) -> f64 {
    2.0 * t_cdf(-t.abs(), dof)
}

/// How far from nought a t must be for this p.
pub(super) fn t_of_p(p: f64, dof: f64) -> f64 {
    -t_quantile(0.5 * p, dof)
}

/// Probability of a displacement of two dimensions with a T² above this: T²/2 is an F of
/// two and `dof` degrees of freedom, whose tail is (1 + T²/ν)^(−ν/2).
pub(super) fn p_of_square(square: f64, dof: f64) -> f64 {
    (-0.5 * dof * (square / dof).ln_1p()).exp()
}

/// The T² that has this p.
pub(super) fn square_of_p(p: f64, dof: f64) -> f64 {
    dof * (-2.0 * p.ln() / dof).exp_m1()
}

/// Degrees of freedom whose t has this 95 % half-width over its standard deviation.
pub(super) fn dof_of_ratio(ratio: f64) -> f64 {
    let miss = |ln_dof: f64| t_quantile(0.975, ln_dof.exp()) - ratio;
    if miss(0.0) <= 0.0 {
        return 1.0;
    }
    find_root(miss, 0.0, ALL_BUT_NORMAL_DOF.ln(), 1e-9).map_or(NORMAL_DOF, f64::exp)
}

/// Degrees of freedom of a sum of independent variances, each with its own: Welch and Satterthwaite.
pub(super) fn welch(parts: &[(f64, f64)]) -> f64 {
    let sum: f64 = parts.iter().map(|(v, _)| v).sum();
    let bottom: f64 = parts.iter().map(|(v, dof)| v * v / dof).sum();
    if bottom > 0.0 { (sum * sum / bottom).max(1.0) } else { NORMAL_DOF }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_test_or_many_that_are_one_pay_once() {
        let one = vec![0.3, -0.4];
        assert!((p_of_each(std::slice::from_ref(&one), 0, 0.05) - 0.05).abs() < 1e-9);
        let same = vec![one.clone(), vec![0.6, -0.8], vec![-3.0, 4.0]];
        assert!((p_of_each(&same, 0, 0.05) - 0.05).abs() < 1e-7);
        assert!((p_of_each(&[], 1, 0.05) - 0.05).abs() < 1e-9);
    }

    #[test]
    fn tests_of_their_own_pay_as_bonferroni_asks() {
        let unit = |i: usize| (0..8).map(|j| f64::from(u8::from(i == j))).collect::<Vec<f64>>();
        let all: Vec<Vec<f64>> = (0..8).map(unit).collect();
        // Half a turn's e^(−c²/2)/2 is more than P(|T| > c) here, so the lesser is Bonferroni's.
        assert!((p_of_each(&all, 0, 0.05) - 0.05 / 8.0).abs() < 1e-9);
        assert!((p_of_each(&all, 2, 0.05) - 0.05 / 10.0).abs() < 1e-9);
    }

    /// Directions all round: the longest projection of a vector is all but its length, whose chance
    /// of being over c is e^(−c²/2) in closed form.
    #[test]
    fn the_family_is_held_and_not_by_much_more_than_need_be() {
        let n = 100;
        let tests: Vec<Vec<f64>> = (0..n)
            .map(|i| {
                let (s, c) = (f64::from(i) / f64::from(n) * std::f64::consts::PI).sin_cos();
                vec![c, s]
            })
            .collect();
        let p = p_of_each(&tests, 0, 0.05);
        let c = t_of_p(p, NORMAL_DOF);
        let truth = (-0.5 * c * c).exp();
        // The bound adds the first direction's own chance once more, a quarter of the whole here.
        assert!(truth > 0.038 && truth < 0.05, "{truth}");
        assert!(p > 10.0 * 0.05 / f64::from(n), "far better than Bonferroni: {p}");
    }

    #[test]
    fn quantiles_and_probabilities_are_inverse() {
        for dof in [1.0, 4.0, 30.0, NORMAL_DOF] {
            for p in [0.05, 0.001] {
                assert!((p_of_t(t_of_p(p, dof), dof) / p - 1.0).abs() < 1e-6, "{dof} {p}");
                assert!((p_of_square(square_of_p(p, dof), dof) / p - 1.0).abs() < 1e-6, "{dof} {p}");
            }
            assert!((dof_of_ratio(t_quantile(0.975, dof)) / dof - 1.0).abs() < 1e-3, "{dof}");
        }
        assert_eq!(dof_of_ratio(1.9), NORMAL_DOF);
        assert_eq!(dof_of_ratio(50.0), 1.0);
        // Published: χ² of two, 5 %, is 5.991.
        assert!((square_of_p(0.05, NORMAL_DOF) - 5.991).abs() < 1e-3);
        // Two equal variances of ν each have 2ν together.
        assert!((welch(&[(3.0, 7.0), (3.0, 7.0)]) - 14.0).abs() < 1e-9);
    }
}

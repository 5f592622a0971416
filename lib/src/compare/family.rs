//! The significance level p for each of many tests, so that all of them together raise a false alarm in at
//! most one comparison of twenty.
//!
//! The statistics T₁ … Tₖ (each of unit variance) are tested at one common level, |Tᵢ| > c. Build a tree:
//! each statistic's parent is the earlier one with which it is most strongly correlated. Then
//!
//! P(some |Tᵢ| > c) ≤ P(|T₁| > c) + Σ P(|Tᵢ| > c and not |T_parent| > c).
//!
//! Two normal statistics with correlation cos θ are the projections of a standard normal vector in the plane
//! onto two directions at the angle θ. The vector is longer than c with probability e^(−c²/2). Only in at
//! most 2θ of its 2π directions can its projection exceed c along the second direction and not along the
//! first. So each term of the sum is at most (θ/π)·e^(−c²/2). It is also at most P(|T| > c), and the lesser
//! of the two counts. Hence a statistic that is fully correlated with another costs nothing, and an
//! independent one costs what Bonferroni asks. (The tree is Hunter's, 1976; the arc is the tube bound of
//! Naiman, 1986, and of Johansen and Johnstone, 1990: the papers from memory, the argument as above.)
//!
//! A displacement in the plane is one test, T² against χ² with two degrees of freedom; its p counts in full.

use crate::numeric::{find_root, normal_quantile, t_cdf, t_quantile};

/// Degrees of freedom that stand for a normal distribution.
pub(super) const NORMAL_DOF: f64 = 1e9;
/// From this many degrees of freedom a t distribution counts as normal: the 95 % points differ by 2e-5 of
/// themselves.
const ALL_BUT_NORMAL_DOF: f64 = 1e5;

/// The largest critical value in the search: its probability is e^(−50).
const MOST_SD: f64 = 10.0;

/// The p at which to make each test, so that the whole family raises a false alarm with probability `level`
/// at most. Each element of `tests` holds the effects of the independent errors on one statistic; their scale
/// does not matter. `planar` is the number of two-dimensional tests in addition.
pub(super) fn p_of_each(tests: &[Vec<f64>], planar: usize, level: f64) -> f64 {
    let angles = angles(tests);
    let ones = planar + usize::from(!tests.is_empty());
    let family = |c: f64| {
        let p = two_sided(c);
        let arc = (-0.5 * c * c).exp() / std::f64::consts::PI;
        ones as f64 * p + angles.iter().map(|theta| p.min(theta * arc)).sum::<f64>()
    };
    // The critical value of a single test is the least possible, and the bound falls as c grows. Start
    // slightly below it, so that rounding can't remove the change of sign where there is only one test.
    let alone = 0.999 * normal_quantile(1.0 - 0.5 * level);
    find_root(|c| family(c) - level, alone, MOST_SD, 1e-9)
        .map_or(level / (tests.len() + planar).max(1) as f64, two_sided)
}

/// Probability that a standard normal number is farther from 0 than `c`.
fn two_sided(c: f64) -> f64 {
    p_of_t(c, NORMAL_DOF)
}

/// For each statistic but the first, the least angle to an earlier one, radians.
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
            // |T| is tested, so opposite directions are the same.
            let nearest = (0..i)
                .map(|j| units[i].iter().zip(&units[j]).map(|(a, b)| a * b).sum::<f64>().abs())
                .fold(0.0, f64::max);
            nearest.clamp(0.0, 1.0).acos()
        })
        .collect()
}

/// Probability that |T| is greater than |t|, for a t distribution.
pub(super) fn p_of_t(t: f64, dof: f64) -> f64 {
    2.0 * t_cdf(-t.abs(), dof)
}

/// The t whose two-sided probability is `p`.
pub(super) fn t_of_p(p: f64, dof: f64) -> f64 {
    -t_quantile(0.5 * p, dof)
}

/// Probability that a two-dimensional displacement has a T² above this: T²/2 follows F with two and `dof`
/// degrees of freedom, whose tail is (1 + T²/ν)^(−ν/2).
pub(super) fn p_of_square(square: f64, dof: f64) -> f64 {
    (-0.5 * dof * (square / dof).ln_1p()).exp()
}

/// The T² whose probability is `p`.
pub(super) fn square_of_p(p: f64, dof: f64) -> f64 {
    dof * (-2.0 * p.ln() / dof).exp_m1()
}

/// The degrees of freedom of a t distribution whose 95 % point is `ratio`, a half-width over a standard
/// deviation.
pub(super) fn dof_of_ratio(ratio: f64) -> f64 {
    let miss = |ln_dof: f64| t_quantile(0.975, ln_dof.exp()) - ratio;
    if miss(0.0) <= 0.0 {
        return 1.0;
    }
    find_root(miss, 0.0, ALL_BUT_NORMAL_DOF.ln(), 1e-9).map_or(NORMAL_DOF, f64::exp)
}

/// Degrees of freedom of a sum of independent variances, by Welch and Satterthwaite. Each part is a variance
/// with its own degrees of freedom.
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
        // At θ = π/2 the arc bound e^(−c²/2)/2 is more than P(|T| > c), so Bonferroni's term counts.
        assert!((p_of_each(&all, 0, 0.05) - 0.05 / 8.0).abs() < 1e-9);
        assert!((p_of_each(&all, 2, 0.05) - 0.05 / 10.0).abs() < 1e-9);
    }

    /// With directions all round, the longest projection of a vector is nearly its length, which exceeds c
    /// with probability e^(−c²/2) in closed form.
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
        // The bound counts the first direction's own probability once more, a quarter of the whole here.
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
        // Published: the 5 % point of χ² with two degrees of freedom is 5.991.
        assert!((square_of_p(0.05, NORMAL_DOF) - 5.991).abs() < 1e-3);
        // Two equal variances with ν degrees of freedom each have 2ν together.
        assert!((welch(&[(3.0, 7.0), (3.0, 7.0)]) - 14.0).abs() < 1e-9);
    }
}

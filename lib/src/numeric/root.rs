//! The root of a function between two points where its signs differ.

/// Why no root was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum NoRoot {
    /// The function has the same sign at both ends.
    SameSign {
        /// Value at the lower end.
        at_lo: f64,
        /// Value at the upper end.
        at_hi: f64,
    },
    /// The limit on steps was reached.
    DidNotConverge {
        /// Steps taken.
        after: usize,
    },
}

impl std::fmt::Display for NoRoot {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::SameSign { at_lo, at_hi } => {
                write!(f, "the function does not change sign: {at_lo} and {at_hi}")
            }
            Self::DidNotConverge { after } => write!(f, "no root after {after} steps"),
        }
    }
}

impl std::error::Error for NoRoot {}

/// Steps allowed: the bracket at least halves every three steps, so this makes at
/// least 64 halvings, more than the bits of a double's mantissa.
const MAX_STEPS: usize = 200;

/// A root of `f` in `[lo, hi]`, to within `accuracy` in the argument.
///
/// Regula falsi with the Illinois rule (Dowell and Jarratt 1971), and a
/// bisection whenever the bracket did not halve in three steps.
///
/// # Errors
/// [`NoRoot`] when the signs agree or the limit on steps is reached.
pub(crate) fn find_root(
    mut f: impl FnMut(f64) -> f64,
    lo: f64,
    hi: f64,
    accuracy: f64,
) -> Result<f64, NoRoot> {
    let (mut a, mut b) = (lo, hi);
    let (mut fa, mut fb) = (f(a), f(b));
    if fa == 0.0 {
        return Ok(a);
    }
    if fb == 0.0 {
        return Ok(b);
    }
    if (fa > 0.0) == (fb > 0.0) || fa.is_nan() || fb.is_nan() {
        return Err(NoRoot::SameSign { at_lo: fa, at_hi: fb });
    }
    let mut side = 0i8;
    let mut width_before = (b - a).abs();
    for step in 0..MAX_STEPS {
        if (b - a).abs() <= accuracy {
            return Ok(0.5 * (a + b));
        }
        let mut x = (fa * b - fb * a) / (fa - fb);
        if step % 3 == 2 {
            let width = (b - a).abs();
            // The bisection below halves the bracket, so three steps later it must have halved again.
            let slow = width > 0.5 * width_before;
            width_before = if slow { 0.5 * width } else { width };
            if slow {
                x = 0.5 * (a + b);
            }
        }
        let fx = f(x);
        if fx == 0.0 {
            return Ok(x);
        }
        if (fx > 0.0) == (fb > 0.0) {
            (b, fb) = (x, fx);
            if side == -1 {
                fa *= 0.5;
            }
            side = -1;
        } else {
            (a, fa) = (x, fx);
            if side == 1 {
                fb *= 0.5;
            }
            side = 1;
        }
    }
    Err(NoRoot::DidNotConverge { after: MAX_STEPS })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_planted_roots() {
        let r = find_root(|x| x * x * x - 2.0, 0.0, 10.0, 1e-14).unwrap();
        assert!((r - 2f64.cbrt()).abs() < 1e-13);
        // The function is flat on one side, where plain regula falsi converges slowly.
        let r = find_root(|x| (x - 0.9).exp().powi(20) - 1.0, -5.0, 5.0, 1e-12).unwrap();
        assert!((r - 0.9).abs() < 1e-11);
    }

    #[test]
    fn says_when_there_is_none() {
        assert!(matches!(find_root(|x| x * x + 1.0, -1.0, 1.0, 1e-9), Err(NoRoot::SameSign { .. })));
        assert!(matches!(find_root(|_| f64::NAN, -1.0, 1.0, 1e-9), Err(NoRoot::SameSign { .. })));
    }

    #[test]
    fn a_root_at_an_end_but_for_rounding_is_found_in_the_steps_allowed() {
        // The value at one end is almost zero: regula falsi never leaves that end, and only the
        // bisections shrink the bracket.
        let f = |x: f64| if x == 1.0 { -1e-30 } else { 1.0 - x };
        let x = find_root(f, 0.955, 1.0, 1e-14).unwrap();
        assert!((x - 1.0).abs() <= 1e-14, "{x}");
    }
}

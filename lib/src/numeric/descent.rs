//! Damped Gauss–Newton (Levenberg–Marquardt): the one search behind
//! every nonlinear least-squares problem here.
//!
//! Where a step would increase the sum of squares, it is tried again with ten times the damping. Where a step
//! decreases the sum, the next one gets a tenth of the damping (K. Levenberg 1944, D. W. Marquardt 1963; from
//! memory). The problem decides what is damped, how a step is measured, and when it counts as small.

/// A least-squares problem.
pub(crate) trait Problem {
    /// A point of the search (the parameters), with the linearisation there.
    type At;

    /// The step from a point with a damping; `None` where the damped normal matrix has no inverse.
    fn step(&self, at: &Self::At, damping: f64) -> Option<Step<Self::At>>;

    /// Whether a step of this size, taken from this point, ends the search.
    fn small(&self, at: &Self::At, size: f64) -> bool;

    /// Whether a step of this size is mere rounding if it is not much smaller than the last.
    fn rounding(&self, _size: f64) -> bool {
        false
    }

    /// A step that uses second derivatives, for where the plain steps gain little;
    /// `None` unless it goes downhill.
    fn curved(&self, _at: &Self::At) -> Option<(Self::At, f64)> {
        None
    }

    /// Whether a point is so far away that the search should be given up.
    fn lost(&self, _at: &Self::At) -> bool {
        false
    }
}

/// One step tried.
pub(crate) struct Step<At> {
    /// Its size, as the problem measures it.
    pub(crate) size: f64,
    /// Where it leads; `None` where the sum would grow.
    pub(crate) next: Option<At>,
}

/// How a search damps, and how long it may take.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Schedule {
    /// Damping of the first step.
    pub(crate) first: f64,
    /// The least damping that is not zero.
    pub(crate) least: f64,
    /// After a good step with a damping no larger than this, the next step has no damping.
    pub(crate) none_below: f64,
    /// A small step ends the search only where the damping is no larger than this: heavy damping makes any
    /// step small.
    pub(crate) whole_below: f64,
    /// Steps allowed.
    pub(crate) most_steps: usize,
    /// Dampings allowed a step.
    pub(crate) most_dampings: usize,
}

/// Why a search ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum End {
    /// The last step was small.
    Settled,
    /// A small step would no longer go downhill: this is the optimum to the last digit.
    Level,
    /// No step of any size goes downhill.
    Stuck,
    /// The limit on steps was reached.
    Bound,
    /// The search ran away.
    Lost,
}

/// Where and how a search ended.
pub(crate) struct Found<At> {
    pub(crate) at: At,
    pub(crate) end: End,
    /// Steps finished; one that ended the search as [`End::Level`] does not count.
    pub(crate) steps: usize,
    /// Size of the last step taken or tried.
    pub(crate) last_size: f64,
}

/// Searches downhill from a starting point.
pub(crate) fn descend<P: Problem>(problem: &P, start: P::At, schedule: Schedule) -> Found<P::At> {
    let mut found = Found { at: start, end: End::Bound, steps: 0, last_size: f64::INFINITY };
    let mut damping = schedule.first;
    // Gauss–Newton should gain a digit at each step; where it does not, second derivatives help.
    let mut slow = false;
    for _ in 0..schedule.most_steps {
        let mut taken = if slow { problem.curved(&found.at) } else { None };
        if taken.is_some() {
            damping = 0.0;
        }
        for _ in 0..schedule.most_dampings {
            if taken.is_some() {
                break;
            }
            match problem.step(&found.at, damping) {
                Some(Step { size, next: Some(next) }) => {
                    taken = Some((next, size));
                    damping = if damping <= schedule.none_below { 0.0 } else { damping * 0.1 };
                }
                Some(step) if problem.small(&found.at, step.size) => {
                    found.last_size = step.size;
                    found.end = End::Level;
                    return found;
                }
                _ => damping = (damping * 10.0).max(schedule.least),
            }
        }
        found.steps += 1;
        let Some((next, size)) = taken else {
            found.end = if problem.lost(&found.at) { End::Lost } else { End::Stuck };
            return found;
        };
        let settled = problem.small(&found.at, size) && damping <= schedule.whole_below
            || problem.rounding(size) && size > 0.5 * found.last_size;
        slow = size > 0.1 * found.last_size;
        found.at = next;
        found.last_size = size;
        if settled {
            found.end = End::Settled;
            return found;
        }
        if problem.lost(&found.at) {
            found.end = End::Lost;
            return found;
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Minimises (x² − 2)², with one residual and a gradient that may have the wrong sign.
    struct Root {
        sign: f64,
    }

    impl Problem for Root {
        type At = f64;

        fn step(&self, x: &f64, damping: f64) -> Option<Step<f64>> {
            let (r, j) = (x * x - 2.0, self.sign * 2.0 * x);
            let by = -j * r / (j * j * (1.0 + damping));
            let to = x + by;
            let down = (to * to - 2.0).powi(2) < r * r;
            Some(Step { size: by.abs(), next: down.then_some(to) })
        }

        fn small(&self, _: &f64, size: f64) -> bool {
            size < 1e-12
        }

        fn lost(&self, x: &f64) -> bool {
            x.abs() > 1e6
        }
    }

    const SCHEDULE: Schedule = Schedule {
        first: 0.0,
        least: 1e-3,
        none_below: 1e-3,
        whole_below: 1e-2,
        most_steps: 50,
        most_dampings: 30,
    };

    #[test]
    fn a_root_is_found_and_a_wrong_gradient_finds_none() {
        let found = descend(&Root { sign: 1.0 }, 3.0, SCHEDULE);
        assert!(matches!(found.end, End::Settled | End::Level), "{:?}", found.end);
        // The last step is below 1e-12, and each step squares the error.
        assert!((found.at - f64::sqrt(2.0)).abs() < 1e-14, "{}", found.at);
        let wrong = descend(&Root { sign: -1.0 }, 3.0, Schedule { most_dampings: 5, ..SCHEDULE });
        assert_eq!((wrong.end, wrong.steps, wrong.at), (End::Stuck, 1, 3.0));
    }

    #[test]
    fn the_bound_on_steps_holds_and_a_runaway_is_told() {
        let bound = descend(&Root { sign: 1.0 }, 1e5, Schedule { most_steps: 3, ..SCHEDULE });
        assert_eq!((bound.end, bound.steps), (End::Bound, 3));
        assert_eq!(descend(&Root { sign: 1.0 }, 1e8, SCHEDULE).end, End::Lost);
    }
}

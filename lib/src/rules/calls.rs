//! What a boundary umpire calls: what happened, in; the decision and the signal, out.
//!
//! One table, read from the top: the first row that fits is the call. Where a row cites no law it is
//! common practice, no source, or from memory, and says so.

use super::{Decision, Happened, LastDisposal, Off, Standing, Sure};

/// A competition that gives a free kick for the last disposal out of bounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LastDisposalIn {
    /// The competition.
    pub competition: &'static str,
    /// From this season on.
    pub since: u16,
    /// Where: between the arcs, or not known.
    pub extent: &'static str,
    /// Where that was read.
    pub source: &'static str,
    /// How sure it is.
    pub standing: Standing,
}

/// Competitions with a last-disposal law.
pub const LAST_DISPOSAL_IN: [LastDisposalIn; 3] = [
    LastDisposalIn {
        competition: "SANFL",
        since: 2016,
        extent: "extent unclear: ask the league",
        source: "league announcements",
        standing: Standing::Sure,
    },
    LastDisposalIn {
        competition: "AFLW",
        since: 2018,
        extent: "between the two 50 m arcs",
        source: "league announcements",
        standing: Standing::Sure,
    },
    LastDisposalIn {
        competition: "AFL",
        since: 2026,
        extent: "between the two 50 m arcs",
        source: "league announcements",
        standing: Standing::Sure,
    },
];

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub struct CallRow {
    /// Short name.
    pub id: &'static str,
    /// What happened, in words.
    pub when: &'static str,
    /// What is decided.
    pub decision: Decision,
    /// The signal, step by step.
    pub signal: &'static [&'static str],
    /// Where it comes from.
    pub source: &'static str,
    /// How sure that is.
    pub standing: Standing,
    fits: fn(&Happened) -> bool,
}

const ARM_UP: &str = "whistle once, arm straight up";
const ARMS_OUT: &str = "whistle once, both arms out level";
const POINT: &str = "point to where it crossed, and stay there until the ball is taken";
const THROW: &str = "take the ball to where it crossed, back to play, throw";
const TOUCHED: &str = "raised hand tapped from behind with the other, three times";
const THIGH: &str = "tap the thigh three times";
const POST: &str = "tap the post three times";
const OVER: &str = "AFL New Zealand youth rules; USAFL boundary sheet";
const PRACTICE: &str = "common practice, no source";
const MEMORY: &str = "from memory";
const LAST: &str =
    "league announcements: AFLW since 2018, AFL men since 2026; SANFL since 2016, its extent unclear";

fn on_the_full(h: &Happened) -> bool {
    h.touched == Sure::No && h.bounced == Sure::No
}

/// The table, first things first.
pub const CALLS: [CallRow; 14] = [
    CallRow {
        id: "not-over",
        when: "any of the ball on or above the line",
        decision: Decision::PlayOn,
        signal: &["no signal; keep up with it"],
        source: OVER,
        standing: Standing::Sure,
        fits: |h| h.wholly_over == Sure::No,
    },
    CallRow {
        id: "doubt",
        when: "doubt whether all of it was over",
        decision: Decision::PlayOn,
        signal: &["no signal; keep up with it"],
        source: PRACTICE,
        standing: Standing::CommonPractice,
        fits: |h| h.wholly_over == Sure::Unsure,
    },
    CallRow {
        id: "post-on-the-full",
        when: "kicked, or off the leg below the knee, hit the behind post on the full",
        decision: Decision::FreeKick,
        signal: &[ARMS_OUT, POST, POINT],
        source: MEMORY,
        standing: Standing::FromMemory,
        fits: |h| h.behind_post && h.off.is_kick() && on_the_full(h),
    },
    CallRow {
        id: "post",
        when: "hit the behind post after a bounce or a touch, or not from a kick",
        decision: Decision::ThrowIn,
        signal: &[ARM_UP, POST, THROW],
        source: MEMORY,
        standing: Standing::FromMemory,
        fits: |h| h.behind_post,
    },
    CallRow {
        id: "touched",
        when: "touched or smothered by another player on the way",
        decision: Decision::ThrowIn,
        signal: &[ARM_UP, TOUCHED, THROW],
        source: PRACTICE,
        standing: Standing::CommonPractice,
        fits: |h| h.touched == Sure::Yes,
    },
    CallRow {
        id: "doubt-touched",
        when: "doubt whether it was touched, or met the ground first, where the decision hangs on it",
        decision: Decision::ThrowIn,
        signal: &[ARM_UP, THROW],
        source: PRACTICE,
        standing: Standing::CommonPractice,
        fits: hangs_on_a_doubt,
    },
    CallRow {
        id: "kick-in",
        when: "a kick-in that nobody touched, bounced or not",
        decision: Decision::FreeKick,
        signal: &[ARMS_OUT, POINT],
        source: MEMORY,
        standing: Standing::FromMemory,
        fits: |h| h.off == Off::KickIn,
    },
    CallRow {
        id: "on-the-full",
        when: "kicked, or off the leg below the knee, on the full",
        decision: Decision::FreeKick,
        signal: &[ARMS_OUT, POINT],
        source: MEMORY,
        standing: Standing::FromMemory,
        fits: |h| h.off.is_kick() && on_the_full(h),
    },
    CallRow {
        id: "ruck",
        when: "straight from a ruck contest, without ground or another player",
        decision: Decision::FreeKick,
        signal: &[ARMS_OUT, POINT],
        source: MEMORY,
        standing: Standing::FromMemory,
        fits: |h| h.off == Off::Ruck && on_the_full(h),
    },
    CallRow {
        id: "above-knee",
        when: "off the leg above the knee",
        decision: Decision::ThrowIn,
        signal: &[ARM_UP, THIGH, THROW],
        source: PRACTICE,
        standing: Standing::CommonPractice,
        fits: |h| h.off == Off::AboveKnee,
    },
    CallRow {
        id: "shepherded",
        when: "last disposal, but an opponent shepherded it over",
        decision: Decision::ThrowIn,
        signal: &[ARM_UP, THROW],
        source: LAST,
        standing: Standing::FromMemory,
        fits: |h| last_disposal(h) && h.shepherded,
    },
    CallRow {
        id: "last-disposal",
        when: "last disposal, kicked or handballed, untouched, between the arcs, where the competition has it",
        decision: Decision::FreeKick,
        signal: &[ARM_UP, POINT],
        source: LAST,
        standing: Standing::Sure,
        fits: |h| last_disposal(h),
    },
    CallRow {
        id: "intent",
        when: "not enough done to keep it in: the field umpire's call; where last disposal is law, inside the arcs",
        decision: Decision::FreeKick,
        signal: &[ARM_UP, "look to the field umpire", POINT],
        source: MEMORY,
        standing: Standing::FromMemory,
        fits: |h| h.insufficient_intent && !(h.law == LastDisposal::BetweenArcs && h.between_arcs),
    },
    CallRow {
        id: "out",
        when: "any other ball wholly over the line",
        decision: Decision::ThrowIn,
        signal: &[ARM_UP, THROW],
        source: OVER,
        standing: Standing::Sure,
        fits: |_| true,
    },
];

fn last_disposal(h: &Happened) -> bool {
    h.law == LastDisposal::BetweenArcs && h.between_arcs && h.off.is_disposal()
}

/// Would the decision be another if what is unsure were known?
fn hangs_on_a_doubt(h: &Happened) -> bool {
    if h.touched != Sure::Unsure && h.bounced != Sure::Unsure {
        return false;
    }
    let known = |s: Sure| if s == Sure::Unsure { vec![Sure::Yes, Sure::No] } else { vec![s] };
    let mut decisions = Vec::new();
    for touched in known(h.touched) {
        for &bounced in &known(h.bounced) {
            decisions.push(call(&Happened { touched, bounced, ..*h }).decision);
        }
    }
    decisions.windows(2).any(|w| w[0] != w[1])
}

/// The call: the first row of [`CALLS`] that fits.
///
/// # Examples
/// ```
/// use ovalpeg::rules::{Decision, Happened, Sure, call};
/// let kick = Happened { bounced: Sure::No, ..Happened::default() };
/// assert_eq!(call(&kick).decision, Decision::FreeKick);
/// assert_eq!(call(&Happened::default()).decision, Decision::ThrowIn);
/// ```
#[must_use]
pub fn call(h: &Happened) -> &'static CallRow {
    // The last row fits whatever happened.
    CALLS.iter().find(|row| (row.fits)(h)).unwrap_or(&CALLS[CALLS.len() - 1])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(change: impl Fn(&mut Happened)) -> (&'static str, Decision) {
        let mut h = Happened::default();
        change(&mut h);
        let row = call(&h);
        (row.id, row.decision)
    }

    #[test]
    fn a_ball_is_out_only_when_all_of_it_is_over() {
        assert_eq!(of(|h| h.wholly_over = Sure::No), ("not-over", Decision::PlayOn));
        assert_eq!(of(|h| h.wholly_over = Sure::Unsure), ("doubt", Decision::PlayOn));
        assert_eq!(of(|_| ()), ("out", Decision::ThrowIn));
        // Whatever else happened.
        assert_eq!(
            of(|h| {
                h.wholly_over = Sure::No;
                h.behind_post = true;
                h.bounced = Sure::No;
            }),
            ("not-over", Decision::PlayOn)
        );
    }

    #[test]
    fn on_the_full_is_a_kick_that_met_nothing() {
        for off in Off::ALL {
            let got = of(|h| {
                h.off = off;
                h.bounced = Sure::No;
            });
            let want = match off {
                Off::Kick | Off::BelowKnee => ("on-the-full", Decision::FreeKick),
                Off::KickIn => ("kick-in", Decision::FreeKick),
                Off::Ruck => ("ruck", Decision::FreeKick),
                Off::AboveKnee => ("above-knee", Decision::ThrowIn),
                Off::Hand | Off::Body => ("out", Decision::ThrowIn),
            };
            assert_eq!(got, want, "{off:?}");
        }
        let touched = |touched| {
            of(move |h| {
                h.bounced = Sure::No;
                h.touched = touched;
            })
        };
        assert_eq!(touched(Sure::Yes), ("touched", Decision::ThrowIn));
        assert_eq!(touched(Sure::Unsure), ("doubt-touched", Decision::ThrowIn));
        assert_eq!(of(|h| h.off = Off::KickIn), ("kick-in", Decision::FreeKick));
        // Doubt counts only where the decision hangs on it.
        let unsure = |off| {
            of(move |h| {
                h.off = off;
                h.bounced = Sure::Unsure;
            })
        };
        assert_eq!(unsure(Off::Kick), ("doubt-touched", Decision::ThrowIn));
        assert_eq!(unsure(Off::KickIn), ("kick-in", Decision::FreeKick));
        assert_eq!(unsure(Off::AboveKnee), ("above-knee", Decision::ThrowIn));
        assert_eq!(unsure(Off::Body), ("out", Decision::ThrowIn));
        let hand = of(|h| {
            h.off = Off::Hand;
            h.touched = Sure::Unsure;
        });
        assert_eq!(hand, ("out", Decision::ThrowIn));
    }

    #[test]
    fn the_behind_post() {
        let hit = |bounced, touched| {
            of(move |h| {
                h.behind_post = true;
                h.bounced = bounced;
                h.touched = touched;
            })
        };
        assert_eq!(hit(Sure::No, Sure::No), ("post-on-the-full", Decision::FreeKick));
        assert_eq!(hit(Sure::Yes, Sure::No), ("post", Decision::ThrowIn));
        assert_eq!(hit(Sure::No, Sure::Yes), ("post", Decision::ThrowIn));
    }

    #[test]
    fn last_disposal_holds_between_the_arcs_where_it_is_law() {
        let last = |law, between_arcs, off, shepherded| {
            of(move |h| {
                h.law = law;
                h.between_arcs = between_arcs;
                h.off = off;
                h.shepherded = shepherded;
            })
        };
        let law = LastDisposal::BetweenArcs;
        assert_eq!(last(law, true, Off::Hand, false), ("last-disposal", Decision::FreeKick));
        assert_eq!(last(law, true, Off::Kick, false), ("last-disposal", Decision::FreeKick));
        assert_eq!(last(law, true, Off::Kick, true), ("shepherded", Decision::ThrowIn));
        assert_eq!(last(law, true, Off::Body, false), ("out", Decision::ThrowIn));
        assert_eq!(last(law, false, Off::Kick, false), ("out", Decision::ThrowIn));
        assert_eq!(last(LastDisposal::No, true, Off::Kick, false), ("out", Decision::ThrowIn));
        assert_eq!(of(|h| h.insufficient_intent = true), ("intent", Decision::FreeKick));
        // Where last disposal is law, that is for inside the arcs.
        let intent = |between_arcs| {
            of(move |h| {
                h.insufficient_intent = true;
                h.off = Off::Body;
                h.law = LastDisposal::BetweenArcs;
                h.between_arcs = between_arcs;
            })
        };
        assert_eq!(intent(false), ("intent", Decision::FreeKick));
        assert_eq!(intent(true), ("out", Decision::ThrowIn));
    }

    #[test]
    fn every_row_is_reached_and_says_where_it_comes_from() {
        let sure = [Sure::No, Sure::Yes, Sure::Unsure];
        let mut reached = std::collections::BTreeSet::new();
        for wholly_over in sure {
            for off in Off::ALL {
                for touched in sure {
                    for bounced in sure {
                        for bits in 0..32u32 {
                            let bit = |i: u32| bits >> i & 1 == 1;
                            let law = if bit(4) { LastDisposal::BetweenArcs } else { LastDisposal::No };
                            let h = Happened {
                                wholly_over,
                                off,
                                touched,
                                bounced,
                                behind_post: bit(0),
                                shepherded: bit(1),
                                insufficient_intent: bit(2),
                                between_arcs: bit(3),
                                law,
                            };
                            reached.insert(call(&h).id);
                        }
                    }
                }
            }
        }
        assert_eq!(reached.len(), CALLS.len());
        for row in &CALLS {
            assert!(!row.source.is_empty() && !row.signal.is_empty(), "{}", row.id);
            // No source, no claim to one.
            let none = matches!(row.standing, Standing::CommonPractice | Standing::FromMemory);
            assert!(none || row.source.len() > 20, "{}", row.id);
        }
    }
}

//! The calls of a boundary umpire: from what happened to the decision and the signals.
//!
//! There is one table, read from the top: the first row that fits is the call. A row that cites no
//! law says that it is common practice without a source, or from memory.

use super::signals::{FULL, LOOK, MEMORY, NONE, OUT, POINT, POST, PRACTICE, Signal, THIGH, THROW, TOUCHED};
use super::{Decision, Happened, LastDisposal, Off, Standing, Sure};

/// A competition that gives a free kick for the last disposal out of bounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LastDisposalIn {
    /// The competition.
    pub competition: &'static str,
    /// The first season with the law.
    pub since: u16,
    /// Where the law holds: between the arcs, or not known.
    pub extent: &'static str,
    /// The source.
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

/// A row of the table of calls.
#[derive(Debug, Clone, Copy)]
pub struct CallRow {
    /// Short name.
    pub id: &'static str,
    /// What happened, in words.
    pub when: &'static str,
    /// What is decided.
    pub decision: Decision,
    /// The signals, in order.
    pub signals: &'static [Signal],
    /// Where it comes from.
    pub source: &'static str,
    /// How sure that is.
    pub standing: Standing,
    fits: fn(&Happened) -> bool,
}

impl CallRow {
    /// The signals, in order, without the throw where a rule set has no throw-ins.
    pub fn signals_where(&self, throw_ins: bool) -> impl Iterator<Item = &'static Signal> {
        self.signals.iter().filter(move |s| throw_ins || !s.is_throw())
    }
}

const OVER: &str = "AFL New Zealand youth rules; USAFL boundary sheet";
const KICK_IN: &str = "AFL New Zealand youth rules";
const FULL_POST: &str = "USAFL, Boundary Umpiring: Visual Signaling; AFL Community Club, Boundary Umpires: Cooperating with Goal Umpires; from memory: off the leg";
const ON_FULL: &str = "USAFL, Boundary Umpiring: Visual Signaling; from memory: off the leg";
const LAST: &str =
    "league announcements: AFLW since 2018, AFL men since 2026, SANFL since 2016 with its extent unclear";

fn on_the_full(h: &Happened) -> bool {
    h.touched == Sure::No && h.bounced == Sure::No
}

/// Would it have been out on the full if nobody had touched it?
fn else_on_the_full(h: &Happened) -> bool {
    (h.off.is_kick() || h.off == Off::Ruck) && h.bounced != Sure::Yes
}

/// The table of calls; the first row that fits decides. A ball that hit the behind post is out, wherever it
/// goes next, because the post stands on the line (from memory).
pub const CALLS: [CallRow; 15] = [
    CallRow {
        id: "not-over",
        when: "any of the ball on or above the line, and no behind post hit",
        decision: Decision::StillIn,
        signals: &[NONE],
        source: OVER,
        standing: Standing::Sure,
        fits: |h| !h.behind_post && h.wholly_over == Sure::No,
    },
    CallRow {
        id: "doubt",
        when: "doubt whether all of it was over, and no behind post hit",
        decision: Decision::StillIn,
        signals: &[NONE],
        source: PRACTICE,
        standing: Standing::CommonPractice,
        fits: |h| !h.behind_post && h.wholly_over == Sure::Unsure,
    },
    CallRow {
        id: "post-on-the-full",
        when: "kicked, or off the leg below the knee, onto the behind post on the full",
        decision: Decision::FreeKick,
        signals: &[FULL, POST, POINT],
        source: FULL_POST,
        standing: Standing::Sure,
        fits: |h| h.behind_post && h.off.is_kick() && on_the_full(h),
    },
    CallRow {
        id: "touched-post",
        when: "touched onto the behind post, and else out on the full",
        decision: Decision::ThrowIn,
        signals: &[OUT, TOUCHED, POST, THROW],
        source: MEMORY,
        standing: Standing::FromMemory,
        fits: |h| h.behind_post && h.touched == Sure::Yes && else_on_the_full(h),
    },
    CallRow {
        id: "post",
        when: "onto the behind post in any other way",
        decision: Decision::ThrowIn,
        signals: &[OUT, POST, THROW],
        source: MEMORY,
        standing: Standing::FromMemory,
        fits: |h| h.behind_post,
    },
    CallRow {
        id: "touched",
        when: "touched or smothered by another player on the way, and else out on the full",
        decision: Decision::ThrowIn,
        signals: &[OUT, TOUCHED, THROW],
        source: PRACTICE,
        standing: Standing::CommonPractice,
        fits: |h| h.touched == Sure::Yes && else_on_the_full(h),
    },
    CallRow {
        id: "doubt-touched",
        when: "doubt whether it was touched, or met the ground first, where the decision hangs on it",
        decision: Decision::ThrowIn,
        signals: &[OUT, THROW],
        source: PRACTICE,
        standing: Standing::CommonPractice,
        fits: hangs_on_a_doubt,
    },
    CallRow {
        id: "kick-in",
        when: "a kick-in that nobody touched, bounced or not",
        decision: Decision::FreeKick,
        signals: &[FULL, POINT],
        source: KICK_IN,
        standing: Standing::Sure,
        fits: |h| untouched(h) && h.off == Off::KickIn,
    },
    CallRow {
        id: "on-the-full",
        when: "kicked, or off the leg below the knee: out on the full",
        decision: Decision::FreeKick,
        signals: &[FULL, POINT],
        source: ON_FULL,
        standing: Standing::Sure,
        fits: |h| h.off.is_kick() && on_the_full(h),
    },
    CallRow {
        id: "ruck",
        when: "straight from a ruck contest, without ground or another player",
        decision: Decision::FreeKick,
        signals: &[FULL, POINT],
        source: MEMORY,
        standing: Standing::FromMemory,
        fits: |h| h.off == Off::Ruck && on_the_full(h),
    },
    CallRow {
        id: "above-knee",
        when: "off the leg above the knee",
        decision: Decision::ThrowIn,
        signals: &[OUT, THIGH, THROW],
        source: PRACTICE,
        standing: Standing::CommonPractice,
        fits: |h| untouched(h) && h.off == Off::AboveKnee,
    },
    CallRow {
        id: "shepherded",
        when: "last disposal, but an opponent shepherded it over",
        decision: Decision::ThrowIn,
        signals: &[OUT, THROW],
        source: LAST,
        standing: Standing::FromMemory,
        fits: |h| last_disposal(h) && h.shepherded,
    },
    CallRow {
        id: "last-disposal",
        when: "last disposal, kicked or handballed, untouched, between the arcs, where the competition has it",
        decision: Decision::FreeKick,
        signals: &[OUT, POINT],
        source: LAST,
        standing: Standing::Sure,
        fits: last_disposal,
    },
    CallRow {
        id: "intent",
        when: "not enough done to keep it in: the field umpire's call; where last disposal is law, inside the arcs",
        decision: Decision::FreeKick,
        signals: &[OUT, LOOK, POINT],
        source: MEMORY,
        standing: Standing::FromMemory,
        fits: |h| {
            untouched(h) && h.insufficient_intent && !(h.law == LastDisposal::BetweenArcs && h.between_arcs)
        },
    },
    CallRow {
        id: "out",
        when: "any other ball wholly over the line",
        decision: Decision::ThrowIn,
        signals: &[OUT, THROW],
        source: OVER,
        standing: Standing::Sure,
        fits: |_| true,
    },
];

/// No other player is known to have touched it. An earlier row has handled a doubt that matters.
fn untouched(h: &Happened) -> bool {
    h.touched != Sure::Yes
}

fn last_disposal(h: &Happened) -> bool {
    untouched(h) && h.law == LastDisposal::BetweenArcs && h.between_arcs && h.off.is_disposal()
}

/// Does the decision depend on a fact that is unsure?
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
    // The last row fits everything.
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
        assert_eq!(of(|h| h.wholly_over = Sure::No), ("not-over", Decision::StillIn));
        assert_eq!(of(|h| h.wholly_over = Sure::Unsure), ("doubt", Decision::StillIn));
        assert_eq!(of(|_| ()), ("out", Decision::ThrowIn));
        // Nothing else matters, except the post: it stands on the line, so a ball that hit it is out.
        for wholly_over in [Sure::No, Sure::Unsure] {
            let hit = |behind_post| {
                of(move |h| (h.wholly_over, h.bounced, h.behind_post) = (wholly_over, Sure::No, behind_post))
            };
            assert_eq!(hit(false).1, Decision::StillIn);
            assert_eq!(hit(true), ("post-on-the-full", Decision::FreeKick));
        }
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
        // A doubt counts only where the decision depends on it.
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
        assert_eq!(hit(Sure::No, Sure::Yes), ("touched-post", Decision::ThrowIn));
        assert_eq!(hit(Sure::Yes, Sure::Yes), ("post", Decision::ThrowIn));
    }

    fn signals(h: &Happened) -> Vec<&'static str> {
        call(h).signals.iter().map(|s| s.id).collect()
    }

    #[test]
    fn touched_onto_the_behind_post_is_four_signals_in_order() {
        let h = Happened { behind_post: true, touched: Sure::Yes, bounced: Sure::No, ..Happened::default() };
        assert_eq!(signals(&h), ["out", "touched", "post", "throw"]);
        // After a bounce or off the body it would not be on the full, so there is no signal for touched.
        assert_eq!(signals(&Happened { bounced: Sure::Yes, ..h }), ["out", "post", "throw"]);
        assert_eq!(signals(&Happened { off: Off::Body, ..h }), ["out", "post", "throw"]);
    }

    #[test]
    fn a_hand_is_tapped_only_where_it_would_else_be_on_the_full() {
        for off in Off::ALL {
            for bounced in [Sure::No, Sure::Yes] {
                for behind_post in [false, true] {
                    let free = Happened { off, bounced, behind_post, ..Happened::default() };
                    let touched = Happened { touched: Sure::Yes, ..free };
                    // Second method: whether it would be on the full if nobody had touched it.
                    let full = bounced == Sure::No
                        && matches!(off, Off::Kick | Off::BelowKnee | Off::KickIn | Off::Ruck);
                    assert_eq!(signals(&touched).contains(&"touched"), full, "{touched:?}");
                    assert_eq!(call(&touched).decision, Decision::ThrowIn);
                    assert!(!signals(&free).contains(&"touched"));
                }
            }
        }
    }

    #[test]
    fn nobody_is_told_to_play_on() {
        for row in &CALLS {
            let still = row.decision == Decision::StillIn;
            assert_eq!(still, row.signals == [NONE], "{}", row.id);
            assert!(!row.when.contains("play on") && !row.decision.words().contains("play on"));
            // The signal for on the full is used only for free kicks.
            assert!(!row.signals.contains(&FULL) || row.decision == Decision::FreeKick);
        }
        assert_eq!(Decision::StillIn.words(), "no call: still in");
        assert!(!Decision::FreeKick.words().contains("side"));
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
        // Where last disposal is law, insufficient intent is only for inside the arcs.
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
            assert!(!row.source.is_empty() && !row.signals.is_empty(), "{}", row.id);
            // A row without a source says so.
            let none = matches!(row.standing, Standing::CommonPractice | Standing::FromMemory);
            assert!(none || row.source.len() > 20, "{}", row.id);
        }
    }
}

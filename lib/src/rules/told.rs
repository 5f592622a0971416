//! A call from some of the facts, or the questions that are still open.

use super::{CallRow, Happened, LastDisposal, Off, Sure, call};
use crate::numeric::sort_by_key;

/// A question about a ball over the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Question {
    /// Is all of the ball over the line?
    Over,
    /// How did it leave the last player?
    Off,
    /// Did another player touch it?
    Touched,
    /// Did it meet the ground first?
    Bounced,
    /// Did it hit the behind post?
    BehindPost,
    /// Did it cross between the arcs?
    BetweenArcs,
    /// Does the competition have a last-disposal law?
    LastDisposal,
    /// Was it shepherded over?
    Shepherded,
    /// Did the player fail to show enough intent to keep it in?
    Intent,
}

impl Question {
    /// All questions, in the order in which an official can answer them.
    pub const ALL: [Self; 9] = [
        Self::Over,
        Self::Off,
        Self::Touched,
        Self::Bounced,
        Self::BetweenArcs,
        Self::BehindPost,
        Self::LastDisposal,
        Self::Shepherded,
        Self::Intent,
    ];
}

/// What is known about a ball at the line; `None` where nobody has said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Told {
    /// Is all of the ball beyond the line's outer edge?
    pub wholly_over: Option<Sure>,
    /// How it left the last player.
    pub off: Option<Off>,
    /// Did another player touch it on the way, or smother it?
    pub touched: Option<Sure>,
    /// Did it meet the ground first?
    pub bounced: Option<Sure>,
    /// Did it hit the behind post?
    pub behind_post: Option<bool>,
    /// Did it cross between the arcs?
    pub between_arcs: Option<bool>,
    /// The competition's law on the last disposal.
    pub law: Option<LastDisposal>,
    /// Did an opponent shepherd it over the line?
    pub shepherded: Option<bool>,
    /// Did the player fail to show enough intent to keep it in?
    pub insufficient_intent: Option<bool>,
}

/// The laws on the last disposal that make a difference to a call.
const LAWS: [LastDisposal; 2] = [LastDisposal::No, LastDisposal::BetweenArcs];

/// Replaces each of `all` by one copy for each value that a fact may have: its known value, or all of `open`.
fn vary<T: Copy>(all: &mut Vec<Happened>, known: Option<T>, open: &[T], set: impl Fn(&mut Happened, T)) {
    let known = known.map(|k| [k]);
    let values = known.as_ref().map_or(open, |k| k.as_slice());
    for mut h in std::mem::take(all) {
        for v in values {
            set(&mut h, *v);
            all.push(h);
        }
    }
}

impl Told {
    /// The call, if no unknown fact can change it; otherwise every question that can.
    ///
    /// # Errors
    /// The questions, in the order in which to ask them; an answer may settle later ones.
    ///
    /// # Examples
    /// ```
    /// use ovalpeg::rules::{Off, Question, Sure, Told};
    /// let none = Told { wholly_over: Some(Sure::No), behind_post: Some(false), ..Told::default() };
    /// assert_eq!(none.call().map(|row| row.id), Ok("not-over"));
    /// let kick = Told { wholly_over: Some(Sure::Yes), off: Some(Off::Kick), ..Told::default() };
    /// assert_eq!(kick.call().err().and_then(|all| all.first().copied()), Some(Question::Touched));
    /// ```
    pub fn call(&self) -> Result<&'static CallRow, Vec<Question>> {
        let rows = self.rows();
        if rows.windows(2).all(|w| w[0].id == w[1].id)
            && let Some(row) = rows.first()
        {
            return Ok(row);
        }
        let mut open: Vec<Question> = Question::ALL.into_iter().filter(|q| self.matters(*q)).collect();
        // A ball that is not over can be out only by hitting the post, so that comes first.
        if matches!(self.wholly_over, Some(Sure::No | Sure::Unsure)) {
            sort_by_key(&mut open, |q| *q != Question::BehindPost);
        }
        Err(open)
    }

    /// Does it say both that the ball hit the behind post and that it crossed between
    /// the arcs? The posts stand inside the arcs.
    #[must_use]
    pub fn contradicts_itself(&self) -> bool {
        self.behind_post == Some(true) && self.between_arcs == Some(true)
    }

    /// Calls that are still possible. Their order depends only on which
    /// facts are open, not on the known values.
    fn rows(&self) -> Vec<&'static CallRow> {
        let (sure, flag) = ([Sure::Yes, Sure::No, Sure::Unsure], [false, true]);
        let mut all = vec![Happened::default()];
        vary(&mut all, self.wholly_over, &sure, |h, v| h.wholly_over = v);
        vary(&mut all, self.off, &Off::ALL, |h, v| h.off = v);
        vary(&mut all, self.touched, &sure, |h, v| h.touched = v);
        vary(&mut all, self.bounced, &sure, |h, v| h.bounced = v);
        vary(&mut all, self.behind_post, &flag, |h, v| h.behind_post = v);
        vary(&mut all, self.between_arcs, &flag, |h, v| h.between_arcs = v);
        vary(&mut all, self.law, &LAWS, |h, v| h.law = v);
        vary(&mut all, self.shepherded, &flag, |h, v| h.shepherded = v);
        vary(&mut all, self.insufficient_intent, &flag, |h, v| h.insufficient_intent = v);
        // Both at once is impossible. The one that is unknown is reset, and the case is kept, so
        // that the number of rows stays the same.
        for h in all.iter_mut().filter(|h| h.behind_post && h.between_arcs) {
            if self.behind_post.is_none() {
                h.behind_post = false;
            } else if self.between_arcs.is_none() {
                h.between_arcs = false;
            }
        }
        all.iter().map(call).collect()
    }

    /// Is a question open, and can its answer change the call for some answers to the others?
    fn matters(&self, question: Question) -> bool {
        let sure = [Sure::Yes, Sure::No, Sure::Unsure].map(Some);
        let flag = [Some(false), Some(true)];
        let answered: Vec<Self> = match question {
            Question::Over if self.wholly_over.is_none() => {
                sure.map(|wholly_over| Self { wholly_over, ..*self }).to_vec()
            }
            Question::Off if self.off.is_none() => {
                Off::ALL.map(|off| Self { off: Some(off), ..*self }).to_vec()
            }
            Question::Touched if self.touched.is_none() => {
                sure.map(|touched| Self { touched, ..*self }).to_vec()
            }
            Question::Bounced if self.bounced.is_none() => {
                sure.map(|bounced| Self { bounced, ..*self }).to_vec()
            }
            Question::BehindPost if self.behind_post.is_none() => {
                flag.map(|behind_post| Self { behind_post, ..*self }).to_vec()
            }
            Question::BetweenArcs if self.between_arcs.is_none() => {
                flag.map(|between_arcs| Self { between_arcs, ..*self }).to_vec()
            }
            Question::LastDisposal if self.law.is_none() => {
                LAWS.map(|law| Self { law: Some(law), ..*self }).to_vec()
            }
            Question::Shepherded if self.shepherded.is_none() => {
                flag.map(|shepherded| Self { shepherded, ..*self }).to_vec()
            }
            Question::Intent if self.insufficient_intent.is_none() => {
                flag.map(|insufficient_intent| Self { insufficient_intent, ..*self }).to_vec()
            }
            _ => return false,
        };
        // The rows of each answer come in the same order, so they can be compared one by one.
        let ids = |t: &Self| t.rows().iter().map(|r| r.id).collect::<Vec<_>>();
        answered.windows(2).any(|w| ids(&w[0]) != ids(&w[1]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The questions in order, or none where there is a call.
    fn open(t: &Told) -> Vec<Question> {
        t.call().err().unwrap_or_default()
    }

    #[test]
    fn nothing_is_asked_that_can_not_change_the_call() {
        let none = Told::default();
        assert_eq!(open(&none), Question::ALL);
        for in_play in [Sure::No, Sure::Unsure] {
            let told = Told { wholly_over: Some(in_play), ..none };
            assert_eq!(open(&told)[0], Question::BehindPost);
            assert!(Told { behind_post: Some(false), ..told }.call().is_ok());
        }
        let over = Told { wholly_over: Some(Sure::Yes), ..none };
        assert_eq!(open(&over), Question::ALL[1..]);
        // A ball off the body is a throw-in whether it bounced or not, and with the same signals whether
        // another player touched it or not, unless the player did too little to keep it in.
        let body = Told { off: Some(Off::Body), behind_post: Some(false), ..over };
        let intent = [Question::Touched, Question::BetweenArcs, Question::LastDisposal, Question::Intent];
        assert_eq!(open(&body), intent);
        let body = Told { insufficient_intent: Some(false), ..body };
        assert_eq!(body.call().map(|r| r.id), Ok("out"));
        // Whether a kick-in bounced is not asked either.
        let kick_in =
            Told { off: Some(Off::KickIn), touched: Some(Sure::No), behind_post: Some(false), ..over };
        assert_eq!(kick_in.call().map(|r| r.id), Ok("kick-in"));
    }

    #[test]
    fn every_answer_that_is_missing_is_named_at_once() {
        let kick = Told {
            wholly_over: Some(Sure::Yes),
            off: Some(Off::Kick),
            behind_post: Some(false),
            insufficient_intent: Some(false),
            ..Told::default()
        };
        let all = [
            Question::Touched,
            Question::Bounced,
            Question::BetweenArcs,
            Question::LastDisposal,
            Question::Shepherded,
        ];
        assert_eq!(open(&kick), all);
        // With all of them answered there is a call.
        let told = Told {
            touched: Some(Sure::No),
            bounced: Some(Sure::Yes),
            between_arcs: Some(true),
            law: Some(LastDisposal::BetweenArcs),
            shepherded: Some(false),
            ..kick
        };
        assert_eq!(told.call().map(|r| r.id), Ok("last-disposal"));
    }

    #[test]
    fn the_behind_post_is_asked_for_only_where_it_can_be() {
        let over = Told {
            wholly_over: Some(Sure::Yes),
            off: Some(Off::Kick),
            touched: Some(Sure::No),
            bounced: Some(Sure::No),
            ..Told::default()
        };
        assert_eq!(open(&over), [Question::BetweenArcs, Question::BehindPost]);
        let between = Told { between_arcs: Some(true), ..over };
        assert_eq!(between.call().map(|r| r.id), Ok("on-the-full"));
        let inside = Told { between_arcs: Some(false), ..over };
        assert_eq!(open(&inside), [Question::BehindPost]);
        // A ball that hit the post was inside an arc.
        let hit = Told { behind_post: Some(true), ..over };
        // A ball that hit the post need not be wholly over.
        let not_over = Told { wholly_over: None, ..hit };
        assert_eq!(not_over.call().map(|r| r.id), Ok("post-on-the-full"));
        assert_eq!(hit.call().map(|r| r.id), Ok("post-on-the-full"));
        assert!(Told { between_arcs: Some(true), ..hit }.contradicts_itself());
        assert!(!hit.contradicts_itself() && !between.contradicts_itself());
    }

    #[test]
    fn answers_one_after_the_other_end_at_the_call_of_all_of_them() {
        // Second method: the call with every fact known from the start.
        let h = Happened {
            off: Off::Hand,
            between_arcs: true,
            law: LastDisposal::BetweenArcs,
            ..Happened::default()
        };
        let mut t = Told::default();
        let mut asked = Vec::new();
        let row = loop {
            assert!(asked.len() < Question::ALL.len());
            match t.call() {
                Ok(row) => break row,
                Err(all) => {
                    let q = all[0];
                    asked.push(q);
                    match q {
                        Question::Over => t.wholly_over = Some(h.wholly_over),
                        Question::Off => t.off = Some(h.off),
                        Question::Touched => t.touched = Some(h.touched),
                        Question::Bounced => t.bounced = Some(h.bounced),
                        Question::BehindPost => t.behind_post = Some(h.behind_post),
                        Question::BetweenArcs => t.between_arcs = Some(h.between_arcs),
                        Question::LastDisposal => t.law = Some(h.law),
                        Question::Shepherded => t.shepherded = Some(h.shepherded),
                        Question::Intent => t.insufficient_intent = Some(h.insufficient_intent),
                    }
                }
            }
        };
        assert_eq!(row.id, call(&h).id);
        assert_eq!(row.id, "last-disposal");
        assert!(!asked.contains(&Question::Bounced), "a handball is never on the full");
    }
}

//! Groups the tokens of a text: the end and side that it names, and its distances with the words that belong
//! to each.

use super::not_read::NotRead;
use super::token::{Token, Word};
use crate::boundary::{End, Side};
use crate::ground::NamedSpot;
use crate::units::print::fixed;
use crate::venue::{Names, Venue};

/// A distance, with the words that follow it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Measure {
    /// The distance, or where a stretch begins, m.
    pub(super) from: f64,
    /// Where a stretch ends, m; equal to `from` for a single distance.
    pub(super) to: f64,
    /// Was the unit given?
    pub(super) unit: bool,
    /// The word that says what kind of distance it is.
    pub(super) role: Option<Word>,
    /// The tokens after it, up to the next distance.
    pub(super) tail: Vec<Token>,
}

impl Measure {
    /// The distance, or the middle of a stretch, m.
    pub(super) fn value(&self) -> f64 {
        self.from + 0.5 * (self.to - self.from)
    }

    pub(super) fn is_stretch(&self) -> bool {
        self.from.to_bits() != self.to.to_bits()
    }

    pub(super) fn has(&self, word: Word) -> bool {
        self.tail.contains(&Token::Word(word))
    }

    /// Is it measured from a behind post?
    pub(super) fn has_post(&self) -> bool {
        self.tail.contains(&post())
    }

    pub(super) fn end(&self) -> Option<End> {
        self.tail.iter().find_map(|t| if let Token::End(e) = t { Some(*e) } else { None })
    }

    pub(super) fn side(&self) -> Option<Side> {
        self.tail.iter().find_map(|t| if let Token::Side(s) = t { Some(*s) } else { None })
    }
}

/// Words that say what kind of distance it is. Of several, the first in this list decides.
const ROLES: [Word; 10] = [
    Word::From,
    Word::Outside,
    Word::Inside,
    Word::Past,
    Word::GoalSide,
    Word::Along,
    Word::To,
    Word::Behind,
    Word::Off,
    Word::Out,
];

fn role(tail: &[Token]) -> Option<Word> {
    ROLES.into_iter().find(|w| tail.contains(&Token::Word(*w)))
}

/// The tokens of a text, with its distances found.
pub(super) struct Reading<'a> {
    pub(super) venue: &'a Venue,
    /// All of them.
    tokens: &'a [Token],
    /// Distances, in order.
    pub(super) measures: Vec<Measure>,
    /// The side that applies where the words name none.
    hint: Option<Side>,
}

impl<'a> Reading<'a> {
    pub(super) fn new(venue: &'a Venue, tokens: &'a [Token], hint: Option<Side>) -> Self {
        let mut measures: Vec<Measure> = Vec::new();
        for token in tokens {
            let (from, to, unit) = match *token {
                Token::Metres(v, unit) => (v, v, unit),
                Token::Stretch(from, to) => (from, to, true),
                other => {
                    if let Some(last) = measures.last_mut() {
                        last.tail.push(other);
                    }
                    continue;
                }
            };
            measures.push(Measure { from, to, unit, role: None, tail: Vec::new() });
        }
        for m in &mut measures {
            m.role = role(&m.tail);
        }
        Self { venue, tokens, measures, hint }
    }

    pub(super) fn has(&self, word: Word) -> bool {
        self.tokens.contains(&Token::Word(word))
    }

    pub(super) fn is_empty(&self) -> bool {
        self.tokens.is_empty()
    }

    /// Refuses a word that needs a distance but has none: `outside the square` is no place.
    pub(super) fn whole(&self) -> Result<(), NotRead> {
        let head = self.tokens.iter().take_while(|t| !matches!(t, Token::Metres(..) | Token::Stretch(..)));
        // `from` may also come before its number, as in `TOR flank from 78 m`.
        let follows = |w: Word| w == Word::From && self.measures.first().is_some_and(|m| m.role.is_none());
        for token in head {
            if let Token::Word(w) = token
                && !follows(*w)
                && (ROLES.contains(w) && !self.has(Word::Step) || *w == Word::Level && !self.tells_level())
            {
                return Err(NotRead::Missing(format!("'{}' what, or how far?", word_text(*w))));
            }
        }
        Ok(())
    }

    /// Does the text name something that a place can be level with?
    fn tells_level(&self) -> bool {
        self.has(Word::Arc) || self.has(Word::Zone) || self.has(Word::Own)
    }

    /// The one end that is named.
    pub(super) fn end(&self) -> Result<Option<End>, NotRead> {
        let named = |e: End| self.tokens.contains(&Token::End(e));
        match (named(End::A), named(End::B)) {
            (true, true) => Err(NotRead::Jumbled("both ends are named there".to_owned())),
            (true, false) => Ok(Some(End::A)),
            (false, true) => Ok(Some(End::B)),
            (false, false) => Ok(None),
        }
    }

    /// The one side that is named, or else the one that applies.
    pub(super) fn side(&self) -> Result<Option<Side>, NotRead> {
        Ok(self.named_side()?.or(self.hint))
    }

    /// The one side that is named.
    pub(super) fn named_side(&self) -> Result<Option<Side>, NotRead> {
        let named = |s: Side| self.tokens.contains(&Token::Side(s));
        match (named(Side::Left), named(Side::Right)) {
            (true, true) => Err(NotRead::Jumbled("both sides are named there".to_owned())),
            (true, false) => Ok(Some(Side::Left)),
            (false, true) => Ok(Some(Side::Right)),
            (false, false) => Ok(None),
        }
    }

    /// The named spots, without the post that a distance is measured from.
    pub(super) fn spots(&self) -> Vec<NamedSpot> {
        let from_post =
            self.measures.iter().any(|m| matches!(m.role, Some(Word::From | Word::Along)) && m.has_post());
        let mut out: Vec<NamedSpot> = Vec::new();
        for token in self.tokens {
            if let Token::Spot(s) = token
                && !(from_post && *s == NamedSpot::Post)
                && !out.contains(s)
            {
                out.push(*s);
            }
        }
        out
    }

    /// The one distance with any of these roles, if there is one.
    pub(super) fn one(&self, roles: &[Option<Word>]) -> Result<Option<&Measure>, NotRead> {
        let mut found = self.measures.iter().filter(|m| roles.contains(&m.role));
        let first = found.next();
        match found.next() {
            None => Ok(first),
            Some(second) => Err(NotRead::Jumbled(format!(
                "{} m and {} m are two distances of one kind",
                first.map_or_else(String::new, |m| fixed(m.value(), 1)),
                fixed(second.value(), 1)
            ))),
        }
    }

    /// Refuses any word or role of a distance that is not listed, and named spots and stretches unless
    /// `on_line`: no part of the text may be ignored silently.
    pub(super) fn only(&self, words: &[Word], roles: &[Option<Word>], on_line: bool) -> Result<(), NotRead> {
        let no_place = |what: String| Err(NotRead::Jumbled(format!("{what} does not go with the rest")));
        for token in self.tokens {
            match token {
                Token::Word(w) if !words.contains(w) => return no_place(format!("'{}'", word_text(*w))),
                Token::Spot(s) if !on_line => return no_place(format!("'{}'", s.name())),
                Token::Stretch(from, to) if !on_line => {
                    return no_place(format!("{} to {} m", fixed(*from, 1), fixed(*to, 1)));
                }
                _ => {}
            }
        }
        match self.measures.iter().find(|m| !roles.contains(&m.role)) {
            Some(m) => no_place(format!("{} m", fixed(m.value(), 1))),
            None => Ok(()),
        }
    }
}

/// A quarter of the ground, as `Silo/Road`.
pub(super) fn quarter(names: &Names, side: Side, end: End) -> String {
    format!("{}/{}", names.end(end), names.side(side))
}

fn post() -> Token {
    Token::Spot(NamedSpot::Post)
}

fn word_text(w: Word) -> String {
    match w {
        Word::GoalSide => "goal-side".to_owned(),
        Word::GoalSquare => "goal square".to_owned(),
        Word::KickOff => "kick-off".to_owned(),
        other => format!("{other:?}").to_lowercase(),
    }
}

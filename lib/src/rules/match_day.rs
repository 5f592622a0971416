//! What a pair of boundary umpires does before the match and at each break.

use super::Standing;
use super::signals::PRACTICE;

/// When something is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DayPart {
    /// Before the match.
    Before,
    /// At each break.
    Break,
}

impl DayPart {
    /// Both, in their order.
    pub const ALL: [Self; 2] = [Self::Before, Self::Break];

    /// As printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Before => "before the match",
            Self::Break => "at each break",
        }
    }
}

/// One thing to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DayItem {
    /// Short name.
    pub id: &'static str,
    /// When.
    pub part: DayPart,
    /// The word that it is listed under; several items may share one.
    pub topic: &'static str,
    /// What to do.
    pub what: &'static str,
    /// Where it comes from.
    pub source: &'static str,
    /// How sure that is.
    pub standing: Standing,
}

const fn item(id: &'static str, part: DayPart, topic: &'static str, what: &'static str) -> DayItem {
    DayItem { id, part, topic, what, source: PRACTICE, standing: Standing::CommonPractice }
}

/// All items, in order.
pub const MATCH_DAY: [DayItem; 11] = [
    item(
        "bring",
        DayPart::Before,
        "bring",
        "two whistles; the card on paper, kept dry; water; spare laces; sunscreen; what your league has you wear",
    ),
    item(
        "walk",
        DayPart::Before,
        "walk",
        "one lap together, before the warm-up: at each thing that the card names, see where it stands",
    ),
    item(
        "walk-line",
        DayPart::Before,
        "walk",
        "on the way: the line's outer edge, the room behind it, the posts, where arcs or zone lines meet the line, what to face",
    ),
    item("diagonal", DayPart::Before, "agree", "which diagonal you start on"),
    item("collects", DayPart::Before, "agree", "who collects the ball after a goal"),
    item(
        "carries",
        DayPart::Before,
        "agree",
        "who carries it to the field umpire, and on which side of the centre",
    ),
    item("ends", DayPart::Before, "agree", "which end each of you has after each break"),
    item(
        "names",
        DayPart::Before,
        "agree",
        "with the goal umpires: names, and who calls what at the behind post",
    ),
    item("sun", DayPart::Break, "sun", "where is it now, and in whose eyes will it be?"),
    item("wind", DayPart::Break, "wind", "ask your partner and the goal umpires which way it takes the ball"),
    item("swap", DayPart::Break, "ends", "swap them, as agreed"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_day_is_whole_and_claims_no_source() {
        for (i, d) in MATCH_DAY.iter().enumerate() {
            assert!(MATCH_DAY[..i].iter().all(|o| o.id != d.id), "{}", d.id);
            assert_eq!((d.source, d.standing), (PRACTICE, Standing::CommonPractice));
            assert_eq!(d.source, d.standing.text());
        }
        let topics = |part| {
            let mut all: Vec<&str> = MATCH_DAY.iter().filter(|d| d.part == part).map(|d| d.topic).collect();
            all.dedup();
            all
        };
        assert_eq!(topics(DayPart::Before), ["bring", "walk", "agree"]);
        assert_eq!(topics(DayPart::Break), ["sun", "wind", "ends"]);
        for id in ["diagonal", "collects", "carries", "ends"] {
            assert!(MATCH_DAY.iter().any(|d| d.id == id && d.topic == "agree"), "{id}");
        }
    }
}

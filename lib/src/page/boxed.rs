//! What draws the box of a character that is shown by its number.

use super::text::{BESIDE, NUMBER, WITHIN, number_of};
use super::{Item, Path, Run, Stroke, Text, Weight};

impl Text {
    /// What draws the box of a [`Run::Boxed`] of this text: a frame and the number in it. Nothing of another run.
    #[must_use]
    pub fn box_of(&self, run: &Run) -> Vec<Item> {
        let Run::Boxed { character, from_mm, width_mm } = run else { return Vec::new() };
        let ((left, y), em) = (self.left_mm(), self.size_mm());
        let (x, width) = (left + from_mm + BESIDE * em, width_mm - 2.0 * BESIDE * em);
        let top = y - (Weight::CAPITAL_EM + 0.08) * em;
        let frame = Path::rounded(x, top, width, (Weight::CAPITAL_EM + 0.16) * em, 0.1 * em);
        // The number's capitals stand in the middle of the frame's height.
        let baseline = y - 0.5 * Weight::CAPITAL_EM * (1.0 - NUMBER) * em;
        let number = number_of(*character);
        let number = Self::new(
            &number,
            (x + WITHIN * em, baseline),
            NUMBER * self.size_pt(),
            self.weight(),
            self.colour(),
        );
        let frame = Stroke::new(frame, (0.05 * em).max(0.05), self.colour());
        frame.map(Item::from).into_iter().chain(number.map(Item::from)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::Colour;

    #[test]
    fn a_box_frames_its_number_within_its_place() {
        let t = Text::new("中 silo", (10.0, 20.0), 10.0, Weight::Regular, Colour::BLACK).unwrap();
        let Run::Boxed { width_mm, .. } = &t.runs()[0] else { panic!("{t:?}") };
        let drawn = t.box_of(&t.runs()[0]);
        let [Item::Stroke(frame), Item::Text(number)] = &drawn[..] else { panic!("{drawn:?}") };
        assert_eq!(number.shown(), "U+4E2D");
        let [l, _, r, _] = frame.path().bounds_mm().unwrap();
        assert!(l > 10.0 && r < 10.0 + width_mm && number.filled().left > l && number.filled().right < r);
        assert!(t.box_of(&t.runs()[1]).is_empty());
    }
}

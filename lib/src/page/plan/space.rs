//! What is taken on the page: where no label may lie.

use crate::page::TextBox;

/// A place on the page, mm.
pub(super) type Place = (f64, f64);

/// What labels keep clear of. Lines are found by the cells of a grid that they run through.
#[derive(Debug, Clone, Default)]
pub(super) struct Space {
    /// Lines that no label may lie on, and whether a leader may cross them.
    lines: Vec<(Place, Place, bool)>,
    /// For each cell the lines that may run through it.
    cells: Vec<Vec<usize>>,
    /// Rectangles that no label may meet: labels and marks.
    boxes: Vec<TextBox>,
}

/// A cell's side, mm, and so many cells across and down: what lies beyond belongs to the outermost.
const CELL: f64 = 8.0;
const ACROSS: usize = 48;

fn cell(mm: f64) -> usize {
    // Held to the grid, so the cast is exact; no number at all is the first cell.
    (mm / CELL).floor().clamp(0.0, (ACROSS - 1) as f64) as usize
}

/// The cells that a rectangle reaches into.
fn cells_of(left: f64, top: f64, right: f64, bottom: f64) -> impl Iterator<Item = usize> {
    (cell(top)..=cell(bottom)).flat_map(move |y| (cell(left)..=cell(right)).map(move |x| y * ACROSS + x))
}

impl Space {
    fn take(&mut self, places: &[Place], crossable: bool) {
        self.cells.resize(ACROSS * ACROSS, Vec::new());
        for w in places.windows(2) {
            let (a, z) = (w[0], w[1]);
            for c in cells_of(a.0.min(z.0), a.1.min(z.1), a.0.max(z.0), a.1.max(z.1)) {
                self.cells[c].push(self.lines.len());
            }
            self.lines.push((a, z, crossable));
        }
    }

    /// Takes a polyline.
    pub(super) fn take_line(&mut self, places: &[Place]) {
        self.take(places, false);
    }

    /// Takes a polyline that leaders may cross.
    pub(super) fn take_fence(&mut self, places: &[Place]) {
        self.take(places, true);
    }

    /// Takes a rectangle.
    pub(super) fn take_box(&mut self, taken: TextBox) {
        self.boxes.push(taken);
    }

    /// Takes a round mark.
    pub(super) fn take_round(&mut self, (x, y): Place, radius: f64) {
        self.boxes.push(TextBox { left: x - radius, top: y - radius, right: x + radius, bottom: y + radius });
    }

    /// Is a rectangle clear of everything?
    pub(super) fn is_free(&self, wanted: &TextBox) -> bool {
        self.is_clear(wanted, true)
    }

    /// Is a rectangle clear of everything but lines that leaders may cross?
    pub(super) fn is_free_but_for_fences(&self, wanted: &TextBox) -> bool {
        self.is_clear(wanted, false)
    }

    fn is_clear(&self, wanted: &TextBox, of_fences: bool) -> bool {
        let crossed = |c: usize| {
            let here = self.cells.get(c).map_or(&[][..], Vec::as_slice);
            here.iter().any(|&i| {
                let (a, z, crossable) = self.lines[i];
                (of_fences || !crossable) && crosses_box(a, z, wanted)
            })
        };
        !self.boxes.iter().any(|b| b.meets(wanted))
            && !cells_of(wanted.left, wanted.top, wanted.right, wanted.bottom).any(crossed)
    }

    /// Does a segment cross a taken line that is not to be crossed?
    pub(super) fn crosses_line(&self, a: Place, z: Place) -> bool {
        self.lines.iter().any(|line| !line.2 && cross((line.0, line.1), (a, z)))
    }

    /// Does a segment run through a taken rectangle?
    pub(super) fn meets_box(&self, a: Place, z: Place) -> bool {
        self.boxes.iter().any(|b| crosses_box(a, z, b))
    }
}

/// Do two segments cross, or touch inside each other?
pub(super) fn cross(a: (Place, Place), b: (Place, Place)) -> bool {
    let turn = |p: Place, q: Place, r: Place| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    let (d1, d2) = (turn(a.0, a.1, b.0), turn(a.0, a.1, b.1));
    let (d3, d4) = (turn(b.0, b.1, a.0), turn(b.0, b.1, a.1));
    d1 * d2 < 0.0 && d3 * d4 < 0.0
}

/// Does any part of a segment lie in a rectangle?
pub(super) fn crosses_box(a: Place, z: Place, b: &TextBox) -> bool {
    // What of the segment, as parts of it, lies between the rectangle's left and right and its top and bottom.
    let (mut from, mut to) = (0.0f64, 1.0f64);
    for (start, step, lo, hi) in [(a.0, z.0 - a.0, b.left, b.right), (a.1, z.1 - a.1, b.top, b.bottom)] {
        if step.abs() < 1e-12 {
            if start <= lo || start >= hi {
                return false;
            }
            continue;
        }
        let (t, u) = ((lo - start) / step, (hi - start) / step);
        from = from.max(t.min(u));
        to = to.min(t.max(u));
    }
    from < to
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOX: TextBox = TextBox { left: 1.0, top: 1.0, right: 3.0, bottom: 2.0 };

    #[test]
    fn a_segment_meets_a_box_where_any_of_it_lies_inside() {
        for (a, z, want) in [
            ((0.0, 1.5), (4.0, 1.5), true),
            ((2.0, 0.0), (2.0, 4.0), true),
            ((1.5, 1.2), (2.5, 1.8), true),
            ((0.0, 0.0), (0.9, 4.0), false),
            ((0.0, 2.5), (4.0, 2.5), false),
            ((0.0, 1.9), (1.5, 3.5), false),
            ((0.0, 1.0), (4.0, 1.0), false),
        ] {
            assert_eq!(crosses_box(a, z, &BOX), want, "{a:?} {z:?}");
        }
    }

    #[test]
    fn segments_cross_where_each_parts_the_others_ends() {
        let s = ((0.0, 0.0), (2.0, 2.0));
        assert!(cross(s, ((0.0, 2.0), (2.0, 0.0))));
        assert!(!cross(s, ((0.0, 2.0), (0.9, 1.1))));
        // From one and the same port they don't cross.
        assert!(!cross(s, ((0.0, 0.0), (2.0, 0.0))));
    }

    #[test]
    fn space_that_is_taken_is_not_free() {
        let mut space = Space::default();
        assert!(space.is_free(&BOX));
        space.take_line(&[(0.0, 5.0), (2.0, 1.5), (5.0, 5.0)]);
        let corner = TextBox { left: 1.0, top: 1.0, right: 1.5, bottom: 1.4 };
        assert!(!space.is_free(&BOX) && space.is_free(&corner));
        // A fence keeps labels off, and not leaders.
        let mut space = Space::default();
        space.take_fence(&[(0.0, 1.5), (5.0, 1.5)]);
        assert!(!space.is_free(&BOX) && space.is_free_but_for_fences(&BOX));
        assert!(!space.crosses_line((2.0, 0.0), (2.0, 4.0)));
        let mut space = Space::default();
        space.take_round((0.5, 1.5), 0.6);
        assert!(!space.is_free(&BOX) && space.meets_box((0.5, 0.0), (0.5, 4.0)));
    }
}

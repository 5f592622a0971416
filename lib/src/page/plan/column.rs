//! Labels in a column beside the ground, each led to its place: heights by isotonic regression, leaders that don't
//! cross, and then each label slid along its leader toward the ground as far as there is room.
//!
//! That labels in a column beside a figure can be led without crossings is boundary labelling (M. Bekos, M.
//! Kaufmann, A. Symvonis and A. Wolff, Computational Geometry 36, 2007, 215-236). A leader here is straight from the
//! label's inner edge to its port, so that a label slid along it leaves what is left of it where it was.

use super::space::{Place, Space, cross, crosses_box};
use crate::numeric::sort_by;
use crate::page::TextBox;

/// A label to be placed.
#[derive(Debug, Clone)]
pub(super) struct Row {
    /// From what is labelled to where its leader begins: drawn already, and taken.
    pub(super) stem: Vec<Place>,
    /// How large the label is, mm.
    pub(super) size: (f64, f64),
    /// Of two whose leaders cross the one with more of this gives way; nought never does.
    pub(super) rank: usize,
}

/// Why rows have no places in a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoPlace {
    /// A label would lie on something, or a leader run through a label: the ground is too large for its page.
    TooLarge,
    /// This row's leader crosses another's, however they are ordered.
    Crosses(usize),
}

/// A placed label.
#[derive(Debug, Clone)]
pub(super) struct Placed {
    /// Its rectangle.
    pub(super) place: TextBox,
    /// Its leader, from the port to the label's inner edge; nothing where it lies beside it.
    pub(super) leader: Option<(Place, Place)>,
}

/// A column on one side of the ground.
#[derive(Debug, Clone, Copy)]
pub(super) struct Column {
    /// Its inner edge, mm from the page's left.
    pub(super) inner: f64,
    /// Its outer edge, which no label leaves.
    pub(super) outer: f64,
    /// +1 where it lies to the right of the ground, −1 to the left.
    pub(super) way: f64,
    /// From here down, mm.
    pub(super) top: f64,
    /// To here.
    pub(super) bottom: f64,
}

/// Free between two labels, mm.
const APART: f64 = 0.7;
/// Free between a label and its port or anything else, mm.
const CLEAR: f64 = 1.1;
/// Rounds of swapping rows, and as many more.
const ROUNDS: usize = 24;
/// A label slides by so much at a time, mm.
const STEP: f64 = 0.7;

impl Row {
    fn port(&self) -> Place {
        self.stem.last().copied().unwrap_or((0.0, 0.0))
    }
}

/// How high rows of these heights are together, mm.
pub(super) fn height_of(rows: &[Row]) -> f64 {
    rows.iter().map(|r| r.size.1 + APART).sum()
}

/// Places rows in their column, in the order given to those that come out; `edge` is the ground's own line.
///
/// # Errors
/// [`NoPlace`]; with `at_last` a ground that is too large is left as it is.
pub(super) fn place(
    column: Column,
    rows: &[Row],
    edge: &[Place],
    space: &mut Space,
    at_last: bool,
) -> Result<Vec<Placed>, NoPlace> {
    let centre = middle(edge);
    let mut order: Vec<usize> = (0..rows.len()).collect();
    // From the top on down this side: by the angle at the ground's middle.
    let angle = |i: usize| {
        let (x, y) = rows[i].port();
        ((x - centre.0) * column.way).atan2(centre.1 - y)
    };
    sort_by(&mut order, |&i, &j| angle(i).total_cmp(&angle(j)));
    let mut wish: Vec<f64> = rows.iter().map(|r| r.port().1).collect();
    let mut heights = level(column, rows, &order, &wish);
    for round in 0..2 * ROUNDS {
        // At last leaders alone: what keeps off a stem may come back to cross a leader for ever.
        let swapped = uncross(column, rows, &mut order, &heights, round < ROUNDS);
        let raised = clear_of_edge(column, rows, edge, centre, &heights, &mut wish);
        if !swapped && !raised {
            break;
        }
        heights = level(column, rows, &order, &wish);
    }
    if let Some(row) = crossing(column, rows, &heights) {
        return Err(NoPlace::Crosses(row));
    }
    if !at_last && !is_sound(column, rows, &heights, space) {
        return Err(NoPlace::TooLarge);
    }
    Ok(slide(column, rows, &order, &heights, space))
}

/// The row of the highest rank among those whose leaders cross another's leader or stem.
fn crossing(column: Column, rows: &[Row], heights: &[f64]) -> Option<usize> {
    let leaders: Vec<(Place, Place)> =
        (0..rows.len()).map(|i| leader_of(column, &rows[i], heights[i])).collect();
    let over_stem = |i: usize, j: usize| rows[j].stem.windows(2).any(|w| cross((w[0], w[1]), leaders[i]));
    let crosses =
        |i: usize| (0..rows.len()).any(|j| j != i && (cross(leaders[i], leaders[j]) || over_stem(i, j)));
    (0..rows.len()).filter(|&i| rows[i].rank > 0 && crosses(i)).max_by_key(|&i| rows[i].rank)
}

/// Do labels in their column lie on nothing, and do no leaders run through them?
fn is_sound(column: Column, rows: &[Row], heights: &[f64], space: &Space) -> bool {
    let place = |i: usize| at(column, rows[i].size, inner_of(column, rows[i].size.0), heights[i]);
    (0..rows.len()).all(|i| {
        let mine = place(i);
        let others = |j: usize| {
            j != i && {
                let (a, z) = leader_of(column, &rows[j], heights[j]);
                crosses_box(a, z, &mine)
            }
        };
        let leader = leader_of(column, &rows[i], heights[i]);
        mine.top >= column.top - 1e-9
            && mine.bottom <= column.bottom + 1e-9
            && space.is_free(&mine)
            && !(0..rows.len()).any(others)
            && !space.crosses_line(leader.0, leader.1)
    })
}

/// Where the inner edge of a label so wide is: at the column's, or as far in as the label needs.
fn inner_of(column: Column, width: f64) -> f64 {
    if column.way > 0.0 {
        column.inner.min(column.outer - width)
    } else {
        column.inner.max(column.outer + width)
    }
}

fn middle(edge: &[Place]) -> Place {
    let n = edge.len().max(1) as f64;
    let sum = edge.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
    (sum.0 / n, sum.1 / n)
}

/// The middle of each row's height, as near to its wish as the rows above and below allow: least squares by
/// pooling adjacent violators.
fn level(column: Column, rows: &[Row], order: &[usize], wish: &[f64]) -> Vec<f64> {
    // Without the rows' own heights the order is all that binds.
    let mut offset = 0.0;
    let mut offsets = Vec::with_capacity(order.len());
    for &i in order {
        let h = rows[i].size.1 + APART;
        offsets.push(offset + 0.5 * h);
        offset += h;
    }
    let (lo, hi) = (column.top, column.bottom - offset);
    // Pools: sum and count.
    let mut pools: Vec<(f64, f64)> = Vec::new();
    for (k, &i) in order.iter().enumerate() {
        let mut pool = (wish[i] - offsets[k], 1.0);
        while let Some(&(sum, n)) = pools.last() {
            if sum / n <= pool.0 / pool.1 {
                break;
            }
            pools.pop();
            pool = (pool.0 + sum, pool.1 + n);
        }
        pools.push(pool);
    }
    let mut out = vec![0.0; rows.len()];
    let mut k = 0;
    for (sum, n) in pools {
        let z = (sum / n).min(hi).max(lo);
        // As many as were pooled, so the cast is exact.
        for _ in 0..n as usize {
            out[order[k]] = z + offsets[k];
            k += 1;
        }
    }
    out
}

fn leader_of(column: Column, row: &Row, height: f64) -> (Place, Place) {
    (row.port(), (inner_of(column, row.size.0), height))
}

/// Swaps neighbours whose leaders cross, or where one crosses the other's stem. Was any swapped?
fn uncross(column: Column, rows: &[Row], order: &mut [usize], heights: &[f64], off_stems: bool) -> bool {
    let mut any = false;
    for k in 1..order.len() {
        let (i, j) = (order[k - 1], order[k]);
        let (a, b) = (leader_of(column, &rows[i], heights[i]), leader_of(column, &rows[j], heights[j]));
        let stems = |row: &Row, leader| row.stem.windows(2).any(|w| cross((w[0], w[1]), leader));
        if cross(a, b) || off_stems && stems(&rows[i], b) && !stems(&rows[j], a) && !any {
            order.swap(k - 1, k);
            any = true;
        }
    }
    any
}

/// Wishes labels whose leaders would run over the ground nearer to the end. Was any?
fn clear_of_edge(
    column: Column,
    rows: &[Row],
    edge: &[Place],
    centre: Place,
    heights: &[f64],
    wish: &mut [f64],
) -> bool {
    let mut any = false;
    for (i, row) in rows.iter().enumerate() {
        let leader = leader_of(column, row, heights[i]);
        if edge.windows(2).any(|w| cross((w[0], w[1]), leader)) {
            wish[i] += if row.port().1 < centre.1 { -2.5 } else { 2.5 };
            any = true;
        }
    }
    any
}

/// The label's rectangle where its inner edge is here and its middle so high.
fn at(column: Column, size: (f64, f64), inner: f64, height: f64) -> TextBox {
    let outer = inner + column.way * size.0;
    TextBox {
        left: inner.min(outer),
        top: height - 0.5 * size.1,
        right: inner.max(outer),
        bottom: height + 0.5 * size.1,
    }
}

/// Slides each label along its leader toward its port as far as nothing else is there.
fn slide(column: Column, rows: &[Row], order: &[usize], heights: &[f64], space: &mut Space) -> Vec<Placed> {
    let mut boxes: Vec<TextBox> = (0..rows.len())
        .map(|i| at(column, rows[i].size, inner_of(column, rows[i].size.0), heights[i]))
        .collect();
    let mut leaders: Vec<(Place, Place)> =
        rows.iter().enumerate().map(|(i, r)| leader_of(column, r, heights[i])).collect();
    // Twice: what was in the way the first time may have slid on.
    for _ in 0..2 {
        for &i in order {
            let (port, size) = (rows[i].port(), rows[i].size);
            let (from, to) = (leaders[i].0, leaders[i].1);
            let length = (to.0 - from.0).hypot(to.1 - from.1);
            // A page is less than 2 m wide, so the cast is exact.
            let steps = (length / STEP).floor().clamp(0.0, 2000.0) as u32;
            for k in 0..steps {
                let t = (CLEAR + f64::from(k) * STEP).min(length) / length;
                let inner = (port.0 + t * (to.0 - port.0), port.1 + t * (to.1 - port.1));
                if (inner.0 - to.0) * column.way > 0.0 {
                    break;
                }
                let wanted = at(column, size, inner.0, inner.1);
                let grown = wanted.grown(0.5 * CLEAR);
                let others = (0..rows.len()).filter(|&j| j != i);
                let clear = space.is_free(&grown)
                    && wanted.top >= column.top
                    && wanted.bottom <= column.bottom
                    && others.clone().all(|j| !boxes[j].meets(&grown))
                    && others.clone().all(|j| !crosses_box(leaders[j].0, leaders[j].1, &grown));
                if clear {
                    boxes[i] = wanted;
                    leaders[i].1 = inner;
                    break;
                }
            }
        }
    }
    let placed: Vec<Placed> = (0..rows.len())
        .map(|i| {
            let (a, z) = leaders[i];
            let long = (a.0 - z.0).hypot(a.1 - z.1) > 1.6;
            Placed { place: boxes[i], leader: long.then_some((a, z)) }
        })
        .collect();
    for p in &placed {
        space.take_box(p.place);
        if let Some((a, z)) = p.leader {
            space.take_line(&[a, z]);
        }
    }
    placed
}

#[cfg(test)]
mod tests {
    use super::*;

    const COLUMN: Column = Column { inner: 60.0, outer: 90.0, way: 1.0, top: 0.0, bottom: 100.0 };

    fn row(x: f64, y: f64) -> Row {
        Row { stem: vec![(x - 2.0, y), (x, y)], size: (10.0, 4.0), rank: 1 }
    }

    /// A tall square ground left of the column.
    fn edge() -> Vec<Place> {
        vec![(0.0, 10.0), (40.0, 10.0), (40.0, 90.0), (0.0, 90.0), (0.0, 10.0)]
    }

    #[test]
    fn crowded_rows_keep_their_order_and_stay_apart() {
        let rows: Vec<Row> = (0..12).map(|i| row(44.0, 50.0 + 0.5 * f64::from(i))).collect();
        let mut space = Space::default();
        space.take_line(&edge());
        let placed = place(COLUMN, &rows, &edge(), &mut space, false).unwrap();
        for (i, a) in placed.iter().enumerate() {
            assert!(a.place.top >= 0.0 && a.place.bottom <= 100.0);
            for b in &placed[i + 1..] {
                assert!(!a.place.meets(&b.place) && a.place.top < b.place.top, "{a:?} {b:?}");
            }
        }
        // Least squares: as far above the first's port as below the last's.
        let mid = |p: &Placed| 0.5 * (p.place.top + p.place.bottom);
        let (first, last) = (mid(&placed[0]), mid(&placed[11]));
        assert!((first + last - 50.0 - 55.5).abs() < 6.0, "{first} {last}");
    }

    #[test]
    fn a_lone_row_slides_to_its_port() {
        let mut space = Space::default();
        space.take_line(&edge());
        let placed = place(COLUMN, &[row(44.0, 30.0)], &edge(), &mut space, false).unwrap();
        assert!(placed[0].place.left < 46.0 && placed[0].leader.is_none(), "{placed:?}");
        // What stands there keeps it off.
        let mut space = Space::default();
        space.take_line(&edge());
        space.take_round((50.0, 30.0), 2.0);
        let placed = place(COLUMN, &[row(44.0, 30.0)], &edge(), &mut space, false).unwrap();
        assert!(placed[0].place.left >= 52.0 && placed[0].leader.is_some(), "{placed:?}");
    }

    #[test]
    fn leaders_of_things_out_of_order_are_uncrossed() {
        // The farther one stands higher on the page but comes later by its angle.
        let rows = [row(42.0, 40.0), row(56.0, 44.0), row(45.0, 46.0)];
        let mut space = Space::default();
        let placed = place(COLUMN, &rows, &edge(), &mut space, false).unwrap();
        let leaders: Vec<_> = placed.iter().filter_map(|p| p.leader).collect();
        for (i, a) in leaders.iter().enumerate() {
            assert!(leaders[i + 1..].iter().all(|b| !cross(*a, *b)), "{leaders:?}");
        }
    }

    #[test]
    fn of_two_that_can_not_be_uncrossed_the_less_important_gives_way() {
        // Pairs whose order on the line and in the column can't be one: the column is too short for the swap.
        let heights = [20.0, 24.0];
        let rows = [
            Row { stem: vec![(40.0, 24.0)], size: (10.0, 4.0), rank: 0 },
            Row { stem: vec![(40.0, 20.0)], size: (10.0, 4.0), rank: 3 },
        ];
        assert_eq!(crossing(COLUMN, &rows, &heights), Some(1));
        assert_eq!(crossing(COLUMN, &rows, &[24.0, 20.0]), None);
        let spots = rows.map(|r| Row { rank: 0, ..r });
        assert_eq!(crossing(COLUMN, &spots, &heights), None);
    }

    #[test]
    fn on_the_left_all_is_mirrored() {
        let column = Column { inner: 40.0, outer: 10.0, way: -1.0, top: 0.0, bottom: 100.0 };
        let mirrored: Vec<Place> = edge().iter().map(|p| (100.0 - p.0, p.1)).collect();
        let rows = [Row { stem: vec![(60.0, 30.0), (56.0, 30.0)], size: (10.0, 4.0), rank: 0 }];
        let placed = place(column, &rows, &mirrored, &mut Space::default(), false).unwrap();
        assert!(placed[0].place.right > 54.0 && placed[0].place.right < 56.0, "{placed:?}");
    }
}

//! The checks before any adjustment: impossible readings, marks that no measure reaches,
//! marks on a single tie, and parts that no measure joins.

use std::collections::BTreeSet;

use super::equations::{Kind, Model};
use super::error::NetworkError;
use super::words;
use crate::survey::{Measure, Notebook, Quantity};

/// Coordinates and readings above this are impossible, m: the earth's circumference.
const FARTHEST_M: f64 = 4e7;

/// Checks that every value is a number in its range, and that every index has its mark or tape.
pub(super) fn values(book: &Notebook) -> Result<(), NetworkError> {
    let wrong = |place: &str, what: String| Err(NetworkError::Wrong { place: place.to_owned(), what });
    let fit = |v: f64| v.is_finite() && v.abs() <= FARTHEST_M;
    for m in &book.marks {
        if m.at.is_some_and(|p| !fit(p.x) || !fit(p.y)) {
            return wrong(&m.place, format!("a coordinate of {} is not a length on the earth", m.name));
        }
        if m.at_sd_m.is_some_and(|sd| !fit(sd) || sd < 0.0) {
            return wrong(
                &m.place,
                format!("the standard deviation of {} is not a length: 0 holds it fixed", m.name),
            );
        }
    }
    for t in &book.tapes {
        // No tape is wrong by a tenth.
        if !(0.0..=0.1).contains(&t.scale_sd) {
            return wrong(
                &t.place,
                format!(
                    "the scale error of {} is not a ratio between 0 and 0.1: 1 mm in 10 m is 0.0001",
                    t.name
                ),
            );
        }
    }
    let mut any = false;
    for m in &book.measures {
        any |= measure(book, m)?;
    }
    for h in &book.hands {
        if h.mark >= book.marks.len() || h.of.iter().any(|&m| m >= book.marks.len()) {
            return wrong("side", "a side names a mark that the notebook does not have".to_owned());
        }
        if h.of[0] == h.of[1] || h.of.contains(&h.mark) {
            return wrong(
                &book.marks[h.mark].place,
                format!(
                    "the side of {} needs a line from one mark to another, and neither itself",
                    words::name(book, h.mark)
                ),
            );
        }
    }
    if any { Ok(()) } else { Err(NetworkError::Empty) }
}

/// Checks a measure; returns whether it is between marks.
fn measure(book: &Notebook, m: &Measure) -> Result<bool, NetworkError> {
    let wrong = |what: String| Err(NetworkError::Wrong { place: m.place.clone(), what });
    let (marks, is_tie) = match m.quantity {
        Quantity::Distance { from, to } => (vec![from, to], true),
        Quantity::Chainage { base, mark } | Quantity::Offset { base, mark } => {
            (vec![base[0], base[1], mark], false)
        }
        Quantity::GoalToGoal | Quantity::WingToWing => return Ok(false),
    };
    if marks.iter().any(|&i| i >= book.marks.len()) {
        return wrong("the measure names a mark that the notebook does not have".to_owned());
    }
    if m.tape.is_some_and(|t| t >= book.tapes.len()) {
        return wrong("the measure names a tape that the notebook does not have".to_owned());
    }
    if !m.value_m.is_finite() || m.value_m.abs() > FARTHEST_M {
        return wrong("the reading is not a length on the earth".to_owned());
    }
    if !m.sd_m.is_finite() || m.sd_m <= 0.0 {
        return wrong("the standard deviation of the reading is not more than nought".to_owned());
    }
    let name = |i: usize| words::name(book, i);
    if marks[0] == marks[1] {
        return wrong(if is_tie {
            format!("a tie from {0} to {0} itself: is one of the names wrong?", name(marks[0]))
        } else {
            format!("a base line from {0} to {0} itself: is one of the names wrong?", name(marks[0]))
        });
    }
    if is_tie && m.value_m <= 0.0 {
        return wrong(format!(
            "the tie from {} to {} is {} m long, and a length is more than nought",
            name(marks[0]),
            name(marks[1]),
            crate::units::print::fixed(m.value_m, 2)
        ));
    }
    if !is_tie && (marks[2] == marks[0] || (marks[2] == marks[1] && is_offset(m))) {
        return wrong(format!(
            "{} is an end of that base line, where the measure is nought by itself: is the name wrong?",
            name(marks[2])
        ));
    }
    if !is_tie && marks[2] == marks[1] && m.value_m <= 0.0 {
        return wrong(format!("the far end of a base line, {}, is ahead of its start", name(marks[2])));
    }
    Ok(true)
}

fn is_offset(m: &Measure) -> bool {
    matches!(m.quantity, Quantity::Offset { .. })
}

/// A key of what a measure determines: two measures with the same key, such as a tie taped twice, count once.
fn holds(kind: Kind) -> (u8, [usize; 3]) {
    match kind {
        Kind::Distance(a, b) | Kind::Chainage([a, b], _) if is_length(kind) => (0, [a.min(b), a.max(b), 0]),
        Kind::Distance(a, b) => (0, [a.min(b), a.max(b), 0]),
        Kind::Chainage([a, b], p) => (1, [a.min(b), a.max(b), p]),
        Kind::Offset([a, b], p) => (2, [a.min(b), a.max(b), p]),
        Kind::X(m) => (3, [m, 0, 0]),
        Kind::Y(m) => (4, [m, 0, 0]),
        Kind::Scale(t) => (5, [t, 0, 0]),
    }
}

/// If a mark is only the far end of a base line whose length was not measured: the base line's near end. Such
/// a mark can slide along the base line without changing any chainage or offset.
fn open_base(model: &Model, mark: usize) -> Option<usize> {
    let mut near = None;
    for &i in &model.touching[mark] {
        match model.obs[i].kind {
            Kind::Chainage([a, b], p) | Kind::Offset([a, b], p)
                if b == mark && p != mark && near.is_none_or(|n| n == a) =>
            {
                near = Some(a);
            }
            _ => return None,
        }
    }
    near
}

/// Is it the chainage of a base line's far end, and so the length of the base line?
fn is_length(kind: Kind) -> bool {
    matches!(kind, Kind::Chainage([_, b], p) if b == p)
}

/// Checks that every mark has at least two independent measures, and that all marks are joined.
pub(super) fn reach(book: &Notebook, model: &Model) -> Result<(), NetworkError> {
    let n = model.marks();
    let anchors = (0..n).filter(|&m| model.anchored(m)).count();
    let mut loose: Vec<NetworkError> = Vec::new();
    for m in (0..n).filter(|&m| !model.anchored(m)) {
        let held: BTreeSet<_> = model.touching[m].iter().map(|&i| holds(model.obs[i].kind)).collect();
        let (mark, place) = (words::name(book, m), book.marks[m].place.clone());
        match held.len() {
            0 => loose.push(NetworkError::Unreached { mark, place, meant: words::meant(book, m) }),
            // Two marks and a tie between them are a complete network, unless both are held already.
            1 if !(n == 2 && anchors < 2) => {
                let from = words::reading(book, model.obs[model.touching[m][0]].what);
                loose.push(NetworkError::OneTie { mark, place, meant: words::meant(book, m), from });
            }
            _ => {
                if let Some(from) = open_base(model, m) {
                    loose.push(NetworkError::OpenBase { mark, place, from: words::name(book, from) });
                }
            }
        }
    }
    match loose.len() {
        0 => {}
        1 => return Err(loose.remove(0)),
        _ => return Err(NetworkError::Several(loose)),
    }
    let parts = parts(model, &[]);
    let Some(smallest) = parts.iter().skip(1).fold(parts.first(), |best, p| match best {
        Some(b) if b.len() <= p.len() => Some(b),
        _ => Some(p),
    }) else {
        return Ok(());
    };
    if parts.len() > 1 {
        // Of two parts of equal size the later is named: the earlier is more likely the main part.
        let part = parts.iter().rfind(|p| p.len() == smallest.len()).unwrap_or(smallest);
        let meant = part.iter().find_map(|&m| {
            // A slip for a name within the same part would not separate it.
            let other = words::alike(book, m).into_iter().find(|o| !part.contains(o))?;
            Some([m, other].map(|m| words::name(book, m)))
        });
        return Err(NetworkError::Apart {
            marks: part.iter().map(|&m| words::name(book, m)).collect(),
            place: part.first().map_or_else(String::new, |&m| book.marks[m].place.clone()),
            meant,
        });
    }
    Ok(())
}

/// The connected parts of the network when some marks are taken out. Marks that are fixed or observed
/// count as joined through the plane. Parts and their marks are in the notebook's order.
pub(super) fn parts(model: &Model, without: &[usize]) -> Vec<Vec<usize>> {
    let n = model.marks();
    // The plane is an extra node, number n.
    let mut part = vec![usize::MAX; n + 1];
    let mut list: Vec<Vec<usize>> = Vec::new();
    for first in (0..n).filter(|m| !without.contains(m)) {
        if part[first] != usize::MAX {
            continue;
        }
        let id = list.len();
        let (mut stack, mut members) = (vec![first], Vec::new());
        part[first] = id;
        // Every mark is pushed once.
        while let Some(m) = stack.pop() {
            let mut visit = |next: usize, stack: &mut Vec<usize>| {
                if part[next] == usize::MAX && !without.contains(&next) {
                    part[next] = id;
                    stack.push(next);
                }
            };
            if m == n {
                (0..n).filter(|&a| model.anchored(a)).for_each(|a| visit(a, &mut stack));
                continue;
            }
            members.push(m);
            if model.anchored(m) {
                visit(n, &mut stack);
            }
            for &i in &model.touching[m] {
                model.obs[i].marks().for_each(|other| visit(other, &mut stack));
            }
        }
        members.sort_unstable();
        list.push(members);
    }
    list
}

#[cfg(test)]
mod tests {
    use super::super::support::{book, chainage, distance, offset, place, ties};
    use super::*;

    const AT: [[f64; 2]; 4] = [[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0]];

    fn fails(b: &Notebook, want: &str) {
        let e = values(b).and_then(|()| reach(b, &Model::new(b, &[]))).unwrap_err();
        assert!(e.to_string().contains(want), "{e}");
    }

    #[test]
    fn readings_that_can_not_be() {
        for (value, want) in
            [(0.0, "more than nought"), (-3.0, "more than nought"), (f64::NAN, "not a length")]
        {
            let mut b = book(2);
            b.measures.push(distance(0, 1, value));
            fails(&b, want);
            fails(&b, "line 9");
        }
        let mut b = book(3);
        b.measures = vec![distance(1, 1, 3.0)];
        fails(&b, "from m1 to m1 itself");
        b.measures = vec![offset([1, 1], 2, 3.0)];
        fails(&b, "base line from m1 to m1");
        b.measures = vec![offset([0, 1], 1, 3.0)];
        fails(&b, "an end of that base line");
        b.measures = vec![chainage([0, 1], 1, -3.0)];
        fails(&b, "ahead of its start");
        b.measures = vec![distance(0, 7, 3.0)];
        fails(&b, "does not have");
        b.measures = vec![];
        fails(&b, "no measure between marks");
        b.measures = vec![distance(0, 1, 3.0)];
        b.measures[0].sd_m = 0.0;
        fails(&b, "standard deviation");
        place(&mut b, 0, [f64::INFINITY, 0.0], None);
        fails(&b, "coordinate of m0");
    }

    #[test]
    fn marks_that_hang() {
        let mut b = book(5);
        ties(&mut b, &AT, &[(0, 1), (1, 2), (2, 3), (3, 0), (0, 2)]);
        fails(&b, "line 4: no measure reaches m4");
        b.measures.push(distance(1, 4, 12.5));
        b.measures.push(distance(4, 1, 12.52));
        fails(&b, "the 12.50 m from m1 to m4 alone reaches it");
    }

    #[test]
    fn all_marks_that_hang_are_named_at_once() {
        let mut b = book(8);
        ties(&mut b, &AT, &[(0, 1), (1, 2), (2, 3), (3, 0), (0, 2)]);
        b.measures.push(distance(1, 5, 12.5));
        for mark in [6, 2] {
            b.measures.push(chainage([0, 7], mark, 10.0));
            b.measures.push(offset([0, 7], mark, 5.0));
        }
        fails(
            &b,
            "3 marks hang loose: no measure reaches m4 (line 4); a single measure reaches m5 (line 5); nothing says how long the base line is from m0 to m7 (line 7). Tie each",
        );
        b.measures.push(distance(0, 7, 50.0));
        fails(&b, "2 marks hang loose");
    }

    #[test]
    fn a_base_line_that_nobody_measured_is_asked_for() {
        let mut b = book(4);
        for mark in [2, 3] {
            b.measures.push(chainage([0, 1], mark, 10.0));
            b.measures.push(offset([0, 1], mark, 5.0));
        }
        fails(
            &b,
            "line 1: m1 hangs loose: nothing says how far it is from m0. Measure the base line, and write m0 to m1: 160.00",
        );
        b.measures.push(distance(0, 1, 50.0));
        assert!(reach(&b, &Model::new(&b, &[])).is_ok());
    }

    #[test]
    fn parts_that_nothing_joins() {
        let mut b = book(7);
        ties(&mut b, &AT, &[(0, 1), (1, 2), (2, 3), (3, 0), (0, 2)]);
        b.measures.extend([distance(4, 5, 10.0), distance(5, 6, 10.0), distance(4, 6, 10.0)]);
        fails(&b, "m4, m5 and m6 are joined to the rest by no measure");
        // Observed coordinates join them through the plane.
        for m in [0, 1, 4, 5] {
            place(&mut b, m, [m as f64, 0.0], Some(0.5));
        }
        assert!(reach(&b, &Model::new(&b, &[])).is_ok());
    }
}

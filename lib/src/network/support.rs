//! Builders of notebooks for this room's tests.

use crate::frame::Local;
use crate::geometry::Point;
use crate::survey::{Mark, Measure, Notebook, Quantity, Role};

/// A notebook of marks without coordinates, named `m0`, `m1`, …
pub(super) fn book(marks: usize) -> Notebook {
    let marks = (0..marks)
        .map(|i| Mark {
            name: format!("m{i}"),
            role: Role::Unused,
            at: None,
            at_sd_m: None,
            place: format!("line {i}"),
        })
        .collect();
    Notebook { marks, ..Notebook::default() }
}

pub(super) fn measure(quantity: Quantity, value: f64) -> Measure {
    Measure { quantity, read_m: value, value_m: value, sd_m: 0.02, tape: None, place: "line 9".into() }
}

pub(super) fn distance(from: usize, to: usize, value: f64) -> Measure {
    measure(Quantity::Distance { from, to }, value)
}

pub(super) fn chainage(base: [usize; 2], mark: usize, value: f64) -> Measure {
    measure(Quantity::Chainage { base, mark }, value)
}

pub(super) fn offset(base: [usize; 2], mark: usize, value: f64) -> Measure {
    measure(Quantity::Offset { base, mark }, value)
}

/// Gives a mark coordinates.
pub(super) fn place(book: &mut Notebook, mark: usize, at: [f64; 2], sd: Option<f64>) {
    book.marks[mark].at = Some(Point::<Local>::new(at[0], at[1]));
    book.marks[mark].at_sd_m = sd;
}

/// Adds exact ties between marks at these places.
pub(super) fn ties(book: &mut Notebook, at: &[[f64; 2]], pairs: &[(usize, usize)]) {
    for &(a, b) in pairs {
        let d = (at[a][0] - at[b][0]).hypot(at[a][1] - at[b][1]);
        book.measures.push(distance(a, b, d));
    }
}

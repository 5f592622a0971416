//! The statistics of residuals and blunders.

use ovalpeg::network::ErrorEllipse;
use ovalpeg::survey::{Notebook, Quantity};
use ovalpeg_tests::network::{mark, measure};

use crate::networks::adjusted;
use crate::support::close;

/// Joins of Geoscience Australia's GeodePy, `test_survey.py`: the length of a tie between fixed marks is what
/// the adjustment says it should read. Printed to 1 mm.
#[test]
fn joins() {
    for (from, to, d, printed) in [
        ([500.0, 500.0], [460.529, 493.218], 40.04941154374181, 40.049),
        ([500.0, 500.0], [458.129, 515.419], 44.619796077525926, 44.62),
        ([562.677, 548.598], [580.905, 569.481], 27.719301452237207, 27.719),
    ] {
        let mut book = Notebook::default();
        book.marks.push(mark("from", Some(from), Some(0.0)));
        book.marks.push(mark("to", Some(to), Some(0.0)));
        book.measures.push(measure(Quantity::Distance { from: 0, to: 1 }, printed, 0.001, None));
        let found = adjusted(&book);
        close("join", found.observations[0].adjusted_m, d, 1e-9);
        close("printed", found.observations[0].adjusted_m, printed, 0.0005);
        close("redundancy", found.observations[0].redundancy, 1.0, 0.0);
    }
}

/// Geoscience Australia's GeodePy, `test_statistics.py`; x is east.
#[test]
fn error_ellipse_of_a_covariance() {
    let e = ErrorEllipse::new(1.44, 1.22, -1.32);
    close("semi-major", e.semi_major_m, 1.6292867776015223, 1e-12);
    // The determinant 0.0144 comes from 1.7568 − 1.7424: 1e-16 over it, halved, of 0.07.
    close("semi-minor", e.semi_minor_m, 0.07365185899111726, 1e-12);
    close("bearing", e.bearing_deg, 132.61817915463692, 1e-11);
    // √χ²₂(0.95), and √(2 F(2, 14)): computed references.
    close("factor", ErrorEllipse::factor_95(), 2.447746830680816, 1e-12);
    close("estimated", ErrorEllipse::factor_95_estimated(14), (2.0f64 * 3.738891832440735).sqrt(), 1e-9);
}

/// W. Baarda, A testing procedure for use in geodetic networks, NGC 2(5), Delft 1968: δ₀ of 4.13 at 0.1 % and a
/// power of 80 % (printed value from memory; more digits recomputed).
#[test]
fn baardas_detectable_blunder() {
    // A reading with nothing unknown shows all of its error: what can be found is δ₀σ.
    let mut book = Notebook::default();
    book.marks.push(mark("A", Some([0.0, 0.0]), Some(0.0)));
    book.marks.push(mark("B", Some([30.0, 40.0]), Some(0.0)));
    book.measures.push(measure(Quantity::Distance { from: 0, to: 1 }, 50.07, 0.01, None));
    let found = adjusted(&book);
    let o = found.observations[0];
    close("detectable", o.detectable_m.unwrap(), 0.0413214796506484, 1e-10);
    close("w", o.w.unwrap(), -7.0, 1e-9);
    close("too long", found.blunder.unwrap().too_long_m, 0.07, 1e-12);
}

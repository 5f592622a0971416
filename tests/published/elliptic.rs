//! Perimeters, arcs and nearest points of ellipses.
//!
//! All are computed references (independent libraries, to 20 digits where shown)
//! except the GRS80 quadrant, which is published. Names of sources stand at each test.

use std::f64::consts::TAU;

use ovalpeg::frame::Local;
use ovalpeg::geometry::{Ellipse, Point};

use crate::support::close;

fn ellipse(a: f64, b: f64) -> Ellipse<Local> {
    Ellipse::new(Point::ORIGIN, [a, b], 0.0).unwrap()
}

/// Computed reference: 4 a E(e²), 20 digits.
#[test]
fn perimeters() {
    let rows = [
        (1.0, 1.0, TAU),
        (2.0, 1.0, 9.688448220547676),
        (5.0, 3.0, 25.526998863398128),
        (10.0, 6.0, 51.053997726796257),
        (80.0, 65.0, 456.75047338612661),
        (85.0, 75.0, 503.14581838595174),
        (100.0, 80.0, 567.23335777948969),
        (1.0, 0.1, 4.0639741801008957),
        // A needle, so that E near m = 1 is asked for too.
        (1.0, 0.001, 4.0000155881046882),
    ];
    for (a, b, p) in rows {
        // The last bit of 567 is 1e-13; ten roundings.
        close(&format!("perimeter {a} × {b}"), ellipse(a, b).perimeter_m(), p, 1e-12);
        close(&format!("perimeter {b} × {a}"), ellipse(b, a).perimeter_m(), p, 1e-12);
    }
}

/// Published: H. Moritz, Geodetic Reference System 1980, the meridian quadrant Q
/// among the derived constants.
#[test]
fn meridian_quadrant_of_the_earth() {
    let quadrant = ellipse(6_378_137.0, 6_356_752.314_140_347).perimeter_m() / 4.0;
    // Printed to 0.1 mm, and off by 0.7 of that by every recomputation: one digit.
    close("quadrant, published", quadrant, 10_001_965.729_3, 1e-4);
    // Computed reference; the last bit of 1e7 is 2e-9, ten roundings.
    close("quadrant, computed", quadrant, 10_001_965.729_230_46, 2e-8);
}

/// Computed reference: ds = √(a² sin² t + b² cos² t) dt from 0 to t.
#[test]
fn arcs_from_the_vertex() {
    let e = ellipse(80.0, 65.0);
    for (t, s) in [
        (30.0, 34.77748606471853),
        (45.0, 53.350494112401826),
        (90.0, 114.18761834653165),
        (180.0, 228.3752366930633),
    ] {
        // The last bit of 228 is 3e-14; differences of such numbers, a few dozen roundings.
        close(&format!("arc to {t}°"), e.arc_from_vertex_m(t), s, 1e-11);
        close(&format!("arc to −{t}°"), e.arc_from_vertex_m(-t), -s, 1e-11);
    }
}

/// Computed reference, for the method of D. Eberly, Distance from a Point to an
/// Ellipse (2013). Between the foci the nearest point leaves the vertex at
/// (a² − b²)/a on the axis: (27.1875, 0) on 80 × 65 and (1.5, 0) on 2 × 1 are that place.
#[test]
fn nearest_points() {
    // a, b; x, y; distance, positive outside; foot.
    let rows = [
        (80.0, 65.0, 100.0, 0.0, 20.0, 80.0, 0.0),
        (80.0, 65.0, 0.0, 100.0, 35.0, 0.0, 65.0),
        (80.0, 65.0, 90.0, 40.0, 21.439285311036432, 71.69251843234004, 28.84298098514602),
        (80.0, 65.0, 1.0, 1.0, -63.98548963316842, 2.857089934345708, 64.9585342278265),
        (80.0, 65.0, 27.1875, 0.0, -52.8125, 80.0, 0.0),
        (80.0, 65.0, 0.0, 10.0, -55.0, 0.0, 65.0),
        (2.0, 1.0, 1.0, 1.0, 0.1289426785967065, 0.965728725068398, 0.8756951566580927),
        (2.0, 1.0, 1.5, 0.0, -0.5, 2.0, 0.0),
    ];
    for (a, b, x, y, d, fx, fy) in rows {
        // By symmetry each row holds in all four quadrants.
        for (sx, sy) in [(1.0, 1.0), (-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)] {
            let foot = ellipse(a, b).foot(Point::new(sx * x, sy * y));
            let what = format!("{a} × {b} from ({}, {})", sx * x, sy * y);
            // The last bit of 80 is 1.4e-14; the root multiplies it by ten at most.
            close(&format!("{what}: distance"), foot.signed_distance_m, d, 1e-12);
            close(&format!("{what}: x"), foot.point.x, sx * fx, 1e-12);
            close(&format!("{what}: y"), foot.point.y, sy * fy, 1e-12);
        }
    }
}

/// Exact: from the centre both ends of the short axis are nearest.
#[test]
fn nearest_to_the_centre() {
    let foot = ellipse(80.0, 65.0).foot(Point::ORIGIN);
    close("distance", foot.signed_distance_m, -65.0, 1e-12);
    close("foot, x", foot.point.x, 0.0, 1e-12);
    close("foot, y", foot.point.y.abs(), 65.0, 1e-12);
}

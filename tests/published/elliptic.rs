//! Elliptic integrals, perimeters, arcs and nearest points of ellipses.
//!
//! All are computed references (independent libraries, to 20 digits where shown)
//! except the GRS80 quadrant, which is published. Names of sources stand at each test.

use std::f64::consts::{FRAC_PI_2, TAU};

use ovalpeg::frame::Local;
use ovalpeg::geometry::{Ellipse, Point};
use ovalpeg::numeric::{complete_e, complete_k, incomplete_e, incomplete_f};

use crate::support::close;

fn ellipse(a: f64, b: f64) -> Ellipse<Local> {
    Ellipse::new(Point::ORIGIN, [a, b], 0.0).unwrap()
}

/// Computed reference; the arguments and K are those of Abramowitz and Stegun 1964,
/// Table 17.1 (and DLMF chapter 19).
#[test]
fn complete_integrals() {
    // m, K, E.
    let rows = [
        (0.0, FRAC_PI_2, FRAC_PI_2),
        (0.1, 1.6124413487202194, 1.5307576368977632),
        (0.2, 1.659623598610528, 1.4890350580958529),
        (0.25, 1.685750354812596, 1.4674622093394272),
        (0.3, 1.713889448178791, 1.4453630644126652),
        (0.4, 1.7775193714912534, 1.3993921388974322),
        (0.5, 1.8540746773013719, 1.3506438810476755),
        (0.6, 1.949567749806026, 1.2984280350469132),
        (0.7, 2.075363135292469, 1.2416705679458228),
        (0.75, 2.1565156474996434, 1.2110560275684595),
        (0.8, 2.257205326820854, 1.1784899243278385),
        (0.9, 2.5780921133481733, 1.1047747327040733),
        (0.99, 3.6956373629898747, 1.0159935450252239),
    ];
    for (m, k, e) in rows {
        // A dozen roundings of numbers of size 1 to 4.
        close(&format!("K({m})"), complete_k(m), k, 1e-14);
        close(&format!("E({m})"), complete_e(m), e, 1e-14);
    }
}

/// Computed reference; the arguments are those of Abramowitz and Stegun 1964,
/// Tables 17.5 and 17.6, where m = sin² α.
#[test]
fn incomplete_integrals() {
    // φ and α in degrees, E, F.
    let rows: [(f64, f64, f64, f64); 9] = [
        (30.0, 30.0, 0.517881934859938, 0.5294286270519059),
        (30.0, 60.0, 0.5060920724657259, 0.5422291098035528),
        (45.0, 30.0, 0.7671959857111227, 0.8043661012320655),
        (45.0, 45.0, 0.7481865041776614, 0.8260178762492452),
        (60.0, 30.0, 1.007555555144472, 1.0895506700518853),
        (60.0, 60.0, 0.9183932943163253, 1.2125966152549792),
        (75.0, 45.0, 1.1634584552708496, 1.4878847191164088),
        (90.0, 60.0, 1.2110560275684594, 2.1565156474996434),
        (20.0, 80.0, 0.34223649534844114, 0.3561456020206406),
    ];
    for (phi, alpha, e, f) in rows {
        let m = alpha.to_radians().sin().powi(2);
        // Two dozen roundings of numbers of size 1, and those of the sine and its square.
        close(&format!("E({phi}° | {alpha}°)"), incomplete_e(phi.to_radians(), m), e, 1e-14);
        close(&format!("F({phi}° | {alpha}°)"), incomplete_f(phi.to_radians(), m), f, 1e-14);
    }
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

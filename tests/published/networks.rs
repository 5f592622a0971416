//! Adjusted distance networks of textbooks.
//!
//! They are collected by F. Krumm, Geodetic Network Adjustment Examples, rev. 3.5,
//! University of Stuttgart 2020; their figures were read from the tests of GNU Gama
//! (`tests/krumm/input`, commit 963c309). Coordinates are printed to 1e-4 m and standard deviations, scaled by
//! the residuals, to 1e-5 m. All were recomputed with more digits by an independent library.

use ovalpeg::network::{self, Network, NetworkOptions};
use ovalpeg::survey::{Notebook, Quantity};
use ovalpeg_tests::network::{mark, measure};

use crate::support::close;

/// A mark's adjusted coordinates and standard deviations, recomputed and as printed.
struct Want {
    mark: &'static str,
    at: [f64; 2],
    sd: [f64; 2],
    printed: [f64; 2],
    printed_sd_cm: [f64; 2],
}

/// A network: marks with start coordinates (`Some(0.0)`: fixed), ties with their standard deviations.
struct Case {
    marks: &'static [(&'static str, [f64; 2], Option<f64>)],
    ties: &'static [(&'static str, &'static str, f64, f64)],
    want: &'static [Want],
    /// m₀ over the standard deviation that all ties share.
    m0_over_sigma: f64,
    dof: usize,
    residuals: &'static [f64],
    redundancy: &'static [f64],
}

pub(crate) fn adjusted(book: &Notebook) -> Network {
    // Some of the textbooks' networks are badly shaped: they are to be adjusted all the same.
    let options = NetworkOptions { shape_limit: f64::INFINITY, ..NetworkOptions::default() };
    network::adjust(book, &options).unwrap()
}

#[track_caller]
fn check(case: &Case) {
    let mut book = Notebook::default();
    for (name, at, sd) in case.marks {
        book.marks.push(mark(name, Some(*at), *sd));
    }
    for (a, b, d, sd) in case.ties {
        let tie = Quantity::Distance { from: book.find(a).unwrap(), to: book.find(b).unwrap() };
        book.measures.push(measure(tie, *d, *sd, None));
    }
    let found = adjusted(&book);
    assert_eq!(found.dof, case.dof);
    assert!(!found.hand_assumed);
    let m0 = found.m0.unwrap();
    // Relative: coordinates of millions of metres in the recomputation leave 1e-8 of a residual of a decimetre.
    close("m0", m0, case.m0_over_sigma, 1e-6 * case.m0_over_sigma);
    for w in case.want {
        let m = found.marks[book.find(w.mark).unwrap()];
        let (sds, at) = ([m.sd_x_m * m0, m.sd_y_m * m0], [m.at.x, m.at.y]);
        for axis in 0..2 {
            let what = format!("{} {axis}", w.mark);
            close(&what, at[axis], w.at[axis], 1e-6);
            // One unit of the last digit printed.
            close(&what, at[axis], w.printed[axis], 1e-4);
            close(&format!("sd {what}"), sds[axis], w.sd[axis], 1e-6 * (1.0 + w.sd[axis]));
            close(&format!("printed sd {what}"), 100.0 * sds[axis], w.printed_sd_cm[axis], 1e-3 * 1.001);
        }
    }
    for (i, o) in found.observations.iter().enumerate() {
        close(&format!("residual {i}"), o.residual_m, case.residuals[i], 1e-6);
        close(&format!("redundancy {i}"), o.redundancy, case.redundancy[i], 1e-6);
    }
}

/// G. Strang and K. Borre, Linear Algebra, Geodesy, and GPS, 1997, ex. 10.1 p. 345 and 12.4 p. 411: one point from three.
fn strang_borre_fixed() -> Case {
    Case {
        marks: &[
            ("1", [170.71, 270.71], Some(0.0)),
            ("2", [100.0, 100.0], Some(0.0)),
            ("3", [241.42, 100.0], Some(0.0)),
            ("P", [170.71, 170.71], None),
        ],
        ties: &[("1", "P", 100.01, 0.01), ("2", "P", 100.02, 0.01), ("3", "P", 100.03, 0.01)],
        want: &[Want {
            mark: "P",
            at: [170.70292544279232, 170.72335661231483],
            sd: [0.0330324441864378, 0.023354156630712143],
            printed: [170.7029, 170.7234],
            printed_sd_cm: [3.303, 2.335],
        }],
        m0_over_sigma: 3.302932449650648,
        dof: 1,
        residuals: &[-0.023356362034619545, -0.016515877287045302, -0.016511887434287057],
        redundancy: &[0.5000472155391255, 0.25003678802118456, 0.24991599643968976],
    }
}

#[test]
fn strang_borre_fixed_is_as_printed() {
    check(&strang_borre_fixed());
}

/// The same book, ex. 12.4 p. 411: a free network, inner constraints over all four points.
fn strang_borre_free() -> Case {
    Case {
        marks: &[
            ("P", [170.71, 170.71], None),
            ("1", [170.71, 270.71], None),
            ("2", [100.0, 100.0], None),
            ("3", [241.42, 100.0], None),
        ],
        ties: &[
            ("1", "P", 100.01, 0.01),
            ("2", "P", 100.02, 0.01),
            ("3", "P", 100.03, 0.01),
            ("1", "2", 184.785, 0.01),
            ("2", "3", 141.44, 0.01),
            ("1", "3", 184.805, 0.01),
        ],
        want: &[
            Want {
                mark: "P",
                at: [170.7122664120002, 170.71852984517676],
                sd: [0.010791917877065247, 0.006817538363578396],
                printed: [170.7123, 170.7185],
                printed_sd_cm: [1.079, 0.682],
            },
            Want {
                mark: "1",
                at: [170.70320343431064, 270.7213321518206],
                sd: [0.008097494042916828, 0.0055127671438081425],
                printed: [170.7032, 270.7213],
                printed_sd_cm: [0.810, 0.551],
            },
            Want {
                mark: "2",
                at: [99.99121162064363, 99.9971400219622],
                sd: [0.006405034621215982, 0.007054847092258505],
                printed: [99.9912, 99.9971],
                printed_sd_cm: [0.641, 0.705],
            },
            Want {
                mark: "3",
                at: [241.43331853304556, 99.98299798104041],
                sd: [0.006404822931062569, 0.007054930628117736],
                printed: [241.4333, 99.9830],
                printed_sd_cm: [0.640, 0.705],
            },
        ],
        m0_over_sigma: 1.1763625100558448,
        dof: 1,
        residuals: &[
            -0.007197282679858048,
            -0.005088265153499425,
            -0.005089696566766942,
            0.003894592312879179,
            0.0021076193955089206,
            0.0038957201283928767,
        ],
        redundancy: &[
            0.3743301169612977,
            0.18709281894566754,
            0.18719809836979662,
            0.10960784871699181,
            0.03209977751992166,
            0.10967133948632068,
        ],
    }
}

#[test]
fn strang_borre_free_is_as_printed() {
    check(&strang_borre_free());
}

/// W. Benning, Statistik in Geodäsie, Geoinformation und Bauwesen, 2011, ex. 8-8 pp. 285–291: one point from five.
fn benning_8_8() -> Case {
    Case {
        marks: &[
            ("1", [3000.0, 2000.0], Some(0.0)),
            ("2", [1000.0, 2000.0], Some(0.0)),
            ("3", [3000.0, 2100.0], Some(0.0)),
            ("4", [1000.0, 2100.0], Some(0.0)),
            ("5", [2000.0, 1000.0], Some(0.0)),
            ("6", [2000.0, 2000.0], None),
        ],
        ties: &[
            ("6", "1", 1000.0, 0.02),
            ("6", "2", 1000.0, 0.02),
            ("6", "3", 1005.0, 0.02),
            ("6", "4", 1005.0, 0.02),
            ("6", "5", 1000.0, 0.02),
        ],
        want: &[Want {
            mark: "6",
            at: [2000.0, 1999.997572773923],
            sd: [0.005040698185830565, 0.00995829194478726],
            printed: [2000.0000, 1999.9976],
            printed_sd_cm: [0.504, 0.996],
        }],
        m0_over_sigma: 0.5028205128784188,
        dof: 3,
        residuals: &[
            2.9457396521699914e-09,
            2.9457396521699914e-09,
            -0.012196366987269874,
            -0.012196366987269874,
            -0.0024272260770742244,
        ],
        redundancy: &[
            0.7487561588213512,
            0.7487561588213512,
            0.741534645725326,
            0.741534645725326,
            0.019418390906645877,
        ],
    }
}

#[test]
fn benning_8_8_is_as_printed() {
    check(&benning_8_8());
}

/// C. D. Ghilani, Adjustment Computations, 5th ed. 2010, ex. 14.5 p. 251 and 19.3 p. 404: two points from two, feet.
fn ghilani_14_5() -> Case {
    Case {
        marks: &[
            ("Badger", [2410000.0, 390000.0], Some(0.0)),
            ("Bucky", [2411820.0, 386881.222], Some(0.0)),
            ("Wisconsin", [2415776.819, 391043.461], None),
            ("Campus", [2416892.67, 387603.45], None),
        ],
        ties: &[
            ("Badger", "Wisconsin", 5870.302, 0.01),
            ("Badger", "Campus", 7297.588, 0.01),
            ("Wisconsin", "Campus", 3616.434, 0.01),
            ("Wisconsin", "Bucky", 5742.878, 0.01),
            ("Campus", "Bucky", 5123.76, 0.01),
        ],
        want: &[
            Want {
                mark: "Wisconsin",
                at: [2415776.904378066, 391043.2944927675],
                sd: [0.1487883872987297, 0.22060820443053364],
                printed: [2415776.9044, 391043.2945],
                printed_sd_cm: [14.879, 22.061],
            },
            Want {
                mark: "Campus",
                at: [2416892.6955155823, 387603.25512816984],
                sd: [0.10378311894091967, 0.27054463407132434],
                printed: [2416892.6955, 387603.2551],
                printed_sd_cm: [10.378, 27.054],
            },
        ],
        m0_over_sigma: 13.590535813616322,
        dof: 1,
        residuals: &[
            0.05468353776781417,
            -0.07901054514264055,
            0.03675095899397321,
            -0.06164456870022942,
            0.06392671574829717,
        ],
        redundancy: &[
            0.16189746497872104,
            0.33798463533999845,
            0.07312471622833494,
            0.20573893056491221,
            0.22125425288803235,
        ],
    }
}

#[test]
fn ghilani_14_5_is_as_printed() {
    check(&ghilani_14_5());
}

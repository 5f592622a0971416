//! Adjusted distance networks of textbooks, a tape notebook with everything in it against an
//! independent computation, and the statistics of blunders.
//!
//! The textbooks' networks are collected by F. Krumm, Geodetic Network Adjustment Examples, rev. 3.5,
//! University of Stuttgart 2020; their figures were read from the tests of GNU Gama
//! (`tests/krumm/input`, commit 963c309). Coordinates are printed to 1e-4 m and standard deviations, scaled by
//! the residuals, to 1e-5 m. All were recomputed with more digits by an independent library.

use ovalpeg::fit::{ErrorEllipse, Network, NetworkOptions, Observed, Verdict, network};
use ovalpeg::frame::Local;
use ovalpeg::geometry::Point;
use ovalpeg::numeric::{chi2_quantile, f_quantile, normal_quantile, tau_quantile};
use ovalpeg::survey::{Mark, Measure, Notebook, Quantity, Role, Tape};

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

fn mark(name: &str, at: Option<[f64; 2]>, sd: Option<f64>) -> Mark {
    Mark {
        name: name.into(),
        role: Role::Unused,
        at: at.map(|[x, y]| Point::<Local>::new(x, y)),
        at_sd_m: sd,
        place: name.into(),
    }
}

fn measure(quantity: Quantity, value: f64, sd: f64, tape: Option<usize>) -> Measure {
    Measure { quantity, read_m: value, value_m: value, sd_m: sd, tape, place: "page 1".into() }
}

fn adjust(book: &Notebook) -> Network {
    // Some of the textbooks' networks are badly shaped: they are to be adjusted all the same.
    let options = NetworkOptions { shape_limit: f64::INFINITY, ..NetworkOptions::default() };
    network(book, &options).unwrap()
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
    let found = adjust(&book);
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

/// Eight marks, three of them with observed coordinates, two tapes of unknown scale, a base line with
/// chainages and offsets. Computed reference: scipy's `least_squares` and Gauss–Newton with differences of
/// fourth order in numpy; the notebook is made up.
#[test]
fn a_notebook_with_everything_in_it() {
    let mut book = Notebook::default();
    for (i, (x, y, sd)) in
        [(100.21, 200.18, 0.3), (180.33, 204.49, 0.3), (151.6, 262.71, 0.5)].into_iter().enumerate()
    {
        book.marks.push(mark(&format!("m{i}"), Some([x, y]), Some(sd)));
    }
    // Rough places to start from for some, none for others.
    for (i, at) in
        [Some([95.0, 250.0]), None, Some([160.0, 180.0]), None, Some([205.0, 240.0])].into_iter().enumerate()
    {
        book.marks.push(mark(&format!("m{}", i + 3), at, None));
    }
    for (name, scale_sd) in [("steel", 5e-4), ("fibre", 3e-4)] {
        book.tapes.push(Tape { name: name.into(), scale_sd, place: "page 1".into() });
    }
    let ties: [(usize, usize, usize, f64, f64); 19] = [
        (0, 1, 0, 79.979, 0.02),
        (1, 2, 0, 64.392, 0.02),
        (2, 3, 0, 56.888, 0.01),
        (3, 0, 0, 51.273, 0.01),
        (0, 2, 1, 80.806, 0.02),
        (1, 3, 1, 96.344, 0.02),
        (4, 0, 1, 42.663, 0.01),
        (4, 1, 1, 54.698, 0.01),
        (4, 2, 1, 38.844, 0.01),
        (4, 3, 0, 41.711, 0.01),
        (5, 0, 0, 61.64, 0.02),
        (5, 1, 0, 33.804, 0.01),
        (5, 4, 1, 57.084, 0.01),
        (6, 0, 1, 26.904, 0.01),
        (6, 3, 0, 72.202, 0.02),
        (6, 5, 1, 36.903, 0.01),
        (7, 1, 0, 42.445, 0.01),
        (7, 2, 1, 56.751, 0.01),
        (7, 4, 0, 73.13, 0.02),
    ];
    for (from, to, tape, d, sd) in ties {
        book.measures.push(measure(Quantity::Distance { from, to }, d, sd, Some(tape)));
    }
    let base = [0, 1];
    for (mark, c, o) in [(6, 20.326, -17.597), (7, 105.543, 33.922), (4, 32.668, 27.423)] {
        book.measures.push(measure(Quantity::Chainage { base, mark }, c, 0.02, Some(0)));
        book.measures.push(measure(Quantity::Offset { base, mark }, o, 0.03, Some(1)));
    }
    let found = network(&book, &NetworkOptions::default()).unwrap();
    let at: [[f64; 2]; 8] = [
        [100.28821136620398, 200.17762585780417],
        [180.19132184335623, 204.59655337242864],
        [151.76796330663666, 262.42061324954943],
        [95.94138028085082, 251.29629140505347],
        [131.42313800288971, 229.33811873310646],
        [158.1698870892368, 178.92181908118067],
        [121.5850099250398, 183.74678842063685],
        [203.83849303694078, 239.87313386599186],
    ];
    let sd = [
        0.20238488264276475,
        0.2724131488439843,
        0.19815200828327434,
        0.2615097681002402,
        0.30307886535333123,
        0.20096823431486124,
        0.2666707476842162,
        0.28687850598608583,
        0.21153942414398588,
        0.20134804793803984,
        0.24556664946256745,
        0.20910167243160163,
        0.23304515095988515,
        0.21696989990079085,
        0.23480557946810285,
        0.34291696805423205,
        0.0002764725397921297,
        0.000259540258865599,
    ];
    for (i, m) in found.marks.iter().enumerate() {
        // Differences of fourth order are good to 1e-9 or so of a derivative.
        close(&format!("x {i}"), m.at.x, at[i][0], 1e-7);
        close(&format!("y {i}"), m.at.y, at[i][1], 1e-7);
        close(&format!("sd x {i}"), m.sd_x_m, sd[2 * i], 1e-8);
        close(&format!("sd y {i}"), m.sd_y_m, sd[2 * i + 1], 1e-8);
    }
    for (t, k) in [0.0005493255762713474, -0.00018363327761481473].into_iter().enumerate() {
        close("scale", found.tapes[t].too_long, k, 1e-10);
        close("its sd", found.tapes[t].sd, sd[16 + t], 1e-11);
    }
    assert_eq!(found.dof, 15);
    close("sum of squares", found.global.sum_of_squares, 8.264196759968266, 1e-6);
    assert_eq!(found.global.verdict, Verdict::Agrees);
    let redundancy = [
        0.6663749486415639,
        0.2344777468409669,
        0.12487014922342321,
        0.19499603631976004,
        0.7126142038112483,
        0.6057815673328835,
        0.32392672065450756,
        0.29685185595792585,
        0.18998742955855352,
        0.3122919646035016,
        0.6434599303176054,
        0.11245947297041992,
        0.14775693709771875,
        0.30992403719135453,
        0.5113923635549025,
        0.19571716637983294,
        0.1451048591052947,
        0.12395127218943802,
        0.6800185064477527,
        0.6220527422097623,
        0.7389598020977002,
        0.6121875171772038,
        0.8066410951809719,
        0.8300597948007198,
        0.9171067889199788,
        0.5448928808587097,
        0.17545640379801009,
        0.5637309068433956,
        0.24014045769656067,
        0.6325728055288882,
        0.8384470751931086,
        0.6942517389635565,
        0.25154282253308125,
    ];
    let w = [
        0.137724313351213,
        0.49687856954238213,
        1.3786744671803075,
        0.44499443785217113,
        -1.0478897779913956,
        0.05334235737438673,
        0.5246933671584767,
        -0.4898963896888562,
        0.18027642277154107,
        -1.2944338772490562,
        -0.7928423759359078,
        0.7431382348757011,
        -0.44396299751158086,
        -0.11155710018609213,
        0.8077169833802882,
        1.2320716682501152,
        0.20657498934133992,
        0.5893219229074032,
        0.45253213413801563,
        1.2568021606409707,
        0.465750446385124,
        -1.070754230424957,
        0.04483475952720292,
        0.6409993461283378,
        -0.7383702492011333,
        0.35317751837795336,
        -0.01889299720288365,
        -0.615674097685035,
        0.7247918112485285,
        0.4223661964961802,
        -0.6320781995496036,
        1.3185643438395234,
        -1.220461731320045,
    ];
    for (i, o) in found.observations.iter().enumerate() {
        close(&format!("redundancy {i}"), o.redundancy, redundancy[i], 1e-7);
        close(&format!("w {i}"), o.w.unwrap(), w[i], 1e-6);
    }
    assert_eq!(found.observations[25].what, Observed::East(0));
    assert_eq!(found.observations[32].what, Observed::Scale(1));
}

/// A free network on rough start coordinates, metres off. Computed reference: numpy's pseudo-inverse with
/// differences of fourth order, then the nearest rotation by singular values (W. Kabsch, Acta
/// Crystallographica A32, 1976); the network is made up.
#[test]
fn a_free_network_on_a_rough_start() {
    let mut book = Notebook::default();
    for (i, at) in [
        [100.0, 200.0],
        [180.0, 205.0],
        [150.0, 260.0],
        [95.0, 250.0],
        [130.0, 230.0],
        [160.0, 180.0],
        [120.0, 185.0],
        [205.0, 240.0],
    ]
    .into_iter()
    .enumerate()
    {
        book.marks.push(mark(&format!("m{i}"), Some(at), None));
    }
    let ties: [(usize, usize, f64, f64); 19] = [
        (0, 1, 80.027, 0.02),
        (1, 2, 64.472, 0.02),
        (2, 3, 56.925, 0.01),
        (3, 0, 51.284, 0.01),
        (0, 2, 80.761, 0.02),
        (1, 3, 96.312, 0.02),
        (4, 0, 42.665, 0.01),
        (4, 1, 54.694, 0.01),
        (4, 2, 38.837, 0.01),
        (4, 3, 41.693, 0.01),
        (5, 0, 61.69, 0.02),
        (5, 1, 33.829, 0.01),
        (5, 4, 57.089, 0.01),
        (6, 0, 26.881, 0.01),
        (6, 3, 72.219, 0.02),
        (6, 5, 36.918, 0.01),
        (7, 1, 42.471, 0.01),
        (7, 2, 56.749, 0.01),
        (7, 4, 73.169, 0.02),
    ];
    for (from, to, d, sd) in ties {
        book.measures.push(measure(Quantity::Distance { from, to }, d, sd, None));
    }
    let found = network(&book, &NetworkOptions::default()).unwrap();
    assert!(!found.hand_assumed);
    let at: [[f64; 2]; 8] = [
        [100.06650044018463, 199.73014798014765],
        [179.92663495619001, 204.89600074806324],
        [150.95052750443713, 262.47128574848864],
        [95.24508469095332, 250.78241791567842],
        [130.92303561855093, 229.1948309236799],
        [158.15023199741083, 179.0117619531807],
        [121.50639974523344, 183.51215594607115],
        [203.23158504703972, 240.4013987846903],
    ];
    let sd = [
        0.008507314794675418,
        0.006051915764240799,
        0.00714349026098574,
        0.007584768278655969,
        0.00603595301736764,
        0.010537237521838636,
        0.006999353980032662,
        0.00658746707519098,
        0.006925748322004156,
        0.008105143802550499,
        0.007182913125890951,
        0.009284183109590982,
        0.011833862679673944,
        0.019743195256649103,
        0.009111487555217249,
        0.00851210834332876,
    ];
    for (i, m) in found.marks.iter().enumerate() {
        close(&format!("x {i}"), m.at.x, at[i][0], 1e-8);
        close(&format!("y {i}"), m.at.y, at[i][1], 1e-8);
        close(&format!("sd x {i}"), m.sd_x_m, sd[2 * i], 1e-9);
        close(&format!("sd y {i}"), m.sd_y_m, sd[2 * i + 1], 1e-9);
    }
    let redundancy = [
        0.6511054465803415,
        0.4635963095391129,
        0.14275569336422322,
        0.1716428187342065,
        0.7336470765474707,
        0.7363987780870307,
        0.24456373887127958,
        0.27842293616659874,
        0.22451043296935724,
        0.28205118981304467,
        0.57425040824547,
        0.06204187789455706,
        0.10312326609898659,
        0.24250988987215594,
        0.3149384377491191,
        0.08578353979258502,
        0.04047893400431879,
        0.08074983238808997,
        0.5674293932820544,
    ];
    let w = [
        0.002474163856562963,
        -1.2021183011642886,
        -1.6962903811690246,
        -1.1021899322430988,
        1.190846062291548,
        0.15937432330554924,
        -0.02114013196725718,
        0.6102788155159098,
        0.29971254834307476,
        1.4311552159877798,
        -1.435979984134696,
        -1.1612922462382296,
        1.3819246509276404,
        0.39426649605798386,
        -0.39426649606110503,
        0.3942664960470299,
        -0.18638405180925205,
        -0.18638405181572168,
        0.18638405180648368,
    ];
    for (i, o) in found.observations.iter().enumerate() {
        close(&format!("redundancy {i}"), o.redundancy, redundancy[i], 1e-8);
        close(&format!("w {i}"), o.w.unwrap(), w[i], 1e-7);
    }
    close("sum of squares", found.global.sum_of_squares, 4.638637282773425, 1e-7);
}

/// Chainage and offset from a fixed base line that is a 3-4-5 triangle: exact (made here). In the
/// reference an offset is positive to the right, here to the left.
#[test]
fn chainage_and_offset_from_a_fixed_line() {
    for (chainage, right, at) in
        [(25.0, 10.0, [1023.0, 2014.0]), (75.0, -12.5, [1035.0, 2067.5]), (150.0, 0.0, [1090.0, 2120.0])]
    {
        let mut book = Notebook::default();
        book.marks.push(mark("A", Some([1000.0, 2000.0]), Some(0.0)));
        book.marks.push(mark("B", Some([1090.0, 2120.0]), Some(0.0)));
        book.marks.push(mark("P", None, None));
        let (base, mark) = ([0, 1], 2);
        book.measures.push(measure(Quantity::Chainage { base, mark }, chainage, 0.02, None));
        book.measures.push(measure(Quantity::Offset { base, mark }, -right, 0.02, None));
        let found = adjust(&book);
        // Rounding of thousands.
        close("x", found.marks[2].at.x, at[0], 1e-11);
        close("y", found.marks[2].at.y, at[1], 1e-11);
        close("sd", found.marks[2].ellipse.semi_major_m, 0.02, 1e-15);
    }
}

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
        let found = adjust(&book);
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

/// W. Baarda, A testing procedure for use in geodetic networks, NGC 2(5), Delft 1968: 3.29, 4.13 and 17.075
/// (printed values from memory; more digits recomputed).
#[test]
fn baardas_numbers() {
    let (k, power) = (normal_quantile(1.0 - 0.001 / 2.0), normal_quantile(0.8));
    close("critical value", k, 3.2905267314919255, 1e-9);
    close("shift", k + power, 4.13214796506484, 1e-9);
    close("non-centrality", (k + power).powi(2), 17.074646805189502, 1e-8);
    close("printed", k, 3.29, 0.005);
    close("printed", k + power, 4.13, 0.005);
    close("printed", (k + power).powi(2), 17.075, 0.0005);
    // A reading with nothing unknown shows all of its error: what can be found is δ₀σ.
    let mut book = Notebook::default();
    book.marks.push(mark("A", Some([0.0, 0.0]), Some(0.0)));
    book.marks.push(mark("B", Some([30.0, 40.0]), Some(0.0)));
    book.measures.push(measure(Quantity::Distance { from: 0, to: 1 }, 50.07, 0.01, None));
    let found = adjust(&book);
    let o = found.observations[0];
    close("detectable", o.detectable_m.unwrap(), 0.0413214796506484, 1e-10);
    close("w", o.w.unwrap(), -7.0, 1e-9);
    close("too long", found.blunder.unwrap().too_long_m, 0.07, 1e-12);
}

/// A. J. Pope, The statistics of residuals and the detection of outliers, NOAA TR NOS 65 NGS 1, 1976, by its
/// formula: computed references, two-sided at 5 % and 0.1 %.
#[test]
fn popes_tau() {
    for (dof, at_5, at_01) in [
        (3.0, 1.6454482671904331, 1.7303187567613085),
        (5.0, 1.8143485798825276, 2.1780817882762937),
        (10.0, 1.9039086447739395, 2.678597827684774),
        (14.0, 1.9231276506021593, 2.844972070836411),
        (20.0, 1.9357978409964034, 2.9749017485542297),
    ] {
        close("5 %", tau_quantile(0.975, dof), at_5, 1e-9);
        close("0.1 %", tau_quantile(0.9995, dof), at_01, 1e-9);
    }
}

/// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7: computed references for its tables.
#[test]
fn quantiles_of_chi_square_and_f() {
    let levels = [0.025, 0.05, 0.5, 0.95, 0.975, 0.99, 0.999];
    let rows: [(f64, [f64; 7], f64); 8] = [
        (
            1.0,
            [
                0.0009820691171752555,
                0.003932140000019522,
                0.454936423119572,
                3.841458820694124,
                5.023886187314888,
                6.6348966010212145,
                10.827566170662733,
            ],
            199.49999999999963,
        ),
        (
            2.0,
            [
                0.05063561596857975,
                0.10258658877510106,
                1.386294361119891,
                5.991464547107979,
                7.377758908227871,
                9.21034037197618,
                13.815510557964274,
            ],
            18.999999999999982,
        ),
        (
            3.0,
            [
                0.21579528262389785,
                0.35184631774927144,
                2.3659738843753377,
                7.814727903251179,
                9.348403604496148,
                11.344866730144373,
                16.26623619623813,
            ],
            9.552094495921152,
        ),
        (
            5.0,
            [
                0.8312116134866625,
                1.1454762260617692,
                4.351460191095526,
                11.070497693516351,
                12.832501994030027,
                15.08627246938899,
                20.515005652432873,
            ],
            5.786135043349963,
        ),
        (
            10.0,
            [
                3.2469727802368413,
                3.9402991361190605,
                9.34181776559197,
                18.307038053275146,
                20.483177350807388,
                23.209251158954356,
                29.58829844507442,
            ],
            4.1028210151304,
        ),
        (
            14.0,
            [
                5.628726103039731,
                6.57063138378934,
                13.33927414909954,
                23.684791304840576,
                26.11894804503737,
                29.141237740672796,
                36.12327368039813,
            ],
            3.738891832440735,
        ),
        (
            20.0,
            [
                9.590777392264867,
                10.85081139418259,
                19.337429229428256,
                31.410432844230918,
                34.16960690283833,
                37.56623478662507,
                45.31474661812586,
            ],
            3.4928284767356312,
        ),
        (
            30.0,
            [
                16.79077226556663,
                18.49266098195347,
                29.336031516661585,
                43.77297182574219,
                46.97924224367115,
                50.89218131151707,
                59.70306430442994,
            ],
            3.3158295010135213,
        ),
    ];
    for (dof, chi2, f) in rows {
        for (p, q) in levels.into_iter().zip(chi2) {
            close(&format!("chi-square({p}, {dof})"), chi2_quantile(p, dof), q, 1e-9 * (1.0 + q));
        }
        close(&format!("F(2, {dof})"), f_quantile(0.95, 2.0, dof), f, 1e-9 * (1.0 + f));
    }
    for (p, k) in [(0.5, 1.1774100225154747), (0.95, 2.447746830680816), (0.99, 3.0348542587702925)] {
        close("√χ²₂", chi2_quantile(p, 2.0).sqrt(), k, 1e-9);
    }
}

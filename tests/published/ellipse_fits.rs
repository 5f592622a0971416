//! The curve's fit against published orthogonal-distance fits and their standard errors.
//!
//! Sources give the direction θ of the long axis in radians counter-clockwise from
//! +x; the library gives its bearing, 90° − θ, so a covariance with θ changes its
//! sign and is multiplied by 180/π.

use ovalpeg::fit::{Curve, circle};

use crate::support::{close, prepared};

/// W. Gander, G. H. Golub and R. Strebel, Least-squares fitting of circles and
/// ellipses, BIT 34 (1994) 558–578: the eight points of the ellipse.
const GANDER: [[f64; 2]; 8] =
    [[1., 7.], [2., 6.], [5., 8.], [7., 7.], [9., 5.], [3., 7.], [6., 2.], [8., 4.]];

/// P. T. Boggs, R. H. Byrd, J. E. Rogers and R. B. Schnabel, User's Reference Guide
/// for ODRPACK 2.01, NISTIR 92-4834 (1992), p. 49; points of W. Fuller, Measurement
/// Error Models (1987), table 3.2.1.
#[rustfmt::skip]
const FULLER: [[f64; 2]; 20] = [
    [0.5, -0.12], [1.2, -0.6], [1.6, -1.0], [1.86, -1.4], [2.12, -2.54],
    [2.36, -3.36], [2.44, -4.0], [2.36, -4.75], [2.06, -5.25], [1.74, -5.64],
    [1.34, -5.97], [0.9, -6.32], [-0.28, -6.44], [-0.78, -6.44], [-1.36, -6.41],
    [-1.9, -6.25], [-2.5, -5.88], [-2.88, -5.5], [-3.18, -5.24], [-3.44, -4.86],
];

fn fitted(points: &[[f64; 2]]) -> Curve {
    // The width of the scoring ends does not enter the curve.
    prepared(points).curve().unwrap()
}

/// Centre, semi-axes, and the long axis's direction in radians within ±π/2.
fn parameters(c: &Curve) -> [f64; 5] {
    let e = &c.ellipse;
    let turn = if e.turn_deg() > 90.0 { e.turn_deg() - 180.0 } else { e.turn_deg() };
    [e.centre().x, e.centre().y, e.semi_major_m(), e.semi_minor_m(), turn.to_radians()]
}

/// The covariance with θ in radians counter-clockwise in place of the bearing in degrees.
fn covariance(c: &Curve) -> [[f64; 5]; 5] {
    let unit = |i: usize| if i == 4 { -1f64.to_radians() } else { 1.0 };
    std::array::from_fn(|i| std::array::from_fn(|j| c.covariance.get(i, j) * unit(i) * unit(j)))
}

/// Every entry, in units of the two standard deviations that it belongs to.
fn covariance_is(c: &Curve, want: &[[f64; 5]; 5], tolerance: f64) {
    let got = covariance(c);
    for i in 0..5 {
        for j in 0..5 {
            let unit = (want[i][i] * want[j][j]).sqrt();
            close(&format!("covariance {i} {j}"), got[i][j] / unit, want[i][j] / unit, tolerance);
        }
    }
}

/// Sum of squared residuals by the fit's own unit of weight.
fn sum_of_squares(c: &Curve) -> f64 {
    c.s0 * c.s0 * c.dof
}

/// Published to four decimals, with the sum of squares and its root; the more
/// digits are a computed reference. The long axis has a standard error larger
/// than itself: this is a test of convergence.
#[test]
fn gander_golub_strebel() {
    let c = fitted(&GANDER);
    let got = parameters(&c);
    let published = [2.6996, 3.816, 6.5187, 3.0319, 0.3596];
    let exact =
        [2.6996121879412, 3.8159566459391154, 6.518722302526588, 3.031886001736263, 0.3596242710415488];
    for i in 0..5 {
        // Half of the last printed digit.
        close(&format!("published {i}"), got[i], published[i], 0.5e-4);
        // The sum's slope is known to 1e-16 of its terms; over the smallest curvature,
        // some 1e-3 (s₀²/8.9² and less), that leaves 1e-12. Two references agree to 1e-8.
        close(&format!("computed {i}"), got[i], exact[i], 1e-8);
    }
    close("sum of squares, published", sum_of_squares(&c), 1.3733, 0.5e-4);
    close("sum of squares, computed", sum_of_squares(&c), 1.37330553977792, 1e-12);
    close("root of the sum, published", sum_of_squares(&c).sqrt(), 1.1719, 0.5e-4);
    close("s0", c.s0, 0.6765859245205347, 1e-12);
    assert_eq!(c.dof, 3.0);
}

/// Computed reference: the residuals that belong to the published fit, positive outside.
#[test]
fn gander_golub_strebel_residuals() {
    let c = fitted(&GANDER);
    let want = [
        0.554204088673866,
        -0.7408610561997523,
        0.562176059375437,
        -0.3339505857942885,
        0.19345600830407628,
        -0.08586764544807872,
        0.05081013308613721,
        -0.20577463032759752,
    ];
    assert_eq!(c.residuals.len(), want.len());
    for (r, want) in c.residuals.iter().zip(want) {
        // A residual moves no more than the curve does: as its parameters.
        close(&format!("residual {}", r.index), r.residual_m, want, 1e-8);
    }
}

/// Computed reference: s₀²(JᵀJ)⁻¹ of the published fit.
#[test]
fn gander_golub_strebel_covariance() {
    let c = fitted(&GANDER);
    let sds =
        [7.317389870740333, 3.6248782651723945, 8.893379291295705, 0.9990597174933391, 0.3170752785418423];
    let cov = covariance(&c);
    for i in 0..5 {
        // The parameters agree to 1e-12; the condition of the normal matrix (about 1e4 in
        // these units) multiplies that.
        close(&format!("standard error {i}"), cov[i][i].sqrt() / sds[i], 1.0, 1e-8);
    }
    covariance_is(
        &c,
        &[
            [
                53.54419452041323,
                26.167258521849263,
                -64.82894771439774,
                -6.49128262310978,
                -1.8799353076225847,
            ],
            [
                26.167258521849256,
                13.139742437319228,
                -31.720966121022013,
                -3.3630970625168275,
                -1.0089642731581243,
            ],
            [
                -64.82894771439771,
                -31.720966121022013,
                79.09219521884731,
                7.783915495451335,
                2.310421798355159,
            ],
            [
                -6.491282623109774,
                -3.3630970625168266,
                7.783915495451331,
                0.9981203191178706,
                0.2718923956384928,
            ],
            [
                -1.8799353076225782,
                -1.0089642731581214,
                2.310421798355152,
                0.2718923956384922,
                0.1005367322623869,
            ],
        ],
        1e-8,
    );
}

/// B₃, B₄, B₅ of B₃(x − x₀)² + 2 B₄(x − x₀)(y − y₀) + B₅(y − y₀)² = 1.
fn conic(p: &[f64; 5]) -> [f64; 3] {
    let [_, _, a, b, turn] = *p;
    let (s, c) = turn.sin_cos();
    let (qa, qb) = (a.powi(-2), b.powi(-2));
    [c * c * qa + s * s * qb, s * c * (qa - qb), s * s * qa + c * c * qb]
}

/// Standard errors of centre and conic from the covariance of centre, axes and turn.
fn conic_sds(p: &[f64; 5], cov: &[[f64; 5]; 5]) -> [f64; 5] {
    let [_, _, a, b, turn] = *p;
    let (s, c) = turn.sin_cos();
    let (qa, qb) = (a.powi(-2), b.powi(-2));
    let (da, db) = (-2.0 / a.powi(3), -2.0 / b.powi(3));
    // By hand from `conic`: rows are x₀, y₀, B₃, B₄, B₅.
    let gradients = [
        [1.0, 0.0, 0.0, 0.0, 0.0],
        [0.0, 1.0, 0.0, 0.0, 0.0],
        [0.0, 0.0, c * c * da, s * s * db, 2.0 * s * c * (qb - qa)],
        [0.0, 0.0, s * c * da, -s * c * db, (c * c - s * s) * (qa - qb)],
        [0.0, 0.0, s * s * da, c * c * db, 2.0 * s * c * (qa - qb)],
    ];
    gradients.map(|g| {
        let mut sum = 0.0;
        for i in 0..5 {
            for j in 0..5 {
                sum += g[i] * cov[i][j] * g[j];
            }
        }
        sum.sqrt()
    })
}

/// Published: β and its standard errors as ODRPACK printed them. Its method is one
/// of penalties, so its digits are good to about 1e-6, and 1.5e-5 of the standard errors.
#[test]
fn odrpack_as_printed() {
    let c = fitted(&FULLER);
    let p = parameters(&c);
    let [b3, b4, b5] = conic(&p);
    let beta = [
        -0.9993809167281279,
        -2.9310484652026476,
        0.0875730502693354,
        0.0162299708984738,
        0.0797537982976416,
    ];
    for (i, (got, want)) in [p[0], p[1], b3, b4, b5].into_iter().zip(beta).enumerate() {
        // Twice what the penalty leaves.
        close(&format!("β{}", i + 1), got, want, 2e-6);
    }
    let sds =
        [0.1113840353364371, 0.1097673310686467, 0.0041060738314314, 0.0027500347539902, 0.0034962501532468];
    for (i, (got, want)) in conic_sds(&p, &covariance(&c)).into_iter().zip(sds).enumerate() {
        // Three times what the penalty leaves.
        close(&format!("standard error of β{}", i + 1), got / want, 1.0, 5e-5);
    }
}

/// Computed reference: the exact optimum of the same points, its standard errors and covariance.
#[test]
fn odrpack_exactly() {
    let c = fitted(&FULLER);
    let p = parameters(&c);
    let exact = [
        -0.9993801622760359,
        -2.9310492890534334,
        3.8642241654394125,
        3.1566377172132345,
        -0.9035909282185982,
    ];
    for i in 0..5 {
        // Well conditioned; the two computations agree to 1e-8.
        close(&format!("parameter {i}"), p[i], exact[i], 1e-8);
    }
    close("sum of squares", sum_of_squares(&c), 0.0882470886883815, 1e-12);
    close("s0", c.s0, 0.07670162479303877, 1e-10);
    assert_eq!(c.dof, 15.0);
    let sds = [
        0.11138567013072913,
        0.10976889142660626,
        0.16743721787197044,
        0.029483892139874682,
        0.056089349847270875,
    ];
    let cov = covariance(&c);
    for i in 0..5 {
        // As above; the condition is about 100 here.
        close(&format!("standard error {i}"), cov[i][i].sqrt() / sds[i], 1.0, 1e-8);
    }
    covariance_is(
        &c,
        &[
            [
                0.012406767510471603,
                -0.011435135583042155,
                -0.01785112116605735,
                -0.0016287805973759137,
                -0.0034667362509593173,
            ],
            [
                -0.011435135583042159,
                0.012049209525026073,
                0.017799091145031812,
                0.0014391295605857707,
                0.0021471844521824867,
            ],
            [
                -0.017851121166057353,
                0.017799091145031812,
                0.0280352219287057,
                0.0020379542064161956,
                0.0039362177082457196,
            ],
            [
                -0.0016287805973759129,
                0.0014391295605857696,
                0.002037954206416193,
                0.0008692998957157641,
                0.0006888978393083695,
            ],
            [
                -0.003466736250959317,
                0.0021471844521824867,
                0.003936217708245719,
                0.0006888978393083697,
                0.0031460151662895453,
            ],
        ],
        1e-8,
    );
    let [b3, b4, b5] = conic(&p);
    for (what, got, want) in
        [("B3", b3, 0.08757306952646024), ("B4", b4, 0.016229955877797447), ("B5", b5, 0.07975382916553182)]
    {
        close(what, got, want, 1e-8);
    }
    let conic_want = [
        0.1113856701339321,
        0.10976889144194953,
        0.004106135821858917,
        0.002750076244061391,
        0.0034963010363779808,
    ];
    for (got, want) in conic_sds(&p, &cov).into_iter().zip(conic_want) {
        // The reference's own digits.
        close("standard error of the conic", got / want, 1.0, 1e-8);
    }
}

/// Gander, Golub and Strebel 1994, section 3: the circle of six points (published to
/// four decimals, recalled from memory and recomputed; covariance recomputed).
#[test]
fn ganders_circle_with_its_covariance() {
    let points = [[1., 7.], [2., 6.], [5., 8.], [7., 7.], [9., 5.], [3., 7.]];
    let c = circle(prepared(&points).survey()).unwrap();
    // Four decimals as published.
    close("centre x", c.centre.x, 4.7398, 5e-5);
    close("centre y", c.centre.y, 2.9835, 5e-5);
    close("radius", c.radius_m, 4.7142, 5e-5);
    // Recomputed to all digits; 1e-8 is the record's own tolerance.
    close("centre x", c.centre.x, 4.739_782_410_906_074, 1e-8);
    close("centre y", c.centre.y, 2.983_532_699_292_475_3, 1e-8);
    close("radius", c.radius_m, 4.714_226_037_792_11, 1e-8);
    close("sum of squares", c.rms_m * c.rms_m * 6.0, 1.227_599_078_183_656_3, 1e-8);
    let covariance = [
        [0.228_095_139_174_223_92, 0.288_608_523_835_149_6, -0.213_882_543_378_433_57],
        [0.288_608_523_835_149_7, 2.380_580_073_070_815, -1.845_221_678_339_816_5],
        [-0.213_882_543_378_433_54, -1.845_221_678_339_816_5, 1.498_957_259_713_518_1],
    ];
    for (i, row) in covariance.iter().enumerate() {
        for (j, want) in row.iter().enumerate() {
            close("covariance", c.covariance.get(i, j), *want, 1e-8);
        }
    }
}

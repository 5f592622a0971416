//! Quantiles against published tables: those of the NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7,
//! recomputed to more digits, unless a test names another source.

use super::quantile::{chi2_quantile, f_quantile, normal_quantile, t_cdf, t_quantile, tau_quantile};

#[track_caller]
fn close(what: &str, got: f64, want: f64, tolerance: f64) {
    let miss = (got - want).abs();
    assert!(miss <= tolerance, "{what}: {got} instead of {want}, off by {miss:e}");
}

/// Degrees of freedom n; quantiles of χ² at seven levels; the 95 % quantile of F(2, n).
const CHI2_AND_F: [(f64, [f64; 7], f64); 8] = [
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

#[test]
fn quantiles_of_t() {
    // Degrees of freedom; 0.95, 0.975 and 0.995 quantiles.
    let rows = [
        (1.0, [6.313751514675037, 12.706204736174694, 63.656741162871526]),
        (2.0, [2.9199855803537242, 4.302652729749462, 9.924843200918287]),
        (3.0, [2.3533634348018233, 3.1824463052837078, 5.840909309733355]),
        (5.0, [2.0150483733330233, 2.5705818356363146, 4.032142983555228]),
        (10.0, [1.8124611228116756, 2.228138851986274, 3.16927267261695]),
        (14.0, [1.761310135774891, 2.144786687917804, 2.9768427343708344]),
        (20.0, [1.7247182429207866, 2.085963447265864, 2.8453397097861077]),
        (30.0, [1.697260886593957, 2.0422724563012378, 2.7499956535672254]),
    ];
    for (dof, quantiles) in rows {
        for (p, q) in [0.95, 0.975, 0.995].into_iter().zip(quantiles) {
            // The quantile is found by search; 1e-9 is a nanometre in a ± of a metre.
            close(&format!("t({p}, {dof})"), t_quantile(p, dof), q, 1e-9);
            close(&format!("t({}, {dof})", 1.0 - p), t_quantile(1.0 - p, dof), -q, 1e-9);
            // The density is at most 0.4, so the error of a probability is less than that of a quantile.
            close(&format!("probability below {q}, {dof}"), t_cdf(q, dof), p, 1e-9);
        }
    }
}

#[test]
fn quantiles_of_the_normal_distribution() {
    let rows = [
        (0.9, 1.2815515655446004),
        (0.95, 1.6448536269514722),
        (0.975, 1.959963984540054),
        (0.99, 2.3263478740408408),
        (0.995, 2.5758293035489004),
        (0.999, 3.090232306167813),
        (0.9995, 3.2905267314919255),
    ];
    for (p, z) in rows {
        // 1 − p loses three digits at 0.9995, and the quantile's slope there is 500: an error of 1e-13.
        close(&format!("z({p})"), normal_quantile(p), z, 1e-12);
    }
    // Above ten million degrees of freedom the library uses the normal distribution for t.
    close("t(0.975, ∞)", t_quantile(0.975, 1e8), 1.959963984540054, 1e-12);
}

/// A. J. Pope, The statistics of residuals and the detection of outliers, NOAA TR NOS 65 NGS 1, 1976, by its
/// formula, recomputed; two-sided at 5 % and 0.1 %.
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

#[test]
fn quantiles_of_chi_square_and_f() {
    let levels = [0.025, 0.05, 0.5, 0.95, 0.975, 0.99, 0.999];
    for (dof, chi2, f) in CHI2_AND_F {
        for (p, q) in levels.into_iter().zip(chi2) {
            close(&format!("chi-square({p}, {dof})"), chi2_quantile(p, dof), q, 1e-9 * (1.0 + q));
        }
        close(&format!("F(2, {dof})"), f_quantile(0.95, 2.0, dof), f, 1e-9 * (1.0 + f));
    }
    for (p, k) in [(0.5, 1.1774100225154747), (0.95, 2.447746830680816), (0.99, 3.0348542587702925)] {
        close("√χ²₂", chi2_quantile(p, 2.0).sqrt(), k, 1e-9);
    }
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
}

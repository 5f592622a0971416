//! The statistics of residuals and blunders, and their quantiles.

use ovalpeg::network::ErrorEllipse;
use ovalpeg::numeric::{chi2_quantile, f_quantile, normal_quantile, tau_quantile};
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
    let found = adjusted(&book);
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

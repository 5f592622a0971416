//! Tape notebooks against independent computations, and chainage and offset in closed form.

use ovalpeg::network::{NetworkOptions, Observed, Verdict, adjust};
use ovalpeg::survey::{Notebook, Quantity, Tape};
use ovalpeg_tests::network::{mark, measure};

use crate::networks::adjusted;
use crate::support::close;

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
    let found = adjust(&book, &NetworkOptions::default()).unwrap();
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
    let found = adjust(&book, &NetworkOptions::default()).unwrap();
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
        let found = adjusted(&book);
        // Rounding of thousands.
        close("x", found.marks[2].at.x, at[0], 1e-11);
        close("y", found.marks[2].at.y, at[1], 1e-11);
        close("sd", found.marks[2].ellipse.semi_major_m, 0.02, 1e-15);
    }
}

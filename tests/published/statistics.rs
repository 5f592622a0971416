//! Quantiles that intervals come from. Computed references for the tables of the
//! NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.
//! Those of chi-square and F are with the networks, which use them.

use ovalpeg::numeric::{normal_quantile, t_cdf, t_quantile};

use crate::support::close;

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
            // The density is at most 0.4, so an error of 1e-9 in the quantile is less here.
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
        // 1 − p loses three digits at 0.9995, and the quantile's slope there is 500: 1e-13.
        close(&format!("z({p})"), normal_quantile(p), z, 1e-12);
    }
    // Beyond ten million degrees of freedom the library takes t for normal; the last bits of z.
    close("t(0.975, ∞)", t_quantile(0.975, 1e8), 1.959963984540054, 1e-12);
}

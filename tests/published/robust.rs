//! Constants of robust weights, effective numbers of correlated values, and distances of lines.

use ovalpeg::frame::Local;
use ovalpeg::geometry::{
    Point, directed_hausdorff_m, directed_hausdorff_to_line_m, filled, frechet_m, hausdorff_m,
};
use ovalpeg::numeric::{
    HUBER_95, SD_OVER_MEDIAN, TUKEY_95, effective_of_neighbours, huber_weight, normal_efficiency,
    normal_quantile, tukey_weight,
};

use crate::support::close;

#[test]
fn constants_give_95_per_cent() {
    // Huber 1964; Holland and Welsch 1977: 1.345. The rest recomputed with independent libraries.
    // Simpson's rule over kinks of ψ at steps of 6e-4: their square.
    let huber = |k: f64| normal_efficiency(|r| huber_weight(r, k), 12.0);
    close("Huber 1.345", huber(HUBER_95), 0.950_000_259_702_867_6, 1e-7);
    close("Huber 1.5", huber(1.5), 0.964_235_765_316_260_9, 1e-7);
    close("Huber at 95 %", huber(1.344_997_508_512_045), 0.95, 1e-7);
    // Beaton and Tukey 1974; Holland and Welsch 1977: 4.685.
    let tukey = |c: f64| normal_efficiency(|r| tukey_weight(r, c), 12.0);
    close("Tukey at 95 %", tukey(4.685_064_948_543_382), 0.95, 1e-9);
    close("Tukey 4.685", tukey(TUKEY_95), 0.95, 5e-6);
    // Hampel 1974: 1/Φ⁻¹(3/4); the quantile is found by search.
    close("median", 1.0 / normal_quantile(0.75), SD_OVER_MEDIAN, 1e-9);
}

#[test]
fn effective_numbers_of_neighbours() {
    // Bayley and Hammersley 1946, Priestley 1981 (citations from memory); computed with
    // independent libraries: number, correlation of neighbours, effective number.
    let rows = [
        (100, 0.0, 100.0),
        (100, 0.2, 66.94560669456067),
        (100, 0.5, 33.78378378378378),
        (100, 0.8, 11.62790697663401),
        (50, 0.5, 17.123287671232884),
        (36, 0.3, 19.74626865671642),
        (100, -0.3, 184.49781659388643),
    ];
    for (n, rho, want) in rows {
        // A sum of a hundred terms.
        close(&format!("{n} {rho}"), effective_of_neighbours(n, rho), want, 1e-10);
    }
}

fn line(list: &[[f64; 2]]) -> Vec<Point<Local>> {
    list.iter().map(|&[x, y]| Point::new(x, y)).collect()
}

#[test]
fn distances_of_lines() {
    // Examples of the PostGIS manual for its Hausdorff and Fréchet distances (from memory; recomputed).
    let (a, b) = (line(&[[0.0, 0.0], [2.0, 0.0]]), line(&[[0.0, 1.0], [1.0, 0.0], [2.0, 1.0]]));
    close("three points", hausdorff_m(&a, &b).unwrap(), 1.0, 1e-12);
    let a = line(&[[130.0, 0.0], [0.0, 0.0], [0.0, 150.0]]);
    let b = line(&[[10.0, 10.0], [10.0, 150.0], [130.0, 10.0]]);
    close("vertices", hausdorff_m(&a, &b).unwrap(), 200f64.sqrt(), 1e-12);
    // Its densified value is of points to legs.
    let to_line = |a: &[Point<Local>], b: &[Point<Local>]| {
        let one = directed_hausdorff_to_line_m(a, b).unwrap();
        one.max(directed_hausdorff_to_line_m(b, a).unwrap())
    };
    close("halves", to_line(&filled(&a, 2), &filled(&b, 2)), 70.0, 1e-12);
    let a = line(&[[0.0, 0.0], [100.0, 0.0]]);
    let b = line(&[[0.0, 0.0], [50.0, 50.0], [100.0, 0.0]]);
    close("leash", frechet_m(&a, &b).unwrap(), 5000f64.sqrt(), 1e-12);
    close("leash, halves", frechet_m(&filled(&a, 2), &filled(&b, 2)).unwrap(), 50.0, 1e-12);
    // Geometry of the PostGIS documentation, values computed with independent libraries.
    let a = line(&[[0.0, 0.0], [50.0, 200.0], [100.0, 0.0], [150.0, 200.0], [200.0, 0.0]]);
    let b = line(&[[0.0, 200.0], [200.0, 150.0], [0.0, 100.0], [200.0, 50.0], [0.0, 0.0]]);
    close("zigzags' leash", frechet_m(&a, &b).unwrap(), 200.0, 1e-12);
    close("zigzags", to_line(&a, &b), 48.507_125_007_266_595, 1e-12);
    // SciPy's example of a directed distance.
    let u = line(&[[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]]);
    let v = line(&[[2.0, 0.0], [0.0, 2.0], [-2.0, 0.0], [0.0, -4.0]]);
    close("u to v", directed_hausdorff_m(&u, &v).unwrap(), 5f64.sqrt(), 1e-12);
    close("v to u", directed_hausdorff_m(&v, &u).unwrap(), 3.0, 1e-12);
    // Eiter and Mannila 1994, by its definition; computed with independent libraries.
    let a = line(&[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [3.0, 0.0], [4.0, 0.0]]);
    let b = line(&[[0.0, 1.0], [1.0, 2.0], [2.0, 0.5], [3.0, 1.0], [4.0, 1.0]]);
    close("small", frechet_m(&a, &b).unwrap(), 2.0, 1e-12);
}

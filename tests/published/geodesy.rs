//! Grid, local plane and datum shift against published examples, and the local
//! plane against an independent geodesic solver.
//!
//! Published, unless a test says otherwise: ICSM, GDA Technical Manual 2.4 (2014)
//! and GDA2020 Technical Manual, the lines Flinders Peak to Buninyong and the
//! Alice Springs (ALIC) transformation, as Geoscience Australia's GeodePy carries
//! them in its tests. The library has no geodesic of its own: `geo::Geodesic`
//! is proved on the manual's line first, then used as the oracle.
//!
//! Karney's first row of transverse Mercator test data lies 45° off its meridian,
//! outside any MGA zone, so no public door takes it; the projection's own file has it.

use geo::{Bearing, Distance, GeodesicMeasure};
use ovalpeg::frame::{Datum, Degrees, Geodetic, LocalPlane, OnGrid, Xyz, Zone};
use ovalpeg::geometry::Point;
use ovalpeg::units::TrueBearing;

use crate::support::close;

const FLINDERS_PEAK: [f64; 2] = [-37.95103341666667, 144.42486788888889];
const BUNINYONG: [f64; 2] = [-37.65282113888889, 143.92649552777778];

fn place([latitude, longitude]: [f64; 2], height_m: f64) -> Geodetic {
    Geodetic::new(Degrees { latitude, longitude }, height_m, Datum::Gda2020).unwrap()
}

/// Degrees, minutes and seconds; the sign is that of the degrees.
fn dms(degrees: f64, minutes: f64, seconds: f64) -> f64 {
    degrees + (minutes / 60.0 + seconds / 3600.0).copysign(degrees)
}

/// A second of arc, degrees.
const SECOND: f64 = 1.0 / 3600.0;

/// The geodesics of GRS80.
fn grs80() -> impl Bearing<f64> + Distance<f64, geo::Point, geo::Point> {
    // The second argument is called inverse flattening and is the flattening.
    GeodesicMeasure::new(6_378_137.0, 1.0 / 298.257_222_101)
}

/// For the oracle, longitude comes first.
fn lon_lat(p: &Geodetic) -> geo::Point {
    geo::Point::new(p.longitude_deg(), p.latitude_deg())
}

#[test]
fn the_oracle_solves_the_manuals_line() {
    let (fp, bu) = (lon_lat(&place(FLINDERS_PEAK, 0.0)), lon_lat(&place(BUNINYONG, 0.0)));
    let oracle = grs80();
    let (s, there, back) = (oracle.distance(fp, bu), oracle.bearing(fp, bu), oracle.bearing(bu, fp));
    // Printed to the millimetre and to 0.01″: half of each.
    close("distance", s, 54_972.271, 0.0005);
    close("azimuth", there, dms(306.0, 52.0, 5.37), 0.005 * SECOND);
    close("back azimuth", back, dms(127.0, 10.0, 25.07), 0.005 * SECOND);
    // Computed reference with another solver: a micrometre, and 1e-9° that is over 55 km.
    close("distance, computed", s, 54_972.271_139_128_8, 1e-6);
    close("azimuth, computed", there, 306.868_159_202_313_3, 1e-9);
    close("back azimuth, computed", back, 127.173_630_628_454_83, 1e-9);
}

/// Ovals' places from Thursday Island to Hobart, none of them a real ground.
const PLACES: [[f64; 2]; 7] = [
    [-10.58, 142.21],
    [-12.4, 130.9],
    [-23.7, 133.88],
    [-27.486, 153.038],
    [-31.95, 115.86],
    [-37.82, 144.983],
    [-42.88, 147.33],
];

#[test]
fn the_local_plane_is_true_over_a_ground() {
    let oracle = grs80();
    for at in PLACES {
        let anchor = place(at, 0.0);
        let plane = LocalPlane::at(anchor).unwrap();
        for (i, metres) in (0..12).zip([100.0, 135.0, 165.0, 200.0].into_iter().cycle()) {
            let bearing = TrueBearing::from_degrees(7.0 + 30.0 * f64::from(i)).unwrap();
            let (e, n) = bearing.step();
            let there = plane.to_geodetic(Point::new(metres * e, metres * n)).unwrap();
            let (a, b) = (lon_lat(&anchor), lon_lat(&there));
            let what = format!("{at:?}, {metres} m at {}°", bearing.degrees());
            // The plane leaves the ellipsoid by d³/6R², 3e-8 m at 200 m; the solver is
            // good to 1.5e-8 m, and the last bit of 145° is 3e-9 m.
            close(&format!("{what}: distance"), oracle.distance(a, b), metres, 6e-8);
            // 2e-8 m across a line of 100 m is 1.1e-8°.
            close(&format!("{what}: azimuth"), oracle.bearing(a, b), bearing.degrees(), 1.2e-8);
        }
    }
}

#[test]
fn lengths_across_the_plane_are_true_too() {
    // From post to post, where neither end is the datum point.
    let oracle = grs80();
    for at in PLACES {
        let plane = LocalPlane::at(place(at, 0.0)).unwrap();
        for (p, q) in
            [((82.5, 3.0), (-82.5, -4.0)), ((20.0, 77.0), (-31.0, -70.0)), ((60.0, 60.0), (60.0, -60.0))]
        {
            let (p, q) = (Point::new(p.0, p.1), Point::new(q.0, q.1));
            let [a, b] = [p, q].map(|p| lon_lat(&plane.to_geodetic(p).unwrap()));
            // Nearer to the datum point than above, so within the same bound.
            close(&format!("{at:?}"), oracle.distance(a, b), p.distance_to(q), 6e-8);
        }
    }
}

fn mga(at: [f64; 2], zone: u8) -> OnGrid {
    place(at, 0.0).on_grid(Zone::new(zone).unwrap()).unwrap()
}

struct OnMga {
    at: [f64; 2],
    easting: f64,
    northing: f64,
    convergence: f64,
    scale: f64,
}

/// Computed references: the first two are the manual's stations with more digits,
/// the others points of our own.
#[rustfmt::skip]
const ON_MGA_55: [OnMga; 4] = [
    OnMga { at: FLINDERS_PEAK, easting: 273_741.296_645_930_8, northing: 5_796_489.776_865_904,
            convergence: -1.584_346_456_045_15, scale: 1.000_230_558_576_3 },
    OnMga { at: BUNINYONG, easting: 228_854.051_252_721_5, northing: 5_828_259.038_361_375,
            convergence: -1.878_671_808_427_99, scale: 1.000_505_669_136_1 },
    OnMga { at: [-36.5, 145.0], easting: 320_878.739_182_38, northing: 5_958_731.912_684_61,
            convergence: -1.189_961_963_022_3, scale: 0.999_995_307_618_21 },
    OnMga { at: [-37.81998, 144.98345], easting: 322_511.199_624_348, northing: 5_812_242.605_588_49,
            convergence: -1.236_835_981_240_7, scale: 0.999_988_018_931_35 },
];

#[test]
fn mga_zone_55() {
    for want in &ON_MGA_55 {
        let got = mga(want.at, 55);
        let what = format!("{:?}", want.at);
        // The series is good to 6e-8 m over Australia.
        close(&format!("{what}: easting"), got.point.easting_m(), want.easting, 1e-7);
        close(&format!("{what}: northing"), got.point.northing_m(), want.northing, 1e-7);
        // The Australian sign: grid bearing = azimuth + convergence, so it is
        // negative west of the central meridian. PROJ's has the opposite sign. 1e-10°
        // is 1e-7 m over 55 km.
        close(&format!("{what}: convergence"), got.convergence_deg, want.convergence, 1e-10);
        close(&format!("{what}: point scale"), got.scale_factor, want.scale, 1e-12);
        // And back: 1e-12° is 1e-7 m.
        let back = got.point.geodetic().unwrap();
        close(&format!("{what}: latitude"), back.latitude_deg(), want.at[0], 1e-12);
        close(&format!("{what}: longitude"), back.longitude_deg(), want.at[1], 1e-12);
    }
}

/// Convergence and point scale as printed are recalled from memory; eastings and
/// northings are published.
#[test]
fn mga_zone_55_as_the_manual_prints_it() {
    let rows = [
        (FLINDERS_PEAK, 273_741.296_6, 5_796_489.776_9, dms(-1.0, 35.0, 3.65), 1.000_230_56),
        (BUNINYONG, 228_854.051_3, 5_828_259.038_4, dms(-1.0, 52.0, 43.22), 1.000_505_67),
    ];
    for (at, easting, northing, convergence, scale) in rows {
        let got = mga(at, 55);
        let what = format!("{at:?}");
        // Half of the last digit, and a tie's worth.
        close(&format!("{what}: easting"), got.point.easting_m(), easting, 0.51e-4);
        close(&format!("{what}: northing"), got.point.northing_m(), northing, 0.51e-4);
        close(&format!("{what}: convergence"), got.convergence_deg, convergence, 0.0051 * SECOND);
        close(&format!("{what}: point scale"), got.scale_factor, scale, 0.51e-8);
    }
}

/// The manual's grid bearing is azimuth + convergence: the azimuth from the oracle,
/// the convergence from the library.
#[test]
fn grid_bearings() {
    let (fp, bu) = (place(FLINDERS_PEAK, 0.0), place(BUNINYONG, 0.0));
    let oracle = grs80();
    for (from, to, want) in [(fp, bu, dms(305.0, 17.0, 1.7259)), (bu, fp, dms(125.0, 17.0, 41.8518))] {
        let azimuth = TrueBearing::from_degrees(oracle.bearing(lon_lat(&from), lon_lat(&to))).unwrap();
        let here = from.on_grid(Zone::new(55).unwrap()).unwrap();
        // Printed to 0.0001″; its own inputs are rounded there, so one digit of it.
        close("grid bearing", here.grid_bearing(azimuth).unwrap().degrees(), want, 1e-4 * SECOND);
    }
}

/// The straight line on the grid: its length, its bearing, and by how much its bearing
/// differs from the geodesic's at the station (arc to chord).
#[test]
fn the_line_on_the_grid() {
    let (fp, bu) = (mga(FLINDERS_PEAK, 55), mga(BUNINYONG, 55));
    let east = bu.point.easting_m() - fp.point.easting_m();
    let north = bu.point.northing_m() - fp.point.northing_m();
    // Published to the millimetre.
    close("plane distance", east.hypot(north), 54_992.279, 0.0005);
    let plane_bearing = ovalpeg::units::GridBearing::of_step(east, north).unwrap();
    // Computed reference, printed to 1e-6°.
    close("plane bearing", plane_bearing.degrees(), 305.289_218, 0.51e-6);

    // Arc to chord by the manual's formula (from memory), with the radius of curvature
    // at mid-latitude; E′ is the easting from the central meridian.
    let e2 = (2.0 - 1.0 / 298.257_222_101) / 298.257_222_101;
    let w2 = 1.0 - e2 * f64::to_radians(0.5 * (FLINDERS_PEAK[0] + BUNINYONG[0])).sin().powi(2);
    let r2 = (6_378_137.0 * 0.9996f64).powi(2) * (1.0 - e2) / (w2 * w2);
    let (e1, e2) = (fp.point.easting_m() - 500_000.0, bu.point.easting_m() - 500_000.0);
    let sum = e2 + 2.0 * e1;
    let arc_to_chord = (-north * sum / (6.0 * r2) * (1.0 - sum * sum / (27.0 * r2))).to_degrees();
    let azimuth = grs80().bearing(lon_lat(&place(FLINDERS_PEAK, 0.0)), lon_lat(&place(BUNINYONG, 0.0)));
    // The formula drops terms in the fourth power: a few thousandths of its 19.5″.
    close(
        "arc to chord",
        plane_bearing.degrees() - (azimuth + fp.convergence_deg),
        arc_to_chord,
        0.02 * SECOND,
    );
}

/// The mean of the point scale along the line by Simpson's rule is the line's scale factor.
#[test]
fn the_line_scale_factor() {
    let (fp, bu) = (mga(FLINDERS_PEAK, 55), mga(BUNINYONG, 55));
    let middle = ovalpeg::frame::GridPoint::new(
        Zone::new(55).unwrap(),
        0.5 * (fp.point.easting_m() + bu.point.easting_m()),
        0.5 * (fp.point.northing_m() + bu.point.northing_m()),
        0.0,
        Datum::Gda2020,
    );
    let middle = middle.unwrap().geodetic().unwrap().on_grid(Zone::new(55).unwrap()).unwrap();
    let line = (fp.scale_factor + 4.0 * middle.scale_factor + bu.scale_factor) / 6.0;
    // Printed to 1e-8; Simpson's rule is exact to the third power, the rest is below 1e-9.
    close("line scale factor", line, 1.000_363_97, 0.6e-8);
}

#[test]
fn alice_springs_from_gda94_to_gda2020() {
    let given = Xyz { x_m: -4_052_051.764_3, y_m: 4_212_836.201_7, z_m: -2_545_106.024_5 };
    let alic = Geodetic::from_xyz(given, Datum::Gda94).unwrap().to_gda2020().unwrap();
    assert_eq!(alic.datum(), Datum::Gda2020);
    let Xyz { x_m, y_m, z_m } = alic.xyz();
    // Printed to 0.1 mm, from coordinates printed to 0.1 mm.
    close("x", x_m, -4_052_052.737_9, 0.55e-4);
    close("y", y_m, 4_212_835.989_7, 0.55e-4);
    close("z", z_m, -2_545_104.589_8, 0.55e-4);
    // Printed to 0.00001″, which is 0.3 mm; the metres above hold it to a sixth of that.
    close("latitude", alic.latitude_deg(), dms(-23.0, 40.0, 12.39650), 0.51e-5 * SECOND);
    close("longitude", alic.longitude_deg(), dms(133.0, 53.0, 7.87779), 0.51e-5 * SECOND);
    close("height", alic.height_m(), 603.2489, 0.55e-4);
    let on = alic.on_grid(Zone::of(&alic).unwrap()).unwrap();
    assert_eq!(on.point.zone().number(), 53);
    close("easting", on.point.easting_m(), 386_353.234_3, 0.55e-4);
    close("northing", on.point.northing_m(), 7_381_852.298_6, 0.55e-4);
}

/// East, north and up of `p` from `origin` by Earth-centred coordinates (EPSG Guidance Note 7-2, method 9837).
fn topocentric(origin: &Geodetic, p: &Geodetic) -> [f64; 3] {
    let (o, p) = (origin.xyz(), p.xyz());
    let (dx, dy, dz) = (p.x_m - o.x_m, p.y_m - o.y_m, p.z_m - o.z_m);
    let (sl, cl) = origin.latitude_deg().to_radians().sin_cos();
    let (so, co) = origin.longitude_deg().to_radians().sin_cos();
    [-so * dx + co * dy, -sl * co * dx - sl * so * dy + cl * dz, cl * co * dx + cl * so * dy + sl * dz]
}

/// The example of EPSG Guidance Note 7-2 for method 9837, published value recalled
/// from memory, recomputed. The local plane takes points at its own height, so the
/// example, 229 km away and 127 m lower, goes through the Earth-centred coordinates.
#[test]
fn topocentric_example() {
    let origin = place([55.0, 5.0], 200.0);
    let point = place([53.809_394_444_444_44, 2.129_55], 73.0);
    let [u, v, w] = topocentric(&origin, &point);
    // The example is on the ellipsoid of WGS 84, the library on GRS80: its pole is
    // 0.105 mm nearer. Both points move by sin² φ of that, alike but for 0.003 mm, in
    // directions 2.1° apart: 0.004 mm. Together 0.007 mm.
    for (what, got, computed, published) in [
        ("east", u, -189_013.869_150_912_7, -189_013.869),
        ("north", v, -128_642.039_805_557_17, -128_642.040),
        ("up", w, -4_220.170_758_402_521, -4_220.171),
    ] {
        close(&format!("{what}, computed"), got, computed, 1e-5);
        // Printed to the millimetre.
        close(&format!("{what}, published"), got, published, 0.0005 + 1e-5);
    }
}

/// Computed reference (independent libraries): a plane at 100 m, on GRS80.
#[test]
fn ground_scale() {
    let (origin, there) = (place([-36.5, 145.0], 100.0), place([-36.4995, 145.0008], 100.0));
    let plane = LocalPlane::at(origin).unwrap();
    let p = plane.to_local(&there).unwrap();
    // Ten times the last bit of 6.4e6 m.
    close("east", p.x, 71.674_463_631_750_2, 1e-8);
    close("north", p.y, 55.484_720_660_914_34, 1e-8);
    let [e, n, u] = topocentric(&origin, &there);
    close("east, second method", e, p.x, 1e-8);
    close("north, second method", n, p.y, 1e-8);
    close("up", u, -0.000_644_334_346_731_056_9, 1e-8);
    // The plane takes any place at its own height.
    let low = plane.to_local(&place([-36.4995, 145.0008], 0.0)).unwrap();
    close("from another height", low.distance_to(p), 0.0, 1e-12);
}

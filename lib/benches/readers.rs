//! How long large surveys take to read, at two sizes: twice the points must take no
//! more than about twice the time.
//!
//! `cargo bench -p ovalpeg --bench readers`

use std::fmt::Write;

use ovalpeg::survey::{MAX_BYTES, ReadOptions, read};

fn main() {
    divan::main();
}

/// Longitude, latitude, height and second of each point of a long walk.
fn walk(n: u32) -> impl Iterator<Item = (f64, f64, f64, u32)> {
    (0..n).map(|i| {
        let t = f64::from(i) * 0.01;
        (145.0 + 1e-3 * t.cos(), -36.5 + 8e-4 * t.sin(), 120.0 + t.sin(), i)
    })
}

fn time(i: u32) -> String {
    format!("2026-03-{:02}T{:02}:{:02}:{:02}Z", 14 + i / 86_400, i / 3_600 % 24, i / 60 % 60, i % 60)
}

/// A track with heights, times and extensions, as a watch writes it.
fn gpx(n: u32) -> Vec<u8> {
    let mut s = String::from(
        "<?xml version=\"1.0\"?><gpx version=\"1.1\" xmlns=\"http://www.topografix.com/GPX/1/1\" \
         xmlns:x=\"urn:example\"><trk><name>walk</name><trkseg>\n",
    );
    for (lon, lat, h, i) in walk(n) {
        let _ = writeln!(
            s,
            "<trkpt lat=\"{lat:.8}\" lon=\"{lon:.8}\"><ele>{h:.1}</ele><time>{}</time>\
             <extensions><x:tpx><x:hr>{}</x:hr><x:cad>80</x:cad></x:tpx></extensions></trkpt>",
            time(i),
            100 + i % 50
        );
    }
    s += "</trkseg></trk></gpx>";
    s.into_bytes()
}

/// The same as one line with a list of times.
fn geojson(n: u32) -> Vec<u8> {
    let times: Vec<String> = (0..n).map(|i| format!("\"{}\"", time(i))).collect();
    let places: Vec<String> = walk(n).map(|(lon, lat, h, _)| format!("[{lon:.8},{lat:.8},{h:.1}]")).collect();
    format!(
        "{{\"type\":\"FeatureCollection\",\"features\":[{{\"type\":\"Feature\",\"properties\":\
         {{\"name\":\"walk\",\"coordTimes\":[{}]}},\"geometry\":{{\"type\":\"LineString\",\"coordinates\":[{}]}}}}]}}",
        times.join(","),
        places.join(",")
    )
    .into_bytes()
}

/// The same as loose features, each with names of its own that nothing groups.
fn geojson_points(n: u32) -> Vec<u8> {
    let features: Vec<String> = walk(n)
        .map(|(lon, lat, _, i)| {
            let name: String = i.to_string().bytes().map(|b| char::from(b - b'0' + b'a')).collect();
            format!(
                "{{\"type\":\"Feature\",\"properties\":{{\"name\":\"{name}\"}},\"geometry\":\
                 {{\"type\":\"Point\",\"coordinates\":[{lon:.7},{lat:.7}]}}}}"
            )
        })
        .collect();
    format!("{{\"type\":\"FeatureCollection\",\"features\":[{}]}}", features.join(",")).into_bytes()
}

fn bench(bencher: divan::Bencher<'_, '_>, bytes: &[u8], n: u32) {
    assert!(bytes.len() <= MAX_BYTES, "{} bytes", bytes.len());
    let options = ReadOptions::default();
    let all = read(bytes, &options).expect("made here").value.observations.len();
    assert_eq!(all, n as usize);
    bencher.bench(|| read(divan::black_box(bytes), &options));
}

#[divan::bench(args = [50_000, 100_000], sample_count = 10)]
fn gpx_track(bencher: divan::Bencher<'_, '_>, n: u32) {
    bench(bencher, &gpx(n), n);
}

#[divan::bench(args = [50_000, 100_000], sample_count = 10)]
fn geojson_line(bencher: divan::Bencher<'_, '_>, n: u32) {
    bench(bencher, &geojson(n), n);
}

#[divan::bench(args = [50_000, 100_000], sample_count = 10)]
fn geojson_loose_points(bencher: divan::Bencher<'_, '_>, n: u32) {
    bench(bencher, &geojson_points(n), n);
}

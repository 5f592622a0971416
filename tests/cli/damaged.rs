//! Damaged and hostile files, through the program: told with file, line and remedy, in a few lines
//! and in bounded time; and no number that is none reaches a person.

use std::time::{Duration, Instant};

use crate::support::{Folder, oval, posts, refused, run};

fn survey() -> String {
    oval(83.345, 67.5, |_, _| true) + &posts(82.5)
}

/// One line however a report wrapped it.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_table_whose_last_row_is_cut_is_told_with_file_line_and_remedy() {
    let folder = Folder::new();
    let whole = survey();
    let rows = whole.lines().count();
    let last = whole.trim_end().rfind('\n').unwrap() + 1;
    for (keep, then) in [(4, "is left out"), (whole[last..].find(',').unwrap() + 6, "is used as it stands")] {
        let file = folder.file("walk.csv", &whole[..last + keep]);
        let r = run(&["fit", &file, "--shape", "ellipse", "--method", "rtk"]);
        let told = flat(&r.out);
        assert_eq!(r.code, 0, "{}", r.err);
        let want = format!("{file}, line {rows}: the last row has");
        // A wrapped report breaks a path nowhere.
        assert!(told.contains(&want), "{want}\n{}", r.out);
        assert!(told.contains(then) && told.contains("fetch the file again"), "{}", r.out);
    }
    let file = folder.file("walk.csv", &whole);
    assert!(!run(&["fit", &file, "--shape", "ellipse", "--method", "rtk"]).out.contains("cut off"));
}

#[test]
fn a_megabyte_of_anything_ends_soon_in_a_few_lines() {
    megabytes(1);
}

#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn ten_megabytes_of_anything_end_soon_in_a_few_lines() {
    megabytes(10);
}

/// Files of about so many megabytes, each of another kind of trouble.
fn megabytes(size: usize) {
    let folder = Folder::new();
    let start = Instant::now();
    for (name, text) in [
        ("columns.csv", format!("x,y{}\n1,2\n", ",a".repeat(500_000 * size))),
        ("quote.csv", format!("x,y,code\n1,2,\"BL\n{}", "3,4,BL\n".repeat(140_000 * size))),
        ("cell.csv", format!("x,y\n1,{}\n", "9x".repeat(500_000 * size))),
        ("rows.csv", format!("x,y\n{}", "a,b\n".repeat(250_000 * size))),
        ("deep.geojson", "[".repeat(1_000_000 * size)),
        ("deep.kml", format!("<kml>{}", "<Folder>".repeat(120_000 * size))),
        (
            "name.kml",
            format!("<kml><Placemark><name>{}</name></Placemark></kml>", "n".repeat(1_000_000 * size)),
        ),
        ("attribute.gpx", format!("<gpx><wpt lat='{}' lon='145'/></gpx>", "9".repeat(1_000_000 * size))),
        ("element.gpx", format!("<gpx><{0}/></gpx>", "a".repeat(1_000_000 * size))),
        ("marks.txt", format!("a to b: 5\n{}", "c is odd\n".repeat(110_000 * size))),
        ("line.txt", format!("a to b: {}\n", "5".repeat(1_000_000 * size))),
    ] {
        let e = refused(&["fit", &folder.file(name, &text)]);
        assert!(
            e.lines().count() <= 9 && e.len() < 2_500,
            "{name}: {} lines of {}",
            e.lines().count(),
            e.len()
        );
        assert!(e.contains(name), "{name}: {e}");
    }
    // An unoptimised library takes some twenty seconds for all of them, on a busy machine several times that.
    assert!(start.elapsed() < Duration::from_secs(300), "{:?}", start.elapsed());
}

#[test]
fn rows_of_blanks_are_passed_over() {
    let folder = Folder::new();
    let spaced = survey().replace('\n', "\n \n\n");
    let [plain, spaced] = [("plain.csv", survey()), ("spaced.csv", spaced)].map(|(name, text)| {
        let r = run(&["fit", &folder.file(name, &text), "--shape", "ellipse", "--method", "rtk"]);
        assert_eq!(r.code, 0, "{}", r.err);
        flat(&r.out).split_once("length").unwrap().1.split_once("residuals").unwrap().0.to_owned()
    });
    assert_eq!(plain, spaced);
}

/// Six and seven points of an ellipse leave nothing to weigh shapes by.
#[test]
fn few_points_are_told_in_numbers_and_words() {
    let folder = Folder::new();
    for n in 5..=8 {
        let mut text = String::from("x,y\n");
        for i in 0..n {
            let t = std::f64::consts::TAU * (f64::from(i) + 0.3) / f64::from(n);
            text += &format!("{},{}\n", 80.0 * t.cos(), 65.0 * t.sin());
        }
        let file = folder.file("few.csv", &text);
        for more in [&[][..], &["--json"]] {
            let r = run(&[&["fit", file.as_str()], more].concat());
            let told = r.out + &r.err;
            let none = |w: &str| ["NaN", "nan", "inf"].contains(&w);
            assert!(!told.split(|c: char| !c.is_alphanumeric()).any(none), "{told}");
            assert_eq!(r.code, if n == 5 { 2 } else { 0 }, "{told}");
            assert!(n == 5 || flat(&told).contains("too few points to compare it with"), "{told}");
        }
    }
}

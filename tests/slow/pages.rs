//! Pages as other programs read them: the PDF's structure, fonts and dots, and the PNG beside it.
//!
//! The programs are qpdf and those of poppler-utils. Where one is missing these tests fail and name it: what was not
//! looked at has not passed.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use ovalpeg::briefing::briefing;
use ovalpeg::export::{Imprint, pdf, png};
use ovalpeg::page::{Item, Page, Paper, Role, SheetSide, four_up, plan};
use ovalpeg::units::Day;
use ovalpeg::venue;
use ovalpeg_tests::pages::{card, small_card};

/// Dots per inch of the picture, and of the print beside it. Poppler moves each glyph to a whole dot, so the print is
/// drawn three times as fine, or a text would be off by up to a dot of the picture.
const PICTURE: f64 = 150.0;
const PRINT: &str = "450";
/// What the picture and the print may differ by where three by three dots of the picture, and nine by nine of the
/// print, are one: root mean square of 0 to 1. Two programs soften edges each in its own way: 0.012 to 0.020 on the demo
/// league's plans. A picture that is off by one dot differs by 0.039 and more.
const MOST_RMS: f64 = 0.025;

/// A folder that is gone afterwards.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("ovalpeg-{name}-{}", std::process::id()));
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn put(&self, name: &str, bytes: &[u8]) -> String {
        let path = self.0.join(name);
        fs::write(&path, bytes).unwrap();
        path.to_str().unwrap().to_owned()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// What a program prints; it must be there, and end well and without a word of complaint.
fn run(program: &str, arguments: &[&str]) -> String {
    let done = Command::new(program).args(arguments).output();
    let done = done.unwrap_or_else(|why| {
        panic!("{program} can't be run ({why}), and nothing else checks this: install qpdf and poppler-utils")
    });
    let (out, err) = (String::from_utf8_lossy(&done.stdout), String::from_utf8_lossy(&done.stderr));
    // pdfinfo takes "nothing here is suspect" for a mistake, though the standard asks for a boolean.
    let complaints =
        err.lines().filter(|line| !line.contains("Suspects object is wrong type (boolean)")).count();
    assert!(done.status.success() && complaints == 0, "{program} {arguments:?}\n{out}\n{err}");
    out.into_owned()
}

fn imprint() -> Imprint {
    Imprint::new("Cockatoo Hollow \u{202e}: card", "Where to stand.", "2026-08-01".parse().unwrap()).unwrap()
}

/// The lines of a text without the spaces about them, empty ones left out.
fn lines(text: &str) -> Vec<&str> {
    text.lines().map(str::trim).filter(|line| !line.is_empty()).collect()
}

#[test]
fn a_card_is_a_sound_file_that_reads_aloud_in_order() {
    let folder = Folder::new("card");
    let pages = card("Cockatoo Hollow").unwrap();
    let file = folder.put("card.pdf", &pdf(&pages, &imprint()).unwrap());
    assert!(run("qpdf", &["--check", &file]).contains("No syntax or stream encoding errors found"));

    let said = run("pdfinfo", &[&file]);
    for want in [
        "Title:           Cockatoo Hollow [U+202E]: card",
        "Subject:         Where to stand.",
        "Tagged:          yes",
        "Pages:           2",
        "PDF version:     1.7",
        "419.528 x 595.276 pts",
    ] {
        assert!(said.contains(want), "{want}\n{said}");
    }

    // Each font is embedded, as a subset, with its characters: name, type, encoding, emb, sub, uni, object.
    let fonts = run("pdffonts", &[&file]);
    let rows: Vec<&str> = fonts.lines().skip(2).collect();
    assert_eq!(rows.len(), 2, "{fonts}");
    assert!(
        rows.iter().all(|row| row.contains("yes yes yes") && row.contains("+IBMPlexSansCond")),
        "{fonts}"
    );

    let heard = run("pdfinfo", &["-struct-text", &file]);
    let heard = lines(&heard);
    let places = [
        "Sect",
        "H1 \"Cockatoo Hollow\" (block)",
        "H2 \"WATCH\" (block)",
        "\"fence 2.4 m from the\"",
        "\"see the silo → on the plan\"",
        "H2 \"FACE\" (block)",
        "H2 \"START\" (block)",
        "\"turned \"",
        "Sect",
        "Figure",
        "\"spot 0\"",
        "\"spot 125\"",
        "\"SILO end\"",
    ];
    let mut from = 0;
    for want in places {
        let found = heard[from..].iter().position(|line| line.contains(want));
        from +=
            found.unwrap_or_else(|| panic!("{want} is not heard after line {from}:\n{}", heard.join("\n")));
    }
}

#[test]
fn bookmarks_and_links_lead_to_their_pages() {
    let folder = Folder::new("links");
    let pages = card("Cockatoo Hollow").unwrap();
    let file = folder.put("card.pdf", &pdf(&pages, &imprint()).unwrap());
    let json = run("qpdf", &["--json", "--json-key=outlines", "--json-key=pages", &file]);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let title = |node: &serde_json::Value| {
        (node["title"].as_str().unwrap().to_owned(), node["destpageposfrom1"].as_u64().unwrap())
    };
    let top: Vec<_> = json["outlines"].as_array().unwrap().iter().map(title).collect();
    assert_eq!(
        top,
        [("Cockatoo Hollow: the card".to_owned(), 1), ("Cockatoo Hollow: the plan".to_owned(), 2)]
    );
    let under = json["outlines"][0]["kids"][0]["kids"].as_array().unwrap();
    assert_eq!(
        under.iter().map(title).map(|(title, _)| title).collect::<Vec<_>>(),
        ["WATCH", "FACE", "START"]
    );
}

#[test]
fn four_cards_lie_on_two_sides_of_a_sheet() {
    let folder = Folder::new("sheet");
    let cards: Vec<Page> = ["Ash Flat", "Bunyip Creek", "Corella Park", "Dray Hill"]
        .map(|name| small_card(name).unwrap())
        .into();
    let sheets =
        [SheetSide::Front, SheetSide::Back].map(|side| four_up(&cards, side, "Cards to cut").unwrap());
    let file = folder.put("sheet.pdf", &pdf(&sheets, &imprint()).unwrap());
    run("qpdf", &["--check", &file]);
    assert!(run("pdfinfo", &[&file]).contains("(A4)"));
    let front = run("pdftotext", &["-f", "1", "-l", "1", "-layout", &file, "-"]);
    let back = run("pdftotext", &["-f", "2", "-l", "2", "-layout", &file, "-"]);
    let rows = |text: &str| -> Vec<String> {
        let all = lines(text).into_iter().filter(|line| line.contains("  ") && !line.contains("silo"));
        all.map(|line| line.split_whitespace().collect::<Vec<_>>().join(" ")).collect()
    };
    assert_eq!(rows(&front), ["Ash Flat Bunyip Creek", "Corella Park Dray Hill"], "{front}");
    assert_eq!(rows(&back), ["Bunyip Creek Ash Flat", "Dray Hill Corella Park"], "{back}");
}

/// The grey of each block of so many by so many dots of a picture, 0 to 1, row by row; and how many a row has.
fn grey(rgb: &[u8], width: usize, height: usize, side: usize) -> (Vec<f64>, usize) {
    let (wide, high) = (width / side, height / side);
    let dot = |x: usize, y: usize| {
        let at = 3 * (y * width + x);
        rgb[at..at + 3].iter().map(|part| f64::from(*part)).sum::<f64>() / 765.0
    };
    let all = side * side;
    let block = |x: usize, y: usize| {
        (0..all).map(|i| dot(side * x + i % side, side * y + i / side)).sum::<f64>() / all as f64
    };
    ((0..wide * high).map(|i| block(i % wide, i / wide)).collect(), wide)
}

/// A picture as pdftoppm writes it: `P6`, width, height, 255, then the dots.
fn ppm(bytes: &[u8]) -> (&[u8], usize, usize) {
    let mut rest = bytes;
    let mut word = || {
        let end = rest.iter().position(u8::is_ascii_whitespace).unwrap();
        let word = std::str::from_utf8(&rest[..end]).unwrap();
        rest = &rest[end + 1..];
        word
    };
    assert_eq!(word(), "P6");
    let [width, height, most] = [(); 3].map(|()| word().parse::<usize>().unwrap());
    assert_eq!((most, rest.len()), (255, 3 * width * height));
    (rest, width, height)
}

/// How much a page's PNG differs from its PDF as poppler draws it, root mean square, and how many blocks are dark.
fn difference(folder: &Folder, page: &Page) -> (f64, usize) {
    let file = folder.put("page.pdf", &pdf(std::slice::from_ref(page), &imprint()).unwrap());
    run("pdftoppm", &["-r", PRINT, "-singlefile", &file, file.trim_end_matches(".pdf")]);
    let printed = fs::read(folder.0.join("page.ppm")).unwrap();
    let (print, width, height) = ppm(&printed);

    let bytes = png(page, PICTURE).unwrap();
    let mut reader = ::png::Decoder::new(std::io::Cursor::new(&bytes)).read_info().unwrap();
    let mut dots = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut dots).unwrap();
    let (shown_width, shown_height) = (info.width as usize, info.height as usize);
    assert!((3 * shown_width).abs_diff(width) <= 3 && (3 * shown_height).abs_diff(height) <= 3);

    let (print, print_wide) = grey(print, width, height, 9);
    let (shown, shown_wide) = grey(&dots, shown_width, shown_height, 3);
    let (wide, high) = (print_wide.min(shown_wide), (height / 9).min(shown_height / 3));
    let square = |i: usize| {
        let (x, y) = (i % wide, i / wide);
        (print[y * print_wide + x] - shown[y * shown_wide + x]).powi(2)
    };
    let rms = ((0..wide * high).map(square).sum::<f64>() / (wide * high) as f64).sqrt();
    (rms, print.iter().filter(|grey| **grey < 0.5).count())
}

#[test]
fn the_picture_shows_what_the_print_shows() {
    let folder = Folder::new("dots");
    for (number, page) in card("Cockatoo Hollow").unwrap().iter().enumerate() {
        let (rms, ink) = difference(&folder, page);
        eprintln!("page {number}: {rms:.4}");
        assert!(ink > 500, "page {number} is all but empty");
        assert!(rms <= MOST_RMS, "page {number}: {rms}");
    }
}

/// The plan of each venue of the demo league on each paper, with its name.
fn plans() -> Vec<(String, Page)> {
    let league = Path::new(env!("CARGO_MANIFEST_DIR")).join("../venues");
    let folders = fs::read_dir(league).unwrap().map(|entry| entry.unwrap().path());
    let day: Day = "2026-08-01".parse().unwrap();
    let mut folders: Vec<PathBuf> = folders.filter(|folder| folder.join("venue.toml").is_file()).collect();
    folders.sort();
    let of = |folder: &PathBuf| {
        let beside = |name: &str| fs::read(folder.join(name)).map_err(|e| e.to_string());
        let venue = venue::open(&fs::read_to_string(folder.join("venue.toml")).unwrap(), beside).unwrap();
        let brief = briefing(&venue, day);
        let name = folder.file_name().unwrap().to_string_lossy().into_owned();
        Paper::ALL.map(|paper| (format!("{name} {}", paper.name()), plan(&venue, &brief, paper).unwrap()))
    };
    folders.iter().flat_map(of).collect()
}

/// What the texts of a page say to an ear, in the order of its items.
fn said(items: &[Item], out: &mut Vec<String>) {
    for item in items {
        match item {
            Item::Text(text) => out.push(text.said()),
            Item::Group(group) if group.role() != Role::Decoration => said(group.items(), out),
            _ => {}
        }
    }
}

#[test]
fn every_plan_of_the_demo_league_is_heard_whole_and_looks_the_same_in_print() {
    let folder = Folder::new("plans");
    let plans = plans();
    assert_eq!(plans.len(), 18);
    for (name, page) in &plans {
        let file = folder.put("plan.pdf", &pdf(std::slice::from_ref(page), &imprint()).unwrap());
        run("qpdf", &["--check", &file]);
        let heard = run("pdfinfo", &["-struct-text", &file]);
        let heard: Vec<&str> = lines(&heard)
            .into_iter()
            .filter_map(|line| line.strip_prefix('"')?.strip_suffix('"'))
            .filter(|line| !line.trim().is_empty())
            .collect();
        let mut want = Vec::new();
        said(page.items(), &mut want);
        want.retain(|text| !text.trim().is_empty());
        assert!(want.len() > 20, "{name}: {want:?}");
        assert_eq!(heard, want, "{name}");

        let (rms, ink) = difference(&folder, page);
        eprintln!("{name}: {rms:.4}");
        assert!(ink > 500 && rms <= MOST_RMS, "{name}: {rms}, {ink} dark");
    }
}

//! Pages as other programs read them: the PDF's structure, fonts and dots, and the PNG beside it.
//!
//! The programs are qpdf and those of poppler-utils. Where one is missing these tests fail and name it: what was not
//! looked at has not passed.

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use ovalpeg::export::{Imprint, pdf, png};
use ovalpeg::page::{Page, SheetSide, four_up};
use ovalpeg_tests::pages::{card, small_card};

/// What the dots of a PNG and of the PDF may differ by, root mean square of 0 to 1, each dot the mean of three by three.
/// Two programs soften edges each in its own way; a text moved by a third of a dot shows.
const MOST_RMS: f64 = 0.03;

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

/// The grey of each block of three by three dots of a picture, 0 to 1, row by row; and how many a row has.
fn grey(rgb: &[u8], width: usize, height: usize) -> (Vec<f64>, usize) {
    let (wide, high) = (width / 3, height / 3);
    let dot = |x: usize, y: usize| {
        let at = 3 * (y * width + x);
        rgb[at..at + 3].iter().map(|part| f64::from(*part)).sum::<f64>() / 765.0
    };
    let block = |x: usize, y: usize| (0..9).map(|i| dot(3 * x + i % 3, 3 * y + i / 3)).sum::<f64>() / 9.0;
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

#[test]
fn the_picture_shows_what_the_print_shows() {
    let folder = Folder::new("dots");
    for (number, page) in card("Cockatoo Hollow").unwrap().iter().enumerate() {
        let file = folder.put("page.pdf", &pdf(std::slice::from_ref(page), &imprint()).unwrap());
        run("pdftoppm", &["-r", "150", "-singlefile", &file, file.trim_end_matches(".pdf")]);
        let printed = fs::read(folder.0.join("page.ppm")).unwrap();
        let (print, width, height) = ppm(&printed);

        let bytes = png(page, 150.0).unwrap();
        let mut reader = ::png::Decoder::new(std::io::Cursor::new(&bytes)).read_info().unwrap();
        let mut dots = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut dots).unwrap();
        let (shown_width, shown_height) = (info.width as usize, info.height as usize);
        assert!(shown_width.abs_diff(width) <= 1 && shown_height.abs_diff(height) <= 1);

        let (print, print_wide) = grey(print, width, height);
        let (shown, shown_wide) = grey(&dots, shown_width, shown_height);
        let (wide, high) = (print_wide.min(shown_wide), height.min(shown_height) / 3);
        let square = |i: usize| {
            let (x, y) = (i % wide, i / wide);
            (print[y * print_wide + x] - shown[y * shown_wide + x]).powi(2)
        };
        let rms = ((0..wide * high).map(square).sum::<f64>() / (wide * high) as f64).sqrt();
        let ink = print.iter().filter(|grey| **grey < 0.5).count();
        eprintln!("page {number}: rms {rms:.4}, {ink} dark blocks");
        assert!(ink > 500, "page {number} is all but empty");
        assert!(rms <= MOST_RMS, "page {number}: {rms}");
    }
}

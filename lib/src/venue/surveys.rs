//! The survey files that a venue names: one, or several that were adjusted together.

use super::document_parts::{file, hash};
use super::sha256_hex;
use super::table::{Source, Table};
use crate::frame::Datum;
use crate::rules::{Edge, Method};
use crate::units::ranges::{LINE_WIDTH_M, MGA_ZONE, SIGMA_M};
use crate::units::{Problem, print};

/// A survey file that a venue names.
#[derive(Debug, Clone, PartialEq)]
pub struct SurveyFile {
    /// The file's name; it lies beside the venue file.
    pub file: String,
    /// Its SHA-256.
    pub sha256: String,
    /// How it was surveyed; `None` where the venue file says `unknown`.
    pub method: Option<Method>,
    /// Which edge of the line was surveyed.
    pub edge: Edge,
    /// Width of the painted line, m, where the edge makes it matter.
    pub line_width_m: Option<f64>,
    /// What else a person said about it.
    pub said: Said,
}

/// What a person said about a survey file because the file itself does not say it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Said {
    /// Datum of its coordinates.
    pub datum: Option<Datum>,
    /// MGA zone.
    pub zone: Option<u8>,
    /// Standard deviation of a point, m.
    pub sigma_m: Option<f64>,
}

/// How a fit file identifies its survey: the hash of a single file, or of several the hash of their hashes,
/// one a line.
pub(super) fn identity(files: &[SurveyFile]) -> String {
    match files {
        [one] => one.sha256.clone(),
        all => {
            let lines: String = all.iter().map(|f| format!("{}\n", f.sha256)).collect();
            sha256_hex(lines.as_bytes())
        }
    }
}

/// Reads the survey file of `[survey]`, or of one `[[survey.with]]`.
pub(super) fn read(t: &mut Table<'_, '_>, s: &mut Source) -> Option<SurveyFile> {
    let (file, sha256) = (file(t, s), hash(t, s));
    let offset = t.offset;
    let method = t.must_text(s, "method", "\"rtk\"").and_then(|m| {
        let found = Method::find(&m);
        if found.is_none() && m != "unknown" {
            let known: Vec<_> = Method::ALL.iter().map(|m| m.id()).collect();
            s.problem(
                offset,
                Problem::new(format!("method '{m}' is not known"))
                    .hint(format!("one of {}, unknown", known.join(", "))),
            );
        }
        found
    });
    let edge = t.text(s, "edge").map_or(Edge::Outer, |e| {
        Edge::find(&e).unwrap_or_else(|| {
            s.problem(
                offset,
                Problem::new(format!("edge '{e}' is not known")).hint("one of outer, centre, inner"),
            );
            Edge::Outer
        })
    });
    let line_width_m = t.number(s, "line_width_m", &LINE_WIDTH_M);
    let datum = t.text(s, "datum").and_then(|d| {
        let found = Datum::find(&d);
        if found.is_none() {
            s.problem(
                offset,
                Problem::new(format!("datum '{d}' is not known")).hint("one of gda2020, gda94, wgs84"),
            );
        }
        found
    });
    let zone = t.number(s, "zone", &MGA_ZONE).and_then(|z| {
        if z.fract() != 0.0 {
            let p = Problem::new(format!("zone {} is no whole number", print::plain(z)));
            s.problem(offset, p.hint(MGA_ZONE.remedy()));
            return None;
        }
        // Whole and small by the range, so the cast is exact.
        Some(z as u8)
    });
    let sigma_m = t.number(s, "sigma_m", &SIGMA_M);
    let said = Said { datum, zone, sigma_m };
    Some(SurveyFile { file: file?, sha256: sha256?, method, edge, line_width_m, said })
}

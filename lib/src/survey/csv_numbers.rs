//! The decimal mark of a CSV text: a point, or a comma where the delimiter is a semicolon or a tab.
//!
//! A comma may also separate thousands. It is read as a decimal comma in three cases: some number of the
//! file can't have thousands; the numbers are degrees; or only as decimals do they fit on a ground. A
//! warning says so. What may be either is refused, and so are files where commas are both the
//! delimiter and the decimal mark.

use csv::StringRecord;

use super::csv_head::{Columns, Kind};
use super::csv_lines::LineCounter;
use crate::units::{Problem, print};

/// If coordinates spread over this many metres with decimal commas, they would spread over twenty
/// kilometres with thousands, which no ground does.
const LEAST_SPREAD_M: f64 = 20.0;
/// Fewest consecutive whole numbers that look like two numbers with decimal commas.
const LEAST_RUN: usize = 3;

/// How a file's numbers are written.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Mark {
    Point,
    /// Decimal commas, with the warning about them.
    Comma(Problem),
}

impl Mark {
    /// A cell with a decimal point; a cell with several commas stays as it is.
    pub(super) fn with_point<'a>(&self, cell: &'a str) -> std::borrow::Cow<'a, str> {
        match self {
            Self::Comma(_) if cell.matches(',').count() == 1 => cell.replace(',', ".").into(),
            _ => cell.into(),
        }
    }
}

/// How the number in a cell is written.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Looks {
    /// Digits alone.
    Whole,
    Point,
    /// With a comma that may separate thousands: `1,234`.
    Either,
    /// With a comma that can only be a decimal one.
    Comma,
    /// Not a number, or a number with several commas.
    Other,
}

fn looks(cell: &str) -> Looks {
    let bare = cell.strip_prefix(['-', '+', '−']).unwrap_or(cell);
    let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    if digits(bare) {
        return Looks::Whole;
    }
    match bare.split_once(',') {
        None if bare.parse::<f64>().is_ok_and(f64::is_finite) => Looks::Point,
        Some((before, after)) if digits(before) && digits(after) => {
            let thousands = before.len() <= 3 && !before.starts_with('0') && after.len() == 3;
            if thousands { Looks::Either } else { Looks::Comma }
        }
        _ => Looks::Other,
    }
}

/// The decimal mark of the rows of `text` from byte `start` on.
pub(super) fn mark(
    text: &str,
    start: usize,
    delimiter: u8,
    cells: usize,
    columns: &Columns,
) -> Result<Mark, Problem> {
    let body = text.get(start..).unwrap_or("");
    if columns.kind == Kind::Wkt || !body.contains(',') {
        return Ok(Mark::Point);
    }
    let mut reader = super::csv_cells::reader(body, delimiter);
    let mut lines = LineCounter::new(text);
    let mut place = |r: &StringRecord| {
        let byte = r.position().map_or(0, csv::Position::byte);
        format!("line {}", lines.at(byte.saturating_add(start as u64)))
    };
    let records = reader.records().map_while(Result::ok).filter(|r| !r.iter().all(str::is_empty));
    if delimiter == b',' {
        return refuse_commas_for_both(records, cells, columns, &mut place).map(|()| Mark::Point);
    }
    let mut seen = Seen::default();
    for record in records {
        for column in columns.numbers() {
            let cell = record.get(column).unwrap_or("");
            let coordinate = column == columns.first || column == columns.second;
            match looks(cell) {
                Looks::Whole => seen.whole |= coordinate,
                Looks::Point => seen.point = true,
                Looks::Comma => seen.comma = true,
                Looks::Either | Looks::Other => {}
            }
            if matches!(looks(cell), Looks::Comma | Looks::Either) && seen.example.is_none() {
                seen.example = Some((cell.to_owned(), place(&record)));
            }
        }
        let number = |c: usize| record.get(c).and_then(|t| t.replace(',', ".").parse::<f64>().ok());
        seen.spread(number(columns.first), number(columns.second));
    }
    seen.decide(columns.kind)
}

/// What was seen in a file's numbers.
#[derive(Default)]
struct Seen {
    /// A coordinate without decimals.
    whole: bool,
    point: bool,
    comma: bool,
    /// The first number with a comma, and its place.
    example: Option<(String, String)>,
    least: [Option<f64>; 2],
    most: [Option<f64>; 2],
}

impl Seen {
    fn spread(&mut self, a: Option<f64>, b: Option<f64>) {
        for (i, v) in [a, b].into_iter().enumerate() {
            let Some(v) = v.filter(|v| v.is_finite()) else { continue };
            self.least[i] = Some(self.least[i].map_or(v, |l| l.min(v)));
            self.most[i] = Some(self.most[i].map_or(v, |m| m.max(v)));
        }
    }

    fn decide(self, kind: Kind) -> Result<Mark, Problem> {
        let Some((cell, place)) = self.example else { return Ok(Mark::Point) };
        // Where other numbers have decimal points, a comma is an error, which is refused in its row.
        if self.point {
            return Ok(Mark::Point);
        }
        let wide = (0..2)
            .any(|i| self.least[i].zip(self.most[i]).is_some_and(|(low, high)| high - low >= LEAST_SPREAD_M));
        let sure = self.comma
            || match kind {
                Kind::LatLon => true,
                Kind::Plane => !self.whole && wide,
                Kind::Grid | Kind::Wkt => false,
            };
        let point = cell.replacen(',', ".", 1);
        let shown = print::quoted(&cell);
        if sure {
            return Ok(Mark::Comma(
                Problem::new(format!(
                    "decimal commas are read as points: {shown} is {}",
                    print::cut(&point, 40)
                ))
                .at(place),
            ));
        }
        Err(Problem::new(format!(
            "{shown} may be {} or {}, and nothing in the file tells",
            print::cut(&point, 40),
            print::cut(&cell.replacen(',', "", 1), 40)
        ))
        .at(place)
        .hint("write decimals with a point, and no separators of thousands"))
    }
}

/// Refuses a file in which commas are both the delimiter and the decimal mark.
fn refuse_commas_for_both(
    records: impl Iterator<Item = StringRecord>,
    cells: usize,
    columns: &Columns,
    place: &mut impl FnMut(&StringRecord) -> String,
) -> Result<(), Problem> {
    let from = columns.first.min(columns.second);
    let (mut rows, mut torn, mut example) = (0usize, 0usize, None);
    for record in records {
        rows += 1;
        let run = record.iter().skip(from).take_while(|c| looks(c) == Looks::Whole).count();
        if record.len() > cells && run >= LEAST_RUN {
            torn += 1;
            if example.is_none() {
                example = Some(place(&record));
            }
        }
    }
    match example {
        Some(place) if 2 * torn >= rows => Err(Problem::new(
            "the numbers have decimal commas, and commas part the columns too: which is which can't be told",
        )
        .at(place)
        .hint("export it with semicolons between the columns, or with decimal points")),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use crate::survey::{Position, ReadOptions, read};

    fn plane(csv: &str) -> Vec<(f64, f64)> {
        let survey = read(csv.as_bytes(), &ReadOptions::default()).unwrap().value;
        let at = |p| if let Position::Plane(p) = p { (p.x, p.y) } else { (f64::NAN, f64::NAN) };
        survey.observations.iter().map(|o| at(o.position)).collect()
    }

    fn refused(csv: &str) -> String {
        read(csv.as_bytes(), &ReadOptions::default()).unwrap_err().to_string()
    }

    #[test]
    fn decimal_commas_between_semicolons_or_tabs_are_read_and_said() {
        for d in [";", "\t"] {
            let csv = format!("x{d}y{d}sigma\n80,5{d}-0,25{d}0,02\n-3{d}65,125{d}0,02\n");
            assert_eq!(plane(&csv), [(80.5, -0.25), (-3.0, 65.125)]);
            let read = read(csv.as_bytes(), &ReadOptions::default()).unwrap();
            assert_eq!(read.value.observations[0].sd_m, Some(0.02));
            let said = read.warnings[0].to_string();
            assert_eq!(said, "line 2: decimal commas are read as points: '80,5' is 80.5");
        }
    }

    #[test]
    fn a_comma_that_may_be_thousands_is_refused_where_nothing_tells() {
        // Beside whole numbers, and where neither reading fits a ground.
        for csv in ["x;y\n1,234;987\n1,240;985\n", "x;y\n12,345;45,678\n12,346;45,679\n"] {
            let e = refused(csv);
            assert!(e.starts_with("line 2: '1") && e.contains("nothing in the file tells"), "{e}");
        }
        assert!(refused("easting;northing;zone\n322,511;5812242;55\n").contains("may be 322.511 or 322511"));
        // With decimals everywhere the numbers fit a ground, and degrees have no thousands.
        assert_eq!(plane("x;y\n80,123;65,456\n-80,001;-65,400\n")[0], (80.123, 65.456));
        let csv = "lat;lon\n-37,803;144,951\n";
        assert_eq!(read(csv.as_bytes(), &ReadOptions::default()).unwrap().value.observations.len(), 1);
        // Two commas are thousands, which are not read.
        assert!(refused("easting;northing;zone\n322511,25;5,812,242;55\n").contains("is not a number"));
        // Points and commas in one file are an error.
        assert!(refused("x;y\n1,5;2.5\n").contains("with a point"));
    }

    #[test]
    fn decimal_commas_between_commas_are_refused_with_words() {
        for csv in ["x,y\n80,5,0,25\n-3,0,65,125\n", "lat,lon\n-37,8034,144,9512\n-37,8035,144,9513\n"] {
            let e = refused(csv);
            assert!(
                e.starts_with("line 2: the numbers have decimal commas") && e.contains("semicolons"),
                "{e}"
            );
            assert_eq!(e.lines().count(), 1, "{e}");
        }
        // An extra cell that is not a number is not a sign of decimal commas.
        assert_eq!(plane("x,y\n80,5,spare\n-3,65,spare\n").len(), 2);
    }
}

//! How coarsely a file's coordinates are rounded.
//!
//! A program that writes five decimals of a degree puts every point on a grid of 1.1 m. The decimals are
//! those of the shortest text that reads back as the number; trailing noughts are not seen, but of a dozen
//! points one is sure to end in another digit.

use crate::survey::{Position, Survey};

/// Fewer coordinates than this tell nothing of their grid.
const LEAST_POINTS: usize = 5;
/// More decimals than this are no rounding that a person made.
const MOST_DECIMALS: u32 = 12;
/// A degree of latitude, m: on the meridian's mean radius, a per cent either way matters to nobody here.
const DEGREE_M: f64 = 111_200.0;

/// The step of the grid that a file's coordinates lie on, m; `None` where it has too few.
pub(super) fn step_m(survey: &Survey) -> Option<f64> {
    let mut degrees: Option<u32> = None;
    // Degrees, minutes and seconds have a step of their own: a tenth of a second is no decimal of a degree.
    let mut printed_deg: Option<f64> = None;
    let mut metres: Option<u32> = None;
    let keep = |most: &mut Option<u32>, v: f64| *most = Some(most.unwrap_or(0).max(decimals(v)));
    if survey.observations.len() < LEAST_POINTS {
        return None;
    }
    for o in &survey.observations {
        match o.position {
            Position::Geodetic(_) if o.step_deg.is_some() => {
                printed_deg = [printed_deg, o.step_deg].into_iter().flatten().reduce(f64::min);
            }
            Position::Geodetic(g) => {
                keep(&mut degrees, g.latitude_deg());
                keep(&mut degrees, g.longitude_deg());
            }
            Position::Grid(g) => {
                keep(&mut metres, g.easting_m());
                keep(&mut metres, g.northing_m());
            }
            Position::Plane(p) => {
                keep(&mut metres, p.x);
                keep(&mut metres, p.y);
            }
        }
    }
    let step = |d: u32| 10f64.powi(-(d.min(MOST_DECIMALS) as i32));
    let degrees = [degrees.map(step), printed_deg].into_iter().flatten().reduce(f64::min);
    // Both kinds in one file: the coarser counts.
    [degrees.map(|d| DEGREE_M * d), metres.map(step)].into_iter().flatten().reduce(f64::max)
}

/// One standard deviation of what rounding to a grid takes off each coordinate, m: uniform over a step.
pub(super) fn rounding_sd_m(step_m: f64) -> f64 {
    step_m / 12f64.sqrt()
}

/// Decimals of the shortest text that reads back as a number.
fn decimals(v: f64) -> u32 {
    let text = format!("{v}");
    // A file's numbers have at most some 17 digits, so the count is small.
    text.split_once('.').map_or(0, |(_, after)| after.len() as u32)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::{ReadOptions, read};

    fn step(csv: &str) -> Option<f64> {
        step_m(&read(csv.as_bytes(), &ReadOptions::default()).unwrap().value)
    }

    #[test]
    fn the_grid_of_printed_decimals() {
        let rows = |d: usize| {
            let mut csv = String::from("lat,lon\n");
            for i in 0..12 {
                let t = f64::from(i) * 0.5;
                csv += &format!("{:.d$},{:.d$}\n", -36.7 + 0.0007 * t.cos(), 144.9 + 0.0008 * t.sin());
            }
            csv
        };
        // From the house's measured traps: 1e-5° is 1.1 m, 1e-6° 11 cm, 1e-7° 1.1 cm.
        for (d, want) in [(5, 1.112), (6, 0.1112), (7, 0.01112)] {
            assert!((step(&rows(d)).unwrap() - want).abs() < 1e-6, "{d}");
        }
        assert_eq!(step("x,y\n1.5,2\n3,4\n5,6\n7,8\n9,10\n"), Some(0.1));
        assert_eq!(step("x,y\n1,2\n3,4\n5,6\n7,8\n9,10\n"), Some(1.0));
    }

    #[test]
    fn a_uniform_step_scatters_by_a_root_of_twelve() {
        // ∫ x² over −½…½ is 1/12: a hundredth of the integral by the midpoint rule, a second method.
        let n = 1000;
        let sum: f64 = (0..n).map(|k| ((f64::from(k) + 0.5) / f64::from(n) - 0.5).powi(2)).sum();
        assert!((rounding_sd_m(1.0) - (sum / f64::from(n)).sqrt()).abs() < 1e-6);
    }
}

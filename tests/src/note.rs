//! The note beside each demo survey: how it was made, and the true ground.

use std::fmt::Write as _;

use ovalpeg::boundary::Side;
use ovalpeg::units::print::{count, fixed};

use crate::Failure;
use crate::league::{Demo, Way};
use crate::truth::Shape;

impl Demo {
    /// How the survey was made.
    fn story(&self) -> String {
        match self.way {
            Way::LatLon { points, sd_m, sigma } => format!(
                "A receiver on a pole along the outer edge of the line, {} and all eight posts, latitude and \
                 longitude to 9 decimals. The lap leaves the goals out. Errors are white, {} m (one standard \
                 deviation) in each coordinate, of line and posts alike{}. Codes: `BL` boundary line, `GP` goal \
                 post, `BP` behind post.",
                count(points, "line point"),
                fixed(sd_m, 3),
                if sigma { "; the file says so in `sigma`" } else { "; the file does not say so" },
            ),
            Way::Grid { points, sd_m } => format!(
                "A receiver on a pole along the outer edge of the line, {} and all eight posts, in the Map Grid \
                 of Australia 2020, **zone 55**, to the millimetre: the file has no column for the zone. The lap \
                 leaves the goals out. Errors are white, {} m (one standard deviation) in each coordinate, of \
                 line and posts alike, and the file says so in `sigma`. Codes: `BL` boundary line, `GP` goal \
                 post, `BP` behind post.",
                count(points, "line point"),
                fixed(sd_m, 3),
            ),
            Way::Phone { step_m, error } => format!(
                "A phone carried once round the line at {} m/s, a fix about every {} m, straight across both \
                 goals; no posts. In each coordinate the error is an exponentially fading process of {} m (one \
                 standard deviation) that lasts {} s, plus white noise of {} m. Latitude and longitude to 7 \
                 decimals, heights to 3 m.",
                fixed(error.pace_m_s, 1),
                fixed(step_m, 1),
                fixed(error.sd_m, 1),
                fixed(error.tau_s, 0),
                fixed(error.white_sd_m, 1),
            ),
            Way::Trace { vertices, sd_m, posts_sd_m, scale } => format!(
                "Traced off an aerial image: a polygon of {} on the two boundary lines, and the eight posts as \
                 named points. Errors are white, {} m (one standard deviation) in each coordinate of a vertex \
                 and {} m of a post, and the whole image is {} % too large about the ground's centre. No heights \
                 in the file.",
                count(vertices, "vertex").replace("vertexs", "vertices"),
                fixed(sd_m, 2),
                fixed(posts_sd_m, 2),
                fixed(100.0 * scale, 1),
            ),
        }
    }

    /// The note that lies beside the survey.
    ///
    /// # Errors
    /// Never for the grounds of the league.
    pub fn note(&self) -> Result<String, Failure> {
        let truth = self.truth()?;
        let metres = |v: f64| format!("{} m", fixed(v, 2));
        let mut out = format!("# {}: the survey as received\n\n", self.name);
        writeln!(
            out,
            "Invented: no such ground, club or survey exists. Imagined in {}. `{}` is simulated from the ground \
             below, from a fixed seed, by `cargo run -p ovalpeg-tests --bin make-demo -- venues`.\n",
            self.district,
            self.survey_name()
        )?;
        writeln!(out, "{}\n", self.story())?;
        out.push_str("What was planted, to judge a fit by:\n\n| what | truth |\n| --- | --- |\n");
        let shape = match self.shape {
            Shape::Ellipse { .. } => "one ellipse through the behind posts".to_owned(),
            Shape::Cut { cut_m, side, .. } => format!(
                "an ellipse through the behind posts, its {side} side (facing end A) cut straight {} short of the \
                 ellipse, as by a road",
                metres(cut_m)
            ),
            Shape::FourArc { .. } => "four arcs of circles".to_owned(),
        };
        let rows = [
            ("shape", shape),
            ("length, goal line to goal line", metres(self.shape.length_m())),
            ("width", metres(self.shape.width_m())),
            ("half-width, left facing end A", metres(self.shape.half_width_m(Side::Left))),
            ("half-width, right facing end A", metres(self.shape.half_width_m(Side::Right))),
            ("perimeter, scoring ends included", metres(truth.perimeter_m())),
            ("goal axis, true bearing to end A", format!("{}°", fixed(self.site.axis_deg, 1))),
            (
                "centre, latitude and longitude (GDA2020)",
                format!("{}, {}", fixed(self.site.latitude_deg, 6), fixed(self.site.longitude_deg, 6)),
            ),
            ("height above the ellipsoid", format!("{} m", fixed(self.site.height_m, 0))),
        ];
        for (what, value) in rows {
            writeln!(out, "| {what} | {value} |")?;
        }
        Ok(out)
    }
}

#[cfg(test)]
mod tests {
    use crate::league::LEAGUE;

    #[test]
    fn every_note_says_that_it_is_invented_and_what_was_planted() {
        for demo in &LEAGUE {
            let note = demo.note().unwrap();
            assert!(note.contains("Invented") && note.contains(demo.survey_name()), "{note}");
            assert!(note.contains(&format!("| {:.2} m |", demo.shape.length_m())), "{note}");
            assert!(note.contains("standard deviation"), "{note}");
        }
    }

    #[test]
    fn the_zone_that_a_file_leaves_out_is_the_one_that_its_note_tells() {
        let demo = LEAGUE.iter().find(|d| d.survey_name().contains("mga")).unwrap();
        let zone = demo.read_options().unwrap().zone.unwrap().number();
        assert!(demo.note().unwrap().contains(&format!("zone {zone}**")));
        assert!(demo.district.ends_with(&format!("zone {zone}")));
    }
}

//! The printed names of ends and sides, and how commands find an end or a side by them.

use crate::boundary::{End, Side};
use crate::ground::NamedSpot;
use crate::units::print::compass_point;
use crate::units::ranges::{NAME_CHARS, text_trouble};

/// Printed names of the ends and sides.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Names {
    /// End A, end B.
    pub ends: [String; 2],
    /// Left side, right side.
    pub sides: [String; 2],
}

impl Names {
    /// What is wrong with these names, if anything: one is empty or too long, two are the same, or one is a
    /// word that commands read as something else.
    #[must_use]
    pub fn trouble(&self) -> Option<String> {
        let all = [&self.ends[0], &self.ends[1], &self.sides[0], &self.sides[1]];
        let own = ["a", "b", "left", "right"];
        for (i, name) in all.iter().enumerate() {
            let low = name.to_lowercase();
            if let Some(trouble) = text_trouble(name, NAME_CHARS) {
                let start: String = name.chars().take(NAME_CHARS.most()).collect();
                return Some(trouble.about(&format!("the name '{start}'")).message().to_owned());
            }
            if name.contains(',') {
                return Some(format!("the name '{name}' holds a comma"));
            }
            if all[..i].iter().any(|other| other.to_lowercase() == low) {
                return Some(format!("'{name}' is the name of two ends or sides"));
            }
            if own.iter().enumerate().any(|(k, word)| *word == low && k != i) {
                return Some(format!("'{name}' already means another end or side"));
            }
            if NamedSpot::find(name).is_some() || name.parse::<f64>().is_ok() {
                return Some(format!("'{name}' is a spot or a number"));
            }
        }
        None
    }

    /// Compass directions as names, for a ground whose goal axis to end A has this true bearing.
    #[must_use]
    pub fn by_compass(axis_deg: f64) -> Self {
        let point = |turn: f64| {
            match compass_point(axis_deg + turn) {
                "N" => "North",
                "NE" => "North-east",
                "E" => "East",
                "SE" => "South-east",
                "S" => "South",
                "SW" => "South-west",
                "W" => "West",
                _ => "North-west",
            }
            .to_owned()
        };
        Self { ends: [point(0.0), point(180.0)], sides: [point(-90.0), point(90.0)] }
    }

    /// The names after the ends are exchanged, and with them the sides.
    #[must_use]
    pub fn end_for_end(&self) -> Self {
        let ([a, b], [l, r]) = (self.ends.clone(), self.sides.clone());
        Self { ends: [b, a], sides: [r, l] }
    }

    /// The printed name of an end.
    #[must_use]
    pub fn end(&self, end: End) -> &str {
        &self.ends[usize::from(end == End::B)]
    }

    /// The printed name of a side.
    #[must_use]
    pub fn side(&self, side: Side) -> &str {
        &self.sides[usize::from(side == Side::Right)]
    }

    /// The end with a printed name, or `A` or `B`.
    #[must_use]
    pub fn find_end(&self, text: &str) -> Option<End> {
        let text = text.trim();
        End::BOTH.into_iter().find(|&e| {
            text.eq_ignore_ascii_case(&e.to_string()) || text.to_lowercase() == self.end(e).to_lowercase()
        })
    }

    /// The side with a printed name, or `left` or `right`.
    #[must_use]
    pub fn find_side(&self, text: &str) -> Option<Side> {
        let text = text.trim();
        Side::BOTH.into_iter().find(|&s| {
            text.eq_ignore_ascii_case(&s.to_string()) || text.to_lowercase() == self.side(s).to_lowercase()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(all: [&str; 4]) -> Names {
        let [a, b, l, r] = all.map(str::to_owned);
        Names { ends: [a, b], sides: [l, r] }
    }

    #[test]
    fn names_by_the_compass_face_end_a() {
        let n = Names::by_compass(12.0);
        assert_eq!(n, names(["North", "South", "West", "East"]));
        assert_eq!(n.end_for_end(), names(["South", "North", "East", "West"]));
        assert_eq!(Names::by_compass(300.0).sides, ["South-west", "North-east"]);
    }

    #[test]
    fn names_must_be_their_own_and_mean_nothing_else() {
        assert_eq!(names(["Silo", "School", "Pavilion", "Road"]).trouble(), None);
        assert_eq!(names(["A", "B", "Left", "Right"]).trouble(), None);
        for bad in [
            ["B", "A", "Hall", "Road"],
            ["Silo", "School", "Right", "Left"],
            ["Gum", "Road", "Hall", "road"],
            ["wing", "School", "Hall", "Road"],
            ["35", "School", "Hall", "Road"],
            ["", "School", "Hall", "Road"],
            ["Si,lo", "School", "Hall", "Road"],
        ] {
            assert!(names(bad).trouble().is_some(), "{bad:?}");
        }
    }
}

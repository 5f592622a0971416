//! What a survey leaves open: parts of the line that it left out, and shapes that it can't tell apart.

use crate::boundary::{End, Side};
use crate::geometry::Vector;
use crate::units::TrueBearing;
use crate::units::print::fixed;
use crate::venue::Venue;

/// A sentence for each part that was not surveyed.
pub(super) fn unsurveyed(venue: &Venue, out: &mut Vec<String>) {
    for gap in &venue.fit.unsurveyed {
        let Some(place) = place(venue, gap.bearing_deg) else { continue };
        out.push(format!(
            "{place}: {} m of the line was not surveyed, and is known there to ± {} m only",
            fixed(gap.length_m, 0),
            fixed(venue.fit.spread.ratio() * gap.sd_m, 1)
        ));
    }
}

/// A sentence that names the other shapes that the survey allows; `None` where there are none.
pub(super) fn shape(venue: &Venue) -> Option<String> {
    let others: Vec<&str> = venue.fit.also_possible.iter().map(|m| m.in_words()).collect();
    (!others.is_empty()).then(|| {
        format!(
            "Shape not sure: the survey can't tell {} from {}; length, width and perimeter allow for it",
            venue.fit.outline.shape().kind().in_words(),
            others.join(" or ")
        )
    })
}

/// The part of the ground in a direction from its centre, by the names of ends and sides.
pub(super) fn place(venue: &Venue, bearing_deg: f64) -> Option<String> {
    let bearing = TrueBearing::from_degrees(bearing_deg).ok()?;
    let toward: Vector<_> = venue.ground.oval().plan().direction(bearing);
    let names = &venue.document.names;
    let side = names.side(if toward.y >= 0.0 { Side::Left } else { Side::Right });
    // Within 30° of square to the goal axis it is the wing.
    Some(if toward.x.abs() < 0.5 {
        format!("{side} wing")
    } else {
        let end = if toward.x > 0.0 { End::A } else { End::B };
        format!("{}/{side} quarter", names.end(end))
    })
}

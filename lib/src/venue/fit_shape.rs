//! The shape in a fit file: which named numbers each model has.

use serde_json::Value;

use super::members::Members;
use crate::frame::Local;
use crate::geometry::{CutEllipse, Ellipse, FourArc, Point, Shape, Spline};
use crate::units::Invalid;
use crate::units::print::quoted;

/// The shape's name in messages.
const SHAPE: &str = "the fit file's shape";

/// The shape of a model, from its `shape` object. An ellipse's numbers are among the parameters instead.
pub(super) fn read(
    model: &str,
    shape: Option<&Value>,
    parameters: &Members<'_>,
) -> Result<Shape<Local>, String> {
    let wrong = |e: Invalid| format!("the fit file's outline: {e}");
    if model == "ellipse" {
        if shape.is_some() {
            return Err("the fit file's model is 'ellipse', and it has a shape of another".into());
        }
        if !has_ellipse(parameters) {
            return Err("the fit file's model is 'ellipse', and its parameters lack one of its five".into());
        }
        return Ok(Shape::Ellipse(ellipse(parameters)?.map_err(wrong)?));
    }
    let members = |more: &[&str]| {
        if has_ellipse(parameters) {
            return Err(format!(
                "the fit file's model is {}, and an ellipse is among its parameters",
                quoted(model)
            ));
        }
        let none = || format!("the fit file's model is {}, and it has no shape", quoted(model));
        Members::new(SHAPE, shape.ok_or_else(none)?, more)
    };
    let found = match model {
        "four-arc" => {
            let m = members(&[FIVE.as_slice(), &["end_radius_m"]].concat())?;
            let [x_m, y_m, major_m, minor_m, bearing_deg] = five(&m)?;
            let (centre, radius_m) = (Point::new(x_m, y_m), m.number("end_radius_m")?);
            FourArc::new(centre, [major_m, minor_m], radius_m, 90.0 - bearing_deg).map(Shape::FourArc)
        }
        "cut-ellipse" => {
            let m = members(&[FIVE.as_slice(), &["cut_bearing_deg", "cut_distance_m"]].concat())?;
            let (turn_deg, cut_m) = (90.0 - m.number("cut_bearing_deg")?, m.number("cut_distance_m")?);
            ellipse(&m)?.and_then(|whole| CutEllipse::new(whole, turn_deg, cut_m)).map(Shape::CutEllipse)
        }
        "freeform" => {
            let m = members(&["base", "offsets_m"])?;
            let offsets_m = m.numbers("offsets_m")?;
            let base = ellipse(&m.object("base", &FIVE)?)?;
            base.and_then(|base| Spline::new(base, &offsets_m)).map(Shape::Freeform)
        }
        _ => return Err(format!("the fit file's model {} is not known", quoted(model))),
    };
    found.map_err(wrong)
}

/// The numbers of an ellipse, or of a shape's base ellipse.
const FIVE: [&str; 5] = ["x_m", "y_m", "semi_major_m", "semi_minor_m", "bearing_deg"];

fn has_ellipse(members: &Members<'_>) -> bool {
    FIVE.iter().all(|name| members.get(name).is_some())
}

fn five(members: &Members<'_>) -> Result<[f64; 5], String> {
    let mut numbers = [0.0; 5];
    for (number, name) in numbers.iter_mut().zip(FIVE) {
        *number = members.number(name)?;
    }
    Ok(numbers)
}

/// An ellipse from its members. The outer error is a member that can't be read, the inner one numbers that
/// make no ellipse.
fn ellipse(members: &Members<'_>) -> Result<Result<Ellipse<Local>, Invalid>, String> {
    let [x_m, y_m, major_m, minor_m, bearing_deg] = five(members)?;
    Ok(Ellipse::new(Point::new(x_m, y_m), [major_m, minor_m], 90.0 - bearing_deg))
}

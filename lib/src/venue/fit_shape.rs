//! The shape in a fit file: named numbers, by the name of its model.

use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::frame::Local;
use crate::geometry::{CutEllipse, Ellipse, FourArc, Point, Shape, Spline};
use crate::units::Invalid;
use crate::units::print::{CAUSE_CHARS, cut, quoted};

/// An ellipse's numbers, or those of what a shape departs from.
#[derive(Serialize, Deserialize, Debug, Clone, Copy)]
#[serde(deny_unknown_fields)]
pub(super) struct RawEllipse {
    pub(super) x_m: f64,
    pub(super) y_m: f64,
    pub(super) semi_major_m: f64,
    pub(super) semi_minor_m: f64,
    pub(super) bearing_deg: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RawFourArc {
    x_m: f64,
    y_m: f64,
    semi_major_m: f64,
    semi_minor_m: f64,
    bearing_deg: f64,
    end_radius_m: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RawCutEllipse {
    x_m: f64,
    y_m: f64,
    semi_major_m: f64,
    semi_minor_m: f64,
    bearing_deg: f64,
    cut_bearing_deg: f64,
    cut_distance_m: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RawFreeform {
    base: RawEllipse,
    offsets_m: Vec<f64>,
}

impl RawEllipse {
    /// From the five numbers, in their order.
    pub(super) fn of(p: [f64; 5]) -> Self {
        let [x_m, y_m, semi_major_m, semi_minor_m, bearing_deg] = p;
        Self { x_m, y_m, semi_major_m, semi_minor_m, bearing_deg }
    }

    fn ellipse(self) -> Result<Ellipse<Local>, Invalid> {
        Ellipse::new(
            Point::new(self.x_m, self.y_m),
            [self.semi_major_m, self.semi_minor_m],
            90.0 - self.bearing_deg,
        )
    }
}

/// The `shape` object of a model other than the ellipse. `numbers` are the shape's
/// parameters as an outline names them, rounded as the file keeps them.
pub(super) fn to_raw(shape: &Shape<Local>, numbers: &[f64], round: impl Fn(f64) -> f64) -> Option<Value> {
    let value = match (shape, numbers) {
        (Shape::FourArc(_), &[x_m, y_m, semi_major_m, semi_minor_m, bearing_deg, end_radius_m]) => {
            serde_json::to_value(RawFourArc {
                x_m,
                y_m,
                semi_major_m,
                semi_minor_m,
                bearing_deg,
                end_radius_m,
            })
        }
        (
            Shape::CutEllipse(_),
            &[x_m, y_m, semi_major_m, semi_minor_m, bearing_deg, cut_bearing_deg, cut_distance_m],
        ) => serde_json::to_value(RawCutEllipse {
            x_m,
            y_m,
            semi_major_m,
            semi_minor_m,
            bearing_deg,
            cut_bearing_deg,
            cut_distance_m,
        }),
        (Shape::Freeform(s), offsets) => {
            let (e, c) = (s.base(), s.base().centre());
            let bearing = (90.0 - e.turn_deg()).rem_euclid(180.0);
            let base = [c.x, c.y, e.semi_major_m(), e.semi_minor_m(), bearing].map(round);
            serde_json::to_value(RawFreeform { base: RawEllipse::of(base), offsets_m: offsets.to_vec() })
        }
        _ => return None,
    };
    // Plain structs of numbers always make a value.
    value.ok()
}

/// The shape of a model, from its `shape` object or, of an ellipse, from its numbers
/// among the parameters.
pub(super) fn from_raw(
    model: &str,
    shape: Option<Value>,
    ellipse: Option<RawEllipse>,
) -> Result<Shape<Local>, String> {
    let wrong = |e: Invalid| format!("the fit file's outline: {e}");
    let unread = |e: serde_json::Error| {
        format!("the fit file's shape does not read: {}", cut(&e.to_string(), CAUSE_CHARS))
    };
    let numbers = |shape: Option<Value>| {
        if ellipse.is_some() {
            return Err(format!(
                "the fit file's model is {}, and an ellipse is among its parameters",
                quoted(model)
            ));
        }
        shape.ok_or_else(|| format!("the fit file's model is {}, and it has no shape", quoted(model)))
    };
    Ok(match model {
        "ellipse" => {
            if shape.is_some() {
                return Err("the fit file's model is 'ellipse', and it has a shape of another".into());
            }
            let Some(e) = ellipse else {
                return Err(
                    "the fit file's model is 'ellipse', and its parameters lack one of its five".into()
                );
            };
            Shape::Ellipse(e.ellipse().map_err(wrong)?)
        }
        "four-arc" => {
            let r: RawFourArc = serde_json::from_value(numbers(shape)?).map_err(unread)?;
            let (centre, axes) = (Point::new(r.x_m, r.y_m), [r.semi_major_m, r.semi_minor_m]);
            Shape::FourArc(FourArc::new(centre, axes, r.end_radius_m, 90.0 - r.bearing_deg).map_err(wrong)?)
        }
        "cut-ellipse" => {
            let r: RawCutEllipse = serde_json::from_value(numbers(shape)?).map_err(unread)?;
            let whole = RawEllipse::of([r.x_m, r.y_m, r.semi_major_m, r.semi_minor_m, r.bearing_deg]);
            let cut = whole
                .ellipse()
                .and_then(|e| CutEllipse::new(e, 90.0 - r.cut_bearing_deg, r.cut_distance_m))
                .map_err(wrong)?;
            Shape::CutEllipse(cut)
        }
        "freeform" => {
            let r: RawFreeform = serde_json::from_value(numbers(shape)?).map_err(unread)?;
            let spline = r.base.ellipse().and_then(|base| Spline::new(base, &r.offsets_m)).map_err(wrong)?;
            Shape::Freeform(spline)
        }
        _ => return Err(format!("the fit file's model {} is not known", quoted(model))),
    })
}

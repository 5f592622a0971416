//! How far things reach on a page.

use super::{Group, Item};

/// Left, top, right, bottom, mm.
type Bounds = [f64; 4];

impl Item {
    /// The smallest upright rectangle about it: left, top, right, bottom, mm; `None` of a group of nothing.
    #[must_use]
    pub fn bounds_mm(&self) -> Option<[f64; 4]> {
        match self {
            Self::Stroke(stroke) => {
                let [l, t, r, b] = stroke.path().bounds_mm()?;
                let half = 0.5 * stroke.width_mm();
                Some([l - half, t - half, r + half, b + half])
            }
            Self::Area(area) => area.path().bounds_mm(),
            Self::Text(text) => {
                let filled = text.filled();
                Some([filled.left, filled.top, filled.right, filled.bottom])
            }
            Self::Group(group) => group.bounds_mm(),
        }
    }
}

impl Group {
    /// The smallest upright rectangle about all that it holds: left, top, right, bottom, mm; `None` of nothing.
    #[must_use]
    pub fn bounds_mm(&self) -> Option<[f64; 4]> {
        let wider = |a: Bounds, b: Bounds| [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])];
        self.items().iter().filter_map(Item::bounds_mm).reduce(wider)
    }
}

#[cfg(test)]
mod tests {
    use crate::page::{Area, Colour, Group, Item, Path, Role, Stroke, Text, Weight};

    #[test]
    fn a_group_reaches_as_far_as_what_it_holds() {
        let mut inner = Group::new(Role::Label);
        assert_eq!(inner.bounds_mm(), None);
        inner.push(Text::new("a", (40.0, 50.0), 10.0, Weight::Regular, Colour::BLACK).unwrap());
        let mut group = Group::new(Role::Figure);
        group.push(inner);
        group.push(Stroke::new(Path::line((10.0, 20.0), (10.0, 30.0)), 2.0, Colour::BLACK).unwrap());
        group.push(Area::new(Path::rectangle(12.0, 18.0, 1.0, 1.0), Colour::BLACK).unwrap());
        let [l, t, r, b] = Item::from(group).bounds_mm().unwrap();
        assert_eq!((l, t), (9.0, 18.0));
        assert!(r > 41.0 && b > 50.0, "{r} {b}");
    }
}

//! From a named part of the document to another.

use std::collections::BTreeMap;

use krilla::annotation::{Annotation, LinkAnnotation, Target};
use krilla::destination::XyzDestination;
use krilla::geom::Point;
use krilla::page::Page as PdfPage;
use krilla::tagging::Identifier;

use super::draw::{pt, rect};
use super::imprint::title_of;
use crate::page::{Group, Id, Item, Page, Role};

/// Free above what a link or a bookmark leads to, mm, so that it doesn't stick to the window's edge.
const ABOVE_MM: f64 = 3.0;

/// A place in the document: a page, from 0, and how far down, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    pub(super) page: usize,
    pub(super) down_mm: f64,
}

impl Spot {
    /// Where a group begins.
    pub(super) fn of(page: usize, group: &Group) -> Self {
        let top = group.bounds_mm().map_or(0.0, |[_, top, ..]| top);
        Self { page, down_mm: (top - ABOVE_MM).max(0.0) }
    }

    pub(super) fn destination(self) -> XyzDestination {
        XyzDestination::new(self.page, Point::from_xy(0.0, pt(self.down_mm)))
    }
}

/// The named parts of all pages: a name that stands on several is, from each page, the one on that page, or else the
/// first of the document.
pub(super) struct Targets<'a> {
    named: BTreeMap<&'a Id, Vec<(Spot, &'a Group)>>,
}

impl<'a> Targets<'a> {
    pub(super) fn of(pages: &'a [Page]) -> Self {
        let mut named: BTreeMap<&Id, Vec<(Spot, &Group)>> = BTreeMap::new();
        for (page, laid) in pages.iter().enumerate() {
            for group in laid.groups() {
                if let Some(id) = group.id() {
                    named.entry(id).or_default().push((Spot::of(page, group), group));
                }
            }
        }
        Self { named }
    }

    pub(super) fn find(&self, id: &Id, from: usize) -> Option<&(Spot, &'a Group)> {
        let all = self.named.get(id)?;
        all.iter().find(|(spot, _)| spot.page == from).or_else(|| all.first())
    }
}

/// The links of a page by the group that each is of. The key is where the group lies in memory: it only has to tell
/// one group of this list from another, and nothing is written in its order.
pub(super) type Links = BTreeMap<*const Group, Identifier>;

/// Adds a page's links to it. A link to what the document doesn't hold is left out: its text still stands there.
pub(super) fn add(page: &Page, number: usize, targets: &Targets<'_>, to: &mut PdfPage<'_>) -> Links {
    let mut links = Links::new();
    walk(page.items(), &mut |group, id| {
        let (Some((spot, aim)), Some(bounds)) = (targets.find(id, number), group.bounds_mm().and_then(rect))
        else {
            return;
        };
        let target = Target::Destination(spot.destination().into());
        let said = [group.title(), aim.title()].into_iter().flatten().map(title_of).find(|t| !t.is_empty());
        let alt = said.unwrap_or_else(|| format!("To {}", id.name()));
        let link = Annotation::new_link(LinkAnnotation::new(bounds, target), Some(alt));
        links.insert(std::ptr::from_ref(group), to.add_tagged_annotation(link));
    });
    links
}

/// Every group that leads somewhere; not those inside another, nor decoration, for which a reader has no ear.
fn walk<'a>(items: &'a [Item], each: &mut impl FnMut(&'a Group, &'a Id)) {
    for item in items {
        let Item::Group(group) = item else { continue };
        match group.link() {
            _ if group.role() == Role::Decoration => {}
            Some(id) => each(group, id),
            None => walk(group.items(), each),
        }
    }
}

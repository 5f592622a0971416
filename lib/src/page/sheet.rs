//! A whole page.

use super::{Group, Id, Item};
use crate::units::{Invalid, within};

/// Groups lie in each other no deeper than this, so that writers may walk them by calling themselves.
const DEEPEST: usize = 16;

/// One side of a sheet of paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    width_mm: f64,
    height_mm: f64,
    title: String,
    description: String,
    items: Vec<Item>,
}

impl Page {
    /// A page of this size with these items, in the order of drawing and reading. Its texts are English.
    ///
    /// # Errors
    /// [`Invalid`] for a side that is not within 10 to 2,000 mm, two groups of one name, or groups more than 16 deep.
    pub fn new(
        size_mm: (f64, f64),
        title: impl Into<String>,
        description: impl Into<String>,
        items: Vec<Item>,
    ) -> Result<Self, Invalid> {
        let width_mm = within("a page's width in mm", size_mm.0, 10.0, 2000.0)?;
        let height_mm = within("a page's height in mm", size_mm.1, 10.0, 2000.0)?;
        let mut ids: Vec<&Id> = Vec::new();
        walk(&items, 0, &mut ids)?;
        ids.sort_unstable();
        if ids.windows(2).any(|pair| pair[0] == pair[1]) {
            return Err(Invalid::Impossible { what: "two parts of a page with one name" });
        }
        Ok(Self { width_mm, height_mm, title: title.into(), description: description.into(), items })
    }

    /// Its width, mm.
    #[must_use]
    pub fn width_mm(&self) -> f64 {
        self.width_mm
    }

    /// Its height, mm.
    #[must_use]
    pub fn height_mm(&self) -> f64 {
        self.height_mm
    }

    /// What it is; as it was given, not escaped.
    #[must_use]
    pub fn title(&self) -> &str {
        &self.title
    }

    /// What is on it, in sentences; as it was given, not escaped.
    #[must_use]
    pub fn description(&self) -> &str {
        &self.description
    }

    /// What is on it, in the order of drawing and reading.
    #[must_use]
    pub fn items(&self) -> &[Item] {
        &self.items
    }

    /// The same page with each named group leading where `to` says, and nowhere else.
    #[must_use]
    pub fn linked(mut self, to: &dyn Fn(&Id) -> Option<Id>) -> Self {
        link(&mut self.items, to);
        self
    }

    /// Every group on it, outer ones before those inside them.
    pub fn groups(&self) -> impl Iterator<Item = &Group> {
        let mut all = Vec::new();
        groups_of(&self.items, &mut all);
        all.into_iter()
    }
}

/// No deeper than a page allows.
fn link(items: &mut [Item], to: &dyn Fn(&Id) -> Option<Id>) {
    for item in items {
        if let Item::Group(group) = item {
            group.lead(to);
            link(group.items_mut(), to);
        }
    }
}

fn walk<'a>(items: &'a [Item], depth: usize, ids: &mut Vec<&'a Id>) -> Result<(), Invalid> {
    if depth > DEEPEST {
        return Err(Invalid::Impossible { what: "groups of a page that lie too deep in each other" });
    }
    for item in items {
        if let Item::Group(group) = item {
            ids.extend(group.id());
            walk(group.items(), depth + 1, ids)?;
        }
    }
    Ok(())
}

fn groups_of<'a>(items: &'a [Item], all: &mut Vec<&'a Group>) {
    for item in items {
        if let Item::Group(group) = item {
            all.push(group);
            groups_of(group.items(), all);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::Role;

    fn named(name: &str) -> Group {
        Group::new(Role::Label).named(Id::new(name).unwrap())
    }

    fn page(items: Vec<Item>) -> Result<Page, Invalid> {
        Page::new((148.0, 210.0), "Plan", "A ground.", items)
    }

    #[test]
    fn a_page_refuses_what_no_writer_could_write() {
        assert!(Page::new((0.0, 210.0), "", "", Vec::new()).is_err());
        assert!(Page::new((148.0, f64::NAN), "", "", Vec::new()).is_err());
        let mut outer = named("a");
        outer.push(named("b"));
        let good = page(vec![outer.clone().into(), named("c").into()]).unwrap();
        assert_eq!(good.groups().filter_map(Group::id).map(Id::name).collect::<Vec<_>>(), ["a", "b", "c"]);
        assert!(page(vec![outer.into(), named("b").into()]).is_err());
        let deep = |n: usize| {
            (0..n).fold(Group::new(Role::Section), |inner, _| {
                let mut outer = Group::new(Role::Section);
                outer.push(inner);
                outer
            })
        };
        assert!(page(vec![deep(DEEPEST - 1).into()]).is_ok());
        assert!(page(vec![deep(DEEPEST + 1).into()]).is_err());
    }
}

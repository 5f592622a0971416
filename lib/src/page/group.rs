//! What lies on a page, and what belongs together on it.

use super::{Area, Stroke, Text};
use crate::units::Invalid;

/// Anything on a page.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A drawn line.
    Stroke(Stroke),
    /// A filled area.
    Area(Area),
    /// A text.
    Text(Text),
    /// What belongs together.
    Group(Group),
}

impl From<Stroke> for Item {
    fn from(stroke: Stroke) -> Self {
        Self::Stroke(stroke)
    }
}

impl From<Area> for Item {
    fn from(area: Area) -> Self {
        Self::Area(area)
    }
}

impl From<Text> for Item {
    fn from(text: Text) -> Self {
        Self::Text(text)
    }
}

impl From<Group> for Item {
    fn from(group: Group) -> Self {
        Self::Group(group)
    }
}

/// The name of a group within its page: small letters, digits and single hyphens, a letter first.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Id(String);

impl Id {
    /// A name.
    ///
    /// # Errors
    /// [`Invalid`] for anything but small letters, digits and hyphens, a letter first, 64 at most.
    pub fn new(name: impl Into<String>) -> Result<Self, Invalid> {
        let name = name.into();
        let good = name.len() <= 64
            && name.starts_with(|c: char| c.is_ascii_lowercase())
            && name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
        if good { Ok(Self(name)) } else { Err(Invalid::Impossible { what: "a name that is no id" }) }
    }

    /// The name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.0
    }
}

/// What a group is to one who reads the page aloud.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// A part of the page.
    Section,
    /// A heading, 1 the highest of 6.
    Heading(u8),
    /// A paragraph; its texts are its lines.
    Paragraph,
    /// A picture: its description says what is seen, and its own texts are read too.
    Figure,
    /// A label in a picture: its texts belong together.
    Label,
    /// Nothing to read: rules, marks and grounds.
    Decoration,
}

/// Items that belong together.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    role: Role,
    id: Option<Id>,
    title: Option<String>,
    description: Option<String>,
    link: Option<Id>,
    items: Vec<Item>,
}

impl Group {
    /// A group of nothing yet.
    #[must_use]
    pub fn new(role: Role) -> Self {
        Self { role, id: None, title: None, description: None, link: None, items: Vec::new() }
    }

    /// Names it within the page; a page refuses two of one name.
    #[must_use]
    pub fn named(mut self, id: Id) -> Self {
        self.id = Some(id);
        self
    }

    /// Says in a few words what it is.
    #[must_use]
    pub fn titled(mut self, title: impl Into<String>) -> Self {
        self.title = Some(title.into());
        self
    }

    /// Says in sentences what is seen.
    #[must_use]
    pub fn described(mut self, description: impl Into<String>) -> Self {
        self.description = Some(description.into());
        self
    }

    /// Makes it lead to a named part of the page or of the document that the page is put into.
    #[must_use]
    pub fn linked(mut self, to: Id) -> Self {
        self.link = Some(to);
        self
    }

    /// Leads where its name says, or nowhere.
    pub(super) fn lead(&mut self, to: &dyn Fn(&Id) -> Option<Id>) {
        self.link = self.id.as_ref().and_then(to);
    }

    pub(super) fn items_mut(&mut self) -> &mut [Item] {
        &mut self.items
    }

    /// Adds an item.
    pub fn push(&mut self, item: impl Into<Item>) {
        self.items.push(item.into());
    }

    /// What it is to a reader.
    #[must_use]
    pub fn role(&self) -> Role {
        self.role
    }

    /// Its name.
    #[must_use]
    pub fn id(&self) -> Option<&Id> {
        self.id.as_ref()
    }

    /// What it is; as it was given, not escaped.
    #[must_use]
    pub fn title(&self) -> Option<&str> {
        self.title.as_deref()
    }

    /// What is seen; as it was given, not escaped.
    #[must_use]
    pub fn description(&self) -> Option<&str> {
        self.description.as_deref()
    }

    /// Where it leads.
    #[must_use]
    pub fn link(&self) -> Option<&Id> {
        self.link.as_ref()
    }

    /// What it holds, in the order of drawing and reading.
    #[must_use]
    pub fn items(&self) -> &[Item] {
        &self.items
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_is_safe_wherever_it_is_put() {
        assert_eq!(Id::new("spot-silo-2").unwrap().name(), "spot-silo-2");
        for bad in ["", "2spot", "Spot", "a b", "a\"", "é", "a<", &"a".repeat(65)] {
            assert!(Id::new(bad).is_err(), "{bad}");
        }
    }
}

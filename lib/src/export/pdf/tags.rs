//! A page drawn and, in the same walk, the tree by which it is read aloud.
//!
//! Each text is marked content of its own, so that labels don't run into each other; where one follows another in the
//! same paragraph a space stands between them. A figure's lines are one piece under its description, which is read
//! first; its labels follow it, each a paragraph. What no ear has use for is an artifact.

use std::num::NonZeroU16;

use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, BBox, ContentTag, Identifier, SpanTag, Tag, TagGroup, TagKind,
};

use super::PdfRefused;
use super::bookmarks::Bookmark;
use super::draw::{self, Fonts, rect};
use super::imprint::{description_of, title_of};
use super::links::{Links, Spot};
use crate::page::{Group, Item, Page, Role, Run, Text, spoken};

/// What is being marked now; marks can't lie in each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Open {
    Nothing,
    Artifact,
    /// The lines of the figure that is being drawn.
    Figure,
}

/// Where a text comes to lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Among {
    /// Among paragraphs, where it is one itself.
    Blocks,
    /// In a line or a heading.
    Words,
}

struct Tagger<'a, 's> {
    surface: Surface<'s>,
    fonts: &'a Fonts,
    links: &'a Links,
    page: usize,
    bookmarks: &'a mut Vec<Bookmark>,
    /// The level of the last heading of the document; none may lie more than one deeper than the one before it.
    level: &'a mut u16,
    open: Open,
    /// The lines of each figure that is being drawn, the innermost last.
    figures: Vec<Vec<Identifier>>,
    /// The space after the last text of the paragraph, drawn once another follows.
    space: Option<Text>,
}

/// What the pages of a document share.
pub(super) struct Shared<'a> {
    pub(super) fonts: &'a Fonts,
    pub(super) bookmarks: &'a mut Vec<Bookmark>,
    pub(super) level: &'a mut u16,
}

/// Draws a page, and hands back how it is read; `None` where nothing of it is.
pub(super) fn draw(
    surface: Surface<'_>,
    laid: &Page,
    page: usize,
    links: &Links,
    shared: &mut Shared<'_>,
) -> Result<Option<TagGroup>, PdfRefused> {
    let title = Some(title_of(laid.title())).filter(|title| !title.is_empty());
    let title = title.unwrap_or_else(|| format!("Page {}", page + 1));
    shared.bookmarks.push(Bookmark { level: 0, title, spot: Spot { page, down_mm: 0.0 } });
    let mut tagger = Tagger {
        surface,
        fonts: shared.fonts,
        links,
        page,
        bookmarks: shared.bookmarks,
        level: shared.level,
        open: Open::Nothing,
        figures: Vec::new(),
        space: None,
    };
    let mut section = TagGroup::new(Tag::Section);
    let done = tagger.items(laid.items(), Among::Blocks, &mut section);
    tagger.shut();
    tagger.surface.finish();
    done.map(|()| (!section.children.is_empty()).then_some(section))
}

impl Tagger<'_, '_> {
    fn items(&mut self, items: &[Item], among: Among, into: &mut TagGroup) -> Result<(), PdfRefused> {
        for item in items {
            match item {
                Item::Stroke(_) | Item::Area(_) => self.line(item),
                Item::Text(text) if among == Among::Words => self.text(text, into),
                Item::Text(text) => {
                    let mut paragraph = TagGroup::new(Tag::P);
                    self.text(text, &mut paragraph);
                    self.space = None;
                    push(into, paragraph);
                }
                Item::Group(group) => self.group(group, among, into)?,
            }
        }
        Ok(())
    }

    fn group(&mut self, group: &Group, among: Among, into: &mut TagGroup) -> Result<(), PdfRefused> {
        let words = |tag: TagKind| (TagGroup::new(tag), Among::Words);
        let (mut part, inner) = match group.role() {
            Role::Decoration => {
                self.aside(group.items());
                return Ok(());
            }
            Role::Figure => return self.figure(group, into),
            Role::Heading(level) => words(self.heading(group, level)?),
            Role::Section if among == Among::Blocks => {
                self.section(group);
                (TagGroup::new(Tag::Section), Among::Blocks)
            }
            Role::Paragraph | Role::Label if among == Among::Blocks => words(Tag::P.into()),
            Role::Section | Role::Paragraph | Role::Label => words(Tag::Span.into()),
        };
        let apart = among == Among::Blocks;
        if apart {
            self.space = None;
        }
        match self.links.get(&std::ptr::from_ref(group)).copied() {
            Some(link) => {
                let mut linked = TagGroup::new(Tag::Link);
                self.items(group.items(), inner, &mut linked)?;
                linked.push(link);
                part.push(linked);
            }
            None => self.items(group.items(), inner, &mut part)?,
        }
        if apart {
            self.space = None;
        }
        push(into, part);
        Ok(())
    }

    /// A picture: its lines under its description, then its texts. A link of the whole picture goes with its texts.
    fn figure(&mut self, group: &Group, into: &mut TagGroup) -> Result<(), PdfRefused> {
        let title = group.title().map(title_of).unwrap_or_default();
        let said = description_of(group.description().unwrap_or_default());
        if said.is_empty() {
            let name = || group.id().map(|id| id.name().to_owned()).unwrap_or_default();
            let picture = if title.is_empty() { name() } else { title };
            return Err(PdfRefused::NoDescription { page: self.page + 1, picture });
        }
        self.bookmark(*self.level + 1, &title, group);
        let said = if title.is_empty() { said } else { format!("{title}. {said}") };
        // The lines drawn before belong to what the figure lies in.
        self.shut();
        self.figures.push(Vec::new());
        let mut texts = TagGroup::new(Tag::Div);
        let done = self.items(group.items(), Among::Blocks, &mut texts);
        self.shut();
        let lines = self.figures.pop().unwrap_or_default();
        done?;
        let mut texts = texts.children;
        if let Some(link) = self.links.get(&std::ptr::from_ref(group)).copied() {
            texts.push(TagGroup::with_children(Tag::Link, vec![link.into()]).into());
        }
        let bounds = group.bounds_mm().and_then(rect).map(|r| BBox::new(self.page, r));
        let figure = Tag::Figure(Some(said)).with_bbox(bounds);
        if lines.is_empty() {
            // A picture of nothing but texts: they are what is described.
            push(into, TagGroup::with_children(figure, texts));
        } else {
            let figure = TagGroup::with_children(figure, lines.into_iter().map(Into::into).collect());
            let mut whole = TagGroup::with_children(Tag::Div, vec![figure.into()]);
            whole.children.append(&mut texts);
            push(into, whole);
        }
        Ok(())
    }

    fn heading(&mut self, group: &Group, level: u8) -> Result<TagKind, PdfRefused> {
        let own = group.title().map(title_of).filter(|title| !title.is_empty());
        let title = own.unwrap_or_else(|| title_of(&words_of(group.items())));
        if title.is_empty() {
            return Err(PdfRefused::NoHeading { page: self.page + 1 });
        }
        // No level may be left out on the way down (ISO 14289-1, 7.4.2).
        *self.level = u16::from(level).clamp(1, 6).min(*self.level + 1);
        self.bookmark(*self.level, &title, group);
        let level = NonZeroU16::new(*self.level).unwrap_or(NonZeroU16::MIN);
        Ok(Tag::Hn(level, Some(title)).into())
    }

    /// A section is found in the list where no heading of its own stands for it.
    fn section(&mut self, group: &Group) {
        let headed = |item: &Item| matches!(item, Item::Group(g) if matches!(g.role(), Role::Heading(_)));
        if !group.items().iter().any(headed) {
            let title = group.title().map(title_of).unwrap_or_default();
            self.bookmark(*self.level + 1, &title, group);
        }
    }

    fn bookmark(&mut self, level: u16, title: &str, group: &Group) {
        let page = self.bookmarks.iter().rfind(|b| b.level == 0).map(|b| b.title.as_str());
        // A page's own heading would say the same again.
        if !title.is_empty() && page != Some(title) {
            let spot = Spot::of(self.page, group);
            self.bookmarks.push(Bookmark { level, title: title.to_owned(), spot });
        }
    }

    /// A stroke or an area.
    fn line(&mut self, item: &Item) {
        let wanted = if self.figures.is_empty() { Open::Artifact } else { Open::Figure };
        if self.open != wanted {
            self.shut();
            if wanted == Open::Artifact {
                self.start_artifact();
            } else {
                let id = self.surface.start_tagged(ContentTag::Other);
                if let Some(lines) = self.figures.last_mut() {
                    lines.push(id);
                }
                self.open = Open::Figure;
            }
        }
        self.paint(item);
    }

    fn start_artifact(&mut self) {
        let _ = self.surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)));
        self.open = Open::Artifact;
    }

    fn shut(&mut self) {
        if self.open != Open::Nothing {
            self.surface.end_tagged();
            self.open = Open::Nothing;
        }
    }

    /// Decoration: drawn, and never read.
    fn aside(&mut self, items: &[Item]) {
        for item in items {
            if let Item::Group(group) = item {
                self.aside(group.items());
                continue;
            }
            if self.open != Open::Artifact {
                self.shut();
                self.start_artifact();
            }
            self.paint(item);
        }
    }

    fn paint(&mut self, item: &Item) {
        match item {
            Item::Stroke(stroke) => draw::stroke(&mut self.surface, stroke),
            Item::Area(area) => draw::area(&mut self.surface, area),
            Item::Text(text) => {
                text.runs().iter().for_each(|run| draw::run(&mut self.surface, self.fonts, text, run));
            }
            Item::Group(_) => {}
        }
    }

    fn text(&mut self, text: &Text, into: &mut TagGroup) {
        if text.runs().is_empty() {
            return;
        }
        if let Some(space) = self.space.take() {
            self.runs(&space, into);
        }
        self.runs(text, into);
        if !text.said().ends_with(' ') {
            let at = (text.left_mm().0 + text.width_mm(), text.left_mm().1);
            self.space = Text::new(" ", at, text.size_pt(), text.weight(), text.colour()).ok();
        }
    }

    fn runs(&mut self, text: &Text, into: &mut TagGroup) {
        self.shut();
        for run in text.runs() {
            let Run::Boxed { character, .. } = run else {
                into.push(self.mark(text, run, SpanTag::empty()));
                continue;
            };
            // What is drawn as a box is heard, found and copied as the character that it stands for, unless that would
            // act: ears go by the tree, and what copies goes by the mark.
            let actual = spoken(character.encode_utf8(&mut [0; 4]));
            let mark = self.mark(text, run, SpanTag::empty().with_actual_text(Some(&actual)));
            let word = TagKind::from(Tag::Span).with_actual_text(Some(actual));
            into.push(TagGroup::with_children(word, vec![mark.into()]));
        }
    }

    fn mark(&mut self, text: &Text, run: &Run, tag: SpanTag<'_>) -> Identifier {
        let id = self.surface.start_tagged(ContentTag::Span(tag));
        draw::run(&mut self.surface, self.fonts, text, run);
        self.surface.end_tagged();
        id
    }
}

/// A part of the tree that holds nothing is none.
fn push(into: &mut TagGroup, part: TagGroup) {
    if !part.children.is_empty() {
        into.push(part);
    }
}

/// What the texts of a group say, one after the other.
fn words_of(items: &[Item]) -> String {
    let each = items.iter().map(|item| match item {
        Item::Text(text) => text.said(),
        Item::Group(group) if group.role() != Role::Decoration => words_of(group.items()),
        _ => String::new(),
    });
    each.filter(|said| !said.trim().is_empty()).collect::<Vec<_>>().join(" ")
}

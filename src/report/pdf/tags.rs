//! What each piece of text is, for who has the file read aloud: the tree of headings, lists, tables
//! and figures, filled while the pages are drawn. Knows nothing of where anything stands.

use krilla::tagging::{
    BBox, Identifier, ListNumbering, Node as Branch, TableHeaderScope, Tag, TagGroup, TagKind,
    TagTree,
};
use std::num::NonZeroU16;

/// What a piece is.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Kind {
    /// A part under one heading.
    Section,
    /// Holds what belongs together.
    Group,
    /// A heading of a level from 1, and its words.
    Heading(u16, String),
    /// A paragraph.
    Paragraph,
    /// A part of a paragraph.
    Span,
    /// A list; bulleted or not.
    List(bool),
    /// A line of a list.
    ListItem,
    /// A bullet or a term.
    Label,
    /// What follows a bullet or a term.
    LabelBody,
    /// The list of contents.
    Contents,
    /// A line of the list of contents.
    ContentsItem,
    /// Something that points elsewhere.
    Reference,
    /// A link.
    Link,
    /// A table.
    Table,
    /// The caption of a table or a figure.
    Caption,
    /// The head rows of a table.
    TableHead,
    /// The other rows of a table.
    TableBody,
    /// A row.
    Row,
    /// A cell that names its column.
    ColumnHead,
    /// A cell that names its row.
    RowHead,
    /// Another cell.
    Cell,
    /// A chart, and what it shows in words.
    Figure(String),
}

/// A place in the tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Node(usize);

enum Child {
    Node(Node),
    Content(Identifier),
}

struct Item {
    kind: Kind,
    children: Vec<Child>,
    bounds: Option<BBox>,
}

/// The tree while it grows.
pub(super) struct Tags {
    items: Vec<Item>,
    roots: Vec<Node>,
}

impl Tags {
    /// A tree without a branch.
    pub(super) fn new() -> Tags {
        Tags {
            items: Vec::new(),
            roots: Vec::new(),
        }
    }

    fn add(&mut self, kind: Kind) -> Node {
        self.items.push(Item {
            kind,
            children: Vec::new(),
            bounds: None,
        });
        Node(self.items.len() - 1)
    }

    /// A branch of the document itself.
    pub(super) fn root(&mut self, kind: Kind) -> Node {
        let node = self.add(kind);
        self.roots.push(node);
        node
    }

    /// A branch after the branches that `parent` has.
    pub(super) fn child(&mut self, parent: Node, kind: Kind) -> Node {
        let node = self.add(kind);
        self.items[parent.0].children.push(Child::Node(node));
        node
    }

    /// Says that what was drawn under `content` belongs to `node`.
    pub(super) fn fill(&mut self, node: Node, content: Identifier) {
        self.items[node.0].children.push(Child::Content(content));
    }

    /// Says the same of what has to come before the rest of `node`: the link before its words.
    pub(super) fn fill_first(&mut self, node: Node, content: Identifier) {
        self.items[node.0]
            .children
            .insert(0, Child::Content(content));
    }

    /// Says where a figure stands.
    pub(super) fn bound(&mut self, node: Node, bounds: BBox) {
        self.items[node.0].bounds = Some(bounds);
    }

    /// The tree as the file holds it.
    pub(super) fn tree(mut self, language: &str) -> TagTree {
        let mut tree = TagTree::new().with_lang(Some(language.to_owned()));
        for node in std::mem::take(&mut self.roots) {
            tree.push(self.group(node));
        }
        tree
    }

    fn group(&mut self, node: Node) -> TagGroup {
        let item = &mut self.items[node.0];
        let children = std::mem::take(&mut item.children);
        let mut group = TagGroup::new(tag(&item.kind, item.bounds));
        for child in children {
            group.push(match child {
                Child::Node(node) => Branch::from(self.group(node)),
                Child::Content(content) => Branch::from(content),
            });
        }
        group
    }
}

fn tag(kind: &Kind, bounds: Option<BBox>) -> TagKind {
    match kind {
        Kind::Section => Tag::Section.into(),
        Kind::Group => Tag::Div.into(),
        Kind::Heading(level, words) => {
            let level = NonZeroU16::new(*level).unwrap_or(NonZeroU16::MIN);
            Tag::Hn(level, Some(words.clone())).into()
        }
        Kind::Paragraph => Tag::P.into(),
        Kind::Span => Tag::Span.into(),
        Kind::List(is_bulleted) => Tag::L(if *is_bulleted {
            ListNumbering::Disc
        } else {
            ListNumbering::None
        })
        .into(),
        Kind::ListItem => Tag::LI.into(),
        Kind::Label => Tag::Lbl.into(),
        Kind::LabelBody => Tag::LBody.into(),
        Kind::Contents => Tag::TOC.into(),
        Kind::ContentsItem => Tag::TOCI.into(),
        Kind::Reference => Tag::Reference.into(),
        Kind::Link => Tag::Link.into(),
        Kind::Table => Tag::Table.into(),
        Kind::Caption => Tag::Caption.into(),
        Kind::TableHead => Tag::THead.into(),
        Kind::TableBody => Tag::TBody.into(),
        Kind::Row => Tag::TR.into(),
        Kind::ColumnHead => Tag::TH(TableHeaderScope::Column).into(),
        Kind::RowHead => Tag::TH(TableHeaderScope::Row).into(),
        Kind::Cell => Tag::TD.into(),
        Kind::Figure(words) => Tag::Figure(Some(words.clone())).with_bbox(bounds).into(),
    }
}

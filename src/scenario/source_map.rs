//! Where each value stands in a RON text, and rewriting one value in place.
//!
//! Reading a file through serde loses where things stood, and writing it back loses comments and layout. This index
//! goes over the text once and remembers the byte range of every field name and value, so that an error can point at
//! a value and a changed setting can be written into the file as the person left it.
//!
//! Paths are dotted field names with list positions in brackets: `left.bearings.lower_offset`,
//! `fleet.vehicles[2].length`. A map key that is not a plain name is written `sizes["7/8 in"]`. The empty path is the
//! whole value. The rules for a step:
//!
//! 1. A name looks among the fields of a struct or the keys of a map. Struct names are not part of a path.
//! 2. A position counts the items of a list or a tuple from 0.
//! 3. Parentheses around one thing are passed through by any step: `Some(..)`, `Inline((..))`, a newtype. Only a
//!    position 0 on a wrapper whose content is no list or tuple means the content itself.
//! 4. A step that is the name of the variant standing there, and not of a field, stays where it is, so
//!    `machine.Inline.left` and `machine.left` are the same place. A path does not end in such a step.
//!
//! The index takes any text: what RON would refuse ends the index there, [`SourceMap::new`] reports it and
//! [`SourceMap::partial`] keeps what came before. It never recurses deeper than [`MAX_DEPTH`].

mod edit;
mod path;
mod scan;

#[cfg(test)]
mod tests;

pub use edit::{insert_field, replace_value, set_value};
pub use path::{Step, join_path, split_path};

use std::ops::Range;

pub(super) use scan::after_blanks;

/// The deepest nesting the index follows. RON's own reader stops at the same depth.
pub const MAX_DEPTH: usize = 128;

/// An index of one RON text.
#[derive(Debug, Clone)]
pub struct SourceMap<'s> {
    source: &'s str,
    root: Node,
}

/// Where one value stands, as byte ranges of the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The field name or map key; none for list items and the whole text.
    pub name: Option<Range<usize>>,
    /// The value as the field holds it, with any `Some(..)` around it.
    pub value: Range<usize>,
    /// The value inside every `Some(..)`; the same as `value` when there is none.
    pub inner: Range<usize>,
}

/// What can go wrong when looking for a place or rewriting it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SourceMapError {
    /// The text is not RON from this byte on.
    Syntax {
        /// Byte offset of the first thing not understood.
        offset: usize,
    },
    /// The text nests deeper than [`MAX_DEPTH`].
    TooDeep {
        /// Byte offset where the limit was passed.
        offset: usize,
    },
    /// The path itself cannot be read.
    BadPath {
        /// The path given.
        path: String,
    },
    /// Nothing stands at the path.
    NotFound {
        /// The path given.
        path: String,
        /// The part of it that was found.
        found: String,
        /// The first step that was not.
        missing: String,
        /// The names or number of items that stand there instead.
        there: String,
    },
    /// The place exists but has no fields, so none can be added.
    NoFields {
        /// The path given.
        path: String,
    },
    /// The field to be added exists already.
    AlreadyThere {
        /// The path of the field.
        path: String,
    },
    /// The new name is not a field name.
    BadName {
        /// The name given.
        name: String,
    },
    /// The new value is not one RON value.
    BadValue {
        /// The text given.
        text: String,
    },
}

impl std::fmt::Display for SourceMapError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            SourceMapError::Syntax { offset } => write!(f, "the text is not RON from byte {offset} on"),
            SourceMapError::TooDeep { offset } => {
                write!(f, "the text nests deeper than {MAX_DEPTH} levels at byte {offset}")
            }
            SourceMapError::BadPath { path } => write!(
                f,
                "`{path}` is not a path; write names with points between and list positions in brackets, \
                 like left.holes[1]"
            ),
            SourceMapError::NotFound { path, found, missing, there } => {
                let place = if found.is_empty() { "the file" } else { found };
                write!(f, "`{path}` is not in the file: {place} has no `{missing}`; it has {there}")
            }
            SourceMapError::NoFields { path } => write!(f, "`{path}` has no fields to add to"),
            SourceMapError::AlreadyThere { path } => write!(f, "`{path}` is in the file already"),
            SourceMapError::BadName { name } => write!(f, "`{name}` is not a field name"),
            SourceMapError::BadValue { text } => write!(f, "`{text}` is not one RON value"),
        }
    }
}

impl std::error::Error for SourceMapError {}

/// One value of the text.
#[derive(Debug, Clone)]
struct Node {
    /// The whole value, with its struct or variant name.
    range: Range<usize>,
    /// The struct or variant name in front, if any; for a lone name that is all there is.
    name: Option<Range<usize>>,
    /// What it holds.
    content: Content,
}

#[derive(Debug, Clone)]
enum Content {
    /// A number, string, character or lone name.
    Scalar,
    /// A struct: the inside of its parentheses and its fields.
    Struct(Range<usize>, Vec<Entry>),
    /// A map: the inside of its braces and its entries.
    Map(Range<usize>, Vec<Entry>),
    /// A list.
    List(Vec<Node>),
    /// Parentheses without field names: the inside and the items. One item makes a wrapper.
    Tuple(Range<usize>, Vec<Node>),
}

/// A field of a struct or an entry of a map.
#[derive(Debug, Clone)]
struct Entry {
    /// The name, with escapes resolved.
    name: String,
    /// Where the name stands.
    at: Range<usize>,
    /// The value; an empty scalar where the text broke off before it.
    value: Node,
}

impl Node {
    /// The one thing inside plain parentheses, if this is such a wrapper.
    fn wrapped(&self) -> Option<&Node> {
        match &self.content {
            Content::Tuple(_, items) if items.len() == 1 => items.first(),
            _ => None,
        }
    }

    /// The node inside all wrappers.
    fn unwrapped(&self) -> &Node {
        let mut node = self;
        while let Some(inner) = node.wrapped() {
            node = inner;
        }
        node
    }

    fn entries(&self) -> &[Entry] {
        match &self.content {
            Content::Struct(_, entries) | Content::Map(_, entries) => entries,
            _ => &[],
        }
    }
}

impl<'s> SourceMap<'s> {
    /// Indexes a whole text.
    ///
    /// # Errors
    /// [`SourceMapError::Syntax`] or [`SourceMapError::TooDeep`] where the index had to stop.
    pub fn new(source: &'s str) -> Result<Self, SourceMapError> {
        let (root, error) = scan::document(source);
        match error {
            Some(error) => Err(error),
            None => Ok(SourceMap { source, root }),
        }
    }

    /// Indexes as much of a text as can be understood, and says where it had to stop, if it did.
    pub fn with_end(source: &'s str) -> (Self, Option<SourceMapError>) {
        let (root, error) = scan::document(source);
        (SourceMap { source, root }, error)
    }

    /// Indexes as much of a text as can be understood.
    pub fn partial(source: &'s str) -> Self {
        let (root, _) = scan::document(source);
        SourceMap { source, root }
    }

    /// Where the value at a path stands.
    ///
    /// # Errors
    /// [`SourceMapError::BadPath`] or [`SourceMapError::NotFound`].
    pub fn find(&self, path: &str) -> Result<Place, SourceMapError> {
        let steps = split_path(path)?;
        let (entry, node) = self.resolve(path, &steps)?;
        Ok(self.place(entry.map(|entry| entry.at.clone()), node))
    }

    /// Where the deepest part of a path that exists stands, and that part as a path.
    pub fn find_deepest(&self, path: &str) -> (String, Place) {
        let steps = split_path(path).unwrap_or_default();
        for count in (0..=steps.len()).rev() {
            if let Ok((entry, node)) = self.resolve(path, &steps[..count]) {
                return (join_path(&steps[..count]), self.place(entry.map(|entry| entry.at.clone()), node));
            }
        }
        (String::new(), self.place(None, &self.root))
    }

    /// The innermost field or item whose value covers a byte of the text, as a path and a place.
    pub fn path_at(&self, offset: usize) -> (String, Place) {
        let mut steps = Vec::new();
        let mut place = self.place(None, &self.root);
        let mut node = &self.root;
        let covers = |node: &Node| node.range.contains(&offset);
        loop {
            node = node.unwrapped();
            let (step, name, next) = match &node.content {
                Content::Struct(_, entries) | Content::Map(_, entries) => {
                    let Some(entry) = entries.iter().find(|entry| covers(&entry.value)) else { break };
                    (Step::Name(entry.name.clone()), Some(entry.at.clone()), &entry.value)
                }
                Content::List(items) | Content::Tuple(_, items) => {
                    let Some(index) = items.iter().position(covers) else { break };
                    (Step::Item(index), None, &items[index])
                }
                Content::Scalar => break,
            };
            steps.push(step);
            place = self.place(name, next);
            node = next;
        }
        (join_path(&steps), place)
    }

    /// Every place of one field name in the struct or map at a path, in the order of the text.
    ///
    /// # Errors
    /// [`SourceMapError::BadPath`] or [`SourceMapError::NotFound`] for the path of the struct.
    pub fn find_all(&self, parent: &str, name: &str) -> Result<Vec<Place>, SourceMapError> {
        let steps = split_path(parent)?;
        let (_, node) = self.resolve(parent, &steps)?;
        let entries = node.unwrapped().entries().iter().filter(|entry| entry.name == name);
        Ok(entries.map(|entry| self.place(Some(entry.at.clone()), &entry.value)).collect())
    }

    /// The field names of the struct or the keys of the map at a path, in the order of the text.
    ///
    /// # Errors
    /// [`SourceMapError::BadPath`] or [`SourceMapError::NotFound`].
    pub fn names(&self, path: &str) -> Result<Vec<&str>, SourceMapError> {
        let steps = split_path(path)?;
        let (_, node) = self.resolve(path, &steps)?;
        Ok(node.unwrapped().entries().iter().map(|entry| entry.name.as_str()).collect())
    }

    /// The text of the value at a path, without any `Some(..)` around it.
    ///
    /// # Errors
    /// [`SourceMapError::BadPath`] or [`SourceMapError::NotFound`].
    pub fn value_text(&self, path: &str) -> Result<&'s str, SourceMapError> {
        Ok(&self.source[self.find(path)?.inner])
    }

    fn place(&self, name: Option<Range<usize>>, node: &Node) -> Place {
        let mut inner = node;
        while let (Some(name), Some(wrapped)) = (&inner.name, inner.wrapped()) {
            if &self.source[name.clone()] != "Some" {
                break;
            }
            inner = wrapped;
        }
        Place { name, value: node.range.clone(), inner: inner.range.clone() }
    }

    /// Follows a path. The entry is the one whose value the last step reached.
    fn resolve(&self, path: &str, steps: &[Step]) -> Result<(Option<&Entry>, &Node), SourceMapError> {
        let mut node = &self.root;
        let mut entry = None;
        for (done, step) in steps.iter().enumerate() {
            match self.step(node, step) {
                Some(Stepped::To(next_entry, next)) => (entry, node) = (next_entry, next),
                Some(Stepped::Stay) if done + 1 < steps.len() => {}
                Some(Stepped::Stay) | None => {
                    return Err(SourceMapError::NotFound {
                        path: path.to_owned(),
                        found: join_path(&steps[..done]),
                        missing: step.to_string(),
                        there: self.describe(node),
                    });
                }
            }
        }
        Ok((entry, node))
    }

    fn step<'n>(&self, node: &'n Node, step: &Step) -> Option<Stepped<'n>> {
        let mut here = node;
        // Variant names met on the way in through wrappers count for rule 4.
        let mut named = false;
        loop {
            match (step, &here.content) {
                (Step::Name(name), Content::Struct(_, entries) | Content::Map(_, entries)) => {
                    if let Some(entry) = entries.iter().find(|entry| entry.name == *name) {
                        return Some(Stepped::To(Some(entry), &entry.value));
                    }
                }
                (Step::Item(index), Content::List(items)) => {
                    return items.get(*index).map(|item| Stepped::To(None, item));
                }
                (Step::Item(index), Content::Tuple(_, items)) if items.len() != 1 => {
                    return items.get(*index).map(|item| Stepped::To(None, item));
                }
                (Step::Item(0), Content::Tuple(_, items)) => {
                    let inside = here.unwrapped();
                    if !matches!(inside.content, Content::List(_) | Content::Tuple(..)) {
                        return items.first().map(|item| Stepped::To(None, item));
                    }
                }
                _ => {}
            }
            if let (Step::Name(name), Some(own)) = (step, &here.name) {
                named |= self.source[own.clone()] == **name;
            }
            match here.wrapped() {
                Some(inner) => here = inner,
                None => return named.then_some(Stepped::Stay),
            }
        }
    }

    fn describe(&self, node: &Node) -> String {
        let inside = node.unwrapped();
        match &inside.content {
            Content::Scalar => "a single value".to_owned(),
            Content::List(items) | Content::Tuple(_, items) => match items.len() {
                0 => "no items".to_owned(),
                1 => "item [0]".to_owned(),
                count => format!("items [0] to [{}]", count - 1),
            },
            Content::Struct(_, entries) | Content::Map(_, entries) if entries.is_empty() => {
                "no fields".to_owned()
            }
            Content::Struct(_, entries) | Content::Map(_, entries) => {
                entries.iter().map(|entry| entry.name.as_str()).collect::<Vec<_>>().join(", ")
            }
        }
    }
}

enum Stepped<'n> {
    To(Option<&'n Entry>, &'n Node),
    Stay,
}

//! One pass over a RON text, building the tree of places.

use super::{Content, Entry, MAX_DEPTH, Node, SourceMapError};
use std::ops::Range;

/// Scans a whole text. What was understood before an error is in the tree.
pub(super) fn document(source: &str) -> (Node, Option<SourceMapError>) {
    let mut scanner = Scanner { source, at: 0, error: None };
    scanner.skip_blanks();
    scanner.extensions();
    let root = scanner.value(0);
    if scanner.error.is_none() {
        scanner.skip_blanks();
        if scanner.at < source.len() {
            scanner.fail();
        }
    }
    (root, scanner.error)
}

/// Whether a text is exactly one RON value, without blanks or comments around it.
pub(super) fn is_one_value(text: &str) -> bool {
    let mut scanner = Scanner { source: text, at: 0, error: None };
    let node = scanner.value(0);
    scanner.error.is_none() && node.range == (0..text.len())
}

/// Whether a text is a plain field name.
pub(super) fn is_name(text: &str) -> bool {
    let mut chars = text.chars();
    chars.next().is_some_and(starts_name) && chars.all(continues_name)
}

/// The end of a run of blanks and comments that starts at `at`, stopping before the end of the line. A block comment
/// that goes over the end of the line is not passed.
pub(super) fn rest_of_line(source: &str, at: usize) -> usize {
    let mut scanner = Scanner { source, at, error: None };
    // The end of the last comment passed: where to stop when the next one runs over the line.
    let mut passed = at;
    loop {
        let rest = scanner.rest();
        let start = scanner.at;
        match scanner.peek() {
            Some('\n' | '\r') | None => return start,
            Some(c) if is_blank(c) => scanner.at += c.len_utf8(),
            Some('/') if rest.starts_with("//") || rest.starts_with("/*") => {
                scanner.comment();
                if scanner.error.is_some() || source[start..scanner.at].contains('\n') {
                    return passed;
                }
                passed = scanner.at;
            }
            Some(_) => return start,
        }
    }
}

/// The next byte at or after `at` that is neither a blank nor in a comment.
pub(in crate::scenario) fn after_blanks(source: &str, at: usize) -> usize {
    let mut scanner = Scanner { source, at, error: None };
    scanner.skip_blanks();
    scanner.at
}

fn is_blank(c: char) -> bool {
    c.is_whitespace() || matches!(c, '\u{200e}' | '\u{200f}')
}

fn starts_name(c: char) -> bool {
    c.is_alphabetic() || c == '_'
}

fn continues_name(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

struct Scanner<'s> {
    source: &'s str,
    at: usize,
    /// The first error; once set, nothing more is read.
    error: Option<SourceMapError>,
}

impl<'s> Scanner<'s> {
    fn rest(&self) -> &'s str {
        self.source.get(self.at..).unwrap_or("")
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    fn fail(&mut self) {
        self.error.get_or_insert(SourceMapError::Syntax { offset: self.at });
    }

    /// Takes one character if it is this one.
    fn take(&mut self, wanted: char) -> bool {
        let found = self.peek() == Some(wanted);
        if found {
            self.at += wanted.len_utf8();
        }
        found
    }

    /// Takes characters while they fit.
    fn take_while(&mut self, fits: impl Fn(char) -> bool) {
        let rest = self.rest();
        self.at += rest.find(|c| !fits(c)).unwrap_or(rest.len());
    }

    fn skip_blanks(&mut self) {
        loop {
            self.take_while(is_blank);
            if self.error.is_some() || !(self.rest().starts_with("//") || self.rest().starts_with("/*")) {
                return;
            }
            self.comment();
        }
    }

    /// A comment that starts here; a line comment ends before its line end.
    fn comment(&mut self) {
        if self.rest().starts_with("//") {
            self.take_while(|c| c != '\n');
            return;
        }
        let start = self.at;
        let mut depth = 0_usize;
        loop {
            let rest = self.rest();
            let Some(next) = rest.find(['/', '*']) else {
                self.error.get_or_insert(SourceMapError::Syntax { offset: start });
                self.at = self.source.len();
                return;
            };
            let here = &rest[next..];
            if here.starts_with("/*") {
                depth += 1;
                self.at += next + 2;
            } else if here.starts_with("*/") {
                depth -= 1;
                self.at += next + 2;
                if depth == 0 {
                    return;
                }
            } else {
                self.at += next + 1;
            }
        }
    }

    /// `#![enable(…)]` lines at the top.
    fn extensions(&mut self) {
        while self.error.is_none() && self.rest().starts_with('#') {
            let rest = self.rest();
            match rest.find(']') {
                Some(end) if rest[1..].trim_start().starts_with('!') => self.at += end + 1,
                _ => return self.fail(),
            }
            self.skip_blanks();
        }
    }

    fn scalar(&self, start: usize) -> Node {
        Node { range: start..self.at, name: None, content: Content::Scalar }
    }

    fn value(&mut self, depth: usize) -> Node {
        let start = self.at;
        if depth >= MAX_DEPTH {
            self.error.get_or_insert(SourceMapError::TooDeep { offset: start });
        }
        if self.error.is_some() {
            return self.scalar(start);
        }
        match self.peek() {
            Some('(') => self.parenthesised(start, None, depth),
            Some('[') => {
                self.at += 1;
                let items = self.items(depth, ']');
                Node { range: start..self.at, name: None, content: Content::List(items) }
            }
            Some('{') => self.map(start, depth),
            Some('"' | '\'') => {
                self.quoted();
                self.scalar(start)
            }
            Some('+' | '-' | '.' | '0'..='9') => {
                self.number();
                self.scalar(start)
            }
            Some('r' | 'b') if self.prefixed_literal() => self.scalar(start),
            Some(c) if starts_name(c) => self.named(depth),
            _ => {
                self.fail();
                self.scalar(start)
            }
        }
    }

    /// A value that starts with a name: a lone name or a named struct, tuple or variant.
    fn named(&mut self, depth: usize) -> Node {
        let start = self.at;
        let name = self.name();
        self.after_name(start, name, depth)
    }

    /// The rest of a value whose name has been taken.
    fn after_name(&mut self, start: usize, name: Range<usize>, depth: usize) -> Node {
        let end = self.at;
        self.skip_blanks();
        if self.error.is_none() && self.peek() == Some('(') {
            return self.parenthesised(start, Some(name), depth);
        }
        self.at = if self.error.is_none() { end } else { self.at };
        Node { range: start..end, name: Some(name), content: Content::Scalar }
    }

    /// Takes a name, plain or raw; the range is the name without `r#`.
    fn name(&mut self) -> Range<usize> {
        let raw = self.rest().strip_prefix("r#").is_some_and(|after| after.starts_with(starts_name));
        if raw {
            self.at += 2;
        }
        let start = self.at;
        if raw {
            self.take_while(|c| continues_name(c) || matches!(c, '.' | '+' | '-'));
        } else {
            self.take_while(continues_name);
        }
        start..self.at
    }

    /// Raw strings, byte strings and byte characters. Takes nothing when it is none of them.
    fn prefixed_literal(&mut self) -> bool {
        let rest = self.rest();
        let unprefixed = rest.strip_prefix('b').unwrap_or(rest);
        if let Some(raw) = unprefixed.strip_prefix('r') {
            let hashes = raw.len() - raw.trim_start_matches('#').len();
            if let Some(body) = raw[hashes..].strip_prefix('"') {
                let close = format!("\"{}", "#".repeat(hashes));
                let open = rest.len() - body.len();
                match body.find(&close) {
                    Some(end) => self.at += open + end + close.len(),
                    None => self.fail(),
                }
                return true;
            }
        }
        if rest.starts_with('b') && unprefixed.starts_with(['"', '\'']) {
            self.at += 1;
            self.quoted();
            return true;
        }
        false
    }

    /// A string or character with escapes.
    fn quoted(&mut self) {
        let quote = if self.take('"') { '"' } else { '\'' };
        if quote == '\'' {
            self.at += 1;
            // A lone quote mark may itself be quoted without an escape.
            if self.rest().starts_with("''") {
                self.at += 2;
                return;
            }
        }
        loop {
            let rest = self.rest();
            match rest.find([quote, '\\']) {
                Some(next) if rest[next..].starts_with('\\') => {
                    let escaped = rest[next + 1..].chars().next().map_or(0, char::len_utf8);
                    self.at += next + 1 + escaped;
                }
                Some(next) => {
                    self.at += next + 1;
                    return;
                }
                None => return self.fail(),
            }
        }
    }

    fn number(&mut self) {
        let start = self.at;
        if matches!(self.peek(), Some('+' | '-')) {
            self.at += 1;
        }
        let body = self.at;
        let mut before = ' ';
        let hex = self.rest().starts_with("0x");
        while let Some(c) = self.peek() {
            let exponent_sign = matches!(c, '+' | '-') && matches!(before, 'e' | 'E') && !hex;
            if !(continues_name(c) || c == '.' || exponent_sign) {
                break;
            }
            before = c;
            self.at += c.len_utf8();
        }
        if self.at == body {
            self.at = start;
            self.fail();
        }
    }

    fn map(&mut self, start: usize, depth: usize) -> Node {
        self.at += 1;
        let open = self.at;
        let mut entries = Vec::new();
        loop {
            self.skip_blanks();
            if self.error.is_some() || self.peek() == Some('}') {
                break;
            }
            let key = self.value(depth + 1);
            self.skip_blanks();
            if self.error.is_some() || !self.take(':') {
                self.fail();
                break;
            }
            self.skip_blanks();
            let value = self.value(depth + 1);
            entries.push(Entry { name: key_text(&self.source[key.range.clone()]), at: key.range, value });
            if !self.comma('}') {
                break;
            }
        }
        let inside = open..self.at;
        if self.error.is_none() {
            self.at += 1;
        }
        Node { range: start..self.at, name: None, content: Content::Map(inside, entries) }
    }

    /// A struct or tuple from its opening parenthesis on.
    fn parenthesised(&mut self, start: usize, name: Option<Range<usize>>, depth: usize) -> Node {
        self.at += 1;
        let open = self.at;
        let mut entries = Vec::new();
        let mut items = Vec::new();
        loop {
            self.skip_blanks();
            if self.error.is_some() || self.peek() == Some(')') {
                break;
            }
            match self.field_name() {
                Some((_, field, true)) => {
                    self.skip_blanks();
                    let value = self.value(depth + 1);
                    let name = self.source[field.clone()].to_owned();
                    entries.push(Entry { name, at: field, value });
                }
                // A name without a colon starts a value.
                Some((item_start, name, false)) => {
                    let item = if depth + 1 >= MAX_DEPTH {
                        self.error.get_or_insert(SourceMapError::TooDeep { offset: item_start });
                        self.scalar(item_start)
                    } else {
                        self.after_name(item_start, name, depth + 1)
                    };
                    items.push(item);
                }
                None => items.push(self.value(depth + 1)),
            }
            if !entries.is_empty() && !items.is_empty() {
                self.fail();
            }
            if !self.comma(')') {
                break;
            }
        }
        let inside = open..self.at;
        if self.error.is_none() {
            self.at += 1;
        }
        let content =
            if entries.is_empty() { Content::Tuple(inside, items) } else { Content::Struct(inside, entries) };
        Node { range: start..self.at, name, content }
    }

    /// A name here and whether a colon follows; with the colon everything up to it is taken, else only the name.
    fn field_name(&mut self) -> Option<(usize, Range<usize>, bool)> {
        let start = self.at;
        let first = self.peek()?;
        if !starts_name(first) {
            return None;
        }
        if matches!(first, 'r' | 'b') && self.prefixed_literal() {
            self.at = start;
            return None;
        }
        let name = self.name();
        let end = self.at;
        self.skip_blanks();
        let colon = self.error.is_none() && self.take(':');
        if !colon {
            self.at = end;
        }
        Some((start, name, colon))
    }

    fn items(&mut self, depth: usize, close: char) -> Vec<Node> {
        let mut items = Vec::new();
        loop {
            self.skip_blanks();
            if self.error.is_some() || self.peek() == Some(close) {
                break;
            }
            items.push(self.value(depth + 1));
            if !self.comma(close) {
                break;
            }
        }
        if self.error.is_none() {
            self.at += 1;
        }
        items
    }

    /// After an item: takes a comma, or stands before the closing bracket. `false` ends the loop.
    fn comma(&mut self, close: char) -> bool {
        self.skip_blanks();
        if self.error.is_some() {
            return false;
        }
        if self.take(',') {
            return true;
        }
        if self.peek() != Some(close) {
            self.fail();
        }
        false
    }
}

/// The text of a map key: a string without quotes and escapes, anything else as written.
fn key_text(key: &str) -> String {
    ron::from_str::<String>(key).unwrap_or_else(|_| key.to_owned())
}

//! Makes every mutant of a file a branch on the number of the mutant that is switched on.
//!
//! An expression with mutants m₁ … m₃ becomes `(if any(m₁, 3) { if on(m₁) { mutated₁ } else if on(m₂) { mutated₂ } else { mutated₃ } } else
//! { original })`: one question where no mutant is on. Only the original branch holds the switches of mutants further in: one mutant is on at a
//! time, so the others can be plain text and nothing doubles.
//! A function body begins with `if on(m) { return value; }`, a match arm that can be left out gets the guard `if !on(m)`.

use crate::mutant::{Mutant, Place};
use std::collections::BTreeMap;
use std::ops::Range;
use syn::spanned::Spanned;
use syn::visit::{self, Visit};

/// What the tests are built with: the switch itself.
pub const SWITCH: &str = include_str!("switch.rs.txt");

/// Where mutants can be switched: the text that is replaced, and how each mutant's text is made.
#[derive(Debug, Clone)]
enum Site {
    Binary {
        node: Range<usize>,
        left: Range<usize>,
        right: Range<usize>,
    },
    Unary {
        node: Range<usize>,
        operand: Range<usize>,
    },
    /// A guard of a match arm, replaced whole.
    Guard {
        node: Range<usize>,
    },
    /// A field left out of a struct expression that has a base.
    Field {
        node: Range<usize>,
        field: Range<usize>,
    },
    /// Behind the pattern of a match arm.
    Arm {
        at: usize,
    },
    /// Before the first statement of a function.
    Body {
        at: usize,
    },
}

impl Site {
    fn range(&self) -> Range<usize> {
        match self {
            Site::Binary { node, .. }
            | Site::Unary { node, .. }
            | Site::Guard { node }
            | Site::Field { node, .. } => node.clone(),
            Site::Arm { at } | Site::Body { at } => *at..*at,
        }
    }

    fn genre(&self) -> &'static str {
        match self {
            Site::Binary { .. } => "BinaryOperator",
            Site::Unary { .. } => "UnaryOperator",
            Site::Guard { .. } => "MatchArmGuard",
            Site::Field { .. } => "StructField",
            Site::Arm { .. } => "MatchArm",
            Site::Body { .. } => "FnValue",
        }
    }

    fn mutated(&self, text: &str, replacement: &str) -> String {
        match self {
            Site::Binary { left, right, .. } => {
                format!("({}) {replacement} ({})", &text[left.clone()], &text[right.clone()])
            }
            Site::Unary { operand, .. } => text[operand.clone()].to_owned(),
            Site::Guard { .. } | Site::Arm { .. } => replacement.to_owned(),
            Site::Field { node, field } => {
                let rest = text[field.end..node.end].trim_start();
                let rest = rest.strip_prefix(',').unwrap_or(rest);
                format!("{}{rest}", &text[node.start..field.start])
            }
            Site::Body { .. } => format!("return {replacement};"),
        }
    }
}

#[derive(Default)]
struct Finder {
    sites: BTreeMap<(Place, &'static str), Site>,
    /// Places whose mutants cannot compile, with the reason.
    hopeless: BTreeMap<(Place, &'static str), &'static str>,
    /// Inside a constant or a `const fn`, where nothing can be switched.
    constant: usize,
}

fn place(span: proc_macro2::Span) -> Place {
    let start = span.start();
    Place { line: start.line, column: start.column + 1 }
}

fn bytes(node: &impl Spanned) -> Range<usize> {
    node.span().byte_range()
}

fn holds_let(expr: &syn::Expr) -> bool {
    match expr {
        syn::Expr::Let(_) => true,
        syn::Expr::Binary(b) if matches!(b.op, syn::BinOp::And(_)) => {
            holds_let(&b.left) || holds_let(&b.right)
        }
        _ => false,
    }
}

impl Finder {
    fn add(&mut self, at: proc_macro2::Span, site: Site) {
        if self.constant == 0 {
            self.sites.insert((place(at), site.genre()), site);
        }
    }

    fn body(&mut self, block: &syn::Block) {
        if let Some(first) = block.stmts.first() {
            self.add(first.span(), Site::Body { at: bytes(first).start });
        }
    }

    fn in_constant(&mut self, constant: bool, walk: impl FnOnce(&mut Self)) {
        self.constant += usize::from(constant);
        walk(self);
        self.constant -= usize::from(constant);
    }
}

impl<'a> Visit<'a> for Finder {
    fn visit_item_fn(&mut self, i: &'a syn::ItemFn) {
        self.in_constant(i.sig.constness.is_some(), |f| {
            f.body(&i.block);
            visit::visit_item_fn(f, i);
        });
    }

    fn visit_impl_item_fn(&mut self, i: &'a syn::ImplItemFn) {
        self.in_constant(i.sig.constness.is_some(), |f| {
            f.body(&i.block);
            visit::visit_impl_item_fn(f, i);
        });
    }

    fn visit_trait_item_fn(&mut self, i: &'a syn::TraitItemFn) {
        if let Some(block) = &i.default {
            self.body(block);
        }
        visit::visit_trait_item_fn(self, i);
    }

    fn visit_item_const(&mut self, i: &'a syn::ItemConst) {
        self.in_constant(true, |f| visit::visit_item_const(f, i));
    }

    fn visit_item_static(&mut self, i: &'a syn::ItemStatic) {
        self.in_constant(true, |f| visit::visit_item_static(f, i));
    }

    fn visit_impl_item_const(&mut self, i: &'a syn::ImplItemConst) {
        self.in_constant(true, |f| visit::visit_impl_item_const(f, i));
    }

    fn visit_type_array(&mut self, i: &'a syn::TypeArray) {
        self.in_constant(true, |f| visit::visit_type_array(f, i));
    }

    fn visit_pat(&mut self, i: &'a syn::Pat) {
        self.in_constant(true, |f| visit::visit_pat(f, i));
    }

    fn visit_expr_repeat(&mut self, i: &'a syn::ExprRepeat) {
        self.visit_expr(&i.expr);
        self.in_constant(true, |f| f.visit_expr(&i.len));
    }

    fn visit_expr_binary(&mut self, i: &'a syn::ExprBinary) {
        if !holds_let(&i.left) && !holds_let(&i.right) {
            let site = Site::Binary { node: bytes(i), left: bytes(&*i.left), right: bytes(&*i.right) };
            self.add(i.op.span(), site);
        } else {
            self.hopeless
                .insert((place(i.op.span()), "BinaryOperator"), "a let chain takes no other operator");
        }
        visit::visit_expr_binary(self, i);
    }

    fn visit_expr_unary(&mut self, i: &'a syn::ExprUnary) {
        self.add(i.op.span(), Site::Unary { node: bytes(i), operand: bytes(&*i.expr) });
        visit::visit_expr_unary(self, i);
    }

    fn visit_expr_struct(&mut self, i: &'a syn::ExprStruct) {
        for field in &i.fields {
            self.add(field.span(), Site::Field { node: bytes(i), field: bytes(field) });
        }
        visit::visit_expr_struct(self, i);
    }

    fn visit_expr_match(&mut self, i: &'a syn::ExprMatch) {
        // An arm can be left out where another takes what it took.
        if !i.arms.iter().any(|arm| matches!(arm.pat, syn::Pat::Wild(_)) && arm.guard.is_none()) {
            for arm in &i.arms {
                self.hopeless
                    .insert((place(arm.span()), "MatchArm"), "no other arm takes what this one took");
            }
        }
        visit::visit_expr_match(self, i);
    }

    fn visit_arm(&mut self, i: &'a syn::Arm) {
        match &i.guard {
            Some((_, guard)) if !holds_let(guard) => {
                self.add(guard.span(), Site::Guard { node: bytes(&**guard) });
            }
            Some(_) => {}
            None => self.add(i.span(), Site::Arm { at: bytes(&i.pat).end }),
        }
        visit::visit_arm(self, i);
    }
}

/// A place of the new text that belongs to mutants.
#[derive(Debug, Clone)]
pub struct Region {
    pub bytes: Range<usize>,
    /// One mutant for its own branch, all of them for the whole expression.
    pub ids: Vec<u32>,
}

/// A file with its mutants as branches.
#[derive(Debug, Default)]
pub struct Rewritten {
    pub text: String,
    /// Branch of each mutant.
    pub branches: Vec<Region>,
    /// Whole expressions, branches and original together.
    pub wholes: Vec<Region>,
    /// Mutants that cannot compile, with the reason.
    pub hopeless: Vec<(u32, &'static str)>,
    /// Mutants that have no place to be switched at.
    pub unswitchable: Vec<u32>,
}

struct Node<'a> {
    site: &'a Site,
    mutants: Vec<&'a Mutant>,
}

/// Rewrites one file with those of its mutants that are given.
pub fn rewrite(text: &str, mutants: &[&Mutant]) -> Rewritten {
    let file = syn::parse_file(text).expect("the file parses");
    let mut finder = Finder::default();
    finder.visit_file(&file);
    let mut out = Rewritten::default();
    // Outermost first; what is inserted at a point before what begins there.
    let mut nodes: BTreeMap<(usize, bool, usize, usize, &str), Node<'_>> = BTreeMap::new();
    for mutant in mutants {
        let key = (mutant.span.start, mutant.genre.as_str());
        if let Some(why) = finder.hopeless.iter().find(|(at, _)| **at == key).map(|(_, why)| *why) {
            out.hopeless.push((mutant.id, why));
            continue;
        }
        // Two values of one hidden type: a branch cannot give another.
        if mutant.genre == "FnValue"
            && mutant.function.as_ref().is_some_and(|f| f.return_type.contains("impl "))
        {
            out.unswitchable.push(mutant.id);
            continue;
        }
        let Some(site) = finder.sites.iter().find(|((at, genre), _)| (*at, *genre) == key).map(|(_, s)| s)
        else {
            out.unswitchable.push(mutant.id);
            continue;
        };
        let range = site.range();
        let which = if let Site::Field { field, .. } = site { field.start } else { 0 };
        let order = (range.start, !range.is_empty(), usize::MAX - range.end, which, site.genre());
        nodes.entry(order).or_insert_with(|| Node { site, mutants: Vec::new() }).mutants.push(mutant);
    }
    let nodes: Vec<Node<'_>> = nodes.into_values().collect();
    render(text, 0..text.len(), &mut nodes.as_slice(), &mut out);
    out
}

/// Writes `range` with the sites that lie in it, taking them from the front of `nodes`.
fn render(text: &str, range: Range<usize>, nodes: &mut &[Node<'_>], out: &mut Rewritten) {
    let mut at = range.start;
    while let Some((node, rest)) = nodes.split_first() {
        let inner = node.site.range();
        if inner.start >= range.end {
            break;
        }
        *nodes = rest;
        out.text.push_str(&text[at..inner.start]);
        at = inner.end;
        let whole = out.text.len();
        let ids: Vec<u32> = node.mutants.iter().map(|m| m.id).collect();
        match node.site {
            Site::Arm { .. } => {
                let id = ids[0];
                out.text.push_str(&format!(" if !crate::mutation::on({id})"));
                out.branches.push(Region { bytes: whole..out.text.len(), ids: vec![id] });
            }
            Site::Body { .. } => {
                for mutant in &node.mutants {
                    branch(text, node.site, mutant, &format!("if crate::mutation::on({})", mutant.id), out);
                    out.text.push(' ');
                }
            }
            _ => {
                // Numbers between the first and the last belong to refused mutants of the same expression: never on.
                let count = ids[ids.len() - 1] - ids[0] + 1;
                out.text.push_str(&format!("(if crate::mutation::any({}, {count}) {{ ", ids[0]));
                for (i, mutant) in node.mutants.iter().enumerate() {
                    let last = i + 1 == node.mutants.len();
                    let asks = format!("if crate::mutation::on({})", mutant.id);
                    let word = match (i, last) {
                        (0, true) => String::new(),
                        (0, false) => asks,
                        (_, true) => " else".to_owned(),
                        (_, false) => format!(" else {asks}"),
                    };
                    branch(text, node.site, mutant, &word, out);
                }
                out.text.push_str(" } else { ");
                render(text, inner, nodes, out);
                out.text.push_str(" })");
            }
        }
        out.wholes.push(Region { bytes: whole..out.text.len(), ids });
    }
    out.text.push_str(&text[at..range.end]);
}

fn branch(text: &str, site: &Site, mutant: &Mutant, word: &str, out: &mut Rewritten) {
    let start = out.text.len();
    let body = site.mutated(text, &mutant.replacement);
    out.text.push_str(&format!("{word} {{ {body} }}"));
    out.branches.push(Region { bytes: start..out.text.len(), ids: vec![mutant.id] });
}

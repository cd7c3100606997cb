//! Puts every mutant of a file into the file at once, each behind a switch, so that one build serves all of them.
//!
//! An expression becomes `match at(&[17, 18]) { 0 => as it was, 17 => mutant, 18 => mutant }`, a function gets an early
//! return, a match arm a guard. Inside a mutant the code is as it was: only one is switched on at a time.

use std::collections::BTreeMap;
use std::ops::Range;

use proc_macro2::{LineColumn, Span};
use syn::spanned::Spanned;
use syn::visit::{self, Visit};

use crate::list::{Genre, Mutant};

/// A place of the source and what may stand there instead.
struct Site {
    range: Range<usize>,
    form: Form,
    /// Number of the mutant, and the text that it puts in the place.
    mutants: Vec<(usize, String)>,
}

#[derive(Clone, Copy, PartialEq)]
enum Form {
    /// The expression in `range`.
    Expression,
    /// Before the first statement of a function; `range` is empty.
    Function,
    /// Behind the pattern of an arm without a guard; `range` is empty.
    Arm,
}

/// A file with its mutants, and where each of them lies in it, for errors of the compiler.
pub struct Placed {
    pub text: String,
    /// Bytes of the text that belong to one mutant.
    pub mutants: Vec<(Range<usize>, usize)>,
    /// Bytes of the text that belong to a place, and all its mutants.
    pub sites: Vec<(Range<usize>, Vec<usize>)>,
}

/// `source` with the mutants of `wanted`, by their numbers.
pub fn place(source: &str, wanted: &BTreeMap<usize, &Mutant>) -> Placed {
    let file = syn::parse_file(source).expect("the crate builds");
    let mut finder = Finder { source, lines: line_starts(source), wanted, constant: false, sites: vec![] };
    finder.visit_file(&file);
    let mut sites = finder.sites;
    // Outer places before inner ones; what is empty before what begins there.
    sites.sort_by_key(|s| (s.range.start, !s.range.is_empty(), usize::MAX - s.range.end));
    let mut placed = Placed { text: String::new(), mutants: vec![], sites: vec![] };
    placed.write(source, 0..source.len(), &sites);
    placed
}

impl Placed {
    fn write(&mut self, source: &str, range: Range<usize>, sites: &[Site]) {
        let mut at = range.start;
        let mut rest = sites;
        while let Some((site, after)) = rest.split_first() {
            self.text.push_str(&source[at..site.range.start]);
            let inner = if site.range.is_empty() {
                0
            } else {
                after.iter().take_while(|s| s.range.start < site.range.end).count()
            };
            let begin = self.text.len();
            self.write_site(source, site, &after[..inner]);
            self.sites.push((begin..self.text.len(), site.mutants.iter().map(|m| m.0).collect()));
            at = site.range.end;
            rest = &after[inner..];
        }
        self.text.push_str(&source[at..range.end]);
    }

    fn write_site(&mut self, source: &str, site: &Site, inner: &[Site]) {
        let numbers: Vec<usize> = site.mutants.iter().map(|m| m.0).collect();
        let switch = format!("crate::mutation::at(&{numbers:?})");
        match site.form {
            Form::Expression => {
                self.text.push_str(&format!("(match {switch} {{ 0 => "));
                self.write(source, site.range.clone(), inner);
                self.text.push_str(",\n");
                for (number, text) in &site.mutants {
                    self.mutant(*number, &format!("{number} => {text},\n"));
                }
                self.text.push_str("_ => unreachable!() })");
            }
            Form::Function => {
                for (number, text) in &site.mutants {
                    let early = format!("if crate::mutation::at(&[{number}]) != 0 {{ return {text}; }}\n");
                    self.mutant(*number, &early);
                }
            }
            Form::Arm => self.mutant(numbers[0], &format!(" if {switch} == 0")),
        }
    }

    fn mutant(&mut self, number: usize, text: &str) {
        let begin = self.text.len();
        self.text.push_str(text);
        self.mutants.push((begin..self.text.len(), number));
    }
}

struct Finder<'s> {
    source: &'s str,
    lines: Vec<usize>,
    wanted: &'s BTreeMap<usize, &'s Mutant>,
    /// Within a constant, where no switch can be asked.
    constant: bool,
    sites: Vec<Site>,
}

impl Finder<'_> {
    fn offset(&self, at: LineColumn) -> usize {
        let line = self.lines[at.line - 1];
        line + self.source[line..].chars().take(at.column).map(char::len_utf8).sum::<usize>()
    }

    fn range(&self, span: Span) -> Range<usize> {
        self.offset(span.start())..self.offset(span.end())
    }

    /// The mutants of one kind that begin at `span`.
    fn at(&self, span: Span, genre: Genre) -> Vec<(usize, String)> {
        let LineColumn { line, column } = span.start();
        let here =
            |m: &Mutant| m.genre == genre && m.span.start.line == line && m.span.start.column == column + 1;
        self.wanted.iter().filter(|(_, m)| here(m)).map(|(n, m)| (*n, m.replacement.clone())).collect()
    }

    /// Notes a place whose mutants replace `part` of the expression in `range`.
    fn expression(&mut self, range: Range<usize>, part: &Range<usize>, mut mutants: Vec<(usize, String)>) {
        if mutants.is_empty() || self.constant {
            return;
        }
        for (_, text) in &mut mutants {
            let (before, after) = (&self.source[range.start..part.start], &self.source[part.end..range.end]);
            *text = format!("{before}{text}{after}");
        }
        self.sites.push(Site { range, form: Form::Expression, mutants });
    }

    fn function(&mut self, block: &syn::Block) {
        let Some(first) = block.stmts.first() else { return };
        let mut mutants = self.at(first.span(), Genre::FnValue);
        // A function that returns `impl Iterator` returns one type only.
        mutants.retain(|m| !m.1.starts_with("::std::iter::"));
        if !mutants.is_empty() && !self.constant {
            let begin = self.offset(first.span().start());
            self.sites.push(Site { range: begin..begin, form: Form::Function, mutants });
        }
    }

    fn within_constant(&mut self, constant: bool, go: impl FnOnce(&mut Self)) {
        let before = std::mem::replace(&mut self.constant, constant);
        go(self);
        self.constant = before;
    }
}

/// Whether a chain of `&&` holds a `let`, which no other operator may join.
fn binds(expr: &syn::Expr) -> bool {
    match expr {
        syn::Expr::Let(_) => true,
        syn::Expr::Binary(b) if matches!(b.op, syn::BinOp::And(_)) => binds(&b.left) || binds(&b.right),
        _ => false,
    }
}

impl<'ast> Visit<'ast> for Finder<'_> {
    fn visit_item_const(&mut self, item: &'ast syn::ItemConst) {
        self.within_constant(true, |f| visit::visit_item_const(f, item));
    }

    fn visit_impl_item_const(&mut self, item: &'ast syn::ImplItemConst) {
        self.within_constant(true, |f| visit::visit_impl_item_const(f, item));
    }

    fn visit_item_static(&mut self, item: &'ast syn::ItemStatic) {
        self.within_constant(true, |f| visit::visit_item_static(f, item));
    }

    fn visit_item_fn(&mut self, item: &'ast syn::ItemFn) {
        self.within_constant(item.sig.constness.is_some(), |f| {
            f.function(&item.block);
            visit::visit_item_fn(f, item);
        });
    }

    fn visit_impl_item_fn(&mut self, item: &'ast syn::ImplItemFn) {
        self.within_constant(item.sig.constness.is_some(), |f| {
            f.function(&item.block);
            visit::visit_impl_item_fn(f, item);
        });
    }

    fn visit_expr_binary(&mut self, expr: &'ast syn::ExprBinary) {
        if !(binds(&expr.left) || binds(&expr.right)) {
            let mutants = self.at(expr.op.span(), Genre::BinaryOperator);
            self.expression(self.range(expr.span()), &self.range(expr.op.span()), mutants);
        }
        visit::visit_expr_binary(self, expr);
    }

    fn visit_expr_unary(&mut self, expr: &'ast syn::ExprUnary) {
        let mutants = self.at(expr.op.span(), Genre::UnaryOperator);
        self.expression(self.range(expr.span()), &self.range(expr.op.span()), mutants);
        visit::visit_expr_unary(self, expr);
    }

    fn visit_arm(&mut self, arm: &'ast syn::Arm) {
        let mut deleted = self.at(arm.span(), Genre::MatchArm);
        if let Some((_, guard)) = &arm.guard {
            deleted.iter_mut().for_each(|m| m.1 = "false".to_owned());
            deleted.extend(self.at(guard.span(), Genre::MatchArmGuard));
            let range = self.range(guard.span());
            self.expression(range.clone(), &range, deleted);
        } else if !deleted.is_empty() {
            let end = self.offset(arm.pat.span().end());
            self.sites.push(Site { range: end..end, form: Form::Arm, mutants: deleted });
        }
        visit::visit_arm(self, arm);
    }

    fn visit_expr_struct(&mut self, expr: &'ast syn::ExprStruct) {
        let mut mutants = vec![];
        let whole = self.range(expr.span());
        for field in &expr.fields {
            for (number, _) in self.at(field.span(), Genre::StructField) {
                let part = self.range(field.span());
                let after = self.source[part.end..whole.end].trim_start().trim_start_matches(',');
                mutants.push((number, format!("{}{after}", &self.source[whole.start..part.start])));
            }
        }
        self.expression(whole.clone(), &whole, mutants);
        visit::visit_expr_struct(self, expr);
    }
}

fn line_starts(source: &str) -> Vec<usize> {
    std::iter::once(0).chain(source.match_indices('\n').map(|(i, _)| i + 1)).collect()
}

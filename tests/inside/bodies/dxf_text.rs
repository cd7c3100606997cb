//! The text layer: bytes to spans and back.

use crate::dxf_text::splice::Edits;
use crate::dxf_text::{Drawing, DxfError, Entities, Pair, Span, number};
use crate::order;
use crate::output::{self, Handles, Written};

/// Scans a drawing and writes it again: nothing changed, and every number changed.
pub fn dxf_text(bytes: &[u8]) {
    let Ok(text) = order::text(bytes) else { return };
    let drawing = match Drawing::scan(&text) {
        Ok(drawing) => drawing,
        Err(error) => return told(&error, &text),
    };
    unchanged(&drawing);
    in_order(&drawing);
    read(&drawing);
    numbers(&drawing);
}

/// An error names a line of the file.
fn told(error: &DxfError, bytes: &[u8]) {
    let lines = bytes.iter().filter(|b| matches!(b, b'\n' | b'\r')).count() + 1;
    if let DxfError::GroupCode { line, .. }
    | DxfError::Number { line, .. }
    | DxfError::TooFar { line, .. }
    | DxfError::Truncated { line, .. }
    | DxfError::Structure { line, .. } = error
    {
        assert!((1..=lines).contains(line), "{error}: {lines} lines");
    }
    assert!(!error.to_string().contains(char::is_control), "{error:?}");
}

/// No block written, and every block written as it is: the same bytes.
fn unchanged(drawing: &Drawing<'_>) {
    assert!(output::file(drawing, Vec::new(), &Handles::default()).to_vec() == drawing.bytes);
    let as_it_is = |(block, b): (usize, &crate::dxf_text::Block)| {
        let mut edits = Edits::default();
        let mut at = b.whole.start;
        for pair in drawing.pairs(b.whole).map_while(Result::ok) {
            // Only blank lines may lie between two pairs.
            let between = Span { start: at, end: pair.start }.of(drawing.bytes);
            assert!(between.trim_ascii().is_empty(), "between two pairs: {between:?}");
            assert!(pair.start < pair.value.start && pair.value.end <= pair.end);
            edits.replace(pair.value, pair.value.of(drawing.bytes));
            at = pair.end;
        }
        let mut bytes = Vec::new();
        edits.apply(drawing.bytes, b.whole, &mut bytes);
        Written::whole(block, bytes)
    };
    let written = drawing.blocks.iter().enumerate().map(as_it_is).collect();
    assert!(output::file(drawing, written, &Handles::default()).to_vec() == drawing.bytes);
}

/// Sections and blocks follow one another; what a block holds lies in it.
fn in_order(drawing: &Drawing<'_>) {
    let mut at = 0;
    for section in &drawing.sections {
        assert!(at <= section.name.start && section.name.end <= section.body.start);
        assert!(section.body.start <= section.body.end);
        at = section.body.end;
    }
    let mut at = 0;
    for block in &drawing.blocks {
        assert!(at <= block.whole.start && block.whole.start < block.body.start);
        assert!(block.body.start <= block.body.end && block.body.end < block.whole.end);
        let unnamed = block.name == Span::default();
        assert!(unnamed || block.whole.start < block.name.start && block.name.end <= block.body.start);
        assert!(block.whole.range().end <= drawing.bytes.len());
        at = block.whole.end;
    }
}

/// Everything that can be asked of it is an answer or an error with a line.
fn read(drawing: &Drawing<'_>) {
    let bytes = drawing.bytes;
    for variable in ["$INSUNITS", "$ACADVER", "$HANDSEED"] {
        drawing.header(variable).map_or_else(|e| told(&e, bytes), |_| ());
    }
    let stretches = drawing.blocks.iter().map(|b| b.body);
    for stretch in stretches.chain(drawing.section("ENTITIES").map(|s| s.body)) {
        match drawing.inserts(stretch) {
            Ok(inserts) => {
                assert!(inserts.iter().all(|i| i.at.iter().chain(&i.scale).all(|v| v.is_finite())));
            }
            Err(error) => told(&error, bytes),
        }
    }
    for block in &drawing.blocks {
        let _ = drawing.block_name(block);
        drawing.base(block).map_or_else(|e| told(&e, bytes), |b| assert!(b.iter().all(|v| v.is_finite())));
        drawing.sound(block).map_or_else(|e| told(&e, bytes), |()| ());
        let mut entities = drawing.entities(block.body);
        let mut e = Entities::buffer();
        let mut at = block.body.start;
        while let Ok(true) = entities.read(&mut e) {
            assert!(at <= e.span.start && e.span.end <= block.body.end);
            at = e.span.end;
            for pair in &e.pairs {
                let _ = drawing.text(pair.value);
            }
        }
    }
}

/// Every number that is a coordinate, put somewhere else: what was written reads again, as it was meant.
fn numbers(drawing: &Drawing<'_>) {
    let new = |v: f64| v * 0.875 - 1.5;
    // Not asked of the drawing: an error counts the lines up to its place.
    let place = |pair: &Pair, bytes: &[u8]| {
        let value = number::parse(pair.text(bytes)).filter(|v| v.abs() <= number::REACH);
        value.filter(|_| matches!(pair.code, 10..=59))
    };
    let mut written = Vec::new();
    for (block, b) in drawing.blocks.iter().enumerate() {
        let mut edits = Edits::default();
        for pair in drawing.pairs(b.body).map_while(Result::ok) {
            if let Some(v) = place(&pair, drawing.bytes) {
                edits.number(pair.value.trimmed(drawing.bytes), new(v));
            }
        }
        let mut bytes = Vec::new();
        edits.apply(drawing.bytes, b.whole, &mut bytes);
        written.push(Written::whole(block, bytes));
    }
    let bytes = output::file(drawing, written, &Handles::default()).to_vec();
    let again = Drawing::scan(&bytes).unwrap_or_else(|e| panic!("what was written cannot be read: {e}"));
    assert_eq!(again.blocks.len(), drawing.blocks.len());
    for (old, b) in drawing.blocks.iter().zip(&again.blocks) {
        let (mut before, mut after) = (drawing.pairs(old.body), again.pairs(b.body));
        while let (Some(Ok(o)), Some(Ok(n))) = (before.next(), after.next()) {
            assert_eq!(o.code, n.code);
            let same = o.value.of(drawing.bytes) == n.value.of(&bytes);
            match place(&o, drawing.bytes) {
                Some(v) => {
                    let read = number::parse(n.text(&bytes)).unwrap_or(f64::NAN);
                    assert!((read - new(v)).abs() <= 5.1e-7, "{} written as {read}", new(v));
                }
                None => assert!(same, "another value changed"),
            }
        }
    }
}

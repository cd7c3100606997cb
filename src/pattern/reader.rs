//! Reads the blocks of a drawing into pieces.

use super::EntityError;
use super::block::BlockReader;
use super::curve::Allowed;
use super::placing::{Placed, placings};
use super::{Labels, LayerMap, LayerUse, Piece, PlainError, SizeName, labels, plain, unit_text};
use crate::dxf_text::{Block, Drawing, DxfError, Entities};
use crate::finding::{Finding, FindingId};
use crate::trousers::{Allowances, TurnedIn};
use crate::units::{Length, Mm, Unit};
use crate::words;
use kurbo::Affine;
use rayon::prelude::*;
use std::collections::{BTreeSet, HashSet};
use std::sync::Arc;

/// What has to be known before blocks can be read.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The uses of the layers.
    pub layers: LayerMap,
    /// The unit of a drawing that does not state its own, and of numbers without a unit.
    pub unit: Option<Unit>,
    /// The allowances of pieces without a sew line.
    pub allowances: Allowances<Length>,
    /// How much is turned in beyond folds, if that is given.
    pub turned_in: TurnedIn<Length>,
    /// How far apart two ends may lie and still count as one point.
    pub gap: Length,
}

impl Reading {
    /// How far apart two ends may lie and still count as one point, unless a job file sets it: exports round to 0.01 mm or to
    /// 0.001 in (common practice, no source).
    pub const GAP: Mm = Mm(0.05);

    /// The unit of numbers without one, in a drawing in the unit `drawn`.
    #[must_use]
    pub fn plain(&self, drawn: Unit) -> Unit {
        self.unit.unwrap_or(drawn)
    }

    /// The same with numbers without a unit taken in the unit `plain`, whatever the unit of the drawing that is read.
    #[must_use]
    pub fn settled(&self, plain: Unit) -> Self {
        Reading {
            layers: self.layers.clone(),
            unit: self.unit,
            allowances: self.allowances.map(|length| length.known(plain)),
            turned_in: self.turned_in.map(|length| length.known(plain)),
            gap: self.gap.known(plain),
        }
    }
}

impl Default for Reading {
    fn default() -> Self {
        Reading {
            layers: LayerMap::default(),
            unit: None,
            allowances: Allowances::default(),
            turned_in: TurnedIn::default(),
            gap: Reading::GAP.into(),
        }
    }
}

/// A drawing's pieces.
#[derive(Clone, Debug)]
pub struct Pattern {
    /// The unit of its numbers.
    pub unit: Unit,
    /// The style name.
    pub style: Option<String>,
    /// The sample size.
    pub sample_size: Option<String>,
    /// The uses of the layers.
    pub layers: LayerMap,
    /// The allowances of pieces without a sew line, as the user gave them.
    pub allowances: Allowances,
    /// How much is turned in beyond folds, as the user gave it.
    pub turned_in: TurnedIn,
    /// How far apart two ends may lie and still count as one point.
    pub gap: Mm,
    /// The pieces in the order of the drawing.
    pub pieces: Vec<Piece>,
    /// What was noticed in reading.
    pub findings: Vec<Finding>,
}

/// Why a drawing cannot be read as a pattern.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ReadError {
    /// The text is bad.
    #[error(transparent)]
    Text(#[from] DxfError),
    /// An entity cannot be read.
    #[error(transparent)]
    Entity(#[from] EntityError),
    /// It says no unit.
    #[error(
        "the drawing has no 'Units:' text and no $INSUNITS; say its unit with --unit mm or --unit in, or with unit = \"mm\" in the job file"
    )]
    NoUnit,
    /// It says a unit that is not known.
    #[error("line {line}: 'Units: {word}' is not a unit; it must be METRIC (mm) or ENGLISH (inch)")]
    UnknownUnit {
        /// Where.
        line: usize,
        /// The word.
        word: String,
    },
    /// It has no pieces.
    #[error(
        "the drawing has no pattern pieces: no BLOCK has an outline on the cut or sew line layer, and no closed outline on these \
         layers stands outside of blocks. Name other layers under [layers] in the job file"
    )]
    NoPieces,
    /// The outlines of a drawing without blocks cannot be read as pieces.
    #[error(transparent)]
    Plain(#[from] PlainError),
}

/// Collects the pieces of a drawing in which no `BLOCK` holds one: closed outlines among the drawing's own entities, with
/// everything that lies in them. They are added to the drawing's blocks, so that [`read`] reads them in the same way. Returns
/// what was noticed.
pub fn gather(drawing: &mut Drawing<'_>, reading: &Reading) -> Result<Vec<Finding>, ReadError> {
    let heading = heading(drawing, reading)?;
    let (blocks, findings) = plain::blocks(drawing, reading, (heading.unit.in_mm(), heading.gap))?;
    drawing.blocks.extend(blocks);
    Ok(findings)
}

/// The name of the only size of a drawing without blocks if no text names it.
const ONLY_SIZE: &str = "one";

/// Reads every piece of a drawing, in parallel.
pub fn read(drawing: &Drawing<'_>, reading: &Reading) -> Result<Pattern, ReadError> {
    let mut pattern = heading(drawing, reading)?;
    let (in_mm, gap) = (pattern.unit.in_mm(), pattern.gap);
    let allowed = Allowed::of(drawing.bytes.len());
    let Placed { by_name, within } = placings(drawing, &mut pattern.findings)?;
    let name_of = |b: &Block| b.name.of(drawing.bytes).trim_ascii();
    let reader = |b: &Block| {
        let (scale, placed) =
            by_name.get(name_of(b)).map_or((1.0, Affine::IDENTITY), |p| (p.scale, p.affine));
        (BlockReader::new(drawing, reading, (in_mm * scale, gap), &allowed), placed)
    };
    // A block that is placed by another block may be a symbol in a piece rather than a piece.
    let mut symbols = Symbols::default();
    for b in drawing.blocks.iter().filter(|b| within.contains(name_of(b))) {
        symbols.take(drawing, b, &reading.layers)?;
    }
    let pieces: Result<Vec<Piece>, EntityError> = drawing
        .blocks
        .par_iter()
        .enumerate()
        .map(|(i, b)| {
            // The drawing's own blocks (layouts and the like) are not pieces, but their text must be valid as well.
            if matches!(b.name.of(drawing.bytes).first(), Some(b'*' | b'$')) {
                drawing.sound(b)?;
                return Ok(None);
            }
            if symbols.all.contains(name_of(b)) {
                return Ok(None);
            }
            let (reader, placed) = reader(b);
            reader.with_notches(&symbols.notches).read(i, b, placed).map(Some)
        })
        .filter_map(Result::transpose)
        .collect();
    pattern.pieces = pieces?;
    if drawing.blocks.iter().any(Block::is_plain) && pattern.pieces.iter().all(|p| p.size.is_none()) {
        pattern.pieces.iter_mut().for_each(|p| p.size = Some(SizeName::new(ONLY_SIZE)));
    }
    pattern.findings.extend(stray_outline(drawing, reading)?);
    pattern.findings.extend(misnamed_layers(&pattern.pieces, &reading.layers));
    let has_outline = |p: &Piece| p.paths.iter().any(|path| draws_outline(path.layer_use));
    if !pattern.pieces.iter().any(has_outline) {
        return Err(ReadError::NoPieces);
    }
    Ok(pattern)
}

fn draws_outline(layer_use: LayerUse) -> bool {
    matches!(layer_use, LayerUse::Cut | LayerUse::Sew) || layer_use.is_seam()
}

/// The names of blocks that are placed within pieces as symbols.
#[derive(Default)]
struct Symbols<'a> {
    /// All of them.
    all: HashSet<&'a [u8]>,
    /// Those that draw a notch.
    notches: HashSet<&'a [u8]>,
}

impl<'a> Symbols<'a> {
    /// Adds a block that another block places, unless it is a piece itself, with an outline or with the texts of a piece.
    fn take(&mut self, drawing: &Drawing<'a>, block: &Block, layers: &LayerMap) -> Result<(), DxfError> {
        let (mut labels, mut draws_notch) = (Labels::default(), false);
        let mut entities = drawing.entities_of(block);
        let mut e = Entities::buffer();
        while entities.read(&mut e)? {
            drawing.inside_block(&e)?;
            if let Some(said) = drawing.text_of(&e) {
                said.lines().for_each(|line| labels.take(line));
            }
            match e.get(8).and_then(|p| layers.of(&drawing.text(p.value))) {
                Some(layer_use) if draws_outline(layer_use) => return Ok(()),
                layer_use => draws_notch |= layer_use == Some(LayerUse::Notch),
            }
        }
        if labels == Labels::default() {
            let name = block.name.of(drawing.bytes).trim_ascii();
            self.all.insert(name);
            self.notches.extend(draws_notch.then_some(name));
        }
        Ok(())
    }
}

/// Reports an outline outside the blocks that hold the pieces, because it is part of none of them.
fn stray_outline(drawing: &Drawing<'_>, reading: &Reading) -> Result<Option<Finding>, DxfError> {
    let plain = drawing.blocks.iter().any(Block::is_plain);
    let Some(section) = drawing.section("ENTITIES").filter(|_| !plain) else { return Ok(None) };
    let mut entities = drawing.entities(section.body);
    let mut e = Entities::buffer();
    while entities.read(&mut e)? {
        let is_line = matches!(e.kind, b"POLYLINE" | b"LWPOLYLINE" | b"LINE" | b"ARC" | b"SPLINE");
        let layer = e.get(8).map(|p| drawing.text(p.value));
        let layer_use = layer.and_then(|layer| reading.layers.of(&layer));
        if is_line && matches!(layer_use, Some(LayerUse::Cut | LayerUse::Sew)) {
            let message = "a line on the layer of the cut or sew line stands outside of every BLOCK and is part of no piece; a \
                           piece that is drawn there is passed over";
            return Ok(Some(Finding::warning(FindingId::ReadAs, message).line(drawing.line(e.span.start))));
        }
    }
    Ok(None)
}

/// Reports layers that the job file names and that are empty, if their name resembles that of a layer in use: a mistyped name
/// would otherwise be ignored silently. A name that resembles none in the drawing may be meant for other drawings.
fn misnamed_layers(pieces: &[Piece], layers: &LayerMap) -> Vec<Finding> {
    let mut named = layers.named().peekable();
    if named.peek().is_none() {
        return Vec::new();
    }
    let of_piece = |p: &Piece| {
        let strokes = p.strokes.iter().map(|s| Arc::clone(&s.layer));
        let others = p.marks.iter().map(|m| &m.layer).chain(p.texts.iter().map(|t| &t.layer));
        strokes.chain(others.cloned()).collect::<BTreeSet<_>>()
    };
    let there: BTreeSet<Arc<str>> = pieces.iter().flat_map(of_piece).collect();
    let is_there = |name: &str| there.iter().any(|layer| layer.trim().eq_ignore_ascii_case(name.trim()));
    let unused: Vec<&str> = there.iter().map(|layer| &**layer).filter(|l| layers.of(l).is_none()).collect();
    let finding = |(name, layer_use): (&str, LayerUse)| {
        let meant = words::closest(name, unused.iter().copied())?;
        let message = format!(
            "nothing is drawn on the layer '{name}', which the job file gives to {layer_use}; did you mean '{meant}'? \
             Correct it under [layers], or take it out"
        );
        Some(Finding::warning(FindingId::ReadAs, message))
    };
    named.filter(|(name, _)| !is_there(name)).filter_map(finding).collect()
}

/// What the drawing's own texts say.
#[derive(Default)]
struct Heading {
    style: Option<String>,
    sample_size: Option<String>,
    unit: Option<Unit>,
}

impl Heading {
    fn read(drawing: &Drawing<'_>) -> Result<Self, ReadError> {
        let mut heading = Heading::default();
        let Some(section) = drawing.section("ENTITIES") else { return Ok(heading) };
        let mut entities = drawing.entities(section.body);
        let mut e = Entities::buffer();
        while entities.read(&mut e)? {
            let Some(text) = drawing.text_of(&e) else { continue };
            for (key, word) in text.lines().filter_map(labels::split) {
                match key.as_str() {
                    "stylename" => heading.style = Some(word.to_owned()),
                    "samplesize" => heading.sample_size = Some(word.to_owned()),
                    "units" => {
                        let unknown = || ReadError::UnknownUnit {
                            line: drawing.line(e.get(1).map_or(e.span.start, |p| p.value.start)),
                            word: crate::words::escaped(word).into_owned(),
                        };
                        heading.unit = Some(unit_text::of(word).ok_or_else(unknown)?);
                    }
                    _ => {}
                }
            }
        }
        Ok(heading)
    }
}

/// What the drawing says about itself. The unit is taken from its own text, otherwise from the user, otherwise from the header.
fn heading(drawing: &Drawing<'_>, reading: &Reading) -> Result<Pattern, ReadError> {
    let heading = Heading::read(drawing)?;
    let mut findings = Vec::new();
    let unit = if let Some(unit) = heading.unit.or(reading.unit) {
        unit
    } else {
        let unit = insunits(drawing)?.ok_or(ReadError::NoUnit)?;
        findings.push(Finding::note(
            FindingId::ReadAs,
            format!(
                "the drawing has no 'Units:' text; its header's $INSUNITS says {}. Check one length",
                unit.sign()
            ),
        ));
        unit
    };
    let Heading { style, sample_size, .. } = heading;
    let plain = reading.plain(unit);
    Ok(Pattern {
        unit,
        style,
        sample_size,
        layers: reading.layers.clone(),
        allowances: reading.allowances.in_mm(plain),
        turned_in: reading.turned_in.in_mm(plain),
        gap: reading.gap.in_mm(plain),
        pieces: Vec::new(),
        findings,
    })
}

fn insunits(drawing: &Drawing<'_>) -> Result<Option<Unit>, DxfError> {
    Ok(drawing.header("$INSUNITS")?.and_then(|span| unit_text::of_insunits(span.of(drawing.bytes))))
}

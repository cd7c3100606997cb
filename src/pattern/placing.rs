//! Finds how blocks are placed in the drawing, by `INSERT`s and by `INSERT`s within blocks.

use crate::dxf_text::{Block, Drawing, DxfError, Insert};
use crate::finding::{Finding, FindingId};
use kurbo::Affine;
use rayon::prelude::*;
use std::collections::{HashMap, HashSet, VecDeque};

/// How a block is placed; if it is placed several times, the first placing.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placing {
    /// The scale, the same along X and Y.
    pub scale: f64,
    /// The transformation from the block's coordinates to the drawing's.
    pub affine: Affine,
}

/// How blocks are placed.
pub(super) struct Placed<'a> {
    /// Every block that is placed, by its name.
    pub by_name: HashMap<&'a [u8], Placing>,
    /// The names of blocks that are placed by another block.
    pub within: HashSet<&'a [u8]>,
}

/// Finds every block that is placed. A block that places others is followed only once, from its own first placing, so that blocks
/// which place each other in a circle do not lead to an endless loop.
pub(super) fn placings<'a>(
    drawing: &Drawing<'a>,
    findings: &mut Vec<Finding>,
) -> Result<Placed<'a>, DxfError> {
    let mut found = Placings { drawing, findings, by_name: HashMap::new() };
    let mut within_blocks = HashSet::new();
    let name_of = |b: &Block| b.name.of(drawing.bytes).trim_ascii();
    // The text is searched first, because blocks of pattern pieces usually place no others.
    let finder = memchr::memmem::Finder::new(b"INSERT");
    let nests = |b: &&Block| !b.is_plain() && finder.find(b.body.of(drawing.bytes)).is_some();
    let mut nesting: HashMap<&[u8], &Block> =
        drawing.blocks.par_iter().filter(nests).map(|b| (name_of(b), b)).collect();
    // If there are several errors, the first one in the file is reported, whichever thread finds one first.
    let bases: Vec<_> = drawing.blocks.par_iter().map(|b| Ok((name_of(b), drawing.base(b)?))).collect();
    let bases: HashMap<&[u8], [f64; 2]> = bases.into_iter().collect::<Result<_, DxfError>>()?;
    let whole = Placing { scale: 1.0, affine: Affine::IDENTITY };
    let mut inserts_of = |block: &Block| -> Result<Vec<Insert>, DxfError> {
        let inserts = drawing.inserts(block.body)?;
        within_blocks.extend(inserts.iter().map(|insert| insert.block.of(drawing.bytes).trim_ascii()));
        Ok(inserts)
    };
    let mut next: VecDeque<(Vec<Insert>, Placing)> = VecDeque::new();
    if let Some(section) = drawing.section("ENTITIES") {
        next.push_back((drawing.inserts(section.body)?, whole));
    }
    let mut left = drawing.blocks.iter();
    loop {
        while let Some((inserts, within)) = next.pop_front() {
            for insert in &inserts {
                let name = insert.block.of(drawing.bytes).trim_ascii();
                let base = bases.get(name).copied().unwrap_or_default();
                found.place(insert, name, base, within);
                if let Some(block) = nesting.remove(name) {
                    let at = found.by_name.get(name).copied().unwrap_or(within);
                    next.push_back((inserts_of(block)?, at));
                }
            }
        }
        // Blocks that are placed nowhere keep their own coordinates.
        let Some(block) = left.find_map(|b| nesting.remove(name_of(b))) else {
            return Ok(Placed { by_name: found.by_name, within: within_blocks });
        };
        next.push_back((inserts_of(block)?, whole));
    }
}

struct Placings<'d, 'a> {
    drawing: &'d Drawing<'a>,
    findings: &'d mut Vec<Finding>,
    by_name: HashMap<&'a [u8], Placing>,
}

impl<'a> Placings<'_, 'a> {
    fn place(&mut self, insert: &Insert, name: &'a [u8], base: [f64; 2], within: Placing) {
        let [x, y] = insert.scale;
        let scale = within.scale * x.abs();
        let known = self.by_name.get(name).map(|p| p.scale);
        if (x.abs() - y.abs()).abs() > 1e-9 * x.abs() || x == 0.0 {
            self.doubtful(
                insert,
                format!("the piece is placed with different scales along X ({x}) and Y ({y}); export it at one scale"),
            );
        } else if let Some(other) = known
            && (other - scale).abs() > 1e-9 * other
        {
            self.doubtful(
                insert,
                format!(
                    "the piece is placed twice, at scale {other} and at scale {scale}; export it at one scale"
                ),
            );
        } else if known.is_none() {
            // An INSERT that is seen from behind is mirrored (the DXF reference's arbitrary axis, from memory).
            let seen =
                if insert.from_behind { Affine::scale_non_uniform(-1.0, 1.0) } else { Affine::IDENTITY };
            let affine = within.affine
                * seen
                * Affine::translate((insert.at[0], insert.at[1]))
                * Affine::rotate(insert.rotation.to_radians())
                * Affine::scale_non_uniform(x, y)
                * Affine::translate((-base[0], -base[1]));
            self.by_name.insert(name, Placing { scale, affine });
        }
    }

    fn doubtful(&mut self, insert: &Insert, message: String) {
        let drawing = self.drawing;
        let name = insert.block.of(drawing.bytes).trim_ascii();
        let block = drawing.blocks.iter().position(|b| b.name.of(drawing.bytes).trim_ascii() == name);
        let finding = Finding::error(FindingId::UnitDoubtful, message).piece(drawing.text(insert.block));
        let finding = finding.line(drawing.line(insert.span.start));
        self.findings.push(match block {
            Some(block) => finding.in_block(block),
            None => finding,
        });
    }
}

//! What the checks look at: the pieces of a drawing, grouped by name and by size.

use super::size_order::{self, Rank};
use crate::finding::Finding;
use crate::job::{Job, Tolerances};
use crate::opened::Opened;
use crate::pattern::{LayerMap, LayerUse, Path, Piece, SizeName, StrokePoint};
use crate::seam::{LegPiece, Pair, Size};
use kurbo::Point;
use std::cmp::Reverse;
use std::collections::{HashMap, HashSet};

/// A drawing ready to be looked over.
pub struct Sheet<'a> {
    /// The drawing.
    pub opened: &'a Opened<'a>,
    /// The tolerances of all checks.
    pub tolerance: Tolerances,
    /// Its pieces. A block with neither an outline nor the texts of a piece is not one.
    pub pieces: Vec<&'a Piece>,
    /// The pieces grouped by name, each group in all its sizes.
    pub nests: Vec<Nest<'a>>,
    /// The trousers in every size; empty where the drawing is of another garment.
    pub trousers: Vec<Size<'a>>,
    /// The blocks of the trouser legs.
    legs: HashSet<usize>,
    /// The use of each layer.
    layers: &'a LayerMap,
}

/// A size, and its pieces of one name.
pub type OfSize<'a> = (&'a SizeName, Vec<&'a Piece>);

/// The pieces of one name and one side.
pub struct Nest<'a> {
    /// The name.
    pub name: &'a str,
    /// The pieces that have a size, by rising size; sizes without an order stand as they are drawn.
    pub pieces: Vec<&'a Piece>,
}

/// The side of the body a piece is declared for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Side {
    /// The left one.
    Left,
    /// The right one.
    Right,
}

impl<'a> Sheet<'a> {
    /// Groups the pieces of a drawing.
    #[must_use]
    pub fn new(opened: &'a Opened<'a>, job: &'a Job) -> Self {
        Self::of(opened, job, super::trousers::of(opened, job))
    }

    /// Groups the pieces of an original. What was altered is taken for trousers, whatever its pieces look like.
    #[must_use]
    pub fn original(opened: &'a Opened<'a>, job: &'a Job) -> Self {
        Self::of(opened, job, crate::seam::sizes(&opened.pattern, &job.labels))
    }

    fn of(opened: &'a Opened<'a>, job: &'a Job, trousers: Vec<Size<'a>>) -> Self {
        let pieces: Vec<&Piece> = opened.pattern.pieces.iter().filter(|p| is_piece(p)).collect();
        let nests = nests(&pieces);
        let legs = trousers.iter().flat_map(Size::all_legs).map(|l| l.piece.block).collect();
        Sheet {
            opened,
            tolerance: job.tolerance.in_mm(opened.plain()),
            pieces,
            nests,
            trousers,
            legs,
            layers: &job.layers,
        }
    }

    /// The front and the back of every size that can be measured.
    pub fn pairs(&self) -> impl Iterator<Item = (&Size<'a>, Pair<&LegPiece<'a>>)> {
        self.trousers.iter().filter_map(|s| Some((s, s.pair()?)))
    }

    /// Whether some legs have outseams: not where front and back of all are drawn in one piece.
    pub fn has_outseams(&self) -> bool {
        let mut legs = self.trousers.iter().flat_map(Size::all_legs).peekable();
        legs.peek().is_none() || legs.any(|on| on.leg.one_piece.is_none())
    }

    /// Whether a piece is a trouser leg.
    #[must_use]
    pub fn is_leg(&self, piece: &Piece) -> bool {
        self.legs.contains(&piece.block)
    }

    /// Whether a layer holds internal lines, cut-outs or drill holes.
    #[must_use]
    pub fn is_internal(&self, layer: &str) -> bool {
        self.layers.of(layer) == Some(LayerUse::Internal)
    }

    /// Every size of the drawing, by rising size within each run.
    #[must_use]
    pub fn sizes(&self) -> Vec<&'a SizeName> {
        let mut sizes: Vec<&SizeName> = Vec::new();
        let mut seen = HashSet::new();
        for size in self.pieces.iter().filter_map(|p| p.size.as_ref()).filter(|s| !s.is_blank()) {
            if seen.insert(size) {
                sizes.push(size);
            }
        }
        sort(&mut sizes, |s| Some(*s));
        sizes
    }

    /// Places a finding at a piece, that is, at the line of its block.
    #[must_use]
    pub fn at_block(&self, finding: Finding, piece: &Piece) -> Finding {
        let block = &self.opened.drawing.blocks[piece.block];
        named(finding, piece).line(self.opened.drawing.line(block.whole.start))
    }

    /// Places a finding at vertex `i` of a line.
    #[must_use]
    pub fn on_path(&self, finding: Finding, piece: &Piece, path: &Path, i: usize, at: Point) -> Finding {
        let from = path.from[i];
        let stroke = &piece.strokes[from.stroke as usize];
        let offset = stroke
            .places
            .get(from.point as usize)
            .and_then(|p| p.drawn())
            .map_or(stroke.span.start, |p| p.x.start);
        self.at_offset(finding, piece, at, offset)
    }

    /// The two coordinates of a line's vertex as they are written in the file, by each entity that ends there; none for a point
    /// within a curve.
    #[must_use]
    pub fn written(&self, path: &Path, piece: &Piece, i: usize) -> Vec<[&[u8]; 2]> {
        let first = path.twins.partition_point(|(k, _)| (*k as usize) < i);
        let twins = path.twins[first..].iter().take_while(|(k, _)| *k as usize == i).map(|(_, from)| from);
        let text = |from: &StrokePoint| {
            let place = piece.strokes[from.stroke as usize].places.get(from.point as usize)?.drawn()?;
            Some([place.x, place.y].map(|span| span.of(self.opened.drawing.bytes)))
        };
        std::iter::once(&path.from[i]).chain(twins).filter_map(text).collect()
    }

    /// Places a finding at vertex `i` of a leg's ring.
    #[must_use]
    pub fn on_leg(&self, finding: Finding, leg: &LegPiece<'_>, i: usize) -> Finding {
        let ring = &leg.leg.ring;
        let i = i % ring.len();
        let path = &leg.piece.paths[leg.leg.drawn.path()];
        self.on_path(finding, leg.piece, path, leg.leg.drawn.vertex(i), ring[i])
    }

    /// Places a finding at a place in mm and at the line of the file that holds the byte `offset`.
    #[must_use]
    pub fn at_offset(&self, finding: Finding, piece: &Piece, at: Point, offset: u32) -> Finding {
        named(finding, piece).at(piece.drawn(at)).line(self.opened.drawing.line(offset))
    }
}

/// Adds the piece and its size to a finding.
#[must_use]
pub fn named(finding: Finding, piece: &Piece) -> Finding {
    let finding = finding.about(piece);
    match &piece.size {
        Some(size) if !size.is_blank() => finding.size(size.to_string()),
        _ => finding,
    }
}

impl<'a> Nest<'a> {
    /// The pieces of each size, in the order of the sizes: one piece, or several that are told apart by something other than
    /// their names. A size that has more or fewer pieces than most sizes is left out, because a piece that is there twice is
    /// the concern of another check.
    #[must_use]
    pub fn by_size(&self) -> Vec<OfSize<'a>> {
        let mut sizes: Vec<OfSize<'_>> = Vec::new();
        let mut places: HashMap<&SizeName, usize> = HashMap::new();
        for &piece in &self.pieces {
            let Some(size) = &piece.size else { continue };
            let place = *places.entry(size).or_insert_with(|| {
                sizes.push((size, Vec::new()));
                sizes.len() - 1
            });
            sizes[place].1.push(piece);
        }
        let mut counts: HashMap<usize, usize> = HashMap::new();
        for (_, pieces) in &sizes {
            *counts.entry(pieces.len()).or_default() += 1;
        }
        let usual = sizes.iter().map(|s| s.1.len()).max_by_key(|n| (counts[n], Reverse(*n)));
        sizes.retain(|s| Some(s.1.len()) == usual);
        sizes
    }

    /// The pieces of each run of sizes, by rising size, each with the place of its size in the run; one piece for each size.
    #[must_use]
    pub fn runs(&self) -> Vec<Vec<(f64, &Piece)>> {
        let mut runs: Vec<(String, Vec<(f64, &Piece)>)> = Vec::new();
        for piece in &self.pieces {
            let Some(Rank { run, at, .. }) = piece.size.as_ref().and_then(size_order::rank) else { continue };
            match runs.iter_mut().find(|(name, _)| *name == run) {
                Some((_, list)) if list.last().is_some_and(|(last, _)| *last >= at) => {}
                Some((_, list)) => list.push((at, piece)),
                None => runs.push((run, vec![(at, piece)])),
            }
        }
        runs.into_iter().map(|(_, list)| list).collect()
    }
}

/// The outline by which a piece is cut: its cut line, or else its sew line.
#[must_use]
pub fn boundary(piece: &Piece) -> Option<&Path> {
    piece.outline(LayerUse::Cut).or_else(|| piece.outline(LayerUse::Sew))
}

/// Whether a block is a piece: it has the texts of one, or a cut or sew line.
fn is_piece(piece: &Piece) -> bool {
    let l = &piece.labels;
    let says = [&l.name, &l.size, &l.quantity, &l.material].iter().any(|v| v.is_some());
    says || piece.paths.iter().any(|p| matches!(p.layer_use, LayerUse::Cut | LayerUse::Sew))
}

/// Groups the pieces by name and side.
fn nests<'a>(pieces: &[&'a Piece]) -> Vec<Nest<'a>> {
    let mut nests: Vec<Nest<'a>> = Vec::new();
    let mut places: HashMap<(String, Option<Side>), usize> = HashMap::new();
    for &piece in pieces {
        let side = side(piece);
        let place = *places.entry((name_key(piece), side)).or_insert_with(|| {
            nests.push(Nest { name: &piece.name, pieces: Vec::new() });
            nests.len() - 1
        });
        if piece.size.as_ref().is_some_and(|s| !s.is_blank()) {
            nests[place].pieces.push(piece);
        }
    }
    for nest in &mut nests {
        sort(&mut nest.pieces, |p| p.size.as_ref());
    }
    nests
}

/// Sorts by the rank of the size; items whose size has no rank come last and keep their order.
fn sort<T>(list: &mut [T], size: impl Fn(&T) -> Option<&SizeName>) {
    list.sort_by_cached_key(|item| {
        let rank = size(item).and_then(size_order::rank);
        let (run, at) = rank.map_or((String::from("\u{10ffff}"), 0), |r| {
            // Thousandths of a size number are enough to tell all sizes apart.
            #[allow(clippy::cast_possible_truncation)]
            (r.run, (r.at * 1000.0) as i64)
        });
        (run, at)
    });
}

/// A piece's name in lower case, without blanks and without its size. The name may begin or end with the size, set off by a blank
/// or a sign, as block names do that take the place of a name.
#[must_use]
pub fn name_key(piece: &Piece) -> String {
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    let name = words(&piece.name);
    let size = piece.size.as_ref().map(|s| words(s.as_str())).unwrap_or_default();
    let separated = |c: char| !c.is_alphanumeric();
    let without = |size: &str| {
        let after = name.strip_suffix(size).filter(|rest| rest.ends_with(separated));
        let before = || name.strip_prefix(size).filter(|rest| rest.starts_with(separated));
        Some(after.or_else(before)?.trim_matches(separated).to_owned())
    };
    // Block names write a size without its blanks.
    let joined = size.replace(' ', "");
    let rest = [size, joined].iter().filter(|size| !size.is_empty()).find_map(|size| without(size));
    rest.unwrap_or(name).replace(' ', "")
}

/// The side for which a piece is declared, by a separate word in its name, texts or block name.
#[must_use]
pub fn side(piece: &Piece) -> Option<Side> {
    let labels = &piece.labels;
    let texts = [Some(&piece.name), labels.category.as_ref(), Some(&piece.block_name)];
    let size = piece.size.as_ref().map(|s| s.as_str().trim().to_lowercase());
    texts.into_iter().flatten().chain(&labels.annotations).find_map(|text| {
        text.to_lowercase().split(|c: char| !c.is_alphanumeric()).find_map(|word| {
            // `L` may also be the piece's size.
            let short = size.as_deref() != Some(word);
            match word {
                "left" | "lh" => Some(Side::Left),
                "right" | "rh" => Some(Side::Right),
                "l" if short => Some(Side::Left),
                "r" if short => Some(Side::Right),
                _ => None,
            }
        })
    })
}

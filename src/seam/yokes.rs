//! The yokes of a nest: each is read with its own leg, and where that leaves a doubt, like the same yoke of the other sizes.

use super::yoke::{self, Told, Yoke};
use super::{Above, Part, Size, names};
use crate::finding::{Finding, FindingId};
use crate::pattern::Piece;
use crate::trousers::{Allowances, LabelTexts};
use kurbo::Vec2;

/// Finds the yokes of a size and adds their edges to the legs that they are sewn to: the backs, unless their names say front.
pub(super) fn find<'p>(
    size: &mut Size<'p>,
    pieces: &[&'p Piece],
    labels: &LabelTexts,
    allowances: &Allowances,
) {
    for part in Part::ALL {
        let leg = size.legs.of(part).first().map(|on| on.leg.clone());
        let of_part = pieces.iter().copied().filter(|piece| names::is_yoke_of(piece, part, labels));
        let read = of_part.map(|p| yoke::read(p, part, leg.as_ref(), (labels, allowances)));
        let yokes = alike(read, &mut size.findings);
        size.yokes.extend(yokes);
        measured(size, part);
    }
}

/// Adds the edges of a part's yoke to its legs.
fn measured(size: &mut Size<'_>, part: Part) {
    let above = size.yokes.iter().find(|yoke| yoke.part == part).map_or(Above::default(), |yoke| yoke.above);
    size.legs.of_mut(part).iter_mut().for_each(|on| on.above = above);
}

/// The yokes of one part. Left and right yoke are copies of each other; for a different yoke a finding is added.
fn alike<'p>(
    read: impl Iterator<Item = Result<Yoke<'p>, Finding>>,
    findings: &mut Vec<Finding>,
) -> Vec<Yoke<'p>> {
    /// Left and right yoke are copies; a centre edge that differs by more than this, in mm, belongs to another yoke.
    const SAME: f64 = 0.5;
    let mut found: Vec<Yoke<'p>> = Vec::new();
    for yoke in read {
        match (yoke, found.first()) {
            (Err(finding), _) => findings.push(finding),
            (Ok(yoke), Some(other)) if (yoke.above.centre - other.above.centre).abs().0 > SAME => {
                let message = format!(
                    "the yokes '{}' and '{}' have centre edges of {} and {}; which of them \
                     is part of the rise is not known. Rename the other one",
                    other.piece.name, yoke.piece.name, other.above.centre, yoke.above.centre
                );
                findings.push(Finding::error(FindingId::SeamAmbiguous, message).about(yoke.piece));
            }
            (Ok(yoke), _) => found.push(yoke),
        }
    }
    found
}

/// Settles which edge of a yoke is its centre where the size alone does not: a nest is graded from one piece, which lies the same way
/// beside its leg in every size (common practice, no source). Then says of each yoke how it is read.
pub(super) fn settle(sizes: &mut [Size<'_>]) {
    /// A reading counts if it is that of more than this many times as many sizes as the other one: one size against one or two could as
    /// well be the one that is right.
    const CLEAR: usize = 2;
    let all: Vec<Lies> = sizes.iter().enumerate().flat_map(|(s, size)| lies(s, size)).collect();
    for here in &all {
        let others = || all.iter().filter(|other| other.is_known && here.is_of_the_same_piece(other));
        let ways = |way: Way| others().filter(|other| here.way(other) == Some(way)).count();
        let yoke = &mut sizes[here.size].yokes[here.yoke];
        let (same, opposite) = (ways(Way::Same) + usize::from(here.is_known), ways(Way::Opposite));
        match yoke.told {
            Told::Surely => {}
            _ if opposite > CLEAR * same.max(1) => {
                yoke.exchange();
                yoke.told = Told::Likely;
            }
            _ if same > CLEAR * opposite.max(1) => yoke.told = Told::Likely,
            Told::Likely if opposite > 0 => {
                let why = "its deeper end lies at one side in some sizes and at the other side in others";
                yoke.told = Told::Not(yoke::unknown(yoke.piece, why));
            }
            _ => {}
        }
    }
    for size in sizes {
        for part in Part::ALL {
            measured(size, part);
        }
        let said: Vec<Finding> = size.yokes.iter().filter_map(|yoke| said(size, yoke)).collect();
        size.yokes.retain(|yoke| !matches!(yoke.told, Told::Not(_)));
        size.findings.extend(said);
    }
}

/// How a half yoke of a nest lies.
struct Lies {
    /// The index of its size, and of the yoke in it.
    size: usize,
    yoke: usize,
    name: String,
    /// The direction from its centre to its side, along the outward and the upward direction of its leg.
    across: Vec2,
    /// Whether anything says which end is the centre.
    is_known: bool,
}

/// Whether two pieces lie the same way.
#[derive(Clone, Copy, PartialEq)]
enum Way {
    Same,
    Opposite,
}

/// How the half yokes of a size lie.
fn lies(index: usize, size: &Size<'_>) -> Vec<Lies> {
    let lies = |(k, yoke): (usize, &Yoke<'_>)| {
        let leg = &size.legs.of(yoke.part).first()?.leg;
        let across = yoke.across()?;
        Some(Lies {
            size: index,
            yoke: k,
            name: names::without_size(&yoke.piece.name, size),
            across: Vec2::new(across.dot(leg.out), across.dot(leg.up)),
            is_known: !matches!(yoke.told, Told::Not(_)),
        })
    };
    size.yokes.iter().enumerate().filter_map(lies).collect()
}

impl Lies {
    fn is_of_the_same_piece(&self, other: &Lies) -> bool {
        self.size != other.size && self.name == other.name
    }

    /// Whether two yokes lie the same way, as far as they are read.
    fn way(&self, other: &Lies) -> Option<Way> {
        /// The cosine of the largest angle, 60°, between pieces that lie the same way.
        const ALONG: f64 = 0.5;
        match self.across.dot(other.across) {
            along if along >= ALONG => Some(Way::Same),
            along if along <= -ALONG => Some(Way::Opposite),
            _ => None,
        }
    }
}

/// How a yoke is read, or why it is not; of left and right yoke only the first one counts in the measures.
fn said(size: &Size<'_>, yoke: &Yoke<'_>) -> Option<Finding> {
    if let Told::Not(finding) = &yoke.told {
        return Some(finding.clone().size(size.name.as_str()));
    }
    let first = size.yokes.iter().find(|other| other.part == yoke.part)?;
    if size.legs.of(yoke.part).is_empty() || !std::ptr::eq(first, yoke) {
        return None;
    }
    let message = format!(
        "the centre edge of '{}', {}, counts in the {} rise, and its side edge, {}, in the outseam; a slide stays below it",
        yoke.piece.name,
        yoke.above.centre,
        yoke.part.word(),
        yoke.above.side
    );
    Some(Finding::note(FindingId::ReadAs, message).about(yoke.piece).size(size.name.as_str()))
}

//! Folds: a casing or a hem that is cut in one with the leg is turned in along a line across the leg. Seams are measured to the
//! fold; what lies beyond it is not counted.

mod candidates;
mod edge;
mod mirror;
mod readings;

use super::{Leg, SeamRole};
use crate::finding::{Finding, FindingId};
use crate::geometry::{direction, line::Measured};
use crate::pattern::Piece;
use crate::trousers::{LabelTexts, TurnedIn};
use crate::units::Mm;
use candidates::Candidate;
use edge::EndEdge;
use kurbo::{Point, Vec2};

pub(super) use readings::{alike, settle_folds};

/// How a fold was found. Part of the interface.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum FoldBy {
    /// Somebody said how much is turned in.
    Stated,
    /// A line on the fold layer.
    Layer,
    /// A text at the line.
    Label,
    /// What lies beyond the line mirrors what lies before it.
    Shape,
}

impl FoldBy {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            FoldBy::Stated => "stated",
            FoldBy::Layer => "by layer",
            FoldBy::Label => "by label",
            FoldBy::Shape => "by shape",
        }
    }
}

/// A line across the leg along which one of its ends is turned in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fold {
    /// Where it meets the crotch seam or inseam, and where it meets the outseam.
    pub ends: [Point; 2],
    /// How far it lies from the edge of the sew line: how much is turned in.
    pub turned_in: Mm,
    /// How it was found.
    pub by: FoldBy,
}

/// The folds of a leg.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Folds {
    /// The fold of a casing at the waist.
    pub waist: Option<Fold>,
    /// The fold of the hem.
    pub hem: Option<Fold>,
    /// Places that may be folds, where nothing decides whether they are.
    pub unclear: Vec<Unclear>,
}

/// A place that may be a fold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unclear {
    /// The edge that would be turned in there.
    pub edge: SeamRole,
    /// The fold, if it is one.
    pub fold: Fold,
    /// What suggests a fold.
    pub shown: Shown,
}

/// What shows a place that may be a fold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shown {
    /// A line is drawn there.
    Line,
    /// A notch on either seam.
    Notches,
    /// Only the turn of the leg's edges.
    Edges,
}

impl Folds {
    /// Finds the folds of a leg: as stated by the user, else as the drawing shows them.
    pub(super) fn find(
        piece: &Piece,
        leg: &Leg,
        labels: &LabelTexts,
        stated: TurnedIn,
    ) -> Result<Folds, Finding> {
        let mut folds = Folds::default();
        // A mirror line is a fold itself; nothing is turned in beyond it.
        let turned_in = |role: &SeamRole| leg.mirror != Some(*role) || stated.get(*role).is_some();
        for role in TurnedIn::EDGES.into_iter().filter(turned_in) {
            let edge = EndEdge::of(leg, role);
            let fold = match stated.get(role) {
                Some(Mm(0.0)) => None,
                Some(length) => Some(edge.stated(length).ok_or_else(|| too_deep(role, length))?),
                None => {
                    let found = candidates::of(piece, &edge, labels);
                    let fold = best(&found).map(|fold| folded_again(&edge, fold));
                    if fold.is_none() {
                        folds.unclear.extend(doubted(&edge, &found));
                    }
                    fold
                }
            };
            *folds.slot(role) = fold;
        }
        Ok(folds)
    }

    fn slot(&mut self, role: SeamRole) -> &mut Option<Fold> {
        if role == SeamRole::Waist { &mut self.waist } else { &mut self.hem }
    }

    /// The fold at an edge.
    #[must_use]
    pub fn at(&self, edge: SeamRole) -> Option<&Fold> {
        match edge {
            SeamRole::Waist => self.waist.as_ref(),
            SeamRole::Hem => self.hem.as_ref(),
            _ => None,
        }
    }

    /// The length of a seam measured to the folds, on `leg`: the leg as drawn, or the same leg redrawn.
    #[must_use]
    pub fn length(&self, leg: &Leg, role: SeamRole) -> Mm {
        let seam = Measured::new(leg.seam(role));
        let station = |fold: &Fold, end: usize| seam.station(fold.ends[end]);
        let (from, to) = match role {
            SeamRole::Crotch => (self.waist.map(|f| station(&f, 0)), None),
            SeamRole::Inseam => (None, self.hem.map(|f| station(&f, 0))),
            SeamRole::Outseam => (self.hem.map(|f| station(&f, 1)), self.waist.map(|f| station(&f, 1))),
            SeamRole::Waist | SeamRole::Hem => {
                let across = self.at(role).map(|f| Mm((f.ends[1] - f.ends[0]).hypot()));
                return across.unwrap_or_else(|| leg.length(role));
            }
        };
        if from.is_none() && to.is_none() {
            return leg.length(role);
        }
        Mm(to.unwrap_or_else(|| seam.length()) - from.unwrap_or(0.0))
    }

    /// By how much, in mm, the turned-in part lies differently on the redrawn leg than it did before, at the edge where this is
    /// most.
    #[must_use]
    pub fn moved(&self, old: &Leg, new: &Leg) -> Option<(SeamRole, f64)> {
        let of_edge = |role: SeamRole| {
            let fold = self.at(role)?;
            let [was, is] = [old, new].map(|leg| laid_off(&EndEdge::of(leg, role), fold));
            let off = was.iter().flatten().zip(is.iter().flatten()).map(|(was, is)| (*is - *was).hypot());
            Some((role, off.fold(0.0, f64::max)))
        };
        let edges = TurnedIn::EDGES.into_iter().filter_map(of_edge);
        edges.max_by(|a, b| a.1.total_cmp(&b.1))
    }
}

/// For places of both edges beyond a fold, how far each is off the edge before the fold once it is turned in.
fn laid_off(edge: &EndEdge, fold: &Fold) -> [Vec<Vec2>; 2] {
    /// The number of places at which the edges are compared.
    const PLACES: u32 = 48;
    /// The nearest place is not searched further along than this, in mm.
    const NEAR: f64 = 30.0;
    [0, 1].map(|i| {
        let (run, end) = (&edge.runs[i], fold.ends[i]);
        let reflection = direction::reflection(end, fold.ends[1] - fold.ends[0]);
        let deep = run.station(end);
        let before = Measured::new(run.part(deep, 2.0 * deep + NEAR));
        let places = (0..=PLACES).map(|k| reflection * run.at(deep * f64::from(k) / f64::from(PLACES)));
        places.map(|p| p - before.at(before.station(p))).collect()
    })
}

/// The fold, if a candidate is certain. Where several lines are folds, as in a turn-up, the leg ends at the one furthest from the
/// edge.
fn best(candidates: &[Candidate]) -> Option<Fold> {
    // What the drawing states has priority over what the shape suggests.
    [FoldBy::Layer, FoldBy::Label, FoldBy::Shape].into_iter().find_map(|by| {
        let sure = candidates.iter().filter(|c| c.sure && c.fold.by == by).map(|c| c.fold);
        sure.max_by(|a, b| a.turned_in.0.total_cmp(&b.turned_in.0))
    })
}

/// The last fold where something is turned in more than once and only the shape shows it.
fn folded_again(edge: &EndEdge, first: Fold) -> Fold {
    /// No hem or turn-up is folded more often.
    const MOST: usize = 4;
    let (mut fold, mut before) = (first, first.turned_in.0);
    for _ in 0..MOST {
        if fold.by != FoldBy::Shape {
            break;
        }
        let Some(next) = candidates::folded_again(&edge.within(&fold), before) else { break };
        before = next.turned_in.0;
        fold = Fold { turned_in: fold.turned_in + next.turned_in, ..next };
    }
    fold
}

/// The places that may be folds, each once.
fn doubted(edge: &EndEdge, found: &[Candidate]) -> Vec<Unclear> {
    /// Two places closer together than this, in mm, count as one.
    const ONE: f64 = 1.0;
    let mut unclear: Vec<Unclear> = Vec::new();
    let again = found
        .iter()
        .filter(|c| c.shown == Shown::Edges)
        .map(|c| Candidate { fold: folded_again(edge, c.fold), ..*c });
    for c in found.iter().copied().chain(again) {
        let one = |u: &Unclear| (u.fold.turned_in - c.fold.turned_in).abs() < Mm(ONE);
        if !unclear.iter().any(one) {
            unclear.push(Unclear { edge: edge.role, fold: c.fold, shown: c.shown });
        }
    }
    unclear.sort_by(|a, b| a.fold.turned_in.0.total_cmp(&b.fold.turned_in.0));
    unclear
}

fn too_deep(role: SeamRole, length: Mm) -> Finding {
    let message = format!(
        "--fold {role}={length} leaves nothing of the piece before the fold; the length is what is turned in, measured from \
         the {role} edge of the sew line"
    );
    Finding::error(FindingId::FoldUnclear, message)
}

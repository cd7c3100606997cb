//! A leg with its alteration: writing it and checking the result.

use super::Settings;
use super::plan::Planned;
use crate::alter::{self, Applied, Change};
use crate::check::{invariants, reread};
use crate::dxf_text::Drawing;
use crate::finding::{Finding, FindingId};
use crate::geometry::{corners, line};
use crate::output::{self, Handles, Written};
use crate::pattern::{Mark, MarkKind, Piece};
use crate::report::Trued;
use crate::report::figure::DrawnLeg;
use crate::seam::{Leg, LegPiece, Part};
use crate::units::{Mm, against};
use kurbo::Point;

/// One leg with its alteration.
pub(super) struct AlteredLeg<'s> {
    pub planned: Planned<'s>,
    /// The change of its piece; if front and back are drawn in one piece, that of both.
    pub change: Change,
    pub after: Leg,
}

impl<'s> AlteredLeg<'s> {
    pub fn new(planned: Planned<'s>) -> Self {
        let on = planned.on;
        // The plan has been tried before. If the displacement cannot be applied all the same, nothing changes, and the check of
        // the measures reports that the target was missed.
        let change = planned
            .displacement
            .apply(&on.leg, planned.moves)
            .map(|applied| alter::change(on.piece, &on.leg, &applied))
            .unwrap_or_default();
        let after = alter::after(&on.leg, on.piece, &change);
        AlteredLeg { planned, change, after }
    }

    /// Puts the changes of a front and a back together, if they are drawn in one piece.
    pub fn join(front: &mut Self, back: &mut Self) {
        let piece = front.on().piece;
        // The other part of a half piece is its mirror image, which changes as it does.
        if !std::ptr::eq(piece, back.on().piece) || front.on().leg.other_part().is_none() {
            return;
        }
        let change = alter::merged(piece, &front.change, &back.change);
        for leg in [front, back] {
            leg.after = alter::after(&leg.on().leg, piece, &change);
            leg.change = change.clone();
        }
    }

    pub fn on(&self) -> &'s LegPiece<'s> {
        self.planned.on
    }

    /// Which part it is of a piece that is front and back in one.
    pub fn part_of_piece(&self) -> Option<Part> {
        self.on().leg.one_piece.map(|one| one.part)
    }

    /// Its sew line after the displacement.
    pub fn applied(&self) -> Option<Applied<'_>> {
        self.planned.displacement.apply(&self.on().leg, self.planned.moves).ok()
    }

    /// The angle by which the slide turned the centre seam, to a thousandth of a degree, and the stretch into which it was trued.
    pub fn trued(&self) -> Trued {
        let displacement = &self.planned.displacement;
        let turned = displacement.turned(self.planned.moves.along).unwrap_or_default();
        let (from, to) = displacement.trued();
        Trued { turned: (turned * 1e3).round() / 1e3, from, to }
    }

    pub fn drawn(&self) -> DrawnLeg<'_> {
        DrawnLeg { on: self.on(), altered: Some((&self.change, &self.after)) }
    }
}

/// What is wrong with an altered leg, or to be looked at.
pub(super) fn findings(altered: &AlteredLeg<'_>) -> Vec<Finding> {
    let (piece, leg, planned) = (altered.on().piece, &altered.on().leg, &altered.planned);
    let mut findings =
        invariants::check(piece, leg, &altered.after, &altered.change, planned.moves, &planned.displacement);
    if planned.moves.waist != Mm(0.0) {
        findings.extend(on_the_waist(piece, leg));
    }
    findings.extend(turned_in(altered));
    findings.extend(altered.change.carried.left.iter().map(|(at, away)| left_behind(piece, *at, *away)));
    findings
}

/// The warning about a notch near a redrawn edge that does not stand on it.
fn left_behind(piece: &Piece, at: Point, away: Mm) -> Finding {
    let message = format!(
        "a notch stands {away} from an edge that was redrawn, too far off to belong to it, and was left where it is; put it on the edge"
    );
    Finding::warning(FindingId::NotchOffEdge, message).about(piece).at(piece.drawn(at))
}

/// Writes a piece and reads it again.
pub(super) fn written(
    drawing: &Drawing<'_>,
    handles: &Handles,
    piece: &Piece,
    change: &Change,
    settings: &Settings,
    findings: &mut Vec<Finding>,
) -> Written {
    let (block, meant) = output::block(drawing, piece, change, handles);
    findings.extend(reread::beyond(&meant, piece.scale).map(|f| f.about(piece)));
    if settings.reread {
        let differs = reread::block(&block.bytes, &meant, drawing.line_end(), piece.scale);
        findings.extend(differs.map(|f| f.about(piece)));
    }
    block
}

/// A warning that darts, pleats and notches on a redrawn waist edge have to be checked by a person.
pub(super) fn on_the_waist(piece: &Piece, leg: &Leg) -> Option<Finding> {
    /// A corner of a dart or pleat turns by more than this, in degrees; a waist curve turns by less at every vertex.
    const DART: f64 = 20.0;
    /// How far, in mm, a notch of the waist may stand from the waist's sew line, because it is on the cut line.
    const WAIST_MARK: f64 = 25.0;
    let turns = corners::turns(&leg.ring);
    let own = leg.own_waist();
    let corners = own.clone().filter(|&i| i > leg.side && turns[i].abs() > DART).count();
    let waist: Vec<Point> = own.chain([0]).map(|i| leg.ring[i]).collect();
    let notch = |m: &&Mark| {
        matches!(m.kind, MarkKind::Notch { .. }) && line::distance(&waist, false, m.at) < WAIST_MARK
    };
    let notches = piece.marks.iter().filter(notch).count();
    let mut what = Vec::new();
    if corners > 0 {
        what.push("darts or pleats".to_owned());
    }
    if notches > 0 {
        what.push(format!("notches ({notches})"));
    }
    (!what.is_empty()).then(|| {
        Finding::warning(
            FindingId::WaistMarks,
            format!(
                "{} lie on the waist edge that was redrawn; true them by hand, and check the waistband against the new \
                 waist length",
                what.join(" and ")
            ),
        )
        .about(piece)
        .at(piece.drawn(leg.ring[0]))
    })
}

/// An error where the turned-in part would no longer lie on the leg as it did.
fn turned_in(altered: &AlteredLeg<'_>) -> Option<Finding> {
    /// In mm; a third of the 1/16 in to which seams are matched.
    const LIES: f64 = 0.5;
    let on = altered.on();
    let (edge, off) = on.folds.moved(&on.leg, &altered.after).filter(|(_, off)| *off > LIES)?;
    let (off, most) = against(off, LIES, 2);
    let message = format!(
        "the seams are redrawn where the {edge} is turned in, and what is turned in would no longer lie on them: it would be \
         off by {off} mm (at most {most} mm). Alter the piece without what is turned in, and draw that on again from the \
         new seams"
    );
    let at = on.folds.at(edge).map_or(on.leg.fork_point(), |fold| fold.ends[0]);
    Some(Finding::error(FindingId::FoldMoved, message).about(on.piece).at(on.piece.drawn(at)))
}

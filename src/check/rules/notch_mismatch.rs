//! # What it finds
//! A notch on inseam or outseam without its counterpart on the other leg piece.
//! # Why it matters on the cutting table
//! The seam is sewn with one edge pulled along, and the leg twists.
//! # How it is measured
//! Both seams are walked along their sew lines. The longer seam may be eased in anywhere, so a pair of notches matches if the
//! two would meet when walked from the hem, from the other end, or with the ease divided in between. Two or three notches
//! close together are one mark. A notch near a corner may mark the corner and needs no counterpart, but may be one: on a short
//! inseam all of its notches are near a corner, of one leg piece or of both. Then the distance between the two
//! notches of a pair, measured from the hem, is compared with that of the same pair in the other sizes.
//! # Tolerance
//! `notch_pair`, 3.2 mm, both within a pair and from size to size.
//! # Where the tolerance comes from
//! 1/8 in is usual on long seams (drafting books, from memory); altering one size by 50 mm moves a pair by 2 mm (measured).

use super::walk::{self, OnSeam};
use super::{Look, Rule};
use crate::alter::Change;
use crate::check::sheet::Sheet;
use crate::check::steps;
use crate::finding::{Finding, FindingId};
use crate::seam::{Leg, LegPiece, Pair, Part, SeamRole};
use crate::units::{Mm, against};
use kurbo::Point;

/// The check.
pub const RULE: Rule = Rule {
    name: "notch-mismatch",
    right: "Notches on inseam and outseam have their counterparts.",
    lengths: true,
    of_legs: true,
    look: Look::Drawing(find),
};

/// Notches this close together, in mm, are one mark: a double notch tells a back from a front and is 1/4 to 1/2 in wide
/// (common practice, no source).
const ONE_MARK: f64 = 14.0;

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for role in [SeamRole::Inseam, SeamRole::Outseam] {
        let mut matched = Vec::new();
        for (_, Pair { front, back }) in sheet.pairs() {
            let with_outseam = |leg: &LegPiece<'_>| role == SeamRole::Inseam || leg.has_outseam();
            if ![front, back].into_iter().all(|leg| in_one(leg) && with_outseam(leg)) {
                continue;
            }
            let [f, b] = [front, back].map(|on| Walked::new(&on.leg, role, walk::drawn(on.piece)));
            let mut single = alone(sheet, &f, &b, front, Part::Back);
            single.extend(alone(sheet, &b, &f, back, Part::Front));
            if single.is_empty() && f.marks.len() == b.marks.len() {
                matched.push((back, f, b));
            }
            findings.extend(single);
        }
        findings.extend(uneven(sheet, &matched));
    }
    findings
}

/// Where a leg is continued in other pieces, some of its notches are on those.
fn in_one(leg: &LegPiece<'_>) -> bool {
    leg.panels.below.is_none()
}

/// The notches of a front and a back inseam that met before an alteration and no longer do. `altered` are the redrawn legs and the changes
/// of their pieces, `most` is how far two notches may be apart.
#[must_use]
pub fn parted(drawn: Pair<&LegPiece<'_>>, altered: Pair<(&Leg, &Change)>, most: Mm) -> Vec<Finding> {
    if !drawn.both().into_iter().all(in_one) {
        return Vec::new();
    }
    let role = SeamRole::Inseam;
    let before = drawn.map(|on| Walked::new(&on.leg, role, walk::drawn(on.piece)));
    let after =
        drawn.zip(altered).map(|(on, (leg, change))| Walked::new(leg, role, walk::carried(on.piece, change)));
    let mut findings = Vec::new();
    for part in Part::ALL {
        let alone = |walked: &Pair<Walked>| walked.of(part).alone(walked.of(part.other()), most.0);
        let (was, is) = (alone(&before), alone(&after));
        let first = |walked: &Pair<Walked>, k: usize| walked.of(part).marks[k][0].offset;
        for (k, nearest) in is {
            if was.iter().any(|&(j, _)| first(&before, j) == first(&after, k)) {
                continue;
            }
            let own = after.of(part);
            let (away, most) = against(nearest, most.0, 2);
            let message = format!(
                "the notch on the inseam, {:.1} mm from the hem, met one of the {} and no longer does: the nearest would be {away} mm \
                 away (at most {most} mm). Ask for a smaller change, let the inseam come back further down (--blend-to), or set the \
                 two together by hand and --accept notch-mismatch",
                own.up(k),
                part.other().word()
            );
            let piece = drawn.of(part).piece;
            let finding = Finding::error(FindingId::NotchMismatch, message);
            findings.push(finding.about(piece).at(piece.drawn(own.marks[k][0].place)));
        }
    }
    findings
}

/// The pairs of notches whose distance differs from that of the same pair in the other sizes.
fn uneven(sheet: &Sheet<'_>, matched: &[(&LegPiece<'_>, Walked, Walked)]) -> Vec<Finding> {
    let most = sheet.tolerance.notch_pair.0;
    let apart = |(_, f, b): &(&LegPiece<'_>, Walked, Walked), k: usize| b.up(k) - f.up(k);
    let mut findings = Vec::new();
    for (i, size) in matched.iter().enumerate() {
        let (back, _, own) = size;
        for k in 0..own.marks.len() {
            let same =
                matched.iter().enumerate().filter(|(j, m)| *j != i && m.2.marks.len() == own.marks.len());
            let others: Vec<f64> = same.map(|(_, m)| apart(m, k)).collect();
            let off = apart(size, k) - steps::median(&others);
            if others.len() < 2 || off.abs() <= most {
                continue;
            }
            let (off, most) = against(off.abs(), most, 2);
            let message = format!(
                "the notch on the {}, {:.1} mm from the hem, is {off} mm off where it meets the front's in the other sizes \
                 (at most {most} mm); walk the seams and set the notches together",
                own.role,
                own.up(k)
            );
            let mark = &own.marks[k][0];
            let finding = Finding::error(FindingId::NotchMismatch, message);
            findings.push(sheet.at_offset(finding, back.piece, mark.place, mark.offset));
        }
    }
    findings
}

/// The marks on one seam.
struct Walked {
    role: SeamRole,
    length: f64,
    marks: Vec<Vec<OnSeam>>,
    /// Notches that may mark a corner.
    at_corners: Vec<Vec<OnSeam>>,
}

impl Walked {
    fn new(leg: &Leg, role: SeamRole, notches: impl Iterator<Item = (Point, u32)>) -> Self {
        let mut marks: Vec<Vec<OnSeam>> = Vec::new();
        let (at_corners, along): (Vec<_>, Vec<_>) =
            walk::notches(leg, role, notches).into_iter().partition(|n| n.at_corner);
        for notch in along {
            match marks.last_mut() {
                Some(mark) if mark.last().is_some_and(|n| notch.at - n.at <= ONE_MARK) => mark.push(notch),
                _ => marks.push(vec![notch]),
            }
        }
        let at_corners = at_corners.into_iter().map(|notch| vec![notch]).collect();
        Walked { role, length: leg.length(role).0, marks, at_corners }
    }

    /// How far a mark is from the hem.
    fn up(&self, k: usize) -> f64 {
        let at = self.marks[k][0].at;
        if self.role == SeamRole::Inseam { self.length - at } else { at }
    }

    /// How far a mark of this seam is from a mark of the mating seam, with the ease placed where it suits best.
    fn apart(&self, mark: &[OnSeam], mate: &Walked, other: &[OnSeam]) -> f64 {
        let ease = mate.length - self.length;
        let (low, high) = (ease.min(0.0), ease.max(0.0));
        let apart = |a: &OnSeam, b: &OnSeam| {
            let d = b.at - a.at;
            if d < low { low - d } else { (d - high).max(0.0) }
        };
        mark.iter().flat_map(|a| other.iter().map(move |b| apart(a, b))).fold(f64::INFINITY, f64::min)
    }
}

impl Walked {
    /// The marks that have no counterpart on the mating seam within `most` mm, each with how far away the nearest is.
    fn alone(&self, mate: &Walked, most: f64) -> Vec<(usize, f64)> {
        let nearest = |mark: &Vec<OnSeam>| {
            let others = mate.marks.iter().chain(&mate.at_corners);
            others.map(|other| self.apart(mark, mate, other)).fold(f64::INFINITY, f64::min)
        };
        self.marks.iter().map(nearest).enumerate().filter(|(_, nearest)| *nearest > most).collect()
    }
}

/// The marks of a seam that have no counterpart on the mating seam.
fn alone(sheet: &Sheet<'_>, own: &Walked, mate: &Walked, leg: &LegPiece<'_>, other: Part) -> Vec<Finding> {
    let most = sheet.tolerance.notch_pair.0;
    let mut findings = Vec::new();
    for (k, nearest) in own.alone(mate, most) {
        let (mark, from_hem) = (&own.marks[k], own.up(k));
        let found = if nearest.is_finite() {
            let (away, most) = against(nearest, most, 2);
            format!(
                "the nearest is {away} mm away (at most {most} mm); walk the two seams along each other from the hem, and move \
                 the notch that is wrong or add the one that is missing"
            )
        } else {
            format!(
                "the {}'s {} has no notch; draw one there, as far from the hem, or take this one out",
                other.word(),
                own.role
            )
        };
        let message = format!(
            "the notch on the {}, {from_hem:.1} mm from the hem, has no counterpart on the {}: {found}",
            own.role,
            other.word()
        );
        let finding = Finding::error(FindingId::NotchMismatch, message);
        findings.push(sheet.at_offset(finding, leg.piece, mark[0].place, mark[0].offset));
    }
    findings
}

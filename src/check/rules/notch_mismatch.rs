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
use crate::check::sheet::Sheet;
use crate::check::steps;
use crate::finding::{Finding, FindingId};
use crate::seam::{LegPiece, Pair, Part, SeamRole};
use crate::units::against;

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
            // Where a leg is continued in other pieces, some of its notches are on those.
            let in_one = |leg: &LegPiece<'_>| {
                leg.panels.below.is_none() && (role == SeamRole::Inseam || leg.has_outseam())
            };
            if !(in_one(front) && in_one(back)) {
                continue;
            }
            let (f, b) = (Walked::new(front, role), Walked::new(back, role));
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
    fn new(leg: &LegPiece<'_>, role: SeamRole) -> Self {
        let mut marks: Vec<Vec<OnSeam>> = Vec::new();
        let (at_corners, along): (Vec<_>, Vec<_>) =
            walk::notches(leg, role).into_iter().partition(|n| n.at_corner);
        for notch in along {
            match marks.last_mut() {
                Some(mark) if mark.last().is_some_and(|n| notch.at - n.at <= ONE_MARK) => mark.push(notch),
                _ => marks.push(vec![notch]),
            }
        }
        let at_corners = at_corners.into_iter().map(|notch| vec![notch]).collect();
        Walked { role, length: leg.leg.length(role).0, marks, at_corners }
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

/// The marks of a seam that have no counterpart on the mating seam.
fn alone(sheet: &Sheet<'_>, own: &Walked, mate: &Walked, leg: &LegPiece<'_>, other: Part) -> Vec<Finding> {
    let most = sheet.tolerance.notch_pair.0;
    let mut findings = Vec::new();
    for (k, mark) in own.marks.iter().enumerate() {
        let others = mate.marks.iter().chain(&mate.at_corners);
        let nearest = others.map(|o| own.apart(mark, mate, o)).fold(f64::INFINITY, f64::min);
        if nearest <= most {
            continue;
        }
        let from_hem = own.up(k);
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

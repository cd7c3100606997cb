//! Altering one size.

use super::Settings;
use crate::alter::{self, Change, Law, Moves, solve};
use crate::check::{invariants, reread};
use crate::dxf_text::Drawing;
use crate::finding::{Finding, FindingId, Severity};
use crate::job::{Aim, SizeRow, Want};
use crate::output::{self, Handles, Written};
use crate::report::{Asked, MovesReport, SizeReport, Status};
use crate::seam::{Leg, LegPiece, Measures, Size};
use crate::units::Mm;

/// The crotch length asked for is met to this much on measuring again.
const MET: Mm = Mm(0.05);
/// The angles at the fork add up to what they did, to this many degrees.
const FORK_ANGLE: f64 = 3.0;
/// A change smaller than this is none.
const NOTHING: Mm = Mm(1e-9);

/// A size with what is to be written for it.
pub(super) struct Outcome {
    pub report: SizeReport,
    pub written: Vec<Written>,
}

/// One leg with its alteration.
struct Altered<'s> {
    on: &'s LegPiece<'s>,
    law: Law,
    moves: Moves,
    change: Change,
    after: Leg,
}

/// Alters a size as its row asks.
pub(super) fn alter(
    drawing: &Drawing<'_>,
    handles: &Handles,
    size: &Size<'_>,
    row: &SizeRow,
    settings: &Settings,
) -> Outcome {
    let mut report = SizeReport {
        size: size.name.to_string(),
        status: Status::Refused,
        asked: None,
        before: None,
        after: None,
        moves: None,
        residual: None,
        findings: size.findings.clone(),
    };
    let Some((front, back)) = size.pair() else {
        return finish(report, Vec::new(), settings);
    };
    let before = Measures::of(front, back);
    let asked = asked(row, &before, &mut report.findings);
    let change = asked.change;
    let target = before.crotch_length + change;
    report.before = Some(before.clone());
    report.asked = Some(asked);
    if change.abs() < NOTHING {
        report.status = Status::Unchanged;
        report.after = Some(before);
        report.residual = Some(Mm(0.0));
        return finish(report, Vec::new(), settings);
    }
    let blend = alter::blend(&front.leg, &back.leg, settings.blend_to);
    let shares = [(&size.front, row.front_share.factor()), (&size.back, row.front_share.rest().factor())];
    let mut legs: Vec<Vec<Altered<'_>>> = Vec::new();
    for (pieces, share) in shares {
        let altered: Result<Vec<_>, _> =
            pieces.iter().map(|on| slide(on, blend, change * share, settings.aim)).collect();
        match altered {
            Ok(altered) => legs.push(altered),
            Err(finding) => report.findings.push(*finding),
        }
    }
    let [fronts, backs] = &legs[..] else {
        return finish(report, Vec::new(), settings);
    };
    let (f, b) = (&fronts[0], &backs[0]);
    let after = Measures::with(front, &f.after, back, &b.after);
    verify(&before, &after, target, settings, &mut report.findings);
    twins(fronts, &mut report.findings);
    twins(backs, &mut report.findings);
    let mut written = Vec::new();
    for altered in fronts.iter().chain(backs) {
        let (piece, leg) = (altered.on.piece, &altered.on.leg);
        report.findings.extend(invariants::check(
            piece,
            leg,
            &altered.after,
            &altered.change,
            altered.moves,
            altered.law.end(),
        ));
        let block = output::block(drawing, piece, &altered.change, handles);
        if settings.reread {
            let differs = reread::block(&block, drawing.line_end(), piece.scale);
            report.findings.extend(differs.map(|f| f.piece(&piece.name)));
        }
        written.push(block);
    }
    report.status = Status::Altered;
    report.residual = Some(after.crotch_length - target);
    report.after = Some(after);
    report.moves = Some(MovesReport { front: f.moves, back: b.moves });
    finish(report, written, settings)
}

/// What the row asks for, given what the pattern measures.
fn asked(row: &SizeRow, before: &Measures, findings: &mut Vec<Finding>) -> Asked {
    // The finished band is sewn on at both ends of the crotch seam.
    let band = row.waistband * 2.0;
    let (crotch_length, change) = match row.want {
        Want::CrotchLength(body) => (body, body + row.ease - before.crotch_length - band),
        Want::Change(change) => (before.crotch_length + change + band - row.ease, change),
    };
    if matches!(row.want, Want::Change(_)) && row.ease != Mm(0.0) {
        findings.push(Finding::note(
            FindingId::ReadAs,
            format!(
                "the change of {change} is taken as it stands; the ease of {} is not added to it",
                row.ease
            ),
        ));
    }
    Asked {
        crotch_length,
        change,
        front_share: row.front_share.factor(),
        ease: row.ease,
        waistband: row.waistband,
        note: row.note.clone(),
    }
}

/// Slides one leg so that its rise changes by its share, or by the share itself.
fn slide<'s>(on: &'s LegPiece<'s>, blend: Mm, share: Mm, aim: Aim) -> Result<Altered<'s>, Box<Finding>> {
    let law = Law::new(&on.leg, blend);
    let too_large = |most: Mm| {
        Box::new(
            Finding::error(
                FindingId::SlideTooLarge,
                format!(
                    "the piece cannot take {share} of change: the most that its lines can follow is {most}. Ask for \
                     less, give the other piece more of it, or let the inseam come back further down (--blend-to)"
                ),
            )
            .piece(&on.piece.name)
            .at(on.piece.drawn(on.leg.fork_point())),
        )
    };
    let along = match aim {
        Aim::Length => solve::slide(&on.leg, &law, share, Moves::default()).map_err(|e| too_large(e.most))?,
        Aim::Distance => {
            let (low, high) = law.reach();
            if share < low || share > high {
                return Err(too_large(if share < low { low } else { high }));
            }
            share
        }
    };
    let moves = Moves { along, ..Moves::default() };
    let change = alter::change(on.piece, &on.leg, &law, moves);
    let after = alter::after(&on.leg, on.piece, &change);
    Ok(Altered { on, law, moves, change, after })
}

/// What has to hold for front and back together.
fn verify(before: &Measures, after: &Measures, target: Mm, settings: &Settings, findings: &mut Vec<Finding>) {
    let missed = after.crotch_length - target;
    if settings.aim == Aim::Length && missed.abs() > MET {
        findings.push(Finding::error(
            FindingId::CrotchLengthMissed,
            format!("on measuring again the crotch length is off by {missed:.3} (at most {MET})"),
        ));
    }
    let opened = after.inseam_difference - before.inseam_difference;
    if opened.abs() > settings.inseam {
        findings.push(Finding::error(
            FindingId::InseamMismatch,
            format!(
                "back inseam less front inseam was {} and becomes {}, {} apart (at most {}): they no longer sew \
                 together. Share the change evenly, or let --uneven fork or --uneven waist find the rest elsewhere",
                before.inseam_difference,
                after.inseam_difference,
                opened.abs(),
                settings.inseam
            ),
        ));
    }
    let turned = after.fork_angle - before.fork_angle;
    if turned.abs() > FORK_ANGLE {
        findings.push(Finding::error(
            FindingId::ForkAngle,
            format!(
                "the angles at the fork added up to {:.1}° and become {:.1}°: the joined crotch curve gets a corner",
                before.fork_angle, after.fork_angle
            ),
        ));
    }
}

/// Left and right pieces are altered each for itself; they are reported where they differ.
fn twins(legs: &[Altered<'_>], findings: &mut Vec<Finding>) {
    /// Left and right of one pattern are mirrored copies; what rounding makes of that is far less.
    const ALIKE: Mm = Mm(0.2);
    let Some((first, rest)) = legs.split_first() else { return };
    for other in rest {
        for role in [crate::seam::SeamRole::Crotch, crate::seam::SeamRole::Inseam] {
            let off = other.on.leg.length(role) - first.on.leg.length(role);
            if off.abs() > ALIKE {
                findings.push(
                    Finding::warning(
                        FindingId::ReadAs,
                        format!(
                            "the {} of '{}' is {off} longer than that of '{}'; left and right should be alike",
                            role.as_str(),
                            other.on.piece.block_name,
                            first.on.piece.block_name
                        ),
                    )
                    .piece(&other.on.piece.name),
                );
            }
        }
    }
}

/// Gives every finding the size, and weighs the accepted ones less. With a failing finding nothing
/// of the size is to be written.
fn finish(mut report: SizeReport, written: Vec<Written>, settings: &Settings) -> Outcome {
    for finding in &mut report.findings {
        finding.size.get_or_insert_with(|| report.size.clone());
        if finding.severity == Severity::Error && settings.accept.contains(&finding.id) {
            finding.severity = Severity::Warning;
            finding.message.push_str(" (accepted)");
        }
    }
    Outcome { report, written }
}

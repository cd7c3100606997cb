//! Altering one size.

use super::doubt::Doubt;
use super::leg::{self, AlteredLeg};
use super::plan::{Changes, NOTHING, Plan, Task};
use super::yoke::AlteredYoke;
use super::{Opened, Settings, hanging, opening};
use crate::alter::remedy;
use crate::check::rules::parted;
use crate::check::second;
use crate::dxf_text::Drawing;
use crate::finding::{Finding, FindingId, Severity};
use crate::history;
use crate::job::{Aim, BlendTo, Degrees, SizeRow, Uneven, Want};
use crate::output::{Handles, Written};
use crate::report::figure::{DrawnLeg, SizeFigure};
use crate::report::{Asked, SizeReport, Status};
use crate::seam::{LegPiece, Measures, Pair, Part, SeamRole, Size};
use crate::units::{Mm, against};

/// The rises measured again have to meet what was asked for to this accuracy.
const MET: Mm = Mm(0.05);
/// By how many degrees the sum of the angles at the fork may change.
const FORK_ANGLE: f64 = 3.0;

/// Shares that differ from one half by less than this are even.
const EVEN: f64 = 0.005;

/// A size with what is to be written for it.
pub(super) struct Outcome {
    /// The remark about it for the new drawing, if that is asked for.
    pub said: Option<String>,
    pub report: SizeReport,
    pub written: Vec<Written>,
    pub figure: Option<SizeFigure>,
}

/// Alters a size as its row asks.
pub(super) fn alter(
    opened: &Opened<'_>,
    handles: &Handles,
    size: &Size<'_>,
    row: &SizeRow<Mm>,
    settings: &Settings,
) -> Outcome {
    let drawing = &opened.drawing;
    let mut report = SizeReport::refused(size.name.to_string(), size.findings.clone());
    let Some(pair) = size.pair() else {
        return finish(report, Vec::new(), None, settings);
    };
    if settings.uneven == Uneven::Waist && size.side_unsure {
        // The raised waist comes back at the side waist.
        for finding in report.findings.iter_mut().filter(|f| f.id == FindingId::SeamAmbiguous) {
            finding.severity = Severity::Error;
        }
        return finish(report, Vec::new(), figure(size, settings), settings);
    }
    let before = Measures::of(pair);
    let (asked, changes) = wanted(row, &before, &mut report.findings);
    let (waistband, gusset) = (size.waistband.as_deref(), size.gusset.as_ref());
    report.findings.extend(Doubt { row, before: &before, changes, waistband, gusset }.findings());
    let changed = changes.larger() >= NOTHING;
    if changed {
        report.findings.extend(history::altered_before(&opened.said, &size.name, changes.both()));
    }
    report.before = Some(before.clone());
    report.asked = Some(asked);
    if doubted(drawing, size, settings, &mut report) {
        return finish(report, Vec::new(), figure(size, settings), settings);
    }
    if !changed {
        report.status = Status::Unchanged;
        report.after = Some(before);
        report.residual = Some(Mm(0.0));
        return finish(report, Vec::new(), figure(size, settings), settings);
    }
    let shared = !matches!(row.want, Want::Lengths { .. });
    let asked = Asking { opened, handles, size, pair, before: &before, changes, shared, settings };
    let usual = asked.redrawn(settings.blend_to.unwrap_or(BlendTo::Knee), report.clone());
    let at_the_knee = Lines::of(&usual.report);
    if settings.blend_to.is_some() || at_the_knee == Lines::Smooth || at_the_knee == Lines::Beyond {
        return usual;
    }
    let mut lower = asked.redrawn(BlendTo::Hem, report);
    if Lines::of(&lower.report) >= at_the_knee {
        return usual;
    }
    let otherwise = if at_the_knee == Lines::Wrong { "leaves this one out" } else { "keeps to the knee" };
    let message = format!(
        "the inseam comes back at the hem: at the knee its line, or the one beside it, would not be smooth. --blend-to hem draws every \
         size so, --blend-to knee {otherwise}"
    );
    lower.report.findings.push(Finding::note(FindingId::ReadAs, message).size(size.name.to_string()));
    lower
}

/// What is found of the lines of a size, the better the less.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Lines {
    Smooth,
    /// They can be cut, and are to be looked at.
    Rough,
    /// They are refused; they may be smooth where the inseam comes back further down.
    Wrong,
    /// The size is refused for other reasons.
    Beyond,
}

impl Lines {
    fn of(report: &SizeReport) -> Self {
        const LINES: [FindingId; 6] = [
            FindingId::LineNotSmooth,
            FindingId::TruingTooLarge,
            FindingId::SlideTooLarge,
            FindingId::RemedyImpossible,
            FindingId::ChangedElsewhere,
            FindingId::AllowanceUneven,
        ];
        let of = |finding: &Finding| match finding.severity {
            Severity::Error if LINES.contains(&finding.id) => Lines::Wrong,
            Severity::Error => Lines::Beyond,
            _ if finding.id == FindingId::LineNotSmooth => Lines::Rough,
            _ => Lines::Smooth,
        };
        report.findings.iter().map(of).max().unwrap_or(Lines::Smooth)
    }
}

/// The request for a size that can be altered.
struct Asking<'a, 's> {
    opened: &'a Opened<'a>,
    handles: &'a Handles,
    size: &'s Size<'s>,
    pair: Pair<&'s LegPiece<'s>>,
    /// What it measures.
    before: &'a Measures,
    changes: Changes,
    /// Whether one change is shared between front and back; else each is asked for.
    shared: bool,
    settings: &'a Settings,
}

impl<'s> Asking<'_, 's> {
    /// The task and its moves, with slides in the ratio of the shares if that keeps the inseams together and nothing else is asked
    /// for.
    fn planned(
        &self,
        blend_to: BlendTo,
        findings: &mut Vec<Finding>,
    ) -> Result<(Task<'s>, Plan<'s>), Box<Finding>> {
        let settings = self.settings;
        let task = Task::new(self.size, self.pair, self.changes, (settings.aim, blend_to));
        let plain = task.plain()?;
        let open = settings.uneven == Uneven::Keep && settings.aim == Aim::Length && self.shared;
        if !open || settings.accept.contains(&FindingId::InseamMismatch) {
            return Ok((task, task.remedy(plain, settings.uneven)?));
        }
        let Some((in_ratio, plan)) = task.sliding_in_ratio(&plain, settings.inseam) else {
            return Ok((task, plain));
        };
        let Pair { front, back } = in_ratio.changes;
        let message = format!(
            "the shares are those of the slides: shared by the rises, the inseams would come apart. The front rise changes by {front}, the \
             back rise by {back}"
        );
        findings.push(Finding::note(FindingId::ReadAs, message));
        Ok((in_ratio, plan))
    }

    /// The size redrawn with its inseams coming back at `blend_to`.
    fn redrawn(&self, blend_to: BlendTo, mut report: SizeReport) -> Outcome {
        let Asking { opened, handles, size, pair, before, changes, settings, .. } = *self;
        let drawing = &opened.drawing;
        let change = report.asked.as_ref().map_or(changes.total(), |asked| asked.change);
        let (task, plan) = match self.planned(blend_to, &mut report.findings) {
            Ok(planned) => planned,
            Err(finding) => {
                report.findings.push(*finding);
                return finish(report, Vec::new(), figure(size, settings), settings);
            }
        };
        let mut legs = plan.legs.map(|legs| legs.into_iter().map(AlteredLeg::new).collect::<Vec<_>>());
        legs.front.iter_mut().zip(&mut legs.back).for_each(|(front, back)| AlteredLeg::join(front, back));
        let yokes: Vec<AlteredYoke<'_>> = plan.yokes.into_iter().map(AlteredYoke::new).collect();
        let first = legs.as_ref().map(|legs| &legs[0]);
        let (followed, told) = hanging::follow_all(&opened.pattern, size, &first.both(), settings);
        report.findings.extend(told);
        report.followed = followed.iter().map(|f| f.report.clone()).collect();
        let mut after = Measures::with(pair, first.map(|a| &a.after));
        let mut moves = first.map(|a| a.planned.moves);
        if let Some(yoke) = yokes.first() {
            yoke.counted(task.heavier(), &mut after, &mut moves);
        }
        verify(before, &after, &task, settings, &mut report.findings);
        report.findings.extend(
            corner_at_the_fork(first.both(), (before, &after), settings.fork_angle)
                .into_iter()
                .chain(opening::changed(first.front)),
        );
        legs.iter().for_each(|legs| twins(legs, &mut report.findings));
        parted_notches(&legs, settings.notch_pair, &mut report.findings);
        let mut written: Vec<Written> = Vec::new();
        for altered in legs.iter().flatten() {
            let piece = altered.on().piece;
            let found = leg::findings(altered);
            // Front and back in one piece have their outlines in common, and what is wrong with these.
            let new: Vec<Finding> = found.into_iter().filter(|f| !report.findings.contains(f)).collect();
            report.findings.extend(new);
            // A piece that is front and back in one is written with the front.
            if altered.part_of_piece() != Some(Part::Back) {
                written.push(leg::written(
                    drawing,
                    handles,
                    piece,
                    &altered.change,
                    settings,
                    &mut report.findings,
                ));
            }
        }
        written.extend(yokes.iter().map(|y| y.write(drawing, handles, settings, &mut report.findings)));
        let also = followed.iter().map(|f| (f.piece, &f.change));
        written
            .extend(also.map(|(p, c)| leg::written(drawing, handles, p, c, settings, &mut report.findings)));
        report.status = Status::Altered;
        report.residual = Some(after.crotch_length - before.crotch_length - change);
        report.after = Some(after);
        report.moves = Some(moves);
        report.truing = Some(first.map(AlteredLeg::trued));
        let figure = settings.figures.then(|| SizeFigure::of(&size.name, first.map(AlteredLeg::drawn)));
        let said =
            settings.say_altered.then(|| history::line(&size.name, changes.both(), task.changes.both()));
        Outcome { said, ..finish(report, written, figure, settings) }
    }
}

/// Whether the second reading leaves an error that is not accepted; what it finds is added to the report. If noise in the line
/// makes its length doubtful, that is an error where the length is compared with a body measure, and only a warning where the
/// seam is changed by a given amount.
fn doubted(drawing: &Drawing<'_>, size: &Size<'_>, settings: &Settings, report: &mut SizeReport) -> bool {
    let mut found = if settings.reread { second::reread(drawing, size) } else { Vec::new() };
    found.extend(second::fork(size));
    let by_measure = report.asked.as_ref().is_some_and(|asked| asked.crotch_length.is_some());
    let severity = if by_measure { Severity::Error } else { Severity::Warning };
    found.extend(second::rough(size).map(|f| Finding { severity, ..f }));
    let stops = |f: &Finding| f.severity == Severity::Error && !settings.accept.contains(&f.id);
    let doubted = found.iter().any(stops);
    report.findings.extend(found);
    doubted
}

/// The figure of a size that is left as it is, where figures are asked for and it can be measured.
pub(super) fn figure(size: &Size<'_>, settings: &Settings) -> Option<SizeFigure> {
    let pair = size.pair().filter(|_| settings.figures)?;
    Some(SizeFigure::of(&size.name, pair.map(|on| DrawnLeg { on, altered: None })))
}

/// What the row asks for, and the change of each rise that follows from it and from the pattern's measures.
fn wanted(row: &SizeRow<Mm>, before: &Measures, findings: &mut Vec<Finding>) -> (Asked, Changes) {
    // The finished waistband adds its height at both ends of the crotch seam.
    let (ease, waistband) = (row.ease.unwrap_or_default(), row.waistband.unwrap_or_default());
    let band = waistband * 2.0;
    let (crotch_length, change) = match row.want {
        Want::CrotchLength(body) => (Some(body), body + ease - before.crotch_length - band),
        Want::Lengths { front, back } => {
            (Some(front + back), front + back + ease - before.crotch_length - band)
        }
        Want::Change(change) => (None, change),
    };
    if matches!(row.want, Want::Change(_)) && ease != Mm(0.0) {
        findings.push(Finding::note(
            FindingId::ReadAs,
            format!("the change of {change} is taken as it stands; the ease of {ease} is not added to it"),
        ));
    }
    let (changes, lengths) = match row.want {
        // Front and back each get half of the ease, and each has the waistband at one end.
        Want::Lengths { front, back } => {
            let rise = |body: Mm, rise: Mm| body + ease * 0.5 - waistband - rise;
            let changes = Pair { front: rise(front, before.front.rise), back: rise(back, before.back.rise) };
            (changes, Some((front, back)))
        }
        _ => (Changes::shared(change, row.front_share), None),
    };
    let front_share = match lengths {
        None => Some(row.front_share.factor()),
        Some(_) => changes.front_part().filter(|part| (0.0..=1.0).contains(part)),
    };
    let asked = Asked {
        crotch_length,
        front_crotch_length: lengths.map(|(front, _)| front),
        back_crotch_length: lengths.map(|(_, back)| back),
        change,
        front_share,
        ease,
        waistband,
        note: row.note.clone(),
    };
    (asked, changes)
}

/// Checks that front and back together meet what was asked for.
fn verify(
    before: &Measures,
    after: &Measures,
    task: &Task<'_>,
    settings: &Settings,
    findings: &mut Vec<Finding>,
) {
    let rises = |m: &Measures| Pair { front: m.front.rise, back: m.back.rise };
    let (was, is) = (rises(before), rises(after));
    for part in Part::ALL {
        let missed = *is.of(part) - *was.of(part) - *task.changes.of(part);
        if settings.aim == Aim::Length && missed.abs() > MET {
            let (off, most) = against(missed.0, MET.0.copysign(missed.0), 3);
            findings.push(Finding::error(
                FindingId::CrotchLengthMissed,
                format!(
                    "on measuring again the {} rise is off by {off} mm (at most {} mm)",
                    part.word(),
                    most.trim_start_matches('-')
                ),
            ));
        }
    }
    let opened = after.inseam_difference - before.inseam_difference;
    let at_most = match settings.uneven {
        Uneven::Keep => settings.inseam,
        Uneven::Fork | Uneven::Waist => Mm(settings.inseam.0.min(remedy::APART.0)),
    };
    if opened.abs() > at_most {
        let (apart, most) = against(opened.abs().0, at_most.0, 2);
        let even = task.changes.front_part().is_some_and(|part| (part - 0.5).abs() < EVEN);
        let less = if even { "Ask for a smaller change" } else { "Share the change evenly" };
        findings.push(Finding::error(
            FindingId::InseamMismatch,
            format!(
                "back inseam less front inseam was {} and becomes {}: {apart} mm apart (at most {most} mm), and they no longer sew \
                 together. {less}, or {}",
                before.inseam_difference,
                after.inseam_difference,
                task.remedies()
            ),
        ));
    }
}

/// An error where the sum of the angles at the fork has changed; a warning where the corner is as it was, but the joined curve is no longer
/// smooth beside it, by `most`: a fork that is carried flattens the one curve alone.
fn corner_at_the_fork(
    legs: [&AlteredLeg<'_>; 2],
    (before, after): (&Measures, &Measures),
    most: Degrees,
) -> Option<Finding> {
    // Use the drawn corner, which is a part of the copy; the tangents of a coarse line depend on points beyond the copy.
    let turned = legs.map(|a| a.after.fork_corner() - a.on().leg.fork_corner()).iter().sum::<f64>();
    let message = format!(
        "the angles at the fork added up to {:.1}° and turn by {turned:+.1}°: the joined crotch curve gets a corner",
        before.fork_angle
    );
    if turned.abs() > FORK_ANGLE {
        return Some(Finding::error(FindingId::ForkAngle, message));
    }
    let off = |measures: &Measures| (measures.fork_angle - 180.0).abs();
    let message = format!(
        "beside the fork the angles added up to {:.1}° and now to {:.1}°, where 180° joins to one smooth curve: the fork was carried, and one \
         curve got flatter there; lay the inseams together and true the joined curve",
        before.fork_angle, after.fork_angle
    );
    (off(before) <= most.0 && off(after) > most.0).then(|| Finding::warning(FindingId::ForkAngle, message))
}

/// The notches of front and back inseams that no longer meet: left and right, each with its mate, and each told of once.
fn parted_notches(legs: &Pair<Vec<AlteredLeg<'_>>>, most: Mm, findings: &mut Vec<Finding>) {
    for i in 0..legs.front.len().max(legs.back.len()) {
        let pair = legs.as_ref().map(|legs| &legs[i.min(legs.len() - 1)]);
        let found = parted(pair.map(AlteredLeg::on), pair.map(|a| (&a.after, &a.change)), most);
        let new: Vec<Finding> = found.into_iter().filter(|f| !findings.contains(f)).collect();
        findings.extend(new);
    }
}

/// Left and right pieces are altered separately; a warning reports where they differ.
fn twins(legs: &[AlteredLeg<'_>], findings: &mut Vec<Finding>) {
    /// Left and right of one pattern are mirrored copies; rounding makes them differ by far less than this.
    const ALIKE: Mm = Mm(0.2);
    let Some((first, rest)) = legs.split_first() else { return };
    for other in rest {
        for role in [SeamRole::Crotch, SeamRole::Inseam] {
            let off = other.on().leg.length(role) - first.on().leg.length(role);
            if off.abs() > ALIKE {
                findings.push(
                    Finding::warning(
                        FindingId::ReadAs,
                        format!(
                            "the {} of '{}' is {off} longer than that of '{}'; left and right should be alike",
                            role.as_str(),
                            other.on().piece.block_name,
                            first.on().piece.block_name
                        ),
                    )
                    .about(other.on().piece),
                );
            }
        }
    }
}

/// Sets the size of every finding and lowers the severity of accepted ones. If an error remains, nothing of the size is written.
fn finish(
    mut report: SizeReport,
    written: Vec<Written>,
    figure: Option<SizeFigure>,
    settings: &Settings,
) -> Outcome {
    for finding in &mut report.findings {
        finding.size.get_or_insert_with(|| report.size.clone());
        // A refused size has no result that could be accepted.
        if report.status != Status::Refused {
            finding.accept(&settings.accept);
        } else if finding.severity == Severity::Error && settings.accept.contains(&finding.id) {
            finding.message.push_str(" (it cannot be accepted: without this the size cannot be altered)");
        }
    }
    Outcome { said: None, report, written, figure }
}

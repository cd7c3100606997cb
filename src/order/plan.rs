//! Decides the moves of a size's pieces from the changes of their rises.

use crate::alter::remedy::{self, Limit};
use crate::alter::yoke::Top;
use crate::alter::{self, Displacement, Moves, TooLarge, Unsound};
use crate::finding::{Finding, FindingId};
use crate::job::{Aim, BlendTo, Share, Uneven};
use crate::pattern::Piece;
use crate::seam::{Leg, LegPiece, Pair, Part, Size};
use crate::units::Mm;

/// If plain slides change the difference of the inseams by no more than this, no remedy is needed.
const EVEN: Mm = Mm(0.05);

/// A change smaller than this counts as no change.
pub(super) const NOTHING: Mm = Mm(1e-9);

/// A piece with its planned moves.
pub(super) struct Planned<'s> {
    pub on: &'s LegPiece<'s>,
    pub displacement: Displacement,
    pub moves: Moves,
}

/// A yoke whose waist is raised.
pub(super) struct Raised<'s> {
    pub piece: &'s Piece,
    pub top: Top,
    pub raise: Mm,
}

/// The pieces of a size with their planned moves.
pub(super) struct Plan<'s> {
    pub legs: Pair<Vec<Planned<'s>>>,
    /// The yokes of the heavier part, where the remedy is made at the waist.
    pub yokes: Vec<Raised<'s>>,
}

/// The heavier pieces with a remedy.
struct Remedied<'s> {
    legs: Vec<Planned<'s>>,
    yokes: Vec<Raised<'s>>,
}

impl Remedied<'_> {
    /// The moves of the first of them, including the part that the yoke takes.
    fn moves(&self) -> Moves {
        let waist = self.yokes.first().map_or(self.legs[0].moves.waist, |yoke| yoke.raise);
        Moves { waist, ..self.legs[0].moves }
    }
}

impl Plan<'_> {
    /// By how much more the back inseam changes than the front inseam.
    pub fn opened(&self) -> Mm {
        self.legs.back[0].inseam_change() - self.legs.front[0].inseam_change()
    }
}

impl Planned<'_> {
    fn inseam_change(&self) -> Mm {
        self.displacement.inseam_longer(self.moves).unwrap_or_default()
    }
}

/// The changes of the front and the back rise.
pub(super) type Changes = Pair<Mm>;

impl Changes {
    /// A change of the whole crotch seam, divided by the front's share.
    pub fn shared(change: Mm, front_share: Share) -> Self {
        Pair { front: change * front_share.factor(), back: change * front_share.rest().factor() }
    }

    /// The change of the whole crotch seam.
    pub fn total(self) -> Mm {
        self.front + self.back
    }

    /// The larger of the two by absolute value.
    pub fn larger(self) -> Mm {
        Mm(self.front.0.abs().max(self.back.0.abs()))
    }

    /// The front's share of the whole change, which is between 0 and 1 if both change in the same direction; `None` where the
    /// whole change is almost 0.
    pub fn front_part(self) -> Option<f64> {
        /// For a smaller change the shares mean nothing.
        const LEAST: Mm = Mm(0.05);
        (self.total().abs() > LEAST).then(|| self.front.0 / self.total().0)
    }
}

/// The planned change of a size.
#[derive(Clone, Copy)]
pub(super) struct Task<'s> {
    pub size: &'s Size<'s>,
    pub changes: Changes,
    pub blend: Mm,
    pub aim: Aim,
}

impl<'s> Task<'s> {
    /// The task for a size whose front and back are known.
    pub fn new(
        size: &'s Size<'s>,
        pair: Pair<&LegPiece<'_>>,
        changes: Changes,
        (aim, blend_to): (Aim, BlendTo),
    ) -> Self {
        let mut blend = alter::blend(pair.map(|on| &on.leg), blend_to);
        // The turn-up at the hem stays, and so does the part of the leg that it lies on.
        for on in pair.both().into_iter().filter(|on| on.folds.hem.is_some()) {
            let laid = on.folds.hem.map_or(Mm(0.0), |fold| fold.turned_in);
            blend = Mm(blend.0.min((on.length(crate::seam::SeamRole::Inseam) - laid).0.max(1.0)));
        }
        Task { size, changes, blend, aim }
    }

    /// The part that gets more of the change; the back if both get the same, since its seam leans and it has to slide further.
    pub fn heavier(&self) -> Part {
        if self.changes.front.abs() > self.changes.back.abs() { Part::Front } else { Part::Back }
    }

    /// The moves of every piece by sliding alone.
    pub fn plain(&self) -> Result<Plan<'s>, Box<Finding>> {
        self.alike_on_halves()?;
        Ok(Plan { legs: self.slides()?, yokes: Vec::new() })
    }

    /// The same with the remedy, where front and back would be pulled apart.
    pub fn remedy(&self, mut plan: Plan<'s>, uneven: Uneven) -> Result<Plan<'s>, Box<Finding>> {
        if uneven == Uneven::Keep || plan.opened().abs() <= EVEN {
            return Ok(plan);
        }
        let heavier = self.heavier();
        let remedied = self
            .remedied(uneven, heavier, &plan)
            .map_err(|(on, limit)| Box::new(self.impossible(uneven, heavier, on, limit)))?;
        *plan.legs.of_mut(heavier) = remedied.legs;
        Ok(Plan { yokes: remedied.yokes, ..plan })
    }

    /// Refuses to change front and back by different amounts where a half piece is drawn, whose mirror image is the other part.
    fn alike_on_halves(&self) -> Result<(), Box<Finding>> {
        let Changes { front, back } = self.changes;
        let half =
            self.size.all_legs().find(|on| on.leg.one_piece.is_some() && on.leg.other_part().is_none());
        let Some(on) = half.filter(|_| (front - back).abs() > NOTHING) else { return Ok(()) };
        let message = format!(
            "the piece is drawn as half and opened at its mirror line, so that front and back change by the same; asked for are {front:+.2} \
             at the front and {back:+.2} at the back. Share the change evenly, or draw front and back each, without a mirror line"
        );
        let finding = Finding::error(FindingId::HalfPiece, message).about(on.piece);
        Err(Box::new(finding.at(on.piece.drawn(on.leg.fork_point()))))
    }

    /// The same change of the whole crotch seam with the slides, not the rises, in the ratio of the shares, and its moves; where equal
    /// shares of the rises, `plan`, pull the inseams apart by more than `tolerance`, and this does not. A seam that leans has to slide
    /// further for the same change. On paper both pieces slide by their shares of the difference, and the inseams stay together
    /// (common practice, no source).
    pub fn sliding_in_ratio(&self, plan: &Plan<'s>, tolerance: Mm) -> Option<(Task<'s>, Plan<'s>)> {
        /// A slide changes the rise by nearly its own amount, so that each step leaves a tenth of the rest or less.
        const STEPS: usize = 12;
        if plan.opened().abs() <= tolerance {
            return None;
        }
        let part = self.changes.front_part()?;
        let displacements = plan.legs.as_ref().map(|legs| &legs[0].displacement);
        let rises = |slide: Mm| {
            let shares = Pair { front: part, back: 1.0 - part };
            displacements.zip(shares).map(|(leg, share)| leg.longer(slide * share)).transpose().ok()
        };
        let mut slide = self.changes.total();
        for _ in 0..STEPS {
            slide = slide + self.changes.total() - rises(slide)?.total();
        }
        let task = Task { changes: rises(slide)?, ..*self };
        let met = (task.changes.total() - self.changes.total()).abs() <= NOTHING;
        let plan = met.then(|| task.plain().ok())??;
        (plan.opened().abs() <= tolerance).then_some((task, plan))
    }

    /// The slides of every piece.
    fn slides(&self) -> Result<Pair<Vec<Planned<'s>>>, Box<Finding>> {
        let of =
            |(legs, rise): (&'s Vec<LegPiece<'s>>, Mm)| legs.iter().map(|on| self.slide(on, rise)).collect();
        self.size.legs.as_ref().zip(self.changes).map(of).transpose()
    }

    /// The slide of a piece.
    fn slide(&self, on: &'s LegPiece<'s>, wanted: Mm) -> Result<Planned<'s>, Box<Finding>> {
        let displacement = Displacement::of(on, self.blend);
        match self.slid(&on.leg, &displacement, wanted) {
            Ok(along) => Ok(Planned { on, displacement, moves: Moves { along, ..Moves::default() } }),
            Err(limit) => {
                Err(Box::new(too_large(on, wanted, limit, self.most(&on.leg, &displacement, wanted))))
            }
        }
    }

    /// The slide for a change of the rise.
    fn slid(&self, leg: &Leg, displacement: &Displacement, wanted: Mm) -> Result<Mm, Limit> {
        let along = match self.aim {
            Aim::Length => {
                displacement.slide_for(wanted).map_err(|large| Limit::Unsound(Unsound::Truing(large)))?
            }
            Aim::Distance => wanted,
        };
        remedy::within(displacement, along)?;
        displacement.apply(leg, Moves { along, ..Moves::default() }).map_err(Limit::Unsound)?;
        Ok(along)
    }

    /// The most of a change that a piece can take.
    fn most(&self, leg: &Leg, displacement: &Displacement, wanted: Mm) -> Mm {
        // Bisection to a hundredth of a millimetre even for a change of a metre, rounded down.
        let (mut good, mut bad) = (0.0, 1.0);
        for _ in 0..17 {
            let share = f64::midpoint(good, bad);
            if self.slid(leg, displacement, wanted * share).is_ok() { good = share } else { bad = share }
        }
        wanted * good
    }

    /// The heavier pieces with a remedy in place of the plain slide.
    fn remedied(
        &self,
        uneven: Uneven,
        heavier: Part,
        plan: &Plan<'s>,
    ) -> Result<Remedied<'s>, (&'s LegPiece<'s>, Limit)> {
        let lighter = &plan.legs.of(heavier.other())[0];
        let (rise, inseam) = (*self.changes.of(heavier), lighter.inseam_change());
        let on_yoke = uneven == Uneven::Waist && self.size.legs.of(heavier)[0].above.centre != Mm(0.0);
        let mut yokes = Vec::new();
        let mut legs = Vec::new();
        for on in self.size.legs.of(heavier) {
            let displacement = Displacement::of(on, self.blend);
            let limited = |limit| (on, limit);
            let moves = match uneven {
                Uneven::Waist if on_yoke => {
                    let (moves, rest) = remedy::below_waist(&displacement, rise, inseam).map_err(limited)?;
                    if yokes.is_empty() {
                        yokes = self.raised(heavier, rest).map_err(limited)?;
                    }
                    moves
                }
                Uneven::Waist => remedy::waist(&on.leg, &displacement, rise, inseam).map_err(limited)?,
                _ => remedy::fork(&on.leg, &displacement, rise, inseam).map_err(limited)?,
            };
            legs.push(Planned { on, displacement, moves });
        }
        Ok(Remedied { legs, yokes })
    }

    /// The yokes of a part with their waists raised so that their centre edges become longer by `longer`.
    fn raised(&self, part: Part, longer: Mm) -> Result<Vec<Raised<'s>>, Limit> {
        let yokes = self.size.yokes.iter().filter(|yoke| yoke.part == part);
        let raised = yokes.map(|yoke| {
            // A left yoke has the position of the left leg.
            // Beside a leg that is front and back in one piece there is no side at which a yoke could come back.
            let legs = self.size.legs.of(part).iter().filter(|on| on.leg.one_piece.is_none());
            let top = legs.map(|on| &on.leg).find_map(|leg| yoke.top(leg)).ok_or(Limit::Yoke)?;
            let top = Top::new(top);
            Ok(Raised { piece: yoke.piece, raise: top.raise_for(longer)?, top })
        });
        raised.collect()
    }

    fn impossible(&self, uneven: Uneven, heavier: Part, on: &LegPiece<'_>, limit: Limit) -> Finding {
        let hit = match limit {
            Limit::Slide { furthest } => {
                format!("the piece would slide beyond {furthest}, where its lines fold")
            }
            Limit::Unsound(Unsound::Truing(TooLarge { takes })) => format!(
                "the centre seam of the {} would turn by more than the {takes:.1}° that the upper part of its curve can take",
                heavier.word()
            ),
            Limit::Unsound(Unsound::Fork) => {
                format!("no smooth curve leads to where the {} fork would lie", heavier.word())
            }
            Limit::Unsound(Unsound::Inseam) => {
                format!("no smooth inseam comes back from where the {} fork would lie", heavier.word())
            }
            Limit::Fork { extension } => {
                format!(
                    "the {} fork would be carried by more than half of its extension of {extension}",
                    heavier.word()
                )
            }
            Limit::Casing => format!(
                "the top of the {} is turned in at a fold, which a raised waist would have to move",
                heavier.word()
            ),
            Limit::Bib => format!(
                "the {} goes on above its waist as a bib, which a raised waist would pull out of shape",
                heavier.word()
            ),
            Limit::Yoke => format!(
                "the waist of the {} is its yoke's, and which edge of the yoke is the waist is not known: draw the yoke as \
                 half, the way up that the {} is drawn",
                heavier.word(),
                heavier.word()
            ),
            Limit::Waist { furthest } => {
                format!("the {} centre waist would move by more than {furthest}", heavier.word())
            }
        };
        let nearest = match self.nearest(uneven) {
            Some(share) => format!("the nearest split that works gives the front {:.1} %", share * 100.0),
            // No other split helps here.
            None if matches!(limit, Limit::Yoke | Limit::Casing | Limit::Bib) => {
                "or carry the fork (--uneven fork)".to_owned()
            }
            None if self.changes.front_part().is_none() => "let front and back differ by less".to_owned(),
            None => "no split works; ask for a smaller change".to_owned(),
        };
        let message = format!("--uneven {uneven} has no sound solution: {hit}; {nearest}");
        Finding::error(FindingId::RemedyImpossible, message)
            .about(on.piece)
            .at(on.piece.drawn(on.leg.fork_point()))
    }

    /// The front's share of the change at which this remedy works, as near as possible to the one asked for, searched towards an
    /// even split.
    fn nearest(&self, uneven: Uneven) -> Option<f64> {
        let change = self.changes.total();
        let works = |part: f64| {
            let changes = Pair { front: change * part, back: change * (1.0 - part) };
            let task = Task { changes, ..*self };
            let plan = Plan { legs: task.slides().ok()?, yokes: Vec::new() };
            task.remedied(uneven, self.heavier(), &plan).ok()
        };
        // The result is in whole tenths of a percent; nobody needs it more exactly.
        let (mut bad, mut good) = (self.changes.front_part()?, 0.5);
        works(good)?;
        while (bad - good).abs() > 0.0005 {
            let middle = f64::midpoint(bad, good);
            if works(middle).is_some() { good = middle } else { bad = middle }
        }
        // Rounded towards the even split, so that the number printed works.
        let tenths = if good < 0.5 { (good * 1000.0).ceil() } else { (good * 1000.0).floor() };
        Some(tenths / 1000.0)
    }

    /// A text about the two remedies, with the numbers that each needs.
    pub fn remedies(&self) -> String {
        let heavier = self.heavier();
        let Ok(plan) = self.plain() else { return String::new() };
        let name = heavier.word();
        let first = |uneven| self.remedied(uneven, heavier, &plan).map(|remedied| remedied.moves());
        let fork = match first(Uneven::Fork) {
            Ok(m) => {
                let way = if m.across.0 < 0.0 { "in" } else { "out" };
                format!("carry the {name} fork {way} by {:.1} (--uneven fork)", m.across.abs())
            }
            Err(_) => format!("(not at the fork: the {name} fork would have to be carried too far)"),
        };
        let waist = match first(Uneven::Waist) {
            Ok(m) => {
                let way = if m.waist.0 < 0.0 { "lower" } else { "raise" };
                format!("{way} the {name} centre waist by {:.1} (--uneven waist)", m.waist.abs())
            }
            Err((_, Limit::Yoke)) => {
                format!("(not at the waist: which edge of the {name} yoke is the waist is not known)")
            }
            Err((_, Limit::Casing)) => format!("(not at the waist: the top of the {name} is turned in)"),
            Err((_, Limit::Bib)) => format!("(not at the waist: the {name} goes on above it)"),
            Err(_) => format!("(not at the waist: the {name} centre waist would have to move too far)"),
        };
        format!("{fork}, or {waist}")
    }
}

fn too_large(on: &LegPiece<'_>, wanted: Mm, limit: Limit, most: Mm) -> Finding {
    // The name of a piece that is front and back in one does not say which of them is meant.
    let (seam, whose) = match on.leg.one_piece {
        Some(one) if one.other.is_some() => {
            (format!("the {} centre seam", one.part.word()), format!("the {}", one.part.word()))
        }
        _ => ("the centre seam".to_owned(), "the piece".to_owned()),
    };
    let half = on.leg.one_piece.is_some() && on.leg.other_part().is_none();
    let (id, message) = match limit {
        Limit::Unsound(Unsound::Truing(TooLarge { takes })) => (
            FindingId::TruingTooLarge,
            format!(
                "a change of {wanted} turns {seam} by more than the {takes:.1}° that the upper part of its curve \
                 can take without bending the other way; it can take {most} of change. Ask for less{}",
                if half {
                    ""
                } else {
                    ", give the other piece more of it, or move the waist for a part of it (--uneven waist)"
                }
            ),
        ),
        _ => (
            FindingId::SlideTooLarge,
            format!(
                "{whose} cannot take {wanted} of change: the most that its lines can follow is {most}. Ask for less{}, or let the inseam \
                 come back further down (--blend-to)",
                if half { "" } else { ", give the other piece more of it" }
            ),
        ),
    };
    Finding::error(id, message).about(on.piece).at(on.piece.drawn(on.leg.fork_point()))
}

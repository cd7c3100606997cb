//! A piece that is front and back of a leg in one: its two legs, and which of them is the front.

use super::{Base, CUT_CORNER, Corners, LABEL_REACH, NoLeg, ON_VERTEX, crotch, finished, half};
use crate::finding::{Finding, FindingId};
use crate::geometry::{Segments, corners::CORNER, line::Measured};
use crate::pattern::{LayerUse, MarkKind, Path, Piece};
use crate::seam::candidate::Candidate;
use crate::seam::exchanged::are_apart;
use crate::seam::leg::How;
use crate::seam::names::{self, is_seam};
use crate::seam::one_piece::{OnePiece, OtherPart, Side, SideBy};
use crate::seam::{Leg, Pair, Part, SeamRole, shape};
use crate::trousers::{Allowances, LabelTexts};
use kurbo::{Point, Vec2};
use std::ops::RangeInclusive;

/// The most edges that are tried in pairs: the deepest ones, of which a leg has two, and a top or a skirt some.
const MOST: usize = 12;

/// The least ratio of the two rises: that of a front to its back is 0.7 to 0.95 (from memory). A scooped pocket mouth is
/// shorter.
const RISES: f64 = 0.55;

/// The least ratio, back to front, of the rises and of the reaches at the fork at which the shape tells them apart. Drafts give the
/// back 1.05 to 1.4 times the front's rise and 1.5 to 2.5 times its reach (from memory).
const SURE: f64 = 1.06;

/// Two notches this far apart along the seam, in mm, are a double notch, which tells a back from a front (common practice, no source).
/// Nearer to each other they are one notch, drawn at the cut line and at the sew line.
const DOUBLE: RangeInclusive<f64> = 2.0..=14.0;

/// Centre front and centre back, as they are commonly abbreviated on patterns (common practice, no source).
const CENTRES: [(&str, Part); 2] = [("CF", Part::Front), ("CB", Part::Back)];

/// The part of the waist or hem within which a notch may mark the side, as shares of the edge.
const AT_SIDE: RangeInclusive<f64> = 0.25..=0.75;

/// Front and back of a piece that is both, with a note that says how they were told apart; `None` for any other piece.
pub fn front_and_back(
    piece: &Piece,
    words: &LabelTexts,
    allowances: &Allowances,
) -> Option<Result<(Pair<Leg>, Finding), Finding>> {
    let base = Base::of(piece).ok()?;
    let mut lacking = None;
    let mut read = |two: [(Candidate, How); 2]| {
        let legs = match two_legs(&base, two, words, allowances) {
            Ok(legs) => legs?,
            Err(finding) => {
                lacking = Some(finding);
                return None;
            }
        };
        let [a, b] = legs.each_ref().map(|leg| leg.length(SeamRole::Crotch).0);
        let [one, other] = legs.each_ref().map(|leg| leg.length(SeamRole::Inseam));
        (!are_apart(one, other) && a.min(b) >= RISES * a.max(b)).then_some((two.map(|(c, _)| c), legs))
    };
    let mut found: Vec<_> = possible(&base, words).into_iter().filter_map(&mut read).collect();
    let (two, legs) = match found.len() {
        0 => return lacking.map(Err),
        1 => found.swap_remove(0),
        _ => return None,
    };
    if two.iter().any(|c| c.fly.is_some()) {
        let message = "front and back are drawn in one piece, with the extension of a fly: which part of the waist is the centre front's \
                       cannot be told. Draw the fly as a piece of its own";
        return Some(Err(Finding::error(FindingId::SeamAmbiguous, message).at(fork(piece, &legs[0]))));
    }
    Some(told_apart(piece, legs, words))
}

/// The edges that may be the two crotch seams of one piece, with how they were found.
fn possible(base: &Base<'_>, words: &LabelTexts) -> Vec<[(Candidate, How); 2]> {
    let points = &base.path.points;
    let candidates = shape::candidates(points, &base.turns, base.grain);
    let mut all = shape::all_candidates(points, &base.turns, base.grain);
    all.truncate(MOST);
    let seams = base.piece.paths_of(LayerUse::Crotch);
    let drawn: Vec<_> = seams.map(|seam| crotch::by_layer(base, seam, &candidates).ok()).collect();
    let by_shape = || all.iter().map(|c| (*c, How::Shape));
    let pairs: Vec<[(Candidate, How); 2]> = match drawn[..] {
        [] => {
            let pairs = all.iter().enumerate().flat_map(|(i, a)| all[i + 1..].iter().map(move |b| [*a, *b]));
            pairs.map(|two| two.map(|c| (c, how(base, &c, words)))).collect()
        }
        [Some(one)] => by_shape().map(|mate| [(one, How::Layer), mate]).collect(),
        [Some(one), Some(other)] => vec![[(one, How::Layer), (other, How::Layer)]],
        _ => Vec::new(),
    };
    pairs.into_iter().filter(|two| apart(base, two.map(|(c, _)| c))).collect()
}

/// How a crotch seam was found among the edges that have the shape of one.
fn how(base: &Base<'_>, c: &Candidate, words: &LabelTexts) -> How {
    by_label(base, &c.run(&base.path.points), SeamRole::Crotch, words)
}

/// Whether two crotch seams lie on opposite sides of a piece, each with its fork outwards, with separate waists at the same end.
fn apart(base: &Base<'_>, [one, other]: [Candidate; 2]) -> bool {
    let points = &base.path.points;
    let [a, b] = [one, other].map(|c| shape::axes(points, &c, base.grain));
    a.0.dot(b.0) > 0.0
        && a.1.dot(b.1) < 0.0
        && one.forward != other.forward
        && one.waist != other.waist
        && one.fork != other.fork
}

/// The two legs with these crotch seams, which of them is the front being open; `None` where one does not come back to the other.
fn two_legs(
    base: &Base<'_>,
    two: [(Candidate, How); 2],
    words: &LabelTexts,
    allowances: &Allowances,
) -> Result<Option<[Leg; 2]>, Finding> {
    let mut legs = Vec::with_capacity(2);
    for ((crotch, how), (mate, _)) in [(two[0], two[1]), (two[1], two[0])] {
        let Some(corners) = corners(base, &crotch, &mate) else { return Ok(None) };
        let drawn = base.drawn(&crotch);
        let ring = drawn.ring(&base.path.points);
        let (hem_in, inseam) = inseam(base, &ring, corners, words);
        let mut corners = Corners { hem_in, ..corners };
        corners.mirror = half::mirror(base, &ring, corners)?;
        match finished(base, (crotch, how), (drawn, corners, inseam), allowances) {
            Ok(leg) => legs.push(leg),
            Err(NoLeg::Unusable(finding)) => return Err(*finding),
            Err(NoLeg::OtherPiece) => return Ok(None),
        }
    }
    Ok(legs.try_into().ok())
}

/// The corners of a ring that runs down one crotch seam and inseam and up the other's.
fn corners(base: &Base<'_>, crotch: &Candidate, mate: &Candidate) -> Option<Corners> {
    let drawn = base.drawn(crotch);
    let points = &base.path.points;
    let at = |vertex: usize| drawn.order.iter().position(|&i| i as usize == vertex);
    let (fork, other, side) = (at(crotch.fork)?, at(mate.fork)?, at(mate.waist)?);
    let (up, out) = shape::axes(points, crotch, base.grain);
    let corner = |k: &usize| base.turns[drawn.order[*k] as usize] >= CORNER;
    let extreme = |from: usize, to: usize, way: Vec2| {
        let reach = |k: usize| points[drawn.order[k] as usize].to_vec2().dot(way);
        (from + 1..to).filter(corner).max_by(|&a, &b| reach(a).total_cmp(&reach(b)))
    };
    (fork < other && other < side).then_some(())?;
    let hem_out = extreme(fork, other, -up * 1.5 - out)?;
    let hem_in = extreme(fork, hem_out, -up * 1.5 + out)?;
    Some(Corners { fork, hem_in, hem_out, side, other_fork: Some(other), mirror: None })
}

/// The inner hem corner of one of the two legs, and how its inseam was found.
fn inseam(base: &Base<'_>, ring: &[Point], corners: Corners, words: &LabelTexts) -> (usize, How) {
    let reach = if base.cut { CUT_CORNER } else { ON_VERTEX };
    let fork = ring[corners.fork];
    for seam in base.piece.paths_of(LayerUse::Inseam) {
        let ends = [seam.points[0], seam.points[seam.points.len() - 1]];
        let [near, far] =
            if (ends[0] - fork).hypot() <= (ends[1] - fork).hypot() { ends } else { [ends[1], ends[0]] };
        let between = corners.fork + 1..corners.hem_out;
        let nearest = between.min_by(|&a, &b| (ring[a] - far).hypot().total_cmp(&(ring[b] - far).hypot()));
        if let Some(i) =
            nearest.filter(|&i| (near - fork).hypot() <= reach && (ring[i] - far).hypot() <= reach)
        {
            return (i, How::Layer);
        }
    }
    (corners.hem_in, by_label(base, &ring[corners.fork..=corners.hem_in], SeamRole::Inseam, words))
}

/// Whether a text names a seam that was found by its shape.
fn by_label(base: &Base<'_>, seam: &[Point], role: SeamRole, words: &LabelTexts) -> How {
    let seam = Segments::of(seam, false);
    let mut texts = base.piece.texts.iter().filter(|t| is_seam(&t.value, role, words));
    if texts.any(|t| seam.distance(t.at) <= LABEL_REACH) { How::Label } else { How::Shape }
}

fn fork(piece: &Piece, leg: &Leg) -> Point {
    piece.drawn(leg.fork_point())
}

/// Which of two legs is the front, as something shows it: 0 for the first, 1 for the second.
type Front = Option<usize>;

/// What tells front and back apart.
struct Signs {
    /// The parts that texts at the two legs name.
    texts: Front,
    /// Whether texts name both of them.
    both: bool,
    /// Whether texts contradict each other.
    contradict: bool,
    notches: Front,
    shape: Front,
}

impl Signs {
    fn of(piece: &Piece, legs: &[Leg; 2], words: &LabelTexts) -> Signs {
        let mut named: Vec<(Part, usize)> = Vec::new();
        let lines = legs.each_ref().map(|leg| Segments::of(&leg.ring[..=leg.hem_in], false));
        for text in &piece.texts {
            let value = text.value.trim();
            let centre =
                CENTRES.iter().find(|(word, _)| value.eq_ignore_ascii_case(word)).map(|(_, part)| *part);
            let Some(part) = centre.or_else(|| names::part(value, words)) else { continue };
            let [a, b] = lines.each_ref().map(|line| line.distance(text.at));
            if 2.0 * a.min(b) <= a.max(b) {
                named.push((part, usize::from(b < a)));
            }
        }
        let front = |&(part, at): &(Part, usize)| if part == Part::Front { at } else { 1 - at };
        let texts = named.first().map(front);
        let contradict = named.iter().any(|one| Some(front(one)) != texts);
        let both = Part::ALL.iter().all(|part| named.iter().any(|(of, _)| of == part));
        let double = legs.each_ref().map(|leg| has_double_notch(piece, leg));
        let notches = match double {
            [true, false] => Some(1),
            [false, true] => Some(0),
            _ => None,
        };
        Signs { texts: texts.filter(|_| !contradict), both, contradict, notches, shape: by_shape(legs) }
    }

    /// The front, if it is certain, and what tells it.
    fn settled(&self) -> Option<(usize, &'static str)> {
        if self.contradict {
            return None;
        }
        if let Some(front) = self.texts.filter(|_| self.both) {
            let how = if self.shape == Some(1 - front) {
                "by the texts at the two, although the shape alone would say the opposite"
            } else {
                "by the texts at the two"
            };
            return Some((front, how));
        }
        let signs = [
            (self.texts, "by the text at one of the two"),
            (self.notches, "by the double notch of the back"),
            (self.shape, "by the shape: the back's crotch seam is longer and reaches further out"),
        ];
        let mut shown = signs.into_iter().filter_map(|(front, how)| Some((front?, how)));
        let first = shown.next()?;
        shown.all(|(front, _)| front == first.0).then_some(first)
    }
}

/// Front and back told by the shape alone, where rises and reaches agree.
fn by_shape(legs: &[Leg; 2]) -> Front {
    let [rises, reaches] = [
        legs.each_ref().map(|leg| leg.length(SeamRole::Crotch).0),
        legs.each_ref().map(|leg| (leg.fork_point() - leg.ring[leg.curve_begin]).dot(leg.out)),
    ];
    let longer = |[a, b]: [f64; 2]| match () {
        () if b >= SURE * a => Some(0),
        () if a >= SURE * b => Some(1),
        () => None,
    };
    longer(rises).filter(|front| longer(reaches) == Some(*front))
}

/// Whether crotch seam or inseam of a leg has a double notch.
fn has_double_notch(piece: &Piece, leg: &Leg) -> bool {
    let own = Measured::new(leg.ring[..=leg.hem_in].to_vec());
    let rest = Segments::of(&leg.ring[leg.hem_in..], false);
    let on_own = |p: Point| {
        let (at, off) = own.nearest(p)?;
        (off <= LABEL_REACH && off <= rest.distance(p)).then_some(at)
    };
    let mut at: Vec<f64> = notches(piece).filter_map(on_own).collect();
    at.sort_by(f64::total_cmp);
    let whole = own.stations()[leg.fork];
    at.windows(2).any(|w| DOUBLE.contains(&(w[1] - w[0])) && (w[0] - whole) * (w[1] - whole) > 0.0)
}

/// The places of a piece's notches.
fn notches(piece: &Piece) -> impl Iterator<Item = Point> {
    let marks = piece.marks.iter().filter(|m| matches!(m.kind, MarkKind::Notch { .. })).map(|m| m.at);
    marks.chain(piece.paths_of(LayerUse::Notch).map(|slit| slit.points[0]))
}

/// Front and back with a note that says how they were told apart, or the finding that shows both readings.
fn told_apart(piece: &Piece, legs: [Leg; 2], words: &LabelTexts) -> Result<(Pair<Leg>, Finding), Finding> {
    let signs = Signs::of(piece, &legs, words);
    let Some((front, how)) = signs.settled() else {
        let place = fork(piece, &legs[0]);
        return Err(Finding::error(FindingId::SeamAmbiguous, both_readings(piece, &legs, &signs)).at(place));
    };
    let side = side(piece, &legs[front], &legs[1 - front]);
    let [f, b] = [front, 1 - front].map(|i| fork(piece, &legs[i]));
    let message = format!(
        "front and back are drawn in one piece, the front's fork at {}, the back's at {}, told {how}. There is no outseam; waist, hem and \
         thigh are divided at the side, {}",
        coordinates(f),
        coordinates(b),
        side.by.worded()
    );
    let note = Finding::note(FindingId::ReadAs, message).at(fork(piece, &legs[front]));
    let [a, b] = legs;
    let (f, b) = if front == 0 { (a, b) } else { (b, a) };
    let of = |leg: Leg, part| {
        let other = leg.other_part().map(|other| OtherPart { side, ..*other });
        Leg { one_piece: Some(OnePiece { part, other }), ..leg }
    };
    Ok((Pair { front: of(f, Part::Front), back: of(b, Part::Back) }, note))
}

/// A crotch seam with its length and the drawing's coordinates of its ends.
fn described(piece: &Piece, leg: &Leg) -> String {
    let ends = [leg.ring[0], leg.fork_point()].map(|p| coordinates(piece.drawn(p)));
    format!("{} from waist {} to fork {}", leg.length(SeamRole::Crotch), ends[0], ends[1])
}

/// Coordinates to a hundredth, without a negative zero.
fn coordinates(p: Point) -> String {
    let [x, y] = [p.x, p.y].map(|v| (v * 100.0).round() / 100.0 + 0.0);
    format!("({x:.2}, {y:.2})")
}

/// Says that either crotch seam may be the front's, with the measures of both readings.
fn both_readings(piece: &Piece, legs: &[Leg; 2], signs: &Signs) -> String {
    let [a, b] = legs.each_ref().map(|leg| leg.length(SeamRole::Crotch));
    let why = if signs.contradict {
        "the texts at its two crotch seams contradict each other"
    } else if [signs.texts, signs.notches, signs.shape].iter().any(Option::is_some) {
        "what its texts, notches and shape say is not the same"
    } else {
        "its two crotch seams are too much alike to tell them apart by shape"
    };
    format!(
        "front and back are drawn in one piece, and which is which is not certain: {why}. They are {}, and {}. If the first is the front's, \
         front rise {a}, back rise {b}; if the second is, front rise {b}, back rise {a}. Put a text FRONT beside the front's crotch seam \
         and BACK beside the back's ([labels] front, back), or a double notch on the back's alone",
        described(piece, &legs[0]),
        described(piece, &legs[1]),
    )
}

/// Where front and back meet: at a line from waist to hem, at a notch on the waist, else in the middle.
fn side(piece: &Piece, front: &Leg, back: &Leg) -> Side {
    let waist = Measured::new(front.seam(SeamRole::Waist));
    let hem = Measured::new(front.seam(SeamRole::Hem));
    let middle = |edge: &Measured| edge.at(0.5 * edge.length());
    let marked = |edge: &Measured, role| {
        let at = at_side(piece, edge, [front, back], role)?;
        Some(edge.at(at))
    };
    if let Some([top, low]) = side_line(piece, &waist, &hem) {
        return Side { waist: top, hem: low, by: SideBy::Line };
    }
    let low = marked(&hem, SeamRole::Hem).unwrap_or_else(|| middle(&hem));
    match marked(&waist, SeamRole::Waist) {
        Some(top) => Side { waist: top, hem: low, by: SideBy::Notch },
        None => Side { waist: middle(&waist), hem: low, by: SideBy::Middle },
    }
}

/// The place along waist or hem of the only notch, single or double, near its middle.
fn at_side(piece: &Piece, edge: &Measured, legs: [&Leg; 2], role: SeamRole) -> Option<f64> {
    let across = if role == SeamRole::Waist { SeamRole::Hem } else { SeamRole::Waist };
    let seams = legs.map(|leg| leg.ring[..=leg.hem_in].to_vec()).into_iter().chain([legs[0].seam(across)]);
    let rest: Vec<Segments> = seams.map(|seam| Segments::of(&seam, false)).collect();
    let others = |p: Point| rest.iter().map(|seam| seam.distance(p)).fold(f64::INFINITY, f64::min);
    let on_edge = |p: Point| {
        let (at, off) = edge.nearest(p)?;
        let near = off <= LABEL_REACH && off <= others(p);
        (near && AT_SIDE.contains(&(at / edge.length()))).then_some(at)
    };
    let mut at: Vec<f64> = notches(piece).filter_map(on_edge).collect();
    at.sort_by(f64::total_cmp);
    let (first, last) = (at.first()?, at.last()?);
    (last - first <= *DOUBLE.end()).then(|| f64::midpoint(*first, *last))
}

/// The ends of the only line inside the piece that runs from the waist edge to the hem.
fn side_line(piece: &Piece, waist: &Measured, hem: &Measured) -> Option<[Point; 2]> {
    /// How far, in mm, an end of the line may be off the edge of the sew line: it may end on the cut line.
    const OFF: f64 = 60.0;
    let on = |edge: &Measured, p: Point| {
        let (at, off) = edge.nearest(p)?;
        (off <= OFF && AT_SIDE.contains(&(at / edge.length()))).then(|| edge.at(at))
    };
    let ends = |path: &&Path| {
        let (a, b) = (path.points[0], path.points[path.points.len() - 1]);
        let read = |top, low| Some([on(waist, top)?, on(hem, low)?]);
        read(a, b).or_else(|| read(b, a)).filter(|_| !path.closed)
    };
    let lines: Vec<_> = piece.paths_of(LayerUse::Internal).collect();
    let mut found = lines.iter().filter_map(ends);
    let first = found.next()?;
    found.next().is_none().then_some(first)
}

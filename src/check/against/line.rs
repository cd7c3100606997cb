//! Compares the lines of a piece with those of its original, vertex by vertex.

use super::follows::Follows;
use super::paired::{Stretch, key, stretches};
use super::region::{Region, draws_seams};
use super::{Both, elsewhere};
use crate::finding::Finding;
use crate::pattern::{LayerUse, Path, Piece, Shape};
use crate::seam::SeamRole;
use crate::seam::station::Station;
use crate::words::counted;
use std::borrow::Cow;
use std::collections::HashMap;

/// Compares all lines of a piece. Returns texts for a note on what changed where it may; what changed elsewhere becomes a
/// finding. Outlines that the region knows are compared stretch by stretch; every other line on these layers has to be the
/// same.
pub(super) fn compare(
    both: &Both<'_>,
    old: &Piece,
    new: &Piece,
    (regions, follows): (&[Region<'_>], Option<&Follows<'_>>),
    findings: &mut Vec<Finding>,
) -> Vec<String> {
    let mut notes = Vec::new();
    for layer_use in LayerUse::ALL.iter().copied().filter(|&u| draws_seams(u)) {
        let (before, after): (Vec<&Path>, Vec<&Path>) =
            (old.paths_of(layer_use).collect(), new.paths_of(layer_use).collect());
        if before.len() != after.len() {
            let message = format!(
                "there are {} lines on the {} in place of the original's {}; put them back",
                after.len(),
                name(layer_use),
                before.len()
            );
            findings.push(both.new.at_block(elsewhere(message), new));
            continue;
        }
        for (a, b) in before.into_iter().zip(after) {
            let pair = |a, b| Pair { both, before: old, piece: new, name: name(layer_use), old: a, new: b };
            let known: Vec<_> = regions.iter().filter_map(|r| Some((r, r.stations(a)?))).collect();
            if known.is_empty() && follows.is_none() {
                pair(a, b).same(findings);
                continue;
            }
            let (i, j) = common_start(a, b);
            let (a, b) = (begun_at(a, i), begun_at(b, j));
            if let Some(follows) = follows {
                notes.extend(pair(&a, &b).following(follows, findings));
                continue;
            }
            for (k, (region, stations)) in known.into_iter().enumerate() {
                let mut stations = stations.to_vec();
                stations.rotate_left(i);
                let mut found = Vec::new();
                let note = pair(&a, &b).by_stretch(region, &stations, &mut found);
                // Both parts of a piece that is front and back in one see all of its changes.
                notes.extend(note.filter(|_| k == 0));
                found.retain(|finding| !findings.contains(finding));
                findings.extend(found);
            }
        }
    }
    notes
}

/// The vertices at which the comparison of two closed lines begins. Lines that are joined from several entities may begin at
/// another vertex once one of these was redrawn, so such lines are compared from the first vertex that both have.
fn common_start(old: &Path, new: &Path) -> (usize, usize) {
    let joined = old.from.iter().any(|from| from.stroke != old.from[0].stroke);
    if !joined || !old.closed || !new.closed {
        return (0, 0);
    }
    // Collected from the back, so that of several points in one place the first one is kept.
    let places: HashMap<_, usize> = new.points.iter().enumerate().rev().map(|(j, q)| (key(q), j)).collect();
    old.points.iter().enumerate().find_map(|(i, p)| Some((i, *places.get(&key(p))?))).unwrap_or((0, 0))
}

/// The same closed line, begun at another of its vertices.
fn begun_at(path: &Path, first: usize) -> Cow<'_, Path> {
    if first == 0 {
        return Cow::Borrowed(path);
    }
    let n = path.points.len();
    let mut points = path.points.to_vec();
    points.rotate_left(first);
    let mut path = Path { points: points.into(), ..path.clone() };
    path.from.rotate_left(first);
    for (i, _) in &mut path.twins {
        *i = u32::try_from((*i as usize + n - first) % n).unwrap_or(*i);
    }
    path.twins.sort_by_key(|&(i, _)| i);
    Cow::Owned(path)
}

/// What pattern makers call a line.
fn name(layer_use: LayerUse) -> &'static str {
    match layer_use {
        LayerUse::Sew => "sew line",
        LayerUse::Cut => "cut line",
        LayerUse::SewValidation => "sew line's validation curve",
        LayerUse::CutValidation => "cut line's validation curve",
        LayerUse::Waist => "waist's own line",
        LayerUse::Crotch => "crotch seam's own line",
        LayerUse::Inseam => "inseam's own line",
        LayerUse::Hem => "hem's own line",
        LayerUse::Outseam => "outseam's own line",
        other => other.as_str(),
    }
}

fn vertices(count: usize) -> String {
    counted(count, "vertex", "vertices")
}

/// One line as it is in the original and in the new drawing.
struct Pair<'p> {
    both: &'p Both<'p>,
    /// The piece in the original.
    before: &'p Piece,
    /// The piece in the new drawing.
    piece: &'p Piece,
    name: &'static str,
    old: &'p Path,
    new: &'p Path,
}

impl Pair<'_> {
    fn error(&self, message: String, i: usize) -> Finding {
        let i = i.min(self.new.points.len() - 1);
        self.both.new.on_path(elsewhere(message), self.piece, self.new, i, self.new.points[i])
    }

    /// Compares a line in which nothing may change.
    fn same(&self, findings: &mut Vec<Finding>) {
        let first = self.old.points.iter().zip(self.new.points.iter()).position(|(a, b)| a != b);
        let shorter = self.old.points.len().min(self.new.points.len());
        let counts = (self.old.points.len() != self.new.points.len()).then_some(shorter);
        if let Some(i) = first.or(counts).or((self.old.closed != self.new.closed).then_some(0)) {
            findings.push(self.error(format!("the {} differs from the original; put it back", self.name), i));
        }
    }

    /// Compares a line of a piece that lay on a leg.
    fn following(&self, follows: &Follows<'_>, findings: &mut Vec<Finding>) -> Option<String> {
        let stretches = stretches(&self.old.points, &self.new.points);
        let closes = self.old.closed == self.new.closed;
        if let Some(i) = follows.wrong(self.old, self.new).or((!closes).then_some(0)) {
            let message = format!(
                "the {} differs from the original otherwise than {}, on which the piece lay: redraw it along the leg (--follow), or put it \
                 back",
                self.name, follows.leg.name
            );
            findings.push(self.error(message, i));
            return None;
        }
        if let Some(finding) = stretches.iter().find_map(|stretch| self.taken_out(stretch)) {
            findings.push(finding);
            return None;
        }
        self.rewritten(&stretches, findings);
        self.moved(&stretches.iter().collect::<Vec<_>>())
    }

    /// A text that says how much of the line has moved, if any of it has.
    fn moved(&self, stretches: &[&Stretch]) -> Option<String> {
        let moved: usize = stretches.iter().map(|s| s.old.len()).sum();
        let added: usize = stretches.iter().map(|s| s.new.len() - s.old.len()).sum();
        let most = stretches.iter().map(|s| self.furthest(s)).fold(0.0, f64::max);
        (moved + added > 0).then(|| {
            let far = if most > 0.0 { format!(" by up to {most:.2} mm") } else { String::new() };
            let more = if added > 0 { format!(", {} added", vertices(added)) } else { String::new() };
            format!("{} {moved} of {} vertices moved{far}{more}", self.name, self.old.points.len())
        })
    }

    /// Compares a line of which the crotch seam and the upper inseam may change.
    fn by_stretch(
        &self,
        region: &Region<'_>,
        stations: &[Station],
        findings: &mut Vec<Finding>,
    ) -> Option<String> {
        if self.old.closed != self.new.closed {
            findings.push(self.error(format!("the {} no longer closes as in the original", self.name), 0));
        }
        let stretches = stretches(&self.old.points, &self.new.points);
        let mut allowed = Vec::new();
        for stretch in &stretches {
            if let Some(finding) = self.wrong(stretch, region, stations) {
                findings.push(finding);
                continue;
            }
            allowed.push(stretch);
        }
        self.rewritten(&stretches, findings);
        self.came_back(region, stations, &allowed, findings);
        self.moved(&allowed)
    }

    /// Finds a change that no alteration makes to a stretch: one outside the region, or vertices taken out.
    fn wrong(&self, stretch: &Stretch, region: &Region<'_>, stations: &[Station]) -> Option<Finding> {
        let n = stations.len();
        let may = |i: usize| region.may_differ(stations[i % n]);
        // Vertices may have been added on the inseam, before the corner at the hem or behind it in the direction of the line.
        // So the corner is looked for counted from the start of the stretch and counted from its end.
        let along_edge = |i: usize| {
            let ends = [
                stretch.new.start + i - stretch.old.start,
                (stretch.new.end + i).saturating_sub(stretch.old.end),
            ];
            // If front and back are in one piece, they may have been added on both sides of it.
            let within = if region.is_one_piece() { ends[0] + 1..ends[1] } else { 0..0 };
            ends.into_iter()
                .chain(within)
                .filter(|j| stretch.new.contains(j))
                .any(|j| region.is_along_edge(&self.old.points, stations, i, self.new.points[j]))
        };
        if let Some(i) = stretch.old.clone().find(|&i| !may(i) && !along_edge(i)) {
            let message = format!(
                "the {} differs from the original on the {}, outside the altered seams; put it back",
                self.name, stations[i].role
            );
            let at = (stretch.new.start + i - stretch.old.start).min(stretch.new.end.max(1) - 1);
            return Some(self.error(message, at));
        }
        let around = [stretch.old.start + n - 1, stretch.old.end];
        let between = || region.is_waist_edge(around.map(|i| stations[i % n]));
        let begins = || {
            let edge = around.map(|i| self.old.points[i % n]);
            stretch.new.len() == 1 && region.is_begin(edge, self.new.points[stretch.new.start])
        };
        if stretch.old.is_empty() && !around.iter().all(|&i| may(i)) && !between() && !begins() {
            let role = around
                .iter()
                .map(|i| stations[i % n])
                .find(|s| !region.may_differ(*s))
                .map_or(SeamRole::Waist, |s| s.role);
            let message = format!(
                "the {} has more vertices than the original on the {role}, outside the altered seams; take them out",
                self.name
            );
            return Some(self.error(message, stretch.new.start));
        }
        self.taken_out(stretch)
    }

    /// Finds vertices taken out of a stretch.
    fn taken_out(&self, stretch: &Stretch) -> Option<Finding> {
        (stretch.new.len() < stretch.old.len()).then(|| {
            let message = format!(
                "the {} has {} less than the original; an alteration moves vertices and takes none out",
                self.name,
                vertices(stretch.old.len() - stretch.new.len())
            );
            self.error(message, stretch.new.start)
        })
    }

    /// How far, in mm, the vertices of a stretch moved at most; 0 where vertices were added, because then it is unknown which
    /// of them are the old ones.
    fn furthest(&self, stretch: &Stretch) -> f64 {
        if stretch.new.len() != stretch.old.len() {
            return 0.0;
        }
        self.moves(stretch).map(|(_, _, far)| far).fold(0.0, f64::max)
    }

    /// The vertices of a stretch, paired in order: the old index, the new index, and the distance between them in mm.
    fn moves(&self, stretch: &Stretch) -> impl Iterator<Item = (usize, usize, f64)> {
        let far = |i: usize, j: usize| (self.new.points[j] - self.old.points[i]).hypot();
        stretch.old.clone().zip(stretch.new.clone()).map(move |(i, j)| (i, j, far(i, j)))
    }

    /// Whether a vertex belonged to a curve that is drawn as another kind of line now.
    fn replaced(&self, i: usize, j: usize) -> bool {
        let shape = |piece: &Piece, path: &Path, i: usize| {
            let stroke = &piece.strokes[path.from[i].stroke as usize];
            std::mem::discriminant(&stroke.shape)
        };
        let was = &self.before.strokes[self.old.from[i].stroke as usize].shape;
        matches!(was, Shape::Arc { .. } | Shape::Ellipse { .. } | Shape::Spline { .. })
            && shape(self.before, self.old, i) != shape(self.piece, self.new, j)
    }

    /// Checks that every vertex that did not move is written exactly as before, to the last digit.
    fn rewritten(&self, stretches: &[Stretch], findings: &mut Vec<Finding>) {
        let mut j = 0;
        let mut next = stretches.iter().peekable();
        let mut i = 0;
        while i < self.old.points.len() {
            if let Some(stretch) = next.next_if(|s| s.old.start == i) {
                (i, j) = (stretch.old.end, stretch.new.end);
                continue;
            }
            let was = self.both.old.written(self.old, self.before, i);
            let is = self.both.new.written(self.new, self.piece, j);
            // Where two entities meet, the vertex may be the one's in one drawing and the other's in the other.
            let otherwise = !was.is_empty() && !is.is_empty() && was.iter().all(|text| !is.contains(text));
            if otherwise && !self.replaced(i, j) {
                let message = format!(
                    "the {} has the same vertex as the original, written otherwise; copy it as it was",
                    self.name
                );
                findings.push(self.error(message, j));
                return;
            }
            (i, j) = (i + 1, j + 1);
        }
    }

    /// Checks that the vertices on the inseam move less and less from the fork downwards, and that nothing changes any more
    /// below the place where the line has come back to the old one.
    fn came_back(
        &self,
        region: &Region<'_>,
        stations: &[Station],
        stretches: &[&Stretch],
        findings: &mut Vec<Finding>,
    ) {
        // Where the slide runs out, rounding may leave one vertex as it was and still move the next one below.
        let least = 2.0 * region.resolution() + 1e-6;
        let inseam = |i: usize| (stations[i].role == SeamRole::Inseam).then_some(stations[i].at);
        let (own, others) = self.over_the_fork(stations, stretches);
        // The corner at the hem moves along the hem, even where the vertex before it moves by too little to be noticed; so it
        // is no vertex of the slide.
        let along_edge =
            |i: usize, j: usize| region.is_along_edge(&self.old.points, stations, i, self.new.points[j]);
        if let Some(j) = self.grows(&own, |i, j| inseam(i).filter(|_| !along_edge(i, j)), least) {
            let message = format!(
                "the {} moves further on the inseam than above it; an alteration moves less and less from the fork down",
                self.name
            );
            findings.push(self.error(message, j));
        }
        let reach = own.iter().flat_map(|s| s.old.clone().filter_map(inseam)).fold(0.0, f64::max);
        let changes =
            |s: &&Stretch| s.new.len() != s.old.len() || self.moves(s).any(|(_, _, far)| far > least);
        let below = |s: &&Stretch| {
            let own = |(i, j, _): &(usize, usize, f64)| s.new.len() == s.old.len() && along_edge(*i, *j);
            self.moves(s).filter(|m| !own(m)).filter_map(|(i, ..)| inseam(i)).any(|at| at > reach)
        };
        for stretch in others.into_iter().filter(changes).filter(below) {
            let message = format!(
                "the {} differs from the original on the inseam below where it has come back to the old line; put it back",
                self.name
            );
            findings.push(self.error(message, stretch.new.start));
        }
    }

    /// Splits the stretches into those that run over the fork, which are the alteration, and the others. A closed line may
    /// begin within the alteration, which then consists of its first and its last stretch.
    fn over_the_fork<'s>(
        &self,
        stations: &[Station],
        stretches: &[&'s Stretch],
    ) -> (Vec<&'s Stretch>, Vec<&'s Stretch>) {
        let over = |s: &Stretch| s.old.clone().any(|i| stations[i].role == SeamRole::Crotch);
        let first = stretches.first().copied().filter(|s| s.old.start == 0 && !s.old.is_empty());
        let last = stretches.last().copied().filter(|s| s.old.end == stations.len() && !s.old.is_empty());
        let around = match (first, last) {
            (Some(a), Some(b)) if self.old.closed && (over(a) || over(b)) => [first, last],
            _ => [None, None],
        };
        stretches.iter().copied().partition(|&s| over(s) || around.contains(&Some(s)))
    }

    /// The first vertex of the alteration that moves further than the one above it on the inseam, and so was not moved by an
    /// alteration. `inseam` gives the place of an old vertex on the inseam, from the indices of the old vertex and its new
    /// one.
    fn grows(
        &self,
        own: &[&Stretch],
        inseam: impl Fn(usize, usize) -> Option<f64>,
        least: f64,
    ) -> Option<usize> {
        let same_count = own.iter().filter(|s| s.old.len() == s.new.len());
        let mut slide: Vec<(f64, f64, usize)> = same_count
            .flat_map(|s| self.moves(s))
            .filter_map(|(i, j, far)| Some((inseam(i, j)?, far, j)))
            .collect();
        slide.sort_by(|a, b| a.0.total_cmp(&b.0));
        // A line that is not the sew line follows the sew line's edges, which turn a little as they move.
        let turning = if self.name == name(LayerUse::Sew) { 0.0 } else { TURNING };
        let grows = |w: &[(f64, f64, usize)]| w[1].1 > w[0].1 * (1.0 + turning) + least + GROWS;
        slide.windows(2).find(|w| grows(w)).map(|w| w[1].2)
    }
}

/// By how much, in mm, a vertex on the inseam may move further than the one above it. A vertex of the cut line follows the
/// nearest place of the sew line, and does so a little earlier or later than the sew line's own vertices.
const GROWS: f64 = 0.05;

/// The further tolerance for a line that lies at its allowance from the sew line, as a share of the movement of the vertex
/// above.
const TURNING: f64 = 0.04;

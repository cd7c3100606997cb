//! The region of a leg piece that an alteration may change, as stretches of its lines.

use crate::alter;
use crate::check::Sheet;
use crate::geometry::{corners, direction, edge};
use crate::pattern::{LayerUse, Path, Piece};
use crate::seam::station::Station;
use crate::seam::{Leg, SeamRole, Size};
use kurbo::Point;
use std::borrow::Cow;

/// Whether lines of this use draw the seams.
pub fn draws_seams(layer_use: LayerUse) -> bool {
    use LayerUse::{Cut, CutValidation, Sew, SewValidation};
    matches!(layer_use, Sew | Cut | SewValidation | CutValidation) || layer_use.is_seam()
}

/// A leg piece of the original with its seams, or a yoke, whose centre edge is one end of the crotch seam.
pub struct Region<'s> {
    piece: &'s Piece,
    leg: Cow<'s, Leg>,
    /// Each outline, with the station of every point of it.
    lines: Vec<(&'s Path, Vec<Station>)>,
    /// Whether the centre waist was moved, and the waist edge with it.
    waist: bool,
    /// The corners between inseam and hem and at the centre waist that are no longer where they were.
    gone: Vec<Point>,
}

/// The seams of a piece, which may be a leg or a yoke of this size: those of both legs, if it is front and back in one.
fn seams<'s>(size: &'s Size<'_>, piece: &Piece) -> Vec<Cow<'s, Leg>> {
    let legs = size.all_legs().filter(|on| on.piece.block == piece.block);
    let own: Vec<_> = legs.map(|on| Cow::Borrowed(&on.leg)).collect();
    if !own.is_empty() {
        return own;
    }
    let Some(yoke) = size.yokes.iter().find(|yoke| yoke.piece.block == piece.block) else { return own };
    let legs = size.legs.of(yoke.part);
    legs.iter().find_map(|on| yoke.top(&on.leg)).map(Cow::Owned).into_iter().collect()
}

/// Whether point `i` of an outline is a corner that lies beside the waist, with a neighbouring point that lies beside the
/// crotch seam.
fn at_waist(points: &[Point], stations: &[Station], i: usize) -> bool {
    is_corner(points, stations, i, (SeamRole::Waist, SeamRole::Crotch))
}

/// Whether point `i` of an outline is a corner that lies beside one seam, with a neighbouring point that lies beside the other.
fn is_corner(points: &[Point], stations: &[Station], i: usize, (own, other): (SeamRole, SeamRole)) -> bool {
    let n = stations.len();
    let [before, after] = [(i + n - 1) % n, (i + 1) % n];
    let turn = direction::angle(points[i] - points[before], points[after] - points[i]);
    let beside_other = [before, after].iter().any(|&k| stations[k].role == other);
    stations[i].role == own && beside_other && turn.abs() >= corners::CORNER
}

impl<'s> Region<'s> {
    /// The regions of a piece: one, two where it is front and back in one, and none where the piece is neither a leg nor a yoke, so
    /// that nothing in it may change.
    pub fn all(sheet: &'s Sheet<'_>, piece: &'s Piece, now: &Piece) -> Vec<Self> {
        let legs = sheet.trousers.iter().map(|size| seams(size, piece)).find(|legs| !legs.is_empty());
        legs.into_iter().flatten().map(|leg| Region::of(leg, piece, now)).collect()
    }

    fn of(leg: Cow<'s, Leg>, piece: &'s Piece, now: &Piece) -> Self {
        let still = |vertex: usize| {
            let centre = piece.paths[leg.drawn.path()].points[leg.drawn.vertex(vertex)];
            now.paths.get(leg.drawn.path()).is_some_and(|p| p.points.contains(&centre))
        };
        // At the other end of the waist edge there is another centre, if front and back are in one piece.
        let still = still(0) && (leg.other_part().is_none() || still(leg.side));
        let lines = alter::follow(piece, &leg)
            .into_iter()
            .map(|path| (&piece.paths[path], alter::stations(piece, &leg, path)))
            .collect();
        // A centre waist that is not a vertex of the line cannot be looked up, so its neighbours on the waist may always
        // move.
        let waist = !still || leg.drawn.starts_on_edge() && !leg.drawn.starts_below_more();
        let mut region = Region { piece, leg, lines, waist, gone: Vec::new() };
        region.gone = region.corners_gone(now);
        region
    }

    fn corners_gone(&self, now: &Piece) -> Vec<Point> {
        let there = |p: &Point| now.paths.iter().any(|path| path.points.contains(p));
        let of_line = |(path, stations): &(&Path, Vec<Station>)| {
            let corner =
                |i: &usize| self.at_hem(&path.points, stations, *i) || at_waist(&path.points, stations, *i);
            (0..stations.len()).filter(corner).map(|i| path.points[i]).collect::<Vec<_>>()
        };
        self.lines.iter().flat_map(of_line).filter(|p| !there(p)).collect()
    }

    /// The stations of an outline's points; `None` for any other line.
    pub fn stations(&self, path: &Path) -> Option<&[Station]> {
        self.lines.iter().find(|(p, _)| std::ptr::eq(*p, path)).map(|(_, s)| s.as_slice())
    }

    /// Whether a point of an outline may move: on the crotch seam, on the inseam above the hem, and on the waist where the
    /// centre waist moved.
    pub fn may_move(&self, station: Station) -> bool {
        match station.role {
            // The lower end of a yoke's centre edge is sewn to the leg and has to stay.
            SeamRole::Crotch => {
                self.leg.hem_in > self.leg.fork || station.at < self.leg.length(SeamRole::Crotch).0 - 1e-6
            }
            SeamRole::Inseam => station.at < self.leg.length(SeamRole::Inseam).0 - 1e-6,
            SeamRole::Waist => self.waist,
            _ => false,
        }
    }

    /// Like [`Region::may_move`]; where front and back are in one piece, the seams of the other part may move as well, which are
    /// looked at by themselves.
    pub fn may_differ(&self, station: Station) -> bool {
        self.may_move(station) || self.is_one_piece() && station.role == SeamRole::Outseam
    }

    /// Whether the piece is front and back in one, both drawn.
    pub fn is_one_piece(&self) -> bool {
        self.leg.other_part().is_some()
    }

    /// Whether the edge between two places belongs to a redrawn waist, running from the side towards the centre.
    pub fn is_waist_edge(&self, ends: [Station; 2]) -> bool {
        let outseam = self.leg.length(SeamRole::Outseam).0;
        let at_side = |s: Station| match s.role {
            SeamRole::Outseam => s.at >= outseam - 1e-6,
            SeamRole::Waist => s.at <= 1e-6,
            _ => false,
        };
        let inside = |s: Station| s.role == SeamRole::Waist || s.role == SeamRole::Crotch && s.at <= 1e-6;
        let [a, b] = ends;
        self.waist && (at_side(a) && inside(b) || at_side(b) && inside(a))
    }

    /// Whether a vertex that is new on an edge stands where the crotch seam begins below a bib, which had no vertex there.
    pub fn is_begin(&self, [a, b]: [Point; 2], new: Point) -> bool {
        /// How far, in mm, it may be off that place of the edge.
        const STRAY: f64 = 0.02;
        /// Where the seam turns there, its cut line does so on the bisector, so much further along the edge as a share of the
        /// allowance: half of 10°.
        const TURNED: f64 = 0.09;
        let (share, away) = edge::nearest(a, b, self.leg.ring[0]);
        let off = new - a.lerp(b, share);
        let edge = (b - a).normalize();
        let stray = STRAY.max(self.resolution());
        let stands = off.cross(edge).abs() <= stray && off.dot(edge).abs() <= stray + TURNED * away;
        self.leg.drawn.starts_below_more() && stands
    }

    /// Whether point `i` of an outline is the corner of inseam and hem. Where these meet aslant and the hem has the wider allowance, the
    /// cut line's corner lies beside the hem.
    fn at_hem(&self, points: &[Point], stations: &[Station], i: usize) -> bool {
        let station = stations[i];
        match station.role {
            SeamRole::Inseam => !self.may_move(station),
            SeamRole::Hem if station.at < 1e-6 || self.is_other_hem(station) => true,
            SeamRole::Hem => is_corner(points, stations, i, (SeamRole::Hem, SeamRole::Inseam)),
            _ => false,
        }
    }

    /// Whether a place is the corner of the hem and the other part's inseam, if front and back are in one piece.
    fn is_other_hem(&self, station: Station) -> bool {
        self.is_one_piece() && station.at > self.leg.length(SeamRole::Hem).0 - 1e-6
    }

    /// Whether point `i` of an outline is the corner at the inner end of the hem or at the centre waist, and its new place
    /// lies on the line of the hem or waist. Where the seam beside such a corner turns, its cut line meets the hem or waist
    /// at another place.
    pub fn is_along_edge(&self, old: &[Point], stations: &[Station], i: usize, new: Point) -> bool {
        /// How far, in mm, the corner may leave the line of the hem: in a digitised pattern cut line and sew line are not
        /// quite parallel.
        const STRAY: f64 = 0.02;
        let n = old.len();
        let along = |k: usize| {
            let edge = (old[k] - old[i]).normalize();
            edge.cross(new - old[i]).abs() <= STRAY.max(self.resolution())
        };
        let beside = [(i + 1) % n, (i + n - 1) % n];
        // A vertex has the seam of the edge before it, so that the other corner of the hem may have no neighbour on the hem.
        let is_other = stations[i].role == SeamRole::Hem && self.is_other_hem(stations[i]);
        let on = |k: usize, role| {
            stations[k].role == role
                || is_other && role == SeamRole::Hem && stations[k].role != SeamRole::Outseam
        };
        let any = |role: SeamRole| beside.into_iter().filter(move |&k| on(k, role));
        let at_waist = at_waist(old, stations, i);
        let edge = if at_waist { SeamRole::Waist } else { SeamRole::Hem };
        // A corner that is drawn square to the end of the inseam turns with the inseam.
        let corner = self.leg.ring[if is_other { self.leg.hem_out } else { self.leg.hem_in }];
        let turned = || ((new - corner).hypot() - (old[i] - corner).hypot()).abs() <= STRAY;
        at_waist && any(edge).any(along)
            || self.at_hem(old, stations, i) && (any(edge).any(along) || turned())
    }

    /// Whether a mark belongs to a stretch that may change: it stands at a vertex or on an edge of one.
    pub fn holds(&self, p: Point) -> bool {
        /// How far, in mm, a mark may stand from its edge.
        const AT_EDGE: f64 = 3.0;
        let mut best = (f64::INFINITY, false);
        for (path, stations) in &self.lines {
            let n = path.points.len();
            let edges = if path.closed { n } else { n.saturating_sub(1) };
            for i in 0..edges {
                let j = (i + 1) % n;
                let (t, away) = edge::nearest(path.points[i], path.points[j], p);
                if away < best.0 {
                    let ends = match t {
                        0.0 => [i, i],
                        1.0 => [j, j],
                        _ => [i, j],
                    };
                    best = (
                        away,
                        ends.iter()
                            .any(|&k| self.may_move(stations[k]) || self.gone.contains(&path.points[k])),
                    );
                }
            }
        }
        best.1 && best.0 <= AT_EDGE
    }

    /// The last decimal of the original's coordinates, in mm.
    pub fn resolution(&self) -> f64 {
        self.piece.resolution
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A corner of the waist beside the crotch seam is one; the side's corner, a point of another seam, and a point at which the
    /// line runs straight on are none.
    #[test]
    fn the_centre_waist_is_a_corner_between_waist_and_crotch_seam() {
        let roles = [SeamRole::Waist, SeamRole::Waist, SeamRole::Outseam, SeamRole::Crotch];
        let stations = roles.map(|role| Station { role, at: 0.0 });
        let square = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)].map(Point::from);
        let found = |points: &[Point]| [0, 1, 2, 3].map(|i| at_waist(points, &stations, i));
        assert_eq!(found(&square), [true, false, false, false]);
        let back = square.map(|p| Point::new(-p.x, p.y));
        assert_eq!(found(&back), [true, false, false, false]);
        let mut straight = square;
        straight[0] = Point::new(50.0, 50.0);
        assert_eq!(found(&straight), [false; 4]);
    }
}

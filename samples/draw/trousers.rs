//! The pieces of the style: front, back and the small ones that go with them.

use crate::draft::{self, Pair};
use crate::outline::{Outline, Seam};
use crate::piece::{Piece, Title};
use crate::scenario::{Body, SAMPLE_SIZE, STYLE, WAISTBAND, size_text};
use kurbo::{CubicBez, Point, Vec2};

const MAIN: &str = "MAIN FABRIC";

/// Below the fork, how far down the upper inseam notch lies on the front. The back reaches it sooner: what it is shorter is
/// stretched on above this notch.
const UPPER_NOTCH: f64 = 150.0;

/// All pieces of a size.
pub fn pieces(size: f64, spacing: f64) -> Vec<Piece> {
    let body = Body::of(size);
    let pair = draft::pair(body, spacing);
    let mut pieces = vec![
        front(body, &pair),
        back(body, &pair),
        pocket(body),
        waistband(body, &pair),
        fly(body, &pair, spacing),
    ];
    // Beside each other; the grade origin of a piece is the same in every size.
    let beside = [0.0, -560.0, -900.0, 300.0, 420.0];
    for (piece, x) in pieces.iter_mut().zip(beside) {
        piece.label.1 = format!("{STYLE} {} SIZE {}", piece.name, size_text(size));
        piece.shift(Vec2::new(x, 0.0));
    }
    pieces
}

/// Notches the inseam where front and back meet when they are laid together hem to hem.
fn inseam_notches(pair: &Pair, piece: &mut Piece) {
    for d in inseam_from_hem(pair) {
        piece.notch(piece.sew.back_along(Seam::Inseam, d));
    }
}

/// Distances from the hem at which both inseams are notched: below the fork, and at the knee.
fn inseam_from_hem(pair: &Pair) -> [f64; 2] {
    let front = &pair.front;
    [front.length_of(Seam::Inseam) - UPPER_NOTCH, last_edge(front, Seam::Inseam)]
}

/// Distances from the hem at which both outseams are notched: at the front's knee and hip, its two graded smooth vertices.
fn outseam_from_hem(pair: &Pair) -> Vec<f64> {
    let front = &pair.front;
    let mut walked = 0.0;
    let mut notches = Vec::new();
    for i in front.edges_of(Seam::Outseam) {
        if walked > 0.0 && front.vertices[i].rule.is_some() {
            notches.push(walked);
        }
        let (a, b) = front.edge(i);
        walked += a.distance(b);
    }
    notches
}

fn last_edge(line: &Outline, seam: Seam) -> f64 {
    line.edges_of(seam).next_back().map_or(0.0, |i| {
        let (a, b) = line.edge(i);
        a.distance(b)
    })
}

fn front(body: Body, pair: &Pair) -> Piece {
    let title = Title {
        name: "FRONT",
        category: "TROUSER FRONT",
        material: MAIN,
        quantity: 2,
        annotation: "CUT PAIRED",
        comment: "front, crease on the grade reference line",
        first_rule: 1,
    };
    let knee = 50.0 - body.leg / 2.0;
    let grain = [Point::new(0.0, knee), Point::new(0.0, 0.5 * body.depth)];
    let mut piece = Piece::new(&title, body.size, pair.front.clone(), grain);
    let sew = &pair.front;
    inseam_notches(pair, &mut piece);
    piece.notches_from_start(Seam::Crotch, &[sew.length_of(Seam::Crotch) - 70.0]);
    piece.notches_from_start(Seam::Outseam, &outseam_from_hem(pair));
    let opening = 45.0;
    piece.notches_from_start(Seam::Waist, &[opening]);
    // The slanted pocket opening, from the waist to the side seam.
    let mouth = sew.point(sew.back_along(Seam::Outseam, 155.0));
    piece.draw(&[sew.point(sew.along(Seam::Waist, opening)), mouth]);
    piece.draw(&[Point::new(0.0, -body.leg), Point::new(0.0, knee - 20.0)]);
    piece
}

fn back(body: Body, pair: &Pair) -> Piece {
    let title = Title {
        name: "BACK",
        category: "TROUSER BACK",
        material: MAIN,
        quantity: 2,
        annotation: "CUT PAIRED",
        comment: "back, stretch the inseam on above the upper notch",
        first_rule: 101,
    };
    let knee = 50.0 - body.leg / 2.0;
    let grain = [Point::new(0.0, knee), Point::new(0.0, 0.4 * body.depth)];
    let mut piece = Piece::new(&title, body.size, pair.back.clone(), grain);
    let sew = &pair.back;
    let (crotch, waist) = (sew.length_of(Seam::Crotch), sew.length_of(Seam::Waist));
    inseam_notches(pair, &mut piece);
    piece.notches_from_start(Seam::Crotch, &[crotch - 95.0, crotch - 85.0]);
    piece.notches_from_start(Seam::Outseam, &outseam_from_hem(pair));

    // The dart stands square to the waist, in its middle.
    let middle = waist / 2.0;
    let legs = [middle - draft::DART / 2.0, middle + draft::DART / 2.0];
    piece.notches_from_start(Seam::Waist, &legs);
    let [from, to] = legs.map(|d| sew.point(sew.along(Seam::Waist, d)));
    let across = (to - from).normalize();
    let inward = Vec2::new(across.y, -across.x);
    let tip = from.midpoint(to) + 95.0 * inward;
    piece.draw(&[from, tip, to]);
    piece.drill(tip - 10.0 * inward);

    // The patch pocket hangs below the dart, parallel to the waist.
    let half = pocket_width(body) / 2.0;
    let upper = tip + 8.0 * inward;
    piece.draw(&[upper - half * across, upper + half * across]);
    piece.drill(upper - (half - 5.0) * across + 5.0 * inward);
    piece.drill(upper + (half - 5.0) * across + 5.0 * inward);
    piece
}

fn steps(body: Body) -> f64 {
    (body.size - SAMPLE_SIZE) / 2.0
}

fn pocket_width(body: Body) -> f64 {
    150.0 + 2.0 * steps(body)
}

/// A patch pocket with a pointed lower edge.
fn pocket(body: Body) -> Piece {
    let title = Title {
        name: "POCKET",
        category: "PATCH POCKET",
        material: MAIN,
        quantity: 2,
        annotation: "TURN TOP EDGE TWICE",
        comment: "patch pocket",
        first_rule: 201,
    };
    let (half, height) = (pocket_width(body) / 2.0, 165.0 + steps(body));
    let mut sew = Outline::default();
    sew.corner(Point::new(half, height), Seam::Plain);
    sew.corner(Point::new(half, 18.0), Seam::Plain);
    sew.corner(Point::new(0.0, 0.0), Seam::Plain);
    sew.corner(Point::new(-half, 18.0), Seam::Plain);
    sew.corner(Point::new(-half, height), Seam::PocketTop);
    let grain = [Point::new(0.0, 35.0), Point::new(0.0, height - 20.0)];
    Piece::new(&title, body.size, sew, grain)
}

/// The waistband, cut along the grain and folded lengthwise; as long as the waist seam and the underlap.
fn waistband(body: Body, pair: &Pair) -> Piece {
    let title = Title {
        name: "WAISTBAND",
        category: "WAISTBAND",
        material: MAIN,
        quantity: 1,
        annotation: "FOLD LENGTHWISE",
        comment: "waistband, underlap at its upper end",
        first_rule: 301,
    };
    let front = pair.front.length_of(Seam::Waist);
    let back = pair.back.length_of(Seam::Waist) - draft::DART;
    let (length, underlap) = (2.0 * (front + back), 40.0);
    let mut sew = Outline::default();
    sew.corner(Point::new(WAISTBAND, length + underlap), Seam::Plain);
    sew.corner(Point::new(WAISTBAND, 0.0), Seam::Plain);
    sew.corner(Point::new(-WAISTBAND, 0.0), Seam::Waist);
    sew.corner(Point::new(-WAISTBAND, length + underlap), Seam::Plain);
    let grain = [Point::new(20.0, 150.0), Point::new(20.0, length - 150.0)];
    let mut piece = Piece::new(&title, body.size, sew, grain);
    // Where the side seams, the centre back and the end of the right front come.
    let joins = [front, front + back, front + 2.0 * back, length];
    piece.notches_from_start(Seam::Waist, &joins);
    piece.draw(&[Point::new(0.0, 0.0), Point::new(0.0, length + underlap)]);
    piece
}

/// The fly facing: straight along the centre front, rounded at its lower end.
fn fly(body: Body, pair: &Pair, spacing: f64) -> Piece {
    let title = Title {
        name: "FLY",
        category: "FLY FACING",
        material: MAIN,
        quantity: 1,
        annotation: "NEATEN CURVED EDGE",
        comment: "fly facing",
        first_rule: 401,
    };
    // To where the crotch curve begins.
    let first = pair.front.edge(0);
    let (width, length, round) = (38.0, first.0.distance(first.1), 30.0);
    let (right, low) = (Point::new(width, 0.0), Point::new(width - round, -length));
    let bend = Point::new(width, round - length);
    let mut sew = Outline::default();
    sew.corner(right, Seam::Plain);
    sew.join(bend, Seam::Plain);
    let k = 0.5523;
    let foot = Point::new(width, -length);
    let curve = CubicBez::new(bend, bend.lerp(foot, k), low.lerp(foot, k), low);
    sew.curve(curve, (47.0 / spacing).round().max(2.0) as usize, Seam::Plain);
    sew.join(low, Seam::Plain);
    sew.corner(Point::new(0.0, -length), Seam::Plain);
    sew.corner(Point::ZERO, Seam::Waist);
    let grain = [Point::new(width / 2.0, -length + 35.0), Point::new(width / 2.0, -15.0)];
    Piece::new(&title, body.size, sew, grain)
}

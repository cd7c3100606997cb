//! Prints what a pattern maker would measure on the nest, from the sew lines as drafted.

use crate::draft::{self, BACK_SHORTER};
use crate::outline::{Outline, Seam};
use crate::scenario::{Body, WAISTBAND, fittings};
use std::fmt::Write as _;

/// Angle of the piece between the edge that arrives at a vertex and the one that leaves it, degrees.
fn angle_at(line: &Outline, i: usize) -> f64 {
    let n = line.vertices.len();
    let (a, b) = line.edge((i + n - 1) % n);
    let (_, c) = line.edge(i);
    180.0 + (b - a).cross(c - b).atan2((b - a).dot(c - b)).to_degrees()
}

fn first(line: &Outline, seam: Seam) -> usize {
    line.edges_of(seam).next().unwrap_or(0)
}

/// One line a size.
pub fn table(sizes: &[f64], spacing: f64) -> String {
    let mut out = format!(
        "back inseam asked for: {BACK_SHORTER} mm shorter than the front's\n\
         size   hip front back  total  grows | inseam F   B-F   drop | fork F   B    sum  drawn | waist F    B  side sum | outseam B-F | thigh | change asked\n"
    );
    let mut before: Option<f64> = None;
    for &size in sizes {
        let body = Body::of(size);
        let pair = draft::pair(body, spacing);
        let (f, b) = (&pair.front, &pair.back);
        let rises = [f, b].map(|p| p.length_of(Seam::Crotch));
        let total = rises[0] + rises[1];
        let inseams = [f, b].map(|p| p.length_of(Seam::Inseam));
        let outseams = [f, b].map(|p| p.length_of(Seam::Outseam));
        let drawn: f64 = [f, b].map(|p| angle_at(p, first(p, Seam::Inseam))).iter().sum();
        let side: f64 = [f, b].map(|p| angle_at(p, first(p, Seam::Waist))).iter().sum();
        let thigh: f64 = [f, b]
            .map(|p| {
                let fork = p.vertices[first(p, Seam::Inseam)].at;
                let across = p
                    .edges_of(Seam::Outseam)
                    .map(|i| p.edge(i))
                    .find(|(a, b)| a.y <= fork.y && fork.y <= b.y);
                across.map_or(0.0, |(a, b)| fork.x - a.lerp(b, (fork.y - a.y) / (b.y - a.y)).x)
            })
            .iter()
            .sum();
        let asked = fittings()
            .iter()
            .find(|r| r.size.to_bits() == size.to_bits())
            .map_or(f64::NAN, |r| r.crotch_length + r.ease - total - 2.0 * WAISTBAND);
        let _ = writeln!(
            out,
            "{size:>4} {:>5} {:.1} {:.1} {total:.1} {:>6.2} | {:.2} {:>6.2} {:>5.2} | {:.2} {:.2} {:.2} {drawn:.2} | {:.2} {:.2} {side:.2} | {:.4} | {thigh:.1} | {asked:+.1}",
            body.hip,
            rises[0],
            rises[1],
            before.map_or(0.0, |t| total - t),
            inseams[0],
            inseams[1] - inseams[0],
            pair.drop,
            pair.fork_angles.0,
            pair.fork_angles.1,
            pair.fork_angles.0 + pair.fork_angles.1,
            angle_at(f, 0),
            angle_at(b, 0),
            outseams[1] - outseams[0],
        );
        before = Some(total);
    }
    out
}

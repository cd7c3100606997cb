//! The sew line of a piece that has only a cut line.

use super::{Base, Corners, NoLeg};
use crate::finding::{Finding, FindingId};
use crate::geometry::{corners, offset};
use crate::seam::candidate::Candidate;
use crate::seam::leg::{Derived, RingOnLine, SewLine, role_of};
use crate::seam::{SeamRole, dart, fly};
use crate::trousers::Allowances;
use kurbo::Point;
use std::borrow::Cow;

/// A sew line that corresponds point by point to the drawn line.
pub(super) struct Sewn<'p> {
    pub points: Cow<'p, [Point]>,
    pub drawn: RingOnLine,
    pub from: SewLine,
}

/// The drawn line itself where it is the sew line, else the line offset inwards by the allowances.
pub(super) fn sewn<'p>(
    base: &Base<'p>,
    crotch: &Candidate,
    mut drawn: RingOnLine,
    corners: Corners,
    allowances: &Allowances,
) -> Result<Sewn<'p>, NoLeg> {
    let cut = &base.path.points[..];
    if !base.cut {
        return Ok(Sewn { points: Cow::Borrowed(cut), drawn, from: SewLine::Drawn });
    }
    let mut edges = of_edges(&drawn, cut, corners, allowances).map_err(|roles| missing(&roles))?;
    if base.below_more {
        along_the_bib(&mut edges, base, &drawn, allowances.get(SeamRole::Crotch).map_or(0.0, |a| a.0));
    }
    if edges.iter().all(|a| *a == 0.0) {
        return Ok(Sewn { points: Cow::Borrowed(cut), drawn, from: SewLine::Boundary });
    }
    let Some(line) = offset::inside(cut, &edges) else {
        return Err(Finding::error(
            FindingId::AllowanceMissing,
            "the allowances leave nothing of the piece inside its cut line; check --allowance and [allowance]",
        )
        .into());
    };
    // The centre front line of the sew line meets the waist at another place than that of the cut line.
    let beside_fly = crotch
        .fly
        .filter(|_| !base.below_more)
        .and_then(|_| fly::find(&line, &corners::turns(&line), crotch.fork, crotch.forward, base.grain));
    if let Some(crotch) = beside_fly {
        drawn = base.drawn(&crotch);
    }
    drawn.derived = Some(Derived { points: cut.to_vec(), allowances: edges });
    Ok(Sewn { points: Cow::Owned(line), drawn, from: SewLine::Allowance })
}

/// The allowance of every edge of a path, by the seam that it belongs to. The error is the list of seams without an allowance.
fn of_edges(
    drawn: &RingOnLine,
    cut: &[Point],
    corners: Corners,
    allowances: &Allowances,
) -> Result<Vec<f64>, Vec<SeamRole>> {
    let missing: Vec<SeamRole> = sewn_edges(corners).filter(|&role| allowances.get(role).is_none()).collect();
    if !missing.is_empty() {
        return Err(missing);
    }
    let of = |role| allowances.get(role).filter(|_| corners.mirror != Some(role)).map_or(0.0, |a| a.0);
    let points = cut.len();
    let forward = drawn.forward(points);
    // An edge has the index of its first point in the path's own direction.
    let edge = |i: u32| if forward { i as usize } else { (i as usize + points - 1) % points };
    let mut edges = vec![of(SeamRole::Waist); points];
    for (k, &i) in drawn.order.iter().enumerate() {
        let role = if k == 0 && drawn.start.is_some() { SeamRole::Waist } else { of_edge(k, corners) };
        edges[edge(i)] = of(role);
    }
    // The legs of a dart are stitched where they are drawn (*common practice, no source*).
    for dart in dart::darts(&drawn.ring(cut), corners.side) {
        drawn.order[dart.from..dart.to].iter().for_each(|&i| edges[edge(i)] = 0.0);
    }
    // The top edge of the extension belongs to the waist; its other edges belong to the crotch seam.
    for &i in &drawn.fly {
        edges[edge(i)] = of(SeamRole::Crotch);
    }
    if !drawn.fly.is_empty() && drawn.start.is_none() {
        edges[edge(drawn.order[0])] = of(SeamRole::Waist);
    }
    Ok(edges)
}

/// The centre front of a bib has the allowance of the crotch seam that it goes on from, up to its first corner.
fn along_the_bib(edges: &mut [f64], base: &Base<'_>, drawn: &RingOnLine, allowance: f64) {
    let n = edges.len();
    let forward = drawn.forward(n);
    let up = |i: usize| if forward { (i + n - 1) % n } else { (i + 1) % n };
    // The waist lies at the ring's first vertex, or on the edge after it.
    let mut from = drawn.vertex(0);
    if drawn.starts_below_more() {
        edges[if forward { from } else { (from + n - 1) % n }] = allowance;
    }
    while base.turns[from].abs() < corners::CORNER {
        let to = up(from);
        edges[if forward { to } else { from }] = allowance;
        if to == drawn.vertex(0) {
            return;
        }
        from = to;
    }
}

/// The seams that a piece with these corners has.
fn sewn_edges(corners: Corners) -> impl Iterator<Item = SeamRole> {
    let other_part = move |role| role == SeamRole::Outseam && corners.other_fork.is_some();
    let has = move |role: &SeamRole| corners.mirror != Some(*role) && !other_part(*role);
    SeamRole::ALL.iter().copied().filter(has)
}

/// The seam that the edge after point `k` of the ring belongs to, the other part's seams included.
fn of_edge(k: usize, corners: Corners) -> SeamRole {
    let role = role_of(k, [corners.fork, corners.hem_in, corners.hem_out, corners.side]);
    match corners.other_fork.filter(|_| role == SeamRole::Outseam) {
        Some(fork) if k < fork => SeamRole::Inseam,
        Some(_) => SeamRole::Crotch,
        None => role,
    }
}

/// The error for a piece whose cut line needs the allowances of these seams.
fn missing(roles: &[SeamRole]) -> Finding {
    let names: Vec<&str> = roles.iter().map(|r| r.as_str()).collect();
    let of = if roles.len() == SeamRole::ALL.len() {
        "its allowance is not known".to_owned()
    } else {
        format!("the allowance of {} is not known", names.join(", "))
    };
    Finding::error(
        FindingId::AllowanceMissing,
        format!(
            "the piece has a cut line but no sew line (layer 14), and {of}; say it with --allowance all=LENGTH or \
             --allowance SEAM=LENGTH, or for each seam under [allowance] in the job file (all=0 where the line drawn is \
             the sew line)"
        ),
    )
}

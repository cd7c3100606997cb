"""The allowance along the redrawn edges, place by place, from the sew line to the cut line and back; corners; outlines."""

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from .geometry import at_station, project, resample, stations, unit

ALLOWANCE = 0.05  # mm
DENSE = 2.0  # mm between places
FAR = 90.0  # mm; farther off than any allowance
TOP = 1.0  # mm; a vertex of a fly that noise puts no lower below the waist is one of its top: the next is tens of mm below
OUTLET = 0.25  # mm, by which an outlet changes over the mm or so that the same place of a cut edge may be another one


def verify(log, leg):
    for use in leg.lines:
        outline(log, leg, use)
    if "sew" not in leg.lines or "cut" not in leg.lines:
        return
    for seam in ("crotch", "inseam"):
        sew, cut = leg.sew.seams[seam], leg.cut.seams[seam]
        # An outlet slants to the seam; what it is at a place is told square to the seam. Beside the inner side of a vertex, what lies
        # square to the seam belongs to the next edge, and the distance tells it.
        even = leg.known["even_allowance"]
        between(log, leg, f"{seam}, sew to cut", sew, cut, (distances,) if even else (square, distances))
        between(log, leg, f"{seam}, cut to sew", cut, sew, (distances,), 0.0 if even else OUTLET)
    corner_of_waist(log, leg)
    fly(log, leg)


def outline(log, leg, use):
    before, after = leg.lines[use]
    if not after.closed:
        log.fail("outline open", f"{leg.name} {use}", "its ends do not meet")
    old, new = Polygon(before.points), Polygon(after.points)
    if old.is_valid and not new.is_valid:
        log.fail("outline crosses itself", f"{leg.name} {use}", shapely.is_valid_reason(new))
    if before.repeated and not after.repeated:
        log.fail("outline open", f"{leg.name} {use}", "the first vertex was repeated, and is no longer")


def dense(run):
    """Places along an old line, a few to each edge, and where they are on the new one."""
    s = np.unique(np.concatenate([np.arange(0, run.s_old[-1], DENSE), (run.s_old[1:] + run.s_old[:-1]) / 2, run.s_old]))
    return s, run.place(s)


def between(log, leg, which, from_, to, ways, slack=0.0):
    """How far the places of one line are from the other, before and after: what changes least, told in each of these ways."""
    s, t = dense(from_)
    around = place_known_to(leg, from_)
    told = np.full((2, len(s)), np.nan)
    for way in ways:
        was = way(from_.old, s, to.old)
        now = way(from_.new, t, to.new)
        change = outside(now, *range_around(s, was, around))
        better = np.isfinite(change) & ~(np.abs(change) >= np.abs(told[0]))
        told[:, better] = change[better], was[better]
    good = np.isfinite(told[0])
    if not good.any():
        return
    s, change, was = s[good], told[0][good], told[1][good]
    rounding = 3 * leg.rounding
    k = int(np.argmax(np.abs(change)))
    text = f"{s[k]:.1f} mm along, where it was {was[k]:.3f}"
    log.bound("allowance changed, mm", f"{leg.name} {which}", float(change[k]), ALLOWANCE + slack + leg.noise + rounding, text)
    if leg.noise:
        # Noise shifts along the line by stretching; on average over a few cm it must not matter.
        even = np.arange(s[0], s[-1], 1.0)
        mean = np.convolve(np.interp(even, s, change), np.ones(25) / 25, "valid")
        log.bound("allowance changed, mm", f"{leg.name} {which}, on average", float(np.abs(mean).max(initial=0)), ALLOWANCE + slack + 0.1 * leg.noise + rounding)


def place_known_to(leg, run):
    """How well the place on the new line is known, mm. The image of a vertex is; but on a curve that had to bend places are told by
    their way from the fork, which a fork that is carried across changes by about as much."""
    return abs(leg.moves["across_mm"]) if run.curved and len(run.new) != len(run.old) else 0.0


def range_around(s, was, around):
    """The least and the most that a measure was within so much of each place, where it is finite."""
    if not around:
        return was, was
    first, last = np.searchsorted(s, s - around), np.searchsorted(s, s + around, side="right")
    least = np.array([np.nanmin(was[a:b], initial=np.inf) for a, b in zip(first, last)])
    most = np.array([np.nanmax(was[a:b], initial=-np.inf) for a, b in zip(first, last)])
    return np.where(np.isfinite(was), least, np.nan), np.where(np.isfinite(was), most, np.nan)


def outside(now, least, most):
    """By how much a measure is now more than the most it was, or less than the least; nothing in between."""
    return np.where(now > most, now - most, np.where(now < least, now - least, np.where(np.isfinite(now), least * 0.0, np.nan)))


def square(line, at, other):
    """The distance of each place to another line, square to its own; not a number where the other is not met."""
    s = stations(line)
    ends = np.clip(np.searchsorted(s, np.stack([at - 1e-6, at + 1e-6]), side="right") - 1, 0, len(line) - 2)
    along = sum(d / np.maximum(np.hypot(*d.T), 1e-12)[:, None] for d in (line[ends[0] + 1] - line[ends[0]], line[ends[1] + 1] - line[ends[1]]))
    across = np.column_stack([-along[:, 1], along[:, 0]]) / np.hypot(*along.T)[:, None]
    p, edge = resample(line, at), np.diff(other, axis=0)
    from_ = other[None, :-1] - p[:, None]
    cross = lambda a, b: a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        way = cross(from_, edge[None]) / cross(across[:, None], edge[None])
        share = cross(from_, across[:, None]) / cross(across[:, None], edge[None])
    way = np.where((share >= 0) & (share <= 1), np.abs(way), np.inf).min(axis=1)
    return np.where(way > FAR, np.nan, way)


def distances(line, at, other):
    """The distance of each place to another line; not a number where that line's end is nearest."""
    other_line = LineString(other)
    points = shapely.points(resample(line, at))
    off = shapely.distance(points, other_line)
    foot = shapely.line_locate_point(other_line, points)
    end = (foot < 1e-6) | (foot > other_line.length - 1e-6) | (off > FAR)
    # Inside of a bend a vertex is farther off than the edges that meet there, by what they turn.
    s = stations(other)
    k = np.clip(np.searchsorted(s, foot - 1e-6), 1, max(1, len(other) - 2))
    at_vertex = ~end & (np.abs(s[k] - foot) <= 1e-6)
    for i in np.flatnonzero(at_vertex):
        p, (a, b, c) = resample(line, at[i:i + 1])[0], other[k[i] - 1:k[i] + 2]
        edges = [v / np.hypot(*v) for v in (b - a, c - b) if np.hypot(*v) > 1e-9]
        off[i] = max(abs(e[0] * (p - b)[1] - e[1] * (p - b)[0]) for e in edges)
    return np.where(end, np.nan, off)


def corner_of_waist(log, leg):
    """The cut corner at the centre waist is formed as it was: as far from the lines of both edges, or square to one."""
    if leg.moves["waist_mm"] or leg.sew.fly or leg.cut.fly or leg.noise or not leg.known["even_allowance"]:
        # Where the allowance varies along an edge, the edges meet where they run straight on.
        return
    old, new = leg.cut.old_corner["waist"], leg.cut.new_corner["waist"]
    if len(old) != len(set(new)):
        log.fail("corner at the waist", leg.name, "it has other vertices than before")
        return
    for i, j in zip(old, new):
        was = frame(leg.sew.seams, "old", leg.cut.before.points[i])
        now = frame(leg.sew.seams, "new", leg.cut.after.points[j])
        off = min(np.hypot(*(was[k] - now[k])) for k in range(3))
        log.bound("corner at the waist, mm", leg.name, float(off), ALLOWANCE + 6 * leg.rounding + slanting(leg, abs(was[1][1])))


def slanting(leg, beyond):
    """By how much the cut corner may be nearer where its edge slants to the sew line's, because it is drawn with other vertices: with the
    edge that is stretched the slant becomes less, but the corner, on the edge's way on, lies as far beyond the seam's end as before."""
    sew, cut = leg.sew.seams["crotch"], leg.cut.seams["crotch"]
    (a, now), b = (run_off(points) - points[0] for points in (sew.old, sew.new)), run_off(cut.old) - cut.old[0]
    slant = abs(a[0] * b[1] - a[1] * b[0]) / max(a @ b, 1e-9)
    return float(slant * abs(1 - np.hypot(*a) / np.hypot(*now)) * beyond)


def frame(seams, when, p):
    """Where a point lies: by its distance from the lines of both edges, and in the frame of either edge."""
    crotch, waist = getattr(seams["crotch"], when), getattr(seams["waist"], when)
    corner = crotch[0]
    d, e = unit(run_off(crotch) - corner), unit(run_off(waist[::-1]) - corner)
    across = lambda v: float(v[0] * (p - corner)[1] - v[1] * (p - corner)[0])
    along = lambda v: float(v @ (p - corner))
    return np.array([across(d), across(e)]), np.array([across(d), along(d)]), np.array([across(e), along(e)])


def run_off(points):
    """The end of the first edge; of several, where vertices are close together."""
    s = stations(points)
    k = int(np.searchsorted(s, min(1.0, s[-1])))
    return points[max(1, k)]


def fly(log, leg):
    """A fly keeps its form beside the centre line."""
    for pair in (leg.sew, leg.cut):
        if not pair.fly:
            continue
        rows, crotch = [], leg.sew.seams["crotch"]
        old_fly = [pair.before.points[i] for i in sorted(pair.fly, key=lambda i: pair.whole["crotch"].old_index.index(i))]
        new_fly = [pair.after.points[i] for i in pair.fly_new]
        if len(new_fly) != len(old_fly):
            log.fail("fly", leg.name, f"{len(old_fly)} vertices became {len(new_fly)}")
            continue
        # The cut line's inner corner at the foot lies an allowance below the foot, beside what may be curve already: with that it moves.
        s = project(crotch.old, old_fly[-1])[0]
        beside = at_station(crotch.old, s)[0], at_station(crotch.new, float(crotch.place(s)))[0]
        for points, run, on in ((old_fly, crotch.old, beside[0]), (new_fly, crotch.new, beside[1])):
            a, d = run[0], unit(run[1] - run[0])
            rows.append([(float(d @ (p - a)), float(d[0] * (p - a)[1] - d[1] * (p - a)[0])) for p in [*points, on]])
        (_, was), (_, now) = rows[0].pop(), rows[1].pop()
        longer = leg.rise[1] - leg.rise[0]
        a, b = (unit(run[1] - run[0]) for run in (leg.sew.seams["crotch"].old, leg.sew.seams["crotch"].new))
        turned = abs(a[0] * b[1] - a[1] * b[0])
        for k, ((s, off), (t, off_new)) in enumerate(zip(*rows)):
            if s < TOP:
                # The top of the fly lies along the waist, and may stay with it or turn with the centre seam.
                most = ALLOWANCE + turned * (abs(s) + abs(off))
                log.bound("fly, top, mm", leg.name, max(abs(off_new - off), abs(t - s)), most + 4 * leg.rounding + abs(leg.moves["waist_mm"]))
                continue
            bent = now - was if k == len(rows[0]) - 1 else 0.0
            over = off_new - off - np.clip(off_new - off, min(0.0, bent), max(0.0, bent))
            log.bound("fly, across, mm", leg.name, over, ALLOWANCE + 4 * leg.rounding + leg.noise)
            # The top may stay where it was though the waist is raised.
            slack = 0.1 + abs(leg.moves["waist_mm"]) * (s < 1)
            most = [0, longer, leg.moves["along_mm"]]  # a fork that is carried changes the rise by another length
            if not min(most) - slack <= t - s <= max(most) + slack:
                log.fail("fly, along", leg.name, f"a vertex {s:.2f} mm from the waist is now {t:.2f} mm from it")

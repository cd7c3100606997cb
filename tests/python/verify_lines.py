"""The lines of an altered piece, vertex by vertex."""

import math

import numpy as np
from shapely import LinearRing, LineString, Point, Polygon

from leg_outline import align, area2, closed_ring, corners_by_shape, run_of
from raw_dxf import entities_of, grain_of, vertices
import verify_marks
from verify_sew_line import COPY, SewLine

ALLOWANCE = 0.3  # mm along redrawn edges


def piece(log, block, old_pairs, new_pairs, moves, truth):
    """Verifies one piece; gives its measures before and after, or nothing where they cannot be had."""
    mm, corners = truth["unit_mm"], truth.get("blocks", {}).get(block)
    old, new = entities_of(old_pairs), entities_of(new_pairs)
    if [e.kind for e in old] != [e.kind for e in new]:
        log.fail(block, "entities were added, lost or changed in kind")
        return None
    grain = grain_of(old)
    lines = {}
    for a, b in zip(old, new):
        if a.kind in ("POLYLINE", "LWPOLYLINE") and a.layer in ("1", "14"):
            lines["cut" if a.layer == "1" else "sew"] = (a, b)
    found, rings = {}, {}
    # A piece may be drawn by its sew line alone.
    uses = [use for use in ("sew", "cut") if use in lines]
    for use in uses:
        a, b = lines[use]
        p, q = [v for v, _ in vertices(a)], [v for v, _ in vertices(b)]
        rings[use] = (np.array(closed_ring(p)) * mm, np.array(closed_ring(q)) * mm)
        known = corners[use] if corners else corners_by_shape([tuple(v) for v in rings[use][0]], grain)
        found[use] = run_of(len(rings[use][0]), known)
    order, c = found["sew"]
    waist, fork = rings["sew"][0][order[0]], rings["sew"][0][order[c["fork"]]]
    up = grain if np.dot(waist - fork, grain) > 0 else -grain
    slide = moves["along_mm"]
    images = {}
    for use in uses:
        image = align([tuple(v) for v in rings[use][0]], [tuple(v) for v in rings[use][1]], up, slide)
        if image is None:
            log.fail(block, f"{use} line: a vertex did not move along the grain, or was lost")
            return None
        images[use] = image
    sew = SewLine(*rings["sew"], images["sew"], *found["sew"], up, slide, bool(corners and corners.get("straight_inseam")))
    sew.verify(log, block)
    if "cut" in uses:
        cut(log, block, *rings["cut"], images["cut"], *found["cut"], sew)
    for use in uses:
        simple(log, block, use, *rings[use])
    verify_marks.rest(log, block, old, new, lines, rings, images, mm, up)
    return sew.measures()


def cut(log, block, old, new, image, order, c, sew):
    p = old[order]
    q = new[[image[i] for i in order]]
    d = q - p
    # Where a straight inseam turns at the hem, the corner goes along the hem.
    first = c["hem_in"] + (1 if sew.straight_inseam else 0)
    along = (p[c["hem_in"] + 1] - p[c["hem_in"]]) / np.hypot(*(p[c["hem_in"] + 1] - p[c["hem_in"]]))
    off = float(along[0] * d[c["hem_in"]][1] - along[1] * d[c["hem_in"]][0])
    log.bound(block, "cut corner off the hem's edge, mm", abs(off), 0.02)
    if np.abs(d[first:]).max() > 0:
        k = first + int(np.argmax(np.abs(d[first:]).max(axis=1)))
        log.fail(block, f"cut line: vertex {k} at hem, outseam or waist moved by {np.abs(d[k]).max():.6f} mm")
    # The corner at the centre waist is where both edges meet: it goes along the waist's.
    along = (p[-1] - p[0]) / np.hypot(*(p[-1] - p[0]))
    log.bound(block, "cut corner off the waist's edge, mm", abs(float(along[0] * d[0][1] - along[1] * d[0][0])), 0.02)
    slid = sew.slide * sew.up
    # A straight inseam changes the corner, whose edges keep their distances.
    log.bound(block, "cut fork off the slide, mm", float(np.hypot(*(d[c["fork"]] + slid))), 0.3 if sew.straight_inseam else COPY)
    whole = LineString(sew.old[:sew.corner["hem_in"] + 1])
    lo, hi = 0.65 * sew.at[sew.corner["fork"]], sew.copy_end
    for i in range(1, c["hem_in"]):
        foot = whole.project(Point(p[i]))
        near = whole.distance(Point(p[i])) < 30
        # Within the copy, away from its ends by the width of an allowance.
        if near and lo + 16 < foot < hi - 16:
            log.bound(block, "cut line's exact copy off, mm", float(np.hypot(*(d[i] + slid))), COPY)
    allowance(log, block, p, new, image, order, d, c, sew)


def allowance(log, block, p, new, image, order, d, c, sew):
    """The allowance, densely along the redrawn edges."""
    old_line, new_line = LinearRing(sew.old), LinearRing(sew.line)
    corners_old = [sew.old[sew.corner[k]] for k in ("waist", "fork", "hem_in")]
    corners_new = [sew.old[0], sew.old[sew.corner["fork"]] - sew.slide * sew.up, sew.old[sew.corner["hem_in"]]]
    n, m = len(order), len(new)
    step = 1 if order[1] == (order[0] + 1) % n else -1
    moving = [i for i in range(c["hem_in"]) if np.abs(d[i]).max() > 0 or np.abs(d[i + 1]).max() > 0]
    for i in moving:
        k, end, chain = image[order[i]], image[order[i + 1]], []
        while True:
            chain.append(new[k])
            if k == end:
                break
            k = (k + step) % m
        chain = LineString(chain)
        edge = LineString([p[i], p[i + 1]])
        for share in np.linspace(0, 1, max(2, int(edge.length / 4) + 1)):
            a, b = edge.interpolate(share, normalized=True), chain.interpolate(share, normalized=True)
            # Around a corner the distance is that from the corner's point and says nothing about an allowance.
            if at_corner(old_line, a, corners_old) or at_corner(new_line, b, corners_new):
                continue
            log.bound(block, "allowance changed by, mm", new_line.distance(b) - old_line.distance(a), ALLOWANCE)


def at_corner(line, point, corners):
    """Whether the point of the line nearest to `point` is one of the corners."""
    foot = line.interpolate(line.project(point))
    return any(math.dist((foot.x, foot.y), c) < 0.05 for c in corners)


def simple(log, block, use, old, new):
    if Polygon(old).is_valid and not Polygon(new).is_valid:
        log.fail(block, f"{use} line crosses itself")
    if area2(old) * area2(new) <= 0:
        log.fail(block, f"{use} line runs the other way round")

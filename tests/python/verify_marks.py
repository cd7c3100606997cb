"""What stands beside the lines of an altered piece: marks, texts, notches, and every byte that is no moved coordinate."""

import numpy as np
from shapely import LinearRing, Point

from raw_dxf import vertices

MOVES_TEXT = 0.6  # mm; a mark or rule text within this of a vertex stands on it
NOTCH_LAYERS = {"4", "80", "81", "82", "83"}


def rest(log, block, old, new, lines, rings, images, mm, up):
    """Marks, texts and notches; every pair that is not a moved coordinate is the same bytes."""
    places, shifts = shifts_of(rings, images)
    cut_old, cut_new = (LinearRing(ring) for ring in rings.get("cut", rings["sew"]))
    notches = []
    for a, b in zip(old, new):
        if any(a is line[0] for line in lines.values()):
            same_line(log, block, a, b)
            continue
        moved = {10, 20} if a.kind in ("POINT", "TEXT") else set()
        same_pairs(log, block, a, b, moved)
        if not moved or a.point() is None:
            continue
        p, q = np.array(a.point()) * mm, np.array(b.point()) * mm
        shift = q - p
        k = int(np.argmin(np.hypot(*(places - p).T)))
        on_vertex = np.hypot(*(places[k] - p)) <= MOVES_TEXT
        if a.kind == "POINT" and a.layer in NOTCH_LAYERS:
            notches.append((p, shift))
            gap = cut_new.distance(Point(q)) - cut_old.distance(Point(p))
            log.bound(block, "notch off the new edge, mm", gap, 0.05)
            across = abs(float(np.dot(shift, [-up[1], up[0]])))
            if cut_old.distance(Point(p)) < 1.0 and across > 1e-3:
                log.met("notch across the grain, mm", across)
        elif on_vertex and a.layer not in NOTCH_LAYERS and (is_rule(a) or a.kind == "POINT" and a.layer in {"2", "3"}):
            off = float(np.hypot(*(shift - shifts[k])))
            log.bound(block, "turn or curve point or rule text off its vertex, mm", off, 2e-4)
        elif is_rule(a) and a.layer in NOTCH_LAYERS:
            pass  # with its notch, below
        elif np.abs(shift).max() > 0:
            log.fail(block, f"{a.kind} on layer {a.layer} at {p} is inside the piece and moved by {shift}")
    rules_of_notches(log, block, old, new, notches, mm)


def shifts_of(rings, images):
    """The old place of every vertex of the outlines, and how far it moved."""
    at = []
    for use in (use for use in ("cut", "sew") if use in rings):
        for i, v in enumerate(rings[use][0]):
            at.append((v, rings[use][1][images[use][i]] - v))
    return np.array([a for a, _ in at]), np.array([s for _, s in at])


def is_rule(entity):
    return entity.kind == "TEXT" and (entity.get(1) or b"").strip().startswith(b"#")


def rules_of_notches(log, block, old, new, notches, mm):
    """A rule text on a notch's layer goes along with the notch it stands at."""
    for a, b in zip(old, new):
        if is_rule(a) and a.layer in NOTCH_LAYERS and notches:
            p, q = np.array(a.point()) * mm, np.array(b.point()) * mm
            k = min(range(len(notches)), key=lambda i: np.hypot(*(notches[i][0] - p)))
            if np.hypot(*(notches[k][0] - p)) <= MOVES_TEXT:
                log.bound(block, "rule text off its notch, mm", float(np.hypot(*(q - p - notches[k][1]))), 2e-4)


def same_pairs(log, block, a, b, moved):
    if len(a.pairs) != len(b.pairs):
        log.fail(block, f"{a.kind}: pairs were added or lost")
        return
    for x, y in zip(a.pairs, b.pairs):
        if x != y and not (x[0] in moved and x[2:] == y[2:] and x[0] == y[0]):
            log.fail(block, f"{a.kind} on layer {a.layer}: {x[:2]} became {y[:2]}")


def same_line(log, block, a, b):
    """A polyline: everything but coordinates is the same; added vertices are copies of a neighbour."""
    if a.kind == "POLYLINE":
        same_pairs(log, block, a, b, set())
        same_pairs(log, block, a.end, b.end, set())
        form = lambda v: [(c, None if c in (10, 20, 5) else x, line, end) for c, x, line, end in v.pairs]
        forms = [form(v) for v in a.vertices]
        for v in b.vertices:
            if form(v) not in forms:
                log.fail(block, f"a vertex has another form than the original's: {form(v)}")
        return
    strip = lambda e: [x for x in e.pairs if x[0] not in (10, 20, 90)]
    if strip(a) != strip(b):
        log.fail(block, "LWPOLYLINE: something other than coordinates differs")
    if int(b.get(90)) != len(vertices(b)):
        log.fail(block, "LWPOLYLINE: its vertex count is not that of its vertices")

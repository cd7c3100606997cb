"""What must be the same bytes, and the marks that go with the redrawn edges."""

import numpy as np

from raw_dxf import vertices

from .geometry import at_station, project
from .piece import EXACT
from .reading import NOTCH, coordinates

ON = 0.02  # mm; so near, a mark stands at a vertex
EDGE = 3.0  # mm; so near to an edge a notch belongs to it
PLACE = 1.0  # mm along the edge
OFF = 0.02  # mm off the edge


def verify(log, leg):
    old, new = leg.old.entities[leg.name], leg.new.entities[leg.name]
    if len(old) != len(new):
        log.fail("entities", leg.name, f"{len(old)} became {len(new)}")
        return
    if leg.old.raw.blocks[leg.name][:1] != leg.new.raw.blocks[leg.name][:1]:
        log.fail("bytes", leg.name, "the block's own entity differs")
    outlines = {k: use for use, (line, _) in leg.lines.items() for k in line.entities}
    stays(log, leg)
    notches = []
    for k, (a, b) in enumerate(zip(old, new)):
        if k in outlines:
            outline_bytes(log, leg, a, b)
        elif a.pairs == b.pairs:
            unmoved(log, leg, a)
        elif a.kind in ("POINT", "LINE") and a.layer in NOTCH:
            notches.append(notch(log, leg, a, b))
        elif a.kind == "POINT" and a.layer in ("2", "3") or rule(a) and a.layer in ("2", "3"):
            at_vertex(log, leg, a, b)
        elif not rule(a):
            log.fail("bytes", leg.name, f"{a.kind} on layer {a.layer} differs")
    rules_at_notches(log, leg, old, new, [n for n in notches if n])


def rule(e):
    return e.kind == "TEXT" and (e.get(1) or b"").strip().startswith(b"#")


class Tokens:
    """Coordinates as written, by entity and vertex."""

    def __init__(self, read, name):
        self.of = {k: [t for _, t in vertices(e)] for k, e in enumerate(read.entities[name]) if "POLYLINE" in e.kind}

    def get(self, where):
        entity, vertex = where
        return self.of[entity][vertex] if vertex >= 0 and entity in self.of else None


def stays(log, leg):
    """Hem, outseam and waist are written as they were; so is the inseam once it has come back."""
    old_tokens, new_tokens = Tokens(leg.old, leg.name), Tokens(leg.new, leg.name)
    for use in leg.lines:
        pair = leg.pairs[use]
        for seam in ("hem", "outseam", "waist"):
            run = pair.seams[seam]
            ends = slice(1 if seam == "hem" and use == "cut" else 0, len(run.old) - (1 if seam == "waist" else 0))
            if seam == "waist" and leg.moves["waist_mm"]:
                ends = slice(0, 1)
            if len(run.old) != len(run.new) and not (seam == "waist" and leg.moves["waist_mm"]):
                log.fail("moved elsewhere", f"{leg.name} {use} {seam}", "vertices were added")
                continue
            for i, j in list(zip(run.old_index, run.new_index))[ends]:
                if old_tokens.get(pair.before.where[i]) != new_tokens.get(pair.after.where[j]):
                    off = np.hypot(*(pair.after.points[j] - pair.before.points[i]))
                    log.fail("moved elsewhere", f"{leg.name} {use} {seam}", f"a vertex moved by {off:.6f} mm")
                    break
        corners(log, leg, use, pair, old_tokens, new_tokens)


def corners(log, leg, use, pair, old_tokens, new_tokens):
    """The ends of what stays: the sew line's corners do not move, the cut line's only along the edges that stay."""
    waist, hem = pair.seams["waist"], pair.seams["hem"]
    for kind, run, i, j, inner, keeps in (
        ("waist", waist, waist.old_index[-1], waist.new_index[-1], waist.old_index[-2], not leg.moves["waist_mm"]),
        ("hem", hem, hem.old_index[0], hem.new_index[0], hem.old_index[1], True),
    ):
        if not keeps:
            continue
        same = old_tokens.get(pair.before.where[i]) == new_tokens.get(pair.after.where[j])
        p, q, r = pair.before.points[i], pair.after.points[j], pair.before.points[inner]
        if use == "sew":
            if not same:
                log.fail("moved elsewhere", f"{leg.name} sew {kind}", f"its corner moved by {np.hypot(*(q - p)):.6f} mm")
            continue
        d = (p - r) / np.hypot(*(p - r))
        off = abs(d[0] * (q - p)[1] - d[1] * (q - p)[0])
        log.bound("cut corner off the edge that stays, mm", f"{leg.name} {kind}", float(off), 0.02 + 3 * leg.rounding + leg.noise)


def outline_bytes(log, leg, a, b):
    """Of an outline nothing but coordinates differs; an arc or a spline may have become a polyline."""
    if a.kind != b.kind:
        if a.kind not in ("ARC", "SPLINE", "LINE", "ELLIPSE") or a.layer != b.layer or "POLYLINE" not in b.kind:
            log.fail("bytes", leg.name, f"a {a.kind} on layer {a.layer} became a {b.kind} on layer {b.layer}")
        return
    moving = {10, 20, 40, 42, 50, 51, 90, 72, 73, 11, 21}
    if a.kind == "POLYLINE":
        form = lambda v: [(c, None if c in (10, 20, 42, 5) else x, line, end) for c, x, line, end in v.pairs if c != 42]
        forms = [form(v) for v in a.vertices]
        if a.pairs != b.pairs or a.end.pairs != b.end.pairs or any(form(v) not in forms for v in b.vertices):
            log.fail("bytes", leg.name, f"something other than coordinates differs in a POLYLINE on layer {a.layer}")
        return
    strip = lambda e: [x for x in e.pairs if x[0] not in moving]
    if strip(a) != strip(b):
        log.fail("bytes", leg.name, f"something other than coordinates differs in a {a.kind} on layer {a.layer}")
    if a.kind == "LWPOLYLINE" and int(b.get(90)) != len(vertices(b)):
        log.fail("bytes", leg.name, "LWPOLYLINE: its vertex count is not that of its vertices")


ON_CURVE = 0.05  # mm, of a line that a curve has been drawn anew as


def vertex_at(leg, p):
    """The outline, the old vertex at p and the image of it, and the seam that it is a vertex of."""
    for use in leg.lines:
        pair = leg.pairs[use]
        off = np.hypot(*(pair.before.points - p).T)
        k = int(np.argmin(off))
        if off[k] > ON:
            continue
        for seam in pair.seams.values():
            if k in seam.old_index:
                i = seam.old_index.index(k)
                return use, pair.before.points[k], seam.new[seam.image[i]], seam
        in_order = sorted(pair.fly, key=lambda i: pair.whole["crotch"].old_index.index(i))
        if k in in_order and len(in_order) == len(pair.fly_new):
            return use, pair.before.points[k], pair.after.points[pair.fly_new[in_order.index(k)]], None
        for walk in pair.whole.values():
            if k in walk.old_index and len(walk.old_index) == len(walk.new_index):
                return use, pair.before.points[k], pair.after.points[walk.new_index[walk.old_index.index(k)]], None
    return None


def at_vertex(log, leg, a, b):
    """A turn point, a curve point or a rule text goes with its vertex."""
    p, q = (np.array(e.point()) * leg.mm for e in (a, b))
    found = vertex_at(leg, p)
    if not other_pairs(a, b):
        log.fail("bytes", leg.name, f"something other than the place of a {a.kind} on layer {a.layer} differs")
    if found is None:
        log.fail("mark", leg.name, f"a {a.kind} on layer {a.layer} at {p.round(2)} moved to {q.round(2)}, and stands at no vertex")
        return
    _, was, now, seam = found
    if seam is not None and seam.curved:
        # What was a curve has other vertices now: a mark at an end of one of its parts stands on the new line.
        log.bound("mark off its line, mm", f"{leg.name} {a.kind} {a.layer}", project(seam.new, q)[1], ON_CURVE + 3 * leg.rounding)
        return
    log.bound("mark off its vertex, mm", f"{leg.name} {a.kind} {a.layer}", float(np.hypot(*(q - p - (now - was)))), EXACT + 3 * leg.rounding)


def other_pairs(a, b, places=(10, 20, 11, 21, 50)):
    strip = lambda e: [(c, None if c in places else v, line, end) for c, v, line, end in e.pairs]
    return strip(a) == strip(b)


def unmoved(log, leg, a):
    """A mark that did not move must not stand on what did."""
    if not (a.kind == "POINT" or a.kind == "LINE" and a.layer in NOTCH or rule(a)):
        return
    p = np.array(a.point()) * leg.mm
    if a.layer in ("2", "3"):
        found = vertex_at(leg, p)
        if found:
            log.bound("mark off its vertex, mm", f"{leg.name} {a.kind} {a.layer}", float(np.hypot(*(found[2] - found[1]))), EXACT + 3 * leg.rounding)
    elif a.layer in NOTCH and not rule(a):
        notch(log, leg, a, a)


def edge_of(leg, ends):
    """The seam of the outer line on which one of the ends stands: outline, seam, place, distance, which end."""
    pair = leg.cut or leg.sew
    found = []
    for name, seam in pair.seams.items():
        for k, p in enumerate(ends):
            s, off = project(seam.old, p)
            found.append((off, name, seam, s, k))
    return min(found, key=lambda f: f[0])


def notch(log, leg, a, b):
    """A notch stays at its place along the edge; gives where it was and by what it has moved."""
    old, new = (np.array(coordinates(e)) * leg.mm for e in (a, b))
    if not other_pairs(a, b):
        log.fail("bytes", leg.name, f"something other than the place of a notch on layer {a.layer} differs")
    off, name, seam, s, k = edge_of(leg, old)
    if off > EDGE:
        log.fail("notch", leg.name, "a notch off the edge moved") if a is not b else None
        return None
    where = f"{leg.name} {name}, {s:.0f} mm along"
    moved = new[k] - old[k]
    t, off_new = project(seam.new, new[k])
    log.bound("notch off its edge, mm", where, max(0.0, off_new - off), OFF + 2 * leg.rounding)
    beside = leg.in_copy(old[k], 20.0) if leg.cut else on_copy(leg, name, s)
    beside = beside and name in ("crotch", "inseam") and edge_copied(leg, seam, s)
    if beside and not leg.remedied:
        log.bound("notch not moved with the copy, mm", where, float(np.hypot(*(moved - leg.slid))), EXACT + 2 * leg.rounding)
    else:
        # On a waist that is raised, places along it are stretched as the remedy likes.
        most = PLACE + abs(leg.moves["waist_mm"]) * (name == "waist")
        places = [seam.place(s), beside_sew(leg, name, seam, old[k])]
        if name == "inseam" and comes_back(seam, s):
            # On an edge along which the line comes back, a place stretches with the part above, or stays with the part below.
            places.append(project(seam.new, old[k])[0])
            places = [place for place in places if np.isfinite(place)]
            over = max(min(places) - t, t - max(places), 0.0)
        else:
            over = min((t - place for place in places), key=abs)
        log.bound("notch off its place, mm", where, over, most)
    heading(log, leg, where, a, b, seam, s, t)
    return old[k], moved


def comes_back(seam, s):
    """Whether the upper end of the edge at a place moves, and its lower end stays."""
    k = min(max(int(np.searchsorted(seam.s_old, s)), 1), len(seam.old) - 1)
    moved = [float(np.hypot(*(seam.new[seam.image[i]] - seam.old[i]))) for i in (k - 1, k)]
    return moved[0] > 0 and moved[1] == 0


def beside_sew(leg, name, seam, p):
    """Where a place of the cut line is by the sew line that it lies beside: a cut edge may be drawn with fewer vertices."""
    run = leg.sew.seams.get(name)
    if not leg.cut or run is None:
        return np.inf
    q, _ = at_station(run.new, run.place(project(run.old, p)[0]))
    return float(project(seam.new, q)[0])


def edge_copied(leg, seam, s):
    """Whether the edge of the cut line at a place belongs to the copy with both of its ends."""
    if not leg.cut:
        return True
    k = min(max(int(np.searchsorted(seam.s_old, s)), 1), len(seam.old) - 1)
    return all(leg.in_copy(p, 3.0) for p in seam.old[k - 1:k + 1])


def on_copy(leg, name, s):
    run = leg.sew.seams.get(name)
    if name == "crotch":
        return s > 0.65 * run.s_old[-1] + 1
    return name == "inseam" and s < leg.reach() - 1


def heading(log, leg, where, a, b, seam, s, t):
    """The way a notch points: as it was, or turned with the edge."""
    if a.kind == "LINE":
        old, new = (np.array(coordinates(e)) * leg.mm for e in (a, b))
        size = lambda ends: float(np.hypot(*(ends[1] - ends[0])))
        log.bound("notch of another length, mm", where, size(new) - size(old), OFF + 3 * leg.rounding)
        way = lambda ends: np.degrees(np.arctan2(*(ends[1] - ends[0])[::-1]))
        slack = np.degrees(4 * leg.rounding / 6)
        turned = way(new) - way(old)
    elif a.number(50) is None:
        return
    else:
        turned, slack = b.number(50) - a.number(50), 0.02
    turned = (turned + 180) % 360 - 180
    angle = lambda d: np.degrees(np.arctan2(d[1], d[0]))
    edge = angle(at_station(seam.new, t)[1]) - angle(at_station(seam.old, s)[1])
    edge = (edge + 180) % 360 - 180
    low, high = min(0, edge) - 1 - slack, max(0, edge) + 1 + slack
    if not low <= turned <= high:
        log.fail("notch turned", where, f"by {turned:.2f} degrees, its edge by {edge:.2f}")


def rules_at_notches(log, leg, old, new, notches):
    """A rule text on a notch's layer goes along with the notch it stands at."""
    for a, b in zip(old, new):
        if not rule(a) or a.layer not in NOTCH or not notches:
            continue
        p, q = (np.array(e.point()) * leg.mm for e in (a, b))
        at, moved = min(notches, key=lambda n: np.hypot(*(n[0] - p)))
        if np.hypot(*(at - p)) <= ON:
            log.bound("rule text off its notch, mm", leg.name, float(np.hypot(*(q - p - moved))), EXACT + 3 * leg.rounding)
        elif a.pairs != b.pairs:
            log.fail("bytes", leg.name, "a rule text that stands at no redrawn place differs")

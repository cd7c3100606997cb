"""Verifies altered drawings vertex by vertex against their originals, without any code of the altering program.

    python verify_alteration.py ORIGINAL.dxf ALTERED.dxf REPORT.json [TRUTH.json]
    python verify_alteration.py --folder DIR      # every NAME.dxf with NAME.out.dxf, NAME.report.json and NAME.truth.json there

Both files are read twice: raw, as group codes and values, and by ezdxf (an independent DXF reader). Outlines are judged by
shapely. Prints one line for each violation, and at the end a summary with the worst values met; exit code 1 if there is any.

The bounds are what practice asks of an altered crotch seam (common practice, no source): nothing but the redrawn edges and
what stands on them changes; the fork moves along the grain by the slide; the curve is an exact copy; joins without a corner;
the allowance is kept; front and back still sew together.
"""

import argparse
import collections
import json
import math
import pathlib
import sys

import ezdxf
from ezdxf import recover
import numpy as np
from shapely import LinearRing, LineString, Point, Polygon

COPY = 0.001  # mm, the exact-copy span
LENGTH = 0.05  # mm, the crotch length asked for
JOIN = 0.5  # degrees where new line meets old
CENTRE = 1.5  # degrees where a straight centre seam enters the curve
ALLOWANCE = 0.3  # mm along redrawn edges
INSEAM = 1.5  # mm, back less front
CORNER = 32.0  # degrees; a sharper vertex is a corner between two seams
MOVES_TEXT = 0.6  # mm; a mark or rule text within this of a vertex stands on it


# ---------------------------------------------------------------- raw reading


def raw_pairs(data):
    """(code, value as written, code line as written, line ends) of every pair up to EOF, and the bytes after it."""
    lines, at = [], 0
    while at < len(data):
        end = data.find(b"\n", at)
        end = len(data) if end < 0 else end + 1
        lines.append(data[at:end])
        at = end
    pairs, i = [], 0
    while i + 1 < len(lines):
        code = int(lines[i])
        value = lines[i + 1]
        body = value.rstrip(b"\r\n")
        pairs.append((code, body, lines[i], value[len(body):]))
        i += 2
        if code == 0 and body.strip() == b"EOF":
            break
    return pairs, b"".join(lines[i:])


class Entity:
    """One entity with its pairs; a POLYLINE holds its vertices."""

    def __init__(self, pairs):
        self.pairs = pairs
        self.kind = pairs[0][1].strip().decode("latin1")
        self.vertices = []
        self.end = None

    def get(self, code):
        return next((v for c, v, *_ in self.pairs if c == code), None)

    def number(self, code):
        value = self.get(code)
        return None if value is None else float(value)

    @property
    def layer(self):
        return (self.get(8) or b"0").strip().decode("latin1")

    def point(self):
        x, y = self.number(10), self.number(20)
        return None if x is None or y is None else (x, y)


def entities_of(pairs):
    found, run = [], []
    for pair in pairs:
        if pair[0] == 0 and run:
            found.append(Entity(run))
            run = []
        run.append(pair)
    if run:
        found.append(Entity(run))
    nested, line = [], None
    for e in found:
        if e.kind == "POLYLINE":
            line = e
            nested.append(e)
        elif e.kind == "VERTEX" and line is not None:
            line.vertices.append(e)
        elif e.kind == "SEQEND" and line is not None:
            line.end = e
            line = None
        else:
            nested.append(e)
    return nested


class Raw:
    """The file as stretches: everything outside the blocks, and each block's pairs up to the end of its ENDBLK."""

    def __init__(self, data):
        pairs, self.tail = raw_pairs(data)
        self.outside, self.blocks = [], {}
        block, closing = None, False
        for pair in pairs:
            word = pair[1].strip() if pair[0] == 0 else b""
            if pair[0] == 0 and closing:
                name = next(v for c, v, *_ in block if c == 2).strip().decode("latin1")
                self.blocks[name] = block
                block, closing = None, False
            if word == b"BLOCK":
                block = []
            (self.outside if block is None else block).append(pair)
            closing = closing or word == b"ENDBLK"


# ---------------------------------------------------------------- geometry


def vertices(entity):
    """Coordinates of a polyline's vertices with their values as written."""
    if entity.kind == "POLYLINE":
        return [((v.number(10), v.number(20)), (v.get(10), v.get(20))) for v in entity.vertices]
    out, x = [], None
    for code, value, *_ in entity.pairs:
        if code == 10:
            x = value
        elif code == 20 and x is not None:
            out.append(((float(x), float(value)), (x, value)))
            x = None
    return out


def closed_ring(points):
    """Without the repeated first vertex."""
    return points[:-1] if len(points) > 1 and math.dist(points[0], points[-1]) < 1e-9 else points


def length(points):
    p = np.asarray(points)
    return float(np.hypot(*np.diff(p, axis=0).T).sum()) if len(p) > 1 else 0.0


def turn(a, b, c):
    """Degrees turned at b, left positive."""
    (ux, uy), (vx, vy) = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1])
    return math.degrees(math.atan2(ux * vy - uy * vx, ux * vx + uy * vy))


def area2(points):
    p = np.asarray(points)
    q = np.roll(p, -1, axis=0)
    return float((p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]).sum())


def corners_by_shape(points, grain):
    """The corners of a leg by turning alone: the crotch is the edge between two corners that is most hollow."""
    n, sign = len(points), 1 if area2(points) > 0 else -1
    turns = [sign * turn(points[i - 1], points[i], points[(i + 1) % n]) for i in range(n)]
    sharp = [i for i in range(n) if turns[i] > CORNER]
    edges = []
    for a, b in zip(sharp, sharp[1:] + sharp[:1]):
        inner = [(a + k) % n for k in range(1, (b - a) % n)]
        edges.append((sum(-turns[i] for i in inner), a, b))
    _, a, b = max(edges)

    def lean(i, j):
        d = np.subtract(points[j], points[i])
        return abs(float(np.dot(d / np.hypot(*d), grain)))

    forward = lean(a, (a + 1) % n) > lean(b, (b - 1) % n)
    waist, fork = (a, b) if forward else (b, a)
    step = 1 if forward else -1
    order, i = [], fork
    while True:
        i = (i + step) % n
        if i == waist:
            break
        if i in sharp:
            order.append(i)
    hem_in, hem_out, side = order[0], order[1], order[-1]
    i, begin = waist, waist
    while i != fork:
        i = (i + step) % n
        if i != fork and -turns[i] > 0.1:
            begin = i
            break
    return {"waist": waist, "curve_begin": begin, "fork": fork, "hem_in": hem_in, "hem_out": hem_out, "side": side}


def run_of(n, corner):
    """Indices from the waist over the fork and around, and the places of the corners in that order."""
    forward = (corner["fork"] - corner["waist"]) % n < (corner["hem_out"] - corner["waist"]) % n
    order = [(corner["waist"] + k) % n if forward else (corner["waist"] - k) % n for k in range(n)]
    place = {i: k for k, i in enumerate(order)}
    return order, {k: place[v] for k, v in corner.items()}


def align(old, new, up, most):
    """For every old vertex the index of its image; vertices are only added, never dropped, and move along the grain."""
    n, m = len(old), len(new)
    if n == m:
        return list(range(n))
    across = np.array([-up[1], up[0]])

    def cost(i, j):
        d = np.subtract(new[j], old[i])
        off = abs(float(np.dot(d, across)))
        along = -float(np.dot(d, up)) * (1 if most >= 0 else -1)
        if off > 1e-4 or along < -1e-4 or along > abs(most) + 1e-3:
            return math.inf
        return 0.0 if math.hypot(*d) < 1e-9 else 1.0
    extra = m - n
    best = [[math.inf] * (extra + 1) for _ in range(n + 1)]
    back = {}
    best[0] = [0.0] * (extra + 1)
    for i in range(1, n + 1):
        for e in range(extra + 1):
            for skip in range(e + 1):
                if best[i - 1][e - skip] < math.inf:
                    c = best[i - 1][e - skip] + cost(i - 1, i - 1 + e)
                    if c < best[i][e]:
                        best[i][e] = c
                        back[i, e] = e - skip
    e = min(range(extra + 1), key=lambda e: best[n][e])
    if best[n][e] == math.inf:
        return None
    image = []
    for i in range(n, 0, -1):
        image.append(i - 1 + e)
        e = back[i, e]
    return image[::-1]


# ---------------------------------------------------------------- one drawing


def at_corner(line, point, corners):
    """Whether the point of the line nearest to `point` is one of the corners."""
    foot = line.interpolate(line.project(point))
    return any(math.dist((foot.x, foot.y), c) < 0.05 for c in corners)


class Verifier:
    def __init__(self, name):
        self.name = name
        self.violations = []
        self.worst = collections.defaultdict(float)

    def fail(self, where, what):
        self.violations.append(f"{self.name}: {where}: {what}")

    def bound(self, where, what, value, most):
        self.worst[what] = max(self.worst[what], abs(value))
        if not abs(value) <= most:
            self.fail(where, f"{what} {value:.4f} (at most {most})")

    def drawing(self, original, altered, report, truth):
        before, after = original.read_bytes(), altered.read_bytes()
        old, new = Raw(before), Raw(after)
        self.readable(original, altered)
        handle_seed = [p for p in old.outside]
        changed = [(a, b) for a, b in zip(old.outside, new.outside) if a != b]
        if len(old.outside) != len(new.outside):
            self.fail("outside the blocks", "pairs were added or lost")
        seeds = [i for i, p in enumerate(handle_seed) if p[0] == 9 and p[1].strip() == b"$HANDSEED"]
        allowed = {id(old.outside[i + 1]) for i in seeds}
        for a, b in changed:
            if id(a) not in allowed:
                self.fail("outside the blocks", f"{a[:2]} became {b[:2]}")
        if old.tail != new.tail:
            self.fail("after EOF", "bytes differ")
        if list(old.blocks) != list(new.blocks):
            self.fail("blocks", f"{list(old.blocks)} became {list(new.blocks)}")
            return
        touched = set()
        for size in report["sizes"]:
            if size["status"] != "altered":
                continue
            blocks = {p: size["before"][p]["block"] for p in ("front", "back")}
            measured = {}
            for part, block in blocks.items():
                if block not in old.blocks:
                    self.fail(block, "the report names a block that is not there")
                    return
                touched.add(block)
                measured[part] = self.piece(block, old.blocks[block], new.blocks[block], size["moves"][part], truth)
            if all(measured.values()):
                self.size(size, measured)
        for block in old.blocks:
            if block not in touched and old.blocks[block] != new.blocks[block]:
                self.fail(block, "was not to be altered, and its bytes differ")

    def readable(self, original, altered):
        counts = []
        for path in (original, altered):
            try:
                doc, auditor = recover.readfile(path)
            except ezdxf.DXFError as e:
                self.fail(path.name, f"ezdxf cannot read it: {e}")
                return
            problems = collections.Counter(e.code for e in auditor.errors)
            geometry = {b.name: [self.seen(e) for e in b if e.dxftype() in ("POLYLINE", "LWPOLYLINE", "LINE", "POINT", "TEXT")] for b in doc.blocks}
            counts.append((problems, geometry))
        if counts[1][0] - counts[0][0]:
            self.fail(altered.name, f"ezdxf's audit finds what it did not find in the original: {counts[1][0] - counts[0][0]}")
        # What ezdxf sees of the altered file is what the raw reading sees: the numbers below are the file's geometry.
        raw = Raw(altered.read_bytes())
        for name, pairs in raw.blocks.items():
            mine = [vertices(e) if "POLYLINE" in e.kind else [(e.point(), None)] for e in entities_of(pairs) if e.kind in ("POLYLINE", "LWPOLYLINE", "LINE", "POINT", "TEXT")]
            mine = [[p for p, _ in line] for line in mine]
            if mine != counts[1][1].get(name):
                self.fail(name, "ezdxf sees other geometry than the file's numbers")

    @staticmethod
    def seen(e):
        kind = e.dxftype()
        if kind == "POLYLINE":
            return [(v.dxf.location.x, v.dxf.location.y) for v in e.vertices]
        if kind == "LWPOLYLINE":
            return [(p[0], p[1]) for p in e.get_points("xy")]
        if kind == "LINE":
            return [(e.dxf.start.x, e.dxf.start.y)]
        if kind == "POINT":
            return [(e.dxf.location.x, e.dxf.location.y)]
        return [(e.dxf.insert.x, e.dxf.insert.y)]

    # -- one piece

    def piece(self, block, old_pairs, new_pairs, moves, truth):
        mm, corners = truth["unit_mm"], truth.get("blocks", {}).get(block)
        old, new = entities_of(old_pairs), entities_of(new_pairs)
        if [e.kind for e in old] != [e.kind for e in new]:
            self.fail(block, "entities were added, lost or changed in kind")
            return None
        grain_line = next(e for e in old if e.layer == "7" and e.kind == "LINE")
        grain = np.array([grain_line.number(11) - grain_line.number(10), grain_line.number(21) - grain_line.number(20)])
        grain /= np.hypot(*grain)
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
        sew = rings["sew"][0][order]
        up = grain if np.dot(sew[0] - sew[c["fork"]], grain) > 0 else -grain
        slide = moves["along_mm"]
        images = {}
        for use in uses:
            image = align([tuple(v) for v in rings[use][0]], [tuple(v) for v in rings[use][1]], up, slide)
            if image is None:
                self.fail(block, f"{use} line: a vertex did not move along the grain, or was lost")
                return None
            images[use] = image
        info = self.sew(block, rings["sew"], images["sew"], order, c, up, slide, bool(corners and corners.get("straight_inseam")))
        if "cut" in uses:
            self.cut(block, rings, images, found, info, up, slide)
        for use in uses:
            self.simple(block, use, *rings[use])
        self.rest(block, old, new, lines, rings, images, mm, info, found, up)
        return info

    def sew(self, block, ring, image, order, c, up, slide, straight_inseam):
        old, new_all = ring
        p = old[order]
        q = new_all[[image[i] for i in order]]
        d = q - p
        fork = c["fork"]
        self.bound(block, "fork off the slide along the grain, mm", float(np.hypot(*(d[fork] + slide * up))), 1e-4)
        for seam, a, b in (("hem", "hem_in", "hem_out"), ("outseam", "hem_out", "side")):
            moved = np.abs(d[c[a]:c[b] + 1]).max()
            if moved > 0:
                self.fail(block, f"{seam}: a vertex moved by {moved:.6f} mm")
        if np.abs(d[c["side"]:]).max() > 0 or np.abs(d[0]).max() > 0:
            self.fail(block, "waist: a vertex moved")
        at = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])
        # The slide grows with arc length over the straight centre seam: it stays straight.
        begin = c["curve_begin"]
        for i in range(begin + 1):
            self.bound(block, "centre seam off straight, mm", float(np.hypot(*(d[i] + slide * (at[i] / at[begin]) * up))), 0.01)
        # The line as it is drawn now, added vertices included, in the same order.
        n, m = len(order), len(new_all)
        step = 1 if order[1] == (order[0] + 1) % n else -1
        first = image[order[0]]
        walk = [(first + step * k) % m for k in range(m)]
        line = new_all[walk]
        place = {w: k for k, w in enumerate(walk)}
        at_new = {i: place[image[order[i]]] for i in range(n)}
        # Where it has come back: the first vertex of it from which on it lies on the old inseam.
        inseam = LineString(p[fork:c["hem_in"] + 1])
        off = [inseam.distance(Point(line[k])) for k in range(at_new[fork], at_new[c["hem_in"]] + 1)]
        last = max(k for k, o in enumerate(off) if o > 1e-5)
        back_new = at_new[fork] + last + 1
        reach = inseam.project(Point(line[back_new]))
        copy_end = at[fork] + (0 if straight_inseam else 0.25 * reach)
        back = min(i for i in range(fork, c["hem_in"] + 1) if at_new[i] >= back_new)
        if np.abs(d[back:c["hem_in"] + 1]).max() > 0:
            self.fail(block, "inseam: a vertex moves below where the line has come back")
        for i in range(begin, back):
            if at[i] <= copy_end + 1e-9:
                self.bound(block, "exact copy off, mm", float(np.hypot(*(d[i] - d[fork]))), COPY)
        weights = [float(np.dot(d[i], -up)) / slide for i in range(fork, back + 1)]
        if any(b > a + 1e-6 for a, b in zip(weights, weights[1:])):
            self.fail(block, "inseam: the slide grows again on its way down")
        def turned(i):
            k = at_new[i]
            return turn(line[k - 1], line[k], line[(k + 1) % m]) - turn(p[i - 1], p[i], p[(i + 1) % n])

        self.bound(block, "turn where the centre seam enters the curve, degrees", turned(begin), CENTRE)
        if back != c["hem_in"] or back_new != at_new[back]:
            k = back_new
            was = turn(p[back - 1], p[back], p[(back + 1) % n]) if at_new[back] == k else 0.0
            self.bound(block, "turn where the line has come back, degrees", turn(line[k - 1], line[k], line[(k + 1) % m]) - was, JOIN)
        for i in range(begin + 1, back):
            if at[i] <= copy_end and i != fork:
                self.bound(block, "turn within the copy, degrees", turned(i), JOIN)
        if not straight_inseam:
            images_of = {at_new[i]: i for i in range(n)}
            for k in range(at_new[fork] + 1, back_new):
                i = images_of.get(k)
                was = turn(p[i - 1], p[i], p[(i + 1) % n]) if i is not None else 0.0
                value = turn(line[k - 1], line[k], line[(k + 1) % m]) - was
                self.worst["turn on the way back, degrees"] = max(self.worst["turn on the way back, degrees"], abs(value))
                if abs(value) > 1.0:
                    self.fail(block, f"a corner of {value:.3f} degrees on the way back, {at[fork]:.0f} mm")
        else:
            # A straight inseam stays straight from the moved fork to the next corner.
            a, b = line[at_new[fork]], line[back_new]
            for k in range(at_new[fork] + 1, back_new):
                self.bound(block, "straight inseam off straight, mm", LineString([a, b]).distance(Point(line[k])), 0.01)

        def rise(q, f):
            return length(q[:f + 1])

        angle = lambda q, f: abs(turn(q[f - 1], q[f], q[f + 1]))
        hem = at_new[c["hem_in"]]
        return {
            "rise": (rise(p, fork), rise(line, at_new[fork])),
            "inseam": (length(p[fork:c["hem_in"] + 1]), length(line[at_new[fork]:hem + 1])),
            "angle": (180 - angle(p, fork), 180 - angle(line, at_new[fork])),
            "sew_old": p, "sew_new": line, "at": at, "copy": (at[begin], copy_end), "begin": begin, "fork": fork,
            "straight_inseam": straight_inseam, "disp": d, "corner": c,
        }

    def cut(self, block, rings, images, found, info, up, slide):
        old, new = rings["cut"]
        order, c = found["cut"]
        p = old[order]
        q = new[[images["cut"][i] for i in order]]
        d = q - p
        if np.abs(d[c["hem_in"]:]).max() > 0:
            k = c["hem_in"] + int(np.argmax(np.abs(d[c["hem_in"]:]).max(axis=1)))
            self.fail(block, f"cut line: vertex {k} at hem, outseam or waist moved by {np.abs(d[k]).max():.6f} mm")
        if np.abs(d[0]).max() > 0:
            self.fail(block, f"cut line: the corner at the centre waist moved by {np.abs(d[0]).max():.6f} mm")
        self.bound(block, "cut fork off the slide, mm", float(np.hypot(*(d[c["fork"]] + slide * up))), COPY)
        sew_old, sew_new = info["sew_old"], info["sew_new"]
        whole = LineString(sew_old[: info["corner"]["hem_in"] + 1])
        lo, hi = info["copy"]
        for i in range(1, c["hem_in"]):
            foot = whole.project(Point(p[i]))
            near = whole.distance(Point(p[i])) < 30
            # Within the copy, away from its ends by the width of an allowance.
            if near and lo + 16 < foot < hi - 16:
                self.bound(block, "cut line's exact copy off, mm", float(np.hypot(*(d[i] + slide * up))), COPY)
        # The allowance, densely along the redrawn edges.
        old_line, new_line = LinearRing(sew_old), LinearRing(sew_new)
        corners_old = [sew_old[info["corner"][k]] for k in ("waist", "fork", "hem_in")]
        corners_new = [sew_old[0], sew_old[info["fork"]] - slide * up, sew_old[info["corner"]["hem_in"]]]
        n, m = len(order), len(new)
        step = 1 if order[1] == (order[0] + 1) % n else -1
        moving = [i for i in range(c["hem_in"]) if np.abs(d[i]).max() > 0 or np.abs(d[i + 1]).max() > 0]
        for i in moving:
            k, end, chain = images["cut"][order[i]], images["cut"][order[i + 1]], []
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
                self.bound(block, "allowance changed by, mm", new_line.distance(b) - old_line.distance(a), ALLOWANCE)

    def simple(self, block, use, old, new):
        if Polygon(old).is_valid and not Polygon(new).is_valid:
            self.fail(block, f"{use} line crosses itself")
        if area2(old) * area2(new) <= 0:
            self.fail(block, f"{use} line runs the other way round")

    def rest(self, block, old, new, lines, rings, images, mm, info, found, up):
        """Marks, texts and notches; every pair that is not a moved coordinate is the same bytes."""
        at = []
        for use in (use for use in ("cut", "sew") if use in rings):
            for i, v in enumerate(rings[use][0]):
                at.append((v, rings[use][1][images[use][i]] - v))
        places, shifts = np.array([a for a, _ in at]), np.array([s for _, s in at])
        cut_old, cut_new = (LinearRing(ring) for ring in rings.get("cut", rings["sew"]))
        notch_layers = {"4", "80", "81", "82", "83"}
        notches = []
        for a, b in zip(old, new):
            if any(a is line[0] for line in lines.values()):
                self.same_line(block, a, b)
                continue
            moved = {10, 20} if a.kind in ("POINT", "TEXT") else set()
            self.same_pairs(block, a, b, moved)
            if not moved or a.point() is None:
                continue
            p, q = np.array(a.point()) * mm, np.array(b.point()) * mm
            shift = q - p
            k = int(np.argmin(np.hypot(*(places - p).T)))
            on_vertex = np.hypot(*(places[k] - p)) <= MOVES_TEXT
            rule = a.kind == "TEXT" and (a.get(1) or b"").strip().startswith(b"#")
            if a.kind == "POINT" and a.layer in notch_layers:
                notches.append((p, shift))
                gap = cut_new.distance(Point(q)) - cut_old.distance(Point(p))
                self.bound(block, "notch off the new edge, mm", gap, 0.05)
                if cut_old.distance(Point(p)) < 1.0 and abs(float(np.dot(shift, [-up[1], up[0]]))) > 1e-3:
                    self.worst["notch across the grain, mm"] = max(self.worst["notch across the grain, mm"], abs(float(np.dot(shift, [-up[1], up[0]]))))
            elif a.kind == "POINT" and a.layer in {"2", "3"} and on_vertex or rule and on_vertex and a.layer not in notch_layers:
                self.bound(block, "turn or curve point or rule text off its vertex, mm", float(np.hypot(*(shift - shifts[k]))), 2e-4)
            elif rule and a.layer in notch_layers:
                pass  # with its notch, below
            elif np.abs(shift).max() > 0:
                self.fail(block, f"{a.kind} on layer {a.layer} at {p} is inside the piece and moved by {shift}")
        for a, b in zip(old, new):
            if a.kind == "TEXT" and a.layer in notch_layers and notches and (a.get(1) or b"").strip().startswith(b"#"):
                p, q = np.array(a.point()) * mm, np.array(b.point()) * mm
                k = min(range(len(notches)), key=lambda i: np.hypot(*(notches[i][0] - p)))
                if np.hypot(*(notches[k][0] - p)) <= MOVES_TEXT:
                    self.bound(block, "rule text off its notch, mm", float(np.hypot(*(q - p - notches[k][1]))), 2e-4)

    def same_pairs(self, block, a, b, moved):
        if len(a.pairs) != len(b.pairs):
            self.fail(block, f"{a.kind}: pairs were added or lost")
            return
        for x, y in zip(a.pairs, b.pairs):
            if x != y and not (x[0] in moved and x[2:] == y[2:] and x[0] == y[0]):
                self.fail(block, f"{a.kind} on layer {a.layer}: {x[:2]} became {y[:2]}")

    def same_line(self, block, a, b):
        """A polyline: everything but coordinates is the same; added vertices are copies of a neighbour."""
        if a.kind == "POLYLINE":
            self.same_pairs(block, a, b, set())
            self.same_pairs(block, a.end, b.end, set())
            form = lambda v: [(c, None if c in (10, 20, 5) else x, line, end) for c, x, line, end in v.pairs]
            forms = [form(v) for v in a.vertices]
            for v in b.vertices:
                if form(v) not in forms:
                    self.fail(block, f"a vertex has another form than the original's: {form(v)}")
            return
        strip = lambda e: [x for x in e.pairs if x[0] not in (10, 20, 90)]
        if strip(a) != strip(b):
            self.fail(block, "LWPOLYLINE: something other than coordinates differs")
        if int(b.get(90)) != len(vertices(b)):
            self.fail(block, "LWPOLYLINE: its vertex count is not that of its vertices")

    # -- front and back together

    def size(self, size, measured):
        name = f"size {size['size']}"
        f, b = measured["front"], measured["back"]
        before = f["rise"][0] + b["rise"][0]
        after = f["rise"][1] + b["rise"][1]
        asked = size["asked"]
        self.bound(name, "crotch length missed by, mm", after - before - asked["change_mm"], LENGTH)
        for which, value in (("before", before), ("after", after)):
            self.bound(name, "reported crotch length off, mm", size[which]["crotch_length_mm"] - value, 0.005)
        for k, which in ((0, "before"), (1, "after")):
            mine = b["inseam"][k] - f["inseam"][k]
            self.bound(name, "reported inseam difference off, mm", size[which]["inseam_difference_mm"] - mine, 0.005)
        difference = (b["inseam"][1] - f["inseam"][1]) - (b["inseam"][0] - f["inseam"][0])
        self.bound(name, "inseam difference changed by, mm", difference, INSEAM)
        # The even split: half of the difference each (common practice, no source).
        if asked["front_share"] == 0.5:
            for piece in (f, b):
                self.bound(name, "share of the rise off an even split, mm", piece["rise"][1] - piece["rise"][0] - asked["change_mm"] / 2, LENGTH)
        if not f["straight_inseam"] and not b["straight_inseam"]:
            turned = (f["angle"][1] + b["angle"][1]) - (f["angle"][0] + b["angle"][0])
            self.bound(name, "angles at the fork changed by, degrees", turned, 0.1)


def one(original, altered, report, truth):
    v = Verifier(original.stem)
    data = json.loads(report.read_text())
    known = json.loads(truth.read_text()) if truth else {"unit_mm": 25.4 if data["drawing"]["unit"] == "in" else 1.0}
    v.drawing(original, altered, data, known)
    return v


def needless_refusals(original, report, truth):
    """Refusals other than for the corner that a leaning, short centre seam must get where it enters the curve."""
    data, known = json.loads(report.read_text()), json.loads(truth.read_text())
    blocks = Raw(original.read_bytes()).blocks
    wrong = []
    for size in data["sizes"]:
        errors = [f for f in size["findings"] if f["severity"] == "error"]
        turns = []
        for part in ("front", "back") if size["moves"] else ():
            block = size["before"][part]["block"]
            entities = entities_of(blocks[block])
            line = next(e for e in entities if "POLYLINE" in e.kind and e.layer == "14")
            points = np.array([v for v, _ in vertices(line)]) * known["unit_mm"]
            grain = next(e for e in entities if e.layer == "7" and e.kind == "LINE")
            up = np.array([grain.number(11) - grain.number(10), grain.number(21) - grain.number(20)])
            up /= np.hypot(*up)
            c = known["blocks"][block]["sew"]
            if np.dot(points[c["waist"]] - points[c["fork"]], up) < 0:
                up = -up
            waist, begin = points[c["waist"]], points[c["curve_begin"]]
            # The direction of the centre seam after the slide against that of the curve, which is a copy.
            moved = begin - size["moves"][part]["along_mm"] * up
            turns.append(abs(turn(waist, moved, moved + begin - waist)))
        if errors and not (turns and max(turns) > CENTRE - 0.1):
            wrong += [f"{original.stem}: refused without need: {f['id']}: {f['message']}" for f in errors]
    return wrong


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("files", nargs="*", type=pathlib.Path)
    parser.add_argument("--folder", type=pathlib.Path)
    args = parser.parse_args()
    refused = []
    if args.folder:
        jobs = []
        for original in sorted(args.folder.glob("*.dxf")):
            altered = original.with_suffix(".out.dxf")
            truth = original.with_suffix(".truth.json")
            if original.name.endswith(".out.dxf"):
                continue
            if not altered.exists():
                refused.append((original, original.with_suffix(".report.json"), truth))
                continue
            jobs.append((original, altered, original.with_suffix(".report.json"), truth if truth.exists() else None))
    else:
        original, altered, report, *truth = args.files
        jobs = [(original, altered, report, truth[0] if truth else None)]
    violations, worst = [], collections.defaultdict(float)
    for job in jobs:
        v = one(*job)
        violations += v.violations
        for key, value in v.worst.items():
            worst[key] = max(worst[key], value)
    for job in refused:
        violations += needless_refusals(*job)
    for line in violations:
        print(line)
    print(f"{len(jobs)} drawings verified, {len(refused)} refused, {len(violations)} violations")
    for key in sorted(worst):
        print(f"  worst: {key}: {worst[key]:.6f}")
    return 1 if violations or not jobs else 0


if __name__ == "__main__":
    sys.exit(main())

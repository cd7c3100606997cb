"""Reads a drawing twice: raw, as group codes and values, and by ezdxf, an independent reader of DXF."""

import collections
import io
import math

from ezdxf import recover
from ezdxf.math import bulge_to_arc
import numpy as np

from raw_dxf import Raw, entities_of, vertices

LINES = ("POLYLINE", "LWPOLYLINE", "LINE", "ARC", "SPLINE", "ELLIPSE")
NOTCH = ("4", "80", "81", "82", "83")
FLAT = 0.0005  # mm, how far a curve may be from the points it is read as
JOIN = 0.05  # mm between ends of lines that are one


class Read:
    """A drawing: raw blocks, and what ezdxf makes of them, entity by entity."""

    def __init__(self, data, mm):
        self.raw, self.mm = Raw(data), mm
        self.doc, auditor = recover.read(io.BytesIO(data))
        self.complaints = collections.Counter(e.code for e in auditor.errors)
        self.entities = {name: entities_of(pairs)[1:] for name, pairs in self.raw.blocks.items()}
        self.entities = {name: [e for e in es if e.kind != "ENDBLK"] for name, es in self.entities.items()}
        self.seen = {block.name: list(block) for block in self.doc.blocks}

    def outline(self, name, layer):
        """The closed line on a layer: `Line` objects joined to one, or nothing."""
        strokes = []
        for k, e in enumerate(self.seen.get(name, ())):
            if e.dxf.layer == layer and e.dxftype() in LINES:
                strokes.append(Stroke(k, e, self.mm))
        return Outline(joined(strokes)) if strokes else None


def curve_points(e, mm):
    flat = FLAT / mm
    return [(p.x, p.y) for p in e.flattening(flat)]


class Stroke:
    """One drawn line as points in mm; `vertex[i]` is the number of the entity's vertex that point i is, or −1."""

    def __init__(self, entity, e, mm):
        self.entity, self.curved = entity, False
        kind = e.dxftype()
        if kind in ("ARC", "SPLINE", "ELLIPSE"):
            self.points, self.curved = curve_points(e, mm), True
            self.vertex, self.closed = [-1] * len(self.points), False
        elif kind == "LINE":
            self.points = [(e.dxf.start.x, e.dxf.start.y), (e.dxf.end.x, e.dxf.end.y)]
            self.vertex, self.closed = [0, 1], False
        else:
            if kind == "LWPOLYLINE":
                rows, self.closed = list(e.get_points("xyb")), e.closed
            else:
                rows = [(v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0)) for v in e.vertices]
                self.closed = e.is_closed
            self.points, self.vertex = [], []
            for k, (x, y, bulge) in enumerate(rows):
                self.points.append((x, y))
                self.vertex.append(k)
                if bulge and (self.closed or k + 1 < len(rows)):
                    self.bend((x, y), rows[(k + 1) % len(rows)][:2], bulge, mm)
        self.points = np.array(self.points) * mm

    def bend(self, p, q, bulge, mm):
        self.curved = True
        middle, a, b, radius = bulge_to_arc(p, q, bulge)
        b += 2 * math.pi if b < a else 0.0
        n = max(2, math.ceil((b - a) / (2 * math.acos(max(0.5, 1 - FLAT / mm / radius)))))
        angles = np.linspace(a, b, n + 1)[1:-1]
        run = [(middle[0] + radius * math.cos(t), middle[1] + radius * math.sin(t)) for t in angles]
        self.points += run if bulge > 0 else run[::-1]
        self.vertex += [-1] * len(run)

    def reversed(self):
        self.points, self.vertex = self.points[::-1], self.vertex[::-1]
        return self


def joined(strokes):
    """Strokes in the order in which they make up one closed line."""
    rest, chain = strokes[1:], [strokes[0]]
    while rest:
        end = chain[-1].points[-1]
        best = min(rest, key=lambda s: min(math.dist(end, s.points[0]), math.dist(end, s.points[-1])))
        gaps = math.dist(end, best.points[0]), math.dist(end, best.points[-1])
        if min(gaps) > JOIN:
            raise ValueError(f"an outline is open by {min(gaps):.3f} mm")
        chain.append(best if gaps[0] <= gaps[1] else best.reversed())
        rest.remove(best)
    return chain


class Outline:
    """A closed line: points in mm without the repeated first, and where each of them is drawn."""

    def __init__(self, chain):
        points, where, curved = [], [], []
        for stroke in chain:
            for k, (p, vertex) in enumerate(zip(stroke.points, stroke.vertex)):
                if k == 0 and points and math.dist(points[-1], p) < JOIN:
                    if where[-1][1] < 0:
                        points[-1], where[-1] = p, (stroke.entity, vertex)
                    continue
                points.append(p)
                where.append((stroke.entity, vertex))
            curved.append(stroke.curved)
        self.closed = chain[0].closed or math.dist(points[0], points[-1]) < JOIN
        self.repeated = None
        if math.dist(points[0], points[-1]) < (1e-9 if len(chain) == 1 else JOIN):
            points.pop()
            self.repeated = where.pop()
        self.points, self.where, self.curved = np.array(points), where, any(curved)
        self.entities = {stroke.entity for stroke in chain}

    def nearest(self, p, drawn=True):
        off = np.hypot(*(self.points - p).T)
        if drawn:
            off = off + np.array([1e-6 if v < 0 else 0.0 for _, v in self.where])
        return int(np.argmin(off))


def decimals(entity):
    """The most decimals with which the coordinates of an entity are written."""
    most = 0
    for part in (entity, *entity.vertices):
        for code, value, *_ in part.pairs:
            if code in (10, 11, 20, 21):
                text = value.decode("latin1").strip().lower()
                if "e" in text:
                    return 12
                most = max(most, len(text.partition(".")[2]))
    return most


def coordinates(entity):
    """The places of a raw entity, in the drawing's numbers: its vertices, or its point or two ends."""
    if "POLYLINE" in entity.kind:
        return [p for p, _ in vertices(entity)]
    places = [entity.point()]
    if entity.number(11) is not None:
        places.append((entity.number(11), entity.number(21)))
    return places

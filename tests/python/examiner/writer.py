"""Writes pieces as open-standard DXF (ASTM D6673), in the habits of one writer chosen at random.

Layers, texts and marks are those of the standard, from memory; entities are written as the DXF reference says. The file is
put together as group codes and values here, so that its numbers have the decimals that are wanted.
"""

import math

import numpy as np

from .geometry import at_station, left, length, project, unit
from .leg import SEAMS

SUBCLASS = {"LWPOLYLINE": "AcDbPolyline", "POINT": "AcDbPoint", "LINE": "AcDbLine", "TEXT": "AcDbText",
            "ARC": "AcDbCircle", "SPLINE": "AcDbSpline"}


class Writer:
    """The habits, and the lines written so far."""

    def __init__(self, rng, form):
        self.rng, self.form = rng, form
        self.inch = rng.random() < 0.3
        self.mm = 25.4 if self.inch else 1.0
        self.decimals = rng.choice([4, 4, 5, 6] if self.inch else [3, 3, 4, 6])
        if rng.random() < 0.08:
            self.decimals = 3 if self.inch else 2
        self.turn = math.radians(rng.choice([0, 0, 90, 180, 270, rng.uniform(0, 360), rng.uniform(0, 360)]))
        self.mirrored = rng.random() < 0.5
        self.grain_up = rng.random() < 0.5
        self.shift = (rng.uniform(-3000, 3000), rng.uniform(-3000, 3000)) if rng.random() < 0.6 else (0.0, 0.0)
        self.end = rng.choice(["\n", "\r\n"])
        self.light = form in ("arcs", "spline") or rng.random() < 0.4  # entities of release 2000, else of release 12
        self.closed = rng.random() < 0.6
        self.reverse = rng.random() < 0.5
        self.any_start = rng.random() < 0.5
        self.padded = rng.random() < 0.6
        self.rules, self.points = rng.random() < 0.5, rng.random() < 0.7
        self.slits = rng.random() < 0.3
        self.lines, self.rule, self.handle = [], 0, 0x100

    # ------------------------------------------------------------ group codes

    def pair(self, code, value):
        self.lines.append(f"{code:>3}" if self.padded else str(code))
        self.lines.append(str(value))

    def number(self, code, value):
        text = f"{value:.{self.decimals}f}"
        self.pair(code, text[1:] if text.startswith("-") and float(text) == 0 else text)

    def map(self, p):
        x, y = p
        x = -x if self.mirrored else x
        c, s = math.cos(self.turn), math.sin(self.turn)
        return ((x * c - y * s + self.shift[0]) / self.mm, (x * s + y * c + self.shift[1]) / self.mm)

    def angle(self, v):
        a, b = self.map((0, 0)), self.map(v)
        return math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) % 360

    def at(self, p, codes=(10, 20)):
        for code, value in zip(codes, self.map(p)):
            self.number(code, value)

    def start(self, kind, layer, *classes):
        self.pair(0, kind)
        if self.light:
            self.handle += 1
            self.pair(5, f"{self.handle:X}")
            self.pair(100, "AcDbEntity")
        self.pair(8, layer)
        if self.light:
            for name in classes or (SUBCLASS[kind],):
                self.pair(100, name)

    # ------------------------------------------------------------ entities

    def text(self, layer, p, value):
        self.start("TEXT", layer)
        self.at(p)
        self.number(40, 5 / self.mm)
        self.pair(1, value)
        if self.light:
            self.pair(100, "AcDbText")

    def line(self, layer, p, q):
        self.start("LINE", layer)
        self.at(p)
        self.at(q, (11, 21))

    def point(self, layer, p):
        self.start("POINT", layer)
        self.at(p)

    def polyline(self, layer, points, bulges, closed):
        if closed and not self.closed:
            points, bulges, closed = [*points, points[0]], [*bulges, 0.0], False
        if self.light:
            self.start("LWPOLYLINE", layer)
            self.pair(90, len(points))
            self.pair(70, int(closed))
        else:
            self.start("POLYLINE", layer)
            self.pair(66, 1)
            self.pair(70, int(closed))
        for p, bulge in zip(points, bulges):
            if not self.light:
                self.start("VERTEX", layer)
            self.at(p)
            if bulge:
                self.pair(42, f"{-bulge if self.mirrored else bulge:.9f}")
        if not self.light:
            self.start("SEQEND", layer)

    def arc(self, layer, p, q, bulge):
        if bulge < 0:
            p, q, bulge = q, p, -bulge
        turn = 4 * math.atan(bulge)
        radius = math.dist(p, q) / (2 * math.sin(turn / 2))
        middle = (np.asarray(p) + q) / 2 + left(unit(np.subtract(q, p))) * radius * math.cos(turn / 2)
        ends = [self.angle(p - middle), self.angle(q - middle)]
        self.start("ARC", layer)
        self.at(middle)
        self.number(40, radius / self.mm)
        if self.light:
            self.pair(100, "AcDbArc")
        for code, angle in zip((50, 51), ends[::-1] if self.mirrored else ends):
            self.pair(code, f"{angle:.8f}")

    def spline(self, layer, control):
        self.start("SPLINE", layer)
        for code, value in ((70, 8), (71, 3), (72, 8), (73, 4), (74, 0)):
            self.pair(code, value)
        for knot in (0, 0, 0, 0, 1, 1, 1, 1):
            self.pair(40, float(knot))
        for p in control:
            self.at(p)
            self.pair(30, "0.0")

    # ------------------------------------------------------------ outlines

    def outline(self, layer, ring, start):
        """A closed line; what is curved exactly is an arc, a spline or a bulge, by the writer's form."""
        ring = [ring[(start + k) % len(ring)] for k in range(len(ring))]
        exact = [k for k, v in enumerate(ring) if v.spline is not None or v.bulge]
        if self.form == "bulge" or not exact:
            points, bulges = [v.at for v in ring], [v.bulge for v in ring]
            if self.reverse:
                points, bulges = points[::-1], [-b for b in [*bulges[:-1][::-1], bulges[-1]]]
            self.polyline(layer, points, bulges, True)
            return
        # A chain: the curve's own entities, and one open polyline for the rest.
        n, made = len(ring), []
        for k in exact:
            p, q = ring[k].at, ring[(k + 1) % n].at
            if ring[k].spline is not None:
                control = [p, *ring[k].spline, q]
                made.append(lambda control=control: self.spline(layer, control[::-1] if self.reverse else control))
            else:
                made.append(lambda p=p, q=q, b=ring[k].bulge: self.arc(layer, p, q, b))
        rest = [ring[(exact[-1] + 1 + k) % n].at for k in range(n - len(exact) + 1)]
        made.append(lambda: self.polyline(layer, rest[::-1] if self.reverse else rest, [0.0] * len(rest), False))
        self.rng.shuffle(made)
        for draw in made:
            draw()

    def vertex_marks(self, ring):
        """Turn points at corners, curve points at other vertices, and the grade rules of turn points."""
        share = self.rng.random()
        for v in ring:
            if v.corner:
                self.point("2", v.at)
                if self.rules:
                    self.rule += 1
                    self.text("2", v.at, f"# {self.rule}")
            elif share < 0.7 and not v.bulge and len(ring) < 900:
                self.point("3", v.at)

    def notch(self, at, inward):
        layer = self.rng.choice(["4", "4", "80", "83"])
        if self.slits:
            ends = [at, at + 6 * inward]
            self.line("4", *(ends if self.rng.random() < 0.5 else ends[::-1]))
            return
        self.point(layer, at)
        self.number(30, 6 / self.mm)
        self.number(39, 3 / self.mm)
        self.number(50, self.angle(inward))
        if self.rules:
            self.rule += 1
            self.text(layer, at, f"# {self.rule}")

    # ------------------------------------------------------------ blocks and the file

    def begin_block(self, name):
        self.pair(0, "BLOCK")
        if self.light:
            self.handle += 1
            self.pair(5, f"{self.handle:X}")
            self.pair(100, "AcDbEntity")
        self.pair(8, "0")
        if self.light:
            self.pair(100, "AcDbBlockBegin")
        self.pair(2, name)
        self.pair(70, 0)
        for code in (10, 20, 30):
            self.number(code, 0.0)
        self.pair(3, name)

    def end_block(self):
        self.pair(0, "ENDBLK")
        if self.light:
            self.handle += 1
            self.pair(5, f"{self.handle:X}")
            self.pair(100, "AcDbEntity")
        self.pair(8, "0")
        if self.light:
            self.pair(100, "AcDbBlockEnd")

    def begin(self):
        if self.rng.random() < 0.3:
            self.pair(999, "drawn at random")
        if self.light:
            for code, value in ((0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1015"), (9, "$HANDSEED"), (5, "FFFF"), (0, "ENDSEC")):
                self.pair(code, value)
        self.pair(0, "SECTION")
        self.pair(2, "BLOCKS")

    def finish(self):
        self.pair(0, "ENDSEC")
        self.pair(0, "SECTION")
        self.pair(2, "ENTITIES")
        self.text("1", (0, 0), "Style Name: RANDOM")
        self.text("1", (0, 20), f"Units: {'ENGLISH' if self.inch else 'METRIC'}")
        self.pair(0, "ENDSEC")
        self.pair(0, "EOF")
        return (self.end.join(self.lines) + self.end).encode("ascii")


def seam_run(ring, seam):
    """The points of one seam of a ring, its end included, and without what a fly or a vent puts beside it."""
    n = len(ring)
    on = [k for k in range(n) if ring[k].seam == seam and ring[k].of is None]
    return np.array([ring[k].at for k in on] + [ring[(on[-1] + 1) % n].at])


def notch_places(ring, back, knee_up):
    """Where notches stand on an outline: as seams, each with the place and the way into the cloth."""
    made = []
    outline = np.array([v.at for v in (*ring, ring[0])])
    shares = {"crotch": (0.25, 0.6, 0.85) if back else (0.6, 0.85), "outseam": (0.35, 0.75), "waist": (0.5,), "hem": (0.5,)}
    for seam in SEAMS:
        if any(v.seam == seam and v.of == "dart" for v in ring):
            continue
        run = seam_run(ring, seam)
        size = length(run)
        # Inseams are matched from the fork down, and from the hem up.
        at = (0.2 * knee_up, size - knee_up) if seam == "inseam" else [s * size for s in shares[seam]]
        for s in at:
            if 5 < s < size - 5:
                p, d = at_station(run, s)
                # Beside a fly the centre front line is no edge.
                if project(outline, p)[1] > 0.01:
                    continue
                made.append((seam, p, -left(d)))
    return made

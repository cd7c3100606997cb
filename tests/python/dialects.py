"""Draws one pair of trouser legs in many dialects with ezdxf, and verifies what became of them.

    python dialects.py draw DIR      # NAME.dxf, NAME.csv, NAME.toml and NAME.expect.json for each dialect
    python dialects.py verify DIR    # every NAME.out.dxf with NAME.report.json, against NAME.dxf and NAME.expect.json

The expected rises are closed forms: straight centre seams and crotch curves that are arcs (or polylines with a vertex each
6 mm where a dialect has no arcs). Altered drawings are read by ezdxf alone; lengths and offsets are by shapely.
"""

import json
import math
import pathlib
import sys

import ezdxf
from ezdxf import path
from ezdxf.math import bulge_to_arc
from shapely import LineString, Point, Polygon
from shapely.affinity import rotate, scale
from shapely.ops import linemerge, substring

ALLOWANCE = 12.0
LINES = ("LINE", "ARC", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE")
SIZE = "38"


def arc_points(b, f, bulge, spacing):
    """Points strictly between the ends of an arc, about `spacing` apart."""
    centre, start, end, radius = bulge_to_arc(b, f, bulge)
    n = max(2, round(radius * (end - start) / spacing))
    points = [(centre[0] + radius * math.cos(start + (end - start) * i / n), centre[1] + radius * math.sin(start + (end - start) * i / n)) for i in range(1, n)]
    return points if math.dist(points[0], b) < math.dist(points[-1], b) else points[::-1]


class Leg:
    """The sew line of a leg in mm, waist up, fork to the right, clockwise from the centre waist."""

    def __init__(self, name, extension, lean, hip, top=250.0, fly=0.0):
        self.name = name
        down = (math.sin(math.radians(lean)), -math.cos(math.radians(lean)))
        self.begin = (0.0, 95.0)
        self.waist = tuple(b - d * (top - 95.0) for b, d in zip(self.begin, down))
        self.fork = (extension, 0.0)
        chord = (self.fork[0] - self.begin[0], self.fork[1] - self.begin[1])
        turned = math.atan2(down[0] * chord[1] - down[1] * chord[0], down[0] * chord[0] + down[1] * chord[1])
        # Tangent to the centre seam: half of what the arc turns lies between tangent and chord.
        self.bulge = math.tan(turned / 2)
        radius = math.dist(self.begin, self.fork) / (2 * math.sin(abs(turned)))
        self.centre_seam, self.curve = top - 95.0, radius * 2 * abs(turned)
        knee, hem = (extension - 38.0, -330.0), (extension - 50.0, -700.0)
        side = (self.waist[0] - 190 * math.cos(math.radians(lean)), self.waist[1] - 190 * math.sin(math.radians(lean)) + 8)
        self.inseam = [self.fork, knee, hem]
        self.rest = [hem, (hem[0] - 200, -700.0), (knee[0] - 230, -330.0), (-hip, 80.0), side]
        self.grain = ((-70.0, -280.0), (-70.0, 120.0))
        self.fly = fly

    def inseam_points(self):
        """From the fork to the hem, a vertex each 15 mm down to the knee."""
        (ax, ay), (bx, by), hem = self.inseam
        n = 22
        hollow = [(ax + (bx - ax) * i / n - 3.0 * math.sin(math.pi * i / n), ay + (by - ay) * i / n) for i in range(n + 1)]
        return hollow + [hem]

    def across(self, p):
        """Where the piece has a point of the leg: it is the leg."""
        return p

    def extension(self):
        """The points of a fly, cut on beside the straight centre seam: out, down and back to it."""
        d = ((self.begin[0] - self.waist[0]) / self.centre_seam, (self.begin[1] - self.waist[1]) / self.centre_seam)
        out = (-d[1], d[0])
        at = lambda along, across: tuple(self.waist[k] + along * d[k] + across * out[k] for k in (0, 1))
        return [at(0, self.fly), at(110, self.fly), at(110, 0)]

    def polyline(self, spacing=6.0):
        """The whole sew line as vertices, without repeating the first."""
        top = [self.waist] + (self.extension() if self.fly else []) + [self.begin]
        return top + arc_points(self.begin, self.fork, self.bulge, spacing) + self.inseam_points() + self.rest[1:]

    def rise(self, spacing=6.0):
        """Its length in closed form, or along the chords of a polyline."""
        if spacing is None:
            return self.centre_seam + self.curve
        run = [self.begin] + arc_points(self.begin, self.fork, self.bulge, spacing) + [self.fork]
        return self.centre_seam + sum(math.dist(a, b) for a, b in zip(run, run[1:]))


def front(**more):
    return Leg("FRONT", 48.0, 1.5, 225.0, **more)


def back(**more):
    return Leg("BACK", 92.0, 6.0, 240.0, **more)


def cut_line(points):
    return list(Polygon(points).buffer(ALLOWANCE, join_style="mitre", mitre_limit=8).exterior.coords)[:-1]


class Drawing:
    def __init__(self, version="R2000", unit="mm", code_page=None, map=lambda p: p, say_unit=True, scale=1):
        self.doc = ezdxf.new(version)
        self.unit, self.map_more, self.version = unit, map, version
        # How much larger the drawing shows a piece than the numbers of its block.
        self.scale = scale
        if code_page:
            self.doc.encoding = code_page[0]
            self.doc.header["$DWGCODEPAGE"] = code_page[1]
        if say_unit:
            self.text(self.doc.modelspace(), "Units: " + ("METRIC" if unit == "mm" else "ENGLISH"), (0, 400))

    def map(self, p):
        x, y = self.map_more(p)
        return (x / self.in_mm(), y / self.in_mm())

    def in_mm(self):
        return self.scale * (1.0 if self.unit == "mm" else 25.4)

    def text(self, block, value, at, layer="1"):
        block.add_text(value, dxfattribs={"layer": layer, "height": 5, "insert": self.map(at)})

    def block(self, leg, name=None, base=(0, 0), inserts=((0, 0, 1, 1, 0),), grain=True, piece=None):
        block = self.doc.blocks.new((name or leg.name) + "-" + SIZE, base_point=base)
        for i, line in enumerate((f"Piece Name: {piece or name or leg.name}", f"Size: {SIZE}", "Quantity: 2")):
            self.text(block, line, (-120, -200 - 12 * i))
        if grain:
            block.add_line(*map(self.map, leg.grain), dxfattribs={"layer": "7"})
        for x, y, sx, sy, turn in inserts:
            self.doc.modelspace().add_blockref(block.name, (x, y), dxfattribs={"xscale": sx, "yscale": sy, "rotation": turn})
        return block

    def line(self, block, points, layer, close=True):
        points = [self.map(p) for p in points]
        add = block.add_polyline2d if self.version == "R12" else block.add_lwpolyline
        add(points, close=close, dxfattribs={"layer": layer})

    def plain(self, leg, cut=True, sew="14", **more):
        block = self.block(leg, **more)
        if cut:
            self.line(block, cut_line(leg.polyline()), "1")
        if sew:
            self.line(block, leg.polyline(), sew)
        return block


DIALECTS = {}


def dialect(job="", spacing=6.0, **expect):
    def keep(build):
        DIALECTS[build.__name__.strip("_").replace("_", "-")] = (build, job, spacing, expect)
        return build

    return keep


def both(drawing, **more):
    for leg in (front(), back()):
        drawing.plain(leg, **more)
    return drawing


@dialect()
def lwpolyline():
    return both(Drawing("R2010"))


@dialect()
def polyline_release_12():
    return both(Drawing("R12"))


@dialect()
def inches_askew_mirrored():
    c, s = math.cos(0.6), math.sin(0.6)
    return both(Drawing(unit="in", map=lambda p: (-p[0] * c - p[1] * s + 300, -p[0] * s + p[1] * c)))


@dialect(binary=True)
def binary_release_12():
    return both(Drawing("R12"))


@dialect(binary=True)
def binary():
    return both(Drawing("R2010"))


def curved(drawing, form):
    for leg in (front(), back()):
        block = drawing.block(leg)
        rest = leg.inseam_points() + leg.rest[1:] + [leg.waist]
        attribs = {"layer": "14"}
        if form == "bulge":
            line = [(*leg.waist, 0), (*leg.begin, leg.bulge)] + [(*p, 0) for p in rest[:-1]]
            add = block.add_polyline2d if drawing.version == "R12" else block.add_lwpolyline
            add(line, format="xyb", close=True, dxfattribs=attribs)
            continue
        block.add_line(leg.waist, leg.begin, dxfattribs=attribs)
        centre, start, end, radius = bulge_to_arc(leg.begin, leg.fork, leg.bulge)
        if form == "arc":
            block.add_arc(centre, radius, math.degrees(start), math.degrees(end), dxfattribs=attribs)
        elif form == "ellipse":
            # A circle; its parameters count from an axis that points anywhere.
            axis = (radius * math.cos(2.0), radius * math.sin(2.0))
            block.add_ellipse(centre, axis, 1.0, start - 2.0, end - 2.0, dxfattribs=attribs)
        elif form == "fit":
            # Points on the arc, and its directions at both ends: the spline through them is the arc to a hundredth of a mm.
            points = [leg.begin] + arc_points(leg.begin, leg.fork, leg.bulge, 8.0) + [leg.fork]
            chord, half = math.atan2(leg.fork[1] - leg.begin[1], leg.fork[0] - leg.begin[0]), 2 * math.atan(leg.bulge)
            way = lambda angle: (math.cos(angle), math.sin(angle), 0)
            spline = block.add_spline(fit_points=points, dxfattribs=attribs)
            spline.dxf.start_tangent, spline.dxf.end_tangent = way(chord - half), way(chord + half)
        else:
            from ezdxf.math import rational_bspline_from_arc

            curve = rational_bspline_from_arc(centre, radius, math.degrees(start), math.degrees(end))
            block.add_spline(dxfattribs=attribs).apply_construction_tool(curve)
        drawing.line(block, rest[::-1], "14", close=False)
    return drawing


@dialect(spacing=None)
def line_and_arc_chain():
    return curved(Drawing("R2000"), "arc")


@dialect(spacing=None)
def line_and_ellipse_chain():
    return curved(Drawing("R2000"), "ellipse")


@dialect(spacing=None)
def spline_chain():
    return curved(Drawing("R2000"), "spline")


@dialect(spacing=None)
def spline_through_points():
    return curved(Drawing("R2000"), "fit")


@dialect(spacing=None)
def bulge():
    return curved(Drawing("R2000"), "bulge")


@dialect(spacing=None)
def bulge_release_12():
    return curved(Drawing("R12"), "bulge")


@dialect(job='[allowance]\nall = "12 mm"\n', sew_line="allowance")
def cut_line_only():
    return both(Drawing(), sew=None)


@dialect(job="[allowance]\nall = 0\n", sew_line="boundary")
def sew_line_as_boundary():
    return both(Drawing(), cut=False, sew="1")


@dialect(crotch="layer", inseam="layer")
def seams_on_their_layers():
    drawing = Drawing()
    for leg in (front(), back()):
        block = drawing.block(leg)
        crotch = [leg.waist, leg.begin] + arc_points(leg.begin, leg.fork, leg.bulge, 6.0) + [leg.fork]
        hem, outer = leg.rest[0], leg.rest[1]
        seams = {"CROTCH": crotch, "INSEAM": leg.inseam_points()[::-1], "HEM": [hem, outer], "OUTSEAM": leg.rest[1:], "WAIST": [leg.rest[-1], leg.waist]}
        for layer, points in seams.items():
            drawing.line(block, points, layer, close=False)
    return drawing


def labelled(drawing, word, crotch, inseam):
    for leg, name in ((front(), word), (back(), "BACK")):
        block = drawing.plain(leg, name=name)
        x, y = leg.begin
        drawing.text(block, crotch, (x - 15, y - 30), "15")
        x, y = leg.inseam_points()[8]
        drawing.text(block, inseam, (x - 30, y), "15")
    return drawing


CYRILLIC = '[labels]\nfront = ["ПЕРЕД"]\ncrotch = ["СРЕДНИЙ ШОВ"]\ninseam = ["ШАГОВЫЙ ШОВ"]\n'
JAPANESE = '[labels]\nfront = ["前身頃"]\ncrotch = ["股上"]\ninseam = ["股下"]\n'


@dialect(job=CYRILLIC, crotch="label", inseam="label")
def labels_in_code_page_1251():
    return labelled(Drawing("R2000", code_page=("cp1251", "ANSI_1251")), "ПЕРЕД", "СРЕДНИЙ ШОВ", "ШАГОВЫЙ ШОВ")


@dialect(job=JAPANESE, crotch="label", inseam="label")
def labels_in_code_page_932():
    return labelled(Drawing("R2000", code_page=("cp932", "ANSI_932")), "前身頃", "股上", "股下")


@dialect(fork=lambda p: (500 - p[1], 100 + p[0]))
def placed_askew():
    return both(Drawing(), inserts=((500, 100, 1, 1, 90),))


@dialect()
def placed_twice_and_mirrored():
    return both(Drawing(), inserts=((0, 0, 1, 1, 0), (900, 0, -1, 1, 0)))


def from_behind(drawing):
    """The same drawing with each entity in a plane that is seen from behind, where that has coordinates of its own."""
    flip = ezdxf.math.Matrix44.scale(-1, 1, 1)
    for block in drawing.doc.blocks:
        for e in block if block.name.endswith(SIZE) else ():
            if e.dxftype() in ("LWPOLYLINE", "POLYLINE", "ARC", "TEXT"):
                # Mirrored twice: in its coordinates, and in the plane that they are in.
                e.transform(flip)
                assert e.dxf.extrusion.z < 0
                if e.dxftype() == "LWPOLYLINE":
                    e.set_points([(-x, y, s, w, -b) for x, y, s, w, b in e.get_points()])
                elif e.dxftype() == "POLYLINE":
                    for v in e.vertices:
                        v.dxf.location, v.dxf.bulge = (-v.dxf.location.x, v.dxf.location.y, 0), -v.dxf.bulge
                elif e.dxftype() == "ARC":
                    e.dxf.center = (-e.dxf.center.x, e.dxf.center.y, 0)
                    e.dxf.start_angle, e.dxf.end_angle = 180 - e.dxf.end_angle, 180 - e.dxf.start_angle
                else:
                    e.dxf.insert = (-e.dxf.insert.x, e.dxf.insert.y, 0)
    return drawing


@dialect()
def seen_from_behind():
    return from_behind(both(Drawing("R2010")))


@dialect(spacing=None)
def chain_seen_from_behind():
    return from_behind(curved(Drawing("R2000"), "arc"))


@dialect(spacing=None)
def bulge_release_12_seen_from_behind():
    return from_behind(curved(Drawing("R12"), "bulge"))


@dialect(fork=lambda p: (300 + p[0], 40 + p[1]))
def placed_at_twice_its_numbers():
    return both(Drawing(scale=2), inserts=((300, 40, 2, 2, 0),))


@dialect(fork=lambda p: (300 - p[1], 40 + p[0]))
def placed_in_a_block_that_is_placed():
    drawing = both(Drawing(scale=4), inserts=())
    sheet = drawing.doc.blocks.new("SHEET")
    for leg in ("FRONT", "BACK"):
        sheet.add_blockref(f"{leg}-{SIZE}", (0, 0), dxfattribs={"xscale": 2, "yscale": 2})
    drawing.doc.modelspace().add_blockref("SHEET", (300, 40), dxfattribs={"xscale": 2, "yscale": 2, "rotation": 90})
    return drawing


@dialect(fork=lambda p: (p[0] - 40, p[1] - 30))
def base_point():
    return both(Drawing(), base=(40, 30), inserts=((0, 0, 1, 1, 0),))


@dialect(job='unit = "mm"\n')
def no_inserts_and_no_unit():
    drawing = both(Drawing(say_unit=False), inserts=())
    del drawing.doc.header["$INSUNITS"]
    return drawing


@dialect(fly=True)
def fly():
    drawing = Drawing()
    drawing.plain(front(fly=40.0))
    drawing.plain(back())
    return drawing


@dialect(job='[allowance]\nall = "12 mm"\n', sew_line="allowance", fly=True)
def fly_on_the_cut_line_only():
    drawing = Drawing()
    drawing.plain(front(fly=40.0), sew=None)
    drawing.plain(back(), sew=None)
    return drawing


@dialect(yoke=60.0)
def yoke():
    drawing = Drawing()
    drawing.plain(front())
    drawing.plain(back(top=190.0))
    block = drawing.block(back(), name="YOKE", grain=False, piece="BACK YOKE")
    drawing.line(block, [(0, 0), (-190, 10), (-190, 38), (0, 60)], "14")
    block.add_line((-40, 15), (-40, 45), dxfattribs={"layer": "7"})
    return drawing


@dialect(yoke=60.0, raised=True, share="30 %", job='[alter]\nuneven = "waist"\n')
def yoke_with_the_centre_waist_moved():
    return yoke()


@dialect(symbols=True)
def notches_and_holes_as_symbols():
    """Notches and drill holes are blocks of their own that are placed within the pieces, one at the crotch curve, one at the
    outseam and a hole."""
    drawing = Drawing()
    notch, hole = (drawing.doc.blocks.new(name) for name in ("SLIT", "HOLE"))
    notch.add_line((0, 0), (0, -6), dxfattribs={"layer": "4"})
    hole.add_circle((0, 0), 2, dxfattribs={"layer": "0"})
    for leg in (front(), back()):
        block = drawing.plain(leg)
        on_edge = lambda p: min(cut_line(leg.polyline()), key=lambda q: math.dist(p, q))
        curve = arc_points(leg.begin, leg.fork, leg.bulge, 6.0)
        for name, at in (("SLIT", on_edge(curve[-6])), ("SLIT", on_edge(leg.rest[-2])), ("HOLE", (-70, 150))):
            block.add_blockref(name, at, dxfattribs={"layer": "0", "rotation": 35})
    return drawing


@dialect(same=("FLAP", "POCKET"))
def left_and_right_beside_other_pieces():
    drawing = Drawing()
    for leg in (front(), back()):
        drawing.plain(leg, piece=leg.name + " LEFT")
        drawing.map_more = lambda p: (-p[0], p[1])
        drawing.plain(leg, name=leg.name + "-R", piece=leg.name + " RIGHT")
        drawing.map_more = lambda p: p
    block = drawing.block(front(), name="POCKET", piece="BACK POCKET")
    drawing.line(block, [(0, 0), (0, 150), (140, 150), (140, 0)], "1")
    block = drawing.block(front(), name="FLAP", grain=False)
    drawing.line(block, [(0, 0), (0, 50), (140, 50), (70, -10)], "1")
    return drawing


@dialect(refused="allowance-missing")
def no_allowance():
    return both(Drawing(), sew=None)


@dialect(refused="half-piece")
def half_piece_on_the_fold():
    drawing = both(Drawing())
    block = drawing.doc.blocks.get("FRONT-38")
    block.add_line(front().rest[-1], front().rest[1], dxfattribs={"layer": "6"})
    return drawing


@dialect(refused="piece-cut-in-two")
def cut_in_two():
    # As long as neither inseam nor outseam: what it is sewn to is not to be told.
    drawing = both(Drawing())
    block = drawing.block(front(), name="FRONT-SIDE", piece="FRONT SIDE PANEL")
    drawing.line(block, [(0, 250), (-120, 250), (-130, -570), (0, -570)], "14")
    return drawing


def change_of(expect):
    """How much longer the crotch seam is asked to be, in mm."""
    return expect.get("change", 20.0)


def draw(folder):
    for name, (build, job, spacing, expect) in DIALECTS.items():
        drawing = build()
        drawing.doc.saveas(folder / f"{name}.dxf", fmt="bin" if expect.get("binary") else "asc")
        share = expect.get("share", "50 %")
        (folder / f"{name}.csv").write_text(f"size,change,front_share\n{SIZE},{change_of(expect)} mm,{share}\n")
        if job:
            (folder / f"{name}.toml").write_text(job, encoding="utf-8")
        legs = [leg for leg, *_ in legs_of(expect)][:2]
        rises = [leg.rise(spacing) for leg in legs]
        rises[1] += expect.get("yoke", 0.0)
        inseams = [sum(math.dist(a, b) for a, b in zip(line, line[1:])) for line in (leg.inseam_points() for leg in legs)]
        inseams = [own + below for own, below in zip(inseams, expect.get("below", (0.0, 0.0)))]
        if "vertices" in expect:
            low, high = expect["vertices"]
            counts = [len(leg.polyline()) for leg in legs]
            assert all(low <= n <= high for n in counts), f"{name} has {counts} vertices"
        said = {k: v for k, v in expect.items() if not callable(v)}
        fork = expect.get("fork")
        said["front_fork"] = fork(legs[0].fork) if fork else None
        (folder / f"{name}.expect.json").write_text(json.dumps({"rises": rises, "inseams": inseams, **said}))


# ---------------------------------------------------------------- verifying


def ring(block, layers, ends=False):
    """The closed line on these layers as points, curves flattened; `ends`: it ends at the mirror line of a half piece."""
    drawn = [e for e in block if e.dxf.layer in layers and e.dxftype() in LINES]
    lines = [LineString([(v.x, v.y) for v in path.make_path(e).flattening(0.0005)]) for e in drawn]
    merged = lines[0] if len(lines) == 1 else linemerge([snapped(line) for line in lines])
    if ends:
        merged = LineString([*merged.coords, merged.coords[0]])
    assert merged.geom_type == "LineString" and merged.is_ring and merged.is_simple, f"{merged.geom_type} {layers}"
    return merged


def snapped(line):
    return LineString([(round(x, 4), round(y, 4)) for x, y in line.coords])


def between(line, a, b):
    """The shorter way along a ring between two points near it."""
    s, t = sorted((line.project(Point(a)), line.project(Point(b))))
    way = substring(line, s, t).length
    return min(way, line.length - way)


def vertices(block):
    found = set()
    for e in block:
        if e.dxftype() in ("LWPOLYLINE", "POLYLINE"):
            points = e.get_points("xy") if e.dxftype() == "LWPOLYLINE" else [v.dxf.location for v in e.vertices]
            side = -1 if e.dxf.get("extrusion", (0, 0, 1))[2] < 0 else 1
            found.update((e.dxf.layer, round(side * p[0], 9), round(p[1], 9)) for p in points)
    return found


def legs_of(expect):
    """Which legs a dialect draws: front, back and others, with the words that their blocks' names begin with."""
    legs = expect["legs"]() if "legs" in expect else [front(), back(top=190.0 if "yoke" in expect else 250.0)]
    words = expect.get("words", (("FRONT-", "ПЕРЕД-", "前身頃-"), "BACK-"))
    return [(leg, leg.name.lower(), word) for leg, word in zip(legs, words)]


def verify(folder, name):
    build, _, spacing, expect = DIALECTS[name]
    report = json.loads((folder / f"{name}.report.json").read_text())["sizes"][0]
    old, new = ezdxf.readfile(folder / f"{name}.dxf"), ezdxf.readfile(folder / f"{name}.out.dxf")
    errors = [str(e) for e in new.audit().errors]
    drawing = build()
    for leg, part, words in legs_of(expect):
        moves = report["moves"][part]
        blocks = [b for b in old.blocks if b.name.startswith(words)]
        if not blocks:
            errors.append(f"no {part} is drawn")
        if "mirror" in expect:
            lines = lambda doc: [e for b in blocks for e in doc.blocks.get(b.name).query('LINE[layer=="6"]')]
            mirrors = [[(e.dxf.start, e.dxf.end) for e in lines(doc)] for doc in (old, new)]
            errors += [f"the mirror line of the {part} has changed"] * (mirrors[0] != mirrors[1] or not mirrors[0])
        for block in (new.blocks.get(b.name) for b in blocks):
            errors += [f"{block.name}: {e}" for e in verify_leg(block, leg, moves, drawing, spacing, expect)]
    if "raised" in expect:
        errors += verify_raised(new.blocks.get(f"YOKE-{SIZE}"), new.blocks.get(f"BACK-{SIZE}"), report, spacing, expect)
    for other in expect.get("same", ()):
        a, b = (doc.blocks.get(f"{other}-{SIZE}") for doc in (old, new))
        if vertices(a) != vertices(b):
            errors.append(f"{other} has changed")
    return [f"{name}: {e}" for e in errors]


def share_of(part, expect):
    """The share of the change that the front or the back gets."""
    front = float(expect.get("share", "50 %").rstrip(" %")) / 100
    return front if part == "FRONT" else 1 - front


def verify_raised(yoke, leg, report, spacing, expect):
    """A yoke whose centre waist is raised along its centre edge: what the back's slide leaves of its change is found there."""
    on = [(x, y) for layer, x, y in vertices(yoke) if layer == "14"]
    for p in [(0, 0), (-190, 10), (-190, 38)]:
        if p not in on:
            yield f"the vertex {p} of the yoke has moved"
    raised = max(y for x, y in on if abs(x) < 1e-6) - 60
    said = report["moves"]["back"]["waist_mm"]
    if abs(raised - said) > 0.001:
        yield f"the yoke is raised by {raised:.4f} mm, {said:.4f} are said"
    drawn = back(top=190.0)
    top, fork = (min(ring(leg, {"14"}).coords, key=lambda q: math.dist(q, p)) for p in (drawn.waist, drawn.fork))
    longer = between(ring(leg, {"14"}), top, fork) - drawn.rise(spacing) + raised
    if abs(longer - change_of(expect) * share_of("BACK", expect)) > 0.05:
        yield f"back and yoke are {longer:.3f} mm longer"
    # The upper edge leaves the raised centre square to the centre edge and comes back at the side: it runs out evenly.
    edge = sorted(((x, y - (60 + (60 - 38) / 190 * x)) for x, y in on if y > 30), reverse=True)
    rises = [h for _, h in edge]
    if any(a < b - 1e-6 for a, b in zip(rises, rises[1:])) or abs(rises[-1]) > 1e-6:
        yield f"what the yoke is raised by does not run out evenly: {rises}"


def verify_leg(block, leg, moves, drawing, spacing, expect):
    slide, across = moves["along_mm"], moves["across_mm"]
    mm = drawing.in_mm()
    side = -1 if "-R-" in block.name else 1
    place = lambda p: drawing.map((side * leg.across(p)[0], leg.across(p)[1]))
    layers = {e.dxf.layer for e in block} & {"14", "CROTCH", "INSEAM", "HEM", "OUTSEAM", "WAIST"} or {"1"}
    line = ring(block, layers, "ends" in expect)
    derived = expect.get("sew_line") == "allowance"
    if derived:
        line = Polygon(line).buffer(-ALLOWANCE, join_style="mitre", mitre_limit=20).exterior
    corner = lambda p: min(line.coords, key=lambda q: math.dist(q, place(p)))
    begin, fork = corner((leg.begin[0], leg.begin[1] - slide)), corner((leg.fork[0] + across, leg.fork[1] - slide))
    away = math.dist(fork, place((leg.fork[0] + across, leg.fork[1] - slide))) * mm
    if away > 0.002:
        yield f"the fork is {away:.4f} mm from where it belongs"
    if leg.name == "FRONT" and "fly" in expect:
        # The centre front line is not drawn beside a fly.
        rise = (between(line, begin, fork) + math.dist(begin, place(leg.waist))) * mm
    else:
        # At a fold the seam runs straight on, and its vertex may lie anywhere on it.
        top = place(leg.waist) if "folded" in expect else corner(leg.waist)
        rise = between(line, top, fork) * mm
    asked = leg.rise(spacing) + change_of(expect) * share_of(leg.name, expect)
    on_yoke = "raised" in expect and leg.name == "BACK"
    if abs(rise - asked) > 0.05 and not on_yoke:
        yield f"the rise is {rise:.3f} mm, asked for were {asked:.3f}"
    if not derived:
        on = [(x, y) for _, x, y in vertices(block)]
        arc = arc_points(leg.begin, leg.fork, leg.bulge, spacing) if spacing else []
        # The lowest 35 % of the crotch seam are a copy.
        chords = [math.dist(a, b) for a, b in zip(arc, arc[1:])]
        for k, (x, y) in enumerate(arc):
            if across or sum(chords[k:]) > 0.35 * leg.rise(spacing) / mm:
                continue
            off = min(math.dist(place((x, y - slide)), q) for q in on) * mm
            if off > 0.001:
                yield f"a vertex of the crotch curve is {off:.4f} mm off an exact copy"
        if "symbols" in expect:
            yield from verify_symbols(block, drawing, slide)
        if "casing" in expect:
            yield from verify_casing(line, leg, place, mm)
        if "one_piece" in expect:
            yield from verify_one_piece(block, line, place, leg, moves, mm)
        # The corner of a casing at the centre goes with the seam that it is turned upon.
        stays = leg.rest[:-1] if "casing" in expect else leg.rest
        for p in stays + ([] if moves["waist_mm"] and not on_yoke else [leg.waist]):
            if min(math.dist(place(p), q) for q in on) > 1e-6:
                yield f"the vertex {p} has moved"


def verify_one_piece(block, line, place, leg, moves, mm):
    """Around both altered seams the cut line keeps its allowance (shapely offsets the sew line), and the inseam comes back. A raised
    waist rises along the centre seam, and comes back at the side."""
    cut = ring(block, {"1"})
    meant = Polygon(line).buffer(ALLOWANCE / mm, join_style="mitre", mitre_limit=8).exterior
    off = max(cut.hausdorff_distance(meant), meant.hausdorff_distance(cut)) * mm
    if off > 0.1:
        yield f"the cut line is {off:.3f} mm off the sew line's allowance"
    knee = leg.inseam[1]
    off = line.distance(Point(place(knee))) * mm
    if off > 0.3:
        yield f"at the knee the inseam is {off:.3f} mm off the old one"
    if moves["waist_mm"]:
        centre, side = leg.waist, leg.side
        up = [(a - b) / math.dist(centre, leg.begin) * moves["waist_mm"] for a, b in zip(centre, leg.begin)]
        # The centre seam turns a little with the slide.
        off = min(math.dist(place([a + b for a, b in zip(centre, up)]), q) for q in line.coords) * mm
        if off > 0.02 * abs(moves["waist_mm"]):
            yield f"the centre waist is {off:.3f} mm from where it belongs"
        at = lambda share: [a + (b - a) * share for a, b in zip(centre, side)]
        off = [line.distance(Point(place(at(k / 20)))) * mm for k in range(21)]
        if max(off[10:]) > 0.05 or any(a < b - 0.05 for a, b in zip(off[1:], off[2:])):
            yield f"what the waist is raised by does not run out to the side: {off}"


def verify_symbols(block, drawing, slide):
    """What is placed at the copied curve goes with the slide; what is placed elsewhere stays."""
    before = drawing.doc.blocks.get(block.name).query("INSERT")
    moved = [b.dxf.insert - a.dxf.insert for a, b in zip(before, block.query("INSERT"))]
    for k, (is_now, meant) in enumerate(zip(moved, ((0, -slide), (0, 0), (0, 0)))):
        if math.dist(is_now.xyz[:2], meant) > 0.01:
            yield f"symbol {k} moved by {is_now} in place of {meant}"


def verify_casing(line, leg, place, mm):
    """Turned in along the fold, a casing lies on the leg: shapely reflects its edge and holds it against the seam."""
    (ax, ay), (bx, by) = place(leg.waist), place(leg.side)
    along = math.degrees(math.atan2(by - ay, bx - ax))
    flat = rotate(scale(rotate(line, -along, origin=(ax, ay)), 1, -1, origin=(ax, ay)), along, origin=(ax, ay))
    corner = min(line.coords, key=lambda q: math.dist(q, place(leg.rest[-1])))
    fold = min(line.coords, key=lambda q: math.dist(q, (ax, ay)))
    if math.dist(fold, (ax, ay)) * mm > 1e-6:
        yield "the seam has moved at the fold"
    s, t = sorted((line.project(Point(corner)), line.project(Point(fold))))
    ends = (s, t) if t - s < line.length / 2 else (t, line.length)
    edge = substring(flat, *ends)
    off = max(line.distance(Point(p)) for p in (edge.interpolate(k / 20, normalized=True) for k in range(21))) * mm
    if off > 0.05:
        yield f"turned in, the casing lies {off:.3f} mm beside the seam"


def main():
    task, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    if task == "draw":
        draw(folder)
        return 0
    names = [n for n, (*_, expect) in DIALECTS.items() if "refused" not in expect]
    errors = [e for n in names for e in verify(folder, n)]
    print("\n".join(errors) or f"{len(names)} dialects hold")
    return 1 if errors else 0


if __name__ == "__main__":
    sys.exit(main())

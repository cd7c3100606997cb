"""Draws trouser legs of many shapes with ezdxf, and verifies what became of them, as dialects.py does.

    python shapes.py draw DIR
    python shapes.py verify DIR

Every shape is the plain leg of dialects.py with one thing drawn as patterns in use have it. Its rises are closed forms or
sums of the chords that are drawn; what the shape adds has to stay where it is.
"""

import math
import sys

from shapely import LinearRing, LineString, Point, Polygon

import dialects
from dialects import Drawing, Leg, arc_points, cut_line, dialect

PLAIN = list(dialects.DIALECTS)
KNEE, HEM = -330.0, -700.0


class Shaped(Leg):
    """A leg whose other edges are drawn anew; `rest` runs from the inner hem corner to the side of the waist."""

    def __init__(self, back, lean=None, spacing=6.0, **more):
        extension, usual, hip = (92.0, 6.0, 240.0) if back else (48.0, 1.5, 225.0)
        super().__init__("BACK" if back else "FRONT", extension, usual if lean is None else lean, hip, **more)
        self.side, self.spacing = self.rest[-1], spacing

    def polyline(self, spacing=None):
        return super().polyline(spacing or self.spacing)

    def at_waist(self, share, up=0.0):
        """A point of the waist, a share of the way from side to centre, and so far above it."""
        return tuple(a + share * (b - a) + y for a, b, y in zip(self.side, self.waist, (0, up)))


def pair(change, spacing=6.0):
    """The front and the back of a shape."""
    made = [Shaped(back, spacing=spacing) for back in (False, True)]
    for leg in made:
        change(leg)
    return made


def shape(version="R2000", spacing=6.0, drawn=None, **expect):
    """Makes a dialect of what changes a plain leg."""

    def keep(change):
        def build():
            drawing = Drawing(version)
            for leg in pair(change, spacing):
                drawing.plain(leg, **(drawn or {}))
            return drawing

        build.__name__ = change.__name__
        dialect(spacing=spacing, legs=lambda: pair(change, spacing), **expect)(build)
        return change

    return keep


CUT_ONLY = {"drawn": {"sew": None}, "sew_line": "allowance", "job": '[allowance]\nall = "12 mm"\n'}


@shape()
def darts_cut_into_the_outline(leg):
    dart = lambda share, depth: [leg.at_waist(share - 0.06), leg.at_waist(share, -depth), leg.at_waist(share + 0.06)]
    leg.rest = leg.rest + (dart(0.35, 95) + dart(0.68, 110) if leg.name == "BACK" else dart(0.5, 80))


@shape(**CUT_ONLY)
def darts_in_a_cut_line_only(leg):
    # Wide enough for the allowance to reach into it.
    leg.rest = leg.rest + [leg.at_waist(0.35), leg.at_waist(0.5, -60), leg.at_waist(0.65)]


@shape()
def pleats(leg):
    # Folded shut, a pleat brings its edges together; laid flat, its middle stands up or hangs down.
    if leg.name == "FRONT":
        for share in (0.45, 0.72):
            leg.rest = leg.rest + [leg.at_waist(share), leg.at_waist(share + 0.06, 9), leg.at_waist(share + 0.12)]


@shape()
def vents_at_the_outseam_hem(leg):
    x = leg.rest[1][0]
    leg.rest[1:2] = [(x - 32, HEM), (x - 32, HEM + 75), (x, HEM + 90)]


@shape()
def high_vents_at_the_outseam_hem(leg):
    x = leg.rest[1][0]
    leg.rest[1:2] = [(x - 58, HEM), (x - 58, HEM + 170), (x, HEM + 215)]


@shape()
def slit_at_the_outseam_hem(leg):
    x = leg.rest[1][0]
    leg.rest[1:2] = [(x + 18, HEM), (x + 18, HEM + 40), (x, HEM + 60)]


def mirrored(p, a, b):
    """A point reflected in the line through two others."""
    (dx, dy), (x, y) = (b[0] - a[0], b[1] - a[1]), (p[0] - a[0], p[1] - a[1])
    along = (x * dx + y * dy) / (dx * dx + dy * dy)
    return (a[0] + 2 * along * dx - x, a[1] + 2 * along * dy - y)


def along(a, b, way):
    """The point so far from a towards b."""
    share = way / math.dist(a, b)
    return (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))


def beyond_hem(leg, *depths):
    """What is turned up at the hem: beyond each fold the edges mirror those before it. Returns the folds."""
    inner, outer = leg.rest[:2]
    before, turned, folds = [leg.inseam_points()[-2], leg.rest[2]], [], []
    for depth in depths:
        folds.append((inner, outer))
        new = [mirrored(along(a, b, depth), inner, outer) for a, b in zip((inner, outer), before)]
        before, (inner, outer) = [inner, outer], new
        turned.append(new)
    leg.rest[1:1] = [inner for inner, _ in turned] + [outer for _, outer in turned[::-1]]
    return folds


def beyond_waist(leg, depth):
    """What is turned in at the waist, a casing; both edges mirror those below the fold. Returns the fold."""
    fold = (leg.waist, leg.side)
    below = (leg.begin, leg.rest[-2])
    leg.rest = leg.rest + [mirrored(along(a, b, depth), *fold) for a, b in list(zip(fold, below))[::-1]]
    return fold


@shape()
def turned_up_hem(leg):
    # Below the fold line the leg is mirrored, so that it lies flat when turned up.
    beyond_hem(leg, 45.0)


@shape()
def turn_up_folded_three_times(leg):
    # Up, down again behind it, and in: no line is drawn at any of the folds.
    beyond_hem(leg, 42.0, 42.0, 30.0)


def folded(name, change, layer, **expect):
    """A pair with a line drawn at the fold that `change` returns."""
    lines = {}

    def legs():
        made = [Shaped(back, lean=expect.get("lean")) for back in (False, True)]
        for leg in made:
            lines[leg.name] = change(leg)
        return made

    def build():
        drawing = Drawing()
        for leg in legs():
            drawing.line(drawing.plain(leg), lines[leg.name], layer, close=False)
        return drawing

    build.__name__ = name
    dialect(legs=legs, **{key: value for key, value in expect.items() if key != "lean"})(build)


def pull_on(leg):
    # As wide at the waist as at the hip, for it has to pass over the hip: nothing but the line tells of the fold.
    hip = leg.rest[-2]
    leg.side = (hip[0], leg.waist[1])
    leg.rest = leg.rest[:-1] + [leg.side]
    return beyond_waist(leg, 35.0)


folded("casing_with_a_fold_line", lambda leg: beyond_waist(leg, 40.0), "FOLD", casing=True)
folded("pull_on_with_a_stated_casing", pull_on, "8", lean=0.1, folded=True, casing=True, job='[fold]\nwaist = "35 mm"\n')
folded("pull_on_with_a_line_that_may_be_a_fold", pull_on, "8", lean=0.1, refused="fold-unclear")


def cut_off(leg, level):
    """A leg cut off at a level above the knee."""
    (ax, ay), (bx, by), _ = leg.inseam
    n, hem = 12, (ax + (bx - ax) * level / by, level)
    hollow = lambda t: (ax + (hem[0] - ax) * t - 3.0 * math.sin(math.pi * t), level * t)
    leg.inseam_points = lambda: [leg.fork] + [hollow(i / n) for i in range(1, n)] + [hem]
    leg.rest = [hem, (leg.rest[2][0] + 20, level)] + leg.rest[3:]


@shape()
def front_scooped_for_the_body(leg):
    # Maternity trousers: the centre front lies 110 mm below the side.
    if leg.name == "FRONT":
        (x, y), (bx, by), deep = leg.waist, leg.begin, 102.0
        leg.waist = (x + (bx - x) * deep / leg.centre_seam, y + (by - y) * deep / leg.centre_seam)
        leg.centre_seam -= deep
        (sx, sy), (cx, cy) = leg.side, leg.waist
        leg.rest = leg.rest[:-1] + [(sx + (cx - sx) * t, cy + (sy - cy) * (1 - t) ** 2) for t in (i / 14 for i in range(14))]


def with_bib():
    """Front and back of an overall: the front goes on above its waist, straight at the centre and hollow at the arm."""
    front, back = Shaped(False), Shaped(True)
    (x, y), (bx, by), (sx, sy) = front.waist, front.begin, front.side
    top = (x + (x - bx) * 260.0 / front.centre_seam, y + (y - by) * 260.0 / front.centre_seam)
    corner = (top[0] - 105.0, top[1])
    arm = [(corner[0] + (sx - corner[0]) * t**2, sy + (corner[1] - sy) * (1 - t) ** 2) for t in (i / 12 for i in range(12, -1, -1))]
    front.rest = front.rest[:-1] + arm + [top]
    return [front, back]


@dialect(legs=with_bib)
def overall_with_a_bib():
    drawing = Drawing()
    for leg in with_bib():
        block = drawing.plain(leg)
        if leg.name == "FRONT":
            # A turn point says where the waist is.
            block.add_point(drawing.map(leg.waist), dxfattribs={"layer": "2"})
    return drawing


class BelowBib(Shaped):
    """The front of an overall whose centre has no vertex where the waist is."""

    def polyline(self, spacing=None):
        return [p for p in super().polyline(spacing) if p != self.waist]


def with_plain_bib():
    front, back = with_bib()
    plain = BelowBib(False)
    plain.rest = front.rest
    return [plain, back]


def notched_at_the_waist(**drawn):
    """A notch on the cut line of a straight centre front; no line has a vertex there."""
    drawing = Drawing()
    for leg in with_plain_bib():
        block = drawing.plain(leg, **drawn)
        if leg.name == "FRONT":
            edge = LinearRing(cut_line(leg.polyline()))
            at = edge.interpolate(edge.project(Point(leg.waist)))
            block.add_point((at.x, at.y), dxfattribs={"layer": "4"})
    return drawing


@dialect(legs=with_plain_bib)
def overall_with_a_notch_at_the_waist_alone():
    return notched_at_the_waist()


@dialect(legs=with_plain_bib, sew_line="allowance", job=CUT_ONLY["job"])
def overall_on_the_cut_line_only():
    return notched_at_the_waist(sew=None)


def panels(drawing, name, points):
    """A piece beside a leg's own, with its allowance."""
    block = drawing.block(Shaped(False), name=name.replace(" ", "-"), piece=name, grain=False)
    (ax, ay), (bx, by) = points[0], points[2]
    block.add_line(*((drawing.map((ax + (bx - ax) * 0.5, ay + (by - ay) * t)) for t in (0.3, 0.7))), dxfattribs={"layer": "7"})
    drawing.line(block, cut_line(points), "1")
    drawing.line(block, points, "14")


def princess_seam(leg):
    """The seam that parts a leg into a piece at the centre and one at the side, from the hem to the waist."""
    (ax, ay), (bx, by) = [(a + b) / 2 for a, b in zip(*leg.rest[:2])], leg.at_waist(0.5)
    swing = lambda t: 7.0 * math.sin(math.pi * t)
    return [(ax + (bx - ax) * t - swing(t), ay + (by - ay) * t) for t in (i / 24 for i in range(25))]


def centre_panels():
    made = []
    for back in (False, True):
        leg = Shaped(back)
        leg.rest = [leg.rest[0]] + princess_seam(leg)
        leg.grain = ((-18.0, -280.0), (-18.0, 60.0))
        made.append(leg)
    return made


@dialect(legs=centre_panels, words=("FRONT-CENTRE", "BACK-CENTRE"), same=("FRONT-SIDE", "BACK-SIDE"))
def princess_lines():
    drawing = Drawing()
    for back, centre in zip((False, True), centre_panels()):
        drawing.plain(centre, name=centre.name + "-CENTRE", piece=centre.name + " CENTRE")
        whole = Shaped(back)
        panels(drawing, whole.name + " SIDE", princess_seam(whole) + [whole.rest[-1], whole.rest[-2], whole.rest[-3], whole.rest[1]])
    return drawing


def upper_front():
    """A front that is cut at the knee, and the points of what goes on below, which lies beside it and the other way up."""
    whole, upper = Shaped(False), Shaped(False)
    inner, outer = whole.inseam[1], whole.rest[2]
    upper.inseam_points = lambda: whole.inseam_points()[:-1]
    upper.rest = [inner, outer] + whole.rest[3:]
    return upper, [(300 - x, -300 - y) for x, y in (inner, whole.rest[0], whole.rest[1], outer)]


CUT_AT_THE_KNEE = lambda: [upper_front()[0], Shaped(True)]


@dialect(legs=CUT_AT_THE_KNEE, words=("FRONT-UPPER", "BACK-"), same=("FRONT-LOWER",), below=(math.dist((-38, -330), (-50, -700)), 0.0))
def front_cut_at_the_knee():
    drawing = Drawing()
    upper, lower = upper_front()
    drawing.plain(upper, name="FRONT-UPPER", piece="FRONT UPPER")
    drawing.plain(Shaped(True))
    panels(drawing, "FRONT LOWER", lower)
    return drawing


@shape()
def shorts_above_the_knee(leg):
    cut_off(leg, -210.0)


@shape(change=8.0)
def shorts_with_a_short_inseam(leg):
    cut_off(leg, -70.0)


@shape()
def shorts_drawn_with_two_vertices(leg):
    cut_off(leg, -190.0)
    leg.inseam_points = lambda: [leg.fork, leg.rest[0]]


@shape()
def wide_legs(leg):
    fork = leg.fork
    hem = (fork[0] + 70, HEM)
    leg.inseam = [fork, (fork[0] + 24, KNEE), hem]
    leg.rest = [hem, (-330.0, HEM), (-270.0, KNEE)] + leg.rest[3:]


@shape()
def wide_straight_legs_with_two_vertices(leg):
    hem = (leg.fork[0] + 55, HEM)
    leg.inseam = [leg.fork, hem]
    leg.inseam_points = lambda: leg.inseam
    leg.rest = [hem, (-310.0, HEM)] + leg.rest[3:]


@shape()
def scooped_pocket_mouth(leg):
    if leg.name == "FRONT":
        # A quarter of an ellipse, hollow, from the waist to the outseam.
        hip, side = leg.rest[-2], leg.rest[-1]
        top, low = leg.at_waist(0.45), (side[0] + 0.25 * (hip[0] - side[0]), side[1] + 0.25 * (hip[1] - side[1]) - 60)
        arc = [(low[0] + (top[0] - low[0]) * math.sin(a), top[1] + (low[1] - top[1]) * math.cos(a)) for a in (math.pi / 2 * i / 14 for i in range(15))]
        leg.rest = leg.rest[:-1] + arc


@shape()
def contoured_waist(leg):
    # Hollow, square to the centre seam, rising to the side.
    n, side = 16, (leg.waist[0] - 185, leg.waist[1] + 24)
    lean = (leg.begin[0] - leg.waist[0]) / leg.centre_seam
    deep = lambda t: side[1] + (leg.waist[1] - side[1]) * t - 14 * math.sin(math.pi * t) - 20 * lean * t * (1 - t)
    leg.rest = leg.rest[:-1] + [(side[0] + (leg.waist[0] - side[0]) * i / n, deep(i / n)) for i in range(n)]


def leaning(degrees):
    """A back whose centre seam leans so far; its straight part is long enough for that."""
    legs = lambda: [Shaped(False), Shaped(True, lean=degrees, top=290.0)]

    def build():
        drawing = Drawing()
        for leg in legs():
            drawing.plain(leg)
        return drawing

    build.__name__ = f"centre_back_seam_leaning_{degrees}"
    dialect(change=8.0, legs=legs)(build)


for degrees in (12, 18, 20):
    leaning(degrees)


@shape(spacing=26.0, vertices=(12, 16))
def few_vertices(leg):
    leg.inseam_points = lambda: leg.inseam


@shape(spacing=26.0, **CUT_ONLY)
def few_vertices_on_the_cut_line_only(leg):
    few_vertices(leg)


@shape(**CUT_ONLY)
def wide_straight_legs_on_the_cut_line_only(leg):
    wide_straight_legs_with_two_vertices(leg)


@shape(change=-16.0, **CUT_ONLY)
def shorts_with_two_vertices_on_the_cut_line_only(leg):
    shorts_drawn_with_two_vertices(leg)


@shape(spacing=26.0, version="R12", change=-12.0, vertices=(12, 16))
def few_vertices_shortened(leg):
    leg.inseam_points = lambda: leg.inseam


@shape(change=-12.0)
def shortened_with_a_contoured_waist_and_darts(leg):
    contoured_waist(leg)
    mid = leg.rest[-8]
    leg.rest[-8:-7] = [(mid[0] - 3, mid[1] - 0.2), (mid[0], mid[1] - 85), (mid[0] + 3, mid[1] - 0.2)]


class Half(Shaped):
    """The front or the back of a leg that is both in one piece; the back lies mirrored beside the front, without an outseam."""

    def __init__(self, back, casing=0.0):
        super().__init__(back, top=288.0 if back else 246.0)
        self.rest, self.casing = self.rest[:1], casing

    def across(self, p):
        return (-150.0 - p[0] if self.name == "BACK" else 150.0 + p[0], p[1])

    def own(self, p):
        """The point of the leg that the piece has here."""
        return (-150.0 - p[0] if self.name == "BACK" else p[0] - 150.0, p[1])

    def turned_in(self):
        """Where the edge of a casing ends that is turned in along the line from one centre to the other."""
        square = (self.waist[1] - self.side[1], self.side[0] - self.waist[0])
        way = [b - a for a, b in zip(self.waist, self.begin)]
        depth = self.casing * math.hypot(*square) * math.hypot(*way) / abs(way[0] * square[0] + way[1] * square[1])
        return mirrored(along(self.waist, self.begin, depth), self.waist, self.side)

    def half(self):
        """Its part of the sew line, from the centre waist to the hem."""
        top = [self.waist, self.begin] + arc_points(self.begin, self.fork, self.bulge, self.spacing)
        return [self.across(p) for p in top + self.inseam_points()]


def halves(**more):
    """Front and back of such a leg."""
    both = front, back = [Half(False, **more), Half(True, **more)]
    for leg, mate in ((front, back), (back, front)):
        leg.side = leg.own(mate.across(mate.waist))
        leg.rest = leg.rest + [leg.turned_in()] * bool(leg.casing)
    return both


def in_one(name, drawn=None, version="R2000", map=lambda p: p, unit="mm", notches=True, **expect):
    """Front and back in one piece, with a notch on each inseam as far from the fork, a double one on the back's, and one at the side."""
    legs = lambda: halves(casing=expect.get("casing", 0.0))

    def build():
        drawing = Drawing(version, unit, map=map)
        front, back = legs()
        (a, b), top = (leg.half() for leg in (front, back)), [leg.across(leg.rest[1]) for leg in (back, front) if leg.casing]
        points = a + b[::-1] + top
        block = drawing.block(front, name="LEGGINGS")
        edge = LinearRing(cut_line(points))
        drawing.line(block, cut_line(points), "1")
        for layer in ("14",) if drawn is None else drawn:
            drawing.line(block, points, layer)
        if top:
            drawing.line(block, [a[0], b[0]], "FOLD", close=False)
        place = lambda leg, way: LineString([leg.across(p) for p in leg.inseam_points()]).interpolate(way)
        side = Point((a[0][0] + b[0][0]) / 2 + 12, (a[0][1] + b[0][1]) / 2)
        at = [place(front, 195), place(back, 195), place(back, 205)] + ([] if top else [side])
        for p in at if notches else ():
            on = edge.interpolate(edge.project(p))
            block.add_point(drawing.map((on.x, on.y)), dxfattribs={"layer": "4"})
        return drawing

    build.__name__ = name
    dialect(legs=legs, words=("LEGGINGS-", "LEGGINGS-"), one_piece=True, **expect)(build)


ASKEW = lambda p: (-p[0] * math.cos(2.6) - p[1] * math.sin(2.6) + 300, -p[0] * math.sin(2.6) + p[1] * math.cos(2.6))

in_one("leggings")
in_one("leggings_with_a_casing", casing=36.0, change=-12.0)
in_one("leggings_askew_mirrored_in_inches", version="R12", unit="in", map=ASKEW, share="40 %", job='[alter]\nuneven = "fork"\n')
in_one("leggings_with_the_back_raised", notches=False, share="30 %", job='[alter]\nuneven = "waist"\n')
in_one("leggings_on_the_cut_line_only", drawn=(), sew_line="allowance", job=CUT_ONLY["job"])


def clipped(points, corner, way):
    """The cut line of a half piece: no allowance along its mirror line, which runs through a corner in a direction, the piece to its right."""
    (x, y), (dx, dy), far = corner, way, 3000.0
    beyond = [(x - far * dx, y - far * dy), (x + far * dx, y + far * dy)]
    beyond += [(px - far * dy, py + far * dx) for px, py in beyond[::-1]]
    return list(Polygon(cut_line(points)).difference(Polygon(beyond)).exterior.coords)[:-1]


def opened_at_the_side(lean=2.0, slant=0.0, casing=0.0):
    """A pyjama leg without an outseam, drawn as half: front and back are mirror images of each other at the outer edge. The line of
    the edge may lean to the grain, `slant` mm from hem to waist."""
    made = []
    for name in ("FRONT", "BACK"):
        leg = Shaped(True, lean=lean)
        leg.name = name
        leg.side = (-215.0 + slant, leg.waist[1])
        leg.rest = [leg.rest[0], (-215.0, HEM), leg.side]
        if casing:
            leg.rest = leg.rest + [mirrored(along(leg.waist, leg.begin, casing), leg.waist, leg.side)]
            leg.rest[2:3] = [leg.side, mirrored(along(leg.side, leg.rest[1], casing), leg.waist, leg.side)]
        made.append(leg)
    return made


def half_leg(name, version="R2000", map=lambda p: p, unit="mm", drawn=("14",), piece="PYJAMA LEG", layer="6", ends=False, **expect):
    legs = lambda: opened_at_the_side(slant=expect.get("slant", 0.0), casing=expect.get("casing", 0.0))

    def build():
        drawing = Drawing(version, unit, map=map)
        leg = legs()[0]
        points = leg.polyline()
        low, top = leg.rest[1], leg.rest[3] if "casing" in expect else leg.rest[2]
        way = [(b - a) / math.dist(low, top) for a, b in zip(low, top)]
        block = drawing.block(leg, name="LEG", piece=piece)
        cut = clipped(points, low, way)
        drawing.line(block, cut, "1")
        for line in drawn:
            # A sew line may end at the mirror line, along which nothing is sewn.
            drawing.line(block, points[-1:] + points[:-1] if ends else points, line, close=not ends)
        on = sorted((p for p in cut if abs((p[0] - low[0]) * way[1] - (p[1] - low[1]) * way[0]) < 1e-6), key=lambda p: p[1])
        block.add_line(drawing.map(on[0]), drawing.map(on[-1]), dxfattribs={"layer": layer})
        if "casing" in expect:
            drawing.line(block, [leg.waist, leg.side], "FOLD", close=False)
        return drawing

    build.__name__ = name
    dialect(legs=legs, words=("LEG-", "LEG-"), mirror=True, **({"ends": True} if ends else {}), **expect)(build)


half_leg("pyjama_leg_drawn_as_half")
half_leg("pyjama_leg_drawn_as_half_askew_in_inches", version="R12", unit="in", map=ASKEW, change=-14.0)
half_leg("pyjama_leg_drawn_as_half_on_the_cut_line_only", drawn=(), sew_line="allowance", job=CUT_ONLY["job"])
half_leg("pyjama_leg_drawn_as_half_with_a_casing", casing=36.0)
half_leg("pyjama_leg_drawn_as_half_with_an_open_sew_line", version="R12", ends=True)
half_leg("pyjama_leg_drawn_as_half_shared_unevenly", refused="half-piece", share="40 %")


def double_at_the_waist():
    """Shorts that are cut double: the waist is the fold, and beyond it lies the mirror image, which is turned in as the lining."""
    made = []
    for back in (False, True):
        leg = Shaped(back)
        cut_off(leg, -190.0)
        made.append(leg)
    return made


@dialect(legs=double_at_the_waist, mirror=True)
def shorts_cut_double_at_the_waist():
    drawing = Drawing()
    for leg in double_at_the_waist():
        block = drawing.block(leg)
        points, (a, b) = leg.polyline(), (leg.side, leg.waist)
        way = [(y - x) / math.dist(a, b) for x, y in zip(a, b)]
        cut = clipped(points, a, way)
        drawing.line(block, cut, "1")
        drawing.line(block, points, "14")
        on = sorted(p for p in cut if abs((p[0] - a[0]) * way[1] - (p[1] - a[1]) * way[0]) < 1e-6)
        block.add_line(on[0], on[-1], dxfattribs={"layer": "6"})
    return drawing


@dialect(refused="half-piece")
def mirror_line_where_a_casing_is_turned_in():
    drawing = dialects.both(Drawing())
    for leg in (dialects.front(), dialects.back()):
        down = lambda p: (p[0], p[1] - 35)
        drawing.doc.blocks.get(f"{leg.name}-38").add_line(down(leg.rest[-1]), down(leg.waist), dxfattribs={"layer": "6"})
    return drawing


DIFFERING = lambda: [Shaped(False), Shaped(True), Shaped(False, top=247.0)]


@dialect(legs=DIFFERING, words=("FRONT-38", "BACK-", "FRONT-R-"), warned="left and right should be alike")
def right_front_with_a_lower_waist():
    drawing = Drawing()
    front, back, other = DIFFERING()
    for left, right in ((front, other), (back, back)):
        drawing.plain(left, piece=left.name + " LEFT")
        drawing.map_more = lambda p: (-p[0], p[1])
        drawing.plain(right, name=left.name + "-R", piece=left.name + " RIGHT")
        drawing.map_more = lambda p: p
    return drawing


if __name__ == "__main__":
    for name in PLAIN:
        del dialects.DIALECTS[name]
    sys.exit(dialects.main())

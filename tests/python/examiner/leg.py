"""The sew line of one leg as a pattern maker constructs it: five seams of smooth curves, before anything is drawn.

Front and back of a style belong together: the curves meet without a bend at the fork, the back's inseam is some mm shorter,
the outseams are equally long.
"""

import math

import numpy as np
from scipy.optimize import brentq

from . import curves
from .curves import Curve, hermite, line
from .geometry import unit

SEWN = 3.2  # mm; outseams that are further apart than 1/8 in cannot be sewn together
SEAMS = ("crotch", "inseam", "hem", "outseam", "waist")
# Clockwise, with the waist up: the corner where each seam begins.
BEGINS = {"crotch": "waist", "inseam": "fork", "hem": "hem_in", "outseam": "hem_out", "waist": "side"}


class Leg:
    """Seams as lists of curves, clockwise from the centre waist; `centre` tells how many curves the centre seam has."""

    def __init__(self, part, style, drop=0.0, side_up=0.0):
        self.part, self.style, self.back = part, style, part == "BACK"
        self.drop, self.side_up = drop, side_up
        self.of = lambda key: style[key + ("_back" if self.back else "_front")]
        self.fork = np.array([self.of("extension"), -drop])
        self.down_leg()
        self.seams = {"inseam": self.inseam()}

    def down_leg(self):
        """The corners at the hem and, on a long leg, the knee."""
        s, more = self.style, 5 if self.back else -5
        width = self.of("width") + self.fork[0]
        crease = self.fork[0] - width * 0.5
        knee, hem = s["knee_width"] / 4 + more, s["hem_width"] / 4 + more
        self.knee_y = -s["leg"] * s["knee_at"]
        if s["reach"] != "long":
            # Cut off above the full length: as wide as a long leg is there.
            full = 0.42 * s["hip"]
            share = min(1.0, s["leg"] / full)
            hem = width / 2 + (knee - width / 2) * share * (1.6 - 0.6 * share) * 0.8
        self.knee_in, self.knee_out = np.array([crease + knee, self.knee_y]), np.array([crease - knee, self.knee_y])
        self.hem_in, self.hem_out = np.array([crease + hem, -s["leg"]]), np.array([crease - hem, -s["leg"]])

    def inseam(self):
        kind, a, k, h = self.style["inseam"], self.fork, self.knee_in, self.hem_in
        if kind == "two":
            return [line(a, h)]
        if kind == "two-knee":
            return [line(a, k), line(k, h)]
        if kind == "knee":
            shin = unit(h - k)
            chord = unit(k - a)
            lean = 2 * math.atan2(chord[0], -chord[1]) - math.atan2(shin[0], -shin[1])
            return [hermite(a, (math.sin(lean), -math.cos(lean)), k, shin), line(k, h)]
        chord = h - a
        return [curves.cubic(a, a + chord * (0.55, 0.3), a + chord * (0.9, 0.66), h)]

    def slope(self):
        """Degrees by which the inseam runs inwards at the fork."""
        p, q = self.seams["inseam"][0].points[:2]
        return math.degrees(math.atan2(p[0] - q[0], p[1] - q[1]))

    def finish(self, tilt):
        """The other seams; the crotch curve falls by `tilt` degrees where it ends in the fork."""
        s = self.style
        lean = math.radians(self.of("lean"))
        down = np.array([math.sin(lean), -math.cos(lean)])
        out = np.array([math.cos(math.radians(tilt)), -math.sin(math.radians(tilt))])
        begin = self.fork - self.of("extension") * out - self.of("curve") * down
        straight = s["straight"] - (0 if self.back else s["front_straight_less"])
        straight = max(60.0, straight) - (s["yoke"] if self.back else 0.0)
        self.begin, self.down, self.straight = begin, down, straight
        centre = centre_seam(s, begin, down, straight)
        curve = curves.crotch(s["curve"], begin, down, self.fork, out, s["fullness"])
        self.seams["crotch"] = [*centre, curve]
        self.waist = centre[0].points[0]
        self.top = unit(centre[0].points[1] - centre[0].points[0])
        self.seams["hem"] = [line(self.hem_in, self.hem_out)]
        self.other_side()
        return self

    def other_side(self):
        s = self.style
        hip = np.array([-self.of("width"), 0.35 * max(self.waist[1], 60.0)])
        wide = s["waist"] + (10 if self.back else 0)
        x = max(self.waist[0] - wide, hip[0] - 6)
        # The waist leaves the centre seam square and rises or falls to the side.
        rise = (self.waist[0] - x) * -self.top[0] * 0.5
        side = np.array([x, self.waist[1] + rise + self.side_up])
        third = (side[1] - hip[1]) / 3
        top = curves.cubic(hip, hip + (2 * (hip[0] < side[0]), third), side - ((side[0] - hip[0]) * 0.4, third), side)
        start = top.control[1] - top.control[0]
        if s["reach"] == "long":
            shin = unit(self.knee_out - self.hem_out)
            run = [line(self.hem_out, self.knee_out), hermite(self.knee_out, shin, hip, start)]
        else:
            run = [hermite(self.hem_out, hip - self.hem_out, hip, start)]
        self.seams["outseam"] = [*run, top]
        square = np.array([-self.top[1], self.top[0]])  # to the right of going up, away from the side
        span = math.dist(self.waist, side)
        dip = np.array([0.0, -s["waist_dip"] * 4 / 3])
        first = side + (self.waist - side) / 3 + dip
        self.seams["waist"] = [curves.cubic(side, first, self.waist - square * span / 3, self.waist)]
        self.side, self.hip = side, hip

    def length(self, seam):
        return curves.total(self.seams[seam])

    def corners(self):
        return {"waist": self.waist, "begin": self.begin, "fork": self.fork, "hem_in": self.hem_in,
                "hem_out": self.hem_out, "side": self.side}


def centre_seam(s, begin, down, straight):
    """From the waist to where the curve begins, which it enters along `down`."""
    form, depth = s["centre_form"], s["centre_depth"] * straight / 150
    if form == "straight":
        return [line(begin - straight * down, begin)]
    t = np.linspace(1, 0, curves.count(straight))
    # How far off the straight line it is, at a share of the way from the curve up to the waist. To the right of `down`
    # lies the cloth; what is hollow towards the cloth's outside bends as the crotch curve does.
    if form == "hollow":
        off = depth * t**2
    elif form == "bulging":
        off = -depth * t**2
    elif form == "nipped":
        off = -depth * np.clip((t - 0.45) / 0.55, 0, 1) ** 2
    else:
        off = depth * 6.75 * t**2 * (1 - t)
    outward = np.array([-down[1], down[0]])
    return [Curve(begin - straight * t[:, None] * down + off[:, None] * outward)]


def pair(style):
    """Front and back of a style: equal outseams, inseams as far apart as asked, and a smooth joined curve."""
    front = Leg("FRONT", style)
    wanted = front.length("inseam") - style["inseam_shorter"]
    miss = lambda drop: Leg("BACK", style, drop).length("inseam") - wanted
    drop = brentq(miss, -40.0, 60.0, xtol=1e-6)
    back = Leg("BACK", style, drop)
    tilts = front.slope() + style["fork_tilt"], back.slope() - style["fork_tilt"]
    front.finish(tilts[0])
    back.finish(tilts[1])
    # Without the yoke's side the back would be shorter by it.
    short = lambda: front.length("outseam") - back.length("outseam") - style["yoke"] * 0.6
    for _ in range(4):
        back.side_up += short()
        back.other_side()
    if abs(short()) > SEWN:
        raise ValueError("the outseams do not meet")
    return front, back


class Yoke:
    """A yoke above the back: its lower edge is the leg's waist, its centre edge runs on from the centre seam."""

    def __init__(self, back):
        deep = back.style["yoke"]
        self.low = back.seams["waist"][0].points
        centre = back.waist - deep * back.top
        side = back.side + np.array([4.0, deep * 0.6])
        square = np.array([-back.top[1], back.top[0]])
        span = math.dist(centre, side)
        top = curves.cubic(centre, centre - square * span / 3, side + (centre - side) / 3, side).points
        self.centre, self.side, self.top, self.length = centre, side, top, deep
        self.corners = {"centre_low": back.waist, "centre_top": centre, "side_top": side, "side_low": back.side}

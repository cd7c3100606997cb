"""A leg as a drawing has it: the vertices of its sew line, with darts, pleats, vents, a fly and a digitiser's noise."""

import math

import numpy as np

from .geometry import at_station, left, length, project, resample, stations, unit
from .leg import SEAMS


class Vertex:
    """A vertex of an outline; `seam` is that of the edge which begins here, `corner` its name if it is one."""

    def __init__(self, at, seam, corner=None, of=None):
        self.at, self.seam, self.corner, self.of = np.array(at, float), seam, corner, of
        self.edge = seam  # whose allowance the edge has that begins here
        self.bulge, self.spline = 0.0, None  # how the edge that begins here is curved: an arc, or a cubic's inner points

    def copy(self):
        v = Vertex(self.at, self.seam, self.corner, self.of)
        v.edge, v.bulge, v.spline = self.edge, self.bulge, self.spline
        return v


def sampled(curve, spacing, rng, uneven):
    """Points of a curve, both ends included, about `spacing` apart."""
    size = length(curve.points)
    n = max(1, math.ceil(size / spacing))
    if not curve.straight:
        n = max(n, 3)
    wanted = np.linspace(0, size, n + 1)
    if uneven and n > 2:
        step = size / n
        wanted[1:-1] += [rng.uniform(-0.3, 0.3) * step for _ in range(n - 1)]
    return resample(curve.points, wanted)


class Sampling:
    """How far apart the vertices of one outline are, seam by seam."""

    def __init__(self, rng):
        fine = math.exp(rng.uniform(math.log(3), math.log(30)))
        if rng.random() < 0.08:
            fine = math.exp(rng.uniform(math.log(0.1), math.log(3)))
        elif rng.random() < 0.08:
            fine = rng.uniform(30, 60)
        self.fine = fine
        self.straight = rng.choice([None, None, None, rng.uniform(8, 60)])
        self.uneven = rng.random() < 0.4
        self.loose_join = rng.random() < 0.2  # no vertex where the straight meets the curve

    def of(self, seam, curve, rng):
        if curve.straight:
            return self.straight or 1e9
        return self.fine if seam in ("crotch", "inseam") else max(self.fine, 4.0) * 2


def ring_of(leg, sampling, rng, exact=False):
    """The sew line as vertices, from the centre waist clockwise; `exact`: its crotch curve as arcs or as a cubic."""
    ring = []
    for seam, corner in zip(SEAMS, ("waist", "fork", "hem_in", "hem_out", "side")):
        first, seam_curves = True, leg.seams[seam]
        for k, curve in enumerate(seam_curves):
            if exact and seam == "crotch" and k == len(seam_curves) - 1:
                ring += exact_curve(curve, first and corner)
                continue
            points = sampled(curve, sampling.of(seam, curve, rng), rng, sampling.uneven)
            if seam == "crotch" and k == len(seam_curves) - 1 and sampling.loose_join and len(points) > 6:
                points = points[1:]
            for p in points[:-1]:
                ring.append(Vertex(p, seam, corner if first else None))
                first = False
    return ring


def exact_curve(curve, corner):
    made = []
    for p, _, bulge in curve.arcs or [(curve.control[0], None, 0.0)]:
        made.append(Vertex(p, "crotch", None if made else corner or None))
        made[-1].bulge = bulge
    if curve.control:
        made[0].spline = curve.control[1:3]
    return made


def noisy(ring, amount, rng):
    for v in ring:
        v.at += [rng.uniform(-amount, amount), rng.uniform(-amount, amount)]


# ---------------------------------------------------------------- offsets


def offset(ring, width, sign=1.0):
    """The outline moved outwards: every edge by the allowance at its ends; corners are where the moved edges meet.

    `width(k)` gives the allowance at both ends of edge k, which leads from vertex k on.
    """
    n = len(ring)
    at = np.array([v.at for v in ring])
    edges = np.roll(at, -1, axis=0) - at
    size = np.hypot(*edges.T)
    normal = np.column_stack([-edges[:, 1], edges[:, 0]]) / size[:, None] * sign
    moved = []
    for k in range(n):
        a, b = width(k)
        moved.append((at[k] + a * normal[k], at[(k + 1) % n] + b * normal[k]))
    out = []
    for k, v in enumerate(ring):
        (_, end), (begin, _) = moved[k - 1], moved[k]
        d, e = moved[k - 1][1] - moved[k - 1][0], moved[k][1] - moved[k][0]
        cross = d[0] * e[1] - d[1] * e[0]
        if abs(cross) < 1e-3 * math.hypot(*d) * math.hypot(*e) and math.dist(end, begin) < 0.5:
            at_new = (end + begin) / 2
        elif abs(cross) < 1e-9:
            at_new = begin
        else:
            s = ((begin[0] - end[0]) * e[1] - (begin[1] - end[1]) * e[0]) / cross
            at_new = end + s * d
        out.append(v.copy())
        out[-1].at = at_new
    return out


class Allowances:
    """How wide the allowance is: one width for each seam, and on the crotch seam an outlet that runs out, or none."""

    def __init__(self, rng, plain=False):
        usual = rng.choice([10.0, 10.0, 12.7, 15.875])
        self.of = {
            "crotch": usual, "inseam": rng.choice([usual, usual, 10.0, 15.0]), "hem": rng.choice([25.0, 40.0]),
            "outseam": rng.choice([usual, 20.0]), "waist": rng.choice([8.0, 10.0]),
        }
        self.outlet = rng.choice([20.0, 25.0, 35.0]) if not plain and rng.random() < 0.12 else None
        self.thigh = rng.choice([18.0, 25.0]) if not plain and rng.random() < 0.06 else None

    def widths(self, ring, back):
        """Widths at both ends of every edge of a ring."""
        n = len(ring)
        at = np.array([v.at for v in ring] + [ring[0].at])
        made = [(self.of[v.edge],) * 2 for v in ring]
        run_out = lambda wide, usual, share: usual + (wide - usual) * max(0.0, 1 - share)
        for seam, wide in (("crotch", self.outlet if back else None), ("inseam", self.thigh if back else None)):
            if wide is None:
                continue
            on = [k for k in range(n) if ring[k].seam == seam]
            run = stations(at[on[0]:on[-1] + 2])
            # An outlet in the seat runs out where the straight ends; one at the inseam at a third of it.
            reach = 0.55 * run[-1] if seam == "crotch" else 0.4 * run[-1]
            for i, k in enumerate(on):
                made[k] = tuple(run_out(wide, self.of[seam], run[i + j] / reach) for j in (0, 1))
        return made

    def constant(self):
        return self.outlet is None and self.thigh is None


def formed_corners(cut, ring, widths, forms):
    """The cut line with some corners formed otherwise than by a mitre.

    `square`: the leg's edge runs on to the hem line, and the hem's end is square to it. `blunt`: the mitre is cut off.
    """
    out, n = [], len(ring)
    for k, v in enumerate(cut):
        form = forms.get(v.corner)
        if form is None:
            out.append(v)
            continue
        p = ring[k].at
        before, after = left(unit(p - ring[k - 1].at)), left(unit(ring[(k + 1) % n].at - p))
        first, second = p + widths[k - 1][1] * before, p + widths[k][0] * after
        if form == "square":
            both = first + second - p
            first, second = (first, both) if v.corner == "hem_in" else (both, second)
        out += [Vertex(first, ring[k - 1].seam, v.corner), Vertex(second, v.seam, v.corner)]
    return out


# ---------------------------------------------------------------- what a part has and others have not


def waist_stretch(ring):
    """Where the waist's vertices stand in a ring, and its line from side to centre."""
    on = [k for k, v in enumerate(ring) if v.seam == "waist"]
    return on, np.array([ring[k].at for k in on] + [ring[0].at])


def insert_in_waist(ring, share, half, made):
    """Puts vertices made by `made(a, b, inward)` between two points of the waist in place of what lies there."""
    on, line = waist_stretch(ring)
    along = stations(line)
    mid = share * along[-1]
    (a, d), (b, _) = at_station(line, mid - half), at_station(line, mid + half)
    keep = [ring[k] for i, k in enumerate(on) if i == 0 or not mid - half - 2 < along[i] < mid + half + 2]
    new = [Vertex(p, "waist", of="dart") for p in made(a, b, -left(unit(b - a)))]
    place = next((i for i, v in enumerate(keep) if i and project(line, v.at)[0] > mid), len(keep))
    ring[on[0]:] = keep[:place] + new + keep[place:]


def dart(depth):
    return lambda a, b, inward: [a, (a + b) / 2 + depth * inward, b]


def pleat(height):
    return lambda a, b, inward: [a, (a + b) / 2 - height * inward, b]


def add_vent(ring, wide, high):
    """A vent at the hem end of the outseam: out, up and back to the seam."""
    k = next(i for i, v in enumerate(ring) if v.corner == "hem_out")
    p = ring[k].at
    on = [i for i, v in enumerate(ring) if v.seam == "outseam"]
    line = np.array([ring[i].at for i in on] + [ring[on[-1] + 1].at])
    back, _ = at_station(line, high + 15)
    later = [i for i in on if project(line, ring[i].at)[0] > high + 18]
    new = [Vertex(p + (-wide, 0), "outseam", "hem_out"), Vertex(p + (-wide, high), "outseam"), Vertex(back, "outseam")]
    ring[k:later[0] if later else on[-1] + 1] = new


def add_fly(ring, leg):
    """A fly cut on beside the centre front: out from the waist, down, and back to the centre line."""
    s = leg.style
    d, out = leg.top, left(leg.top)
    high = min(s["fly_share"] * leg.straight, leg.straight - 6)
    at = lambda along, across: leg.waist + along * d + across * out
    new = [Vertex(p, "crotch", of="fly") for p in (at(0, s["fly_width"]), at(high - 12, s["fly_width"]), at(high, 0))]
    ring[0].edge = "waist"  # the top of the fly runs on from the waist
    ring[1:1] = new
    # Vertices of the centre line that the fly hides.
    ring[4:] = [v for v in ring[4:] if v.seam != "crotch" or float((v.at - leg.waist) @ d) > high + 1]


def below_fly(ring, leg):
    """Beside a fly the cut line turns in an inner corner at its foot; an offset vertex that lies above that corner is none of the line."""
    foot = max(i for i, v in enumerate(ring) if v.of == "fly")
    along = lambda v: float((v.at - leg.waist) @ leg.top)
    high = along(ring[foot]) + 0.5
    ring[foot + 1:] = [v for v in ring[foot + 1:] if v.seam != "crotch" or along(v) > high]

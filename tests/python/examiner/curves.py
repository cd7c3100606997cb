"""Curves that pattern makers draw between two tangents, as dense points and, where it has one, in the exact form."""

import math

import numpy as np

from .geometry import left, length, meet, unit

DENSE = 0.2  # mm between points of a curve before it is drawn


class Curve:
    """A smooth stretch of a seam: dense points, and what an exact drawing of it needs."""

    def __init__(self, points, control=None, arcs=None):
        self.points = np.asarray(points, float)
        self.control = control  # four control points of a cubic
        self.arcs = arcs  # [(from, to, bulge)]

    @property
    def straight(self):
        return len(self.points) == 2


def line(a, b):
    return Curve([a, b])


def count(size):
    return max(24, int(size / DENSE))


def cubic(p0, p1, p2, p3):
    t = np.linspace(0, 1, count(math.dist(p0, p1) + math.dist(p1, p2) + math.dist(p2, p3)))[:, None]
    p0, p1, p2, p3 = (np.asarray(p, float) for p in (p0, p1, p2, p3))
    points = (1 - t) ** 3 * p0 + 3 * t * (1 - t) ** 2 * p1 + 3 * t * t * (1 - t) * p2 + t**3 * p3
    return Curve(points, control=[p0, p1, p2, p3])


def conic(p0, corner, p2, fullness):
    """The conic that touches both sides of a corner; `fullness` (0.3 to 0.5) says how deep into the corner it goes."""
    w = fullness / (1 - fullness)
    t = np.linspace(0, 1, count(math.dist(p0, corner) + math.dist(corner, p2)))[:, None]
    a, b, c = (1 - t) ** 2, 2 * w * t * (1 - t), t * t
    return Curve((a * p0 + b * corner + c * p2) / (a + b + c))


def superellipse(p0, corner, p2, power):
    """A quarter of a (super)ellipse in the oblique axes of the corner's sides, which it touches."""
    t = np.linspace(0, math.pi / 2, count(math.dist(p0, corner) + math.dist(corner, p2)))[:, None]
    a, b = 1 - np.cos(t) ** (2 / power), 1 - np.sin(t) ** (2 / power)
    points = corner + b * (p0 - corner) + a * (p2 - corner)
    points[0], points[-1] = p0, p2
    return Curve(points)


def arc_points(p, q, bulge):
    """Dense points of an arc; its bulge is the tangent of a quarter of what it turns by, left positive."""
    turn = 4 * math.atan(bulge)
    chord = math.dist(p, q)
    n = count(chord) + 1
    if abs(turn) < 1e-9:
        return np.linspace(p, q, 2)
    radius = chord / (2 * math.sin(turn / 2))
    middle = (np.asarray(p) + q) / 2 + left(unit(np.subtract(q, p))) * radius * math.cos(turn / 2)
    start = np.asarray(p) - middle
    angles = np.linspace(0, turn, n)
    c, s = np.cos(angles), np.sin(angles)
    points = middle + np.column_stack([c * start[0] - s * start[1], s * start[0] + c * start[1]])
    points[0], points[-1] = p, q
    return points


def two_arcs(p0, corner, p2):
    """Two arcs that touch both sides of a corner and each other (a biarc with sides of equal length)."""
    t0, t2 = unit(corner - p0), unit(p2 - corner)
    v, dot = p2 - p0, float(t0 @ t2)
    # |p0 + d t0 to p2 - d t2| = 2 d: the usual equation of a biarc, of second degree in d.
    a, b, c = 2 * (1 - dot), 2 * float(v @ (t0 + t2)), -float(v @ v)
    d = (-b + math.sqrt(b * b - 4 * a * c)) / (2 * a)
    q0, q2 = p0 + d * t0, p2 - d * t2
    join = (q0 + q2) / 2
    arcs = []
    for p, q, knee in ((p0, join, q0), (join, p2, q2)):
        before, after = unit(knee - p), unit(q - knee)
        turn = math.atan2(before[0] * after[1] - before[1] * after[0], before @ after)
        arcs.append((p, q, math.tan(turn / 4)))
    points = np.vstack([arc_points(*arcs[0]), arc_points(*arcs[1])[1:]])
    return Curve(points, arcs=arcs)


def crotch(kind, begin, down, fork, out, fullness):
    """From the end of the centre seam to the fork, tangent to both directions and hollow throughout."""
    corner = meet(begin, down, fork, out)
    if kind == "arcs":
        return two_arcs(begin, corner, fork)
    if kind == "cubic":
        k = 0.45 + fullness * 0.6
        return cubic(begin, begin + k * (corner - begin), fork + k * (corner - fork), fork)
    if kind == "conic":
        return conic(begin, corner, fork, fullness)
    return superellipse(begin, corner, fork, 1.7 + 1.2 * (fullness - 0.3))


def hermite(p, d, q, e, reach=1 / 3):
    """A cubic from p in direction d to q, arriving in direction e."""
    size = math.dist(p, q) * reach
    return cubic(p, p + size * unit(d), q - size * unit(e), q)


def total(curves):
    return sum(length(c.points) for c in curves)

"""Points, lengths and turns of lines, as rows of numpy arrays."""

import math

import numpy as np


def unit(v):
    v = np.asarray(v, float)
    return v / math.hypot(*v)


def left(v):
    """Turned a quarter to the left."""
    return np.array([-v[1], v[0]])


def direction(degrees):
    return np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])


def stations(points):
    """Length along the line up to each point."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    return np.concatenate([[0.0], np.cumsum(steps)])


def length(points):
    return float(stations(np.asarray(points))[-1])


def turns(points):
    """Degrees turned at every inner point, left positive."""
    d = np.diff(np.asarray(points), axis=0)
    u, v = d[:-1], d[1:]
    return np.degrees(np.arctan2(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0], (u * v).sum(axis=1)))


def doubled_area(ring):
    p, q = np.asarray(ring), np.roll(ring, -1, axis=0)
    return float((p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]).sum())


def meet(p, d, q, e):
    """Where the lines p + s d and q + t e cross."""
    cross = d[0] * e[1] - d[1] * e[0]
    s = ((q[0] - p[0]) * e[1] - (q[1] - p[1]) * e[0]) / cross
    return np.asarray(p) + s * np.asarray(d)


def at_station(points, s):
    """The point at a length along the line, and the unit direction there."""
    along = stations(points)
    k = int(np.clip(np.searchsorted(along, s, side="right") - 1, 0, len(points) - 2))
    while along[k + 1] == along[k] and k > 0:
        k -= 1
    d = unit(points[k + 1] - points[k])
    return points[k] + (s - along[k]) * d, d


def resample(points, wanted):
    """The points at these lengths along the line."""
    along = stations(points)
    return np.column_stack([np.interp(wanted, along, points[:, k]) for k in (0, 1)])


def project(points, p):
    """Length along the line to the place nearest to p, and the distance there."""
    a, d = points[:-1], np.diff(points, axis=0)
    sq = np.maximum((d * d).sum(axis=1), 1e-300)
    t = np.clip(((p - a) * d).sum(axis=1) / sq, 0, 1)
    off = np.hypot(*(a + t[:, None] * d - p).T)
    k = int(np.argmin(off))
    return float(stations(points)[k] + t[k] * math.sqrt(sq[k])), float(off[k])

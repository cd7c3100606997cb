"""The outline of a trouser leg: its corners, its run from the waist over the fork, and which vertex became which."""

import math

import numpy as np

CORNER = 32.0  # degrees; a sharper vertex is a corner between two seams


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

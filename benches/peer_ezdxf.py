"""The same job as `truerise alter`, written with ezdxf and numpy: the peer that the benchmark compares with.

    python peer_ezdxf.py IN.dxf SIZES.csv OUT.dxf

Reads the nest, finds front and back of every size in the table, measures the crotch seams on the sew lines, solves the slide
of each piece by bisection, moves the vertices of cut and sew line and the marks and texts that stand on them by the same
weights, carries the notches along, saves, and measures again. Prints the seconds each part took as JSON.

Written as a careful maker would write it: numpy for everything that runs over vertices, one pass over each block, no
checks beyond measuring again. It writes no report and proves nothing, which the program does in the time it is compared by.
"""

import csv
import json
import sys
import time

import ezdxf
import numpy as np

CORNER = 32.0  # degrees
COPY = 0.27  # share of the way back that is an exact copy
ON_VERTEX = 0.6  # mm
ON_EDGE = 3.0  # mm


def outline(block, layer):
    """The polyline of a layer and its vertices as an array."""
    for e in block.query(f'POLYLINE[layer=="{layer}"]'):
        return e, np.array([v.dxf.location.vec2 for v in e.vertices])
    return None, None


def lengths(points):
    """Arc length from the first point to each."""
    step = np.diff(points, axis=0)
    return np.concatenate([[0.0], np.cumsum(np.hypot(step[:, 0], step[:, 1]))])


def area(points):
    """Twice the signed area."""
    after = np.roll(points, -1, axis=0)
    return (points[:, 0] * after[:, 1] - after[:, 0] * points[:, 1]).sum()


def turns(points):
    """Degrees turned at every vertex, positive towards the inside."""
    after = np.roll(points, -1, axis=0) - points
    before = points - np.roll(points, 1, axis=0)
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    dot = (before * after).sum(axis=1)
    return np.degrees(np.arctan2(cross, dot)) * (1 if area(points) > 0 else -1)


class Leg:
    """The sew line from the centre waist over the fork, with the corners, in mm."""

    def __init__(self, points, grain):
        n, turn = len(points), turns(points)
        sharp = np.flatnonzero(turn > CORNER)
        hollow = [(-turn[np.arange(a + 1, a + (b - a) % n) % n].sum(), a, b) for a, b in zip(sharp, np.roll(sharp, -1))]
        _, a, b = max(hollow)

        def lean(i, j):
            d = points[j % n] - points[i % n]
            return abs(d @ grain) / np.hypot(*d)

        forward = lean(a, a + 1) > lean(b, b - 1)
        waist, fork = (a, b) if forward else (b, a)
        self.order = (waist + np.arange(n)) % n if forward else (waist - np.arange(n)) % n
        place = np.empty(n, int)
        place[self.order] = np.arange(n)
        self.ring = points[self.order]
        self.fork = int(place[fork])
        later = sorted(int(place[i]) for i in sharp if place[i] > self.fork)
        self.hem_in = later[0]
        turn = turn[self.order]
        self.begin = int(np.flatnonzero(turn[1:self.fork] < -0.1)[0]) + 1
        self.up = grain if (self.ring[0] - self.ring[self.fork]) @ grain > 0 else -grain
        self.at = lengths(self.ring)

    def rise(self):
        return self.at[self.fork]

    def inseam(self):
        return self.at[self.hem_in] - self.at[self.fork]

    def weights(self, at, back):
        """The share of the slide at arc lengths from the waist."""
        straight, fork = self.at[self.begin], self.at[self.fork]
        x = np.clip(((at - fork) / back - COPY) / (1 - COPY), 0, 1)
        ease = 1 - x * x * (3 - 2 * x)
        return np.where(at < straight, at / straight, np.where(at <= fork, 1.0, ease))

    def solve(self, change, back):
        """The slide that changes the rise by this much, by bisection."""
        points = self.ring[:self.fork + 1]
        weight = self.weights(self.at[:self.fork + 1], back)[:, None]
        target = self.rise() + change
        low, high = -60.0, 60.0
        while high - low > 1e-7:
            middle = (low + high) / 2
            moved = points - middle * weight * self.up
            step = np.diff(moved, axis=0)
            if np.hypot(step[:, 0], step[:, 1]).sum() < target:
                low = middle
            else:
                high = middle
        return (low + high) / 2


def stations(leg, points):
    """Arc length along the sew line of the point nearest to each point, found near its neighbour's."""
    n = len(points)
    ring = np.vstack([leg.ring, leg.ring[:1]])
    at = lengths(ring)
    a, d = ring[:-1], np.diff(ring, axis=0)
    size = (d * d).sum(axis=1)
    corner = int(np.argmin(((points - leg.ring[0]) ** 2).sum(axis=1)))
    same = (area(points) > 0) == (area(leg.ring) > 0)
    out, start = np.zeros(n), 0
    for k in range(1, n):
        i = (corner + k) % n if same else (corner - k) % n
        end = min(len(a), start + 64)
        rel = points[i] - a[start:end]
        t = np.clip((rel * d[start:end]).sum(axis=1) / size[start:end], 0, 1)
        off = rel - t[:, None] * d[start:end]
        j = int(np.argmin((off * off).sum(axis=1)))
        out[i] = at[start + j] + t[j] * np.sqrt(size[start + j])
        start = max(start, start + j - 4)
    return out


def alter(block, leg, sew, cut, slide, back):
    """Moves the vertices of both lines, and what stands on them."""
    places, shifts, edges = [], [], []
    for (entity, points), at in ((sew, None), (cut, stations(leg, cut[1]))):
        if at is None:
            at = np.empty(len(points))
            at[leg.order] = leg.at
        weight = leg.weights(at, back)
        weight[at >= leg.at[leg.fork] + back] = 0.0
        shift = -slide * weight[:, None] * leg.up
        for vertex, p, s in zip(entity.vertices, points, shift):
            if s[0] or s[1]:
                vertex.dxf.location = (p[0] + s[0], p[1] + s[1])
        places.append(points)
        shifts.append(shift)
        edges.append((points, np.roll(points, -1, axis=0), shift, np.roll(shift, -1, axis=0)))
    where, shift = np.vstack(places), np.vstack(shifts)
    moving = np.flatnonzero(np.abs(shift).max(axis=1) > 0)
    low, high = where[moving].min(axis=0) - ON_EDGE, where[moving].max(axis=0) + ON_EDGE
    # Vertices are looked up by a grid of the width of the reach.
    grid = {}
    for k in range(len(where)):
        grid.setdefault((int(where[k, 0]), int(where[k, 1])), []).append(k)

    def on_vertex(x, y):
        best, found = ON_VERTEX, None
        for i in (int(x) - 1, int(x), int(x) + 1):
            for j in (int(y) - 1, int(y), int(y) + 1):
                for k in grid.get((i, j), ()):
                    d = np.hypot(where[k, 0] - x, where[k, 1] - y)
                    if d <= best:
                        best, found = d, k
        return None if found is None else shift[found]

    def on_edge(p):
        best, found = ON_EDGE, None
        for a, b, sa, sb in edges:
            d = b - a
            t = np.clip(((p - a) * d).sum(axis=1) / np.maximum((d * d).sum(axis=1), 1e-30), 0, 1)
            off = a + t[:, None] * d - p
            off = np.hypot(off[:, 0], off[:, 1])
            k = int(np.argmin(off))
            if off[k] < best:
                best, found = off[k], sa[k] + t[k] * (sb[k] - sa[k])
        return found

    for e in block:
        kind = e.dxftype()
        if kind == "POINT" and e.dxf.layer in ("2", "3", "4"):
            p = e.dxf.location
        elif kind == "TEXT" and e.dxf.text.startswith("#"):
            p = e.dxf.insert
        else:
            continue
        if not (low[0] <= p.x <= high[0] and low[1] <= p.y <= high[1]):
            continue
        s = on_edge(np.array([p.x, p.y])) if e.dxf.layer == "4" else on_vertex(p.x, p.y)
        if s is not None and (s[0] or s[1]):
            q = (p.x + s[0], p.y + s[1], p.z)
            if kind == "POINT":
                e.dxf.location = q
            else:
                e.dxf.insert = q


def leg_of(block):
    sew = outline(block, "14")
    if sew[0] is None:
        return None
    grain = next(iter(block.query('LINE[layer=="7"]')), None)
    if grain is None:
        return None
    d = np.array((grain.dxf.end - grain.dxf.start).vec2)
    return Leg(sew[1], d / np.hypot(*d)), sew


def pieces(doc):
    """Block, part and size of every piece of a pair of trousers."""
    for block in doc.blocks:
        texts = dict(e.dxf.text.split(": ", 1) for e in block.query('TEXT[layer=="1"]') if ": " in e.dxf.text)
        if texts.get("Piece Name") in ("FRONT", "BACK"):
            yield block, texts["Piece Name"], texts["Size"]


def main():
    source, table, target = sys.argv[1:4]
    clock = [time.perf_counter()]
    doc = ezdxf.readfile(source)
    clock.append(time.perf_counter())
    wanted = {row["size"]: float(row["change"]) for row in csv.DictReader(open(table, encoding="utf-8"))}
    sizes = {}
    for block, part, size in pieces(doc):
        if size in wanted:
            found = leg_of(block)
            if found is not None:
                sizes.setdefault(size, {})[part] = (block, *found, outline(block, "1"))
    asked = {}
    for size, parts in sizes.items():
        front, back_leg = parts["FRONT"][1], parts["BACK"][1]
        back = max(min(front.inseam(), back_leg.inseam()) / 2, front.rise())
        asked[size] = front.rise() + back_leg.rise() + wanted[size]
        for block, leg, sew, cut in parts.values():
            alter(block, leg, sew, cut, leg.solve(wanted[size] / 2, back), back)
    clock.append(time.perf_counter())
    doc.saveas(target)
    clock.append(time.perf_counter())
    worst = 0.0
    for size, parts in sizes.items():
        after = sum(leg_of(parts[p][0])[0].rise() for p in ("FRONT", "BACK"))
        worst = max(worst, abs(after - asked[size]))
    clock.append(time.perf_counter())
    read, edit, save, measure = np.diff(clock)
    print(json.dumps({"sizes": len(sizes), "read": read, "edit": edit, "save": save, "measure": measure, "whole": clock[-1] - clock[0], "worst_mm": worst}))


if __name__ == "__main__":
    main()

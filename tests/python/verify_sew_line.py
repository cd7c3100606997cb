"""The sew line of an altered leg, vertex by vertex."""

import numpy as np
from shapely import LineString, Point

from leg_outline import length, turn

COPY = 0.001  # mm, the exact-copy span
TURN = 0.5  # degrees over the sharpest that the original had on the seam


def sharpest(turns):
    return max((abs(t) for t in turns), default=0.0)


def bow(points):
    """How far a run of points is off the straight line between its ends."""
    along = (points[-1] - points[0]) / np.hypot(*(points[-1] - points[0]))
    off = points - points[0]
    return float(np.abs(along[0] * off[:, 1] - along[1] * off[:, 0]).max())


class SewLine:
    """The old line and the new one, each from the centre waist over the fork; lengths in mm."""

    def __init__(self, old, new, image, order, corner, up, slide, straight_inseam):
        self.corner, self.up, self.slide, self.straight_inseam = corner, up, slide, straight_inseam
        self.old = old[order]
        self.disp = new[[image[i] for i in order]] - self.old
        self.at = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(self.old, axis=0).T))])
        # The line as it is drawn now, added vertices included, in the same order.
        n, m = len(order), len(new)
        step = 1 if order[1] == (order[0] + 1) % n else -1
        walk = [(image[order[0]] + step * k) % m for k in range(m)]
        self.line = new[walk]
        place = {w: k for k, w in enumerate(walk)}
        self.at_new = {i: place[image[order[i]]] for i in range(n)}
        self.come_back()

    def come_back(self):
        """Where the inseam has come back: the first vertex from which on it lies on the old one."""
        fork, hem = self.corner["fork"], self.corner["hem_in"]
        inseam = LineString(self.old[fork:hem + 1])
        off = [inseam.distance(Point(self.line[k])) for k in range(self.at_new[fork], self.at_new[hem] + 1)]
        last = max(k for k, o in enumerate(off) if o > 1e-5)
        self.back_new = self.at_new[fork] + last + 1
        reach = inseam.project(Point(self.line[self.back_new]))
        self.copy_end = self.at[fork] + (0 if self.straight_inseam else 0.25 * reach)
        self.back = min(i for i in range(fork, hem + 1) if self.at_new[i] >= self.back_new)

    def turn_old(self, i):
        return turn(self.old[i - 1], self.old[i], self.old[(i + 1) % len(self.old)])

    def turn_new(self, k):
        return turn(self.line[k - 1], self.line[k], self.line[(k + 1) % len(self.line)])

    def turned(self, i):
        return self.turn_new(self.at_new[i]) - self.turn_old(i)

    def verify(self, log, block):
        self.stays(log, block)
        self.slides(log, block)
        self.joins(log, block)
        if self.straight_inseam:
            self.straight_way_back(log, block)
        else:
            self.curved_way_back(log, block)

    def stays(self, log, block):
        """Hem, outseam and waist, and the inseam below where the line has come back."""
        c, d = self.corner, self.disp
        for seam, a, b in (("hem", "hem_in", "hem_out"), ("outseam", "hem_out", "side")):
            moved = np.abs(d[c[a]:c[b] + 1]).max()
            if moved > 0:
                log.fail(block, f"{seam}: a vertex moved by {moved:.6f} mm")
        if np.abs(d[c["side"]:]).max() > 0 or np.abs(d[0]).max() > 0:
            log.fail(block, "waist: a vertex moved")
        if np.abs(d[self.back:c["hem_in"] + 1]).max() > 0:
            log.fail(block, "inseam: a vertex moves below where the line has come back")

    def slides(self, log, block):
        """The fork by the slide, the centre seam by a growing part of it, the curve as a copy, the inseam by less and less."""
        d, at, fork, begin = self.disp, self.at, self.corner["fork"], self.corner["curve_begin"]
        slid = self.slide * self.up
        log.bound(block, "fork off the slide along the grain, mm", float(np.hypot(*(d[fork] + slid))), 1e-4)
        # A straight centre seam stays straight: it turns about the waist.
        was, now = bow(self.old[:begin + 1]), bow((self.old + d)[:begin + 1])
        log.bound(block, "centre seam off straight, mm", now - 1.1 * was, 0.01)
        # The lowest 35 % of the crotch seam and the first quarter of the way back are a copy.
        for i in range(begin, self.back):
            if 0.65 * at[fork] <= at[i] <= self.copy_end + 1e-9:
                log.bound(block, "exact copy off, mm", float(np.hypot(*(d[i] - d[fork]))), COPY)
        weights = [float(np.dot(d[i], -self.up)) / self.slide for i in range(fork, self.back + 1)]
        if any(b > a + 1e-6 for a, b in zip(weights, weights[1:])):
            log.fail(block, "inseam: the slide grows again on its way down")

    def joins(self, log, block):
        """The turn of the centre seam is trued into the curve: no vertex turns sharper than the seam did."""
        fork = self.corner["fork"]
        was = sharpest(self.turn_old(i) for i in range(1, fork))
        now = sharpest(self.turn_new(k) for k in range(self.at_new[0] + 1, self.at_new[fork]))
        log.bound(block, "turn over the sharpest of the crotch seam, degrees", now - was, TURN)

    def curved_way_back(self, log, block):
        fork, hem = self.corner["fork"], self.corner["hem_in"]
        was = sharpest(self.turn_old(i) for i in range(fork + 1, hem))
        now = sharpest(self.turn_new(k) for k in range(self.at_new[fork] + 1, self.at_new[hem]))
        log.bound(block, "turn over the sharpest of the inseam, degrees", now - was, TURN)

    def straight_way_back(self, log, block):
        """A straight inseam stays straight from the moved fork to the next corner."""
        fork = self.at_new[self.corner["fork"]]
        straight = LineString([self.line[fork], self.line[self.back_new]])
        for k in range(fork + 1, self.back_new):
            log.bound(block, "straight inseam off straight, mm", straight.distance(Point(self.line[k])), 0.01)

    def measures(self):
        """Rise, inseam and angle at the fork, each before and after."""
        def of(line, fork, hem):
            angle = 180 - abs(turn(line[fork - 1], line[fork], line[fork + 1]))
            return length(line[:fork + 1]), length(line[fork:hem + 1]), angle

        fork, hem = self.corner["fork"], self.corner["hem_in"]
        pairs = zip(of(self.old, fork, hem), of(self.line, self.at_new[fork], self.at_new[hem]))
        return {**dict(zip(("rise", "inseam", "angle"), pairs)), "straight_inseam": self.straight_inseam}

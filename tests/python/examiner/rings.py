"""An outline before and after, cut into seams, with the image of every vertex."""

import math

import numpy as np

from .geometry import doubled_area, project, resample, stations
from .leg import SEAMS

ENDS = {"crotch": ("waist", "fork"), "inseam": ("fork", "hem_in"), "hem": ("hem_in", "hem_out"),
        "outseam": ("hem_out", "side"), "waist": ("side", "waist")}


GUIDED = 2.0  # mm, by which squares of mm off what a vertex was expected to move by are told over
SAME = 1.0  # mm; a corner of the cut line may turn with the fork by less


class Lost(Exception):
    """What was drawn before cannot be found again."""


class Seam:
    """One seam of an outline before and after: points from corner to corner, and the image of every old point."""

    def __init__(self, old, new, old_index, new_index, image):
        self.old, self.new = old, new
        self.old_index, self.new_index, self.image = old_index, new_index, image
        self.s_old, self.s_new = stations(old), stations(new)

    @property
    def moved(self):
        return self.new[self.image] - self.old

    def place(self, s):
        """The length along the new line of what was at this length along the old."""
        return np.interp(s, self.s_old, self.s_new[self.image])

    def added(self):
        return sorted(set(range(len(self.new))) - set(self.image))


class Walk:
    """Indices of an outline's points along a seam, before and after, a fly included."""

    def __init__(self, old_index, new_index):
        self.old_index, self.new_index = old_index, new_index


class Pair:
    """An outline before and after the alteration, both walked from the centre waist over the fork.

    `corner` holds for both the indices of the vertices that make each corner; `fly` those that go around a fly.
    """

    def __init__(self, old, new, corner, begin, fly=(), is_sew=True, beside=None):
        self.beside = beside  # the pair of sew lines that these lines run beside
        self.before, self.after, self.begin, self.fly, self.is_sew = old, new, begin, list(fly), is_sew
        self.old_corner, self.new_corner = corner
        self.sign = 1 if doubled_area(old.points) > 0 else -1
        if doubled_area(old.points) * doubled_area(new.points) <= 0:
            raise Lost("it runs the other way round")
        self.forward = self.direction()
        self.seams = {seam: self.seam(seam) for seam in SEAMS}

    def direction(self):
        n = len(self.before.points)
        waist, fork, hem = (self.old_corner[k][0] for k in ("waist", "fork", "hem_out"))
        return (fork - waist) % n < (hem - waist) % n

    def walk(self, count, a, b):
        """Indices from a to b in walking order."""
        step = 1 if self.forward else -1
        out = [a]
        while out[-1] != b:
            out.append((out[-1] + step) % count)
            if len(out) > count + 1:
                raise Lost("its corners are not where they were")
        return out

    def ends(self, corner, seam):
        """Where a seam begins and ends; a corner drawn by two vertices belongs to both seams with one each."""
        a, b = ENDS[seam]
        n = len(self.before.points if corner is self.old_corner else self.after.points)
        step = 1 if self.forward else -1
        order = lambda two: two if len(two) == 1 or (two[1] - two[0]) % n * step % n < n / 2 else two[::-1]
        return order(corner[a])[-1], order(corner[b])[0]

    def seam(self, seam):
        made = []
        for line, corner in ((self.before, self.old_corner), (self.after, self.new_corner)):
            made.append(self.walk(len(line.points), *self.ends(corner, seam)))
        old_index, new_index = made
        self.whole = getattr(self, "whole", {})
        self.whole[seam] = Walk(old_index, new_index)
        if seam == "crotch" and self.fly:
            old_index, new_index = self.beside_fly(old_index, new_index)
        old, new = self.before.points[old_index], self.after.points[new_index]
        curved = any(self.before.where[i][1] < 0 for i in old_index) or any(self.after.where[i][1] < 0 for i in new_index)
        begin = project(old, self.begin)[0] if seam == "crotch" else 0.0
        made = Seam(old, new, old_index, new_index, images(old, new, curved, begin, self.guide(seam, old)))
        made.curved = curved
        return made

    def guide(self, seam, old):
        """By how much each point may be expected to move: as the sew line beside it, where its own images are known."""
        sew = self.beside and seam in ("crotch", "inseam") and self.beside.seams[seam]
        if not sew or sew.curved:
            return None
        s = np.array([project(sew.old, p)[0] for p in old])
        return resample(sew.new, sew.place(s)) - resample(sew.old, s)

    def beside_fly(self, old_index, new_index):
        """The crotch seam runs on straight from the foot of the fly to the waist; on the cut line it begins at the foot."""
        last = max(old_index.index(k) for k in self.fly)
        first = min(old_index.index(k) for k in self.fly)
        self.fly_new = new_index[first:last + 1]
        top = [0] if first == 1 and self.is_sew else []
        return [old_index[i] for i in top] + old_index[last:], [new_index[i] for i in top] + new_index[last:]


def found(old, new, corners, expected, mm, is_sew, beside):
    """The pair of two outlines as drawn; `expected` says by how much each corner has moved, as far as is known, `beside` which pair
    of sew lines they run beside."""
    given = {name: [np.array(p) * mm for p in places] for name, places in corners.items() if name != "of"}
    begin = given.pop("begin")[0]
    corner = {name: [old.nearest(p) for p in places] for name, places in given.items()}
    fly = [old.nearest(np.array(p) * mm) for tag, *p in corners["of"] if tag == "fly"]

    def moved(name, i):
        # Of vertices a fraction of a mm apart, the nearest may be another one; where as many are drawn as before, it is the same.
        wanted = old.points[i] + expected.get(name, (0, 0))
        same = len(old.points) == len(new.points) and np.hypot(*(new.points[i] - wanted)) < SAME
        return i if same else new.nearest(wanted)

    after = {name: [moved(name, i) for i in places] for name, places in corner.items()}
    return Pair(old, new, (corner, after), begin, fly, is_sew, beside)


class Derived:
    """The sew line that a cut line stands for: each edge moved inwards by its seam's allowance."""

    curved = False

    def __init__(self, outline, points):
        self.points, self.where, self.closed = points, outline.where, outline.closed


def derived(cut, widths):
    """The pair of sew lines within a pair of cut lines."""
    lines = []
    for line, which in ((cut.before, "old_index"), (cut.after, "new_index")):
        n = len(line.points)
        width = np.zeros(n)
        for name in SEAMS:
            for i in getattr(cut.whole[name], which)[:-1]:
                width[i if cut.forward else (i - 1) % n] = widths[name]
        if cut.fly:
            # The top of a fly has the allowance of the waist.
            i = cut.old_corner["waist"][-1] if which == "old_index" else cut.new_corner["waist"][-1]
            width[i if cut.forward else (i - 1) % n] = widths["waist"]
        lines.append(Derived(line, inwards(line.points, width, cut.sign)))
    begin = lines[0].points[cut.old_corner["fork"][0]]
    return Pair(*lines, (cut.old_corner, cut.new_corner), begin, cut.fly)


def inwards(points, width, sign):
    """A ring with edge k, from point k on, moved inwards by width[k]."""
    edge = np.roll(points, -1, axis=0) - points
    d = edge / np.hypot(*edge.T)[:, None]
    normal = np.column_stack([-d[:, 1], d[:, 0]]) * sign
    c0, c1 = np.roll(width, 1), width
    n0, n1 = np.roll(normal, 1, axis=0), normal
    cross = n0[:, 0] * n1[:, 1] - n0[:, 1] * n1[:, 0]
    flat = np.abs(cross) < 1e-9
    safe = np.where(flat, 1.0, cross)
    x = (c0 * n1[:, 1] - c1 * n0[:, 1]) / safe
    y = (c1 * n0[:, 0] - c0 * n1[:, 0]) / safe
    return points + np.where(flat[:, None], normal * width[:, None], np.column_stack([x, y]))


def images(old, new, curved, begin, guide=None):
    """For every old point the index of its image; points may have been added, none lost."""
    m, n = len(old), len(new)
    if m == n:
        return np.arange(m)
    if curved:
        # A curve that had to bend is another form of line now: places on it are matched by their way from the fork, those
        # on the straight above it by their share of that.
        s, t = stations(old), stations(new)
        longer = t[-1] - s[-1]
        wanted = np.where(s >= begin, s + longer, s * (1 + longer / max(begin, 1e-9)))
        return np.clip(np.searchsorted((t[1:] + t[:-1]) / 2, wanted), 0, n - 1)
    if n < m:
        raise Lost(f"{m - n} vertices were lost")
    return smoothest(old, new, guide)


def smoothest(old, new, guide):
    """The images for which what vertices move by changes least from one to the next: squares, over the way between. Where it is
    expected by what they move, images that are near that come first."""
    m, extra = len(old), len(new) - len(old)
    if extra * m > 400000:
        raise Lost(f"{extra} vertices were added to {m}")
    shift = np.full((m, extra + 1, 2), np.nan)
    for e in range(extra + 1):
        shift[:, e] = new[e:e + m] - old
    way = np.maximum(np.hypot(*np.diff(old, axis=0).T), 1e-6)
    best, back = np.full((m, extra + 1), np.inf), np.zeros((m, extra + 1), int)
    best[0, 0] = 0.0
    off = np.zeros((m, extra + 1)) if guide is None else ((shift - guide[:, None]) ** 2).sum(axis=-1) / GUIDED
    for i in range(1, m):
        step = ((shift[i][:, None] - shift[i - 1][None, :]) ** 2).sum(axis=-1) / way[i - 1]
        step[np.triu_indices(extra + 1, 1)] = np.inf
        cost = best[i - 1][None, :] + step
        back[i] = np.argmin(cost, axis=1)
        best[i] = cost[np.arange(extra + 1), back[i]] + off[i]
    e, image = extra, []
    for i in range(m - 1, -1, -1):
        image.append(i + e)
        e = back[i, e]
    return np.array(image[::-1])


def turn_error(points, rounding):
    """Degrees by which rounding alone can turn a line at each inner point."""
    step = np.maximum(np.hypot(*np.diff(points, axis=0).T), 1e-9)
    off = math.sqrt(2) * rounding
    return np.degrees(np.arctan(2 * off / step[:-1]) + np.arctan(2 * off / step[1:]))

"""One leg before and after: its outlines found in both drawings, and the checks of each."""

import numpy as np

from . import rings
from .geometry import length, project, resample, stations, turns, unit
from .reading import decimals

COPIED = 0.35  # of the crotch seam's length, at its lower end, is an exact copy
COPIED_INSEAM = 0.25  # of the way from the fork to where the inseam has come back
EXACT = 0.001  # mm, of what is moved as one


class Leg:
    """What the checks of a leg have to know: its lines, its axes, what was to move by how much."""

    def __init__(self, name, old, new, known, moves):
        self.name, self.known, self.moves = name, known, moves
        self.old, self.new, self.mm = old, new, old.mm
        self.noise = known["noise"]
        layers = {"both": {"sew": "14", "cut": "1"}, "cut": {"cut": "1"}, "boundary": {"sew": "1"}}[known["lines"]]
        self.lines = {use: (old.outline(name, layer), new.outline(name, layer)) for use, layer in layers.items()}
        self.rounding, self.drawn_to = self.rounded()
        self.axes()
        slid = -moves["along_mm"] * self.up + moves["across_mm"] * self.out
        self.slid, self.yoke = slid, False
        self.pairs = {}
        for use, (a, b) in self.lines.items():
            if a is None or b is None:
                raise rings.Lost(f"the {use} line is not there")
            corners = known["corners"][use]
            expected = {"fork": slid, "waist": self.raised(corners)}
            self.pairs[use] = rings.found(a, b, corners, expected, self.mm, use == "sew", self.pairs.get("sew"))
        if "sew" not in self.pairs:
            self.pairs["sew"] = rings.derived(self.pairs["cut"], known["allowances"])
        self.sew, self.cut = self.pairs["sew"], self.pairs.get("cut")
        self.measured()

    def rounded(self):
        """Half a unit of the last decimal that the new outline is written with, but no more than the old one's; and of the old one's."""
        most = [0, 0]
        for use, lines in self.lines.items():
            for k, (read, line) in enumerate(zip((self.old, self.new), lines)):
                if line is not None:
                    most[k] = max(most[k], *(decimals(read.entities[self.name][k]) for k in line.entities))
        return [0.5 * 10.0**-digits * self.mm for digits in (max(most), most[0])]

    def axes(self):
        """Up the grain from hem to waist, and across it outwards at the fork."""
        line = next(e for e in self.old.entities[self.name] if e.layer == "7" and e.kind == "LINE")
        grain = unit([line.number(11) - line.number(10), line.number(21) - line.number(20)])
        at = lambda corner: np.array(next(iter(self.known["corners"].values()))[corner][0])
        self.up = grain if (at("waist") - at("fork")) @ grain > 0 else -grain
        across = np.array([-self.up[1], self.up[0]])
        self.out = across if (at("fork") - at("side")) @ across > 0 else -across

    def raised(self, corners):
        at = lambda corner: np.array(corners[corner][0])
        return self.moves["waist_mm"] * unit(at("waist") - at("begin"))

    def measured(self):
        """Rise, inseam and the angle at the fork, before and after."""
        crotch, inseam = self.sew.seams["crotch"], self.sew.seams["inseam"]
        whole = length if self.lines.get("sew") else lambda points: length(unfolded(points))
        self.rise = whole(crotch.old), whole(crotch.new)
        self.inseam = whole(inseam.old), whole(inseam.new)
        angle = lambda a, b: np.degrees(np.arccos(np.clip(unit(a[-2] - a[-1]) @ unit(b[1] - b[0]), -1, 1)))
        self.angle = angle(crotch.old, inseam.old), angle(crotch.new, inseam.new)
        # The way of the inseam up to the place from which on the new line lies on the old one, as well as that can be told: between two
        # vertices, where one far below the knee is the next.
        told = 0.03 + 10 * self.rounding + self.noise
        along = stations(inseam.new)
        on = [project(inseam.old, p) for p in resample(inseam.new, np.union1d(along, np.arange(0.0, along[-1])))]
        off = [k for k, (_, far) in enumerate(on) if far > told]
        self.back_at = on[min(off[-1] + 1, len(on) - 1)][0] if off else 0.0

    def copied(self, seam):
        """Which old points of a seam of the sew line belong to the exact copy."""
        run = self.sew.seams[seam]
        if seam == "crotch":
            # A curve that is shorter than the copied part is a copy whole; the straight part above it turns as one.
            begin = project(run.old, self.sew.begin)[0] if self.known["centre_form"] != "bowed" else 0.0
            return run.s_old >= max((1 - COPIED) * run.s_old[-1], begin - 1e-6)
        if self.known["straight_inseam"]:
            return run.s_old <= 0
        return run.s_old <= COPIED_INSEAM * self.back_at

    def in_copy(self, p, margin):
        """Whether a place on the cut line lies beside the exact copy of the sew line, so far from its ends."""
        crotch, inseam = self.sew.seams["crotch"], self.sew.seams["inseam"]
        (s, off), (t, off_inseam) = project(crotch.old, p), project(inseam.old, p)
        if off <= off_inseam:
            return s > (1 - COPIED) * crotch.s_old[-1] + margin and (t > 0 or self.reach() > margin or s < crotch.s_old[-1] - margin)
        return t < self.reach() - margin

    def reach(self):
        return 0.0 if self.known["straight_inseam"] else COPIED_INSEAM * self.back_at

    @property
    def remedied(self):
        return self.moves["across_mm"] != 0


def unfolded(points):
    """A line that is worked out from a noisy one, without the places where it folds over: edges shorter than the noise is wide come
    out reversed at an allowance's distance."""
    while len(points) > 3:
        turned = np.abs(turns(points))
        k = int(np.argmax(turned))
        if turned[k] < 150:
            break
        points = np.delete(points, k + 1, axis=0)
    return points

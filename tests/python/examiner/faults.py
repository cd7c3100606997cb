"""Plants faults in a drawing that was verified, to show that the verifier finds each of them.

A fault is a small change of the altered drawing's numbers or words, such as a writer might make by mistake. It is planted in
the file's own text, so that nothing else changes.
"""

import json

import numpy as np

from raw_dxf import raw_pairs

from . import verify
from .geometry import left, turns, unit
from .piece import Leg
from .reading import NOTCH
from .rings import turn_error
from .smooth import derived_slack


class Plan:
    """An altered drawing as group codes and values that can be changed, with what is known of one of its legs."""

    def __init__(self, original, altered, report, truth, part):
        self.original, self.report, self.truth = original, report, truth
        self.pairs, self.tail = raw_pairs(altered)
        self.pairs = [list(p) for p in self.pairs]
        old, new = (verify.read_once(data, truth["unit_mm"]) for data in (original, altered))
        self.size = next(s for s in report["sizes"] if s["status"] == "altered")
        self.block = self.size["before"][part]["block"]
        self.leg = Leg(self.block, old, new, truth["blocks"][self.block], dict(self.size["moves"][part]))
        self.starts = self.entity_starts()

    def entity_starts(self):
        """Where each entity of the block begins in the pairs, vertices counted with their polyline."""
        starts, inside, named = [], False, False
        for k, (code, value, *_) in enumerate(self.pairs):
            word = value.strip().decode("latin1")
            if code == 0 and word == "BLOCK":
                inside, named = True, False
                name = next(v for c, v, *_ in self.pairs[k:k + 12] if c == 2).strip().decode("latin1")
                named = name == self.block
            elif code == 0 and word == "ENDBLK":
                inside = False
            elif code == 0 and inside and named and word not in ("VERTEX", "SEQEND"):
                starts.append(k)
        return starts

    def bytes(self):
        out = b"".join(line + value + end for _, value, line, end in self.pairs)
        return out + self.tail

    def coordinates(self, entity, vertex):
        """Where x and y of a vertex, or of a point, stand in the pairs."""
        k, found = self.starts[entity], []
        kind = self.pairs[k][1].strip()
        own = kind == b"POLYLINE"
        while True:
            k += 1
            code, value = self.pairs[k][0], self.pairs[k][1].strip()
            if code == 0 and value not in (b"VERTEX",):
                break
            own = own and code != 0
            if not own and code in (10, 20):
                found.append(k)
        return found[2 * vertex], found[2 * vertex + 1]

    def move(self, entity, vertex, by):
        """Moves a vertex by so many mm, and the one that repeats it at the end of its line."""
        for _, line in self.leg.lines.values():
            if line.repeated and (entity, vertex) == line.where[0] and line.repeated != (entity, vertex):
                self.shift(*line.repeated, by)
        self.shift(entity, vertex, by)

    def shift(self, entity, vertex, by):
        for k, d in zip(self.coordinates(entity, vertex), by):
            text = self.pairs[k][1].decode("latin1")
            decimals = len(text.strip().partition(".")[2])
            self.pairs[k][1] = f"{float(text) + d / self.leg.mm:.{max(decimals, 6)}f}".encode()

    def place(self, use, seam, share):
        """The entity and vertex at a share of the vertices of a seam, and the unit direction of the seam there."""
        pair = self.leg.pairs[use]
        run = pair.seams[seam]
        inner = [j for j in range(1, len(run.new) - 1) if pair.after.where[run.new_index[j]][1] >= 0]
        if not inner:
            raise Unfit("no vertex there")
        j = inner[min(len(inner) - 1, int(share * len(inner)))]
        return pair.after.where[run.new_index[j]], unit(run.new[j + 1] - run.new[j - 1])

    def corner(self, use, corner):
        pair = self.leg.pairs[use]
        return pair.after.where[pair.new_corner[corner][0]]

    def find(self, kind, layers):
        """An entity of this kind on one of the layers."""
        for k, e in enumerate(self.leg.new.entities[self.block]):
            if e.kind == kind and e.layer in layers:
                return k, e
        raise Unfit(f"no {kind} there")

    def verified(self, data=None):
        return verify.drawing("planted", self.original, data or self.bytes(), self.report, self.truth)


class Unfit(Exception):
    """The drawing has nothing that such a fault could be planted in."""


FAULTS = {}


def fault(*kinds):
    """A fault that has to be found, and as one of these kinds where any are named."""

    def keep(plant):
        FAULTS[plant.__name__.replace("_", " ")] = (plant, kinds)
        return plant

    return keep


def off(plan, use, seam, share, amount):
    """Moves one vertex of a seam square to it."""
    (entity, vertex), along = plan.place(use, seam, share)
    plan.move(entity, vertex, amount * left(along))


def margin(plan):
    """More than what rounding and noise excuse."""
    return 8 * plan.leg.rounding + 3 * plan.leg.noise


def fork_fault(plan):
    # A cut line's vertex hardly moves the sew line's that it stands for, where its edge is moved along itself.
    return (0.004 + 2 * derived_slack(plan.leg)) * (1 if "sew" in plan.leg.lines else 15)


@fault("fork not where it belongs, mm")
def fork_off_the_slide(plan):
    plan.move(*plan.corner("sew", "fork"), fork_fault(plan) * plan.leg.up)


@fault("fork not where it belongs, mm")
def fork_off_across(plan):
    plan.move(*plan.corner("sew", "fork"), fork_fault(plan) * plan.leg.out)


@fault("exact copy off, mm")
def vertex_of_the_copy_off(plan):
    if plan.leg.remedied:
        raise Unfit("no copy")
    off(plan, "sew", "crotch", 0.93, 0.004 + margin(plan))


@fault("moved elsewhere")
def hem_vertex_moved(plan):
    plan.move(*plan.corner(outer(plan), "hem_out"), 0.002 * plan.leg.up + margin(plan) * plan.leg.up)


@fault("moved elsewhere")
def outseam_vertex_moved(plan):
    off(plan, outer(plan), "outseam", 0.5, 0.002 + margin(plan))


@fault("moved elsewhere")
def waist_vertex_moved(plan):
    if plan.leg.moves["waist_mm"]:
        raise Unfit("the waist was raised")
    off(plan, "sew" if "sew" in plan.leg.lines else "cut", "waist", 0.5, 0.002 + margin(plan))


@fault("corner")
def corner_in_the_crotch_seam(plan):
    bent(plan, lambda sharpest: sharpest + 1.3)


@fault("bend the other way (crotch)", "corner")
def bend_the_other_way(plan):
    bent(plan, lambda sharpest: -0.6)


def bent(plan, to):
    """Moves a vertex of the crotch curve so that the seam turns there by so many degrees the way in which it is hollow."""
    if plan.leg.noise:
        raise Unfit("noise hides it")
    pair = plan.leg.pairs[outer(plan)]
    run = pair.seams["crotch"]
    turning = turns(run.new)
    hollow = np.sign(turning.sum())
    sharpest = np.abs(turns(run.old)).max()
    error = turn_error(run.new, plan.leg.rounding)
    j = len(turning) - 2
    if j < 1 or pair.after.where[run.new_index[j + 1]][1] < 0 or run.curved:
        raise Unfit("no vertex there")
    wanted = to(sharpest)
    wanted += np.sign(wanted) * 2.2 * error[j]
    before, after = (np.hypot(*(run.new[j + 1] - run.new[j + 1 + k])) for k in (-1, 1))
    amount = np.radians(hollow * wanted - turning[j]) / (1 / before + 1 / after)
    plan.move(*pair.after.where[run.new_index[j + 1]], -amount * left(unit(run.new[j + 2] - run.new[j])))


@fault("allowance changed, mm")
def allowance_narrowed(plan):
    if len(plan.leg.lines) < 2 or plan.leg.noise:
        raise Unfit("one line, or a noisy one")
    pair = plan.leg.cut
    run = pair.seams["inseam"]
    for j in range(2, max(3, len(run.new) // 2)):
        if j < len(run.new) - 1:
            d = unit(run.new[j + 1] - run.new[j - 1])
            plan.move(*pair.after.where[run.new_index[j]], (0.09 + 4 * plan.leg.rounding) * left(d))


@fault("crotch length missed, mm")
def crotch_seam_too_long(plan):
    # A step in the straight centre seam or, where that has no vertex, the waist's corner put higher.
    if plan.leg.moves["waist_mm"] or plan.leg.sew.fly:
        raise Unfit("the waist was raised, or has a fly")
    use = "sew" if "sew" in plan.leg.lines else "cut"
    run = plan.leg.pairs[use].seams["crotch"]
    plan.move(*plan.corner(use, "waist"), 0.2 * unit(run.new[0] - run.new[1]) + margin(plan) * plan.leg.up)


@fault("outline crosses itself")
def outline_crosses_itself(plan):
    pair = plan.leg.pairs[outer(plan)]
    run = pair.seams["inseam"]
    if len(run.new) < 6:
        raise Unfit("too few vertices")
    # One vertex far beyond the outseam.
    hem = pair.seams["hem"].new
    plan.move(*pair.after.where[run.new_index[len(run.new) // 2]], 3 * (hem[-1] - hem[0]))


@fault("notch off its edge, mm")
def notch_off_its_edge(plan):
    shift_notch(plan, lambda d: 0.08 * left(d) + margin(plan) * left(d))


@fault()
def notch_along_its_edge(plan):
    shift_notch(plan, lambda d: 1.6 * d)


def shift_notch(plan, by):
    k, e, d = a_notch(plan)
    if e.kind == "LINE":
        raise Unfit("notches are slits")
    plan.move(k, 0, by(d))


def a_notch(plan):
    """The notch that has moved most, and the direction of its edge."""
    old, new = plan.leg.old.entities[plan.block], plan.leg.new.entities[plan.block]
    moved = [(np.hypot(*np.subtract(b.point(), a.point())) * plan.leg.mm, k) for k, (a, b) in enumerate(zip(old, new))
             if b.layer in NOTCH and b.kind in ("POINT", "LINE")]
    if not moved or max(moved)[0] < 2:
        raise Unfit("no notch has moved")
    k = max(moved)[1]
    p = np.array(new[k].point()) * plan.leg.mm
    outline = (plan.leg.cut or plan.leg.sew).after.points
    i = int(np.argmin(np.hypot(*(outline - p).T)))
    return k, new[k], unit(outline[(i + 1) % len(outline)] - outline[i - 1])


@fault()
def notch_left_behind(plan):
    k, *_ = a_notch(plan)
    back_to_the_original(plan, k)


@fault("mark off its vertex, mm")
def point_left_behind(plan):
    moved_of(plan, "POINT", ("2", "3"))


@fault()
def rule_text_left_behind(plan):
    moved_of(plan, "TEXT", ("2",))


def moved_of(plan, kind, layers):
    old, new = plan.leg.old.entities[plan.block], plan.leg.new.entities[plan.block]
    for k, (a, b) in enumerate(zip(old, new)):
        if b.kind == kind and b.layer in layers and a.pairs != b.pairs:
            back_to_the_original(plan, k)
            return
    raise Unfit("none has moved")


def back_to_the_original(plan, k):
    a = plan.leg.old.entities[plan.block][k]
    start = plan.starts[k]
    for i, pair in enumerate(a.pairs):
        plan.pairs[start + i] = list(pair)


@fault("notch turned")
def notch_turned(plan):
    k, e, _ = a_notch(plan)
    for i in range(plan.starts[k], plan.starts[k] + len(e.pairs)):
        if plan.pairs[i][0] == 50:
            plan.pairs[i][1] = f"{(float(plan.pairs[i][1]) + 40) % 360:.4f}".encode()
            return
    raise Unfit("no notch with an angle has moved")


@fault()
def grain_line_moved(plan):
    k, _ = plan.find("LINE", ("7",))
    plan.move(k, 0, (0.01, 0.0))


@fault()
def drill_hole_moved(plan):
    k, _ = plan.find("POINT", ("13",))
    plan.move(k, 0, (0.01, 0.0))


@fault()
def text_changed(plan):
    k, e = plan.find("TEXT", ("1",))
    change_value(plan, k, e, 1, b"Piece Name: FRONT?")


@fault()
def layer_changed(plan):
    k, e = plan.find("POINT", ("13",))
    change_value(plan, k, e, 8, b"12")


def change_value(plan, k, e, code, value):
    for i in range(plan.starts[k], plan.starts[k] + len(e.pairs)):
        if plan.pairs[i][0] == code:
            plan.pairs[i][1] = value


@fault()
def layer_of_the_outline_changed(plan):
    k = min(plan.leg.lines[outer(plan)][1].entities)
    start = plan.starts[k]
    i = next(i for i in range(start, start + 9) if plan.pairs[i][0] == 8)
    plan.pairs[i][1] = b"9"


@fault("entities")
def entity_lost(plan):
    k, e = plan.find("POINT", ("13",))
    del plan.pairs[plan.starts[k]:plan.starts[k] + len(e.pairs)]


@fault()
def number_written_anew(plan):
    # The same number in other words, in an entity that was not to be touched.
    k, _ = plan.find("LINE", ("7",))
    i, _ = plan.coordinates(k, 0)
    plan.pairs[i][1] += b"0"


@fault()
def words_outside_the_blocks_changed(plan):
    for pair in plan.pairs:
        if pair[1].startswith(b"Style Name"):
            pair[1] = b"Style Name: OTHER"


@fault("inseams no longer match, mm")
def piece_slid_further_than_said(plan):
    # The whole piece drawn a little lower: inseams, rises and the fork no longer fit what is said.
    pair = plan.leg.sew if plan.leg.lines.get("sew") else plan.leg.cut
    for seam, part in (("crotch", slice(1, None)), ("inseam", slice(1, -1))):
        run = pair.seams[seam]
        for j in run.new_index[part]:
            if pair.after.where[j][1] >= 0:
                plan.move(*pair.after.where[j], -4.0 * plan.leg.up)


@fault("vertex added without need")
def vertex_added(plan):
    """A vertex in the middle of an edge of the inseam."""
    pair = plan.leg.pairs[outer(plan)]
    run = pair.seams["inseam"]
    where = pair.after.where[run.new_index[0]], pair.after.where[run.new_index[1]]
    entity, vertex = max(where, key=lambda w: w[1])
    if abs(where[0][1] - where[1][1]) != 1 or min(w[1] for w in where) < 0:
        raise Unfit("no such edge")
    x, y = plan.coordinates(entity, vertex)
    middle = (run.new[0] + run.new[1]) / 2 / plan.leg.mm
    decimals = len(plan.pairs[x][1].strip().partition(b".")[2])
    start = x
    if plan.pairs[plan.starts[entity]][1].strip() == b"POLYLINE":
        while plan.pairs[start][0] != 0:
            start -= 1
    copy = [list(p) for p in plan.pairs[start:y + 1]]
    for pair_, value in zip([p for p in copy if p[0] in (10, 20)], middle):
        pair_[1] = f"{value:.{decimals}f}".encode()
    plan.pairs[start:start] = copy
    if start == x:
        i = next(i for i in range(plan.starts[entity], x) if plan.pairs[i][0] == 90)
        plan.pairs[i][1] = str(int(plan.pairs[i][1]) + 1).encode()


def outer(plan):
    return "cut" if "cut" in plan.leg.lines else "sew"


def plant_all(folder, name, rng):
    """Plants every fault in a verified drawing. Gives how many were planted, and those that were not found."""
    at = lambda ending: folder / f"{name}{ending}"
    report, truth = (json.loads(at(e).read_text()) for e in (".json", ".truth.json"))
    original, altered = at(".dxf").read_bytes(), at(".out.dxf").read_bytes()
    planted, missed = [], []
    for title, (plant, kinds) in FAULTS.items():
        part = rng.choice(["front", "back"])
        plan = Plan(original, altered, report, truth, part)
        try:
            plant(plan)
        except (Unfit, StopIteration, KeyError):
            continue
        data = plan.bytes()
        if data == altered:
            continue
        planted.append(title)
        try:
            found = plan.verified(data).kinds()
            if not found or kinds and not set(found) & set(kinds):
                missed.append(f"{name} {part}: {title}, found as {list(found)}")
        except (ValueError, IndexError) as e:
            # What cannot even be read is found as well.
            planted[-1] = f"{title} ({type(e).__name__})"
    return planted, missed

"""Drafts: trousers drawn at random, with the size table and what is known of them beside the drawing.

For each draft the folder gets NAME.dxf (a nest), NAME.csv (the size table), NAME.toml where the drawing needs one, and
NAME.truth.json, which says of every piece where its corners are. The same seed draws the same bytes.
"""

import json
import math
import random

from shapely.geometry import LinearRing, LineString, Point, Polygon

from . import drawn, shape
from .drawn import Allowances, Sampling
from .leg import Yoke, pair
from .writer import Writer, notch_places


class Unsound(Exception):
    """A draft that no pattern maker would accept; another one is drawn in its place."""


class Manner:
    """How the pieces of one drawing are drawn."""

    def __init__(self, rng, style):
        self.lines = rng.choice(["both"] * 13 + ["cut"] * 4 + ["boundary"] * 3)
        self.form = "vertices"
        if style["centre_form"] == "straight" and rng.random() < 0.18:
            if style["curve"] == "arcs":
                self.form = rng.choice(["bulge", "arcs"])
            elif style["curve"] == "cubic":
                self.form = "spline"
        if self.form != "vertices" and self.lines == "cut":
            self.lines = "both"
        self.sampling = Sampling(rng)
        self.own_cut = Sampling(rng) if rng.random() < 0.25 and self.lines == "both" else None
        if self.form != "vertices":
            self.own_cut = Sampling(rng)
            self.own_cut.fine = min(self.own_cut.fine, 8.0)
        self.allowances = Allowances(rng, plain=self.lines == "cut")
        finest = min(s.fine for s in (self.sampling, self.own_cut) if s)
        self.noise = min(0.2, 0.04 * finest) * rng.choice([0, 0, 0, rng.random(), 1])
        if self.form != "vertices":
            self.noise = 0.0
        self.corners = {}
        if self.lines == "both":
            if rng.random() < 0.3:
                self.corners.update(hem_in="square", hem_out="square")
            if rng.random() < 0.15:
                self.corners["fork"] = "blunt"
            if rng.random() < 0.1:
                self.corners["waist"] = "blunt"
        self.marked = rng.random() < 0.8


def sew_and_cut(leg, manner, rng):
    """The two rings of a leg."""
    s = leg.style
    sew = drawn.ring_of(leg, manner.sampling, rng, manner.form != "vertices")
    base = drawn.ring_of(leg, manner.own_cut, rng) if manner.own_cut else [v.copy() for v in sew]
    if s["vent"]:
        for ring in (sew, base):
            drawn.add_vent(ring, 32.0, min(75.0, 0.2 * s["leg"]))
    fly = s["fly"] if not leg.back else "none"
    if manner.lines != "both" and fly != "none":
        fly = "both"
    if fly == "both":
        drawn.add_fly(sew, leg)
    if fly != "none":
        drawn.add_fly(base, leg)
    widths = manner.allowances.widths(base, leg.back)
    cut = drawn.formed_corners(drawn.offset(base, lambda k: widths[k]), base, widths, manner.corners)
    if fly != "none":
        drawn.below_fly(cut, leg)
    waist_forms(leg, manner, sew, cut, rng)
    for ring in (sew, cut):
        drawn.noisy(ring, manner.noise, rng)
    return sew, cut


def waist_forms(leg, manner, sew, cut, rng):
    """Darts at the back and pleats at the front, in both lines or in one."""
    s = leg.style
    room = math.dist(leg.waist, leg.side)
    kind = s["dart"] if leg.back and not s["yoke"] else s["pleat"] if not leg.back and s["fly"] == "none" else "none"
    if kind == "none" or room < 110:
        return
    half, share = s["dart_width"] / 2, rng.uniform(0.42, 0.6)
    up = manner.allowances.of["waist"]
    if leg.back:
        deep = min(s["dart_depth"], 0.5 * leg.straight + 30)
        makes = {"sew": drawn.dart(deep), "cut": drawn.dart(deep + up - 12)}
    else:
        makes = {"sew": drawn.pleat(8.0), "cut": drawn.pleat(8.0)}
    if manner.lines == "cut" or kind in ("both", "cut"):
        drawn.insert_in_waist(cut, share, half, makes["cut"])
    if manner.lines != "cut" and kind in ("both", "sew"):
        drawn.insert_in_waist(sew, share, half, makes["sew"])


def sound(leg, sew, cut, manner):
    rings = {"both": (sew, cut), "cut": (cut,), "boundary": (sew,)}[manner.lines]
    for ring in rings:
        outline = Polygon([v.at for v in ring])
        if not outline.is_valid or min(math.dist(a.at, b.at) for a, b in zip(ring, ring[1:])) < 0.05:
            raise Unsound("an outline crosses itself or has two vertices in one place")
    if manner.lines == "both" and not Polygon([v.at for v in cut]).buffer(0.5).contains(Polygon([v.at for v in sew])):
        raise Unsound("the sew line leaves the cut line")
    if math.dist(leg.waist, leg.side) < 0.12 * leg.style["hip"] or leg.straight < 45:
        raise Unsound("no waist is so narrow")


def piece(w, leg, size, manner, rng):
    """One leg as a block; gives its name and what is known of it."""
    sew, cut = sew_and_cut(leg, manner, rng)
    sound(leg, sew, cut, manner)
    name = f"{leg.part}-{size}"
    w.begin_block(name)
    rings = {"both": {"cut": cut, "sew": sew}, "cut": {"cut": cut}, "boundary": {"sew": sew}}[manner.lines]
    start = {use: rng.randrange(len(ring)) if w.any_start else 0 for use, ring in rings.items()}
    outer = rings.get("cut", sew)
    w.outline("1", outer, start["cut" if "cut" in rings else "sew"])
    middle = ((leg.fork[0] + leg.hip[0]) / 2, -0.12 * leg.style["leg"])
    for i, text in enumerate((f"Piece Name: {leg.part}", f"Size: {size}", "Quantity: 2", "Material: TWILL")):
        w.text("1", (middle[0], middle[1] - 9 * i), text)
    if w.points and manner.marked:
        for ring in rings.values():
            w.vertex_marks(ring)
    if len(rings) == 2:
        w.outline("14", sew, start["sew"])
    for _, p, inward in notch_places(outer, leg.back, -leg.knee_y):
        w.notch(p, inward)
    insides(w, leg, middle)
    w.end_block()
    return name, known(w, leg, rings, manner)


def insides(w, leg, middle):
    """Grain line, a drill hole, a pocket line and sometimes the knee line."""
    low, high = (middle[0] + 8, -0.5 * leg.style["leg"]), (middle[0] + 8, 0.35 * leg.waist[1])
    w.line("7", *((low, high) if w.grain_up else (high, low)))
    w.point("13", (middle[0], leg.waist[1] * 0.4))
    w.line("8", (middle[0] - 40, leg.waist[1] * 0.5), (middle[0] - 5, leg.waist[1] * 0.45))
    if leg.style["curve_note"] < 0.4 and leg.style["reach"] == "long":
        w.line("8", leg.knee_in - (20, 0), leg.knee_out + (20, 0))


def known(w, leg, rings, manner):
    """Where the corners are, in the drawing's own numbers, and what else a verifier has to know of a leg."""
    corners = {}
    for use, ring in rings.items():
        corners[use] = {}
        for v in ring:
            if v.corner:
                corners[use].setdefault(v.corner, []).append(w.map(v.at))
        corners[use]["begin"] = [w.map(leg.begin)]
        corners[use]["of"] = [(v.of, *w.map(v.at)) for v in ring if v.of]
    return {
        "part": leg.part, "corners": corners, "lines": manner.lines, "form": manner.form, "noise": manner.noise,
        "straight_inseam": leg.style["inseam"].startswith("two"), "allowances": manner.allowances.of,
        "even_allowance": manner.allowances.constant(), "straight": leg.straight, "lean": leg.of("lean"),
        "centre_form": leg.style["centre_form"],
    }


def yoke_piece(w, back, size, manner):
    """The yoke as a block of its own."""
    yoke, name = Yoke(back), f"YOKE-{size}"
    low = [v.at for v in drawn.ring_of(back, manner.sampling, w.rng) if v.seam == "waist"]
    top = drawn.sampled(drawn_curve(yoke.top), 25.0, w.rng, False)
    ring = [drawn.Vertex(p, "yoke") for p in (*top[:-1], *low)]
    ring.append(drawn.Vertex(back.waist, "yoke"))
    cut = LinearRing([v.at for v in ring]).buffer(10.0, join_style="mitre", mitre_limit=6).exterior
    outer = [drawn.Vertex(p, "yoke") for p in list(cut.coords)[:-1]]
    w.begin_block(name)
    both = manner.lines != "boundary"
    w.outline("1", outer if both else ring, 0)
    for i, text in enumerate(("Piece Name: BACK YOKE", f"Size: {size}", "Quantity: 2", "Material: TWILL")):
        w.text("1", (yoke.side[0] + 40, yoke.side[1] - 15 - 5 * i), text)
    if both:
        w.outline("14", ring, 0)
    middle = (yoke.centre + yoke.side + back.waist + back.side) / 4
    w.line("7", middle - (0, 9), middle + (0, 9))
    w.end_block()
    return name, {"part": "YOKE", "corners": {k: w.map(v) for k, v in yoke.corners.items()}}


def drawn_curve(points):
    from .curves import Curve

    return Curve(points)


def change_of(rng, style):
    """How much longer the crotch seam is wanted, mm: −1 1/2 to +2 in; to 3 in either way on a long straight part."""
    long = style["straight"] - max(style["yoke"], style["front_straight_less"]) >= 120
    low, high = (-76.2, 76.2) if long and rng.random() < 0.25 else (-38.1, 50.8)
    return rng.choice([rng.uniform(low, high), rng.uniform(low, high), high, low, 25.4, rng.uniform(-12, 12)])


def text_of(rng, style, sizes, changes=None):
    """The drawing's bytes, its truth and the rows of its table."""
    manner = Manner(rng, style)
    if style["yoke"] and manner.lines == "cut":
        manner.lines = "both"
    uneven = rng.choice(["keep", "fork", "waist"])
    w = Writer(rng, manner.form)
    w.begin()
    blocks, rows = {}, ["size,change,front_share"]
    for k in range(sizes):
        graded, size = shape.graded(style, k), str(36 + 2 * k)
        front, back = pair(graded)
        for leg in (front, back):
            name, truth = piece(w, leg, size, manner, rng)
            blocks[name] = truth
        if style["yoke"]:
            name, truth = yoke_piece(w, back, size, manner)
            blocks[name] = truth
        change = changes[k] if changes else change_of(rng, graded)
        change = change if abs(change) > 1 else 1.0
        share = 50.0 if uneven == "keep" else rng.uniform(25, 75)
        rows.append(f"{size},{change:.3f} mm,{share:.2f}%")
    truth = {"unit_mm": w.mm, "decimals": w.decimals, "uneven": uneven, "blocks": blocks, "style": style}
    return w.finish(), truth, rows, manner


def draft(seed, folder, sizes=None, changes=None):
    """Draws the draft of a seed, where `changes` are given with a size for each of them; gives its name."""
    sizes = len(changes) if changes else sizes
    for attempt in range(60):
        rng = random.Random(f"{seed}/{attempt}")
        style = shape.style(rng)
        try:
            data, truth, rows, manner = text_of(rng, style, sizes or rng.choice([1, 2, 3, 4]), changes)
        except (Unsound, ValueError):
            continue
        break
    else:
        raise Unsound(f"seed {seed} draws nothing sound")
    name = f"draft-{seed}"
    (folder / f"{name}.dxf").write_bytes(data)
    (folder / f"{name}.csv").write_text("\n".join(rows) + "\n")
    if manner.lines != "both":
        widths = manner.allowances.of if manner.lines == "cut" else {"all": 0}
        job = "[allowance]\n" + "".join(f'{k} = "{v} mm"\n' if v else f"{k} = 0\n" for k, v in widths.items())
        (folder / f"{name}.toml").write_text(job)
    (folder / f"{name}.truth.json").write_text(json.dumps(truth, indent=1))
    return name

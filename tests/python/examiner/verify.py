"""Verifies a drawing before and after an alteration, vertex by vertex, from what is written alone."""

import functools

import numpy as np

from . import allowances, marks, smooth
from .geometry import at_station, length, turns, unit
from .log import Log
from .piece import Leg
from .reading import Read
from .rings import Lost

LENGTH = 0.05  # mm, the crotch length asked for
INSEAM = 1.5  # mm, back less front
REPORTED = 0.02  # mm
ANGLE = 0.1  # degrees at the fork


def drawing(name, original, altered, report, truth):
    """Both drawings as bytes; gives the log."""
    log = Log(name)
    old, new = read_once(original, truth["unit_mm"]), Read(altered, truth["unit_mm"])
    outside(log, old.raw, new.raw)
    if new.complaints - old.complaints:
        log.fail("unreadable", name, f"ezdxf finds {new.complaints - old.complaints}, which the original had not")
    if list(old.raw.blocks) != list(new.raw.blocks):
        log.fail("blocks", name, f"{list(old.raw.blocks)} became {list(new.raw.blocks)}")
        return log
    touched = set()
    for size in report["sizes"]:
        if size["status"] == "altered":
            touched |= one_size(log, old, new, size, truth)
    for block in old.raw.blocks:
        if block not in touched and old.raw.blocks[block] != new.raw.blocks[block]:
            log.fail("moved elsewhere", block, "was not to be altered, and its bytes differ")
    return log


@functools.lru_cache(4)
def read_once(data, mm):
    """An original may be looked at with many altered drawings."""
    return Read(data, mm)


def outside(log, old, new):
    """Outside the blocks nothing changes but the next free handle."""
    if len(old.outside) != len(new.outside):
        log.fail("bytes", "outside the blocks", "pairs were added or lost")
    is_seed = False
    for a, b in zip(old.outside, new.outside):
        if a != b and not is_seed:
            log.fail("bytes", "outside the blocks", f"{a[:2]} became {b[:2]}")
        is_seed = a[0] == 9 and a[1].strip() == b"$HANDSEED"
    if old.tail != new.tail:
        log.fail("bytes", "after EOF", "differs")


def one_size(log, old, new, size, truth):
    """Verifies front, back and yoke of a size; gives the blocks that it is drawn in."""
    legs, touched = {}, set()
    yoke = f"YOKE-{size['size']}"
    for part in ("front", "back"):
        block = size["before"][part]["block"]
        touched.add(block)
        moves = dict(size["moves"][part])
        if part == "back" and yoke in truth["blocks"] and moves["waist_mm"]:
            # The waist of a back with a yoke is the yoke's.
            touched.add(yoke)
            yoke_raised(log, old, new, yoke, truth["blocks"][yoke], moves["waist_mm"])
            moves["waist_mm"] = 0.0
        try:
            leg = Leg(block, old, new, truth["blocks"][block], moves)
        except (Lost, ValueError) as e:
            log.fail("outline", block, str(e))
            continue
        smooth.verify(log, leg)
        allowances.verify(log, leg)
        marks.verify(log, leg)
        waist(log, leg)
        legs[part] = leg
    if len(legs) == 2:
        above = yoke_lengths(old, new, yoke, truth["blocks"].get(yoke), size["moves"]["back"]["waist_mm"])
        together(log, size, legs["front"], legs["back"], above)
    return touched


def yoke_lengths(old, new, name, known, raised):
    """The centre edge of the yoke above the back, as both drawings have it; nothing where there is none."""
    if known is None:
        return 0.0, 0.0
    layer = "14" if old.outline(name, "14") is not None else "1"
    low, top = (np.array(known["corners"][f"centre_{k}"]) * old.mm for k in ("low", "top"))
    made = []
    for read, up in ((old, 0.0), (new, raised)):
        line = read.outline(name, layer)
        ends = [line.points[line.nearest(p)] for p in (low, top + unit(top - low) * up)]
        made.append(float(np.hypot(*(ends[1] - ends[0]))))
    return made


def yoke_raised(log, old, new, name, known, raised):
    """A yoke takes the waist's remedy: its centre is raised along its edge, its lower edge and its side stay."""
    corner = {k: np.array(v) * old.mm for k, v in known["corners"].items()}
    off = lambda line, p: float(np.hypot(*(line.points - p).T).min())
    for layer in ("1", "14"):
        a, b = old.outline(name, layer), new.outline(name, layer)
        if a is None:
            continue
        if b is None or len(b.points) < len(a.points):
            log.fail("yoke", name, "its outline has lost vertices")
            continue
        stay = [p for p in a.points if off(b, p) > 0.0]
        # What is not found again belongs to the waist: it lies nearer to that than to the other edges.
        low, top = [(corner[f"centre_{k}"], corner[f"side_{k}"]) for k in ("low", "top")]
        below = [p for p in stay if beside(p, *low) < beside(p, *top)]
        log.bound("yoke, mm", f"{name} lower edge, vertices moved", len(below), 0)
        if layer == "14" or old.outline(name, "14") is None:
            for k in ("centre_low", "side_low", "side_top"):
                log.bound("yoke, mm", f"{name} {k}", off(b, a.points[a.nearest(corner[k])]), 0.0)
            was = a.points[a.nearest(corner["centre_top"])]
            wanted = was + unit(was - a.points[a.nearest(corner["centre_low"])]) * raised
            log.bound("yoke, mm", f"{name} centre", off(b, wanted), 0.01)


def beside(p, a, b):
    """How far a point is from the line through two others."""
    d = unit(b - a)
    return abs(float(d[0] * (p - a)[1] - d[1] * (p - a)[0]))


def waist(log, leg):
    """The waist's remedy: the centre is raised along the centre seam, and what is raised runs out to the side."""
    run = leg.sew.seams["waist"]
    if not leg.moves["waist_mm"] or not leg.lines.get("sew"):
        return
    raised = leg.moves["waist_mm"]
    moved = run.new[run.image] - run.old if len(run.new) == len(run.old) else None
    if moved is None:
        return
    crotch = leg.sew.seams["crotch"].old
    d = unit(crotch[0] - at_station(crotch, 25.0)[0])
    log.bound("waist not raised as said, mm", leg.name, float(np.hypot(*moved[-1]) - abs(raised)), 0.01 + 2 * leg.rounding)
    turned = abs(float(d[0] * moved[-1][1] - d[1] * moved[-1][0]))
    # A shaped centre seam has more than one direction.
    whole = unit(crotch[0] - leg.sew.begin)
    aslant = 0.06 + abs(float(d[0] * whole[1] - d[1] * whole[0]))
    log.bound("waist raised aslant, mm", leg.name, turned, aslant * abs(raised) + 0.02 + 2 * leg.rounding)
    along = np.hypot(*moved.T)
    if (np.diff(along) < -0.02 - 4 * leg.rounding).any() or along.max() > abs(raised) + 0.02 + 2 * leg.rounding:
        log.fail("waist", leg.name, "what it is raised by does not run out evenly to the side")


def together(log, size, f, b, yoke):
    """The measures of front and back together, and what the report says of them."""
    name, asked = f"size {size['size']}", size["asked"]
    # The yoke's centre edge takes what the waist is raised by.
    more = yoke[1] - yoke[0]
    change = f.rise[1] - f.rise[0] + b.rise[1] - b.rise[0] + more
    log.bound("crotch length missed, mm", name, change - asked["change_mm"], LENGTH)
    of_slides = any(f["message"].startswith("the shares are those of the slides") for f in size["findings"])
    slides = sum(size["moves"][part]["along_mm"] for part in ("front", "back"))
    for part, leg, share, extra in (("front", f, asked["front_share"], 0), ("back", b, 1 - asked["front_share"], more)):
        # Said of the slides, the shares are what the forks moved by.
        of_fork = size["moves"][part]["along_mm"] - share * slides
        of_rise = leg.rise[1] - leg.rise[0] + extra - share * asked["change_mm"]
        log.bound("share missed, mm", f"{name} {part}", of_fork if of_slides else of_rise, LENGTH)
        for k, when in ((0, "before"), (1, "after")):
            said = size[when][part]
            log.bound("reported inseam off, mm", f"{name} {part} {when}", said["inseam_mm"] - leg.inseam[k], REPORTED + ends_slack(leg))
    # How the centre line runs on beside a fly can only be told from the little of it that is drawn below.
    slack = (0.15 + 5 * f.noise if f.sew.fly else 0.0) + ends_slack(f) + ends_slack(b)
    for k, when in ((0, "before"), (1, "after")):
        mine = f.rise[k] + b.rise[k] + yoke[k]
        log.bound("reported crotch length off, mm", f"{name} {when}", size[when]["crotch_length_mm"] - mine, REPORTED + slack)
    difference = (b.inseam[1] - f.inseam[1]) - (b.inseam[0] - f.inseam[0])
    log.bound("inseams no longer match, mm", name, difference, INSEAM)
    if not f.known["straight_inseam"] and not b.known["straight_inseam"] and f.lines.get("sew"):
        slack = sum(np.degrees(4 * leg.rounding / step(leg)) + chord(leg) for leg in (f, b))
        turned = f.angle[1] + b.angle[1] - f.angle[0] - b.angle[0]
        log.bound("angles at the fork, degrees", name, turned, ANGLE + slack)


def ends_slack(leg):
    """How far apart two readers may be over the length of a seam. Where the sew line is worked out from a noisy cut line, its corners are
    where its last edges meet, and these lie as far aside as noise puts their vertices, in both axes; which vertices tell an edge's
    direction is the reader's choice, at either end."""
    return 0.0 if leg.lines.get("sew") else 2 * float(np.sqrt(2)) * leg.noise


def chord(leg):
    """By how much the first chords of an arc may differ from its tangents at the fork: half of what they turn by."""
    runs = [(run.old[::-1], run.new[::-1]) if name == "crotch" else (run.old, run.new)
            for name, run in leg.sew.seams.items() if name in ("crotch", "inseam") and run.curved]
    return sum(float(np.abs(turns(points[:3])).max()) / 2 for both in runs for points in both if len(points) > 2)


def step(leg):
    """The shorter edge at the fork."""
    return min(length(leg.sew.seams["crotch"].new[-2:]), length(leg.sew.seams["inseam"].new[:2]))

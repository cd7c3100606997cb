"""The run of the new lines: exact copy, straightness, smoothness, bends the other way."""

import numpy as np

from .geometry import length, project, resample, stations, turns
from .piece import EXACT
from .rings import turn_error

TURN = 0.5  # degrees over the sharpest that the original had on the seam
TURN_CARRIED = 1.0  # where the fork is carried across the grain
OTHER_WAY = 0.05  # degrees at a vertex, that a smooth ease adds to none
LONG_BEND = 0.3  # degrees in all, on a line seen in steps
SHAPED = 2.0  # degrees in all, by which a seam bends a way by its shape
STEP = 8.0  # mm
BENT = 0.05  # mm, as what a curve that has to bend is drawn anew within
STRAIGHT = 0.02  # mm
FORK = 0.05  # degrees, of the angle at the fork


def verify(log, leg):
    fork(log, leg)
    if not leg.remedied:
        copy(log, leg)
        if leg.cut:
            cut_copy(log, leg)
    straight(log, leg)
    for use, pair in leg.pairs.items():
        for seam in ("crotch", "inseam"):
            turning(log, leg, use, pair, seam)
            other_way(log, leg, use, pair, seam)
    added(log, leg)


def fork(log, leg):
    moved = leg.sew.seams["crotch"].moved[-1]
    slack = derived_slack(leg)
    log.bound("fork not where it belongs, mm", leg.name, float(np.hypot(*(moved - leg.slid))), EXACT + slack)


def derived_slack(leg):
    """How far rounding may put a vertex; one that is worked out from a cut line has it from the edges beside it."""
    if leg.lines.get("sew"):
        return 1.5 * leg.rounding
    cut = leg.cut.seams["crotch"].new
    shortest = min(np.hypot(*(cut[-1] - cut[-2])), np.hypot(*(leg.cut.seams["inseam"].new[1] - cut[-1])))
    return 3 * leg.rounding * (1 + 2 * max(leg.known["allowances"].values()) / shortest)


def copy(log, leg):
    drawn = leg.lines.get("sew")
    for seam in ("crotch", "inseam"):
        run, on = leg.sew.seams[seam], leg.copied(seam)
        if not drawn:
            continue
        if run.curved:
            off = [project(run.new, p + leg.slid)[1] for p in run.old[on]]
            most = EXACT + 1.5 * leg.rounding + (0.0 if leg.sew.after.curved else BENT) + 0.002
        else:
            off, most = np.hypot(*(run.moved[on] - leg.slid).T), EXACT + 1.5 * leg.rounding
        log.bound("exact copy off, mm", f"{leg.name} sew {seam}", float(np.max(off, initial=0)), most)


def cut_copy(log, leg):
    widths = max(leg.known["allowances"]["crotch"], leg.known["allowances"]["inseam"]) + 3
    for seam in ("crotch", "inseam"):
        run = leg.cut.seams[seam]
        off = [float(np.hypot(*(m - leg.slid))) for p, m in zip(run.old, run.moved) if leg.in_copy(p, widths)]
        log.bound("exact copy off, mm", f"{leg.name} cut {seam}", max(off, default=0.0), EXACT + 1.5 * leg.rounding)


def straight(log, leg):
    """A straight centre seam stays straight up to where the curve begins."""
    run = leg.sew.seams["crotch"]
    begin = project(run.old, leg.sew.begin)[0]
    on = run.s_old <= begin + 1e-6
    if leg.known["centre_form"] != "straight" or on.sum() < 3 or run.curved or not leg.lines.get("sew"):
        return
    bow = lambda points: max(project(points[[0, -1]], p)[1] for p in points)
    old, new = run.old[on], run.new[run.image[on]]
    # The turns of a digitiser's noise stay as they are; where the edges between them grow, so does what they are off the straight.
    grown = max(1.02, length(new) / length(old))
    log.bound("centre seam no longer straight, mm", leg.name, max(0.0, bow(new) - bow(old) * grown), STRAIGHT + 3 * leg.rounding)


def runs(leg, pair, seam):
    """Old and new points of a seam, without the straight line that a fly is measured along."""
    run = pair.seams[seam]
    if seam == "crotch" and pair.fly and pair.is_sew:
        return run.old[1:], run.new[1:]
    return run.old, run.new


def turning(log, leg, use, pair, seam):
    old, new = runs(leg, pair, seam)
    if len(new) < 3:
        return
    sharpest = np.abs(turns(old)).max(initial=0.0)
    more = TURN_CARRIED if leg.remedied else TURN
    most = sharpest + more + turn_error(new, leg.rounding) * (1 if leg.lines.get(use) else 2)
    if pair.seams[seam].curved:
        # What was an arc is turned by as much as its chords need.
        step = np.hypot(*np.diff(new, axis=0).T)
        bent = np.max(np.abs(turns(old)) / (step_mean(old) + 1e-9), initial=0.0)
        most = np.maximum(most, more + 1.3 * bent * (step[:-1] + step[1:]) / 2)
    over = np.abs(turns(new)) - most
    k = int(np.argmax(over))
    log.worst[f"turn over the sharpest, degrees ({use} {seam})"] = max(
        log.worst[f"turn over the sharpest, degrees ({use} {seam})"], float(np.abs(turns(new)).max() - sharpest))
    if over[k] > 0:
        text = f"{abs(turns(new)[k]):.3f} degrees, {stations(new)[k + 1]:.1f} mm along; the sharpest was {sharpest:.3f}"
        log.fail("corner", f"{leg.name} {use} {seam}", text)


def step_mean(points):
    step = np.hypot(*np.diff(points, axis=0).T)
    return (step[:-1] + step[1:]) / 2


def other_way(log, leg, use, pair, seam):
    """No bend the other way that the original did not have: at a vertex, and on the line as seen from afar."""
    old, new = runs(leg, pair, seam)
    if len(new) < 3:
        return
    # The way in which the crotch curve is hollow.
    crotch = pair.seams["crotch"].old
    hollow = np.sign(turns(crotch).sum())
    bends = lambda t: np.maximum(0, -hollow * t)
    was, now = bends(turns(old)).max(initial=0.0), bends(turns(new))
    bent = far_bends(old, np.abs)
    if seam == "inseam" and (far_bends(old, bends) > SHAPED or bent < max(SHAPED, to_and_fro(leg, old))):
        # What bends that way by its shape, or has less bend to give than its way back takes, is bound by how sharp it turns.
        was += TURN_CARRIED if leg.remedied else TURN
    # A seam that was bent so anyway, by its shape, is bent in other places by its stretching; what a digitiser's noise, or the
    # decimals of the drawing, bend shows where the curve that hid it becomes flatter.
    over = now - np.maximum(was * 1.1, turn_error(new, max(leg.noise, leg.drawn_to))) - OTHER_WAY - turn_error(new, leg.rounding)
    kind = f"bend the other way ({seam})"
    if over.max() > 0:
        k = int(np.argmax(over))
        log.fail(kind, f"{leg.name} {use}", f"{now[k]:.3f} degrees, {stations(new)[k + 1]:.1f} mm along; {was:.3f} before")
        return
    if seam == "inseam" and bent < max(SHAPED, to_and_fro(leg, old)):
        return
    # What is drawn without noise is added up vertex by vertex; steps of their own would see other parts of a stretched line.
    total = [far_bends(points, bends) if leg.noise else float(bends(turns(points)).sum()) for points in (old, new)]
    slack = LONG_BEND + 2 * np.degrees(leg.noise / STEP) * 2 + np.degrees(4 * leg.rounding / STEP)
    log.bound(kind, f"{leg.name} {use} from afar", max(0.0, total[1] - total[0] * 1.1), slack)


def to_and_fro(leg, old):
    """Degrees that a line turns to and fro which leaves another sideways and comes back to it in its direction: by two arcs, each
    turns by twice what it is off over the way, there and back."""
    s = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(old, axis=0).T))])
    way = leg.back_at * (1.0 if leg.remedied else 0.75)
    if way <= 0:
        return 0.0
    end = np.array([np.interp(leg.back_at, s, old[:, k]) for k in (0, 1)])
    along = (end - old[0]) / np.hypot(*(end - old[0]))
    off = abs(along[0] * leg.slid[1] - along[1] * leg.slid[0])
    return float(np.degrees(4 * off / way))


def far_bends(points, bends):
    """Degrees by which a line bends the other way in all, seen in steps as wide as its own, or wider."""
    wide = max(STEP, 1.5 * np.hypot(*np.diff(points, axis=0).T)[1:-1].max(initial=0.0))
    n = int(length(points) / wide)
    if n < 3:
        return 0.0
    return float(bends(turns(resample(points, np.linspace(0, length(points), n + 1)))).sum())


def added(log, leg):
    """Vertices are moved, not added, where the line could do without."""
    for use in leg.lines:
        pair = leg.pairs[use]
        for seam in ("crotch", "inseam"):
            run = pair.seams[seam]
            if run.curved:
                continue
            for k in run.added():
                log.worst["vertices added"] += 1
            for a, b in zip(run.image, run.image[1:]):
                if b > a + 1:
                    deep = max(project(run.new[[a, b]], p)[1] for p in run.new[a + 1:b])
                    if deep < 0.02 and not sharper_without(leg, seam, run, a, b):
                        log.fail("vertex added without need", f"{leg.name} {use} {seam}", f"{deep:.4f} mm off its chord")


def sharper_without(leg, seam, run, a, b):
    """Whether a vertex at either end of an edge would turn too sharply, or just about, without those added on it, or the angle at the
    fork would be another one."""
    line = np.delete(run.new, range(a + 1, b), axis=0)
    most = np.abs(turns(run.old)).max(initial=0.0) + (TURN_CARRIED if leg.remedied else TURN) - 0.1
    at = [k - 1 for k in (a, a + 1) if 0 < k < len(line) - 1]
    u, v = (points[-2] - points[-1] if seam == "crotch" else points[1] - points[0] for points in (run.new, line))
    turned = abs(np.degrees(np.arctan2(u[0] * v[1] - u[1] * v[0], u @ v)))
    return bool((np.abs(turns(line))[at] > most).any() or turned > FORK)

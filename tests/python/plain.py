"""Draws a nest again without blocks, as general drawing programs do, with `ezdxf`; and compares what became of it.

    plain.py draw NEST.dxf OUT.dxf MANNER       pieces beside each other among the drawing's own entities
    plain.py same OLD.dxf NEW.dxf SIZE...       outside of these sizes' pieces every entity of NEW says what OLD's says

MANNER is some of, joined by commas: r12 (else release 2010), lines (every edge a LINE), mixed (entities in no order), frame (a closed frame
on a layer of its own around all), turned (everything by 30 degrees), words (the piece's name as a bare word), inch.
"""

import math
import random
import sys

import ezdxf
from ezdxf.math import Matrix44


def points(entity):
    if entity.dxftype() == "POLYLINE":
        return [(v.dxf.location.x, v.dxf.location.y) for v in entity.vertices]
    if entity.dxftype() == "LWPOLYLINE":
        return [(p[0], p[1]) for p in entity.get_points("xy")]
    if entity.dxftype() == "LINE":
        return [(p.x, p.y) for p in (entity.dxf.start, entity.dxf.end)]
    at = entity.dxf.insert if entity.dxftype() == "TEXT" else entity.dxf.location
    return [(at.x, at.y)]


def pieces(drawing):
    for block in drawing.blocks:
        if not block.name.startswith(("*", "$")):
            yield [e for e in block if e.dxf.is_supported("layer") and e.dxftype() in ("POLYLINE", "LWPOLYLINE", "LINE", "POINT", "TEXT")]


def inside(outline):
    """A place well within an outline, for texts that stood beside it."""
    xs = [x for x, _ in outline]
    x = 0.47 * min(xs) + 0.53 * max(xs)
    ring = list(zip(outline, outline[1:] + outline[:1]))
    ys = sorted(a[1] + (x - a[0]) / (b[0] - a[0]) * (b[1] - a[1]) for a, b in ring if (a[0] > x) != (b[0] > x))
    return x, 0.5 * (ys[0] + ys[1])


def draw(source, target, manner):
    release = "R12" if "r12" in manner else "R2010"
    new = ezdxf.new(release)
    new.header["$INSUNITS"] = 1 if "inch" in manner else 4
    space = new.modelspace()
    turn = Matrix44.z_rotate(math.radians(30 if "turned" in manner else 0))
    all_of, reach, low, high = [], 0.0, 0.0, 0.0
    for piece in pieces(ezdxf.readfile(source)):
        lines = [e for e in piece if "LINE" in e.dxftype()]
        xs = [x for e in lines for x, _ in points(e)]
        low, high = (f(v, *(y for e in lines for _, y in points(e))) for f, v in ((min, low), (max, high)))
        shift = reach - min(xs)
        reach += max(xs) - min(xs) + 0.1 * (max(xs) - min(xs))
        outline = max((points(e) for e in lines if e.dxf.layer in ("1", "14")), key=len)
        middle = inside(outline)
        for e in piece:
            text = e.dxf.text if e.dxftype() == "TEXT" else None
            if text and "words" in manner and text.startswith("Piece Name:"):
                text = text.removeprefix("Piece Name:").strip()
            at = [middle] if text and not text.startswith("#") else points(e)
            moved = [turn.transform((x + shift, y, 0)) for x, y in at]
            closed = getattr(e, "is_closed", False) or getattr(e, "closed", False)
            all_of.append((e.dxftype(), [(p.x, p.y) for p in moved], closed, text, {"layer": e.dxf.layer}))
    if "mixed" in manner:
        random.Random(1).shuffle(all_of)
    if "frame" in manner:
        corners = [(-50, low - 50), (reach + 50, low - 50), (reach + 50, high + 50), (-50, high + 50)]
        at = [turn.transform((x, y, 0)) for x, y in corners]
        all_of.append(("POLYLINE", [(p.x, p.y) for p in at], True, None, {"layer": "FRAME"}))
    for kind, at, closed, text, attribs in all_of:
        if kind == "TEXT":
            space.add_text(text, height=2, dxfattribs=attribs).set_placement(at[0])
        elif kind == "POINT":
            space.add_point(at[0], dxfattribs=attribs)
        elif kind == "LINE" or "lines" in manner:
            ring = at + at[:1] if closed else at
            for a, b in zip(ring, ring[1:]):
                space.add_line(a, b, dxfattribs=attribs)
        elif release == "R12":
            space.add_polyline2d(at, close=closed, dxfattribs=attribs)
        else:
            space.add_lwpolyline(at, close=closed, dxfattribs=attribs)
    new.saveas(target)


def said(entity):
    return entity.dxftype(), entity.dxf.layer, entity.dxf.handle, tuple(points(entity)), getattr(entity.dxf, "text", None)


def same(old, new, sizes):
    """Entities are told by their handles; what differs has to lie at a piece of one of the sizes."""
    before, after = ({e.dxf.handle: e for e in ezdxf.readfile(f).modelspace()} for f in (old, new))
    gone = [h for h in before if h not in after]
    assert not gone, f"{len(gone)} entities are not there any more"
    changed = [h for h in before if said(before[h]) != said(after[h])]
    assert changed, "nothing was altered"
    # A piece is what lies within the reach of its own size text; pieces stand beside each other.
    marks = [(points(e)[0], e.dxf.text) for e in before.values() if e.dxftype() == "TEXT" and e.dxf.text.startswith("Size:")]
    for h in changed:
        x, y = points(before[h])[0]
        nearest = min(marks, key=lambda m: math.hypot(m[0][0] - x, m[0][1] - y))[1]
        wide = [m for m in marks if math.hypot(m[0][0] - x, m[0][1] - y) < 700]
        names = {m[1].removeprefix("Size:").strip() for m in wide} | {nearest.removeprefix("Size:").strip()}
        assert names & set(sizes), f"{before[h]} was changed at {(x, y)}, near size {nearest}"
    print(f"{len(before)} entities, {len(changed)} changed, {len(after) - len(before)} added")


if __name__ == "__main__":
    if sys.argv[1] == "draw":
        draw(sys.argv[2], sys.argv[3], set(sys.argv[4].split(",")))
    else:
        same(sys.argv[2], sys.argv[3], sys.argv[4:])

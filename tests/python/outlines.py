"""Says of every piece of a drawing what `shapely` makes of it, read by `ezdxf`:

    python outlines.py DRAWING.dxf

One line a block: its name, whether the cut and the sew line are simple, whether both ends of the grain line lie inside
the cut line, how far the furthest notch is from both lines, the least and the greatest distance of the cut line's vertices
from the sew line. Numbers are the drawing's own.
"""

import sys

import ezdxf
from shapely.geometry import LinearRing, Point, Polygon


def points(entity):
    return [(v.dxf.location.x, v.dxf.location.y) for v in entity.vertices]


def main():
    drawing = ezdxf.readfile(sys.argv[1])
    for block in drawing.blocks:
        lines = {e.dxf.layer: points(e) for e in block if e.dxftype() == "POLYLINE"}
        if "1" not in lines:
            continue
        cut, sew = Polygon(lines["1"]), Polygon(lines["14"])
        rings = [LinearRing(lines[layer]) for layer in ("1", "14")]
        grain = [e for e in block.query("LINE") if e.dxf.layer == "7"][0]
        inside = all(cut.contains(Point(p.x, p.y)) for p in (grain.dxf.start, grain.dxf.end))
        notches = [Point(e.dxf.location.x, e.dxf.location.y) for e in block.query("POINT") if e.dxf.layer == "4"]
        off = max((min(r.distance(n) for r in rings) for n in notches), default=0.0)
        across = [rings[1].distance(Point(p)) for p in lines["1"]]
        print(block.name, cut.is_valid, sew.is_valid, inside, f"{off:.4f} {min(across):.4f} {max(across):.4f}")


main()

"""Compares measures with those of ezdxf (reading) and shapely (lengths, validity).

    python compare_measures.py DRAWING.dxf MEASURES.json [DRAWING.dxf MEASURES.json ...]

The corners of each leg are found here by turning alone, in a way of this script's own. Exit code 1 if anything differs.
"""

import json
import sys

import ezdxf.recover
import numpy as np
from shapely import LineString, Polygon

from leg_outline import closed_ring, corners_by_shape, run_of

WITHIN = 0.002  # mm


def sew_line(block, mm):
    line = next(e for e in block if e.dxftype() in ("POLYLINE", "LWPOLYLINE") and e.dxf.layer == "14")
    if line.dxftype() == "POLYLINE":
        points = [(v.dxf.location.x, v.dxf.location.y) for v in line.vertices]
    else:
        points = [(x, y) for x, y, *_ in line.get_points()]
    return np.array(closed_ring(points)) * mm


def compare(drawing, measures):
    """What differs, and how many measures were compared."""
    doc, _ = ezdxf.recover.readfile(drawing)
    report = json.load(open(measures, encoding="utf-8"))
    mm = 25.4 if report["drawing"]["unit"] == "in" else 1.0
    wrong, compared = [], 0
    for size in report["sizes"]:
        inseams = {}
        for part in ("front", "back"):
            seen = size["measures"][part]
            block = doc.blocks[seen["block"]]
            points = sew_line(block, mm)
            grain = next(e for e in block if e.dxftype() == "LINE" and e.dxf.layer == "7")
            up = np.array((grain.dxf.end - grain.dxf.start).vec2)
            up /= np.hypot(*up)
            order, c = run_of(len(points), corners_by_shape([tuple(p) for p in points], up))
            ring = points[order]
            if (ring[0] - ring[c["fork"]]) @ up < 0:
                up = -up
            piece = Polygon(ring)
            if not piece.is_valid:
                wrong.append(f"{seen['block']}: shapely finds the sew line invalid")
            whole = np.vstack([ring, ring[:1]])
            run = lambda a, b: LineString(whole[a:b + 1]).length
            across = np.array([-up[1], up[0]]) * 5000
            fork = ring[c["fork"]]
            # The piece at fork level, a hair below so that the fork itself is on the line.
            level = piece.intersection(LineString([fork - across - up * 1e-7, fork + across - up * 1e-7])).length
            mine = {
                "rise_mm": run(0, c["fork"]),
                "inseam_mm": run(c["fork"], c["hem_in"]),
                "hem_mm": run(c["hem_in"], c["hem_out"]),
                "outseam_mm": run(c["hem_out"], c["side"]),
                "waist_mm": run(c["side"], len(ring)),
                "thigh_mm": level,
            }
            inseams[part] = mine["inseam_mm"]
            for key, value in mine.items():
                compared += 1
                if not abs(value - seen[key]) <= WITHIN:
                    wrong.append(f"{seen['block']}: {key} is {seen[key]}, shapely says {value:.6f}")
            if not np.allclose(fork / mm, seen["fork"], atol=1e-6):
                wrong.append(f"{seen['block']}: the fork is {seen['fork']}, here {fork / mm}")
        difference = inseams["back"] - inseams["front"]
        if not abs(difference - size["measures"]["inseam_difference_mm"]) <= WITHIN:
            wrong.append(f"size {size['size']}: the inseam difference is {size['measures']['inseam_difference_mm']}")
    return wrong, compared


def main():
    wrong, compared = [], 0
    for drawing, measures in zip(sys.argv[1::2], sys.argv[2::2]):
        here, count = compare(drawing, measures)
        wrong += [f"{drawing}: {w}" for w in here]
        compared += count
    print("\n".join(wrong))
    print(f"{compared} measures compared, {len(wrong)} differ")
    return 1 if wrong or not compared else 0


if __name__ == "__main__":
    sys.exit(main())

"""Legs drawn with vertices close together, as a digitiser or a plotter's drawing has them, and what is measured on them.

    python dense.py draw DIR       writes NAME.dxf and NAME.truth.json for every case
    python dense.py compare DIR    holds NAME.json, what the program measured, against NAME.truth.json

The truth is the length of the very line that was written, between the vertices that were put on the corners: nothing is
fitted, and noise counts as drawn. Shapes come from draft_trousers.py; each edge of its coarse outline is divided, so the
corners stay vertices of the line.
"""

import json
import math
import pathlib
import random
import sys

from draft_trousers import leg, offset, shape_of

SEAMS = (("rise_mm", "waist", "fork"), ("inseam_mm", "fork", "hem_in"), ("outseam_mm", "hem_out", "side"))
LENGTH = 0.05  # mm: what the last decimal of a dense line adds up to lies far below
ANGLE = 3.0  # degrees, front and back together: a tangent over 2 mm of a curve, and noise on it


def divided(points, corner, spacing):
    """Each edge of a closed line divided into steps of no more than `spacing`."""
    out, place = [], {}
    names = {v: k for k, v in corner.items()}
    for i, (p, q) in enumerate(zip(points, points[1:] + points[:1])):
        if i in names:
            place[names[i]] = len(out)
        steps = max(1, math.ceil(math.dist(p, q) / spacing))
        out += [(p[0] + k / steps * (q[0] - p[0]), p[1] + k / steps * (q[1] - p[1])) for k in range(steps)]
    return out, place


def noisy(points, corner, amount, rng):
    """Every vertex but those at corners off by up to `amount`, as a hand at a digitiser is."""
    keep = set(corner.values())
    shift = lambda: rng.uniform(-amount, amount)
    return [p if i in keep else (p[0] + shift(), p[1] + shift()) for i, p in enumerate(points)]


def rounded(points, corner, radius):
    """Vertices within `radius` of a corner drawn in towards it, so that the corner is an arc of about that radius."""
    out = list(points)
    n = len(points)
    for i in (v for k, v in corner.items() if k != "curve_begin"):
        near = [j % n for j in range(i - n // 2, i + n // 2) if math.dist(points[j % n], points[i]) < radius]
        a, b = points[near[0]], points[near[-1]]
        m = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        for j in near:
            t = 0.4 * (1 - math.dist(points[j], points[i]) / radius)
            out[j] = (points[j][0] + t * (m[0] - points[j][0]), points[j][1] + t * (m[1] - points[j][1]))
    return out


def edge_angle(points, i, step):
    """The direction of the edge of a line that leaves a vertex, in radians."""
    a, b = points[i], points[(i + step) % len(points)]
    return math.atan2(b[1] - a[1], b[0] - a[0])


def cases():
    for spacing in (0.1, 0.2, 0.35, 0.5, 1, 3):
        yield f"exact-{spacing}", {"spacing": spacing}
        yield f"hundredths-{spacing}", {"spacing": spacing, "decimals": 2}
        yield f"turned-{spacing}", {"spacing": spacing, "decimals": 2, "turn": 33}
        yield f"told-{spacing}", {"spacing": spacing, "decimals": 2, "turn_points": True, "turn": 201}
    for spacing in (0.35, 0.5, 1, 2):
        yield f"noise-{spacing}", {"spacing": spacing, "noise": 0.1}
        yield f"noise-told-{spacing}", {"spacing": spacing, "noise": 0.2, "turn_points": True}
    # Its corners are hidden in noise twice as wide as the spacing: to a vertex or two.
    yield "wild-0.2", {"spacing": 0.2, "noise": 0.2, "decimals": 3}
    for radius in (0.3, 1.0):
        yield f"rounded-{radius}", {"spacing": 0.1, "round": radius, "turn_points": True}
    for spacing in (0.1, 0.35, 1):
        yield f"cut-{spacing}", {"spacing": spacing, "cut": True, "decimals": 4}
        yield f"cut-hundredths-{spacing}", {"spacing": spacing, "cut": True, "decimals": 2}


def draw(folder):
    folder.mkdir(parents=True, exist_ok=True)
    for number, (name, case) in enumerate(cases()):
        rng = random.Random(number)
        shape = shape_of(rng)
        shape.update(crotch_points=240, inseam_points=240, out_points=50, waist_points=20, hem_points=1)
        shape["allowance"] = {k: 10.0 for k in shape["allowance"]}
        turn = math.radians(case.get("turn", 0))
        place = lambda p: (p[0] * math.cos(turn) - p[1] * math.sin(turn), p[0] * math.sin(turn) + p[1] * math.cos(turn))
        decimals = case.get("decimals", 6)
        lines, truth, places, angles, longer = [], {}, {}, 0.0, 0.0

        def pair(code, value):
            lines.append(f"{code}\n{value}")

        def at(p, codes=(10, 20)):
            for code, v in zip(codes, place(p)):
                pair(code, f"{v:.{decimals}f}")

        pair(0, "SECTION"), pair(2, "BLOCKS")
        for part in ("FRONT", "BACK"):
            outline, coarse = leg(rng, part, shape)
            points, corner = divided(outline, coarse, case["spacing"])
            points = noisy(points, corner, case.get("noise", 0), rng)
            points = rounded(points, corner, case["round"]) if "round" in case else points
            written = [tuple(round(v, decimals) for v in place(p)) for p in points]
            lengths = {}
            for seam, a, b in SEAMS:
                run = written[corner[a] : corner[b] + 1]
                lengths[seam] = sum(math.dist(p, q) for p, q in zip(run, run[1:]))
            truth[part], places[f"{part}-40"] = lengths, corner
            seam = outline[coarse["waist"] : coarse["fork"] + 1]
            longer += lengths["rise_mm"] - sum(math.dist(p, q) for p, q in zip(seam, seam[1:]))
            apart = edge_angle(outline, coarse["fork"], -1) - edge_angle(outline, coarse["fork"], 1)
            angles += abs(math.degrees(math.remainder(apart, 2 * math.pi)))
            pair(0, "BLOCK"), pair(8, "0"), pair(2, f"{part}-40"), pair(70, 0), pair(10, 0), pair(20, 0)
            line = points
            if case.get("cut"):
                # Cut line only: each edge of the coarse outline shifted out, then divided.
                cut, cut_corner = offset(outline, coarse, shape["allowance"], False)
                line, _ = divided(cut, cut_corner, case["spacing"])
            pair(0, "POLYLINE"), pair(8, "1" if case.get("cut") else "14"), pair(66, 1), pair(70, 1)
            for p in line:
                pair(0, "VERTEX"), pair(8, "1" if case.get("cut") else "14"), at(p)
            pair(0, "SEQEND")
            if case.get("turn_points"):
                for key in ("waist", "fork", "hem_in", "hem_out", "side"):
                    pair(0, "POINT"), pair(8, "2"), at(points[corner[key]])
            middle = (-shape["hip"] / 8, -shape["leg"] * 0.3)
            for k, text in enumerate((f"Piece Name: {part}", "Size: 40", "Quantity: 2", "Material: TWILL")):
                pair(0, "TEXT"), pair(8, "1"), at((middle[0], middle[1] - 12 * k)), pair(40, 5), pair(1, text)
            pair(0, "LINE"), pair(8, "7"), at((middle[0], -200)), at((middle[0], 50), (11, 21))
            pair(0, "ENDBLK"), pair(8, "0")
        pair(0, "ENDSEC"), pair(0, "SECTION"), pair(2, "ENTITIES")
        for text in ("Units: METRIC", "Style Name: DENSE"):
            pair(0, "TEXT"), pair(8, "1"), pair(10, 0), pair(20, 0), pair(40, 5), pair(1, text)
        for part in ("FRONT", "BACK"):
            pair(0, "INSERT"), pair(8, "1"), pair(2, f"{part}-40"), pair(10, 0), pair(20, 0)
        pair(0, "ENDSEC"), pair(0, "EOF")
        truth["fork_angle_deg"], truth["longer_mm"] = angles, longer
        truth["corners"] = places
        (folder / f"{name}.dxf").write_text("\n".join(lines) + "\n")
        (folder / f"{name}.truth.json").write_text(json.dumps(truth))


def compare(folder):
    wrong = 0
    for path in sorted(folder.glob("*.truth.json")):
        name, truth = path.name.removesuffix(".truth.json"), json.loads(path.read_text())
        text = (folder / f"{name}.json").read_text()
        if not text:
            print(f"{name}: nothing was measured")
            wrong += 1
            continue
        measured = json.loads(text)
        said = [f["id"] for s in measured["sizes"] for f in s["findings"]] + [f["id"] for f in measured["findings"]]
        off = []
        for size in measured["sizes"]:
            m = size.get("measures")
            if not m:
                off.append("not measured")
                continue
            for part in ("FRONT", "BACK"):
                for seam, _, _ in SEAMS:
                    d = m[part.lower()][seam] - truth[part][seam]
                    if abs(d) > (LENGTH if not name.startswith("wild") else 1):
                        off.append(f"{part} {seam} {d:+.3f}")
            d = m["fork_angle_deg"] - truth["fork_angle_deg"]
            # At a rounded corner the tangent is taken on the arc: only that the corner is one matters there.
            if abs(d) > (ANGLE if not name.startswith("rounded") else 20):
                off.append(f"fork angle {d:+.2f}")
        if not measured["sizes"]:
            off.append("no size")
        if not 150 < truth["fork_angle_deg"] < 210:
            said = [i for i in said if i != "fork-angle"]
        # Noise on close vertices makes a seam longer, and that has to be said.
        if name.startswith(("noise", "wild")) and truth["longer_mm"] > 2:
            off += [] if "line-rough" in said else ["noise not told"]
            said = [i for i in said if i != "line-rough"]
        if off or said:
            print(f"{name}: {', '.join(off) or 'right'}; findings {said}")
        wrong += bool(off) or bool(said)
    print(f"{wrong} of {len(list(folder.glob('*.truth.json')))} wrong")
    return wrong


if __name__ == "__main__":
    what, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    if what == "draw":
        draw(folder)
    elif compare(folder):
        sys.exit(1)

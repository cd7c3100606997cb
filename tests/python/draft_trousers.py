"""Drafts trousers at random and writes them as DXF, for the altering program to be tried on.

    python draft_trousers.py DIR --seed N --count K

For each draft DIR gets NAME.dxf (a nest of one to three sizes), NAME.csv (the size table) and NAME.truth.json, which says
for every piece which vertex is which corner. Nothing here uses the program or its sample generator: the shapes are drawn
by this script's own rules (Bezier, ellipse and arc crotch curves, straight and curved inseams, leans from 0 to 10 degrees).
The proportions are common practice, no source; the drafts are only shapes to be altered, not patterns to be sewn.
"""

import argparse
import json
import math
import pathlib
import random

CORNERS = ("waist", "curve_begin", "fork", "hem_in", "hem_out", "side")


def bezier(p0, p1, p2, p3, n):
    """n + 1 points of a cubic, ends included."""
    out = []
    for i in range(n + 1):
        t = i / n
        a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
        out.append((a * p0[0] + b * p1[0] + c * p2[0] + d * p3[0], a * p0[1] + b * p1[1] + c * p2[1] + d * p3[1]))
    return out


def meet(p, d, q, e):
    """Where the lines p + s d and q + t e cross."""
    cross = d[0] * e[1] - d[1] * e[0]
    s = ((q[0] - p[0]) * e[1] - (q[1] - p[1]) * e[0]) / cross
    return (p[0] + s * d[0], p[1] + s * d[1])


def crotch_curve(rng, begin, down, fork, out, n):
    """From the end of the straight centre seam to the fork, tangent to both directions."""
    corner = meet(begin, down, fork, out)
    kind = rng.choice(["bezier", "ellipse", "power"])
    if kind == "bezier":
        k = rng.uniform(0.45, 0.75)
        p1 = tuple(b + k * (c - b) for b, c in zip(begin, corner))
        p2 = tuple(f + k * (c - f) for f, c in zip(fork, corner))
        return bezier(begin, p1, p2, fork, n)
    # In the oblique axes of the two tangents: a quarter of a (super)ellipse, which touches both.
    e = 2.0 if kind == "ellipse" else rng.uniform(1.8, 2.3)
    points = []
    for i in range(n + 1):
        t = i / n * math.pi / 2
        a, b = 1 - math.cos(t) ** (2 / e), 1 - math.sin(t) ** (2 / e)
        # corner + b * (begin - corner) + a * (fork - corner)
        points.append(tuple(c + b * (p - c) + a * (f - c) for c, p, f in zip(corner, begin, fork)))
    points[0], points[-1] = begin, fork
    return points


def leg(rng, part, shape):
    """Sew line of one leg (mm, waist up, fork to the right) from the waist down the crotch seam, with its corners."""
    back = part == "BACK"
    lean = math.radians(shape["back_lean"] if back else shape["front_lean"])
    depth, hip = shape["depth"], shape["hip"] / 4 + (12 if back else 0)
    extension = shape["hip"] * (0.115 if back else 0.055) * shape["reach"]
    drop = shape["drop"] if back else 0.0
    fork = (extension, -drop)
    down = (math.sin(lean), -math.cos(lean))
    begin_y = shape["curve_height"] * depth * (1.15 if back else 1.0)
    # The centre line goes through (0, 0).
    begin = (-math.tan(lean) * begin_y, begin_y)
    waist = (-math.tan(lean) * (depth + (18 if back else 0)), depth + (18 if back else 0))
    slope = math.radians(rng.uniform(2, 12) if back else rng.uniform(0, 10))
    points, corner = [], {}
    centre_n = shape["centre_points"]
    corner["waist"] = 0
    for i in range(centre_n):
        t = i / centre_n
        points.append(tuple(a + t * (b - a) for a, b in zip(waist, begin)))
    corner["curve_begin"] = len(points)
    curve = crotch_curve(rng, begin, down, fork, (math.cos(slope), -math.sin(slope)), shape["crotch_points"] + (6 if back else 0))
    points += curve[:-1]
    corner["fork"] = len(points)
    crease = extension - (shape["hip"] / 4 + extension) * rng.uniform(0.48, 0.52)
    knee_half, hem_half = shape["knee"] / 4 + (5 if back else -5), shape["hem"] / 4 + (5 if back else -5)
    leg_length = shape["leg"]
    hem_in, hem_out = (crease + hem_half, -leg_length), (crease - hem_half, -leg_length)
    knee = (crease + knee_half, -leg_length * 0.46)
    style = shape["inseam"]
    if style == "two":
        points.append(fork)
    elif style == "knee":
        shin = (hem_in[0] - knee[0], hem_in[1] - knee[1])
        size = math.hypot(*shin)
        reach = math.dist(fork, knee) / 3
        lean_in = 2 * math.atan2(fork[0] - knee[0], fork[1] - knee[1]) - math.atan2(-shin[0], -shin[1])
        p1 = (fork[0] - reach * math.sin(lean_in), fork[1] - reach * math.cos(lean_in))
        p2 = (knee[0] - reach * shin[0] / size, knee[1] - reach * shin[1] / size)
        points += bezier(fork, p1, p2, knee, shape["inseam_points"])
    else:
        # One hollow from fork to hem.
        chord = (hem_in[0] - fork[0], hem_in[1] - fork[1])
        p1 = (fork[0] + chord[0] * 0.55, fork[1] + chord[1] * 0.3)
        p2 = (fork[0] + chord[0] * 0.9, fork[1] + chord[1] * 0.66)
        points += bezier(fork, p1, p2, hem_in, shape["inseam_points"])[:-1]
    corner["hem_in"] = len(points)
    points.append(hem_in)
    if shape["hem_points"] > 1:
        dip = rng.uniform(-4, 4)
        for i in range(1, shape["hem_points"]):
            t = i / shape["hem_points"]
            points.append((hem_in[0] + t * (hem_out[0] - hem_in[0]), -leg_length + dip * 4 * t * (1 - t)))
    corner["hem_out"] = len(points)
    hip_point = (-hip, depth * 0.35)
    side = (waist[0] - shape["waist"] / 4 - (10 if back else 0), depth + rng.uniform(-6, 6))
    out_knee = (crease - knee_half, -leg_length * 0.46)
    n = shape["out_points"]
    points += [hem_out]
    third = (hip_point[1] - out_knee[1]) / 3
    points += bezier(out_knee, (out_knee[0] + (out_knee[0] - hem_out[0]) * 0.4, out_knee[1] + third), (hip_point[0] - 2, hip_point[1] - third), hip_point, n)
    top = (side[1] - hip_point[1]) / 3
    points += bezier(hip_point, (hip_point[0] + 2, hip_point[1] + top), (side[0] - (side[0] - hip_point[0]) * 0.4, side[1] - top), side, max(4, n // 3))[1:-1]
    corner["side"] = len(points)
    # The waist leaves the centre seam square.
    span = waist[0] - side[0]
    square = (-math.cos(lean), -math.sin(lean))
    curve = bezier(side, (side[0] + span / 3, side[1] - 3), (waist[0] + span / 3 * square[0], waist[1] + span / 3 * square[1]), waist, shape["waist_points"])
    points += curve[:-1]
    return points, corner


def offset(points, corner, allowance, square_hem):
    """The cut line (every edge shifted outwards by its own allowance) and its corners."""
    n = len(points)

    def seam(i):
        for name, a, b in (("crotch", "waist", "fork"), ("inseam", "fork", "hem_in"), ("hem", "hem_in", "hem_out"), ("outseam", "hem_out", "side")):
            if corner[a] <= i < corner[b]:
                return name
        return "waist"

    # Clockwise with the waist up: outwards is to the left of travel.
    def normal(i):
        (ax, ay), (bx, by) = points[i], points[(i + 1) % n]
        size = math.hypot(bx - ax, by - ay)
        return (-(by - ay) / size, (bx - ax) / size)

    area = sum(points[i][0] * points[(i + 1) % n][1] - points[(i + 1) % n][0] * points[i][1] for i in range(n))
    sign = 1 if area < 0 else -1
    out, index = [], {}
    names = {v: k for k, v in corner.items()}
    for i in range(n):
        before = (i - 1) % n
        d0, d1 = allowance[seam(before)], allowance[seam(i)]
        n0, n1 = ((sign * x, sign * y) for x, y in (normal(before), normal(i)))
        cross = n0[0] * n1[1] - n0[1] * n1[0]
        if abs(cross) < 1e-9:
            v = (n0[0] * d1, n0[1] * d1)
        else:
            v = ((d0 * n1[1] - d1 * n0[1]) / cross, (d1 * n0[0] - d0 * n1[0]) / cross)
        if i in names:
            index[names[i]] = len(out)
        if square_hem and names.get(i) in ("hem_in", "hem_out"):
            # A corner squared off: the leg's edge runs to the hem line, then the hem.
            x, y = points[i]
            first = (x + n0[0] * d0, y + n0[1] * d0)
            second = (x + n1[0] * d1, y + n1[1] * d1)
            both = (x + n0[0] * d0 + n1[0] * d1, y + n0[1] * d0 + n1[1] * d1)
            out += [first, both] if names[i] == "hem_in" else [both, second]
            continue
        out.append((points[i][0] + v[0], points[i][1] + v[1]))
    return out, index


def shape_of(rng):
    hip = rng.uniform(840, 1300)
    return {
        "hip": hip,
        "waist": hip * rng.uniform(0.78, 0.92),
        "depth": rng.uniform(190, 300),
        "reach": rng.uniform(0.8, 1.15),
        "drop": rng.uniform(0, 14),
        "front_lean": rng.uniform(0, 4),
        "back_lean": rng.uniform(0, 10),
        "curve_height": rng.uniform(0.25, 0.45),
        "centre_points": rng.choice([1, 1, 2, 5, 12]),
        "crotch_points": rng.choice([9, 14, 24, 40, 80]),
        "inseam": rng.choice(["knee", "knee", "knee", "whole", "whole", "two"]),
        "inseam_points": rng.choice([6, 12, 25, 60]),
        "hem_points": rng.choice([1, 1, 4]),
        "out_points": rng.choice([8, 20, 50]),
        "waist_points": rng.choice([3, 8, 20]),
        "knee": rng.uniform(400, 560),
        "hem": rng.uniform(340, 480),
        "leg": rng.uniform(640, 860),
        "allowance": {
            "crotch": rng.choice([10.0, 12.7, 15.875]),
            "inseam": rng.choice([10.0, 12.7, 15.875]),
            "hem": rng.choice([25.0, 40.0]),
            "outseam": rng.choice([10.0, 15.875]),
            "waist": rng.choice([8.0, 10.0]),
        },
        "square_hem": rng.random() < 0.3,
    }


class Writer:
    def __init__(self, rng):
        self.rng = rng
        self.unit = rng.choice(["METRIC", "METRIC", "ENGLISH"])
        self.mm = 1.0 if self.unit == "METRIC" else 25.4
        self.decimals = rng.choice([3, 4, 5, 6])
        if self.unit == "METRIC" and rng.random() < 0.2:
            self.decimals = 2
        self.turn = math.radians(rng.choice([0, 90, 180, 270, rng.uniform(0, 360), rng.uniform(0, 360)]))
        self.mirrored = rng.random() < 0.5
        self.grain_up = rng.random() < 0.5
        self.shift = (rng.uniform(-2000, 2000), rng.uniform(-2000, 2000)) if rng.random() < 0.6 else (0.0, 0.0)
        self.end = rng.choice(["\n", "\r\n"])
        self.light = rng.random() < 0.4  # LWPOLYLINE
        self.closed = rng.random() < 0.6
        self.reverse = rng.random() < 0.5
        self.rotate_start = rng.random() < 0.5
        self.padded = rng.random() < 0.6
        self.rules = rng.random() < 0.6
        self.lines = []
        self.rule = 0
        self.handle = 0x100

    def pair(self, code, value):
        self.lines.append(f"{code:>3}" if self.padded else str(code))
        self.lines.append(str(value))

    def number(self, code, value):
        text = f"{value:.{self.decimals}f}"
        self.pair(code, text[1:] if text.startswith("-") and float(text) == 0 else text)

    def map(self, p):
        x, y = p
        if self.mirrored:
            x = -x
        x, y = x * math.cos(self.turn) - y * math.sin(self.turn), x * math.sin(self.turn) + y * math.cos(self.turn)
        return ((x + self.shift[0]) / self.mm, (y + self.shift[1]) / self.mm)

    def angle(self, v):
        a, b = self.map((0, 0)), self.map(v)
        return math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) % 360

    def at(self, p):
        x, y = self.map(p)
        self.number(10, x)
        self.number(20, y)

    def entity(self, kind, layer):
        self.pair(0, kind)
        if self.light:
            self.handle += 1
            self.pair(5, f"{self.handle:X}")
            self.pair(100, "AcDbEntity")
        self.pair(8, layer)
        if self.light:
            names = {"LWPOLYLINE": "AcDbPolyline", "POINT": "AcDbPoint", "LINE": "AcDbLine", "TEXT": "AcDbText"}
            self.pair(100, names[kind])

    def text(self, layer, p, value):
        self.entity("TEXT", layer)
        self.at(p)
        self.number(40, 5 / self.mm)
        self.pair(1, value)
        if self.light:
            self.pair(100, "AcDbText")

    def outline(self, layer, points):
        if self.light:
            self.entity("LWPOLYLINE", layer)
            extra = points if self.closed else points + points[:1]
            self.pair(90, len(extra))
            self.pair(70, 1 if self.closed else 0)
            for p in extra:
                self.at(p)
            return
        self.entity("POLYLINE", layer)
        self.pair(66, 1)
        self.pair(70, 1 if self.closed else 0)
        for p in points if self.closed else points + points[:1]:
            self.entity("VERTEX", layer)
            self.at(p)
        self.entity("SEQEND", layer)

    def ordered(self, points, corner, start):
        """The vertices as this drawing orders them, and the corners' new indices."""
        n = len(points)
        order = [(start + i) % n for i in range(n)]
        if self.reverse:
            order = order[::-1]
        place = {old: new for new, old in enumerate(order)}
        return [points[i] for i in order], {k: place[v] for k, v in corner.items()}

    def piece(self, part, size, shape, rng):
        sew, corner = leg(rng, part, shape)
        cut, cut_corner = offset(sew, corner, shape["allowance"], shape["square_hem"])
        start = rng.randrange(len(sew)) if self.rotate_start else corner["side"]
        sew_out, sew_truth = self.ordered(sew, corner, start)
        cut_out, cut_truth = self.ordered(cut, cut_corner, start % len(cut))
        name = f"{part}-{size}"
        self.pair(0, "BLOCK")
        if self.light:
            self.handle += 1
            self.pair(5, f"{self.handle:X}")
            self.pair(100, "AcDbEntity")
        self.pair(8, "0")
        if self.light:
            self.pair(100, "AcDbBlockBegin")
        self.pair(2, name)
        self.pair(70, 0)
        self.number(10, 0.0)
        self.number(20, 0.0)
        self.number(30, 0.0)
        self.pair(3, name)
        self.outline("1", cut_out)
        mid = (-shape["hip"] / 8, -shape["leg"] * 0.3)
        for i, line in enumerate((f"Piece Name: {part}", f"Size: {size}", "Quantity: 2", "Material: TWILL")):
            self.text("1", (mid[0], mid[1] - 12 * i), line)
        marks = rng.random()
        for points, corners in ((cut_out, cut_truth), (sew_out, sew_truth)):
            turn = {v for k, v in corners.items() if k != "curve_begin"}
            for i, p in enumerate(points):
                if i in turn:
                    self.entity("POINT", "2")
                    self.at(p)
                    if self.rules:
                        self.rule += 1
                        self.text("2", p, f"# {self.rule}")
                elif marks < 0.7:
                    self.entity("POINT", "3")
                    self.at(p)
        self.outline("14", sew_out)
        self.notches(cut, cut_corner, rng)
        low, high = (mid[0] + 8, -shape["leg"] * 0.55), (mid[0] + 8, -shape["leg"] * 0.05)
        a, b = (low, high) if self.grain_up else (high, low)
        self.entity("LINE", "7")
        self.at(a)
        x, y = self.map(b)
        self.number(11, x)
        self.number(21, y)
        self.entity("POINT", "13")
        self.at((mid[0], shape["depth"] * 0.4))
        self.entity("LINE", "8")
        self.at((mid[0] - 40, shape["depth"] * 0.5))
        x, y = self.map((mid[0] + 30, shape["depth"] * 0.45))
        self.number(11, x)
        self.number(21, y)
        self.pair(0, "ENDBLK")
        if self.light:
            self.handle += 1
            self.pair(5, f"{self.handle:X}")
            self.pair(100, "AcDbEntity")
        self.pair(8, "0")
        if self.light:
            self.pair(100, "AcDbBlockEnd")
        return name, {"sew": sew_truth, "cut": cut_truth, "part": part, "size": size, "straight_inseam": shape["inseam"] == "two"}

    def notches(self, cut, corner, rng):
        spots = []
        for a, b, shares in (("curve_begin", "fork", (0.35, 0.7)), ("fork", "hem_in", (0.12, 0.45)), ("hem_out", "side", (0.4, 0.75))):
            run = [cut[i] for i in range(corner[a], corner[b] + 1)]
            total = sum(math.dist(p, q) for p, q in zip(run, run[1:]))
            for share in shares:
                left = share * total
                for p, q in zip(run, run[1:]):
                    step = math.dist(p, q)
                    if left <= step:
                        t = left / step
                        at = (p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1]))
                        spots.append((at, ((q[1] - p[1]) / step, -(q[0] - p[0]) / step)))
                        break
                    left -= step
        for at, inward in spots:
            layer = rng.choice(["4", "4", "80", "83"])
            self.entity("POINT", layer)
            self.at(at)
            self.number(30, 6 / self.mm)
            self.number(39, 3 / self.mm)
            self.number(50, self.angle(inward))
            if self.rules:
                self.rule += 1
                self.text(layer, at, f"# {self.rule}")

    def header(self):
        if not self.light:
            return
        self.pair(0, "SECTION")
        self.pair(2, "HEADER")
        self.pair(9, "$ACADVER")
        self.pair(1, "AC1015")
        self.pair(9, "$HANDSEED")
        self.pair(5, "FFFF")
        self.pair(0, "ENDSEC")


def draft(rng, name, folder, biggest):
    w = Writer(rng)
    if rng.random() < 0.5:
        w.pair(999, "drawn at random")
    w.header()
    w.pair(0, "SECTION")
    w.pair(2, "BLOCKS")
    base, truth, sizes = shape_of(rng), {}, rng.choice([1, 1, 2, 3])
    rows = ["size,change"]
    for k in range(sizes):
        shape = dict(base)
        for key, step in (("hip", 40), ("waist", 40), ("depth", 5), ("leg", 2), ("knee", 12), ("hem", 8)):
            shape[key] = base[key] + step * k
        size = str(36 + 2 * k)
        for part in ("FRONT", "BACK"):
            block, corners = w.piece(part, size, shape, random.Random(rng.random()))
            truth[block] = corners
        if k == 0 or rng.random() < 0.8:
            change = rng.choice([rng.uniform(-38, biggest), biggest, -38.0, 25.4, rng.uniform(-12, 12)])
            rows.append(f"{size},{change:.3f}mm")
    w.pair(0, "ENDSEC")
    w.pair(0, "SECTION")
    w.pair(2, "ENTITIES")
    w.text("1", (0, 0), "Style Name: RANDOM")
    w.text("1", (0, 20), f"Units: {w.unit}")
    w.pair(0, "ENDSEC")
    w.pair(0, "EOF")
    (folder / f"{name}.dxf").write_bytes((w.end.join(w.lines) + w.end).encode("ascii"))
    (folder / f"{name}.csv").write_text("\n".join(rows) + "\n")
    (folder / f"{name}.truth.json").write_text(json.dumps({"unit_mm": w.mm, "blocks": truth, "base": base}, indent=1))


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=pathlib.Path)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=20)
    parser.add_argument("--biggest", type=float, default=50.8, help="largest change, mm")
    args = parser.parse_args()
    args.folder.mkdir(parents=True, exist_ok=True)
    for i in range(args.count):
        draft(random.Random(args.seed * 100003 + i), f"draft-{args.seed}-{i:03}", args.folder, args.biggest)


if __name__ == "__main__":
    main()

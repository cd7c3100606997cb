"""Draws a base, and checks nests, with ezdxf: nothing of the library is used here.

    grade_nest.py base RELEASE BASE.dxf RULES     draws a base with its rule table
    grade_nest.py check BASE.dxf RULES NEST.dxf   every size computed from base and table, and an audit
    grade_nest.py compare A.dxf B.dxf             numbered points of two nests, and an audit of the second
"""

import math
import sys

import ezdxf
from ezdxf import units

SIZES = ["8", "10", "12", "14"]
SAMPLE = "10"
ANGLE = math.radians(30)  # of the grade reference line


def audited(path):
    doc = ezdxf.readfile(path)
    audit = doc.audit()
    # The sample has an entity that ezdxf does not know and says it would leave out; that is what it is there for.
    problems = [f"{e.code}: {e.message}" for e in audit.errors + audit.fixes if "SHOPMARK" not in e.message]
    if problems:
        sys.exit(f"{path}: {problems[:5]}")
    # One handle each.
    seen = [e.dxf.handle for e in doc.entitydb.values()]
    if len(seen) != len(set(seen)):
        sys.exit("a handle occurs twice")
    return doc


def graded(block):
    """Numbered points: (layer, number, occurrence) with the point that lies there."""
    found = {}
    for text in block.query("TEXT"):
        if not text.dxf.text.startswith("#"):
            continue
        key = (text.dxf.layer, int(text.dxf.text[1:]))
        nth = sum(1 for k in found if k[:2] == key)
        found[(*key, nth)] = text.dxf.insert.vec2
    return found


def vertices(block, layer):
    for e in block:
        if e.dxftype() == "POLYLINE" and e.dxf.layer == layer:
            return [v.dxf.location.vec2 for v in e.vertices]
        if e.dxftype() == "LWPOLYLINE" and e.dxf.layer == layer:
            return [ezdxf.math.Vec2(p) for p in e.get_points("xy")]
    return []


def draw_base(release, path, rules):
    doc = ezdxf.new(release, setup=True)
    doc.units = units.MM
    if release != "R12":
        doc.appids.add("PANELSHOP")
    rows, number = {}, 1
    for name, wide in [("PANEL", 300.0), ("YOKE", 180.0)]:
        block = doc.blocks.new(f"{name}.{SAMPLE}")
        corners = [(0, 0), (wide, 0), (wide, 90), (0, 120)]
        line = [(0, 0), (wide / 2, 0), (wide, 0), (wide, 90)]
        line += [(wide - wide * t / 8, 90 + 30 * t / 8 + 20 * math.sin(math.pi * t / 8)) for t in range(1, 8)]
        line += [(0, 120)]
        # Stands for data of another program that belongs to this one entity.
        if release == "R12":
            outline = block.add_polyline2d(line, close=True, dxfattribs={"layer": "1"})
        else:
            outline = block.add_lwpolyline(line, close=True, dxfattribs={"layer": "1"})
            outline.set_xdata("PANELSHOP", [(1000, "round knife"), (1005, outline.dxf.handle)])
            outline.new_extension_dict().add_dictionary_var("SHOP", "7")
        for corner in corners:
            block.add_point(corner, dxfattribs={"layer": "2"})
            block.add_text(f"# {number}", height=3, dxfattribs={"layer": "2"}).set_placement(corner)
            step = (number * 0.75 - 2.0, 1.5 - number * 0.4)
            at = SIZES.index(SAMPLE)
            rows[number] = [(step[0] * (i - at), step[1] * (i - at)) for i in range(len(SIZES))]
            number += 1
        block.add_line((20, 50), (wide - 20, 50), dxfattribs={"layer": "7"})
        block.add_line((0, 0), (60 * math.cos(ANGLE), 60 * math.sin(ANGLE)), dxfattribs={"layer": "5"})
        block.add_circle((wide / 2, 60), 4, dxfattribs={"layer": "13"})
        block.add_attdef("LOT", (30, 30), dxfattribs={"layer": "15"})
        for i, text in enumerate([f"Piece Name: {name}", f"Size: {SAMPLE}", "Quantity: 2"]):
            block.add_text(text, height=3, dxfattribs={"layer": "1"}).set_placement((60, 70 - 5 * i))
        placed = doc.modelspace().add_blockref(block.name, (0, 0), dxfattribs={"layer": "1"})
        placed.add_attrib("LOT", "A7", (30, 30))
    for text in ["Style Name: PANELS", f"Sample Size: {SAMPLE}", "Units: METRIC"]:
        doc.modelspace().add_text(text, height=3, dxfattribs={"layer": "1"})
    doc.saveas(path)
    with open(rules, "w") as out:
        out.write("Units: Metric\nGrade Rule Table: panels\n")
        out.write(f"Sample Size: {SAMPLE}\nNumber of Sizes: {len(SIZES)}\nSize List: {' '.join(SIZES)}\n")
        for n, row in rows.items():
            out.write(f"Rule: Delta {n}\n" + " ".join(f"{x:.4f},{y:.4f}" for x, y in row) + "\n")
        out.write("End\n")


def read_rules(path):
    rows, current = {}, None
    for line in open(path):
        line = line.strip()
        if line.upper().startswith("RULE"):
            current = int(line.split()[-1])
        elif current and line and line.upper() != "END":
            rows[current] = [tuple(map(float, p.split(","))) for p in line.split()]
    return rows


def check(base, rules, nest):
    base, nest, rows = audited(base), audited(nest), read_rules(rules)
    for name in ["PANEL", "YOKE"]:
        original = base.blocks[f"{name}.{SAMPLE}"]
        kinds = [e.dxftype() for e in original]
        for i, size in enumerate(SIZES):
            block = nest.blocks[f"{name}.{size}"]
            if [e.dxftype() for e in block] != kinds:
                sys.exit(f"{name} {size}: other entities than the base has")
            texts = [t.dxf.text for t in block.query("TEXT")]
            if f"Size: {size}" not in texts or f"Piece Name: {name}" not in texts:
                sys.exit(f"{name} {size}: texts {texts}")
            line, found = vertices(block, "1"), graded(block)
            for key, at in graded(original).items():
                x, y = rows[key[1]][i]
                c, s = math.cos(ANGLE), math.sin(ANGLE)
                wanted = at + (c * x - s * y, s * x + c * y)
                off = max((found[key] - wanted).magnitude, min((v - wanted).magnitude for v in line))
                if off > 1e-3:
                    sys.exit(f"{name} {size} {key}: {off} mm off")
            placed = [e for e in nest.modelspace().query("INSERT") if e.dxf.name == block.name]
            if len(placed) != 1 or [a.dxf.text for a in placed[0].attribs] != ["A7"]:
                sys.exit(f"{name} {size}: placed {len(placed)} times, or without its attribute")


def compare(a, b):
    a, b = ezdxf.readfile(a), audited(b)
    names = [n.name for n in a.blocks if not n.name.startswith("*")]
    if names != [n.name for n in b.blocks if not n.name.startswith("*")]:
        sys.exit("other blocks")
    for name in names:
        here, there = graded(a.blocks[name]), graded(b.blocks[name])
        if here.keys() != there.keys():
            sys.exit(f"{name}: other points")
        worst = max((here[k] - there[k]).magnitude for k in here)
        if worst > 0.01:
            sys.exit(f"{name}: {worst} mm")


{"base": draw_base, "check": check, "compare": compare}[sys.argv[1]](*sys.argv[2:])
print("sound")

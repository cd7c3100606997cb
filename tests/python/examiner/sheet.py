"""A contact sheet: legs before and after, to be looked at by somebody who makes patterns.

The old lines are dotted, the new ones solid; what is red is the old crotch seam slid as it was, so that the truing shows as
the way between it and the new line.
"""

import math
import pathlib
import subprocess
import tempfile

import numpy as np

from .piece import Leg
from .reading import Read
from .run import Files, Outcome, alter
from . import drafts

CELL = (300, 380)  # of a leg, in the page's units
COLUMNS, ROWS = 5, 2


def legs(program, seed, count):
    """Altered legs of drafts, backs and fronts in turn, each with its caption."""
    made, k = [], seed
    while len(made) < count:
        with tempfile.TemporaryDirectory() as place:
            name = drafts.draft(k, pathlib.Path(place), sizes=1)
            files, outcome = Files(pathlib.Path(place), name), Outcome(k)
            report = alter(str(program), files, outcome)
            if report:
                made += drawn(files, report, ("back", "front")[len(made) % 4 == 3])
        k += 1
    return made


def drawn(files, report, part):
    old, new = (Read(f.read_bytes(), files.truth["unit_mm"]) for f in (files.drawing, files.out))
    made = []
    for size in report["sizes"]:
        if size["status"] == "altered":
            block, moves = size["before"][part]["block"], size["moves"][part]
            known = files.truth["blocks"][block]
            made.append((Leg(block, old, new, known, dict(moves)), caption(files, size, part, known)))
    return made


def caption(files, size, part, known):
    m, asked = size["moves"][part], size["asked"]
    style = files.truth["style"]
    return (f"{files.name} {part}: {asked['change_mm']:+.1f} mm, front {100 * asked['front_share']:.0f} % {files.truth['uneven']}",
            f"lean {known['lean']:.1f}°, straight {known['straight']:.0f}, hip {style['hip']:.0f}, {style['curve']}, {style['centre_form']}, "
            f"noise {known['noise']:.2f}; along {m['along_mm']:+.1f}, across {m['across_mm']:+.1f}, waist {m['waist_mm']:+.1f}")


def view(leg):
    """From the drawing's mm to a page with the waist up and the fork to the right: the crotch and the upper inseam fill a cell."""
    crotch, inseam = leg.sew.seams["crotch"], leg.sew.seams["inseam"]
    upper = inseam.old[inseam.s_old <= max(60.0, min(leg.back_at * 1.05, 0.6 * leg.rise[0]))]
    turned = lambda points: np.column_stack([points @ leg.out, -(points @ leg.up)])
    shown = turned(np.vstack([crotch.old, crotch.new, upper]))
    low, high = shown.min(axis=0) - 30, shown.max(axis=0) + 20
    scale = min(CELL[0] / (high - low)[0], (CELL[1] - 40) / (high - low)[1])
    return lambda points: (turned(points) - low) * scale


def path(points, closed, style):
    d = "M" + "L".join(f"{x:.1f} {y:.1f} " for x, y in points) + ("Z" if closed else "")
    return f'<path d="{d}" {style}/>'


def cell(leg, words, x, y):
    to, out = view(leg), []
    lines = []
    for use, colour in (("cut", "#8aa"), ("sew", "black")):
        if use not in leg.pairs:
            continue
        pair = leg.pairs[use]
        lines.append(path(to(pair.before.points), True, f'stroke="{colour}" stroke-width="0.7" stroke-dasharray="1.5 2.5"'))
        lines.append(path(to(pair.after.points), True, f'stroke="{colour}" stroke-width="0.8"'))
    crotch = leg.sew.seams["crotch"].old
    lines.append(path(to(crotch + leg.slid), False, 'stroke="red" stroke-width="0.5"'))
    for p in to(leg.sew.seams["crotch"].new):
        if len(leg.sew.seams["crotch"].new) < 80:
            lines.append(f'<circle cx="{p[0]:.1f}" cy="{p[1]:.1f}" r="1" fill="black"/>')
    out.append(f'<g transform="translate({x} {y})"><svg width="{CELL[0]}" height="{CELL[1] - 40}" y="34" fill="none">' + "".join(lines) + "</svg>")
    for i, text in enumerate((words[0], words[1].split("; ")[0], words[1].split("; ")[1])):
        out.append(f'<text y="{9 + 10 * i}" font-size="8.5" font-family="sans-serif">{text}</text>')
    return "".join(out) + f'<rect width="{CELL[0]}" height="{CELL[1]}" fill="none" stroke="#ddd"/></g>'


def sheet(program, seed, count, folder):
    """Writes the pages as SVG and, where rsvg-convert is there, as PNG. Gives their names."""
    folder.mkdir(parents=True, exist_ok=True)
    found, names, page = legs(program, seed, count), [], COLUMNS * ROWS
    for k in range(math.ceil(len(found) / page)):
        cells = []
        for i, (leg, words) in enumerate(found[k * page:(k + 1) * page]):
            cells.append(cell(leg, words, (i % COLUMNS) * (CELL[0] + 8), (i // COLUMNS) * (CELL[1] + 8)))
        width, height = COLUMNS * (CELL[0] + 8), ROWS * (CELL[1] + 8)
        svg = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}"><rect width="100%" height="100%" fill="white"/>{"".join(cells)}</svg>'
        target = folder / f"sheet-{k + 1}.svg"
        target.write_text(svg)
        names.append(target)
        try:
            subprocess.run(["rsvg-convert", target, "-o", target.with_suffix(".png")], check=True)
        except (FileNotFoundError, subprocess.CalledProcessError) as e:
            print(f"{target.name}: no PNG ({e})")
    return names

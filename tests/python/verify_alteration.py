"""Verifies altered drawings vertex by vertex against their originals, without any code of the altering program.

    python verify_alteration.py ORIGINAL.dxf ALTERED.dxf REPORT.json [TRUTH.json]
    python verify_alteration.py --folder DIR      # every NAME.dxf with NAME.out.dxf, NAME.report.json and NAME.truth.json there

Both files are read twice: raw, as group codes and values, and by ezdxf (an independent DXF reader). Outlines are judged by
shapely. Prints one line for each violation, and at the end a summary with the worst values met; exit code 1 if there is any.

The bounds are what practice asks of an altered crotch seam (common practice, no source): nothing but the redrawn edges and
what stands on them changes; the fork moves along the grain by the slide; the curve is an exact copy; joins without a corner;
the allowance is kept; front and back still sew together.
"""

import argparse
import collections
import json
import pathlib
import sys

import ezdxf
from ezdxf import recover

from raw_dxf import Raw, entities_of, vertices
from verify_lines import piece
from verify_log import Log

KINDS = ("POLYLINE", "LWPOLYLINE", "LINE", "POINT", "TEXT")  # what a piece is compared by
LENGTH = 0.05  # mm, the crotch length asked for
INSEAM = 1.5  # mm, back less front


def drawing(log, original, altered, report, truth):
    """Verifies one altered drawing, which the program's report is about."""
    old, new = Raw(original.read_bytes()), Raw(altered.read_bytes())
    readable(log, original, altered)
    outside(log, old, new)
    if list(old.blocks) != list(new.blocks):
        log.fail("blocks", f"{list(old.blocks)} became {list(new.blocks)}")
        return
    touched = set()
    for size in report["sizes"]:
        if size["status"] != "altered":
            continue
        measured = {}
        for part in ("front", "back"):
            block = size["before"][part]["block"]
            if block not in old.blocks:
                log.fail(block, "the report names a block that is not there")
                return
            touched.add(block)
            measured[part] = piece(log, block, old.blocks[block], new.blocks[block], size["moves"][part], truth)
        if all(measured.values()):
            together(log, size, measured["front"], measured["back"])
    for block in old.blocks:
        if block not in touched and old.blocks[block] != new.blocks[block]:
            log.fail(block, "was not to be altered, and its bytes differ")


def outside(log, old, new):
    """Outside the blocks nothing changes but the next free handle."""
    if len(old.outside) != len(new.outside):
        log.fail("outside the blocks", "pairs were added or lost")
    is_seed = False
    for a, b in zip(old.outside, new.outside):
        if a != b and not is_seed:
            log.fail("outside the blocks", f"{a[:2]} became {b[:2]}")
        is_seed = a[0] == 9 and a[1].strip() == b"$HANDSEED"
    if old.tail != new.tail:
        log.fail("after EOF", "bytes differ")


def readable(log, original, altered):
    """ezdxf reads the altered file without new complaints, and sees the geometry that the raw reading sees."""
    problems = []
    for path in (original, altered):
        try:
            doc, auditor = recover.readfile(path)
        except ezdxf.DXFError as e:
            log.fail(path.name, f"ezdxf cannot read it: {e}")
            return
        problems.append(collections.Counter(e.code for e in auditor.errors))
    if problems[1] - problems[0]:
        log.fail(altered.name, f"ezdxf's audit finds what it did not find in the original: {problems[1] - problems[0]}")
    geometry = {b.name: [seen(e) for e in b if e.dxftype() in KINDS] for b in doc.blocks}
    for name, pairs in Raw(altered.read_bytes()).blocks.items():
        entities = [e for e in entities_of(pairs) if e.kind in KINDS]
        mine = [[p for p, _ in vertices(e)] if "POLYLINE" in e.kind else [e.point()] for e in entities]
        if mine != geometry.get(name):
            log.fail(name, "ezdxf sees other geometry than the file's numbers")


def seen(e):
    """The points of an entity as ezdxf sees them."""
    kind = e.dxftype()
    if kind == "POLYLINE":
        return [(v.dxf.location.x, v.dxf.location.y) for v in e.vertices]
    if kind == "LWPOLYLINE":
        return [(p[0], p[1]) for p in e.get_points("xy")]
    if kind == "LINE":
        return [(e.dxf.start.x, e.dxf.start.y)]
    if kind == "POINT":
        return [(e.dxf.location.x, e.dxf.location.y)]
    return [(e.dxf.insert.x, e.dxf.insert.y)]


def together(log, size, f, b):
    """Verifies the measures of front and back together, and what the report says of them."""
    name = f"size {size['size']}"
    before = f["rise"][0] + b["rise"][0]
    after = f["rise"][1] + b["rise"][1]
    asked = size["asked"]
    log.bound(name, "crotch length missed by, mm", after - before - asked["change_mm"], LENGTH)
    for which, value in (("before", before), ("after", after)):
        log.bound(name, "reported crotch length off, mm", size[which]["crotch_length_mm"] - value, 0.005)
    for k, which in ((0, "before"), (1, "after")):
        mine = b["inseam"][k] - f["inseam"][k]
        log.bound(name, "reported inseam difference off, mm", size[which]["inseam_difference_mm"] - mine, 0.005)
    difference = (b["inseam"][1] - f["inseam"][1]) - (b["inseam"][0] - f["inseam"][0])
    log.bound(name, "inseam difference changed by, mm", difference, INSEAM)
    # The even split: half of the difference each (common practice, no source).
    if asked["front_share"] == 0.5:
        for piece in (f, b):
            log.bound(name, "share of the rise off an even split, mm", piece["rise"][1] - piece["rise"][0] - asked["change_mm"] / 2, LENGTH)
    if not f["straight_inseam"] and not b["straight_inseam"]:
        turned = (f["angle"][1] + b["angle"][1]) - (f["angle"][0] + b["angle"][0])
        log.bound(name, "angles at the fork changed by, degrees", turned, 0.1)


def one(original, altered, report, truth):
    log = Log(original.stem)
    data = json.loads(report.read_text())
    known = json.loads(truth.read_text()) if truth else {"unit_mm": 25.4 if data["drawing"]["unit"] == "in" else 1.0}
    drawing(log, original, altered, data, known)
    return log


def needless_refusals(original, report):
    """Nothing that is asked for on these drafts is beyond a hand."""
    data = json.loads(report.read_text())
    errors = [f for size in data["sizes"] for f in size["findings"] if f["severity"] == "error"]
    return [f"{original.stem}: refused without need: {f['id']}: {f['message']}" for f in errors]


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("files", nargs="*", type=pathlib.Path)
    parser.add_argument("--folder", type=pathlib.Path)
    args = parser.parse_args()
    refused = []
    if args.folder:
        jobs = []
        for original in sorted(args.folder.glob("*.dxf")):
            altered = original.with_suffix(".out.dxf")
            truth = original.with_suffix(".truth.json")
            if original.name.endswith(".out.dxf"):
                continue
            if not altered.exists():
                refused.append((original, original.with_suffix(".report.json")))
                continue
            jobs.append((original, altered, original.with_suffix(".report.json"), truth if truth.exists() else None))
    else:
        original, altered, report, *truth = args.files
        jobs = [(original, altered, report, truth[0] if truth else None)]
    violations, worst = [], collections.defaultdict(float)
    for job in jobs:
        log = one(*job)
        violations += log.violations
        for key, value in log.worst.items():
            worst[key] = max(worst[key], value)
    for job in refused:
        violations += needless_refusals(*job)
    for line in violations:
        print(line)
    print(f"{len(jobs)} drawings verified, {len(refused)} refused, {len(violations)} violations")
    for key in sorted(worst):
        print(f"  worst: {key}: {worst[key]:.6f}")
    return 1 if violations or not jobs else 0


if __name__ == "__main__":
    sys.exit(main())

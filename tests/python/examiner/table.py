"""How many changes are refused, by the back seam's lean and by the change: a table, for one program or for two beside."""

import collections
import concurrent.futures
import json
import pathlib
import tempfile

from . import drafts
from .run import Files, call

INCH = 25.4
CHANGES = (-1.5, -1.0, -0.5, 0.5, 1.0, 1.5, 2.0)  # in
LEANS = ((0, 5), (5, 10), (10, 15), (15, 20))  # degrees
SHORTEST = 70.0  # mm of straight centre seam at the back


def one(args):
    """Each change asked of the draft of a seed, in a size of its own: (lean, change, way, reasons) for each program."""
    programs, seed = args
    rows = []
    with tempfile.TemporaryDirectory() as place:
        name = drafts.draft(seed, pathlib.Path(place), changes=[c * INCH for c in CHANGES])
        files = Files(pathlib.Path(place), name)
        for program in programs:
            code, _, said = call(program, "alter", files.drawing, "--sizes", files.table, "--report", files.report, "--overwrite",
                                 "--quiet", "--dry-run", "-o", files.out, "--uneven", files.truth["uneven"], *files.job)
            sizes = json.loads(files.report.read_text())["sizes"] if code in (0, 1) else []
            reasons = {s["size"]: sorted({f["id"] for f in s["findings"] if f["severity"] == "error"}) for s in sizes}
            for k, change in enumerate(CHANGES):
                size = str(36 + 2 * k)
                back = files.truth["blocks"][f"BACK-{size}"]
                if files.truth["style"]["straight"] >= SHORTEST:
                    rows.append((program, back["lean"], change, files.truth["uneven"], reasons.get(size, ["exit 2"])))
    return rows


def table(programs, count, seed, jobs):
    """Prints, for each way of sharing and for all, the share of changes refused in % by lean and change."""
    programs = [str(p) for p in programs]
    asked, refused, why = collections.Counter(), collections.Counter(), collections.Counter()
    with concurrent.futures.ProcessPoolExecutor(jobs) as pool:
        for rows in pool.map(one, [(programs, s) for s in range(seed, seed + count)], chunksize=2):
            for program, lean, change, way, reasons in rows:
                place = next(i for i, (low, high) in enumerate(LEANS) if lean < high or high == LEANS[-1][1])
                for key in ((program, way, place, change), (program, "all", place, change)):
                    asked[key] += 1
                    refused[key] += bool(reasons)
                why.update((program, reason) for reason in reasons)
    for way in ("keep", "fork", "waist", "all"):
        print(f"\nrefused, %, {'even shares' if way == 'keep' else way}: " + ", ".join(programs))
        print("| lean | " + " | ".join(f"{c:+.1f} in" for c in CHANGES) + " | all |")
        print("| --- |" + " --- |" * (len(CHANGES) + 1))
        for place, (low, high) in enumerate(LEANS):
            cells = [" → ".join(share(asked, refused, [(p, way, place, c)]) for p in programs) for c in CHANGES]
            cells.append(" → ".join(share(asked, refused, [(p, way, place, c) for c in CHANGES]) for p in programs))
            print(f"| {low}–{high}° | " + " | ".join(cells) + " |")
    for program in programs:
        total = sum(n for (p, way, *_), n in asked.items() if p == program and way == "all")
        reasons = ", ".join(f"{r} {n}" for (p, r), n in why.most_common() if p == program)
        print(f"\n{program}: of {total} changes refused for: {reasons or 'nothing'}")


def share(asked, refused, keys):
    n = sum(asked[k] for k in keys)
    return f"{100 * sum(refused[k] for k in keys) / n:.0f}" if n else "–"

"""Draws drafts, has each measured, altered, checked and re-read by the program, and verifies what it wrote."""

import collections
import concurrent.futures
import json
import pathlib
import shutil
import subprocess
import tempfile

from . import drafts, verify


class Outcome:
    """What became of one draft: sizes that came out right, refusals and wrongs."""

    def __init__(self, seed):
        self.seed, self.right, self.refused, self.wrong, self.cases, self.worst = seed, 0, [], [], [], {}


def call(program, *args):
    done = subprocess.run([program, *map(str, args)], capture_output=True, text=True, timeout=300)
    return done.returncode, done.stdout, done.stderr


def examine(program, seed, folder, sizes=None):
    """Alters the draft of a seed, size by size where some are refused, and verifies it."""
    outcome = Outcome(seed)
    try:
        name = drafts.draft(seed, folder, sizes)
        files = Files(folder, name)
        code, _, said = call(program, "measure", files.drawing, *files.job)
        outcome.measured = code
        report = alter(program, files, outcome)
        if report is None:
            return outcome
        log = verify.drawing(name, files.drawing.read_bytes(), files.out.read_bytes(), report, files.truth)
        outcome.worst = log.worst
        wrong = [text for _, text in log.violations] + against(program, files)
        outcome.wrong += [(kind, text) for kind, text in log.violations] + [("check --against", t) for t in wrong[len(log.violations):]]
        tally(outcome, report, files, log)
    except Exception as e:  # a fault of the examiner's own, shown with its seed
        outcome.wrong.append(("examiner", f"draft-{seed}: {type(e).__name__}: {e}"))
    return outcome


class Files:
    def __init__(self, folder, name):
        at = lambda ending: folder / f"{name}{ending}"
        self.name, self.drawing, self.table, self.out, self.report = name, at(".dxf"), at(".csv"), at(".out.dxf"), at(".json")
        self.truth = json.loads(at(".truth.json").read_text())
        self.job = ["--job", at(".toml")] if at(".toml").exists() else []


def alter(program, files, outcome):
    """Alters; where sizes are refused the others alone. Gives the report of what was written, or nothing."""
    args = ["alter", files.drawing, "--sizes", files.table, "-o", files.out, "--report", files.report, "--overwrite",
            "--quiet", "--threads", "1", "--uneven", files.truth["uneven"], *files.job]
    code, _, said = call(program, *args)
    if code not in (0, 1):
        outcome.refused.append((errors_of(said), {"all": True}))
        return None
    report = json.loads(files.report.read_text())
    if code == 0:
        return report
    good = []
    for size in report["sizes"]:
        errors = sorted({f["id"] for f in size["findings"] if f["severity"] == "error"})
        if errors:
            outcome.refused.append(("+".join(errors), case(size, files)))
        else:
            good += ["--size", size["size"]]
    others = sorted({f["id"] for f in report["findings"] if f["severity"] == "error"})
    if others:
        outcome.refused.append(("+".join(others), {"all": True}))
        return None
    if not good:
        return None
    code, _, said = call(program, *args, *good)
    if code != 0:
        outcome.wrong.append(("refused later", f"{files.name}: sizes that were sound are refused alone: {said}"))
        return None
    return json.loads(files.report.read_text())


def errors_of(said):
    return "exit 2: " + (said.splitlines() or ["nothing said"])[0][:100]


def case(size, files):
    """What a refused or altered size was about: lean, straight part, change and share."""
    truth = files.truth["blocks"].get(f"BACK-{size['size']}", {})
    asked = size.get("asked") or {}
    message = next((f["message"] for f in size["findings"] if f["severity"] == "error"), "")
    return {"size": size["size"], "lean": truth.get("lean"), "straight": truth.get("straight"), "noise": truth.get("noise"),
            "change": asked.get("change_mm"), "share": asked.get("front_share"), "uneven": files.truth["uneven"], "message": message}


def tally(outcome, report, files, log):
    for size in report["sizes"]:
        if size["status"] != "altered":
            continue
        outcome.cases.append(case(size, files))
        mine = (f"FRONT-{size['size']}", f"BACK-{size['size']}", f"YOKE-{size['size']}", f"size {size['size']}")
        if not any(any(m in text for m in mine) for _, text in log.violations):
            outcome.right += 1


def against(program, files):
    """The program's own comparison of both drawings must find nothing that was not to change."""
    code, out, said = call(program, "check", files.out, "--against", files.drawing, "--format", "json", *files.job)
    if code == 2:
        return [f"{files.name}: check --against: {said[:300]}"]
    found = json.loads(out)["findings"]
    wrong = [f for f in found if f["id"] in ("changed-elsewhere", "reread-differs")]
    return [f"{files.name}: {f['id']}: {f['message']} (and {len(wrong) - 1} more)" for f in wrong[:1]]


def work(args):
    program, seed, keep = args
    with tempfile.TemporaryDirectory() as place:
        folder = pathlib.Path(place)
        outcome = examine(program, seed, folder)
        if outcome.wrong and keep:
            keep = pathlib.Path(keep)
            keep.mkdir(parents=True, exist_ok=True)
            for file in folder.iterdir():
                shutil.copy(file, keep / file.name)
    return outcome


def outcomes(program, seeds, jobs, keep=None):
    tasks = [(str(program), seed, keep) for seed in seeds]
    if jobs == 1:
        yield from map(work, tasks)
        return
    with concurrent.futures.ProcessPoolExecutor(jobs) as pool:
        yield from pool.map(work, tasks, chunksize=4)


def run(program, count, seed, jobs, keep):
    """Prints how many sizes came out right, were refused and why, and what was wrong. Gives whether nothing was."""
    right, refused, wrong, worst, examples = 0, collections.Counter(), collections.Counter(), {}, {}
    drawings = 0
    for outcome in outcomes(program, range(seed, seed + count), jobs, keep):
        drawings += 1
        right += outcome.right
        for why, about in outcome.refused:
            refused[why] += 1
            examples.setdefault(("refused", why), f"draft-{outcome.seed}: {about}")
        for kind in sorted({kind for kind, _ in outcome.wrong}):
            wrong[kind] += 1
        for kind, text in outcome.wrong:
            examples.setdefault(("wrong", kind), text)
        for key, value in outcome.worst.items():
            worst[key] = max(worst.get(key, 0.0), value)
        for kind, text in outcome.wrong:
            print(f"wrong: {text}")
    sizes = right + sum(refused.values())
    print(f"{drawings} drawings from seed {seed}: {right} sizes right, {sum(refused.values())} refused, "
          f"{sum(wrong.values())} kinds of wrong in drawings")
    for title, counter in (("refused", refused), ("wrong", wrong)):
        for why, n in counter.most_common():
            print(f"  {title} {n:5} ({100 * n / max(1, sizes):.1f} %): {why}; such as {examples[title, why]}")
    for key in sorted(worst):
        print(f"  worst: {key}: {worst[key]:.5f}")
    return not wrong


def planted(program, count, seed):
    """Plants every fault in drawings that came out right; prints what was found. Gives whether everything was."""
    import random

    from . import faults

    found, missed, drawings = collections.Counter(), [], 0
    with tempfile.TemporaryDirectory() as place:
        folder = pathlib.Path(place)
        for k in range(seed, seed + 40 * count):
            outcome = examine(program, k, folder, sizes=1)
            small = (folder / f"draft-{k}.dxf").stat().st_size < 120_000
            if outcome.wrong or not outcome.right or not small:
                continue
            planted, not_found = faults.plant_all(folder, f"draft-{k}", random.Random(k))
            found.update(p.partition(" (")[0] for p in planted)
            missed += not_found
            drawings += 1
            if drawings == count:
                break
    for title in faults.FAULTS:
        print(f"{found[title]:4} {title}")
    for text in missed:
        print(f"not found: {text}")
    never = [title for title in faults.FAULTS if not found[title]]
    print(f"{sum(found.values())} faults planted in {drawings} drawings, {len(missed)} not found; never planted: {never}")
    return not missed and not never and drawings == count

"""The examiner's commands; run from tests/python:

    python -m examiner draw DIR --seed S --count N          drafts with their size tables
    python -m examiner run --truerise PATH --count N --seed S [--jobs 2] [--keep DIR]
    python -m examiner plant --truerise PATH --count N --seed S    faults in drawings that were right, each to be found
    python -m examiner table --truerise PATH [--before PATH] --count N --seed S    refused share by lean and change
    python -m examiner sheet DIR --truerise PATH --count 50 --seed S    legs before and after, to be looked at
    python -m examiner verify DIR                           NAME.dxf, NAME.out.dxf, NAME.json, NAME.truth.json
"""

import argparse
import json
import pathlib
import sys

from . import drafts, run, sheet, table, verify


def folder_verified(folder):
    bad = 0
    for out in sorted(folder.glob("*.out.dxf")):
        name = out.name.removesuffix(".out.dxf")
        at = lambda ending: folder / f"{name}{ending}"
        report, truth = (json.loads(at(e).read_text()) for e in (".json", ".truth.json"))
        log = verify.drawing(name, at(".dxf").read_bytes(), out.read_bytes(), report, truth)
        bad += len(log.violations)
        for _, text in log.violations:
            print(text)
    return bad == 0


def main():
    parser = argparse.ArgumentParser(prog="examiner", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    commands = parser.add_subparsers(dest="command", required=True)
    draw = commands.add_parser("draw")
    draw.add_argument("folder", type=pathlib.Path)
    many = commands.add_parser("run")
    many.add_argument("--jobs", type=int, default=1)
    many.add_argument("--keep", type=pathlib.Path, help="a folder for drafts that come out wrong")
    plant = commands.add_parser("plant")
    refusals = commands.add_parser("table")
    refusals.add_argument("--before", type=pathlib.Path, help="an earlier program, whose figures are put before")
    refusals.add_argument("--jobs", type=int, default=1)
    pages = commands.add_parser("sheet")
    pages.add_argument("folder", type=pathlib.Path)
    for command in (draw, many, plant, refusals, pages):
        command.add_argument("--seed", type=int, default=1)
        command.add_argument("--count", type=int, default=20)
    for command in (many, plant, refusals, pages):
        command.add_argument("--truerise", type=pathlib.Path, required=True)
    one = commands.add_parser("verify")
    one.add_argument("folder", type=pathlib.Path)
    args = parser.parse_args()
    if args.command == "draw":
        args.folder.mkdir(parents=True, exist_ok=True)
        for seed in range(args.seed, args.seed + args.count):
            drafts.draft(seed, args.folder)
        return 0
    if args.command == "plant":
        return 0 if run.planted(args.truerise, args.count, args.seed) else 1
    if args.command == "table":
        table.table([p for p in (args.before, args.truerise) if p], args.count, args.seed, args.jobs)
        return 0
    if args.command == "sheet":
        print("\n".join(map(str, sheet.sheet(args.truerise, args.seed, args.count, args.folder))))
        return 0
    if args.command == "verify":
        return 0 if folder_verified(args.folder) else 1
    return 0 if run.run(args.truerise, args.count, args.seed, args.jobs, args.keep) else 1


if __name__ == "__main__":
    sys.exit(main())

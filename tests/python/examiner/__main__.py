"""The examiner's commands; run from tests/python:

    python -m examiner draw DIR --seed S --count N          drafts with their size tables
    python -m examiner run --truerise PATH --count N --seed S [--jobs 2] [--keep DIR]
    python -m examiner verify DIR                           NAME.dxf, NAME.out.dxf, NAME.json, NAME.truth.json
"""

import argparse
import json
import pathlib
import sys

from . import drafts, run, verify


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
    for command in (draw, many):
        command.add_argument("--seed", type=int, default=1)
        command.add_argument("--count", type=int, default=20)
    for command in (many,):
        command.add_argument("--truerise", type=pathlib.Path, required=True)
    one = commands.add_parser("verify")
    one.add_argument("folder", type=pathlib.Path)
    args = parser.parse_args()
    if args.command == "draw":
        args.folder.mkdir(parents=True, exist_ok=True)
        for seed in range(args.seed, args.seed + args.count):
            drafts.draft(seed, args.folder)
        return 0
    if args.command == "verify":
        return 0 if folder_verified(args.folder) else 1
    return 0 if run.run(args.truerise, args.count, args.seed, args.jobs, args.keep) else 1


if __name__ == "__main__":
    sys.exit(main())

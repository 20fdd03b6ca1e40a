"""Translating the model into machine code with mypyc, in a folder of its own; the plain files stay as they are.

It needs mypy, setuptools (the extra `fast`) and a C compiler. What is not finished is never used: the folder gets its
mark as its last step.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from importlib.machinery import EXTENSION_SUFFIXES
from importlib.util import find_spec
from pathlib import Path

from farmsim.errors import FarmsimError
from farmsim.machine_code import ALL_TOGETHER, ENVIRONMENT, INSTEAD, OFF, PACKAGE, mark, shelf, sources

NEEDS = ("mypy", "mypyc", "setuptools", "librt")
KEPT = 4
"""Translations of other sources that are kept beside the newest."""
MARK = re.compile("[0-9a-f]{16}")
UNFINISHED = "unfinished-"
A_DAY = 24 * 60 * 60.0
NO_SUCH_COMPILER = re.compile(
    r"command '[^']*' failed: No such file|No such file or directory: '[^']*(?:cc|clang)'|vcvarsall"
)
TOLD = 12
"""Lines of what the translator said that are shown when it goes wrong."""
LEFT_OUT = ("__pycache__", "*.so", "*.pyd", "cli", "report", "study", "money")
"""What the model does not stand on: mypy would ask for the types of all that these import."""
SETTINGS = """[mypy]
ignore_missing_imports = true
"""
# Two figures multiplied and added in one go would be rounded once instead of twice: other bytes than plain Python's.
FLAGS = ["-ffp-contract=off"]
SETUP = """
import os
import sys
from concurrent.futures import ThreadPoolExecutor
from mypyc.build import mypycify
from setuptools import setup
from distutils.ccompiler import CCompiler

group, settings, flags, files = {group!r}, {settings!r}, {flags!r}, {files!r}


def side_by_side(self, sources, output_dir=None, macros=None, include_dirs=None, debug=0, extra_preargs=None,
                 extra_postargs=None, depends=None):
    macros, objects, after, before, todo = self._setup_compile(
        output_dir, macros, include_dirs, sources, depends, extra_postargs)
    options = self._get_cc_args(before, debug, extra_preargs)
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(lambda one: self._compile(one, *todo[one], options, after, before), todo))
    return objects


if os.name == "posix":
    CCompiler.compile = side_by_side
parts = mypycify(["--config-file", settings, *files], opt_level="2", debug_level="0", group_name=group, multi_file=True)
for part in parts:
    part.extra_compile_args += flags if sys.platform != "win32" else []
setup(name=group, ext_modules=parts, script_args=["--quiet", "build_ext", "--inplace"])
"""


class NotTranslated(FarmsimError):
    """The model could not be translated; it runs as plain Python all the same."""

    exit_code = 2


def is_built() -> bool:
    """Whether there is machine code of the model as it stands here."""
    place = shelf()
    return place is not None and (place / mark()).is_dir()


def build() -> Path:
    """Translate the model as it stands here, unless that was done before; returns where it lies.

    Goes wrong without a compiler, without what the extra `fast` installs, where nothing may be written: NotTranslated.
    """
    place = shelf()
    if place is None:
        raise NotTranslated(
            f"{ENVIRONMENT} is {OFF!r}: no machine code is used, so none is made; unset it to make some"
        )
    missing = [name for name in NEEDS if find_spec(name) is None]
    if missing:
        raise NotTranslated(
            f"{' and '.join(missing)} must be installed to translate the model: python -m pip install 'farmsim[fast]'"
        )
    here = place / mark()
    if not here.is_dir():
        try:
            place.mkdir(parents=True, exist_ok=True)
            _translate(here)
        except OSError as fault:
            raise NotTranslated(f"machine code cannot be kept in {place}: {fault.strerror or fault}") from fault
        _tidy(place, here)
    return here


def _translate(here: Path) -> None:
    """Translate a copy of the files, and put the result where it belongs in one step."""
    with tempfile.TemporaryDirectory(dir=here.parent, prefix=UNFINISHED) as folder:
        copy = Path(folder) / "copy"
        shutil.copytree(PACKAGE, copy / PACKAGE.name, ignore=shutil.ignore_patterns(*LEFT_OUT))
        for name, instead in INSTEAD.items():
            shutil.copy(PACKAGE / instead, copy / PACKAGE.name / name)
        (copy / "settings.ini").write_text(SETTINGS, encoding="utf-8")
        files = [file.relative_to(PACKAGE.parent).as_posix() for file in sources()]
        script = SETUP.format(group=ALL_TOGETHER, settings="settings.ini", flags=FLAGS, files=files)
        (copy / "setup.py").write_text(script, encoding="utf-8")
        environment = {**os.environ, ENVIRONMENT: OFF}
        done = subprocess.run(
            [sys.executable, "setup.py"], cwd=copy, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
        )
        if done.returncode:
            raise NotTranslated(_why(done.stdout.decode(errors="replace")))
        if mark() != here.name:
            raise NotTranslated("the model's files were changed while they were translated: run farmsim compile again")
        _gather(copy, Path(folder) / "done")
        try:
            (Path(folder) / "done").rename(here)
        except OSError:
            if not here.is_dir():  # else somebody else was quicker
                raise


def _gather(copy: Path, done: Path) -> None:
    """What has been made, without what it was made from."""
    for name in [*copy.glob(f"*{EXTENSION_SUFFIXES[0]}"), *(copy / PACKAGE.name).rglob(f"*{EXTENSION_SUFFIXES[0]}")]:
        to = done / name.relative_to(copy)
        to.parent.mkdir(parents=True, exist_ok=True)
        name.rename(to)


def _tidy(place: Path, newest: Path) -> None:
    """Throw away translations of sources that are long gone, and what was left unfinished; nothing that is not ours."""
    with suppress(OSError):  # somebody else may be tidying as well
        ours = [each for each in place.iterdir() if MARK.fullmatch(each.name) and each != newest]
        old = sorted(ours, key=lambda each: each.stat().st_mtime, reverse=True)[KEPT:]
        begun = [each for each in place.iterdir() if each.name.startswith(UNFINISHED)]
        for each in (*old, *(each for each in begun if time.time() - each.stat().st_mtime > A_DAY)):
            shutil.rmtree(each, ignore_errors=True)


def _why(told: str) -> str:
    """What went wrong, from what the translator said."""
    if NO_SUCH_COMPILER.search(told):
        return NO_COMPILER
    if "Python.h" in told:
        return NO_HEADERS
    lines = [f"    {line}" for line in told.strip().splitlines()[-TOLD:]]
    return "\n".join(("the model could not be translated into machine code; the translator said:", *lines))


NO_COMPILER = (
    "no C compiler was found, so the model stays plain Python and takes three times as long; "
    "on Debian or Ubuntu: sudo apt install gcc python3-dev"
)
NO_HEADERS = (
    "Python's own header files were not found, so the model stays plain Python and takes three times as long; "
    "on Debian or Ubuntu: sudo apt install python3-dev"
)

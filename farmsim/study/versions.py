"""What a run depends on besides the farm and its luck: the versions of everything that has a say in its figures."""

from __future__ import annotations

import hashlib
import platform
from collections.abc import Mapping
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from types import MappingProxyType

import farmsim
from farmsim.model.luck import LUCK_VERSION

PACKAGES = ("simpy", "numpy", "numpy-financial")
FLOORS = ("model", "money", "record", "scenario", "study/job.py", "study/changes.py", "study/phases.py", "units.py")
"""What works out a run: a change of any of it may change figures."""


@cache
def versions() -> Mapping[str, str]:
    """By name: luck, farmsim with a mark of the very code that works out a run, simpy, numpy, Python's two first numbers."""
    found = {"farmsim": f"{farmsim.__version__} ({code_mark()})", "luck": str(LUCK_VERSION)}
    for name in PACKAGES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "unknown"
    found["python"] = ".".join(platform.python_version_tuple()[:2])
    return MappingProxyType(found)


@cache
def code_mark() -> str:
    """Eight letters that change with the code that works out a run, whether or not its version was counted up."""
    root, told = Path(farmsim.__file__).parent, hashlib.sha256()
    for floor in FLOORS:
        here = root / floor
        for file in [here] if here.suffix else sorted(here.rglob("*.py")):
            told.update(file.relative_to(root).as_posix().encode())
            told.update(file.read_bytes().replace(b"\r\n", b"\n"))
    return told.hexdigest()[:8]

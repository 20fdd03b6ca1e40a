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
from farmsim.errors import FarmsimError
from farmsim.model.luck import LUCK_VERSION

Versions = Mapping[str, str]
PACKAGES = ("simpy", "numpy", "numpy-financial")
FLOORS = ("model", "money", "record", "scenario", "study/job.py", "study/changes.py", "study/phases.py", "units.py")
"""What works out a run: a change of any of it may change figures."""
NAMED = 8  # workers at most that are named in one message


class VersionsDiffer(FarmsimError):
    """Workers of a cluster would give other figures than this process."""

    exit_code = 2


@cache
def versions() -> Versions:
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


def see_alike(ours: Versions, others: Mapping[str, Versions | Exception]) -> None:
    """See that all workers have our versions.

    others: by worker its versions, or why it could not tell them
    Goes wrong when they differ: VersionsDiffer names the workers and what they have.
    """
    differ = [f"{worker} has {what}" for worker, theirs in sorted(others.items()) if (what := _differs(ours, theirs))]
    if differ:
        more = [f"and {len(differ) - NAMED:,} more workers"] if len(differ) > NAMED else []
        told = "\n  ".join((*differ[:NAMED], *more))
        raise VersionsDiffer(
            f"workers of the cluster would give other figures than this machine:\n  {told}\n"
            "Install the same versions on all (farmsim's constraints.txt names them), and start the workers again"
        )


def _differs(ours: Versions, theirs: Versions | Exception) -> str:
    """What is not the same, in words; nothing when all is, or the worker is gone and will make no figures at all."""
    if isinstance(theirs, OSError):
        return ""
    if isinstance(theirs, Exception):
        return f"no farmsim of this kind ({theirs})"
    names = [name for name in sorted(ours.keys() | theirs.keys()) if ours.get(name) != theirs.get(name)]
    return ", ".join(f"{name} {theirs.get(name, 'missing')}, not {ours.get(name, 'missing')}" for name in names)

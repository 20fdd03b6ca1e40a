"""The model as machine code: where it lies, whether it is of this very source, and how Python comes to it.

The plain files are what is read, tested and changed; they give the same figures to the last bit and take three
times as long. `build.py` translates them, once on a machine (`farmsim compile`; `go.py` does it as it sets up). What was
translated from other files than those that stand here now, or for another Python, is never used: it lies under another
mark. FARMSIM_MACHINE_CODE in the environment is "off", or the folder where machine code is kept.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from functools import cached_property
from importlib.abc import MetaPathFinder
from importlib.machinery import EXTENSION_SUFFIXES, ModuleSpec
from importlib.util import find_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType

PACKAGE = Path(__file__).parents[1]
TRANSLATED = ("model", "record/journal.py", "record/rows.py")
"""Folders and files of the package that are translated."""
INSTEAD = {"record/rows.py": "machine_code/rows.py"}
"""Files for which another one is translated, with the same calls: it writes figures as only machine code can."""
DECIDE = ("machine_code/build.py", "record/columns.py", "record/layout.py")
"""Files that are not translated and yet decide what is made: how it is done, and the columns that are written."""
PLAIN = ("model/standing.py", "model/breath.py")
"""Of these, files that stay plain: lots that stand on the farm are sent from process to process, once a run at most; and
what lets Python look for Ctrl-C."""
ALL_TOGETHER = "farmsim_model"
"""What the modules share, as mypyc names it: one library beside them."""
OFF = "off"
ENVIRONMENT = "FARMSIM_MACHINE_CODE"


def sources() -> list[Path]:
    """The files that are translated, in a fixed order."""
    found: list[Path] = []
    for name in TRANSLATED:
        here = PACKAGE / name
        found += [here] if here.suffix else sorted(file for file in here.rglob("*.py") if file.stem != "__init__")
    plain = [PACKAGE / name for name in PLAIN]
    return [file for file in found if file not in plain]


def mark() -> str:
    """Sixteen letters that change with the files that are translated and how that is done, with Python and the library."""
    import hashlib  # here, since most commands never ask

    told = hashlib.blake2b(EXTENSION_SUFFIXES[0].encode(), digest_size=8)
    told.update(library().encode())
    for file in (*sources(), *(PACKAGE / name for name in (*INSTEAD.values(), *DECIDE))):
        told.update(file.relative_to(PACKAGE).as_posix().encode())
        told.update(file.read_bytes())
    return told.hexdigest()


def library() -> str:
    """Name and version of what machine code needs to run, which mypy brings along; empty when it is not there."""
    found = find_spec("librt")
    places = [] if found is None else found.submodule_search_locations or []
    return next((info.name for place in places for info in Path(place).parent.glob("librt-*.dist-info")), "")


def shelf() -> Path | None:
    """The folder where machine code is kept, one folder a mark; None when it is switched off."""
    told = os.environ.get(ENVIRONMENT, "")
    if told == OFF:
        return None
    return Path(told) if told else Path(sys.prefix) / "share" / "farmsim" / "machine-code"


def in_use() -> bool:
    """Whether this process runs the model as machine code."""
    finder = next((finder for finder in sys.meta_path if isinstance(finder, Finder)), None)
    return finder is not None and bool(finder.modules)


class Finder(MetaPathFinder):
    """Finds translated modules before Python looks for the plain ones."""

    def __init__(self, shelf: Path) -> None:
        self.shelf = shelf

    @cached_property
    def modules(self) -> dict[str, Path]:
        """By name of the module: its machine code. Empty when there is none of this very source."""
        here = self.shelf / mark()
        files = sorted(here.rglob(f"*{EXTENSION_SUFFIXES[0]}"))
        names = [file.relative_to(here).as_posix().removesuffix(EXTENSION_SUFFIXES[0]) for file in files]
        return {name.replace("/", "."): file for name, file in zip(names, files, strict=True)}

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        """Where a module of ours has its machine code; None for all others, and where there is none."""
        if not fullname.startswith(("farmsim.model.", "farmsim.record.", f"{ALL_TOGETHER}__")):
            return None
        file = self.modules.get(fullname)
        return None if file is None else spec_from_file_location(fullname, file)


def offer() -> None:
    """From now on Python looks here first. It costs one look at a folder until a module of the model is asked for."""
    here = shelf()
    if here is not None and here.is_dir() and not any(isinstance(finder, Finder) for finder in sys.meta_path):
        sys.meta_path.insert(0, Finder(here))

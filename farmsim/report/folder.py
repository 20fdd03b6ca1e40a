"""The result folder of a study: written beside its place and renamed, so that it is there as a whole or not at all."""

from __future__ import annotations

import glob
import json
import os
import shutil
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from farmsim.errors import CannotWrite

MARK = "run.json"  # by this file and its first key a folder is known as a result of farmsim
PROGRAM = "farmsim"
ABANDONED = 600  # seconds after which a folder being filled is one whose program was killed
MOST_ANSWERS = 1000  # of one farm to questions of one kind, side by side
Files = Mapping[str, str]


def ready_for(folder: Path) -> None:
    """Look, before any work is done, whether a result may be written here.

    Goes wrong when it may not: CannotWrite says why and what to do.
    """
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise CannotWrite(f"{folder} is there already and is no folder. Name another with --out.")
    if folder.is_dir() and any(folder.iterdir()) and not _is_result(folder):
        raise CannotWrite(
            f"{folder} holds something that farmsim did not write, and is left alone. "
            "Name a new or an empty folder with --out, or move those files."
        )
    above = next(parent for parent in folder.absolute().parents if parent.exists())
    if not above.is_dir():
        raise CannotWrite(f"{folder} cannot be made: {above} is a file, not a folder. Name another with --out.")
    if not os.access(above, os.W_OK | os.X_OK):
        raise CannotWrite(f"{folder} cannot be made: nothing may be written in {above}. Name another with --out.")


def beside_others(folder: Path, asked: Mapping[str, object]) -> Path:
    """The folder, or one with a number behind its name where that holds the answer to another question.

    The same question asked again replaces its old answer; nobody's plan is gone because something else was asked.
    """
    wanted = json.loads(as_json({"program": PROGRAM, **asked}))
    numbered = (folder, *(folder.with_name(f"{folder.name}-{number}") for number in range(2, MOST_ANSWERS)))
    return next((each for each in numbered if not each.exists() or _mark(each) == wanted), folder)


def write(folder: Path, fill: Callable[[Path], None]) -> None:
    """Fill a folder beside the wanted one, then put it there in place of an older result.

    fill: writes everything into the empty folder it is given
    Goes wrong when the disk or the system refuses: CannotWrite, and nothing is left behind.
    """
    ready_for(folder)
    folder = folder.absolute()
    try:
        with _beside(folder) as part:
            fill(part)
            _put(part, folder)
    except OSError as error:
        raise CannotWrite(f"{folder} cannot be written: {error.strerror or error}. Name another with --out.") from None


def put_texts(folder: Path, files: Files) -> None:
    """Text files by name, in UTF-8 with plain line ends."""
    for name, text in files.items():
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(text, encoding="utf-8", newline="\n")


def as_json(content: Mapping[str, object]) -> str:
    """A small table as a JSON file's text."""
    return json.dumps(content, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _is_result(folder: Path) -> bool:
    found = _mark(folder)
    return isinstance(found, dict) and found.get("program") == PROGRAM


def _mark(folder: Path) -> object:
    """What the folder says of itself; nothing when it is no result."""
    try:
        return json.loads((folder / MARK).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None


@contextmanager
def _beside(folder: Path) -> Iterator[Path]:
    """A folder of its own next to the wanted one, gone again whatever happens."""
    made = [parent for parent in folder.parents if not parent.exists()]
    folder.parent.mkdir(parents=True, exist_ok=True)
    _sweep(folder)
    around = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", suffix=".part", dir=folder.parent))
    try:
        part = around / "new"
        part.mkdir()
        yield part
    except BaseException:
        shutil.rmtree(around, ignore_errors=True)
        _take_away(made)
        raise
    shutil.rmtree(around, ignore_errors=True)


def _sweep(folder: Path) -> None:
    """Clear away what a killed program left beside the folder; an older result it had put aside goes back to its place."""
    for around in folder.parent.glob(f".{glob.escape(folder.name)}-*.part"):
        with suppress(OSError):
            if time.time() - around.stat().st_mtime < ABANDONED:
                continue
            if (around / "old").is_dir() and not folder.exists():
                (around / "old").rename(folder)
            shutil.rmtree(around)


def _take_away(made: list[Path]) -> None:
    """Folders above the result that were made for it, when nothing came of it."""
    for parent in made:
        try:
            parent.rmdir()
        except OSError:
            return


def _put(part: Path, folder: Path) -> None:
    """The new folder in place of the old one; the old one comes back when that fails."""
    old = part.parent / "old"
    if folder.exists():
        folder.rename(old)
    try:
        part.rename(folder)
    except BaseException:
        if old.exists() and not folder.exists():
            old.rename(folder)
        raise

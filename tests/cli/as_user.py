"""A farmsim command as a user gives it in a folder, called in this process: what it prints, and its exit code.

Loading all that a command needs takes longer than many a question of a small farm. That a command also works as a program
of its own is shown by `tests/test_readme.py` (every command once) and `test_run.py`, `test_new.py` (stopped, on a terminal).
"""

from __future__ import annotations

import contextlib
import io
from pathlib import Path
from subprocess import CompletedProcess

from farmsim.cli import main


def farmsim_in(folder: Path, *words: str) -> CompletedProcess[str]:
    """Give the command in the folder."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.chdir(folder), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main(list(words), "farmsim")
        except SystemExit as left:
            code = left.code
    assert code is None or isinstance(code, int), code
    return CompletedProcess(["farmsim", *words], code or 0, out.getvalue(), err.getvalue())
